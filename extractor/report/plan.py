"""The plan of the visit: openings, fixtures and runs as a graph, the water flowing down the page; not to scale.

A place named twice in the same words is drawn once where a run started from it; the end of a run is joined to such a
place only where there is exactly one of its kind. Everything else has its own mark, so that nothing is joined by guess.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

from extractor.report.amounts import metres
from extractor.report.fonts import fitting, text_width
from extractor.report.palette import FINDING, INK, LINE, PAPER, QUIET, SHADE
from extractor.report.plan_layout import Cell, Edge, Node, lay_out
from extractor.report.svg import Canvas, Drawing
from extractor.report.view import PlacePart, RunPart

WIDTH = 500.0
SIZE = 8.0
BOX_HEIGHT = 22.0
WIDEST = 130.0
TOP = 24.0


@dataclass(frozen=True)
class _Mark:
    """A place before it is laid out."""

    words: str
    kind: str


@dataclass
class _Graph:
    marks: list[_Mark] = field(default_factory=list)
    lines: list[tuple[int, int]] = field(default_factory=list)
    of_start: dict[tuple[str | None, str | None], int] = field(default_factory=dict)

    def add(self, words: str, kind: str) -> int:
        self.marks.append(_Mark(words, kind))
        return len(self.marks) - 1


def draw_plan(runs: Sequence[RunPart], places: Sequence[PlacePart]) -> Drawing | None:
    """The plan; None where there is nothing to draw."""
    if not runs and not places:
        return None
    graph = _graph(runs, places)
    words = [_line_words(part) for part in runs]
    placed = lay_out(
        [_node(mark) for mark in graph.marks],
        [
            Edge(*line, max(text_width(each, SIZE) for each in told), 10.0 * len(told))
            for line, told in zip(graph.lines, words, strict=True)
        ],
        WIDTH,
    )
    canvas = Canvas("plan", "Plan of the visit, not to scale", _description(runs, places))
    canvas.text(8, 11, "Not to scale. Where the way of the water is known, it flows down the page.", SIZE, fill=QUIET)
    for part, path in zip(runs, placed.paths, strict=True):
        _draw_line(canvas, part, [(x, y + TOP) for x, y in path])
    for told, cell in zip(words, placed.words, strict=True):
        for at, line in enumerate(told):
            canvas.text(cell.x + 4, cell.top + TOP + 8 + at * 9.5, line, SIZE, bold=at == 0)
    for mark, cell in zip(graph.marks, placed.nodes, strict=True):
        _draw_mark(canvas, mark, cell)
    bottom = _legend(canvas, graph, runs, TOP + placed.height + 4, placed.width)
    return canvas.finished(placed.width, bottom + 6)


def _node(mark: _Mark) -> Node:
    words = fitting(mark.words, SIZE, WIDEST - 14)
    return Node(words, mark.kind, max(44.0, text_width(words, SIZE) * 1.06 + 14), BOX_HEIGHT)


def _line_words(part: RunPart) -> list[str]:
    name = f"Run {part.number}" + (f", {part.run.start.port}" if part.run.start.port else "")
    if part.run.start.port and part.run.start.label:
        name = fitting(f"{name} ({part.run.start.label})", SIZE, WIDEST)
    words = [name, metres(part.run.end_m, part.feet) if part.run.end_m is not None else "length not said"]
    return [*words, "said to be disused"] if _disused(part) else words


def _disused(part: RunPart) -> bool:
    """Whether the line itself, not a branch of it, was said to be disused."""
    rows = (row.observation for row in part.rows)
    return any(
        row.condition == "disused"
        and row.component in (None, "pipe")
        and row.polarity == "present"
        and row.certainty == "stated"
        for row in rows
    )


def _reached(part: RunPart) -> bool:
    return part.run.end_reason == "reached" and part.run.end_at is not None


def _graph(runs: Sequence[RunPart], places: Sequence[PlacePart]) -> _Graph:
    graph = _Graph()
    for part in runs:
        start = part.run.start
        key = (start.structure, None if start.port else start.label)
        if key not in graph.of_start:
            label = f" ({start.label})" if key[1] else ""
            name = part.opening.split(" (")[0] if start.structure else "opening (not named)"
            graph.of_start[key] = graph.add(name + label, "opening")
    for part in runs:
        run = part.run
        source = graph.of_start[run.start.structure, None if run.start.port else run.start.label]
        target = _end_node(graph, part)
        down = run.direction != "upstream"
        graph.lines.append((source, target) if down else (target, source))
    for place in places:
        ids = {row.observation.structure for row in place.rows}
        drawn = {structure for structure, _ in graph.of_start} | {part.run.end_at for part in runs if _reached(part)}
        if not ids & drawn:
            graph.add(place.title, "place")
    return graph


def _end_node(graph: _Graph, part: RunPart) -> int:
    run = part.run
    if _reached(part):
        same = [node for (structure, _), node in graph.of_start.items() if structure == run.end_at]
        own = graph.of_start.get((run.start.structure, None if run.start.port else run.start.label))
        if len(same) == 1 and same[0] != own:
            return same[0]
        return graph.add(part.ending, "reached")
    kind = {"reached": "reached", "capped": "capped"}.get(run.end_reason or "", "stopped")
    return graph.add(part.ending, kind)


def _draw_line(canvas: Canvas, part: RunPart, path: Sequence[tuple[float, float]]) -> None:
    known = part.run.direction is not None
    dashes = "1.5 2.5" if _disused(part) else ("" if known else "4 3")
    canvas.line(*path, stroke=INK, width=1.5, dashes=dashes)
    if known:
        x, y = path[-1]
        canvas.add("path", d=f"M{x - 3.2:.2f},{y - 6:.2f} L{x + 3.2:.2f},{y - 6:.2f} L{x:.2f},{y:.2f} Z", fill=INK)


def _draw_mark(canvas: Canvas, mark: _Mark, cell: Cell) -> None:
    """A box for a place with a name; a bar for a cap; a cross for where the camera stopped."""
    x, y, words = cell.x, cell.top + TOP, fitting(mark.words, SIZE, WIDEST - 14)
    if mark.kind in ("opening", "reached", "place"):
        canvas.add(
            "rect",
            x=cell.left,
            y=y,
            width=cell.width,
            height=BOX_HEIGHT,
            rx=10 if mark.kind == "reached" else 2,
            fill=SHADE if mark.kind == "opening" else PAPER,
            stroke=LINE if mark.kind == "place" else INK,
            stroke_width=1.5 if mark.kind == "opening" else 0.9,
        )
        canvas.text(x, y + BOX_HEIGHT / 2 + 3, words, SIZE, anchor="middle", bold=mark.kind == "opening")
    elif cell.below:  # the way into it is from below: the words stand over the mark
        _draw_stop(canvas, mark.kind, x, y + BOX_HEIGHT - 5)
        canvas.text(x, y + BOX_HEIGHT - 13, words, SIZE, anchor="middle")
    else:
        _draw_stop(canvas, mark.kind, x, y + 5)
        canvas.text(x, y + 19, words, SIZE, anchor="middle")


def _draw_stop(canvas: Canvas, kind: str, x: float, y: float) -> None:
    if kind == "capped":
        canvas.line((x - 8, y), (x + 8, y), stroke=INK, width=2.6)
    else:
        canvas.line((x - 4, y - 4), (x + 4, y + 4), stroke=FINDING, width=1.8)
        canvas.line((x - 4, y + 4), (x + 4, y - 4), stroke=FINDING, width=1.8)


def _legend(canvas: Canvas, graph: _Graph, runs: Sequence[RunPart], top: float, wide: float) -> float:
    kinds = {mark.kind for mark in graph.marks}
    entries = [
        ("opening", "camera went in here"),
        ("reached", "reached by the camera"),
        ("place", "looked at, no camera"),
        ("capped", "capped"),
        ("stopped", "stopped; beyond is not seen"),
    ]
    shown = [(kind, words) for kind, words in entries if kind in kinds]
    if any(part.run.direction for part in runs):
        shown.append(("flow", "line, with the flow"))
    if any(part.run.direction is None for part in runs):
        shown.append(("unknown", "line, flow not said"))
    x, base = 8.0, top + 8
    for kind, words in shown:
        width = 24 + text_width(words, SIZE) + 10
        if x + width > wide - 6 and x > 8:
            x, base = 8.0, base + 13
        _legend_mark(canvas, kind, x, base - 3)
        canvas.text(x + 22, base, words, SIZE, fill=QUIET)
        x += width
    return base


def _legend_mark(canvas: Canvas, kind: str, x: float, middle: float) -> None:
    if kind in ("opening", "reached", "place"):
        canvas.add(
            "rect",
            x=x,
            y=middle - 4,
            width=18,
            height=8,
            rx=4 if kind == "reached" else 1.5,
            fill=SHADE if kind == "opening" else PAPER,
            stroke=LINE if kind == "place" else INK,
            stroke_width=1.4 if kind == "opening" else 0.9,
        )
    elif kind in ("capped", "stopped"):
        _draw_stop(canvas, kind, x + 9, middle)
    else:
        canvas.line((x, middle), (x + 18, middle), stroke=INK, width=1.6, dashes="" if kind == "flow" else "4 3")
        if kind == "flow":
            canvas.line((x + 7, middle - 3), (x + 12, middle), (x + 7, middle + 3), stroke=INK, width=1.6)


def _description(runs: Sequence[RunPart], places: Sequence[PlacePart]) -> str:
    told = [f"{part.title}; end: {part.ending}." for part in runs]
    if places:
        told.append("Looked at without the camera: " + ", ".join(place.title for place in places) + ".")
    return " ".join(told)
