"""Conclusions: the main trouble as the speaker puts it, and what should be done next, each with its condition.

The statements come from `verdicts`. Their condition is the one they name; else that of the row which the named part,
the distance or the words lead to ("a new outlet tee" -> the missing one); else, where they point ("dig up there", "that
wants patching"), that of the conclusion they go on from or of the finding last spoken of.
"""

from collections.abc import Sequence, Set
from dataclasses import dataclass

from extractor.language.advice import looks_again, order_at
from extractor.language.clauses import Clause, clause_at
from extractor.language.passage import Passage
from extractor.language.verdicts import Verdict
from extractor.reading import Tag
from extractor.survey.reference import (
    EFFECTS,
    IN_BORE,
    NEW_FOR,
    STILL,
    About,
    about_what,
    distances,
    is_trouble,
    tail_of,
)
from extractor.survey.rows import Draft

PEOPLE_TALK = ("question", "talk", "hearsay", "general", "earlier")
LONGEST_LEAD = 6  # words of a statement that is quoted with what is said of it
FRONTED = 5  # words of a condition named in front of the advice
NEAR = 2  # words that may stand between a conclusion and one that goes on from it
LAST_FINDING = 40  # words back to the finding that "that" stands for


@dataclass
class ConclusionDraft:
    """Tokens start to end, the kind, the condition, and whether "the" one of several rows was meant."""

    start: int
    end: int
    kind: str
    condition: str | None
    definite: bool = False
    bare: bool = False  # ends with its deed ("dig up"), whose object may follow
    unnamed: bool = False  # names no thing yet; the words that go on from it may point at one


def read_conclusions(
    passage: Passage, clauses: Sequence[Clause], verdicts: Sequence[Verdict], rows: Sequence[Draft], denied: Set[Tag]
) -> list[ConclusionDraft]:
    """In order of the words; usually one main issue, and each thing to do on its own. `denied`: things told absent."""
    mains: list[tuple[ConclusionDraft, int]] = []
    found: list[ConclusionDraft] = []
    reach = -1  # where the last statement ends, with the few words said on
    announced = -NEAR  # where "recommendations one" ends
    for index, verdict in enumerate(verdicts):
        reach = max(reach, found[-1].end) if found else reach
        last = found[-1] if found and verdict.start - reach <= NEAR else None
        if verdict.kind == "main_issue" and not _said_by_others(clauses, verdict):
            main = _main(passage, verdicts, index, rows, denied)
            if main is not None:
                mains.append((main, verdict.firm))
                found.append(main)
        elif verdict.kind == "recommendation" or (
            verdict.kind == "order"
            and (last is not None or verdict.start == announced or _said_to_advise(passage, verdicts, index))
        ):
            announced = verdict.end if verdict.kind == "recommendation" else announced
            earlier = [each for each in verdicts[:index] if each.end - each.start > 1]  # no bare "but"
            before = earlier[-1] if earlier else None
            _advise(passage, verdict, rows, denied, found, last, before)
        elif verdict.kind == "none" and last is not None and _empty(passage, verdict):
            last.end = verdict.end if verdict.end - verdict.start <= NEAR else last.end
            if verdict.end - verdict.start <= LONGEST_LEAD and not passage.tags_from(
                verdict.start, verdict.end, "condition"
            ):
                reach = verdict.end  # "i'd recommend a new one | further up the field | and a new lid on the tank"
    kept = _weightiest(mains)
    return [
        _trimmed(passage, each) for each in found if each.kind != "main_issue" or any(each is main for main in kept)
    ]


def _said_to_advise(passage: Passage, verdicts: Sequence[Verdict], index: int) -> bool:
    """ "get a new riser on there | i'd say"."""
    for behind, before in zip(verdicts[index + 1 :], verdicts[index:], strict=False):
        if behind.start != before.end:
            return False
        if _advises_only(passage, behind) or (behind.kind == "recommendation" and _begins_with_order(passage, behind)):
            return True
        said_on = behind.kind == "none" and behind.end - behind.start <= NEAR
        if behind.kind != "order" and not said_on:
            return False
    return False


def _begins_with_order(passage: Passage, verdict: Verdict) -> bool:
    """ "jet it out | and relay that joint is my recommendation"."""
    first = verdict.start + passage.is_class(verdict.start, "list")
    return verdict.cue > first and order_at(passage, first) is not None


def _advises_only(passage: Passage, verdict: Verdict) -> bool:
    """ "i'd say", "i'd recommend", "that's what i'd do", "is my advice": words of advice with no thing of their own."""
    words = passage.speech.words[verdict.start : min(verdict.end, verdict.start + 7)]
    if passage.things_from(verdict.start, min(verdict.end, verdict.start + 7)) and verdict.kind == "recommendation":
        return False
    advises = any(
        passage.is_class(verdict.start + at, "advises") or words[at : at + 3] == ("i", "would", "do")
        for at in range(len(words))
    )
    thinks = words[:2] in (("i", "would"), ("i", "reckon")) and passage.is_class(
        verdict.start + 2, "reckons", "advises"
    )
    return advises or thinks or (words[:2] == ("i", "reckon") and len(words) <= 3)


# --- the main issue -------------------------------------------------------------------------


def _main(
    passage: Passage, verdicts: Sequence[Verdict], index: int, rows: Sequence[Draft], denied: Set[Tag]
) -> ConclusionDraft | None:
    verdict = verdicts[index]
    about = _cause_of(passage, verdict, rows, denied) or about_what(
        passage, _behind_effect(passage, verdict), verdict.end, rows, denied, main=True
    )
    cleft = verdict.firm == 1 and passage.word(verdict.cue) in ("that", "which", "who", "what", "at")
    if (cleft or about.condition in EFFECTS) and not _leads_cleft(passage, verdict):
        subject = about_what(passage, verdict.start, verdict.cue, rows, denied, main=True)
        about = subject if subject.condition is not None else about
    if about.condition is None and not _leads_cleft(passage, verdict):
        before = about_what(passage, verdict.start, verdict.cue, rows, denied, main=True)
        about = before if before.condition or not about.named else about
    start, end = verdict.start, verdict.end
    if (
        about.condition is None
        and not about.named
        and verdict.end - verdict.body <= 3
        and not _only_points(passage, verdict)
    ):
        for other in (index + 1, index - 1):
            beside = verdicts[other] if 0 <= other < len(verdicts) else verdict
            if about.condition is None and beside.kind in ("none", "order"):
                about = about_what(passage, beside.start, beside.end, rows, denied, main=True)
                start, end = min(verdict.start, beside.start), max(verdict.end, beside.end)
    said_of = verdicts[index + 1] if index + 1 < len(verdicts) else verdict
    if not passage.tags_from(verdict.body, verdict.end, "condition") and _says_it_is(passage, verdict, said_of):
        about = about_what(passage, said_of.start, said_of.end, rows, denied, main=True)
        end = said_of.end
    effect = about.condition in EFFECTS  # "that's why it flooded": of what was told before
    if (about.condition is None or effect) and _only_points(passage, verdict):
        told = _pointed_at(passage, verdicts, index, rows, denied)
        about = told if told is not None else about
        just = verdicts[index - 1] if index else verdict
        if told is not None and just.kind == "none" and just.end == start and start - just.start <= LONGEST_LEAD:
            start = just.start  # "it's collapsed | that's your problem"
    if about.condition is None and not (about.named and verdict.firm):
        return None
    return ConclusionDraft(start, end, "main_issue", about.condition, about.definite)


def _says_it_is(passage: Passage, verdict: Verdict, behind: Verdict) -> bool:
    """ "the main thing is the soakaway's done | it's full"."""
    return (
        behind.kind == "none"
        and behind.start == verdict.end
        and behind.end - behind.start <= LONGEST_LEAD
        and passage.word(behind.start) in ("it", "she", "they")
        and passage.is_class(behind.start + 1, "copula")
        and any(tag.id not in STILL for tag in passage.tags_from(behind.start, behind.end, "condition"))
        and bool(passage.tags_from(verdict.body, verdict.end, "structure", "component"))
    )


def _leads_cleft(passage: Passage, verdict: Verdict) -> bool:
    """ "what was wrong was ...": what is told before it is something else; but "the towel was | what stopped it"."""
    return passage.word(verdict.cue) == "what" and not passage.is_class(verdict.cue - 1, "copula")


def _cause_of(passage: Passage, verdict: Verdict, rows: Sequence[Draft], denied: Set[Tag]) -> About | None:
    """ "the collapse is the cause of the flooding", "the cause of the flooding is the full soakaway"."""
    of = next((at for at in (verdict.body - 1, verdict.body) if passage.word(at) == "of"), None)
    if of is None or passage.word(of - 1) not in ("cause", "reason", "root", "source"):
        return None
    link = next((at for at in range(of + 1, min(verdict.end, of + 11)) if passage.word(at) in ("is", "was")), None)
    if link is not None:
        return about_what(passage, link + 1, verdict.end, rows, denied, main=True)
    before = about_what(passage, verdict.start, verdict.cue, rows, denied, main=True)
    return before if before.condition is not None else None


def _behind_effect(passage: Passage, verdict: Verdict) -> int:
    """Behind "the reason it keeps blocking is": what it does is not what it is."""
    if not passage.is_class(verdict.body, "pronoun", "relative", "someone", "article"):
        return verdict.body
    if passage.is_class(verdict.body, "demonstrative") and passage.things_from(verdict.body + 1, verdict.body + 2):
        return verdict.body  # "that belly | is what froze"
    for at in range(verdict.body + 1, min(verdict.end, verdict.body + 8)):
        if passage.word(at) in ("is", "was") and passage.word(at + 1) == "what":
            return verdict.body  # "the towel was | what was stopping it up"
        if passage.word(at) in ("is", "was") and not passage.is_class(at - 1, "pronoun", "relative"):
            return at + 1
        if passage.is_class(at, "inside") or passage.measure_over(at) is not None:
            break
    return verdict.body


def _only_points(passage: Passage, verdict: Verdict) -> bool:
    """ "that's your main thing", "that was the trouble": the thing was told just before."""
    at = verdict.start
    while at < verdict.end and passage.is_class(at, "list", "turns"):
        at += 1
    return passage.is_class(at, "points_at_it", "demonstrative") and passage.is_class(at + 1, "copula")


def _pointed_at(
    passage: Passage, verdicts: Sequence[Verdict], index: int, rows: Sequence[Draft], denied: Set[Tag]
) -> About | None:
    """What the statement before names, else the finding told last."""
    before = verdicts[index - 1] if index else None
    if before is not None:
        start = before.body if before.kind == "main_issue" else before.start
        about = about_what(passage, start, before.end, rows, denied, main=True)
        if about.condition is not None or before.kind == "main_issue":
            return about
    told = [row for row in rows if is_trouble(row) and row.tag is not None and row.tag.end <= verdicts[index].start]
    near = [row for row in told if row.tag is not None and verdicts[index].start - row.tag.end <= LAST_FINDING // 2]
    return About(max(near, key=lambda row: row.start).condition, True) if near else None


def _weightiest(mains: Sequence[tuple[ConclusionDraft, int]]) -> list[ConclusionDraft]:
    """Those marked as the one that counts, else those told by what they did, else the last; a condition only once."""
    settled = [pair for pair in mains if pair[0].condition] or list(mains)
    most = max((firm for _, firm in settled), default=0)
    firm = [main for main, its in settled if its == most > 0]
    chosen = firm or [main for main, _ in settled[-1:]]
    last_of = {main.condition: main for main in chosen}
    return list(last_of.values())


def _said_by_others(clauses: Sequence[Clause], verdict: Verdict) -> bool:
    ends = (verdict.cue, max(verdict.cue, verdict.body - 1))  # "give me a minute, the | main problem is"
    return all(clause_at(clauses, token).act in PEOPLE_TALK for token in ends)


# --- what should be done --------------------------------------------------------------------


def _advise(
    passage: Passage,
    verdict: Verdict,
    rows: Sequence[Draft],
    denied: Set[Tag],
    found: list[ConclusionDraft],
    last: ConclusionDraft | None,
    before: Verdict | None,
) -> None:
    about = about_what(passage, verdict.start, verdict.end, rows, denied)
    told_before = before is not None and before.kind != "none"  # "pumped for the grease | and somebody go back"
    fronted = _fronted(passage, verdict, denied) if not told_before else None
    if fronted is not None and about.condition is None:
        about = About(fronted.id, True)
    goes_on = last is not None and last.kind == "recommendation"
    other_line = last is not None and not last.unnamed and _names_line(passage, verdict)
    if not about.named and goes_on and last and not other_line and _same_job(passage, verdict, found):
        last.end, last.bare = verdict.end, False
        if last.condition is None and last.unnamed and _points(passage, verdict):
            last.condition = _meant(passage, verdict, rows, found[:-1], found[-2] if len(found) > 1 else None)
        return
    if not about.named and verdict.kind != "order" and _empty(passage, verdict):
        return
    condition = about.condition or _of_several(passage, verdict, about, last)
    if condition is None and not about.named and (_points(passage, verdict) or other_line):
        condition = _just_named(passage, verdict, before, rows, denied) if last is None else None
        condition = condition or _meant(passage, verdict, rows, found, None if other_line else last)
    new_one = any(passage.speech.words[at : at + 2] == ("new", "one") for at in range(verdict.start, verdict.end))
    if condition is None and new_one and last is not None and last.condition in NEW_FOR:
        condition = last.condition  # "the trouble is the missing cap | I'd advise a new one"
    if condition is None and about.named and last is not None and _that_piece(passage, verdict):
        condition = _meant(passage, verdict, rows, found, last)
    if about.guessed and last is not None and last.condition in IN_BORE:
        condition = last.condition
    shared = goes_on and last is not None and last.unnamed and (last.condition is None or last.bare)
    if shared and last and verdict.kind == "order" and about.named:
        last.bare = False
        last.end, last.condition, last.unnamed = verdict.end, condition, False  # "excavation and renewal of the dip"
        last.definite = about.definite
        return
    ordered = verdict.kind == "order" or _begins_with_order(passage, verdict)
    same = goes_on and last and ordered and condition is not None and condition == last.condition
    if same and last and not list(distances(passage, verdict.start, verdict.end)):
        last.end = verdict.end
        return
    tokens = range(verdict.start, verdict.end)
    bare = _of_nothing(passage, tokens) and not any(
        passage.is_class(at, "pronoun", "demonstrative") or passage.word(at) == "there" for at in tokens
    )
    found.append(
        ConclusionDraft(
            verdict.start, verdict.end, "recommendation", condition, about.definite, bare, unnamed=not about.named
        )
    )


def _fronted(passage: Passage, verdict: Verdict, denied: Set[Tag]) -> Tag | None:
    """ "for the roots | what they ought to do is lay new pipe": what it is for is told in front."""
    for tag in passage.tags_from(verdict.start - FRONTED, verdict.start, "condition"):
        lead = tag.start - 1
        while passage.is_class(lead, "definite") or passage.covering(lead, "extent"):
            lead -= 1
        if tag.end == verdict.start and tag not in denied and passage.word(lead) == "for":
            return tag
    return None


def _of_several(passage: Passage, verdict: Verdict, about: About, last: ConclusionDraft | None) -> str | None:
    """Of what the words may mean alike: what is rebuilt is no growth in it; else that of which was just spoken."""
    if passage.has_class(verdict.start, verdict.end, "rebuilds"):
        built = {row.condition for row in about.several if row.condition not in IN_BORE}
        if len(built) == 1:
            return built.pop()
    meant = {row.condition for row in about.several}
    return last.condition if last is not None and last.condition in meant else None


def _just_named(
    passage: Passage, verdict: Verdict, before: Verdict | None, rows: Sequence[Draft], denied: Set[Tag]
) -> str | None:
    """ "first job's the roots | get those cut": what the few words before it name."""
    if (
        before is None
        or before.kind != "none"
        or verdict.start - before.end > 1
        or before.end - before.start > LONGEST_LEAD
    ):
        return None
    if passage.measures_from(before.start, before.end):
        return None
    return about_what(passage, before.start, before.end, rows, denied, main=True).condition


def _names_line(passage: Passage, verdict: Verdict) -> bool:
    """ "and that line sleeved": a whole line, which is not the part just told of."""
    return any(
        passage.is_class(at, "definite") and any(passage.is_class(t, "line_word") for t in (at + 1, at + 2))
        for at in range(verdict.start, verdict.end)
    )


def _that_piece(passage: Passage, verdict: Verdict) -> bool:
    """ "line that whole piece from the manhole to the kitchen", "renewal of three metres of the drain": the length just
    told of, whatever places it lies at.
    """
    for measure in passage.measures_from(verdict.start, verdict.end):
        if passage.word(measure.end) == "of" and measure.unit == "m" and passage.is_class(measure.end + 2, "line_word"):
            return True
    return any(
        passage.is_class(at, "demonstrative")
        and any(passage.is_class(near, "new_piece", "stretch_word") for near in range(at + 1, at + 3))
        for at in range(verdict.start, verdict.end)
    )


def _same_job(passage: Passage, verdict: Verdict, found: Sequence[ConclusionDraft]) -> bool:
    """ "and lay five metres of new pipe", "that'd be my recommendation": more of the job just told."""
    if verdict.kind == "order" or _empty(passage, verdict):
        return not any(looks_again(passage, at) for at in range(verdict.start, verdict.end))
    return _points(passage, verdict) and not _points_back(passage, verdict, found)


def _points_back(passage: Passage, verdict: Verdict, found: Sequence[ConclusionDraft]) -> bool:
    mains = [each for each in found if each.kind == "main_issue"]
    return bool(mains) and "there" in passage.speech.words[verdict.start : verdict.end]


def _empty(passage: Passage, verdict: Verdict) -> bool:
    """ "that'd be my recommendation": no deed and no thing."""
    ordered = any(order_at(passage, at) is not None for at in range(verdict.body, min(verdict.end, verdict.body + 3)))
    return (
        not ordered
        and not passage.things_from(verdict.start, verdict.end)
        and not any(
            passage.is_class(at, "remedies", "remedying", "remedied", "remedy_thing") or looks_again(passage, at)
            for at in range(verdict.start, verdict.end)
        )
    )


def _points(passage: Passage, verdict: Verdict) -> bool:
    """Whether the statement leans on what was said: "there", "it", "that length", no subject, no more than new pipe."""
    words = passage.speech.words
    tokens = range(verdict.start, tail_of(passage, verdict.start, verdict.end))
    if any(looks_again(passage, at) for at in tokens):
        return False
    for at in tokens:
        word, after = words[at], at + 1
        if word in ("there", "it", "them", "which") or (word == "one" and words[at - 1] not in ("new", "a")):
            return True
        if word in ("that", "this", "those", "these") and (
            after == verdict.end
            or passage.is_class(
                after, "copula", "modal", "obliges", "remedied", "remedying", "list", "new_piece", "inside", "particle"
            )
            or passage.word(after) in ("one", "lot", "stretch", "run", "whole", "first", "last", "section", "piece")
        ):
            return True
    reaching = [at for at in tokens if passage.is_class(at, "remedies") and passage.word(at + 1) in ("from", "between")]
    if any(not passage.is_class(at - 1, "article", "new_part", "remedied") for at in reaching):
        return True  # "line | from the manhole to the bend"
    if passage.is_class(verdict.start, "obliges") or _of_nothing(passage, tokens):
        return True
    if any(m.unit == "m" and passage.word(m.end) == "of" for m in passage.measures_from(verdict.start, verdict.end)):
        return True
    return any(passage.is_class(at, "new_piece") for at in tokens)


def _of_nothing(passage: Passage, tokens: range) -> bool:
    """ "you'll have to dig": the deed ends the statement, and what is dug was told before."""
    last = tokens[-1] if tokens else -1
    while last > tokens.start and passage.is_class(last, "particle", "list", "turns", "filler", "also_said"):
        last -= 1
    return last >= 0 and passage.is_class(last, "remedies") and not passage.is_class(last - 1, "article")


def _meant(
    passage: Passage,
    verdict: Verdict,
    rows: Sequence[Draft],
    found: Sequence[ConclusionDraft],
    last: ConclusionDraft | None,
) -> str | None:
    mains = [each for each in found if each.kind == "main_issue"]
    if mains and (last is None or "there" in passage.speech.words[verdict.start : verdict.end]):
        near = mains[-1] if last is not None else None
        if near is not None:
            return near.condition
    if last is not None:
        return last.condition
    spoken = [
        row for row in rows if 0 <= verdict.start - _last_word(row, verdict.start) <= LAST_FINDING and is_trouble(row)
    ]
    if spoken:
        return max(spoken, key=lambda row: _last_word(row, verdict.start)).condition
    return mains[-1].condition if mains else None


def _last_word(row: Draft, before: int) -> int:
    return max((end for _, end in [(row.start, row.end), *row.spans] if end <= before + NEAR), default=-10_000)


def _trimmed(passage: Passage, conclusion: ConclusionDraft) -> ConclusionDraft:
    """Without the "and", "so", "um" it begins with and the "okay" it ends with."""
    while conclusion.start < conclusion.end - 1 and passage.is_class(conclusion.start, "list", "turns"):
        conclusion.start += 1
    while conclusion.end - 1 > conclusion.start and passage.is_class(conclusion.end - 1, "list", "turns"):
        conclusion.end -= 1
    return conclusion
