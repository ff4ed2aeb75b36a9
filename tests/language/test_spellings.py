"""Broad speech as it is written down becomes plain words, each at its place in the narration."""

import pytest

from extractor.language.spellings import spellings
from extractor.language.tokens import tokenise
from tests.understanding.spoken import lexicon, narration_of, record_of


@pytest.mark.parametrize(
    ("written", "plain"),
    [
        ("fae the chamber doon tae the street", "from the chamber down to the street"),
        ("i hadnae reached it", "i had not reached it"),
        ("it's holdin water", "it is holding water"),
        ("orright then", "all right then"),
        ("the thin bit by the cabin", "the thin bit by the cabin"),  # no dropped "g"
    ],
)
def test_plain_words(written: str, plain: str) -> None:
    assert " ".join(tokenise(narration_of(written), spellings=spellings(lexicon())).words) == plain


def test_each_word_keeps_its_place() -> None:
    text = "i hadnae reached it"
    speech = tokenise(narration_of(text), spellings=spellings(lexicon()))
    assert [text[a:b] for a, b in zip(speech.first_chars, speech.last_chars, strict=True)] == [
        "i", "hadnae", "hadnae", "reached", "it"
    ]  # fmt: skip
    assert list(speech.word_of) == [0, 1, 1, 2, 3]


def test_a_finding_in_broad_speech_is_quoted_as_spoken() -> None:
    record = record_of(
        "camera's in the gully goin doon tae the sewer at four point two there's roots hingin in the joint"
    )
    (row,) = record.observations
    assert (row.condition, row.component, row.from_m) == ("root_intrusion", "joint", 4.2)
    assert row.quote in "four point two there's roots hingin in the joint"


@pytest.mark.parametrize(
    ("said", "plain"),
    [
        ("let's look there's a crack", "let us look there is a crack"),
        ("there's a crack let's look", "there is a crack let us look"),
    ],
)
def test_a_short_word_is_read_by_its_own_place(said: str, plain: str) -> None:
    """ "'s" is "us" behind "let" only, whichever comes first in the narration."""
    assert " ".join(tokenise(narration_of(said)).words) == plain
