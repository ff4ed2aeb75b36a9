"""`rodnote explain`: what each stage made of a stretch of the narration."""

import pytest

from extractor.cli.explain import read_times
from extractor.cli.main import run
from extractor.errors import UsageError
from tests.cli.test_extract import WASH_BLOCK


def explained(capfd: pytest.CaptureFixture[str], *words: str) -> str:
    assert run(["explain", str(WASH_BLOCK), *words]) == 0
    return " ".join(capfd.readouterr().out.split())


def test_words_show_their_stages_and_the_claims_with_rules(capfd: pytest.CaptureFixture[str]) -> None:
    out = explained(capfd, "--words", "heavy routes in the joint")
    assert "heard as “routes”" in out
    assert "nine point three" in out
    assert "9.3" in out
    assert "What the record claims from these words" in out
    assert "row O" in out
    assert "rule" in out


def test_a_withdrawn_word_is_shown_with_what_was_kept(capfd: pytest.CaptureFixture[str]) -> None:
    out = explained(capfd, "--words", "seven point two bend no sorry")
    assert "withdrawn" in out
    assert "[seven] [point] [two]" in out


def test_a_doubt_names_the_words_that_made_it(capfd: pytest.CaptureFixture[str]) -> None:
    assert "tentative by “" in explained(capfd, "--words", "crack at the crown")


def test_a_time_shows_only_what_was_said_then(capfd: pytest.CaptureFixture[str]) -> None:
    out = explained(capfd, "--at", "0:55-1:00")
    assert len(out) < len(explained(capfd)) / 4
    assert "lid's off" not in out


def test_without_a_stretch_the_whole_narration_is_shown(capfd: pytest.CaptureFixture[str]) -> None:
    out = explained(capfd)
    assert "lid's off the sceptic tank" in out
    assert "six months" in out


@pytest.mark.parametrize("words", [["--words", "never said so"], ["--at", "59:00-59:30"]])
def test_a_stretch_that_is_not_there_is_told(capfd: pytest.CaptureFixture[str], words: list[str]) -> None:
    assert run(["explain", str(WASH_BLOCK), *words]) == 2
    assert "nothing is said there" in capfd.readouterr().err


@pytest.mark.parametrize(
    ("text", "times"),
    [
        ("1:30-2:00", (90.0, 120.0)),
        ("1:02:03.5-1:02:04", (3723.5, 3724.0)),
        ("90-120", (90.0, 120.0)),
        ("1:30 – 2:00", (90.0, 120.0)),
        ("1:30", (85.0, 95.0)),
    ],
)
def test_times_are_read_as_people_write_them(text: str, times: tuple[float, float]) -> None:
    assert read_times(text) == times


@pytest.mark.parametrize("text", ["", "soon", "2:00-1:30", "1:2-3", "1:30-2:00-2:30", "-1:30"])
def test_what_is_no_stretch_of_time_is_refused(text: str) -> None:
    with pytest.raises(UsageError):
        read_times(text)
