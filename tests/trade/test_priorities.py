"""The rule table of priorities. Its judgements are common practice, no source; tested is that it does what it says."""

from pathlib import Path

import pytest

from extractor.errors import LexiconError
from extractor.lexicon.load import Lexicon
from extractor.record import Conclusion
from extractor.trade.priorities import priorities
from extractor.trade.rules import Rules, load_rules
from extractor.trade.tables import PriorityRule, RepairMethod
from tests.trade.records import feature, record, row, run

STUCK = run("R1", "gully", "downstream", 6.0, end_reason="could_not_pass")


@pytest.mark.parametrize(
    ("what", "fields", "priority", "rule"),
    [
        ("collapse", {}, "now", "the pipe has fallen in"),
        ("joint/root_intrusion", {"extent": "slight"}, "soon", "fine roots"),
        ("joint/root_intrusion", {"extent": "severe"}, "now", "heavy roots"),
        ("joint/root_intrusion", {"outcome": "partly_cleared", "extent": "slight"}, "soon", "roots partly cleared"),
        ("joint/root_intrusion", {"outcome": "cleared", "extent": "severe"}, "watch", "roots come back"),
        ("grease", {"outcome": "cleared"}, "none", "cleared on the day"),
        ("crack", {"extent": "slight"}, "watch", "hairline crack"),
        ("crack", {}, "soon", "crack"),
        ("crack", {"certainty": "tentative"}, "watch", "doubtful"),
        ("break", {"certainty": "tentative"}, "soon", "doubtful, but it may be grave"),
        ("joint/sound", {}, "none", "in order"),
        ("dip", {}, "watch", "dip"),
        ("dip", {"extent": "severe"}, "soon", "deep dip"),
    ],
)
def test_a_finding_in_a_pipe_has_the_first_rule_that_fits(
    rules: Rules, what: str, fields: dict[str, str], priority: str, rule: str
) -> None:
    (found,) = priorities(record(STUCK, row("R1", what, 2.0, **fields)), rules)
    assert (found.priority, found.rule.name) == (priority, rule)
    assert found.because


@pytest.mark.parametrize(
    ("place", "what", "fields", "priority", "rule"),
    [
        ("septic_tank", "full", {}, "now", "tank over its outlet"),
        ("septic_tank", "baffle/missing_part", {}, "soon", "tank fitting missing"),
        ("septic_tank", "lid/crack", {}, "now", "broken lid"),
        ("septic_tank", "settled_deposit", {"extent": "severe"}, "now", "heavy sludge"),
        ("septic_tank", "settled_deposit", {}, "watch", "sludge"),
        ("distribution_box", "settled_deposit", {}, "soon", "solids in the box"),
        ("pump_well", "pump/pump_fault", {}, "now", "pump not working"),
        ("manhole", "full", {}, "now", "chamber full"),
        ("manhole", "settled_deposit", {}, "soon", "silt in the chamber"),
        ("septic_tank", "filter/blockage", {}, "now", "screen or filter blocked"),
    ],
)
def test_a_finding_at_a_structure_has_the_rule_of_its_place(
    rules: Rules, place: str, what: str, fields: dict[str, str], priority: str, rule: str
) -> None:
    (found,) = priorities(record(row(place, what, **fields)), rules)
    assert (found.priority, found.rule.name) == (priority, rule)


@pytest.mark.parametrize(("at", "priority"), [(6.0, "now"), (5.8, "now"), (3.0, "soon")])
def test_what_stops_the_camera_is_more_urgent(rules: Rules, at: float, priority: str) -> None:
    assert priorities(record(STUCK, row("R1", "displaced_joint", at)), rules)[0].priority == priority


def test_what_the_speaker_called_the_trouble_counts_for_more(rules: Rules) -> None:
    dip = row("R1", "dip", 2.0, 4.0)
    trouble = Conclusion(kind="main_issue", condition="dip", quote="that belly's your problem")
    assert priorities(record(STUCK, dip), rules)[0].priority == "watch"
    assert priorities(record(STUCK, dip, trouble), rules)[0].priority == "soon"


@pytest.mark.parametrize(("to_m", "rule"), [(4.0, "dip"), (9.0, "water held back")])
def test_water_over_a_long_stretch_is_held_back_rather_than_a_dip(rules: Rules, to_m: float, rule: str) -> None:
    visit = record(run("R1", "gully", "downstream", 12.0), row("R1", "standing_water", 2.0, to_m))
    assert priorities(visit, rules)[0].rule.name == rule


def test_a_fixture_that_backs_up_is_no_place_to_work_on(rules: Rules) -> None:
    (found,) = priorities(record(row("toilet", "blockage")), rules)
    assert (found.priority, found.rule.name, found.rule.repair) == ("now", "fixture backs up", "")


def test_denied_rows_and_bare_features_have_no_priority(rules: Rules) -> None:
    visit = record(STUCK, feature("R1", "junction", 1.0), row("R1", "crack", 0.0, 6.0, absent=True))
    assert priorities(visit, rules) == ()


def test_every_condition_gets_some_priority(rules: Rules) -> None:
    assert rules.of(PriorityRule)[-1].conditions == (), "the last rule takes whatever is left"
    for condition in ("made_up", "deformation", "vermin", "infiltration"):
        assert len(priorities(record(STUCK, row("R1", condition, 1.0)), rules)) == 1


def test_every_rule_can_be_read_and_says_what_to_do(rules: Rules) -> None:
    for rule in rules.of(PriorityRule):
        assert rule.because and (rule.next_step or rule.priority == "none"), rule.name
        assert rule.basis == "practice"


def test_a_users_rule_takes_the_place_of_the_shipped_one_and_a_new_one_comes_first(tmp_path: Path) -> None:
    (tmp_path / "rules").mkdir()
    (tmp_path / "rules" / "priorities.toml").write_text(
        """
        basis = "ours"
        [[rule]]
        name = "hairline crack"
        conditions = ["crack"]
        extents = ["slight"]
        priority = "none"
        because = "we leave those"
        [[rule]]
        name = "ours first"
        conditions = ["grease"]
        priority = "now"
        because = "food shop"
        next_step = "jet tonight"
        """
    )
    rules = load_rules(tmp_path, lexicon=Lexicon((), ""))
    visit = record(STUCK, row("R1", "crack", 1.0, extent="slight"), row("R1", "grease", 2.0, certainty="tentative"))
    assert [(each.priority, each.rule.name) for each in priorities(visit, rules)] == [
        ("none", "hairline crack"),
        ("now", "ours first"),
    ]


@pytest.mark.parametrize(
    ("file", "text", "says"),
    [
        ("priorities.toml", '[[rule]]\nname = "x"\nbasis = "ours"\npriority = "later"\nbecause = "y"', "line 1"),
        (
            "priorities.toml",
            '[[rule]]\nname = "x"\nbasis = "ours"\npriority = "now"\nbecause = "y"\nrepair = "magic"',
            "magic",
        ),
        (
            "priorities.toml",
            '[[rule]]\nname = "x"\nbasis = "ours"\npriority = "now"\nbecause = "y"\nplaces = ["sky"]',
            "sky",
        ),
        ("rates.toml", '[[rate]]\nname = "x"\nmethod = "magic"\nprice = 3', "magic"),
        ("repairs.toml", "[[method]\n", "TOML"),
        ("secrets.toml", "", "priorities.toml"),
        ("falls.toml", "[[other]]\nname = 'x'", "other"),
    ],
)
def test_a_rule_that_cannot_be_used_is_named_with_its_file(tmp_path: Path, file: str, text: str, says: str) -> None:
    (tmp_path / "rules").mkdir()
    (tmp_path / "rules" / file).write_text(text)
    with pytest.raises(LexiconError) as caught:
        load_rules(tmp_path, lexicon=Lexicon((), ""))
    assert says in str(caught.value)


def test_every_repair_named_is_there(rules: Rules) -> None:
    methods = {method.name for method in rules.of(RepairMethod)}
    assert {rule.repair for rule in rules.of(PriorityRule) if rule.repair} <= methods
