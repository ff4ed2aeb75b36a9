"""Clauses: speech without full stops cut where sense ends, and what the speaker does in each."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from extractor.survey.stages import Reading
from tests.understanding.spoken import Case, cases, params, reading_of

CASES = cases("acts")
ROWS = ("report", "moving")  # the acts in which a thing seen is a row
ACTS = {
    "report",
    "plan",
    "question",
    "talk",
    "general",
    "earlier",
    "main_issue",
    "recommendation",
    "closing",
    "hearsay",
}


def act_of(reading: Reading, word: str) -> str:
    token = reading.speech.words.index(word)
    return next(clause.act for clause in reading.clauses if clause.start <= token < clause.end)


@pytest.mark.parametrize("case", params(CASES))
def test_what_the_speaker_does(case: Case) -> None:
    reading = reading_of(case["say"])
    for told in case["act"]:
        word, _, wanted = told.partition(": ")
        act = act_of(reading, word)
        assert act not in ROWS if wanted == "no report" else act == wanted, f"{word}: {act}"


WORDS = (
    "at there's a crack and then roots in the joint 4.2 no i'll jet that but because is it good last year okay".split()
)


@settings(max_examples=150, deadline=None, derandomize=True)
@given(st.lists(st.sampled_from(WORDS), min_size=1, max_size=25))
def test_any_words_are_cut_into_clauses_that_cover_each_word_once(words: list[str]) -> None:
    reading = reading_of(" ".join(words))
    assert [clause.start for clause in reading.clauses] == [0, *(clause.end for clause in reading.clauses[:-1])]
    assert reading.clauses[-1].end == len(reading.speech)
    assert all(clause.start < clause.end and clause.act for clause in reading.clauses)


@pytest.mark.parametrize(
    ("say", "first", "second"),
    [
        ("at 2.2 there's a joint that's fine and then a bend at 3.3", "joint", "bend"),
        ("there's a joint at 2.2 but no roots in it", "joint", "roots"),
        ("okay there's a joint at 2.2 right now we're at the main", "joint", "main"),
        ("i've lifted the lid camera's in the outlet", "lid", "outlet"),
        ("roots at 2.2 so i ran the cutter", "roots", "cutter"),
    ],
)
def test_a_clause_ends_where_another_thing_is_done(say: str, first: str, second: str) -> None:
    reading = reading_of(say)
    homes = [
        next(index for index, clause in enumerate(reading.clauses) if clause.start <= token < clause.end)
        for token in (reading.speech.words.index(first), reading.speech.words.index(second))
    ]
    assert homes[0] < homes[1]
