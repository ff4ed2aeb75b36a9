"""Text from outside is harmless before any output sees it, and is otherwise left alone."""

import xml.etree.ElementTree as ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from extractor.report.safe_text import breakable, clean, shortened, units_kept


@given(st.text(st.characters(exclude_categories=())))
def test_whatever_comes_in_can_stand_in_xml(text: str) -> None:
    # XML 1.0 production [2]: a parser refuses what is outside Char
    element = ElementTree.Element("t")
    element.text = clean(text)
    assert ElementTree.fromstring(ElementTree.tostring(element, encoding="unicode")).text in (clean(text), None)


@given(st.text(st.characters(exclude_categories=("C", "Z")), max_size=40))
def test_ordinary_words_are_kept(word: str) -> None:
    import unicodedata

    assert clean(word) == unicodedata.normalize("NFC", word) or any(mark in word for mark in "\u061c\u200e\u200f")


@pytest.mark.parametrize("mark", ["\u202a", "\u202e", "\u2066", "\u2069", "\u200f"])
def test_marks_that_turn_the_reading_direction_go(mark: str) -> None:
    # UAX #9, table 2.1 to 2.4: explicit directional formatting
    assert clean(f"a{mark}b") == "ab"


def test_letters_of_right_to_left_scripts_stay() -> None:
    assert clean("مرحبا שלום") == "مرحبا שלום"


def test_a_word_of_5000_characters_is_cut_and_says_so() -> None:
    assert len(clean("w" * 5000)) == 60 and clean("w" * 5000).endswith("…")


def test_long_words_can_break_and_read_the_same_without_the_breaks() -> None:
    broken = breakable("short " + "x" * 55)
    assert "\u200b" in broken and broken.replace("\u200b", "") == "short " + "x" * 55


def test_a_number_stays_with_its_unit() -> None:
    assert units_kept("about 4.2 m (13.8 ft) in") == "about 4.2\u00a0m (13.8\u00a0ft) in"


def test_shortening_is_marked() -> None:
    assert shortened("abcdef", 4) == "abc…" and shortened("abc", 4) == "abc"
