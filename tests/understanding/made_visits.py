"""Visits made at random, and the record that each must come to. How one is told is in `telling`.

`Pick` chooses one of several: hypothesis or a seeded generator stands behind it. All lengths are metres here; a visit
in feet has lengths that are whole half feet or feet and inches.
"""

import tomllib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Protocol, TypeVar

from extractor.record import (
    Action,
    Conclusion,
    Measurement,
    Observation,
    Query,
    Record,
    Run,
    RunStart,
    SpokenCorrection,
)

BANK: dict[str, Any] = tomllib.loads((Path(__file__).parent / "phrases.toml").read_text("utf-8"))
FOOT_M = 0.3048
T = TypeVar("T")


class Pick(Protocol):
    def __call__(self, options: Sequence[T], /) -> T: ...


@dataclass(frozen=True)
class Thing:
    """What is seen: a condition, or a feature where `condition` is None or "sound"."""

    condition: str | None
    component: str | None = None
    extent: str | None = None
    clock: tuple[int, int] | None = None
    tentative: bool = False


@dataclass(frozen=True)
class Item:
    """`kind`: point, stretch, nowhere, denied_here, denied_so_far, cleared, partly. `withdrawn` was taken back."""

    kind: str
    things: tuple[Thing, ...]
    at: float | None = None
    to: float | None = None
    approximate: bool = False
    withdrawn: float | None = None


@dataclass(frozen=True)
class Pass:
    """One run of the camera. `end_at` is a place, `denied` what the whole line is free of."""

    structure: str
    port: str | None
    direction: str
    items: tuple[Item, ...]
    end: float
    reason: str
    end_at: str | None = None
    denied: tuple[str, ...] = ()


@dataclass(frozen=True)
class Visit:
    passes: tuple[Pass, ...]
    feet: bool
    main_issue: str | None = None


PORTS = (("septic_tank", "inlet"), ("septic_tank", "outlet"), ("distribution_box", "outlet"), ("grease_trap", "outlet"))
OPENINGS = ("gully", "manhole", "inspection_opening", "inspection_chamber", "boundary_trap")
FIXTURES = ("toilet",)
ENDS = {"upstream": ("toilet", "basin", "shower", "sink", "gully"), "downstream": ("main", "boundary_trap", "soakaway")}
REASONS = ("reached", "reached", "reached", "could_not_pass", "cable_limit", "capped", "stopped")
DENIED_SO_FAR = (("attached_deposit",), ("fracture", "hole"), ("hole",))
CLOCKS: dict[str, tuple[tuple[int, int] | None, ...]] = {
    "junction": (None, (3, 3), (9, 9), (10, 10)),
    "crack": (None, None, (12, 12), (6, 6), (9, 3), (10, 2)),
    "root_intrusion": (None, None, (12, 12), (6, 6)),
    "hole": (None, None, (12, 12), (6, 6)),
}
STOPPERS = ("root_intrusion", "settled_deposit", "obstruction", "break")


def make_visit(pick: Pick) -> Visit:
    feet = pick((False, False, True))
    passes = tuple(_pass(pick, feet) for _ in range(pick((1, 1, 1, 2, 2, 3))))
    seen = [t.condition for p in passes for i in p.items if i.kind == "point" for t in i.things if _is_defect(t)]
    main_issue = pick((None, None, pick(seen))) if seen else None
    return Visit(passes, feet, main_issue)


def _is_defect(thing: Thing) -> bool:
    return thing.condition not in (None, "sound") and not thing.tentative


def _seen(condition: str) -> dict[str, Any]:
    found: dict[str, Any] = next(entry for entry in BANK["seen"] if entry["condition"] == condition)
    return found


def _pass(pick: Pick, feet: bool) -> Pass:
    structure, port, direction = _start(pick)
    at = 0.0
    items: list[Item] = []
    for _ in range(pick((1, 2, 2, 3, 3, 4))):
        item, at = _item(pick, at, feet, _conditions(items))
        items.append(item)
    reason = pick(REASONS)
    end = _on(pick, at, feet)
    if reason == "could_not_pass":
        stopper = Thing(pick(STOPPERS), extent=None)
        items.append(Item("point", (stopper,), end))
    place = pick([place for place in ENDS[direction] if place != structure]) if reason == "reached" else None
    present = _conditions(items)
    free = [c for c in ("root_intrusion", "crack", "grease", "break") if c not in present and _never_denied(items, c)]
    denied = tuple(free[:2]) if reason == "reached" and len(free) > 1 and pick((True, False)) else ()
    return Pass(structure, port, direction, tuple(items), end, reason, place, denied)


def _conditions(items: Sequence[Item]) -> set[str | None]:
    return {thing.condition for item in items for thing in item.things if not item.kind.startswith("denied")}


def _never_denied(items: Sequence[Item], condition: str) -> bool:
    return not any(thing.condition == condition for item in items for thing in item.things)


def _start(pick: Pick) -> tuple[str, str | None, str]:
    kind = pick(("port", "opening", "opening", "fixture"))
    if kind == "port":
        structure, port = pick(PORTS)
        return structure, port, "upstream" if port == "inlet" else "downstream"
    if kind == "fixture":
        return pick(FIXTURES), None, "downstream"
    return pick(OPENINGS), None, pick(("upstream", "downstream"))


def _on(pick: Pick, at: float, feet: bool) -> float:
    """The next reading, further on."""
    if feet:
        inches = round(at / FOOT_M * 12) + 12 * pick((2, 3, 4, 5)) - pick((0, 0, 2, 6))
        return round(inches / 12 * FOOT_M, 6)
    return round(at + pick((0.4, 0.7, 1.0, 1.3, 1.5, 1.85, 2.2)), 2)


def _item(pick: Pick, at: float, feet: bool, seen: set[str | None]) -> tuple[Item, float]:
    kind = pick(
        (
            "point",
            "point",
            "point",
            "point",
            "point",
            "stretch",
            "nowhere",
            "denied_here",
            "denied_so_far",
            "cleared",
            "partly",
        )
    )
    start = _on(pick, at, feet)
    if kind == "stretch":
        end = _on(pick, start, feet)
        entry = pick([entry for entry in BANK["seen"] if entry.get("lies")])
        return Item(kind, (_graded(pick, entry),), start, end), end
    if kind == "nowhere":
        return Item(kind, (_graded(pick, pick(BANK["seen"])),)), at
    if kind == "denied_here":
        return Item(kind, (Thing(pick(("root_intrusion", "crack", "infiltration"))),), start), start
    if kind == "denied_so_far" and (free := [each for each in DENIED_SO_FAR if not seen & set(each)]):
        return Item(kind, tuple(Thing(condition) for condition in pick(free)), start), start
    if kind in ("cleared", "partly"):
        entry = pick([entry for entry in BANK["seen"] if entry.get("clears")])
        return Item(kind, (_graded(pick, entry),), start), start
    approximate = pick((False, False, False, True))
    wrong = None if approximate or pick((True, True, True, True, False)) else _on(pick, start, feet)
    return Item("point", (_thing(pick),), start, None, approximate, wrong), start


def _graded(pick: Pick, entry: dict[str, Any]) -> Thing:
    return Thing(entry["condition"], entry.get("on"), pick([None, *entry["extent"]]))


def _thing(pick: Pick) -> Thing:
    if pick((True, False, False)):
        feature = pick(BANK["feature"])["component"]
        sound = pick((True, False))
        return Thing("sound" if sound else None, feature, clock=None if sound else _clock(pick, feature))
    entry = pick(BANK["seen"])
    thing = _graded(pick, entry)
    if entry["part"] and pick((True, False)):
        thing = replace(thing, component=pick(entry["part"]))
    if pick((True, False, False, False)):
        return replace(thing, tentative=True)
    return replace(thing, clock=_clock(pick, thing.condition))


def _clock(pick: Pick, what: str | None) -> tuple[int, int] | None:
    return pick(CLOCKS.get(what or "", (None,)))


# --- what it must come to -------------------------------------------------------------------


def record_of_visit(visit: Visit) -> Record:
    """The record, its quotes left empty."""
    runs: list[Run] = []
    rows: list[Observation] = []
    values: list[Measurement] = []
    actions, corrections, queries = [], [], []
    for number, one in enumerate(visit.passes, 1):
        id = f"R{number}"
        start = RunStart(structure=one.structure, port=one.port)  # type: ignore[arg-type]
        runs.append(
            Run(id=id, start=start, direction=one.direction, end_m=one.end, end_reason=one.reason, end_at=one.end_at)  # type: ignore[arg-type]
        )
        for item in one.items:
            for thing in item.things:
                row = row_of(id, item, thing, f"O{len(rows)}")
                rows.append(row)
                if row.certainty == "tentative":
                    queries.append(Query(about="", reason="doubt", row=row.id, quote=""))
                if row.from_m is None:
                    queries.append(Query(about="", reason="no_distance", row=row.id, quote=""))
            values += [_value(metres, item.approximate) for metres in (item.at, item.to) if metres is not None]
            if item.withdrawn is not None:
                corrections.append(SpokenCorrection(withdrawn="", kept="", quote=""))
            if item.kind in ("cleared", "partly"):
                result = "done" if item.kind == "cleared" else "partial"
                actions.append(Action(action="jetting", target="pipe", run=id, result=result, quote=""))  # type: ignore[arg-type]
        if one.reason == "capped":
            rows.append(Observation(run=id, condition="capped", from_m=one.end, quote=""))
        if one.reason != "could_not_pass":
            values.append(_value(one.end, False))
        rows += [
            Observation(run=id, condition=condition, from_m=0, to_m=one.end, polarity="absent", quote="")
            for condition in one.denied
        ]
    conclusions = [Conclusion(kind="main_issue", condition=visit.main_issue, quote="")] if visit.main_issue else []
    return Record(
        runs=tuple(runs), observations=tuple(rows), measurements=tuple(values), actions=tuple(actions),
        corrections=tuple(corrections), conclusions=tuple(conclusions), queries=tuple(queries),
    )  # fmt: skip


def _value(metres: float, approximate: bool) -> Measurement:
    return Measurement(low=metres, high=metres, unit="m", role="chainage", approximate=approximate, quote="")


OUTCOMES = {"cleared": "cleared", "partly": "partly_cleared"}


def row_of(run: str, item: Item, thing: Thing, id: str = "") -> Observation:
    """The row that one thing of an item must make."""
    start, end = item.at, item.to
    if item.kind == "denied_so_far":
        start, end = 0.0, item.at
    return Observation(
        id=id, run=run, component=thing.component, condition=thing.condition, from_m=start, to_m=end,
        approximate=item.approximate, polarity="absent" if item.kind.startswith("denied") else "present",
        certainty="tentative" if thing.tentative else "stated", outcome=OUTCOMES.get(item.kind, "open"),  # type: ignore[arg-type]
        extent=thing.extent, clock=thing.clock, quote="",  # type: ignore[arg-type]
    )  # fmt: skip
