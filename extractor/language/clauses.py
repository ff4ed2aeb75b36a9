"""Clauses: where sense and scope end in speech that has no full stops, and what the speaker does in each.

    "at 2.4 there's a joint that's fine and then a bend"  ->  at 2.4 there's a joint | that's fine | and then a bend

A clause begins at a word that goes on or turns ("and then", "okay", "but"), at "there's" or "it's" with the distance
that
leads it, at "and" before a new subject, at a move of the camera. Each has an act: report, plan, question, talk,
general,
earlier, main_issue or recommendation; only a report makes rows.
"""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass

from extractor.language.passage import THING_KINDS, Passage
from extractor.reading import Tag, by_start

_OPENING_KINDS = ("boundary", "movement")
_SPEAKERS = ("i", "we")
_ASIDES = {"hearsay": 2, "general": 3}  # words of a cue that begins a statement: "she reckons", not "always"


@dataclass(frozen=True, slots=True)
class Clause:
    """Tokens start to end, the cue that opened it, and the speaker's act."""

    start: int
    end: int
    opener: str
    act: str = "report"


def cut_clauses(passage: Passage) -> tuple[Clause, ...]:
    """All clauses in order; together they cover every token once."""
    starts = _starts(passage)
    ordered = sorted({0: "start", **starts}.items())
    ends = [start for start, _ in ordered[1:]] + [len(passage)]
    clauses = []
    for (start, opener), end in zip(ordered, ends, strict=True):
        act = _act(passage, start, end)
        clauses.append(Clause(start, end, opener, act))
    return tuple(_carried_acts(passage, clauses))


def clause_at(clauses: Sequence[Clause], token: int) -> Clause:
    """The clause that the token lies in."""
    return clauses[max(0, bisect_right(clauses, token, key=by_start) - 1)]


def _starts(passage: Passage) -> dict[int, str]:
    starts: dict[int, str] = {}
    for tag in passage.tags_from(0, len(passage), *_OPENING_KINDS):
        if tag.kind == "boundary" and not is_boundary(passage, tag.start, tag.end):
            continue
        if tag.kind == "movement" and tag.id in ("inspect", "go"):
            continue
        starts[_with_and(passage, _with_port(passage, tag))] = tag.kind
    for tag in passage.tags_from(0, len(passage), "speech_act"):
        if tag.id == "report" and tag.end - tag.start >= 2 and not in_there(passage, tag):
            starts[_with_lead(passage, tag.start)] = "report"
        elif _part_of_more(passage, tag):
            continue
        elif tag.id in ("main_issue", "recommendation"):
            ahead = tag.id == "main_issue" and passage.is_class(
                tag.end - 1, "copula"
            )  # "it's capped | the main trouble is"
            starts.setdefault(_with_the(passage, tag.start) if ahead else _with_noun(passage, tag.start), tag.id)
        elif tag.id in ("plan", "closing", "question", "talk") or _begins_aside(passage, tag):
            held = passage.covering(tag.start, "stretch")
            if held is not None and held.start < tag.start:
                continue  # "start to finish"
            if tag.id == "question" and (
                _tells_trouble(passage, tag)
                or passage.speech.words[max(0, tag.start - 2) : tag.start] == ("what", "is")
            ):
                continue  # "so I can see what's | what"
            starts.setdefault(_with_and(passage, _with_subject(passage, tag.start)), tag.id)
    for measure in passage.measures:
        if _leads(passage, measure.start, measure.end):
            starts.setdefault(_with_lead(passage, measure.end), "reading")
    for token in passage.tokens_of(1, len(passage), ("list",)):
        if _new_subject(passage, token + 1) and not _other_end(passage, token):
            starts[token] = "and"
    for token in passage.tokens_of(1, len(passage) - 1, ("statement_pronoun",), _SPEAKERS):
        if _subject_and_verb(passage, token) and not _doubt_put_in(passage, token):
            starts.setdefault(_with_and(passage, token), "subject")
    for told in passage.tags_from(0, len(passage), "time"):
        if told.id == "earlier" and told.end in starts and starts[told.end] in ("subject", "report"):
            starts.setdefault(told.start, starts.pop(told.end))  # "last fall | i got a camera stuck"
    for verdict in passage.tags_from(0, len(passage), "condition"):
        if verdict.id == "sound" and _whole_verdict(passage, verdict):
            starts.setdefault(verdict.end, "subject")
    for token in list(starts):
        over = passage.measure_over(token)
        if over and over.start < token:
            del starts[token]
    return starts


def _tells_trouble(passage: Passage, tag: Tag) -> bool:
    """ "the main problem is that dry gully": the copula of a statement, which asks nothing."""
    return passage.is_class(tag.start, "copula") and passage.is_class(tag.start - 1, "trouble", "trouble_if_chief")


def _begins_aside(passage: Passage, tag: Tag) -> bool:
    """ "she reckons", "roots will find"; not "always", nor "you could lose a dog in it", which tells how big."""
    return tag.end - tag.start >= _ASIDES.get(tag.id, len(passage)) and passage.word(tag.start) != "you"


def _subject_and_verb(passage: Passage, token: int) -> bool:
    """ "it was", "she had", "they reckon": a pronoun and its verb begin a statement, unless a relative or a doubt
    holds them.
    """
    if passage.word(token) in _SPEAKERS:
        return not passage.is_class(token - 1, "relative", "modal") and not passage.covering(token - 1, "doubt")
    if passage.word(token) not in passage.classes["statement_pronoun"] or passage.measure_over(token):
        return False
    if not (
        passage.is_class(token + 1, "copula", "modal") or passage.word(token + 1) in passage.classes["statement_verb"]
    ):
        return False
    report = passage.cue_at(token, "speech_act", "report")
    if report is not None and report.end - report.start >= 2:
        return False
    held = (
        passage.covering(token - 1, "doubt")
        or passage.covering(token - 1, "negation")
        or passage.covering(token - 1, "repair")
    )
    return held is None and not passage.is_class(token - 1, "at", "from", "inside")


def _other_end(passage: Passage, token: int) -> bool:
    """ "between the chamber | and the gully": no statement of its own."""
    before = passage.tags_from(token - 3, token, "structure", "fixture", "component")
    if not before or before[-1].end != token:
        return False
    return "between" in passage.speech.words[max(0, before[-1].start - 3) : before[-1].start]


def _part_of_more(passage: Passage, tag: Tag) -> bool:
    """ "a ninety no | hold on | a forty five", "ain't a | thing wrong with it": words of a correction or a verdict."""
    if tag.id == "talk":
        return passage.covering(tag.start, "repair") is not None and passage.cue_at(tag.start, "repair") is None
    verdict = passage.covering(tag.start, "condition") if tag.id == "main_issue" else None
    return verdict is not None and verdict.id == "sound" and verdict.start < tag.start


def in_there(passage: Passage, report: Tag) -> bool:
    """ "the filter that goes in | there is missing": the place, and no new statement."""
    if passage.word(report.start) != "there" or passage.word(report.start - 1) not in (
        "in",
        "down",
        "up",
        "on",
        "over",
    ):
        return False
    return any(passage.is_class(t, "relative") for t in range(report.start - 4, report.start - 1))


def _doubt_put_in(passage: Passage, token: int) -> bool:
    """ "a bit of scale | i think | hanging off a joint": the doubt stands inside the statement."""
    doubt = passage.cue_at(token, "doubt")
    if doubt is None or passage.covering(token - 1, "condition") is None:
        return False
    after = doubt.end + (passage.word(doubt.end).endswith("ing") and not passage.is_class(doubt.end, "inside"))
    return passage.is_class(after, "inside") and not passage.is_class(after, "copula", "someone")


def _whole_verdict(passage: Passage, verdict: Tag) -> bool:
    """ "it's perfect | roots then at 3.2": a verdict with its verb is complete before the next thing."""
    words = passage.speech.words[verdict.start : verdict.end]
    has_verb = any(passage.is_class(token, "copula") for token in range(verdict.start - 1, verdict.end))
    if not has_verb or words[-1] == "fine" or passage.word(verdict.start - 2) == "there":
        return False
    return any(tag.start == verdict.end for tag in passage.things_from(verdict.end, verdict.end + 1))


def _leads(passage: Passage, start: int, end: int) -> bool:
    """Whether a distance opens a statement: a reading with no preposition, or one behind which a new thing is told."""
    measure = passage.measure_over(start)
    if measure is None or measure.unit not in (None, "m") or measure.spoken_unit in ("millimetre", "inch"):
        return False
    if (
        measure.unit is None
        and measure.low == int(measure.low)
        and "dropped" not in measure.rule
        and "feet" not in measure.rule
    ):
        return False
    before = start - 1
    if (passage.is_class(before, "to", "from", "inside") and not passage.is_class(before, "at")) or passage.is_class(
        start, "from"
    ):
        return False
    if passage.covering(before, "stretch") or passage.covering(start, "stretch") or passage.covering(before, "role"):
        return False
    prepared = passage.is_class(before, "at") or passage.is_class(before, "list")
    report = passage.cue_at(end, "speech_act", "report")
    return not prepared or (report is not None and report.end - report.start >= 2)


def is_boundary(passage: Passage, start: int, end: int) -> bool:
    """ "on the right", "right through", "all good now": words that open a clause only where nothing holds them."""
    word, before, after = passage.word(start), passage.word(start - 1), passage.word(end)
    if end - start > 1:
        return True
    if word == "well":
        return before != "as"
    if word == "so":
        return before != "or" and after not in ("far", "much", "many", "long")
    if word == "right":
        held = before in passage.classes["before_right_hand"]
        return not held and after not in passage.classes["after_right_hand"]
    if word in passage.classes["filling_praise"]:
        return (
            not passage.is_class(start - 1, "copula", "article", "inside")
            and passage.covering(start, "condition") is None
        )
    return word not in ("still", "only", "yet", "though")


def _with_and(passage: Passage, start: int) -> int:
    return start - 1 if passage.is_class(start - 1, "list") else start


def _with_port(passage: Passage, tag: Tag) -> int:
    """Back over what is numbered: "outlet | number two"."""
    if passage.measure_over(tag.end - 1) is None:
        return tag.start
    if passage.word(tag.start) != "number":
        return tag.start
    named = passage.covering(tag.start - 1, "component") or passage.covering(tag.start - 1, "structure")
    return named.start if named is not None else tag.start


def _with_subject(passage: Passage, start: int) -> int:
    while start > 0 and passage.is_class(start - 1, "someone", "modal"):
        start -= 1
    return start


def _with_the(passage: Passage, start: int) -> int:
    """Back over "the" and what leads it: "so | the main trouble was"."""
    token = start - 1 if passage.is_class(start - 1, "article") else start
    return _with_and(passage, token)


def _with_noun(passage: Passage, start: int) -> int:
    """Back over what the verdict is about: "that open joint | ought to be patched"."""
    token, steps = start, 0
    while token > 0 and steps < 7:
        before = token - 1
        if passage.is_class(before, "list"):
            return before
        boundary = passage.covering(before, "boundary")
        if (boundary and is_boundary(passage, boundary.start, boundary.end)) or passage.measure_over(before):
            break
        if (
            passage.covering(before, "negation")
            or passage.covering(before, "ending")
            or passage.covering(before, "stretch")
        ):
            break
        token = before
        steps += 1
    return token if steps < 7 else _with_and(passage, _with_subject(passage, start))


def _with_lead(passage: Passage, start: int) -> int:
    """Back over the distance and its preposition: "and at two point four | there's"."""
    token = start
    measure = passage.measure_over(token - 1)
    if measure and measure.unit in (None, "m", "clock") and passage.word(measure.start - 1) not in ("those", "these"):
        token = measure.start
        while token > 0 and (
            passage.is_class(token - 1, "at", "from", "list", "to") or passage.word(token - 1) in ("then", "um", "uh")
        ):
            token -= 1
            if passage.is_class(token, "to", "from"):
                break
        return token
    return _with_and(passage, start)


def _new_subject(passage: Passage, token: int) -> bool:
    if token >= len(passage):
        return False
    word = passage.word(token)
    if passage.covering(token, "extent") is not None and passage.covering(token - 2, "negation") is None:
        return True
    if passage.is_class(token, "someone") or word in passage.classes["begins_subject"]:
        return word not in ("a", "an", "another") or passage.covering(token - 2, "negation") is None
    measure = passage.measure_over(token)
    return measure is not None and measure.start == token and measure.unit in (None, "m")


def _act(passage: Passage, start: int, end: int) -> str:
    said = [tag for tag in passage.tags_from(start, end, "speech_act") if not _part_of_more(passage, tag)]
    times = passage.tags_from(start, end, "time")
    if not said and not times:
        return "report"
    acts = {tag.id: tag for tag in reversed(said)}
    first_thing = next((tag.start for tag in passage.tags_from(start, end, "condition")), end)
    if "main_issue" in acts:
        return "main_issue"
    if "recommendation" in acts and not _must_be_there(passage, acts["recommendation"].end):
        return "recommendation"
    if "plan" in acts and passage.tags_from(start, end, "movement"):
        return "moving"
    for name in ("plan", "hearsay", "general", "question", "talk"):
        if name == "plan" and name in acts and passage.is_class(acts[name].end, "states_verb"):
            continue  # "i'll say no roots", "i'll call that moderate"
        if name == "question" and name in acts and _tells_trouble(passage, acts[name]):
            continue
        if name in acts and acts[name].start <= max(first_thing, start + 3):
            return name
    if any(tag.id == "earlier" and tag.start <= first_thing + 1 for tag in times):
        return "earlier"
    return "report"


def _must_be_there(passage: Passage, token: int) -> bool:
    """ "there must be infiltration": a guess at a finding, where "must be replaced" is advice."""
    if passage.word(token - 1) != "be":
        return False
    while passage.is_class(token, "article") or passage.covering(token, "extent"):
        token += 1
    return any(not passage.word(t.end - 1).endswith("ed") for t in passage.tags_from(token, token + 1, "condition"))


def _carried_acts(passage: Passage, clauses: list[Clause]) -> list[Clause]:
    """A plan, talk or general remark goes on over "and", "because" and "so" until a report, a distance or a turn."""
    out: list[Clause] = []
    for clause in clauses:
        last = out[-1] if out else None
        act = clause.act
        if (
            last
            and act == "report"
            and last.act in ("plan", "general", "earlier", "recommendation", "main_issue", "hearsay")
            and clause.opener in ("and", "boundary")
            and _goes_on(passage, clause, last)
        ):
            act = last.act
        elif (
            last
            and act == "report"
            and last.act in ("hearsay", "talk")
            and clause.opener in ("subject", "report")
            and _just_cue(passage, last)
        ):
            act = last.act  # "he told me | it was full"
        out.append(clause if act == clause.act else Clause(clause.start, clause.end, clause.opener, act))
    return out


def _just_cue(passage: Passage, clause: Clause) -> bool:
    """ "he told me"; but no "is that a crack", which the speaker asks himself, and no "i think" behind it."""
    told = any(
        (tag.id == "talk" and passage.word(tag.start) == "told")
        or (
            tag.id == "hearsay" and passage.word(tag.start) != "according"
        )  # "pumped last week according to the custodian"
        for tag in passage.tags_from(clause.start, clause.end, "speech_act")
    )
    asked = passage.is_class(clause.start, "copula", "modal")
    return clause.end - clause.start <= 5 and told and not asked


def _goes_on(passage: Passage, clause: Clause, last: Clause) -> bool:
    measured = any(
        m.unit in (None, "m") and m.low != int(m.low) for m in passage.measures_from(clause.start, clause.end)
    )
    reported = any(tag.id == "report" for tag in passage.tags_from(clause.start, clause.end, "speech_act"))
    cue = passage.covering(clause.start, "boundary")
    reason = cue is not None and cue.id in ("because", "where")
    if last.act in ("recommendation", "main_issue"):
        return (
            (clause.opener == "and" or reason)
            and not reported
            and not passage.tags_from(clause.start, clause.end, "movement")
        )
    if reason:
        return not measured
    return (
        clause.opener == "and"
        and not measured
        and not reported
        and not passage.tags_from(clause.start, clause.end, *THING_KINDS)
    )
