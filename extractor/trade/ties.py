"""Which runs are one pipe: what the narration says that ties two passes together.

    R1 from the tank, stopped at 6 m; R2 from the box, "same junction from the other side" at 2 m, seen at 4 m in R1
    ->  one pipe of 4 + 2 = 6 m

Only what was said ties: a run that reached where the other began, one feature seen from both sides, a stated whole
length, or "back in the same line". Two runs that merely could be one pipe become a question.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations
from typing import Literal

from extractor.record import Measurement, Observation, Record, Run
from extractor.trade.heard import has_phrase, text_round
from extractor.trade.rows import Question, keyed, keyed_measurements, named
from extractor.trade.rules import Rules

Way = Literal["reached", "feature", "total", "again"]
_OPPOSITE = {"upstream": "downstream", "downstream": "upstream"}


@dataclass(frozen=True, slots=True)
class Tie:
    """`first` and `second` are runs of one pipe (the same run where only its whole length was said).

    `length_m` is the whole length that follows, from where `first` began; None for a second look from the same opening.
    `rows` are the rows it rests on, two for a feature seen from both sides.
    """

    first: str
    second: str
    way: Way
    length_m: float | None
    approximate: bool
    quote: str
    rows: tuple[str, ...] = ()

    @property
    def rule(self) -> str:
        return {
            "reached": "the camera reached the opening where the other run began",
            "feature": "one thing seen from both sides",
            "total": "the whole length was said",
            "again": "the same line was looked at again",
        }[self.way]


def find_ties(record: Record, rules: Rules) -> tuple[tuple[Tie, ...], tuple[Question, ...]]:
    """Ties in order of strength, and questions where one could not be settled."""
    questions: list[Question] = []
    ties = [*_reached(record), *_features(record, rules, questions), *_totals(record, rules), *_again(record, rules)]
    questions += _perhaps_one_pipe(record, ties)
    return tuple(ties), tuple(questions)


def facing(one: Run, other: Run) -> bool:
    """True where two runs could come towards each other: opposite ways, from different openings, by fitting ports."""
    if one.direction is None or other.direction is None or other.direction != _OPPOSITE[one.direction]:
        return False
    if (one.start.structure, one.start.label) == (other.start.structure, other.start.label):
        return False
    for run, far in ((one, other), (other, one)):
        if run.start.port not in (None, "outlet" if run.direction == "downstream" else "inlet"):
            return False
        if run.end_reason in ("reached", "capped") and run.end_at != far.start.structure:
            return False
    return one.start.structure is not None and other.start.structure is not None


def _reached(record: Record) -> Iterator[Tie]:
    for run in record.runs:
        if run.end_reason != "reached" or run.end_m is None or run.end_at is None:
            continue
        there = [
            other
            for other in record.runs
            if other.id != run.id and other.start.structure == run.end_at and facing(run, other)
        ]
        if len(there) == 1:
            quote = run.quote or there[0].quote
            yield Tie(run.id, there[0].id, "reached", run.end_m, approximate=False, quote=quote)


def _features(record: Record, rules: Rules, questions: list[Question]) -> Iterator[Tie]:
    order = {run.id: number for number, run in enumerate(record.runs)}
    placed = [(key, row) for key, row in keyed(record) if row.run in order and row.from_m is not None]
    for key, row in placed:
        if not _called_the_same(record, row, rules):
            continue
        before = [
            (other_key, other)
            for other_key, other in placed
            if order[str(other.run)] < order[str(row.run)]
            and _alike(row, other)
            and facing(record.runs[order[str(other.run)]], record.runs[order[str(row.run)]])
        ]
        if len(before) == 1:
            other_key, other = before[0]
            length = _far_end(row) + _far_end(other)
            hedged = row.approximate or other.approximate
            yield Tie(str(other.run), str(row.run), "feature", length, hedged, row.quote, (other_key, key))
        elif before:
            what = named(row, rules)
            questions.append(
                Question(
                    "which_one",
                    f"Which {what} seen before is the one seen here from the other side?",
                    what,
                    row.quote,
                    (key, *(other_key for other_key, _ in before)),
                    "one thing seen from both sides",
                )
            )


def _far_end(row: Observation) -> float:
    return row.from_m or 0.0


def _called_the_same(record: Record, row: Observation, rules: Rules) -> bool:
    text = text_round(record, row, before=3, after=6)
    return has_phrase(text, rules.phrases("coverage", "same_feature", "cues")) or (
        has_phrase(text, rules.phrases("coverage", "same_feature", "sides"))
        and has_phrase(text, rules.phrases("coverage", "same_feature", "with"))
    )


def _alike(row: Observation, other: Observation) -> bool:
    if row.to_m is not None or other.to_m is not None or "absent" in (row.polarity, other.polarity):
        return False
    if row.component and row.component != "pipe":
        return row.component == other.component
    return row.condition is not None and row.condition == other.condition


def _totals(record: Record, rules: Rules) -> Iterator[Tie]:
    cues = rules.phrases("coverage", "total", "cues")
    for key, measurement in keyed_measurements(record):
        if measurement.unit != "m" or measurement.role not in ("surface", "length"):
            continue
        text = text_round(record, measurement, before=10, after=10)
        if has_phrase(text, cues):
            ends = _ends_of(record, measurement, text, rules)
            if ends is not None:
                length = (measurement.low + measurement.high) / 2
                hedged = measurement.approximate or measurement.role == "surface"
                yield Tie(*ends, "total", length, hedged, measurement.quote, (key,))


def _ends_of(record: Record, measurement: Measurement, text: str, rules: Rules) -> tuple[str, str] | None:
    """The two runs that a stated length lies between, or one run twice; None where the words do not settle it."""
    spoken = {entry.id: entry.spoken for entry in rules.lexicon.of_kind("structure", "fixture")}

    def said(structure: str | None) -> bool:
        return structure is not None and has_phrase(text, (*spoken.get(structure, ()), structure.replace("_", " ")))

    pairs = [(one, other) for one, other in combinations(record.runs, 2) if facing(one, other)]
    both = [pair for pair in pairs if said(pair[0].start.structure) and said(pair[1].start.structure)]
    if not both and measurement.role == "surface":
        both = [pair for pair in pairs if measurement.run in (pair[0].id, pair[1].id)]
    if len(both) == 1:
        return both[0][0].id, both[0][1].id
    if both:
        return None
    for run in record.runs:
        if run.id == measurement.run and (
            measurement.role == "surface" or (said(run.start.structure) and said(run.end_at))
        ):
            return run.id, run.id
    return None


def _again(record: Record, rules: Rules) -> Iterator[Tie]:
    cues = rules.phrases("coverage", "same_line", "cues")
    for first, second in combinations(record.runs, 2):
        if first.start.structure is None or first.direction != second.direction:
            continue
        same_opening = (first.start.structure, first.start.port) == (second.start.structure, second.start.port)
        if not same_opening or first.start.label != second.start.label:
            continue
        if first.start.label is not None or has_phrase(text_round(record, second, before=4, after=4), cues):
            yield Tie(first.id, second.id, "again", None, approximate=False, quote=second.quote)


def _perhaps_one_pipe(record: Record, ties: list[Tie]) -> Iterator[Question]:
    tied = {frozenset((tie.first, tie.second)) for tie in ties}
    pairs = [
        (one, other)
        for one, other in combinations(record.runs, 2)
        if facing(one, other) and "reached" not in (one.end_reason, other.end_reason)
    ]
    for one, other in pairs:
        alone = sum(one in pair or other in pair for pair in pairs) == 1
        if alone and frozenset((one.id, other.id)) not in tied:
            yield Question(
                "same_pipe",
                f"Are {one.id} and {other.id} one pipe seen from its two ends? If so, how long is it, or what was seen "
                "from both sides?",
                f"{one.id} and {other.id}",
                other.quote or one.quote,
                (one.id, other.id),
                "two runs towards each other",
            )
