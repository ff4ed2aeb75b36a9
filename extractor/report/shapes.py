"""Shapes that say what kind of thing stands at a place; hollow when cleared, half filled when partly cleared."""

from extractor.report.palette import ACCENT, FINDING, INK, PAPER
from extractor.report.svg import Canvas

SHAPE_WORDS = {
    "damage": "damage",
    "bore": "something in the bore",
    "water": "water or level",
    "feature": "feature",
    "state": "state, or in order",
}


def draw_shape(canvas: Canvas, group: str, outcome: str, x: float, y: float, size: float) -> None:
    """Draw into the square of `size` at (x, y)."""
    colour = {"damage": FINDING, "bore": FINDING, "water": FINDING}.get(group, ACCENT if group == "state" else INK)
    points = _outline(group, x, y, size)
    hollow = outcome in ("cleared", "partly_cleared")
    if group in ("state",):
        canvas.add(
            "circle", cx=x + size / 2, cy=y + size / 2, r=size / 2 - 0.4, fill=PAPER, stroke=colour, stroke_width=1.1
        )
        canvas.line(
            (x + size * 0.28, y + size * 0.52),
            (x + size * 0.45, y + size * 0.7),
            (x + size * 0.74, y + size * 0.3),
            stroke=colour,
            width=1,
        )
        return
    path = "M" + " L".join(f"{px:.2f},{py:.2f}" for px, py in points) + " Z"
    canvas.add("path", d=path, fill=PAPER if hollow else colour, stroke=colour, stroke_width=1)
    if outcome == "partly_cleared":
        middle = y + size / 2
        lower = [(px, max(py, middle)) for px, py in points]
        canvas.add("path", d="M" + " L".join(f"{px:.2f},{py:.2f}" for px, py in lower) + " Z", fill=colour)


def _outline(group: str, x: float, y: float, size: float) -> list[tuple[float, float]]:
    right, bottom, middle = x + size, y + size, x + size / 2
    if group == "damage":  # triangle
        return [(middle, y), (right, bottom), (x, bottom)]
    if group == "bore":  # diamond
        return [(middle, y), (right, y + size / 2), (middle, bottom), (x, y + size / 2)]
    if group == "water":  # a trough: level above, round below
        return [(x, y + size * 0.25), (right, y + size * 0.25), (x + size * 0.8, bottom), (x + size * 0.2, bottom)]
    inset = size * 0.15
    return [
        (x + inset, y + inset),
        (right - inset, y + inset),
        (right - inset, bottom - inset),
        (x + inset, bottom - inset),
    ]
