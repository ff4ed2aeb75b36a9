"""Lines told only as one of several: "number two", "the left one", "trench three"; out of the box at hand, or through
ports like that of the last run.
"""

from dataclasses import replace

from extractor.language.clauses import Clause
from extractor.survey.openings import Opening
from extractor.survey.surroundings import ports_spoken_of, reading_near, reads_less, told_of_another_time, told_of_tool
from extractor.survey.walk import FIXTURES_FLOW_DOWN, TANKS, Walk, gather

HAS_PORTS = (*TANKS, "manhole", "inspection_chamber")


def take_line(walk: Walk, line: Opening, clause: Clause) -> None:
    """One of several lines, out of the box at hand or through ports like that of the last run."""
    whence = _whence(walk)
    if line.port is not None:
        told = walk.state.at in HAS_PORTS and (walk.state.run is None or walk.state.ended)
        whence = (walk.state.at, line.port) if told and walk.state.at is not None else None
    if whence is None or clause.act not in ("report", "moving") or told_of_tool(walk, line.start):
        return
    if told_of_another_time(walk, line.start, clause) or _a_thing(walk, line):
        return
    structure, port = whence
    placed = line.port is not None or (port is None and walk.passage.word(line.start) == "one")
    turned = structure == walk.several and walk.state.ended and _begins(walk, line, clause)
    if structure != "distribution_box" and not placed and not turned and not _stands_for_port(walk, line):
        return
    fresh = (walk.state.run is None or turned) and reading_near(walk, line.end, 14)
    if port is None and not fresh and not reads_less(walk, line.end):
        return
    last = walk.starts[-1] if walk.starts else None
    under_way = walk.state.run is not None and not walk.state.ended
    if under_way and last is not None:
        known = (last.structure, last.port) == (structure, port) and last.label == line.label
        moved = walk.pending is not None and (walk.pending.camera or walk.pending.relook)
        behind = walk.passage.tags_from(line.end, line.end + 4, "movement")
        moved = moved or any(t.id in ("camera_in", "relook") for t in behind)
        told = _is_numbered(walk, line) or walk.passage.is_class(line.start, "line_side")
        numbered = structure == "distribution_box" and told and reading_near(walk, line.end, 12)
        if known or not (moved or numbered or reads_less(walk, line.end)):
            return
    pending = gather(walk, line.start, line.end)
    if pending.opening is not None and pending.opening.port:
        if pending.opening.label is None:
            pending.opening = replace(pending.opening, label=line.label)
            return
        if pending.opening.label == line.label or pending.opening.start + 3 > line.start:
            return
        pending.start = line.start  # "the left one was never used, the middle one then"
    pending.opening = Opening(line.start, line.end, structure, port, line.label, "origin")
    pending.announced = True
    if walk.state.at != structure:
        walk.state.at, walk.state.at_label = structure, None


def _begins(walk: Walk, line: Opening, clause: Clause) -> bool:
    """ "couldn't get through them, middle one is clear": named at the head of a statement, or behind an end."""
    if line.start <= clause.start + 1:
        return True
    ends = walk.passage.tags_from(line.start - 8, line.start, "ending")
    return any(line.start - tag.end <= 2 for tag in ends)


def _is_numbered(walk: Walk, line: Opening) -> bool:
    """ "number two", "line two", "second trench", not "the second one"."""
    passage = walk.passage
    ordinal = passage.measure_over(line.start)
    of_lines = ordinal is not None and ordinal.unit == "ordinal" and passage.word(line.end - 1) != "one"
    return passage.word(line.start) == "number" or passage.measure_over(line.end - 1) is not None or of_lines


def _whence(walk: Walk) -> tuple[str, str | None] | None:
    """The structure at hand and the kind of port that its lines go through; of things that stand in numbers with no
    port ("two floor drains, the near one"), the last of them.
    """
    state = walk.state
    if "distribution_box" in (state.at, state.reached):
        return "distribution_box", "outlet"
    if state.at in HAS_PORTS and (state.run is None or state.ended) and (port := ports_spoken_of(walk)) is not None:
        return state.at, port
    if walk.several is not None and state.at in (None, walk.several):
        return walk.several, None
    last = walk.starts[-1] if walk.starts else None
    if last is not None and last.structure and last.port and state.at in (None, last.structure):
        return last.structure, last.port
    if last is not None and last.structure in (*FIXTURES_FLOW_DOWN, "downpipe", "gully"):
        return last.structure, None
    return None


def _stands_for_port(walk: Walk, line: Opening) -> bool:
    """ "the left one", "number two" beside inlets told before; not "line two", which only counts the runs."""
    passage = walk.passage
    if passage.word(line.end - 1) not in ("one", "hand", "side") and passage.word(line.start) != "number":
        return False
    if passage.word(line.end - 1) == "one" and passage.is_class(line.end - 2, "line_noun"):
        return False
    first = next((m.start for m in passage.measures_from(line.end, line.end + 8)), line.end + 8)
    return not any(token in walk.openings for token in range(line.end, first))


def _a_thing(walk: Walk, line: Opening) -> bool:
    """ "the next one at 3.8": another of what was seen, in a run that goes on."""
    passage = walk.passage
    if passage.word(line.end - 1) != "one" or walk.state.run is None or walk.state.ended:
        return False
    behind = line.end
    while passage.word(behind) in ("is", "was", "about"):
        behind += 1
    return passage.is_class(behind, "at") and not reads_less(walk, line.end)
