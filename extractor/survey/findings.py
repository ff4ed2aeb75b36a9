"""Findings: thing + condition + place -> rows.

A condition sits on the component that is named with it, else on the one its clause is about, else on the one it
always sits
on (an open joint on a joint). A component that is only noted is a row of its own until a condition said of it takes
its place.
"""

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from extractor.language.clauses import Clause
from extractor.language.context import Context
from extractor.language.passage import Passage
from extractor.reading import Measure, Tag
from extractor.survey.distances import NO_PLACE_OF_THEIR_OWN, length_of, point
from extractor.survey.openings import Opening
from extractor.survey.places import OWN_PLACE
from extractor.survey.roles import clock_pair, is_count, is_label
from extractor.survey.rows import NOWHERE, Draft, Place
from extractor.survey.scenes import Scene, scene_at
from extractor.survey.walk import TANKS

SILENT_ACTS = ("plan", "main_issue", "recommendation")
VOID_ACTS = ("earlier", "hearsay", "question", "general")  # what is said there of a condition is no finding
ASIDES = ("talk",)  # make no row, unless the thing stands at a distance of its own
CAUSES = ("settled_deposit", "grease", "obstruction", "root_intrusion", "attached_deposit", "soil_ingress", "vermin")
STATES = ("capped", "disused", "live", "flowing", "dry", "sound", "full")  # said of what was just named
HELD = ("full", "dry", "flowing", "standing_water", "settled_deposit")  # what a structure holds, and no lid
UNSAID_MM = 40  # a bare number this high, of sludge, is in millimetres
BRANCH_STATES = ("capped", "disused", "live", "flowing", "dry")
RUNNING_PARTS = ("pump", "float_switch", "hose")
HOLDERS_PARTS = ("inlet", "outlet", "base", "wall", "lid", "baffle")
HOSE_FAULTS = ("break", "hole", "crack", "fracture", "displaced_joint", "missing_part", "blockage", "exfiltration")
NATURAL = {
    "joint": (
        "root_intrusion",
        "displaced_joint",
        "open_joint",
        "exposed_seal",
        "infiltration",
        "soil_ingress",
        "exfiltration",
    ),
    "junction": ("defective_connection", "protruding_connection"),
    "patch": ("defective_repair",),
}
FEATURES = (
    "junction",
    "joint",
    "bend",
    "taper",
    "patch",
    "material_change",
    "valve",
    "cap",
    "trap",
    "stack",
    "filter",
    "baffle",
)
STRUCTURE_PARTS = (
    "baffle",
    "inlet",
    "outlet",
    "lid",
    "wall",
    "base",
    "pump",
    "float_switch",
    "hose",
    "filter",
    "valve",
    "trap",
    "cap",
)


@dataclass
class _Topic:
    """What is being spoken of: the last component named, its place, and the row it may still be."""

    component: str | None = None
    place: Place = NOWHERE
    row: Draft | None = None
    end: int = -1


@dataclass
class _Reader:
    passage: Passage
    clauses: Sequence[Clause]
    contexts: Mapping[Tag, Context]
    places: Mapping[Tag, Place]
    openings: Mapping[int, Opening]
    rows: list[Draft] = field(default_factory=list)
    topic: _Topic = field(default_factory=_Topic)


def read_findings(
    passage: Passage,
    clauses: Sequence[Clause],
    scenes: Sequence[Scene],
    contexts: Mapping[Tag, Context],
    places: Mapping[Tag, Place],
    openings: Sequence[Opening],
) -> list[Draft]:
    """Rows in order of the words, before merging."""
    reader = _Reader(passage, clauses, contexts, places, {opening.start: opening for opening in openings})
    ends = [clause.end for clause in clauses]
    for scene in scenes:
        if scene.kind in ("closing", "open") and scene.structure is None and scene.kind == "closing":
            continue
        reader.topic = _Topic()
        for clause in clauses[bisect_right(ends, scene.start) :]:
            if clause.start >= scene.end:
                break
            start, end = max(clause.start, scene.start), min(clause.end, scene.end)
            if start < end:
                _read_clause(reader, scene, Clause(start, end, clause.opener, clause.act))
    return [row for row in reader.rows if row.condition is not None or row.count is not None or _stands_alone(row)]


def _stands_alone(row: Draft) -> bool:
    """A feature with no condition is a row where it was noted in a pipe at a distance."""
    known = row.place.from_m is not None or row.place.how == "not noted"
    return row.run is not None and row.component in FEATURES and known


def _read_clause(reader: _Reader, scene: Scene, clause: Clause) -> None:
    passage = reader.passage
    if clause.act in SILENT_ACTS and clause.act != "plan":
        return
    things = [
        tag
        for tag in passage.tags_from(clause.start, clause.end, "condition", "component")
        if not _is_aside(reader, clause, tag)
    ]
    located = _located(passage, things, clause, reader.topic.component)
    for tag in things:
        if tag.kind == "component":
            if tag not in located.values():
                _read_component(reader, scene, clause, tag)
            continue
        _read_condition(reader, scene, clause, tag, located.get(tag))


def _is_aside(reader: _Reader, clause: Clause, tag: Tag) -> bool:
    passage = reader.passage
    if reader.places.get(tag, NOWHERE).how == "end told":
        return True  # "comes good again at 4.8"
    held = passage.covering(tag.start, "stretch")
    if tag.id == "full" and held is not None and held.end > tag.end:
        return True  # "the full length"
    level = passage.measure_over(tag.start - 1)
    if tag.id == "full" and level is not None and level.unit == "%":
        return True  # "thirty percent full"
    ending = passage.covering(tag.start, "ending")
    if (
        tag.kind == "condition"
        and ending is not None
        and ending.end >= tag.end
        and ending.id != "line_end"
        and ending.end - ending.start > 1
    ):
        return True  # "camera's under water", "survey abandoned" tell of the camera
    if (
        tag.kind == "condition"
        and any(
            t.kind == "condition" and t.id not in STATES for t in passage.tags_from(tag.end, tag.end + 1, "condition")
        )
        and (tag.id in ("break", "surface_damage") or passage.word(tag.end - 1) == "hair")
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
    ):
        return True
    denial = passage.covering(tag.start, "negation")
    if tag.id == "sound" and denial is not None and denial.start < tag.start:
        return True  # "no not a one"
    opening = passage.covering(tag.start, "reference")
    if opening is not None and opening.id == "same_opening":
        return True  # "down the same hole"
    if (
        tag.kind == "component"
        and passage.word(tag.end) == "of"
        and (_is_made_of(passage, tag.end + 1) or passage.word(tag.end + 1) in ("it", "them", "that"))
    ):
        return True  # "a wall of wet wipes", "a plug of it"
    if clause.act in VOID_ACTS:
        return tag.kind == "condition"
    if clause.act == "plan":
        return not _past_the_plan(reader, clause, tag)
    if clause.act not in ASIDES:
        return False
    own = ("said before", "said after", "stretch", "whole", "to this point", "onwards")
    return reader.places.get(tag, NOWHERE).how not in own


def _comes_in(passage: Passage, clause: Clause, tag: Tag) -> bool:
    """ "roots, a fair few of them, coming in through the joint": how they come, and no water."""
    if tag.id != "infiltration" or "water" in passage.speech.words[tag.start : tag.end]:
        return False
    before = passage.tags_from(max(clause.start, tag.start - 9), tag.start, "condition")
    return bool(before) and before[-1].id in ("root_intrusion", "soil_ingress", "vermin", "settled_deposit")


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
    for token in range(tag.start - 1, max(-1, tag.start - 7), -1):
        if passage.is_class(token, "not_the_drain"):
            return passage.is_class(token - 1, "article") or passage.is_class(token - 2, "article")
        if not passage.is_class(token, "copula", "pronoun", "filler", "article", "someone") and not passage.covering(
            token, "extent"
        ):
            break
    behind = range(tag.end, tag.end + 4)
    return passage.is_class(tag.end, "inside") and any(
        passage.is_class(t, "not_the_drain") and passage.is_class(t - 1, "article") for t in behind
    )


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


def _past_the_plan(reader: _Reader, clause: Clause, tag: Tag) -> bool:
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


def _located(passage: Passage, things: Sequence[Tag], clause: Clause, topic: str | None) -> dict[Tag, Tag]:
    """Condition -> the component it is said to be in, on or at: "roots in the joint", "silt in the channel"."""
    located: dict[Tag, Tag] = {}
    for tag in things:
        if tag.kind != "condition":
            continue
        for other in things:
            if (
                other.kind == "component"
                and 0 < other.start - tag.end <= 9
                and _prepositional(passage, tag.end, other.start)
                and not _another_told(passage, things, tag, other)
                and not _has_subject(passage, things, tag)
            ):
                located[tag] = other
                break
        else:
            if any(t.kind == "component" and t.end <= tag.start for t in things) or topic in ("inlet", "outlet"):
                continue
            named = topic or next(
                (t.id for t in reversed(things) if t.kind == "component" and t.end <= tag.start), None
            )
            if tag.id in HELD and named in HOLDERS_PARTS:
                continue  # "three outlets and an inch of water in it": in the structure
            if named not in (None, "pipe", "material_change", "taper") and _in_it(passage, tag.end):
                located[tag] = Tag(tag.start, tag.start, "component", str(named))
    for one, other in zip(reversed(things[:-1]), reversed(things[1:]), strict=True):
        if one.kind == "condition" and other in located and one not in located and _listed(passage, one, other):
            located[one] = located[other]  # "lint and hair in the filter"
    return located


def _listed(passage: Passage, one: Tag, other: Tag) -> bool:
    """Whether two things stand in one list, with nothing else between."""
    between = range(one.end, other.start)
    return any(passage.is_class(t, "list") for t in between) and all(
        passage.is_class(t, "list", "article") or passage.covering(t, "extent") for t in between
    )


def _has_subject(passage: Passage, things: Sequence[Tag], tag: Tag) -> bool:
    """ "the middle outlet's cracked at the wall": said of the outlet."""
    if not passage.is_class(tag.end, "at"):
        return False
    before = [t for t in things if t.kind == "component" and t.end <= tag.start and t.id != "pipe"]
    return bool(before) and all(passage.is_class(t, "copula", "filler") for t in range(before[-1].end, tag.start))


def _another_told(passage: Passage, things: Sequence[Tag], tag: Tag, component: Tag) -> bool:
    """Whether another condition, not of one list with this, stands nearer to the component."""
    nearer = [t for t in things if t.kind == "condition" and tag.end <= t.start < component.start]
    return any(not any(passage.is_class(at, "list") for at in range(tag.end, t.start)) for t in nearer)


def _in_it(passage: Passage, start: int) -> bool:
    """ "heavy corrosion on them", "grease in the mouth of it": said to be on what was just named."""
    words = passage.speech.words[start : start + 6]
    for index, word in enumerate(words):
        before = words[index - 1] if index else ""
        if word in ("it", "them") and before in passage.classes["inside"]:
            return True
        if word == "one" and before in ("that", "this") and index > 1 and words[index - 2] in passage.classes["inside"]:
            return True
        if word in ("that", "this"):
            continue
        if word not in passage.classes["inside"] and word not in passage.classes["part_of_it"]:
            return False
    return False


def _prepositional(passage: Passage, start: int, end: int) -> bool:
    """Words between a condition and its component: a preposition, an article, what describes it; no verb, no new
    thing.
    """
    words = [token for token in range(start, end) if not passage.is_class(token, "filler")]
    plain = [token for token in words if passage.measure_over(token) is None]
    whole_of = sum(1 for t in plain if passage.word(t) == "of" and passage.is_class(t - 1, "part_of_it"))
    if not words or len(plain) - 2 * whole_of > 5:
        return False
    has_preposition = False
    for token in words:
        if passage.word(token) in ("it", "them") or (passage.word(token) == "to" and passage.word(token - 1) == "up"):
            return False  # "holding water right up to the cap" tells how high
        if passage.is_class(token, "copula", "list") or passage.cue_at(token, "boundary", "next", "against"):
            return False
        measure = passage.measure_over(token)
        if measure is not None and is_count(passage, measure):
            continue  # "roots in two joints"
        if measure is not None:
            if measure.start == token and not passage.is_class(token - 1, "at"):
                return False
            has_preposition = False  # what leads to the distance leads to nothing behind it
            continue
        if passage.is_class(token, "inside", "at") or passage.word(token) in passage.classes["being_there"]:
            has_preposition = True
    last = passage.measure_over(end - 1)
    return has_preposition and (last is None or is_count(passage, last))


# --- components ---------------------------------------------------------------------------------


def _read_component(reader: _Reader, scene: Scene, clause: Clause, tag: Tag) -> None:
    passage = reader.passage
    place = reader.places.get(tag, NOWHERE)
    count = _count(passage, tag)
    if scene.kind == "run":
        if tag.id in NO_PLACE_OF_THEIR_OWN:
            if tag.id not in ("pipe", "inlet", "outlet"):
                reader.topic = _Topic(tag.id, place, None, tag.end)
            return
        cue = passage.covering(tag.start - 1, "stretch")
        if cue is not None and cue.id == "to_this_point" and cue.end == tag.start:
            return  # "no rats up to that connection": one told before
        known = reader.topic
        if known.component == tag.id and known.place.from_m == place.from_m and tag.start - known.end < 20:
            known.end = tag.end
            return
        named = passage.is_class(tag.start - 1, "definite")
        unnoted = place.how == "not noted" and tag.id not in ("material_change", "joint") and not named
        if (place.from_m is None and not unnoted) or place.how == "whole" or reader.contexts[tag].polarity == "absent":
            reader.topic = _Topic(tag.id, place, None, tag.end)
            return
        if _refers_back(passage, tag, place):
            row = next((r for r in reversed(reader.rows) if r.run == scene.run and r.component == tag.id), None)
            reader.topic = _Topic(
                tag.id,
                row.place if row and place.how == "carried" else place,
                row if row and row.condition is None else None,
                tag.end,
            )
            if place.how == "carried":
                return
        row = _row(reader, scene, clause, tag, tag.id, None, place)
        row.clock = _clock(passage, clause, tag, reader)
        row.rules.append(f"feature, {place.how}")
        reader.rows.append(row)
        reader.topic = _Topic(tag.id, place, row, tag.end)
        return
    if count is not None and tag.id in ("inlet", "outlet") and scene.structure:
        row = _row(reader, scene, clause, tag, tag.id, None, NOWHERE)
        row.count = count
        row.rules.append("count at a structure")
        reader.rows.append(row)
    reader.topic = _Topic(tag.id, NOWHERE, None, tag.end)


def _refers_back(passage: Passage, tag: Tag, place: Place) -> bool:
    """ "that joint's open": a definite mention with no distance of its own speaks of the one before."""
    return (
        tag.id != "material_change" and passage.is_class(tag.start - 1, "definite") and place.how in ("carried", "none")
    )


# --- conditions -----------------------------------------------------------------------------------


def _read_condition(reader: _Reader, scene: Scene, clause: Clause, tag: Tag, located: Tag | None) -> None:
    passage, context = reader.passage, reader.contexts[tag]
    place = reader.places.get(tag, NOWHERE) if scene.kind == "run" else NOWHERE
    if tag.id == "sound":
        _read_sound(reader, scene, clause, tag, place, located)
        return
    if (scene.kind != "run" or tag.id == "full") and _only_measured(passage, scene, tag, context):
        return
    if _on_the_lens(passage, tag) or _worked_at(reader, scene, tag, place) or _named_again(reader, scene, tag, place):
        return
    if _is_past(passage, tag, clause) or _has_a_cause(passage, tag) or _excepted(reader, tag, place):
        return
    component, named = _component(reader, scene, clause, tag, located, place)
    if tag.id == "flowing" and component in RUNNING_PARTS:
        return  # "and now it's running": the pump
    topic = reader.topic
    row = _row(reader, scene, clause, tag, component, tag.id, place)
    row.named = named
    row.polarity, row.certainty = context.polarity, context.certainty
    row.extent = None if tag.id in STATES else context.extent
    row.doubt = context.doubt
    if tag.id == "dry" and _of_a_dip(reader, scene, tag, place):
        row.condition, row.polarity = "standing_water", "absent"  # "a sag but there's no water in it"
    row.rules.append(f"condition, {place.how}")
    if row.polarity == "present":
        row.clock = _clock(passage, clause, tag, reader)
        row.count = _count(passage, tag)
    if (
        topic.row is not None
        and component == topic.component
        and row.polarity == "present"
        and _same_place(topic.place, place)
    ):
        row.clock = row.clock or topic.row.clock
        row.start = min(row.start, topic.row.start)
        _drop(reader, topic.row)
    if row.run is None and row.structure is None:
        return
    if row.polarity == "absent" and row.condition in STATES:
        return
    reader.rows.append(row)
    if component and row.polarity == "present":
        reader.topic = _Topic(component, place, None, tag.end)


def _of_a_dip(reader: _Reader, scene: Scene, tag: Tag, place: Place) -> bool:
    """Whether water is denied of a dip just told, at its place."""
    last = reader.rows[-1] if reader.rows else None
    return (
        last is not None
        and (last.run, last.condition) == (scene.run, "dip")
        and _same_place(last.place, place)
        and "water" in reader.passage.speech.words[tag.start : tag.end]
    )


def _on_the_lens(passage: Passage, tag: Tag) -> bool:
    """ "all the mud on the lens", "the counter wheel is a bit muddy": about the camera."""
    for token in passage.tokens_of(tag.start - 5, tag.end + 4, ("camera_part",)):
        if not tag.start <= token < tag.end and passage.is_class(token - 1, "article", "camera_part"):
            between = range(min(token, tag.end), max(token, tag.start))
            if not any(passage.measure_over(t) or passage.cue_at(t, "boundary") for t in between):
                return passage.word(tag.end) == "on" or (
                    token < tag.start and any(passage.is_class(t, "copula") for t in between)
                )
    return False


def _worked_at(reader: _Reader, scene: Scene, tag: Tag, place: Place) -> bool:
    """ "pulled back a wheelbarrow load of root": what came out, in words of work, of a finding told before."""
    if scene.kind != "run" or place.from_m is not None:
        return False
    deeds = [
        t
        for t in reader.passage.tags_from(max(0, tag.start - 18), tag.start, "action")
        if t.id in ("jetting", "rodding", "root_cutting", "hand_removal")
    ]
    return bool(deeds) and any(row.run == scene.run and row.condition == tag.id for row in reader.rows)


def _named_again(reader: _Reader, scene: Scene, tag: Tag, place: Place) -> bool:
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


def _only_measured(passage: Passage, scene: Scene, tag: Tag, context: Context) -> bool:
    """Sludge or water in a tank with a depth and no degree, "thirty percent full": a measurement, not a finding."""
    level = passage.measure_over(tag.start - 1)
    part = passage.is_class(tag.start - 1, "part_of_full")
    if tag.id == "full" and (part or (level is not None and level.unit in (None, "%"))):
        return True
    if (
        scene.structure not in TANKS
        or tag.id not in ("settled_deposit", "standing_water")
        or context.extent is not None
    ):
        return False
    if scene.structure == "stormwater_pit" and tag.id == "settled_deposit":
        return False
    near = passage.measures_from(max(0, tag.start - 6), tag.end + 8)
    return tag.id == "standing_water" or any(m.unit == "m" or (m.unit is None and m.low >= UNSAID_MM) for m in near)


def _has_a_cause(passage: Passage, tag: Tag) -> bool:
    """ "fully blocked with sand": the cause is the finding, not the stoppage."""
    if tag.id != "blockage":
        return False
    lead = passage.word(tag.end - 1) in ("with", "by") or passage.word(tag.end) in ("with", "by", "up")
    behind = passage.tags_from(tag.end, tag.end + 5, "condition")
    if lead and any(t.id in CAUSES for t in behind):
        return True
    before = [t for t in passage.tags_from(max(0, tag.start - 5), tag.start, "condition") if t.id in CAUSES]
    return bool(before) and passage.distance(before[-1].end, tag.start) <= 2


def _excepted(reader: _Reader, tag: Tag, place: Place) -> bool:
    """ "apart from the sag nothing to report": names a finding told before; not "apart from one crack at three"."""
    passage = reader.passage
    if place.how in OWN_PLACE and not any(row.condition == tag.id for row in reader.rows):
        return False
    return any(
        cue.id == "exception" and cue.end <= tag.start and passage.distance(cue.end, tag.start) <= 2
        for cue in passage.tags_from(max(0, tag.start - 6), tag.start, "negation")
    )


def _is_past(passage: Passage, tag: Tag, clause: Clause) -> bool:
    """ "the old one was blocked", "had been full": before this visit."""
    return any(cue.id == "earlier" for cue in passage.tags_from(max(clause.start, tag.start - 4), tag.end + 3, "time"))


def _component(
    reader: _Reader, scene: Scene, clause: Clause, tag: Tag, located: Tag | None, place: Place
) -> tuple[str | None, bool]:
    """The component of a condition, and whether the words named it."""
    component, named = _named_component(reader, scene, clause, tag, located, place)
    if (component == "lid" and tag.id in HELD) or (component == "hose" and tag.id not in HOSE_FAULTS):
        return None, False  # "the lid's off and it's full": the structure; "ran the hose and it's draining"
    if scene.kind == "run" and component in ("wall", "base", "lid", "inlet", "outlet"):
        return tag.on, True
    return component, named


def _named_component(
    reader: _Reader, scene: Scene, clause: Clause, tag: Tag, located: Tag | None, place: Place
) -> tuple[str | None, bool]:
    passage, topic = reader.passage, reader.topic
    if reader.contexts[tag].polarity == "absent" and place.how in ("whole", "to this point", "onwards", "by default"):
        return None, False
    if located is not None and located.start == located.end and not _topic_stands(topic, place, tag):
        located = None  # "on them", far from the last thing named
    if located is not None and located.id != "pipe":
        return located.id, True
    if place.to_m is not None and tag.on is None:
        return None, False
    if located is not None or tag.on is not None:
        return tag.on, True
    fresh = topic.component not in (None, "pipe", "material_change", "taper") and _topic_stands(topic, place, tag)
    fresh = fresh and not _left_for_structure(passage, topic, scene, tag)
    before = [t for t in passage.tags_from(clause.start, tag.start, "component") if t.end <= tag.start]
    subject = before[-1] if before else None
    if len(before) > 1 and _prepositional(passage, before[-2].end, before[-1].start) and before[-2].id != "pipe":
        subject = before[-2]
    if subject is not None and subject.id in ("material_change", "taper"):
        subject = None
    if fresh and subject is None and any(passage.word(t) in ("it", "them") for t in (tag.end - 1, tag.start - 1)):
        return topic.component, True  # "there's a crack in it", "nothing coming out of it, bone dry"
    if subject is not None and _said_of(passage, subject.end, tag) and _in_one_place(reader, scene, subject, place):
        if subject.id == "pipe" or (subject.id in ("inlet", "outlet") and scene.kind == "run"):
            return None, True
        verb = (
            any(passage.is_class(token, "copula", "shows") for token in range(subject.end, tag.start))
            or tag.start - subject.end <= 1
        )
        if scene.kind != "run" and not verb:
            return None, False
        if tag.id in STATES or not _new_noun(passage, tag) or tag.id in NATURAL.get(subject.id, ()):
            return subject.id, True
    if fresh and 0 < clause.start - topic.end <= 2 and _all_copula(passage, topic.end, clause.start):
        return topic.component, True  # "the lid's | got a corner broken off"
    if (
        fresh
        and 0 <= clause.start - topic.end <= 1
        and any(passage.is_class(t, "inside", "at") for t in range(topic.end - 4, topic.end))
    ):
        return topic.component, True  # "on that same junction there's a crack"
    if fresh and topic.component == "junction" and tag.id in BRANCH_STATES and tag.start - topic.end <= 26:
        return topic.component, True  # "a wye on the left, that'll be the bath, and it's dry"
    if fresh and tag.start - topic.end <= 14:
        natural = tag.id in NATURAL.get(topic.component or "", ())
        if (
            natural
            or _points_back(passage, clause, tag)
            or (tag.id in STATES and tag.start - topic.end <= 10 and not _new_noun(passage, tag))
        ):
            return topic.component, True
    return None, False


def _all_copula(passage: Passage, start: int, end: int) -> bool:
    return all(passage.is_class(token, "copula") for token in range(start, end))


def _topic_stands(topic: _Topic, place: Place, tag: Tag) -> bool:
    """Whether the topic is still what is spoken of: no new reading since it was named."""
    if not _same_place(topic.place, place) or (topic.place.from_m is None and place.from_m is not None):
        return False
    newer = [m for m in place.measures if topic.end <= m.start < tag.start]
    return not newer or topic.place.from_m == place.from_m


def _left_for_structure(passage: Passage, topic: _Topic, scene: Scene, tag: Tag) -> bool:
    """ "three outlets, the box is level and it's dry": the structure itself has been named since."""
    return scene.kind != "run" and any(
        t.id == scene.structure and passage.is_class(t.end, "copula")
        for t in passage.tags_from(topic.end, tag.start, "structure")
    )


def _in_one_place(reader: _Reader, scene: Scene, subject: Tag, place: Place) -> bool:
    if scene.kind != "run" or subject.id in NO_PLACE_OF_THEIR_OWN:
        return True
    own = reader.places.get(subject, NOWHERE)
    return _same_place(own, place)


def _new_noun(passage: Passage, tag: Tag) -> bool:
    """ "there's a crack": a thing brought in by itself, not said of what was named before it."""
    lead = tag.start - 1
    while passage.covering(lead, "extent") or passage.is_class(lead, "filler"):
        lead -= 1
    if passage.word(lead) in ("a", "an", "some", "another"):
        return passage.word(lead - 1) not in passage.classes["has_it"]
    report = passage.covering(lead, "speech_act")
    return (
        report is not None
        and report.id == "report"
        and report.end == lead + 1
        and "there" in passage.speech.words[report.start : report.end]
    )


def _said_of(passage: Passage, start: int, tag: Tag) -> bool:
    """Whether the words between a component and a condition make the one the subject of the other."""
    for token in range(start, tag.start):
        if passage.cue_at(token, "boundary", "next", "against"):
            return False
        if passage.is_class(token, "at", "from") and passage.measure_over(token + 1):
            continue
    return passage.distance(start, tag.start) <= 9


def _points_back(passage: Passage, clause: Clause, tag: Tag) -> bool:
    """ "it's got", "and that one's", "with a", "which is": the clause speaks of what was just named."""
    if any(t.end <= tag.start for t in passage.tags_from(clause.start, tag.start, "condition")):
        return False
    for token in range(clause.start, min(clause.start + 4, tag.start)):
        if passage.is_class(token, "pronoun") and passage.word(token) != "there":
            return True
    return passage.word(tag.start - 1) in ("with", "has", "got") or passage.word(tag.start - 2) in (
        "with",
        "has",
        "got",
    )


def _same_place(one: Place, other: Place) -> bool:
    return one.from_m == other.from_m or other.from_m is None or one.from_m is None


def _read_sound(reader: _Reader, scene: Scene, clause: Clause, tag: Tag, place: Place, located: Tag | None) -> None:
    """ "all okay", "in good nick": said of the component just named, or of a stretch of pipe."""
    passage, topic = reader.passage, reader.topic
    named = tag.on not in (None, "material_change", "taper") and tag.on == topic.component
    if named and place.to_m is not None:
        place = topic.place  # "elbow point six two good and dry to two point four"
    context = reader.contexts[tag]
    graded = tag.end - tag.start == 1 or passage.word(tag.end - 1) == "fine"
    if context.polarity == "absent" or (graded and _extent_not_sound(passage, tag)):
        return
    before = [t for t in passage.tags_from(clause.start, tag.start, "component") if t.end <= tag.start]
    if scene.kind == "run":
        before = [t for t in before if t.id not in ("inlet", "outlet")]
    of_pipe = bool(before) and before[-1].id == "pipe"
    before = [] if of_pipe else before
    component = before[-1].id if before else (located.id if located and located.id != "pipe" else tag.on)
    after = [
        t
        for t in passage.tags_from(tag.end, tag.end + 3, "component")
        if t.id != "pipe" and passage.word(tag.end - 1) not in ("fine",)
    ]
    if component is None and after and passage.distance(tag.end, after[0].start) == 0:
        component = after[0].id
    near_topic = (
        not of_pipe
        and _topic_stands(topic, place, tag)
        and topic.component not in (None, "pipe", "material_change")
        and passage.distance(topic.end, tag.start)
        <= (14 if topic.component == "junction" and _points_back(passage, clause, tag) else 8)
    )
    if component is None and near_topic and not _after_denial(passage, clause, tag):
        component = topic.component
    spread = place.to_m is not None
    told_of_structure = scene.kind == "structure" and _about_structure(passage, clause, tag)
    if spread and scene.kind == "run" and component != "patch":
        component = None  # "good from the manhole to the junction at 4.4": the pipe is
    if component is None and not (spread and scene.kind == "run") and not told_of_structure:
        return
    behind = passage.tags_from(tag.end, tag.end + 3, "stretch")
    leads = any(cue.start == tag.end or cue.id in ("from_opening", "whole") for cue in behind)
    if not _plainly(passage, tag) and not (spread and leads):
        return
    if topic.row is not None and topic.row.component == component and not spread and _kept(reader, topic.row):
        if topic.row.condition is None:
            topic.row.condition = "sound"
            topic.row.end = max(topic.row.end, tag.end)
            topic.row.rules.append("said to be in order")
        return
    if scene.kind == "run" and component is not None and not spread:
        same = [
            r for r in reader.rows if r.run == scene.run and r.component == component and r.place.from_m == place.from_m
        ]
        if any(r.condition not in (None, "sound") for r in same) or place.from_m is None:
            return
    if scene.kind != "run" and scene.structure is None:
        return
    row = _row(reader, scene, clause, tag, component, "sound", place if scene.kind == "run" else NOWHERE)
    row.rules.append("said to be in order")
    reader.rows.append(row)


def _drop(reader: _Reader, row: Draft) -> None:
    """Take this very row out, if it stands: one of the last, so looked for from behind."""
    for at in range(len(reader.rows) - 1, -1, -1):
        if reader.rows[at] is row:
            del reader.rows[at]
            return


def _kept(reader: _Reader, row: Draft) -> bool:
    """Whether this very row stands: one of the last, so looked for from behind."""
    return any(other is row for other in reversed(reader.rows))


def _extent_not_sound(passage: Passage, tag: Tag) -> bool:
    """ "fine hair roots", "fine crack": the word is a degree where a condition follows it in the same phrase."""
    for token in range(tag.end, tag.end + 3):
        if any(t.id != "sound" for t in passage.tags_from(token, token + 1, "condition")):
            return True
        if (
            passage.is_class(token, "article", "copula", "list")
            or passage.measure_over(token)
            or passage.cue_at(token, "boundary")
            or passage.cue_at(token, "negation")
        ):
            return False
    return False


def _after_denial(passage: Passage, clause: Clause, tag: Tag) -> bool:
    return any(t.end <= tag.start for t in passage.tags_from(clause.start, tag.start, "negation"))


def _about_structure(passage: Passage, clause: Clause, tag: Tag) -> bool:
    return bool(passage.tags_from(clause.start, tag.start, "structure"))


def _plainly(passage: Passage, tag: Tag) -> bool:
    """A word that also only fills ("okay", "right", "good") is a verdict where it is said of something ("that's
    okay"), or
    stands right behind the thing ("bend okay")."""
    if passage.covering(tag.start, "boundary") is None or tag.end - tag.start > 1 or tag.on is not None:
        return True
    if passage.is_class(tag.start - 1, "article") and passage.tags_from(tag.end, tag.end + 1, "component"):
        return True  # "a good joint"
    lead = tag.start - 1
    while passage.is_class(lead, "filler") and not passage.is_class(lead, "copula"):
        lead -= 1
    if passage.is_class(lead, "copula"):
        return not (passage.word(lead - 1) == "that" and passage.word(lead - 2) == "so")
    clock = passage.measure_over(lead)
    behind = passage.covering(lead, "component") is not None or (clock is not None and clock.unit == "clock")
    return behind and not passage.cue_at(tag.end, "movement") and not passage.cue_at(tag.end, "boundary", "turn")


# --- parts of a row ---------------------------------------------------------------------------------


def at_further_places(rows: Sequence[Draft], further: Mapping[Tag, Sequence[Place]]) -> list[Draft]:
    """The rows again at each further place told in one go: "cracks at 3.2 and 3.6"."""
    added = []
    for row in rows:
        for place in further.get(row.tag, ()) if row.tag is not None else ():
            ends = [m.end for m in place.measures]
            starts = [m.start for m in place.measures]
            added.append(
                replace(
                    row,
                    place=place,
                    start=min([row.start, *starts]),
                    end=max([row.end, *ends]),
                    rules=["told with another distance"],
                    spans=[],
                )
            )
    return added


def repeat_findings(
    passage: Passage, scenes: Sequence[Scene], roles: Mapping[Measure, str | None], rows: list[Draft]
) -> list[Draft]:
    """ "same at 2.5", "and again at 3.1": the last finding at another distance."""
    added: list[Draft] = []
    cues = [cue for cue in passage.tags_from(0, len(passage), "reference") if cue.id == "same_again"]
    by_noun = [
        cue for cue in _again_by_noun(passage, roles) if not any(c.start < cue.end and cue.start < c.end for c in cues)
    ]
    for cue in sorted((*cues, *by_noun), key=lambda cue: cue.start):
        measure = _distance_of_repeat(passage, cue, roles)
        if measure is None:
            continue
        scene = scene_at(scenes, cue.start)
        before = [
            r
            for r in (*rows, *added)
            if r.run is not None and scene and r.run == scene.run and r.start < cue.start and r.polarity == "present"
        ]
        if not before or cue.start - max(r.end for r in before) > 20:
            continue
        model = max(before, key=lambda r: r.start)
        if any(measure in row.place.measures and row.place.to_m is not None for row in before):
            continue  # "it comes good again at 4.8" ends what was told
        for reading in (measure, *_listed_behind(passage, measure, roles)):
            added.append(
                replace(
                    model,
                    start=min(cue.start, reading.start),
                    end=max(cue.end, reading.end),
                    place=replace(point(reading), how="same again"),
                    clock=None,
                    extent=_graded_behind(passage, max(cue.end, reading.end))
                    or (_graded_inside(passage, cue) if cue in by_noun else model.extent),
                    outcome="open",
                    rules=["same again"],
                    spans=[],
                    doubt=None,
                    certainty="stated",
                )
            )
    return sorted([*rows, *added], key=lambda row: row.start)


def _again_by_noun(passage: Passage, roles: Mapping[Measure, str | None]) -> list[Tag]:
    """ "and a bigger bunch at nineteen foot two", "another clump at 4.4": the last thing again, by a noun of amount."""
    found = []
    for measure in passage.measures:
        noun = measure.start - 2 if passage.is_class(measure.start - 1, "at") else measure.start - 1
        if roles.get(measure) != "chainage" or not passage.is_class(noun, "amount_noun"):
            continue
        start = noun - 1
        while (
            noun - start <= 3
            and passage.word(start) not in ("a", "another")
            and (passage.covering(start, "extent") or passage.is_class(start, "more_or_less"))
        ):
            start -= 1
        if passage.word(start) not in ("a", "another", "an") or passage.things_from(start, noun + 1):
            continue
        apart = passage.is_class(start - 1, "list") or passage.covering(start - 1, "boundary") is not None
        if apart or passage.measure_over(start - 1) is not None:
            found.append(Tag(start, noun + 1, "reference", "same_again"))
    return found


def _graded_inside(passage: Passage, cue: Tag) -> str | None:
    inside = [tag for tag in passage.tags_from(cue.start, cue.end, "extent") if tag.extent is not None]
    return inside[0].id if inside else None


def _listed_behind(passage: Passage, measure: Measure, roles: Mapping[Measure, str | None]) -> list[Measure]:
    """ "more of them at 5.9 and 7.1": the readings that go on with a list."""
    listed: list[Measure] = []
    at = measure.end
    while behind := passage.measures_from(at, at + 3):
        between = passage.speech.words[at : behind[0].start]
        if roles.get(behind[0]) != "chainage" or "and" not in between:
            break
        if any(word not in passage.classes["one_more_distance"] for word in between):
            break
        if passage.cue_at(behind[0].end, "speech_act", "report") or passage.things_from(
            behind[0].end, behind[0].end + 2
        ):
            break
        listed.append(behind[0])
        at = behind[0].end
    return listed


def _graded_behind(passage: Passage, token: int) -> str | None:
    """ "a second lot at four metres ten | moderate"."""
    for at in range(token, token + 3):
        cue = passage.cue_at(at, "extent")
        if cue is not None and cue.extent is not None:
            ahead = passage.tags_from(cue.end, cue.end + 2, "condition")
            return None if ahead else cue.id
        if not passage.is_class(at, "filler", "copula") and passage.word(at) not in ("only", "just", "but"):
            return None
    return None


def graded_again(
    passage: Passage,
    clauses: Sequence[Clause],
    scenes: Sequence[Scene],
    contexts: Mapping[Tag, Context],
    roles: Mapping[Measure, str | None],
    rows: list[Draft],
) -> list[Draft]:
    """ "next joint thirteen and a half feet moderate", "sixteen foot eight it's heavy": the last finding again, only
    its degree told.
    """
    used = {context.extent_cue for context in contexts.values() if context.extent_cue is not None}
    added: list[Draft] = []
    for cue in passage.tags_from(0, len(passage), "extent"):
        scene = scene_at(scenes, cue.start)
        if (
            cue in used
            or cue.extent is None
            or scene is None
            or scene.kind != "run"
            or passage.covering(cue.start, "condition")
        ):
            continue
        if passage.is_class(cue.end, "amount_noun"):
            continue  # "a heavy clump at 6.6": of the reading behind it
        start = max(scene.start, cue.start - 9)
        readings = [m for m in passage.measures_from(start, cue.start) if roles.get(m) == "chainage"]
        if not readings or passage.distance(readings[-1].end, cue.start) > 4:
            continue
        measure = readings[-1]
        if passage.tags_from(measure.start - 4, cue.end + 4, "condition") or passage.tags_from(
            measure.end, cue.start, "boundary"
        ):
            continue
        points = any(passage.word(t) in ("it", "they", "ones", "them") for t in range(measure.end, cue.end + 2))
        again = any(passage.word(t) in ("next", "another", "again") for t in range(start, measure.start))
        before = [
            r
            for r in (*rows, *added)
            if r.run == scene.run and r.start < measure.start and r.polarity == "present" and r.condition
        ]
        if not (points or again) or not before or measure.start - max(r.end for r in before) > 40:
            continue
        model = max(before, key=lambda r: r.start)
        low, high = length_of(measure)
        place = Place(round((low + high) / 2, 4), None, measure.approximate or high > low, "same again", (measure,))
        on = next((t for t in passage.tags_from(start, cue.end + 5, "component") if t.id in NATURAL), None)
        if on is not None:
            rows = [
                r
                for r in rows
                if not (r.run == scene.run and r.component == on.id and r.condition is None)
                or r.start > measure.end
                or measure.start > r.end
            ]
        added.append(
            replace(
                model, start=measure.start, end=max(cue.end, on.end if on else 0), place=place, clock=None,
                component=on.id if on else model.component, extent=cue.id, outcome="open",
                rules=["graded again"], spans=[], doubt=None, certainty="stated",
            )
        )  # fmt: skip
    return sorted([*rows, *added], key=lambda row: row.start)


def _distance_of_repeat(passage: Passage, cue: Tag, roles: Mapping[Measure, str | None]) -> Measure | None:
    """ "same at 2.5" behind the words, "three one same deal" in front of them."""
    behind = next((m for m in passage.measures_from(cue.end - 1, cue.end + 3) if roles.get(m) == "chainage"), None)
    front = next(
        (
            m
            for m in reversed(passage.measures_from(max(0, cue.start - 8), cue.start))
            if m.end >= cue.start - 1 and roles.get(m) == "chainage"
        ),
        None,
    )
    if behind is not None and (
        passage.things_from(cue.end, behind.start)
        or passage.things_from(behind.end, behind.end + 2)
        or passage.tags_from(cue.end, behind.start, "boundary")
    ):
        behind = None
    if behind is not None and (
        front is None or passage.is_class(behind.start - 1, "at") or passage.is_class(cue.end - 1, "at")
    ):
        return behind
    return front


def _row(
    reader: _Reader, scene: Scene, clause: Clause, tag: Tag, component: str | None, condition: str | None, place: Place
) -> Draft:
    starts = [tag.start] + [
        m.start for m in place.measures if clause.start <= m.start < clause.end or abs(m.start - tag.start) <= 12
    ]
    ends = [tag.end] + [
        m.end for m in place.measures if clause.start <= m.start < clause.end or abs(m.start - tag.start) <= 12
    ]
    context = reader.contexts.get(tag)
    if context is not None:
        for cue in (context.negation, context.doubt, context.extent_cue):
            if cue is not None:
                starts.append(cue.start)
                ends.append(cue.end)
    in_run = scene.kind == "run"
    return Draft(
        start=min(starts),
        end=max(ends),
        run=scene.run if in_run else None,
        structure=None if in_run else _structure_of(reader, scene, clause, tag),
        label=None if in_run else scene.label,
        component=component,
        condition=condition,
        place=place,
        tag=tag,
    )


def _structure_of(reader: _Reader, scene: Scene, clause: Clause, tag: Tag) -> str | None:
    """The structure named in the clause with the thing ("silt in the gully"), else the one the scene is at."""
    passage = reader.passage
    for other in passage.tags_from(tag.end, min(clause.end, tag.end + 6), "structure"):
        if other.id not in ("main", "building", "absorption_trench") and any(
            passage.word(t) in ("in", "of", "on") for t in range(tag.end, other.start)
        ):
            return other.id
    if scene.structure is None:  # nothing said yet of where this is: "the cleanout cap's cracked"
        named = [
            t
            for t in passage.tags_from(max(0, tag.start - 12), tag.start, "structure")
            if t.id not in ("main", "building")
        ]
        return named[-1].id if named else None
    return scene.structure


def _count(passage: Passage, tag: Tag) -> int | None:
    for back in range(1, 4):
        measure = passage.measure_over(tag.start - back)
        if (
            measure
            and measure.end <= tag.start
            and (measure.unit == "count" or measure.unit is None)
            and "point" not in measure.rule
            and "dropped" not in measure.rule
            and is_count(passage, measure)
            and not (tag.kind == "condition" and is_label(passage, measure))
        ):
            return int(measure.low) if measure.low == int(measure.low) and 0 < measure.low <= 20 else None
    return None


def _another_reading(passage: Passage, measure: Measure, own: Sequence[Measure]) -> bool:
    """A counter reading between a thing and a clock position, other than the thing's own: the clock is of the next
    thing.
    """
    if measure.unit not in (None, "m") or measure.spoken_unit in ("millimetre", "inch") or measure in own:
        return False
    return measure.unit == "m" or measure.low != int(measure.low)


def _told_between(passage: Passage, token: int, tag: Tag) -> bool:
    """Whether a condition begins there that is told apart from the tag: not the "poking in" of "a root poking in"."""
    begins = passage.tags_from(token, token + 1, "condition")
    return any(not (t.id == "protruding_connection" and t.start == tag.end) for t in begins)


def _clock(passage: Passage, clause: Clause, tag: Tag, reader: _Reader) -> tuple[int, int] | None:
    """The clock position said with the thing: nearest in the clause, or right behind it."""
    own = reader.places.get(tag, NOWHERE).measures
    own_clause = clause.start
    opens = min([clause.start, *(m.start for m in own if 0 <= tag.start - m.start <= 24)])
    clause = Clause(opens, clause.end, clause.opener, clause.act)
    near = passage.measures_from(max(clause.start, tag.start - 16), tag.end + 16)
    clocks = [m for m in near if m.unit == "clock" or clock_pair(passage, m) is not None]
    best: tuple[int, Measure] | None = None
    for measure in clocks:
        if measure.start >= tag.end:
            between = range(tag.end, measure.start)
            blocked = any(
                _told_between(passage, token, tag)
                or (passage.cue_at(token, "boundary", "next") and passage.measure_over(token - 1) not in own)
                or ((r := passage.measure_over(token)) and r.start == token and _another_reading(passage, r, own))
                or (
                    (m := passage.measure_over(token))
                    and m.unit in (None, "m")
                    and passage.cue_at(m.end, "speech_act", "report")
                )
                for token in between
            )
            others = [
                t
                for t in passage.tags_from(tag.end, measure.start, "component")
                if t.id in FEATURES and tag.kind == "component"
            ]
            gap = passage.distance(tag.end, measure.start)
            gap -= sum(
                min(m.end, measure.start) - max(m.start, tag.end) for m in own if tag.end <= m.start < measure.start
            )
            if not blocked and not others and gap <= 11:
                best = min(best or (99, measure), (gap, measure), key=lambda pair: pair[0])
        elif measure.end <= tag.start and measure.start >= clause.start:
            front = own_clause if measure.start >= own_clause else clause.start
            in_front = passage.tags_from(max(front, measure.start - 7), measure.start, "component", "condition")
            if any(t.id != "pipe" for t in in_front):
                continue
            between_things = passage.tags_from(measure.end, tag.start, "condition", "component")
            readings = [m for m in passage.measures_from(measure.end, tag.start) if m.unit in (None, "m")]
            if not readings and not [t for t in between_things if t.id in FEATURES or t.kind == "condition"]:
                gap = passage.distance(measure.end, tag.start)
                best = min(best or (99, measure), (gap, measure), key=lambda pair: pair[0])
    if best is None or best[0] > 12:
        return None
    pair = clock_pair(passage, best[1])
    return pair if pair is not None else (int(best[1].low), int(best[1].high))
