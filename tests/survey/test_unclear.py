"""A word that makes no sense where something was seen: asked about, never made a row."""

import pytest

from tests.understanding.spoken import record_of

FRAME = "camera's in the gully by the gate heading downstream {} and that's us at the main at nine metres"

ASKED = [
    ("at 4.2 there's a sort of a walrus on the left hand side", "walrus"),
    ("at four point two there's a bit of old waltz stuck to the side", "waltz"),
    ("4.2 there's some kind of a teapot on the right wall", "teapot"),
    ("at 4.2 a gazelle in the wall of the pipe no idea", "gazelle"),
    ("and then there's a pelican hanging down at 4.2", "pelican"),
    ("junction at 2.1 and then a walrus at 4.2", "walrus"),
    ("at 4.2 there's a then at the bottom", "then"),
]
NOT_ASKED = [
    "at 4.2 there's a bit of silt on the left hand side",
    "at 4.2 there's a walrus of a root ball on the left",
    "there's a dog on the left of the path at 4.2 a joint",
    "the walrus told me there's a junction at 4.2",
    "i'll bring the walrus tomorrow at 4.2 there's a crack",
    "is there a walrus on the left",
]


@pytest.mark.parametrize(("say", "word"), ASKED)
def test_a_noun_nobody_knows_is_asked_about(say: str, word: str) -> None:
    record = record_of(FRAME.format(say))
    queries = [query for query in record.queries if query.reason == "unclear_word"]
    assert len(queries) == 1
    assert word in queries[0].quote
    assert queries[0].question
    assert queries[0].answers[-1].label == "leave it out"


@pytest.mark.parametrize(("say", "word"), ASKED[:4])
def test_it_makes_no_row(say: str, word: str) -> None:
    record = record_of(FRAME.format(say))
    assert not [row for row in record.observations if row.condition is not None]


@pytest.mark.parametrize("say", NOT_ASKED)
def test_what_is_known_or_not_reported_is_not_asked_about(say: str) -> None:
    record = record_of(FRAME.format(say))
    assert "unclear_word" not in [query.reason for query in record.queries]


def test_the_likely_answers_are_what_sounds_near_best_first() -> None:
    record = record_of(FRAME.format("at 4.2 there's a latteral ay on the left"))
    said = [answer.label for query in record.queries for answer in query.answers]
    read = [row.component for row in record.observations]
    assert "junction" in (*said, *read)


def test_words_that_led_to_nothing_are_kept() -> None:
    record = record_of(FRAME.format("at 4.2 there's a walrus on the left and a joint at 5.1"))
    text = record.sources[0].text
    assert [text[piece.first_char : piece.last_char] for piece in record.unread] == ["walrus"]


def test_plans_and_talk_leave_nothing_unread() -> None:
    record = record_of(FRAME.format("i'll bring the walrus tomorrow at 4.2 a joint"))
    text = record.sources[0].text
    assert "walrus" not in [text[piece.first_char : piece.last_char] for piece in record.unread]
