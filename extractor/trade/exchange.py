"""Coded inspections in the text layout of EN 13508-2, Annex B: an optional file, to be checked before it is handed on.

The layout is recalled in part (STANDARDS: the lines #B01, #C and #Z and the letters of the columns), so the file says
in a remark of every inspection that it has to be checked against the bought standard.
"""

from collections.abc import Iterable

from extractor.record import Record
from extractor.trade.rules import Rules
from extractor.trade.standard_codes import CodeRow, Inspection, coded

WARNING = "CHECK AGAINST THE BOUGHT STANDARD BEFORE USE: layout and part of the codes are from memory"
ENCODING = "iso-8859-1"
FILE_NAME = "check-against-the-standard.txt"
_HEADER = (  # characters, language of the remarks, separator, decimal sign, quote, version of the layout
    ("#A1", "ISO-8859-1"),
    ("#A2", "en"),
    ("#A3", ";"),
    ("#A4", "."),
    ("#A5", '"'),
    ("#A6", "2010"),
)
_FIELDS = "AAA;AAB;AAK;ABC;ABE"  # reference, start node, direction, zero of the distance, method
_COLUMNS = "I;J;A;B;C;D;G;H;K;F"  # distance, stretch, code, two letters, quantity, two clocks, joint, remark


def exchange_text(record: Record, rules: Rules) -> str:
    """One file for all inspections, to be written in ENCODING. A character that this lacks becomes a question mark."""
    lines = [f"{name}={value}" for name, value in _HEADER]
    for number, inspection in enumerate(coded(record, rules).inspections, 1):
        lines += _inspection(number, inspection, rules)
    return "".join(f"{line}\r\n" for line in lines).encode(ENCODING, "replace").decode(ENCODING)


def _inspection(number: int, inspection: Inspection, rules: Rules) -> Iterable[str]:
    run = inspection.run
    # all read: direction A with the flow, B against, C not known; zero A inside face of the start node; method B camera
    way = {"downstream": "A", "upstream": "B"}.get(run.direction or "", "C") if run else ""
    place = rules.label(run.start.structure if run else inspection.structure)
    values = (run.id if run else f"S{number}", place, way, "A" if run else "", "B")
    yield f"#B01={_FIELDS}"
    yield ";".join(_quoted(value) for value in values)
    yield f"#C={_COLUMNS}"
    remark_code = "BDB" if run else "DDB"
    yield _line(CodeRow(0.0, remark_code, remark=WARNING))
    for row in inspection.rows:
        yield _line(row)
    yield "#Z"


def _line(row: CodeRow) -> str:
    distance = "" if row.distance_m is None else f"{row.distance_m:.2f}"
    joint = "A" if row.joint else ""
    remark = _quoted(row.remark) if row.remark else ""
    return ";".join(
        (distance, row.stretch, row.code, row.c1, row.c2, row.quantity, row.clock[0], row.clock[1], joint, remark)
    )


def _quoted(text: str) -> str:
    """A quoted field: no quote, line break or other control character inside it."""
    plain = "".join("'" if letter == '"' else letter if letter.isprintable() else " " for letter in text)
    return f'"{" ".join(plain.split())}"'
