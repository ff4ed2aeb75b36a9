"""What may change without changing the record: where blocks end, hesitations, capitals, marks, spelling, remarks.

Metamorphic testing after Chen, Cheung and Yiu (1998; from memory): where the right answer is not known, two inputs
whose answers must agree are. The narrations are our own (same_meaning.toml) and generated ones.
"""

from collections import Counter
from random import Random

import pytest

from extractor.pipeline import extract
from extractor.reading import Narration
from tests.understanding.changes import CHANGES, Change
from tests.understanding.made_visits import make_visit
from tests.understanding.shown import shown, wanted
from tests.understanding.spoken import Case, cases, difference, lexicon, narration_of, params
from tests.understanding.telling import told_parts

SAME = cases("same_meaning")
GENERATED = 40
# Share of generated visits whose record stays the same, at least. 1.0 is what is wanted.
UNCHANGED = {
    "blocks_moved": 1.0,
    "fillers_put_in": 0.9,
    "case_changed": 1.0,
    "punctuated": 1.0,
    "marks_that_lie": 1.0,
    "digits_or_words": 0.95,
    "american_spelling": 1.0,
    "remarks_put_in": 0.85,
}


def lines(narration: Narration) -> list[str]:
    """The record without the words of its corrections, which are quoted as written."""
    return ["correction" if line.startswith("correction") else line for line in shown(extract(narration, lexicon()))]


@pytest.mark.parametrize("case", params(SAME))
def test_a_narration_of_our_own_comes_to_what_it_should(case: Case) -> None:
    differs = difference(lines(narration_of(" ".join(case["parts"]))), wanted(case["lines"]))
    assert not differs, f"\n{differs}"


@pytest.mark.parametrize("change", CHANGES, ids=lambda change: str(change.__name__))
@pytest.mark.parametrize("case", SAME, ids=lambda case: str(case["name"]))
def test_a_change_round_the_facts_changes_nothing(case: Case, change: Change, request: pytest.FixtureRequest) -> None:
    if change.__name__ in case.get("todo_changes", ()):
        request.applymarker(pytest.mark.xfail(strict=True, reason="todo"))
    base = lines(narration_of(" ".join(case["parts"])))
    for seed in range(6):
        changed = change(case["parts"], Random(seed).choice)
        differs = difference(lines(changed), base)
        assert not differs, f"\n{changed.text}\n{differs}"


@pytest.mark.parametrize("change", CHANGES, ids=lambda change: str(change.__name__))
def test_generated_visits_stay_the_same(change: Change) -> None:
    same: Counter[bool] = Counter()
    for seed in range(GENERATED):
        chance = Random(seed)
        parts = told_parts(make_visit(chance.choice), chance.choice)
        same[not difference(lines(change(parts, chance.choice)), lines(narration_of(" ".join(parts))))] += 1
    assert same[True] / GENERATED >= UNCHANGED[change.__name__], same


@pytest.mark.parametrize("change", CHANGES, ids=lambda change: str(change.__name__))
def test_a_change_does_change_the_words(change: Change) -> None:
    texts = {" ".join(case["parts"]) for case in SAME}
    changed = {change(case["parts"], Random(seed).choice) for case in SAME for seed in range(3)}
    assert {narration.text for narration in changed} - texts or any(
        word.start_s is not None for n in changed for word in n.words
    )
