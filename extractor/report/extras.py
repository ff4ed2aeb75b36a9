"""The trade's arithmetic plugged into the report: its sections as they are, its priorities on the front page."""

import re

from extractor.record import Record
from extractor.report.safe_text import clean
from extractor.report.view import Extras, Section, Statement, Table
from extractor.trade.exchange import ENCODING, FILE_NAME, exchange_text
from extractor.trade.rules import Rules
from extractor.trade.section import Section as TradeSection
from extractor.trade.sections import trade_sections
from extractor.trade.tables import Code

MOST_STEPS = 4  # on the front page; the table of priorities has them all
_URGENT = ("now", "soon")
_GROUPS = {"priorities": "next", "repairs": "next", "cautions": "cautions"}


def trade_extras(record: Record, rules: Rules, *, code: Code, codes: bool) -> Extras:
    """What the record's figures add. `code` is the code for falls, `codes` whether EN 13508-2 codes are shown."""
    found = trade_sections(record, code=code, rules=rules, codes=codes)
    numbers = {run.id: f"run {number}" for number, run in enumerate(record.runs, 1)}
    return Extras(
        next_steps=_next_steps(found, numbers),
        sections=tuple(_section(section, numbers) for section in found),
        files=((FILE_NAME, exchange_text(record, rules).encode(ENCODING, "replace")),) if codes else (),
    )


def _next_steps(found: tuple[TradeSection, ...], numbers: dict[str, str]) -> tuple[Statement, ...]:
    """Urgent lines of the table of priorities: how soon, the usual step, and where."""
    table = next((section.table for section in found if section.name == "priorities" and section.table), None)
    if table is None:
        return ()
    steps: dict[tuple[str, str], list[str]] = {}
    for urgency, where, what, step, *_ in table.rows:
        if urgency in _URGENT:
            steps.setdefault((urgency, step), []).append(f"{_told(where, numbers)}: {clean(what)}")
    lines = [
        Statement(f"{urgency.capitalize()}: {clean(step)} ({'; '.join(places[:3])}{_more(len(places) - 3)})")
        for (urgency, step), places in steps.items()
    ]
    rest = len(lines) - MOST_STEPS
    if rest > 0:
        lines[MOST_STEPS:] = [Statement(f"And {rest} more: see “How urgent, and what next”.")]
    return tuple(lines)


def _more(count: int) -> str:
    return f"; and {count} more" if count > 0 else ""


def _section(section: TradeSection, numbers: dict[str, str]) -> Section:
    table = section.table
    return Section(
        title=clean(section.title),
        group=_GROUPS.get(section.name, "figures"),
        paragraphs=tuple(clean(text) for text in section.paragraphs),
        tables=(
            Table(
                section.title,
                tuple(clean(title) for title in table.header),
                tuple(tuple(_told(cell, numbers) for cell in row) for row in table.rows),
            ),
        )
        if table
        else (),
        notes=tuple(clean(text) for text in section.notes),
    )


def _told(text: str, numbers: dict[str, str]) -> str:
    """A cell with the record's ids of runs told as the report numbers them."""
    return re.sub(r"\bR\d+\b", lambda found: numbers.get(found[0], found[0]), clean(text))
