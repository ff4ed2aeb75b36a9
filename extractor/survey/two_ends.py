"""Stretches told with two ends, whatever names them: "from the gully to the bend", "from there through to 7.3",
"between the joint at 2.2 and here", "from eight metres on to the chamber".

An end is a reading, a place pointed at ("there", "that point"), a thing told before ("the bend"), an opening or a
structure (where the run began, or where it ended), or the start or the end itself.
"""

from dataclasses import dataclass, replace

from extractor.language.clauses import clause_at
from extractor.language.passage import Passage
from extractor.reading import Measure, Tag
from extractor.survey.anchors import Said, leads_to, place_of
from extractor.survey.distances import NO_PLACE_OF_THEIR_OWN, length_of
from extractor.survey.placing import SPREADING, Placing
from extractor.survey.rows import END, NOWHERE, Place

REACH = 14  # words from a thing to the stretch behind it
REACH_PRESENT = 5  # the same for what is there
DRAWN = ("dip", "deformation", "crack", "fracture", "infiltration")  # may lie along a pipe, beside what spreads
OPENINGS = ("inlet", "outlet", "trap", "stack", "cap", "valve")  # parts that a run begins or ends at


@dataclass(frozen=True, slots=True)
class Ends:
    """The words [start, end) that tell both ends, and the place that they make."""

    start: int
    end: int
    place: Place


def told_between(state: Placing, said: Said) -> Place | None:
    """The stretch with two ends that stands behind a thing in its statement, or leads up to it."""
    passage, tag = state.passage, said.tag
    if not (said.denied or tag.id in (*SPREADING, *DRAWN)) or passage.covering(tag.start, "action"):
        return None
    for token in passage.tokens_of(max(0, tag.start - 24), tag.start, (), ("from", "between")):
        ends = ends_at(state, token)
        if ends is None or ends.end > tag.start or _goes_on_behind(passage, ends.end) or not _opens(state, token):
            continue  # "water from the box out to 4.2 | and it's dry from there on"
        if leads_to(state, ends.end, tag.start) or _leads_in_list(state, ends.end, tag):
            return ends.place
    for token in passage.tokens_of(tag.end, tag.end + REACH, (), ("from", "between")):
        if not _leads_there(state, said, token) or passage.is_class(token - 1, "list"):
            return None
        ends = ends_at(state, token)
        if ends is not None:
            return ends.place
    return None


def ends_at(state: Placing, token: int) -> Ends | None:
    """The two ends that the preposition at `token` begins, unless both are readings (distances.py joins these)."""
    passage = state.passage
    near = _end_of(state, token + 1, token, far=False)
    if near is None:
        return None
    at = near.end
    if passage.word(token) == "between":
        if passage.word(at) != "and":
            return None
        at += 1
    else:
        led = _behind_to(passage, at)
        if led is None:
            return None
        at = led
    far = _end_of(state, at, token, far=True)
    if far is None:
        return None
    near_m, far_m = near.place.from_m, far.place.from_m
    if near_m is None or far_m is None or (near.read and far.read):
        return None
    if far_m != END and near_m >= far_m:
        return None
    measures = (*near.place.measures, *far.place.measures)
    rough = near.place.approximate or far.place.approximate
    whole = near_m == 0 and far_m == END
    if far_m == END and not whole and "back" in passage.speech.words[near.end : at] and near_m >= state.furthest:
        return Ends(token, far.end, Place(0.0, near_m, rough, "stretch", measures))  # "from there back to the pit"
    return Ends(token, far.end, Place(near_m, far_m, rough, "whole" if whole else "stretch", measures))


@dataclass(frozen=True, slots=True)
class _End:
    """One end: where its words end, its place, and whether it is a reading alone."""

    end: int
    place: Place
    read: bool = False


def _end_of(state: Placing, token: int, before: int, *, far: bool) -> _End | None:
    """The end told at the token; `before`: the word up to which things and readings count as told already."""
    passage = state.passage
    rough = False
    while passage.is_class(token, "definite", "article", "filler", "roughly_word", "side", "one_more", "owner", "at"):
        if passage.measure_over(token) is not None:
            break
        if passage.word(token) in ("there", "that", "this") and not passage.things_from(token, token + 3):
            break
        rough |= passage.is_class(token, "roughly_word")
        token += 1
    number = passage.measure_over(token)
    if number is not None and number.unit == "ordinal":
        token = number.end
        number = None
    if number is not None and number.start <= token:
        return _reading(passage, number, rough)
    if passage.word(token) in ("there", "here", "that", "this"):
        end = token + 1
        while passage.is_class(end, "spot_noun"):
            end += 1
        place = _last_reading(state, before)
        return _End(end, replace(place, from_m=_far_m(place), to_m=None)) if place.from_m is not None else None
    if far and passage.word(token) == "where":
        return _where_it(passage, token)
    if not far and passage.word(token) in ("moment", "second", "minute", "time"):
        end = token + 1  # "from the moment i put it in | to 3.3"
        while end < token + 7 and _behind_to(passage, end) is None and not passage.is_class(end, "list"):
            end += 1
        return _End(end, Place(0.0))
    if passage.is_class(token, "start_noun" if not far else "line_end_noun"):
        end = token + 1
        if passage.word(end) == "of" and passage.is_class(end + 1, "definite"):
            end += 3
        return _End(end, Place(END if far else 0.0))
    for tag in passage.tags_from(token, token + 2, "component", "condition", "structure", "fixture"):
        read = passage.measure_over(tag.end + passage.is_class(tag.end, "at"))
        if read is not None and read.unit in (None, "m") and passage.is_class(tag.end, "at"):
            found = _reading(passage, read, False)
            return replace(found, read=False) if found is not None else None
        if tag.kind in ("structure", "fixture"):
            return _End(tag.end, Place(END if far else 0.0))
        known = place_of(state, tag)
        if known.from_m is not None:
            return _End(tag.end, replace(known, from_m=known.from_m if far else _far_m(known), to_m=None))
        return _End(tag.end, Place(END if far else 0.0)) if tag.id in OPENINGS else None
    if passage.is_class(token, "reached_place"):
        return _End(token + 1, Place(END if far else 0.0))
    return None


def _where_it(passage: Passage, token: int) -> _End | None:
    """ "to | where it joins the main line at six metres", "to where it comes out in the pit"."""
    for at in range(token + 1, token + 10):
        read = passage.measure_over(at)
        if read is not None and read.unit in (None, "m") and passage.is_class(at - 1, "at"):
            found = _reading(passage, read, False)
            return replace(found, read=False) if found is not None else None
        if passage.tags_from(at, at + 1, "condition") or passage.is_class(at, "list"):
            return None
        if passage.tags_from(at, at + 1, "structure", "fixture") and not passage.is_class(at + 1, "at"):
            after = passage.measures_from(at + 1, at + 4)
            return None if after else _End(at + 1, Place(END))
    return None


def _reading(passage: Passage, number: Measure, rough: bool) -> _End | None:
    if number.unit not in (None, "m") or number.low < number.high or number.spoken_unit in ("millimetre", "inch"):
        return None
    end = number.end
    while passage.is_class(end, "reading_word"):
        end += 1
    return _End(end, Place(length_of(number)[0], None, rough or number.approximate, "said", (number,)), read=True)


def _behind_to(passage: Passage, token: int) -> int | None:
    """Behind the words that lead on to the far end: "right up | to", "all the way down as far as", "on out to"."""
    for at in range(token, token + 8):
        until = passage.cue_at(at, "stretch", "until")
        if until is not None and (until.end - at > 1 or passage.is_class(at, "to")):
            return until.end
        if passage.is_class(at, "to") and passage.word(at + 1) not in ("to", "till", "until"):
            return at + 1
        whole = passage.cue_at(at, "stretch", "whole")
        if whole is not None and passage.is_class(whole.end - 1, "to"):
            return whole.end
        if not passage.is_class(at, "end_particle", "filler", "to", "way_word") or passage.is_class(
            at, "list", "copula"
        ):
            return None
    return None


def _last_reading(state: Placing, before: int) -> Place:
    for place in reversed(state.readings):
        if place.from_m is not None and place.measures and place.measures[-1].end <= before:
            return place
    return NOWHERE


def _far_m(place: Place) -> float | None:
    return place.to_m if place.to_m not in (None, END) else place.from_m


def _goes_on_behind(passage: Passage, token: int) -> bool:
    """ "... out to 4.2 | and it's dry", "to the bend | then clean": the stretch is of what stands in front of it."""
    return passage.is_class(token, "list") or passage.word(token) == "then"


def _leads_in_list(state: Placing, start: int, tag: Tag) -> bool:
    """ "from that junction up to the house it's got paper and | sludge": behind another thing that is there."""
    passage = state.passage
    first = next(iter(passage.tags_from(start, tag.start, "condition")), None)
    if first is None or first in state.absent or tag in state.absent or not leads_to(state, start, first.start):
        return False
    between = range(first.end, tag.start)
    joined = any(passage.is_class(t, "list") for t in between)
    return joined and all(passage.is_class(t, "list", "article") or passage.covering(t, "extent") for t in between)


def _opens(state: Placing, token: int) -> bool:
    """Whether the stretch opens what is told, and is not told of the thing in front of it."""
    passage, lead = state.passage, token - 1
    while passage.is_class(lead, "filler", "list"):
        lead -= 1
    if lead < 0 or passage.measure_over(lead) is not None or passage.covering(lead, "boundary") is not None:
        return True
    if clause_at(state.clauses, token).start > lead:
        return True
    verdict = passage.covering(lead, "condition")
    if verdict is not None and verdict.id == "sound":
        return passage.word(token) == "between"  # "a bend fine | between the bend and two metres there's gravel"
    part = passage.covering(lead, "component")
    if part is not None:
        return part.id not in NO_PLACE_OF_THEIR_OWN
    return any(passage.covering(lead, kind) is not None for kind in ("structure", "fixture", "ending", "material"))


def _leads_there(state: Placing, said: Said, token: int) -> bool:
    """Whether the thing and the stretch behind it are one statement, with only like things joined to it between."""
    passage, tag = state.passage, said.tag
    if passage.tags_from(tag.end, token, "movement", "action", "boundary"):
        return False
    sizes = ("millimetre", "inch")  # "silt, a good fifty mil of it, from two metres to ..."
    if any(m.unit in (None, "m") and m.spoken_unit not in sizes for m in passage.measures_from(tag.end, token)):
        return False
    told = [
        t
        for t in passage.tags_from(tag.end, token, "condition", "component")
        if t.id not in (*NO_PLACE_OF_THEIR_OWN, tag.id)
    ]
    if said.denied:
        return all(t in state.absent for t in told)
    joined = all(t.id in SPREADING and t not in state.absent for t in told)
    joined = joined and not (told and passage.tags_from(tag.end, token, "speech_act"))  # "a crack, it's dry from ..."
    sized = sum(m.end - m.start for m in passage.measures_from(tag.end, token))
    return joined and passage.distance(tag.end, token) - sized <= REACH_PRESENT + 2 * len(told)
