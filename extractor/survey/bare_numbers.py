"""Numbers said with no unit: the counter's reading, a count ("two outlets"), a label ("chamber two"), a name ("flat
one") or hours round the pipe ("nine to three").
"""

from extractor.language.clauses import Clause
from extractor.language.passage import Passage
from extractor.reading import Measure
from extractor.survey.deeds_round import REACHING, on_the_surface, result_told
from extractor.survey.scenes import Scene


def role_of_bare(passage: Passage, measure: Measure, clause: Clause, scene: Scene) -> str | None:
    """A bare number is the counter's where the camera is in a pipe and nothing makes it a count or a label."""
    if scene.kind not in ("run", "closing"):
        return None
    if on_the_surface(passage, clause, scene) and passage.cue_at(measure.end, "role", "surface_after"):
        return "surface"
    whole = (
        measure.low == int(measure.low)
        and "dropped" not in measure.rule
        and "feet" not in measure.rule
        and "point" not in measure.rule
    )
    pair = passage.speech.words[max(0, measure.start - 2) : measure.start]
    if pair[-1:] in (("those",), ("these",)) or pair == ("between", "the"):
        return None  # "between those two", "between the two"
    led = passage.is_class(measure.start - 1, "at", "from", "to") or passage.is_class(measure.start, "at", "from", "to")
    led = led or any(passage.is_class(t, "at") for t in range(measure.start, measure.end))  # "on the | right at five"
    if whole:
        if (
            clock_pair(passage, measure) is not None
            or clock_pair(passage, _measure_before(passage, measure)) is not None
        ):
            return None
        if is_count(passage, measure) or is_label(passage, measure) or names_something(passage, measure):
            return None
        led = led or _goes_on_with_list(passage, measure)
        told = passage.covering(measure.start - 1, "stretch")
        led = led or _begins_stretch(passage, measure)
        led = led or (told is not None and told.id in ("begins", "ends", "until") and told.end == measure.start)
        stands = (
            led
            or (measure.approximate and passage.word(measure.start - 1) in ("off", "up", "out", "away"))
            or passage.is_class(measure.end, "exact_word")
            or passage.cue_at(measure.end, "speech_act", "report")
            or (
                not passage.is_class(measure.start - 1, "article", "definite")
                and any(passage.cue_at(t, "ending", "arrival") for t in (measure.end, measure.end + 1))
            )
            or (passage.speech.breaks[measure.start] and passage.things_from(measure.end, measure.end + 3))
        )
        if not stands or measure.low > 150:
            return None
    if scene.kind == "closing":
        return "chainage" if led else None
    working = passage.tags_from(max(clause.start, measure.start - 10), measure.start, "action")
    deeds = [tag for tag in working if tag.id in REACHING]
    if (
        deeds
        and not passage.is_class(measure.start - 1, "at")
        and not result_told(passage, deeds[-1].end, measure.start)
    ):
        return "reach"
    return "chainage"


def _goes_on_with_list(passage: Passage, measure: Measure) -> bool:
    """ "roots at twenty three | twenty seven | and thirty one feet": further on in a list of readings."""
    lead = measure.start - 1
    while passage.is_class(lead, "list", "at"):
        lead -= 1
    before = passage.measure_over(lead)
    if before is None or before.unit not in (None, "m") or before.spoken_unit in ("millimetre", "inch"):
        return False
    own, last = measure.length_m or (measure.low, 0), before.length_m or (before.low, 0)
    if own[0] <= last[0] or (lead == measure.start - 1 and passage.speech.breaks[measure.start]):
        return False
    listed = passage.is_class(measure.start - 1, "list") or _list_behind(passage, measure)
    at = passage.is_class(before.start - 1, "at") or passage.is_class(before.start, "at")
    return listed and (at or (before.unit is None and _goes_on_with_list(passage, before)))


def _list_behind(passage: Passage, measure: Measure) -> bool:
    """Whether "and" and another reading follow."""
    behind = passage.measures_from(measure.end, measure.end + 3)
    return (
        bool(behind)
        and behind[0].unit in (None, "m")
        and all(passage.is_class(t, "list", "at") for t in range(measure.end, behind[0].start))
    )


def _begins_stretch(passage: Passage, measure: Measure) -> bool:
    """ "5 up to 7 full of gravel": a bare number with the further end of its stretch right behind it."""
    before = measure.start - 1
    if not (
        passage.speech.breaks[measure.start]
        or passage.is_class(before, "list")
        or passage.covering(before, "boundary")
        or passage.covering(before, "condition")
    ):
        return False
    if measure.low < measure.high:
        return any(passage.is_class(t, "to") for t in range(measure.start, measure.end))
    behind = passage.measures_from(measure.end, measure.end + 4)
    if not behind or behind[0].unit not in (None, "m") or behind[0].low <= measure.low:
        return False
    return any(passage.is_class(t, "to") for t in range(measure.end, behind[0].start + 1))


def _measure_before(passage: Passage, measure: Measure) -> Measure | None:
    before = passage.measures_from(max(0, measure.start - 4), measure.start)
    return before[-1] if before else None


def clock_pair(passage: Passage, first: Measure | None) -> tuple[int, int] | None:
    """ "from nine to three", "eleven to one", with no o'clock: two hours that fall, so no stretch, round the pipe."""
    if first is None or first.unit is not None or first.low != int(first.low) or not 1 <= first.low <= 12:
        return None
    behind = passage.measures_from(first.end, first.end + 3)
    second = behind[0] if behind else None
    if second is None or second.unit is not None or second.low != int(second.low) or not 1 <= second.low < first.low:
        return None
    between = passage.speech.words[first.end : second.start]
    joined = any(word in passage.classes["to"] or word in ("round", "around") for word in between)
    led = passage.speech.words[max(0, first.start - 1) : first.start + 1]
    joined = joined or ("between" in led and "and" in between)
    return (int(first.low), int(second.low)) if joined else None


def is_count(passage: Passage, measure: Measure) -> bool:
    """ "two outlets", "three small cracks": a whole number right before what it counts."""
    for token in range(measure.end, measure.end + 3):
        if passage.is_class(token, "copula", "inside", "at", "from", "to", "article") or passage.cue_at(
            token, "boundary"
        ):
            return False
        things = passage.things_from(token, token + 1)
        if things and things[0].kind == "condition" and passage.is_class(measure.start - 1, "at"):
            return False  # "joint at one dry from there on", "at four light roots"; "at two joints" counts
        if things:
            last = things[0].end - 1
            noun = passage.word(
                last - 1 if passage.is_class(last, "inside", "at") or passage.word(last) == "out" else last
            )
            plural = noun.endswith("s") and not noun.endswith("ss")  # "outlets", "pipes in"
            return plural if measure.low > 1 else not plural
    return False


def is_label(passage: Passage, measure: Measure) -> bool:
    """ "outlet number one", "chamber two", "survey three"."""
    before = measure.start - 1
    if passage.word(before) in ("number", "no", "#"):
        return True
    named = [
        tag
        for tag in passage.tags_from(max(0, measure.start - 4), measure.start, "structure", "component", "movement")
        if tag.end == measure.start and tag.id != "go"  # "going down 7 there's water": a reading
    ]
    return bool(named) and measure.end - measure.start == 1


def names_something(passage: Passage, measure: Measure) -> bool:
    """ "that's rondavel two", "goes to flat one", "lot four": a number that is part of a name."""
    before = measure.start - 1
    if before < 1 or measure.end - measure.start != 1 or measure.unit is not None or measure.low != int(measure.low):
        return False
    if passage.is_class(before, "numbered"):
        return True
    if passage.is_class(before, "everyday", "at", "from", "to", "list", "copula", "article", "reading_word", "filler"):
        return False
    known = ("condition", "component", "extent", "boundary", "speech_act", "stretch", "movement", "time", "reference")
    if passage.measure_over(before) is not None or any(passage.covering(before, kind) for kind in known):
        return False
    return passage.is_class(before - 1, "copula", "article", "serves_word", "to", "from") and not passage.is_class(
        before - 1, "at"
    )
