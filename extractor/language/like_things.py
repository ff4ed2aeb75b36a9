"""Repairs that put one thing or reading in the place of a like one: "the gully sorry the boundary trap"."""

from extractor.language.passage import THING_KINDS, Passage
from extractor.language.repairs import (
    REACH,
    Repair,
    Unit,
    are_alike,
    denial_end,
    masking,
    units_before,
    units_behind,
)
from extractor.reading import Correction, Tag

SPOKEN_IN_M = {"millimetre": 0.001, "centimetre": 0.01, "inch": 0.0254, "foot": 0.3048}
FAR = 40  # words back to a reading that is amended


def like_things(passage: Passage, units: list[Unit], cue: Tag) -> Repair | None:
    """ "the gully sorry the boundary trap"; "3.2 no sorry 3.6"; "roots ... I withdraw that it is not roots it is the
    seal".
    """
    if cue.id not in ("strong", "weak") and not _instead(passage, units, cue):
        return None
    strong = cue.id != "weak"
    start, echoed = _past_echo(passage, units, cue, strong)
    if start is None:
        return None
    if echoed is not None:
        meant = next((u for u in units_behind(units, start, passage, REACH + 2) if u.kind in THING_KINDS), None)
        if meant is not None and meant.value != echoed.value:
            return masking(
                passage,
                (echoed.start, echoed.end),
                (cue.start, cue.end),
                (meant.start, meant.end),
                "denied and put right",
            )
    denied = start > cue.end
    ahead = units_behind(units, start, passage, REACH if strong or denied else 2)
    for meant in ahead[:3]:
        if denied and any(u.value == "sound" and u.start < meant.start for u in ahead):
            break  # "no it isn't it's fine": told of the same thing
        if not strong and not denied and not _restarts(passage, cue, meant) and not _side_by_side(passage, units, cue):
            continue
        for said in units_before(units, cue.start, passage, REACH + 2 if strong or denied else 2):
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
            if not are_alike(said, meant, strong or denied) and not hours:
                continue
            if meant.kind == "distance" and said.kind == "distance" and not _comparable(passage, said, meant):
                continue
            if said.kind != meant.kind and (meant is not ahead[0]):
                continue
            if _both_stand(passage, cue, said, meant) or _known_thing(passage, cue, said, meant):
                continue
            counted = _counted(passage, cue, said, meant)
            return counted or masking(
                passage,
                (said.start, said.end),
                (cue.start, cue.end),
                (meant.start, meant.end),
                "like things round a cue",
            )
    return None


def _instead(passage: Passage, units: list[Unit], cue: Tag) -> bool:
    """ "at 4.2 scrub that 4.6", "the inlet belay that the outlet": like things right at both sides, so one is kept."""
    if cue.id != "nothing_instead":
        return False
    said = next(iter(units_before(units, cue.start, passage, 0)), None)
    meant = next(iter(units_behind(units, cue.end, passage, 1)), None)
    return said is not None and meant is not None and said.kind == meant.kind and said.value != meant.value


def _known_thing(passage: Passage, cue: Tag, said: Unit, meant: Unit) -> bool:
    """ "can't get past the roots no it's jammed solid": more is said of a thing that is known, none is taken back."""
    known = said.kind == meant.kind == "condition" and passage.is_class(said.start - 1, "definite")
    state = passage.is_class(cue.end - 1, "copula") and not passage.is_class(meant.start - 1, "article")
    return known and state and passage.word(said.start - 1) in ("the", "those", "these")


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
    denial = denial_end(passage, token)
    if denial is not None:
        at = denial + passage.is_class(denial, "article")
        again = next(iter(units_behind(units, at, passage, 0)), None)
        for unit in units_before(units, cue.start, passage, REACH) if again else ():
            if again and unit.value == again.value and unit.kind == again.kind:
                return again.end, unit  # "a crack no it's not a crack | it's a scratch"
    if denial is not None and not units_behind(units, denial, passage, 0):
        return denial, None
    near = list(range(token, min(token + 6, len(passage))))
    for at in near:
        if passage.word(at) == "not":
            denied = next(iter(units_behind(units, at + 1, passage, 2)), None)
            said = next(iter(units_before(units, cue.start, passage, REACH + 2)), None)
            if denied:
                for unit in units_before(units, cue.start, passage, REACH + 4):
                    if unit.value == denied.value:
                        return denied.end, unit
            if passage.is_class(at - 1, "modal") or (said and not denied):
                return at + 1, None
            return (token if strong else None), None
    return token, None


def _side_by_side(passage: Passage, units: list[Unit], cue: Tag) -> bool:
    """ "upstream no downstream", "the left sorry the right", "a tee sorry bend": like words right at both sides."""
    said = next(iter(units_before(units, cue.start, passage, 0)), None)
    meant = next(
        (u for u in units_behind(units, cue.end, passage, 1) if not passage.is_class(u.start, "article")), None
    )
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
    old, new = passage.measure_over(said.start), passage.measure_over(meant.start)
    if old is not None and new is not None and old.unit is None and new.spoken_unit in SPOKEN_IN_M:
        low = [old.low, new.low / SPOKEN_IN_M[new.spoken_unit]]  # "about twenty five no thirty five millimetres"
    return min(low) > 0 and max(low) / min(low) < 25


def repeated_word(passage: Passage, units: list[Unit], cue: Tag) -> Repair | None:
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
                return masking(
                    passage, (start, earlier + 1), (cue.start, cue.end), (kept, token + 1), "ends on the same word"
                )
    return None


def restart(passage: Passage, units: list[Unit], cue: Tag) -> Repair | None:
    """ "that's your neighbour's no that's your old garage drain": the repair begins as the reparandum did."""
    if cue.id not in ("strong", "weak") or cue.end + 2 >= len(passage):
        return None
    lead = passage.speech.words[cue.end : cue.end + 2]
    if not (passage.is_class(cue.end, "pronoun") or lead in (("there", "is"), ("there", "are"))):
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
            return masking(passage, withdrawn, (cue.start, cue.end), (cue.end + 2, end), "begins the same way")
    return None


def amended(passage: Passage, units: list[Unit], cue: Tag) -> Repair | None:
    """ "... I need to amend that, the chainage is 8.9": the last reading is put right, however far back."""
    if cue.id != "strong":
        return None
    meant = next((u for u in units_behind(units, cue.end, passage, REACH + 1) if u.kind == "distance"), None)
    if meant is None or not any(passage.is_class(token, "reading_word") for token in range(cue.end, meant.start)):
        return None
    before = [u for u in units if u.kind == "distance" and u.end <= cue.start and cue.start - u.end <= FAR]
    old, new = (passage.measure_over(before[-1].start) if before else None), passage.measure_over(meant.start)
    if old is None or new is None or before[-1].value == meant.value:
        return None
    said = before[-1]
    correction = Correction((said.start, said.end), (cue.start, cue.end), (meant.start, meant.end), "reading amended")
    return Repair(correction, frozenset(range(cue.start, meant.end)), ((old, new),))
