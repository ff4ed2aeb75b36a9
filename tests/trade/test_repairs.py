"""Repairs worked by hand. Reach and margins are common practice, no source (lexicon/rules/repairs.toml)."""

from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from extractor.lexicon.load import Lexicon
from extractor.trade.repairs import repairs, total_cost
from extractor.trade.rules import Rules, load_rules
from tests.trade.records import measure, record, row, run

LINE = run("R1", "gully", "downstream", 20.0, end_reason="cable_limit")


def roots(at: float, **fields: str) -> object:
    return row("R1", "joint/root_intrusion", at, **fields)


def test_roots_within_reach_are_one_repair(rules: Rules) -> None:
    (found,) = repairs(record(LINE, roots(4.0), roots(6.5), roots(8.0)), rules)
    # reach 5 m: gaps of 2.5 and 1.5 join; 4.0 - 0.5 to 8.0 + 0.5 is 5.0 m
    assert (found.method.name, found.from_m, found.to_m, found.quantity, found.unit) == (
        "cut roots",
        3.5,
        8.5,
        5.0,
        "m",
    )
    assert found.reach_m == 8.5 and found.rows == ("O1", "O2", "O3")


def test_roots_out_of_reach_are_two_repairs(rules: Rules) -> None:
    found = repairs(record(LINE, roots(4.0), roots(9.5)), rules)
    assert [(each.from_m, each.to_m) for each in found] == [(3.5, 4.5), (9.0, 10.0)]


def test_a_repair_stays_on_the_pipe_and_is_never_shorter_than_its_least(rules: Rules) -> None:
    reached = run("R1", "gully", "downstream", 6.0, end_reason="reached", end_at="main")
    (found,) = repairs(record(reached, row("R1", "grease", 0.0, 6.0, extent="severe")), rules)
    assert (found.from_m, found.to_m, found.quantity) == (0.0, 6.0, 6.0)
    (patch,) = repairs(record(LINE, row("R1", "crack", 3.0)), rules)
    # one crack: 0.3 m either side is the least 0.6 m
    assert (patch.method.name, patch.quantity, patch.unit) == ("patch", 1.0, "each")
    assert patch.length_m == pytest.approx(0.6)


def test_many_patches_side_by_side_become_one_re_lining(rules: Rules) -> None:
    visit = record(LINE, *(row("R1", "crack", at) for at in (3.0, 3.8, 4.5)))
    (found,) = repairs(visit, rules)
    # three within 1 m of each other, over the two allowed: re-line 3.0 - 0.5 to 4.5 + 0.5
    assert (found.method.name, found.from_m, found.to_m, found.quantity) == ("re-line", 2.5, 5.0, 2.5)


@pytest.mark.parametrize("outcome", ["cleared", "partly_cleared"])
def test_what_was_cleared_needs_no_repair(rules: Rules, outcome: str) -> None:
    found = repairs(record(LINE, roots(4.0, outcome=outcome, extent="severe")), rules)
    assert len(found) == (0 if outcome == "cleared" else 1)


def test_a_thing_seen_from_both_ends_is_repaired_once(rules: Rules) -> None:
    visit = record(
        run("R1", "septic_tank outlet", "downstream", 8.0, end_reason="reached", end_at="distribution_box"),
        run("R2", "distribution_box inlet", "upstream", 4.0, end_reason="stopped"),
        row("R1", "joint/crack", 6.0),
        row("R2", "joint/crack", 2.1),
    )
    (found,) = repairs(visit, rules)
    assert found.rows == ("O1", "O2") and found.quantity == 1.0 and found.run == "R1"


def test_digging_asks_for_the_depth_or_takes_it_where_it_was_said(rules: Rules) -> None:
    text = "collapsed at six metres she's nine hundred deep there"
    visit = record(
        LINE,
        row("R1", "collapse", 6.0, quote="collapsed at six metres"),
        measure(6.0, "m", "chainage", "six metres", run="R1"),
        measure(0.9, "m", "depth", "nine hundred deep", run="R1"),
        text=text,
    )
    assert repairs(visit, rules)[0].depth_m == 0.9 and repairs(visit, rules)[0].missing == ()
    bare = record(LINE, row("R1", "collapse", 6.0))
    assert repairs(bare, rules)[0].missing == ("the depth of the pipe there, to dig",)


def test_a_finding_without_a_distance_has_no_quantity_and_says_so(rules: Rules) -> None:
    (found,) = repairs(record(LINE, row("R1", "joint/root_intrusion")), rules)
    assert found.quantity is None and found.missing == ("its distance from the opening",)


def test_a_tank_gets_its_own_repairs(rules: Rules) -> None:
    visit = record(row("septic_tank", "baffle/missing_part"), row("septic_tank", "settled_deposit", extent="severe"))
    assert [(each.method.name, each.structure, each.quantity) for each in repairs(visit, rules)] == [
        ("pump out", "septic_tank", 1.0),
        ("refit", "septic_tank", 1.0),
    ]


def test_no_price_is_invented(rules: Rules) -> None:
    found = repairs(record(LINE, roots(4.0)), rules)
    assert found[0].cost is None and total_cost(found) == (Decimal(0), ("W1",))


def test_a_users_rates_multiply(tmp_path: Path) -> None:
    (tmp_path / "rules").mkdir()
    (tmp_path / "rules" / "rates.toml").write_text(
        'currency = "units"\n[[rate]]\nname = "roots a metre"\nmethod = "cut roots"\nprice = 12.35\nleast = 40\n'
    )
    rules = load_rules(tmp_path, lexicon=Lexicon((), ""))
    found = repairs(record(LINE, roots(4.0), roots(8.0), roots(15.0)), rules)
    # 3.5 to 8.5 is 5.0 m x 12.35 = 61.75; 14.5 to 15.5 is 1.0 m x 12.35 = 12.35, under the least charge of 40
    assert [each.cost.amount for each in found if each.cost] == [Decimal("61.75"), Decimal("40.00")]
    assert total_cost(found)[0] == Decimal("101.75")


@settings(max_examples=60, deadline=None)
@given(
    said=st.lists(
        st.tuples(
            st.sampled_from(["joint/root_intrusion", "crack", "grease", "collapse", "sound"]),
            st.one_of(st.none(), st.integers(0, 200).map(lambda tenths: tenths / 10)),
        ),
        max_size=10,
    )
)
def test_no_finding_is_in_two_repairs_and_every_one_lies_in_its_own(
    rules: Rules, said: list[tuple[str, float | None]]
) -> None:
    visit = record(LINE, *(row("R1", what, at) for what, at in said))
    found = repairs(visit, rules)
    keys = [key for each in found for key in each.rows]
    assert len(keys) == len(set(keys))
    wanted = {each.id for each in visit.observations if each.condition != "sound"}
    assert set(keys) == wanted
    places = {each.id: each.from_m for each in visit.observations}
    for each in found:
        for key in each.rows:
            place = places[key]
            if each.from_m is not None and each.to_m is not None and place is not None:
                assert each.from_m <= place <= each.to_m


def test_a_patch_within_a_length_to_be_replaced_is_not_done_as_well(rules: Rules) -> None:
    visit = record(LINE, row("R1", "collapse", 6.0), row("R1", "crack", 6.1), row("R1", "crack", 12.0))
    found = repairs(visit, rules)
    # replace 5.5 to 6.5; the patch 5.8 to 6.4 lies within it; the one at 12 does not
    assert [(each.method.name, each.rows) for each in found] == [
        ("dig and replace", ("O1", "O2")),
        ("patch", ("O3",)),
    ]


def test_a_sure_patch_is_not_left_out_for_a_doubtful_replacement(rules: Rules) -> None:
    visit = record(LINE, row("R1", "deformation", 6.0, extent="severe", certainty="tentative"), row("R1", "crack", 6.1))
    assert "patch" in [each.method.name for each in repairs(visit, rules)]


def test_where_the_far_end_was_not_seen_the_length_is_not_cut_off_there(rules: Rules) -> None:
    stuck = run("R1", "gully", "downstream", 6.0, end_reason="could_not_pass")
    (found,) = repairs(record(stuck, roots(6.0)), rules)
    assert (found.from_m, found.to_m) == (5.5, 6.5)
    assert found.missing == ("how far it goes on past 6.00 m, where nothing was seen",)
