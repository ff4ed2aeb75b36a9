"""Runs -> pipes: the passes of one pipe on one axis, and each thing on it once, with every distance it was seen at.

The axis of a pipe starts where its first run began and grows along that run. A run from the other end is turned: what
it saw at d metres lies at length - d.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import combinations

from extractor.record import Observation, Record
from extractor.trade.rows import Question, furthest_m, is_trouble, keyed, named, run_of
from extractor.trade.rules import Rules
from extractor.trade.ties import Tie, find_ties


@dataclass(frozen=True, slots=True)
class Part:
    """A run as part of a pipe; `turned` where it came from the other end."""

    run: str
    turned: bool


@dataclass(frozen=True, slots=True)
class Pipe:
    """One pipe. `length_m` is its whole length where the narration settles it, `length_from` how."""

    id: str
    parts: tuple[Part, ...]
    length_m: float | None
    length_from: str
    approximate: bool = False
    ties: tuple[Tie, ...] = ()

    def place(self, run: str, distance_m: float) -> float:
        """Where on the axis a distance of one of its runs lies, metres."""
        part = next(part for part in self.parts if part.run == run)
        if not part.turned:
            return distance_m
        assert self.length_m is not None, "a turned run needs the length of the pipe"
        return self.length_m - distance_m

    def span(self, run: str, from_m: float, to_m: float | None) -> tuple[float, float]:
        """A stretch of one of its runs on the axis, low end first."""
        ends = sorted((self.place(run, from_m), self.place(run, from_m if to_m is None else to_m)))
        return ends[0], ends[1]


@dataclass(frozen=True, slots=True)
class Reading:
    """A feature as one run saw it: metres from where that run began."""

    row: str
    run: str
    from_m: float
    to_m: float | None


@dataclass(frozen=True, slots=True)
class Feature:
    """One thing on a pipe, however often it was seen: its place on the axis and each reading of it."""

    from_m: float
    to_m: float
    readings: tuple[Reading, ...]
    rows: tuple[Observation, ...] = field(repr=False)

    @property
    def keys(self) -> tuple[str, ...]:
        return tuple(reading.row for reading in self.readings)


def find_pipes(record: Record, rules: Rules) -> tuple[tuple[Pipe, ...], tuple[Question, ...]]:
    """Every run in exactly one pipe, in order of narration, and what is to be asked about them."""
    ties, questions = find_ties(record, rules)
    asked = list(questions)
    pipes: list[Pipe] = []
    placed: set[str] = set()
    for run in record.runs:
        if run.id in placed:
            continue
        parts = _walk(run.id, ties)
        placed |= {part.run for part in parts}
        own = tuple(tie for tie in ties if {tie.first, tie.second} <= {part.run for part in parts})
        pipes.append(_with_length(f"P{len(pipes) + 1}", parts, own, record, rules, asked))
    for pipe in pipes:
        asked += _contradictions(pipe, record, rules)
    return tuple(pipes), tuple(asked)


def _walk(first: str, ties: Sequence[Tie]) -> tuple[Part, ...]:
    turned = {first: False}
    waiting = [first]
    while waiting:
        run = waiting.pop(0)
        for tie in ties:
            if run in (tie.first, tie.second):
                other = tie.second if run == tie.first else tie.first
                if other not in turned:
                    turned[other] = turned[run] if tie.way == "again" else not turned[run]
                    waiting.append(other)
    return tuple(Part(run, way) for run, way in turned.items())


def _with_length(
    id: str, parts: tuple[Part, ...], ties: tuple[Tie, ...], record: Record, rules: Rules, asked: list[Question]
) -> Pipe:
    known = [(tie.length_m, tie.approximate, tie.rule, tie.quote) for tie in ties if tie.length_m is not None]
    run = run_of(record, parts[0].run)
    if len(parts) == 1 and run is not None and run.end_m is not None and run.end_reason in ("reached", "capped"):
        known.insert(0, (run.end_m, False, "the camera came to the end of it", run.quote))
    if not known:
        return Pipe(id, parts, None, "the whole length was not said", ties=ties)
    length, approximate, rule, _ = min(known, key=lambda estimate: estimate[1])
    for other, hedged, other_rule, quote in known:
        allowed = rules.tolerance("two ends of one pipe").at(length, approximate=hedged or approximate)
        if abs(other - length) > allowed:
            asked.append(
                Question(
                    "conflict",
                    f"The pipe would be {length:.2f} m ({rule}) or {other:.2f} m ({other_rule}): they differ by "
                    f"more than {allowed:.2f} m. Which one holds?",
                    " and ".join(part.run for part in parts),
                    quote,
                    tuple(part.run for part in parts),
                    "whole lengths must agree",
                )
            )
    return Pipe(id, parts, length, rule, approximate, ties)


def _contradictions(pipe: Pipe, record: Record, rules: Rules) -> Iterator[Question]:
    if pipe.length_m is None:
        return
    allowed = rules.tolerance("two ends of one pipe").at(pipe.length_m, approximate=pipe.approximate)
    runs = [run for part in pipe.parts if (run := run_of(record, part.run)) is not None]
    for run in runs:
        end = furthest_m(record, run)
        if end is not None and end > pipe.length_m + allowed:
            yield Question(
                "conflict",
                f"{run.id} went {end:.2f} m into a pipe that would be {pipe.length_m:.2f} m long. Which one holds?",
                run.id,
                run.quote,
                (run.id,),
                "no run is longer than its pipe",
            )
    stuck = [run for run in runs if run.end_reason == "could_not_pass" and run.end_m is not None]
    turned = {part.run: part.turned for part in pipe.parts}
    for one, other in combinations(stuck, 2):
        if turned[one.id] == turned[other.id] or one.end_m is None or other.end_m is None:
            continue
        overlap = one.end_m + other.end_m - pipe.length_m
        if overlap > allowed:
            yield Question(
                "conflict",
                f"{one.id} could not pass {one.end_m:.2f} m and {other.id} could not pass {other.end_m:.2f} m, yet "
                f"on a pipe of {pipe.length_m:.2f} m each passed where the other stuck. Which figure is wrong?",
                f"{one.id} and {other.id}",
                other.quote or one.quote,
                (one.id, other.id),
                "what stops the camera stops it from both sides",
            )
    yield from _denied_from_the_other_side(pipe, record, rules, allowed)


def _denied_from_the_other_side(pipe: Pipe, record: Record, rules: Rules, allowed: float) -> Iterator[Question]:
    own = {part.run for part in pipe.parts}
    rows = [(key, row) for key, row in keyed(record) if row.run in own and row.from_m is not None]
    for key, row in rows:
        if row.from_m is None or not is_trouble(row, rules) or row.outcome == "cleared":
            continue
        low, high = pipe.span(str(row.run), row.from_m, row.to_m)
        for other_key, other in rows:
            if other.polarity == "present" or other.condition != row.condition or other.run == row.run:
                continue
            if other.from_m is None or other.to_m is None:
                continue
            other_low, other_high = pipe.span(str(other.run), other.from_m, other.to_m)
            if other_low + allowed <= low and high <= other_high - allowed:
                yield Question(
                    "conflict",
                    f"{row.run} has {named(row, rules)} at {row.from_m:.2f} m; {other.run} passed that place and has "
                    "none. Which one holds?",
                    named(row, rules),
                    other.quote,
                    (key, other_key),
                    "two runs of one pipe must agree",
                )


def find_features(record: Record, pipe: Pipe, rules: Rules) -> tuple[Feature, ...]:
    """Everything present on a pipe, in order along its axis. No row is in two features, no two rows of a run in one.

    Rows of two runs are one thing where the narration says so, or where thing and condition agree and they lie within
    the tolerance of each other; the nearest pairs are joined first.
    """
    own = {part.run for part in pipe.parts}
    rows = {
        key: row
        for key, row in keyed(record)
        if row.run in own and row.from_m is not None and row.polarity == "present"
    }
    groups = {key: [key] for key in rows}
    for one, other in _matches(rows, pipe, rules):
        if groups[one] is groups[other]:
            continue
        if {rows[key].run for key in groups[one]} & {rows[key].run for key in groups[other]}:
            continue
        joined = groups[one] + groups[other]
        for key in joined:
            groups[key] = joined
    order = {part.run: number for number, part in enumerate(pipe.parts)}
    seen: set[int] = set()
    features = []
    for group in groups.values():
        if id(group) in seen:
            continue
        seen.add(id(group))
        keys = sorted(group, key=lambda key: order[str(rows[key].run)])
        readings = tuple(_reading(key, rows[key]) for key in keys)
        low, high = pipe.span(readings[0].run, readings[0].from_m, readings[0].to_m)
        features.append(Feature(low, high, readings, tuple(rows[key] for key in keys)))
    return tuple(sorted(features, key=lambda feature: (feature.from_m, feature.to_m, feature.keys)))


def _reading(key: str, row: Observation) -> Reading:
    return Reading(key, str(row.run), row.from_m or 0.0, row.to_m)


def _matches(rows: dict[str, Observation], pipe: Pipe, rules: Rules) -> Iterator[tuple[str, str]]:
    said = [tie.rows for tie in pipe.ties if tie.way == "feature" and set(tie.rows) <= set(rows)]
    yield from ((one, other) for one, other in said)
    tolerance = rules.tolerance("two ends of one pipe")
    near = []
    for (one, row), (other, second) in combinations(rows.items(), 2):
        if row.run == second.run or not _same_thing(row, second, rules):
            continue
        low, high = pipe.span(str(row.run), row.from_m or 0.0, row.to_m)
        low_2, high_2 = pipe.span(str(second.run), second.from_m or 0.0, second.to_m)
        gap = max(abs(low - low_2), abs(high - high_2))
        hedged = row.approximate or second.approximate or pipe.approximate
        if gap <= tolerance.at(max(high, high_2), approximate=hedged):
            near.append((gap, one, other))
    yield from ((one, other) for _, one, other in sorted(near))


def _same_thing(row: Observation, other: Observation, rules: Rules) -> bool:
    def thing(each: Observation) -> tuple[str | None, str | None]:
        component = None if each.component == "pipe" else each.component
        return component, each.condition if is_trouble(each, rules) else None

    (component, condition), (component_2, condition_2) = thing(row), thing(other)
    if condition != condition_2:
        return False
    if condition is None:
        return component is not None and component == component_2
    return component == component_2 or None in (component, component_2)
