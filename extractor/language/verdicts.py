"""Verdicts: the statements in which a speaker says what the trouble is, or what should be done.

    "main trouble's the roots and i'd get them cut and put a new lid on"
    ->  main trouble's the roots | and i'd get them cut | and put a new lid on

Each is told by its grammar: a noun of trouble with what makes it the one that counts, a cleft ("it was X that did it"), a
verb of advice, an obligation with a deed ("wants digging up", "must be relined"), a wish of the speaker's ("i'd get ...").
An order or a thing named alone ("and a new hose") counts only right behind another verdict.
"""

from dataclasses import dataclass

from extractor.language.passage import Passage

LONGEST_SUBJECT = 10  # words from the start of "that open joint by the gully" to its verb
AHEAD = 8  # words in which the deed follows "needs", "i would"
_PEOPLE = ("i", "we", "you", "they", "he", "she", "somebody", "someone")
_HOLDERS = (
    "what", "how", "if", "when", "as", "until", "till", "before", "after", "while", "who", "where", "why", "than", "unless",
    "whether", "do", "does", "did", "which", "once", "because", "cause", "cos",
)  # fmt: skip
_POINTERS = ("it", "that", "this", "those", "these", "they", "there", "she")


@dataclass(frozen=True, slots=True)
class Verdict:
    """Tokens start to end; cue to body are the words that make it one. `firm`: marked as the trouble that counts."""

    start: int
    end: int
    kind: str  # main_issue, recommendation, order (counts only behind another), none
    cue: int
    body: int
    firm: bool = False


def find_verdicts(passage: Passage) -> tuple[Verdict, ...]:
    """Every statement of the passage in order, with its kind."""
    starts = sorted(_starts(passage))
    return tuple(_judged(passage, start, end) for start, end in zip(starts, [*starts[1:], len(passage)], strict=True))


# --- where statements begin -----------------------------------------------------------------


def _starts(passage: Passage) -> set[int]:
    starts = {0}
    for tag in passage.tags_from(0, len(passage), "boundary", "speech_act", "movement"):
        turning = tag.kind == "boundary" and tag.id in ("next", "turn", "against")
        if turning and (tag.end - tag.start > 1 or _turns(passage, tag.start)):
            starts.add(tag.start)
        elif (
            tag.kind == "movement" and tag.id not in ("inspect", "go") and not passage.is_class(tag.start - 1, "inside")
        ):
            starts.add(tag.start)
        elif tag.kind == "speech_act" and (
            tag.id in ("closing", "talk") or (tag.id == "report" and passage.word(tag.start) in ("there", "here"))
        ):
            starts.add(tag.start)
    for token in range(len(passage)):
        if passage.is_class(token, "turns") and _turns(passage, token):
            starts.add(token)
        elif passage.is_class(token, "list") and _opens(passage, token + 1):
            starts.add(token)
        elif not passage.is_class(token - 1, "list") and (_subject(passage, token) or _verdict_noun(passage, token)):
            starts.add(token)
    for token in range(len(passage)):
        if _deed_due(passage, token) is not None or _let_be(passage, token):
            bound = max(start for start in starts if start <= token)
            starts.add(_subject_start(passage, token, bound))
    return {token for token in starts if not _inside_measure(passage, token)}


def _let_be(passage: Passage, token: int) -> bool:
    """ "can be left": what needs nothing yet is told apart from what does."""
    if passage.word(token) not in ("can", "could", "may", "will"):
        return False
    return any(passage.is_class(at, "let_be") for at in range(token + 1, token + 3))


def _inside_measure(passage: Passage, token: int) -> bool:
    measure = passage.measure_over(token)
    return measure is not None and measure.start < token


def _turns(passage: Passage, token: int) -> bool:
    """ "i would also recommend", "so that": no turn where a verb waits for its own, or a purpose follows."""
    if passage.word(token) not in passage.classes.get("turns", ()):
        return False
    if passage.word(token) == "so" and passage.word(token + 1) in ("that", "far", "much", "many", "long"):
        return False
    if passage.word(token) == "right" and (
        passage.is_class(token - 1, "article", "to", "copula", "inside")
        or passage.word(token + 1) in ("hand", "side", "up")
    ):
        return False
    return not passage.is_class(token - 1, "modal", "obliges", "copula") and passage.word(token - 1) not in _PEOPLE


def _opens(passage: Passage, token: int) -> bool:
    """What follows "and" begins a statement of its own: a subject, a deed, or a new thing."""
    while passage.is_class(token, "filler", "turns") and not (
        _pointer_verb(passage, token) or _subject(passage, token)
    ):
        token += 1
    if _subject(passage, token) or _verdict_noun(passage, token) or _pointer_verb(passage, token):
        return True
    return _orders(passage, token) is not None or _done(passage, token) is not None


def _subject(passage: Passage, token: int) -> bool:
    word, before = passage.word(token), passage.word(token - 1)
    if word == "what":
        return before not in ("know", "see", "is", "that", "with", "of", "to", "said", "about", "like", "for") and (
            passage.is_class(token + 1, "copula", "someone", "modal") or passage.word(token + 1) in _POINTERS
        )
    if passage.is_class(token, "advises"):
        return word in ("recommend", "recommended", "suggest", "advise", "propose", "recommending") and not (
            passage.is_class(token - 1, "modal", "copula", "article")
            or (passage.is_class(token - 1, "also_said") and passage.word(token - 2) in (*_PEOPLE, "would"))
            or before in _PEOPLE
        )
    if word in _PEOPLE:
        held = (
            before in _HOLDERS or passage.is_class(token - 1, "reckons", "modal", "obliges") or _advised(passage, token)
        )
        then = token + 1
        while passage.is_class(then, "also_said") and not passage.is_class(then, "obliges"):
            then += 1
        return not held and passage.is_class(then, "modal", "advises", "obliges", "reckons")
    held = before in _HOLDERS or passage.is_class(token - 1, "reckons", "inside") or _advised(passage, token)
    return not held and _pointer_verb(passage, token)


def _advised(passage: Passage, token: int) -> bool:
    """ "i recommend that it be": what is advised is no statement of its own."""
    return any(passage.is_class(at, "advises") for at in range(max(0, token - 3), token))


def _pointer_verb(passage: Passage, token: int) -> bool:
    """ "it was", "that wants", "that is the": but no "joint that is open"."""
    word, then = passage.word(token), passage.word(token + 1)
    if word not in _POINTERS or passage.measure_over(token):
        return False
    if word in ("that", "this", "those") and then in ("is", "was", "are", "were"):
        return passage.word(token + 2) in ("the", "your", "my", "a", "what", "why", "it", "our", "all", "one", "where")
    return passage.is_class(token + 1, "modal", "obliges") or then in ("is", "was", "are", "were")


def _verdict_noun(passage: Passage, token: int) -> bool:
    """ "the main trouble", "your problem is", "my recommendation": the noun of a verdict with what leads it."""
    if passage.is_class(token - 1, "article", "copula", "chief", "reckons", "negation"):
        return False
    lead = token + 1 if passage.is_class(token, "article") else token
    if passage.is_class(lead, "advises") and lead > token:
        return True
    noun = _trouble(passage, lead)
    if noun is None:
        return False
    return noun.firm or (
        lead > token and passage.word(token) in ("the", "your", "my", "our") and _links(passage, noun.end)
    )


def _links(passage: Passage, token: int) -> bool:
    return any(passage.is_class(at, "copula") for at in range(token, token + 6))


def _subject_start(passage: Passage, verb: int, bound: int) -> int:
    """Back over the subject of "wants", "should be": to its determiner, over what hangs on it by a preposition."""
    bare = passage.word(verb) in ("want", "need") and (
        passage.is_class(verb + 1, "definite") or passage.word(verb + 1) == "a"
    )
    if bare:
        return verb if verb > bound and passage.word(verb - 1) not in (*_PEOPLE, *_POINTERS) else bound
    token, start = verb, bound
    while token > bound and passage.is_class(token - 1, "modal", "filler", "also_said"):
        token -= 1
    if token > bound and passage.word(token - 1) in (*_POINTERS, *_PEOPLE, "which", "who"):
        return token - 1
    for tag in passage.tags_from(max(bound, token - 5), token, "condition"):
        lead = tag.start - 1 if passage.covering(tag.start - 1, "extent") else tag.start
        if tag.end == token and not passage.is_class(lead - 1, "article", "inside", "at", "list"):
            return lead
    while token > bound and verb - token < LONGEST_SUBJECT:
        measure = passage.measure_over(token - 1)
        if measure is not None:
            if not passage.is_class(measure.start - 1, "inside", "at"):
                return token
            token = measure.start
            continue
        token -= 1
        lead = passage.is_class(token, "article") and not passage.is_class(token + 1, "copula", "modal")
        if lead and not passage.is_class(token - 1, "inside", "at", "of"):
            start = token
            break
        if passage.is_class(token, "list"):
            start = token
            break
    return start - 1 if start > bound and passage.is_class(start - 1, "list") else start


# --- what each statement is -----------------------------------------------------------------


def _judged(passage: Passage, start: int, end: int) -> Verdict:
    main = _main_cue(passage, start, end)
    if main is not None:
        return Verdict(start, end, "main_issue", main.start, main.end, main.firm)
    first = start
    while first < end and passage.is_class(first, "list", "filler", "turns"):
        first += 1
    for token in range(first, end):
        body = _advice_at(passage, token, start, end)
        if body is not None:
            return Verdict(start, end, "recommendation", token, body)
    body = _orders(passage, first)
    body = body if body is not None else _done(passage, first)
    if body is not None and first < end:
        return Verdict(start, end, "order", first, body)
    return Verdict(start, end, "none", start, start)


@dataclass(frozen=True, slots=True)
class _Cue:
    start: int
    end: int
    firm: bool


def _trouble(passage: Passage, token: int) -> _Cue | None:
    """ "main trouble", "biggest single problem", "defect of consequence", "trouble", from this token."""
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
    if passage.is_class(at, "trouble") or (
        chief and passage.is_class(at, "trouble_if_chief") and not passage.measure_over(at)
    ):
        at += 1
        if passage.word(at) == "of" and passage.is_class(at + 1, "of_weight"):
            return _Cue(token, at + 2 + (passage.word(at + 2) == "all"), True)
        if passage.word(at) == "of" and passage.word(at + 1) == "the" and passage.is_class(at + 2, "trouble"):
            return _Cue(token, at + 3, True)
        return _Cue(token, at, chief)
    return None


def _main_cue(passage: Passage, start: int, end: int) -> _Cue | None:
    for token in range(start, end):
        noun = _trouble(passage, token)
        if noun is not None and noun.end <= end and _stands(passage, token, start):
            before = token - 1 if passage.is_class(token - 1, "article") else token
            owned = passage.word(token - 1) in ("the", "your", "my", "our")
            if noun.firm or (owned and (passage.is_class(before - 1, "copula") or _links(passage, noun.end))):
                return _Cue(before, noun.end, noun.firm)
        cleft = _cleft(passage, token, start, end)
        if cleft is not None:
            return cleft
        tag = passage.cue_at(token, "speech_act", "main_issue")
        if tag is not None and tag.end <= end and tag.end - tag.start > 1 and _stands(passage, tag.start, start):
            return _Cue(tag.start, tag.end, False)
    return None


def _stands(passage: Passage, token: int, start: int) -> bool:
    """No denial, question or other person's trouble: "no real problem", "whether her bath was to blame"."""
    near = range(max(start, token - 3), token)
    return not (
        any(passage.is_class(at, "asks_first") for at in near)
        or passage.word(token - 1) in ("his", "her", "their", "any", "another")
        or any(passage.word(at) in ("if", "whether") for at in range(max(0, token - 6), token))
    )


def _cleft(passage: Passage, token: int, start: int, end: int) -> _Cue | None:
    """ "it was X that did it", "X did it", "what is backing her up is X", "what happened was X"."""
    if passage.word(token) == "what" and token - start <= 3:
        for at in range(token + 1, min(end, token + 6)):
            if passage.is_class(at, "remedies", "obliges", "negation", "article") or passage.things_from(at, at + 1):
                return None
            if _brings_about(passage, token, at):
                return _Cue(token, _behind_link(passage, at + 1, end), True)
    if passage.word(token) in ("that", "what", "which", "who") and passage.word(
        start if passage.word(start) in ("it", "that") else start + 1
    ):
        lead = next((at for at in range(start, token) if passage.word(at) == "it"), None)
        then = token + 1
        while passage.is_class(then, "copula", "filler") or passage.word(then) in ("all", "really"):
            then += 1
        if (
            lead is not None
            and passage.word(lead + 1) in ("is", "was", "were", "'s")
            and passage.is_class(then, "brings_about")
            and passage.tags_from(lead, token, "condition", "component")
        ):
            return _Cue(token, then + 1, True)
    if (
        passage.word(token) in ("did", "caused", "causing", "behind", "doing")
        and passage.word(token + 1) in ("it", "this", "that", "all", "the")
        and (
            passage.word(token + 1) != "the"
            or passage.word(token + 2) in ("damage", "blockage", "trouble", "problem", "backup", "harm")
        )
        and any(token - tag.end <= 3 for tag in passage.tags_from(start, token, "condition"))
        and not passage.is_class(token - 1, "modal", "someone", "relative")
    ):
        return _Cue(token, token + 2, False)
    return None


def _brings_about(passage: Passage, what: int, token: int) -> bool:
    """ "what did it", "what is backing her up", "what is going on"."""
    word, before = passage.word(token), passage.word(token - 1)
    if word in ("did", "made", "caused", "started", "broke", "killed"):
        return token == what + 1
    if word == "doing":
        return passage.word(token + 1) in ("it", "that", "this", "all")
    return passage.is_class(token, "brings_about") and (word != "on" or before == "going")


def _behind_link(passage: Passage, token: int, end: int) -> int:
    """Behind the "is" that closes "what is backing her up is", if it comes before anything is named."""
    for at in range(token, min(end, token + 6)):
        if passage.word(at) in ("is", "was", "are", "were"):
            return at + 1
        if passage.things_from(at, at + 1) and passage.word(at) not in ("house", "line"):
            break
    return token


def _advice_at(passage: Passage, token: int, start: int, end: int) -> int | None:
    """The token behind the words of advice, where advice begins at this token."""
    if passage.is_class(token, "advises"):
        return token + 1 if _not_denied(passage, token, start) else None
    due = _deed_due(passage, token)
    if due is not None:
        return due
    if passage.word(token) in ("i", "we") and passage.word(token + 1) in ("would", "'d"):
        return _wish(passage, token + 2, end)
    tag = passage.cue_at(token, "speech_act", "recommendation")
    if tag is None or tag.end - tag.start < 2 or not _not_denied(passage, token, start):
        return None
    if any(passage.is_class(at, "obliges", "modal", "remedies") for at in range(tag.start, tag.end)):
        return None
    return tag.end if _has_deed(passage, tag.end, end) else None


def _not_denied(passage: Passage, token: int, start: int) -> bool:
    return not any(passage.is_class(at, "asks_first") for at in range(max(start, token - 3), token))


def _has_deed(passage: Passage, start: int, end: int) -> bool:
    return any(
        passage.is_class(at, "remedies", "remedying", "remedy_thing")
        or (at > start and passage.is_class(at, "remedied"))
        for at in range(start, min(end, start + AHEAD))
    )


def _deed_due(passage: Passage, token: int) -> int | None:
    """ "should be patched", "wants digging", "has to be replaced", "needs a new lid", "that joint to be relined"."""
    word = passage.word(token)
    if not passage.is_class(token, "obliges") and not (word == "to" and passage.word(token + 1) == "be"):
        return None
    if word in ("has", "have") and passage.word(token + 1) != "to":
        return None
    if word == "to" and (
        passage.is_class(token - 1, "obliges", "modal")
        or passage.word(token - 1) in ("going", "able", "used", "used", "supposed", "due")
    ):
        return None
    people = passage.is_class(token - 1, "everyone", "wanting_person") and word in (
        "want",
        "wants",
        "need",
        "needs",
        "to",
    )
    mine = "i" in (passage.word(token - 1), passage.word(token - 2))
    if people or mine or passage.is_class(token + 1, "negation") or passage.word(token + 1) == "not":
        return None
    if any(passage.is_class(at, "asks_first") for at in range(max(0, token - 3), token)):
        return None
    if passage.word(token + 1) in ("i", "we", "you", "he", "she"):
        return None
    at = token + 1
    if word in ("should", "must") and passage.word(at) == "have":
        return None
    passive = False
    while passage.is_class(at, "of_obligation") and at - token < AHEAD:
        passive = passive or passage.word(at) in ("be", "get", "being")
        at += 1
    if passage.is_class(at, "remedied", "remedying") and passage.word(at) not in ("out", "off"):
        return at
    if passage.word(at) == "out" and passage.word(at - 1) == "come":
        return at
    if (
        passage.is_class(at, "remedies")
        and not passive
        and (word not in ("needs", "wants") or passage.word(token + 1) == "to")
    ):
        return at
    if passage.is_class(at, "remedies_with") and passage.word(at - 1) != "be" and word not in ("needs", "wants"):
        return at if _done_to(passage, at) else None
    if passage.word(at) == "re" or (passage.word(at - 1) == "get" and _done_to(passage, at - 1)):
        return at
    if (
        word in ("need", "needs", "want", "wants", "requires", "require", "deserves", "needing", "wanting")
        and not passive
    ):
        return at if _done_to(passage, at - 1, wanted=True) else None
    return None


def _done_to(passage: Passage, verb: int, wanted: bool = False) -> bool:
    """Whether what is done, or a new thing, follows the verb: "get that hole patched", "needs a new lid"."""
    at = verb + 1
    if passage.word(at) == "it" and passage.word(at + 1) in ("at", "down", "around", "about"):
        return False
    if not passage.is_class(at, "article", "remedy_thing", "demonstrative") and passage.word(at) not in (
        "it",
        "them",
        "one",
        "somebody",
        "someone",
    ):
        return bool(passage.things_from(at, at + 1)) and _has_deed(passage, at, at + AHEAD) and not wanted
    last = at + AHEAD
    for token in range(at, min(last, len(passage))):
        if passage.is_class(token, "turns") or passage.covering(token, "boundary"):
            break
        if passage.word(at) in ("somebody", "someone") and passage.word(token - 1) == "to":
            return passage.is_class(token, "remedies", "remedies_with")
        if passage.is_class(token, "remedy_thing") or (token > at and passage.is_class(token, "remedied", "remedying")):
            return True
    return (
        wanted
        and passage.word(at) in ("a", "an", "some", "another")
        and bool(passage.tags_from(at, at + 4, "component", "structure"))
    )


def _wish(passage: Passage, token: int, end: int) -> int | None:
    """ "i would | be getting that patched": the deed the speaker would see done."""
    at = token
    while passage.is_class(at, "also_said") and at < end:
        at += 1
    if passage.word(at) == "not" or at >= end:
        return None
    if passage.is_class(at, "remedies", "remedying") and passage.word(at) not in (
        "getting",
        "putting",
        "having",
        "running",
        "taking",
        "doing",
        "looking",
        "making",
    ):
        return at
    if passage.is_class(at, "remedies_with", "remedying"):
        if passage.word(at) in ("do", "be") and passage.word(token - 3) == "what":
            return at + 1 if _has_deed(passage, at + 1, end) else None
        if passage.word(at) in ("tell", "look", "looking", "see"):
            return at if _has_deed(passage, at + 1, end) else None
        return at if _done_to(passage, at) else None
    return None


def _orders(passage: Passage, token: int) -> int | None:
    """ "put a new baffle in", "get the roots cut", "a new hose", "lining of the second length": a deed with no subject."""
    word, after = passage.word(token), token + 1
    bare = passage.is_class(after, "article", "particle", "demonstrative")
    measure = passage.measure_over(after)
    if passage.is_class(token, "remedies"):
        return (
            token
            if bare or (measure and measure.unit == "m") or (passage.things_from(after, after + 1) and word != "line")
            else None
        )
    if passage.is_class(token, "remedies_with"):
        return token if _done_to(passage, token) or passage.is_class(after, "article") else None
    if word == "re" and passage.is_class(after, "remedying", "remedies", "remedied"):
        return token
    if passage.is_class(token, "remedying"):
        return token if bare or word == "re" or passage.word(after) == "of" else None
    if word == "new" or (word in ("a", "an", "some", "another") and passage.is_class(after, "remedy_thing")):
        return token
    return None


def _done(passage: Passage, token: int) -> int | None:
    """ "that the failed liner be renewed", "the last length re surveyed": the deed as done to a thing, behind advice."""
    at = token + 1 if passage.word(token) == "that" and passage.is_class(token + 1, "article") else token
    if not passage.is_class(at, "article"):
        return None
    for verb in range(at + 2, min(at + AHEAD + 3, len(passage))):
        if passage.covering(verb, "boundary") or passage.is_class(verb, "list", "modal"):
            return None
        if passage.is_class(verb, "remedied") and passage.word(verb) not in ("out", "off", "cut", "put", "re", "done"):
            return token
        if passage.is_class(verb, "remedied") and passage.word(verb - 1) in ("is", "be", "are"):
            return token
    return None
