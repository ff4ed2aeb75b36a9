"""Conclusions: the main trouble as the speaker puts it, and what should be done next, each with its condition.

The statements come from `verdicts`. Their condition is the one they name; else that of the row which the named part,
the distance or the words lead to ("a new outlet tee" -> the missing one); else, where they point ("dig up there", "that
wants patching"), that of the conclusion they go on from or of the finding last spoken of.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from extractor.language.clauses import Clause
from extractor.language.context import read_contexts
from extractor.language.passage import THING_KINDS, Passage
from extractor.language.verdicts import Verdict, find_verdicts
from extractor.reading import Tag
from extractor.survey.places import length_of
from extractor.survey.rows import Draft

STILL = ("sound", "flowing", "live", "dry")
CLEARS = {"root_cutting": "root_intrusion"}  # work named with what it takes away: "the roots cut"
WHOLE = ("pipe", "material_change", "inlet", "outlet")  # components too wide to name one thing
PEOPLE_TALK = ("question", "talk", "hearsay", "general", "earlier")
CATCHES = {"grease_trap": "grease"}  # what a structure asked for would keep back
SAYS_LITTLE = ("everyday", "new_piece", "remedies", "remedied", "remedying", "trouble", "side", "also_said", "everyone")
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
    unnamed: bool = False  # names no thing yet; the words that go on from it may point at one


@dataclass
class _About:
    """What a statement names: a condition, or only a thing (`named`), or nothing of its own."""

    condition: str | None = None
    named: bool = False
    definite: bool = False


def read_conclusions(passage: Passage, clauses: Sequence[Clause], rows: Sequence[Draft]) -> list[ConclusionDraft]:
    """In order of the words; usually one main issue, and each thing to do on its own."""
    verdicts = find_verdicts(passage)
    denied = {tag for tag, context in read_contexts(passage).items() if context.polarity == "absent"}
    mains: list[tuple[ConclusionDraft, bool]] = []
    found: list[ConclusionDraft] = []
    for index, verdict in enumerate(verdicts):
        last = found[-1] if found and verdict.start - found[-1].end <= NEAR else None
        if verdict.kind == "main_issue" and not _said_by_others(clauses, verdict):
            main = _main(passage, verdicts, index, rows, denied)
            if main is not None:
                mains.append((main, verdict.firm))
                found.append(main)
        elif verdict.kind == "recommendation" or (verdict.kind == "order" and last is not None):
            _advise(passage, verdict, rows, denied, found, last)
        elif verdict.kind == "none" and last is not None and _empty(passage, verdict):
            last.end = verdict.end if verdict.end - verdict.start <= NEAR else last.end
    kept = _weightiest(mains)
    return [
        _trimmed(passage, each) for each in found if each.kind != "main_issue" or any(each is main for main in kept)
    ]


# --- the main issue -------------------------------------------------------------------------


def _main(
    passage: Passage, verdicts: Sequence[Verdict], index: int, rows: Sequence[Draft], denied: set[Tag]
) -> ConclusionDraft | None:
    verdict = verdicts[index]
    about = _about(passage, verdict.body, verdict.end, rows, denied, main=True)
    if about.condition is None:
        before = _about(passage, verdict.start, verdict.cue, rows, denied, main=True)
        about = before if before.condition or not about.named else about
    start, end = verdict.start, verdict.end
    if about.condition is None and not about.named and verdict.end - verdict.body <= 3:
        for other in (index + 1, index - 1):
            beside = verdicts[other] if 0 <= other < len(verdicts) else verdict
            if about.condition is None and beside.kind in ("none", "order"):
                about = _about(passage, beside.start, beside.end, rows, denied, main=True)
                start, end = min(verdict.start, beside.start), max(verdict.end, beside.end)
    if about.condition is None and not (about.named and verdict.firm):
        return None
    return ConclusionDraft(start, end, "main_issue", about.condition, about.definite)


def _weightiest(mains: Sequence[tuple[ConclusionDraft, bool]]) -> list[ConclusionDraft]:
    """Those marked as the one that counts, else the last; a condition only once."""
    settled = [pair for pair in mains if pair[0].condition]
    firm = [main for main, is_firm in settled or mains if is_firm]
    chosen = firm or [main for main, _ in (settled or mains)[-1:]]
    last_of = {main.condition: main for main in chosen}
    return list(last_of.values())


def _said_by_others(clauses: Sequence[Clause], verdict: Verdict) -> bool:
    return any(clause.act in PEOPLE_TALK and clause.start <= verdict.cue < clause.end for clause in clauses)


# --- what should be done --------------------------------------------------------------------


def _advise(
    passage: Passage,
    verdict: Verdict,
    rows: Sequence[Draft],
    denied: set[Tag],
    found: list[ConclusionDraft],
    last: ConclusionDraft | None,
) -> None:
    about = _about(passage, verdict.start, verdict.end, rows, denied)
    goes_on = last is not None and last.kind == "recommendation"
    if not about.named and goes_on and last and _same_job(passage, verdict, found):
        last.end = verdict.end
        if last.condition is None and last.unnamed and _points(passage, verdict):
            last.condition = _meant(passage, verdict, rows, found[:-1], found[-2] if len(found) > 1 else None)
        return
    if not about.named and verdict.kind != "order" and _empty(passage, verdict):
        return
    condition = about.condition
    if condition is None and not about.named and _points(passage, verdict):
        condition = _meant(passage, verdict, rows, found, last)
    same = goes_on and last and verdict.kind == "order" and condition is not None and condition == last.condition
    if same and last and not list(_distances(passage, verdict.start, verdict.end)):
        last.end = verdict.end
        return
    found.append(
        ConclusionDraft(verdict.start, verdict.end, "recommendation", condition, about.definite, not about.named)
    )


def _same_job(passage: Passage, verdict: Verdict, found: Sequence[ConclusionDraft]) -> bool:
    """ "and lay five metres of new pipe", "that'd be my recommendation": more of the job just told."""
    if verdict.kind == "order" or _empty(passage, verdict):
        return not any(passage.is_class(at, "looks_again") for at in range(verdict.start, verdict.end))
    return _points(passage, verdict) and not _points_back(passage, verdict, found)


def _points_back(passage: Passage, verdict: Verdict, found: Sequence[ConclusionDraft]) -> bool:
    mains = [each for each in found if each.kind == "main_issue"]
    return bool(mains) and "there" in passage.speech.words[verdict.start : verdict.end]


def _empty(passage: Passage, verdict: Verdict) -> bool:
    """ "that'd be my recommendation": no deed and no thing."""
    return not passage.things_from(verdict.start, verdict.end) and not any(
        passage.is_class(at, "remedies", "remedying", "remedied", "remedy_thing", "looks_again")
        for at in range(verdict.start, verdict.end)
    )


def _points(passage: Passage, verdict: Verdict) -> bool:
    """Whether the statement leans on what was said: "there", "it", "that length", no subject, no more than new pipe."""
    words = passage.speech.words
    tokens = range(verdict.start, _tail(passage, verdict.start, verdict.end))
    if any(passage.is_class(at, "looks_again") for at in tokens):
        return False
    for at in tokens:
        word, after = words[at], at + 1
        if word in ("there", "it", "them", "which"):
            return True
        if word in ("that", "this", "those", "these") and (
            after == verdict.end
            or passage.is_class(
                after, "copula", "modal", "obliges", "remedied", "remedying", "list", "new_piece", "inside"
            )
            or passage.word(after) in ("one", "lot", "stretch", "run")
        ):
            return True
    if passage.is_class(verdict.start, "obliges"):
        return True
    return any(passage.is_class(at, "new_piece") for at in tokens)


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
        row for row in rows if 0 <= verdict.start - _last_word(row, verdict.start) <= LAST_FINDING and _is_trouble(row)
    ]
    if spoken:
        return max(spoken, key=lambda row: _last_word(row, verdict.start)).condition
    return mains[-1].condition if mains else None


def _last_word(row: Draft, before: int) -> int:
    return max((end for _, end in [(row.start, row.end), *row.spans] if end <= before + NEAR), default=-10_000)


def _is_trouble(row: Draft) -> bool:
    return row.condition not in (None, *STILL) and row.polarity == "present"


# --- the condition --------------------------------------------------------------------------


def _about(
    passage: Passage, start: int, end: int, rows: Sequence[Draft], denied: set[Tag], *, main: bool = False
) -> _About:
    """What the words of [start, end) name, an aim or a time behind them ("before it collapses") left out."""
    end = _tail(passage, start, end)
    conditions = [
        tag
        for tag in passage.tags_from(start, end, "condition", "action")
        if (tag.kind == "condition" or tag.id in CLEARS) and tag.id not in STILL and tag not in denied
    ]
    if conditions:
        chosen = _cause(passage, conditions)
        return _About(CLEARS.get(chosen.id, chosen.id), True, _is_definite(passage, chosen))
    troubles = [row for row in rows if _is_trouble(row)]
    parts = [tag for tag in passage.tags_from(start, end, "component") if _is_object(passage, tag)]
    for metres in _distances(passage, start, end):
        at_it = [row for row in troubles if row.at(metres, 0.02)]
        on_part = [row for row in at_it if row.component in {tag.id for tag in parts}]
        if at_it:
            return _About((on_part or at_it)[0].condition, True, True)
    for tag in parts:
        on_it = [row for row in troubles if row.component == tag.id]
        if on_it and tag.id != "joint":
            return _About(_likeliest(passage, tag, on_it).condition, True, True)
    for word in _told_by(passage, start, end):
        so_told = [row for row in troubles if word in passage.speech.words[max(0, row.start - 6) : row.end + 4]]
        if so_told:
            return _About(so_told[-1].condition, True, True)
    joints = [row for row in troubles if row.component == "joint"]
    if joints and any(tag.id == "joint" and passage.is_class(tag.start - 1, "definite") for tag in parts):
        return _About(joints[-1].condition, True, True)
    structures = passage.tags_from(start, end, "structure", "fixture")
    if main:
        at_it = [row for tag in structures for row in troubles if row.structure == tag.id]
        return _About(at_it[-1].condition if at_it else None, bool(structures or parts))
    for tag in structures:
        if tag.id in CATCHES and passage.word(tag.start - 1) in ("a", "an"):
            caught = next((row.condition for row in troubles if row.condition == CATCHES[tag.id]), None)
            return _About(caught, True)
    material = any(passage.is_class(tag.start - 1, "definite") for tag in passage.tags_from(start, end, "material"))
    new = any(passage.word(at) == "new" and passage.word(at + 1) == "one" for at in range(start, end))
    return _About(None, bool(parts or structures) or material or new or _own_thing(passage, start, end))


def _is_object(passage: Passage, tag: Tag) -> bool:
    """A part the work is done to; "a liner" is what it is done with, "patched" and "pump it" are the work."""
    before = tag.start - 1
    if passage.is_class(tag.start, "remedied") or (
        passage.is_class(tag.start, "remedies") and not passage.is_class(before, "article", "remedy_thing")
    ):
        return False
    return tag.id not in WHOLE and not (tag.id == "patch" and passage.word(before) in ("a", "an", "new", "some", "of"))


def _told_by(passage: Passage, start: int, end: int) -> Iterator[str]:
    """Words by which a thing is told again, behind "the" or "that": "that flat piece", "the concrete"."""
    for at in range(start, end):
        if not passage.is_class(at, "definite"):
            continue
        for near in range(at + 1, min(end, at + 4)):
            word = passage.word(near)
            if passage.is_class(near, "inside", "copula", "list") or any(
                passage.covering(near, kind) for kind in THING_KINDS
            ):
                break
            if len(word) >= 4 and word.isalpha() and not passage.is_class(near, *SAYS_LITTLE):
                yield word


def _own_thing(passage: Passage, start: int, end: int) -> bool:
    """A job of its own: a deed that only looks again ("re survey the rest"), an order done to "the" something."""
    if any(passage.is_class(at, "looks_again") for at in range(start, end)):
        return True
    verb = next(
        (at for at in range(start, min(end, start + 3)) if passage.is_class(at, "remedies", "remedies_with")), end
    )
    for at in range(verb + 1, min(end - 1, verb + 3)):
        if passage.is_class(at, "definite"):
            return not passage.is_class(at + 1, "everyday", "new_piece", "copula", "inside")
    return False


def _tail(passage: Passage, start: int, end: int) -> int:
    """Where an aim, a time or a condition begins that names no work: "before ...", "so that ...", "to stop ..."."""
    for at in range(start + 2, end):
        if passage.is_class(at, "tail") or (
            passage.word(at) == "to" and passage.word(at + 1) in ("stop", "keep", "prevent", "avoid")
        ):
            return at
    return end


def _cause(passage: Passage, conditions: Sequence[Tag]) -> Tag:
    """ "blocked with grease": what blocks; else the first named."""
    first = conditions[0]
    for other in conditions[1:]:
        if (
            first.id in ("blockage", "full")
            and other.start - first.end <= 4
            and passage.word(first.end) in ("with", "by", "of", "from")
        ):
            return other
    return first


def _is_definite(passage: Passage, tag: Tag) -> bool:
    before = tag.start - 1
    return passage.is_class(before, "definite") or (
        passage.covering(before, "extent") is not None and passage.is_class(before - 1, "definite")
    )


def _distances(passage: Passage, start: int, end: int) -> Iterator[float]:
    """Chainages by which a thing is pointed out ("the joint at 3.4"); no length of new pipe."""
    for measure in passage.measures_from(start, end):
        if measure.unit in (None, "m") and passage.is_class(measure.start - 1, "at"):
            yield length_of(measure)[0]


def _likeliest(passage: Passage, part: Tag, on_it: Sequence[Draft]) -> Draft:
    """Of the rows on a part: the one with the same port, the missing one if a new one is asked for, the last."""
    words = passage.speech.words
    port = next((w for w in words[max(0, part.start - 1) : part.end] if w in ("inlet", "outlet")), None)
    same = [row for row in on_it if port and port in words[row.start : row.end]] or list(on_it)
    asked = "new" in words[max(0, part.start - 3) : part.start]
    missing = [row for row in same if row.condition == "missing_part"]
    return missing[-1] if asked and missing else same[-1]


def _trimmed(passage: Passage, conclusion: ConclusionDraft) -> ConclusionDraft:
    """Without the "and", "so", "um" it begins with and the "okay" it ends with."""
    while conclusion.start < conclusion.end - 1 and passage.is_class(conclusion.start, "list", "turns"):
        conclusion.start += 1
    while conclusion.end - 1 > conclusion.start and passage.is_class(conclusion.end - 1, "list", "turns"):
        conclusion.end -= 1
    return conclusion
