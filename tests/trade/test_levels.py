"""Tanks, by hand. The guidance is the US EPA's SepticSmart, read on pages that restate it (STANDARDS part 3)."""

from math import pi

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from extractor.trade.fittings import box_outlets, fittings
from extractor.trade.levels import share_of_solids, tanks
from extractor.trade.rules import Rules
from extractor.trade.tables import Guidance
from extractor.trade.volumes import (
    lying_cylinder_l,
    rectangular_l,
    share_of_capacity_l,
    upright_cylinder_l,
)
from tests.trade.records import measure, record, row

UNITS = pint.UnitRegistry()
SEPTICSMART = "US EPA, SepticSmart, How to care for your septic system"
MANUAL = "US EPA, Onsite wastewater treatment systems manual, EPA/625/R-00/008 (2002)"


@pytest.mark.parametrize(
    ("name", "value", "unit", "basis", "source"),
    [
        ("scum to outlet", (6 * UNITS.inch).to("m").magnitude, "m", "read", SEPTICSMART),
        ("sludge to outlet", (12 * UNITS.inch).to("m").magnitude, "m", "read", SEPTICSMART),
        ("share of solids", 0.25, "share", "read", SEPTICSMART),
        ("how often", None, "", "read", SEPTICSMART),
        ("drop through the tank", (2 * UNITS.inch).to("m").magnitude, "m", "recalled", MANUAL),
        ("level high", None, "", "recalled", MANUAL),
        ("level low", None, "", "recalled", MANUAL),
        ("fittings", None, "", "recalled", MANUAL),
        ("outlet draws clear", None, "", "recalled", MANUAL),
        ("box clean", None, "", "recalled", MANUAL),
        # read in two municipal codes on disposal fields: all outlets at one elevation
        (
            "box outlets level",
            None,
            "",
            "read",
            "municipal codes of Vienna, Illinois (53.075) and Creve Coeur, Illinois",
        ),
        ("pump by the tank's opening", None, "", "read", "a homeowners' guide"),
        ("alarm and float", None, "", "practice", ""),
    ],
)
def test_guidance_is_as_its_source_has_it(
    rules: Rules, name: str, value: float | None, unit: str, basis: str, source: str
) -> None:
    guidance = rules.named(Guidance, name)
    assert (guidance.value, guidance.unit, guidance.basis) == (
        None if value is None else pytest.approx(value),
        unit,
        basis,
    )
    assert guidance.source.startswith(source)


TANK = "lid's off the septic sludge is about four hundred mil deep scum is a hundred liquid depth one point five metres"


def tank_record(text: str = TANK, *more: object) -> object:
    return record(
        row("septic_tank", "lid/sound", quote="lid's off"),
        measure(0.4, "m", "depth", "about four hundred mil deep", structure="septic_tank", approximate=True),
        measure(0.1, "m", "depth", "a hundred", structure="septic_tank"),
        measure(1.5, "m", "depth", "one point five metres", structure="septic_tank"),
        *more,
        text=text,
    )


def test_layers_are_told_apart_by_the_word_nearest_to_each(rules: Rules) -> None:
    (tank,) = tanks(tank_record(), rules)  # type: ignore[arg-type]
    assert tank.sludge and tank.scum and tank.liquid
    assert (tank.sludge.low, tank.scum.low, tank.liquid.low) == (0.4, 0.1, 1.5)


def test_solids_over_a_quarter_of_the_liquid_mean_pump_out(rules: Rules) -> None:
    (tank,) = tanks(tank_record(), rules)  # type: ignore[arg-type]
    share = tank.checks[0]
    # (0.4 + 0.1) / 1.5 = 0.333: over 25 %
    assert share.answer == "pump out" and "33 %" in share.working and share.approximate
    assert [(check.name, check.answer) for check in tank.checks[1:]] == [
        ("sludge to outlet", "measure"),
        ("scum to outlet", "measure"),
    ]


@pytest.mark.parametrize(
    ("sludge", "scum", "liquid", "share"), [(0.3, 0.0, 1.2, 0.25), (0.4, 0.1, 1.5, 1 / 3), (0.1, 0.05, 1.5, 0.1)]
)
def test_share_of_solids_by_hand(sludge: float, scum: float, liquid: float, share: float) -> None:
    assert share_of_solids(sludge, scum, liquid) == pytest.approx(share)


def test_sludge_alone_says_what_else_to_measure(rules: Rules) -> None:
    visit = record(
        measure(0.4, "m", "depth", "four hundred of sludge", structure="septic_tank"), text="four hundred of sludge"
    )
    (tank,) = tanks(visit, rules)
    assert tank.checks[0].answer == "measure" and "scum and the liquid depth" in tank.checks[0].working


@pytest.mark.parametrize(("gap_m", "answer"), [(0.25, "pump out"), (0.30, "pump out"), (0.35, "not yet")])
def test_sludge_within_a_foot_of_the_outlet_means_pump_out(rules: Rules, gap_m: float, answer: str) -> None:
    visit = record(
        measure(gap_m, "m", "depth", "this much below the outlet", structure="septic_tank"),
        text="top of the sludge is this much below the outlet",
    )
    (tank,) = tanks(visit, rules)
    assert tank.sludge is None, "a distance to the outlet is no depth of sludge"
    assert [(check.name, check.answer) for check in tank.checks] == [("sludge to outlet", answer)]


@pytest.mark.parametrize(
    ("quote", "condition", "level", "points_to"),
    [
        ("she's up over the outlet", "full", "high", "downstream"),
        ("sitting well below the outlet", "standing_water", "low", "leak"),
        ("tank is full", "full", "high", "downstream"),
    ],
)
def test_the_level_at_the_outlet_points_somewhere(
    rules: Rules, quote: str, condition: str, level: str, points_to: str
) -> None:
    (tank,) = tanks(record(row("septic_tank", condition, quote=quote)), rules)
    assert tank.level == level and points_to in tank.notes[0].says


def test_a_grease_trap_gets_no_septic_guidance(rules: Rules) -> None:
    visit = record(measure(0.2, "m", "depth", "200 of sludge", structure="grease_trap"), text="200 of sludge")
    assert tanks(visit, rules)[0].checks == ()


def test_volumes_by_proportion_of_a_stated_capacity(rules: Rules) -> None:
    text = f"it's a three thousand litre tank {TANK}"
    visit = tank_record(text, measure(3000, "L", "other", "three thousand litre", structure="septic_tank"))
    (tank,) = tanks(visit, rules)  # type: ignore[arg-type]
    # 0.4 of 1.5 of 3000 L = 800 L of sludge; 0.1 of 1.5 = 200 L of scum
    assert [(volume.layer, round(volume.litres)) for volume in tank.volumes] == [("sludge", 800), ("scum", 200)]


def test_volumes_of_a_tank_whose_sides_were_said(rules: Rules) -> None:
    visit = tank_record(
        TANK,
        measure(2.4, "m", "size", "two point four", structure="septic_tank"),
        measure(1.2, "m", "size", "one point two", structure="septic_tank"),
    )
    (tank,) = tanks(visit, rules)  # type: ignore[arg-type]
    # 2.4 x 1.2 x 1.5 m = 4.32 m3
    assert [volume.litres for volume in tank.volumes] == pytest.approx([1152, 288, 4320])


@pytest.mark.parametrize(
    ("litres", "by_hand"),
    [
        (rectangular_l(2.0, 1.5, 1.2), 3600),
        (upright_cylinder_l(2.0, 1.0), pi * 1000),
        (lying_cylinder_l(1.0, 4.0, 0.5), pi / 8 * 4000),  # half full is half of the circle
        (lying_cylinder_l(1.0, 4.0, 1.0), pi * 1000),
        (lying_cylinder_l(1.0, 4.0, 2.0), pi * 1000),  # over the top is full
        (lying_cylinder_l(1.0, 4.0, 0.0), 0),
        # litres a metre of full bore: 7.85 for 100 mm, 17.7 for 150 mm (pi d2 / 4)
        (lying_cylinder_l(0.1, 10.0, 0.1), 78.54),
        (lying_cylinder_l(0.15, 1.0, 0.15), 17.67),
        (share_of_capacity_l(3000, 1.5, 0.5), 1000),
        (share_of_capacity_l(3000, 1.5, 2.0), 3000),
    ],
)
def test_volumes_by_hand(litres: float, by_hand: float) -> None:
    assert litres == pytest.approx(by_hand, abs=0.01)


def test_volumes_agree_with_pint() -> None:
    box = (2.4 * UNITS.meter) * (120 * UNITS.centimeter) * (5 * UNITS.foot)
    assert rectangular_l(2.4, 1.2, 5 * 0.3048) == pytest.approx(box.to("liter").magnitude)


@settings(max_examples=50, deadline=None)
@given(diameter=st.floats(0.05, 3), length=st.floats(0.1, 10), share=st.floats(0, 1))
def test_a_lying_tank_holds_with_its_two_parts_what_it_holds_full(diameter: float, length: float, share: float) -> None:
    below = lying_cylinder_l(diameter, length, share * diameter)
    above = lying_cylinder_l(diameter, length, (1 - share) * diameter)
    full = pi * diameter**2 / 4 * length * 1000
    assert below + above == pytest.approx(full, rel=1e-6)


def test_fittings_pumps_and_floats_are_listed_with_their_state(rules: Rules) -> None:
    visit = record(
        row("septic_tank", "baffle/missing_part"),
        row("septic_tank", "filter/blockage", outcome="cleared"),
        row("septic_tank", "baffle/sound"),
        row("pump_well", "pump/pump_fault"),
        row("pump_well", "float_switch/sound"),
        row("septic_tank", "wall/crack"),
    )
    assert [(each.component, each.state) for each in fittings(visit, rules)] == [
        ("baffle", "lost"),
        ("filter", "put right"),
        ("baffle", "in order"),
        ("pump", "fault"),
        ("float_switch", "in order"),
    ]


@pytest.mark.parametrize(
    ("quote", "sharing"),
    [
        ("three outlets and it's only going down one", "uneven"),
        ("three outlets all level", "even"),
        ("three outlets on it not even a lid", None),
    ],
)
def test_outlets_of_a_box_share_or_not_by_words_alone(rules: Rules, quote: str, sharing: str | None) -> None:
    visit = record(row("distribution_box", "outlet/", count=3, quote=quote))
    assert [(box.count, box.sharing) for box in box_outlets(visit, rules)] == [(3, sharing)]
