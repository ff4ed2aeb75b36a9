"""What is being done where a measure is said: work that reaches along the pipe, locating from above."""

from collections.abc import Sequence

from extractor.language.clauses import Clause
from extractor.language.passage import Passage
from extractor.reading import Measure
from extractor.survey.scenes import Scene

REACHING = ("jetting", "rodding", "root_cutting")


def from_outside(passage: Passage, measure: Measure) -> bool:
    """ "that tank is four and a half metres from the stoep": counted from what is no part of the drains."""
    if passage.word(measure.end) not in ("from", "off") or not passage.is_class(measure.end + 1, "article", "owner"):
        return False
    if passage.is_class(measure.start - 1, "at"):
        return False
    if any(_to_no_drain(passage, t) for t in range(measure.end + 3, measure.end + 6)):
        return True  # "seven metres from the pit to the garage door"
    behind = range(measure.end + 2, measure.end + 4)
    return (
        not any(
            passage.covering(t, kind) for t in behind for kind in ("structure", "fixture", "component", "condition")
        )
        and not passage.has_class(measure.end + 2, measure.end + 4, "of_the_run")
        and not any(passage.measure_over(t) for t in behind)
    )


def _to_no_drain(passage: Passage, token: int) -> bool:
    """ "to the garage door", behind the structure that it is counted from."""
    if passage.word(token) != "to" or not passage.is_class(token + 1, "article", "owner"):
        return False
    things = ("structure", "fixture", "component", "condition")
    counted_from = passage.covering(token - 1, "structure")
    place = range(token + 2, token + 4)
    return (
        counted_from is not None
        and not any(passage.covering(at, kind) for at in place for kind in things)
        and not passage.has_class(token + 2, token + 4, "of_the_run")
        and not any(passage.measure_over(at) for at in place)
    )


def said_of_ground(passage: Passage, measure: Measure) -> bool:
    """ "gully to the chamber on the surface is three point two", "eleven metres to the gate, I paced it"."""
    before = [t for t in passage.tags_from(measure.start - 6, measure.start, "role") if t.id == "surface_after"]
    at = passage.is_class(measure.start - 1, "at") or passage.is_class(measure.start, "at")
    if (
        before
        and not at
        and all(passage.is_class(t, "copula", "hedge", "filler") for t in range(before[-1].end, measure.start))
    ):
        return not passage.has_class(before[-1].start, before[-1].end, "from")
    if _distance_between(passage, measure):
        return True
    paced = passage.tokens_of(measure.end, measure.end + 8, ("paces",))
    return any(passage.covering(token, "condition") is None for token in paced)  # not "the join is stepped"


def beside_locating(passage: Passage, measure: Measure) -> bool:
    """ "i put the locator on that joint, it's six feet and eleven feet from the stoop": told of the ground, not the
    counter.
    """
    deeds = [t for t in passage.tags_from(measure.start - 26, measure.start, "action") if t.id == "located"]
    if not deeds:
        return False
    since = passage.tags_from(deeds[-1].end, measure.start, "movement", "direction")
    return not any(t.id != "inspect" for t in since)


def result_told(passage: Passage, start: int, end: int) -> bool:
    """ "jetted that and it's all gone | 5.2 ...": behind the result the counter's readings go on."""
    if end < start:
        return end + 8 < start
    return any(tag.id in ("gone", "partly_gone", "still_there") for tag in passage.tags_from(start, end, "time"))


def is_working(passage: Passage, clauses: Sequence[Clause], index: int, at: int) -> bool:
    """Whether the clause, or the one it goes on from, tells of work that reaches along the pipe."""
    clause = clauses[index]
    for back in range(3):
        if index - back < 0:
            break
        earlier = clauses[index - back]
        deeds = [tag for tag in passage.tags_from(earlier.start, clause.end, "action") if tag.id in REACHING]
        if passage.things_from(at, at + 7):
            deeds = [tag for tag in deeds if tag.start < at]  # "8.8 rubble, ran the jetter through"
        if deeds and result_told(passage, deeds[-1].end, at):
            return False
        if deeds:
            return not passage.tags_from(earlier.start, clause.end, "movement") or not any(
                tag.id in ("relook", "camera_in") for tag in passage.tags_from(earlier.start, clause.end, "movement")
            )
        if earlier.opener in ("movement", "boundary") and back == 0 and not passage.covering(earlier.start, "boundary"):
            break
    return False


def on_the_surface(passage: Passage, clause: Clause, scene: Scene) -> bool:
    window = passage.tags_from(max(0, clause.start - 12), clause.end, "action", "role")
    return any((tag.kind == "action" and tag.id == "located") or tag.id == "surface_before" for tag in window)


def tool_went(passage: Passage, measure: Measure, clause: Clause) -> bool:
    """ "the hose went down eight metres", "rods went in four metres": the tool is the subject, not the camera."""
    lead = measure.start - 1
    if _was_sent(passage, measure, clause) or _from_where(passage, measure):
        return True
    while passage.is_class(lead, "end_particle", "roughly_word", "inside", "filler") and lead >= clause.start:
        lead -= 1
    if not passage.is_class(lead, "gets_on", "moves_camera", "goes_on_verb"):
        return False
    while passage.is_class(lead - 1, "copula", "filler", "modal") and lead > clause.start:
        lead -= 1
    return passage.is_class(lead - 1, "reaching_tool")


def _was_sent(passage: Passage, measure: Measure, clause: Clause) -> bool:
    """ "the jetter has been put through from the manhole | to twelve metres": told of the tool as its subject."""
    if not passage.is_class(measure.start - 1, "to", "roughly_word"):
        return False
    for token in range(measure.start - 1, clause.start, -1):
        if passage.is_class(token, "sends_tool"):
            lead = token - 1
            while passage.is_class(lead, "copula", "filler", "now_word") and lead > clause.start:
                lead -= 1
            return lead < token - 1 and passage.is_class(lead, "reaching_tool", "jetting_tool", "cutting_tool")
    return False


def _from_where(passage: Passage, measure: Measure) -> bool:
    """ "ran it up | from the soak pit | two metres", "jetter now up | from the pit | to seven metres"."""
    worked = passage.tags_from(measure.start - 12, measure.start, "action")
    if not worked or worked[-1].id not in ("jetting", "rodding", "root_cutting"):
        return False
    at = worked[-1].end
    while passage.is_class(at, "end_particle", "goes_in") and at < measure.start:
        at += 1
    places = passage.tags_from(at, at + 5, "structure", "fixture")
    if not passage.is_class(at, "from") or not places:
        return False
    behind = range(places[0].end, measure.start)
    return all(passage.is_class(t, "to", "roughly_word", "end_particle") for t in behind)


def _distance_between(passage: Passage, measure: Measure) -> bool:
    """ "the distance from the gully to the manhole is | eight metres": of two places, and no reading."""
    if not passage.is_class(measure.start - 1, "copula"):
        return False
    named = passage.tags_from(measure.start - 14, measure.start, "structure", "fixture")
    noun = next((t for t in range(measure.start - 14, measure.start) if passage.word(t) == "distance"), None)
    if noun is None or len(named) < 2 or named[-2].start < noun:
        return False
    return passage.has_class(noun, named[-2].start, "from") or "between" in passage.speech.words[noun : named[-2].start]
