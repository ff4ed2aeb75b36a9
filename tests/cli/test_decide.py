"""`rodnote decide`, `rodnote review --plain` and `rodnote lexicon add`: what a script does with a job."""

import json
from pathlib import Path
from typing import Any

import pytest

from extractor.cli.main import run
from extractor.job.apply import reviewed_record
from extractor.job.decision_log import DecisionLog
from extractor.job.decisions import Deed, read_log
from extractor.job.folder import Job, open_job
from extractor.job.naming import rows_of
from tests.review.made_visit import made_job


@pytest.fixture
def job(tmp_path: Path) -> Job:
    return made_job(tmp_path / "ferry-house")


def decide(job: Job, *words: str) -> int:
    return run(["decide", str(job.folder), "--who", "Zoë", *words])


def rows(job: Job) -> dict[str, Any]:
    return dict(rows_of(reviewed_record(open_job(job.folder)).record))


def test_show_prints_queries_answers_and_rows_and_takes_no_lock(job: Job, capfd: pytest.CaptureFixture[str]) -> None:
    with DecisionLog(job, "Ann"):
        assert decide(job, "--show") == 0
    shown = json.loads(capfd.readouterr().out)
    assert [each["id"] for each in shown["queries"]] == ["Q5", "Q2", "Q4", "Q3", "Q9", "Q6", "Q1", "Q7", "Q8"]
    assert shown["queries"][1]["answers"][0] == "yes, a displaced joint"
    assert shown["sign_off"] is None
    assert "O4" in [each["id"] for each in shown["rows"]]


def test_each_kind_of_decision(job: Job, capfd: pytest.CaptureFixture[str]) -> None:
    for words in (
        ("--query", "Q2", "--answer", "1"),
        ("--query", "Q3", "--value", "14 ft 2"),
        ("--query", "Q7", "--value", "silt"),
        ("--row", "O4", "--set", "from_m=six point three", "--set", "extent=moderate", "--set", "clock=9 to 3"),
        ("--row", "O5", "--reject"),
        ("--row", "O8", "--merge", "O10"),
        ("--row", "O9", "--set", "run=R1"),
        ("--row", "O1", "--split", "--set", "condition=crack"),
        ("--add", "the fellow with the dog", "--set", "condition=vermin", "--set", "run=R2", "--set", "from_m=3"),
    ):
        assert decide(job, *words) == 0, (words, capfd.readouterr().err)
    now = rows(job)
    assert now["O2"].certainty == "stated"
    assert now["O3"].from_m == 4.318
    assert (now["O4"].from_m, now["O4"].extent, now["O4"].clock) == (6.3, "moderate", (9, 3))
    assert "O5" not in now and "O10" not in now
    assert now["O9"].run == "R1"
    made = [row for id, row in now.items() if id.startswith("N-")]
    assert sorted(row.condition for row in made) == ["crack", "vermin"]
    assert len(read_log(job.decisions).decisions) == 9
    assert decide(job, "--undo") == 0
    assert "undone: row added" in capfd.readouterr().out
    assert len([id for id in rows(job) if id.startswith("N-")]) == 1


@pytest.mark.parametrize(
    ("words", "status", "why"),
    [
        ((), 2, "give one of"),
        (("--undo", "--show"), 2, "give one of"),
        (("--query", "Q99", "--answer", "1"), 5, "no open query Q99"),
        (("--query", "Q2"), 2, "needs --answer N or --value"),
        (("--query", "Q2", "--answer", "9"), 5, "answers 1 to 3"),
        (("--query", "Q3", "--value", "nope"), 5, "no distance"),
        (("--query", "Q7", "--value", "xyzzy"), 5, "no word of the lexicon"),
        (("--row", "O99", "--reject"), 5, "no row O99"),
        (("--row", "O4"), 2, "--row needs one of"),
        (("--row", "O4", "--set", "from_m=12"), 5, "R1 ended at 8.5 m"),
        (("--row", "O4", "--set", "condition=dragon"), 5, "no condition that the lexicon knows"),
        (("--row", "O4", "--set", "colour=red"), 5, "no field 'colour'"),
        (("--row", "O4", "--set", "run=R9"), 5, "no run R9"),
        (("--row", "O4", "--set", "nonsense"), 2, "FIELD=VALUE"),
        (("--add", "never said", "--set", "condition=crack"), 5, "was not said"),
        (("--add", "the", "--set", "condition=crack"), 5, "times said"),
        (("--sign-off",), 5, "9 harmful queries are open"),
        (("--undo",), 5, "no decision of yours"),
        (("--take-in", "nowhere"), 5, "no log of decisions"),
    ],
)
def test_what_can_not_be_done_is_one_line_and_changes_nothing(
    job: Job, capfd: pytest.CaptureFixture[str], words: tuple[str, ...], status: int, why: str
) -> None:
    assert decide(job, *words) == status
    err = capfd.readouterr().err
    assert why in err and err.count("\n") == 1
    assert not read_log(job.decisions).decisions


def test_sign_off_with_a_reason(job: Job, capfd: pytest.CaptureFixture[str]) -> None:
    assert decide(job, "--sign-off", "--because", "client waits") == 0
    assert "signed off by Zoë" in capfd.readouterr().out


def test_anothers_log_is_taken_in(job: Job, tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    other = made_job(tmp_path / "other")
    assert run(["decide", str(other.folder), "--who", "Ann", "--row", "O4", "--set", "extent=slight"]) == 0
    assert decide(job, "--row", "O4", "--set", "extent=moderate") == 0
    assert decide(job, "--take-in", str(other.folder)) == 0
    out = capfd.readouterr().out
    assert "1 decisions taken in, 0 known already" in out and "1 queries came of it" in out
    assert len(read_log(job.decisions).decisions) == 2


def test_a_job_that_is_open_elsewhere_is_told_by_whom(job: Job, capfd: pytest.CaptureFixture[str]) -> None:
    with DecisionLog(job, "Ann"):
        assert decide(job, "--row", "O4", "--reject") == 5
    assert "open for review by Ann" in capfd.readouterr().err


def test_review_needs_a_terminal_or_plain(job: Job, capfd: pytest.CaptureFixture[str]) -> None:
    assert run(["review", str(job.folder), "--who", "Zoë"]) == 2
    assert "--plain" in capfd.readouterr().err


def test_lexicon_add_from_jobs_and_by_hand(job: Job, tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    mine = tmp_path / "mine"
    for query in ("Q7", "Q8"):
        assert decide(job, "--query", query, "--answer", "1") == 0
    assert run(["lexicon", "add", "--from", str(job.folder), "--to", str(mine), "--yes"]) == 0
    assert 'misheard = ["sultan"]' in (mine / "taught-condition.toml").read_text(encoding="utf-8")
    assert run(["lexicon", "add", "--from", str(job.folder), "--to", str(mine), "--yes"]) == 0
    assert "nothing was answered twice" in capfd.readouterr().out
    assert run(["lexicon", "add", "Mudpie", "--as", "settled_deposit", "--spoken", "--to", str(mine)]) == 0
    assert run(["lexicon", "check", str(mine)]) == 0
    assert run(["lexicon", "find", "mudpie", "--lexicon", str(mine)]) == 0
    assert "mudpie: condition settled_deposit" in capfd.readouterr().out
    for word in ("mudpie", "sultan"):
        assert run(["lexicon", "add", word, "--as", "settled_deposit", "--to", str(mine), "--remove"]) == 0
    assert not list(mine.iterdir())
    assert run(["lexicon", "add", "mudpie", "--to", str(mine)]) == 2


def test_a_log_of_a_newer_program_is_told(job: Job, capfd: pytest.CaptureFixture[str]) -> None:
    from extractor.job.decisions import Decision, line_of

    newer = Decision(**Deed(kind="settle").model_dump(exclude_unset=True), schema=9, id="0" * 16, when="x", who="y")
    job.decisions.write_bytes(line_of(newer))
    assert decide(job, "--show") == 5
    assert "newer rodnote (schema 9" in capfd.readouterr().err
