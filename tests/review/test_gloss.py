"""What became of each phrase; words laid out in lines; things found by part of a spoken form."""

from functools import cache
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from extractor.job.apply import apply_decisions
from extractor.lexicon.load import Lexicon, load_lexicon
from extractor.reading import Word
from extractor.record import Evidence
from extractor.review.context_lines import surroundings
from extractor.review.gloss import phrase_of_words, phrases
from extractor.review.lexicon_search import search_lexicon
from extractor.review.session import Session
from extractor.review.shown import shown
from extractor.review.spoken_lines import TIME, gloss_line, lay_out
from tests.review.made_visit import NARRATION, made_job, made_record


@cache
def lexicon() -> Lexicon:
    return load_lexicon()


def became(phrase: str) -> str:
    """What became of the first word of a phrase of the made visit."""
    found = phrases(apply_decisions(made_record(), ()), 0, lexicon(), NARRATION.words)
    shown_under = phrase_of_words(found, NARRATION.words)
    first = NARRATION.text.index(phrase)
    place = next(number for number, word in enumerate(NARRATION.words) if word.first_char == first)
    under = shown_under[place]
    return under.became if under else ""


@pytest.mark.parametrize(
    ("phrase", "fate"),
    [
        ("one point four junction", "row"),
        ("three point two there's", "asked"),
        ("camera in the inlet", "run"),
        ("cut those out", "work"),
        ("main trouble", "said"),
        ("three o'clock no sorry", "corrected"),
        ("routes", "mended"),
        ("fellow with the dog", "unread"),
        ("morning this is", "unread"),
        ("that's fine", ""),
    ],
)
def test_each_phrase_tells_what_became_of_it(phrase: str, fate: str) -> None:
    assert became(phrase) == fate


def test_words_that_lead_to_nothing_are_all_shown_as_such() -> None:
    """With no rows at all, every word but what the record itself holds is unread."""
    bare = made_record(
        runs=(),
        observations=(),
        measurements=(),
        actions=(),
        corrections=(),
        conclusions=(),
        queries=(),
        mendings=(),
        unread=(),
    )
    found = phrases(apply_decisions(bare, ()), 0, lexicon(), NARRATION.words)
    assert all(each and each.became == "unread" for each in phrase_of_words(found, NARRATION.words))


WORDS = st.lists(st.text(st.characters(exclude_categories=["Z", "C"]), min_size=1, max_size=12), max_size=60)


@given(WORDS, st.integers(30, 120))
def test_no_word_is_left_out_and_no_line_is_too_long(texts: list[str], width: int) -> None:
    words, at = [], 0
    for text in texts:
        words.append(Word(text, at, at + len(text)))
        at += len(text) + 1
    layout = lay_out([("a", words)], width)
    assert [word for line in layout.lines for word in range(line.first, line.last)] == list(range(len(words)))
    assert list(layout.texts) == [shown(text) for text in texts]
    for place in layout.places:
        assert place.column + place.columns <= max(width, TIME + place.columns)
    lines = surroundings(words, [Evidence(first_char=0, last_char=at)] if words else [], width)
    assert "".join(line.text for line in lines).replace(" ", "").strip("«»") == "".join(texts).replace(" ", "").strip(
        "«»"
    )


def test_a_gloss_is_as_wide_as_its_words() -> None:
    found = phrase_of_words(phrases(apply_decisions(made_record(), ()), 0, lexicon(), NARRATION.words), NARRATION.words)
    layout = lay_out([("a", NARRATION.words)], 78)
    for line in layout.lines:
        for gloss in gloss_line(layout, line, found):
            assert gloss.column + cell_len(gloss.text) <= 78


def test_a_narration_that_is_read_otherwise_now_is_shown_without_times(tmp_path: Path) -> None:
    job = made_job(tmp_path / "job", sources=(made_record().sources[0].model_copy(update={"text": "other words"}),))
    with Session(job, lexicon(), "Zoë") as session:
        narration = session.narration(0)
    assert [word.text for word in narration.words] == ["other", "words"]
    assert narration.words[0].start_s is None


@pytest.mark.parametrize(
    ("typed", "id"),
    [("root", "root_intrusion"), ("silt", "settled_deposit"), ("brok", "break"), ("offs", "displaced_joint"),
     ("bell", "dip"), ("sceptic", "septic_tank"), ("rodding", "inspection_opening"), ("disp", "displaced_joint")],
)  # fmt: skip
def test_things_are_found_by_part_of_a_spoken_form(typed: str, id: str) -> None:
    found = search_lexicon(typed, lexicon(), ("condition", "component", "structure"))
    assert id in [each.entry.id for each in found[:4]]


def test_nothing_like_it_finds_nothing_and_nothing_typed_finds_all() -> None:
    assert not search_lexicon("xyzzy", lexicon(), ("condition",))
    assert len(search_lexicon("", lexicon(), ("condition",))) == len(lexicon().of_kind("condition"))


@given(st.text())
def test_shown_text_holds_nothing_that_steers(text: str) -> None:
    assert not any(mark < " " or "\x7f" <= mark <= "\x9f" or mark in "\u202a\u202e\u2066" for mark in shown(text))
