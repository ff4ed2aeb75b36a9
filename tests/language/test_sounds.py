"""Sounds: words that are said alike are near each other, others are not; the trade's words are found by sound."""

import jellyfish
import pytest

from extractor.language.mishearings import sound_index
from extractor.language.sounds import alike, key_of, sound_of
from tests.understanding.spoken import lexicon, reading_of

SAME_SOUND = [("routs", "roots"), ("brake", "break"), ("bays", "base"), ("jeotto", "jetto"), ("peer", "pier")]
FAR_APART = [
    ("parsnip", "junction"),
    ("ladder", "silt"),
    ("candle", "fracture"),
    ("waltz", "bend"),
    ("teapot", "gravel"),
]


@pytest.mark.parametrize(("heard", "said"), SAME_SOUND)
def test_words_that_sound_the_same_are_alike(heard: str, said: str) -> None:
    assert alike(heard, said) > 0.8


@pytest.mark.parametrize(("heard", "said"), FAR_APART)
def test_words_that_sound_otherwise_are_not(heard: str, said: str) -> None:
    assert alike(heard, said) < 0.6


def test_a_phrase_sounds_as_its_words_run_together() -> None:
    assert sound_of("back water") == sound_of("back") + sound_of("water")


@pytest.mark.parametrize("word", ["knife", "wrench", "phone", "bath", "wreck"])
def test_silent_letters_are_silent(word: str) -> None:
    """knife, wrench, phone: as common phonetic keys have it."""
    assert sound_of(word)[0] in "nrfb"


def test_words_of_one_metaphone_share_a_key_here_too() -> None:
    """Against an independent implementation of Metaphone (Philips, 1990): homophones it knows get one key from ours."""
    pairs = [
        ("steal", "steel"),
        ("route", "root"),
        ("grate", "great"),
        ("main", "mane"),
        ("sale", "sail"),
        ("bored", "board"),
    ]
    for first, second in pairs:
        assert jellyfish.metaphone(first) == jellyfish.metaphone(second)
        assert key_of(sound_of(first)) == key_of(sound_of(second)), (first, second)


@pytest.mark.parametrize(
    ("heard", "id"),
    [
        ("routs", "root_intrusion"),
        ("slutch", "settled_deposit"),
        ("junkshun", "junction"),
        ("gravvel", "settled_deposit"),
    ],
)
def test_the_nearest_trade_word_comes_first(heard: str, id: str) -> None:
    nearest = sound_index(lexicon()).nearest(heard, 0.6)
    assert nearest[0].id == id
    assert [each.likeness for each in nearest] == sorted((each.likeness for each in nearest), reverse=True)


READ = [
    ("at 3.2 there's some slutch in the bottom", "settled_deposit"),
    ("no sign of routs at 3.2", "root_intrusion"),
    ("at 3.2 there's a fracksher at two o'clock", "fracture"),
]
LEFT = [
    "the lads had a sludgy sort of a day at 3.2",
    "at 3.2 there's a teapot on the left",
    "there's a bench by the gate and a van at 3.2",
    "at 3.2 there's a walrus stuck to the side",
]


@pytest.mark.parametrize(("say", "id"), READ)
def test_a_word_nobody_listed_is_read_by_its_sound(say: str, id: str) -> None:
    reading = reading_of(f"camera's in the gully heading downstream {say} and that's us at the main at 9 metres")
    mended = [tag for tag in reading.mended.tags if tag.heard is not None]
    assert [tag.id for tag in mended] == [id]
    assert id in [row.condition for row in reading.rows]


@pytest.mark.parametrize("say", LEFT)
def test_a_sound_word_is_not_made_a_trade_word(say: str) -> None:
    reading = reading_of(f"camera's in the gully heading downstream {say} and that's us at the main at 9 metres")
    assert not [tag for tag in reading.mended.tags if tag.heard is not None]
