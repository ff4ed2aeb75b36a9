"""Which component a condition sits on: the one it is said to be in, the one its clause is about, the one just named."""

from collections.abc import Sequence

from extractor.language.clauses import Clause, in_there
from extractor.language.passage import Passage
from extractor.reading import Tag
from extractor.survey.bare_numbers import is_count
from extractor.survey.distances import NO_PLACE_OF_THEIR_OWN
from extractor.survey.rows import NOWHERE, Place
from extractor.survey.scenes import Scene
from extractor.survey.topics import CAUSES, HELD, NATURAL, STATES, Reader, Topic, same_place, topic_stands

BRANCH_STATES = ("capped", "disused", "live", "flowing", "dry")
HOLDERS_PARTS = ("inlet", "outlet", "base", "wall", "lid", "baffle")
PITS = ("manhole", "inspection_chamber", "stormwater_pit", "gully", "distribution_box")  # whose floor is a part
MOVING_PARTS = ("pump", "float_switch", "hose")  # "running" is said of them
FILLED_PARTS = (
    "base",
    "filter",
    "trap",
    "hose",
    "valve",
)  # that hold something themselves: "channel's clean, no silt in it"
RISER_TANKS = (
    "septic_tank",
    "greywater_tank",
    "holding_tank",
    "treatment_unit",
    "grease_trap",
    "pump_well",
    "distribution_box",
)
HOSE_FAULTS = ("break", "hole", "crack", "fracture", "displaced_joint", "missing_part", "blockage", "exfiltration")


def located_on(passage: Passage, things: Sequence[Tag], clause: Clause, topic: str | None) -> dict[Tag, Tag]:
    """Condition -> the component it is said to be in, on or at: "roots in the joint", "silt in the channel"."""
    located: dict[Tag, Tag] = {}
    for tag in things:
        if tag.kind != "condition":
            continue
        for other in _of_its_statement(passage, things, tag):
            if (
                other.kind == "component"
                and 0 <= other.start - tag.end <= 9
                and _told_at(passage, tag, other)
                and not _another_told(passage, things, tag, other)
                and not _has_subject(passage, things, tag)
            ):
                located[tag] = _further(passage, things, other)
                break
        else:
            port = (
                topic
                if topic in ("inlet", "outlet")
                else next((t.id for t in things if t.id in ("inlet", "outlet")), None)
            )
            if port is not None and _in_the_left_one(passage, tag.end):
                located[tag] = Tag(tag.start, tag.start, "component", port)
                continue
            if any(t.kind == "component" and t.end <= tag.start for t in things) or topic in ("inlet", "outlet"):
                continue
            named = topic or next(
                (t.id for t in reversed(things) if t.kind == "component" and t.end <= tag.start), None
            )
            if tag.id in HELD and named in HOLDERS_PARTS and named != "base":
                continue  # "three outlets and an inch of water in it": in the structure
            if named not in (None, "pipe", "material_change", "taper") and _in_it(passage, tag.end):
                located[tag] = Tag(tag.start, tag.start, "component", str(named))
    for one, other in zip(reversed(things[:-1]), reversed(things[1:]), strict=True):
        listed = one.kind == "condition" and other in located and one not in located and _listed(passage, one, other)
        if listed and not _has_own_part(passage, things, one):
            located[one] = located[other]  # "lint and hair in the filter"
    return located


def _told_at(passage: Passage, tag: Tag, component: Tag) -> bool:
    """Whether the words between put the condition on the component; the preposition may close the condition's own
    words ("roots coming in | the joint", "roots poking through | the back wall").
    """
    if told_by_place(passage, tag.end, component.start):
        return True
    last = tag.end - 1
    leads_in = last > tag.start and passage.is_class(last, "inside", "at") and not passage.is_class(last, "says_with")
    return leads_in and all(
        passage.is_class(t, "article", "filler", "side", "inside", "before_part") and not passage.measure_over(t)
        for t in range(tag.end, component.start)
    )


def _listed(passage: Passage, one: Tag, other: Tag) -> bool:
    """Whether two things stand in one list, with nothing else between."""
    between = range(one.end, other.start)
    return any(passage.is_class(t, "list") for t in between) and all(
        passage.is_class(t, "list", "article") or passage.covering(t, "extent") for t in between
    )


def _further(passage: Passage, things: Sequence[Tag], component: Tag) -> Tag:
    """ "in the pipe from the top of the | joint": the part that the place in the pipe is told by."""
    if component.id != "pipe":
        return component
    behind = [t for t in things if t.start >= component.end]
    told = behind and behind[0].kind == "component" and told_by_place(passage, component.end, behind[0].start)
    return behind[0] if told else component


def _of_its_statement(passage: Passage, things: Sequence[Tag], tag: Tag) -> list[Tag]:
    """The things up to the first component behind that begins a new statement: "a crack in it | the tee is fine"."""
    out: list[Tag] = []
    for other in things:
        if other.kind == "component" and other.start >= tag.end and _begins_anew(passage, other):
            break
        out.append(other)
        if other.kind == "component" and other.start == tag.end and passage.is_class(tag.start - 1, "copula"):
            break  # "the inlet tee is cracked | tee on the outlet's perfect"
    return out


def _begins_anew(passage: Passage, component: Tag) -> bool:
    """Whether a component is the first of its statement, and no place of what stands before it."""
    lead = component.start - 1
    while passage.is_class(lead, "which_of", "before_part", "side") or passage.covering(lead, "extent"):
        lead -= 1
    lead -= passage.is_class(lead, "article")
    return lead < component.start - 1 and not passage.is_class(
        lead, "inside", "at", "from", "to", "list", "being_there"
    )


def _has_own_part(passage: Passage, things: Sequence[Tag], tag: Tag) -> bool:
    """ "the lid has a crack in it and roots in the wall": the crack is the lid's."""
    before = [t for t in things if t.kind == "component" and t.end <= tag.start]
    return bool(before) and any(passage.is_class(t, "copula", "shows") for t in range(before[-1].end, tag.start))


def _has_subject(passage: Passage, things: Sequence[Tag], tag: Tag) -> bool:
    """ "the middle outlet's cracked at the wall", "the cap's missing off the riser": said of the outlet, the cap."""
    comes_off = tag.id == "missing_part" and passage.word(tag.end) in ("off", "from", "out")
    if not passage.is_class(tag.end, "at") and not comes_off:
        return False
    before = [t for t in things if t.kind == "component" and t.end <= tag.start and t.id != "pipe"]
    return bool(before) and all(passage.is_class(t, "copula", "filler") for t in range(before[-1].end, tag.start))


def _another_told(passage: Passage, things: Sequence[Tag], tag: Tag, component: Tag) -> bool:
    """Whether another condition, not of one list with this, stands nearer to the component."""
    nearer = [
        t
        for t in things
        if t.kind == "condition"
        and tag.end <= t.start < component.start
        and not (t.id == "blockage" and tag.id in CAUSES)  # "a ball was | jammed | in the outlet"
    ]
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
        there = index == 0 and word in passage.classes["being_there"]  # "gravel | sat in it"
        if not there and word not in passage.classes["inside"] and word not in passage.classes["part_of_it"]:
            return False
    return False


def _in_the_left_one(passage: Passage, start: int) -> bool:
    """ "three outlets, roots | in the left one", "silt | in the second"."""
    if not passage.is_class(start, "inside") or not passage.is_class(start + 1, "definite"):
        return False
    at = start + 2
    ordinal = passage.measure_over(at)
    if not (passage.is_class(at, "which_of", "side") or (ordinal is not None and ordinal.unit == "ordinal")):
        return False
    while passage.is_class(at, "which_of", "side") or (
        passage.measure_over(at) is not None and passage.word(at) != "one"
    ):
        at += 1
    return passage.word(at) == "one"


def _in_that_one(passage: Passage, start: int) -> bool:
    """ "5.6 roots in that one too": in another of the kind last named, wherever it is."""
    return (
        passage.is_class(start, "inside", "at")
        and passage.is_class(start + 1, "definite")
        and (passage.word(start + 2) == "one")
    )


def _likened(passage: Passage, start: int, end: int) -> set[int]:
    """The words of a likeness, which tell how big: "a root | the thickness of a pencil | in the joint"."""
    for token in range(start, end):
        owner = token + 2 if passage.is_class(token, "size_noun") and passage.word(token + 1) == "of" else token + 1
        if passage.word(token) == "like" and owner == token + 1 and passage.word(owner) in ("about", "roughly"):
            owner += 1
        named = passage.is_class(owner, "article", "owner")
        if named and (passage.is_class(token, "size_noun") or passage.word(token) == "like" or _as_big(passage, token)):
            lead = token
            while lead > start and (
                passage.is_class(lead - 1, "article", "roughly_word") or passage.covering(lead - 1, "extent")
            ):
                lead -= 1
            return set(range(lead, owner + 2))
    return set()


def _as_big(passage: Passage, token: int) -> bool:
    """ "big as", "as thick as"."""
    return passage.word(token) == "as" and passage.is_class(token - 1, "size_adjective")


def told_by_place(passage: Passage, start: int, end: int) -> bool:
    """Words between a condition and its component: a preposition, an article, what describes it; no verb, no new
    thing.
    """
    likened = _likened(passage, start, end)
    if passage.is_class(start, "list") and (few := passage.measure_over(start + 1)) is not None and few.low <= 3:
        start = few.end  # "a root | or two | coming through the wall"
    words = [token for token in range(start, end) if not passage.is_class(token, "filler") and token not in likened]
    plain = [token for token in words if passage.measure_over(token) is None and not _only_leads(passage, token)]
    whole_of = sum(1 for t in plain if passage.word(t) == "of" and passage.is_class(t - 1, "part_of_it"))
    if not words or len(plain) - 2 * whole_of > 5:
        return False
    has_preposition = False
    for token in words:
        if passage.word(token) in ("it", "them") or (passage.word(token) == "to" and passage.word(token - 1) == "up"):
            return False  # "holding water right up to the cap" tells how high
        if passage.is_class(token, "copula") and passage.is_class(token + 1, "gets_there"):
            continue  # "roots have come in through the wall", "silt is lying in the channel"
        if passage.is_class(token, "copula", "list") or passage.cue_at(token, "boundary", "next", "against"):
            return False
        measure = passage.measure_over(token)
        if measure is not None and (measure.unit == "ordinal" or is_count(passage, measure)):
            continue  # "roots in two joints", "in the second outlet"
        if measure is not None:
            if measure.start == token and not passage.is_class(token - 1, "at"):
                return False
            has_preposition = False  # what leads to the distance leads to nothing behind it
            continue
        if passage.is_class(token, "inside", "at") or passage.word(token) in passage.classes["being_there"]:
            has_preposition = True
    last = passage.measure_over(end - 1)
    return has_preposition and (last is None or last.unit == "ordinal" or is_count(passage, last))


def _only_leads(passage: Passage, token: int) -> bool:
    """ "are coming", "back", "very": words on the way to a component that make the way no longer."""
    auxiliary = passage.is_class(token, "copula") and passage.is_class(token + 1, "gets_there")
    return auxiliary or passage.is_class(token, "gets_there", "side", "before_part")


def component_of(
    reader: Reader, scene: Scene, clause: Clause, tag: Tag, located: Tag | None, place: Place
) -> tuple[str | None, bool]:
    """The component of a condition, and whether the words named it."""
    component, named = _named_component(reader, scene, clause, tag, located, place)
    held = scene.kind != "run" and located is None and tag.id in HELD and component not in MOVING_PARTS
    if held and not _filled(reader, clause, tag, component):
        component, named = None, False  # "five outlets, light silt in it": in the structure
    if reader.contexts[tag].polarity == "absent" and scene.kind != "run" and located is None and tag.id not in STATES:
        component, named = (component, named) if _denied_of(reader, clause, tag) else (None, False)
    if tag.id == "missing_part" and reader.passage.is_class(tag.start, "step_iron"):
        return None, False
    if component == "lid" and located is None and tag.id in CAUSES:
        return None, False  # "grate's broken and it's full of leaves"
    if (component == "lid" and tag.id in HELD) or (component == "hose" and tag.id not in HOSE_FAULTS):
        return None, False  # "the lid's off and it's full": the structure; "ran the hose and it's draining"
    in_pit = component is None and scene.kind == "structure" and scene.structure in PITS and tag.id in HELD
    if in_pit and _on_floor(reader.passage, tag.end):
        return "base", True  # "silt in the bottom" of a pit
    if scene.kind == "run" and component in ("wall", "base", "lid", "inlet", "outlet"):
        return tag.on, True
    if scene.kind != "run" and component == "stack" and scene.structure in RISER_TANKS:
        return None, False  # the riser of a tank
    return component, named


def _named_component(
    reader: Reader, scene: Scene, clause: Clause, tag: Tag, located: Tag | None, place: Place
) -> tuple[str | None, bool]:
    passage, topic = reader.passage, reader.topic
    spread = place.to_m is not None or place.how in ("whole", "to this point", "onwards", "by default")
    if reader.contexts[tag].polarity == "absent" and spread:
        return None, False
    if tag.on in MOVING_PARTS and tag.id == "pump_fault":
        return tag.on, True  # "the float was stuck under the outlet pipe"
    if located is not None and located.id == "pipe" and scene.kind != "run":
        located = None  # "corrosion at the water line" of a tank
    pointed = _in_that_one(passage, tag.end) or _in_the_left_one(passage, tag.end)
    if located is not None and located.start == located.end and not pointed and not topic_stands(topic, place, tag):
        located = None  # "on them", far from the last thing named
    if located is not None and place.to_m is not None and _led_to(passage, tag.end, located.start):
        located = None  # "scaled real heavy to the bottom of the stack"
    if located is not None and located.id != "pipe":
        return located.id, True
    if place.to_m is not None and tag.on is None:
        return None, False
    if located is not None or tag.on is not None:
        return tag.on, True
    fresh = topic.component not in (None, "pipe", "material_change", "taper") and topic_stands(topic, place, tag)
    fresh = fresh and not _left_for_structure(passage, topic, scene, tag)
    before = [t for t in passage.tags_from(clause.start, tag.start, "component") if t.end <= tag.start]
    subject = before[-1] if before else None
    if len(before) > 1 and told_by_place(passage, before[-2].end, before[-1].start) and before[-2].id != "pipe":
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
            or points_back(passage, clause, tag)
            or (tag.id in STATES and tag.start - topic.end <= 10 and not _new_noun(passage, tag))
        ):
            return topic.component, True
    return None, False


def _filled(reader: Reader, clause: Clause, tag: Tag, component: str | None) -> bool:
    """ "the channel's full of silt", "the trap is dry": said of the part by its verb."""
    passage = reader.passage
    first = clause.start if reader.topic.end < clause.start else clause.start - 3  # "in the channel | there's sand"
    own = [t for t in passage.tags_from(first, tag.start, "component") if t.end <= tag.start and t.id == component]
    if not own:
        return False
    lead = own[-1].start - 1 - passage.is_class(own[-1].start - 1, "article")
    if passage.is_class(lead, "inside", "at") and not passage.is_class(lead, "to"):
        return lead - first <= 2  # "in the channel there's sand"
    between = range(own[-1].end, tag.start)
    return any(passage.is_class(t, "copula", "shows") for t in between) and not any(
        passage.is_class(t, "pronoun", "list") or passage.cue_at(t, "speech_act", "report") for t in between
    )


def _denied_of(reader: Reader, clause: Clause, tag: Tag) -> bool:
    """ "the walls have no cracks": denied of the part by its verb, where "no grease in here" is of the structure."""
    passage = reader.passage
    own = [t for t in passage.tags_from(clause.start, tag.start, "component") if t.end <= tag.start]
    in_it = "it" in passage.speech.words[tag.end : tag.end + 2] and bool(own) and own[-1].id in FILLED_PARTS
    if in_it or (own and "them" in passage.speech.words[tag.end - 1 : tag.end + 2]):
        return True  # "the walls are fine, no cracks in them"
    if not own or any(
        t.end <= tag.start and t.id == "sound" for t in passage.tags_from(own[-1].end, tag.start, "condition")
    ):
        return False  # "float's fine, no grease in here"
    return any(passage.is_class(t, "copula", "shows") for t in range(own[-1].end, tag.start))


def _on_floor(passage: Passage, start: int) -> bool:
    for token in range(start, start + 4):
        if passage.word(token) in ("bottom", "floor"):
            return passage.word(token + 1) != "of" or passage.word(token + 2) in ("it", "that", "the")
        if not passage.is_class(token, "inside", "article", "definite", "lies_there"):
            return False
    return False


def _led_to(passage: Passage, start: int, end: int) -> bool:
    return any(passage.is_class(token, "to") for token in range(start, end))


def _all_copula(passage: Passage, start: int, end: int) -> bool:
    return all(passage.is_class(token, "copula") for token in range(start, end))


def _left_for_structure(passage: Passage, topic: Topic, scene: Scene, tag: Tag) -> bool:
    """ "three outlets, the box is level and it's dry": the structure itself has been named since."""
    return scene.kind != "run" and any(
        t.id == scene.structure and passage.is_class(t.end, "copula")
        for t in passage.tags_from(topic.end, tag.start, "structure")
    )


def _in_one_place(reader: Reader, scene: Scene, subject: Tag, place: Place) -> bool:
    if scene.kind != "run" or subject.id in NO_PLACE_OF_THEIR_OWN:
        return True
    own = reader.places.get(subject, NOWHERE)
    return same_place(own, place)


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
        and not in_there(passage, report)
    )


def _said_of(passage: Passage, start: int, tag: Tag) -> bool:
    """Whether the words between a component and a condition make the one the subject of the other."""
    for token in range(start, tag.start):
        if passage.cue_at(token, "boundary", "next", "against"):
            return False
        if passage.is_class(token, "at", "from") and passage.measure_over(token + 1):
            continue
    return passage.distance(start, tag.start) <= 9


def points_back(passage: Passage, clause: Clause, tag: Tag) -> bool:
    """ "it's got", "and that one's", "with a", "which is": the clause speaks of what was just named."""
    if any(t.end <= tag.start and t.id != "blockage" for t in passage.tags_from(clause.start, tag.start, "condition")):
        return False  # "the left one is jammed | with stones" is of one
    for token in range(clause.start, min(clause.start + 4, tag.start)):
        if passage.is_class(token, "pronoun") and passage.word(token) != "there":
            return True
    for token in range(clause.start, min(clause.start + 6, tag.start - 1)):
        if passage.word(token) == "one" and passage.is_class(token + 1, "copula"):
            return True  # "the right hand one is blanked off"
    return passage.word(tag.start - 1) in ("with", "has", "got") or passage.word(tag.start - 2) in (
        "with",
        "has",
        "got",
    )
