"""Which component a condition sits on: the one it is said to be in, the one its clause is about, the one just named."""

from collections.abc import Sequence

from extractor.language.clauses import Clause, in_there
from extractor.language.passage import Passage
from extractor.reading import Tag
from extractor.survey.bare_numbers import is_count
from extractor.survey.distances import NO_PLACE_OF_THEIR_OWN
from extractor.survey.rows import NOWHERE, Place
from extractor.survey.scenes import Scene
from extractor.survey.topics import HELD, NATURAL, STATES, Reader, Topic, same_place, topic_stands

BRANCH_STATES = ("capped", "disused", "live", "flowing", "dry")
HOLDERS_PARTS = ("inlet", "outlet", "base", "wall", "lid", "baffle")
PITS = ("manhole", "inspection_chamber", "stormwater_pit", "gully", "distribution_box")  # whose floor is a part
HOSE_FAULTS = ("break", "hole", "crack", "fracture", "displaced_joint", "missing_part", "blockage", "exfiltration")


def located_on(passage: Passage, things: Sequence[Tag], clause: Clause, topic: str | None) -> dict[Tag, Tag]:
    """Condition -> the component it is said to be in, on or at: "roots in the joint", "silt in the channel"."""
    located: dict[Tag, Tag] = {}
    for tag in things:
        if tag.kind != "condition":
            continue
        for other in things:
            if (
                other.kind == "component"
                and 0 < other.start - tag.end <= 9
                and told_by_place(passage, tag.end, other.start)
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
            if tag.id in HELD and named in HOLDERS_PARTS and named != "base":
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
    """ "the middle outlet's cracked at the wall", "the cap's missing off the riser": said of the outlet, the cap."""
    comes_off = tag.id == "missing_part" and passage.word(tag.end) in ("off", "from", "out")
    if not passage.is_class(tag.end, "at") and not comes_off:
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
        there = index == 0 and word in passage.classes["being_there"]  # "gravel | sat in it"
        if not there and word not in passage.classes["inside"] and word not in passage.classes["part_of_it"]:
            return False
    return False


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
    words = [token for token in range(start, end) if not passage.is_class(token, "filler") and token not in likened]
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


def component_of(
    reader: Reader, scene: Scene, clause: Clause, tag: Tag, located: Tag | None, place: Place
) -> tuple[str | None, bool]:
    """The component of a condition, and whether the words named it."""
    component, named = _named_component(reader, scene, clause, tag, located, place)
    if (component == "lid" and tag.id in HELD) or (component == "hose" and tag.id not in HOSE_FAULTS):
        return None, False  # "the lid's off and it's full": the structure; "ran the hose and it's draining"
    in_pit = component is None and scene.kind == "structure" and scene.structure in PITS and tag.id in HELD
    if in_pit and _on_floor(reader.passage, tag.end):
        return "base", True  # "silt in the bottom" of a pit
    if scene.kind == "run" and component in ("wall", "base", "lid", "inlet", "outlet"):
        return tag.on, True
    return component, named


def _named_component(
    reader: Reader, scene: Scene, clause: Clause, tag: Tag, located: Tag | None, place: Place
) -> tuple[str | None, bool]:
    passage, topic = reader.passage, reader.topic
    spread = place.to_m is not None or place.how in ("whole", "to this point", "onwards", "by default")
    if reader.contexts[tag].polarity == "absent" and spread:
        return None, False
    if located is not None and located.id == "pipe" and scene.kind != "run":
        located = None  # "corrosion at the water line" of a tank
    if located is not None and located.start == located.end and not topic_stands(topic, place, tag):
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
    if any(t.end <= tag.start for t in passage.tags_from(clause.start, tag.start, "condition")):
        return False
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
