"""What is a condition only of a certain component, said of it directly or by a word that stands for it.

The trade's ways of saying so are common practice, no source; the sentences are our own.
"""

import pytest

from tests.understanding.spoken import record_of

TANK = "okay lid off the pump well {} now camera in the outlet heading downstream six point three there's a bend"


@pytest.mark.parametrize(
    ("words", "component", "condition"),
    [
        ("the outlet tee has snapped clean off", "baffle", "break"),
        ("the inlet baffle has rotted right away", "baffle", "missing_part"),
        ("filter's nowhere to be seen", "filter", "missing_part"),
        ("the pump's seized", "pump", "pump_fault"),
        ("the pump won't kick in", "pump", "pump_fault"),
        ("i tried the pump and it's just humming", "pump", "pump_fault"),
        ("the float switch is jammed", "float_switch", "pump_fault"),
        ("i lifted the float and it's stuck down", "float_switch", "pump_fault"),
        ("float's working", "float_switch", "sound"),
        ("the pump's purring away", "pump", "sound"),
        ("two pumps in here number one is dead", "pump", "pump_fault"),
        ("the hose has split", "hose", "break"),
        ("the filter's torn in two", "filter", "break"),
        ("the pump ain't doing nothing", "pump", "pump_fault"),
    ],
)
def test_said_of_its_component(words: str, component: str, condition: str) -> None:
    rows = [row for row in record_of(TANK.format(words)).observations if row.structure == "pump_well"]
    assert (component, condition) in [(row.component, row.condition) for row in rows]


@pytest.mark.parametrize(
    ("words", "condition"),
    [
        ("the pump hasn't seized", "pump_fault"),
        ("the float is in the middle and then the lid is jammed", "pump_fault"),
    ],
)
def test_not_said_of_it(words: str, condition: str) -> None:
    rows = [row for row in record_of(TANK.format(words)).observations if row.structure == "pump_well"]
    assert condition not in [row.condition for row in rows if row.polarity == "present"]
