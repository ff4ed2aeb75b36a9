"""A job with decisions and a visit.toml, as a template that each test copies."""

import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from extractor.cli.main import run
from extractor.job.answers import change_deed
from extractor.job.apply import apply_decisions
from extractor.job.decision_log import DecisionLog
from extractor.job.folder import open_job

TALK = """[0:00] camera going in the inlet of the septic tank heading upstream it's hundred mil pvc
[0:10] one point two junction on the left that's fine
[0:20] five point five heavy roots in the joint
[0:30] might be a crack i'm not sure
[0:40] nine point one and that's the toilet so that's the end of that one
"""
MORE = "[0:00] camera in at the gully going downstream\n[0:10] three point six wipes hung up on the joint\n"
VISIT = 'firm = "Bright Drains"\nclient = "Ms Quayle"\ndate = 2026-03-12\n'


@pytest.fixture(scope="session")
def template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("template")
    (folder / "visit.txt").write_text(TALK, encoding="utf-8")
    (folder / "more.txt").write_text(MORE, encoding="utf-8")
    assert run(["extract", str(folder / "visit.txt"), "--into", str(folder / "job")]) == 0
    job = open_job(folder / "job")
    (job.folder / "visit.toml").write_text(VISIT, encoding="utf-8")
    with DecisionLog(job, "Ann") as log:
        row = next(row.id for row in job.record.observations if row.run and row.condition == "root_intrusion")
        log.take(change_deed(row, apply_decisions(job.record, ()), {"extent": "moderate"}))
    # what a child will need is loaded here, so that it reads no module after its rights are gone
    for words in (["report", "--format", "csv,json"], ["redact", "--into", str(folder / "copy")], ["decide", "--show"]):
        assert run([words[0], str(folder / "job"), *words[1:]]) == 0
    shutil.rmtree(folder / "copy")
    return folder


@pytest.fixture
def place(template: Path) -> Iterator[Path]:
    """A folder that anyone may reach, with the template's narrations and job."""
    folder = Path(tempfile.mkdtemp(prefix="rodnote-faults."))
    folder.chmod(0o755)
    shutil.copytree(template, folder, dirs_exist_ok=True)
    folder.chmod(0o755)
    yield folder
    for path in (folder, *folder.rglob("*")):
        if path.is_dir() and not path.is_symlink():
            path.chmod(0o755)
    shutil.rmtree(folder, ignore_errors=True)
