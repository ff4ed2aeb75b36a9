"""Where the camera comes to, told by parts that no fixed phrase holds: "it dumps me in the house trap", "I'm sitting at
the bottom of the stack", "goes into the main run", "out in the ditch".

the camera or its speaker + a verb of coming or being there + "in", "at", "under" + a place   -> arrives
                                                            + "the main run", "the toilet line" -> joins
                                                            + "the road", "the ditch"           -> the end of the line

A verb alone says little ("the kitchen goes into the manhole"): its subject is the camera, the one who speaks, or the
reading right before it.
"""

from collections.abc import Iterator

from extractor.language.passage import Passage
from extractor.reading import Tag

BACK_TO_READING = 8  # words from a reading to a verb that only the reading explains
BACK_FROM_SPEAKER = 16  # the same, where somebody is said to be there
IN_A_NAME = 3  # words that may describe a place before its name


def find_arrivals(passage: Passage) -> Iterator[Tag]:
    """An ending tag over the words that bring the camera to a place, up to the name of the place."""
    yield from _camera_arrives(passage)
    yield from _comes_out(passage)
    yield from _ends_at_a_place(passage)
    yield from _out_there(passage)
    yield from _bare_end(passage)
    yield from _turned_about(passage)
    yield from _that_is_outside(passage)
    yield from _that_is_me(passage)


def is_named_place(passage: Passage, tag: Tag) -> bool:
    """Whether the tag says more than a phrase that covers its words: where a run was ended, that it joins a line, what
    the camera came to.
    """
    if tag.id == "joins" or (tag.id == "line_end" and passage.is_class(tag.end - 1, "kerb_word")):
        return True
    return tag.id == "arrival" and (
        passage.is_class(tag.start, "ends_run")
        or passage.word(tag.start + 2) in ("me", "us", "you")
        or passage.covering(tag.end - 1, "ending") is None
    )


def _camera_arrives(passage: Passage) -> Iterator[Tag]:
    """ "at six metres the camera is at the toilet", "14.2 and the lens is in the sewer"."""
    for token in passage.every("camera_word", start=1):
        if not any(m.unit in (None, "m") and token - m.end <= 4 for m in passage.measures_from(token - 9, token)):
            continue
        verb = token + 1
        while passage.is_class(verb, "copula", "filler", "arrives_verb") and verb < token + 5:
            verb += 1
        if verb == token + 1 or passage.word(verb) not in ("at", "in", "into", "out", "to", "up", "against"):
            continue
        if passage.tags_from(verb, verb + 4, "structure", "fixture") and not passage.tags_from(
            verb, verb + 8, "direction"
        ):
            yield Tag(token, verb + 1, "ending", "arrival")


def _comes_out(passage: Passage) -> Iterator[Tag]:
    """ "nineteen foot and we've dropped out into the soakaway", "8.2 she pops up in the manhole"."""
    for token in passage.every("meets_verb", "copula", "arrives_verb", "looks_at", start=1):
        meets = passage.is_class(token, "meets_verb") or (
            passage.word(token) == "got"
            and passage.is_class(token + 1, "article")  # "6.6 I've got the base of the stack"
        )
        is_there = passage.is_class(token, "copula") and passage.is_class(
            token + 1, "arrives_at", "arrives_particle", "stands_there"
        )
        bare = passage.word(token) == "into" and passage.measure_over(token - 1) is not None  # "4.9 into the soakaway"
        if not (meets or is_there or bare or passage.is_class(token, "arrives_verb", "looks_at")):
            continue
        if not _of_the_camera(passage, token):
            continue
        led = _led(passage, token if bare else token + 1)
        if led is None and not meets:
            continue
        place = _place(passage, token + 1 if led is None else led)
        if place is not None:
            yield Tag(token, place.start, "ending", place.id)


def _turned_about(passage: Passage) -> Iterator[Tag]:
    """ "7.5 and out it comes at the manhole", "in she drops to the sewer": the particle first."""
    for token in passage.every("arrives_particle", start=1):
        verb = token + 2
        if not passage.is_class(verb, "arrives_verb") or not passage.is_class(token + 1, "it_comes"):
            continue
        lead = [m for m in passage.measures_from(token - 5, token) if m.unit in (None, "m")]
        if not lead or not _told_by_the_camera(passage, lead[-1].end, token):
            continue
        led = _led(passage, verb + 1)
        place = _place(passage, led) if led is not None else None
        if place is not None:
            yield Tag(token, place.start, "ending", place.id)


def _that_is_me(passage: Passage) -> Iterator[Tag]:
    """ "7.5 and that's me back in the tank", "that'll be us over at the manhole"."""
    for token in passage.tokens_of(2, len(passage), (), ("me", "us", "you")):
        if not passage.is_class(token - 1, "copula") or passage.word(token - 2) not in (
            "that",
            "this",
            "there",
            "will",
        ):
            continue
        led = _led(passage, token + 1)
        place = _place(passage, led) if led is not None else None
        if place is not None:
            yield Tag(token - 2, place.start, "ending", place.id)


def _that_is_outside(passage: Passage) -> Iterator[Tag]:
    """ "7.5 that's the outfall", "and there's the ditch": the end of the pipe, in the open."""
    for token in passage.every("kerb_word", start=3):
        lead = token - 1 - passage.is_class(token - 1, "article")
        pointed = passage.is_class(lead, "copula") and passage.word(lead - 1) in ("that", "there", "this")
        near = [m for m in passage.measures_from(lead - 6, lead) if m.unit in (None, "m")]
        if pointed and near and _told_by_the_camera(passage, near[-1].end, lead):
            yield Tag(lead - 1, token + 1, "ending", "line_end")


def _led(passage: Passage, token: int) -> int | None:
    """Behind the preposition of arriving: "me up [in] the", "sitting [at] the bottom of the"."""
    if passage.is_class(token - 1, "looks_at"):
        through = next((t for t in range(token, token + 3) if passage.is_class(t + 1, "article", "definite")), None)
        return (
            through + 1 if through is not None and passage.is_class(through, "arrives_particle", "arrives_at") else None
        )
    while passage.is_class(token, "arrives_particle", "stands_there", "filler", "the_camera") and not (
        passage.is_class(token, "arrives_at") and not passage.is_class(token + 1, "arrives_particle", "arrives_at")
    ):
        if passage.is_class(token, "arrives_at") and passage.is_class(token + 1, "article", "definite"):
            break
        if passage.word(token) == "through" and passage.is_class(token + 2, "part_of_place"):
            return token + 1  # "through the wall of the tank"
        token += 1
    return token + 1 if passage.is_class(token, "arrives_at") else None


def _place(passage: Passage, token: int) -> Tag | None:
    """The place named here, as a tag whose id is the kind of ending: over articles, "the bottom of", and what describes
    it.
    """
    described = 0
    for at in range(token, token + 12):
        named = passage.tags_from(at, at + 1, "structure", "fixture", "component", "reference")
        if any(
            tag.kind in ("structure", "fixture") or tag.id == "stack" or tag.id.startswith("short_") for tag in named
        ):
            if _joined_line(passage, at):
                return Tag(at, at + 1, "ending", "joins")
            return Tag(at, at + 1, "ending", "arrival")
        if _joined_line(passage, at):
            return Tag(at, at + 1, "ending", "joins")
        if passage.is_class(at, "outside_place"):
            return Tag(at, at + 1, "ending", "line_end")
        if passage.is_class(at, "part_of_place") and passage.word(at + 1) == "of":
            described = -1
        elif described == -1 and passage.word(at) == "of":
            described = 0
        elif not passage.is_class(at, "article", "side", "arrives_at", "definite"):
            described += 1
            if described > IN_A_NAME or named or not _describes(passage, at):
                return None
    return None


def _joined_line(passage: Passage, token: int) -> bool:
    """ "the main run", "the toilet line", "the other drain": another line of the house."""
    at = token
    while at < token + 3 and (
        passage.is_class(at, "joined_line") or passage.covering(at, "fixture") or passage.covering(at, "structure")
    ):
        at += 1
    return at > token and passage.is_class(at, "whole_line_word") and passage.word(at) not in ("end", "finish", "side")


def _describes(passage: Passage, token: int) -> bool:
    """Whether a word may stand before the name of a place: "the big brick sewer"."""
    if passage.measure_over(token) or passage.tags_from(token, token + 1, "condition", "boundary", "action"):
        return False
    return bool(passage.word(token)) and not passage.is_class(
        token, "list", "someone", "copula", "modal", "negation_word", "not_in_a_name", "comes_from"
    )


def _of_the_camera(passage: Passage, verb: int) -> bool:
    """Whether the verb tells of the camera: a reading stands before it, and nothing but the camera or its speaker
    between; or somebody is said to be there, some words behind the reading.
    """
    near = passage.measures_from(verb - BACK_FROM_SPEAKER, verb)
    lead = next((m for m in reversed(near) if m.unit in (None, "m")), None)
    if lead is None:
        return False
    if verb - lead.end < BACK_TO_READING and _told_by_the_camera(passage, lead.end, verb):
        return True
    if passage.is_class(verb, "person_goes", "beside_reading_only") or passage.covering(verb, "movement"):
        return False
    if passage.tags_from(lead.end, verb, "structure", "fixture", "action", "movement"):
        return False
    subject = verb - 1
    while passage.is_class(subject, "copula", "modal", "filler", "arrives_particle"):
        subject -= 1
    if passage.is_class(verb, "takes_along") and passage.is_class(verb + 1, "taken_along"):
        return True
    speaks = passage.word(subject) in ("i", "we") or passage.is_class(subject, "camera_word")
    return speaks and not passage.is_class(verb, "takes_along")


def _told_by_the_camera(passage: Passage, start: int, verb: int) -> bool:
    """Whether nothing but the camera, its speaker or a small word stands between a reading and the verb."""
    return all(
        passage.is_class(
            t, "someone", "camera_word", "camera_part", "copula", "list", "definite", "filler", "modal", "to"
        )
        or passage.is_class(t, "before_arriving")
        for t in range(start, verb)
    )


def _ends_at_a_place(passage: Passage) -> Iterator[Tag]:
    """ "the run was completed at the stack", "survey terminated in the manhole"."""
    for token in passage.every("ends_run", start=1):
        if passage.word(token + 1) not in ("at", "in"):
            continue
        place = token + 2
        while passage.is_class(place, "article", "side"):
            place += 1
        there = passage.tags_from(place, place + 1, "structure", "fixture", "component")
        if any(tag.kind != "component" or tag.id == "stack" for tag in there):
            yield Tag(token, token + 2, "ending", "arrival")


def _out_there(passage: Passage) -> Iterator[Tag]:
    """ "7.5 out in the ditch", "6.4 and out onto the gravel": the pipe ends in the open."""
    for token in passage.tokens_of(1, len(passage), (), ("out",)):
        near = passage.measures_from(token - 4, token)
        if not near or near[-1].unit not in (None, "m") or not _told_by_the_camera(passage, near[-1].end, token):
            continue
        led = _led(passage, token)
        place = _place(passage, led) if led is not None else None
        if place is not None:
            yield Tag(token, place.start, "ending", place.id)
    for token in passage.every("kerb_word", start=1):
        lead = token - 1 - passage.is_class(token - 1, "article")
        measure = passage.measure_over(lead)
        if measure is not None and measure.unit in (None, "m") and not passage.is_class(token + 1, "line_noun"):
            yield Tag(token, token + 1, "ending", "line_end")  # "9.9 the kerb"
            continue
        behind = passage.measure_over(token + 1 + (passage.word(token + 1) == "at"))
        if passage.word(lead) == "to" and behind is not None and behind.unit in (None, "m"):
            yield Tag(token, token + 1, "ending", "line_end")  # "went down to the kerb, 8.1"


def _bare_end(passage: Passage) -> Iterator[Tag]:
    """ "12.0 end", "thirty foot the end": a reading and the end, of nothing else."""
    for token in passage.tokens_of(1, len(passage), (), ("end", "finish")):
        lead = token - 1 - passage.is_class(token - 1, "article", "copula")
        if passage.measure_over(lead) is None or passage.is_class(token + 1, "of_it_or_cap"):
            continue
        measure = passage.measure_over(lead)
        if measure is not None and measure.unit in (None, "m"):
            yield Tag(token, token + 1, "ending", "line_end")
