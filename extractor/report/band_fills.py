"""What the band shows of each stretch. A stretch with two statements shows the graver one."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from xml.etree.ElementTree import SubElement

from extractor.report.palette import CLEARED, CLEARED_FILL, FINDING, FINDING_FILL, FINE_FILL, INK, LINE, PAPER, QUIET
from extractor.report.svg import Canvas
from extractor.report.view import Row, RunPart


@dataclass(frozen=True)
class Fill:
    words: str
    background: str
    line: str


# gravest first
FILLS = {
    "finding": Fill("finding", FINDING_FILL, FINDING),
    "cleared": Fill("cleared on the day", CLEARED_FILL, CLEARED),
    "fine": Fill("said to be in good order", FINE_FILL, INK),
    "free": Fill("said to be free of something: see rows", PAPER, QUIET),
    "passed": Fill("camera passed, nothing said", PAPER, LINE),
    "unseen": Fill("not known to be seen", PAPER, LINE),
    "feature": Fill("", PAPER, INK),
}


def fills_along(run: RunPart, from_m: float, to_m: float) -> Iterator[tuple[str, float, float]]:
    """(fill, start, end) from `from_m` to `to_m` without gap or overlap, neighbours with one fill joined."""
    end = run.run.end_m
    stretches = [(name, *_ends(row)) for row in run.rows if (name := _fill_of(row)) and _ends(row)[1] > _ends(row)[0]]
    cuts = {from_m, to_m, *(cut for _, *ends in stretches for cut in ends if from_m < cut < to_m)}
    if end is not None and from_m < end < to_m:
        cuts.add(end)
    order = list(FILLS)
    places = sorted(cuts)
    begun, before = from_m, ""
    for start, stop in pairwise(places):
        covering = [name for name, first, last in stretches if first <= start and stop <= last]
        nothing = "passed" if end is None or stop <= end else "unseen"
        name = min(covering, key=order.index, default=nothing)
        if before and name != before:
            yield before, begun, start
            begun = start
        before = name
    if before:
        yield before, begun, to_m


def marks_along(run: RunPart, from_m: float, to_m: float, last: bool) -> Iterator[tuple[float, str]]:
    """Points on the band: (distance, "finding" | "cleared" | "feature"), features first: findings lie over them."""
    marks = []
    for row in run.rows:
        observation = row.observation
        at_m = observation.from_m
        if at_m is None or observation.polarity == "absent" or (observation.to_m or at_m) > at_m:
            continue
        if from_m <= at_m < to_m or (last and at_m >= to_m):
            kind = ("cleared" if observation.outcome == "cleared" else "finding") if row.trouble else "feature"
            marks.append((at_m, kind))
    yield from sorted(marks, key=lambda mark: (mark[1] != "feature", mark[0]))


def fill_words(name: str) -> str:
    return FILLS[name].words


def set_patterns(canvas: Canvas) -> None:
    """Each fill has its own hatching, so that it can be told in black and white."""
    finding = canvas.pattern("finding", 4, FILLS["finding"].background)
    _stroke(finding, "M-1,1 l2,-2 M0,4 l4,-4 M3,5 l2,-2", FILLS["finding"].line, 0.8)
    cleared = canvas.pattern("cleared", 4, FILLS["cleared"].background)
    _stroke(cleared, "M0,2 h4", FILLS["cleared"].line, 0.7)
    free = canvas.pattern("free", 5, PAPER)
    SubElement(free, "circle", {"cx": "2.5", "cy": "2.5", "r": "0.6", "fill": QUIET})
    fine = canvas.pattern("fine", 8, FINE_FILL)
    _stroke(fine, "M2,4 l1.5,1.8 l2.5,-3.6", INK, 0.5)
    unseen = canvas.pattern("unseen", 6, PAPER)
    _stroke(unseen, "M0,0 l6,6 M0,6 l6,-6", FILLS["unseen"].line, 0.4)


def fill_stretch(canvas: Canvas, name: str, left: float, right: float, top: float, height: float) -> None:
    fill = PAPER if name == "passed" else canvas.fill(name)
    canvas.add("rect", x=left, y=top, width=max(0.0, right - left), height=height, fill=fill)
    if name == "passed":
        canvas.line((left, top + height / 2), (right, top + height / 2), stroke=LINE, width=0.5, dashes="1 2")


def _fill_of(row: Row) -> str:
    """What a row says of its stretch; "" where nothing that the band shows. Doubt never makes a stretch good."""
    observation = row.observation
    if row.trouble:
        return "cleared" if observation.outcome == "cleared" else "finding"
    if observation.certainty == "tentative":
        return ""
    if observation.polarity == "absent":
        return "free" if observation.condition not in (None, "sound") else ""
    if observation.condition == "sound" and observation.component in (None, "pipe"):
        return "fine"
    return ""


def _ends(row: Row) -> tuple[float, float]:
    first = row.observation.from_m
    if first is None:
        return 0.0, 0.0
    second = row.observation.to_m if row.observation.to_m is not None else first
    return min(first, second), max(first, second)


def _stroke(parent: object, path: str, colour: str, width: float) -> None:
    attributes = {"d": path, "fill": "none", "stroke": colour, "stroke-width": str(width)}
    SubElement(parent, "path", attributes)  # type: ignore[arg-type]
