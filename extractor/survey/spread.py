"""What is said of a whole line, of all up to here, of all from here on: "no roots to this point", "dry to the end"."""

from dataclasses import replace

from extractor.language.clauses import Clause, clause_at
from extractor.language.passage import Passage
from extractor.reading import Tag
from extractor.survey.anchors import Said, anchored, as_denied, closes, in_material
from extractor.survey.distances import Spoken
from extractor.survey.placing import SPREADING, Placing
from extractor.survey.rows import END, NOWHERE, Place
from extractor.survey.told_lines import whole_told
from extractor.survey.two_ends import told_between

DRAWN = ("deformation", "crack", "fracture", "infiltration")  # may lie along a pipe as well
LIKE_REACH = 8  # words from a stretch to what is told "too"


def spread_of(state: Placing, tag: Tag, clause: Clause, denied: bool, here: Place) -> Place | None:
    """Said of a whole line, of all up to here, or of all from here on: the first of these that the words tell."""
    said = _said(state, tag, clause, denied, here)
    for rule in (
        _up_to_here,
        told_between,
        _between_readings,
        _fronted,
        in_material,
        anchored,
        _whole,
        _onwards,
        _dry_again,
        _through,
        as_denied,
        _as_the_last,
    ):
        place = rule(state, said)
        if place is not None:
            return place
    return None


def _said(state: Placing, tag: Tag, clause: Clause, denied: bool, here: Place) -> Said:
    passage, end = state.passage, _statement_end(state, clause)
    start = max(clause.start, tag.start - 4)
    if state.breath.holders or state.breath.loose:
        start = max(start, state.breath.at)
    cues: dict[str, Tag] = {}
    ahead = [*_fronted_whole(state, tag, clause, denied), *_fronted_here(state, tag, denied)]
    told = [*ahead, *passage.tags_from(start, end, "stretch")]
    for cue in told:
        pointing = passage.word(cue.end) in ("there", "here") and not passage.is_class(cue.end + 1, "copula")
        leads = passage.is_class(cue.end - 1, "to", "until_word") and passage.word(cue.end - 1) != "through"
        if pointing and leads and cue.id in ("until", "whole"):
            cue = Tag(cue.start, cue.end + 1, "stretch", "to_this_point")  # "dry all the way to | there"
        cues.setdefault(cue.id, cue)
    return Said(tag, clause, denied, here, start, end, cues)


def _fronted_whole(state: Placing, tag: Tag, clause: Clause, denied: bool) -> list[Tag]:
    """ "the whole line is free of silt and cracks", "that whole run's clean, no roots": told in front, further off."""
    passage = state.passage
    near = max(state.breath.at, tag.start - 12, 0)
    cues = [cue for cue in passage.tags_from(near, tag.start, "stretch") if cue.id == "whole"]
    cues = [cue for cue in cues if passage.has_class(cue.start, cue.end, "line_of_a_cue")]
    if not cues or not denied:
        return []
    between = passage.tags_from(cues[-1].end, tag.start, "condition", "boundary", "movement", "action")
    small = all(t in state.absent or t.id in ("sound", "dry", "inspect") for t in between)
    led = passage.is_class(cues[-1].end, "copula") or passage.is_class(cues[-1].end, "pronoun")
    return cues[-1:] if small and led and not passage.measures_from(cues[-1].end, tag.start) else []


def _fronted_here(state: Placing, tag: Tag, denied: bool) -> list[Tag]:
    """ "I'm at three metres and up to this point | there are no roots no cracks and no water": told in front of all."""
    passage = state.passage
    near = max(state.breath.at, tag.start - 14, 0)
    cues = [cue for cue in passage.tags_from(near, tag.start, "stretch") if cue.id == "to_this_point"]
    report = passage.cue_at(cues[-1].end, "speech_act", "report") if cues else None
    if report is None or not denied or passage.measures_from(cues[-1].end, tag.start):
        return []
    between = passage.tags_from(report.end, tag.start, "condition", "component", "boundary", "movement", "action")
    return cues[-1:] if all(t in state.absent for t in between) else []


def _up_to_here(state: Placing, said: Said) -> Place | None:
    """ "no roots to this point", "still no roots", "good up to there": from the opening to the last reading."""
    passage, tag, here = state.passage, said.tag, said.here
    cue = said.cues.get("to_this_point") or (_not_yet(passage, tag) if said.denied else None)
    if cue is not None and cue.start < tag.start and passage.word(cue.end) == "so":
        return None  # "so far so good"
    if cue is None or cue.start - tag.end > 14 or not (said.denied or tag.id in ("sound", "dry")):
        return None
    readings = passage.measures_from(tag.end, cue.start)
    if any(m.unit in (None, "m") and m.start - tag.end <= 3 for m in readings):
        return None  # "no infiltration at 1.85 | 2.5 no scale to this point"
    if not said.denied and passage.tags_from(tag.end, cue.start, "condition", "negation"):
        return None  # "a junction in good order with no water up to this point"
    last = here.to_m if here.to_m not in (None, END) else here.from_m
    return Place(0.0, last, here.approximate, "to this point", here.measures) if last is not None else NOWHERE


def _between_readings(state: Placing, said: Said) -> Place | None:
    """ "a bend at 2.2 a bend at 6.1 and nothing between, no roots"."""
    tag = said.tag
    told = _between_told(state.passage, max(state.breath.at, tag.start - 8), tag.end + 4)
    if told is None or not (said.denied or tag.id in SPREADING) or len(state.readings) < 2:
        return None
    if told.start >= tag.end and state.passage.is_class(told.start - 1, "list"):
        return None  # "a root poking through | and between those two the pipe's good"
    near, far = state.readings[-2:]
    if near.from_m is None or far.from_m is None or near.from_m >= far.from_m:
        return None
    rough = near.approximate or far.approximate
    return Place(near.from_m, far.from_m, rough, "between", (*near.measures, *far.measures))


def _fronted(state: Placing, said: Said) -> Place | None:
    """ "from there on it's roots all the way", "after 4.2 it's dry all the way": where it begins is told in front."""
    passage, tag, here, breath = state.passage, said.tag, said.here, state.breath
    ahead = [cue for cue in passage.tags_from(max(0, tag.start - 8), tag.start, "stretch") if cue.id == "onwards"]
    leads = bool(ahead) and ahead[-1].start >= breath.at and 0 <= tag.start - ahead[-1].end <= 4
    if leads and here.from_m is not None and "whole" in said.cues and is_onwards(state, ahead[-1]):
        near = here.to_m if here.to_m not in (None, END) else here.from_m
        return replace(here, from_m=near, to_m=END, how="onwards")
    drawn = tag.id in (*SPREADING, *DRAWN) and not said.denied and leads and ahead[-1].end - ahead[-1].start > 2
    drawn = drawn and not (passage.is_class(tag.end, "from") and passage.measure_over(tag.end + 1))
    if drawn and here.from_m is not None and is_onwards(state, ahead[-1]):
        near = here.to_m if here.to_m not in (None, END) else here.from_m
        return replace(here, from_m=near, to_m=END, how="onwards")  # "from there on there's water sitting in it"
    if breath.up_to is not None and not breath.holders and said.clause.start <= breath.at + 1:
        return breath.up_to if said.denied or tag.id in SPREADING else None
    return None


def _whole(state: Placing, said: Said) -> Place | None:
    """ "dry the whole way", "no cracks on the whole of that one"; of a stretch, where one is spoken of."""
    passage, tag, here = state.passage, said.tag, said.here
    whole = said.cues.get("whole") or whole_told(passage, said.start, said.end)
    if whole is None or _until_follows(state, whole):
        return None
    if not said.denied and passage.tags_from(tag.end, whole.start, "negation"):
        return None  # "it's capped | no roots and no cracks in that one"
    led = passage.measure_over(whole.start - 1)
    if led is not None and passage.is_class(led.start - 1, "from"):
        return None  # "from 6.4 to the end"
    behind = passage.measures_from(whole.end, whole.end + 5)
    if any(passage.is_class(m.start - 1, "from") or passage.is_class(m.start, "from") for m in behind):
        return None  # "roots every metre or so from 2.2 to 6.1"
    opening = passage.cue_at(whole.end, "stretch", "from_opening")
    if opening is not None and passage.measures_from(opening.end, opening.end + 8):
        return None  # "all the way from the gully to the four metre mark"
    if here.to_m == END and here.from_m and said.clause.start <= state.breath.at + 1:
        return here.told("onwards")  # "from two on it's fat the whole way"
    named = _stretch_named(state, whole)
    of_it = passage.word(whole.end) == "it" or passage.word(whole.end - 1) == "it"
    of_it = of_it and any(t.id == "dip" for t in state.breath.holders)  # "a belly ... water the whole length of it"
    if (
        named is None
        and here.how == "stretch"
        and here.to_m not in (None, END)
        and (of_it or not _the_line(passage, whole))
    ):
        named = here
    if named is not None and not said.denied:
        return named.told("stretch")
    if said.denied or (tag.id in SPREADING and _means_all(passage, whole) and whole.start - tag.end <= 5):
        return Place(0.0, END, False, "whole")
    return None


def _onwards(state: Placing, said: Said) -> Place | None:
    """ "from there out it's dry", "scale from here on": from the last reading to the end."""
    cue, here = said.cues.get("onwards"), said.here
    if cue is None or here.from_m is None or said.tag.kind == "component":
        return None
    between = state.passage.measures_from(said.tag.end, cue.start)
    if any(m.unit in (None, "m") for m in between):
        return None  # "roots at 6.1 | nothing after that"
    fronted = 0 <= said.tag.start - cue.end <= 4 and cue.start >= said.clause.start
    if not (fronted or 0 <= cue.start - said.tag.end <= 8) or not is_onwards(state, cue):
        return None
    if cue.start >= said.tag.end and not closes(state, cue.end):
        return None  # "at 4.4 a crack | from there on it's dry"
    near = here.to_m if here.to_m not in (None, END) and here.to_m < state.furthest else here.from_m
    return Place(near, END, here.approximate, "onwards", here.measures)


def _dry_again(state: Placing, said: Said) -> Place | None:
    """ "a belly from 3.9 to 5.2 | then it's dry again": from where the stretch ends to the end of the run."""
    passage, tag, here = state.passage, said.tag, said.here
    if tag.id not in ("dry", "sound") or said.denied or here.to_m in (None, END):
        return None
    wet = any(held.id in ("dip", "standing_water", "full") for held in (*state.breath.holders, *state.breath.loose))
    then = passage.has_class(state.breath.at, tag.start, "and_now", "next_word")
    again = passage.word(tag.end) == "again" or passage.word(tag.end - 1) == "again"
    own = passage.measures_from(tag.end, tag.end + 4)
    if not (wet and then and again) or any(passage.is_class(m.start - 1, "at", "from") for m in own):
        return None
    return Place(here.to_m, END, here.approximate, "onwards", here.measures)


def _through(state: Placing, said: Said) -> Place | None:
    """ "dry from the box to the tank", "clear from the box right to the end": no reading, so the whole line."""
    passage, tag = state.passage, said.tag
    opening = said.cues.get("from_opening")
    behind = passage.tags_from(tag.end, said.end, "stretch") if opening is not None else []
    through = next((cue for cue in behind if cue.id == "from_opening"), None)
    if through is not None and through.start - tag.end <= 3:
        places = passage.tags_from(through.end, through.end + 9, "structure", "fixture")
        named = any(passage.is_class(place.start - 1, "article", "to") for place in places)
        if named and not passage.measures_from(through.end, through.end + 9):
            return Place(0.0, END, False, "whole")
    if said.denied and _between_ends(passage, tag.end):
        return Place(0.0, END, False, "whole")
    if opening is None or passage.measures_from(opening.end, opening.end + 8):
        return None
    ends = passage.tags_from(opening.end, opening.end + 5, "stretch", "ending")
    if any(cue.id == "line_end" or passage.word(cue.end - 1) == "end" for cue in ends):
        return Place(0.0, END, False, "whole")
    return None


def _between_ends(passage: Passage, start: int) -> bool:
    """ "between the chamber and the gully": from where the run began to where it ended."""
    for token in passage.tokens_of(start, start + 10, (), ("between",)):
        named = passage.tags_from(token + 1, token + 9, "structure", "fixture")
        if len(named) > 1 and passage.has_class(named[0].end, named[1].start, "list"):
            return not passage.measures_from(token, named[1].end)
    return False


def _as_the_last(state: Placing, said: Said) -> Place | None:
    """ "good pipe all the way and it's dry too": the stretch that was told of the last thing."""
    passage, tag = state.passage, said.tag
    if tag.id not in SPREADING or said.denied or not passage.is_class(tag.end, "also_word"):
        return None
    last = next(reversed(state.places), None)
    if last is None or last.id not in SPREADING or not 0 <= tag.start - last.end <= LIKE_REACH:
        return None
    if passage.measures_from(last.end, tag.start) or passage.tags_from(last.end, tag.start, "boundary"):
        return None
    known = state.places[last]
    return known if known.to_m is not None else None


def told_to_this_point(state: Placing, spoken: Spoken) -> list[Tag]:
    """ "no standing water up to this point 4.4 metres": what is denied up to a reading that stands behind the words."""
    passage = state.passage
    cues = passage.tags_from(max(0, spoken.start - 7), spoken.start, "stretch")
    cue = next((cue for cue in cues if cue.id == "to_this_point"), None)
    if cue is None and (yet := passage.tokens_of(spoken.start - 3, spoken.start, (), ("yet",))):
        cue = Tag(yet[0], yet[0] + 1, "stretch", "to_this_point")
    small = ("at", "reading_word", "copula", "filler", "article", "list", "someone")
    if cue is None or not all(passage.is_class(token, *small) for token in range(cue.end, spoken.start)):
        return []
    loose = [t for t in state.breath.loose if t in state.absent and passage.distance(t.end, cue.start) <= 14]
    return [t for t in loose if state.places.get(t, NOWHERE).how in ("none", "by default")]


def _not_yet(passage: Passage, tag: Tag) -> Tag | None:
    """ "4.2 and no sign of roots yet", "still no roots": up to the reading."""
    for token in range(tag.end, tag.end + 3):
        if passage.word(token) == "yet":
            return Tag(token, token + 1, "stretch", "to_this_point")
        if passage.is_class(token, "list", "at"):
            break
    if any(passage.word(t) == "yet" and passage.word(t - 1) == "nothing" for t in range(tag.start - 8, tag.start)):
        return Tag(tag.end, tag.end, "stretch", "to_this_point")  # "three metres nothing yet no roots no cracks"
    if any(passage.word(token) == "still" for token in range(max(0, tag.start - 5), tag.start)):
        return Tag(tag.end, tag.end, "stretch", "to_this_point")
    return None


def _between_told(passage: Passage, start: int, end: int) -> Tag | None:
    """ "nothing between", "none in between them": between the last two readings, where no number stands behind it."""
    for token in passage.tokens_of(start, end, (), ("between",)):
        if passage.measure_over(token) is not None:
            continue
        after = token + 1
        while passage.word(after) in ("them", "those", "the", "these", "two", "of", "at", "all"):
            after += 1
        named = [t for t in passage.tags_from(after, after + 1, "structure", "component") if t.id != "pipe"]
        if passage.measures_from(after, after + 2) or named:
            continue
        return Tag(token, after, "stretch", "between")
    return None


def is_onwards(state: Placing, cue: Tag) -> bool:
    """ "from there out", "2.2 onwards"; not the "onwards there's" that begins the next statement."""
    passage = state.passage
    if _until_follows(state, cue) or passage.measure_over(cue.end):
        return False
    before = passage.measure_over(cue.start - 1)
    if cue.end - cue.start == 1 and before is None and passage.cue_at(cue.end, "speech_act", "report"):
        return False
    return cue.end - cue.start > 1 or (before is not None and before.unit in (None, "m"))


def _stretch_named(state: Placing, whole: Tag) -> Place | None:
    """ "all the way through the sag": the stretch of the thing named behind the cue."""
    for tag in state.passage.tags_from(whole.end - 1, whole.end + 4, "condition"):
        for earlier, place in reversed(state.places.items()):
            if earlier.id == tag.id and place.to_m not in (None, END):
                return place
    return None


def _statement_end(state: Placing, clause: Clause) -> int:
    """The end of the clause and of those that only go on with "and no ..." behind it."""
    end, passage = clause.end, state.passage
    while end < len(passage) and (
        (passage.is_class(end, "list") and passage.cue_at(end + 1, "negation")) or passage.word(end) == "nor"
    ):
        end = clause_at(state.clauses, end).end
    return end


def _until_follows(state: Placing, cue: Tag) -> bool:
    passage = state.passage
    if passage.is_class(cue.end - 1, "to"):
        return passage.measure_over(cue.end) is not None or passage.measure_over(cue.end - 1) is not None
    until = passage.cue_at(cue.end, "stretch", "until") or (passage.cue_at(cue.end - 1, "stretch", "until"))
    return until is not None and passage.measure_over(until.end) is not None


def _the_line(passage: Passage, cue: Tag) -> bool:
    words = passage.speech.words[cue.start : cue.end]
    return any(word in passage.classes["whole_line_word"] for word in words)


def _means_all(passage: Passage, cue: Tag) -> bool:
    words = passage.speech.words[cue.start : cue.end]
    return any(word in passage.classes["means_all"] for word in words)


def _headed_for(passage: Passage, place: Tag) -> bool:
    """ "heading back up to the house at 1.3": where the camera is to go, and not where it came."""
    lead = place.start - 1
    while passage.is_class(lead, "article", "side"):
        lead -= 1
    if not passage.is_class(lead, "heads_to"):
        return False
    return any(
        each.kind == "direction" or each.id == "go"
        for each in passage.tags_from(lead - 4, lead + 1, "movement", "direction")
    )


def _reached_behind(passage: Passage, start: int, end: int) -> bool:
    """ "6.6 metres | to the | box": only small words between the reading and where the camera came."""
    return end - start <= 3 and all(
        passage.is_class(t, "article", "to", "at", "copula", "pronoun") for t in range(start, end)
    )


def run_over(state: Placing, tag: Tag) -> bool:
    """Whether the camera came to the end of its run round the last distance, before the thing denied is told."""
    passage, start = state.passage, state.breath.at
    if start < 0:
        return False
    endings = passage.tags_from(max(0, start - 12), tag.start, "ending")
    if any(
        cue.id not in ("passed", "arrival", "bars") and (cue.end > start - 4 or cue.start >= start) for cue in endings
    ):
        return True
    near = passage.tags_from(max(0, start - 6), tag.start, "structure", "fixture")
    near += [t for t in passage.tags_from(start, tag.start, "component") if t.id == "stack"]
    structures = [
        each
        for each in near
        if not _headed_for(passage, each) and not passage.tags_from(each.end, start, "direction", "movement")
    ]  # nor "in at the chamber going upstream, two foot in no roots": where it went in
    apart = clause_at(state.clauses, tag.start).start > start
    measure = passage.measure_over(start - 1)
    lead = measure.start - 1 if measure is not None else start
    named = passage.is_class(lead, "at") and any(tag.end == lead for tag in structures)  # "the manhole at 11.9"
    behind = [each for each in structures if each.start >= start and _reached_behind(passage, start, each.start)]
    return bool(structures) and (named or apart or bool(behind) or any(cue.id == "arrival" for cue in endings))
