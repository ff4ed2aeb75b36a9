"""The coverage ledger of each run and each pipe: what was seen, said to be clear, found, and never seen (and why).

A ledger cuts its axis into stretches that touch and never overlap, so that their lengths add up to the whole: what is
counted once cannot be counted again. Where two things are said of one stretch, the graver one has it: not seen, then a
finding, then cleared on the day, then said to be clear, then passed without a word.
"""

from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from extractor.record import EndReason, Observation, Record
from extractor.trade.pipes import Feature, Pipe, find_features, find_pipes
from extractor.trade.rows import Question, furthest_m, is_trouble, keyed, run_of
from extractor.trade.rules import Rules

Kind = Literal["not_seen", "finding", "cleared", "clear", "seen"]
_GRAVEST_FIRST: tuple[Kind, ...] = ("not_seen", "finding", "cleared", "clear", "seen")
_WHY: dict[EndReason | None, str] = {
    "could_not_pass": "the camera could not pass",
    "cable_limit": "the cable would go no further",
    "stopped": "the camera was stopped there",
    "reached": "the run ended there",
    "capped": "the pipe is capped there",
    None: "why the run ended was not said",
}


@dataclass(frozen=True, slots=True)
class Stretch:
    """A piece of the axis, metres. `rows` are the rows that made it so, `why` the reason where it was not seen."""

    from_m: float
    to_m: float
    kind: Kind
    rows: tuple[str, ...] = ()
    why: str = ""

    @property
    def length_m(self) -> float:
        return self.to_m - self.from_m


@dataclass(frozen=True, slots=True)
class Clear:
    """A stretch said to be free of `of` (a condition id), or in order where `of` is "sound" or "dry"."""

    of: str
    component: str | None
    from_m: float
    to_m: float
    row: str


@dataclass(frozen=True, slots=True)
class Ledger:
    """What was seen of one run or pipe. Lengths in metres; `length_m` None where no distance was said at all.

    `length_settled` is false where the far end is not known: then `beyond` says why nothing past `length_m` was seen.
    `points` are findings at one place, which have no length; `unplaced` are rows with no distance.
    """

    id: str
    runs: tuple[str, ...]
    length_m: float | None
    length_settled: bool
    length_from: str
    stretches: tuple[Stretch, ...] = ()
    clear: tuple[Clear, ...] = ()
    points: tuple[str, ...] = ()
    unplaced: tuple[str, ...] = ()
    beyond: str = ""
    overlap_m: float = 0.0
    unseen_middle_m: float = 0.0
    features: tuple[Feature, ...] = ()

    def metres(self, *kinds: Kind) -> float:
        """The length of all stretches of these kinds."""
        return sum(stretch.length_m for stretch in self.stretches if stretch.kind in kinds)

    @property
    def seen_m(self) -> float:
        return self.metres("finding", "cleared", "clear", "seen")

    @property
    def not_seen_m(self) -> float:
        return self.metres("not_seen")


@dataclass(frozen=True, slots=True)
class Coverage:
    """The ledgers of a visit, and what is to be asked before they can be relied on."""

    runs: tuple[Ledger, ...]
    pipes: tuple[Ledger, ...]
    questions: tuple[Question, ...]


def coverage(record: Record, rules: Rules) -> Coverage:
    """The ledgers of a record."""
    pipes, questions = find_pipes(record, rules)
    of_pipes = tuple(_ledger(record, pipe, rules, pipe.id) for pipe in pipes)
    of_runs = tuple(_ledger(record, _alone(record, run.id, pipes), rules, run.id) for run in record.runs)
    return Coverage(of_runs, of_pipes, questions)


def _alone(record: Record, run: str, pipes: tuple[Pipe, ...]) -> Pipe:
    """A run as a pipe of its own, on its own axis. Its pipe's whole length is taken over."""
    pipe = next(pipe for pipe in pipes if any(part.run == run for part in pipe.parts))
    part = next(part for part in pipe.parts if part.run == run)
    own = type(part)(run, turned=False)
    return Pipe(run, (own,), pipe.length_m, pipe.length_from, pipe.approximate)


@dataclass(frozen=True, slots=True)
class _Mark:
    low: float
    high: float
    kind: Kind
    row: str = ""
    why: str = ""


def _ledger(record: Record, pipe: Pipe, rules: Rules, id: str) -> Ledger:
    runs = tuple(part.run for part in pipe.parts)
    ends = {
        part.run: end
        for part in pipe.parts
        if (run := run_of(record, part.run)) is not None and (end := furthest_m(record, run)) is not None
    }
    rows = [(key, row) for key, row in keyed(record) if row.run in runs]
    unplaced = tuple(key for key, row in rows if row.from_m is None)
    if not ends:
        return Ledger(id, runs, None, False, "no distance was said", unplaced=unplaced, beyond="no distance was said")
    passed = {run: pipe.span(run, 0.0, end) for run, end in ends.items()}
    far = max(high for _, high in passed.values())
    length = far if pipe.length_m is None else max(far, pipe.length_m)
    marks, clear, points = _marks(rows, pipe, rules, length)
    last = run_of(record, max(passed, key=lambda run: passed[run][1]))
    why = _WHY[last.end_reason if last else None]
    turned = [run for run in passed if next(part.turned for part in pipe.parts if part.run == run)]
    reach = max((passed[run][1] for run in passed if run not in turned), default=0.0)
    back = min((passed[run][0] for run in turned), default=length)
    settled = pipe.length_m is not None
    return Ledger(
        id=id,
        runs=runs,
        length_m=length,
        length_settled=settled,
        length_from=pipe.length_from,
        stretches=_cut(length, tuple(passed.values()), marks, _why_unseen(record, pipe, passed)),
        clear=clear,
        points=points,
        unplaced=unplaced,
        beyond="" if settled else f"{why}, so nothing past {far:.2f} m was seen",
        overlap_m=max(0.0, min(length, reach) - max(0.0, back)) if turned else 0.0,
        unseen_middle_m=max(0.0, back - reach) if turned else 0.0,
        features=find_features(record, pipe, rules),
    )


def _why_unseen(record: Record, pipe: Pipe, passed: dict[str, tuple[float, float]]) -> str:
    reasons = []
    for part in pipe.parts:
        run = run_of(record, part.run)
        if run is not None and part.run in passed:
            reasons.append(f"{part.run}: {_WHY[run.end_reason]}")
    return "; ".join(reasons)


def _marks(
    rows: list[tuple[str, Observation]], pipe: Pipe, rules: Rules, length: float
) -> tuple[list[_Mark], tuple[Clear, ...], tuple[str, ...]]:
    fine = rules.phrases("coverage", "conditions", "fine")
    hidden = rules.phrases("coverage", "conditions", "hidden")
    marks: list[_Mark] = []
    clear: list[Clear] = []
    points: list[str] = []
    for key, row in rows:
        if row.from_m is None:
            continue
        low, high = (min(max(end, 0.0), length) for end in pipe.span(str(row.run), row.from_m, row.to_m))
        if row.polarity == "absent" or row.condition in fine:
            if row.condition is not None and high > low:
                clear.append(Clear(row.condition, row.component, low, high, key))
                marks.append(_Mark(low, high, "clear", key))
        elif is_trouble(row, rules):
            if high <= low:
                points.append(key)
            elif row.condition in hidden:
                marks.append(
                    _Mark(low, high, "not_seen", key, f"{rules.label(row.condition)}: the lens was under water")
                )
            else:
                marks.append(_Mark(low, high, "cleared" if row.outcome == "cleared" else "finding", key))
    return marks, tuple(clear), tuple(points)


def _cut(
    length: float, passed: tuple[tuple[float, float], ...], marks: list[_Mark], why_unseen: str
) -> tuple[Stretch, ...]:
    """Stretches from 0 to `length` that touch and never overlap; neighbours of one kind and one cause are one."""
    cuts = sorted({0.0, length, *(end for span in (*passed, *((m.low, m.high) for m in marks)) for end in span)})
    cuts = [cut for cut in cuts if 0.0 <= cut <= length]
    stretches: list[Stretch] = []
    for low, high in pairwise(cuts):
        here = [mark for mark in marks if mark.low <= low and high <= mark.high]
        if not any(start <= low and high <= end for start, end in passed):
            piece = Stretch(low, high, "not_seen", why=why_unseen)
        else:
            kinds = {mark.kind for mark in here}
            kind: Kind = next((kind for kind in _GRAVEST_FIRST if kind in kinds), "seen")
            own = [mark for mark in here if mark.kind == kind]
            piece = Stretch(low, high, kind, tuple(mark.row for mark in own), "; ".join(m.why for m in own if m.why))
        last = stretches[-1] if stretches else None
        if last and (last.kind, last.rows, last.why) == (piece.kind, piece.rows, piece.why):
            stretches[-1] = Stretch(last.from_m, piece.to_m, piece.kind, piece.rows, piece.why)
        else:
            stretches.append(piece)
    return tuple(stretches)
