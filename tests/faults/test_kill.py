"""kill -9 before every step that writes: what is there is whole, nothing decided is lost, it can all be run again."""

import shutil
from collections.abc import Callable
from pathlib import Path

from extractor.cli.main import run
from extractor.errors import JobError
from extractor.job.apply import reviewed_record
from extractor.job.folder import create_job, open_job
from extractor.lexicon.load import load_lexicon
from extractor.narration.choose import read_bytes
from extractor.pipeline import extract

from .forked import every_kill, needs_fork

pytestmark = needs_fork


def decided(job: Path) -> bytes:
    return (job / "decisions.jsonl").read_bytes()


def storing(place: Path, folder: Path, *names: str) -> Callable[[], object]:
    """Store the narrations of these names with their record in `folder`; all that is read is read now."""
    sources = [(name, (place / name).read_bytes()) for name in names]
    record = extract([read_bytes(data, name) for name, data in sources], load_lexicon())
    return lambda: create_job(folder, sources, record) and 0


def test_a_new_job_is_there_whole_or_not_at_all(place: Path) -> None:
    job = place / "new"

    def look() -> None:
        if job.exists():
            open_job(job)
            shutil.rmtree(job)

    assert every_kill(storing(place, job, "visit.txt"), place, look) > 8
    assert open_job(job).record.runs


def test_storing_again_keeps_decisions_and_narrations_and_can_be_done_again(place: Path) -> None:
    job, pristine = place / "job", place / "pristine"
    shutil.copytree(job, pristine)
    states = []

    def look() -> None:
        assert decided(job) == decided(pristine)
        assert (job / "narrations" / "visit.txt").read_bytes() == (place / "visit.txt").read_bytes()
        try:
            states.append(len(open_job(job).record.sources))
            reviewed_record(open_job(job))
        except JobError as error:  # between card and record: it says so, and how to go on
            assert "other narrations" in error.what
            assert "rodnote extract" in error.todo
            states.append(0)
            given = map(str, sorted((job / "narrations").glob("[!.]*")))
            assert run(["extract", *given, "--into", str(job)]) == 0  # and that mends it
            assert reviewed_record(open_job(job)).standing
        shutil.rmtree(job)
        shutil.copytree(pristine, job)

    assert every_kill(storing(place, job, "visit.txt", "more.txt"), job, look) > 5
    assert states.count(0) <= 1, "the card waits for its record at one moment only"
    opened = open_job(job)
    assert len(opened.record.sources) == 2
    assert len(reviewed_record(opened).standing) == 1


def test_a_report_killed_at_any_step_leaves_a_sound_job_and_whole_files(place: Path) -> None:
    job = place / "job"
    command = ["report", str(job), "--format", "csv,json"]
    shutil.rmtree(job / "reports")
    assert run(command) == 0
    whole = {path.name: path.read_bytes() for path in (job / "reports").iterdir()}

    def look() -> None:
        open_job(job)
        for path in (job / "reports").glob("[!.]*"):
            assert path.read_bytes() == whole[path.name]
        shutil.rmtree(job / "reports", ignore_errors=True)

    assert every_kill(lambda: run(command), job, look) > 5


def test_a_copy_to_share_is_never_half_redacted(place: Path) -> None:
    """Whatever the moment, no private word stands in what was written so far."""
    copy = place / "share"

    def look() -> None:
        for path in (each for each in place.glob("*share*/**/*") if each.is_file()):
            assert b"Quayle" not in path.read_bytes()
        for left in place.glob("*share*"):
            shutil.rmtree(left)

    assert every_kill(lambda: run(["redact", str(place / "job"), "--into", str(copy)]), place, look) > 8
    assert open_job(copy).record.observations
