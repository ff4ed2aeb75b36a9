"""Confidence: signs lower it, plain statements keep it high, and who is less sure is asked about."""

import pytest

from extractor.pipeline import read
from extractor.survey.confidence import PLAIN_SIGNS, Weights, ask_about, shipped_weights
from tests.understanding.spoken import lexicon, narration_of, reading_of, record_of

FRAME = "camera's in the gully by the gate heading downstream {} and that's us at the main at twelve metres"


def test_the_sum_of_the_weights_becomes_a_probability() -> None:
    """The logistic curve: 0 is even odds, ln 3 is three to one."""
    weights = Weights(0.0, {"far": -1.0986122886681098, "near": 1.0986122886681098}, 0.5)
    assert weights.confidence(()) == 0.5
    assert weights.confidence(("near",)) == pytest.approx(0.75)
    assert weights.confidence(("far",)) == pytest.approx(0.25)
    assert weights.confidence(("far", "near", "never weighed")) == pytest.approx(0.5)


def test_every_row_has_a_confidence() -> None:
    record = record_of(FRAME.format("at 2.1 there's a junction at 4.2 there's a crack no roots on the whole line"))
    assert record.observations
    assert all(row.confidence is not None and 0 < row.confidence < 1 for row in record.observations)


@pytest.mark.parametrize(
    ("say", "sign"),
    [
        ("at 4.2 there's roots pushing in hard through a joint", "component behind, in it"),
        ("at 6.2 there's a joint at 4.1 there's a bend", "out of order"),
        ("at 2.1 a joint the walrus quagga is here there's a crack", "many words unread"),
    ],
)
def test_a_sign_is_seen(say: str, sign: str) -> None:
    reading = reading_of(FRAME.format(say))
    shown = {sign for rated in reading.rated for sign in rated.signs}
    taken = any(row.component == "joint" and row.condition == "root_intrusion" for row in reading.rows)
    assert sign in shown or (sign.startswith("component") and taken)  # where the part is taken there is nothing to see


@pytest.mark.parametrize(
    "say",
    [
        "at 2.1 there's a bend",
        "at 4.2 there's a crack at three o'clock",
        "at 2.1 there's a junction at 4.2 light scale and at 6.1 a displaced joint",
        "at 4.2 a junction and a crack",
    ],
)
def test_plain_statements_are_sure_enough_not_to_be_asked_about(say: str) -> None:
    reading = reading_of(FRAME.format(say))
    assert not [query for query in reading.queries if query.by_confidence]


def test_the_least_sure_is_asked_first_and_words_once() -> None:
    reading = reading_of(
        FRAME.format("at 6.2 there's a joint at 4.1 there's a bend it was cracked and roots through a joint")
    )
    queries = ask_about(reading.rated, reading.clauses, (), 1.0)
    rows = {id(rated.row): rated.confidence for rated in reading.rated}
    sure = [rows[id(query.row)] for query in queries]
    assert sure == sorted(sure)
    assert len({id(query.row) for query in queries}) == len(queries)
    assert all(not PLAIN_SIGNS.issuperset(query.signs) for query in queries)


def test_nobody_is_asked_below_nothing() -> None:
    reading = reading_of(FRAME.format("at 6.2 there's a joint at 4.1 there's a bend"))
    assert ask_about(reading.rated, reading.clauses, (), 0.0) == []


def test_the_shipped_weights_ask_about_some_but_not_all() -> None:
    weights = shipped_weights()
    assert 0.3 < weights.ask_below < 0.95
    assert weights.confidence(()) > weights.ask_below
    assert weights.signs["no distance"] < 0


def test_reading_is_the_same_twice() -> None:
    narration = narration_of(FRAME.format("at 6.2 there's a joint at 4.1 there's a bend"))
    first, second = (read(narration, lexicon()) for _ in range(2))
    assert [rated.confidence for rated in first.rated] == [rated.confidence for rated in second.rated]
