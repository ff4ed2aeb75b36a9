"""Things named that are no finding of their own: talk, plans, what was told before or is only measured."""

from extractor.language.clauses import Clause
from extractor.language.context import Context
from extractor.language.passage import Passage
from extractor.reading import Tag
from extractor.survey.rows import NOWHERE, Place
from extractor.survey.scenes import Scene
from extractor.survey.topics import CAUSES, STATES, Reader
from extractor.survey.walk import TANKS

VOID_ACTS = ("earlier", "hearsay", "question", "general")  # what is said there of a condition is no finding
ASIDES = ("talk",)  # make no row, unless the thing stands at a distance of its own
UNSAID_MM = 40  # a bare number this high, of sludge, is in millimetres


def is_aside(reader: Reader, clause: Clause, tag: Tag) -> bool:
    passage = reader.passage
    if reader.places.get(tag, NOWHERE).how == "end told":
        return True  # "comes good again at 4.8"
    if tag.id == "full":
        held = passage.covering(tag.start, "stretch")
        if held is not None and held.end > tag.end:
            return True  # "the full length"
        level = passage.measure_over(tag.start - 1)
        if (level is not None and level.unit == "%") or passage.word(tag.end) == "stop":
            return True  # "thirty percent full", "full stop"
    if (
        tag.kind == "condition"
        and (ending := passage.covering(tag.start, "ending")) is not None
        and ending.end >= tag.end
        and ending.id not in ("line_end", "bars")
        and ending.end - ending.start > 1
    ):
        return True  # "camera's under water", "survey abandoned" tell of the camera
    if (
        tag.kind == "condition"
        and (tag.id in ("break", "surface_damage") or passage.word(tag.end - 1) == "hair")
        and any(
            t.kind == "condition" and t.id not in STATES for t in passage.tags_from(tag.end, tag.end + 1, "condition")
        )
        and not passage.is_class(tag.start - 1, "copula")  # "the baffle is broken | sludge is nine inches"
    ):
        return True  # "a broken slate": tells of the thing behind it
    if tag.id == "protruding_connection" and any(
        t.kind == "condition" and t.id != tag.id and t.end == tag.start
        for t in passage.tags_from(tag.start - 3, tag.start, "condition")
    ):
        return True  # "there's a screw poking in"
    if tag.kind == "condition" and (
        _hides(passage, tag)
        or _is_verb(passage, tag)
        or _not_of_the_drain(passage, tag)
        or _comes_in(passage, clause, tag)
        or _goes_out(passage, clause, tag)
        or _other_guess(passage, tag)
        or _kind_of_lid(passage, tag)
        or _worked_with(passage, tag)
        or _tool_about(passage, tag)
        or _how_wholly(passage, tag)
        or _not_just(passage, tag)
        or _put_in_anew(passage, tag)
    ):
        return True
    denial = passage.covering(tag.start, "negation") if tag.id == "sound" else None
    own_denial = passage.word(tag.start) == "not" and denial is not None and denial.end <= tag.end
    if denial is not None and denial.start < tag.start and not own_denial:
        return True  # "no not a one"
    opening = passage.covering(tag.start, "reference")
    if opening is not None and opening.id == "same_opening":
        return True  # "down the same hole"
    if (
        tag.kind == "component"
        and passage.word(tag.end) == "of"
        and (
            _is_made_of(passage, tag.end + 1)
            or (passage.word(tag.end + 1) in ("it", "them", "that") and not passage.is_class(tag.start - 1, "definite"))
        )
    ):
        return True  # "a wall of wet wipes", "a plug of it"
    if tag.id == "patch" and passage.word(tag.end) in ("with", "in") and _is_made_of(passage, tag.end + 1):
        return True  # "she's lined with grease"
    if (
        tag.id == "stack"
        and passage.is_class(tag.start - 1, "definite")
        and passage.is_class(tag.start - 2, "heads_to")
    ):
        return True  # "going down towards the stack"
    if tag.id == "dip" and passage.is_class(tag.end, "of_measuring"):
        return True  # "the dip stick says"
    if tag.id == "hose" and passage.word(tag.start - 1) == "of" and passage.measure_over(tag.start - 2) is not None:
        return True  # "nine metres of hose": the jetter's
    deed = passage.covering(tag.start, "action")
    if tag.id == "obstruction" and deed is not None and deed.id == "located":
        return True  # "put a peg in"
    if clause.act in ("plan", "question") and _states_a_part(passage, clause, tag):
        return False
    if clause.act in VOID_ACTS:
        return tag.kind == "condition"
    if clause.act == "plan":
        return not _past_the_plan(reader, clause, tag)
    if clause.act not in ASIDES:
        return False
    own = ("said before", "said after", "stretch", "whole", "to this point", "onwards")
    place = reader.places.get(tag, NOWHERE)
    told_there = any(
        measure.start >= clause.start - 2 for measure in place.measures
    )  # "4.2 | no ma'am, garbage is ..."
    return place.how not in own or (place.how == "said before" and not told_there)


def _states_a_part(passage: Passage, clause: Clause, tag: Tag) -> bool:
    """ "that'll be your alarm | the float switch is fine": a part with its verb is told, whatever stands before it."""
    parts = passage.tags_from(max(clause.start, tag.start - 6), tag.end, "component", "structure")
    for part in reversed(parts):
        if tag.kind == "component" and part is not tag:
            continue
        lead = part.start - 1
        while passage.is_class(lead, "article", "which_of", "before_part", "side"):
            lead -= 1
        if lead == part.start - 1 or lead < clause.start or not passage.is_class(part.end, "finite_be"):
            continue
        if passage.is_class(
            lead, "inside", "at", "from", "to", "relative", "modal", "holds_statement", "checks_that", "list"
        ):
            continue
        return tag.kind == "component" or passage.distance(part.end, tag.start) <= 2
    return False


def _comes_in(passage: Passage, clause: Clause, tag: Tag) -> bool:
    """ "roots, a fair few of them, coming in through the joint": how they come, and no water."""
    words = passage.speech.words[tag.start : tag.end]
    if tag.id != "infiltration" or "water" in words or not words[0].endswith("ing"):
        return False
    before = passage.tags_from(max(clause.start, tag.start - 9), tag.start, "condition")
    return bool(before) and before[-1].id in ("root_intrusion", "soil_ingress", "vermin", "settled_deposit")


def _goes_out(passage: Passage, clause: Clause, tag: Tag) -> bool:
    """ "water's running out into the dirt": leaks away, and is no flow along the pipe."""
    return tag.id == "flowing" and any(
        t.id in ("exfiltration", "infiltration")
        for t in passage.tags_from(tag.start + 1, min(clause.end, tag.end + 6), "condition")
    )


def _other_guess(passage: Passage, tag: Tag) -> bool:
    """ "could be a crack or it's a bit of string": what else it may be, behind the guess that makes the row."""
    lead = tag.start - 1
    while passage.is_class(lead, "article", "also_said") or passage.covering(lead, "extent"):
        lead -= 1
    said = tag.start - 1
    while passage.is_class(said, "article"):
        said -= 1
    again = passage.covering(said, "doubt")
    if again is not None and again.id == "doubts_next" and again.end == said + 1:
        before = passage.tags_from(max(0, said - 10), again.start, "condition")
        doubted = bool(before) and bool(passage.tags_from(before[0].start - 6, before[0].start, "doubt"))
        near = bool(before) and passage.distance(before[-1].end, again.start) <= 1
        if doubted and near and not passage.measures_from(before[0].start, tag.start):
            return True  # "could be a root, could be a bit of rope"
    guess = passage.speech.words[max(0, lead - 2) : lead + 1]
    if guess not in (("or", "it", "is"), ("or", "it", "was"), ("or", "that", "is")):
        return False
    first = passage.tags_from(lead - 14, lead - 2, "condition")
    return bool(first) and bool(passage.tags_from(lead - 16, lead - 2, "doubt"))


def _worked_with(passage: Passage, tag: Tag) -> bool:
    """ "dug it all out with the trowel": what it was done with."""
    with_it = passage.is_class(tag.start - 1, "article", "owner", "definite") and passage.word(tag.start - 2) == "with"
    return tag.id == "obstruction" and with_it and bool(passage.tags_from(tag.start - 10, tag.start, "action"))


def _put_in_anew(passage: Passage, tag: Tag) -> bool:
    """ "I've put a new length of hose on": what was fitted."""
    new = any(passage.word(t) == "new" for t in range(tag.start - 2, tag.end))
    return tag.id == "obstruction" and new and passage.has_class(tag.start - 6, tag.start, "puts_part", "puts_anew")


def _tool_about(passage: Passage, tag: Tag) -> bool:
    """ "I snapped a glove", "the spanner's slipped": a tool is found only where it is reported or lies in it."""
    if tag.id != "obstruction":
        return False
    size = [t for t in range(max(0, tag.start - 5), tag.start) if passage.word(t) == "you"]
    if size and any(passage.is_class(t, "modal") for t in range(size[-1] + 1, tag.start)):
        return True  # "you'd catch a rag on it": how big
    if not passage.is_class(tag.end - 1, "hand_tool"):
        return False
    lead = tag.start
    while lead > 0 and (
        passage.is_class(lead - 1, "article", "owner", "filler", "one_more") or passage.covering(lead - 1, "extent")
    ):
        lead -= 1
    report = passage.covering(lead - 1, "speech_act") or passage.covering(lead, "speech_act")
    reported = (report is not None and report.id == "report") or passage.covering(lead - 1, "doubt") is not None
    at_reading = passage.is_class(tag.end, "at") and passage.measure_over(tag.end + 1) is not None
    if passage.is_class(tag.start - 1, "owner") and not (reported or at_reading):
        return True  # "I left my spanner on the ledge"
    placed = (
        at_reading
        or passage.is_class(tag.end, "held_fast", "lies_there", "sticks_up")
        or _in_the_drain(passage, tag.end)
    )
    return not (reported or placed or passage.measure_over(lead - 1) or passage.is_class(lead - 1, "list"))


def _in_the_drain(passage: Passage, at: int) -> bool:
    """ "in it", "across the pipe", "on the benching"; not "on the ledge"."""
    if not passage.is_class(at, "inside"):
        return False
    at += 1 + passage.is_class(at + 1, "article")
    return (
        passage.word(at) in ("it", "there", "here")
        or passage.is_class(at, "pipe_itself")
        or bool(passage.tags_from(at, at + 2, "component", "structure"))
    )


def _not_just(passage: Passage, tag: Tag) -> bool:
    """ "it's a fracture, not just a crack": more than that."""
    lead = tag.start - 1
    while passage.is_class(lead, "article") or passage.covering(lead, "extent"):
        lead -= 1
    return passage.is_class(lead, "merely") and passage.word(lead - 1) == "not"


def _how_wholly(passage: Passage, tag: Tag) -> bool:
    """ "cracked clean across", "snapped clean off": how far the damage goes, and no verdict."""
    if tag.id != "sound" or tag.end - tag.start > 1 or not passage.is_class(tag.start, "wholly"):
        return False
    damage = any(
        t.end == tag.start and t.id != "sound" for t in passage.tags_from(tag.start - 5, tag.start, "condition")
    )
    return damage and passage.is_class(tag.end, "inside", "crosswise", "away_word")


def _kind_of_lid(passage: Passage, tag: Tag) -> bool:
    """ "the lid's a screw down one": how it is held."""
    screw = tag.id == "obstruction" and passage.word(tag.end - 1) in ("screw", "bolt", "clip", "twist")
    rusted = tag.id == "surface_damage" and tag.end - tag.start == 1 and passage.word(tag.start).endswith("ed")
    if rusted and passage.is_class(tag.end, "rusted_how"):
        return passage.word(tag.end) in ("shut", "solid", "tight") or not passage.is_class(
            tag.end + 1, "article", "definite"
        )  # "the lid was rusted on"
    return screw and passage.is_class(tag.end, "screw_lid")


def _is_made_of(passage: Passage, start: int) -> bool:
    """ "a wall of wet wipes"; not "the walls of the well look fine"."""
    found = passage.tags_from(start, start + 3, "condition")
    return bool(found) and not any(passage.is_class(t, "copula") for t in range(start, found[0].start))


def _is_verb(passage: Passage, tag: Tag) -> bool:
    """ "where the pipe leaves the chamber": a plural that takes an object."""
    return (
        tag.end - tag.start == 1
        and passage.word(tag.start).endswith("s")
        and passage.word(tag.end) == "the"
        and (passage.is_class(tag.start - 1, "pronoun") or passage.covering(tag.start - 1, "component") is not None)
    )


def _not_of_the_drain(passage: Passage, tag: Tag) -> bool:
    """ "the gate's broken", "that ladder mate it's rotten", "a hole in my glove"."""
    if not passage.has_class(tag.start - 6, tag.end + 10, "not_the_drain", "open_ground"):
        return False
    for token in range(tag.start - 1, max(-1, tag.start - 7), -1):
        if passage.is_class(token, "not_the_drain", "open_ground") and not passage.is_class(token - 1, "side"):
            lead = next((t - 1 for t in (token - 1, token - 2) if passage.is_class(t, "article", "owner")), None)
            return lead is not None and not passage.is_class(lead, "inside", "to", "from", "at", "way_on", "heads_to")
        if not passage.is_class(token, "copula", "pronoun", "filler", "article", "someone") and not passage.covering(
            token, "extent"
        ):
            break
    if passage.is_class(tag.end, "not_the_drain", "open_ground") and tag.end - tag.start == 1:
        said_of_it = passage.word(tag.start).endswith("ed") and not passage.is_class(tag.start - 1, "copula")
        return said_of_it and not passage.is_class(tag.end + 1, "line_noun", "copula")  # "flooded garden all round"
    return _stands_outside(passage, tag)


def _stands_outside(passage: Passage, tag: Tag) -> bool:
    """ "a hole in my glove", "a root sticking up out of the lawn", "rubble lying in the yard": where it is."""
    at = tag.end
    if tag.id == "pump_fault":
        return False  # "the float was caught on the cable"
    while passage.is_class(at, "being_there", "lies_there", "sticks_up", "filler") and at - tag.end < 4:
        at += 1
    closes = at > tag.start and passage.is_class(at - 1, "inside") and passage.word(at - 1) != "off"
    led = passage.is_class(at, "inside") or closes  # but "capped off | the dog's having a look"
    if not led:
        return False
    while passage.is_class(at, "inside") and at - tag.end < 6:
        at += 1
    if not passage.is_class(at, "article", "owner"):
        return False
    for token in range(at + 1, at + 4):
        if passage.word(token) == "back":
            return False  # "a dead rat on its back"
        if passage.is_class(token, "not_the_drain", "open_ground") and not passage.is_class(token, "stretch_word"):
            of_a_line = passage.is_class(token + 1, "line_noun") or passage.word(token + 1) == "side"
            return not of_a_line and not passage.covering(token, "component")
        if not passage.is_class(token, "before_part"):
            return False
    return False


def _hides(passage: Passage, tag: Tag) -> bool:
    """ "the baffle I can't see for the muck": why something was not seen."""
    lead = tag.start - 1
    while passage.is_class(lead, "article") or passage.word(lead) in ("all", "of", "that"):
        lead -= 1
    if passage.word(lead) not in ("for", "with"):
        return False
    seen = passage.speech.words[max(0, lead - 5) : lead]
    denied = any(word in ("not", "never", "hard", "nothing") for word in seen)
    return denied and any(word in passage.classes["makes_out"] for word in seen)


def _past_the_plan(reader: Reader, clause: Clause, tag: Tag) -> bool:
    """ "I won't be cutting that, it'll be Thursday, joins open at 6.1": told behind the plan, at a distance of its
    own.
    """
    passage = reader.passage
    plans = [t for t in passage.tags_from(clause.start, tag.start, "speech_act") if t.id == "plan"]
    if reader.places.get(tag, NOWHERE).how not in ("said before", "said after", "stretch") or passage.is_class(
        tag.start - 1, "definite"
    ):
        return False
    return not plans or (
        passage.distance(plans[-1].end, tag.start) >= 2
        and not passage.tags_from(plans[-1].end - 1, tag.start, "action")
    )


def on_the_lens(passage: Passage, tag: Tag) -> bool:
    """ "all the mud on the lens", "the counter wheel is a bit muddy": about the camera."""
    for token in passage.tokens_of(tag.start - 5, tag.end + 4, ("camera_part",)):
        if not tag.start <= token < tag.end and passage.is_class(token - 1, "article", "camera_part"):
            between = range(min(token, tag.end), max(token, tag.start))
            if not any(passage.measure_over(t) or passage.cue_at(t, "boundary") for t in between):
                return passage.word(tag.end) == "on" or (
                    token < tag.start and any(passage.is_class(t, "copula") for t in between)
                )
    return False


def worked_at(reader: Reader, scene: Scene, tag: Tag, place: Place) -> bool:
    """ "pulled back a wheelbarrow load of root": what came out, in words of work, of a finding told before."""
    if scene.kind != "run" or place.from_m is not None:
        return False
    passage = reader.passage
    came = passage.word(tag.end) == "came" and passage.word(tag.end + 1) in ("back", "out", "down", "away")
    deeds = [
        t
        for t in passage.tags_from(max(0, tag.start - (30 if came else 18)), tag.start, "action")
        if t.id in ("jetting", "rodding", "root_cutting", "hand_removal")
    ]
    return bool(deeds) and any(row.run == scene.run and row.condition == tag.id for row in reader.rows)


def named_again(reader: Reader, scene: Scene, tag: Tag, place: Place) -> bool:
    """ "I located that belly", "past the rat": a definite mention with no place of its own is of the finding told
    before.
    """
    passage = reader.passage
    lead = tag.start - 1
    while passage.covering(lead, "extent"):
        lead -= 1
    if not passage.is_class(lead, "definite") or passage.word(lead) == "this":
        return False
    if place.how == "stretch" and passage.covering(lead - 1, "stretch") is not None:
        return any(
            row.condition == tag.id and row.run == scene.run for row in reader.rows
        )  # "through the squashed bit"
    if scene.kind == "run" and place.from_m is not None and place.how != "carried":
        return any(
            row.condition == tag.id and row.run is not None and row.run != scene.run and row.at(place.from_m)
            for row in reader.rows
        )
    return any(
        row.condition == tag.id and row.polarity == "present" and tag.on in (None, row.component) for row in reader.rows
    )


def only_measured(passage: Passage, scene: Scene, tag: Tag, context: Context) -> bool:
    """Sludge or water in a tank with a depth and no degree, "thirty percent full": a measurement, not a finding."""
    level = passage.measure_over(tag.start - 1)
    part = passage.is_class(tag.start - 1, "part_of_full")
    if tag.id == "full" and (part or (level is not None and level.unit == "%")):
        return True
    if (
        scene.structure not in (*TANKS, None)
        or tag.id not in ("settled_deposit", "standing_water")
        or context.extent is not None
    ):
        return False
    if scene.structure == "stormwater_pit" and tag.id == "settled_deposit":
        return False
    near = passage.measures_from(max(0, tag.start - 6), tag.end + 8)
    return tag.id == "standing_water" or any(m.unit == "m" or (m.unit is None and m.low >= UNSAID_MM) for m in near)


def has_a_cause(passage: Passage, tag: Tag) -> bool:
    """ "fully blocked with sand": the cause is the finding, not the stoppage."""
    if tag.id != "blockage":
        return False
    end = tag.end
    while end - tag.end < 2 and (passage.is_class(end, "wholly", "filler") or passage.word(end) in ("solid", "tight")):
        end += 1  # "clogged solid with"
    lead = passage.word(tag.end - 1) in ("with", "by") or passage.word(end) in ("with", "by", "up")
    behind = passage.tags_from(tag.end, end + 5, "condition")
    if lead and any(t.id in CAUSES for t in behind):
        return True
    before = [t for t in passage.tags_from(max(0, tag.start - 5), tag.start, "condition") if t.id in CAUSES]
    return bool(before) and passage.distance(before[-1].end, tag.start) <= 2


def excepted(reader: Reader, tag: Tag) -> bool:
    """ "apart from the sag nothing to report": names a finding told before; not "apart from one crack at three"."""
    passage = reader.passage
    if not any(row.condition == tag.id for row in reader.rows):
        return False
    return any(
        cue.id == "exception" and cue.end <= tag.start and passage.distance(cue.end, tag.start) <= 2
        for cue in passage.tags_from(max(0, tag.start - 6), tag.start, "negation")
    )


def is_past(passage: Passage, tag: Tag, clause: Clause) -> bool:
    """ "the old one was blocked", "had been full": before this visit."""
    return any(cue.id == "earlier" for cue in passage.tags_from(max(clause.start, tag.start - 4), tag.end + 3, "time"))
