"""Two visits, worked by hand. The tolerance (0.3 m and 3 % of the distance) is the program's own choice, no source."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from extractor.record import Record
from extractor.trade.compare import compare
from extractor.trade.rules import Rules
from tests.trade.records import record, row, run


def visit(*rows: object, end_m: float = 20.0, **fields: object) -> Record:
    fields.setdefault("end_reason", "cable_limit")
    return record(run("R1", "gully", "downstream", end_m, **fields), *rows)


def statuses(old: Record, new: Record, rules: Rules) -> list[str]:
    return [change.status for change in compare(old, new, rules=rules).changes]


ROOTS = "joint/root_intrusion"


@pytest.mark.parametrize(
    ("old", "new", "status", "note"),
    [
        ([row("R1", ROOTS, 4.0)], [row("R1", ROOTS, 4.2)], "remains", "still there"),
        ([row("R1", ROOTS, 4.0)], [row("R1", "root_intrusion", 0.0, 18.0, absent=True)], "gone", "clear"),
        ([row("R1", ROOTS, 4.0)], [row("R1", "sound", 0.0, 18.0)], "gone", "clear"),
        ([row("R1", ROOTS, 4.0)], [], "not_mentioned", "nothing was said"),
        ([row("R1", ROOTS, 4.0, extent="slight")], [row("R1", ROOTS, 4.0, extent="severe")], "grown", "was slight"),
        ([row("R1", ROOTS, 4.0, extent="severe")], [row("R1", ROOTS, 4.0, extent="slight")], "remains", "less than"),
        ([row("R1", "crack", 4.0)], [row("R1", "fracture", 4.0)], "grown", "was crack"),
        ([row("R1", "fracture", 4.0)], [row("R1", "crack", 4.0)], "remains", "called fracture then"),
        ([row("R1", "dip", 4.0, 5.0)], [row("R1", "dip", 4.0, 8.0)], "grown", "1.00 m long, is 4.00 m"),
        ([row("R1", ROOTS, 4.0, outcome="cleared")], [row("R1", ROOTS, 4.0)], "new", "back again"),
        ([], [row("R1", "crack", 7.0)], "new", "not there at the first visit"),
    ],
)
def test_one_finding_over_two_visits(
    rules: Rules, old: list[object], new: list[object], status: str, note: str
) -> None:
    (change,) = compare(visit(*old), visit(*new), rules=rules).changes
    assert change.status == status and note in change.note


@pytest.mark.parametrize(
    ("at", "then", "same"),
    [
        (1.0, 1.3, True),  # allowed 0.3 + 0.03 x 1.3 = 0.34
        (1.0, 1.5, False),
        (
            20.0,
            20.8,
            True,
        ),  # allowed 0.3 + 0.03 x 20.8 = 0.92: the same half metre that parts two places near the start
        (20.0, 21.2, False),
    ],
)
def test_the_tolerance_grows_with_the_distance(rules: Rules, at: float, then: float, same: bool) -> None:
    found = statuses(visit(row("R1", ROOTS, at), end_m=30.0), visit(row("R1", ROOTS, then), end_m=30.0), rules)
    assert found == (["remains"] if same else ["not_mentioned", "new"])


def test_a_hedged_distance_is_given_more_room(rules: Rules) -> None:
    old = visit(row("R1", ROOTS, 1.0, approximate=True))
    assert statuses(old, visit(row("R1", ROOTS, 1.5)), rules) == ["remains"]  # (0.3 + 0.03 x 1.5) x 2 = 0.69


def test_past_the_end_of_the_second_run_nothing_is_called_gone(rules: Rules) -> None:
    old = visit(row("R1", ROOTS, 15.0))
    new = visit(row("R1", "root_intrusion", 0.0, 9.0, absent=True), end_m=9.0)
    assert statuses(old, new, rules) == ["not_looked_at"]


def test_a_line_not_visited_again_was_not_looked_at(rules: Rules) -> None:
    new = record(run("R1", "septic_tank inlet", "upstream", 5.0))
    comparison = compare(visit(row("R1", ROOTS, 4.0)), new, rules=rules)
    assert [change.status for change in comparison.changes] == ["not_looked_at"]
    assert comparison.old_only == ("R1",) and comparison.new_only == ("R1",)


def test_lines_are_matched_by_their_opening_not_their_number(rules: Rules) -> None:
    old = record(
        run("R1", "gully", "downstream", 9.0),
        run("R2", "septic_tank inlet", "upstream", 6.0),
        row("R1", ROOTS, 4.0),
        row("R2", "grease", 2.0),
    )
    new = record(
        run("R1", "septic_tank inlet", "upstream", 6.0),
        run("R2", "gully", "downstream", 9.0),
        row("R1", "grease", 2.1),
        row("R2", ROOTS, 4.1),
    )
    assert statuses(old, new, rules) == ["remains", "remains"]


def test_two_outlets_alike_are_not_guessed_at(rules: Rules) -> None:
    old = record(*(run(f"R{n}", "distribution_box outlet", "downstream", 9.0) for n in (1, 2)), row("R1", ROOTS, 4.0))
    new = record(*(run(f"R{n}", "distribution_box outlet", "downstream", 9.0) for n in (1, 2)), row("R2", ROOTS, 4.0))
    assert statuses(old, new, rules) == ["not_looked_at", "new"]
    label = {"R1": "left", "R2": "right"}
    old = record(
        *(run(n, "distribution_box outlet", "downstream", 9.0, label=label[n]) for n in label), row("R1", ROOTS, 4.0)
    )
    new = record(
        *(run(n, "distribution_box outlet", "downstream", 9.0, label=label[n]) for n in label), row("R1", ROOTS, 4.0)
    )
    assert statuses(old, new, rules) == ["remains"]


def test_a_second_visit_from_the_other_end_is_laid_along_the_first(rules: Rules) -> None:
    old = record(
        run("R1", "septic_tank outlet", "downstream", 8.0, end_reason="reached", end_at="distribution_box"),
        row("R1", "joint/crack", 6.0),
        row("R1", "joint/crack", 1.0),
    )
    new = record(run("R1", "distribution_box inlet", "upstream", 4.0), row("R1", "joint/crack", 2.1))
    found = compare(old, new, rules=rules)
    # 8.0 - 2.1 = 5.9 is the one at 6.0; the camera never came within 4 m of the other
    assert [(change.status, change.new_m) for change in found.changes] == [
        ("not_looked_at", None),
        ("remains", pytest.approx(5.9)),
    ]


def test_tanks_and_rows_without_a_distance_are_compared_by_place_and_part(rules: Rules) -> None:
    old = record(
        row("septic_tank", "baffle/missing_part"),
        row("septic_tank", "wall/crack"),
        row("distribution_box", "settled_deposit"),
        row("manhole", "full"),
    )
    new = record(
        row("septic_tank", "baffle/sound"),
        row("septic_tank", "wall/crack", extent="severe"),
        row("manhole", "wall/crack"),
    )
    assert [(change.status, change.line) for change in compare(old, new, rules=rules).changes] == [
        ("gone", "septic tank"),
        ("remains", "septic tank"),
        ("not_looked_at", "distribution box"),
        ("not_mentioned", "manhole"),
        ("new", "manhole"),
    ]


rows = st.lists(
    st.tuples(
        st.sampled_from(["crack", "fracture", ROOTS, "dip", "sound"]),
        st.one_of(st.none(), st.integers(0, 200).map(lambda tenths: tenths / 10)),
        st.booleans(),
        st.sampled_from(["open", "cleared"]),
    ),
    max_size=8,
)


@settings(max_examples=60, deadline=None)
@given(before=rows, after=rows, end=st.integers(0, 200))
def test_every_finding_of_both_visits_is_in_exactly_one_change(
    rules: Rules,
    before: list[tuple[str, float | None, bool, str]],
    after: list[tuple[str, float | None, bool, str]],
    end: int,
) -> None:
    def made(said: list[tuple[str, float | None, bool, str]], end_m: float) -> Record:
        return visit(
            *(row("R1", what, at, absent=absent, outcome=outcome) for what, at, absent, outcome in said), end_m=end_m
        )

    old, new = made(before, 20.0), made(after, end / 10)
    found = compare(old, new, rules=rules)
    for record_, keys in (
        (old, [key for change in found.changes for key in change.old_rows]),
        (new, [key for change in found.changes if change.status != "gone" for key in change.new_rows]),
    ):
        trouble = {each.id for each in record_.observations if each.polarity == "present" and each.condition != "sound"}
        assert sorted(keys) == sorted(trouble)


@settings(max_examples=30, deadline=None)
@given(said=rows)
def test_a_visit_compared_with_itself_has_nothing_new_grown_or_gone(
    rules: Rules, said: list[tuple[str, float | None, bool, str]]
) -> None:
    same = visit(*(row("R1", what, at) for what, at, _, _ in said))
    assert set(statuses(same, same, rules)) <= {"remains"}
