"""`rodnote compare` on two visits of one invented line (fixtures/trade), from narration to table."""

import json
from pathlib import Path

import pytest

from extractor.cli.main import run

VISITS = Path(__file__).parents[2] / "fixtures" / "trade"


@pytest.fixture(scope="module")
def jobs(tmp_path_factory: pytest.TempPathFactory) -> tuple[str, str]:
    """The two visits as jobs."""
    folder = tmp_path_factory.mktemp("jobs")
    for name in ("1-spring", "2-autumn"):
        assert run(["extract", str(VISITS / f"{name}.txt"), "--into", str(folder / name)]) == 0
    return str(folder / "1-spring"), str(folder / "2-autumn")


def test_the_changes_are_told_in_a_table(jobs: tuple[str, str], capfd: pytest.CaptureFixture[str]) -> None:
    assert run(["compare", *jobs]) == 0
    out = " ".join(capfd.readouterr().out.split())
    assert "was crack, is fracture" in out and "Nothing is called gone unless it was said to be clear" in out


def test_the_changes_as_json_hold_each_once(jobs: tuple[str, str], capfd: pytest.CaptureFixture[str]) -> None:
    assert run(["compare", *jobs, "--json"]) == 0
    changes = json.loads(capfd.readouterr().out)["changes"]
    told = {(change["status"], change["what"]) for change in changes}
    assert ("gone", "missing part, baffle") in told  # gone in spring, in place in autumn
    old_rows = [row for change in changes for row in change["old_rows"]]
    assert len(old_rows) == len(set(old_rows))


def test_something_that_is_no_job_is_refused(
    tmp_path: Path, jobs: tuple[str, str], capfd: pytest.CaptureFixture[str]
) -> None:
    assert run(["compare", str(tmp_path), jobs[1]]) == 5
    assert "is no job folder" in capfd.readouterr().err
