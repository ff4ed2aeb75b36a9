"""Sections on places and rules: tanks and boxes, cautions, and the optional codes."""

from extractor.record import Record
from extractor.trade.cautions import cautions, deferring
from extractor.trade.fittings import box_outlets, fittings
from extractor.trade.levels import tanks
from extractor.trade.repairs import Repair
from extractor.trade.rules import Rules
from extractor.trade.section import Section, Table
from extractor.trade.standard_codes import coded
from extractor.trade.tables import Guidance, Sourced
from extractor.trade.wording import listed, plain


def tanks_section(record: Record, rules: Rules) -> Section | None:
    """Levels, volumes, fittings and outlets against the guidance."""
    rows: list[tuple[str, ...]] = []
    used: list[Sourced] = []
    for tank in tanks(record, rules):
        name = rules.label(tank.structure)
        for check in tank.checks:
            rows.append(
                (
                    name,
                    check.guidance.says,
                    check.working + (" (the figures are rough)" if check.approximate else ""),
                    check.answer,
                )
            )
            used.append(check.guidance)
        for volume in tank.volumes:
            rows.append((name, f"volume of {volume.layer}", volume.working, f"{plain(volume.litres, 0)} L"))
        for note in tank.notes:
            rows.append((name, note.says, f"“{tank.level_quote}”", "see where it points"))
            used.append(note)
    for fitting in fittings(record, rules):
        rows.append((rules.label(fitting.structure), fitting.guidance.says, fitting.says, fitting.state))
        used.append(fitting.guidance)
    for box in box_outlets(record, rules):
        said = f"{box.count} outlets" if box.count else "outlets"
        sharing = {"uneven": "not sharing the flow", "even": "sharing the flow", None: "sharing not said"}[box.sharing]
        rows.append((rules.label(box.structure), box.guidance.says, said, sharing))
        used.append(box.guidance)
    if not rows:
        return None
    if any(tank.checks for tank in tanks(record, rules)):
        used.append(rules.named(Guidance, "how often"))
    notes = dict.fromkeys(f"{guidance.name}: {guidance.cited()}" for guidance in used)
    table = Table(("Place", "Guidance", "Found", "Answer"), tuple(rows))
    return Section("tanks", "Tanks and boxes", (), table, tuple(notes))


def cautions_section(record: Record, rules: Rules, planned: tuple[Repair, ...]) -> Section | None:
    """Cautions with what calls for each."""
    found = cautions(record, rules, planned=planned)
    if not found:
        return None
    return Section(
        "cautions",
        "Cautions",
        (*(warned.caution.says for warned in found), deferring(rules)),
        None,
        tuple(f"{warned.caution.name} ({listed(warned.because)}): {warned.caution.cited()}" for warned in found),
    )


def codes_section(record: Record, rules: Rules) -> Section | None:
    """The optional codes, with what was left out."""
    found = coded(record, rules)
    rows = [
        (
            inspection.run.id if inspection.run else rules.label(inspection.structure),
            "" if row.distance_m is None else f"{row.distance_m:.2f}",
            row.code,
            " ".join(letter for letter in (row.c1, row.c2) if letter),
            row.quantity,
            " to ".join(hour for hour in row.clock if hour),
            row.stretch,
            "recalled" if row.basis == "recalled" else row.sure,
        )
        for inspection in found.inspections
        for row in inspection.rows
    ]
    if not rows:
        return None
    header = ("Where", "Distance, m", "Code", "Letters", "Quantity", "Clock", "Stretch", "How sure")
    left = [f"{key}: {why}" for key, why in found.left_out]
    return Section(
        "codes",
        "Codes of EN 13508-2",
        ("Y stands where no word settles a letter. Check against the bought standard before relying on a code.",),
        Table(header, tuple(rows)),
        (
            "EN 13508-2:2003+A1:2011: codes read in the open Dutch dictionary GWSW 1.6 (2025-11-18) unless marked.",
            "Which of our findings goes with which code is our own reading.",
            *((f"Left out: {'; '.join(left)}.",) if left else ()),
        ),
    )
