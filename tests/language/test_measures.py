"""Spoken quantities in their context: tables of cases, what must stay out, and what must not change the reading."""

import tomllib
from pathlib import Path

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from extractor.language.measures import find_measures, measure_grammar, read_quantity, visit_habit
from extractor.lexicon.load import load_lexicon
from extractor.reading import Measure
from tests.language.spoken_forms import speech_of

CASES = Path(__file__).parents[1] / "cases"
LEXICON = load_lexicon()
GRAMMAR = measure_grammar(LEXICON)


def table(name: str) -> list[dict[str, object]]:
    return tomllib.loads((CASES / f"{name}.toml").read_text("utf-8"))["case"]


def named(cases: list[dict[str, object]]) -> list[object]:
    return [pytest.param(case, id=str(case["name"])) for case in cases]


def number(value: float) -> str:
    return f"{value:.6f}".rstrip("0").rstrip(".")


def shown(measure: Measure) -> str:
    """4.2 m, 3..4 m ~, 9 clock, 2 bare."""
    value = number(measure.low) if measure.low == measure.high else f"{number(measure.low)}..{number(measure.high)}"
    return f"{value} {measure.unit or 'bare'}{' ~' if measure.approximate else ''}"


def wanted(text: str) -> str:
    value, *rest = text.split()
    return " ".join(["..".join(number(float(part)) for part in value.split("..")), *rest])


def read(say: str, habit: str | None = None) -> list[str]:
    return [shown(measure) for measure in find_measures(speech_of(say), GRAMMAR, habit=habit)]


@pytest.mark.parametrize("case", named(table("measures")))
def test_a_quantity_is_read(case: dict[str, object]) -> None:
    speech = speech_of(str(case["say"]))
    measures = find_measures(speech, GRAMMAR, habit=case.get("habit"))
    assert [shown(measure) for measure in measures] == [wanted(text) for text in case["want"]]
    if "spans" in case:
        assert [" ".join(speech.words[measure.start : measure.end]) for measure in measures] == case["spans"]


@pytest.mark.parametrize("case", named(table("not_measures")))
def test_a_number_that_is_no_quantity_stays_out(case: dict[str, object]) -> None:
    assert read(str(case["say"])) == []


@pytest.mark.parametrize("case", named(table("measures")))
def test_case_and_a_closing_stop_change_nothing(case: dict[str, object]) -> None:
    say, habit = str(case["say"]), case.get("habit")
    assert read(say.upper(), habit) == read(say, habit)
    assert read(say.capitalize() + ".", habit) == read(say, habit)


@pytest.mark.parametrize("case", named(table("measures")))
def test_fillers_between_words_and_measures_change_nothing(case: dict[str, object]) -> None:
    say, habit = str(case["say"]), case.get("habit")
    speech = speech_of(say)
    starts = {measure.start for measure in find_measures(speech, GRAMMAR, habit=habit)}
    filled = []
    for token, word in enumerate(speech.words):
        glued = token and speech.first_chars[token] == speech.last_chars[token - 1]
        filled.append(f"{'' if glued else ' um ' if token in starts else ' '}{word}")
    assert read("".join(filled), habit) == read(" ".join("".join(filled).replace(" um ", " ").split()), habit)


@pytest.mark.parametrize("case", named(table("measures")))
def test_british_and_american_spelling_read_alike(case: dict[str, object]) -> None:
    say, habit = str(case["say"]), case.get("habit")
    american = say.replace("metre", "meter").replace("litre", "liter")
    assert (
        read(american, habit)
        == read(american.replace("meter", "metre").replace("liter", "litre"), habit)
        == read(say, habit)
    )


def test_unit_factors_are_the_published_ones() -> None:
    """16 CFR 500.19, NIST SP 811 (appendix B); imperial gallon: UK Units of Measurement Regulations 1995 (memory)."""
    published = {"inch": 0.0254, "foot": 0.3048, "yard": 0.9144, "us_gallon": 3.785411784, "imperial_gallon": 4.54609}
    for id, factor in published.items():
        entry = LEXICON.entry("unit", id)
        assert entry is not None and entry.value == factor


def test_unit_factors_agree_with_a_reference_library() -> None:
    """pint, whose definitions follow NIST and BIPM."""
    registry = pint.UnitRegistry()
    of = {"m": "metre", "L": "litre", "min": "minute", "%": "percent"}
    names = {"us_gallon": "US_liquid_gallon", "gallon": "US_liquid_gallon"}
    checked = 0
    for entry in LEXICON.of_kind("unit"):
        if entry.on in of:
            factor = registry.Quantity(1, names.get(entry.id, entry.id)).to(of[entry.on]).magnitude
            assert entry.value == pytest.approx(factor, rel=1e-9), entry.id
            checked += 1
    assert checked >= 12


def test_falls_agree_with_a_reference_library() -> None:
    """pint: a quarter inch per foot is 20.83 mm/m, as the plumbing codes' tables convert it (1 in 48)."""
    registry = pint.UnitRegistry()
    (measure,) = find_measures(speech_of("a quarter inch per foot"), GRAMMAR)
    expected = (0.25 * registry.inch / registry.foot).to("mm/m").magnitude
    assert measure.low == pytest.approx(expected, abs=1e-6) and measure.low == pytest.approx(1000 / 48, abs=1e-5)


@pytest.mark.parametrize(
    ("typed", "habit", "value", "unit", "metres"),
    [
        ("4.2", "m", 4.2, None, 4.2),
        ("four point two", "m", 4.2, None, 4.2),
        ("14 ft 2", "m", 4.318, "m", None),
        ("14 2", "ft", 14 + 2 / 12, None, 4.318),
        ("about 6 m", "m", 6, "m", None),
        ("100mm", "m", 0.1, "m", None),
        ("6'3\"", "m", 1.905, "m", None),
        (".8", "m", 0.8, None, 0.8),
        ("2,5", "m", 2.5, None, 2.5),
    ],
)
def test_a_typed_value_is_read(typed: str, habit: str, value: float, unit: str | None, metres: float | None) -> None:
    measure = read_quantity(typed, GRAMMAR, habit=habit)
    assert measure is not None and measure.unit == unit and measure.low == pytest.approx(value, abs=1e-6)
    if metres is not None:
        assert measure.length_m is not None and measure.length_m[0] == pytest.approx(metres, abs=1e-6)


@pytest.mark.parametrize("typed", ["", "  ", "yes", "4.2 or the joint", "4.2 6.3", "three o", "to"])
def test_what_is_no_single_value_is_not_taken(typed: str) -> None:
    assert read_quantity(typed, GRAMMAR) is None


def test_bare_numbers_take_the_visits_unit() -> None:
    metric = find_measures(speech_of("joint at 3 metres and a crack at five"), GRAMMAR)[-1]
    feet = find_measures(speech_of("joint at 3 feet and a crack at five"), GRAMMAR)[-1]
    assert metric.length_m == (5, 5)
    assert feet.length_m == (pytest.approx(1.524), pytest.approx(1.524))


@pytest.mark.parametrize(
    ("say", "habit"),
    [
        ("joint at 3 metres", "m"),
        ("joint at 3 feet", "ft"),
        ("nothing said at all", "m"),
        ("four inch pipe joint at 3 metres crack at five", "m"),
        ("four inch clay joint at 3.6 crack at four point two", "m"),
        ("roots at 3.6 crack at four point two two foot of water", "m"),
        ("hundred mil clay and a foot of water and crack at five", "m"),
        ("crack at 12.4 feet roots at 14.6 joint at 21.3 feet", "ft"),
        ("four inch clay roots at seventeen", "ft"),
        ("six foot three crack fourteen feet roots and a two metre gap to the fence", "ft"),
        ('joint "4.2" then crack', "m"),
    ],
)
def test_the_visits_unit_is_found_in_its_words(say: str, habit: str) -> None:
    assert visit_habit(speech_of(say), GRAMMAR) == habit


def test_a_spoken_unit_is_named() -> None:
    names = [
        m.spoken_unit for m in find_measures(speech_of("six foot three joint 40 mil gap 3 metres in 5.2"), GRAMMAR)
    ]
    assert names == ["foot", "millimetre", "metre", None]


WORDS = sorted(
    {
        word
        for entry in LEXICON.of_kind("number", "unit", "quantity_word", "hedge")
        for phrase in (*entry.spoken, *entry.misheard)
        for word in phrase.split()
    }
)
WRITTEN = [
    "4.2",
    "14",
    "2",
    "6'3\"",
    "1:60",
    "4.29",
    "dn100",
    "2nd",
    "10-15",
    "0.8m",
    "9.9.9",
    "61st",
    "-3",
    "2½",
    "3,",
    "4.",
]


@settings(max_examples=400, deadline=None, derandomize=True)
@given(st.lists(st.sampled_from([*WORDS, *WRITTEN, "joint", "outlets", "crack"]), max_size=12))
def test_any_words_give_measures_in_order_without_overlap(words: list[str]) -> None:
    speech = speech_of(" ".join(words))
    last = 0
    for measure in find_measures(speech, GRAMMAR):
        assert last <= measure.start < measure.end <= len(speech)
        assert measure.unit in {"m", "%", "L", "min", "mm/m", "ratio", "clock", "ordinal", "count", None}
        assert (measure.length_m is None) == (measure.unit is not None)
        assert measure.low <= measure.high or measure.unit == "clock"
        assert measure.rule
        last = measure.end


@settings(max_examples=100, deadline=None, derandomize=True)
@given(st.text(max_size=60))
def test_any_text_is_read_without_an_error(text: str) -> None:
    find_measures(speech_of(text), GRAMMAR)


@settings(max_examples=100, deadline=None, derandomize=True)
@given(
    st.lists(
        st.sampled_from(["there", "joint", "the", "roots", "fine", "pipe", "it", "is", "going", "camera"]), max_size=8
    )
)
def test_plain_words_round_a_quantity_change_nothing(words: list[str]) -> None:
    around = " ".join(words)
    assert read(f"{around} joint at four point two {around}") == ["4.2 bare"]
    assert read(f"{around} about six foot three {around}") == ["1.905 m ~"]
