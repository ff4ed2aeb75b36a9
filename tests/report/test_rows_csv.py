"""The rows as CSV: RFC 4180, and nothing that a spreadsheet would run."""

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from extractor.record import Observation, Record
from extractor.report.rows_csv import plain_cell, rows_csv
from tests.visits import small_record


def lines_of(record: Record) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(rows_csv(record).decode(), newline=""), strict=True))


def test_a_row_is_a_line_with_its_run_query_and_time() -> None:
    roots, crack, grease, outlet = lines_of(small_record())
    assert (
        roots
        | {
            "row": "O1",
            "run": "R1",
            "start": "septic_tank",
            "port": "inlet",
            "direction": "upstream",
            "component": "joint",
            "condition": "root_intrusion",
            "from_m": "2.5",
            "to_m": "",
            "approximate": "no",
            "outcome": "cleared",
            "extent": "severe",
            "clock_from": "9",
            "clock_to": "3",
            "heard_s": "62.0",
            "narration": "visit.srt",
            "query": "",
            "quote": "two point five roots",
        }
        == roots
    )
    assert (crack["query"], crack["certainty"], crack["from_m"]) == ("no_distance", "tentative", "")
    assert (grease["polarity"], grease["from_m"], grease["to_m"]) == ("absent", "0.0", "9.4")
    assert (outlet["run"], outlet["structure"], outlet["count"]) == ("", "septic_tank", "2")


def test_feet_are_added_where_the_visit_spoke_feet() -> None:
    assert "from_ft" not in lines_of(small_record())[0]
    assert lines_of(small_record(spoken_unit="ft"))[0]["from_ft"] == "8.2"


def test_lines_end_as_rfc_4180_says_and_all_have_the_same_number_of_cells() -> None:
    data = rows_csv(small_record())
    assert data.count(b"\r\n") == data.count(b"\n") == 5  # RFC 4180, 2.1: CRLF after each record
    assert len({len(line) for line in csv.reader(io.StringIO(data.decode(), newline=""))}) == 1  # 2.4


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", "\n=1"])
def test_text_that_a_spreadsheet_would_run_is_put_behind_an_apostrophe(text: str) -> None:
    # the leading characters named by OWASP, "CSV Injection"
    assert plain_cell(text) == "'" + text


@given(st.text(alphabet=st.characters(exclude_categories=["Cs"])))
def test_any_quote_comes_back_from_the_file_behind_at_most_an_apostrophe(quote: str) -> None:
    record = Record(observations=(Observation(id="O1", run=None, structure="gully", quote=quote),))
    back = lines_of(record)[0]["quote"]
    assert back in (quote, "'" + quote)
    assert not back.startswith(("=", "+", "-", "@", "\t", "\r", "\n"))
