"""Names, links and sizes of bad intent: nothing outside the job is read or written, nothing steers a terminal."""

import csv
import datetime
import io
import json
import os
import resource
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from extractor.cli.main import run
from extractor.errors import RodnoteError
from extractor.job import decision_log
from extractor.job.answers import change_deed
from extractor.job.apply import apply_decisions, reviewed_record
from extractor.job.decision_log import DecisionLog
from extractor.job.decisions import line_of, parse_log
from extractor.job.folder import open_job
from extractor.lexicon.load import load_lexicon
from extractor.narration.choose import MAX_BYTES, MAX_WORDS, read_bytes, read_narration
from extractor.report.visit import Visit, font_folders, load_logo, load_visit

from .forked import in_child

FIXTURES = Path(__file__).parents[2] / "fixtures"

NAMES = [
    "-rf.txt",
    "=1+1.txt",
    "@SUM(A1).txt",
    "a\nb.txt",
    "\x1b[2Jclear.txt",
    "\u202egnp.txt",
    "con.txt",
    "..txt",
    "a" * 200 + ".txt",
    "e\u0301.txt",
    "  two  spaces .txt",
    "<script>alert(1)</script>.txt",
    "'; drop table x.txt",
]


@pytest.mark.parametrize("name", NAMES)
def test_a_recording_of_any_name_makes_a_job_that_opens_and_outputs_that_do_no_harm(
    name: str, place: Path, capfd: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(place)
    name = name.replace("/", "_")
    (place / name).write_bytes((place / "visit.txt").read_bytes())
    assert run(["extract", "--into", "new", "--csv", "--", name]) == 0
    printed = capfd.readouterr()
    assert not [mark for mark in printed.out + printed.err if not mark.isprintable() and mark not in "\r\n"]
    for line in csv.reader(io.StringIO(printed.out)):
        assert not [cell for cell in line if cell.startswith(("=", "+", "-", "@", "\t", "\r"))]
    job = open_job(place / "new")
    stored = list((place / "new" / "narrations").iterdir())
    assert len(stored) == 1 and stored[0].parent == place / "new" / "narrations"
    assert "".join(mark for mark in stored[0].name if mark.isprintable()) == stored[0].name
    assert run(["report", "new", "--format", "html"]) == 0
    assert b"<script>alert" not in (job.reports / "report.html").read_bytes()


@pytest.mark.parametrize("name", ["reports", "narrations"])
def test_a_folder_of_the_job_that_leads_elsewhere_is_not_written_through(
    name: str, place: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    away = place / "away"
    (place / "job" / name).rename(away)
    before = sorted(path.name for path in away.iterdir())
    (place / "job" / name).symlink_to(away)
    commands = [
        ["report", str(place / "job"), "--format", "csv"],
        ["extract", str(place / "visit.txt"), str(place / "more.txt"), "--into", str(place / "job")],
    ]
    assert [run(command) for command in commands if name == "narrations" or command[0] == "report"][-1] in (5, 6)
    assert "leads out" in capfd.readouterr().err
    assert sorted(path.name for path in away.iterdir()) == before


@pytest.mark.parametrize("name", ["../secret.png", "/etc/passwd.png", "link.png"])
def test_a_logo_or_fonts_outside_of_the_folder_are_refused(name: str, place: Path) -> None:
    (place / "secret.png").write_bytes(b"\x89PNG\r\n\x1a\n secret")
    (place / "job" / "link.png").symlink_to(place / "secret.png")
    with pytest.raises(RodnoteError):
        load_logo(Visit(logo=name), place / "job")
    with pytest.raises(RodnoteError):
        font_folders(Visit(fonts=".."), place / "job")


def endless_toml(path: Path) -> Path:
    path.write_text("firm = " + "[" * 100_000, encoding="utf-8")
    return path


def long_number(path: Path) -> Path:
    path.write_text("still_lag_s = " + "9" * 10_000, encoding="utf-8")
    return path


def huge(path: Path) -> Path:
    with path.open("wb") as file:
        file.truncate(MAX_BYTES + 1)
    return path


def many_words(path: Path) -> Path:
    path.write_bytes(b"a " * (MAX_WORDS + 1))
    return path


@pytest.mark.parametrize(
    ("make", "read"),
    [
        (endless_toml, load_visit),
        (long_number, load_visit),
        (huge, load_visit),
        (huge, read_narration),
        (many_words, read_narration),
    ],
)
def test_what_is_too_large_is_refused_before_it_is_taken_in(
    make: Callable[[Path], Path], read: Callable[[Path], object], tmp_path: Path
) -> None:
    with pytest.raises(RodnoteError) as caught:
        read(make(tmp_path / "visit.toml"))
    assert caught.value.where and caught.value.todo


@pytest.mark.parametrize("make", [endless_toml, long_number, huge])
def test_a_lexicon_file_without_end_is_refused(make: Callable[[Path], Path], tmp_path: Path) -> None:
    make(tmp_path / "words.toml")
    with pytest.raises(RodnoteError) as caught:
        load_lexicon(tmp_path)
    assert "words.toml" in caught.value.where


@pytest.mark.parametrize("text", ["9" * 400, "9" * 5000 + " point 5", "1." + "9" * 400, "1:" + "9" * 5000])
def test_a_number_without_end_is_no_number(text: str) -> None:
    from extractor.pipeline import extract

    said = f"[0:00] camera in the inlet of the tank roots at {text} metres then a bend at 2.5"
    record = extract(read_bytes(said.encode(), "visit.txt"), load_lexicon())
    assert all(abs(measurement.high) < 100 for measurement in record.measurements)
    json.loads(record.model_dump_json(), parse_constant=lambda name: pytest.fail(f"{name} is no JSON"))


def test_a_clock_set_back_changes_no_order(place: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What was decided last counts, whatever the clock said then."""
    job = open_job(place / "job")
    row = next(row.id for row in job.record.observations if row.condition == "root_intrusion")

    class Earlier(datetime.datetime):
        @classmethod
        def now(cls, tz: datetime.tzinfo | None = None) -> "Earlier":
            return cls(1999, 12, 31, tzinfo=tz)

    monkeypatch.setattr(decision_log, "datetime", Earlier)
    with DecisionLog(job, "Ann") as log:
        taken = log.take(change_deed(row, apply_decisions(job.record, log.decisions), {"extent": "slight"}))
    assert taken.when.startswith("1999")
    record = reviewed_record(open_job(job.folder)).record
    assert next(each.extent for each in record.observations if each.id == row) == "slight"


@pytest.mark.parametrize("circle", [1, 2, 3])
def test_decisions_that_claim_to_have_seen_each_other_come_to_an_end(circle: int, place: Path) -> None:
    """No honest log has such a circle; one that was written with bad intent must not keep a reader busy for ever."""
    job = open_job(place / "job")
    known = parse_log(job.decisions.read_bytes()).decisions[0]
    ids = [f"{number:016x}" for number in range(circle)]
    forged = [
        known.model_copy(update={"id": id, "seen": (ids[(at + 1) % circle],), "when": f"2026-01-0{9 - at}T00:00:00Z"})
        for at, id in enumerate(ids)
    ]
    job.decisions.write_bytes(b"".join(map(line_of, forged)))

    def read() -> int:
        return 0 if len(reviewed_record(open_job(job.folder)).decisions) == circle else 1

    assert in_child(read, lambda: resource.setrlimit(resource.RLIMIT_CPU, (20, 20)))[0] == 0


def test_files_of_a_time_before_computers_are_read(place: Path) -> None:
    for path in (place / "visit.txt", place / "job" / "record.json"):
        os.utime(path, (0, 0))
    assert run(["extract", str(place / "visit.txt"), "--into", str(place / "old")]) == 0
    assert run(["report", str(place / "job"), "--format", "xlsx,docx"]) == 0
    future = time.time() + 10**9
    os.utime(place / "job" / "record.json", (future, future))
    assert run(["report", str(place / "job"), "--format", "csv"]) == 0


def test_a_job_of_the_first_schema_opens_with_its_decisions() -> None:
    """Made by the first version and kept as it was: later versions must read it. Never make it again."""
    job = open_job(FIXTURES / "jobs" / "schema-1")
    assert job.card.schema_version == 1
    reviewed = reviewed_record(job)
    assert len(reviewed.standing) == 2 and not reviewed.raised and not reviewed.reports
    assert [row.extent for row in reviewed.record.observations if row.condition == "root_intrusion"] == ["moderate"]


def test_a_job_may_be_copied_anywhere_and_opens_there(place: Path, tmp_path: Path) -> None:
    (place / "job").rename(tmp_path / "elsewhere")
    assert len(reviewed_record(open_job(tmp_path / "elsewhere")).standing) == 1
    for path in (tmp_path / "elsewhere").rglob("*.json*"):
        assert str(place) not in path.read_text(encoding="utf-8")
