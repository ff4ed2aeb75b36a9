"""Things told in front of their distance: "light roots at six metres", "cracks at 3.2 and 3.6"."""

from extractor.language.clauses import clause_at, is_boundary
from extractor.language.passage import Passage
from extractor.reading import Tag
from extractor.survey.distances import Spoken
from extractor.survey.placing import (
    STATES,
    Placing,
    lead_start,
    only_denied,
    opens_statement,
    own_behind,
    told_alike,
    told_of_the_end,
    words_between,
)
from extractor.survey.rows import END, NOWHERE

INSIDE = 9  # the same for a reading within the stretch that is open
CLOSE = 4  # words between a thing and the distance behind it


def said_after(state: Placing, spoken: Spoken) -> list[Tag]:
    """Things right before the distance that have none of their own: "light roots at six metres"."""
    passage = state.passage
    loose = [tag for tag in state.breath.loose if tag.end <= spoken.start and tag not in state.unnoted]
    if not loose:
        return []
    nearest = loose[-1]
    if nearest.kind == "component" and passage.word(nearest.start - 1) == "same":
        return []  # "at that same joint": its distance was said before
    lead = _pointing_start(state, lead_start(state, spoken.start), spoken)
    along = spoken.stretch and passage.is_class(lead - 1, "over_stretch")
    lead -= along  # "worn rough for the first two metres"
    drawn = spoken.stretch and passage.is_class(lead, "from") and passage.is_class(lead - 1, "goes_on_verb")
    drawn = (
        drawn and passage.distance(nearest.end, lead) <= 14 and nearest.kind == "condition"
    )  # "grease, light, runs from"
    turns = [t for t in passage.tags_from(nearest.end, lead + 1, "boundary") if not _then_at(state, nearest, t, lead)]
    turns = [t for t in turns if not (drawn and t.id == "where")]
    turns = [t for t in turns if not _echoed(passage, t)]
    turns = [t for t in turns if is_boundary(passage, t.start, t.end) and not passage.is_class(t.end, "from")]
    pointed = passage.word(lead - 1) in ("it", "that", "them") and passage.distance(nearest.end, lead) <= 10
    count = words_between(state, nearest.end, lead)
    if spoken.stretch:  # "pure lard it's heavy all the way from 1.8 to 3"
        count -= sum(
            1
            for t in range(nearest.end, lead)
            if passage.covering(t, "stretch") or passage.is_class(t, "pronoun", "copula")
        )
    far = count > CLOSE and not drawn
    if (far or turns) and not (pointed and passage.is_class(lead, "at")):
        return []
    again = passage.covering(spoken.start - 1, "reference")
    told_again = again is not None and again.id == "same_again" and again.start >= nearest.end
    if (
        told_again
        and not spoken.stretch
        and any(passage.is_class(t, "one_again") for t in range(nearest.end, lead + 1))
    ):
        return []  # "roots light | and another at 3.6"
    if passage.tags_from(nearest.end, lead, "structure", "fixture") and not spoken.stretch:
        return []
    if any(cue.id == "to_this_point" for cue in passage.tags_from(nearest.end, lead, "stretch")):
        return []  # "no roots to that point | from 2.9 to 4.3 it's deformed"
    if spoken.stretch and passage.measures_from(nearest.end, lead) and passage.things_from(spoken.end, spoken.end + 3):
        return []  # "protrudes by thirty millimetres | from 3.3 to 4.7 metres moderate scale"
    if _verdict_behind(state, nearest, spoken, lead):
        return [nearest]
    opens = opens_statement(state, spoken.end)
    prepared = (
        along
        or drawn
        or lead < lead_start(state, spoken.start)
        or passage.is_class(lead, "at", "from")
        or passage.word(lead) in ("somewhere", "just")
        or passage.is_class(spoken.start, "from")
    )
    carried = state.places.get(nearest, NOWHERE).how == "carried" and not only_denied(state, nearest)
    listed = passage.is_class(lead - 1, "list") or carried
    verdict = any(t.id == "sound" for t in passage.tags_from(spoken.end, spoken.end + 2, "condition"))
    ends = listed and not verdict and told_of_the_end(state, spoken.end)  # "a bend at 3.7 looks good that's the main"
    if not spoken.stretch and ends and not own_behind(state, spoken.end):
        return []
    if carried and not prepared and _said_of_holder(state, nearest):
        return []  # "the joint at 4.1 has got roots | seven metres the stack"
    telling_after = state.habit > 0 and (not carried or state.breath.style == "after")
    habitual = telling_after and words_between(state, nearest.end, lead) <= 1
    if not prepared and (
        (opens and not habitual and not own_behind(state, spoken.end))
        or (carried and not habitual)
        or passage.is_class(lead - 1, "list")
        or words_between(state, nearest.end, lead) > 1
    ):
        return []
    if carried and passage.is_class(lead - 1, "list"):
        return []
    if only_denied(state, nearest) and opens and not own_behind(state, spoken.end):
        return []
    reported = passage.cue_at(spoken.end, "speech_act", "report") is not None
    if nearest.id == "material_change" and prepared and not spoken.stretch and not reported:
        return _chain(state, loose)  # "it changes to clay at 8.2": what happens happens there
    begun = passage.covering(lead - 1, "stretch") or passage.covering(lead, "stretch")
    begun_there = begun is not None and begun.id == "begins" and begun.start >= nearest.end
    apart = not begun_there and _told_behind(state, spoken) and not own_behind(state, spoken.end)
    if carried and spoken.stretch and (apart or nearest.id in ("capped", "live", "disused")):
        return []  # "at 1.1 a junction and it's dry | from 1.9 to 2.5 there's grease"
    if carried and nearest.id in STATES and any(tag.kind == "component" for tag in state.breath.holders):
        return []  # "at ten feet a joint and it's totally fine | at fourteen feet oh wow"
    if carried and not spoken.stretch and not told_alike(state, nearest, spoken.end):
        if nearest.id in ("capped", "live", "disused", "flowing", "sound") and opens:
            return []
        telling_before = state.breath.style != "after" or (state.habit < 0 and _brings_in(state, spoken.end))
        unknown = _brought_in(state, nearest) and _tells_unknown(state, spoken)
        if opens and telling_before and not own_behind(state, spoken.end) and not unknown:
            return []
    return [nearest] if drawn else _chain(state, loose)


def _said_of_holder(state: Placing, tag: Tag) -> bool:
    """Whether a verb of having ties the thing to the part whose reading stands right in front of it."""
    passage, start = state.passage, state.breath.at
    if not state.breath.holders or state.breath.holders[-1].kind != "component" or tag.start <= start:
        return False
    between = range(start, tag.start)
    having = any(passage.word(t) in ("has", "had", "have", "got", "with") for t in between)
    small = ("copula", "says_with", "article", "filler", "also_word")
    return having and all(passage.is_class(t, *small) or passage.covering(t, "extent") for t in between)


def _predicated(state: Placing, tag: Tag) -> bool:
    """ "the joint at 1.5 is cracked | roots at 2.2": a plain predicate of the part whose reading stands in front."""
    passage, breath = state.passage, state.breath
    between = [t for t in range(breath.at, tag.start) if not passage.covering(t, "extent")]
    part = bool(breath.holders) and breath.holders[-1].kind == "component"
    return part and bool(between) and all(passage.is_class(t, "copula", "filler") for t in between)


def _brought_in(state: Placing, tag: Tag) -> bool:
    """ "there might be a hole at 5.8": a thing told anew by a clause of its own."""
    clause = clause_at(state.clauses, tag.start)
    return clause.start > state.breath.at and state.passage.word(clause.start) == "there"


def _tells_unknown(state: Placing, spoken: Spoken) -> bool:
    """ "... at 5.8 | there's a dark spot": what opens behind the reading is nothing that has a name here."""
    passage = state.passage
    report = passage.cue_at(spoken.end, "speech_act", "report")
    return report is not None and not passage.things_from(report.end, report.end + 4)


def _pointing_start(state: Placing, lead: int, spoken: Spoken) -> int:
    """Back over what points at the last thing: "a crack | and that's 4.2 metres", "I make that 4.2"."""
    passage = state.passage
    closed = passage.is_class(spoken.end, "list") or not told_of_the_end(state, spoken.end)
    if not closed or opens_statement(state, spoken.end) or passage.is_class(lead, "at", "from"):
        return lead
    if passage.tags_from(spoken.end, spoken.end + 3, "structure", "fixture") or passage.word(spoken.end) == "now":
        return lead
    start = lead
    while passage.is_class(start - 1, "filler"):
        start -= 1
    if passage.is_class(start - 1, "copula") and passage.word(start - 2) in ("that", "it", "this"):
        start -= 2
    elif passage.word(start - 1) in ("that", "it") and passage.word(start - 2) in passage.classes["makes_reading"]:
        start -= 2
        start -= passage.is_class(start - 1, "someone")
    else:
        return lead
    return start - 1 if passage.is_class(start - 1, "list") else start


def told_late(state: Placing, spoken: Spoken) -> Tag | None:
    """ "at 3.95 no roots and it's capped off at 4.35": a later thing with its own distance right behind it."""
    passage, holders = state.passage, state.breath.holders
    lead = lead_start(state, spoken.start)
    if (inner := _inside_stretch(state, spoken, lead)) is not None:
        return inner
    while passage.is_class(lead - 1, "roughly_word"):
        lead -= 1
    near = [tag for tag in (*holders, *state.breath.loose) if tag.end == lead and tag.kind == "condition"]
    if near and spoken.step and _named_behind(passage, spoken) and near[-1].id not in STATES:
        return near[-1]  # "a wye | roots a foot before the wye"
    if not near or near[-1] in holders[:1]:
        return None
    if spoken.stretch:  # "2.2 a joint with a step in it then the pipe's squashed from 3.1 to 3.8"
        led = passage.is_class(lead, "from") or passage.is_class(spoken.start, "from")
        own = not opens_statement(state, spoken.end) or own_behind(state, spoken.end)
        return near[-1] if led and own and near[-1] in holders and near[-1].id not in STATES else None
    if not passage.is_class(lead, "at"):
        return None
    denies = state.passage.cue_at(spoken.end, "negation") is not None
    if near[-1].id == "capped" and (denies or not opens_statement(state, spoken.end) or own_behind(state, spoken.end)):
        return near[-1]
    placed = near[-1] in holders and state.places[near[-1]].how == "said before"
    if near[-1].id in STATES and any(tag.kind == "component" for tag in holders):
        return None  # "at ten feet a joint and it's totally fine | at fourteen feet oh wow"
    return near[-1] if placed and near[-1] not in state.absent and not opens_statement(state, spoken.end) else None


def _named_behind(passage: Passage, spoken: Spoken) -> bool:
    """Whether the distance is counted from a thing named in it: "a foot | before the wye"."""
    return (
        passage.covering(spoken.end - 1, "component") is not None
        or passage.covering(spoken.end - 1, "condition") is not None
    )


def _inside_stretch(state: Placing, spoken: Spoken, lead: int) -> Tag | None:
    """ "silt from 2.1 to 5.6 with a crack halfway along at 3.8": a reading within the stretch that is open, behind a
    thing told after the one that holds the stretch.
    """
    passage, here = state.passage, state.breath.place
    if here.from_m is None or here.to_m in (None, END) or spoken.stretch or not passage.is_class(lead, "at"):
        return None
    denies = state.passage.cue_at(spoken.end, "negation") is not None
    opens = opens_statement(state, spoken.end) and not denies
    if not here.from_m < (spoken.place.from_m or 0) < (here.to_m or 0) or opens:
        return None
    told = sorted((*state.breath.holders, *state.breath.loose), key=lambda tag: tag.start)
    if len(told) < 2 or told[-1].start < state.breath.at or words_between(state, told[-1].end, lead) > INSIDE:
        return None
    return told[-1] if told[-1] not in state.absent and told[-1].id not in STATES else None


def _verdict_behind(state: Placing, nearest: Tag, spoken: Spoken, lead: int) -> bool:
    """ "2.2 a bend second joint 4.4 perfect": a part with a reading right behind it, and behind that its state."""
    passage = state.passage
    if nearest.kind != "component" or lead != nearest.end or spoken.stretch or lead != spoken.start:
        return False
    states = [t for t in passage.tags_from(spoken.end, spoken.end + 1, "condition") if t.id in STATES]
    return bool(states) and not passage.tags_from(states[0].end, states[0].end + 1, "component")


def _echoed(passage: Passage, turn: Tag) -> bool:
    """ "there's a crack | so there is | at 1.8": an echo of the report, that turns to nothing else."""
    return (
        passage.word(turn.start) == "so"
        and passage.is_class(turn.start + 2, "copula")
        and passage.is_class(turn.start + 3, "at", "from")
    )


def _then_at(state: Placing, tag: Tag, boundary: Tag, lead: int) -> bool:
    """ "roots then at 3.2": a thing that opens its clause, its distance right behind "then"."""
    if boundary.start != tag.end or boundary.end != lead or boundary.end - boundary.start > 1:
        return False
    return clause_at(state.clauses, tag.start).start == tag.start and state.places.get(tag, NOWHERE).how in (
        "carried",
        "none",
    )


def _chain(state: Placing, loose: list[Tag]) -> list[Tag]:
    """The nearest thing and those told in one go with it: "a joint with roots in it at 3.2"."""
    chain = [loose[-1]]
    for tag in reversed(loose[:-1]):
        start, end = tag.end, chain[-1].start
        if any(tag.id == later.id and tag.kind == later.kind for later in chain) and end - start > 2:
            break
        own = state.places.get(tag, NOWHERE)
        placed = own.from_m is not None and own.how != "by default"
        twin = tag.id == chain[-1].id and start == end
        subject = own.how == "carried" and tag.kind == "component" and words_between(state, start, end) <= 1
        joined = own.how == "carried" and start == end and tag.id not in STATES  # "a tea towel jammed"
        joined = joined and not _predicated(state, tag)
        if placed and not twin and not subject and not joined and not _in_the(state, tag, chain[-1]):
            break
        if tag.id in ("dry", "sound") and chain[-1].kind == "condition" and chain[-1].id not in STATES:
            break  # "dry pipe with two cracks one at 4.0"
        if chain[-1].kind == "component" and _new_noun(state, end):
            break  # "a joint at six o'clock | a repair begins at 2.8"
        if words_between(state, start, end) > 4 or state.passage.tags_from(start, end, "boundary"):
            break
        report = [t for t in state.passage.tags_from(start, end, "speech_act") if t.id == "report"]
        pointing = any(
            state.passage.is_class(token, "pronoun") and state.passage.word(token) != "there"
            for token in range(start, end)
        )
        if report and not pointing:
            break
        chain.append(tag)
    return chain


def _told_behind(state: Placing, spoken: Spoken) -> bool:
    """Whether a statement of its own follows a stretch: "from 1.9 to 2.5 there's grease", not "... holding water"."""
    if told_of_the_end(state, spoken.end):
        return False  # "dry all the way to twenty metres | that's the end of my cable"
    report = state.passage.cue_at(spoken.end, "speech_act", "report")
    return (report is not None and report.end - report.start >= 2) or state.passage.is_class(spoken.end, "article")


def _list_ahead(state: Placing, spoken: Spoken) -> bool:
    """ "at 4.7 5.9 and 7.1": whether another reading goes on with the list."""
    behind = state.passage.measures_from(spoken.end, spoken.end + 3)
    if not behind or behind[0].unit not in (None, "m"):
        return False
    between = state.passage.speech.words[spoken.end : behind[0].start]
    return all(word in state.passage.classes["one_more_distance"] for word in between)


def _brings_in(state: Placing, token: int) -> bool:
    """Whether something new is told there: "there may be", "a bend"; not "that's alright", "the water", of the last."""
    passage = state.passage
    cue = passage.cue_at(token, "speech_act", "report") or passage.cue_at(token, "doubt", "doubts_next")
    if cue is not None:
        return "there" in passage.speech.words[cue.start : cue.end]
    return passage.word(token) in ("a", "an", "another", "some")


def _new_noun(state: Placing, end: int) -> bool:
    """Whether a thing is brought in by itself: by an article that nothing joins to what stands before."""
    passage, lead = state.passage, end - 1
    joined = passage.is_class(lead - 1, "list", "inside") or passage.word(lead - 1) in ("with", "has", "got", "have")
    return passage.word(lead) in ("a", "an", "another") and not joined


def _in_the(state: Placing, tag: Tag, component: Tag) -> bool:
    """ "roots in the joint": the component only says where the condition is."""
    between = state.passage.speech.words[tag.end : component.start]
    return component.kind == "component" and 0 < len(between) <= 4 and between[0] in state.passage.classes["inside"]


def told_with_the_last(state: Placing, spoken: Spoken) -> bool:
    """Two distances with nothing but "and" between: both are of the same thing."""
    breath, passage = state.breath, state.passage
    if (
        breath.at < 0
        or breath.place.from_m is None
        or not 0 <= spoken.start - breath.at <= 4
        or spoken.stretch
        or spoken.step
    ):
        return False
    between = [word for word in passage.speech.words[breath.at : spoken.start] if word not in passage.classes["one_of"]]
    if any(word not in passage.classes["one_more_distance"] for word in between):
        return False
    if breath.closed and not any(word in ("and", "again", "also") for word in between):
        return False
    if "then" in between and opens_statement(state, spoken.end):
        return False
    if passage.is_class(spoken.end, "someone"):
        return False  # "roots at 2.7 and at 4.1 i can't get any further"
    if "and" not in between and not breath.listed and not _list_ahead(state, spoken):
        return False
    if breath.listed and not between and not _list_ahead(state, spoken):
        reached = passage.tags_from(spoken.end, spoken.end + 3, "structure", "fixture")
        if reached or opens_statement(state, spoken.end):
            return False  # "one at four one at four and a half | seven metres the main"
    if breath.listed:
        return passage.is_class(spoken.end, "list") or not told_of_the_end(state, spoken.end)
    if breath.place.how == "said after" or breath.holders:
        closed = passage.is_class(spoken.end, "list") or not told_of_the_end(state, spoken.end)
        return closed and not opens_statement(state, spoken.end)
    return True
