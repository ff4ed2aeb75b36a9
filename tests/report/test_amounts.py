"""Numbers as the client reads them. Feet and inches are held against pint, a library of units (NIST's definitions)."""

import pint
import pytest

from extractor.report.amounts import clock_time, measured, metres, o_clock, place, plain, stretch

UNITS = pint.UnitRegistry()


@pytest.mark.parametrize(
    ("value", "places", "told"),
    [
        (12.0, 2, "12"),
        (8.0772, 2, "8.08"),
        (-0.001, 2, "0"),
        (0.5, 0, "0"),
        (1.5, 0, "2"),
        (100.0, 0, "100"),
        (0.1, 2, "0.1"),
    ],
)
def test_a_number_has_no_zeros_that_say_nothing(value: float, places: int, told: str) -> None:
    assert plain(value, places) == told


@pytest.mark.parametrize("value", [0.0, 0.3048, 1.7, 8.0772, 26.213, 60.96])
def test_feet_beside_metres_are_the_same_length(value: float) -> None:
    told = metres(value, feet=True)
    feet = UNITS.Quantity(value, "metre").to("foot").magnitude
    assert told == f"{plain(value)} m ({plain(feet, 1)} ft)"


@pytest.mark.parametrize(
    ("from_m", "to_m", "approximate", "feet", "told"),
    [
        (None, None, False, False, ""),
        (4.2, None, False, False, "4.2 m"),
        (4.2, None, True, False, "about 4.2 m"),
        (3.15, 3.9, False, False, "3.15 to 3.9 m"),
        (3.9, 3.15, True, False, "about 3.15 to 3.9 m"),
        (3.048, 6.096, False, True, "3.05 to 6.1 m (10 to 20 ft)"),
        (2.0, 2.0, False, False, "2 m"),
    ],
)
def test_a_place_says_no_more_than_was_said(
    from_m: float | None, to_m: float | None, approximate: bool, feet: bool, told: str
) -> None:
    assert place(from_m, to_m, approximate, feet) == told


@pytest.mark.parametrize(
    ("low", "high", "unit", "small", "feet", "told"),
    [
        (0.1, 0.1, "m", True, False, "100 mm"),
        (0.1016, 0.1016, "m", True, True, "102 mm (4 in)"),  # 4 in = 101.6 mm: international inch
        (0.35, 0.4, "m", False, False, "0.35 to 0.4 m"),
        (60, 60, "ratio", False, False, "1 in 60"),
        (30, 30, "%", False, False, "30%"),
        (2, 3, "min", False, False, "2 to 3 min"),
        (16.5, 16.5, "mm/m", False, False, "16.5 mm/m"),
        (3000, 3000, "L", False, False, "3000 L"),
    ],
)
def test_a_measured_value_is_told_in_its_unit(
    low: float, high: float, unit: str, small: bool, feet: bool, told: str
) -> None:
    assert measured(low, high, unit, small=small, feet=feet) == told


@pytest.mark.parametrize(
    ("seconds", "told"),
    [(None, ""), (0.0, "0:00"), (59.99, "0:59"), (133.2, "2:13"), (3733.0, "1:02:13"), (-1, "0:00")],
)
def test_times_in_the_recording(seconds: float | None, told: str) -> None:
    assert clock_time(seconds) == told


def test_positions_on_the_circle() -> None:
    assert (o_clock(None), o_clock((3, 3)), o_clock((9, 3))) == ("", "at 3 o'clock", "from 9 to 3 o'clock")


def test_a_stretch_keeps_both_ends_in_feet() -> None:
    assert stretch(0, 30.48, feet=True) == "0 to 30.48 m (0 to 100 ft)"
