"""Places: which distance belongs to which thing.

    "at 2.4 there's a joint"   said before          "roots at six metres"      said after
    "from 5.4 to 7.2"          a stretch            "dry the whole way to 12"  a stretch from the opening
    "and it's cracked"         carried              "no roots to this point"   from the opening to the last distance

Read from left to right, one run at a time: a distance right behind a thing that has none of its own is that thing's
(said_after.py); any other opens a place for what follows in the same breath. A thing that stands further on ("and then
a bend") does not inherit it.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from extractor.language.clauses import Clause, clause_at
from extractor.language.passage import Passage
from extractor.reading import Measure, Tag
from extractor.survey.anchors import leads_to, place_of
from extractor.survey.bare_numbers import clock_pair
from extractor.survey.distances import Spoken, furthest_of, is_stretch, items_of, length_of
from extractor.survey.placing import BREATH, SPREADING, STATES, Breath, Placing, habit_of, lead_start, opens_statement
from extractor.survey.roles import amount_of, is_last_part
from extractor.survey.rows import END, NOWHERE, Place
from extractor.survey.said_after import said_after, told_late, told_with_the_last
from extractor.survey.scenes import Scene
from extractor.survey.spread import is_onwards, run_over, spread_of, told_to_this_point
from extractor.survey.stretch_ends import LYING, ends_told, led_past, led_up_to
from extractor.survey.stretches import first_part, from_and_told, from_named, from_on, from_thing, to_named, water_from

NOT_NOTED_REACH = 16
SPOTS = ("bend", "junction", "material_change", "taper", "valve", "cap", "trap", "stack")  # parts at one spot
STILL = ("standing_water", "full", "settled_deposit", "grease", "attached_deposit", "deformation")  # may go on for long
OWN_PLACE = ("said before", "said after", "stretch", "whole", "to this point", "onwards")


def place_things(
    passage: Passage,
    clauses: Sequence[Clause],
    scenes: Sequence[Scene],
    roles: Mapping[Measure, str | None],
    absent: set[Tag],
) -> tuple[dict[Tag, Place], dict[Tag, list[Place]]]:
    """The place of each condition and component tag that stands in a run (NOWHERE where none is said), and further
    places of the same thing told in one go ("at 5.2 and 6.4 there's scale").
    """
    places: dict[Tag, Place] = {}
    state = Placing(passage, clauses, absent, places)
    run: int | None = None
    for scene in scenes:
        if scene.kind != "run":
            state.breath = Breath()
            run = None if scene.kind == "closing" else run
            continue
        if scene.run != run:
            state.since = scene.start
        if scene.run != run or scene.second:
            state.breath, run = Breath(), scene.run
            state.readings = []
        items = items_of(passage, scene, roles)
        state.furthest = furthest_of(items)
        state.habit += habit_of(state, items)
        for item in items:
            if isinstance(item, Spoken):
                _take_distance(state, item)
                state.readings.append(item.place)
            else:
                _take_thing(state, item)
    _settle_awaited(state)
    _settle_still(state)
    return places, state.extra


def _take_distance(state: Placing, spoken: Spoken) -> None:
    breath = state.breath
    if spoken.long and is_last_part(state.passage, spoken.place.measures[0]):
        _last_part(state, spoken)
        return
    if spoken.long:
        _goes_on_for(state, spoken)
        return
    if (
        not spoken.stretch
        and (named := from_named(state, spoken) or first_part(state, spoken) or to_named(state, spoken)) is not None
    ):
        spoken = named
    length = state.lengths.get(spoken.start) or (
        state.lengths.get(spoken.place.measures[0].start) if not spoken.stretch else None
    )
    if length is not None and not spoken.stretch and spoken.place.from_m is not None:
        far = round(spoken.place.from_m + (length.from_m or 0.0), 4)
        rough = spoken.place.approximate or length.approximate
        spoken = replace(spoken, place=replace(spoken.place, to_m=far, approximate=rough, how="stretch"), stretch=True)
    if (told := [t for t in breath.holders if spoken.place.measures[-1] in state.places[t].measures]) != []:
        place = state.places[told[-1]].told("stretch")
        style = "after" if told[-1].end <= spoken.start else breath.style
        lead = lead_start(state, spoken.start)
        for tag in breath.loose:
            if tag.kind == "component" and tag.end == lead and state.places[tag].from_m is None:
                state.places[tag] = spoken.place.told("said after")  # "from the tank to | the bend at 3.3"
        state.breath = Breath(place, spoken.end, told, style=style)
        return  # the far end of "no roots from that belly up to eleven"
    if (relative := from_thing(state, spoken)) is not None:
        if relative.place.from_m is None:
            state.unnoted.update(breath.loose[-1:])
            return  # "two metres past the bend", which was not told before
        spoken = relative
    if not spoken.stretch and (ended := ends_told(state, spoken)) is not None:
        targets, place = ended
        for tag in targets:
            state.places[tag] = place
        state.breath = Breath(place, spoken.end, targets)
        return
    again = spoken.stretch and breath.holders and spoken.place.from_m == breath.place.from_m
    if again and breath.place.to_m is None and not _told_anew(state, spoken):
        place = spoken.place.told("stretch")  # "7.7 it's worn, worn from 7.7 up to 10.3"
        fresh = _brought_in(state, spoken)
        for tag in fresh:
            state.places[tag] = place  # "9.8 joint offset large | there's standing water from 9.8 to 12"
        if fresh:
            state.breath = Breath(place, spoken.end, fresh, style="after")
            return
        held = [
            t for t in breath.holders if t.kind == "condition" and state.places.get(t, NOWHERE).from_m == place.from_m
        ]
        loose = [t for t in breath.loose if t.kind == "condition" and t not in state.absent]
        if held or not loose:
            for tag in held:
                state.places[tag] = place
            state.breath = Breath(place, spoken.end, list(breath.holders), style="after")
            return
    if not spoken.stretch and (up_to := told_to_this_point(state, spoken)):
        for tag in up_to:
            state.places[tag] = replace(spoken.place, from_m=0.0, to_m=spoken.place.from_m, how="to this point")
        state.breath = Breath(spoken.place.told("said before"), spoken.end, style=breath.style)
        return
    if (late := told_late(state, spoken)) is not None:
        place = spoken.place.told("said after")
        state.places[late] = place
        state.breath = Breath(place, spoken.end, [late], style="after")
        return
    closed = said_after(state, spoken)
    if closed:
        place = spoken.place.told("stretch" if spoken.stretch else "said after")
        onwards = state.passage.cue_at(spoken.end, "stretch", "onwards")
        led = onwards is not None and is_onwards(state, onwards) and not _opens_next(state, onwards)
        if (led or from_on(state, spoken) or water_from(state, spoken, closed)) and not spoken.stretch:
            place = replace(place, to_m=END, how="onwards")
        for tag in closed:
            state.places[tag] = place
        state.breath = Breath(place, spoken.end, closed, style="after")
        return
    if told_with_the_last(state, spoken):
        held = breath.listed or [
            t for t in breath.holders if state.places.get(t, NOWHERE).from_m == breath.place.from_m
        ]
        if held:  # "cracks at 3.2 and 3.6"
            for tag in held:
                state.extra.setdefault(tag, []).append(spoken.place.told("said after"))
            carried = spoken.place.told("carried")
            over = state.passage.has_class(breath.at, spoken.start, "list")
            state.breath = Breath(carried, spoken.end, listed=held, closed=over, style=breath.style)
            return
        also = (*breath.also, breath.place)
    else:
        also = ()
    place = spoken.place.told("stretch" if spoken.stretch else "said before")
    onwards = state.passage.cue_at(spoken.end, "stretch", "onwards")
    led = onwards is not None and is_onwards(state, onwards)
    if (led or from_on(state, spoken) or from_and_told(state, spoken)) and not spoken.stretch:
        place = replace(place, to_m=END, how="onwards")
    state.breath = Breath(
        place, spoken.end, also=also, up_to=led_up_to(state, spoken) or led_past(state, spoken), style=breath.style
    )


def _opens_next(state: Placing, cue: Tag) -> bool:
    """ "a joint at 6.7 | past there it's good pipe": the words lead on to what is told next."""
    report = state.passage.cue_at(cue.end, "speech_act", "report")
    return report is not None and bool(state.passage.things_from(report.end, report.end + 4))


def _last_part(state: Placing, spoken: Spoken) -> None:
    """ "the last two metres are full of silt", "grease in the last half metre": counted back from the run's end."""
    length = spoken.place.from_m or 0.0
    if state.furthest <= length:
        return
    near = round(state.furthest - length, 4)
    place = replace(spoken.place, from_m=near, to_m=state.furthest, how="stretch")
    lead = max(0, spoken.start - 2)
    told = [t for t in state.breath.loose if t.kind == "condition" and 0 <= lead - t.end <= 2]
    told = [t for t in told if state.passage.is_class(lead, "inside", "at")]
    for tag in told:
        state.places[tag] = place
    state.breath = Breath(place, spoken.end, told)


def _goes_on_for(state: Placing, spoken: Spoken) -> None:
    """ "scale at 4.2 for about two metres", "from 4.2 for two metres there's scale": a stretch of that length."""
    breath, length = state.breath, spoken.place.from_m or 0.0
    ahead = _reading_ahead(state, spoken)
    if ahead is not None or amount_of(state.passage, spoken.place.measures[0]):
        if ahead is not None:
            state.lengths[ahead.start] = spoken.place
        elif breath.place.from_m is not None and breath.place.to_m is None and not breath.holders:
            far = round(breath.place.from_m + length, 4)
            breath.place = replace(breath.place, to_m=far, how="stretch")  # "4.5 there's two metres of scale"
        return
    told = [tag for tag in (*breath.holders, *breath.loose) if tag.kind == "condition" and tag not in state.absent]
    own = state.places.get(told[-1], NOWHERE) if told else breath.place
    if told and own.from_m is None and not state.readings:
        own = Place(0.0)  # nothing read yet: from where the camera went in
    if own.from_m is None or own.to_m is not None or spoken.start - breath.at > BREATH:
        return
    rough = own.approximate or spoken.place.approximate
    far = round(own.from_m + length, 4)
    place = replace(own, to_m=far, approximate=rough, how="stretch", measures=(*own.measures, *spoken.place.measures))
    for tag in told[-1:]:
        state.places[tag] = place
    breath.place = place


def _reading_ahead(state: Placing, spoken: Spoken) -> Measure | None:
    """ "roots for a metre from 2.2", "two metres of roots starting at 4.5": the reading that a length begins at."""
    passage = state.passage
    for measure in passage.measures_from(spoken.end, spoken.end + 7):
        if measure.unit not in (None, "m"):
            return None
        between = range(spoken.end, measure.start)
        led = passage.is_class(measure.start - 1, "from", "at") or passage.is_class(measure.start, "from", "at")
        told = passage.tags_from(spoken.end, measure.start, "boundary")
        small = all(
            passage.is_class(t, "from", "at", "starts_word", "article", "inside", "filler")
            or passage.covering(t, "condition")
            for t in between
        )
        return measure if led and small and not told else None
    return None


def _brought_in(state: Placing, spoken: Spoken) -> list[Tag]:
    """What "there's" brought in since the reading that is open, apart from what was told with it."""
    breath, passage = state.breath, state.passage
    reports = [
        t
        for t in passage.tags_from(breath.at, spoken.start, "speech_act")
        if t.id == "report" and "there" in passage.speech.words[t.start : t.end]
    ]
    said = [t for t in (*breath.holders, *breath.loose) if t.kind == "condition" and t not in state.absent]
    if not reports or not any(t.start < reports[-1].start for t in said):
        return []
    return [t for t in said if t.start >= reports[-1].start]


def _told_anew(state: Placing, spoken: Spoken) -> bool:
    """ "5.2 a break and from 5.2 to 6.1 the pipe's squashed": the stretch is of another thing, told behind it."""
    held = {tag.id for tag in state.breath.holders}
    ahead = state.passage.tags_from(spoken.end, spoken.end + 7, "condition")
    if not ahead or ahead[0].id in held:
        return False
    between = range(spoken.end, ahead[0].start)
    return not any(state.passage.is_class(t, "list") or state.passage.measure_over(t) for t in between)


def _take_thing(state: Placing, tag: Tag) -> None:
    if tag in state.ended or _end_of_it(state, tag):
        state.places[tag] = Place(how="end told")
        return
    if _awaited(state, tag):
        state.awaited.append((tag, [t for t in (*state.breath.holders, *state.breath.loose) if t in state.absent]))
    if (known := _pointed_past(state, tag)) is not None:
        state.places[tag] = known.told("carried")
        return
    place = _place_ahead(state, tag)
    state.places[tag] = place
    if place.how == "onwards" and tag not in state.absent and state.breath.place.to_m not in (None, END):
        state.breath = Breath(
            place, tag.end, [tag], style=state.breath.style
        )  # "dry to 5.5 and from there on it's wet"
        return
    if place.how == "said before" and state.breath.also and not state.breath.holders:
        state.extra[tag] = [other.told("said before") for other in state.breath.also]
    listed = state.breath.listed
    if listed and place.from_m == state.breath.place.from_m and _of_them_all(state, tag, listed[0]):
        earlier = [state.places[listed[0]], *state.extra.get(listed[0], [])]  # "junctions at 4.2 and 6.6 both live"
        place = earlier[0].told("carried")
        state.places[tag] = place
        state.extra[tag] = [other.told("carried") for other in earlier[1:]]
    elif tag.kind == "condition" and (several := _several_named(state, tag)):
        state.extra[tag] = [state.places[other].told("carried") for other in several[:-1]]
    if place.how in ("stretch", "whole") and (last := [t for t in state.breath.loose if t.id == tag.id]):
        twin = 0 <= tag.start - last[-1].end <= 3 and state.places[last[-1]].from_m is None
        if twin and (last[-1] in state.absent) == (tag in state.absent):
            state.places[last[-1]] = place  # "the pipe's dry, it's dry all the way to 22"
    if place.how in OWN_PLACE and place.how != "none":
        state.breath.holders.append(tag)
    else:
        state.breath.loose.append(tag)


def _end_of_it(state: Placing, tag: Tag) -> bool:
    """ "ponding at 5.5 stops ponding at 7.1", "into the sag at 3.3 out of the sag": the same thing, where it ends."""
    passage, held = state.passage, (*state.breath.holders, *state.breath.loose)
    if tag.kind != "condition" or not any(t.id == tag.id and state.places[t].from_m is not None for t in held):
        return False
    lead = tag.start - 1
    while passage.is_class(lead, "definite") or passage.word(lead) == "of":
        lead -= 1
    return lead >= state.breath.at and passage.is_class(lead, "ends_word", "ends_verb")


def _several_named(state: Placing, tag: Tag) -> list[Tag]:
    """ "bend 2.2 bend 3.3 both right", "... all of them fine": the parts of one kind named one after the other."""
    passage = state.passage
    words = passage.speech.words[max(0, tag.start - 5) : tag.start]
    if tag.id not in STATES and passage.tags_from(tag.start - 5, tag.start, "condition"):
        return []
    if tag.id not in STATES and not (
        "them" in words or "of" in words or state.passage.is_class(tag.start - 1, "copula")
    ):
        return []
    number = 2 if "both" in words else 9 if "all" in words and ("them" in words or "fine" not in words[-1:]) else 0
    named = (
        [t for t in state.places if t.kind == "component" and tag.start - 40 < t.start < tag.start] if number else []
    )
    alike = [t for t in named if t.id == named[-1].id and state.places[t].from_m is not None]
    here = alike and state.places[alike[-1]].from_m == state.places[tag].from_m
    return alike[-number:] if here and len({state.places[t].from_m for t in alike}) > 1 else []


def _of_them_all(state: Placing, tag: Tag, first: Tag) -> bool:
    """ "both live", "all fine", "all three of them dry"; a state right behind things named in the plural."""
    passage, at = state.passage, state.breath.at
    if any(passage.word(token) in ("both", "all", "each") for token in range(max(at, tag.start - 4), tag.start + 1)):
        return True
    return tag.id in STATES and passage.word(first.end - 1).endswith("s") and tag.start - at <= 2


def _awaited(state: Placing, tag: Tag) -> bool:
    """ "no roots up to the bend and the bend's at 6.1": an end named before its reading."""
    passage = state.passage
    if tag.kind != "component" or passage.word(tag.start - 1) != "the":  # "that bend" was told
        return False
    until = passage.covering(tag.start - 2, "stretch") or passage.covering(tag.start - 1, "stretch")
    return until is not None and until.id in ("until", "to_this_point") and place_of(state, tag).from_m is None


def _settle_awaited(state: Placing) -> None:
    """What is denied up to a thing reaches from the opening to the reading that the thing was given then."""
    for named, denied in state.awaited:
        later = (t for t in state.places if t.id == named.id and named.start <= t.start <= named.end + 12)
        place = next((state.places[t] for t in later if state.places[t].from_m is not None), NOWHERE)
        near = [t for t in denied if state.passage.distance(t.end, named.start) <= 8]
        for tag in near if place.from_m is not None else ():
            state.places[tag] = replace(place, from_m=0.0, to_m=place.from_m, how="to this point")


def _settle_still(state: Placing) -> None:
    """ "water from 5.5 ... and there's still water sitting in it at 18.2": one thing, from the first to the last."""
    told: dict[str, Tag] = {}
    for tag, place in list(state.places.items()):
        if place.from_m is None or tag.id not in STILL:
            continue
        first = told.get(tag.id)
        near = (*range(tag.start - 4, tag.start), tag.end)
        still = first is not None and any(state.passage.word(t) == "still" for t in near)
        if first is not None and still and tag not in state.absent:
            own = state.places[first]
            between = state.passage.tags_from(first.end, tag.start, "movement", "action")
            between = [t for t in between if t.id not in ("inspect", "go")]
            if not between and own.to_m in (None, END) and (own.from_m or 0.0) < place.from_m:
                measures = (*own.measures, *place.measures)
                state.places[first] = replace(own, to_m=place.from_m, how="stretch", measures=measures)
                state.places[tag] = Place(how="end told")
                continue
        told[tag.id] = tag


def _pointed_past(state: Placing, tag: Tag) -> Place | None:
    """ "past the silt it's dry", "no roots up to that bend": a thing told before, named to say where."""
    passage, before = state.passage, tag.start - 1
    while passage.covering(before, "extent") or passage.is_class(before, "side"):
        before -= 1
    if not passage.is_class(before, "definite"):
        return None
    until = passage.covering(before - 1, "stretch")
    if not passage.is_class(before - 1, "leads_from") and (until is None or until.id != "until"):
        return None
    if passage.measure_over(tag.end + passage.is_class(tag.end, "at")) is not None:
        return None
    known = place_of(state, tag)
    return known if known.from_m is not None else None


def _place_ahead(state: Placing, tag: Tag) -> Place:
    passage, breath = state.passage, state.breath
    clause = clause_at(state.clauses, tag.start)
    denied = tag in state.absent
    here = breath.place
    if _not_noted(passage, tag, clause):
        state.unnoted.add(tag)
    spread = spread_of(state, tag, clause, denied, here)
    if spread is not None:
        return spread
    if denied and here.how == "stretch" and here.to_m is not None and leads_to(state, breath.at, tag.start):
        return here  # "five eight the sink and from 2.9 up to the sink there's no cracks"
    if denied and run_over(state, tag):
        return Place(0.0, END, False, "whole")
    if here.from_m is None:
        if denied and breath.at < 0:
            return Place(0.0, END, False, "by default")
        return Place(how="not noted") if tag in state.unnoted else NOWHERE
    if tag in state.unnoted:
        return Place(how="not noted")
    if tag.start - breath.at > BREATH:
        return NOWHERE
    if here.to_m not in (None, END) and _after_good(state, tag):
        return replace(here, from_m=here.to_m, to_m=None, how="carried")
    if not denied and (beside := _beside_thing(state, tag)) is not None:
        return beside.told("carried")
    if _moves_on(state, tag) or (tag.kind == "condition" and not denied and _own_beginning(state, tag)):
        return NOWHERE
    if (known := _lying_in(state, tag)) is not None:
        return known.told("carried")
    spot = tag.kind == "component" and tag.id in SPOTS and bool(breath.holders)
    if here.to_m is not None and here.to_m != END and (tag.id == "capped" or spot or _where(state, tag)):
        rough = here.measures[-1].approximate if here.measures else here.approximate
        return Place(here.to_m, None, rough, "carried", here.measures)
    alone = all(state.places.get(other) == breath.up_to for other in breath.holders)
    if breath.up_to is not None and alone and (denied or tag.id in SPREADING):
        return breath.up_to
    first = not breath.holders and here.how in ("said before", "stretch")
    linked = bool(breath.holders) and here.how in ("said before", "stretch") and _linked(state, breath.holders[-1], tag)
    linked = linked and not _begins_behind(state, tag)
    in_clause = clause.start <= breath.at or tag.start - breath.at <= 3
    how = here.how if (first and in_clause) or linked else "carried"
    return here.told(how)


def _lying_in(state: Placing, tag: Tag) -> Place | None:
    """ "... till thirteen | there's three inches of water in the sag": along the stretch of the thing it lies in."""
    passage = state.passage
    if not passage.is_class(tag.end, "inside") or not passage.is_class(tag.end + 1, "definite"):
        return None
    named = [t for t in passage.tags_from(tag.end + 2, tag.end + 4, "condition") if t.id == "dip"]
    known = place_of(state, named[0]) if named and tag.kind == "condition" and tag.id != "dip" else NOWHERE
    return known if known.to_m is not None else None


def _beside_thing(state: Placing, tag: Tag) -> Place | None:
    """ "then just past the bend a crack", "right before that joint there's roots": at a thing told before."""
    passage, token = state.passage, tag.start - 1
    report = [t for t in passage.tags_from(tag.start - 5, tag.start, "speech_act") if t.id == "report"]
    if report and report[-1].end <= tag.start:
        token = report[-1].start - 1
    while token > tag.start - 8 and (passage.is_class(token, "article") or passage.covering(token, "extent")):
        token -= 1
    named = passage.covering(token, "component")
    if named is None or named.end != token + 1 or named.id in ("pipe", "inlet", "outlet"):
        return None
    if not passage.is_class(named.start - 1, "definite") or passage.measure_over(named.start - 3) is not None:
        return None
    if not passage.is_class(named.start - 2, "passing_by", "beside") and passage.word(named.start - 2) not in (
        "after",
        "before",
    ):
        return None
    known = place_of(state, named)
    return replace(known, to_m=None) if known.from_m is not None else None


def _own_beginning(state: Placing, tag: Tag) -> bool:
    """ "a joint good and there's silt | from 2.4", "water laying in there | starting about 3.8": a beginning of its own
    right behind, further on than the reading that is open.
    """
    passage, token = state.passage, tag.end
    if not (state.breath.holders or state.breath.loose):
        return False
    if tag.id not in (*SPREADING, *LYING) or (tag.id in STATES and tag.id != "full"):
        return False
    while token < tag.end + 7 and not passage.is_class(token, "from"):
        if passage.cue_at(token, "stretch", "begins"):
            break
        small = passage.is_class(token, "inside", "pronoun", "filler", "being_there", "definite", "end_particle")
        small = small or passage.word(token) in ("which", "what", "all")
        part = passage.covering(token, "component") or passage.covering(token, "extent")
        if (not small and part is None) or passage.measure_over(token) or passage.is_class(token, "list"):
            return False
        token += 1
    begins = passage.cue_at(token, "stretch", "begins")
    token = begins.end if begins is not None else token + 1
    token += passage.is_class(token, "at", "from") and passage.measure_over(token) is None
    reading, here = passage.measure_over(token), state.breath.place
    if reading is None or reading.unit not in (None, "m") or here.from_m is None or clock_pair(passage, reading):
        return False
    ends = [m.end for m in passage.measures_from(reading.end, reading.end + 8) if is_stretch(passage, reading, m)]
    end = ends[0] if ends else reading.end
    if begins is None and (opens_statement(state, end) or passage.cue_at(end, "speech_act", "report") is not None):
        return False  # "and it's wet | from 2.8 up to 3.6 there's a belly"
    return length_of(reading)[0] > (here.to_m if here.to_m not in (None, END) else here.from_m)


def _begins_behind(state: Placing, tag: Tag) -> bool:
    """ "a bend | and light grease starts at 1.4", "water's lying in it from four to 4.7": with its own beginning."""
    passage, token = state.passage, tag.end
    while passage.is_class(token, "inside", "pronoun", "filler", "being_there") and not passage.is_class(token, "from"):
        token += 1
    if token == tag.end and passage.is_class(token - 1, "from"):
        token -= 1  # "under water from | three to four"
    begins = passage.cue_at(token, "stretch", "begins")
    if begins is not None and passage.measure_over(begins.end) is not None:
        return True
    if tag.kind == "component" and passage.is_class(tag.end, "at"):  # "... clay tile | joint at twelve foot three"
        withdrawn = any(at in passage.masked for at in range(tag.end + 1, tag.end + 4))
        at = passage.measure_over(tag.end + 1)
        if withdrawn or (at is not None and at.unit in (None, "m") and not opens_statement(state, at.end)):
            return True
    reading = passage.measure_over(token + 1) if passage.is_class(token, "from") else None
    return reading is not None and passage.is_class(reading.end, "to")


def _linked(state: Placing, holder: Tag, tag: Tag) -> bool:
    """Whether a thing is said of the one that holds the place: right behind it, or over "with", "has", "it's"."""
    passage = state.passage
    if tag.id == "material_change":
        return False  # "a bend that's okay and it changes to clay": the line does, not the bend
    if tag.start <= holder.end:
        return True
    between = passage.speech.words[holder.end : tag.start]
    if len(between) > 8:
        return False
    if len(between) <= 2 and not passage.has_class(holder.end, tag.start, "article"):
        return True
    if not {"i", "we", "you"}.isdisjoint(between):
        return False  # "no scale we've got a joint"
    return passage.has_class(holder.end, tag.start, "says_with")


def _where(state: Placing, tag: Tag) -> bool:
    """ "to 12.4 where it's capped", "and at that point it is out of round", "and there it's broken", "finishing at a
    step": at the far end of the stretch.
    """
    passage, at = state.passage, state.breath.at
    if tag.start < at:
        return True  # "from 2.2 to the junction at 4.4"
    before = range(max(at, tag.start - 8), tag.start)
    lies = tag.id in (*SPREADING, "dip", "deformation")
    if passage.word(tag.end) == "there" and not lies and state.breath.place.how != "carried":
        return True
    if any(passage.word(t) in ("that", "which") and passage.is_class(t - 1, "at") for t in before):
        return True
    ends = [t for t in before if _at_its_end(passage, t)]
    if ends and not [t for t in passage.tags_from(ends[-1], tag.start, "condition", "component") if t.id != "pipe"]:
        return True
    if lies:
        return False
    return any(passage.word(token) == "where" for token in range(max(at, tag.start - 5), tag.start))


def _at_its_end(passage: Passage, token: int) -> bool:
    """ "at the end of that", "and there it", "finishing at": not "there is", "from there"."""
    if passage.word(token) == "there":
        told = passage.is_class(token + 1, "copula", "modal", "states_there")
        return not told and not passage.is_class(token - 1, "from", "to", "leads_from", "inside")
    if passage.word(token) == "end":
        return passage.word(token + 1) == "of" and passage.is_class(token + 2, "definite", "pronoun")
    return passage.is_class(token, "ends_verb") and passage.is_class(token + 1, "at", "inside")


def _after_good(state: Placing, tag: Tag) -> bool:
    """ "clear up to 5.5 there's a root mass": what is wrong, behind a stretch that is in order, is at its far end."""
    passage, holders = state.passage, state.breath.holders
    in_order = all(held.id in ("sound", "dry") or held in state.absent for held in holders)
    if not holders or not in_order or tag.id in STATES:
        return False
    if tag not in state.absent and _of_that_one(state.passage, state.breath.at, tag.start):
        return True  # "no cracks from the tank up to the joint at 1.8 and that one's cracked"
    if any(held in state.absent for held in holders):
        return False
    turns = passage.tags_from(state.breath.at, tag.start, "boundary")
    if any(cue.id == "against" for cue in turns) or passage.speech.words[tag.end : tag.end + 2] == ("in", "it"):
        return False  # "no defects but there's grease in it"
    report = [t for t in passage.tags_from(state.breath.at, tag.start, "speech_act") if t.id == "report"]
    told = any("there" in passage.speech.words[t.start : t.end] for t in report)
    told = told or (passage.word(tag.start - 1) == "then" and tag.start - state.breath.at <= 2)
    return told and tag not in state.absent


def _of_that_one(passage: Passage, start: int, end: int) -> bool:
    """ "that one's", "that joint is": the part at the far end of what was told."""
    for token in range(start, end):
        if passage.is_class(token, "definite") and (
            passage.word(token + 1) == "one" or passage.covering(token + 1, "component")
        ):
            return passage.is_class(token + 2, "copula") and end - token <= 5
    return False


def _moves_on(state: Placing, tag: Tag) -> bool:
    """ "and then a bend": a clause that goes on to the next thing, with no distance of its own, is further on."""
    return any(
        (cue.id == "next" or _then_behind(state.passage, cue))
        and state.passage.distance(cue.end, tag.start) <= 6
        and not _met_at_the_end(state, cue)
        and not _next_part(state.passage, cue)
        for cue in state.passage.tags_from(max(state.breath.at, 0), tag.start, "boundary")
    )


def _met_at_the_end(state: Placing, cue: Tag) -> bool:
    """ "nothing till 3.5 | then a crack", "clear to 6.2 then roots": what is met where nothing was up to then."""
    passage, breath = state.passage, state.breath
    if cue.start != breath.at or breath.holders or not breath.place.measures:
        return False
    lead = breath.place.measures[-1].start - 1
    while passage.is_class(lead, "reading_word", "roughly_word") or passage.word(lead) == "the":
        lead -= 1
    told = (
        passage.has_class(lead - 4, lead, "nothing_else") or "nothing" in passage.speech.words[max(0, lead - 4) : lead]
    )
    return passage.is_class(lead, "to", "until_word") and told


def _next_part(passage: Passage, cue: Tag) -> bool:
    """ "at one metre ninety | next joint": the next of its kind, at the reading right in front."""
    part = passage.word(cue.end - 1) == "next" and passage.tags_from(cue.end, cue.end + 1, "component")
    return bool(part) and passage.measure_over(cue.start - 1) is not None


def _not_noted(passage: Passage, tag: Tag, clause: Clause) -> bool:
    """ "I didn't catch the number", "back there somewhere": said of this thing, with no other between."""
    for cue in passage.tags_from(tag.start, min(len(passage), tag.end + NOT_NOTED_REACH), "reference"):
        if (
            cue.id == "not_noted"
            and passage.word(cue.end - 1) == "somewhere"
            and any(passage.measure_over(at) for at in range(cue.end, cue.end + 3))
        ):
            continue  # "somewhere around nine and a half"
        if cue.id == "not_noted":
            other = [t for t in passage.tags_from(tag.end, cue.start, "condition") if t.id != tag.id]
            features = passage.tags_from(tag.end, cue.start, "component")
            other += [t for t in features if passage.word(t.start - 1) in ("a", "an", "another") and t.id != tag.id]
            leads = passage.word(cue.start) == "somewhere" and tag.end != cue.start
            if leads and passage.tags_from(cue.end, cue.end + 8, "condition"):
                break  # "and somewhere along there I saw sand": of the next thing
            readings = [m for m in passage.measures_from(tag.end, cue.start) if m.unit in (None, "m")]
            return not other and all(passage.is_class(m.start - 1, "line_noun") for m in readings)
    for cue in passage.tags_from(max(0, tag.start - 9), tag.end + 6, "reference"):
        if cue.id == "not_noted" and cue.start < tag.start and passage.word(cue.start) == "somewhere":
            if any(passage.measure_over(at) for at in range(cue.end, cue.end + 3)):
                continue
            if any(t.end == cue.start for t in passage.tags_from(cue.start - 6, cue.start, "condition", "component")):
                continue  # "gravel somewhere": said of the thing in front of it
            if passage.tags_from(max(clause.start, cue.start - 5), cue.start, "condition", "component"):
                continue
            return not passage.tags_from(cue.end, tag.start, "condition")
        if cue.end <= tag.start and any(m.unit in (None, "m") for m in passage.measures_from(cue.end, tag.start)):
            continue
        if cue.id == "back_there" and passage.measure_over(cue.end) and passage.is_class(cue.end - 1, "at"):
            continue  # "cracked back at 4.2"
        if cue.start >= tag.end and any(m.unit in (None, "m") for m in passage.measures_from(tag.end, cue.start)):
            continue  # "a rag at 3.7 that i missed"
        if (
            cue.id == "back_there"
            and cue.start >= clause.start
            and not passage.covering(cue.start, "movement")
            and not passage.tags_from(cue.end - 1, cue.end + 2, "structure", "fixture")
        ):
            return True
    return False


def _then_behind(passage: Passage, cue: Tag) -> bool:
    """ "ten mil or so then": the first word of "so then" belongs to the number, so that it is a plain "then"."""
    return passage.word(cue.end - 1) == "then" and passage.measure_over(cue.start) is not None
