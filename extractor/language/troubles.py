"""The words by which a speaker says what the trouble was.

A noun of trouble with what makes it the one that counts ("main trouble", "defect of consequence", "your problem is"), a
cleft ("it was X that did it", "what is backing her up is X"), or a phrase of the lexicon.
"""

from dataclasses import dataclass

from extractor.language.passage import Passage

# Words that the rules below begin with: what else stands in the speech is not tried. A new beginning must be added.
TROUBLE_CLASSES, TROUBLE_WORDS = ("chief", "trouble"), ("number",)  # `trouble_at`
CLEFT_CLASSES, CLEFT_WORDS = ("does_harm",), ("at", "that", "what", "which", "who")  # `_cleft`


CHIEF = 2  # "main", "biggest": weighs more than a cleft


@dataclass(frozen=True, slots=True)
class Cue:
    start: int
    end: int
    firm: int  # 0 the trouble, 1 told by what it did, 2 marked as the one that counts


def trouble_at(passage: Passage, token: int) -> Cue | None:
    """ "main trouble", "biggest single problem", "defect of consequence", "trouble", from this token."""
    if not passage.is_class(token, "chief", "trouble") and passage.word(token) != "number":
        return None
    at, chief = token, False
    if passage.word(at) == "number" and passage.word(at + 1) == "one" and passage.is_class(at + 2, "trouble"):
        chief, at = True, at + 2
    while passage.is_class(at, "chief") and (
        passage.is_class(at + 1, "chief", "trouble", "trouble_if_chief") or at - token < 1
    ):
        chief, at = True, at + 1
        if passage.word(at) in ("single", "bad") or (
            passage.word(at) == "one" and passage.is_class(at + 1, "trouble", "trouble_if_chief")
        ):
            at += 1
    if (
        passage.word(token) == "whole"
        and not passage.is_class(at, "trouble")
        and not passage.is_class(at + 1, "copula")
    ):
        return None  # "line the whole thing"
    if passage.word(at) == "root" and passage.word(at + 1) not in ("of", "cause"):
        return None  # "a big root"
    if passage.is_class(at, "trouble") or (
        chief and passage.is_class(at, "trouble_if_chief") and not passage.measure_over(at)
    ):
        at += 1
        if passage.word(at) == "of" and passage.is_class(at + 1, "of_weight"):
            return Cue(token, at + 2 + (passage.word(at + 2) == "all"), CHIEF)
        if passage.word(at) == "of" and passage.word(at + 1) == "the" and passage.is_class(at + 2, "trouble"):
            return Cue(token, at + 3, CHIEF)
        return Cue(token, at, CHIEF if chief else 0)
    return None


def tells_at_once(passage: Passage, token: int, end: int) -> bool:
    """ "culprit | grease plug", "cause roots at the joint": in the manner of notes, with no verb."""
    told = any(tag.start <= end + 1 for tag in passage.tags_from(end, end + 2, "condition"))
    return told and passage.is_class(token, "names_cause") and not passage.is_class(token - 1, "article", "copula")


def links(passage: Passage, token: int) -> bool:
    return any(passage.is_class(at, "copula") for at in range(token, token + 6))


def main_cue(passage: Passage, start: int, end: int) -> Cue | None:
    for token in _beginnings(passage, start, end):
        noun = trouble_at(passage, token)
        if noun is not None and noun.end <= end and _stands(passage, token, start):
            before = token - 1 if passage.is_class(token - 1, "article") else token
            owned = passage.word(token - 1) in ("the", "your", "my", "our")
            if (
                noun.firm
                or tells_at_once(passage, token, noun.end)
                or (owned and (passage.is_class(before - 1, "copula") or links(passage, noun.end)))
            ):
                return Cue(before, noun.end, noun.firm)
        cleft = _cleft(passage, token, start, end)
        if cleft is not None:
            return cleft
        if token == start and _sums_up(passage, token, end):
            return Cue(token, token + 2, 0)
        tag = passage.cue_at(token, "speech_act", "main_issue")
        if tag is not None and tag.end <= end and tag.end - tag.start > 1 and _stands(passage, tag.start, start):
            return Cue(tag.start, tag.end, 0)
    return None


def _beginnings(passage: Passage, start: int, end: int) -> list[int]:
    """The tokens of [start, end) at which the trouble may begin to be told, the first one among them."""
    tagged = [tag.start for tag in passage.tags_from(start, end, "speech_act") if tag.id == "main_issue"]
    spoken = passage.tokens_of(start, end, (*TROUBLE_CLASSES, *CLEFT_CLASSES), (*TROUBLE_WORDS, *CLEFT_WORDS))
    return sorted({start, *tagged, *spoken}) if start < end else []


def _sums_up(passage: Passage, token: int, end: int) -> bool:
    """ "to sum up | it was the roots": what a summary begins with, where it is a finding."""
    closing = passage.covering(token - 1, "speech_act")
    return (
        closing is not None
        and closing.id == "closing"
        and passage.word(token) in ("it", "that")
        and passage.word(token + 1) in ("is", "was")
        and any(tag.start - token <= 5 for tag in passage.tags_from(token, end, "condition"))
    )


def _stands(passage: Passage, token: int, start: int) -> bool:
    """No denial, question or other person's trouble: "no real problem", "whether her bath was to blame"."""
    near = range(max(start, token - 3), token)
    return not (
        any(passage.is_class(at, "asks_first") for at in near)
        or passage.word(token - 1) in ("no", "not")
        or passage.word(token - 1) in passage.classes["not_ours"]
        or passage.tokens_of(token - 6, token, (), ("if", "whether"))
    )


def _cleft(passage: Passage, token: int, start: int, end: int) -> Cue | None:
    """ "what is backing her up is X", "it was X that did it", "X did it"."""
    word = passage.word(token)
    if word == "what" and (token - start <= 3 or passage.is_class(token - 1, "copula")):
        return _what_cleft(passage, token, end)
    if word == "at":
        return _at_bottom(passage, token, start)
    if word in CLEFT_WORDS:
        return _it_cleft(passage, token, start)
    if word not in passage.classes["does_harm"]:
        return None
    what = passage.word(token + 1)
    harm = what in ("it", "this", "that", "all") or (what == "the" and passage.is_class(token + 2, "trouble", "harm"))
    if (
        harm
        and any(token - tag.end <= 3 for tag in passage.tags_from(start, token, "condition"))
        and not passage.is_class(token - 1, "modal", "someone", "relative")
    ):
        return Cue(token, token + 2, 0)
    return None


def _what_cleft(passage: Passage, what: int, end: int) -> Cue | None:
    for at in range(what + 1, min(end, what + 6)):
        brings = _brings_about(passage, what, at)
        named = passage.is_class(at, "negation", "article") or passage.things_from(at, at + 1)
        if passage.is_class(at, "remedies", "obliges") or (named and not brings):
            return None
        if brings:
            return Cue(what, _behind_link(passage, at + 1, end), 1)
    return None


def _it_cleft(passage: Passage, relative: int, start: int) -> Cue | None:
    leads = passage.tokens_of(start, relative, (), ("it",))
    if not leads:
        return None
    lead, then = leads[0], relative + 1
    while passage.is_class(then, "copula", "filler") or passage.word(then) in ("all", "really"):
        then += 1
    if (
        passage.word(lead + 1) in ("is", "was", "were")
        and (passage.is_class(then, "brings_about") or passage.speech.words[then : then + 2] == ("done", "it"))
        and passage.tags_from(lead, relative, "condition", "component")
    ):
        return Cue(relative, then + 1, 1)
    return None


def _at_bottom(passage: Passage, at: int, start: int) -> Cue | None:
    """ "it was the roots at the bottom of it", "the wipes were at the root of it"."""
    if not passage.is_class(at + 2, "at_bottom") or passage.word(at + 3) != "of" or passage.word(at + 1) != "the":
        return None
    if not passage.is_class(at + 4, "pronoun") and passage.word(at + 4) != "all":
        return None
    cleft = any(
        passage.word(token) == "it"
        and passage.word(token + 1) in ("is", "was")
        and passage.is_class(token + 2, "definite")
        for token in range(max(start, at - 7), at)
    )
    return Cue(at, at + 5, 1) if cleft or passage.word(at - 1) in ("is", "was", "are", "were") else None


def _brings_about(passage: Passage, what: int, token: int) -> bool:
    """ "what did it", "what is backing her up", "what is going on"."""
    word, before = passage.word(token), passage.word(token - 1)
    if word in passage.classes["made_harm"]:
        return token == what + 1
    if word == "doing":
        return passage.word(token + 1) in ("it", "that", "this", "all") or passage.is_class(
            token + 2, "harm", "trouble"
        )
    return passage.is_class(token, "brings_about") and (word != "on" or before == "going")


def _behind_link(passage: Passage, token: int, end: int) -> int:
    """Behind the "is" that closes "what is backing her up is", if it comes before anything is named."""
    for at in range(token, min(end, token + 6)):
        if passage.word(at) in ("is", "was", "are", "were"):
            return at + 1
        if passage.things_from(at, at + 1) and passage.word(at) not in ("house", "line"):
            break
    return token
