"""Tanks: sludge, scum and liquid against the published guidance, the level at the outlet, and volumes by level.

    "sludge about 400 mil, scum 100, liquid 1.5"  ->  (0.4 + 0.1) / 1.5 = 33 % of the liquid depth: over a quarter

A depth is known for what it is by the word nearest to it (lexicon/rules/tanks.toml); one with no such word is not used.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

from extractor.record import Measurement, Record
from extractor.trade.heard import has_phrase, nearest_kind, text_round
from extractor.trade.rows import keyed
from extractor.trade.rules import Rules
from extractor.trade.tables import Guidance
from extractor.trade.volumes import rectangular_l, share_of_capacity_l, upright_cylinder_l

Layer = Literal["sludge", "scum", "liquid"]
Answer = Literal["pump out", "not yet", "measure"]


@dataclass(frozen=True, slots=True)
class Check:
    """One published check. `working` is the sum in words; where something is lacking, it says what to measure."""

    name: str
    answer: Answer
    working: str
    guidance: Guidance
    approximate: bool = False


@dataclass(frozen=True, slots=True)
class Volume:
    """Litres of one layer, and how they were worked out."""

    layer: Layer
    litres: float
    working: str


@dataclass(frozen=True, slots=True)
class TankState:
    """What was said of one tank. Depths in metres; None where it was not said."""

    structure: str
    sludge: Measurement | None
    scum: Measurement | None
    liquid: Measurement | None
    sludge_to_outlet: Measurement | None
    scum_to_outlet: Measurement | None
    capacity_l: float | None
    level: Literal["high", "low"] | None
    level_quote: str
    checks: tuple[Check, ...] = ()
    volumes: tuple[Volume, ...] = ()
    notes: tuple[Guidance, ...] = ()


def tanks(record: Record, rules: Rules) -> tuple[TankState, ...]:
    """Every tank of which something was said, in order of narration."""
    known = rules.phrases("tanks", "structures", "tanks")
    return tuple(_tank(record, structure, rules) for structure in _mentioned(record, known))


def share_of_solids(sludge_m: float, scum_m: float, liquid_m: float) -> float:
    """Sludge and scum together as a share of the liquid depth.

    Raises:
        ValueError: where the liquid depth is not over nought.
    """
    if liquid_m <= 0:
        raise ValueError("the liquid depth must be over nought")
    return (sludge_m + scum_m) / liquid_m


def _mentioned(record: Record, known: tuple[str, ...]) -> list[str]:
    said: dict[str, None] = {}
    for row in record.observations:
        if row.structure in known:
            said[str(row.structure)] = None
    for each in record.measurements:
        if each.structure in known:
            said[str(each.structure)] = None
    for action in record.actions:
        if action.target in known:
            said[str(action.target)] = None
    return list(said)


def _tank(record: Record, structure: str, rules: Rules) -> TankState:
    layers = dict(_layers(record, structure, rules))
    capacity = next(
        (each.low for each in record.measurements if each.unit == "L" and _belongs(record, each, structure, rules)),
        None,
    )
    level, quote = _level(record, structure, rules)
    state = TankState(
        structure,
        layers.get(("sludge", False)),
        layers.get(("scum", False)),
        layers.get(("liquid", False)),
        layers.get(("sludge", True)),
        layers.get(("scum", True)),
        capacity,
        level,
        quote,
    )
    return replace(
        state,
        checks=tuple(_checks(state, rules)) if structure in rules.phrases("tanks", "structures", "settling") else (),
        volumes=tuple(_volumes(record, state, rules)),
        notes=(rules.named(Guidance, f"level {level}"),) if level else (),
    )


def _layers(record: Record, structure: str, rules: Rules) -> Iterator[tuple[tuple[str, bool], Measurement]]:
    """((layer, is it a distance to the outlet), measurement); the last said of each stands."""
    kinds = {layer: rules.phrases("tanks", "layers", layer) for layer in ("sludge", "scum", "liquid")}
    for each in record.measurements:
        if each.unit != "m" or each.role not in ("depth", "level", "other", "size", "length"):
            continue
        layer = nearest_kind(record, each, kinds)
        if layer is not None and _belongs(record, each, structure, rules):
            outlet = has_phrase(
                text_round(record, each, before=0, after=5), rules.phrases("tanks", "to_outlet", "cues")
            )
            yield (layer, outlet), each


def _belongs(record: Record, measurement: Measurement, structure: str, rules: Rules) -> bool:
    """Said of this tank; where the record does not say of which, of the only tank of the visit."""
    if measurement.structure is not None:
        return measurement.structure == structure
    return measurement.run is None and _mentioned(record, rules.phrases("tanks", "structures", "tanks")) == [structure]


def _level(record: Record, structure: str, rules: Rules) -> tuple[Literal["high", "low"] | None, str]:
    for _, row in keyed(record):
        if row.structure != structure or row.polarity == "absent":
            continue
        if row.condition == "full" or row.condition in ("standing_water", "dry", None, "sound"):
            which: Literal["high", "low"]
            for which in ("high", "low"):
                if has_phrase(row.quote, rules.phrases("tanks", "levels", which)):
                    return which, row.quote
            if row.condition == "full":
                return "high", row.quote
    return None, ""


def _metres(measurement: Measurement) -> float:
    return (measurement.low + measurement.high) / 2


def _checks(state: TankState, rules: Rules) -> Iterator[Check]:
    share = rules.named(Guidance, "share of solids")
    missing = [
        what
        for what, value in (("sludge", state.sludge), ("scum", state.scum), ("liquid", state.liquid))
        if value is None
    ]
    limit = share.value or 0.0
    sludge = _metres(state.sludge) if state.sludge else 0.0
    scum = _metres(state.scum) if state.scum else 0.0
    hedged = any(each.approximate for each in (state.sludge, state.scum, state.liquid) if each)
    if state.liquid and (state.sludge or state.scum):
        liquid = _metres(state.liquid)
        found = share_of_solids(sludge, scum, liquid) if liquid else 0.0
        parts = " + ".join(f"{name} {depth:.2f} m" for name, depth in (("sludge", sludge), ("scum", scum)) if depth)
        working = f"{parts} of {liquid:.2f} m of liquid: {found * 100:.0f} %"
        over = found > limit
        if missing and not over:
            yield Check(share.name, "measure", f"{working}; measure the {missing[0]} too", share, hedged)
        else:
            yield Check(share.name, "pump out" if over else "not yet", working, share, hedged)
    elif state.sludge or state.scum:
        lacking = " and the ".join(missing)
        yield Check(share.name, "measure", f"measure the {lacking} depth too", share, hedged)
    for name, said, what in (
        ("sludge to outlet", state.sludge_to_outlet, "top of the sludge"),
        ("scum to outlet", state.scum_to_outlet, "bottom of the scum"),
    ):
        guidance = rules.named(Guidance, name)
        if said is not None:
            gap = _metres(said)
            answer: Answer = "pump out" if guidance.value is not None and gap <= guidance.value else "not yet"
            yield Check(name, answer, f"{what} {gap:.2f} m from the outlet", guidance, said.approximate)
        elif (state.sludge if name.startswith("sludge") else state.scum) is not None:
            yield Check(name, "measure", f"measure from the {what} to the bottom of the outlet", guidance)


def _volumes(record: Record, state: TankState, rules: Rules) -> Iterator[Volume]:
    """Litres of each layer, from the tank's stated size, else by proportion of its stated capacity."""
    said_of: tuple[tuple[Layer, Measurement | None], ...] = (
        ("sludge", state.sludge),
        ("scum", state.scum),
        ("liquid", state.liquid),
    )
    for layer, said in said_of:
        if said is None:
            continue
        depth = _metres(said)
        size = _size(record, state.structure)
        if len(size) == 1:
            litres, working = upright_cylinder_l(size[0], depth), f"round, {size[0]:.2f} m across, {depth:.2f} m deep"
        elif len(size) == 2:
            litres = rectangular_l(size[0], size[1], depth)
            working = f"{size[0]:.2f} m by {size[1]:.2f} m, {depth:.2f} m deep"
        elif state.capacity_l and state.liquid and layer != "liquid" and _metres(state.liquid) >= depth:
            full = _metres(state.liquid)
            litres = share_of_capacity_l(state.capacity_l, full, depth)
            working = f"{depth:.2f} m of {full:.2f} m in a tank of {state.capacity_l:.0f} L, walls taken as upright"
        else:
            continue
        yield Volume(layer, litres, working)


def _size(record: Record, structure: str) -> tuple[float, ...]:
    """(diameter,) of a round tank, (length, width) of a square one, () where neither was said."""
    own = [each for each in record.measurements if each.structure == structure and each.unit == "m"]
    across = [_metres(each) for each in own if each.role == "diameter"]
    sides = [_metres(each) for each in own if each.role in ("size", "length")]
    if len(across) == 1:
        return (across[0],)
    return (sides[0], sides[1]) if len(sides) == 2 and not across else ()
