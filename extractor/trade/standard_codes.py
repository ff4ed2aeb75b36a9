"""Rows -> codes of EN 13508-2, as an optional column and export. Nothing else in the program depends on this.

    "fine roots", nine to three, 4.6 m  ->  BBA, B, clock 09 to 03, 4.60

The standard covers drains, manholes and inspection chambers, so a row at a tank or a box has no code. A letter is set
only where the words of the row settle it, else Y ("cannot be told"); a quantity only where one was said. Only what is
present and still stands is coded.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from extractor.record import Measurement, Observation, Record, Run
from extractor.trade.heard import has_phrase
from extractor.trade.rows import furthest_m, keyed, within
from extractor.trade.rules import Rules
from extractor.trade.tables import CodeLetter, CodeMapping, MainCode

STRETCH_M = (
    0.3  # over this a finding is a stretch: read in the German federal guideline BFR, A-3.1.3, and in DWA's catalogue
)


@dataclass(frozen=True, slots=True)
class CodeRow:
    """One line of an inspection. `stretch` is "A1" where a stretch begins, "B1" where it ends, "" for a point.

    `sure` is how well our condition and the code meet; `basis` whether the code itself was read or recalled.
    """

    distance_m: float | None
    code: str
    c1: str = ""
    c2: str = ""
    quantity: str = ""
    clock: tuple[str, str] = ("", "")
    stretch: str = ""
    joint: bool = False
    remark: str = ""
    row: str = ""
    sure: str = "sure"
    basis: str = "read"
    confidence: str = "high"


@dataclass(frozen=True, slots=True)
class Inspection:
    """The lines of one run, or of one manhole or chamber (`run` None)."""

    run: Run | None
    structure: str | None
    rows: tuple[CodeRow, ...]


@dataclass(frozen=True, slots=True)
class Coded:
    """All inspections, and the rows left out with the reason."""

    inspections: tuple[Inspection, ...]
    left_out: tuple[tuple[str, str], ...]


def code_of(record: Record, key: str, row: Observation, rules: Rules) -> CodeRow | str:
    """The code of one row, or why it has none."""
    chamber = row.run is None
    if row.polarity == "absent":
        return "said to be absent: the standard codes what is there"
    if row.outcome == "cleared":
        return "cleared on the day"
    if chamber and row.structure not in rules.phrases("codes", "scope", "chambers"):
        return f"at a {rules.label(row.structure)}: outside the standard"
    if row.component in rules.phrases("codes", "scope", "not_coded"):
        return f"a {rules.label(row.component)} has no code"
    mapping = _mapping(row, rules, chamber)
    if mapping is None:
        return "no code"
    name = mapping.chamber_code if chamber else mapping.code
    if not name:
        return mapping.remark or "no code"
    code = rules.named(MainCode, name)
    c1 = _letter(mapping.c1, mapping.c1_else, row, code.c1)
    c2 = _letter(mapping.c2, mapping.c2_else, row, code.c2)
    low, high = (f"{row.clock[0]:02d}", f"{row.clock[1]:02d}") if row.clock and code.clock else ("", "")
    remark = "; ".join(
        part
        for part in (mapping.remark, "doubtful" if row.certainty == "tentative" else "", row.detail or row.quote)
        if part
    )
    return CodeRow(
        row.from_m,
        code.name,
        c1,
        c2,
        _quantity(record, row, mapping),
        (low, high if high != low else ""),
        joint=row.component == "joint",
        remark=remark,
        row=key,
        sure=mapping.sure,
        basis=code.basis,
        confidence=code.confidence,
    )


def coded(record: Record, rules: Rules) -> Coded:
    """Every row that the standard covers, run by run, with the start and the end of each run."""
    left_out: list[tuple[str, str]] = []
    inspections = []
    rows = list(keyed(record))
    for run in record.runs:
        own = [(key, row) for key, row in rows if row.run == run.id]
        if run.start.structure in rules.phrases("codes", "scope", "not_drains"):
            left_out += [(key, f"in a {rules.label(run.start.structure)}: outside the standard") for key, _ in own]
            continue
        inspections.append(Inspection(run, None, tuple(_run_rows(record, run, own, rules, left_out))))
    for structure in dict.fromkeys(row.structure for _, row in rows if row.run is None):
        own = [(key, row) for key, row in rows if row.run is None and row.structure == structure]
        found = list(_coded_rows(record, own, rules, left_out))
        if found:
            inspections.append(Inspection(None, structure, tuple(found)))
    return Coded(tuple(inspections), tuple(left_out))


def _mapping(row: Observation, rules: Rules, chamber: bool) -> CodeMapping | None:
    def named(kind: str, name: str | None) -> CodeMapping | None:
        return next((each for each in rules.of(CodeMapping) if each.kind == kind and each.name == name), None)

    part = named("component", row.component)
    if row.condition is None or row.condition == "sound":
        # a feature, or one that is in order: coded where the standard lists features of that kind
        return part if part and part.code and (part.chamber_code or not chamber) else None
    if chamber and part and part.chamber_code and not part.code:
        return part  # a cover is coded as a cover whatever ails it
    return named("condition", row.condition)


def _letter(choices: Sequence[CodeLetter], otherwise: str, row: Observation, allowed: str) -> str:
    words = f"{row.quote} {row.detail or ''}"
    for choice in choices:
        if (not choice.words or has_phrase(words, choice.words)) and choice.letter in allowed:
            return choice.letter
    if not allowed:
        return ""
    return otherwise if otherwise and otherwise in allowed else "Y"


def _quantity(record: Record, row: Observation, mapping: CodeMapping) -> str:
    """A number that was said within the row's own words; a condition without one keeps the field empty."""
    if not mapping.quantity_unit:
        return ""
    unit = "m" if mapping.quantity_unit == "mm" else mapping.quantity_unit
    said: list[Measurement] = [
        each
        for each in record.measurements
        if each.unit == unit and each.role in mapping.quantity_roles and within(each, row)
    ]
    if len(said) != 1:
        return ""
    value = (said[0].low + said[0].high) / 2 * (1000 if mapping.quantity_unit == "mm" else 1)
    return f"{value:.0f}"


def _coded_rows(
    record: Record, rows: Sequence[tuple[str, Observation]], rules: Rules, left_out: list[tuple[str, str]]
) -> Iterator[CodeRow]:
    number = 0
    for key, row in rows:
        found = code_of(record, key, row, rules)
        if isinstance(found, str):
            left_out.append((key, found))
        elif row.run is not None and row.from_m is None:
            left_out.append((key, "no distance was said"))
        elif row.from_m is not None and row.to_m is not None and row.to_m - row.from_m > STRETCH_M:
            number += 1
            yield replace(found, stretch=f"A{number}")
            yield replace(found, distance_m=row.to_m, stretch=f"B{number}")
        else:
            yield found


def _run_rows(
    record: Record,
    run: Run,
    rows: Sequence[tuple[str, Observation]],
    rules: Rules,
    left_out: list[tuple[str, str]],
) -> Iterator[CodeRow]:
    opening = " ".join(part for part in (rules.label(run.start.structure), run.start.port) if part)
    start = rules.named(MainCode, "BCD")
    yield CodeRow(0.0, start.name, _node(run.start.structure, rules), remark=opening, basis=start.basis)
    found = list(_coded_rows(record, rows, rules, left_out))
    yield from sorted(found, key=lambda row: row.distance_m or 0.0)
    end = furthest_m(record, run)
    mapping = next((each for each in rules.of(CodeMapping) if each.name == f"{run.end_reason} (end)"), None)
    if mapping is None or end is None:
        return
    code = rules.named(MainCode, mapping.code)
    words = Observation(quote=run.quote)
    c1 = (
        _node(run.end_at, rules)
        if run.end_reason == "reached"
        else _letter(mapping.c1, mapping.c1_else, words, code.c1)
    )
    c2 = _letter(mapping.c2, mapping.c2_else, words, code.c2)
    remark = "; ".join(part for part in (mapping.remark, rules.label(run.end_at)) if part)
    yield CodeRow(end, code.name, c1, c2, remark=remark, sure=mapping.sure, basis=code.basis)


def _node(structure: str | None, rules: Rules) -> str:
    """The letter of a start or finish node; Z, with the kind in the remark, for what the standard does not know."""
    return next((letter for letter in "ABC" if structure in rules.phrases("codes", "nodes", letter)), "Z")
