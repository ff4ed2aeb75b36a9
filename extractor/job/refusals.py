"""What can't be decided, and why: told before anything is written.

What the extractor read is believed as far as it goes; a reviewer may change it, but not into what contradicts itself.
"""

from collections.abc import Iterator

from extractor.errors import DecisionError
from extractor.job.apply import ReviewedRecord, apply_decisions
from extractor.job.decisions import Decision, Deed
from extractor.job.naming import Row, rows_of
from extractor.lexicon.load import Lexicon
from extractor.record import Measurement, Observation, Record, Run

SLACK_M = 0.05  # a counter read twice differs by more than this
LONGEST_DRAIN_M = 2000  # no push rod goes so far; a larger number is a slip of the finger
_KINDS_OF_ID = {
    "condition": ("condition",),
    "component": ("component", "fixture", "structure"),
    "structure": ("structure", "fixture"),
    "action": ("action",),
    "target": ("structure", "component", "fixture"),
    "end_at": ("structure", "component", "fixture"),
    "start.structure": ("structure", "fixture", "component"),
}


def after(reviewed: ReviewedRecord, deed: Deed) -> ReviewedRecord:
    """The record as it would be after the deed."""
    seen = tuple(decision.id for decision in reviewed.decisions)
    trial = Decision(**deed.model_dump(exclude_unset=True), id="f" * 16, when="9999", who="?", seen=seen)
    return apply_decisions(reviewed.extracted, (*reviewed.decisions, trial))


def refuse(reviewed: ReviewedRecord, deed: Deed, lexicon: Lexicon | None = None) -> None:
    """Do nothing where the deed can be taken.

    Raises:
        DecisionError: saying what is wrong with it.
    """
    if lexicon is not None:
        _refuse_unknown_ids(deed, lexicon)
    if deed.kind in ("undo", "sign"):
        return
    result = after(reviewed, deed)
    trial = "f" * 16
    for query, decisions in result.raised.items():
        if any(decision.id == trial for decision in decisions):
            words = next(each.question for each in result.record.queries if each.id == query)
            why = words.split(", but ")[-1].removesuffix(" What now?")
            raise DecisionError(f"that can't be done: {why}")
    known = set(contradictions(reviewed.record))
    for contradiction in contradictions(result.record):
        if contradiction not in known:
            raise DecisionError(contradiction)


def contradictions(record: Record) -> Iterator[str]:
    """What does not fit together in the rows, each as a sentence."""
    rows = rows_of(record)
    for row in rows.values():
        yield from _of_row(row, rows)


def _of_row(row: Row, rows: dict[str, Row]) -> Iterator[str]:
    if isinstance(row, Run):
        if row.end_m is not None and not 0 <= row.end_m <= LONGEST_DRAIN_M:
            yield f"{row.id} can't end at {row.end_m:g} m."
        return
    if isinstance(row, Measurement) and row.low > row.high:
        yield f"{row.id} can't go from {row.low:g} down to {row.high:g}."
    if not isinstance(row, Observation):
        return
    if not (row.condition or row.component or row.structure):
        yield f"{row.id} says nothing: a row needs what was seen, or on what."
    for name, value in (("from", row.from_m), ("to", row.to_m)):
        if value is not None and not 0 <= value <= LONGEST_DRAIN_M:
            yield f"{row.id} can't lie at {value:g} m ({name})."
    if row.to_m is not None and row.from_m is None:
        yield f"{row.id} has an end ({row.to_m:g} m) and no beginning."
    if row.from_m is not None and row.to_m is not None and row.to_m < row.from_m - SLACK_M:
        yield f"{row.id} can't go from {row.from_m:g} m back to {row.to_m:g} m."
    if row.from_m is not None and row.run is None:
        yield f"{row.id} has a distance and no run to measure it along."
    if row.clock is not None and not all(1 <= hour <= 12 for hour in row.clock):
        yield f"{row.id}: a clock has the hours 1 to 12."
    if row.count is not None and row.count < 0:
        yield f"{row.id} can't be there {row.count} times."
    run = rows.get(row.run or "")
    furthest = max((value for value in (row.from_m, row.to_m) if value is not None), default=None)
    if isinstance(run, Run) and run.end_m is not None and furthest is not None and furthest > run.end_m + SLACK_M:
        yield (
            f"{row.id} can't lie at {furthest:g} m: {run.id} ended at {run.end_m:g} m. "
            f"If the camera went further, change where {run.id} ended first."
        )


def _refuse_unknown_ids(deed: Deed, lexicon: Lexicon) -> None:
    for name, value in deed.sets.items():
        kinds = _KINDS_OF_ID.get(name)
        if kinds and isinstance(value, str) and not any(lexicon.entry(kind, value) for kind in kinds):
            raise DecisionError(
                f"{value!r} is no {kinds[0]} that the lexicon knows.", todo=f"Look it up: rodnote lexicon find {value}"
            )
