"""A row's sentence says no more than the row: doubt, absence and degree survive."""

import re
from typing import Any

import pytest

from extractor.record import Action, Observation, RunStart
from extractor.report.sentences import Words, finding_sentence, opening_name, shipped_sentences, work_sentence

WORDS = Words(lambda id: id.replace("_", " "), shipped_sentences())
CONDITIONS = sorted(shipped_sentences().condition)


@pytest.mark.parametrize(
    ("fields", "told"),
    [
        ({"condition": "crack"}, "The pipe has a crack."),
        ({"condition": "crack", "certainty": "tentative"}, "The pipe may have a crack."),
        ({"condition": "crack", "outcome": "cleared"}, "The pipe had a crack."),
        ({"condition": "root_intrusion", "extent": "severe"}, "The pipe has severe root intrusion."),
        (
            {"condition": "root_intrusion", "certainty": "tentative", "outcome": "cleared"},
            "The pipe may have had root intrusion.",
        ),
        ({"condition": "root_intrusion", "polarity": "absent"}, "No roots seen."),
        (
            {"condition": "root_intrusion", "polarity": "absent", "certainty": "tentative"},
            "No roots seen, though the speaker was not sure.",
        ),
        ({"condition": "root_intrusion", "component": "joint", "polarity": "absent"}, "No roots seen at the joint."),
        ({"component": "junction"}, "There is a junction."),
        ({"component": "junction", "certainty": "tentative"}, "There may be a junction."),
        ({"component": "outlet", "count": 3}, "There are 3 outlets."),
        ({"component": "outlet", "polarity": "absent"}, "No outlet seen."),
        ({"component": "joint", "condition": "open_joint", "clock": (6, 6)}, "The joint is open at 6 o'clock."),
        ({"component": "joint", "condition": "open_joint", "extent": "slight"}, "The joint is open (slight)."),
        ({"condition": "obstruction"}, "The pipe has an obstruction."),
        ({"condition": "obstruction", "extent": "moderate"}, "The pipe has a moderate obstruction."),
        ({"component": "bend", "condition": "sound"}, "The bend is in good order."),
        ({"component": "bend", "condition": "sound", "certainty": "tentative"}, "The bend may be in good order."),
        ({"condition": "flowing", "polarity": "absent"}, "The pipe is not flowing."),
        ({"structure": "septic_tank", "run": None, "condition": "full"}, "The septic tank is full."),
        ({"component": "lid", "condition": "missing_part"}, "The lid is missing, whole or in part."),
        ({"component": "junction", "count": 2, "condition": "sound"}, "The 2 junctions are in good order."),
        ({"condition": "crack", "detail": "hairline"}, "The pipe has a crack (hairline)."),
        ({"condition": "a_word_of_the_user"}, "The pipe has a word of the user."),
    ],
)
def test_sentences(fields: dict[str, Any], told: str) -> None:
    assert finding_sentence(Observation(**{"quote": "", "run": "R1", **fields}), WORDS) == told


@pytest.mark.parametrize("condition", CONDITIONS)
@pytest.mark.parametrize("component", [None, "joint", "junction", "baffle", "pump"])
def test_doubt_survives_for_every_condition(condition: str, component: str | None) -> None:
    row = Observation(run="R1", component=component, condition=condition, certainty="tentative", quote="")
    assert re.search(r"\bmay (be|have)\b", finding_sentence(row, WORDS))
    denied = row.model_copy(update={"polarity": "absent"})
    assert "the speaker was not sure" in finding_sentence(denied, WORDS)


@pytest.mark.parametrize("condition", CONDITIONS)
def test_absence_is_never_told_as_presence(condition: str) -> None:
    row = Observation(run="R1", condition=condition, polarity="absent", quote="")
    told = finding_sentence(row, WORDS)
    assert told.startswith("No ") or " is not " in told
    assert not WORDS.is_trouble(row)
    assert WORDS.short(row).startswith("no ") or " not " in WORDS.short(row)


@pytest.mark.parametrize("condition", CONDITIONS)
def test_no_id_and_no_double_space_reaches_the_client(condition: str) -> None:
    for extent in (None, "slight", "moderate", "severe"):
        told = finding_sentence(Observation(run="R1", condition=condition, extent=extent, quote=""), WORDS)
        assert "_" not in told and "  " not in told and told.endswith(".") and told[0].isupper()
        assert extent is None or extent in told


def test_every_id_of_the_contract_has_words() -> None:
    # ../shared/contract: the conditions of contract 1, in its order
    contract = """crack fracture break hole collapse deformation surface_damage displaced_joint open_joint
        protruding_connection defective_connection exposed_seal missing_part defective_repair root_intrusion
        settled_deposit attached_deposit grease obstruction soil_ingress vermin blockage standing_water dip infiltration
        exfiltration full dry flowing pump_fault capped disused live sound""".split()
    assert set(contract) == set(CONDITIONS)
    work = "jetting rodding root_cutting hand_removal pump_out flush_test dye_test leak_test part_replaced pump_reset"
    assert {*work.split(), "lid_lifted", "located"} == set(shipped_sentences().action)


@pytest.mark.parametrize(
    ("fields", "reach", "told"),
    [
        ({"action": "jetting", "target": "pipe", "result": "done"}, "5 m", "Jetting: pipe, as far as 5 m."),
        (
            {"action": "jetting", "target": None, "result": "partial"},
            "",
            "Jetting (on what, was not said); partly successful.",
        ),
        ({"action": "dye_test", "target": "gully", "result": None}, "", "Dye test: gully; result not said."),
        ({"action": "rodding", "target": "pipe", "result": "failed"}, "", "Rodding: pipe; did not succeed."),
        ({"action": "smoke_test", "target": "pipe", "result": "done"}, "", "Smoke test: pipe."),
    ],
)
def test_work_is_told_with_its_result(fields: dict[str, Any], reach: str, told: str) -> None:
    assert work_sentence(Action(quote="", **fields), WORDS, reach) == told


@pytest.mark.parametrize(
    ("start", "told"),
    [
        (RunStart(structure="septic_tank", port="inlet"), "septic tank (inlet)"),
        (RunStart(structure="distribution_box", port="outlet", label="left"), "distribution box (outlet, left)"),
        (RunStart(structure="gully"), "gully"),
        (RunStart(), "opening (not named)"),
    ],
)
def test_openings(start: RunStart, told: str) -> None:
    assert opening_name(start, WORDS) == told
