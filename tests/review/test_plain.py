"""The review line by line: the same queries, answered from a pipe."""

import io
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from extractor.job.decisions import read_log
from extractor.job.folder import Job
from extractor.language.measures import MeasureGrammar, measure_grammar
from extractor.lexicon.load import Lexicon, load_lexicon
from extractor.review.plain import review_plain
from extractor.review.session import Session
from tests.review.made_visit import made_job, made_record


@cache
def words() -> tuple[Lexicon, MeasureGrammar]:
    lexicon = load_lexicon()
    return lexicon, measure_grammar(lexicon)


@pytest.fixture
def job(tmp_path: Path) -> Job:
    return made_job(tmp_path / "ferry-house")


def answered(job: Job, *lines: str) -> tuple[str, Session]:
    """What is written when these lines are typed, and the session as it then is."""
    lexicon, grammar = words()
    sink = io.StringIO()
    with Session(job, lexicon, "Zoë") as session:
        review_plain(session, grammar, io.StringIO("".join(f"{line}\n" for line in lines)), sink)
    return sink.getvalue(), session


def test_it_asks_the_most_harmful_first_with_words_times_record_and_answers(job: Job) -> None:
    out, _ = answered(job)
    for part in (
        "9 queries, not signed off",
        "HARMFUL: two statements that can't both stand.",
        "The words deny cracks",
        "«no cracks on the whole line»",
        "1:13",
        "Record: R1, 0 to 8.5 m: no crack; certain",
        "1  what was found stands: drop the denial",
    ):
        assert part in out
    assert "Left; 0 decisions kept." in out


def test_the_whole_way_to_the_sign_off(job: Job) -> None:
    out, session = answered(job, *"111111111", "s")
    assert session.reviewed.sign_off is not None
    assert "“sultan” was answered as “settled deposit” 2 times" in out
    assert out.rstrip().endswith("signed off by Zoë.")


def test_the_end_of_the_lines_leaves_what_was_decided(job: Job) -> None:
    _, session = answered(job, "1", "1")
    assert len(read_log(job.decisions).decisions) == 2
    assert session.reviewed.sign_off is None


def test_other_values_are_typed_or_found(job: Job) -> None:
    out, session = answered(job, "1", "= fracture", "1", "1", "= four point two")
    rows: Any = session.rows
    assert rows["O2"].condition == "fracture"
    assert rows["O3"].from_m == 4.2
    assert "distance none → 4.2 m" in out


def test_what_is_refused_is_told_and_asked_again(job: Job) -> None:
    out, session = answered(job, "1", "1", "1", "= 12", "= roots", "7", "1")
    assert "Not done: O3 can't lie at 12 m: R1 ended at 8.5 m" in out
    assert "Not done: 'roots' is no distance" in out
    assert "there is no answer 7" in out
    assert len(session.reviewed.changes) == 4


def test_later_undo_reject_and_help(job: Job) -> None:
    out, session = answered(job, "l", "x", "u", "?", "hm", "q")
    assert "For later." in out and "Kept: row taken out." in out and "Undone: displaced joint" in out
    assert "means nothing here" in out and "A number takes that answer" in out
    assert "O2" in session.rows


def test_a_sign_off_with_harmful_queries_needs_its_reason(job: Job) -> None:
    out, session = answered(job, "s", "s client waits", "q")
    assert "Not done: 9 harmful queries are open." in out
    signed = session.reviewed.sign_off
    assert signed is not None and signed.because == "client waits"


def test_nothing_that_steers_a_terminal_is_written(tmp_path: Path) -> None:
    query = made_record().queries[4].model_copy(update={"question": "a\x1b[2Jb\u202ec"})
    out, _ = answered(made_job(tmp_path / "job", queries=(query,)))
    assert "a·[2Jb·c" in out and "\x1b" not in out
