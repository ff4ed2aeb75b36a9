"""A record -> rows of the data set's tables. The columns and their types stand here, and nowhere else.

One row of `visits` a visit, one of `runs` a pass of the camera, one of `rows` a thing seen, then `measurements`, `work`
and `queries`. Distances are metres, times seconds from the start of the recording. `visit` (the path in the archive's
folder) joins them all, `visit` with `run` joins runs and rows.
"""

from bisect import bisect_right
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from extractor.record import Evidence, Observation, Quoted, Record, Run

Row = dict[str, Any]
Table = tuple[tuple[str, str], ...]  # (column, type): text, number, whole, yes_no, date

TABLES: Mapping[str, Table] = {
    "visits": (
        *(("visit", "text"), ("date", "date"), ("is_job", "yes_no"), ("signed_off", "yes_no"), ("sha256", "text")),
        *(("words", "whole"), ("duration_s", "number"), ("spoken_unit", "text"), ("main_issue", "text")),
        *(("runs", "whole"), ("rows", "whole"), ("queries", "whole"), ("program", "text"), ("lexicon", "text")),
    ),
    "runs": (
        *(("visit", "text"), ("date", "date"), ("run", "text"), ("start", "text"), ("port", "text")),
        *(("start_label", "text"), ("direction", "text"), ("end_m", "number"), ("furthest_m", "number")),
        *(("end_reason", "text"), ("end_at", "text"), ("material", "text"), ("start_s", "number"), ("quote", "text")),
    ),
    "rows": (
        *(("visit", "text"), ("date", "date"), ("row", "text"), ("run", "text"), ("structure", "text")),
        *(("structure_label", "text"), ("component", "text"), ("condition", "text"), ("trouble", "yes_no")),
        *(("material", "text"), ("from_m", "number"), ("to_m", "number"), ("approximate", "yes_no")),
        *(("polarity", "text"), ("certainty", "text"), ("outcome", "text"), ("extent", "text")),
        *(("clock_from", "whole"), ("clock_to", "whole"), ("count", "whole"), ("detail", "text")),
        *(("confidence", "number"), ("queries", "whole"), ("start_s", "number"), ("quote", "text")),
    ),
    "measurements": (
        *(("visit", "text"), ("date", "date"), ("measurement", "text"), ("run", "text"), ("structure", "text")),
        *(("low", "number"), ("high", "number"), ("unit", "text"), ("role", "text"), ("approximate", "yes_no")),
        *(("spoken_unit", "text"), ("start_s", "number"), ("quote", "text")),
    ),
    "work": (
        *(("visit", "text"), ("date", "date"), ("work", "text"), ("action", "text"), ("target", "text")),
        *(("run", "text"), ("reach_m", "number"), ("result", "text"), ("start_s", "number"), ("quote", "text")),
    ),
    "queries": (
        *(("visit", "text"), ("date", "date"), ("query", "text"), ("reason", "text"), ("about", "text")),
        *(("question", "text"), ("row", "text"), ("start_s", "number"), ("quote", "text")),
    ),
}


@dataclass(frozen=True, slots=True)
class Visit:
    """What the data set says of a visit besides its record. `materials` are (source, character, id), in order."""

    path: str
    date: str | None
    sha256: str
    is_job: bool
    signed_off: bool
    materials: tuple[tuple[int, int, str], ...]
    harmless: frozenset[str]


def table_rows(record: Record, visit: Visit) -> dict[str, list[Row]]:
    """The record's rows for each table, in the record's order."""
    tables = {
        "visits": [_visit(record, visit)],
        "runs": list(_runs(record, visit)),
        "rows": list(_rows(record, visit)),
        "measurements": [
            {**each.model_dump(exclude={"id", "evidence", "rules"}), "measurement": each.id, "start_s": _start(each)}
            for each in record.measurements
        ],
        "work": [
            {**each.model_dump(exclude={"id", "evidence", "rules"}), "work": each.id, "start_s": _start(each)}
            for each in record.actions
        ],
        "queries": [
            {
                **each.model_dump(exclude={"id", "evidence", "rules", "answers"}),
                "query": each.id,
                "start_s": _start(each),
            }
            for each in record.queries
        ],
    }
    for rows in tables.values():
        for row in rows:
            row["visit"], row["date"] = visit.path, visit.date
    return tables


def _visit(record: Record, visit: Visit) -> Row:
    lengths = [source.duration_s for source in record.sources if source.duration_s is not None]
    main = next((each.condition for each in record.conclusions if each.kind == "main_issue"), None)
    return {
        "is_job": visit.is_job,
        "signed_off": visit.signed_off,
        "sha256": visit.sha256,
        "words": sum(len(source.text.split()) for source in record.sources),
        "duration_s": sum(lengths) if lengths else None,
        "spoken_unit": record.spoken_unit,
        "main_issue": main,
        "runs": len(record.runs),
        "rows": len(record.observations),
        "queries": len(record.queries),
        "program": record.program,
        "lexicon": record.lexicon,
    }


def _runs(record: Record, visit: Visit) -> Iterator[Row]:
    furthest = _furthest(record)
    begins = sorted(_place(run.evidence[0]) for run in record.runs if run.evidence)
    for run in record.runs:
        yield {
            "run": run.id,
            "start": run.start.structure,
            "port": run.start.port,
            "start_label": run.start.label,
            "direction": run.direction,
            "end_m": run.end_m,
            "furthest_m": furthest.get(run.id),
            "end_reason": run.end_reason,
            "end_at": run.end_at,
            "material": _first_material(run, begins, visit),
            "start_s": run.evidence[0].start_s if run.evidence else None,
            "quote": run.quote,
        }


def _rows(record: Record, visit: Visit) -> Iterator[Row]:
    asked: dict[str | None, int] = {}
    for query in record.queries:
        asked[query.row] = asked.get(query.row, 0) + 1
    runs = {run.id: run for run in record.runs}
    left_out = {"id", "evidence", "rules", "clock"}
    for row in record.observations:
        yield {
            **row.model_dump(exclude=left_out),
            "row": row.id,
            "trouble": is_trouble(row, visit.harmless),
            "material": _material_at(row, runs.get(row.run or ""), visit),
            "clock_from": row.clock[0] if row.clock else None,
            "clock_to": row.clock[1] if row.clock else None,
            "queries": asked.get(row.id, 0),
            "start_s": _start(row),
        }


def is_trouble(row: Observation, harmless: frozenset[str]) -> bool:
    """True for a condition that is present and neither in order nor merely noted."""
    return row.polarity == "present" and row.condition is not None and row.condition not in harmless


def _furthest(record: Record) -> dict[str, float]:
    """How far the camera is known to have got in each run: its end, else the furthest distance said in it."""
    said: dict[str, float] = {}
    for row in record.observations:
        for metres in (row.from_m, row.to_m):
            if row.run is not None and metres is not None:
                said[row.run] = max(metres, said.get(row.run, 0.0))
    for each in record.measurements:
        if each.run is not None and each.role == "chainage":
            said[each.run] = max(each.high, said.get(each.run, 0.0))
    return {**said, **{run.id: run.end_m for run in record.runs if run.end_m is not None}}


def _material_at(row: Observation, run: Run | None, visit: Visit) -> str | None:
    """The material last named in the run up to the end of the row's words: "changes to clay at eight ... 9.3 roots"."""
    if run is None or not run.evidence or not row.evidence:
        return None
    own = max(row.evidence, key=lambda piece: (piece.source, piece.last_char))
    last = _last_before(visit.materials, own.source, own.last_char)
    start = run.evidence[0]
    if last is None or last[:2] < (start.source, start.first_char):
        return None
    return last[2]


def _first_material(run: Run, begins: Sequence[tuple[int, int]], visit: Visit) -> str | None:
    """The material first named in the run's words, before the next run begins (`begins`: of all runs, in order)."""
    if not run.evidence:
        return None
    own = _place(run.evidence[0])
    at = bisect_right(visit.materials, (*own, ""))
    if at == len(visit.materials):
        return None
    next_run = bisect_right(begins, own)
    named = visit.materials[at]
    return named[2] if next_run == len(begins) or named[:2] < begins[next_run] else None


def _last_before(materials: Sequence[tuple[int, int, str]], source: int, char: int) -> tuple[int, int, str] | None:
    at = bisect_right(materials, (source, char, ""))
    return materials[at - 1] if at else None


def _place(evidence: Evidence) -> tuple[int, int]:
    return evidence.source, evidence.first_char


def _start(row: Quoted) -> float | None:
    return row.evidence[0].start_s if row.evidence else None
