"""Verdicts: the statements in which a speaker says what the trouble is, or what should be done.

    "main trouble's the roots and i'd get them cut and put a new lid on"
    ->  main trouble's the roots | and i'd get them cut | and put a new lid on

Speech has no full stops: a statement begins where the speaker turns, at a subject with the verb of a verdict, and at
"and" with a deed behind it. An order or a thing named alone ("and a new hose") counts only behind another verdict.
"""

from bisect import bisect_left, bisect_right, insort
from dataclasses import dataclass, replace

from extractor.language.advice import (
    ADVICE_CLASSES,
    ADVICE_WORDS,
    DUE_CLASSES,
    DUE_WORDS,
    LET_BE_WORDS,
    advice_at,
    deed_due,
    done_at,
    let_be,
    order_at,
    wants_it_done,
)
from extractor.language.passage import Passage
from extractor.language.troubles import TROUBLE_CLASSES, TROUBLE_WORDS, links, main_cue, tells_at_once, trouble_at
from extractor.reading import Tag

LONGEST_SUBJECT = 10  # words from the start of "that open joint by the gully" to its verb
_PEOPLE = ("i", "we", "you", "they", "he", "she", "somebody", "someone")
_POINTERS = ("it", "that", "this", "those", "these", "they", "there", "she")
_GOING = ("to", "going", "are", "is", "gonna")
_IS = ("is", "was", "are", "were")
# Words that a statement, and the verb of one, begin with: what else stands in the speech is not tried.
_OPENING_CLASSES = ("list", "turns", "advises", "article", "fittest", *TROUBLE_CLASSES)
_OPENING_WORDS = ("what", *TROUBLE_WORDS, *_PEOPLE, *_POINTERS)
_VERB_WORDS = (*DUE_WORDS, *LET_BE_WORDS, *_IS)


@dataclass(frozen=True, slots=True)
class Verdict:
    """Tokens start to end; cue to body are the words that make it one. `firm`: marked as the trouble that counts."""

    start: int
    end: int
    kind: str  # main_issue, recommendation, order (counts only behind another), none
    cue: int
    body: int
    firm: int = 0


def find_verdicts(passage: Passage) -> tuple[Verdict, ...]:
    """Every statement of the passage in order, with its kind."""
    starts = sorted(_starts(passage))
    judged = (_judged(passage, start, end) for start, end in zip(starts, [*starts[1:], len(passage)], strict=True))
    return tuple(part for verdict in judged for part in _tightened(passage, verdict))


def _tightened(passage: Passage, verdict: Verdict) -> tuple[Verdict, ...]:
    """A finding that stands before the statement is none of it: "a belly holding water | time for a new pump"."""
    if verdict.kind not in ("main_issue", "recommendation") or verdict.cue <= verdict.start:
        return (verdict,)
    led = passage.is_class(verdict.cue, "copula") or passage.is_class(verdict.cue - 1, "copula")
    led = led or (verdict.firm == 1 and passage.word(verdict.cue) in ("that", "which", "who"))
    leads = (
        verdict.kind == "main_issue"
        and not led
        and any(tag.id != "blockage" for tag in passage.things_from(verdict.body, verdict.end))
    )
    own = verdict.cue if leads else _subject_start(passage, verdict.cue, verdict.start)
    if leads or passage.is_class(own, "fittest", "advises", "chief"):
        while own > verdict.start and (
            passage.is_class(own - 1, "article", "list", "copula", "modal", "pronoun", "also_said")
            or passage.word(own - 1) in (*_PEOPLE, *_POINTERS)
        ):
            own -= 1
    first = verdict.start + passage.is_class(verdict.start, "list", "turns")
    if verdict.kind == "recommendation" and order_at(passage, first) is not None:
        return (verdict,)  # "line the crack a metre and a half | should do it"
    told = passage.tags_from(verdict.start, own, "condition") or passage.measures_from(verdict.start, own)
    if own <= verdict.start or (not told and own - verdict.start <= LONGEST_SUBJECT):
        return (verdict,)
    return (
        Verdict(verdict.start, own, "none", verdict.start, verdict.start),
        replace(verdict, start=own),
    )


def _starts(passage: Passage) -> set[int]:
    starts = {0}
    for tag in passage.tags_from(0, len(passage), "boundary", "speech_act", "movement"):
        if _tag_opens(passage, tag):
            starts.add(tag.start)
    tagged = _tagged(passage, 0, len(passage), "main_issue")
    for token in sorted({*tagged, *passage.tokens_of(0, len(passage), _OPENING_CLASSES, _OPENING_WORDS)}):
        if passage.is_class(token, "list"):
            opens = _opens(passage, token + 1)
        else:
            led = passage.is_class(token - 1, "list")
            opens = _turns(passage, token) or (not led and (_subject(passage, token) or _verdict_noun(passage, token)))
        if opens:
            starts.add(token)
    ordered = sorted(starts)
    for token in passage.tokens_of(0, len(passage), (*DUE_CLASSES, "advises_by_verb"), _VERB_WORDS):
        due = deed_due(passage, token) is not None or let_be(passage, token) or _report_advises(passage, token)
        if due or _is_the_trouble(passage, token):
            bound = ordered[(bisect_right if due else bisect_left)(ordered, token) - 1]
            start = _subject_start(passage, token, bound)
            if start not in starts:
                starts.add(start)
                insort(ordered, start)
    for token in passage.tokens_of(0, len(passage), ("remedies", "begins_order"), ()):
        if _orders(passage, token):
            starts.add(token)
    starts.update(token for token in passage.every("remedying") if _goes_with(passage, token))
    return {token for token in starts if not _inside_measure(passage, token)}


def _goes_with(passage: Passage, token: int) -> bool:
    """ "renewal of the drain | together with removal of the stub"."""
    led = (passage.word(token - 2), passage.word(token - 1))
    return led in (("together", "with"), ("along", "with"), ("well", "as")) and order_at(passage, token) is not None


def _orders(passage: Passage, token: int) -> bool:
    """ "that grease was the culprit | have them pump that tank", "one | jet the grease two | patch the joint": an order
    that stands by itself, behind nothing which holds its verb.
    """
    if passage.is_class(
        token - 1, "holds_order", "someone", "modal", "to", "list", "also_said", "obliges", "advises"
    ) or (
        passage.is_class(token - 1, "article", "copula", "inside", "of", "negation", "particle")
        or (passage.is_class(token - 1, "object_pronoun") and passage.word(token - 1) != "one")
    ):
        return False
    line_named = passage.is_class(token - 1, "line_name", "side") or bool(passage.things_from(token - 1, token))
    line_named = line_named and passage.word(token + 2) not in ("rest", "lot", "whole", "remainder")
    if passage.word(token - 1) in _PEOPLE or (passage.word(token) == "line" and line_named):
        return False
    if passage.word(token) in ("have", "get"):
        someone = passage.is_class(token + 1, "object_pronoun") and passage.is_class(token + 2, "remedies")
        return someone or wants_it_done(passage, token)
    if passage.word(token) == "new":
        deed = passage.is_class(token - 1, "remedies", "remedies_with", "remedying", "inside", "at")
        return not deed and bool(passage.tags_from(token + 1, token + 3, "component", "structure"))
    if passage.word(token) in ("put", "keep"):
        return passage.word(token + 1) in ("a", "an", "some", "new") and order_at(passage, token) is not None
    then = token + 1 + passage.is_class(token + 1, "particle")
    object_led = passage.is_class(then, "article", "demonstrative") or passage.is_class(token + 1, "object_pronoun")
    place_led = passage.word(then) == "at" and passage.measure_over(then + 1) is not None
    if passage.word(token) == "re" or passage.measure_over(then) is not None:
        return order_at(passage, token) is not None
    return (object_led or place_led) and order_at(passage, token) is not None


def _report_advises(passage: Passage, token: int) -> bool:
    """ "my report will | recommend"."""
    return (
        passage.word(token) in passage.classes["advises_by_verb"]
        and passage.is_class(token - 1, "modal")
        and not passage.is_class(token - 2, "someone")
    )


def _tagged(passage: Passage, start: int, end: int, id: str) -> list[int]:
    """The tokens of [start, end) at which a phrase for such a statement begins."""
    return [tag.start for tag in passage.tags_from(start, end, "speech_act") if tag.id == id]


def _tag_opens(passage: Passage, tag: Tag) -> bool:
    if passage.is_class(tag.start - 1, "article") and tag.kind in ("boundary", "movement"):
        return False  # "i'd have the | camera back through it", "on the | same line"
    if passage.is_class(tag.start, "closer") and passage.is_class(tag.start - 1, "takes_look"):
        return False  # "give it | another look"
    if tag.kind == "boundary":
        turning = tag.id in ("next", "turn", "against")
        return turning and (tag.end - tag.start > 1 or _turns(passage, tag.start))
    if tag.id == "plan" and tag.kind == "speech_act" and passage.is_class(tag.end, "someone"):
        return not passage.is_class(tag.start, "someone")  # "tomorrow | we bring the big spanner"
    if tag.kind == "movement":
        return tag.id not in ("inspect", "go") and not passage.is_class(tag.start - 1, "inside")
    if passage.is_class(tag.start - 1, "to", "modal"):
        return False
    if passage.word(tag.start) == "here" and passage.is_class(tag.start - 1, "trouble", "trouble_if_chief"):
        return False  # "the guilty one | here is the fat"
    return tag.id in ("closing", "talk") or (tag.id == "report" and passage.word(tag.start) in ("there", "here"))


def _is_the_trouble(passage: Passage, token: int) -> bool:
    """ "the hole | is the biggest worry": the verb, where the noun of trouble follows it and a subject leads."""
    if passage.word(token) not in _IS or passage.word(token - 1) in (
        *_POINTERS,
        "what",
        "which",
    ):
        return False
    lead = token + 2 if passage.word(token + 1) in ("the", "your", "my", "our") else token + 1
    noun = trouble_at(passage, lead)
    return noun is not None and (noun.firm > 0 or lead > token + 1) and trouble_at(passage, token - 1) is None


def _inside_measure(passage: Passage, token: int) -> bool:
    measure = passage.measure_over(token)
    return measure is not None and measure.start < token


def _turns(passage: Passage, token: int) -> bool:
    """ "i would also recommend", "so that": no turn where a verb waits for its own, or a purpose follows."""
    if not passage.is_class(token, "turns"):
        return False
    if passage.word(token) == "look" and passage.is_class(token - 1, "to", "closer", "particle", "someone", "modal"):
        return False
    if passage.word(token) == "so" and passage.word(token + 1) in passage.classes["after_so"]:
        return False
    if passage.word(token) == "right" and (
        passage.is_class(token - 1, "article", "to", "copula", "inside")
        or passage.word(token + 1) in passage.classes["after_right_word"]
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
    return order_at(passage, token) is not None or done_at(passage, token) is not None


def _subject(passage: Passage, token: int) -> bool:
    word, before = passage.word(token), passage.word(token - 1)
    if word == "what":
        return before not in ("is", "was", "were", *passage.classes["holds_statement"]) and (
            passage.is_class(token + 1, "copula", "someone", "modal", "brings_about")
            or passage.word(token + 1) in _POINTERS
        )
    if passage.is_class(token, "advises"):
        if word.endswith("ed") and (token + 1 == len(passage) or passage.is_class(token + 1, "list", "turns")):
            return False  # "spot repair at eleven metres | recommended"
        return word in passage.classes["advises_by_verb"] and not (
            passage.is_class(token - 1, "modal", "copula", "article")
            or (passage.is_class(token - 1, "also_said") and passage.word(token - 2) in (*_PEOPLE, "would"))
            or before in _PEOPLE
        )
    if word in _PEOPLE:
        held = (
            passage.is_class(token - 1, "holds_subject")
            or passage.is_class(token - 1, "reckons", "modal", "obliges")
            or _advised(passage, token)
        )
        then = token + 1
        while passage.is_class(then, "also_said") and not passage.is_class(then, "obliges"):
            then += 1
        return not held and passage.is_class(then, "modal", "advises", "obliges", "reckons")
    return _pointer_verb(passage, token) and not (
        passage.is_class(token - 1, "holds_subject", "reckons", "inside") or _advised(passage, token)
    )


def _advised(passage: Passage, token: int) -> bool:
    """ "i recommend that it be": what is advised is no statement of its own."""
    return passage.has_class(token - 3, token, "advises")


def _pointer_verb(passage: Passage, token: int) -> bool:
    """ "it was", "that wants", "that is the": but no "joint that is open"."""
    word, then = passage.word(token), passage.word(token + 1)
    if word not in _POINTERS or passage.measure_over(token):
        return False
    if word in ("that", "this", "those") and then in ("is", "was", "are", "were"):
        return passage.word(token + 2) in passage.classes["begins_verdict"]
    return passage.is_class(token + 1, "modal", "obliges") or then in ("is", "was", "are", "were")


def _verdict_noun(passage: Passage, token: int) -> bool:
    """ "the main trouble", "your problem is", "my recommendation": the noun of a verdict with what leads it."""
    lead = token + 1 if passage.is_class(token, "article") else token
    if passage.is_class(lead, "fittest") and passage.is_class(lead + 1, "course"):
        return lead > token or not passage.is_class(token - 1, "article", "pronoun", "someone", "copula")
    tag = passage.cue_at(lead, "speech_act", "main_issue")
    if tag is None and not (passage.is_class(lead, "advises", "chief", "trouble") or passage.word(lead) == "number"):
        return False
    if passage.is_class(token - 1, "article", "copula", "chief", "reckons", "negation"):
        return False
    if passage.word(token - 1) == "of":
        return False
    if (
        tag is not None
        and passage.word(tag.end - 1) in ("is", "was", "are", "were")
        and not passage.is_class(lead, "copula")
    ):
        return True
    if passage.is_class(lead, "advises") and (lead > token or passage.measure_over(lead + 1) is not None):
        return True  # "my recommendation", "recommendation two"
    noun = trouble_at(passage, lead)
    if noun is None:
        return False
    if tells_at_once(passage, token, noun.end):
        return True
    return noun.firm > 0 or (
        lead > token and passage.word(token) in ("the", "your", "my", "our") and links(passage, noun.end)
    )


def _subject_start(passage: Passage, verb: int, bound: int) -> int:
    """Back over the subject of "wants", "should be": to its determiner, over what hangs on it by a preposition."""
    bare = passage.word(verb) in ("want", "need") and (
        passage.is_class(verb + 1, "definite") or passage.word(verb + 1) == "a"
    )
    if bare:
        subject = passage.word(verb - 1 - passage.is_class(verb - 1, "modal"))
        return verb if subject not in (*_PEOPLE, *_POINTERS) else bound
    token, start = verb, bound
    led = passage.word(verb - 1) in ("and", "but") and passage.is_class(verb, "modal", "obliges")
    if led and passage.is_class(verb - 3, "article"):
        return bound  # "the lid is a hazard and | should be replaced"
    while token > bound and passage.is_class(token - 1, "modal", "filler", "also_said"):
        token -= 1
    while token > bound and passage.word(verb) in ("have", "need") and passage.word(token - 1) in _GOING:
        token -= 1  # "you | are going to | have to"
    if token > bound and passage.word(token - 1) in (*_POINTERS, *_PEOPLE, "which", "who"):
        return token - 1
    told = passage.covering(token - 1, "condition")
    predicate = told is not None and told.start > bound and passage.is_class(told.start - 1, "copula")
    if predicate and told is not None and passage.word(told.start - 2) not in ("that", "which", "who"):
        return token  # "the pipe has collapsed | wants digging up"
    for tag in passage.tags_from(max(bound, token - 4), token, "structure", "fixture", "component"):
        before = tag.start - 1
        if tag.end == token and (passage.covering(before, "condition") or passage.measure_over(before)):
            return tag.start  # "the baffle's broken | tank wants emptying"
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


def _judged(passage: Passage, start: int, end: int) -> Verdict:
    main = main_cue(passage, start, end)
    if main is not None:
        return Verdict(start, end, "main_issue", main.start, main.end, main.firm)
    first = start
    while first < end and passage.is_class(first, "list", "filler", "turns"):
        first += 1
    if first < end and wants_it_done(passage, first):
        return Verdict(start, end, "recommendation", first, first)
    tagged = _tagged(passage, start, end, "recommendation")
    for token in sorted({*tagged, *passage.tokens_of(start, end, ADVICE_CLASSES, ADVICE_WORDS)}):
        body = advice_at(passage, token, start, end)
        if body is not None:
            return Verdict(start, end, "recommendation", token, body)
    body = order_at(passage, first)
    body = body if body is not None else done_at(passage, first)
    if body is not None and first < end:
        return Verdict(start, end, "order", first, body)
    return Verdict(start, end, "none", start, start)
