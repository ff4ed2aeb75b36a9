"""Repairs that deny what was said, and may say what it is: "a crack no it's only a cobweb", "no it isn't it's fine"."""

from extractor.language.passage import THING_KINDS, Passage
from extractor.language.repairs import REACH, Repair, Unit, denial_end, masking, takes_all, units_before, units_behind
from extractor.reading import Correction, Measure, Tag

FAR = 40  # words back to a thing that is named again ("not five metres")


def put_right(passage: Passage, units: list[Unit], cue: Tag) -> Repair | None:
    """ "a crack no it's only a cobweb", "roots no wait that's just string": what it is, known or not."""
    if cue.id not in ("strong", "weak"):
        return None
    denial = denial_end(passage, cue.end)
    if denial is None and passage.word(cue.end) == "not":  # "a root no | not a | root it's a rubber seal"
        denial = cue.end + 1 + passage.is_class(cue.end + 1, "article")
        denial = denial if passage.word(denial) == passage.word(cue.start - 1) else None
    start = denial if denial is not None else cue.end
    echoed = denial is not None and passage.word(start) == passage.word(cue.start - 1)
    start += echoed  # "ice no it's not ice it's a chunk of board"
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
            for u in units_before(units, cue.start, passage, REACH + 2)
            if u.kind in THING_KINDS and not passage.covering(u.start - 1, "negation")
        ),
        None,
    )
    if echoed:
        said = Unit(cue.start - 1, cue.start, "word", passage.word(cue.start - 1))
    if said is None:
        return None
    end = at + 1
    while end < len(passage) and end - at < 7 and not _stops(passage, end):
        end += 1
    withdrawn = (said.start - passage.is_class(said.start - 1, "indefinite"), said.end)
    return masking(passage, withdrawn, (cue.start, cue.end), (at, end), "put right")


def _stops(passage: Passage, token: int) -> bool:
    return bool(
        passage.is_class(token, "list", "turns")
        or (passage.is_class(token, "at") and passage.measure_over(token + 1) is not None)
        or passage.measure_over(token) is not None
        or passage.tags_from(token, token + 1, "boundary", "speech_act")
    )


def denied_state(passage: Passage, units: list[Unit], cue: Tag) -> Repair | None:
    """ "the float's sticking no it isn't it's fine": the state is taken back; another may stand in its place."""
    if cue.id not in ("strong", "weak"):
        return None
    denial = denial_end(passage, cue.end)
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


def regraded(passage: Passage, units: list[Unit], cue: Tag) -> Repair | None:
    """ "light grease no moderate grease": the degree alone is put right."""
    if cue.id not in ("strong", "weak"):
        return None
    meant = next((u for u in units_behind(units, cue.end, passage, 1) if u.kind == "extent"), None)
    said = next((u for u in units_before(units, cue.start, passage, 2) if u.kind == "extent"), None)
    if meant is None or said is None or meant.value == said.value:
        return None
    thing = next((u for u in units_before(units, cue.start, passage, 0) if u.kind in THING_KINDS), None)
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


def said_about(passage: Passage, units: list[Unit], cue: Tag) -> Repair | None:
    """ "forget what I said about the crack, it's a scratch": named again and taken back, however far back it was."""
    whole = cue.id == "nothing_instead" or (cue.id == "strong" and takes_all(passage, cue))
    if cue.id != "about_that" and not whole:
        return None
    reach = 2 if cue.id == "about_that" else 0  # "scrub that | crack", no "scrap that there's a crack"
    named = next((u for u in units_behind(units, cue.end, passage, reach) if u.kind in THING_KINDS), None)
    if named is None:
        return None
    earlier = [u for u in units if u.end <= cue.start and u.kind == named.kind and u.value == named.value]
    if not earlier:
        return None
    said = earlier[-1]
    end = named.end
    masked = frozenset(range(said.start, said.end)) | frozenset(range(cue.start, end))
    return Repair(Correction((said.start, said.end), (cue.start, cue.end), (end, end), "about that"), masked)


def named_again(passage: Passage, units: list[Unit], cue: Tag) -> Repair | None:
    """ "that crack is at 5.4 not five metres": the withdrawn value is named, and was said further back."""
    if cue.id != "not_instead":
        return None
    denied = next(iter(units_behind(units, cue.end, passage, 1)), None)
    if denied is None:
        return None
    called = denied.kind in THING_KINDS and _called(passage, cue)
    if not called and not (denied.kind in ("distance", "side", "port") or denied.kind.startswith("measure")):
        return None
    meant = next(
        (u for u in units_before(units, cue.start, passage, 2) if u.kind == denied.kind and u.value != denied.value),
        None,
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


def _called(passage: Passage, cue: Tag) -> bool:
    """ "call it the inspection chamber | not the gully trap"."""
    return any(passage.speech.words[at : at + 2] == ("call", "it") for at in range(max(0, cue.start - 6), cue.start))


def named_last(passage: Passage, units: list[Unit], cue: Tag) -> Repair | None:
    """ "the old pit at fourteen two septic tank i should call it": the better name behind the first one."""
    last = passage.word(cue.end - 1) in ("mean", "meant", "say", "rather") and cue.id in ("strong", "weak")
    if cue.id != "named_last" and not last:
        return None
    kinds = (*THING_KINDS, "direction", "port", "side", "distance", "material") if last else THING_KINDS
    named = next((u for u in units_before(units, cue.start, passage, 0) if u.kind in kinds), None)
    if named is None:
        return None
    said = next(
        (
            u
            for u in units_before(units, named.start, passage, 1 if last else REACH)
            if u.kind == named.kind
            and passage.speech.words[u.start : u.end] != passage.speech.words[named.start : named.end]
        ),
        None,
    )
    if said is None or passage.has_class(said.end, named.start, "list"):
        return None
    ahead = units_behind(units, cue.end, passage, 1) if last else []
    if any(u.kind == named.kind for u in ahead):
        return None  # "the left the inlet i mean | the outlet"
    masked = frozenset(range(said.start, said.end)) | frozenset(range(cue.start, cue.end))
    return Repair(
        Correction((said.start, said.end), (cue.start, cue.end), (named.start, named.end), "named last"), masked
    )


def denied_again(passage: Passage, units: list[Unit], cue: Tag) -> Repair | None:
    """ "25 mil, not 25, it's 40 mil": the value is denied right behind where it was said, and put right."""
    if cue.id != "not_instead" or passage.word(cue.start) != "not":
        return None
    denied = next(iter(units_behind(units, cue.end, passage, 1)), None)
    graded = next((u for u in units if u.start == cue.start and u.kind == "extent"), None)  # "not heavy", as one degree
    before = next((u for u in units_before(units, cue.start, passage, 4) if u.kind == "extent"), None)
    if graded is not None and before is not None and passage.word(graded.end - 1) == passage.word(before.end - 1):
        denied = Unit(cue.end, graded.end, "extent", before.value)
    if denied is None:
        return None
    said = next((u for u in units_before(units, cue.start, passage, 4) if u.kind == denied.kind), None)
    if said is None or passage.distance(said.end, cue.start) > (2 if denied.kind == "distance" else 4):
        return None
    if said.kind != denied.kind and not (said.kind == denied.kind == "distance"):
        return None
    old, again = passage.measure_over(said.start), passage.measure_over(denied.start)
    same = said.value == denied.value or (old is not None and again is not None and _same_words(passage, said, denied))
    if not same:
        return None
    meant = next(
        (u for u in units_behind(units, denied.end, passage, 3) if u.kind == said.kind and u.value != said.value), None
    )
    if meant is None and said.kind == "condition" and passage.word(denied.end) in ("it", "that", "just", "only"):
        return masking(passage, (said.start, said.end), (cue.start, denied.end), (denied.end, denied.end), "denied")
    if meant is None:
        return None
    return masking(
        passage, (said.start, said.end), (cue.start, denied.end), (meant.start, meant.end), "denied and put right"
    )


def denied_far_back(passage: Passage, units: list[Unit], cue: Tag) -> Repair | None:
    """ "that crack wasn't three point six it was four point six", "it's not the inlet it's the outlet": what was said
    before is named, denied and put right, however far back it was.
    """
    if cue.id != "not_instead" or passage.word(cue.start) != "not" or not passage.is_class(cue.start - 1, "copula"):
        return None
    denied = next(iter(units_behind(units, cue.end, passage, 2)), None)
    if denied is None or denied.kind not in ("distance", "side", "port", "structure", "material", "direction"):
        return None
    link = denied.end + passage.is_class(denied.end, "filler")
    if passage.is_class(link, "pronoun") and passage.is_class(link + 1, "copula"):
        link += 2
    elif passage.word(link) != "but":
        return None
    meant = next(
        (u for u in units_behind(units, link, passage, 2) if u.kind == denied.kind and u.value != denied.value), None
    )
    earlier = [u for u in units if u.end <= cue.start and u.kind == denied.kind and u.value == denied.value]
    if meant is None or not earlier:
        return None
    said = earlier[-1]
    masked = frozenset(range(cue.start, meant.start))
    old, new = passage.measure_over(said.start), passage.measure_over(meant.start)
    swaps = ((old, new),) if old is not None and new is not None else ()
    if not swaps:
        masked |= frozenset(range(said.start, said.end))
    correction = Correction((said.start, said.end), (cue.start, cue.end), (meant.start, meant.end), "denied far back")
    return Repair(correction, masked, swaps)


def denied_echo(passage: Passage, units: list[Unit], cue: Tag) -> Repair | None:
    """ "a crack at 3.2, no not a crack, a scratch": the thing is named again, denied, and another put in its place."""
    if cue.id not in ("strong", "weak") or passage.word(cue.end) != "not":
        return None
    at = cue.end + 1 + passage.is_class(cue.end + 1, "article")
    echo = next(
        (t for t in range(cue.start - 1, max(-1, cue.start - REACH - 6), -1) if passage.word(t) == passage.word(at)),
        None,
    )
    if echo is None or len(passage.word(at)) < 3:
        return None
    kept = at + 1
    while (
        passage.is_class(kept, "filler", "pronoun", "copula")
        or passage.word(kept) in passage.speech.words[echo : cue.start]
    ):
        kept += 1
    first = kept
    while passage.is_class(first, "merely"):
        first += 1
    measured = passage.measure_over(first) is not None and first > kept
    if (
        not passage.is_class(first, "indefinite", "article")
        and not passage.things_from(first, first + 1)
        and not measured
    ):
        return None
    end = first + 1
    while end < len(passage) and end - kept < 5 and not _stops(passage, end):
        end += 1
    start = echo - passage.is_class(echo - 1, "indefinite")
    return masking(passage, (start, echo + 1), (cue.start, kept), (kept, end), "denied and put right")


def _same_words(passage: Passage, said: Unit, denied: Unit) -> bool:
    """ "25 mil" and "25": the same number, the unit left out."""
    first, second = passage.speech.words[said.start : said.end], passage.speech.words[denied.start : denied.end]
    return first[: len(second)] == second and len(first) - len(second) <= 1


def said_before(passage: Passage, units: list[Unit], cue: Tag) -> Repair | None:
    """ "I said to the right, it's to the left"."""
    if cue.id != "said_before":
        return None
    ahead = units_behind(units, cue.end, passage, REACH)
    if not ahead:
        return None
    said = ahead[0]
    if said.kind == "extent" or not any(u.end <= cue.start and u.kind == said.kind for u in units):
        return None  # "I gave it a good belt with the bar"
    for meant in units_behind(units, said.end, passage, REACH + 2):
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


def nothing_instead(passage: Passage, units: list[Unit], cue: Tag) -> Repair | None:
    """ "there's a crack at four, scrap that": the whole statement is taken back."""
    if cue.id != "nothing_instead" and not (cue.id == "strong" and takes_all(passage, cue)):
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
    return masking(passage, (start, cue.start), (cue.start, cue.end), (cue.end, cue.end), "nothing instead")


def _opens_statement(passage: Passage, token: int) -> bool:
    tag = passage.cue_at(token, "speech_act", "report")
    return tag is not None and not (passage.measure_over(token - 1) or passage.is_class(token - 1, "at"))
