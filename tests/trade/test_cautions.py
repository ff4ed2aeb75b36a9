"""Cautions: shown where the record calls for them, each with its source (STANDARDS part 7)."""

import pytest

from extractor.record import Action
from extractor.trade.cautions import cautions, deferring
from extractor.trade.repairs import repairs
from extractor.trade.rules import Rules
from extractor.trade.tables import Caution
from tests.trade.records import record, row, run


def names(visit: object, rules: Rules) -> set[str]:
    planned = repairs(visit, rules)  # type: ignore[arg-type]
    return {warned.caution.name for warned in cautions(visit, rules, planned=planned)}  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("part", "expected"),
    [
        (row("septic_tank", "sound"), {"confined space", "gas from a tank", "hydrogen sulphide", "methane", "sewage"}),
        (Action(action="jetting", target="pipe", quote="jetted it"), {"jetting", "sewage"}),
        (Action(action="lid_lifted", target="gully", quote="lid off"), {"lid"}),
        (Action(action="located", quote="marked it"), {"digging", "located from above"}),
        (row("R1", "pump/pump_fault"), {"pump wiring"}),
        (row("R1", "collapse", 3.0), {"digging"}),
        (row("R1", "grease", 3.0), {"jetting"}),
        (row("R1", "vermin", 3.0), {"sewage"}),
        (row("R1", "vermin", 0.0, 9.0, absent=True), set()),
    ],
)
def test_what_the_record_contains_calls_for_its_cautions(rules: Rules, part: object, expected: set[str]) -> None:
    assert names(record(run("R1", None, None, 9.0), part), rules) == expected


def test_each_caution_says_why_it_is_there(rules: Rules) -> None:
    (warned, *_) = cautions(record(row("septic_tank", "sound")), rules)
    assert warned.because == ("septic tank",)


@pytest.mark.parametrize(
    ("name", "basis", "source", "fact"),
    [
        ("confined space", "read", "29 CFR 1910.146(b)", "hard to leave"),
        ("gas from a tank", "read", "Delaware (Ohio) General Health District", "kill in minutes"),
        ("hydrogen sulphide", "read", "NIOSH", "100 ppm"),
        ("methane", "recalled", "NIOSH", "5 %"),
        ("jetting", "read", "Water Jetting Association", "100 psi (7 bar)"),
        ("digging", "read", "before-you-dig service (1100)", "two business days"),
        ("sewage", "read", "WorkSafe Queensland", "Weil's disease"),
        ("pump wiring", "recalled", "29 CFR 1910.147", "locked off"),
        ("lid", "practice", "", "uncovered"),
        ("located from above", "practice", "", "estimate"),
    ],
)
def test_each_fact_is_as_its_source_has_it(rules: Rules, name: str, basis: str, source: str, fact: str) -> None:
    caution = rules.named(Caution, name)
    assert caution.basis == basis and source in caution.source and fact in caution.says


def test_every_caution_is_tested_and_defers_to_the_law_of_the_place(rules: Rules) -> None:
    assert len(rules.of(Caution)) == 10
    assert "licensed" in deferring(rules) and "codes" in deferring(rules)
