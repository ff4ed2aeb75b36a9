"""Labels over a line, so placed that none covers another and no leader crosses a label.

Each label is a flag: a leader goes up from its place on the line and the words stand to the right of it. Labels too
close to stand side by side are stacked in a staircase: of a stack the leftmost is highest, so each leader passes to
the left of the flags below it. Stacks are then moved apart as little as they need (least squares, kept in order).
"""

from collections.abc import Sequence
from dataclasses import dataclass

STEP = 5.0  # from one leader of a stack to the next
GAP = 6.0  # between stacks
LANE_COST = 5.0


@dataclass(frozen=True)
class Flag:
    """Where a label stands: `x` of its leader and left edge, `lane` counted from the line upwards (0 is nearest)."""

    x: float
    lane: int


@dataclass(frozen=True)
class Layout:
    flags: tuple[Flag, ...]
    lanes: int
    shift: float  # the farthest that a leader had to lean


def place_flags(
    anchors: Sequence[float], widths: Sequence[float], left: float, right: float, most_lanes: int
) -> Layout | None:
    """Places for labels of `widths` at `anchors` (in order) between `left` and `right`; None where they can't all fit.

    Of all heights up to `most_lanes` the one is taken that leans least, a lane counting as much as a lean of LANE_COST.
    """
    best: tuple[float, Layout] | None = None
    for lanes in range(1, most_lanes + 1):
        layout = _with_lanes(anchors, widths, left, right, lanes)
        if layout is None:
            continue
        cost = layout.shift + LANE_COST * layout.lanes
        if best is None or cost < best[0]:
            best = cost, layout
    return best[1] if best else None


def _with_lanes(
    anchors: Sequence[float], widths: Sequence[float], left: float, right: float, lanes: int
) -> Layout | None:
    stacks: list[list[int]] = []
    reach = float("-inf")
    for index, (anchor, width) in enumerate(zip(anchors, widths, strict=True)):
        if stacks and anchor < reach + GAP and len(stacks[-1]) < lanes:
            stacks[-1].append(index)
            reach = max(reach, anchors[stacks[-1][0]] + STEP * (len(stacks[-1]) - 1) + width)
        else:
            start = max(anchor, reach + GAP) if stacks else anchor
            stacks.append([index])
            reach = start + width
    spans = [max(STEP * at + widths[index] for at, index in enumerate(stack)) for stack in stacks]
    if sum(spans) + GAP * (len(spans) - 1) > right - left:
        return None
    wanted = [sum(anchors[index] - STEP * at for at, index in enumerate(stack)) / len(stack) for stack in stacks]
    starts = places_apart(wanted, spans, left, right, GAP)
    flags: list[Flag] = []
    for stack, start in zip(stacks, starts, strict=True):
        flags += [Flag(start + STEP * at, len(stack) - 1 - at) for at in range(len(stack))]
    shift = max((abs(flag.x - anchor) for flag, anchor in zip(flags, anchors, strict=True)), default=0.0)
    return Layout(tuple(flags), max((len(stack) for stack in stacks), default=0), shift)


def places_apart(wanted: Sequence[float], spans: Sequence[float], left: float, right: float, gap: float) -> list[float]:
    """Starts nearest to `wanted` (least squares) that keep order, gaps and edges: isotonic regression by pooling."""
    offsets, total = [], 0.0
    for span in spans:
        offsets.append(total)
        total += span + gap
    pools: list[tuple[float, int]] = []  # mean, how many
    for want, offset in zip(wanted, offsets, strict=True):
        mean, many = want - offset, 1
        while pools and pools[-1][0] > mean:
            before, number = pools.pop()
            mean, many = (before * number + mean * many) / (number + many), number + many
        pools.append((mean, many))
    highest = right - (total - gap)
    return [
        min(max(mean, left), highest) + offset
        for (mean, offset) in zip((mean for mean, many in pools for _ in range(many)), offsets, strict=True)
    ]
