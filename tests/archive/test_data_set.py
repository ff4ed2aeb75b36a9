"""What a batch writes, read back by other programs: pyarrow (the reference for Parquet) and DuckDB."""

import datetime
import io
import json
import re
from pathlib import Path

import pytest

from extractor.archive.batch import Done
from extractor.archive.dataset import parquet_bytes
from extractor.archive.gather import date_in
from extractor.archive.tables import TABLES

from .made_archive import NOT_READ, READ

duckdb = pytest.importorskip("duckdb")
pq = pytest.importorskip("pyarrow.parquet")
dataset = pytest.importorskip("pyarrow.dataset")

README = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("name", TABLES)
def test_every_table_has_its_columns_in_every_part(read_archive: tuple[Path, Done], name: str) -> None:
    paths = sorted((read_archive[0] / name).glob("*.parquet"))
    assert paths
    for path in paths:
        assert pq.read_schema(path).names == [column for column, _ in TABLES[name]]
    assert dataset.dataset(paths).to_table().schema == pq.read_schema(paths[0])


def test_each_visit_stands_there_once(read_archive: tuple[Path, Done]) -> None:
    out, done = read_archive
    visits = duckdb.sql(f"select visit from '{out}/visits/*.parquet' order by visit").fetchall()
    assert [visit for (visit,) in visits] == READ
    assert (done.read, done.kept) == (len(READ), 0)


def test_what_can_not_be_read_is_listed_with_the_reason(read_archive: tuple[Path, Done]) -> None:
    out, done = read_archive
    lines = [json.loads(line) for line in (out / "not-read.jsonl").read_text(encoding="utf-8").splitlines()]
    assert [line["visit"] for line in lines] == NOT_READ == [each.path for each in done.not_read]
    assert all(line["error"].endswith(".") for line in lines)
    assert duckdb.sql(f"select count(*) from '{out}/not-read.jsonl'").fetchall() == [(len(NOT_READ),)]


def test_the_date_comes_from_the_job_or_from_the_name(read_archive: tuple[Path, Done]) -> None:
    rows = duckdb.sql(f"select visit, date from '{read_archive[0]}/visits/*.parquet' order by visit").fetchall()
    assert dict(rows) == {
        READ[0]: datetime.date(2024, 3, 5),
        READ[1]: datetime.date(2024, 4, 11),
        "job": datetime.date(2023, 11, 30),
        "yard.txt": None,
    }


def test_a_row_has_the_material_that_was_named_last_before_it(read_archive: tuple[Path, Done]) -> None:
    rows = duckdb.sql(
        f"select visit, component, condition, from_m, material from '{read_archive[0]}/rows/*.parquet' "
        "where polarity = 'present' and run is not null"
    ).fetchall()
    by_place = {(visit, metres): material for visit, _, _, metres, material in rows}
    assert by_place[READ[0], 1.2] == "pvc"
    assert by_place[READ[0], 5.5] == "clay"
    assert by_place[READ[1], 3.3] == "earthenware"
    assert by_place["yard.txt", 3.6] is None


def queries() -> list[str]:
    """The queries of the README: indented blocks that hold a select."""
    blocks = re.findall(r"(?:^    .*\n|^\n(?=    ))+", README, flags=re.MULTILINE)
    return [piece for block in blocks for piece in re.split(r"\n\s*\n", block) if "select " in piece]


def test_the_readme_has_queries_for_roots_metres_and_trouble() -> None:
    assert len(queries()) >= 3


@pytest.mark.parametrize("query", queries())
def test_a_query_of_the_readme_runs_as_it_stands(
    query: str, read_archive: tuple[Path, Done], monkeypatch: pytest.MonkeyPatch
) -> None:
    out = read_archive[0]
    monkeypatch.chdir(out.parent)
    answer = duckdb.sql(query.replace("'archive/", f"'{out.name}/")).fetchall()
    assert answer, "no row"


def test_the_answers_of_the_readmes_queries(read_archive: tuple[Path, Done], monkeypatch: pytest.MonkeyPatch) -> None:
    out = read_archive[0]
    monkeypatch.chdir(out.parent)
    roots, metres, trouble = (
        duckdb.sql(query.replace("'archive/", f"'{out.name}/")).fetchall() for query in queries()[:3]
    )
    assert sum(row[1] for row in roots) == 3  # wash block twice (the recording and its job), shed once
    assert {row[0].month if row[0] else None: row[1] for row in metres}[4] == 4.4
    assert trouble[0][:2] == ("root_intrusion", 3)


def test_numbers_that_no_column_holds_are_left_out() -> None:
    data = parquet_bytes("rows", [{"visit": "v", "count": 10**30, "quote": "=1+1", "from_m": 1.5}])
    row = pq.read_table(io.BytesIO(data)).to_pylist()[0]
    assert (row["count"], row["quote"], row["from_m"]) == (None, "=1+1", 1.5)


@pytest.mark.parametrize(
    ("path", "date"),
    [
        ("2024-03-05 wash.txt", "2024-03-05"),
        ("rec_20240305_1130.srt", "2024-03-05"),
        ("2023-01-01/2024.03.05.txt", "2024-03-05"),
        ("2024-02-31.txt", None),  # no such day
        ("2024-13-01.txt", None),
        ("0412345678.txt", None),
        ("120240305.txt", None),  # a longer number is no date
        ("visit.txt", None),
    ],
)
def test_the_last_date_in_a_path(path: str, date: str | None) -> None:
    assert date_in(path) == date
