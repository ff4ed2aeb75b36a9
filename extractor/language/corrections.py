"""Corrections: what the speaker takes back, and what stands in its place.

    "we're in the inlet sorry the outlet"  ->  withdrawn inlet, kept outlet, rule "like things round a cue"

Structure after the published model of speech repair (Shriberg, 1994): reparandum, interregnum (the cue), repair. The
rules
are tried in the order of `RULES`; the first that fits a cue settles it. A cue that fits none ("sorry about the mess")
is no
correction. Later stages see only what stands.
"""

from bisect import bisect_left
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from extractor.language.passage import THING_KINDS, Passage
from extractor.reading import Correction, Measure, Tag

REACH = 4  # words between a thing and the cue
FAR = 40  # words back to a thing that is named again ("not five metres")
LONGEST_UNIT = 40  # words; no phrase and no spoken measure has as many


@dataclass(frozen=True, slots=True)
class Unit:
    """A thing or a measure that a correction may be about. Two units are alike where `kind` is the same."""

    start: int
    end: int
    kind: str
    value: object


@dataclass(frozen=True, slots=True)
class Repair:
    """A correction found, with the tokens it masks and the measures it puts in the place of earlier ones."""

    correction: Correction
    masked: frozenset[int]
    replaced: tuple[tuple[Measure, Measure], ...] = ()


def correct(passage: Passage) -> Passage:
    """The passage with all corrections found and what they withdrew masked."""
    units = _units(passage)
    repairs: list[Repair] = []
    settled: set[int] = set()
    for cue in _cues(passage):
        if cue.start in settled:
            continue
        for rule in RULES:
            if repair := rule(passage, units, cue):
                repairs.append(repair)
                settled.update(range(cue.start, max(repair.correction.kept[1], cue.end) + 3))
                break
    repairs += _restated_numbers(passage, settled)
    repairs.sort(key=lambda repair: repair.correction.cue)
    masked = frozenset(token for repair in repairs for token in repair.masked)
    swaps = {old: new for repair in repairs for old, new in repair.replaced}
    measures = tuple(
        replace(m, low=swaps[m].low, high=swaps[m].high, length_m=swaps[m].length_m, unit=swaps[m].unit)
        if m in swaps
        else m
        for m in passage.measures
    )
    return passage.without(masked, tuple(repair.correction for repair in repairs), measures)


def _cues(passage: Passage) -> list[Tag]:
    """Repair cues in order; cues that touch are one ("no sorry", "no wait no")."""
    joined: list[Tag] = []
    for tag in passage.tags_from(0, len(passage), "repair"):
        if tag.id not in ("strong", "weak", "nothing_instead", "said_before", "not_instead", "about_that"):
            continue
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


def _units(passage: Passage) -> list[Unit]:
    units = [
        Unit(tag.start, tag.end, "port" if tag.id in ("inlet", "outlet") else tag.kind, tag.id)
        for tag in passage.tags
        if tag.kind in THING_KINDS or tag.kind in ("material", "direction", "extent")
    ]
    units += [Unit(m.start, m.end, _measure_kind(m), (m.low, m.high)) for m in passage.measures]
    units += [
        Unit(token, token + 1, "side", passage.word(token))
        for token in passage.tokens_of(0, len(passage), ("side",))
        if not passage.measure_over(token) or _led_side(passage, token)
    ]
    return sorted(units, key=lambda unit: (unit.start, -unit.end))


def _led_side(passage: Passage, token: int) -> bool:
    """ "on the right at 52 feet": a side, where "right at 52 feet" alone is a distance."""
    measure = passage.measure_over(token)
    return measure is not None and measure.start == token and passage.is_class(token - 1, "definite")


def _measure_kind(measure: Measure) -> str:
    return "distance" if measure.unit in (None, "m") else f"measure {measure.unit}"


def _before(units: list[Unit], token: int, passage: Passage, reach: int) -> list[Unit]:
    """Units that end at or before the token, within reach, the nearest first."""
    first = bisect_left(units, token - reach - LONGEST_UNIT, key=lambda unit: unit.start)
    near = [
        u
        for u in units[first : bisect_left(units, token, key=lambda unit: unit.start)]
        if u.end <= token and token - u.end <= reach + 6 and passage.distance(u.end, token) <= reach
    ]
    return sorted(near, key=lambda unit: (-unit.end, unit.start))


def _behind(units: list[Unit], token: int, passage: Passage, reach: int) -> list[Unit]:
    first = bisect_left(units, token, key=lambda unit: unit.start)
    near = [
        u
        for u in units[first : bisect_left(units, token + reach + 7, key=lambda unit: unit.start)]
        if passage.distance(token, u.start) <= reach
    ]
    return sorted(near, key=lambda unit: (unit.start, -unit.end))


def _alike(said: Unit, meant: Unit, strong: bool) -> bool:
    if said.value == meant.value:
        return False
    if said.kind == meant.kind:
        return True
    if meant.value == "sound":
        return False  # "the float is sticking no it's fine": its state is put right, not the float
    return strong and said.kind in THING_KINDS and meant.kind in THING_KINDS


def _repair(
    passage: Passage, withdrawn: tuple[int, int], cue: tuple[int, int], kept: tuple[int, int], rule: str
) -> Repair:
    """Masks from the reparandum's own words and from the cue to the repair; what lies between stands."""
    masked = frozenset(range(*withdrawn)) | frozenset(range(cue[0], max(cue[1], kept[0])))
    return Repair(Correction(withdrawn, cue, kept, rule), masked)


def _like_things(passage: Passage, units: list[Unit], cue: Tag) -> Repair | None:
    """ "the gully sorry the boundary trap"; "3.2 no sorry 3.6"; "roots ... I withdraw that it is not roots it is the
    seal".
    """
    if cue.id not in ("strong", "weak"):
        return None
    strong = cue.id == "strong"
    start, echoed = _past_echo(passage, units, cue, strong)
    if start is None:
        return None
    if echoed is not None:
        meant = next((u for u in _behind(units, start, passage, REACH + 2) if u.kind in THING_KINDS), None)
        if meant is not None and meant.value != echoed.value:
            return _repair(
                passage,
                (echoed.start, echoed.end),
                (cue.start, cue.end),
                (meant.start, meant.end),
                "denied and put right",
            )
    denied = start > cue.end
    ahead = _behind(units, start, passage, REACH if strong or denied else 2)
    for meant in ahead[:3]:
        if denied and any(u.value == "sound" and u.start < meant.start for u in ahead):
            break  # "no it isn't it's fine": told of the same thing
        if not strong and not denied and not _restarts(passage, cue, meant) and not _side_by_side(passage, units, cue):
            continue
        for said in _before(units, cue.start, passage, REACH + 2 if strong or denied else 2):
            if said.kind == "extent" or meant.kind == "extent":
                continue
            if meant.kind == "side" and (meant.value == "other" or passage.tags_from(cue.end, meant.start, "boundary")):
                continue
            if not strong and passage.tags_from(start, meant.start, *THING_KINDS, "negation"):
                continue
            hours = (
                said.kind == "distance"
                and meant.kind == "measure clock"
                and said.end == cue.start
                and meant.start == cue.end
            )
            if not _alike(said, meant, strong) and not hours:
                continue
            if meant.kind == "distance" and said.kind == "distance" and not _comparable(passage, said, meant):
                continue
            if said.kind != meant.kind and (meant is not ahead[0]):
                continue
            if _both_stand(passage, cue, said, meant):
                continue
            counted = _counted(passage, cue, said, meant)
            return counted or _repair(
                passage,
                (said.start, said.end),
                (cue.start, cue.end),
                (meant.start, meant.end),
                "like things round a cue",
            )
    return None


def _counted(passage: Passage, cue: Tag, said: Unit, meant: Unit) -> Repair | None:
    """ "two outlets on it, nah, three": the new number takes the place of the old before what is counted."""
    old, new = passage.measure_over(said.start), passage.measure_over(meant.start)
    if old is None or new is None or old.unit is not None or new.unit is not None or said.end == cue.start:
        return None
    if not passage.things_from(said.end, said.end + 1) or passage.things_from(meant.end, meant.end + 1):
        return None
    correction = Correction((said.start, said.end), (cue.start, cue.end), (meant.start, meant.end), "count put right")
    return Repair(correction, frozenset(range(cue.start, meant.end)), ((old, new),))


def _both_stand(passage: Passage, cue: Tag, said: Unit, meant: Unit) -> bool:
    """ "a joint at 2.2, excuse me, a bend at 4.4": two things, each with a reading of its own, are two findings."""
    if "distance" in (said.kind, meant.kind):
        if passage.is_class(cue.start - 1, "one_or_another") or passage.is_class(meant.end, "one_or_another"):
            return True  # "and another, no, two more"
        other = [u for u in passage.things_from(meant.end, meant.end + 4) if passage.is_class(meant.start - 1, "at")]
        before = passage.things_from(max(0, said.start - 8), said.start)
        between = passage.things_from(cue.end, meant.start)
        if between and before and between[0].id != before[-1].id:
            return True
        return passage.is_class(cue.end, "list") and bool(other) and bool(before) and other[0].id != before[-1].id
    old = [m for m in passage.measures_from(said.end, cue.start) if m.unit in (None, "m")]
    new = [m for m in passage.measures_from(meant.end, meant.end + 3) if m.unit in (None, "m")]
    return bool(old and new) and (old[-1].low, old[-1].high) != (new[0].low, new[0].high) and said.value != meant.value


def _past_echo(passage: Passage, units: list[Unit], cue: Tag, strong: bool) -> tuple[int | None, Unit | None]:
    """Past "it is not roots" or "I won't" behind the cue, which only repeats what is withdrawn; and what that was."""
    token = cue.end
    denial = _denial(passage, token)
    if denial is not None and not _behind(units, denial, passage, 0):
        return denial, None
    near = list(range(token, min(token + 6, len(passage))))
    for at in near:
        if passage.word(at) == "not":
            denied = next(iter(_behind(units, at + 1, passage, 2)), None)
            said = next(iter(_before(units, cue.start, passage, REACH + 2)), None)
            if denied:
                for unit in _before(units, cue.start, passage, REACH + 4):
                    if unit.value == denied.value:
                        return denied.end, unit
            if passage.is_class(at - 1, "modal") or (said and not denied):
                return at + 1, None
            return (token if strong else None), None
    return token, None


def _denial(passage: Passage, token: int) -> int | None:
    """The token behind "it isn't", "it's not", "I'm not", "they don't" that only deny what was said."""
    if not passage.is_class(token, "pronoun", "someone") or not passage.is_class(token + 1, "copula", "does_not"):
        return None
    if passage.word(token + 2) != "not":
        return None
    bare = passage.is_class(token + 3, "pronoun", "article", "someone", "merely")
    return token + 3 if bare or passage.is_class(token + 1, "copula") else None


def _side_by_side(passage: Passage, units: list[Unit], cue: Tag) -> bool:
    """ "upstream no downstream", "the left sorry the right", "a tee sorry bend": like words right at both sides."""
    said = next(iter(_before(units, cue.start, passage, 0)), None)
    meant = next((u for u in _behind(units, cue.end, passage, 1) if not passage.is_class(u.start, "article")), None)
    if said is None or meant is None or said.kind != meant.kind or said.value == meant.value:
        return False
    if passage.word(cue.start) == "no":
        return said.kind in ("side", "port", "direction", "material", "distance")  # "a crack no roots" denies
    return said.kind != "extent"


def _restarts(passage: Passage, cue: Tag, meant: Unit) -> bool:
    """A weak cue corrects only where the repair begins at once, as a phrase of its own: an article, "it's", or the
    number.
    """
    token = cue.end
    if meant.kind == "distance" or meant.kind.startswith("measure"):
        return passage.distance(token, meant.start) <= 1
    lead = passage.speech.words[token : meant.start]
    return (
        bool(lead)
        and len(lead) <= 4
        and (lead[-1] in passage.classes["article"] or lead[0] in passage.classes["begins_repair"])
    )


def _comparable(passage: Passage, said: Unit, meant: Unit) -> bool:
    """Two bare numbers, or two with units of one size: "300 mil no sorry 6 metres" is no correction."""
    low: list[float] = [value for unit in (said, meant) for value in unit.value]  # type: ignore[attr-defined]
    return min(low) > 0 and max(low) / min(low) < 25


def _repeated_word(passage: Passage, units: list[Unit], cue: Tag) -> Repair | None:
    """ "the barn corner I mean the yard corner": the repair ends on a word of the reparandum."""
    if cue.id != "strong":
        return None
    small = passage.classes
    last = cue.start - 1
    while last >= 0 and passage.is_class(last, "filler"):
        last -= 1
    before = range(max(0, last - 4), last + 1)
    for token in range(cue.end, min(cue.end + 6, len(passage))):
        word = passage.word(token)
        if any(word in small[name] for name in ("article", "pronoun", "copula", "filler", "inside", "at", "list")):
            continue
        for earlier in reversed(before):
            if passage.word(earlier) == word and last - earlier <= 1 and token > cue.end:
                start = earlier
                while start - 1 >= before[0] and not passage.is_class(
                    start - 1, "article", "inside", "at", "copula", "list"
                ):
                    start -= 1
                kept = cue.end
                while kept < token and passage.is_class(kept, "article", "filler"):
                    kept += 1
                return _repair(
                    passage, (start, earlier + 1), (cue.start, cue.end), (kept, token + 1), "ends on the same word"
                )
    return None


def _restart(passage: Passage, units: list[Unit], cue: Tag) -> Repair | None:
    """ "that's your neighbour's no that's your old garage drain": the repair begins as the reparandum did."""
    if cue.id not in ("strong", "weak") or cue.end + 2 >= len(passage):
        return None
    lead = passage.speech.words[cue.end : cue.end + 2]
    if not passage.is_class(cue.end, "pronoun"):
        return None
    for back in range(cue.start - 3, max(-1, cue.start - 8), -1):
        if back < 0 or passage.speech.words[back : back + 2] != lead:
            continue
        withdrawn = (back + 2, cue.start)
        end = cue.end + 2
        while (
            end < len(passage) and end - cue.end < 7 and not passage.tags_from(end, end + 1, "boundary", "speech_act")
        ):
            if passage.measure_over(end):
                break
            end += 1
        if end > cue.end + 2 and passage.word(back + 2) != "not":
            return _repair(passage, withdrawn, (cue.start, cue.end), (cue.end + 2, end), "begins the same way")
    return None


def _named_again(passage: Passage, units: list[Unit], cue: Tag) -> Repair | None:
    """ "that crack is at 5.4 not five metres": the withdrawn value is named, and was said further back."""
    if cue.id != "not_instead":
        return None
    denied = next(iter(_behind(units, cue.end, passage, 1)), None)
    if denied is None or not (denied.kind in ("distance", "side", "port") or denied.kind.startswith("measure")):
        return None
    meant = next(
        (u for u in _before(units, cue.start, passage, 2) if u.kind == denied.kind and u.value != denied.value), None
    )
    if meant is None:
        return None
    earlier = [
        u
        for u in units
        if u.end <= meant.start and meant.start - u.end <= FAR and u.kind == denied.kind and u.value == denied.value
    ]
    if not earlier:
        return None
    said = earlier[-1]
    masked = frozenset(range(cue.start, denied.end))
    pairs: tuple[tuple[Measure, Measure], ...] = ()
    old, new = passage.measure_over(said.start), passage.measure_over(meant.start)
    if old and new:
        pairs = ((old, new),)
    else:
        masked |= frozenset(range(said.start, said.end))
    return Repair(
        Correction((said.start, said.end), (cue.start, cue.end), (meant.start, meant.end), "named again"), masked, pairs
    )


def _denied_again(passage: Passage, units: list[Unit], cue: Tag) -> Repair | None:
    """ "25 mil, not 25, it's 40 mil": the value is denied right behind where it was said, and put right."""
    if cue.id != "not_instead" or passage.word(cue.start) != "not":
        return None
    denied = next(iter(_behind(units, cue.end, passage, 1)), None)
    if denied is None:
        return None
    said = next((u for u in _before(units, cue.start, passage, 4) if u.kind == denied.kind), None)
    if said is None or passage.distance(said.end, cue.start) > (2 if denied.kind == "distance" else 4):
        return None
    if said.kind != denied.kind and not (said.kind == denied.kind == "distance"):
        return None
    old, again = passage.measure_over(said.start), passage.measure_over(denied.start)
    same = said.value == denied.value or (old is not None and again is not None and _same_words(passage, said, denied))
    if not same:
        return None
    meant = next(
        (u for u in _behind(units, denied.end, passage, 3) if u.kind == said.kind and u.value != said.value), None
    )
    if meant is None and said.kind == "condition" and passage.word(denied.end) in ("it", "that", "just", "only"):
        return _repair(passage, (said.start, said.end), (cue.start, denied.end), (denied.end, denied.end), "denied")
    if meant is None:
        return None
    return _repair(
        passage, (said.start, said.end), (cue.start, denied.end), (meant.start, meant.end), "denied and put right"
    )


def _same_words(passage: Passage, said: Unit, denied: Unit) -> bool:
    """ "25 mil" and "25": the same number, the unit left out."""
    first, second = passage.speech.words[said.start : said.end], passage.speech.words[denied.start : denied.end]
    return first[: len(second)] == second and len(first) - len(second) <= 1


def _said_before(passage: Passage, units: list[Unit], cue: Tag) -> Repair | None:
    """ "I said to the right, it's to the left"."""
    if cue.id != "said_before":
        return None
    ahead = _behind(units, cue.end, passage, REACH)
    if not ahead:
        return None
    said = ahead[0]
    for meant in _behind(units, said.end, passage, REACH + 2):
        if meant.kind == said.kind and meant.value != said.value and meant.start - said.end <= 8:
            swaps: tuple[tuple[Measure, Measure], ...] = ()
            new = passage.measure_over(meant.start)
            if new and said.kind == "distance":
                old = [m for m in passage.measures if m.end <= cue.start and (m.low, m.high) == said.value]
                swaps = ((old[-1], new),) if old else ()
            masked = frozenset(range(cue.start, meant.start))
            lead = said.start - 1 if passage.word(said.start - 1) in ("the", "a") else said.start
            lead = lead - 1 if passage.is_class(lead - 1, "to") else lead
            return Repair(
                Correction((lead, said.end), (cue.start, cue.end), (meant.start, meant.end), "said before"),
                masked,
                swaps,
            )
    return None


def _nothing_instead(passage: Passage, units: list[Unit], cue: Tag) -> Repair | None:
    """ "there's a crack at four, scrap that": the whole statement is taken back."""
    if cue.id != "nothing_instead" and not (cue.id == "strong" and _takes_all(passage, cue)):
        return None
    start = cue.start
    floor = max(0, cue.start - 14)
    seen = False
    while start > floor:
        start -= 1
        seen = seen or any(u.start <= start < u.end for u in units)
        measure = passage.measure_over(start)
        if seen and measure is not None and measure.start == start and measure.unit in (None, "m"):
            start -= passage.is_class(start - 1, "at", "from")
            break
        if seen and (passage.tags_from(start, start + 1, "boundary") or _opens_statement(passage, start)):
            break
    if not seen:
        return None
    return _repair(passage, (start, cue.start), (cue.start, cue.end), (cue.end, cue.end), "nothing instead")


def _takes_all(passage: Passage, cue: Tag) -> bool:
    return any(tag.id == "nothing_instead" for tag in passage.tags_from(cue.start, cue.end, "repair"))


def _opens_statement(passage: Passage, token: int) -> bool:
    tag = passage.cue_at(token, "speech_act", "report")
    return tag is not None and not (passage.measure_over(token - 1) or passage.is_class(token - 1, "at"))


def _amended(passage: Passage, units: list[Unit], cue: Tag) -> Repair | None:
    """ "... I need to amend that, the chainage is 8.9": the last reading is put right, however far back."""
    if cue.id != "strong":
        return None
    meant = next((u for u in _behind(units, cue.end, passage, REACH + 1) if u.kind == "distance"), None)
    if meant is None or not any(passage.is_class(token, "reading_word") for token in range(cue.end, meant.start)):
        return None
    before = [u for u in units if u.kind == "distance" and u.end <= cue.start and cue.start - u.end <= FAR]
    old, new = (passage.measure_over(before[-1].start) if before else None), passage.measure_over(meant.start)
    if old is None or new is None or before[-1].value == meant.value:
        return None
    said = before[-1]
    correction = Correction((said.start, said.end), (cue.start, cue.end), (meant.start, meant.end), "reading amended")
    return Repair(correction, frozenset(range(cue.start, meant.end)), ((old, new),))


def _put_right(passage: Passage, units: list[Unit], cue: Tag) -> Repair | None:
    """ "a crack no it's only a cobweb", "roots no wait that's just string": what it is, known or not."""
    if cue.id not in ("strong", "weak"):
        return None
    denial = _denial(passage, cue.end)
    start = denial if denial is not None else cue.end
    while passage.is_class(start, "filler") and not passage.is_class(start, "merely"):
        start += 1
    at, merely = start, passage.is_class(start, "merely")
    if passage.is_class(at, "pronoun") and passage.is_class(at + 1, "copula"):
        at += 2
    elif passage.word(at) == "tis":
        at, merely = at + 1, True
    elif passage.is_class(cue.end - 1, "copula"):
        pass  # the cue itself holds "it is"
    elif not merely:
        return None
    while passage.is_class(at, "merely", "filler"):
        merely, at = True, at + 1
    doubtful = any(passage.is_class(token, "repair_doubt") for token in range(cue.start, cue.end))
    if not passage.is_class(at, "indefinite") or not (merely or denial is not None or doubtful):
        return None
    if passage.is_class(at + 1, "vague_noun", "extent_noun") and passage.word(at + 2) != "of":
        return None
    said = next(
        (
            u
            for u in _before(units, cue.start, passage, REACH + 2)
            if u.kind in THING_KINDS and not passage.covering(u.start - 1, "negation")
        ),
        None,
    )
    if said is None:
        return None
    end = at + 1
    while end < len(passage) and end - at < 7 and not _stops(passage, end):
        end += 1
    withdrawn = (said.start - passage.is_class(said.start - 1, "indefinite"), said.end)
    return _repair(passage, withdrawn, (cue.start, cue.end), (at, end), "put right")


def _stops(passage: Passage, token: int) -> bool:
    return bool(
        passage.is_class(token, "list", "turns")
        or (passage.is_class(token, "at") and passage.measure_over(token + 1) is not None)
        or passage.measure_over(token) is not None
        or passage.tags_from(token, token + 1, "boundary", "speech_act", "movement")
    )


def _denied_state(passage: Passage, units: list[Unit], cue: Tag) -> Repair | None:
    """ "the float's sticking no it isn't it's fine": the state is taken back; another may stand in its place."""
    if cue.id not in ("strong", "weak"):
        return None
    denial = _denial(passage, cue.end)
    if denial is None or not (passage.is_class(cue.end, "pronoun") and passage.is_class(cue.end + 1, "copula")):
        return None
    link = next((t for t in range(cue.start - 2, max(-1, cue.start - 7), -1) if passage.is_class(t, "copula")), None)
    if link is None or passage.measures_from(link, cue.start):
        return None
    states = [u for u in units if link <= u.start + 1 and u.end <= cue.start and u.kind == "condition"]
    start = link + 1
    if not states and cue.start - start > 3:
        return None
    kept, end = denial, denial
    if passage.is_class(denial, "pronoun") and passage.is_class(denial + 1, "copula"):
        kept = end = denial + 2
        while (
            end < len(passage)
            and end - kept < 4
            and not _stops(passage, end)
            and end - kept
            < 1 + bool(passage.is_class(end, "merely", "filler", "indefinite") or passage.covering(end, "condition"))
        ):
            end += 1
    masked = set(range(start, cue.start)) | set(range(cue.start, kept if end == kept else denial))
    for unit in states:
        masked |= set(range(max(unit.start, start), unit.end))
    return Repair(Correction((start, cue.start), (cue.start, cue.end), (kept, end), "state denied"), frozenset(masked))


def _regraded(passage: Passage, units: list[Unit], cue: Tag) -> Repair | None:
    """ "light grease no moderate grease": the degree alone is put right."""
    if cue.id not in ("strong", "weak"):
        return None
    meant = next((u for u in _behind(units, cue.end, passage, 1) if u.kind == "extent"), None)
    said = next((u for u in _before(units, cue.start, passage, 2) if u.kind == "extent"), None)
    if meant is None or said is None or meant.value == said.value:
        return None
    thing = next((u for u in _before(units, cue.start, passage, 0) if u.kind in THING_KINDS), None)
    again = next((u for u in units if u.start == meant.end and u.kind in THING_KINDS), None)
    if thing is not None and again is not None and thing.value != again.value:
        return None
    if thing is not None and thing.start < said.end:
        return None
    masked = set(range(said.start, said.end)) | set(range(cue.start, meant.start))
    if thing is not None and again is not None:
        masked |= set(range(said.start, cue.start))
    elif thing is not None:
        return None
    return Repair(
        Correction((said.start, said.end), (cue.start, cue.end), (meant.start, meant.end), "degree"), frozenset(masked)
    )


def _said_about(passage: Passage, units: list[Unit], cue: Tag) -> Repair | None:
    """ "forget what I said about the crack, it's a scratch": named again and taken back, however far back it was."""
    takes_all = cue.id == "nothing_instead" or (cue.id == "strong" and _takes_all(passage, cue))
    if cue.id != "about_that" and not takes_all:
        return None
    reach = 2 if cue.id == "about_that" else 0  # "scrub that | crack", no "scrap that there's a crack"
    named = next((u for u in _behind(units, cue.end, passage, reach) if u.kind in THING_KINDS), None)
    if named is None:
        return None
    earlier = [u for u in units if u.end <= cue.start and u.kind == named.kind and u.value == named.value]
    if not earlier:
        return None
    said = earlier[-1]
    end = named.end
    masked = frozenset(range(said.start, said.end)) | frozenset(range(cue.start, end))
    return Repair(Correction((said.start, said.end), (cue.start, cue.end), (end, end), "about that"), masked)


RULES: tuple[Callable[[Passage, list[Unit], Tag], Repair | None], ...] = (
    _said_about,
    _amended,
    _regraded,
    _put_right,
    _like_things,
    _denied_state,
    _repeated_word,
    _restart,
    _denied_again,
    _named_again,
    _said_before,
    _nothing_instead,
)


def _restated_numbers(passage: Passage, settled: set[int]) -> Iterator[Repair]:
    """ "three, four point two": a number broken off and said again, with no cue but a hesitation."""
    for said, meant in zip(passage.measures, passage.measures[1:], strict=False):
        if said.unit not in (None, "m") or meant.unit != said.unit or said.start in settled or meant.start in settled:
            continue
        gap = passage.speech.words[said.end : meant.start]
        if any(word not in passage.classes["filler"] for word in gap):
            continue
        if not gap and _reads_twice(passage, said, meant):
            yield _repair(
                passage, (said.start, said.end), (said.end, meant.start), (meant.start, meant.end), "said again"
            )
            continue
        whole_then_part = (
            said.low == int(said.low) and meant.low != int(meant.low) and (gap or passage.speech.breaks[meant.start])
        )
        if whole_then_part and 0 < abs(meant.low - said.low) <= 3 and not passage.is_class(said.start - 1, "list"):
            yield _repair(
                passage, (said.start, said.end), (said.end, meant.start), (meant.start, meant.end), "said again"
            )


def _reads_twice(passage: Passage, said: Measure, meant: Measure) -> bool:
    """ "3.7 3.9 joint's stepped": two readings with nothing between, the second at once for the first."""
    if said.spoken_unit != meant.spoken_unit or said.spoken_unit in ("millimetre", "inch", "centimetre"):
        return False
    if said.low == meant.low or said.low != said.high or meant.low != meant.high or abs(said.low - meant.low) > 1.0:
        return False
    if said.unit is None and (said.low == int(said.low) or meant.low == int(meant.low)):
        return False
    behind = passage.things_from(meant.end, meant.end + 6) or passage.cue_at(meant.end, "speech_act", "report")
    return bool(behind) and not passage.is_class(said.start - 1, "from", "to", "list")
