"""The drawing of a line: a band from where the camera went in to where it stopped.

The band says of every stretch what the words said of it: fine, free of something, a finding, cleared on the day, or
passed with nothing said; after its end, not seen. Findings and features stand over it as flags: shape, distance, word.
A line with more flags than fit is drawn in several pieces of one length, one under the other.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from extractor.report.amounts import FOOT_M, metres, plain
from extractor.report.band_fills import FILLS, fill_stretch, fill_words, fills_along, marks_along, set_patterns
from extractor.report.band_labels import Layout, place_flags
from extractor.report.fonts import fitting, text_width
from extractor.report.palette import INK, LINE, PAPER, QUIET
from extractor.report.shapes import SHAPE_WORDS, draw_shape
from extractor.report.svg import Canvas, Drawing
from extractor.report.view import Row, RunPart

WIDTH = 500.0
MARGIN = 8.0
SIZE = 8.0  # of the words; 7.7 points where the drawing is as wide as the text of an A4 page
LANE = 11.0
BAND = 22.0
STUB = 46.0  # the piece that stands for what was not seen
SHAPE = 8.0
MOST_LANES = 9
MOST_LEAN = 130.0  # of a leader, sideways
MOST_PIECES = 12
SHEET = 560.0  # the height of pieces that one sheet takes; with its legend it fits on an A4 or Letter page


@dataclass(frozen=True)
class _Label:
    at_m: float
    words: str
    group: str
    outcome: str


@dataclass(frozen=True)
class _Piece:
    from_m: float
    to_m: float
    labels: tuple[_Label, ...]
    layout: Layout

    @property
    def lean(self) -> float:
        """Room for the leaders to lean in."""
        return 6.0 + min(18.0, self.layout.shift / 4)

    def height(self, feet: bool) -> float:
        return LANE * self.layout.lanes + self.lean + BAND + (30 if feet else 15) + 19


def draw_band(run: RunPart, prefix: str) -> tuple[Drawing, ...]:
    """The run drawn, on as many sheets as it needs; none where no distance was said at all."""
    length = _length(run)
    if length is None:
        return ()
    sheets: list[list[_Piece]] = []
    room = 0.0
    for piece in _pieces(run, length):
        if piece.height(run.feet) > room:
            sheets.append([])
            room = SHEET
        sheets[-1].append(piece)
        room -= piece.height(run.feet)
    return tuple(
        _draw_sheet(run, sheet, length, number, len(sheets), f"{prefix}-{number}")
        for number, sheet in enumerate(sheets, 1)
    )


def _draw_sheet(run: RunPart, sheet: Sequence[_Piece], length: float, number: int, many: int, prefix: str) -> Drawing:
    part = f" (sheet {number} of {many})" if many > 1 else ""
    low, high = sheet[0].from_m, sheet[-1].to_m
    canvas = Canvas(prefix, f"Run {run.number} drawn along its length{part}", _description(run, low, high, many))
    set_patterns(canvas)
    top = 4.0
    for piece in sheet:
        top = _draw_piece(canvas, run, piece, length, top)
    top = _legend(canvas, run, (low, high), top + 6)
    unplaced = sum(row.observation.from_m is None for row in run.rows)
    if unplaced and number == many:
        noun = "row has" if unplaced == 1 else "rows have"
        top += 12
        canvas.text(MARGIN, top, f"{unplaced} {noun} no distance and can't be drawn: see the table.", SIZE, fill=QUIET)
    return canvas.finished(WIDTH, top + 5)


def round_step(length: float, most: int) -> float:
    """The smallest step of 1, 2 or 5 times a power of ten that cuts `length` into at most `most` parts."""
    power = 10.0 ** math.floor(math.log10(length / most))
    return next(power * factor for factor in (1, 2, 5, 10) if length / (power * factor) <= most + 1e-9)


def _length(run: RunPart) -> float | None:
    """Metres from the opening to the last distance said."""
    said = [run.run.end_m or 0.0]
    for row in run.rows:
        said += [row.observation.from_m or 0.0, row.observation.to_m or 0.0]
    longest = max(said)
    return longest if longest > 0 else None


def _ends_open(run: RunPart) -> bool:
    return run.run.end_reason != "reached"


def _pieces(run: RunPart, length: float) -> list[_Piece]:
    for many in range(1, MOST_PIECES + 1):
        for compact in (False, True):
            made = [_piece(run, length, index, many, compact) for index in range(many)]
            whole = [piece for piece in made if piece is not None]
            if len(whole) == many:
                return whole
    return [
        _Piece(
            from_m=length * index / MOST_PIECES,
            to_m=length * (index + 1) / MOST_PIECES,
            labels=(),
            layout=Layout((), 0, 0.0),
        )
        for index in range(MOST_PIECES)
    ]


def _piece(run: RunPart, length: float, index: int, many: int, compact: bool) -> _Piece | None:
    start, end = length * index / many, length * (index + 1) / many
    last = index == many - 1
    labels = tuple(
        label
        for label in _labels(run.rows, run.feet, compact)
        if start <= label.at_m < end or (last and label.at_m >= end)
    )
    scale = _Scale(start, end, _right(run, last))
    anchors = [scale.x(label.at_m) for label in labels]
    widths = [SHAPE + 2 + text_width(label.words, SIZE) for label in labels]
    layout = place_flags(anchors, widths, MARGIN, WIDTH - 2, MOST_LANES)
    if layout is None or (layout.shift > MOST_LEAN and many < MOST_PIECES):
        return None
    return _Piece(start, end, labels, layout)


def _right(run: RunPart, last: bool) -> float:
    return WIDTH - MARGIN - (STUB if last and _ends_open(run) else 0.0)


@dataclass(frozen=True)
class _Scale:
    from_m: float
    to_m: float
    right: float

    def x(self, at_m: float) -> float:
        part = (min(max(at_m, self.from_m), self.to_m) - self.from_m) / (self.to_m - self.from_m)
        return MARGIN + part * (self.right - MARGIN)


def _labels(rows: Iterable[Row], feet: bool, compact: bool) -> list[_Label]:
    """Flags for what is present and has a distance, in order; rows at one distance share a flag."""
    places: dict[float, list[Row]] = {}
    for row in rows:
        observation = row.observation
        if observation.from_m is None or observation.polarity == "absent":
            continue
        middle = (observation.from_m + (observation.to_m if observation.to_m is not None else observation.from_m)) / 2
        places.setdefault(round(middle, 3), []).append(row)
    labels = []
    for at_m in sorted(places):
        here = sorted(places[at_m], key=lambda row: not row.trouble)
        words = list(dict.fromkeys(row.label for row in here))
        most = 1 if compact else 3
        told = ", ".join(words[:most]) + (f" +{len(words) - most}" if len(words) > most else "")
        first = here[0]
        number = _number(first, feet)
        unit = "" if compact else (" ft" if feet else " m")
        labels.append(_Label(at_m, f"{number}{unit} {told}", first.group, first.observation.outcome))
    return labels


def _number(row: Row, feet: bool) -> str:
    observation = row.observation

    def shown(value: float) -> str:
        return plain(value / FOOT_M, 1) if feet else plain(value)

    first = shown(observation.from_m or 0.0)
    about = "~" if observation.approximate else ""
    if observation.to_m is None or observation.to_m == observation.from_m:
        return about + first
    return f"{about}{first}–{shown(observation.to_m)}"


def _draw_piece(canvas: Canvas, run: RunPart, piece: _Piece, length: float, top: float) -> float:
    last = piece.to_m >= length
    scale = _Scale(piece.from_m, piece.to_m, _right(run, last))
    band_top = top + LANE * piece.layout.lanes + piece.lean
    _draw_flags(canvas, piece, scale, band_top, band_top - piece.lean)
    _draw_body(canvas, run, piece, scale, band_top, last)
    bottom = _draw_axes(canvas, run, piece, scale, band_top + BAND, last)
    return _draw_ends(canvas, run, piece, scale, bottom, last)


def _draw_flags(canvas: Canvas, piece: _Piece, scale: _Scale, band_top: float, bend: float) -> None:
    for label, flag in zip(piece.labels, piece.layout.flags, strict=True):
        base = bend - LANE * flag.lane
        x = scale.x(label.at_m)
        canvas.line((x, band_top), (flag.x, bend), (flag.x, base - LANE + 4), stroke=LINE, width=0.6)
        draw_shape(canvas, label.group, label.outcome, flag.x + 1.5, base - LANE + 2.2, SHAPE - 1.5)
        canvas.text(flag.x + SHAPE + 2, base - 2.2, label.words, SIZE)


def _draw_body(canvas: Canvas, run: RunPart, piece: _Piece, scale: _Scale, top: float, last: bool) -> None:
    for name, start, end in fills_along(run, piece.from_m, piece.to_m):
        fill_stretch(canvas, name, scale.x(start), scale.x(end), top, BAND)
    canvas.add(
        "rect", x=MARGIN, y=top, width=scale.right - MARGIN, height=BAND, fill="none", stroke=INK, stroke_width=0.9
    )
    for at_m, kind in marks_along(run, piece.from_m, piece.to_m, last):
        x = scale.x(at_m)
        colour, hollow = FILLS[kind].line, kind == "cleared"
        canvas.add(
            "rect",
            x=x - 1.3,
            y=top + (0 if kind != "feature" else BAND * 0.6),
            width=2.6,
            height=BAND if kind != "feature" else BAND * 0.4,
            fill=PAPER if hollow else colour,
            stroke=colour,
            stroke_width=0.8,
        )
    if last and _ends_open(run):
        canvas.add("rect", x=scale.right, y=top, width=STUB, height=BAND, fill=PAPER)
        corners = [(0.0, 0.0), (STUB, 0.0), (STUB, BAND), (0.0, BAND)]
        canvas.line(*((scale.right + x, top + y) for x, y in corners), stroke=INK, width=0.8, dashes="3 2")
        words = "not seen" if run.run.end_m is not None else "not said"
        canvas.text(scale.right + STUB / 2, top + BAND / 2 + 3, words, SIZE, anchor="middle")
    if last:
        canvas.line((scale.right, top - 3), (scale.right, top + BAND + 3), stroke=INK, width=2.2)


def _draw_axes(canvas: Canvas, run: RunPart, piece: _Piece, scale: _Scale, top: float, last: bool) -> float:
    units = [(FOOT_M, "ft"), (1.0, "m")] if run.feet else [(1.0, "m")]
    for metres_each, unit in units:
        low, high = piece.from_m / metres_each, piece.to_m / metres_each
        step = round_step(high - low, 10)
        canvas.line((MARGIN, top + 2), (scale.right, top + 2), stroke=QUIET, width=0.6)
        end_words = f"{plain(high, 1 if unit == 'ft' else 2)} {unit}"
        end_left = scale.right - text_width(end_words, SIZE)
        tick = math.ceil(low / step - 1e-9)
        while tick * step <= high + 1e-9:
            value = tick * step
            x = scale.x(value * metres_each)
            words = f"{plain(value)} {unit}" if value == 0 else plain(value)
            half = text_width(words, SIZE) / 2
            canvas.line((x, top + 2), (x, top + 5), stroke=QUIET, width=0.6)
            if x + half + 4 < end_left:
                canvas.text(max(x, MARGIN + half), top + 13, words, SIZE, anchor="middle", fill=QUIET)
            tick += 1
        canvas.text(scale.right, top + 13, end_words, SIZE, anchor="end", bold=last)
        top += 15
    return top


def _draw_ends(canvas: Canvas, run: RunPart, piece: _Piece, scale: _Scale, top: float, last: bool) -> float:
    """Where it went in, which way the water goes, and why it stopped."""
    base = top + 9
    room = (WIDTH - 2 * MARGIN) * 0.38
    start = f"In: {run.opening}" if piece.from_m == 0 else f"continued from {metres(piece.from_m, run.feet)}"
    canvas.text(MARGIN, base, fitting(start, SIZE, room), SIZE, bold=piece.from_m == 0)
    end = f"End: {run.ending}" if last else "continued below"
    canvas.text(WIDTH - MARGIN, base, fitting(end, SIZE, room), SIZE, anchor="end", bold=last)
    if piece.from_m == 0:
        _flow_arrow(canvas, run, WIDTH / 2, base)
    return base + 10


def _flow_arrow(canvas: Canvas, run: RunPart, x: float, base: float) -> None:
    if run.run.direction is None:
        canvas.text(x, base, "flow: not said", SIZE, anchor="middle", fill=QUIET)
        return
    canvas.text(x - 14, base, "flow", SIZE, anchor="end", fill=QUIET)
    tail, head = (x - 10, x + 26) if run.run.direction == "downstream" else (x + 26, x - 10)
    back = -5 if head > tail else 5
    y = base - 2.8
    canvas.line((tail, y), (head, y), stroke=QUIET, width=1)
    canvas.line((head + back, y - 3), (head, y), (head + back, y + 3), stroke=QUIET, width=1)


def _legend(canvas: Canvas, run: RunPart, ends: tuple[float, float], top: float) -> float:
    """What the fills and shapes in this drawing mean; only those that occur."""
    fills = list(dict.fromkeys(name for name, _, _ in fills_along(run, *ends)))
    shown = [row for row in run.rows if row.observation.from_m is not None and row.observation.polarity == "present"]
    shapes = [group for group in SHAPE_WORDS if any(row.group == group for row in shown)]
    entries: list[tuple[str, str, str]] = [("fill", name, fill_words(name)) for name in FILLS if name in fills]
    entries += [("shape", group, SHAPE_WORDS[group]) for group in shapes]
    if any(row.observation.outcome != "open" for row in shown):
        entries.append(("outcome", "cleared", "hollow: cleared; half: partly"))
    if any(row.observation.certainty == "tentative" for row in shown):
        entries.append(("word", "?", "speaker not sure"))
    if any(row.observation.approximate for row in shown):
        entries.append(("word", "~", "about"))
    x, base = MARGIN, top + 8
    for kind, name, words in entries:
        width = 16 + text_width(words, SIZE) + 12
        if x + width > WIDTH - MARGIN and x > MARGIN:
            x, base = MARGIN, base + 12
        if kind == "fill":
            fill_stretch(canvas, name, x, x + 12, base - 7, 8)
            canvas.add("rect", x=x, y=base - 7, width=12, height=8, fill="none", stroke=INK, stroke_width=0.6)
        elif kind == "word":
            canvas.text(x + 4, base, name, SIZE, bold=True)
        else:
            draw_shape(
                canvas, name if kind == "shape" else "bore", "open" if kind == "shape" else name, x + 3, base - 7, 7
            )
        canvas.text(x + 16, base, words, SIZE, fill=QUIET)
        x += width
    return base


def _description(run: RunPart, from_m: float, to_m: float, sheets: int) -> str:
    """The drawing told in words, for who can't see it; the rows are in the table beside it."""
    shown = f"This sheet shows {metres(from_m, run.feet)} to {metres(to_m, run.feet)}." if sheets > 1 else ""
    many = f"{len(run.rows)} {'row' if len(run.rows) == 1 else 'rows'}; each is told in the table below."
    return " ".join(part for part in (*run.summary, run.unseen, shown, many) if part)
