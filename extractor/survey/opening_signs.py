"""The openings that are named, taken as where the camera goes in, as where a run leads, or as a place gone to."""

from dataclasses import replace

from extractor.language.clauses import Clause
from extractor.survey.camera_signs import GOES_IN, LID_OF_IT, way_before, way_behind
from extractor.survey.openings import Opening
from extractor.survey.surroundings import (
    at_reading,
    behind_turn,
    closed_at,
    come_to,
    from_it_to,
    gone_into,
    headed_from,
    is_content,
    leads_on,
    leads_to_another,
    led_at_once,
    moved_to,
    part_before,
    put_in,
    reading_near,
    reads_less,
    told_of_another_time,
    told_of_stretch,
    told_of_tool,
    walked,
    went,
)
from extractor.survey.walk import FIXTURES_FLOW_DOWN, NEVER_VISITED, Scene, Walk, gather, mark

OF_A_ROOM = 6  # words from a fixture, over where it stands, to "had"
LOOKED_AT = 18  # words from a fixture to what is seen at it
SEEN_AT_FIXTURE = (
    "obstruction",
    "blockage",
    "crack",
    "break",
    "missing_part",
    "hole",
    "root_intrusion",
    "grease",
    "settled_deposit",
)
TO_OTHER_END = 6  # words from one end of a stretch that is told of to the other
PARTS_OF_STRUCTURES = ("lid", "baffle", "wall", "base", "pump", "float_switch", "filter", "hose", "valve")


def take_opening(walk: Walk, opening: Opening, clause: Clause) -> None:
    if _in_numbers(walk, opening) or _listed_again(walk, opening):
        walk.several = opening.structure
    over = walk.passage.word(opening.start - 3) in walk.passage.classes["moves_over"]
    on_foot = opening.part == "destination" and not opening.port and walked(walk, opening)
    if on_foot and not told_of_another_time(walk, opening.start, clause):
        walk.pending = None
        _visit(walk, opening)
        return
    if not on_foot and moved_to(walk, opening, clause) and not told_of_another_time(walk, opening.start, clause):
        walk.pending, walk.topic, walk.state.ended = None, opening, True
        _visit(walk, opening, again=True)
        return
    if opening.start < walk.stretch_until and walk.pending is None and not opening.port and opening.part != "topic":
        return  # the other end of a stretch
    bare = walk.pending is None or not (walk.pending.camera or walk.pending.direction or walk.pending.opening)
    if opening.part == "destination" and over and bare and walk.state.ended and not opening.port:
        walk.pending = None
        _visit(walk, opening)
        return
    if _back_over_to(walk, opening) or _comes_next(walk, opening, clause):
        walk.pending, walk.topic = None, opening
        _visit(walk, opening, again=True)
        return
    if walk.passage.word(opening.end) == "itself" and walk.pending is None and not at_reading(walk, opening):
        _visit(walk, opening, again=True)
    if walk.pending is None and _other_way_to(walk, opening):
        pending = gather(walk, opening.start, opening.end)
        pending.same_opening, pending.go, pending.destination = True, True, opening.structure
        return
    if walk.state.ended and walk.state.reached and walk.pending is None and _back_to_part(walk, opening):
        _visit(walk, opening, again=True)
        return
    if opening.part == "destination" and walk.pending is not None:
        walk.pending.destination = walk.pending.destination or opening.structure
        led = walk.passage.speech.words[max(0, opening.start - 5) : opening.start]
        if walk.pending.direction is None and ("down" in led or "up" in led):
            walk.pending.direction = "downstream" if "down" in led else "upstream"
        walk.pending.end = max(walk.pending.end, opening.end)
        return
    filled = bool(walk.passage.tags_from(opening.start - 4, opening.start, "condition"))  # "full right to the inlet"
    if (
        opening.part == "destination"
        and opening.port
        and not filled
        and walk.pending is None
        and (walk.state.run is None or walk.state.ended or reads_less(walk, opening.end))
    ):
        opening = replace(opening, part="origin")
        gather(walk, opening.start, opening.end).go = True
    anew = walk.pending is None and (walk.state.run is None or walk.state.ended or reads_less(walk, opening.end))
    if opening.part == "destination" and not opening.port and anew and _into_it(walk, opening):
        opening = replace(opening, part="origin")  # "then into the manhole and on down to the sewer, 3.0 ..."
        gather(walk, opening.start, opening.end).go = True
    if opening.part == "destination" and over:
        if walk.state.run is None or walk.state.ended:
            _visit(walk, opening)
        return
    if opening.part in ("destination", "belongs"):
        if (
            opening.part == "destination"
            and walk.pending is None
            and (come_to(walk, opening) or _leads_there(walk, opening))
        ):
            walk.state.ended, walk.state.reached = True, opening.structure  # "4.4 and that's us into the chamber"
        return
    if (
        opening.start < walk.busy_until
        and not (
            walk.pending
            and (
                walk.pending.camera
                or walk.pending.direction
                or (
                    (went(walk, walk.pending) or walk.pending.announced)
                    and opening.part == "origin"
                    and walk.passage.word(opening.start - 1) != "from"
                )
            )
        )
        and not any(t.id == "camera_in" for t in walk.passage.tags_from(opening.end, opening.end + 3, "movement"))
        and not _again(walk, opening)
        and not any(walk.passage.is_class(t, "camera_word") for t in range(opening.end, opening.end + 3))
    ):
        return
    if opening.structure == "building" or told_of_another_time(walk, opening.start, clause):
        return
    if told_of_tool(walk, opening.start) and not (walk.pending and walk.pending.camera) and not _again(walk, opening):
        return
    cue = walk.passage.covering(opening.start, "stretch")
    headed = walk.passage.tags_from(opening.end, opening.end + (9 if walk.state.ended else 3), "direction")
    way = (
        leads_on(walk, opening)
        or from_it_to(walk, opening)
        or any(walk.passage.word(t.start - 1) != "way" for t in headed)
    )
    if cue is not None and cue.id == "from_opening" and walk.pending is None and walk.state.run is not None and not way:
        return  # "no roots from the box to the end"
    if walk.state.run is not None and walk.pending is None and told_of_stretch(walk, opening, clause):
        walk.stretch_until = opening.end + TO_OTHER_END
        return  # "no silt in that one from the toilet to the bottom end"
    out_of_run = walk.state.run is None or walk.state.ended
    arrived = (at_reading(walk, opening) or come_to(walk, opening)) and not headed_from(walk, opening)
    arrived = arrived and not (opening.part == "origin" and put_in(walk, opening))
    if walk.state.run is not None and arrived and not (walk.pending and walk.pending.camera):
        walk.state.ended, walk.state.reached = True, opening.structure
        return
    if walk.state.run is not None and walk.pending is None and closed_at(walk, opening):
        walk.state.ended, walk.state.reached = True, opening.structure
        return
    if opening.part == "topic" and leads_to_another(walk, opening):
        opening = replace(opening, part="origin")
        pending = gather(walk, opening.start, opening.end)
        pending.go = True
        if pending.remembered:
            pending.opening, pending.start = None, max(pending.start, pending.said_from)
    bare = (
        walk.pending is not None
        and walk.pending.opening is not None
        and not (
            walk.pending.camera
            or walk.pending.go
            or walk.pending.direction
            or walk.pending.announced
            or walk.pending.relook
            or walk.pending.same_opening
            or walk.pending.other_way
        )
    )
    if bare and opening.part == "origin" and opening.structure:
        walk.pending = None  # "on a corner block, toilet's gurgling, we're at the inspection opening"
    walk.topic = opening
    numbered = any(t.id == "new_pass" for t in walk.passage.tags_from(opening.start, opening.end + 1, "movement"))
    last = walk.starts[-1] if walk.starts else None
    relabelled = last is not None and opening.label is not None and opening.label != last.label
    turned = opening.port is not None and (
        numbered
        or behind_turn(walk, opening)
        or (relabelled and (reads_less(walk, opening.end) or reading_near(walk, opening.end, 4)))
    )
    if opening.part == "topic" and not out_of_run and walk.pending is None and not turned:
        return
    if out_of_run and not (walk.pending and (walk.pending.camera or walk.pending.go)):
        _visit(walk, opening)
    anew = reads_less(walk, opening.end) or (relabelled and reading_near(walk, opening.end, 4))
    new_port = opening.port is not None and turned and anew
    if walk.state.run is not None and (new_port or (out_of_run and _turned_to(walk, opening))):
        gather(walk, opening.start, opening.end).announced = True
    leads = opening.part != "topic" and (out_of_run or headed_from(walk, opening) or led_at_once(walk, opening))
    through_port = opening.port and (out_of_run or turned or opening.part == "origin")
    if walk.pending is None and not through_port and not leads:
        return
    pending = gather(walk, opening.start, opening.end)
    if opening.part == "origin" and not pending.go:
        pending.go = put_in(walk, opening) or leads_on(walk, opening) or from_it_to(walk, opening)
        pending.go = pending.go or led_at_once(walk, opening)
        if pending.go or pending.announced or pending.camera:
            way_before(walk, pending, opening)
        if pending.go:
            way_behind(walk, pending, opening.end)
    known = pending.opening
    if pending.remembered and (opening.part == "origin" or (pending.announced and opening.structure)):
        known, pending.start = None, max(pending.start, pending.said_from)
    pending.remembered = pending.remembered and known is not None
    if known is not None and gone_into(walk, opening, known):
        known = None  # "in the hall bath, going down the toilet"
    if known is None or (opening.part == "origin" and known.part != "origin" and not known.port):
        pending.opening = opening
    elif opening.port and not known.port and opening.structure in (None, known.structure):
        pending.opening = replace(opening, structure=known.structure, label=opening.label or known.label)
    elif opening.port and known.port and opening.port != known.port:
        pending.opening = replace(opening, structure=opening.structure or known.structure)


def _leads_there(walk: Walk, opening: Opening) -> bool:
    """ "and it goes to a box at three metres fifty": where the pipe of the run leads, with its reading right behind."""
    passage = walk.passage
    if opening.port or opening.structure in (None, "building") or walk.state.run is None or walk.state.ended:
        return False
    behind = passage.measures_from(opening.end, opening.end + 3)
    at = passage.is_class(opening.end, "at") and bool(behind) and is_content(walk, behind[0])
    branch = passage.tags_from(opening.start - 8, opening.start, "component")
    return at and not any(t.id in ("junction", "inlet", "outlet") for t in branch) and not reads_less(walk, opening.end)


def _back_over_to(walk: Walk, opening: Opening) -> bool:
    """ "back up to the manhole and in again the other way": on foot, behind a run, to where the camera goes in then."""
    passage, lead = walk.passage, opening.start - 1
    if opening.port or opening.structure in (None, *NEVER_VISITED, *FIXTURES_FLOW_DOWN):
        return False
    if not (walk.state.ended or walk.state.run is None) or (walk.pending is not None and walk.pending.camera):
        return False
    while passage.is_class(lead, "article", "side"):
        lead -= 1
    if passage.word(lead) != "to":
        return False
    lead -= 1
    while passage.word(lead) in ("up", "down"):
        lead -= 1
    pending = walk.pending
    said = lead if pending is None else pending.said_from if pending.remembered else pending.start
    if not passage.is_class(lead, "moves_over") or said < lead:
        return False
    ahead = passage.tags_from(opening.end, opening.end + GOES_IN, "movement", "action")
    goes_in = [t for t in ahead if t.id in ("camera_in", "relook", "other_way", "new_pass", "lid_lifted")]
    return bool(goes_in) and not passage.measures_from(opening.end, goes_in[0].start)


def _comes_next(walk: Walk, opening: Opening, clause: Clause) -> bool:
    """ "boundary trap next, just a look from the top", "the box then, lid's off it": what the speaker turns to, named
    first in its statement.
    """
    passage = walk.passage
    if opening.port or opening.structure in (None, *NEVER_VISITED, *FIXTURES_FLOW_DOWN) or walk.pending is not None:
        return False
    if walk.state.run is None:
        return False
    if passage.word(opening.end) == "next" and opening.start - clause.start <= 2:
        return not passage.measures_from(opening.end, opening.end + GOES_IN)
    behind = passage.measures_from(opening.end, opening.end + 5)
    deep = bool(behind) and any(
        t.id.startswith("depth") for t in passage.tags_from(behind[0].end, behind[0].end + 1, "role")
    )
    turned = passage.is_class(opening.end, "turns_to_it") and (deep or not at_reading(walk, opening))
    lid = [t for t in passage.tags_from(opening.end, opening.end + LID_OF_IT, "action") if t.id == "lid_lifted"]
    return turned and bool(lid)


def _other_way_to(walk: Walk, opening: Opening) -> bool:
    """ "... nineteen feet the stack, toward the tank eight feet a belly": the other way, from where the camera was."""
    lead = opening.start - 1
    while walk.passage.is_class(lead, "article", "side"):
        lead -= 1
    return (
        walk.state.ended
        and bool(walk.starts)
        and opening.part == "destination"
        and not opening.port
        and walk.passage.word(lead) in ("toward", "towards")
        and opening.start >= walk.busy_until
        and not told_of_tool(walk, opening.start)
        and reads_less(walk, opening.end)
        and reading_near(walk, opening.end, 6)
    )


def _back_to_part(walk: Walk, opening: Opening) -> bool:
    """ "5.5 the toilet, the tank's baffle is gone": behind a run, a part of the structure that it began at."""
    if opening.port or opening.part != "topic" or opening.structure != walk.state.at or walk.state.at is None:
        return False
    parts = walk.passage.tags_from(opening.end, opening.end + 3, "component")
    return any(t.id in PARTS_OF_STRUCTURES for t in parts)


def _in_numbers(walk: Walk, opening: Opening) -> bool:
    """ "three gullies", "two floor drains in the change room"."""
    number = walk.passage.measure_over(opening.start - 1)
    told = (
        number is not None and number.unit in (None, "count") and number.low == int(number.low) and 2 <= number.low <= 9
    )
    return told and not opening.port and walk.passage.word(opening.end - 1).endswith("s")


def _listed_again(walk: Walk, opening: Opening) -> bool:
    """ "a gully at the front, a gully at the side": the second of a kind that is only named yet."""
    before = walk.topic
    return (
        before is not None
        and (walk.state.run is None or walk.state.ended)
        and before.structure == opening.structure
        and not opening.port
        and before.end + 6 >= opening.start > before.end
        and walk.passage.word(opening.start - 1) in ("a", "an", "another", "one")
    )


def _into_it(walk: Walk, opening: Opening) -> bool:
    lead = opening.start - 1
    while walk.passage.is_class(lead, "article", "side"):
        lead -= 1
    arriving = walk.passage.covering(lead, "ending") is not None  # "it's into the stack"
    return walk.passage.word(lead) == "into" and not arriving and led_at_once(walk, opening)


def _again(walk: Walk, opening: Opening) -> bool:
    """ "jetted it, then down the gully again, clear at 2.0"."""
    return walk.passage.word(opening.end) == "again" and led_at_once(walk, opening)


def _turned_to(walk: Walk, opening: Opening) -> bool:
    """ "then the downpipe by the garage, 2.2 a crack": turned to, and the counter begins anew."""
    if opening.structure is None or opening.part != "topic" or opening.structure in NEVER_VISITED:
        return False
    flows_down = opening.structure in FIXTURES_FLOW_DOWN or opening.structure in ("downpipe", "gully")
    told = behind_turn(walk, opening) or (flows_down and _listed(walk, opening))
    behind = walk.passage.measures_from(opening.end, opening.end + 16)
    cues = walk.passage.tags_from(behind[0].start - 2, behind[0].end + 1, "role") if behind else []
    deep = any(cue.id.startswith("depth") and walk.passage.word(cue.start) != "down" for cue in cues)
    return told and not deep and reads_less(walk, opening.end)


def _listed(walk: Walk, opening: Opening) -> bool:
    token = opening.start - 1
    while walk.passage.is_class(token, "article", "side") or walk.passage.measure_over(token) is not None:
        token -= 1
    return walk.passage.is_class(token, "list") or token < opening.start - 2


def _visit(walk: Walk, opening: Opening, again: bool = False) -> None:
    """The speaker turns to a structure: what is told next is told of it."""
    if opening.structure is None or opening.port or opening.structure in NEVER_VISITED:
        return
    if opening.structure == "stack" or (opening.structure in FIXTURES_FLOW_DOWN and not _looked_at(walk, opening)):
        return
    moved = walk.state.at != opening.structure or opening.label not in (None, walk.state.at_label)
    walk.state.at, walk.state.at_label = opening.structure, opening.label
    if moved or (again and walk.marks[-1][1].kind == "run"):
        walk.state.ended = True
        mark(
            walk, part_before(walk, opening), Scene(0, 0, "structure", structure=opening.structure, label=opening.label)
        )


def _looked_at(walk: Walk, opening: Opening) -> bool:
    """ "next is the floor drain, there was lint stuck in the trap of it": a fixture looked into with no camera."""
    passage = walk.passage
    if walk.marks[-1][1].kind == "open":
        return False
    lead = opening.start - 1
    while passage.is_class(lead, "article", "side", "copula"):
        lead -= 1
    part = passage.tags_from(
        opening.start - 4, opening.start, "component"
    )  # "the trap under the laundry tub was cracked"
    turned = passage.covering(lead, "boundary") is not None or passage.is_class(lead, "list")
    told = passage.has_class(opening.end, opening.end + OF_A_ROOM, "had_it_in")  # "the shower upstairs had hair in it"
    if not turned and not part and not told:
        return False
    ahead = passage.tags_from(opening.end, opening.end + LOOKED_AT, "condition")
    ahead = [t for t in ahead if t.id in SEEN_AT_FIXTURE]
    if not ahead:
        return False
    until = ahead[0].start
    moved = passage.tags_from(opening.end, until, "movement", "direction", "action", "negation")
    return not moved and not passage.measures_from(opening.end, until)
