"""The system refuses to write: no space, no rights. One line says so, and what stood there before still stands."""

from collections.abc import Callable
from pathlib import Path

import pytest

from extractor.cli.main import run
from extractor.job.apply import reviewed_record
from extractor.job.folder import open_job

from .forked import file_size_limit, in_child, needs_fork, without_rights

pytestmark = needs_fork

LIMITS = (0, 40, 700, 2500)  # bytes: in the first file, in a later one

COMMANDS = {
    "extract": ["extract", "visit.txt", "more.txt", "--into", "job"],
    "extract new": ["extract", "visit.txt", "--into", "new"],
    "report": ["report", "job", "--format", "csv,json"],
    "redact": ["redact", "job", "--into", "share"],
    "decide": ["decide", "job", "--who", "Zoë", "--row", "O1", "--set", "extent=slight"],
}


def files(folder: Path) -> dict[str, bytes]:
    """Files that count: the lock of a review holds nothing."""
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and not path.name.startswith(".review")
    }


def told_in_one_line(text: str) -> bool:
    return text.startswith("rodnote: ") and text.count("\n") == 1 and "Traceback" not in text


@pytest.mark.parametrize("limit", LIMITS)
@pytest.mark.parametrize("name", COMMANDS)
def test_a_disk_that_is_full(name: str, limit: int, place: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(place)
    before = files(place)
    status, told = in_child(lambda: run(COMMANDS[name]), file_size_limit(limit))
    after = files(place)
    if status == 0:  # all it wrote was small enough
        assert limit > 0
        return
    assert status in (1, 5, 6)
    assert told_in_one_line(told), told
    assert "file too large" in told
    for path, data in after.items():  # each file as before, or new and whole
        assert data == before.get(path, data)
        assert ".unfinished" not in path
    assert not (place / "new").exists()
    assert reviewed_record(open_job(place / "job")).record


@pytest.mark.parametrize("limit", [0, 40, 700])
def test_no_limit_is_so_wide_that_the_test_above_tests_nothing(limit: int, place: Path) -> None:
    command = ["extract", str(place / "visit.txt"), "--into", str(place / "new")]
    assert in_child(lambda: run(command), file_size_limit(limit))[0] != 0


@pytest.mark.parametrize("name", COMMANDS)
def test_a_folder_that_is_read_only(name: str, place: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(place)
    before = files(place)
    for path in (place, *place.rglob("*")):
        path.chmod(0o555 if path.is_dir() else 0o444)
    status, told = in_child(lambda: run(COMMANDS[name]), without_rights)
    assert status in (5, 6), told
    assert told_in_one_line(told), told
    assert "permission denied" in told
    assert files(place) == before


@pytest.mark.parametrize("prepare", [file_size_limit(0), without_rights], ids=["full", "read-only"])
def test_a_batch_that_can_not_write_says_so_and_goes_on_later(prepare: Callable[[], None], place: Path) -> None:
    from extractor.archive.batch import run_batch
    from tests.archive.in_process import in_process

    recordings, out = place / "recordings", place / "set"
    recordings.mkdir()
    (recordings / "visit.txt").write_bytes((place / "visit.txt").read_bytes())
    run_batch(recordings, place / "warm", in_process)
    run_batch(recordings, out, in_process)
    (recordings / "more.txt").write_bytes((place / "more.txt").read_bytes())
    for path in (out, *out.rglob("*")):
        path.chmod(0o555 if path.is_dir() else 0o444)
    before = {path: data for path, data in files(out).items() if path != ".batch.lock"}

    def batch() -> int:
        from extractor.errors import JobError

        try:
            run_batch(recordings, out, in_process)
        except JobError as error:
            assert "can't be written" in error.what
            return 5
        return 0

    status, told = in_child(batch, prepare)
    assert status == 5, told
    after = {path: data for path, data in files(out).items() if path != ".batch.lock"}
    assert {path: after[path] for path in before} == before
    for path in (out, *out.rglob("*")):
        path.chmod(0o755 if path.is_dir() else 0o644)
    done = run_batch(recordings, out, in_process)
    assert done.read + done.kept == 2
