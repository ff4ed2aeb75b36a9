"""What makes a start: the signs gathered, weighed at the first reading or finding behind them."""

from dataclasses import replace

from extractor.survey.surroundings import from_it, is_content, metres, seen_since
from extractor.survey.walk import (
    FIXTURES_FLOW_DOWN,
    LEADS_ELSEWHERE,
    LOOK_AHEAD,
    NEVER_VISITED,
    TANKS,
    Pending,
    Scene,
    Start,
    Walk,
    mark,
)

DOWNSTREAM_ENDS = {"main", "absorption_trench", "soakaway", "distribution_box", "boundary_trap"}
UPSTREAM_ENDS = {"building", *FIXTURES_FLOW_DOWN, "stack"}
STARTS_OVER_M = 0.15


def commit(walk: Walk, token: int, at_end: bool = False) -> None:
    pending, walk.pending = walk.pending, None
    if pending is None:
        return
    state = walk.state
    over = _starts_over(walk, token, pending)
    if (
        pending.relook
        and state.run is not None
        and not (pending.opening and _other_opening(walk, pending))
        and not pending.other_way
        and not (over and _turned_round(walk, pending))
    ):
        state.ended = False
        mark(walk, pending.start, Scene(0, 0, "run", run=state.run, second=True))
        return
    if _carries_on(walk, pending) and not over:
        state.ended, state.reached = False, None
        return
    state.ended = state.ended or over
    closing = walk.closing_from is not None and pending.start >= walk.closing_from
    if at_end or closing or not (_is_start(walk, pending, over) or _in_it_at_once(walk, pending, token)):
        return
    start = _start(walk, pending)
    if _same_line_again(walk, start) or _named_again(walk, pending, start) or _only_in_again(walk, pending, start):
        state.ended = False
        mark(walk, start.start, Scene(0, 0, "run", run=state.run, second=True))
        return
    if _restates(walk, start):
        walk.starts[-1] = _joined(walk.starts[-1], start)
        return
    if _never_began(walk, start):
        last = walk.starts.pop()
        walk.marks = [
            (
                at,
                replace(scene, kind="structure", run=None, structure=last.structure)
                if scene.run == len(walk.starts)
                else scene,
            )
            for at, scene in walk.marks
        ]
    elif (
        state.run is not None
        and not state.ended
        and not _new_place(walk, start)
        and not pending.announced
        and not pending.other_way
    ):
        return
    walk.starts.append(start)
    state.run, state.ended, state.reached = len(walk.starts) - 1, False, None
    if start.structure:
        state.at, state.at_label = start.structure, start.label if not start.port else state.at_label
    walk.aside, walk.started_at = None, (state.at, state.at_label)
    mark(walk, max(start.start, pending.said_from), Scene(0, 0, "run", run=state.run))


def _starts_over(walk: Walk, token: int, pending: Pending) -> bool:
    """Whether the counter's next reading is less than the last one: the camera went in again somewhere."""
    if walk.state.run is None or not (pending.direction or pending.go or pending.opening or pending.announced):
        return False
    if pending.start < walk.busy_until or any(
        t.id in LEADS_ELSEWHERE for t in walk.passage.tags_from(pending.start, token + LOOK_AHEAD, "action")
    ):
        return False  # told of the work
    since = max(pending.start, pending.said_from)
    before = [m for m in walk.passage.measures_from(walk.starts[-1].end, since) if is_content(walk, m)]
    behind = [m for m in walk.passage.measures_from(token, token + LOOK_AHEAD) if is_content(walk, m)]
    return bool(before and behind) and metres(behind[0]) < metres(before[-1]) - STARTS_OVER_M


def _carries_on(walk: Walk, pending: Pending) -> bool:
    """ "it hooks into the stack, and I kept going down the stack to nineteen foot": on through what was reached."""
    opening = pending.opening
    if walk.state.run is None or pending.camera or pending.announced or pending.other_way:
        return False
    if opening is not None and opening.structure != walk.state.reached:
        return False
    return walk.passage.has_class(max(0, pending.start - 5), pending.start + 1, "keeps_on")


def _turned_round(walk: Walk, pending: Pending) -> bool:
    last = walk.starts[-1].direction
    return pending.direction is not None and last is not None and pending.direction != last


def _is_start(walk: Walk, pending: Pending, over: bool) -> bool:
    opening = pending.opening
    named = opening is not None and (opening.part == "origin" or opening.port is not None)
    known = walk.state.at is not None or (over and _turned_round(walk, pending))
    moves = pending.camera or pending.go or pending.announced or pending.other_way
    if pending.other_way:
        return known or named or bool(walk.starts)
    if over and (pending.direction or (named and pending.go)) and (known or named):
        return True
    if pending.relook and named:
        return True
    if pending.camera and (opening is not None or pending.direction or known or pending.same_opening):
        return True
    if pending.announced and (opening is not None or pending.direction or pending.same_opening):
        return True
    if (
        named
        and opening is not None
        and (pending.go or pending.direction or (pending.destination and opening.port))
        and not (not moves and from_it(walk, opening))
    ):
        return True
    if opening is not None and pending.direction and (walk.state.run is None or walk.state.ended):
        return True
    if pending.same_opening and (pending.direction or moves):
        return True
    if opening is not None and opening.port and opening.label and walk.state.ended:
        return True
    pipe = opening is not None and (
        walk.passage.cue_at(opening.end, "component", "pipe") is not None
        or walk.passage.covering(opening.end - 1, "movement") is not None
    )
    if named and opening is not None and opening.port and not pipe and (walk.state.run is None or walk.state.ended):
        lead = (walk.passage.word(opening.start - 1), walk.passage.word(opening.start - 2))
        if "in" in lead or "into" in lead:
            return True  # "in the outlet of the tank now and ..."
    return bool(pending.direction and pending.go and known and (walk.state.run is None or walk.state.ended))


def _in_it_at_once(walk: Walk, pending: Pending, token: int) -> bool:
    """ "in the downpipe and down, 2.2 leaves": in a line's opening, with a reading right behind."""
    opening = pending.opening
    if opening is None or opening.part != "origin" or opening.structure in (None, *TANKS, *NEVER_VISITED):
        return False
    if walk.state.run is not None and not walk.state.ended:
        return False
    lead = opening.start - 1
    while walk.passage.is_class(lead, "article", "side"):
        lead -= 1
    behind = [m for m in walk.passage.measures_from(token, token + 1) if is_content(walk, m)]
    deep = any(t.id.startswith("depth") for m in behind for t in walk.passage.tags_from(m.end, m.end + 1, "role"))
    led = walk.passage.word(lead) in ("in", "into", "down", "inside", "via", "through")
    return led and bool(behind) and not deep and token - opening.end <= 5


def _start(walk: Walk, pending: Pending) -> Start:
    opening = pending.opening
    structure = opening.structure if opening else None
    port = opening.port if opening else None
    label = opening.label if opening else None
    last = walk.starts[-1] if walk.starts else None
    if structure is None and port is None and (pending.other_way or pending.same_opening) and last:
        structure, port, label = last.structure, last.port if pending.same_opening else None, last.label
        if walk.state.at and walk.state.at != last.structure and not pending.same_opening:
            structure, label = walk.state.at, walk.state.at_label
    if structure in NEVER_VISITED and walk.state.at is not None:
        structure = walk.state.at
    if structure is None and port == "outlet" and label is not None and walk.state.reached == "distribution_box":
        structure = "distribution_box"  # one of several: of the box just come to, not of the tank
    if structure is None:
        structure, label = walk.state.at, label or (walk.state.at_label if not port else None)
    if structure in (None, "stack") and port is not None:
        structure = _only_tank(walk)
    direction = pending.direction or _certain_direction(walk, structure, port, pending.destination)
    if structure in FIXTURES_FLOW_DOWN:
        direction = "downstream"  # there is no other way out of a fixture
    if pending.other_way and pending.direction is None and last and last.direction:
        direction = "upstream" if last.direction == "downstream" else "downstream"
    if port is None and opening is not None and walk.passage.is_class(opening.start - 1, "article", "origin"):
        lead = walk.passage.speech.words[max(0, opening.start - 3) : opening.start]
        if "out" in lead and structure in (*TANKS, "distribution_box"):
            port = "outlet"  # "out of the unit"
    port, direction = _through_a_port(structure, port, direction)
    return Start(pending.start, pending.end, structure, port, label, direction, pending.destination)


def _only_tank(walk: Walk) -> str | None:
    """Whose port it is, where none was named before: the one kind of tank that the whole narration speaks of."""
    spoken_of = {tag.id for tag in walk.passage.tags_from(0, len(walk.passage), "structure")}
    tanks = [tank for tank in TANKS if tank in spoken_of]
    if not tanks and not spoken_of.isdisjoint(("distribution_box", "absorption_trench")):
        return "septic_tank"  # "the tank", where there is a field behind it
    return tanks[0] if len(tanks) == 1 else None


def _through_a_port(structure: str | None, port: str | None, direction: str | None) -> tuple[str | None, str | None]:
    """A tank or a box is left by its outlet with the flow, by its inlet against it: the one tells the other. Out of a
    box with nothing said, the lines of the field are meant.
    """
    if structure not in (*TANKS, "distribution_box", "manhole", "inspection_chamber"):
        return port, direction
    if port is not None:
        return port, "upstream" if port == "inlet" else "downstream"
    if structure in ("manhole", "inspection_chamber"):
        return port, direction
    if structure == "distribution_box" and direction is None:
        direction = "downstream"
    return {"upstream": "inlet", "downstream": "outlet"}.get(direction or ""), direction


def _certain_direction(walk: Walk, structure: str | None, port: str | None, destination: str | None) -> str | None:
    if port == "inlet" and structure:
        return "upstream"
    if port == "outlet" and structure:
        return "downstream"
    if structure in FIXTURES_FLOW_DOWN or structure in ("downpipe", "gully", "stack"):
        return "downstream"
    if destination in DOWNSTREAM_ENDS or (destination in TANKS and structure in ("inspection_opening", "manhole")):
        return "downstream"
    if destination in UPSTREAM_ENDS:
        return "upstream"
    return None


def _restates(walk: Walk, start: Start) -> bool:
    """A second mention of the start before anything was seen: "I'm in at the cleanout ... heading downstream"."""
    if walk.state.run is None or not walk.marks or walk.marks[-1][1].kind != "run" or walk.marks[-1][1].second:
        return False
    last = walk.starts[-1]
    since = walk.marks[-1][0]
    seen = any(is_content(walk, m) for m in walk.passage.measures_from(last.end, start.start))
    seen = seen or bool(walk.passage.tags_from(last.end, start.start, "condition"))
    return not seen and start.start >= since and not (start.port and last.port and start.port != last.port)


def _never_began(walk: Walk, start: Start) -> bool:
    """ "starting at the gully, there's grease in it; run one is downstream from that gully": no reading between."""
    if walk.state.run is None or walk.state.run != len(walk.starts) - 1:
        return False
    last = walk.starts[-1]
    if (
        last.port is not None
        or last.structure is None
        or start.structure != last.structure
        or last.label not in (None, start.label)
    ):
        return False
    between = walk.passage.measures_from(last.end, start.start)
    ended = walk.passage.tags_from(last.end, start.start, "ending")
    return not any(is_content(walk, m) for m in between) and not ended


def _same_line_again(walk: Walk, start: Start) -> bool:
    """In at the very port of the run just told: another look, not another run."""
    if walk.state.run is None or start.port is None:
        return False
    last = walk.starts[-1]
    moved = walk.state.at_label is not None and (walk.state.at, walk.state.at_label) != walk.started_at
    if moved and walk.state.at == start.structure:
        return False  # the outlet of the next pit
    same = (start.structure, start.port) == (last.structure, last.port) and start.label in (None, last.label)
    return same and start.direction in (None, last.direction) and seen_since(walk, last)


def _named_again(walk: Walk, pending: Pending, start: Start) -> bool:
    """ "camera in from the tank again": at the structure of the run told last, with nothing said of another way."""
    if walk.state.run is None or start.port is not None or not pending.camera or pending.other_way or pending.announced:
        return False
    last = walk.starts[-1]
    if (
        start.structure != last.structure
        or pending.direction not in (None, last.direction)
        or start.label != last.label
    ):
        return False
    said = range(pending.start, pending.end + 4)
    return any(walk.passage.word(t) in ("again", "back") for t in said) and seen_since(walk, last)


def _only_in_again(walk: Walk, pending: Pending, start: Start) -> bool:
    """ "sent the camera up, and it's clear": in again with no opening and no way said, at the structure of the run."""
    if walk.state.run is None or not pending.camera or pending.opening is not None or pending.direction is not None:
        return False
    if pending.announced or pending.other_way or pending.same_opening:
        return False
    last = walk.starts[-1]
    return start.structure == last.structure and walk.state.at in (None, last.structure) and seen_since(walk, last)


def _other_opening(walk: Walk, pending: Pending) -> bool:
    opening, last = pending.opening, walk.starts[-1]
    if opening is None or opening.part == "destination":
        return False
    if opening.port and last.port and opening.port != last.port:
        return True
    if opening.port and opening.structure is None and walk.state.at not in (None, last.structure):
        return True  # back at the tank, up its inlet again
    if opening.label and last.label and opening.label != last.label:
        return True
    moved = opening.part == "origin" and (pending.camera or pending.go or pending.relook)
    return bool(opening.structure and last.structure and opening.structure != last.structure and moved)


def _new_place(walk: Walk, start: Start) -> bool:
    last = walk.starts[-1]
    return (
        (start.structure, start.port) != (last.structure, last.port)
        or (start.direction is not None and last.direction is not None and start.direction != last.direction)
        or (start.direction is not None and last.direction is None and seen_since(walk, last))
        or (start.label is not None and start.label != last.label)
    )


def _joined(first: Start, second: Start) -> Start:
    return Start(
        first.start,
        max(first.end, second.end),
        second.structure or first.structure,
        second.port or first.port,
        second.label or first.label,
        second.direction or first.direction,
        second.destination or first.destination,
    )
