"""Rows of the record as the trade's arithmetic sees them: a key for each, what it is of, where it lies."""

from collections.abc import Iterator
from dataclasses import dataclass

from extractor.record import Measurement, Observation, Quoted, Record, Run
from extractor.trade.rules import Rules


@dataclass(frozen=True, slots=True)
class Question:
    """What a person must decide before a figure of this package can stand. `rows` are keys of rows and ids of runs.

    `reason` is one of the record's own where it fits: "conflict" (two figures that can't both stand), "which_one"; else
    "same_pipe" (whether two runs are one pipe), "flat_fall" (a fall under a published minimum).
    """

    reason: str
    question: str
    about: str
    quote: str
    rows: tuple[str, ...]
    rule: str


def keyed(record: Record) -> Iterator[tuple[str, Observation]]:
    """Each observation with its id, or with its number where it has none."""
    for number, row in enumerate(record.observations, 1):
        yield row.id or f"O{number}", row


def keyed_measurements(record: Record) -> Iterator[tuple[str, Measurement]]:
    for number, measurement in enumerate(record.measurements, 1):
        yield measurement.id or f"M{number}", measurement


def run_of(record: Record, id: str | None) -> Run | None:
    return next((run for run in record.runs if run.id == id), None)


def furthest_m(record: Record, run: Run) -> float | None:
    """How far the camera is known to have got: the run's end, else the furthest distance said in it, else None."""
    if run.end_m is not None:
        return run.end_m
    said = [
        metres
        for row in record.observations
        if row.run == run.id
        for metres in (row.from_m, row.to_m)
        if metres is not None
    ]
    said += [each.high for each in record.measurements if each.run == run.id and each.role == "chainage"]
    return max(said, default=None)


def stopped_the_camera(record: Record, row: Observation, rules: Rules) -> bool:
    """True where the finding lies where the camera could not go on."""
    run = run_of(record, row.run)
    if run is None or run.end_reason != "could_not_pass" or run.end_m is None or row.polarity == "absent":
        return False
    place = row.to_m if row.to_m is not None else row.from_m
    if place is None:
        return False
    allowed = rules.tolerance("where the camera stopped").at(run.end_m, approximate=row.approximate)
    return abs(place - run.end_m) <= allowed


def is_trouble(row: Observation, rules: Rules) -> bool:
    """True for a condition that is present and neither in order nor merely noted."""
    harmless = (*rules.phrases("coverage", "conditions", "fine"), *rules.phrases("coverage", "conditions", "noted"))
    return row.polarity == "present" and row.condition is not None and row.condition not in harmless


def within(part: Quoted, whole: Quoted) -> bool:
    """True where the words of one row lie inside those of another."""
    return any(
        inner.source == outer.source and outer.first_char <= inner.first_char and inner.last_char <= outer.last_char
        for inner in part.evidence
        for outer in whole.evidence
    ) or (not part.evidence and bool(part.quote) and part.quote in whole.quote)


def named(row: Observation, rules: Rules) -> str:
    """What a row is, in plain words: "roots, joint"; "junction"."""
    parts = [row.condition, row.component if row.component != "pipe" else None]
    return ", ".join(rules.label(part) for part in parts if part) or "pipe"


def run_named(run: Run, rules: Rules) -> str:
    """Where the camera went in and which way: "R1, septic tank inlet, upstream"."""
    opening = " ".join(part for part in (rules.label(run.start.structure), run.start.label, run.start.port) if part)
    return ", ".join(part for part in (run.id, opening or "opening not said", run.direction) if part)
