"""`rodnote report` from job to files: all formats, the same bytes twice, nothing written where one fails."""

import csv
import io
import json
import math
import struct
import wave
from pathlib import Path

import pytest
from bs4 import BeautifulSoup

from extractor.cli.main import run
from extractor.errors import ReportError
from extractor.job.folder import create_job, open_job, record_bytes
from extractor.lexicon.load import load_lexicon
from extractor.narration.choose import read_bytes
from extractor.pipeline import extract
from extractor.record import Record
from extractor.report.make import FORMATS, Wish, make_report, wanted_formats
from extractor.report.visit import Visit

NARRATION = b"""1
00:00:01,000 --> 00:00:06,000
ok camera in the septic tank inlet heading upstream

2
00:00:07,000 --> 00:00:12,000
at two point one metres there's a junction all good

3
00:00:13,000 --> 00:00:19,000
at five point four metres roots pretty heavy might be a crack in the joint too

4
00:00:20,000 --> 00:00:25,000
eight metres and that's the toilet
"""
EXPECTED = {"report.pdf", "report.html", "report.docx", "tables.xlsx", "rows.csv", "record.json", "record.schema.json"}


@pytest.fixture(scope="module")
def record() -> Record:
    return extract((read_bytes(NARRATION, "visit.srt"),), load_lexicon())


@pytest.fixture
def job(tmp_path: Path, record: Record) -> Path:
    create_job(tmp_path / "job", [("visit.srt", NARRATION)], record)
    (tmp_path / "job" / "visit.toml").write_text('firm = "An invented firm"\ndate = 2026-03-12\n', encoding="utf-8")
    return tmp_path / "job"


def _sound(path: Path, seconds: int = 2) -> Path:
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(8000)
        tone = (int(9000 * math.sin(at / 5)) for at in range(8000 * seconds))
        file.writeframes(b"".join(struct.pack("<h", value) for value in tone))
    return path


def test_everything_is_made_and_told(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["report", str(job)]) == 0
    made = {path.name for path in (job / "reports").iterdir()}
    assert made >= EXPECTED and {"plan.svg", "band-1-1.svg"} <= made
    told = capsys.readouterr().out
    assert all(name in told for name in made) and "Draft: not signed off." in told


def test_the_same_job_makes_the_same_bytes_twice(job: Path) -> None:
    folder = job / "reports"
    run(["report", str(job), "--codes"])
    first = {path.name: path.read_bytes() for path in folder.iterdir()}
    run(["report", str(job), "--codes"])
    assert first == {path.name: path.read_bytes() for path in folder.iterdir()}


def test_all_outputs_say_the_same_of_the_same_row(job: Path, record: Record) -> None:
    run(["report", str(job)])
    folder = job / "reports"
    assert (folder / "record.json").read_bytes() == record_bytes(record)
    rows = {line["row"]: line for line in csv.DictReader(io.StringIO((folder / "rows.csv").read_text("utf-8")))}
    page = BeautifulSoup((folder / "report.html").read_bytes(), "html5lib").get_text(" ").replace("\u00a0", " ")
    placed = [row for row in record.observations if row.from_m is not None]
    assert len(placed) >= 2
    for row in placed:
        assert row.from_m is not None
        assert float(rows[row.id]["from_m"]) == row.from_m and f"{row.from_m:g} m" in page


def test_the_visits_firm_and_date_are_taken_from_the_job(job: Path) -> None:
    run(["report", str(job), "--format", "html"])
    page = (job / "reports" / "report.html").read_text("utf-8")
    assert "An invented firm" in page and "12 March 2026" in page
    assert [path.name for path in (job / "reports").iterdir()] == ["report.html"]


def test_a_recording_goes_into_the_page_with_the_narrations_words(job: Path, tmp_path: Path) -> None:
    assert run(["report", str(job), "--format", "html", "--recording", str(_sound(tmp_path / "visit.wav"))]) == 0
    page = BeautifulSoup((job / "reports" / "report.html").read_bytes(), "html5lib")
    words = json.loads(page.select("#words-data")[0].string or "")["0"]
    assert [word for _, word in words][:4] == ["ok", "camera", "in", "the"] and words[0][0] == 1.0
    assert page.select("#recording-data-0") and page.select("audio")


def test_a_large_recording_stays_beside_the_page(job: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("extractor.report.make.EMBED_BYTES", 1000)
    sound = _sound(tmp_path / "visit.wav")
    assert run(["report", str(job), "--format", "html", "--recording", str(sound)]) == 0
    assert (job / "reports" / "recording-1.wav").read_bytes() == sound.read_bytes()
    page = BeautifulSoup((job / "reports" / "report.html").read_bytes(), "html5lib")
    assert page.select("audio")[0]["src"] == "recording-1.wav" and not page.select("#recording-data-0")


@pytest.mark.parametrize(
    ("arguments", "status", "told"),
    [
        (["--format", "odt"], 6, "there is no format 'odt'"),
        (["--visit", "missing.toml"], 6, "can't be read"),
        (["--recording", "missing.wav"], 6, "can't be read"),
        (["--recording", "a.wav", "--recording", "b.wav"], 6, "2 recordings were given"),
        (["--paper", "a3"], 2, "a3"),
    ],
)
def test_what_is_wrong_is_told_and_nothing_is_written(
    job: Path, arguments: list[str], status: int, told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["report", str(job), *arguments]) == status
    assert told in capsys.readouterr().err and not list((job / "reports").iterdir())


def test_no_job_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["report", str(tmp_path)]) == 5 and "is no job folder" in capsys.readouterr().err


def test_where_one_format_fails_none_is_written(job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(*_: object) -> bytes:
        raise ReportError("no ink.")

    monkeypatch.setattr("extractor.report.sheet.xlsx_bytes", fails)
    with pytest.raises(ReportError, match="no ink"):
        make_report(open_job(job), Wish(), load_lexicon())
    assert not list((job / "reports").iterdir())


def test_a_reports_folder_that_leads_out_of_the_job_is_refused(job: Path, tmp_path: Path) -> None:
    outside = tmp_path / "outside"
    outside.mkdir()
    (job / "reports").rmdir()
    (job / "reports").symlink_to(outside)
    with pytest.raises(ReportError, match="leads out"):
        make_report(open_job(job), Wish(formats=("csv",)), load_lexicon())
    assert not list(outside.iterdir())


@pytest.mark.parametrize(
    ("text", "formats"),
    [("all", FORMATS), ("", FORMATS), ("pdf", ("pdf",)), ("HTML, pdf,html", ("html", "pdf")), ("csv,all", FORMATS)],
)
def test_formats_are_named_as_a_list(text: str, formats: tuple[str, ...]) -> None:
    assert wanted_formats(text) == formats


def test_codes_are_added_only_when_asked_for(job: Path) -> None:
    run(["report", str(job), "--format", "html"])
    assert "Codes of EN 13508-2" not in (job / "reports" / "report.html").read_text("utf-8")
    run(["report", str(job), "--format", "html", "--codes"])
    assert "Codes of EN 13508-2" in (job / "reports" / "report.html").read_text("utf-8")
    assert (job / "reports" / "check-against-the-standard.txt").is_file()


def test_the_trades_figures_are_in_the_report(job: Path) -> None:
    run(["report", str(job), "--format", "html"])
    page = BeautifulSoup((job / "reports" / "report.html").read_bytes(), "html5lib")
    titles = [head.get_text() for head in page.select("h2, h3")]
    assert "How urgent, and what next" in titles
    assert titles.index("In short") < titles.index("How urgent, and what next") < titles.index("Limits and cautions")
    assert titles.index("Limits and cautions") < titles.index("Cautions") < titles.index("The words behind each row")


def test_visit_values_from_a_file_are_used(job: Path, tmp_path: Path) -> None:
    wish = Wish(formats=("html",), visit=Visit(client="Someone invented"))
    made = make_report(open_job(job), wish, load_lexicon())
    assert "Someone invented" in made.paths[0].read_text("utf-8")
