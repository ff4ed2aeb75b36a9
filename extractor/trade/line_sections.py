"""Sections on the lines: what was seen of each, what was seen twice, falls and dips, and what to ask and measure."""

from collections.abc import Iterator, Sequence

from extractor.record import Record
from extractor.trade.coverage import Coverage, Ledger
from extractor.trade.falls import Dip, Falls
from extractor.trade.repairs import Repair
from extractor.trade.rows import Question, named, run_named, run_of
from extractor.trade.rules import Rules
from extractor.trade.section import Section, Table
from extractor.trade.wording import listed, metres, stretch


def coverage_section(record: Record, rules: Rules, seen: Coverage) -> Section | None:
    """Each line: its length, what was seen, said to be clear, found, and not seen."""
    if not seen.pipes:
        return None
    rows = []
    paragraphs: list[str] = []
    for ledger in seen.pipes:
        rows.append(
            (
                _line_named(record, rules, ledger),
                metres(ledger.length_m, record)
                + ("" if ledger.length_settled or ledger.length_m is None else ", or more"),
                metres(ledger.seen_m, record) if ledger.length_m is not None else "not known",
                _clear(ledger, record, rules),
                _found(ledger, record),
                _not_seen(ledger, record),
            )
        )
        paragraphs += _two_ends(ledger, record)
    header = ("Line", "Length", "Seen", "Said to be clear", "With findings", "Not seen, and why")
    return Section("coverage", "What was seen, and what was not", tuple(paragraphs), Table(header, tuple(rows)))


def _line_named(record: Record, rules: Rules, ledger: Ledger) -> str:
    runs = [run for id in ledger.runs if (run := run_of(record, id)) is not None]
    return "; ".join(run_named(run, rules) for run in runs)


def _clear(ledger: Ledger, record: Record, rules: Rules) -> str:
    fine = rules.phrases("coverage", "conditions", "fine")
    by_stretch: dict[tuple[float, float], list[str]] = {}
    for clear in ledger.clear:
        said = rules.label(clear.of)
        if clear.of not in fine:
            said = f"no {said}"
        elif clear.component and clear.component != "pipe":
            said = f"{rules.label(clear.component)} {said}"
        by_stretch.setdefault((clear.from_m, clear.to_m), []).append(said)
    return "; ".join(
        f"{listed(list(dict.fromkeys(said)))}, {stretch(low, high, record)}" for (low, high), said in by_stretch.items()
    )


def _found(ledger: Ledger, record: Record) -> str:
    parts = []
    if points := len(ledger.points):
        parts.append(f"{points} {'place' if points == 1 else 'places'}")
    if length := ledger.metres("finding"):
        parts.append(metres(length, record))
    if cleared := ledger.metres("cleared"):
        parts.append(f"{metres(cleared, record)} cleared on the day")
    if unplaced := len(ledger.unplaced):
        parts.append(f"{unplaced} with no distance said")
    return "; ".join(parts)


def _not_seen(ledger: Ledger, record: Record) -> str:
    parts = [
        f"{stretch(piece.from_m, piece.to_m, record)}: {piece.why}"
        for piece in ledger.stretches
        if piece.kind == "not_seen"
    ]
    return "; ".join([*parts, ledger.beyond] if ledger.beyond else parts)


def _two_ends(ledger: Ledger, record: Record) -> Iterator[str]:
    if len(ledger.runs) < 2 or ledger.length_m is None:
        return
    runs = listed(ledger.runs)
    if not ledger.length_settled:
        yield f"{runs} are looks along one line from the same opening."
        return
    whole = f"{runs} are one line of {metres(ledger.length_m, record)} ({ledger.length_from})."
    if ledger.unseen_middle_m:
        yield f"{whole} {metres(ledger.unseen_middle_m, record)} in the middle was never seen."
    elif ledger.overlap_m:
        yield f"{whole} {metres(ledger.overlap_m, record)} of it was seen from both ends."
    else:
        yield whole


def seen_twice_section(record: Record, rules: Rules, seen: Coverage) -> Section | None:
    """Things that were seen in more than one run."""
    rows = []
    for ledger in seen.pipes:
        for feature in ledger.features:
            if len(feature.readings) > 1:
                said = [f"{each.run} at {stretch(each.from_m, each.to_m, record)}" for each in feature.readings]
                rows.append(
                    (
                        named(feature.rows[0], rules),
                        listed(said),
                        f"{metres(feature.from_m, record)} along {ledger.runs[0]}",
                    )
                )
    if not rows:
        return None
    return Section(
        "seen-twice",
        "Seen from more than one run",
        ("Each of these is one thing, seen more than once.",),
        Table(("What", "Distances as read", "On the line"), tuple(rows)),
    )


def falls_section(record: Record, rules: Rules, found: Falls) -> Section | None:
    """Falls and dips against the table of a code."""
    if not found.stated and not found.dips:
        return None
    rows: list[tuple[str, ...]] = []
    sources: dict[str, None] = {}
    for each in found.stated:
        minimum = "; ".join(
            f"{line.mm_per_m:g} mm per m (1 in {line.one_in:g}){', ' + line.when if line.when else ''}"
            for line in each.minimums
        )
        verdict = {"under": "under the table: to be asked", "depends": "depends on the flow or the code that holds"}
        rows.append(
            (
                each.run or "",
                ("about " if each.approximate else "") + str(each.fall),
                f"{each.size}: {minimum}" if minimum else each.size or "size not said",
                verdict.get(each.verdict, each.verdict),
                each.rule + (", the ground taken to be level" if each.level_ground else ""),
            )
        )
        sources.update(dict.fromkeys(line.cited() for line in each.minimums))
    table = Table(("Run", "Fall", "Least by the table", "Compared", "From"), tuple(rows)) if rows else None
    sources.update(dict.fromkeys(dip.minimum.cited() for dip in found.dips if dip.minimum))
    paragraphs = tuple(_dip_told(dip, record) for dip in found.dips)
    notes = (
        f"Compared with {found.code}. The tables are for new work: a fall under one is a question, not a defect.",
        *sources,
    )
    return Section("falls", "Falls and dips", paragraphs, table, notes)


def _dip_told(dip: Dip, record: Record) -> str:
    about = "about " if dip.approximate else ""
    parts = [
        f"{dip.run}: water stands for {about}{metres(dip.length_m, record)}, {stretch(dip.from_m, dip.to_m, record)}.",
        "Standing water is level, so the pipe gains no fall from one end of it to the other.",
    ]
    if dip.should_drop_m is not None:
        drop = dip.should_drop_m * 1000
        parts.append(f"At the least fall of the table it would drop {drop:.0f} mm over that length.")
    if dip.water_m is not None:
        parts.append(f"{metres(dip.water_m, record)} of water stood in it.")
    return " ".join(parts)


def to_check_section(questions: Sequence[Question]) -> Section | None:
    """Figures that contradict each other."""
    if not questions:
        return None
    rows = tuple((each.about, each.question, each.rule) for each in questions)
    return Section("to-check", "Figures that do not agree", (), Table(("About", "Question", "Rule"), rows))


def to_measure_section(record: Record, rules: Rules, found: Falls, planned: Sequence[Repair]) -> Section | None:
    """What is lacking before a figure can be given."""
    rows = [(f"fall of {listed(each.runs)}", each.measure) for each in found.lacking]
    rows += [
        (f"{repair.id}, {repair.method.label}", f"Measure {listed(repair.missing)}.")
        for repair in planned
        if repair.missing
    ]
    if not rows:
        return None
    return Section("to-measure", "What to measure next time", (), Table(("For", "What to measure"), tuple(rows)))
