"""Phrases found in speech: the longest first, round hesitations, layer by layer."""

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from extractor.lexicon.load import Lexicon, load_lexicon
from extractor.lexicon.match import PhraseTable, find_tags, phrase_table
from extractor.reading import Tag
from tests.lexicon.said import speech_of

THINGS = {"structure", "fixture", "component", "condition", "material", "action"}


def found(text: str, table: PhraseTable, *kinds: str) -> list[tuple[str, str]]:
    """(id, words) of the certain tags of the kinds, things where none is named."""
    speech = speech_of(text)
    wanted = set(kinds) or THINGS
    tags = [tag for tag in find_tags(speech, table) if tag.certain and tag.kind in wanted]
    return [(tag.id, speech.quote(tag.start, tag.end)) for tag in tags]


@pytest.mark.parametrize(
    ("text", "things"),
    [
        ("full of roots", [("root_intrusion", "full of roots")]),
        ("riddled with roots", [("root_intrusion", "roots")]),
        ("open joint", [("open_joint", "open joint")]),
        ("the joint past the open lid", [("joint", "joint"), ("lid", "lid")]),
        ("grease trap lid", [("grease_trap", "grease trap"), ("lid", "lid")]),
        ("grease in the trap", [("grease", "grease"), ("trap", "trap")]),
        ("root ball in the clay pipe", [("root_intrusion", "root ball"), ("clay", "clay pipe")]),
        ("no issues there", [("sound", "no issues there")]),
        ("cracked manhole cover", [("crack", "cracked"), ("manhole", "manhole"), ("lid", "cover")]),
    ],
)
def test_the_longest_phrase_wins(text: str, things: list[tuple[str, str]], table: PhraseTable) -> None:
    assert found(text, table) == things


def test_a_thing_hides_the_denial_inside_it_and_no_other(table: PhraseTable) -> None:
    assert found("no issues there", table, "negation") == []
    assert found("no roots", table, "negation") == [("denies_next", "no")]


def test_a_thing_hides_the_mishearing_inside_it(table: PhraseTable) -> None:
    heard = [tag.heard for tag in find_tags(speech_of("root ball"), table) if tag.heard]
    assert heard == []


@pytest.mark.parametrize(
    ("text", "id", "quote"),
    [
        ("the joint is slightly open here", "open_joint", "joint is slightly open"),
        ("a root um ball", "root_intrusion", "root um ball"),
        ("water uh lying", "standing_water", "water uh lying"),
        ("gap in the big joint", "open_joint", "gap in the big joint"),
    ],
)
def test_a_phrase_is_found_round_a_hesitation_or_a_degree(text: str, id: str, quote: str, table: PhraseTable) -> None:
    assert (id, quote) in found(text, table)


def test_the_degree_inside_stays_a_tag_of_its_own(table: PhraseTable) -> None:
    assert found("joint is slightly open", table, "extent") == [("slight", "slightly")]


@pytest.mark.parametrize(
    ("text", "extent"),
    [
        ("joint is badly open", "severe"),
        ("a small gap", "slight"),
        ("hairline crack", "slight"),
        ("joint is slightly open", "slight"),
        ("open joint", None),
        ("badly made connection", None),  # says how it was made, not how much of it there is
        ("not seated properly", None),
    ],
)
def test_a_word_of_degree_inside_a_phrase_grades_it(text: str, extent: str | None, table: PhraseTable) -> None:
    (tag,) = [tag for tag in find_tags(speech_of(text), table) if tag.kind == "condition" and tag.certain]
    assert tag.extent == extent


def test_the_part_a_phrase_names_is_the_part_the_condition_is_on(table: PhraseTable) -> None:
    on = {text: [tag.on for tag in find_tags(speech_of(text), table) if tag.kind == "condition"] for text in PARTS}
    assert on == {text: [part] for text, part in PARTS.items()}


PARTS = {"float's stuck": "float_switch", "pump tripped": "pump", "no outlet baffle": "baffle", "lipped joint": "joint"}


def test_an_apostrophe_that_the_recogniser_left_out_is_no_matter(table: PhraseTable) -> None:
    with_one, without = (find_tags(speech_of(text), table) for text in ("that's fine", "thats fine"))
    assert [(tag.kind, tag.id) for tag in with_one] == [(tag.kind, tag.id) for tag in without]


def test_punctuation_capitals_and_hyphens_are_no_matter(table: PhraseTable) -> None:
    assert found("Root-ball, D-box.", table) == [("root_intrusion", "Root-ball,"), ("distribution_box", "D-box.")]


def test_tags_come_in_order_and_things_do_not_overlap(table: PhraseTable) -> None:
    check_order(
        "first joint at two metres is slightly open no roots then the pipe changes to clay and holds water", table
    )


TABLE = phrase_table(load_lexicon())
WORDS = sorted(
    {word for entry in load_lexicon().of_kind(*THINGS) for phrase in entry.spoken[:8] for word in phrase.split()}
)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.sampled_from(WORDS), min_size=1, max_size=40))
def test_any_trade_words_in_any_order_keep_the_order_and_do_not_overlap(words: list[str]) -> None:
    check_order(" ".join(words), TABLE)


def check_order(text: str, table: PhraseTable) -> None:
    speech = speech_of(text)
    tags = find_tags(speech, table)
    assert [(tag.start, tag.end) for tag in tags] == sorted((tag.start, tag.end) for tag in tags)
    things: dict[tuple[int, int], Tag] = {}
    for tag in tags:
        assert 0 <= tag.start < tag.end <= len(speech)
        if tag.certain and tag.kind in THINGS:
            things[tag.start, tag.end] = tag
    spans = sorted(things)
    assert all(before[1] <= after[0] for before, after in pairwise(spans))


def test_nothing_said_is_nothing_found(table: PhraseTable, lexicon: Lexicon) -> None:
    assert find_tags(speech_of(""), table) == ()
    assert find_tags(speech_of("xyzzy plugh"), table) == ()
