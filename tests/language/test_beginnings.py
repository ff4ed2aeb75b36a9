"""Rules are tried only at the words they can begin with. No rule may begin at any other, or it would never be found:
here each is tried at every word of the cases.
"""

from collections.abc import Callable, Collection
from functools import cache
from typing import Any

import pytest

from extractor.language import advice, troubles, verdicts
from extractor.language.homophones import hear_numbers
from extractor.language.measures import _term
from extractor.language.not_numbers import not_a_quantity, phrase_or_pronoun
from extractor.language.number_stream import stream_of
from extractor.language.passage import Passage
from extractor.language.tokens import tokenise
from extractor.pipeline import prepare
from tests.understanding.spoken import cases, lexicon, narration_of, reading_of

Rule = Callable[[Passage, int], Any]
Words = tuple[str, ...]


@cache
def told() -> Passage:
    """What is said in the cases of conclusions, work and acts."""
    tables = ("conclusions", "survey_conclusions", "survey_work", "acts", "contexts")
    return reading_of(" ".join(case["say"] for name in tables for case in cases(name))).passage


def _advice(passage: Passage, token: int) -> int | None:
    return advice.advice_at(passage, token, max(0, token - 8), min(len(passage), token + 12))


def _cleft(passage: Passage, token: int) -> troubles.Cue | None:
    return troubles._cleft(passage, token, max(0, token - 8), min(len(passage), token + 12))


def _opens(passage: Passage, token: int) -> bool:
    return (
        verdicts._turns(passage, token)
        or verdicts._subject(passage, token)
        or verdicts._verdict_noun(passage, token)
        or passage.is_class(token, "list")
    )


@pytest.mark.parametrize(
    ("rule", "classes", "words", "tagged"),
    [
        (_advice, advice.ADVICE_CLASSES, advice.ADVICE_WORDS, "recommendation"),
        (advice.deed_due, advice.DUE_CLASSES, advice.DUE_WORDS, ""),
        (advice.let_be, (), advice.LET_BE_WORDS, ""),
        (troubles.trouble_at, troubles.TROUBLE_CLASSES, troubles.TROUBLE_WORDS, ""),
        (_cleft, troubles.CLEFT_CLASSES, troubles.CLEFT_WORDS, ""),
        (_opens, verdicts._OPENING_CLASSES, verdicts._OPENING_WORDS, "main_issue"),
        (verdicts._is_the_trouble, (), verdicts._VERB_WORDS, ""),
    ],
)
def test_a_rule_begins_at_no_other_word(rule: Rule, classes: Words, words: Words, tagged: str) -> None:
    passage = told()
    begins = [token for token in range(len(passage)) if rule(passage, token) not in (None, False)]
    known: Collection[int] = {
        *passage.tokens_of(0, len(passage), classes, words),
        *(tag.start for tag in passage.tags_from(0, len(passage), "speech_act") if tag.id == tagged),
    }
    assert begins, "the cases hold no such statement"
    assert not [" ".join(passage.speech.words[token : token + 5]) for token in begins if token not in known]


def test_no_quantity_begins_with_a_small_word_that_leads_to_none() -> None:
    grammar = prepare(lexicon()).grammar
    said = " ".join(str(case["say"]) for name in ("measures", "not_measures") for case in cases(name))
    stream = stream_of(tokenise(narration_of(said)), grammar)
    hear_numbers(stream)
    led_to_none = [
        i for i in range(len(stream) - 1) if stream.words[i] in grammar.leads and stream.words[i + 1] not in grammar.led
    ]
    assert len(led_to_none) > 50
    for i in led_to_none:
        assert not _term(stream, i), stream.words[i : i + 5]
        assert not_a_quantity(stream, i) == phrase_or_pronoun(stream, i), stream.words[i : i + 5]
