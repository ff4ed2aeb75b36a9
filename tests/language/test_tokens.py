"""Tokens: what is left out before anything is read."""

import pytest

from extractor.pipeline import read
from tests.understanding.spoken import lexicon, narration_of


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ("um there's er a crack", "there is a crack"),
        ("a massive you know belly", "a massive belly"),
        ("that's the end of the you know cable", "that is the end of the cable"),
        ("if you know what i mean", "if you know what i mean"),
        ("i'll let you know", "i will let you know"),
        ("it's basically a crack", "it is a crack"),
    ],
)
def test_idle_words_are_left_out(said: str, words: str) -> None:
    assert " ".join(read(narration_of(said), lexicon()).speech.words) == words


def test_what_is_left_out_is_still_quoted() -> None:
    reading = read(narration_of("camera in the gully downstream at 4.2 a massive you know crack"), lexicon())
    assert reading.speech.quote(reading.rows[0].start, reading.rows[0].end) == "4.2 a massive you know crack"
