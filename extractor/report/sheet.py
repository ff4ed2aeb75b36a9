"""The tables as XLSX: numbers as numbers, text never a formula, frozen headers, filters, a sheet a kind of row."""

import datetime
import io
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import xlsxwriter  # type: ignore[import-untyped]

from extractor.report.amounts import FOOT_M
from extractor.report.palette import ACCENT, PAPER
from extractor.report.safe_text import clean
from extractor.report.view import Moment, ReportView, Row, RunPart

Value = str | float | int | None
Line = dict[str, Value]
_WIDEST = 48  # characters
_LINE_POINTS = 15
_LONGEST_TEXT = 32_767  # characters that a cell of this format takes


@dataclass(frozen=True)
class _Sheet:
    """`printed`: how many of the first columns go on paper; None for all."""

    name: str
    columns: tuple[str, ...]
    lines: tuple[Line, ...]
    printed: int | None = None


def xlsx_bytes(view: ReportView) -> bytes:
    """The workbook. Its dates are the visit's, so that the same view makes the same bytes."""
    made = io.BytesIO()
    book = xlsxwriter.Workbook(
        made,
        {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False},
    )
    book.set_properties({"title": view.title, "author": view.firm, "created": _day(view)})
    for sheet in (_about(view), _runs(view), _rows(view), _measurements(view), _work(view), _queries(view)):
        _write(book, sheet)
    book.close()
    return made.getvalue()


def _write(book: xlsxwriter.Workbook, sheet: _Sheet) -> None:
    page = book.add_worksheet(sheet.name)
    head = book.add_format({"bold": True, "bg_color": ACCENT, "font_color": PAPER, "text_wrap": True, "valign": "top"})
    body = book.add_format({"text_wrap": True, "valign": "top"})
    number = book.add_format({"num_format": "0.00##", "valign": "top"})
    widths = [_width(column, [line[column] for line in sheet.lines]) for column in sheet.columns]
    for at, (column, width) in enumerate(zip(sheet.columns, widths, strict=True)):
        page.write_string(0, at, column, head)
        page.set_column(at, at, width)
    for down, line in enumerate(sheet.lines, 1):
        values = [line[column] for column in sheet.columns]
        page.set_row(down, _LINE_POINTS * _lines_needed(values, widths))
        for at, value in enumerate(values):
            if value is None or value == "":
                page.write_blank(down, at, None, body)
            elif isinstance(value, int | float):
                page.write_number(down, at, value, number if isinstance(value, float) else body)
            else:
                page.write_string(down, at, value[:_LONGEST_TEXT], body)
    last = max(1, len(sheet.lines))
    page.freeze_panes(1, 0)
    page.autofilter(0, 0, last, len(sheet.columns) - 1)
    page.print_area(0, 0, last, (sheet.printed or len(sheet.columns)) - 1)
    page.set_landscape()
    page.fit_to_pages(1, 0)
    page.repeat_rows(0)


def _about(view: ReportView) -> _Sheet:
    told: list[tuple[str, str]] = [(fact.label, fact.value) for fact in view.facts]
    told.append(("Standing", view.draft or (f"Signed off by {view.sign_off.by}" if view.sign_off else "")))
    told += [(f"Recording {at}", each.name) for at, each in enumerate(view.recordings, 1)]
    told += [("Limits", text) for text in view.limits]
    return _Sheet("about", ("What", "Value"), tuple({"What": what, "Value": value} for what, value in told))


def _runs(view: ReportView) -> _Sheet:
    columns = [
        "Run",
        "From",
        "Direction",
        "End (m)",
        *_only(view.feet, "End (ft)"),
        "Why it stopped",
        "Told",
        "Not seen",
    ]
    more = ["Opening", "Port", "End reason", "End at", *_HEARD]
    return _Sheet("runs", (*columns, *more), tuple(_run(part) for part in view.runs), len(columns))


def _run(part: RunPart) -> Line:
    run = part.run
    return {
        "Run": run.id,
        "From": part.opening,
        "Direction": run.direction,
        "End (m)": run.end_m,
        "End (ft)": _feet(run.end_m),
        "Why it stopped": part.ending,
        "Told": " ".join(part.summary),
        "Not seen": part.unseen,
        "Opening": _text(run.start.structure),
        "Port": run.start.port,
        "End reason": run.end_reason,
        "End at": _text(run.end_at),
        **_heard(part.moment),
    }


def _rows(view: ReportView) -> _Sheet:
    columns = ["No.", "Run", "Place", "From (m)", "To (m)", *_only(view.feet, "From (ft)", "To (ft)"), "About"]
    columns += ["What was seen", "How sure", "How left", "Time", "Words", "To be settled"]
    more = "Row,Component,Condition,Polarity,Certainty,Outcome,Extent,Clock from,Clock to,Count".split(",")
    lines = tuple(_row(row) for row in view.all_rows())
    return _Sheet("rows", (*columns, *more, *_HEARD[1:]), lines, len(columns))


def _row(row: Row) -> Line:
    seen = row.observation
    clock = seen.clock or (None, None)
    return {
        "No.": row.number,
        "Run": _text(seen.run),
        "Place": "" if seen.run else row.where,
        "From (m)": seen.from_m,
        "To (m)": seen.to_m,
        "From (ft)": _feet(seen.from_m),
        "To (ft)": _feet(seen.to_m),
        "About": "about" if seen.approximate else "",
        "What was seen": row.sentence,
        "How sure": row.sure,
        "How left": row.left,
        "Words": row.quote,
        "To be settled": " ".join(row.questions),
        "Row": _text(seen.id),
        "Component": _text(seen.component),
        "Condition": _text(seen.condition),
        "Polarity": seen.polarity,
        "Certainty": seen.certainty,
        "Outcome": seen.outcome,
        "Extent": seen.extent,
        "Clock from": clock[0],
        "Clock to": clock[1],
        "Count": seen.count,
        **_heard(row.moment),
    }


def _measurements(view: ReportView) -> _Sheet:
    columns = ("Told", "Low", "High", "Unit", "Of what", "About", "Where", "Words", *_HEARD)
    lines: Iterable[Line] = (
        {
            "Told": each.text,
            "Low": float(each.measurement.low),
            "High": float(each.measurement.high),
            "Unit": each.measurement.unit,
            "Of what": each.what,
            "About": "about" if each.measurement.approximate else "",
            "Where": each.where,
            "Words": each.quote,
            **_heard(each.moment),
        }
        for each in view.readings
    )
    return _Sheet("measurements", columns, tuple(lines))


def _work(view: ReportView) -> _Sheet:
    columns = ("What", "Where", "Reach (m)", "Result", "Words", "Action", "Target", *_HEARD)
    lines: Iterable[Line] = (
        {
            "What": each.sentence,
            "Where": each.where,
            "Reach (m)": each.action.reach_m,
            "Result": each.result,
            "Words": each.quote,
            "Action": _text(each.action.action),
            "Target": _text(each.action.target),
            **_heard(each.moment),
        }
        for each in view.work
    )
    return _Sheet("work", columns, tuple(lines))


def _queries(view: ReportView) -> _Sheet:
    columns = ("Row", "Why", "Question", "Words", *_HEARD)
    lines: Iterable[Line] = (
        {"Row": each.row, "Why": each.reason, "Question": each.text, "Words": each.quote, **_heard(each.moment)}
        for each in view.questions
    )
    return _Sheet("queries", columns, tuple(lines))


_HEARD = ("Time", "Start (s)", "Recording")


def _heard(moment: Moment) -> Line:
    start = None if moment.start_s is None else round(moment.start_s, 3)
    return {"Time": moment.text, "Start (s)": start, "Recording": moment.source + 1 if moment.text else None}


def _only(wanted: bool, *columns: str) -> tuple[str, ...]:
    return columns if wanted else ()


def _feet(metres: float | None) -> float | None:
    return None if metres is None else round(metres / FOOT_M, 2)


def _text(text: str | None) -> str | None:
    return clean(text) if text else None


def _width(column: str, values: Sequence[Value]) -> float:
    longest = max(len(column) + 3, *(len(f"{value}") + 2 for value in values if value is not None), 8)
    return min(_WIDEST, longest)


def _lines_needed(values: Sequence[Value], widths: Sequence[float]) -> int:
    """Lines of the tallest cell, wrapped; a little generous, since words don't fill a line."""
    texts = ((value, width) for value, width in zip(values, widths, strict=True) if isinstance(value, str))
    needed = (1 if len(text) <= width - 2 else math.ceil(len(text) * 1.1 / width) for text, width in texts)
    return max(needed, default=1)


def _day(view: ReportView) -> datetime.datetime:
    year, month, day = (int(part) for part in view.date_iso.split("-")) if view.date_iso else (1980, 1, 1)
    return datetime.datetime(year, month, day)
