"""The rows as CSV (RFC 4180): one line a row, metres and seconds as plain numbers, nothing a spreadsheet would run."""

import csv
import io
from collections import defaultdict
from collections.abc import Iterator

from extractor.record import Record
from extractor.report.amounts import FOOT_M
from extractor.report.safe_text import clean

COLUMNS = (
    *("row", "run", "start", "port", "direction", "structure", "component", "condition", "from_m", "to_m"),
    *("approximate", "polarity", "certainty", "outcome", "extent", "clock_from", "clock_to", "count"),
    *("heard_s", "narration", "query", "quote"),
)
FEET_COLUMNS = ["from_ft", "to_ft"]


def rows_csv(record: Record) -> bytes:
    """UTF-8 with a header line and CRLF line ends. Feet are added where the visit spoke feet."""
    columns = list(COLUMNS)
    if record.spoken_unit == "ft":
        columns[columns.index("approximate") : columns.index("approximate")] = FEET_COLUMNS
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(columns)
    for line in _lines(record):
        writer.writerow([plain_cell(line[column]) for column in columns])
    return text.getvalue().encode()


def plain_cell(value: object) -> str:
    """A cell's text. One that a spreadsheet would take for a formula is put behind an apostrophe.

    The characters are those of OWASP's "CSV Injection" page: = + - @, tab, carriage return, and line feed.
    """
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return f"{value:g}" if isinstance(value, int) else repr(round(value, 4))
    text = str(value)
    return f"'{text}" if text.startswith(("=", "+", "-", "@", "\t", "\r", "\n")) else text


def _lines(record: Record) -> Iterator[dict[str, object]]:
    runs = {run.id: run for run in record.runs}
    reasons: dict[str, list[str]] = defaultdict(list)
    for query in record.queries:
        if query.row is not None and query.reason not in reasons[query.row]:
            reasons[query.row].append(query.reason)
    for row in record.observations:
        run = runs.get(row.run or "")
        evidence = row.evidence[0] if row.evidence else None
        yield {
            **row.model_dump(include=set(COLUMNS)),
            "row": row.id,
            "start": run.start.structure if run else None,
            "port": run.start.port if run else None,
            "direction": run.direction if run else None,
            "from_ft": None if row.from_m is None else round(row.from_m / FOOT_M, 2),
            "to_ft": None if row.to_m is None else round(row.to_m / FOOT_M, 2),
            "clock_from": row.clock[0] if row.clock else None,
            "clock_to": row.clock[1] if row.clock else None,
            "heard_s": evidence.start_s if evidence else None,
            "narration": clean(record.sources[evidence.source].name) if evidence and record.sources else None,
            "query": " ".join(reasons[row.id]),
        }
