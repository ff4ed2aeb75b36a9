"""What the speaker says the trouble was and what should be done, with the condition each leads to."""

import tomllib
from pathlib import Path

import pytest

from extractor.lexicon.load import Lexicon, load_lexicon
from extractor.narration.choose import read_narration
from extractor.pipeline import extract
from extractor.record import Record
from tests.understanding.spoken import Case, cases, compare, params

CASES = tomllib.loads((Path(__file__).parent.parent / "cases" / "conclusions.toml").read_text(encoding="utf-8"))

CARRIER = "camera's in the gully heading downstream roots at 4.2 grease at 6.6 {say}"


@pytest.mark.parametrize("case", params(cases("survey_conclusions")))
def test_survey_conclusions(case: Case) -> None:
    compare(case, "conclusion", carrier=CARRIER)


@pytest.fixture(scope="module")
def lexicon() -> Lexicon:
    return load_lexicon()


def record_of(text: str, folder: Path, lexicon: Lexicon) -> Record:
    path = folder / "visit.txt"
    path.write_text(text, encoding="utf-8")
    return extract(read_narration(path), lexicon)


@pytest.mark.parametrize("case", CASES["case"], ids=lambda case: case["name"])
def test_conclusions_are_those_a_listener_would_note(case: dict[str, object], tmp_path: Path, lexicon: Lexicon) -> None:
    before = CASES["before"][case["before"]]
    record = record_of(f"{before} {case['say']}", tmp_path, lexicon)
    found = [[each.kind, each.condition or "", each.quote] for each in record.conclusions]
    assert found == case["want"]


@pytest.mark.parametrize("hesitation", ["um", "you know", "er"])
def test_a_hesitation_in_the_advice_changes_no_condition(hesitation: str, tmp_path: Path, lexicon: Lexicon) -> None:
    found = "camera in the inlet heading upstream at 3.1 metres a crack"
    plain = f"{found} so main issue is the crack and i'd recommend a patch there"
    hesitant = f"{found} so main issue is {hesitation} the crack and i'd recommend {hesitation} a patch there"
    both = [record_of(text, tmp_path, lexicon).conclusions for text in (plain, hesitant)]
    assert [(each.kind, each.condition) for each in both[0]] == [("main_issue", "crack"), ("recommendation", "crack")]
    assert [(each.kind, each.condition) for each in both[1]] == [(each.kind, each.condition) for each in both[0]]


def test_every_quote_is_in_the_narration(tmp_path: Path, lexicon: Lexicon) -> None:
    for case in CASES["case"]:
        text = f"{CASES['before'][case['before']]} {case['say']}"
        record = record_of(text, tmp_path, lexicon)
        assert all(each.quote in text for each in record.conclusions)
