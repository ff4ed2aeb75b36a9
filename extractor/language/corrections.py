"""Corrections: what the speaker takes back, and what stands in its place.

    "we're in the inlet sorry the outlet"  ->  withdrawn inlet, kept outlet, rule "like things round a cue"

Structure after the published model of speech repair (Shriberg, 1994): reparandum, interregnum (the cue), repair. The
rules
are tried in the order of `RULES`; the first that fits a cue settles it. A cue that fits none ("sorry about the mess")
is no
correction. Later stages see only what stands.
"""

from collections.abc import Callable, Iterator
from dataclasses import replace

from extractor.language.denials import (
    denied_again,
    denied_echo,
    denied_far_back,
    denied_state,
    named_again,
    named_last,
    nothing_instead,
    put_right,
    regraded,
    said_about,
    said_before,
)
from extractor.language.like_things import amended, like_things, repeated_word, restart
from extractor.language.parallels import parallel
from extractor.language.passage import Passage
from extractor.language.repairs import Repair, Unit, masking, units_of
from extractor.reading import Measure, Tag

RULES: tuple[Callable[[Passage, list[Unit], Tag], Repair | None], ...] = (
    said_about,
    named_last,
    amended,
    parallel,
    regraded,
    denied_echo,
    put_right,
    like_things,
    denied_state,
    repeated_word,
    restart,
    denied_again,
    denied_far_back,
    named_again,
    said_before,
    nothing_instead,
)


def correct(passage: Passage) -> Passage:
    """The passage with all corrections found and what they withdrew masked."""
    units = units_of(passage)
    repairs: list[Repair] = []
    settled: set[int] = set()
    for cue in _cues(passage):
        if cue.start in settled:
            continue
        for rule in RULES:
            if repair := rule(passage, units, cue):
                repairs.append(repair)
                settled.update(range(cue.start, max(repair.correction.kept[1], cue.end) + 3))
                if repair.correction.kept[1] <= cue.start:  # named before the cue: "4.4 er 4.5 rather"
                    settled.update(range(*repair.correction.withdrawn))
                break
    repairs += _restated_numbers(passage, settled)
    repairs.sort(key=lambda repair: repair.correction.cue)
    masked = frozenset(token for repair in repairs for token in repair.masked)
    swaps = {old: new for repair in repairs for old, new in repair.replaced}
    measures = passage.measures
    if swaps:
        measures = tuple(
            replace(m, low=swaps[m].low, high=swaps[m].high, length_m=swaps[m].length_m, unit=swaps[m].unit)
            if m in swaps
            else m
            for m in measures
        )
    return passage.without(masked, tuple(repair.correction for repair in repairs), measures)


def _cues(passage: Passage) -> list[Tag]:
    """Repair cues in order; cues that touch are one ("no sorry", "no wait no")."""
    joined: list[Tag] = []
    for tag in passage.tags_from(0, len(passage), "repair"):
        if tag.id not in (
            "strong",
            "weak",
            "nothing_instead",
            "said_before",
            "not_instead",
            "about_that",
            "named_last",
        ):
            continue
        if passage.word(tag.start - 1) == "i" and passage.word(tag.start) == "make":
            continue  # "I make it three fifty"
        if _takes_nothing_back(passage, tag):
            continue
        held = passage.measure_over(tag.end - 1)
        if held is not None and held.start > tag.start:
            tag = replace(tag, end=held.start)  # "ten mil i should | say twenty mil"
        if tag.id == "strong" and passage.word(tag.end) == "not" and passage.is_class(tag.end - 1, "copula"):
            if tag.end - tag.start < 3:
                continue
            tag = replace(tag, end=tag.end - 2)  # "no | it isn't"
        if (
            joined
            and tag.start <= joined[-1].end
            and tag.id in ("strong", "weak")
            and joined[-1].id in ("strong", "weak")
        ):
            last = joined[-1]
            ids = {tag.id, last.id}
            joined[-1] = replace(last, end=max(last.end, tag.end), id="strong" if "strong" in ids else "weak")
        elif not joined or tag.start >= joined[-1].end or tag.id != joined[-1].id:
            joined.append(tag)
    return joined


def _takes_nothing_back(passage: Passage, tag: Tag) -> bool:
    """ "sorry that was my phone", "rather wet in here", "no no roots in there": words that correct nothing."""
    words, behind = passage.speech.words[tag.start : tag.end], passage.word(tag.end)
    if passage.is_class(tag.end - 1, "copula") and behind in ("my", "me"):
        return words[0] not in ("no", "nah", "wait")
    idle = passage.cue_at(tag.start, "negation", "looks_like_denial")
    if idle is not None and idle.end > tag.end:
        return True  # "no bother", "no idea"
    named = bool(passage.things_from(tag.end, tag.end + 1))
    if passage.is_class(tag.end, "addressed") and words[-1] in ("no", "nah", "sorry", "wait"):
        told = passage.measures_from(tag.end + 1, tag.end + 5) or passage.things_from(tag.end + 1, tag.end + 5)
        return not told or passage.word(tag.end + 1) in ("do", "not", "you")
    if passage.speech.words[tag.end : tag.end + 2] == ("do", "not") and passage.covering(tag.end, "doubt") is None:
        return True  # "no don't touch that"
    if words[-1] == "wait" and behind in ("for", "till", "until", "there"):
        return True  # "no wait for it"
    if words == ("no", "no"):
        return named
    if words == ("rather",):
        led = passage.is_class(tag.end, "article", "side") or passage.measure_over(tag.end) is not None
        closes = passage.measure_over(tag.start - 1) is not None or passage.word(tag.start - 1) == "or"
        return not (led or named or closes)
    return False


def _restated_numbers(passage: Passage, settled: set[int]) -> Iterator[Repair]:
    """ "three, four point two": a number broken off and said again, with no cue but a hesitation."""
    for said, meant in zip(passage.measures, passage.measures[1:], strict=False):
        if said.unit not in (None, "m") or meant.unit != said.unit or said.start in settled or meant.start in settled:
            continue
        if passage.is_class(said.start - 1, "line_noun") or passage.word(said.start - 1) == "number":
            continue  # "trench two now 2.7": which line, and then a reading
        gap = passage.speech.words[said.end : meant.start]
        if any(word not in passage.classes["filler"] for word in gap):
            continue
        if not gap and _reads_twice(passage, said, meant):
            yield masking(
                passage, (said.start, said.end), (said.end, meant.start), (meant.start, meant.end), "said again"
            )
            continue
        whole_then_part = (
            said.low == int(said.low) and meant.low != int(meant.low) and (gap or passage.speech.breaks[meant.start])
        )
        if whole_then_part and 0 < abs(meant.low - said.low) <= 3 and not passage.is_class(said.start - 1, "list"):
            yield masking(
                passage, (said.start, said.end), (said.end, meant.start), (meant.start, meant.end), "said again"
            )


def _reads_twice(passage: Passage, said: Measure, meant: Measure) -> bool:
    """ "3.7 3.9 joint's stepped": two readings with nothing between, the second at once for the first."""
    if said.spoken_unit != meant.spoken_unit or said.spoken_unit in ("millimetre", "inch", "centimetre"):
        return False
    if said.low == meant.low or said.low != said.high or meant.low != meant.high or abs(said.low - meant.low) > 0.5:
        return False
    if said.unit is None and (said.low == int(said.low) or meant.low == int(meant.low)):
        return False
    own = passage.is_class(said.start - 1, "at") and passage.things_from(said.start - 8, said.start)
    if own and passage.things_from(meant.end, meant.end + 3):
        return False  # "goes from pvc to clay at 3.6 | 3.9 roots"
    behind = passage.things_from(meant.end, meant.end + 6) or passage.cue_at(meant.end, "speech_act", "report")
    return bool(behind) and not passage.is_class(said.start - 1, "from", "to", "list")
