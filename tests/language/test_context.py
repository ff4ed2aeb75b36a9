"""Polarity, certainty and extent of each thing, against the rules of the published algorithms.

Denial: pre- and post-negation, pseudo-negation and words that end a scope (Chapman and others, NegEx, J Biomed Inform
34, 2001). Doubt: the same machinery for another attribute (Harkema and others, ConText, J Biomed Inform 42, 2009).
Both from memory. Where they count words to the end of a scope, this reader follows lists and statements: speech has no
sentence ends.
"""

import pytest

from extractor.language.context import Context
from extractor.survey.stages import Reading
from tests.understanding.spoken import Case, cases, params, reading_of

CASES = cases("contexts")


def context_of(reading: Reading, word: str) -> Context:
    """The context of the thing whose words hold `word`."""
    told = [
        context
        for tag, context in reading.contexts.items()
        if word in " ".join(reading.speech.words[tag.start : tag.end]) and tag.kind == "condition"
    ]
    assert len(told) == 1, f"{word}: told {len(told)} times"
    return told[0]


@pytest.mark.parametrize("case", params(CASES, lambda case: f"{case['rule']}: {case['name']}"))
def test_what_is_said_of_a_thing(case: Case) -> None:
    reading = reading_of(case["say"])
    for told in case["want"]:
        word, _, said = told.partition(": ")
        marks = set(said.split(", "))
        context = context_of(reading, word)
        assert (context.polarity == "absent") == ("absent" in marks), word
        assert (context.certainty == "tentative") == ("tentative" in marks), word
        assert context.extent == next(iter(marks & {"slight", "moderate", "severe"}), None), word


@pytest.mark.parametrize("case", params([case for case in CASES if not case.get("todo")]))
def test_each_mark_names_the_cue_that_made_it(case: Case) -> None:
    for context in reading_of(case["say"]).contexts.values():
        assert (context.negation is not None) == (context.polarity == "absent")
        assert (context.doubt is not None) == (context.certainty == "tentative")


def test_every_published_rule_has_a_case() -> None:
    rules = {case["rule"].split(":")[0] for case in CASES}
    assert {
        "pre-negation",
        "post-negation",
        "pseudo-negation",
        "end of scope",
        "doubt in front",
        "doubt behind",
    } <= rules
