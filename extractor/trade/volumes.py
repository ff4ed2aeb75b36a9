"""Volumes of tanks and pipes by level. Lengths in metres, volumes in litres; plain geometry.

A level is measured from the inside of the bottom; one above the top counts as full.
"""

from math import acos, pi, sqrt

LITRES_PER_M3 = (
    1000.0  # exact: the litre is a cubic decimetre (SI Brochure, recalled; factor read in standards.json's source)
)


def rectangular_l(length_m: float, width_m: float, level_m: float) -> float:
    """A tank with upright walls and a flat bottom."""
    _not_negative(length_m, width_m, level_m)
    return length_m * width_m * level_m * LITRES_PER_M3


def upright_cylinder_l(diameter_m: float, level_m: float) -> float:
    """A round tank that stands."""
    _not_negative(diameter_m, level_m)
    return pi * diameter_m**2 / 4 * level_m * LITRES_PER_M3


def lying_cylinder_l(diameter_m: float, length_m: float, level_m: float) -> float:
    """A round tank or a pipe that lies, with flat ends: the area of the circle's segment times the length."""
    _not_negative(diameter_m, length_m, level_m)
    radius = diameter_m / 2
    level = min(level_m, diameter_m)
    if not radius:
        return 0.0
    height = radius - level
    half = sqrt(max(0.0, level * (diameter_m - level)))
    segment = radius**2 * acos(max(-1.0, min(1.0, height / radius))) - height * half
    return segment * length_m * LITRES_PER_M3


def share_of_capacity_l(capacity_l: float, full_depth_m: float, level_m: float) -> float:
    """By proportion, for a tank of which only the capacity and the full depth were said: upright walls are assumed.

    Raises:
        ValueError: where the full depth is not over nought.
    """
    if full_depth_m <= 0:
        raise ValueError("the full depth must be over nought")
    return capacity_l * min(level_m, full_depth_m) / full_depth_m


def _not_negative(*lengths: float) -> None:
    if any(length < 0 for length in lengths):
        raise ValueError("a length can't be under nought")
