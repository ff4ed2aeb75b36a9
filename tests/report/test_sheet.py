"""The workbook read back with openpyxl: numbers are numbers and equal the record's, no text is a formula."""

import io
import zipfile
from typing import Any

import openpyxl
import pytest

from extractor.report.amounts import FOOT_M
from extractor.report.sheet import xlsx_bytes
from tests.report.made_records import hostile_record, record_of, view_of, visit_record

SHEETS = ["about", "runs", "rows", "measurements", "work", "queries"]


def _lines(data: bytes, sheet: str) -> list[dict[str, Any]]:
    page = openpyxl.load_workbook(io.BytesIO(data))[sheet]
    head, *lines = page.iter_rows(values_only=True)
    return [dict(zip(head, line, strict=True)) for line in lines if any(value is not None for value in line)]


@pytest.mark.parametrize(("many", "feet"), [(0, False), (3, False), (30, True), (150, False)])
def test_every_row_with_its_numbers_as_numbers(many: int, feet: bool) -> None:
    record = record_of(many, runs=3, feet=feet)
    lines = {line["Row"]: line for line in _lines(xlsx_bytes(view_of(record)), "rows")}
    assert set(lines) == {row.id for row in record.observations}
    for row in record.observations:
        line = lines[row.id]
        assert (
            isinstance(line["From (m)"], int | float) and line["From (m)"] == row.from_m and line["To (m)"] == row.to_m
        )
        assert (line["Condition"], line["Certainty"], line["Outcome"]) == (row.condition, row.certainty, row.outcome)
        assert (line["Clock from"], line["Clock to"]) == (row.clock or (None, None))
        assert line["Words"] == row.quote and line["Start (s)"] == pytest.approx(row.evidence[0].start_s)
        if feet:
            assert line["From (ft)"] == pytest.approx((row.from_m or 0) / FOOT_M, abs=0.005)
        else:
            assert "From (ft)" not in line


def test_runs_measurements_work_and_queries_equal_the_record() -> None:
    record = visit_record()
    data = xlsx_bytes(view_of(record))
    assert [(line["Run"], line["End (m)"], line["End reason"], line["End at"]) for line in _lines(data, "runs")] == [
        (run.id, run.end_m, run.end_reason, run.end_at) for run in record.runs
    ]
    assert [(line["Low"], line["High"], line["Unit"]) for line in _lines(data, "measurements")] == [
        (each.low, each.high, each.unit) for each in record.measurements
    ]
    assert [(line["Action"], line["Target"], line["Reach (m)"]) for line in _lines(data, "work")] == [
        (each.action, each.target, each.reach_m) for each in record.actions
    ]
    assert [line["Question"] for line in _lines(data, "queries")] == [each.question for each in record.queries]


def test_headers_are_frozen_and_filtered_on_every_sheet() -> None:
    book = openpyxl.load_workbook(io.BytesIO(xlsx_bytes(view_of(record_of(30)))))
    assert book.sheetnames == SHEETS
    for page in book:
        assert page.freeze_panes == "A2" and page.auto_filter.ref and page.auto_filter.ref.startswith("A1:")


@pytest.mark.parametrize("start", ["=1+1", "+1", "-1", "@SUM(A1)", '=HYPERLINK("http://x.invalid")', "\t=1", "{=1}"])
def test_text_that_looks_like_a_formula_is_text(start: str) -> None:
    record = visit_record()
    rows = tuple(row.model_copy(update={"quote": start}) for row in record.observations)
    page = openpyxl.load_workbook(io.BytesIO(xlsx_bytes(view_of(record.model_copy(update={"observations": rows})))))[
        "rows"
    ]
    head = [cell.value for cell in page[1]]
    cell = page.cell(2, head.index("Words") + 1)
    assert cell.data_type == "s" and cell.value == start.strip()


def test_hostile_words_hold_no_formula_and_no_link_anywhere() -> None:
    data = xlsx_bytes(view_of(hostile_record()))
    for page in openpyxl.load_workbook(io.BytesIO(data)):
        assert all(cell.data_type != "f" and cell.hyperlink is None for row in page.iter_rows() for cell in row)
    with zipfile.ZipFile(io.BytesIO(data)) as file:
        assert not any(b"TargetMode" in file.read(name) for name in file.namelist())


def test_the_same_view_makes_the_same_bytes() -> None:
    assert xlsx_bytes(view_of(visit_record())) == xlsx_bytes(view_of(visit_record()))
