"""Stretches with an end told by name or told later: "from the valve to thirteen foot", "a sag ... goes to ten foot"."""

from dataclasses import replace

from extractor.language.passage import Passage
from extractor.reading import Tag
from extractor.survey.distances import Spoken
from extractor.survey.placing import BREATH, Placing
from extractor.survey.rows import END, NOWHERE, Place


def first_part(state: Placing, spoken: Spoken) -> Spoken | None:
    """ "the first four foot's holding water": a stretch from the opening."""
    ordinal = state.passage.measure_over(spoken.start - 1)
    measure = spoken.place.measures[0] if spoken.place.measures else None
    if ordinal is None or ordinal.unit != "ordinal" or ordinal.low != 1 or measure is None or measure.unit != "m":
        return None
    place = Place(0.0, spoken.place.from_m, spoken.place.approximate, "stretch", spoken.place.measures)
    return Spoken(spoken.start - 1, spoken.end, place, True)


def to_named(state: Placing, spoken: Spoken) -> Spoken | None:
    """ "from 4.6 up to the sewer": a stretch to where the run ends."""
    passage = state.passage
    until = passage.cue_at(spoken.end, "stretch", "until")
    end = until.end if until is not None else spoken.end + 1 if passage.is_class(spoken.end, "to") else None
    rest = passage.covering(spoken.end, "stretch")
    if (
        passage.is_class(spoken.start - 1, "from")
        and rest is not None
        and passage.word(rest.end - 1) in ("end", "finish")
    ):
        return Spoken(spoken.start, spoken.end, replace(spoken.place, to_m=END), True)  # "from 6.4 to the end"
    if end is None or not passage.is_class(spoken.start - 1, "from"):
        return None
    if not passage.tags_from(end, end + 3, "structure", "fixture"):
        return None
    return Spoken(spoken.start, spoken.end, replace(spoken.place, to_m=END), True)


def from_named(state: Placing, spoken: Spoken) -> Spoken | None:
    """ "from the valve to thirteen foot", "from the manhole to 4.1": a stretch that begins at something named."""
    passage = state.passage
    cue = passage.covering(spoken.start - 1, "stretch") or passage.covering(spoken.start, "stretch")
    lead = (
        cue.start
        if cue is not None and cue.id == "until"
        else spoken.start - 1
        if passage.is_class(spoken.start - 1, "to")
        else None
    )
    if lead is None and (passage.is_class(spoken.start - 1, "reading_word") or passage.word(spoken.start - 1) == "the"):
        cue = passage.covering(spoken.start - 2, "stretch")
        lead = cue.start if cue is not None and cue.id == "until" else None
        if lead is None and passage.is_class(spoken.start - 2, "to"):
            lead = spoken.start - 2
    if lead is None:
        return None
    for tag in passage.tags_from(max(0, lead - 4), lead, "component", "structure", "fixture"):
        if tag.end != lead or not any(
            passage.word(t) in ("from", "between") for t in range(max(0, tag.start - 2), tag.start)
        ):
            continue
        near: float | None = 0.0
        if tag.kind == "component" and tag.id not in ("inlet", "outlet", "stack"):
            near = next(
                (
                    p.from_m
                    for t, p in reversed(state.places.items())
                    if t.id == tag.id and t.start < tag.start and p.from_m is not None
                ),
                None,
            )
        if near is not None and spoken.place.from_m is not None and near < spoken.place.from_m:
            place = Place(near, spoken.place.from_m, spoken.place.approximate, "stretch", spoken.place.measures)
            return Spoken(tag.start - 1, spoken.end, place, True)
    return None


def ends_stretch(state: Placing, spoken: Spoken) -> tuple[list[Tag], Place] | None:
    """ "a sag ... goes to ten foot six", "the whole way to 12.4", "continuing to 4.6": this reading ends a
    stretch.
    """
    passage, breath = state.passage, state.breath
    at = spoken.start
    while passage.is_class(at - 1, "reading_word") or passage.word(at - 1) == "the":
        at -= 1
    cue = passage.covering(at - 1, "stretch") or passage.covering(at, "stretch")
    if cue is None or cue.id not in ("until", "ends", "whole"):
        cue = _till_reached(state, spoken) or cue
        at = cue.end if cue is not None else at
    if cue is None or cue.id not in ("until", "ends", "whole") or cue.end < at or cue.end > spoken.end:
        return None
    if passage.speech.words[cue.start : cue.end] in (("through",), ("thru",)):
        return None
    if cue.id == "whole" and not passage.is_class(cue.end - 1, "to"):
        return None
    candidates = sorted(
        (t for t in (*breath.holders, *breath.loose) if t.kind == "condition" and t.start < cue.start),
        key=lambda t: t.start,
    )
    if candidates:
        candidates = [t for t in candidates if (t in state.absent) == (candidates[-1] in state.absent)]
    if not candidates or passage.distance(candidates[-1].end, cue.start) > 14:
        return None
    target = candidates[-1]
    if any(
        tag.id == "next" and not _inside_cue(tag, cue) for tag in passage.tags_from(target.end, cue.start, "boundary")
    ):
        return None
    if passage.tags_from(target.end, cue.start, "movement") and not _inside(passage, "movement", target.end, cue):
        return None
    if any(passage.word(token) in ("i", "we") for token in range(target.end, cue.start)):
        return None
    far = spoken.place
    own = state.places.get(target, NOWHERE)
    opening = any(
        t.id in ("from_opening", "whole") for t in passage.tags_from(max(target.start - 5, 0), spoken.start, "stretch")
    )
    onward = any(t.id in ("from_there", "onwards") for t in passage.tags_from(target.start, spoken.start, "stretch"))
    if own.from_m is not None and own.to_m is None and (not opening or onward) and target.start - breath.at < BREATH:
        near = own
    elif breath.place.from_m is not None and onward:
        near = breath.place if breath.place.to_m is None else replace(breath.place, from_m=breath.place.to_m)
    else:
        near = Place(0.0)
    if far.from_m is None or near.from_m is None or far.from_m < near.from_m:
        return None
    place = Place(
        near.from_m, far.from_m, near.approximate or far.approximate, "stretch", (*near.measures, *far.measures)
    )
    group = [t for t in candidates if target.start - t.end <= 3 and state.places.get(t, NOWHERE) == own]
    return (group or [target]), place


def _till_reached(state: Placing, spoken: Spoken) -> Tag | None:
    """ "doesn't quit till I hit the tank at 19 foot 4": an end told by what is there, with its distance behind."""
    passage = state.passage
    for cue in reversed(passage.tags_from(max(0, spoken.start - 8), spoken.start, "stretch")):
        words = passage.speech.words[cue.start : cue.end]
        if cue.id not in ("until", "ends") or not any(word in ("till", "til", "until") for word in words):
            continue
        arrives = passage.tags_from(cue.end, spoken.start, "structure", "fixture", "ending", "component")
        other = passage.tags_from(cue.end, spoken.start, "condition", "boundary")
        return cue if arrives and not other else None
    return None


def from_on(state: Placing, spoken: Spoken) -> bool:
    """ "from two metres on": to the end of the run."""
    passage = state.passage
    after = spoken.end + 1
    if passage.word(spoken.end) not in ("on", "out", "up") or not passage.is_class(spoken.start - 1, "from"):
        return False
    ends = after >= len(passage) or passage.is_class(after, "list") or passage.cue_at(after, "boundary") is not None
    return ends or passage.cue_at(after, "speech_act") is not None or passage.speech.breaks[after]


def _inside_cue(tag: Tag, cue: Tag) -> bool:
    return cue.start <= tag.start < cue.end


def _inside(passage: Passage, kind: str, start: int, cue: Tag) -> bool:
    return all(
        _inside_cue(tag, cue) or tag.id in ("inspect", "go") for tag in passage.tags_from(start, cue.start, kind)
    )
