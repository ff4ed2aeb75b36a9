"""Stretches that begin at something told before: "no roots past the bend", "from that belly up to eighteen no cracks",
"no cracks in that plastic".
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from extractor.language.clauses import Clause
from extractor.language.passage import Passage
from extractor.reading import Tag
from extractor.survey.distances import length_of
from extractor.survey.placing import SPREADING, Placing
from extractor.survey.rows import END, NOWHERE, Place


@dataclass(slots=True)  # not frozen, since one is made for every thing and none leaves this stage
class Said:
    """A thing with what its statement says of stretches: the cues from start to end, and the place that is open."""

    tag: Tag
    clause: Clause
    denied: bool
    here: Place
    start: int
    end: int
    cues: Mapping[str, Tag]


def anchored(state: Placing, said: Said) -> Place | None:
    """ "no roots past the bend", "no more cracks after that one right up to the main", "from that belly up to eighteen
    no cracks", "between the bend and the junction": from a thing told before, or from the last reading, to what is
    named as the end, or to the end of the run.
    """
    passage, tag = state.passage, said.tag
    if not said.denied and tag.id not in SPREADING:
        return None
    if (between := _between_things(state, tag)) is not None:
        return between
    floor = state.breath.at
    if len(state.readings) > 1 and state.readings[-2].measures and _leads_on(state):
        floor = max(state.readings[-2].measures[-1].end, floor - 9)
    first = max(floor, tag.start - 16, 0)
    leads = passage.tokens_of(first, tag.end + 14, ("leads_from",))
    for token in range(first, leads[-1] + 1 if leads else first):
        if token >= tag.end and _next_told(state, said, token):
            break
        if token >= tag.end and not said.denied and passage.word(token) in ("nothing", "none"):
            break  # "roots at 6.1 | nothing after that"
        if token >= tag.end and not said.denied and (token > tag.end + 4 or passage.is_class(token, "list")):
            break
        if passage.covering(token, "negation") or passage.is_class(token - 1, "passes_by_eye"):
            continue  # "apart from the sag", "you can hardly see past them"
        if passage.is_class(token, "leads_from") and not tag.start <= token < tag.end:
            place = _from_anchor(state, said, token)
            if place is not None:
                return place
    return None


def in_material(state: Placing, said: Said) -> Place | None:
    """ "at 5.4 it changes to plastic, no cracks in that plastic": from the change to the end; in the material before
    it, from the opening to the change.
    """
    passage, tag = state.passage, said.tag
    if not said.denied or not passage.is_class(tag.end, "inside") or not passage.is_class(tag.end + 1, "definite"):
        return None
    material = passage.cue_at(tag.end + 2, "material") or passage.cue_at(tag.end + 3, "material")
    changes = [t for t in state.places if t.id == "material_change" and state.since <= t.start < tag.start]
    place = state.places[changes[-1]] if material is not None and changes else NOWHERE
    if material is None or place.from_m is None:
        return None
    change = range(max(0, changes[-1].start - 3), changes[-1].end + 5)
    into = [t for t in change if passage.is_class(t, "to") or passage.word(t) == "into"]
    if any(m.id != material.id for t in into for m in passage.tags_from(t + 1, t + 4, "material")):
        return Place(0.0, place.from_m, place.approximate, "to this point", place.measures)
    return replace(place, to_m=END, how="onwards")


def as_denied(state: Placing, said: Said) -> Place | None:
    """ "no cracks in that plastic and no water lying": denied in one breath with what a stretch was told of."""
    passage, tag = state.passage, said.tag
    before = max(state.breath.holders, key=lambda other: other.start, default=None)
    if not said.denied or before is None or before not in state.absent or not 0 <= tag.start - before.end <= 8:
        return None
    place = state.places.get(before, NOWHERE)
    turns = passage.tags_from(before.end, tag.start, "boundary")
    either = place.how == "whole" and any(passage.word(t) == "either" for t in range(tag.end, tag.end + 4))
    if (
        not (place.how in ("onwards", "to this point") or either)
        or turns
        or passage.measures_from(before.end, tag.end + 4)
    ):
        return None
    return place


def _next_told(state: Placing, said: Said, token: int) -> bool:
    """Whether a thing begins there that is neither denied in the same breath nor only pointed at."""
    passage = state.passage
    things = passage.tags_from(token, token + 1, "condition", "component")
    pointed = passage.is_class(token - 1, "definite") or passage.covering(token - 1, "extent")
    own = () if said.tag not in state.absent else state.absent
    return any(t not in own and t.id != "pipe" for t in things) and not pointed


def _between_things(state: Placing, tag: Tag) -> Place | None:
    """ "between the bend at 2.2 and the junction at 5.5 there's no cracks"."""
    passage, at = state.passage, state.breath.at
    if at < 0 or len(state.readings) < 2 or not leads_to(state, at, tag.start):
        return None
    near, far = state.readings[-2:]
    if not near.measures or near.from_m is None or far.from_m is None or near.from_m >= far.from_m:
        return None
    start = near.measures[0].start
    if "between" not in passage.speech.words[max(0, start - 5) : start] or at - start > 10:
        return None
    return Place(near.from_m, far.from_m, near.approximate or far.approximate, "between", near.measures + far.measures)


def leads_to(state: Placing, start: int, end: int) -> bool:
    """Whether only words that bring in a statement stand there: "there's no roots and no | cracks", "it's all"."""
    passage, token = state.passage, start
    while token < end:
        cue = passage.cue_at(token, "negation") or passage.cue_at(token, "speech_act", "report")
        cue = cue or passage.covering(token, "extent") or passage.cue_at(token, "condition")
        if cue is not None and (cue.kind != "condition" or cue in state.absent or cue.id == "sound"):
            token = max(cue.end, token + 1)
            continue
        small = passage.is_class(token, "pronoun", "copula", "list", "filler", "someone", "end_particle")
        if not small and not passage.is_class(token, "back_to_words"):
            return False
        token += 1
    return True


def _from_anchor(state: Placing, said: Said, token: int) -> Place | None:
    """The stretch that begins at what stands behind the preposition at `token`."""
    passage, here = state.passage, said.here
    at = token + 1
    while passage.is_class(at, "way_word") or passage.word(at) in ("of", "about", "just", "right", "where"):
        at += 1
    near = Place()
    material = next(iter(passage.tags_from(at + 1, at + 3, "material")), None) if passage.word(at) == "the" else None
    named = [t for t in passage.tags_from(at + 1, at + 4, "component", "condition") if t.start > at]
    if passage.is_class(at, "definite") and named and named[0].id != "pipe" and _all_small(passage, at, named[0].start):
        near, behind = place_of(state, named[0]), named[0].end
    elif material is not None:  # "from where the clay starts down to the tank"
        near = place_of(state, replace(said.tag, id="material_change"))
        behind = material.end + passage.is_class(material.end, "begins")
    elif passage.word(at) in ("that", "there", "here", "it", "this", "those", "them") and not passage.things_from(
        at + 1, at + 2
    ):
        near, behind = here, at + 1
        if token < state.breath.at:
            near = state.readings[-2]
        same = (
            place_of(state, said.tag)
            if passage.word(behind) in ("one", "lot") or passage.word(at) == "those"
            else NOWHERE
        )
        near = same if same.from_m is not None else near  # "no more cracks after that one"
        while passage.is_class(behind, "spot_pointed_at"):
            behind += 1
        goes_on = passage.is_class(behind, "copula", "pronoun") and passage.word(behind - 1) != "on"
        if goes_on and token > said.tag.start:
            return None  # "no cracks from there it's plastic"
        if passage.measure_over(behind) is not None:
            return None
    if near.from_m is None:
        return None
    metres = near.to_m if near.to_m not in (None, END) else near.from_m
    if token < state.breath.at:
        return _to_last_reading(state, said, replace(near, from_m=metres), behind)
    far, last = END, behind
    while (last < behind + 5 and passage.is_class(last, "end_particle", "to", "at")) or passage.word(last) == "between":
        last += 1
    measure = passage.measure_over(last)
    if measure is not None and any(passage.is_class(t, "to") for t in range(behind, last + 1)):
        if measure.unit not in (None, "m"):
            return None
        far = length_of(measure)[1]
        near = replace(near, measures=(*near.measures, measure))
    elif passage.word(token) == "between":
        if not passage.is_class(behind, "list") or not passage.is_class(behind + 1, "definite"):
            return None
        other = passage.tags_from(behind + 2, behind + 4, "component", "condition")
        if not other and passage.tags_from(behind + 2, behind + 4, "structure", "fixture"):
            far = END  # "between the bend and the tank"
        else:
            told = place_of(state, other[0]) if other else NOWHERE
            if told.from_m is None:
                return None
            far = told.from_m
    elif token > said.tag.start and not closes(state, behind):
        return None  # "no cracks after that a bend at 5.2"
    if token < said.tag.start:
        beyond = next(iter(passage.tags_from(last, last + 2, "structure", "fixture")), None)
        behind = max(behind, beyond.end if beyond is not None else last if far != END else behind)
        if not leads_to(state, max(behind, measure.end if measure is not None else 0), said.tag.start):
            return None
        after = passage.measures_from(said.tag.end, said.tag.end + 6)
        if any(m.unit in (None, "m") and passage.is_class(m.start - 1, "at", "from") for m in after):
            return None  # "after that there's silt at 4.4"
    if (metres or 0.0) >= (far if far != END else state.furthest):
        backwards = far == END and "back" in passage.speech.words[behind:last]
        return Place(0.0, END, False, "whole") if backwards else None  # "dry from there back to the pit"
    return replace(near, from_m=metres, to_m=far, how="onwards")


def _leads_on(state: Placing) -> bool:
    """Whether the last reading is the far end of something: "to 8.8", "to the bend at 7.1"."""
    passage, last = state.passage, state.readings[-1]
    start = last.measures[0].start if last.measures else 0
    return passage.has_class(start - 5, start + 1, "to")


def _to_last_reading(state: Placing, said: Said, near: Place, behind: int) -> Place | None:
    """ "past there to the bend at 7.1 it's good clean pipe", "from there to 8.8 it's dry"."""
    passage, last = state.passage, state.readings[-1]
    until = last.measures[0].start if last.measures else 0
    led = any(passage.is_class(token, "to") for token in range(behind, min(behind + 3, until + 1)))
    if not led or last.from_m is None or last.to_m is not None or (near.from_m or 0.0) >= last.from_m:
        return None
    if not leads_to(state, state.breath.at, said.tag.start):
        return None
    return replace(near, to_m=last.from_m, how="onwards", measures=(*near.measures, *last.measures))


def anchor_of(state: Placing, tag: Tag) -> Place:
    """ "after the bend it's cracked up to 7": the place of the thing named in front, from which it begins."""
    passage = state.passage
    for token in range(max(state.breath.at, tag.start - 8, 0), tag.start):
        if not passage.is_class(token, "leads_from") or not passage.is_class(token + 1, "definite"):
            continue
        named = [t for t in passage.tags_from(token + 2, token + 4, "component", "condition") if t.start > token]
        if named and _all_small(passage, token + 1, named[0].start) and leads_to(state, named[0].end, tag.start):
            return place_of(state, named[0])
    return NOWHERE


def _all_small(passage: Passage, start: int, end: int) -> bool:
    """Whether only words that point or that grade stand there: "that big | crack"."""
    small = ("definite", "filler", "side", "one_more")
    return all(passage.is_class(t, *small) or passage.covering(t, "extent") for t in range(start, end))


def place_of(state: Placing, named: Tag) -> Place:
    """The place of the last thing of that name told before in the run."""
    for tag, place in reversed(state.places.items()):
        if tag.start < state.since:
            break
        if tag.id == named.id and tag.start < named.start and place.from_m is not None:
            return place
    return NOWHERE


def closes(state: Placing, token: int) -> bool:
    """Whether the statement is over there, or only goes on to where the run ends ("right up to the main")."""
    passage = state.passage
    start = token
    while passage.is_class(token, "end_particle", "filler", "way_word") and not passage.is_class(token, "list"):
        token += 1
    if token > start and passage.measure_over(token) is not None and passage.is_class(token - 1, "way_word"):
        return True  # "from that bend right up | 5.15 the stack"
    if token >= len(passage) or passage.speech.breaks[token] or passage.is_class(token, "to", "list"):
        return True
    return any(passage.cue_at(token, kind) for kind in ("boundary", "ending", "movement", "stretch"))
