"""Falls: 1 in N, per cent and mm per metre, from what was said or measured, against the published minimum.

    "about one in eighty", 100 mm, AS/NZS 3500.2  ->  1.25 %, 12.5 mm/m; the table asks 16.5: ask before calling it flat

The tables are for new work, so a fall under a minimum is a question and never a defect. Water that stands is level: a
stretch of standing water has no fall from its one end to its other, whatever lies between.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from extractor.record import Measurement, Record, Run
from extractor.trade.heard import nearest_kind
from extractor.trade.rows import Question, furthest_m, keyed, keyed_measurements, run_named
from extractor.trade.rules import Rules
from extractor.trade.tables import Code, MinimumFall, NominalSize
from extractor.trade.wording import listed

Verdict = Literal["at or over", "under", "depends", "no table", "diameter not said"]
_PAIRED = 60  # characters between a depth and the distance it was read at, at most: one breath
_ROUNDING = 0.999  # the tables round to three figures


@dataclass(frozen=True, slots=True)
class Fall:
    """A fall, kept in mm per metre. A level pipe has no "1 in N"."""

    mm_per_m: float

    @property
    def percent(self) -> float:
        return self.mm_per_m / 10

    @property
    def one_in(self) -> float | None:
        return 1000 / self.mm_per_m if self.mm_per_m else None

    def __str__(self) -> str:
        one_in = "level" if self.one_in is None else f"1 in {self.one_in:.0f}"
        return f"{one_in} ({self.percent:.2f} %, {self.mm_per_m:.1f} mm per m)"


def fall_of(value: float, unit: Literal["%", "mm/m", "ratio"]) -> Fall:
    """From a stated value; `ratio` is the N of 1 in N.

    Raises:
        ValueError: for "1 in 0".
    """
    if unit == "ratio":
        if value <= 0:
            raise ValueError("1 in N needs an N over nought")
        return Fall(1000 / value)
    return Fall(value * 10 if unit == "%" else value)


def fall_over(drop_m: float, length_m: float) -> Fall:
    """From a drop in metres over a length in metres along the pipe.

    Raises:
        ValueError: where the length is not over nought.
    """
    if length_m <= 0:
        raise ValueError("a fall needs a length over nought")
    return Fall(drop_m / length_m * 1000)


def drop_over(fall: Fall, length_m: float) -> float:
    """What a pipe of that fall drops over a length, metres."""
    return fall.mm_per_m * length_m / 1000


@dataclass(frozen=True, slots=True)
class StatedFall:
    """A fall of a run and how it compares. `minimums` are the table's lines for its size, `rule` how it was worked out.

    `level_ground` is true where it rests on depths below a surface taken to be level.
    """

    run: str | None
    fall: Fall
    approximate: bool
    diameter_mm: float | None
    size: str
    verdict: Verdict
    minimums: tuple[MinimumFall, ...]
    quote: str
    rule: str
    level_ground: bool = False


@dataclass(frozen=True, slots=True)
class Dip:
    """A stretch where water stands. `should_drop_m` is what it would drop over its length at the least fall."""

    run: str | None
    from_m: float
    to_m: float
    approximate: bool
    water_m: float | None
    water_share: float | None
    should_drop_m: float | None
    minimum: MinimumFall | None
    row: str
    quote: str
    rule: str

    @property
    def length_m(self) -> float:
        return self.to_m - self.from_m


@dataclass(frozen=True, slots=True)
class Lacking:
    """What to measure before the fall of these runs can be told."""

    runs: tuple[str, ...]
    measure: str


@dataclass(frozen=True, slots=True)
class Falls:
    """All that the record settles of falls, for one code."""

    code: Code
    stated: tuple[StatedFall, ...]
    dips: tuple[Dip, ...]
    lacking: tuple[Lacking, ...]
    questions: tuple[Question, ...]


def falls(record: Record, code: Code, rules: Rules) -> Falls:
    """Falls, dips and what to measure, in the order of the narration."""
    stated = (*_said(record, code, rules), *_from_depths(record, code, rules))
    dips = tuple(_dips(record, code, rules))
    return Falls(code, stated, dips, tuple(_lacking(record, stated, dips, rules)), tuple(_asked(stated)))


def minimum_falls(diameter_mm: float, code: Code, rules: Rules) -> tuple[str, tuple[MinimumFall, ...]]:
    """The nominal size that a diameter is sold as under a code, and the lines of its table for that size."""
    sizes = [
        size for size in rules.of(NominalSize) if code in size.codes and size.low_mm <= diameter_mm <= size.high_mm
    ]
    sizes.sort(key=lambda size: abs(size.nominal_mm - diameter_mm))
    nominal = sizes[0].nominal_mm if sizes else diameter_mm
    lines = tuple(
        line
        for line in rules.of(MinimumFall)
        if line.code == code and line.diameter_low_mm <= nominal <= line.diameter_high_mm
    )
    return (sizes[0].name if sizes else f"{diameter_mm:.0f} mm"), lines


def compared(fall: Fall, minimums: Sequence[MinimumFall]) -> Verdict:
    """Against every line of the size: "depends" where some would pass it and others not.

    A fall is compared as it is spoken of: 2 % meets 1/4 inch a foot (2.083 %), and 1 in 150 meets 6.67 mm per m.
    """
    if not minimums:
        return "no table"
    passed = [fall.mm_per_m >= (line.spoken_mm_per_m or line.mm_per_m) * _ROUNDING for line in minimums]
    if all(passed):
        return "at or over"
    return "depends" if any(passed) else "under"


def diameter_of(record: Record, run: str | None) -> float | None:
    """The diameter said of a run, mm; of the visit where only one was ever said. None where that is not settled."""
    said = [each for each in record.measurements if each.role == "diameter" and each.unit == "m"]
    own = {round(each.low * 1000, 1) for each in said if each.run == run and run is not None}
    if len(own) == 1:
        return own.pop()
    everywhere = {round(each.low * 1000, 1) for each in said}
    return everywhere.pop() if len(everywhere) == 1 and not own else None


def _compared(
    record: Record, run: str | None, code: Code, rules: Rules, fall: Fall
) -> tuple[float | None, str, Verdict, tuple[MinimumFall, ...]]:
    diameter = diameter_of(record, run)
    if diameter is None:
        return None, "", "diameter not said", ()
    size, minimums = minimum_falls(diameter, code, rules)
    return diameter, size, compared(fall, minimums), minimums


def _said(record: Record, code: Code, rules: Rules) -> Iterator[StatedFall]:
    for _, each in keyed_measurements(record):
        if each.role != "fall" or each.unit not in ("%", "mm/m", "ratio") or each.low <= 0:
            continue
        middle = fall_of((each.low + each.high) / 2, each.unit)
        comparison = _compared(record, each.run, code, rules, middle)
        yield StatedFall(each.run, middle, each.approximate, *comparison, each.quote, "said in the narration")


def _from_depths(record: Record, code: Code, rules: Rules) -> Iterator[StatedFall]:
    """From the depth of the pipe below ground at two distances of a run. The ground between is taken to be level."""
    for run in record.runs:
        depths = sorted(_depths_along(record, run, rules), key=lambda depth: depth[0])
        if len(depths) < 2:
            continue
        (near, near_depth, first), (far, far_depth, last) = depths[0], depths[-1]
        if far <= near:
            continue
        drop = far_depth - near_depth
        # which way it falls is not known where the way the camera went is not
        along = {"upstream": -drop, "downstream": drop, None: abs(drop)}[run.direction]
        fall = fall_over(along, far - near)
        quote = f"{first.quote} … {last.quote}"
        rule = f"depths of {near_depth:.2f} m at {near:.2f} m and {far_depth:.2f} m at {far:.2f} m"
        comparison = _compared(record, run.id, code, rules, fall)
        hedged = first.approximate or last.approximate
        yield StatedFall(run.id, fall, hedged, *comparison, quote, rule, level_ground=True)


def pipe_depths(record: Record, rules: Rules) -> Iterator[tuple[Run, float, float, Measurement]]:
    """(run, distance, depth below ground, measurement) of every depth of a pipe that was said with its distance."""
    for run in record.runs:
        for distance, depth, measurement in _depths_along(record, run, rules):
            yield run, distance, depth, measurement


def _depths_along(record: Record, run: Run, rules: Rules) -> Iterator[tuple[float, float, Measurement]]:
    end = furthest_m(record, run)
    chainages = [each for each in record.measurements if each.role == "chainage" and each.run == run.id]
    for each in record.measurements:
        if each.role != "depth" or each.unit != "m" or not is_pipe_depth(record, each, rules):
            continue
        depth = (each.low + each.high) / 2
        if each.run == run.id:
            near = [(gap, other) for other in chainages if (gap := _apart(each, other)) is not None]
            if near:
                gap, chainage = min(near, key=lambda pair: pair[0])
                if gap <= _PAIRED:
                    yield (chainage.low + chainage.high) / 2, depth, each
        elif each.structure is not None and each.run is None:
            if each.structure == run.start.structure and run.start.label is None:
                yield 0.0, depth, each
            elif each.structure == run.end_at and end is not None and run.end_reason == "reached":
                yield end, depth, each


def is_pipe_depth(record: Record, measurement: Measurement, rules: Rules) -> bool:
    """True where a depth is that of a pipe or an invert below ground, not of what lies in a tank."""
    kinds = {key: rules.phrases("falls", "depth", key) for key in ("pipe", "other")}
    return nearest_kind(record, measurement, kinds, reach=5) == "pipe"


def _apart(one: Measurement, other: Measurement) -> int | None:
    """Characters between two measures of one narration."""
    for a in one.evidence[:1]:
        for b in other.evidence[:1]:
            if a.source == b.source:
                return max(a.first_char - b.last_char, b.first_char - a.last_char, 0)
    return None


def _dips(record: Record, code: Code, rules: Rules) -> Iterator[Dip]:
    seen: set[tuple[str | None, float, float]] = set()
    for key, row in keyed(record):
        if row.condition not in ("standing_water", "dip") or row.polarity == "absent" or row.run is None:
            continue
        if row.from_m is None or row.to_m is None or row.to_m <= row.from_m:
            continue
        if (row.run, row.from_m, row.to_m) in seen:  # water and the dip it stands in, said of one stretch
            continue
        seen.add((row.run, row.from_m, row.to_m))
        diameter = diameter_of(record, row.run)
        water, share = _water(record, row.run, row.from_m, row.to_m, diameter)
        lines = minimum_falls(diameter, code, rules)[1] if diameter is not None else ()
        least = min(lines, key=lambda line: line.mm_per_m, default=None)
        drop = drop_over(Fall(least.mm_per_m), row.to_m - row.from_m) if least else None
        yield Dip(
            row.run,
            row.from_m,
            row.to_m,
            row.approximate,
            water,
            share,
            drop,
            least,
            key,
            row.quote,
            "standing water is level",
        )


def _water(
    record: Record, run: str, from_m: float, to_m: float, diameter_mm: float | None
) -> tuple[float | None, float | None]:
    """Depth of the water (m) and its share of the bore, where one was said of this stretch only."""
    rows = [row for row in record.observations if row.run == run and (row.from_m, row.to_m) == (from_m, to_m)]
    for each in record.measurements:
        if each.role not in ("depth", "level") or not any(_within_or_next(each, row) for row in rows):
            continue
        value = (each.low + each.high) / 2
        bore = diameter_mm / 1000 if diameter_mm else None
        if each.unit == "m":
            return value, value / bore if bore and value <= bore else None
        if each.unit == "%":
            return bore * value / 100 if bore else None, value / 100
    return None, None


def _within_or_next(measurement: Measurement, row: object) -> bool:
    evidence = getattr(row, "evidence", ())
    return any(
        a.source == b.source and b.first_char - _PAIRED <= a.first_char and a.last_char <= b.last_char + _PAIRED
        for a in measurement.evidence
        for b in evidence
    )


def _lacking(record: Record, stated: Sequence[StatedFall], dips: Sequence[Dip], rules: Rules) -> Iterator[Lacking]:
    known = {fall.run for fall in stated}
    unsaid = []
    for run in record.runs:
        name = run_named(run, rules)
        depths = list(_depths_along(record, run, rules))
        if run.id in known:
            if diameter_of(record, run.id) is None:
                say = f"{name}: the inside diameter of the pipe, to compare its fall with the table."
                yield Lacking((run.id,), say)
        elif depths:
            say = (
                f"{name}: the depth of the pipe was said at {depths[0][0]:.2f} m only. Measure the invert at a second "
                "place, the distance between, and the difference of the ground's level."
            )
            yield Lacking((run.id,), say)
        elif any(dip.run == run.id for dip in dips):
            say = f"{name}: water stands in it. Measure the invert at both ends from one level line, and the length."
            yield Lacking((run.id,), say)
        else:
            unsaid.append(run.id)
    if unsaid:
        say = (
            f"{listed(unsaid)}: no fall was said. Measure the invert at both ends from one level line, and the length."
        )
        yield Lacking(tuple(unsaid), say)


def _asked(stated: Sequence[StatedFall]) -> Iterator[Question]:
    for each in stated:
        where = each.run or "the pipe"
        if each.fall.mm_per_m < 0:
            yield Question(
                "flat_fall",
                f"By {each.rule}, {where} falls against its flow. Is the ground level, and are both depths right?",
                where,
                each.quote,
                (each.run,) if each.run else (),
                each.rule,
            )
        elif each.verdict == "under":
            least = min(each.minimums, key=lambda line: line.mm_per_m)
            yield Question(
                "flat_fall",
                f"{where} falls {each.fall}; {least.name} asks at least {least.mm_per_m:g} mm per m for new work. Is "
                "the figure right, and was the drain laid to an older rule?",
                where,
                each.quote,
                (each.run,) if each.run else (),
                least.name,
            )
