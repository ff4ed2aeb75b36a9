"""Phrases with a set in braces stand for every phrase they can make."""

from pathlib import Path

import pytest

from extractor.errors import LexiconError
from extractor.lexicon.load import load_lexicon
from extractor.lexicon.patterns import MOST_PHRASES, spelled_out

SETS = {"nick": ["nick", "order"], "very": ["", "very"], "good": ["good", "grand"]}


@pytest.mark.parametrize(
    ("phrase", "said"),
    [
        ("in good nick", ["in good nick"]),
        ("in {good} nick", ["in good nick", "in grand nick"]),
        ("in {very} good {nick}", ["in good nick", "in good order", "in very good nick", "in very good order"]),
        ("{good}", ["good", "grand"]),
    ],
)
def test_a_phrase_is_spelled_out(phrase: str, said: list[str]) -> None:
    assert spelled_out({"spoken": [phrase]}, SETS) == {"spoken": said}


def test_what_is_listed_as_it_is_stays_where_it_is_listed() -> None:
    fields = spelled_out({"spoken": ["{good} order", "good order"], "misheard": ["grand order"]}, SETS)
    assert fields == {"spoken": ["good order"], "misheard": ["grand order"]}


def test_phrases_that_name_their_component_are_spelled_out() -> None:
    assert spelled_out({"naming": {"lid": ["lid {good}"]}}, SETS) == {"naming": {"lid": ["lid good", "lid grand"]}}


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ('kind = "material"\n[[entry]]\nid = "pvc"\nlabel = "PVC"\nspoken = ["{grey} pipe"]\n', "names the set 'grey'"),
        ('kind = "material"\nsets = 3\n', "no table of lists of words"),
        ('kind = "material"\n[sets]\ngrey = []\n', "no table of lists of words"),
        ('kind = "material"\n[sets]\ngrey = [1]\n', "no table of lists of words"),
    ],
)
def test_a_faulty_set_is_refused(text: str, told: str, tmp_path: Path) -> None:
    (tmp_path / "mine.toml").write_text(text, encoding="utf-8")
    with pytest.raises(LexiconError, match=told):
        load_lexicon(tmp_path)


def test_a_phrase_that_stands_for_too_many_is_refused() -> None:
    many = {"word": [f"w{n}" for n in range(MOST_PHRASES // 10)]}
    with pytest.raises(ValueError, match="more than"):
        spelled_out({"spoken": ["{word} {word}"]}, many)
