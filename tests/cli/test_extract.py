"""`rodnote extract` as a stranger uses it: what is printed, what is written, what is refused."""

import csv
import io
import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from extractor.cli.main import BROKEN_PIPE, INTERRUPTED, run
from extractor.job.folder import open_job

DEMO = Path(__file__).parents[2] / "fixtures" / "demo"
WASH_BLOCK, KITCHEN = DEMO / "1-wash-block.srt", DEMO / "2-kitchen.txt"
COMMAND = [sys.executable, "-m", "extractor"]

Printed = Callable[..., tuple[int, str, str]]


def rodnote(*words: str | Path, **how: object) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run([*COMMAND, *map(str, words)], capture_output=True, **how)  # type: ignore[call-overload,no-any-return]


@pytest.fixture
def printed(capfdbinary: pytest.CaptureFixture[bytes]) -> Printed:
    """Run the command in this process; gives (status, standard output, standard error)."""

    def run_it(*words: str | Path) -> tuple[int, str, str]:
        status = run([str(word) for word in words])
        out, err = capfdbinary.readouterr()
        return status, out.decode(), err.decode()

    return run_it


def test_the_table_tells_runs_rows_queries_and_closes_with_a_count(printed: Printed) -> None:
    status, out, err = printed("extract", WASH_BLOCK)
    record = json.loads(printed("extract", WASH_BLOCK, "--json")[1])
    assert (status, err) == (0, "")
    for run_found in record["runs"]:
        assert f"\n{run_found['id']}  " in out
    assert record["queries"], "the demo is meant to leave something to answer"
    for number, _ in enumerate(record["queries"], 1):
        assert f" {number}. ? " in out
    last = out.rstrip().splitlines()[-1]
    assert last.startswith(f"{len(record['observations'])} rows in {len(record['runs'])} run")
    assert "not understood" in last


def test_no_line_of_the_table_is_wider_than_the_terminal(printed: Printed, monkeypatch: pytest.MonkeyPatch) -> None:
    for columns in (80, 120, 200):
        monkeypatch.setenv("COLUMNS", str(columns))
        _, out, _ = printed("extract", WASH_BLOCK, KITCHEN)
        assert max(map(len, out.splitlines())) <= columns


def test_a_pipe_gets_plain_text(printed: Printed, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("FORCE_COLOR", raising=False)
    _, out, _ = printed("extract", WASH_BLOCK)
    assert "\x1b" not in out
    assert not [line for line in out.splitlines() if line != line.rstrip()]


def test_json_is_the_record_and_several_narrations_make_one(printed: Printed) -> None:
    _, out, _ = printed("extract", WASH_BLOCK, KITCHEN, "--json")
    record = json.loads(out)
    assert record["contract"] == 1
    assert [source["name"] for source in record["sources"]] == [WASH_BLOCK.name, KITCHEN.name]
    assert {piece["source"] for row in record["observations"] for piece in row["evidence"]} == {0, 1}
    texts = [source["text"] for source in record["sources"]]
    for part in ("observations", "measurements", "actions", "corrections", "conclusions", "queries"):
        for row in record[part]:
            assert any(row["quote"] in text for text in texts), row


def test_csv_holds_a_line_for_each_row(printed: Printed) -> None:
    _, out, _ = printed("extract", WASH_BLOCK, "--csv")
    record = json.loads(printed("extract", WASH_BLOCK, "--json")[1])
    lines = list(csv.DictReader(io.StringIO(out, newline="")))
    assert [line["row"] for line in lines] == [row["id"] for row in record["observations"]]
    assert [line["quote"] for line in lines] == [row["quote"] for row in record["observations"]]


def test_into_writes_a_job_that_opens_with_the_bytes_as_received(printed: Printed, tmp_path: Path) -> None:
    status, out, _ = printed("extract", WASH_BLOCK, KITCHEN, "--into", tmp_path / "job")
    assert status == 0
    assert "Kept in" in out
    job = open_job(tmp_path / "job")
    assert [job.narration_bytes(0), job.narration_bytes(1)] == [WASH_BLOCK.read_bytes(), KITCHEN.read_bytes()]
    status, _, _ = printed("extract", *job.narrations, "--into", tmp_path / "job")
    assert status == 0
    assert open_job(tmp_path / "job").record == job.record


def test_standard_input_is_read_as_a_narration(tmp_path: Path) -> None:
    data = KITCHEN.read_bytes()
    done = rodnote("extract", "-", "--json", "--into", tmp_path / "job", input=data, check=True)
    assert json.loads(done.stdout)["runs"] == json.loads(rodnote("extract", KITCHEN, "--json").stdout)["runs"]
    assert open_job(tmp_path / "job").narration_bytes(0) == data


def test_a_shifted_locale_and_time_zone_change_no_byte() -> None:
    plain = rodnote("extract", WASH_BLOCK, KITCHEN, "--json", check=True).stdout
    for odd in ({"LC_ALL": "de_DE.UTF-8", "TZ": "Asia/Kathmandu"}, {"LC_ALL": "C", "TZ": "UTC", "PYTHONUTF8": "0"}):
        odd |= {"PYTHONHASHSEED": "7"}
        assert rodnote("extract", WASH_BLOCK, KITCHEN, "--json", check=True, env={**os.environ, **odd}).stdout == plain


def test_a_terminal_that_knows_no_typography_still_gets_the_table() -> None:
    odd = {**os.environ, "PYTHONIOENCODING": "ascii", "COLUMNS": "140"}
    done = rodnote("extract", WASH_BLOCK, env=odd, check=True)
    assert b"not understood" in done.stdout


def test_the_users_own_words_are_heard(printed: Printed, tmp_path: Path) -> None:
    (tmp_path / "words").mkdir()
    (tmp_path / "words" / "mine.toml").write_text(
        'kind = "condition"\n[[entry]]\nid = "grease"\nlabel = "grease"\nspoken = ["gloopwad"]\n'
    )
    narration = tmp_path / "n.txt"
    narration.write_text("camera in the septic tank inlet going upstream three point two gloopwad on the pipe")
    without = json.loads(printed("extract", narration, "--json")[1])
    with_them = json.loads(printed("extract", narration, "--json", "--lexicon", tmp_path / "words")[1])
    assert "grease" not in [row["condition"] for row in without["observations"]]
    assert "grease" in [row["condition"] for row in with_them["observations"]]


@pytest.mark.parametrize(
    ("content", "status", "told"),
    [
        (None, 3, "no such file"),
        (b"", 3, "empty"),
        (b" \n\t\n", 3, "empty"),
        (bytes(range(256)) * 40, 3, ""),
        (b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR" + bytes(400), 3, ""),
        (b"1\n00:00:01,000 --> 00:00:02,000\n\n", 3, "no spoken words"),
        (b'{"segments": [', 3, ""),
        (b"a" * (64 * 1024 * 1024 + 1), 3, "over 64 MB"),
    ],
    ids=["missing", "empty", "blank", "all bytes", "a picture", "no words", "half a JSON", "too large"],
)
def test_a_file_that_is_no_narration_is_one_line_and_leaves_nothing(
    printed: Printed,
    tmp_path: Path,
    content: bytes | None,
    status: int,
    told: str,
) -> None:
    path = tmp_path / "visit.srt"
    if content is not None:
        path.write_bytes(content)
    got, out, err = printed("extract", path, "--into", tmp_path / "job")
    assert (got, out) == (status, "")
    assert len(err.splitlines()) == 1
    assert err.startswith("rodnote: ")
    assert "visit.srt" in err
    assert told in err
    assert not (tmp_path / "job").exists()


def test_a_name_with_control_characters_is_told_without_them(printed: Printed) -> None:
    _, _, err = printed("extract", "visit\x1b[2J\n.srt")
    assert "\x1b" not in err
    assert len(err.splitlines()) == 1


def test_a_folder_is_no_narration(printed: Printed, tmp_path: Path) -> None:
    status, _, err = printed("extract", tmp_path)
    assert status == 3
    assert "is a folder" in err


def test_odd_times_are_read_and_told_of(printed: Printed, tmp_path: Path) -> None:
    path = tmp_path / "visit.srt"
    path.write_text(
        "1\n00:00:09,000 --> 00:00:04,000\ncamera in the septic tank inlet upstream\n\n"
        "2\n00:00:02,000 --> 00:00:08,000\ntwo point five crack\n"
    )
    status, out, _ = printed("extract", path, "--json")
    assert status == 0
    assert json.loads(out)["sources"][0]["notes"]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--json", "--csv"], "exclude each other"),
        (["-", "-"], "once only"),
    ],
)
def test_words_that_contradict_each_other_are_refused(printed: Printed, words: list[str], told: str) -> None:
    status, out, err = printed("extract", KITCHEN, *words)
    assert (status, out) == (2, "")
    assert told in err


def test_a_folder_of_other_things_is_no_place_for_a_job(printed: Printed, tmp_path: Path) -> None:
    (tmp_path / "mine.txt").write_text("keep")
    status, out, err = printed("extract", KITCHEN, "--into", tmp_path)
    assert (status, out) == (5, "")
    assert "is no job" in err
    assert [path.name for path in tmp_path.iterdir()] == ["mine.txt"]


@pytest.mark.skipif(os.name == "nt", reason="pipes end otherwise there")
@pytest.mark.parametrize("form", [[], ["--json"]], ids=["table", "json"])
def test_a_reader_that_goes_away_is_no_matter_for_words(form: list[str]) -> None:
    reading, writing = os.pipe()
    os.close(reading)
    try:
        done = subprocess.run([*COMMAND, "extract", WASH_BLOCK, *form], stdout=writing, stderr=subprocess.PIPE)
    finally:
        os.close(writing)
    assert (done.returncode, done.stderr) == (BROKEN_PIPE, b"")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="only Linux has a file that is always full")
@pytest.mark.parametrize("form", [[], ["--json"]], ids=["table", "json"])
def test_a_full_disk_behind_standard_output_is_told(form: list[str]) -> None:
    with Path("/dev/full").open("wb") as full:
        done = subprocess.run([*COMMAND, "extract", KITCHEN, *form], stdout=full, stderr=subprocess.PIPE)
    assert (done.returncode, done.stderr) == (1, b"rodnote: standard output: no space left on device.\n")


@pytest.mark.skipif(os.name == "nt", reason="named pipes are made otherwise there")
def test_a_named_pipe_is_read_once_and_kept(tmp_path: Path) -> None:
    pipe = tmp_path / "visit.txt"
    os.mkfifo(pipe)
    words = [*COMMAND, "extract", str(pipe), "--into", str(tmp_path / "job")]
    with subprocess.Popen(words, stdout=subprocess.DEVNULL) as process:
        pipe.write_bytes(KITCHEN.read_bytes())
        assert process.wait(30) == 0
    assert open_job(tmp_path / "job").narration_bytes(0) == KITCHEN.read_bytes()


@pytest.mark.skipif(os.name == "nt", reason="signals are sent otherwise there")
def test_ctrl_c_is_quiet_and_leaves_nothing(tmp_path: Path) -> None:
    words = [*COMMAND, "extract", "-", "--into", str(tmp_path / "job")]
    with subprocess.Popen(words, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as process:
        assert process.stdin and process.stderr
        process.stdin.write(b"camera in the septic tank inlet ")
        process.stdin.flush()
        _wait_until_it_reads(process.pid)
        process.send_signal(signal.SIGINT)
        assert process.wait(10) == INTERRUPTED
        assert process.stderr.read() == b""
    assert list(tmp_path.iterdir()) == []


def _wait_until_it_reads(pid: int) -> None:
    """Until the process has loaded its libraries and sleeps; where the system does not tell, a while."""
    stat = Path(f"/proc/{pid}/stat")
    asleep = 0
    for _ in range(200):
        time.sleep(0.05)
        if not stat.exists():
            continue
        asleep = asleep + 1 if stat.read_text().rpartition(")")[2].split()[0] == "S" else 0
        if asleep >= 6:
            return


def test_python_dash_m_is_the_same_command() -> None:
    assert rodnote("--version", check=True).stdout.startswith(b"rodnote ")
