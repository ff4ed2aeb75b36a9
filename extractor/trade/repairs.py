"""Repairs: findings within one repair's reach become one line of a quote, with its start, length and quantity.

    roots at 4.0, 6.5 and 8.0 m, reach 5 m, margin 0.5 m  ->  one "cut and jet out roots", 3.5 m to 8.5 m: 5.0 m

A thing seen from both ends of a pipe counts once. No price is invented: only a user's rate table multiplies.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import ROUND_HALF_UP, Decimal

from extractor.record import Record, Run
from extractor.trade.coverage import Coverage, Ledger, coverage
from extractor.trade.falls import pipe_depths
from extractor.trade.pipes import Feature
from extractor.trade.priorities import ORDER, Priority, priorities
from extractor.trade.rows import keyed, run_of
from extractor.trade.rules import Rules
from extractor.trade.tables import Rate, RepairMethod, Urgency


@dataclass(frozen=True, slots=True)
class Cost:
    """Quantity times the user's rate, or the user's least charge for one repair where that is more."""

    amount: Decimal
    working: str
    rate: Rate


@dataclass(frozen=True, slots=True)
class Repair:
    """One repair. On a pipe, `from_m` and `to_m` are on the axis of run `run` (metres from where it began).

    `quantity` is in `unit` ("m", or "each" for places); None where a distance is lacking. `reach_m` is the hose or rod
    needed from the opening. `missing` says what to measure before it can be quoted; `doubtful` that the speaker doubted
    all of it.
    """

    id: str
    method: RepairMethod
    run: str | None
    structure: str | None
    rows: tuple[str, ...]
    from_m: float | None
    to_m: float | None
    quantity: float | None
    unit: str
    reach_m: float | None
    depth_m: float | None
    priority: Urgency
    doubtful: bool
    approximate: bool
    working: str
    missing: tuple[str, ...] = ()
    cost: Cost | None = None

    @property
    def length_m(self) -> float | None:
        return None if self.from_m is None or self.to_m is None else self.to_m - self.from_m


def repairs(record: Record, rules: Rules, *, seen: Coverage | None = None) -> tuple[Repair, ...]:
    """Every repair that the rules ask for, most urgent first, then in order of place. No row is in two of them."""
    seen = seen or coverage(record, rules)
    by_row = {each.row: each for each in priorities(record, rules) if each.rule.repair}
    found = [*_on_pipes(record, rules, seen, by_row), *_elsewhere(record, rules, by_row)]
    found.sort(key=lambda repair: ORDER.index(repair.priority))
    return tuple(_priced(replace(repair, id=f"W{number}"), rules) for number, repair in enumerate(found, 1))


def total_cost(found: Sequence[Repair]) -> tuple[Decimal, tuple[str, ...]]:
    """The sum of what could be priced, and the ids of the repairs that could not."""
    priced = sum((repair.cost.amount for repair in found if repair.cost), Decimal(0))
    return priced, tuple(repair.id for repair in found if repair.cost is None)


def _on_pipes(record: Record, rules: Rules, seen: Coverage, by_row: dict[str, Priority]) -> Iterator[Repair]:
    for ledger in seen.pipes:
        wanted: dict[str, list[tuple[Feature, Priority]]] = {}
        for feature in ledger.features:
            # a thing seen more than once is as it was last left, and as urgent as the graver of its rows
            if feature.rows[-1].outcome == "cleared":
                continue
            own = [by_row[key] for key in feature.keys if key in by_row]
            if own:
                gravest = min(own, key=lambda each: ORDER.index(each.priority))
                wanted.setdefault(gravest.rule.repair, []).append((feature, gravest))
        found = []
        for name, features in wanted.items():
            method = rules.named(RepairMethod, name)
            found += [
                _pipe_repair(record, rules, ledger, method, group) for group in _grouped(features, method.reach_m)
            ]
        yield from _taken_in(found)


def _taken_in(found: Sequence[Repair]) -> list[Repair]:
    """Repairs with those left out that lie wholly within a greater one, which then carries their rows."""
    kept: list[Repair] = []
    for repair in sorted(found, key=lambda each: -len(each.method.takes_in)):
        greater = next((number for number, each in enumerate(kept) if _takes_in(each, repair)), None)
        if greater is None:
            kept.append(repair)
            continue
        other = kept[greater]
        kept[greater] = replace(
            other,
            rows=(*other.rows, *repair.rows),
            priority=min(other.priority, repair.priority, key=ORDER.index),
            doubtful=other.doubtful and repair.doubtful,
            approximate=other.approximate or repair.approximate,
            working=f"{other.working}; {repair.method.label} there is not needed then",
        )
    return sorted(kept, key=lambda each: (each.from_m or 0.0, each.method.name))


def _takes_in(greater: Repair, repair: Repair) -> bool:
    if repair.method.name not in greater.method.takes_in or (greater.doubtful and not repair.doubtful):
        return False
    ends = (greater.from_m, repair.from_m, repair.to_m, greater.to_m)
    return None not in ends and list(ends) == sorted(end for end in ends if end is not None)


def _grouped(features: Sequence[tuple[Feature, Priority]], reach_m: float) -> list[list[tuple[Feature, Priority]]]:
    groups: list[list[tuple[Feature, Priority]]] = []
    end = 0.0
    for feature, priority in sorted(features, key=lambda pair: (pair[0].from_m, pair[0].to_m)):
        if groups and feature.from_m - end <= reach_m:
            groups[-1].append((feature, priority))
            end = max(end, feature.to_m)
        else:
            groups.append([(feature, priority)])
            end = feature.to_m
    return groups


def _pipe_repair(
    record: Record,
    rules: Rules,
    ledger: Ledger,
    method: RepairMethod,
    group: Sequence[tuple[Feature, Priority]],
) -> Repair:
    run = run_of(record, ledger.runs[0])
    first = min(feature.from_m for feature, _ in group)
    last = max(feature.to_m for feature, _ in group)
    places = len(group)
    if method.more_than is not None and places > method.more_than and method.becomes:
        method = rules.named(RepairMethod, method.becomes)
    margin = max(method.margin_m, (method.least_m - (last - first)) / 2)
    low, high = max(0.0, first - margin), last + margin
    missing: list[str] = []
    if ledger.length_m is not None and high > ledger.length_m >= last:
        if ledger.length_settled:
            high = ledger.length_m
        else:
            missing.append(f"how far it goes on past {ledger.length_m:.2f} m, where nothing was seen")
    depth = _depth_at(record, rules, run, low, high) if method.digs else None
    if method.digs and depth is None:
        missing.append("the depth of the pipe there, to dig")
    span = f"at {first:.2f} m" if first == last else f"from {first:.2f} m to {last:.2f} m"
    beyond = f", {margin:g} m beyond each end" if margin else ""
    rows = [row for feature, _ in group for row in feature.rows]
    low, high = round(low, 3), round(high, 3)  # to the millimetre: no counter reads finer
    return Repair(
        id="",
        method=method,
        run=run.id if run else None,
        structure=None,
        rows=tuple(key for feature, _ in group for key in feature.keys),
        from_m=low,
        to_m=high,
        quantity=float(places) if method.unit == "each" else round(high - low, 3),
        unit=method.unit,
        reach_m=high,
        depth_m=depth,
        priority=min((each.priority for _, each in group), key=ORDER.index),
        doubtful=all(row.certainty == "tentative" for row in rows),
        approximate=any(row.approximate for row in rows),
        working=f"{places} finding{'s' if places > 1 else ''} {span}{beyond}",
        missing=tuple(missing),
    )


def _depth_at(record: Record, rules: Rules, run: Run | None, low: float, high: float) -> float | None:
    """The depth said nearest to a stretch, where one was said within 2 m of it. Metres."""
    near = [
        (max(low - at, at - high, 0.0), depth)
        for other, at, depth, _ in pipe_depths(record, rules)
        if run is not None and other.id == run.id
    ]
    near = [pair for pair in near if pair[0] <= 2.0]
    return min(near)[1] if near else None


def _elsewhere(record: Record, rules: Rules, by_row: dict[str, Priority]) -> Iterator[Repair]:
    """Rows at a structure, one repair for each place and method; rows in a pipe with no distance, each its own."""
    at: dict[tuple[str, str | None, str, str | None], list[str]] = {}
    rows = dict(keyed(record))
    for key, priority in by_row.items():
        row = rows[key]
        if row.outcome == "cleared":
            continue
        method = rules.named(RepairMethod, priority.rule.repair)
        if row.run is not None and row.from_m is None:
            yield _unplaced(row.run, key, priority, method, doubtful=row.certainty == "tentative")
        elif row.run is None and row.structure is not None:
            part = row.component if method.name == "refit" else None
            at.setdefault((row.structure, row.structure_label, method.name, part), []).append(key)
    for (structure, label, name, part), keys in at.items():
        method = rules.named(RepairMethod, name)
        own = [rows[key] for key in keys]
        what = rules.label(part) if part else rules.label(structure)
        yield Repair(
            id="",
            method=method,
            run=None,
            structure=structure,
            rows=tuple(keys),
            from_m=None,
            to_m=None,
            quantity=float(max((row.count or 1 for row in own), default=1)) if part else 1.0,
            unit="each",
            reach_m=None,
            depth_m=None,
            priority=min((by_row[key].priority for key in keys), key=ORDER.index),
            doubtful=all(row.certainty == "tentative" for row in own),
            approximate=False,
            working=" ".join(word for word in (what, label) if word),
        )


def _unplaced(run: str, key: str, priority: Priority, method: RepairMethod, *, doubtful: bool) -> Repair:
    return Repair(
        id="",
        method=method,
        run=run,
        structure=None,
        rows=(key,),
        from_m=None,
        to_m=None,
        quantity=1.0 if method.unit == "each" else None,
        unit=method.unit,
        reach_m=None,
        depth_m=None,
        priority=priority.priority,
        doubtful=doubtful,
        approximate=False,
        working="1 finding with no distance",
        missing=("its distance from the opening", *(("its depth, to dig",) if method.digs else ())),
    )


def _priced(repair: Repair, rules: Rules) -> Repair:
    rate = next((rate for rate in rules.of(Rate) if rate.method == repair.method.name), None)
    if rate is None or repair.quantity is None:
        return repair
    price = Decimal(str(rate.price))
    amount = (price * Decimal(str(round(repair.quantity, 2)))).quantize(Decimal("0.01"), ROUND_HALF_UP)
    working = f"{repair.quantity:.2f} {repair.unit} × {price:f} {rules.currency}".strip()
    least = Decimal(str(rate.least)).quantize(Decimal("0.01"))
    if amount < least:
        amount, working = least, f"{working}, least charge {least:f}"
    return replace(repair, cost=Cost(amount, working, rate))
