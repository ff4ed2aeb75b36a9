"""Stretches with an end told by name or told later: "from the valve to thirteen foot", "a sag ... goes to ten foot"."""

from dataclasses import replace

from extractor.language.clauses import clause_at
from extractor.reading import Tag
from extractor.survey.distances import Spoken
from extractor.survey.placing import SPREADING, Placing
from extractor.survey.rows import END, Place


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
    named = passage.tags_from(end, end + 3, "structure", "fixture")
    if not named:
        return None
    return Spoken(spoken.start, named[0].end, replace(spoken.place, to_m=END), True)


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
    start = passage.covering(lead - 1, "stretch")
    if start is not None and start.id == "from_opening" and start.end == lead and spoken.place.from_m:
        return Spoken(start.start, spoken.end, replace(spoken.place, from_m=0.0, to_m=spoken.place.from_m), True)
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


def from_thing(state: Placing, spoken: Spoken) -> Spoken | None:
    """ "two metres past the bend": a reading counted from a thing; with no place where that thing has none yet."""
    passage = state.passage
    measure = spoken.place.measures[0] if spoken.place.measures else None
    if spoken.stretch or measure is None or measure.unit != "m" or passage.is_class(measure.start - 1, "from", "to"):
        return None
    further = passage.is_class(spoken.end, "passing_by", "beside") or passage.word(spoken.end) in (
        "after",
        "on",
        "from",
    )
    nearer = passage.word(spoken.end) in ("before", "short")
    token = spoken.end + 1
    while passage.is_class(token, "passing_by") or passage.word(token) in ("of", "from", "side"):
        token += 1
    if not (further or nearer) or not passage.is_class(token, "definite"):
        return None
    named = passage.tags_from(token + 1, token + 2, "component", "condition")
    if not named or named[0].id in ("inlet", "outlet", "pipe"):
        return None
    places = [
        p for t, p in state.places.items() if t.id == named[0].id and t.start < spoken.start and p.from_m is not None
    ]
    if not places:
        return replace(spoken, place=Place(how="none"))
    last, length = places[-1], spoken.place.from_m or 0.0
    base = last.to_m if further and last.to_m not in (None, END) else last.from_m
    metres = round((base or 0.0) + (length if further else -length), 4)
    if metres < 0:
        return None
    state.ended.add(named[0])
    return replace(spoken, place=replace(spoken.place, from_m=metres), end=named[0].end, step=True)


def from_on(state: Placing, spoken: Spoken) -> bool:
    """ "from two metres on": to the end of the run."""
    passage = state.passage
    after = spoken.end + 1
    if passage.word(spoken.end) not in ("on", "out", "up") or not passage.is_class(spoken.start - 1, "from"):
        return False
    while passage.word(after) in ("on", "out", "up", "down", "along"):
        after += 1
    if after >= len(passage) or passage.is_class(after, "list") or passage.cue_at(after, "boundary") is not None:
        return True
    begins = clause_at(state.clauses, after).start == after
    return begins or passage.cue_at(after, "speech_act") is not None or passage.speech.breaks[after]


def from_and_told(state: Placing, spoken: Spoken) -> bool:
    """ "from seven point four it's holding water": what lies along the pipe goes on, where no end of it is told."""
    passage = state.passage
    led = passage.is_class(spoken.start - 1, "from") or passage.is_class(spoken.start, "from")
    report = passage.cue_at(spoken.end, "speech_act", "report")
    if not led or report is None:
        return False
    told = passage.tags_from(report.end, report.end + 5, "condition", "component")
    lies = bool(told) and told[0].id in SPREADING and told[0] not in state.absent
    ahead = passage.measures_from(told[0].end, told[0].end + 4) if lies else ()
    closed = ("to", "at", "until_word")
    return lies and not any(m.unit in (None, "m") and passage.is_class(m.start - 1, *closed) for m in ahead)


def water_from(state: Placing, spoken: Spoken, closed: list[Tag]) -> bool:
    """ "there's standing water from 2.9 and at 3.7 the camera's under": it goes on, where no end of it is told."""
    passage = state.passage
    led = passage.is_class(spoken.start - 1, "from") or passage.is_class(spoken.start, "from")
    wet = all(tag.id in ("standing_water", "full", "dip") and tag not in state.absent for tag in closed)
    return led and wet and bool(closed) and not passage.is_class(spoken.end, "to", "until_word")
