"""The rule tables as shipped: they load, they name their sources, and they speak of things that the lexicon knows."""

import pytest

from extractor.lexicon.load import load_lexicon
from extractor.trade.rules import Rules, load_rules
from extractor.trade.tables import Caution, CodeMapping, PriorityRule, Sourced


@pytest.fixture(scope="module")
def shipped() -> Rules:
    return load_rules(lexicon=load_lexicon())


def test_whatever_is_read_or_recalled_names_its_source(shipped: Rules) -> None:
    for rows in shipped.rows.values():
        for each in rows:
            assert each.basis in ("practice", "ours") or each.source, each.name


def test_names_are_given_once(shipped: Rules) -> None:
    for key, rows in shipped.rows.items():
        names = [each.name for each in rows]
        assert len(names) == len(set(names)), key


def test_the_tables_speak_of_what_the_lexicon_knows(shipped: Rules) -> None:
    known = {(entry.kind, entry.id) for entry in shipped.lexicon.entries}
    wanted = set()
    for rule in shipped.of(PriorityRule):
        wanted |= {("condition", each) for each in rule.conditions} | {("component", each) for each in rule.components}
    for caution in shipped.of(Caution):
        wanted |= {("structure", each) for each in caution.structures} | {("action", each) for each in caution.actions}
    for mapping in shipped.of(CodeMapping):
        if mapping.kind != "end":
            wanted.add((mapping.kind, mapping.name))
    assert wanted <= known, sorted(wanted - known)
    places = {id for kind, id in known if kind in ("structure", "fixture")} | {"pipe"}
    assert {each for named in shipped.words["priorities"]["places"].values() for each in named} <= places


@pytest.mark.parametrize("kind", [PriorityRule, Caution, CodeMapping])
def test_no_table_is_empty(shipped: Rules, kind: type[Sourced]) -> None:
    assert shipped.of(kind)
