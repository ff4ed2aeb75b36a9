"""What a reviewer types is read in any form that is spoken or written, and never guessed."""

from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st

from extractor.errors import DecisionError
from extractor.language.measures import MeasureGrammar, measure_grammar
from extractor.lexicon.load import load_lexicon
from extractor.review.typed import Place, read_clock, read_count, read_metres, read_place, read_value


@cache
def grammar() -> MeasureGrammar:
    return measure_grammar(load_lexicon())


# one foot is 0.3048 m exactly: international yard and pound agreement of 1959
PLACES = [
    ("4.2", "m", Place(4.2)),
    ("four point two", "m", Place(4.2)),
    ("nine two", "m", Place(9.2)),
    ("14 ft 2", "m", Place(4.318)),
    ("14'2\"", "m", Place(4.318)),
    ("4.2 m", "m", Place(4.2)),
    ("4.2m", "m", Place(4.2)),
    ("12,5", "m", Place(12.5)),
    ("14", "ft", Place(4.267)),
    ("4.2 m", "ft", Place(4.2)),
    ("about 4", "m", Place(4.0, approximate=True)),
    ("just under nine", "m", Place(9.0, approximate=True)),
    ("two or three", "m", Place(2.5, approximate=True)),
    ("between 3 and 4", "m", Place(3.5, approximate=True)),
    ("4 to 6", "m", Place(4.0, 6.0)),
    ("4.5 to 6.1", "m", Place(4.5, 6.1)),
    ("from 4.5 to 6.1", "m", Place(4.5, 6.1)),
    ("4-6", "m", Place(4.0, 6.0)),
    ("4.5 – 6.1", "m", Place(4.5, 6.1)),
    ("6.1 to 4.5", "m", Place(4.5, 6.1)),
    ("4 to 6 ft", "m", Place(1.219, 1.829)),
    ("4 ft to 6 ft", "m", Place(1.219, 1.829)),
    ("0", "m", Place(0.0)),
]


@pytest.mark.parametrize(("text", "habit", "place"), PLACES)
def test_a_distance_is_read_in_any_form(text: str, habit: str, place: Place) -> None:
    found = read_place(text, grammar(), habit=habit)
    assert found.from_m == pytest.approx(place.from_m, abs=5e-4)
    assert found.to_m == (pytest.approx(place.to_m, abs=5e-4) if place.to_m is not None else None)
    assert found.approximate is place.approximate


@pytest.mark.parametrize(
    "text", ["", " ", "nope", "4.2 and 5", "20 percent", "1e5", "nan", "-3", "–4", "4.2 roots", "1 in 40"]
)
def test_what_is_no_distance_is_refused_with_an_example(text: str) -> None:
    with pytest.raises(DecisionError, match="no distance that can be read") as refused:
        read_place(text, grammar())
    assert "four point two" in refused.value.todo


@given(st.text(max_size=20))
def test_any_text_is_read_or_refused(text: str) -> None:
    try:
        place = read_place(text, grammar())
    except DecisionError:
        return
    assert place.from_m >= 0


@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        ("400 mil", "m", (0.4, 0.4)),
        ("20", "%", (20, 20)),
        ("twenty percent", "%", (20, 20)),
        ("3 minutes", "min", (3, 3)),
    ],
)
def test_a_value_is_read_in_the_records_unit(text: str, unit: str, value: tuple[float, float]) -> None:
    assert read_value(text, unit, grammar()) == pytest.approx(value)


@pytest.mark.parametrize(("text", "unit"), [("400", "m"), ("20 percent", "m"), ("4 m", "%"), ("x", "L")])
def test_a_value_without_its_unit_or_in_another_is_refused(text: str, unit: str) -> None:
    with pytest.raises(DecisionError):
        read_value(text, unit, grammar())


@pytest.mark.parametrize(
    ("text", "hours"), [("3", (3, 3)), ("9 to 3", (9, 3)), ("9-3", (9, 3)), ("three o'clock", (3, 3)), ("12", (12, 12))]
)
def test_a_place_on_the_clock_is_read(text: str, hours: tuple[int, int]) -> None:
    assert read_clock(text, grammar()) == hours


@pytest.mark.parametrize("text", ["13", "0", "x", "3.5", ""])
def test_what_is_no_place_on_the_clock_is_refused(text: str) -> None:
    with pytest.raises(DecisionError):
        read_clock(text, grammar())


def test_counts_and_single_lengths() -> None:
    assert read_count("two", grammar()) == 2
    assert read_metres("14 ft 2", grammar()) == pytest.approx(4.318)
    for text in ("2.5", "two or three", "x"):
        with pytest.raises(DecisionError):
            read_count(text, grammar())
