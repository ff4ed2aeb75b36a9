"""Record + decisions -> the reviewed record: what a report is made from, and what is still to be asked.

Nothing is lost on the way: a decision whose row is gone, or that another reviewer's contradicts, changes nothing and
comes back as a query.
"""

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from pydantic import ValidationError

from extractor.job.agreement import disagreements, history, standing
from extractor.job.decisions import Decision, Value, line_of, read_log
from extractor.job.folder import Job, record_bytes
from extractor.job.naming import Finder, Row, evidence_of
from extractor.job.raised import raise_disagreement, raise_returned
from extractor.job.rows import RowBook
from extractor.job.wording import deed_words
from extractor.record import Query, Record

# A decision that sets one of these on the query's row has answered the query, whether or not it names it.
SETTLED_BY: Mapping[str, frozenset[str]] = {
    "no_distance": frozenset({"from_m"}),
    "doubt": frozenset({"certainty", "polarity"}),
    "counter": frozenset({"from_m", "end_m"}),
    "unit": frozenset({"from_m", "unit", "low"}),
    "unclear_word": frozenset({"condition", "component", "action"}),
    "conflict": frozenset(),
    "which_one": frozenset({"run", "structure"}),
}


@dataclass(frozen=True)
class Change:
    """One decision that counts, as a person reads it. `before` and `after` hold the fields that differ.

    `row` is the id of the row it is about, "" where it is about none; `quote` the words of the row or the query.
    """

    decision: str
    what: str
    who: str
    when: str
    row: str = ""
    quote: str = ""
    before: Mapping[str, Any] = field(default_factory=dict)
    after: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True)
class SignedOff:
    """Who stands for the record. `because` tells why, where `left_open` harmful queries were open."""

    by: str
    when: str
    digest: str
    because: str = ""
    left_open: int = 0


@dataclass(frozen=True)
class ReviewedRecord:
    """`record` has the decisions in it and only the open queries; `extracted` is as it was made.

    `settled` are the queries that were answered, `rejected` the rows taken out, `made` the rows that decisions made
    (row id -> decision id). `raised` leads from the id of a query that the log raised to the decisions it is about.
    `decisions` are all entries, `standing` those that count. `reports` tell of damage in the log.
    `sign_off` is the one that holds, `voided` the last one that a later change has made void.
    """

    record: Record
    extracted: Record
    changes: tuple[Change, ...] = ()
    settled: tuple[Query, ...] = ()
    rejected: tuple[Row, ...] = ()
    made: Mapping[str, str] = field(default_factory=dict)
    raised: Mapping[str, tuple[Decision, ...]] = field(default_factory=dict)
    sign_off: SignedOff | None = None
    voided: SignedOff | None = None
    digest: str = ""
    decisions: tuple[Decision, ...] = ()
    standing: tuple[Decision, ...] = ()
    reports: tuple[str, ...] = ()


def reviewed_record(job: Job) -> ReviewedRecord:
    """The job's record with its decisions applied. Writes nothing; damage in the log is told in `reports`."""
    text = read_log(job.decisions)
    reviewed = apply_decisions(job.record, text.decisions)
    reports = tuple(
        f"Line {damage.line} of {job.decisions.name} is {'unfinished' if damage.torn else 'damaged'} and doesn't count."
        for damage in text.damages
    )
    return ReviewedRecord(**{**vars(reviewed), "reports": reports})


def apply_decisions(record: Record, decisions: Sequence[Decision]) -> ReviewedRecord:
    """The record as reviewed. Pure: the same record and decisions give the same result, in whatever order they come."""
    known = history(decisions)
    counting = standing(known)
    finder = Finder(record)
    targets = {decision.id: _Target(decision, finder) for decision in counting}
    groups = disagreements(known, {id: target.claims() for id, target in targets.items() if not target.gone})
    by_id = {decision.id: decision for decision in counting}
    apart = {id for group in groups for id in group}

    book = RowBook(record)
    changes: list[Change] = []
    returned: list[tuple[Decision, str]] = []
    answered: set[str] = set()
    for decision in counting:
        target = targets[decision.id]
        if decision.id in apart:
            continue
        if target.gone:
            returned.append((decision, target.gone))
            continue
        try:
            row, before, after = _do(book, decision, target)
        except (ValidationError, KeyError, ValueError) as error:
            returned.append((decision, _reason(error)))
            continue
        answered |= _answers(record, decision, target)
        quote = decision.row.quote if decision.row else decision.query.quote if decision.query else ""
        changes.append(
            Change(
                decision.id,
                deed_words(decision, before, after),
                decision.who,
                decision.when,
                row,
                quote,
                before,
                after,
            )
        )
    raised: dict[str, tuple[Decision, ...]] = {}
    queries: list[Query] = []
    for group in groups:
        disputed = tuple(by_id[id] for id in group)
        query = raise_disagreement(disputed, record, targets[group[0]].row)
        queries.append(query)
        raised[query.id] = disputed
    for decision, why in returned:
        if decision.kind == "reject" and not (decision.row and finder.rows_at(decision.row)):
            continue  # the row was to go and nothing stands in its place: as wished
        query = raise_returned(decision, why, record)
        queries.append(query)
        raised[query.id] = (decision,)
    gone = book.gone
    still = tuple(query for query in record.queries if query.id not in answered and query.row not in gone)
    asked = {query.id for query in still}
    settled = tuple(query for query in record.queries if query.id not in asked)
    digest = digest_of(record, decisions)
    signs = [_signed(decision) for decision in known.decisions if decision.kind == "sign"]
    holding = [sign for sign in signs if sign.digest == digest]
    return ReviewedRecord(
        record=book.record(queries=(*queries, *still)),
        extracted=record,
        changes=tuple(changes),
        settled=settled,
        rejected=book.rejected,
        made=dict(book.made),
        raised=raised,
        sign_off=holding[-1] if holding else None,
        voided=signs[-1] if signs and not holding else None,
        digest=digest,
        decisions=known.decisions,
        standing=counting,
    )


def digest_of(record: Record, decisions: Sequence[Decision]) -> str:
    """SHA-256 of the record as extracted and of every entry but sign-offs: any later entry, undos too, changes it."""
    digest = hashlib.sha256(record_bytes(record))
    for decision in sorted(decisions, key=lambda decision: decision.id):
        if decision.kind != "sign":
            digest.update(line_of(decision))
    return digest.hexdigest()


class _Target:
    """What a decision is about, in this record. `gone` says why it can't be done, "" where it can."""

    def __init__(self, decision: Decision, finder: Finder) -> None:
        self.decision = decision
        self.gone = ""
        self.row = self._found(decision, "row", finder) if decision.kind != "add" else None
        self.other = self._found(decision, "other", finder)
        self.to_run = self._found(decision, "to_run", finder)
        self.query: str | None = None
        if decision.query:
            row = decision.query.row
            self.query = finder.query(decision.query, (row.made_by or finder.row(row)) if row else None)

    def _found(self, decision: Decision, part: str, finder: Finder) -> str | None:
        name = getattr(decision, part)
        if name is None:
            return None
        id = made_id(name.made_by) if name.made_by else finder.row(name)
        if id is None:
            thing = {"row": "the row", "other": "the second row", "to_run": "the run it was moved to"}[part]
            self.gone = self.gone or f"{thing} is no longer in the record"
        return id

    def claims(self) -> dict[tuple[str, str], str]:
        """What the decision makes of which field of which row, for finding out who disagrees."""
        decision, row = self.decision, self.row or ""
        out: dict[tuple[str, str], str] = {}
        if decision.kind in ("change", "reject", "split", "merge") and row:
            out[row, "row"] = "gone" if decision.kind == "reject" else "there"
            for name, value in decision.sets.items() if decision.kind == "change" else ():
                out[row, name] = repr(value)
            if decision.to_run:
                out[row, "run"] = str(self.to_run)
        if self.other:
            out[self.other, "row"] = f"part of {row}"
        if self.query:
            out["", f"query {self.query}"] = f"{decision.kind} {sorted(decision.sets.items())!r} {decision.answer}"
        return out


def made_id(decision: str) -> str:
    """The id of the row that a decision made."""
    return f"N-{decision[:8]}"


def _do(book: RowBook, decision: Decision, target: _Target) -> tuple[str, dict[str, Any], dict[str, Any]]:
    """Carry the decision out; the row's id and the fields that differ, before and after.

    Raises:
        KeyError, ValueError: where the row is not there any more or may not become that.
    """
    sets: dict[str, Value] = dict(decision.sets)
    if target.to_run:
        sets["run"] = target.to_run
    row = target.row or ""
    if decision.kind == "change":
        return row, *book.change(row, sets)
    if decision.kind == "reject":
        return row, *book.reject(row)
    if decision.kind == "merge" and target.other:
        return row, *book.merge(row, target.other)
    if decision.kind in ("add", "split") and decision.row:
        id = made_id(decision.id)
        evidence = evidence_of(decision.row.spans, book.extracted)
        if decision.kind == "split":
            return id, *book.split(row, id, sets, decision.id)
        if not evidence and decision.row.spans:
            raise ValueError("the narration it rests on is not part of this job")
        return id, *book.add(id, decision.row.kind, decision.row.quote, evidence, sets, decision.id)
    return row, {}, {}


def _answers(record: Record, decision: Decision, target: _Target) -> set[str]:
    """The ids of the queries that the decision has answered."""
    answered = {target.query} if target.query else set()
    for query in record.queries:
        if query.row and query.row == target.row and decision.kind == "change":
            touched = set(decision.sets) | ({"run"} if decision.to_run else set())
            if touched & SETTLED_BY[query.reason]:
                answered.add(query.id)
    return answered


def _signed(decision: Decision) -> SignedOff:
    return SignedOff(decision.who, decision.when, decision.digest or "", decision.because, decision.left_open)


def _reason(error: Exception) -> str:
    if isinstance(error, ValidationError):
        first = error.errors()[0]
        return f"{'.'.join(str(part) for part in first['loc'])}: {first['msg']}"
    return str(error.args[0]) if error.args else "it can't be done"
