"""The forms a listed phrase takes: plural, short, clipped, past."""

import pytest

from extractor.language.tokens import normal_forms
from extractor.lexicon.entry import Entry
from extractor.lexicon.forms import forms_of, naming_forms_of, plural_of, tokens_of
from extractor.lexicon.load import Lexicon


def forms(kind: str, *spoken: str, **fields: object) -> set[str]:
    entry = Entry.model_validate({"id": "x", "label": "x", "kind": kind, "spoken": spoken, **fields})
    return {" ".join(words) for words in forms_of(entry)}


@pytest.mark.parametrize(
    ("one", "many"),
    [
        ("box", "boxes"),
        ("joint", "joints"),
        ("gully", "gullies"),
        ("rodding eye", "rodding eyes"),
        ("branch", "branches"),
        ("wye", "wyes"),
        ("bus", "buses"),
        ("inspection tray", "inspection trays"),
        ("bush", "bushes"),
    ],
)
def test_regular_plurals(one: str, many: str) -> None:
    assert plural_of(one) == many


def test_nouns_get_a_plural_and_work_does_not() -> None:
    assert forms("structure", "manhole") == {"manhole", "manholes"}
    assert forms("component", "elbow", plural=False) == {"elbow"}
    assert forms("action", "flush") == {"flush"}
    assert forms("fixture", "tubs") == {"tubs"}


def test_a_clause_gets_no_plural() -> None:
    assert forms("component", "coming in from the left") == {"coming in from the left"}


def test_a_condition_is_said_short_clipped_and_in_the_past() -> None:
    said = forms("condition", "joint is open", plural=False)
    assert said == {"joint is open", "joint open", "joint was open"}
    assert "pumps were dead" in forms("condition", "pumps are dead", plural=False)
    assert forms("condition", "pump has failed", plural=False) == {"pump has failed", "pump is failed", "pump failed"}


def test_a_cue_is_said_short_only() -> None:
    assert forms("time", "that has gone") == {"that has gone", "that is gone"}


def test_a_denial_keeps_its_verb() -> None:
    assert "pump not working" not in forms("condition", "pump is not working", plural=False)


def test_phrases_that_name_their_part_take_the_same_forms() -> None:
    entry = Entry(id="x", label="x", kind="condition", naming={"float_switch": ("float is stuck",)})
    assert ("float_switch", ("float", "was", "stuck")) in set(naming_forms_of(entry))


def test_the_quick_way_to_tokens_agrees_with_the_tokeniser(lexicon: Lexicon) -> None:
    phrases = {phrase for entry in lexicon.entries for phrase in (*entry.spoken, *entry.misheard)}
    assert [phrase for phrase in phrases if tokens_of(phrase) != normal_forms(phrase)] == []
