"""Sections on what to do: priorities and repairs."""

from collections.abc import Sequence

from extractor.record import Record
from extractor.trade.priorities import ORDER, priorities
from extractor.trade.repairs import Repair, total_cost
from extractor.trade.rows import keyed, named
from extractor.trade.rules import Rules
from extractor.trade.section import Section, Table
from extractor.trade.wording import listed, metres, stretch


def priorities_section(record: Record, rules: Rules) -> Section | None:
    """Findings by how urgent they are, each with its rule."""
    rows = dict(keyed(record))
    found = sorted(priorities(record, rules), key=lambda each: ORDER.index(each.priority))
    lines = [
        (
            each.priority,
            _where(record, rules, each.row),
            named(rows[each.row], rules) + (" (doubtful)" if rows[each.row].certainty == "tentative" else ""),
            each.next_step,
            each.rule.name,
        )
        for each in found
        if each.priority != "none"
    ]
    if not lines:
        return None
    counted = [f"{sum(line[0] == urgency for line in lines)} {urgency}" for urgency in ORDER[:-1]]
    return Section(
        "priorities",
        "How urgent, and what next",
        (f"By the rules named in the last column: {listed(counted)}.",),
        Table(("How soon", "Where", "What", "Usual next step", "Rule"), tuple(lines)),
        ("The rules are common practice, no published source; the technician's own rules take their place.",),
    )


def _where(record: Record, rules: Rules, key: str) -> str:
    row = dict(keyed(record))[key]
    if row.run is None:
        return " ".join(part for part in (rules.label(row.structure), row.structure_label) if part)
    about = "about " if row.approximate else ""
    return f"{row.run}, {about}{stretch(row.from_m, row.to_m, record)}"


def repairs_section(record: Record, rules: Rules, planned: Sequence[Repair]) -> Section | None:
    """Repairs with their quantities, and amounts where the user gave rates."""
    if not planned:
        return None
    priced = any(repair.cost for repair in planned)
    rows = []
    for repair in planned:
        where = rules.label(repair.structure) if repair.run is None else repair.run
        place = "" if repair.run is None else stretch(repair.from_m, repair.to_m, record)
        quantity = "not known"
        if repair.quantity is not None:
            quantity = metres(repair.quantity, record) if repair.unit == "m" else _counted(repair.quantity, repair)
        what = f"{repair.method.label} ({repair.working})" + (", if it is there at all" if repair.doubtful else "")
        depth = metres(repair.depth_m, record) if repair.depth_m is not None else ""
        amount = (f"{repair.cost.amount} {rules.currency}".strip() if repair.cost else "no rate",) if priced else ()
        rows.append(
            (repair.id, repair.priority, " ".join(p for p in (where, place) if p), what, quantity, depth, *amount)
        )
    header = ("No.", "How soon", "Where", "Work", "Quantity", "Depth to dig", *(("Amount",) if priced else ()))
    paragraphs = ["Findings within one repair's reach are one repair. Quantities are from what was said, for a quote."]
    if priced:
        total, without = total_cost(planned)
        rest = f" Not in it, for want of a rate or a length: {listed(without)}." if without else ""
        paragraphs.append(f"At the rates given: {total} {rules.currency}".rstrip() + f".{rest}")
    notes = ("How findings are grouped is common practice, no published source.",)
    return Section("repairs", "Repairs to quote for", tuple(paragraphs), Table(header, tuple(rows)), notes)


def _counted(quantity: float, repair: Repair) -> str:
    """ "2 places" along a pipe, "1" of a part."""
    return f"{quantity:.0f}" if repair.run is None else f"{quantity:.0f} {'place' if quantity == 1 else 'places'}"
