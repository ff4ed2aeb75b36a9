"""Where the places of a plan stand: rows down the page with the flow, side by side in a row, lines between them.

Layered graphs are drawn in the usual steps: rows by the longest way down; every line led through a cell of its own in
each row that it passes, so that it crosses no box and its words have room; order within rows by the middle of the
neighbours; places by least squares in that order; corners on tracks that no two lines share.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from extractor.report.band_labels import places_apart

GAP = 10.0
TRACK = 5.0
SWEEPS = 6


@dataclass(frozen=True)
class Node:
    """A place: `kind` is opening, reached, place, capped or stopped; `width` and `height` with its words."""

    words: str
    kind: str
    width: float
    height: float


@dataclass(frozen=True)
class Edge:
    """A run between two places, by their index. `upper` stands higher on the page (upstream, where that is known)."""

    upper: int
    lower: int
    width: float  # of its words
    height: float


Point = tuple[float, float]


@dataclass
class Cell:
    """Something that takes room in a row. `line` is where lines meet it, from its left edge."""

    width: float
    height: float
    line: float
    left: float = 0.0
    top: float = 0.0
    above: list["Cell"] = field(default_factory=list)
    below: list["Cell"] = field(default_factory=list)

    @property
    def x(self) -> float:
        return self.left + self.line


@dataclass(frozen=True)
class Placed:
    """The cells of nodes and of lines' words, and the corners of each line, upper end first."""

    nodes: tuple[Cell, ...]
    words: tuple[Cell, ...]
    paths: tuple[tuple[Point, ...], ...]
    width: float
    height: float


def lay_out(nodes: Sequence[Node], edges: Sequence[Edge], width: float) -> Placed:
    """Places for everything, in at least `width`; wider where a row needs it."""
    ranks = _ranks(len(nodes), edges)
    rows: list[list[Cell]] = [[] for _ in range(2 * max(ranks, default=0) + 1)]
    cells = [Cell(node.width, node.height, node.width / 2) for node in nodes]
    linked = {index for edge in edges for index in (edge.upper, edge.lower)}
    for index, cell in enumerate(cells):
        if index in linked:
            rows[2 * ranks[index]].append(cell)
    chains = [_chain(edge, ranks, cells, rows) for edge in edges]
    for _ in range(SWEEPS):
        _order(rows)
    lone = [cells[index] for index in range(len(nodes)) if index not in linked]
    rows = [row for row in rows if row] + _wrapped(lone, width)
    wide = max([width, *(sum(cell.width for cell in row) + GAP * (len(row) + 1) for row in rows)])
    for downward in (True, False, True):
        for row in rows if downward else reversed(rows):
            _spread(row, downward, wide)
    height = _stack(rows)
    paths = tuple(_path(chain, rows) for chain in chains)
    return Placed(tuple(cells), tuple(chain[1] for chain in chains), paths, wide, height)


def _ranks(many: int, edges: Sequence[Edge]) -> list[int]:
    """Row of each node by the longest way down to it; an edge that would close a circle is left out of account."""
    ranks = [0] * many
    for _ in range(many):
        moved = False
        for edge in edges:
            if ranks[edge.lower] < ranks[edge.upper] + 1 <= many:
                ranks[edge.lower] = ranks[edge.upper] + 1
                moved = True
        if not moved:
            break
    used = {rank: row for row, rank in enumerate(sorted(set(ranks)))}
    return [used[rank] for rank in ranks]


def _chain(edge: Edge, ranks: Sequence[int], cells: Sequence[Cell], rows: list[list[Cell]]) -> list[Cell]:
    """The cells that a line passes, its upper place first; the second holds its words."""
    first, last = sorted((edge.upper, edge.lower), key=lambda index: ranks[index])
    chain = [cells[first]]
    for row in range(2 * ranks[first] + 1, 2 * ranks[last]):
        words = row == 2 * ranks[first] + 1
        cell = Cell(edge.width + 8, edge.height, 3.0) if words else Cell(16.0, 0.0, 8.0)
        rows[row].append(cell)
        chain.append(cell)
    chain.append(cells[last])
    if len(chain) == 2:  # both ends in one row (a circle): the words stand between, in the row itself
        cell = Cell(edge.width + 8, edge.height, 3.0)
        rows[2 * ranks[first]].append(cell)
        return [cells[first], cell, cells[last]]
    for upper, lower in pairwise(chain):
        upper.below.append(lower)
        lower.above.append(upper)
    return chain


def _order(rows: Sequence[list[Cell]]) -> None:
    """One sweep down and one up: each row sorted by the mean place of its neighbours in the row before."""
    for sweep in (list(rows), list(reversed(rows))):
        down = sweep[0] is rows[0]
        for before, row in pairwise(sweep):
            places = {id(cell): float(at) for at, cell in enumerate(before)}
            kept = {id(cell): float(at) for at, cell in enumerate(row)}
            middles = {id(cell): _middle(cell.above if down else cell.below, places, kept[id(cell)]) for cell in row}
            row.sort(key=lambda cell: middles[id(cell)])


def _middle(near: Sequence[Cell], places: dict[int, float], otherwise: float) -> float:
    found = [places[id(each)] for each in near if id(each) in places]
    return sum(found) / len(found) if found else otherwise


def _wrapped(cells: Sequence[Cell], width: float) -> list[list[Cell]]:
    rows: list[list[Cell]] = []
    for cell in cells:
        if rows and sum(each.width + GAP for each in rows[-1]) + cell.width + GAP <= width:
            rows[-1].append(cell)
        else:
            rows.append([cell])
    return rows


def _spread(row: Sequence[Cell], downward: bool, width: float) -> None:
    even = (width - sum(cell.width for cell in row)) / (len(row) + 1)
    wanted, at = [], even
    for cell in row:
        near = cell.above if downward else cell.below
        settled = [each.x for each in near if each.left > 0]
        wanted.append(sum(settled) / len(settled) - cell.line if settled else (cell.left or at))
        at += cell.width + even
    starts = places_apart(wanted, [cell.width for cell in row], GAP / 2, width - GAP / 2, GAP)
    for cell, start in zip(row, starts, strict=True):
        cell.left = start


def _stack(rows: Sequence[list[Cell]]) -> float:
    top = 0.0
    for row in rows:
        for cell in row:
            cell.top = top
        lines = sum(len(cell.below) for cell in row)
        top += max(cell.height for cell in row) + 10 + TRACK * min(lines, 8)
    return top


def _path(chain: Sequence[Cell], rows: Sequence[list[Cell]]) -> tuple[Point, ...]:
    points: list[Point] = []
    for upper, lower in pairwise(chain):
        row = next(row for row in rows if any(cell is upper for cell in row))
        start, end = _port(upper, upper.below, lower), _port(lower, lower.above, upper)
        floor = max(cell.top + cell.height for cell in row)
        lines = [(cell, each) for cell in row for each in cell.below]
        # lines that turn right take the lower tracks from left to right turned round, so that they don't run together
        turning = sorted(
            (line for line in lines if abs(line[0].x - line[1].x) > 1),
            key=lambda line: line[1].x if line[1].x < line[0].x else -line[1].x,
        )
        track = next((at for at, line in enumerate(turning) if line[0] is upper and line[1] is lower), 0)
        bend = floor + 4 + TRACK * min(track, 8)
        points += [(start, upper.top + upper.height), (start, bend), (end, bend), (end, lower.top)]
    return tuple(dict.fromkeys(points))


def _port(cell: Cell, lines: Sequence[Cell], other: Cell) -> float:
    """Where on a cell's edge a line meets it: several stand side by side in the order of where they go."""
    order = sorted(lines, key=lambda each: each.x)
    at = next((index for index, each in enumerate(order) if each is other), 0)
    step = min(12.0, (cell.width - 12) / max(1, len(order)))
    return cell.x + (at - (len(order) - 1) / 2) * step if len(order) > 1 else cell.x
