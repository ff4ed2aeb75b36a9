"""Context of each thing: polarity, certainty, extent, each with the cue that made it.

After the published algorithms for negation (Chapman and others, 2001) and context (Harkema and others, 2009): cues that
work forward or back, cues that only look so, and words at which a scope ends; with one difference: a denial reaches
along the list that it opens ("no sign of A or B"), not over a fixed number of words, since speech has no sentence
ends to stop it.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from extractor.language.passage import Passage
from extractor.reading import Tag

LIST_GAP = 3  # unknown words allowed between a denial and the thing, or between two things of a list
DOUBT_AHEAD = 7  # words from a doubt to the thing behind it
DOUBT_BACK = 16  # words from a thing to a doubt behind it
EXTENT_GAP = 4  # words from an extent to its thing


@dataclass(frozen=True, slots=True)
class Context:
    """What the words round one thing say of it; the cues are the tags that said so."""

    polarity: str = "present"
    certainty: str = "stated"
    extent: str | None = None
    negation: Tag | None = None
    doubt: Tag | None = None
    extent_cue: Tag | None = None


PLAIN = Context()


def read_contexts(passage: Passage) -> dict[Tag, Context]:
    """The context of each condition and component tag."""
    things = passage.tags_from(0, len(passage), "condition", "component")
    denied = _denied(passage)
    doubted = _doubted(passage, things)
    extents = _extents(passage)
    out = {}
    for tag in things:
        negation = denied.get(tag)
        doubt = doubted.get(tag)
        extent = extents.get(tag)
        if negation and extent and extent.start >= tag.end:
            extent = None  # "no roots until 6.2 and then a big mass of them"
        if not (negation or doubt or extent or tag.extent):
            out[tag] = PLAIN  # as most are
            continue
        out[tag] = Context(
            polarity="absent" if negation else "present",
            certainty="tentative" if doubt else "stated",
            extent=extent.id if extent else tag.extent,
            negation=negation,
            doubt=doubt,
            extent_cue=extent,
        )
    return out


# --- polarity -------------------------------------------------------------------------------


def _denied(passage: Passage) -> dict[Tag, Tag]:
    denied: dict[Tag, Tag] = {}
    cues = passage.tags_from(0, len(passage), "negation")
    pseudo = {
        token
        for cue in passage.tags_from(0, len(passage), "negation")
        if cue.id == "looks_like_denial"
        for token in range(cue.start, cue.end)
    }
    for cue in cues:
        if cue.id in ("looks_like_denial", "exception") or passage.measure_over(cue.start):
            continue
        if any(token in pseudo for token in range(cue.start, cue.end)) or _is_pseudo(passage, cue):
            continue
        if passage.word(cue.end - 1) == "no" and passage.is_class(cue.end, "addressed"):
            continue  # "no ma'am, garbage disposals is somebody else's"
        if cue.id == "denies_next":
            targets = _list_ahead(passage, cue.end)
        elif cue.id == "denies_back" and passage.cue_at(cue.end, "stretch", "to_this_point"):
            continue  # "roots at 4.2, none before that"
        elif cue.id == "denies_back" and passage.cue_at(cue.end, "stretch", "onwards"):
            continue  # "roots at 4.2, none after that"
        elif cue.id == "denies_participle":
            targets = _right_behind(passage, cue.end)
        else:
            targets = _just_before(passage, cue.start)
        for tag in targets:
            denied.setdefault(tag, cue)
    return denied


def _is_pseudo(passage: Passage, cue: Tag) -> bool:
    """ "there is no doubt": the denial ends inside a phrase that only looks like one."""
    words = passage.speech.words
    return words[cue.end - 1] == "no" and words[cue.end : cue.end + 1] in (
        ("doubt",),
        ("way",),
        ("wonder",),
        ("idea",),
        ("problem",),
    )


def _right_behind(passage: Passage, start: int) -> Iterable[Tag]:
    """ "isn't displaced", "not cracked": the condition right behind, over a degree at most."""
    token = start
    while passage.covering(token, "extent") or passage.is_class(token, "filler"):
        token += 1
    return passage.tags_from(token, token + 1, "condition")


def _list_ahead(passage: Passage, start: int) -> Iterable[Tag]:
    """Conditions of the list that a denial opens: "no sign of A, B or any C"; ends at a verb, a distance or a
    contrast.
    """
    token, gap = start, 0
    while token < len(passage) and gap <= LIST_GAP:
        things = passage.tags_from(token, token + 1, "condition", "component", "structure", "fixture")
        if things:
            yield from (tag for tag in things if tag.kind in ("condition", "component"))
            token = max(tag.end for tag in things)
            gap = 0
            if not _list_goes_on(passage, token):
                return
            continue
        if (
            passage.measure_over(token)
            or passage.is_class(token, "copula")
            or passage.cue_at(token, "boundary", "against", "next")
        ):
            return
        if not (passage.is_class(token, "article", "list", "inside") or passage.covering(token, "extent")):
            gap += 1
        token += 1


def _list_goes_on(passage: Passage, token: int) -> bool:
    measure = passage.measure_over(token) or (
        passage.measure_over(token + 1) if passage.is_class(token, "at") else None
    )
    if measure is not None and passage.word(measure.end) in ("or", "nor"):
        token = measure.end
    if passage.is_class(token, "list"):
        after = token + 1
        while passage.is_class(after, "article", "filler") and passage.word(after) != "there":
            after += 1
        if passage.word(after) == "there" or passage.measure_over(after):
            return False
        ahead = passage.tags_from(after, after + 1 + 2, "condition", "component")
        return bool(ahead) and not passage.tags_from(after, after + 1, "speech_act", "negation")
    return False


def _just_before(passage: Passage, start: int) -> Iterable[Tag]:
    """The condition in front of "none seen", a couple of words away at most."""
    near = [
        tag for tag in passage.tags_from(max(0, start - 6), start, "condition") if passage.distance(tag.end, start) <= 2
    ]
    return near[-1:]


# --- certainty ------------------------------------------------------------------------------


def _doubted(passage: Passage, things: list[Tag]) -> dict[Tag, Tag]:
    doubted: dict[Tag, Tag] = {}
    cues = passage.tags_from(0, len(passage), "doubt")
    elsewhere = {token for cue in cues if cue.id == "doubts_other" for token in range(cue.start, cue.end)}
    for cue in cues:
        if cue.id == "doubts_other" or cue.start in elsewhere or passage.measure_over(cue.start):
            continue
        if _of_somebody(passage, cue):
            continue
        if cue.id == "doubts_next":
            if (target := _doubted_ahead(passage, cue)) is not None:
                doubted.setdefault(target, cue)
        elif (target := _doubted_back(passage, cue) or _doubted_but(passage, cue)) is not None:
            doubted.setdefault(target, cue)
    return doubted


def _of_somebody(passage: Passage, cue: Tag) -> bool:
    """ "somebody's driven over it i reckon": the doubt closes words about who did it."""
    lead = [t for t in range(max(0, cue.start - 8), cue.start) if passage.is_class(t, "someone")]
    if not lead or passage.word(lead[-1]) in ("i", "you", "we") or not _ends_here(passage, cue.end):
        return False
    return not passage.tags_from(lead[-1], cue.start, "condition")


def _doubted_but(passage: Passage, cue: Tag) -> Tag | None:
    """ "I wouldn't swear to it but there's a hole": the doubt comes first."""
    if passage.word(cue.end) not in ("but", "though") or cue.id != "doubts_back":
        return None
    ahead = [t for t in passage.tags_from(cue.end, cue.end + DOUBT_AHEAD + 2, "condition") if t.id != "sound"]
    return ahead[0] if ahead and not passage.tags_from(cue.end, ahead[0].start, "movement") else None


def _doubted_ahead(passage: Passage, cue: Tag) -> Tag | None:
    """The first thing behind the cue in its own statement: not past somebody else's doing, a reason or a turn."""
    if passage.cue_at(cue.end, "doubt") or passage.is_class(cue.end, "list"):
        return None
    for token in range(cue.end, min(len(passage), cue.end + DOUBT_AHEAD)):
        if token > cue.end + 1 and _new_statement(passage, token):
            return None  # "must be the laundry and it's live"
        things = [tag for tag in passage.tags_from(token, token + 1, "condition") if tag.id != "sound"]
        if things:
            return things[0]
        if passage.tags_from(token, token + 1, "component") and token - cue.end <= 3:
            return _noun_of(passage, token)
        if passage.tags_from(token, token + 1, "structure", "fixture"):
            return None  # "I think that's the laundry there's roots"
        boundary = passage.cue_at(token, "boundary", "next", "because", "against", "where")
        someone = passage.is_class(token, "someone") and passage.word(token) not in ("i", "you", "we")
        if boundary or someone:
            return None
    return None


def _new_statement(passage: Passage, token: int) -> bool:
    """ "it's ...", "that one is ...", "there's ...": words that begin to tell something else."""
    return passage.is_class(token, "pronoun") and (
        passage.is_class(token + 1, "copula")
        or (passage.word(token + 1) == "one" and passage.is_class(token + 2, "copula"))
    )


def _noun_of(passage: Passage, token: int) -> Tag | None:
    """A component behind a doubt: the doubt is about the condition on it, if one follows at once ("maybe a joint
    open").
    """
    component = passage.tags_from(token, token + 1, "component")[0]
    return next(
        (tag for tag in passage.tags_from(component.end, component.end + 3, "condition") if tag.id != "sound"), None
    )


def _doubted_back(passage: Passage, cue: Tag) -> Tag | None:
    """The last thing in front of the cue. A word that doubts either way ("I think") must close its statement to look
    back.
    """
    both_ways = any(
        tag.id == "doubts_next" and tag.start == cue.start
        for tag in passage.tags_from(cue.start, cue.start + 1, "doubt")
    )
    if both_ways and not _closes_statement(passage, cue):
        return None
    near = [
        tag
        for tag in passage.tags_from(max(0, cue.start - DOUBT_BACK - 8), cue.start, "condition")
        if tag.id != "sound" and passage.distance(tag.end, cue.start) <= DOUBT_BACK
    ]
    if not near or any(
        m.unit in (None, "m") and _opens_place(passage, m.start) for m in passage.measures_from(near[-1].end, cue.start)
    ):
        return None
    return near[-1]


def _closes_statement(passage: Passage, cue: Tag) -> bool:
    if _doubted_ahead(passage, cue) is not None:
        return False
    after = cue.end
    if passage.cue_at(after, "doubt") or _ends_here(passage, after):
        return True
    hangs = passage.is_class(after, "inside") or passage.is_class(after + 1, "inside")  # "scale i think | hanging off"
    before = passage.covering(cue.start - 1, "condition")
    return before is not None and hangs and not passage.is_class(after, "pronoun", "someone", "article", "copula")


def _ends_here(passage: Passage, after: int) -> bool:
    """Whether a statement ends in front of the token."""
    return (
        after >= len(passage)
        or passage.speech.breaks[after]
        or passage.cue_at(after, "boundary") is not None
        or passage.is_class(after, "list")
    )


def _opens_place(passage: Passage, start: int) -> bool:
    """Whether a distance opens a new place: "at four there's", told by a report behind it."""
    measure = passage.measure_over(start)
    return measure is not None and passage.cue_at(measure.end, "speech_act", "report") is not None


# --- extent ---------------------------------------------------------------------------------


def _extents(passage: Passage) -> dict[Tag, Tag]:
    extents: dict[Tag, Tag] = {}
    degrees = [cue for cue in passage.tags_from(0, len(passage), "extent") if cue.extent is not None]
    trailing = _told_last(passage, degrees)
    for cue in degrees:
        if _is_simile(passage, cue):
            continue
        inside = passage.covering(cue.start, "condition")
        if inside is not None and inside.end >= cue.end and _takes_extent(inside):
            extents.setdefault(inside, cue)  # "fully blocked", "fine hair roots" as one phrase
            _pass_on(passage, inside, cue, extents)
            continue
        ahead = _extent_ahead(passage, cue)
        if ahead is not None and not (trailing and _between_two(passage, cue, ahead)):
            extents.setdefault(ahead, cue)
            _pass_on(passage, ahead, cue, extents)
    taken = set(extents.values())
    for cue in degrees:
        if cue in taken or _is_simile(passage, cue):
            continue
        behind = _extent_behind(passage, cue)
        if behind is not None:
            taken.add(extents.setdefault(behind, cue))
    return extents


def _told_last(passage: Passage, degrees: list[Tag]) -> bool:
    """Whether this speaker tells the degree last, behind the reading ("roots at 2.2 light, roots at 4.6 heavy"): from
    the degrees that stand beside one thing only.
    """
    habit = 0
    for cue in degrees:
        ahead, after_reading = _extent_ahead(passage, cue), passage.measure_over(cue.start - 1)
        if ahead is None and after_reading is not None and _extent_behind(passage, cue) is not None:
            habit += 1
        elif ahead is not None and after_reading is None:
            habit -= 1
    return habit > 0


def _between_two(passage: Passage, cue: Tag, ahead: Tag) -> bool:
    """Whether a degree stands between a thing with its reading and the next thing: it may be of either."""
    reading = passage.measure_over(cue.start - 1)
    if reading is None or passage.distance(cue.end, ahead.start) > 1:
        return False
    before = passage.tags_from(reading.start - 8, reading.start, "condition")
    return (
        bool(before)
        and passage.is_class(reading.start - 1, "at")
        and passage.distance(before[-1].end, reading.start) <= 4
    )


def _pass_on(passage: Passage, tag: Tag, cue: Tag, extents: dict[Tag, Tag]) -> None:
    """ "fully blocked with sand": the degree of a stoppage is its cause's too."""
    if tag.id != "blockage" or not (
        passage.word(tag.end) in ("with", "by") or passage.word(tag.end - 1) in ("with", "by")
    ):
        return
    cause = next(iter(passage.tags_from(tag.end, tag.end + 4, "condition")), None)
    if cause is not None and _takes_extent(cause):
        extents.setdefault(cause, cue)


def _takes_extent(tag: Tag) -> bool:
    return tag.kind == "condition" and tag.id not in (
        "sound",
        "capped",
        "live",
        "disused",
        "defective_connection",
        "defective_repair",
    )


def _extent_ahead(passage: Passage, cue: Tag) -> Tag | None:
    """ "heavy mass of roots", "a bit of a belly", "light joint roots": the first condition behind it in the noun
    phrase.
    """
    if passage.word(cue.end - 1) == "of" and passage.word(cue.end) in ("it", "them"):
        return None
    if passage.is_class(cue.end, "closes_degree") or passage.word(cue.end - 1) in ("one", "ones", "it"):
        return None  # "a nasty one", "heavy as you like": of what stands before it
    if _compared(passage, cue) or (passage.is_class(cue.end, "definite") and _is_start(passage, cue)):
        return None
    gap = 0
    token = cue.end
    while token < len(passage) and gap <= EXTENT_GAP:
        here = [tag for tag in passage.tags_from(token, token + 1, "condition") if tag.start >= cue.end]
        if here:
            return next((tag for tag in here if _takes_extent(tag)), None)
        if (
            passage.measure_over(token)
            or passage.cue_at(token, "boundary", "next", "against", "because")
            or passage.cue_at(token, "negation")
            or passage.is_class(token, "copula", "at", "from", "someone")
            or (passage.is_class(token, "inside") and passage.word(token) != "of")
            or (passage.is_class(token, "list") and not passage.covering(token + 1, "extent"))
            or passage.tags_from(token, token + 1, "structure", "fixture")
        ):
            return None
        if not (
            passage.is_class(token, "article", "filler", "list")
            or passage.word(token) == "of"
            or passage.covering(token, "extent")
        ):
            gap += 1
        token += 1
    return None


def _is_simile(passage: Passage, cue: Tag) -> bool:
    """ "big as my fist": a size, and no degree."""
    sized = passage.is_class(cue.end - 1, "size_adjective") and passage.word(cue.end) == "as"
    return sized and (
        passage.is_class(cue.end + 1, "article", "definite") or passage.word(cue.end + 1) in ("my", "your")
    )


def _is_start(passage: Passage, cue: Tag) -> bool:
    """ "the start of the silt is at 2.2": where it begins, and no degree as in "the start of some scale"."""
    return any(passage.is_class(token, "starts_word") for token in range(cue.start, cue.end))


def _compared(passage: Passage, cue: Tag) -> bool:
    """ "a bit heavier", "a little worse": more or less than before, and no degree."""
    return passage.is_class(cue.end, "more_or_less") and passage.word(cue.end).endswith(("er", "rse"))


def _stands_alone(passage: Passage, cue: Tag) -> bool:
    """A degree at the end of what is said: "silt in the bottom from the pit to one point seven | moderate"."""
    lead, after = cue.start - 1, cue.end
    while passage.word(lead) in passage.classes["before_degree"]:
        lead -= 1
    if passage.is_class(lead, "copula") and passage.word(cue.start) == "fine":
        return False
    if passage.is_class(after, "amount_noun") and passage.word(after + 1) == "of":
        return passage.word(after + 2) in ("it", "them", "those", "that")  # "a fierce big wad of it"
    if passage.word(after) in ("it", "they", "she", "he") and passage.is_class(after + 1, "copula"):
        return passage.is_class(after + 2, "closes_degree") or not passage.covering(
            after + 2, "condition"
        )  # "heavy it is"
    while passage.is_class(after, "after_degree", "amount_noun") or passage.word(after) in ("of", "them"):
        after += 1
    return (
        after >= len(passage)
        or passage.speech.breaks[after]
        or passage.is_class(after, "list")
        or passage.cue_at(after, "boundary") is not None
        or passage.cue_at(after, "speech_act", "report") is not None
        or passage.cue_at(after, "negation") is not None
        or passage.measure_over(after) is not None
        or passage.is_class(after, "at", "from", "goes_on_verb")
    )


def _other_between(passage: Passage, tag: Tag, cue: Tag) -> bool:
    """Whether something else is told between a condition and a degree: another thing, a turn to it, another reading."""
    if passage.cue_at(cue.start, "condition"):
        return True
    for token in range(tag.end, cue.start):
        component = passage.tags_from(token, token + 1, "component")
        if component and not passage.is_class(token - 1, "article", "inside", "definite"):
            return True
        turns = passage.cue_at(token, "boundary", "next", "against", "turn")
        if turns and not (passage.word(token) == "right" and passage.is_class(token + 1, "after_right_hand")):
            return True
        measure = passage.measure_over(token)
        if measure is not None and measure.unit in (None, "m") and passage.cue_at(measure.end, "speech_act", "report"):
            return True
    return False


def _extent_behind(passage: Passage, cue: Tag) -> Tag | None:
    """ "silt light", "roots in the joint moderate", "scale ... just a light coating", "sludge is moderate"."""
    of_it = passage.word(cue.end) in ("it", "them") or passage.word(cue.end - 1) != "of"
    rated = passage.is_class(cue.start - 2, "rates_as")  # "I'd call that moderate"
    named = passage.is_class(cue.start - 1, "definite") and not rated
    if named or not of_it or _compared(passage, cue):
        return None
    near = [
        tag
        for tag in passage.tags_from(max(0, cue.start - (26 if rated else 16)), cue.start, "condition")
        if _takes_extent(tag)
        and tag.end <= cue.start
        and not (tag.id == "full" and passage.covering(tag.start, "stretch"))
    ]
    if not near:
        return None
    tag = near[-1]
    between = range(tag.end, cue.start)
    if any(passage.word(t) in ("next", "another", "ones") for t in between) and any(
        m.unit in (None, "m") for m in passage.measures_from(tag.end, cue.start)
    ):
        return None  # "next joint thirteen and a half feet moderate": the degree of another one
    plain = all(
        passage.is_class(token, "inside", "article", "filler", "copula")
        or passage.tags_from(token, token + 1, "component")
        or passage.covering(token, "component")
        or passage.measure_over(token)
        for token in between
    )
    if plain and passage.distance(tag.end, cue.start) <= 5:
        return tag
    if (
        _stands_alone(passage, cue)
        and passage.distance(tag.end, cue.start) <= (24 if rated else 12)
        and not _other_between(passage, tag, cue)
    ):
        return tag
    lead = passage.speech.words[max(0, cue.start - 3) : cue.start]
    if passage.word(cue.start) == "fine" and passage.is_class(cue.start - 1, "copula"):
        return None
    told = (passage.is_class(cue.start - 1, "copula") and passage.is_class(cue.start - 2, "pronoun")) or any(
        word in passage.classes["tells_degree"] for word in lead
    )
    return tag if told and passage.distance(tag.end, cue.start) <= 12 else None
