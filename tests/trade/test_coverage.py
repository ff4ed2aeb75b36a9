"""Coverage worked by hand. Tolerances are the program's own choice (lexicon/rules/tolerances.toml), no source."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from extractor.trade.coverage import Ledger, coverage
from extractor.trade.rules import Rules
from tests.trade.records import feature, measure, record, row, run


def kinds(ledger: Ledger) -> list[tuple[float, float, str]]:
    return [(piece.from_m, piece.to_m, piece.kind) for piece in ledger.stretches]


def test_a_run_is_cut_into_what_was_found_said_to_be_clear_and_passed_without_a_word(rules: Rules) -> None:
    visit = record(
        run("R1", "septic_tank inlet", "upstream", 10.0, end_reason="reached", end_at="toilet"),
        row("R1", "standing_water", 5.0, 6.5),
        row("R1", "root_intrusion", 0.0, 8.0, absent=True),
        row("R1", "joint/crack", 3.0),
    )
    ledger = coverage(visit, rules).runs[0]
    # 0 to 5 clear of roots, 5 to 6.5 water, 6.5 to 8 clear again, 8 to 10 nothing said; the crack is a point
    assert kinds(ledger) == [(0.0, 5.0, "clear"), (5.0, 6.5, "finding"), (6.5, 8.0, "clear"), (8.0, 10.0, "seen")]
    assert (ledger.seen_m, ledger.not_seen_m) == (10.0, 0.0)
    assert ledger.metres("clear") == 6.5 and ledger.metres("finding") == 1.5
    assert [(clear.of, clear.from_m, clear.to_m) for clear in ledger.clear] == [("root_intrusion", 0.0, 8.0)]
    assert ledger.points == ("O3",) and ledger.length_settled and ledger.beyond == ""


def test_a_run_that_stopped_short_says_why_nothing_past_it_was_seen(rules: Rules) -> None:
    visit = record(run("R1", "gully", "downstream", 6.0, end_reason="cable_limit"))
    ledger = coverage(visit, rules).runs[0]
    assert not ledger.length_settled
    assert ledger.beyond == "the cable would go no further, so nothing past 6.00 m was seen"


def test_a_full_pipe_was_passed_but_not_seen(rules: Rules) -> None:
    visit = record(run("R1", "gully", "downstream", 9.0, end_reason="stopped"), row("R1", "full", 4.0, 9.0))
    ledger = coverage(visit, rules).runs[0]
    assert kinds(ledger) == [(0.0, 4.0, "seen"), (4.0, 9.0, "not_seen")]
    assert "under water" in ledger.stretches[1].why


def test_work_on_the_day_is_told_from_what_still_stands(rules: Rules) -> None:
    visit = record(
        run("R1", "gully", "downstream", 4.0, end_reason="reached", end_at="main"),
        row("R1", "grease", 0.0, 2.0, outcome="cleared"),
        row("R1", "grease", 1.0, 3.0, outcome="partly_cleared"),
    )
    assert kinds(coverage(visit, rules).runs[0]) == [
        (0.0, 1.0, "cleared"),
        (1.0, 3.0, "finding"),
        (3.0, 4.0, "seen"),
    ]


def test_a_row_without_a_distance_counts_for_no_metre(rules: Rules) -> None:
    visit = record(run("R1", "gully", "downstream", 4.0), row("R1", "crack"), row("R1", "grease", absent=True))
    ledger = coverage(visit, rules).runs[0]
    assert ledger.unplaced == ("O1", "O2") and kinds(ledger) == [(0.0, 4.0, "seen")]


def test_a_run_with_no_distance_at_all_has_no_length(rules: Rules) -> None:
    ledger = coverage(record(run("R1", "gully", "downstream"), row("R1", "crack")), rules).runs[0]
    assert ledger.length_m is None and ledger.stretches == () and ledger.beyond == "no distance was said"


TANK_TO_BOX = "between the tank and the box it is eleven metres over the ground"


def two_ends(*parts: object, text: str = "", out_m: float = 5.0, back_m: float = 4.0) -> object:
    """A pipe from the tank's outlet to the box's inlet, looked at from both ends, stopped on the way both times."""
    return record(
        run("R1", "septic_tank outlet", "downstream", out_m, end_reason="could_not_pass"),
        run("R2", "distribution_box inlet", "upstream", back_m, end_reason="could_not_pass"),
        *parts,
        text=text,
    )


def test_a_stated_length_puts_two_runs_on_one_axis_with_the_middle_unseen(rules: Rules) -> None:
    visit = two_ends(measure(11, "m", "surface", "eleven metres"), text=TANK_TO_BOX)
    found = coverage(visit, rules)  # type: ignore[arg-type]
    (ledger,) = found.pipes
    # 11 m; seen 0 to 5 from the tank, and 11 - 4 = 7 to 11 from the box: 2 m in the middle never seen
    assert kinds(ledger) == [(0.0, 5.0, "seen"), (5.0, 7.0, "not_seen"), (7.0, 11.0, "seen")]
    assert ledger.unseen_middle_m == pytest.approx(2.0) and ledger.overlap_m == 0.0
    assert ledger.seen_m + ledger.not_seen_m == pytest.approx(11.0)
    assert ledger.stretches[1].why == "R1: the camera could not pass; R2: the camera could not pass"
    assert found.questions == ()


def test_one_thing_seen_from_both_sides_gives_the_length_and_is_one_entry(rules: Rules) -> None:
    text = "there's a junction at three metres then from the box same junction from the other side at two metres ten"
    visit = two_ends(
        feature("R1", "junction", 3.0, quote="a junction at three metres"),
        feature("R2", "junction", 2.1, quote="same junction from the other side at two metres ten"),
        text=text,
        out_m=4.0,
        back_m=3.0,
    )
    (ledger,) = coverage(visit, rules).pipes  # type: ignore[arg-type]
    # 3.0 + 2.1 = 5.1 m; seen to 4.0 from the tank and from 5.1 - 3.0 = 2.1: 1.9 m seen twice
    assert ledger.length_m == pytest.approx(5.1)
    assert ledger.overlap_m == pytest.approx(1.9) and ledger.not_seen_m == 0.0
    (junction,) = ledger.features
    assert [(reading.run, reading.from_m) for reading in junction.readings] == [("R1", 3.0), ("R2", 2.1)]


def test_a_run_that_reached_where_the_other_began_is_the_whole_pipe(rules: Rules) -> None:
    visit = record(
        run("R1", "septic_tank outlet", "downstream", 8.0, end_reason="reached", end_at="distribution_box"),
        run("R2", "distribution_box inlet", "upstream", 3.0, end_reason="stopped"),
        row("R1", "joint/crack", 6.1),
        row("R2", "joint/crack", 2.0),
        row("R2", "joint/crack", 0.5),
    )
    (ledger,) = coverage(visit, rules).pipes
    # the crack at 2.0 from the box lies at 8.0 - 2.0 = 6.0: within 0.3 + 2 % of the one seen at 6.1; the other is new
    assert [feature.keys for feature in ledger.features] == [("O1", "O2"), ("O3",)]
    assert ledger.features[1].from_m == pytest.approx(7.5)
    assert ledger.overlap_m == pytest.approx(3.0)


def test_two_rows_of_one_run_are_never_one_thing(rules: Rules) -> None:
    visit = record(
        run("R1", "septic_tank outlet", "downstream", 8.0, end_reason="reached", end_at="distribution_box"),
        run("R2", "distribution_box inlet", "upstream", 3.0, end_reason="stopped"),
        row("R1", "joint/crack", 6.0),
        row("R1", "joint/crack", 6.2),
        row("R2", "joint/crack", 1.9),
    )
    (ledger,) = coverage(visit, rules).pipes
    # 8.0 - 1.9 = 6.1 lies between both; the first as near is joined, the other stays its own
    assert sorted(len(feature.readings) for feature in ledger.features) == [1, 2]


def test_a_second_look_along_the_same_line_shares_its_axis(rules: Rules) -> None:
    text = "in the outlet again to look at the rest back in the same line now"
    visit = record(
        run("R1", "septic_tank outlet", "downstream", 4.0, end_reason="could_not_pass"),
        run("R2", "septic_tank outlet", "downstream", 9.0, end_reason="cable_limit", quote="back in the same line now"),
        row("R1", "root_intrusion", 4.0),
        row("R2", "root_intrusion", 4.1),
        text=text,
    )
    (ledger,) = coverage(visit, rules).pipes
    assert ledger.runs == ("R1", "R2") and ledger.length_m == 9.0
    assert [feature.keys for feature in ledger.features] == [("O1", "O2")]


def test_two_outlets_of_one_box_stay_two_pipes(rules: Rules) -> None:
    visit = record(
        run("R1", "distribution_box outlet", "downstream", 4.0, end_reason="could_not_pass"),
        run("R2", "distribution_box outlet", "downstream", 9.0, end_reason="cable_limit"),
    )
    assert [ledger.runs for ledger in coverage(visit, rules).pipes] == [("R1",), ("R2",)]


def test_two_runs_towards_each_other_that_nothing_ties_become_a_question(rules: Rules) -> None:
    found = coverage(two_ends(), rules)  # type: ignore[arg-type]
    assert [ledger.runs for ledger in found.pipes] == [("R1",), ("R2",)]
    assert [(question.reason, question.rows) for question in found.questions] == [("same_pipe", ("R1", "R2"))]


@pytest.mark.parametrize(
    ("why", "parts", "out_m", "back_m", "rule"),
    [
        (
            "both went past the place where the other stuck",
            (),
            8.0,
            6.0,
            "what stops the camera stops it from both sides",
        ),
        ("a run longer than its pipe", (), 14.0, 2.0, "no run is longer than its pipe"),
        (
            "a junction that makes another length: 3 + 2 = 5, not 11",
            (
                feature("R1", "junction", 3.0, quote="junction at three"),
                feature("R2", "junction", 2.0, quote="same junction at two"),
            ),
            5.0,
            4.0,
            "whole lengths must agree",
        ),
        (
            "a crack that the other side denies",
            (
                row("R1", "crack", 8.0, quote="cracked at eight"),
                row("R2", "crack", 0.0, 5.0, absent=True, quote="no cracks"),
            ),
            9.0,
            5.0,
            "two runs of one pipe must agree",
        ),
    ],
)
def test_a_contradiction_beyond_the_tolerance_is_asked(
    rules: Rules, why: str, parts: tuple[object, ...], out_m: float, back_m: float, rule: str
) -> None:
    text = f"{TANK_TO_BOX} junction at three same junction at two cracked at eight no cracks"
    visit = two_ends(measure(11, "m", "surface", "eleven metres"), *parts, text=text, out_m=out_m, back_m=back_m)
    questions = coverage(visit, rules).questions  # type: ignore[arg-type]
    assert ("conflict", rule) in [(question.reason, question.rule) for question in questions], why


def test_ends_that_meet_within_the_tolerance_are_no_contradiction(rules: Rules) -> None:
    # 5.0 + 6.4 = 11.4 against 11 over the ground: allowed (0.3 + 0.02 x 11) x 2 = 1.04 m
    visit = two_ends(measure(11, "m", "surface", "eleven metres"), text=TANK_TO_BOX, out_m=5.0, back_m=6.4)
    assert coverage(visit, rules).questions == ()  # type: ignore[arg-type]


def test_which_of_two_junctions_was_seen_again_is_asked(rules: Rules) -> None:
    text = "junction at one junction at three then same junction from the other side at two"
    visit = two_ends(
        feature("R1", "junction", 1.0, quote="junction at one"),
        feature("R1", "junction", 3.0, quote="junction at three"),
        feature("R2", "junction", 2.0, quote="same junction from the other side at two"),
        text=text,
    )
    reasons = [question.reason for question in coverage(visit, rules).questions]  # type: ignore[arg-type]
    assert "which_one" in reasons


# --- what must hold whatever was said ---

metres = st.integers(0, 200).map(lambda tenths: tenths / 10)
conditions = st.sampled_from(["crack", "root_intrusion", "grease", "full", "sound", "dip"])
rows = st.tuples(
    st.sampled_from(["R1", "R2"]),
    conditions,
    metres,
    st.one_of(st.none(), metres),
    st.booleans(),
    st.sampled_from(["open", "cleared"]),
)


@settings(max_examples=60, deadline=None)
@given(out_m=metres, back_m=metres, total=metres, said=st.lists(rows, max_size=8))
def test_seen_and_unseen_add_up_and_nothing_is_counted_twice(
    rules: Rules, out_m: float, back_m: float, total: float, said: list[tuple[str, str, float, float | None, bool, str]]
) -> None:
    placed = [
        row(
            where,
            what,
            min(a, b) if b is not None else a,
            max(a, b) if b is not None else None,
            absent=gone,
            outcome=left,
        )
        for where, what, a, b, gone, left in said
    ]
    visit = two_ends(
        measure(total, "m", "surface", "eleven metres"), *placed, text=TANK_TO_BOX, out_m=out_m, back_m=back_m
    )
    found = coverage(visit, rules)  # type: ignore[arg-type]
    for ledger in (*found.runs, *found.pipes):
        assert ledger.length_m is not None
        assert ledger.seen_m + ledger.not_seen_m == pytest.approx(ledger.length_m)
        ends = [piece.to_m for piece in ledger.stretches]
        assert [piece.from_m for piece in ledger.stretches] == [0.0, *ends[:-1]][: len(ends)]
    for ledger in found.pipes:
        keys = [key for feature in ledger.features for key in feature.keys]
        assert len(keys) == len(set(keys))
        assert set(keys) == {key for key, each in zip(_keys(visit), placed, strict=True) if each.polarity == "present"}
    assert sum(len(ledger.runs) for ledger in found.pipes) == 2


def _keys(visit: object) -> list[str]:
    return [each.id for each in visit.observations]  # type: ignore[attr-defined]
