"""A review under way: the record as it stands, the queries in the order they are asked, decisions taken one by one.

No screen is in it: the full screen, the plain one and `rodnote decide` all work through a session.
"""

from pathlib import Path
from types import TracebackType
from typing import Self

from extractor.errors import DecisionError
from extractor.job.answers import Choice, choices_of, undo_deed
from extractor.job.apply import ReviewedRecord, apply_decisions
from extractor.job.decision_log import DecisionLog
from extractor.job.decisions import Decision, Deed
from extractor.job.folder import Job
from extractor.job.harm import harmful_queries, most_harmful_first
from extractor.job.merge_logs import Merged, merge_logs
from extractor.job.naming import Row, rows_of
from extractor.job.refusals import refuse
from extractor.job.signoff import sign_off
from extractor.job.wording import deed_words
from extractor.lexicon.load import Lexicon
from extractor.narration.choose import read_bytes
from extractor.reading import Narration, Word
from extractor.record import Query
from extractor.review.row_words import Speaker


class Session:
    """One reviewer at one job. The job is locked for others until `close`."""

    def __init__(self, job: Job, lexicon: Lexicon, who: str) -> None:
        self.job, self.lexicon = job, lexicon
        self.log = DecisionLog(job, who)
        self.who = self.log.who
        self.reports = self.log.reports
        self.taken_here = 0
        self._later: list[str] = []
        self._narrations: dict[int, Narration] = {}
        self.reviewed: ReviewedRecord
        self._apply()

    def close(self) -> None:
        self.log.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    @property
    def speaker(self) -> Speaker:
        return Speaker(self.reviewed.record, self.lexicon)

    @property
    def rows(self) -> dict[str, Row]:
        return rows_of(self.reviewed.record)

    def queue(self) -> tuple[Query, ...]:
        """Open queries, most harmful first; those left for later at the end, in the order they were left."""
        ordered = most_harmful_first(self.reviewed.record.queries, self.reviewed.record)
        late = sorted((query for query in ordered if query.id in self._later), key=lambda q: self._later.index(q.id))
        return (*(query for query in ordered if query.id not in self._later), *late)

    def is_later(self, query: Query) -> bool:
        return query.id in self._later

    def later(self, query: Query) -> None:
        """Ask it again after all others. Nothing is written: it is as open as before."""
        if query.id in self._later:
            self._later.remove(query.id)
        self._later.append(query.id)

    def choices(self, query: Query) -> tuple[Choice, ...]:
        return choices_of(query, self.reviewed)

    def take(self, deed: Deed) -> Decision:
        """Take a decision: it is on disk, and the record is as it makes it, when this returns.

        Raises:
            DecisionError: where it contradicts something or could not be kept; nothing has changed then.
        """
        refuse(self.reviewed, deed, self.lexicon)
        decision = self.log.take(deed)
        self.taken_here += 1
        self._apply()
        return decision

    def undo(self) -> str:
        """Undo this reviewer's last decision that stands; what it was, in words.

        Raises:
            DecisionError: where there is none.
        """
        own = [decision for decision in self.reviewed.standing if decision.who == self.who]
        if not own:
            raise DecisionError("there is no decision of yours to undo.")
        words = next((each.what for each in self.reviewed.changes if each.decision == own[-1].id), "")
        self.take(undo_deed(own[-1].id))
        return words or deed_words(own[-1], {}, {})

    def take_in(self, other: Path) -> Merged:
        """Merge another log of this job into this one.

        Raises:
            DecisionError, JobError: where it can't be; nothing has changed then.
        """
        merged = merge_logs(self.log, other)
        self._apply()
        return merged

    def sign(self, because: str = "") -> Decision:
        """Sign the record off as it is.

        Raises:
            DecisionError: while harmful queries are open and no reason is given.
        """
        return self.take(sign_off(self.reviewed, because))

    def harmful_open(self) -> int:
        return len(harmful_queries(self.reviewed.record))

    def status(self) -> str:
        """Whether it is signed off, in a few words."""
        if self.reviewed.sign_off:
            return f"signed off by {self.reviewed.sign_off.by}"
        if self.reviewed.voided:
            return "sign-off void: changed since"
        return "not signed off"

    def narration(self, source: int) -> Narration:
        """The words of a narration with their times; without, where the file can't be read the same way any more."""
        if source not in self._narrations:
            self._narrations[source] = self._read(source)
        return self._narrations[source]

    def _read(self, source: int) -> Narration:
        stored = self.reviewed.record.sources[source]
        try:
            narration = read_bytes(self.job.narration_bytes(source), stored.name)
        except Exception:  # a reader of this version may refuse what an earlier one took; the text is in the record
            narration = None
        if narration is not None and narration.text == stored.text:
            return narration
        words, at = [], 0
        for piece in stored.text.split():
            at = stored.text.index(piece, at)
            words.append(Word(piece, at, at + len(piece)))
            at += len(piece)
        return Narration(stored.text, tuple(words), stored.name, stored.sha256)

    def _apply(self) -> None:
        self.reviewed = apply_decisions(self.job.record, self.log.decisions)


def open_session(job: Job, lexicon: Lexicon, who: str) -> Session:
    """Begin a review.

    Raises:
        JobError: where someone else has the job open.
        DecisionError: where no name is given.
    """
    if not who.strip():
        raise DecisionError("a decision needs the name of who takes it.", todo="Give it with --who NAME.")
    return Session(job, lexicon, who)
