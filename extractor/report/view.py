"""What a report says, ready to be set: every sentence and number written once, for all outputs alike.

Text here is plain (no markup); each output escapes it in its own way. Typed numbers stay reachable through the record's
own rows (`Row.observation`, `RunPart.run`), for outputs that hold numbers as numbers.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from extractor.record import Action, Measurement, Observation, Query, Run


@dataclass(frozen=True)
class Fact:
    """One line of the head: `missing` where visit.toml gives nothing and a placeholder stands."""

    label: str
    value: str
    missing: bool = False


@dataclass(frozen=True)
class Moment:
    """A time in a recording: `text` is "2:13", or "rec. 2, 2:13"; "" and None where there are no times."""

    text: str = ""
    start_s: float | None = None
    end_s: float | None = None
    source: int = 0


NO_MOMENT = Moment()


@dataclass(frozen=True)
class Statement:
    """A sentence of the report with the words it rests on and their time."""

    text: str
    quote: str = ""
    moment: Moment = NO_MOMENT


@dataclass(frozen=True)
class Row:
    """One thing seen. `number` is its place in the report ("2.3"); `label` the words of the drawing."""

    observation: Observation
    number: str
    where: str
    place: str
    sentence: str
    sure: str
    left: str
    moment: Moment
    quote: str
    group: str
    label: str
    trouble: bool
    questions: tuple[str, ...] = ()
    changed: bool = False


@dataclass(frozen=True)
class RunPart:
    """One pass of the camera: told in sentences, drawn, and listed."""

    run: Run
    number: int
    title: str
    opening: str
    summary: tuple[str, ...]
    ending: str
    unseen: str
    rows: tuple[Row, ...]
    measures: tuple[str, ...]
    feet: bool
    moment: Moment


@dataclass(frozen=True)
class PlacePart:
    """A tank, box, pit or other place that was looked at from outside the pipe."""

    title: str
    rows: tuple[Row, ...]
    measures: tuple[str, ...]


@dataclass(frozen=True)
class Work:
    """Something done in the visit."""

    action: Action
    sentence: str
    where: str
    result: str
    moment: Moment
    quote: str


@dataclass(frozen=True)
class BeforeAfter:
    """A trouble that work changed: as found, what was done (as far as the words tell), as left."""

    where: str
    found: str
    done: str
    left: str


@dataclass(frozen=True)
class Reading:
    """A measured value that stands."""

    measurement: Measurement
    text: str
    what: str
    where: str
    moment: Moment
    quote: str


@dataclass(frozen=True)
class Question:
    """What is still to be decided by a person."""

    query: Query
    reason: str
    text: str
    row: str
    moment: Moment
    quote: str


@dataclass(frozen=True)
class Correction:
    """A word that the speaker took back, and what was put in its place."""

    withdrawn: str
    kept: str
    moment: Moment
    quote: str


@dataclass(frozen=True)
class Change:
    """A reviewer's decision."""

    what: str
    who: str
    when: str
    quote: str = ""
    row: str = ""
    changed: bool = True  # false where the row was looked at and left as it was


@dataclass(frozen=True)
class SignOff:
    """Who stands for the report. `reason` is why it was signed with questions open, where it was."""

    by: str
    when: str
    reason: str = ""
    digest: str = ""
    left_open: int = 0


@dataclass(frozen=True)
class Table:
    """A table of text. `caption` says what it shows."""

    caption: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class Section:
    """Paragraphs, tables and notes of sources under a title, made elsewhere and set as they are.

    `group` is the part of the report it belongs to: next (what to do), figures, or cautions.
    """

    title: str
    group: str = "figures"
    paragraphs: tuple[str, ...] = ()
    tables: tuple[Table, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Extras:
    """What is plugged into the report: the next steps for the front page, whole sections, files beside it."""

    next_steps: tuple[Statement, ...] = ()
    sections: tuple[Section, ...] = ()
    files: tuple[tuple[str, bytes], ...] = ()


@dataclass(frozen=True)
class Answer:
    """The front page: what it comes to. Each list is short; `remains_more` counts what is told only further on."""

    trouble: tuple[Statement, ...]
    done: tuple[str, ...]
    remains: tuple[str, ...]
    remains_more: int
    unseen: tuple[str, ...]
    next_steps: tuple[Statement, ...]


@dataclass(frozen=True)
class RecordingFact:
    """A recording the report rests on."""

    name: str
    length: str
    sha256: str


@dataclass(frozen=True)
class ReportView:
    """The whole report, in the order in which it is read."""

    title: str
    subtitle: str
    draft: str
    sign_off: SignOff | None
    facts: tuple[Fact, ...]
    answer: Answer
    runs: tuple[RunPart, ...]
    places: tuple[PlacePart, ...]
    work: tuple[Work, ...]
    before_after: tuple[BeforeAfter, ...]
    readings: tuple[Reading, ...]
    questions: tuple[Question, ...]
    corrections: tuple[Correction, ...]
    mendings: tuple[str, ...]
    changes: tuple[Change, ...]
    notes: tuple[str, ...]
    limits: tuple[str, ...]
    extras: Extras
    recordings: tuple[RecordingFact, ...]
    feet: bool
    made_by: str
    firm: str
    day: str
    date_iso: str

    def all_rows(self) -> Iterator[Row]:
        """Every row, in the order of the report."""
        for run in self.runs:
            yield from run.rows
        for place in self.places:
            yield from place.rows
