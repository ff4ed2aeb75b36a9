"""Corrections after the model of Shriberg (Preliminaries to a theory of speech disfluencies, 1994; from memory).

A reparandum is withdrawn, an interregnum says so, a repair stands in its place. What was withdrawn is masked and kept.

"""

import pytest

from extractor.reading import Correction
from extractor.survey.stages import Reading
from tests.understanding.spoken import Case, cases, params, reading_of


def words(reading: Reading, span: tuple[int, int]) -> str:
    """The words of a span without articles and hesitations at its ends."""
    told = list(reading.speech.words[span[0] : span[1]])
    while told and told[0] in {"the", "a", "an", "at", "it", "is", "um", "to"}:
        told.pop(0)
    return " ".join(told)


@pytest.mark.parametrize("case", params(cases("corrections")))
def test_what_is_taken_back_and_what_stands(case: Case) -> None:
    reading = reading_of(case["say"])
    found = reading.passage.corrections
    if case.get("retracted"):
        assert [correction.kept[0] == correction.kept[1] for correction in found] == [True]
    else:
        told = [f"{words(reading, item.withdrawn)} -> {words(reading, item.kept)}" for item in found]
        assert told == case["repairs"]


@pytest.mark.parametrize("case", params([case for case in cases("corrections") if not case.get("todo")]))
def test_the_parts_of_a_repair_stand_in_the_order_of_the_model(case: Case) -> None:
    reading = reading_of(case["say"])
    for correction in reading.passage.corrections:
        assert _in_order(correction), correction
        assert correction.withdrawn[0] >= 0 and correction.kept[1] <= len(reading.speech)
        assert correction.rule


def _in_order(correction: Correction) -> bool:
    """Reparandum, interregnum, repair; only a repair told later names the interregnum behind itself."""
    first, cue, kept = correction.withdrawn, correction.cue, correction.kept
    return first[0] < first[1] <= cue[0] <= cue[1] and (kept[0] >= cue[1] or kept[1] <= cue[0])


@pytest.mark.parametrize("case", params([case for case in cases("corrections") if not case.get("todo")]))
def test_what_is_withdrawn_is_masked_and_the_words_are_kept(case: Case) -> None:
    reading = reading_of(case["say"])
    assert " ".join(reading.narration.text.split()) == case["say"]
    swapped = {"named again", "said before", "count put right"}  # the earlier reading stays, with the later value
    for correction in reading.passage.corrections:
        if correction.rule not in swapped:
            withdrawn = range(*correction.withdrawn)
            assert not [tag for tag in reading.passage.tags if tag.start in withdrawn]
            assert not [measure for measure in reading.passage.measures if measure.start in withdrawn]
