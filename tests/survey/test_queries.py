"""Queries: what a person must decide, and nothing else; each with a question, and answers that set what they say."""

import pytest

from extractor.record import Query, Record
from tests.understanding.spoken import Case, cases, compare, params, record_of

CARRIER = "camera's in the gully heading downstream {say} and that's us at the main at 12 metres"
FRAME = "camera's in the gully by the gate heading downstream {} and that's us at the main at twelve metres"


def queries_of(say: str) -> tuple[Record, list[Query]]:
    record = record_of(FRAME.format(say))
    return record, [query for query in record.queries if not query.rules]


@pytest.mark.parametrize("case", params(cases("survey_queries")))
def test_survey_queries(case: Case) -> None:
    compare(case, "query", carrier=CARRIER)


ONE = [
    (
        "no_distance",
        "at 2.1 a junction there was a crack back there somewhere too but i didn't get the number on it",
        "crack",
    ),
    ("conflict", "it's hundred and fifty mil clay at 2.2 a joint this hundred mil clay carries on", "hundred mil clay"),
    ("conflict", "at 4.1 there's a crack at 5.1 a bend and no cracks on the whole line", "no cracks"),
    ("counter", "at 6.2 there's a joint at 4.1 there's a bend", "4.1"),
    ("unit", "at 6.2 there's a step in the joint of about fifteen metres", "fifteen metres"),
    ("doubt", "at 6.2 that could be a crack", "crack"),
    ("doubt", "at 6.2 i don't think that's a crack", "crack"),
    ("unclear_word", "at 6.2 there's a walrus stuck to the side", "walrus"),
]
NONE = [
    "at 2.1 there's a junction at 4.2 there's a crack at three o'clock",
    "hundred mil clay at 2.2 it tapers up to a hundred and fifty mil",
    "at 4.1 there's a crack and no roots on the whole line",
    "at 6.2 there's a joint i should say there was a bend at 4.1 on the way",
    "at 6.2 there's a step in the joint of about fifteen mil",
]


@pytest.mark.parametrize(("reason", "say", "words"), ONE)
def test_each_reason_is_asked_about_the_words_in_question(reason: str, say: str, words: str) -> None:
    _, queries = queries_of(say)
    asked = [query for query in queries if query.reason == reason]
    assert len(asked) == 1
    assert words in asked[0].quote
    assert asked[0].question.endswith(("?", "."))
    assert len({answer.label for answer in asked[0].answers}) == len(asked[0].answers) >= 1


@pytest.mark.parametrize("say", NONE)
def test_plain_statements_are_not_asked_about(say: str) -> None:
    _, queries = queries_of(say)
    assert [query.reason for query in queries] == []


def test_one_of_several_is_asked_in_advice_with_each_place_as_an_answer() -> None:
    record = record_of(
        "camera's in the gully heading downstream at 2.1 there's an open joint at 4.2 another open joint "
        "and that's us at the main at nine metres i'd recommend a patch on that open joint"
    )
    asked = [query for query in record.queries if query.reason == "which_one"]
    assert len(asked) == 1
    assert asked[0].quote == "that open joint"
    assert [answer.label for answer in asked[0].answers][:2] == ["the one at 2.10 m", "the one at 4.20 m"]


def test_two_depths_of_one_structure_are_asked_about() -> None:
    record = record_of(
        "lid off the manhole it's 900 mil deep camera in the manhole heading downstream at 2.1 a joint and that's us "
        "at the main at nine metres back at the manhole it's 1200 mil deep for the sheet"
    )
    asked = [query for query in record.queries if query.reason == "conflict"]
    assert [query.about for query in asked] == ["depth said as 0.90 m, then as 1.20 m"]


def test_answers_to_a_doubt_keep_settle_or_reject_the_row() -> None:
    record, queries = queries_of("at 6.2 that could be a crack")
    (query,) = (query for query in queries if query.reason == "doubt")
    assert [answer.sets for answer in query.answers] == [{}, {"certainty": "stated"}, None]
    assert query.row in {row.id for row in record.observations if row.condition == "crack"}


def test_another_unit_sets_the_value() -> None:
    _, queries = queries_of("at 6.2 there's a step in the joint of about fifteen metres")
    (query,) = (query for query in queries if query.reason == "unit")
    assert {"low": 0.015, "high": 0.015} in [answer.sets for answer in query.answers]


def test_every_query_quotes_the_narration_and_names_a_row_of_the_record() -> None:
    record, _ = queries_of("at 6.2 that could be a crack at 4.1 there's a bend then a walrus on the left at 5.5")
    rows = {row.id for row in record.observations}
    assert record.queries
    assert all(query.quote in record.sources[0].text for query in record.queries)
    assert all(query.row is None or query.row in rows for query in record.queries)
