"""Where a stretch ends that was told before: "a sag ... goes to ten foot six", "a belly and it comes back up at nine".

The end is told by a verb of going on that leads to the reading ("stays that way to"), by a verb of ending ("lets up
at"), by what is left behind ("out of it at"), or by a bare preposition ("up to"), which may as well tell how far the
camera went.
"""

from dataclasses import dataclass, replace

from extractor.language.clauses import clause_at
from extractor.language.passage import Passage
from extractor.reading import Tag
from extractor.survey.anchors import anchor_of
from extractor.survey.distances import Spoken
from extractor.survey.placing import BREATH, Placing, opens_statement, own_behind
from extractor.survey.rows import END, NOWHERE, Place

END_VERBS = ("goes_on_verb", "comes_out_verb", "ends_verb", "left_behind")  # classes of the lexicon
CREW = ("i", "we", "me", "us", "you")
OF_A_BRANCH = ("capped", "disused", "live", "flowing")  # said of a branch, beside what lies along the pipe
WET = ("standing_water", "full", "dip")
UNPLACED = ("none", "by default")  # places that no reading told
END_REACH = 9  # words from a verb of ending to its reading


POINTS = (  # conditions of one spot, which no bare "to" draws out
    "displaced_joint",
    "open_joint",
    "obstruction",
    "protruding_connection",
    "defective_connection",
    "exposed_seal",
    "missing_part",
    "vermin",
    "capped",
    "disused",
    "live",
    "blockage",
)
LYING = (  # conditions that lie along a pipe, so that "at 8.8 it stops" can tell of their end
    "dip",
    "standing_water",
    "full",
    "deformation",
    "settled_deposit",
    "attached_deposit",
    "grease",
    "surface_damage",
    "crack",
    "fracture",
    "infiltration",
)


@dataclass(frozen=True, slots=True)
class EndTold:
    """The words that tell of an end: from the verb (or the bare "to") up to the reading. `bare`: no verb."""

    start: int
    end: int
    bare: bool = False


def ends_told(state: Placing, spoken: Spoken) -> tuple[list[Tag], Place] | None:
    """The things whose stretch the reading ends, and that stretch: the first rule that tells it."""
    return ends_pair(state, spoken) or ends_stretch(state, spoken) or ends_behind(state, spoken)


def ends_stretch(state: Placing, spoken: Spoken) -> tuple[list[Tag], Place] | None:
    """The things whose stretch this reading ends, and that stretch."""
    told = _end_told(state, spoken)
    if told is None:
        return None
    passage, breath = state.passage, state.breath
    said = sorted((*breath.holders, *breath.loose), key=lambda tag: tag.start)
    candidates = [t for t in said if t.start < told.start and (t.kind == "condition" or t.id == "patch")]
    candidates = [t for t in candidates if _goes_with(state, t, candidates[-1])]
    if told.bare and _starts_anew(state, told, spoken):
        return None
    if told.bare and candidates and candidates[-1] not in state.absent:
        candidates = [t for t in candidates if t.id not in POINTS]
        if candidates and _told_since(passage, candidates[-1], told):
            return None
    if not candidates and not told.bare:
        candidates = _last_lying(state, told)
    if not candidates or passage.distance(candidates[-1].end, told.start) > 14:
        return None
    denied = ("nothing", "none")  # "roots at 6.1 | nothing after that to the soakaway at nine"
    if target_there(state, candidates[-1]) and any(
        passage.word(t) in denied for t in range(candidates[-1].end, told.start)
    ):
        return None
    only = candidates[-1] not in state.absent and candidates[-1].id not in ("sound", "dry")
    if told.bare and only and passage.is_class(told.start - 1, "nothing_else"):
        return None  # "silt at the start, nothing else till 3.8"
    target = candidates[-1]
    if not _reaches(passage, target, told) or _flows_out(passage, target, told):
        return None
    far, own = spoken.place, state.places.get(target, NOWHERE)
    if own.to_m not in (None, END) and told.bare:
        return None  # "from 3 to 4.5 it's full of grease | the last bit up to 5.8"
    if target in state.so_far and not told.bare:
        own = replace(own, to_m=None)  # "still there at nine | and clear of it at twelve"
    near = _near_end(state, target, own, spoken)
    if far.from_m is None or near.from_m is None or far.from_m < near.from_m:
        return None
    rough = near.approximate or far.approximate
    place = Place(near.from_m, far.from_m, rough, "stretch", (*near.measures, *far.measures))
    for tag in passage.tags_from(told.start, told.end, "component"):
        if tag in (*breath.loose, *breath.holders) and tag not in candidates:
            state.places[tag] = far.told("said after")  # "good from the manhole to the junction at 4.4"
    for tag in passage.tags_from(told.start, told.end, "condition"):
        state.places[tag] = Place(how="end told")  # "comes good again at": the good is of no place
    group = [target]
    for tag in reversed(candidates[:-1]):
        place_of = state.places.get(tag, NOWHERE)
        reach = 4 if tag.id != "dip" else 24  # "a dip with about thirty mil of water in it"
        reach = 10 if tag not in state.absent and target in state.absent else reach
        unplaced = place_of.how in UNPLACED and own.how in UNPLACED
        if not unplaced and (place_of.from_m, place_of.to_m) != (own.from_m, own.to_m):
            break
        if group[-1].start - tag.end > reach or (tag.id in OF_A_BRANCH and target.id not in OF_A_BRANCH):
            break
        group.append(tag)
    still = passage.word(told.start) == "still"
    state.so_far = state.so_far | set(group) if still else state.so_far - set(group)
    return group, place


def target_there(state: Placing, tag: Tag) -> bool:
    """Whether the tag tells of something that is there, and no praise."""
    return tag not in state.absent and tag.id not in ("sound", "dry")


def _last_lying(state: Placing, told: EndTold) -> list[Tag]:
    """ "five foot a belly, it bottoms out at seven and comes back up by nine": told before the reading in between."""
    for tag, place in reversed(state.places.items()):
        if told.start - tag.end > 16:
            return []
        if tag.id in LYING and tag not in state.absent and place.from_m is not None and place.to_m in (None, END):
            return [tag]
    return []


def _goes_with(state: Placing, tag: Tag, last: Tag) -> bool:
    """Whether both are denied or both there; what is in order goes with a denial: "dry, no roots, all the way to 5"."""
    in_order = last in state.absent and tag.id in ("sound", "dry")
    return in_order or (tag in state.absent) == (last in state.absent)


def _starts_anew(state: Placing, told: EndTold, spoken: Spoken) -> bool:
    """ "a crack at 3.3 and from there up to 6.6 no roots": the stretch is of what is told behind it."""
    passage, token = state.passage, told.start - 1
    while passage.is_class(token, "pronoun", "end_particle") and not passage.is_class(token, "list"):
        token -= 1
    if not passage.is_class(token, "leads_from"):
        return False
    told_next = passage.cue_at(spoken.end, "negation") or passage.cue_at(spoken.end, "speech_act", "report")
    return told_next is not None or passage.is_class(spoken.end, "pronoun")


def ends_pair(state: Placing, spoken: Spoken) -> tuple[list[Tag], Place] | None:
    """ "sag start at 4.2 finish at 6.1", "into the sag at 3.3 and out of it at 5.1": a word for its start with the
    first reading, a word for its end with the second.
    """
    passage, breath = state.passage, state.breath
    lying = [tag for tag in (*breath.holders, *breath.loose) if tag not in state.absent and tag.kind == "condition"]
    if spoken.stretch or not lying or breath.at < 0 or not 0 < spoken.start - breath.at <= 9:
        return None
    own = state.places.get(lying[-1], NOWHERE)
    if own.from_m is None or own.to_m not in (None, END) or (spoken.place.from_m or 0) <= own.from_m:
        return None
    between = range(breath.at, spoken.start)
    if not passage.has_class(breath.at, spoken.start, "ends_word", "ends_verb"):
        return None
    small = ("ends_word", "ends_verb", "end_particle", "pronoun", "to", "at", "list", "filler", "reading_word", "until")
    again = {t for tag in passage.tags_from(breath.at, spoken.start, "condition") for t in range(tag.start, tag.end)}
    if not all(passage.is_class(token, *small, "definite", "copula") or token in again for token in between):
        return None
    first = own.measures[0].start if own.measures else breath.at
    lead = range(max(0, min(lying[-1].start, first) - 5), breath.at)
    if not any(passage.is_class(token, "starts_word") for token in lead):
        return None
    return _both_ends(state, lying, own, spoken)


def _reaches(passage: Passage, target: Tag, told: EndTold) -> bool:
    """Whether nothing between the thing and the words of its end tells of something else."""
    inside = range(told.start, told.end)
    turns = passage.tags_from(target.end, told.start, "boundary")
    if any(tag.id == "next" and tag.start not in inside for tag in turns):
        return False
    moves = passage.tags_from(target.end, told.start, "movement")
    moves = [tag for tag in moves if not passage.cue_at(tag.start, "stretch", "begins")]  # "the roots start at 4.2"
    if any(tag.id not in ("inspect", "go") for tag in moves):
        return False
    if any(
        tag.end > told.start and tag.kind == "fixture" for tag in passage.tags_from(target.end, told.start, "fixture")
    ):
        return False
    return not any(passage.word(token) in ("i", "we") for token in range(target.end, told.start - 1))


def _flows_out(passage: Passage, target: Tag, told: EndTold) -> bool:
    """ "a junction with water running out of it", "roots coming out of that": the way of what comes, and no end."""
    if target.id == "flowing":
        return "out" in passage.speech.words[told.start : told.end]
    verb = target.end
    while passage.is_class(verb, "filler", "copula", "being_there") and not passage.is_class(verb, "comes_out_verb"):
        verb += 1
    coming = passage.word(verb).endswith("ing") and passage.is_class(verb, "comes_out_verb", "goes_on_verb")
    return coming and "out" in passage.speech.words[verb : told.end] and 0 <= told.start - target.end <= 3


def _told_since(passage: Passage, target: Tag, told: EndTold) -> bool:
    """ "6.8 joint perfect that's all joints done to 8 metres": another statement before the bare "to"."""
    reports = [t for t in passage.tags_from(target.end, told.start, "speech_act") if t.id == "report"]
    parts = passage.tags_from(target.end, told.start, "component")
    definite = [t for t in parts if passage.is_class(t.start - 1, "article", "inside")]
    if any(tag.id == "gone" for tag in passage.tags_from(target.end, told.start, "time")):
        return True  # "a crack at 6.3 | pipe clear to the manhole"
    return len(parts) > len(definite) or any("that" in passage.speech.words[t.start : t.end] for t in reports)


def _near_end(state: Placing, target: Tag, own: Place, spoken: Spoken) -> Place:
    """Where the stretch begins: at the thing's own reading, at the last one ("from there"), or at the opening."""
    passage, breath = state.passage, state.breath
    cues = passage.tags_from(max(target.start - 8, 0), spoken.start, "stretch")
    opening = any(cue.id in ("from_opening", "whole") and cue.start >= target.start - 5 for cue in cues)
    if own.from_m and own.how in ("said before", "said after"):  # "from the tank | the pipe dips at six feet"
        cues = [cue for cue in cues if cue.start >= target.start or cue.id != "from_opening"]
        opening = any(cue.id in ("from_opening", "whole") and cue.start >= target.start - 5 for cue in cues)
    if own.how == "said before" and not any(cue.id == "from_opening" for cue in cues) and target not in state.absent:
        opening = opening and target.id in ("sound", "dry")  # "3.9 dirt light all along to 5.1"
    if own.how == "carried" and target.id in ("sound", "dry") and passage.is_class(target.start - 1, "list"):
        opening = True  # "a bend at 0.6 good | and dry to 2.4"
    onward = any(cue.id in ("from_there", "onwards") and cue.start >= target.start - 8 for cue in cues)
    if (anchor := anchor_of(state, target)).from_m is not None:
        return _far_end(anchor)
    first = own.measures[0].start if own.measures else None
    if first is not None and (passage.is_class(first - 1, "from") or passage.is_class(first, "from")):
        opening = False  # "from eleven there's roots all along to fifteen"
    if (
        own.from_m is not None
        and own.to_m in (None, END)
        and (not opening or onward)
        and target.start - breath.at < BREATH
    ):
        return own
    if breath.place.from_m is not None and onward:
        return _far_end(breath.place)
    if not opening and state.readings and target not in state.absent and _goes_on(passage, target):
        return _far_end(state.readings[-1])  # "clears at 2.9 then clean to 5.1"
    return Place(0.0)


def _far_end(place: Place) -> Place:
    """The reading that a place ends at, as the place where the next begins."""
    return replace(place, from_m=place.to_m if place.to_m not in (None, END) else place.from_m, to_m=None)


def _goes_on(passage: Passage, target: Tag) -> bool:
    """Whether the thing goes on from what was told: "then it's clean", "and then dry"."""
    return any(passage.word(token) in ("then", "after") for token in range(max(0, target.start - 6), target.start))


def _end_told(state: Placing, spoken: Spoken) -> EndTold | None:
    """The words right before the reading that tell of an end, if any."""
    return _verb_told(state, spoken) or _cue_told(state, spoken) or _still_told(state, spoken)


def _still_told(state: Placing, spoken: Spoken) -> EndTold | None:
    """ "standing water from 3.1, still in it at 11.4", "still the same at nine": it goes on to there at least."""
    passage, lead = state.passage, _lead_of(state.passage, spoken.start)
    small = ("inside", "pronoun", "definite", "filler", "goes_on_verb", "being_there", "at", "copula")
    for token in range(lead - 1, max(-1, lead - 6), -1):
        if passage.covering(token, "condition"):
            return None
        if passage.word(token) == "still":
            own = passage.covering(token - 1, "condition")  # "she's holding water | still at 17.8": told anew
            return EndTold(token, spoken.start) if own is None or own in state.breath.holders[:1] else None
        if not passage.is_class(token, *small) and passage.word(token) not in (
            "there",
            "like",
            "same",
            "wet",
            "under",
            "water",
        ):
            return None
    return None


def _lead_of(passage: Passage, start: int) -> int:
    """Back over what only leads to the number: "at the", "chainage", "about"."""
    while start > 0 and (
        passage.is_class(start - 1, "reading_word", "roughly_word", "at") or passage.word(start - 1) == "the"
    ):
        start -= 1
    return start


def _verb_told(state: Placing, spoken: Spoken) -> EndTold | None:
    """ "it stays that way to 4.5", "lets up at 36", "comes back out at 27", "we're out of it by 6.1"."""
    passage = state.passage
    last = _lead_of(passage, spoken.start) - 1
    if not passage.has_class(last - END_REACH + 1, last + 1, *END_VERBS):
        return None
    leads = passage.is_class(spoken.start, "to")
    for verb in range(last, max(-1, last - END_REACH), -1):
        if passage.measure_over(verb) is not None:
            return None
        told = passage.covering(verb, "condition")
        if told is not None and told.id in ("flowing", "deformation", "displaced_joint"):
            return None  # "there's water running out of it", "it's gone out of round | 2.9"
        if passage.is_class(verb, *END_VERBS) and _tells_end(state, verb, spoken, leads):
            while passage.is_class(verb - 1, "goes_on_verb"):
                verb -= 1
            goes_on = any(passage.word(t) in ("and", "then") for t in range(verb, spoken.start))
            if passage.is_class(verb, "left_behind") and passage.is_class(verb - 1, "copula") and not goes_on:
                verb -= 1 + (passage.word(verb - 2) in CREW)  # "silt, | and I'm through it by 2.9"
            return EndTold(verb, spoken.start)
        if not passage.is_class(verb, "end_particle", "to", "filler", "at", *END_VERBS):
            return None
        leads = leads or passage.is_class(verb, "to") or passage.word(verb) == "far"
    return None


def _tells_end(state: Placing, verb: int, spoken: Spoken, leads: bool) -> bool:
    """Whether a verb before the reading tells where a finding ends, and not how far the camera went."""
    passage = state.passage
    going = leads and passage.is_class(verb, "goes_on_verb")
    if not (going or _comes_out(passage, verb, spoken.start) or _left_behind(passage, verb, spoken.start)):
        return False
    before = verb - 1
    while passage.is_class(before, "filler") or passage.word(before) in ("not", "does", "do", "did"):
        before -= 1
    camera = passage.is_class(before, "camera_word", "camera_part") or passage.word(before) in CREW
    if passage.covering(before, "material") is not None and passage.is_class(verb, "goes_on_verb"):
        return False  # "a break in the pipe and this plastic carries on to 3.1"
    if camera and not any(passage.word(token) in ("it", "that", "them") for token in range(verb, spoken.start)):
        return False  # "we come up to 4.2"
    opens = opens_statement(state, spoken.end) and not own_behind(state, spoken.end)
    refuses = passage.word(verb - 1) == "not" and passage.has_class(verb, spoken.start, "until_word")
    if refuses and not camera:
        return True  # "it doesn't come up till thirteen there's three inches of water in it"
    if passage.is_class(verb, "goes_as_camera") and opens:
        return False  # "carrying on to 4.2 a junction"
    if going:
        return True
    inside = spoken.end + 4 if passage.is_class(spoken.end, "inside") else spoken.start
    return not passage.tags_from(verb, inside, "structure", "fixture")  # "comes out at the kerb at nine"


def ends_behind(state: Placing, spoken: Spoken) -> tuple[list[Tag], Place] | None:
    """ "at 8.8 it lets up", "4.4 and we're out of it": the end of what lies along the pipe, told behind its reading."""
    passage, token = state.passage, spoken.end
    lying = [tag for tag in (*state.breath.holders, *state.breath.loose) if tag.id in LYING and tag not in state.absent]
    if spoken.stretch or not lying:
        return None
    own = state.places.get(lying[-1], NOWHERE)
    goes_on = own.to_m in (None, END) or lying[-1] in state.so_far
    if own.from_m is None or not goes_on or (spoken.place.from_m or 0) <= own.from_m:
        return None
    while passage.is_class(token, "list", "filler"):
        token += 1
    again = [t for t in passage.tags_from(token + 1, token + 5, "condition") if t.id == lying[-1].id]
    if again and passage.is_class(token, "left_behind", "end_noun") and passage.word(token + 1) == "of":
        state.ended.add(again[0])  # "5.5 out of the sag"
        return _both_ends(state, lying, own, spoken)
    if _out_of_it(passage, spoken.end):
        return _both_ends(state, lying, own, spoken)
    if lying[-1].id in WET and (under := _goes_under(passage, token)) is not None:
        state.ended.update(t for t in passage.tags_from(token, under + 2, "condition") if t.id in WET)
        for tag, place in list(
            state.places.items()
        ):  # "4.0 it's holding water, 5.0 it's half full, 6.0 the lens is under"
            open_still = tag.start >= state.since and place.from_m is not None and place.to_m in (None, END)
            if tag.id in WET and open_still and tag not in state.absent and spoken.start - tag.end <= BREATH:
                state.places[tag] = replace(place, to_m=spoken.place.from_m, how="stretch")
        return _both_ends(state, lying, own, spoken)
    named = passage.is_class(token, "definite") and any(
        tag.id == lying[-1].id for tag in passage.tags_from(token + 1, token + 3, "condition")
    )
    if not (named or passage.word(token) in ("it", "she", "he", "that", "they", *CREW)):
        return None
    for verb in range(token + 1, token + 5):
        if passage.measure_over(verb) is not None:
            return None
        if passage.is_class(verb, "ends_verb", "comes_out_verb", "left_behind"):
            end = verb + 1
            while passage.is_class(end, "end_particle", "filler") and not passage.is_class(end, "list"):
                end += 1
            out_of = [t for t in range(verb, verb + 5) if passage.word(t) == "of" and passage.word(t - 1) == "out"]
            if out_of and passage.is_class(out_of[0] + 1, "pronoun", "definite"):
                return _both_ends(state, lying, own, spoken)  # "at twelve feet | i come up out of it"
            camera = passage.word(token) in CREW and not passage.is_class(verb, "left_behind")
            told = _comes_out(passage, verb, end) or _left_behind(passage, verb, end)
            inside = passage.is_class(end, "inside", "to") or passage.tags_from(verb, end + 4, "structure", "fixture")
            if camera or not told or inside or passage.tags_from(token, end, "ending"):
                return None
            return _both_ends(state, lying, own, spoken)
    return None


def _goes_under(passage: Passage, token: int) -> int | None:
    """ "at eighteen feet | the lens is under": water that goes on to where the camera went under."""
    while passage.is_class(token, "definite", "filler") or passage.word(token) in CREW:
        token += 1
    while passage.is_class(token, "camera_word", "camera_part", "pronoun", "copula"):
        token += 1
    closes = passage.is_class(token + 1, "list", "pronoun", "definite") or token + 1 >= len(passage)
    closes = (
        closes or passage.cue_at(token + 1, "boundary") is not None or passage.word(token + 1) in ("so", "water", "it")
    )
    return token if passage.is_class(token, "lens_under") and closes else None


def _out_of_it(passage: Passage, token: int) -> bool:
    """ "5.1 back out", "4.4 end of it": nothing but the words of an end behind the reading."""
    start = token
    while passage.is_class(token, "ends_word", "end_particle", "ends_verb") and not passage.is_class(token, "list"):
        token += 1
    if not any(passage.is_class(t, "ends_word") for t in range(start, token)) or passage.word(token - 1) in (
        "on",
        "up",
    ):
        return False
    closes = token >= len(passage) or passage.speech.breaks[token] or passage.is_class(token, "list")
    closes = closes or passage.measure_over(token) is not None or passage.is_class(token, "at")
    return closes or passage.cue_at(token, "boundary") is not None


def _both_ends(state: Placing, lying: list[Tag], own: Place, spoken: Spoken) -> tuple[list[Tag], Place]:
    """What lies at `own`, and its stretch to the reading."""
    rough = own.approximate or spoken.place.approximate
    measures = (*own.measures, *spoken.place.measures)
    place = replace(own, to_m=spoken.place.from_m, approximate=rough, how="stretch", measures=measures)
    return [tag for tag in lying if state.places.get(tag, NOWHERE) == own], place


def _comes_out(passage: Passage, verb: int, end: int) -> bool:
    """A verb of ending ("lets up", "stops"), or of coming with the way out of it ("comes back up", not "comes in")."""
    if passage.is_class(verb, "ends_verb"):
        return True
    ways = [passage.word(token) for token in range(verb + 1, end)]
    if passage.is_class(verb, "goes_on_verb"):
        return "back" in ways and ways[-1] != "to"
    if not passage.is_class(verb, "comes_out_verb") or ways[-1:] == ["to"]:
        return False
    named = passage.covering(verb - 1, "component") or passage.covering(verb - 1, "condition")
    if named is not None and named.id not in LYING:
        return any(word in passage.classes["made_good"] for word in ways)  # "a lateral comes up at" is no end
    return any(word in passage.classes["way_out"] for word in ways)


def _left_behind(passage: Passage, verb: int, end: int) -> bool:
    """ "out of it", "clear of the silt", "out the other side", "we're past it"; not "falling in through it"."""
    words = passage.speech.words[verb:end]
    if not passage.is_class(verb, "left_behind"):
        return False
    if "of" in words[1:3] or "side" in words:
        return True
    return passage.is_class(verb - 1, "copula") and any(word in ("it", "that", "them") for word in words[1:2])


def _cue_told(state: Placing, spoken: Spoken) -> EndTold | None:
    """The fixed phrases of the lexicon, a bare "to", and an end told by what is there."""
    passage = state.passage
    at = spoken.start
    while passage.is_class(at - 1, "reading_word") or passage.word(at - 1) == "the":
        at -= 1
    if passage.covering(at - 1, "doubt"):
        return None  # "hard to say | 22 feet"
    cue = passage.covering(at - 1, "stretch") or passage.covering(at, "stretch")
    if cue is not None and cue.id in ("until", "ends", "whole") and at <= cue.end <= spoken.end:
        words = passage.speech.words[cue.start : cue.end]
        if passage.covering(cue.start - 1, "material") is not None:
            return None  # "this plastic | carries on to 3.1"
        bare = cue.id == "until" and all(passage.is_class(t, "end_particle", "to") for t in range(cue.start, cue.end))
        leads = cue.id != "whole" or (passage.is_class(cue.end - 1, "to") and words[-1] != "through")
        same = _like_that(passage, cue.start)
        if leads and same is not None:
            return EndTold(same, spoken.start)
        if leads and words not in (("through",), ("thru",)) and not (bare and _moved(passage, cue)):
            return EndTold(cue.start, spoken.start, bare)
    named = next((c for c in passage.tags_from(max(0, at - 4), at, "stretch") if c.id == "to_this_point"), None)
    if named is not None and passage.covering(named.end - 1, "component") and named.end < at <= named.end + 2:
        return EndTold(named.start, spoken.start, True)  # "stays like that | up to the bend | at 2.2"
    reached = _till_reached(state, spoken)
    return EndTold(reached.start, spoken.start, True) if reached is not None else None


def _like_that(passage: Passage, token: int) -> int | None:
    """ "and it's like that | through to", "that's how it is | up to", "same | as far as": where the words begin."""
    at = token - 1
    while passage.is_class(at, "end_particle") and passage.word(at) in (
        "all",
        "way",
        "the",
        "on",
        "right",
        "up",
        "down",
    ):
        at -= 1
    if passage.word(at) in ("that", "this") and passage.word(at - 1) in ("like", "as"):
        return at - 1
    if passage.word(at) == "is" and passage.word(at - 1) == "it" and passage.word(at - 2) == "how":
        return at - 2
    return at if passage.word(at) in ("same", "likewise") else None


def led_past(state: Placing, spoken: Spoken) -> Place | None:
    """ "past 4.2 it's all roots", "after 4.2 it's dry": from the reading to the end, for what lies along the pipe."""
    before = state.passage.word(spoken.start - 1)
    if spoken.stretch or spoken.place.from_m is None or before not in ("past", "beyond", "after"):
        return None
    return replace(spoken.place, to_m=END, how="onwards")


def led_up_to(state: Placing, spoken: Spoken) -> Place | None:
    """ "up to 4.4 there's no cracks", "as far as 6.1 it's dry": the stretch to a reading that opens its statement; from
    the opening, or from the last reading where it goes on with "then".
    """
    passage = state.passage
    at = _lead_of(passage, spoken.start)
    cue = passage.covering(at - 1, "stretch") or passage.covering(at, "stretch")
    if spoken.stretch or cue is None or cue.id != "until" or not at <= cue.end <= spoken.end:
        return None
    if cue.end - cue.start < 2 or _moved(passage, cue) or spoken.place.from_m is None:
        return None
    before = cue.start - 1
    opens = clause_at(state.clauses, cue.start).start >= before or passage.is_class(before, "list", "filler")
    if not (opens or passage.covering(before, "boundary") or passage.covering(before, "direction")):
        return None
    near = 0.0
    if passage.has_class(cue.start - 3, cue.start, "goes_further") and state.readings:
        last = state.readings[-1]
        near = (last.to_m if last.to_m not in (None, END) else last.from_m) or 0.0
    if near >= spoken.place.from_m:
        return None
    return replace(spoken.place, from_m=near, to_m=spoken.place.from_m, how="stretch")


def _moved(passage: Passage, cue: Tag) -> bool:
    """ "moving along to", "brings us to", "so on to": how far the camera went."""
    before = cue.start - 1
    while passage.word(before) in ("on", "along", "up", "down", "back", "now"):
        before -= 1
    if passage.word(before) in ("me", "us", "i", "we", "you") or passage.is_class(before, "moves_camera"):
        return True
    return passage.word(cue.start) in ("on", "onto")  # no verb of a finding before it: "the towel's gone | on to 4.2"


def _till_reached(state: Placing, spoken: Spoken) -> Tag | None:
    """ "doesn't quit till I hit the tank at 19 foot 4", "until we get to 8.2", "up to where it stops at 7.7", "to the
    chamber at 6.4": an end told by what is there or by coming there, with its distance behind.
    """
    passage = state.passage
    for cue in reversed(passage.tags_from(max(0, spoken.start - 9), spoken.start, "stretch")):
        if cue.id not in ("until", "ends", "whole") or passage.measures_from(cue.end, spoken.start):
            continue
        told = passage.tags_from(cue.end, spoken.start, "condition", "boundary")
        told = [t for t in told if t.kind != "boundary" or passage.word(t.start - 1) != "the"]  # "the next joint"
        if told and passage.word(cue.end) != "where":
            return None
        till = any(word in ("till", "til", "until") for word in passage.speech.words[cue.start : cue.end])
        places = passage.tags_from(cue.end, spoken.start, "structure", "fixture", "component")
        if till and (places or passage.tags_from(cue.end, spoken.start, "ending")):
            return cue
        small = all(_comes_there(passage, token) for token in range(cue.end, spoken.start))
        if small and (till or passage.word(cue.end) == "where") and cue.end < spoken.start:
            return cue
        leads = passage.is_class(cue.end - 1, "to") or passage.word(cue.end - 2) == "far"
        if places and leads and _names_end(passage, cue, places[0], spoken):
            return cue
    return None


def _comes_there(passage: Passage, token: int) -> bool:
    """A small word of coming somewhere: "we get to", "where it stops at"."""
    small = ("someone", "pronoun", "gets_on", "ends_verb", "copula", "to", "at", "filler", "reading_word", "halts")
    return passage.is_class(token, *small) or passage.word(token) in ("where", "there", "about", "the", "'re", "'m")


def _names_end(passage: Passage, cue: Tag, place: Tag, spoken: Spoken) -> bool:
    """ "to | the chamber | at 6.4": only an article before the place, only "at" behind it."""
    before = all(
        passage.is_class(token, "article", "filler", "definite", "side", "one_more")
        or passage.word(token) in ("next", "following", "last", "previous")
        or ((number := passage.measure_over(token)) is not None and number.unit == "ordinal")
        for token in range(cue.end, place.start)
    )
    behind = all(
        passage.is_class(token, "at", "reading_word", "filler", "article") for token in range(place.end, spoken.start)
    )
    led = passage.is_class(spoken.start - 1, "at", "reading_word") or passage.is_class(spoken.start, "at")
    return before and behind and led and place.end <= spoken.start
