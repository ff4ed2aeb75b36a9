"""The words by which a speaker says what should be done: advice, obligation with a deed, a wish, an order.

Each function takes a token and gives the token behind the words of advice, or None.
"""

from extractor.language.passage import Passage

_NO_PASSIVE = ("going", "able", "used", "supposed", "due", "about")  # "... to be done" behind these is no advice
_ASKED = ("i", "we", "you", "he", "she", "not")  # "should i", "must not"
_WHO = ("you", "they", "we", "it", "she", "he", "that")
# Words that the rules below begin with: what else stands in the speech is not tried. A new beginning must be added.
DUE_CLASSES, DUE_WORDS = ("obliges",), ("got", "to", "new")  # `deed_due`
LET_BE_WORDS = ("can", "could", "may", "will")
ADVICE_CLASSES = ("advises", "fittest", *DUE_CLASSES)  # `advice_at`, beside the tags of advice
ADVICE_WORDS = ("i", "we", "be", "could", "job", "looking", "what", *DUE_WORDS)
LONG_CUE = 3  # words of a phrase that is advice whatever verbs are in it: "would not hurt to"
AHEAD = 8  # words in which the deed follows "needs", "i would"


def advice_at(passage: Passage, token: int, start: int, end: int) -> int | None:
    """The token behind the words of advice, where advice begins at this token."""
    if passage.is_class(token, "advises"):
        return token + 1 if _not_denied(passage, token, start) else None
    due = deed_due(passage, token)
    if due is not None:
        return due
    if passage.word(token) in ("i", "we") and passage.word(token + 1) in ("would", "'d"):
        return _wish(passage, token + 2, end)
    if passage.word(token) == "looking" and passage.word(token + 1) == "at":
        led = any(passage.word(at) in ("you", "we", "they") for at in range(token - 4, token))
        return token + 2 if led and _has_deed(passage, token + 2, end) else None
    if passage.word(token) == "what" and passage.word(token + 1) in _WHO:
        return _what_is_wanted(passage, token, end)
    if passage.is_class(token, "fittest") and passage.is_class(token + 1, "course"):
        called = any(passage.word(at) in ("is", "was", "be") for at in range(token + 2, min(end, token + AHEAD)))
        return token + 2 if called and _has_deed(passage, token + 2, end) else None
    if passage.word(token) == "be" and passage.word(token - 1) == "would" and passage.is_class(token + 1, "worthwhile"):
        return token + 2 if _has_deed(passage, token + 2, end) else None
    if passage.word(token) == "could" and passage.speech.words[token : token + 3] == ("could", "do", "with"):
        return token + 3 if _done_to(passage, token + 2, wanted=True) or _has_deed(passage, token + 3, end) else None
    if passage.word(token) == "job":
        return token + 1 if _job_of(passage, token, start) else None
    tag = passage.cue_at(token, "speech_act", "recommendation")
    if tag is None or tag.end - tag.start < 2:
        return None
    if tag.id == "recommendation" and passage.is_class(tag.end - 1, "serves"):  # "a patch on it | would sort it"
        return tag.end if _has_deed(passage, max(start, tag.start - AHEAD), tag.start) else None
    whole = passage.is_class(tag.end - 1, "to") and tag.end - tag.start > LONG_CUE
    if not whole and any(passage.is_class(at, "obliges", "modal", "remedies") for at in range(tag.start, tag.end)):
        return None
    if not whole and not _not_denied(passage, token, start):
        return None
    return tag.end if _has_deed(passage, tag.start, end) else None


def _new_one_due(passage: Passage, token: int) -> int | None:
    """ "a new base goes in", "there's a new cap needed", "there should be a new pump": the new part told as due."""
    if passage.word(token) != "new" or not passage.is_class(token - 1, "article"):
        return None
    if passage.word(token - 2) == "be" and passage.is_class(token - 3, "obliges", "modal"):
        return token + 1
    for at in range(token + 2, token + 4):
        goes = passage.word(at) == "goes" and passage.word(at + 1) in ("in", "on")
        if goes or passage.is_class(at, "is_due"):
            return at + 1
        if passage.is_class(at, "copula"):
            return None
    return None


def _job_of(passage: Passage, job: int, start: int) -> bool:
    """ "it's a dig up job": the deed stands before it, behind an article."""
    verb = next(
        (at for at in range(job - 1, max(start, job - 3), -1) if passage.is_class(at, "remedies", "remedying")), -1
    )
    return verb > 0 and passage.word(verb - 1) == "a"


def _what_is_wanted(passage: Passage, what: int, end: int) -> int | None:
    """ "what you want to do is | get the tank pumped", "what they need here's | a new lid"."""
    wants = any(passage.is_class(at, "obliges") for at in range(what + 2, what + 5))
    link = next((at for at in range(what + 2, min(end, what + 9)) if passage.word(at) in ("is", "was")), None)
    if not wants or link is None:
        return None
    return link + 1 if _has_deed(passage, link + 1, end) or order_at(passage, link + 1) is not None else None


def deed_due(passage: Passage, token: int) -> int | None:
    """ "should be patched", "wants digging", "has to be replaced", "needs a new lid", "that joint to be relined"."""
    if passage.word(token) == "new":
        return _new_one_due(passage, token)
    word = passage.word(token)
    got_to = word == "got" and passage.word(token + 1) == "to" and passage.word(token - 1) in ("has", "have", "is")
    to_be = word == "to" and passage.word(token + 1) == "be" and passage.word(token - 1) != "got"
    if not passage.is_class(token, "obliges") and not to_be and not got_to:
        return None
    if word in ("has", "have") and passage.word(token + 1) != "to":
        return None
    if word == "to" and (passage.is_class(token - 1, "obliges", "modal") or passage.word(token - 1) in _NO_PASSIVE):
        return None
    if passage.is_class(token - 1, "camera_part", "camera_word"):
        return None  # "the lens requires cleaning"
    wished = passage.is_class(token, "wanting") or word == "to"
    if wished and passage.is_class(token - 1, "everyone", "wanting_person"):
        return None
    if "i" in (passage.word(token - 1), passage.word(token - 2)) or passage.word(token + 1) in _ASKED:
        return None
    if word in ("requires", "require") and "to" in passage.speech.words[token + 2 : token + AHEAD]:
        return None  # "requires the roots | to be cut"
    if passage.is_class(token + 1, "negation") or any(
        passage.is_class(at, "asks_first") for at in range(max(0, token - 3), token)
    ):
        return None
    at = token + 1
    if word in ("should", "must") and passage.word(at) == "have":
        return None
    passive = False
    while passage.is_class(at, "of_obligation") and at - token < AHEAD:
        passive = passive or passage.word(at) in ("be", "get", "being")
        at += 1
    to_do = passage.word(at - 1) == "to" and passage.is_class(at, "remedies_with")  # "want to | put a shed up"
    if passage.is_class(at, "remedied", "remedying") and passage.word(at) not in ("out", "off") and not to_do:
        return at
    if passage.word(at) in ("see", "seeing") and passage.word(at + 1) == "to":
        return at
    if passage.word(at) in ("look", "think") and passage.is_class(at + 2, "remedying"):
        return at + 2  # "want to look at | replacing that length"
    if passage.word(at) == "out" and passage.word(at - 1) == "come":
        return at
    if passage.word(at) == "go" and passage.word(at + 1) == "back":
        return at + 1
    if (passage.word(at) == "back" and passage.word(at - 1) == "come") or looks_again(passage, at):
        return at
    if passage.is_class(at, "closer") and looks_again(passage, at + 1):
        return at  # "ought to have | another look at the break"
    bare_wants = word in ("needs", "wants") and passage.word(token + 1) != "to"
    if passage.is_class(at, "remedies") and not passive and not bare_wants:
        return at
    if passage.is_class(at, "remedies_with") and passage.word(at - 1) != "be" and word not in ("needs", "wants"):
        return at if _done_to(passage, at) else None
    if passage.word(at) == "re" or (passage.word(at - 1) in ("get", "getting", "having") and _done_to(passage, at - 1)):
        return at
    if passage.is_class(token, "wanting") and not passive:
        return at if _done_to(passage, at - 1, wanted=True) else None
    return None


def looks_again(passage: Passage, token: int) -> bool:
    """ "re survey", "another look", "the camera back through it": a job that only looks."""
    if passage.is_class(token, "looks_again"):
        return True
    if passage.word(token) in ("look", "go", "run", "pass"):
        return passage.is_class(token - 1, "closer")
    if passage.word(token) in ("come", "go") and passage.word(token + 1) == "back":
        return True
    if passage.word(token) == "see" and passage.word(token - 1) == "to":
        return passage.is_class(token + 1, "article", "relative")
    return passage.is_class(token, "camera_word") and any(
        passage.word(t) in ("back", "again", "through") for t in range(token + 1, token + 4)
    )


def let_be(passage: Passage, token: int) -> bool:
    """ "can be left": what needs nothing yet is told apart from what does."""
    if passage.word(token) not in LET_BE_WORDS:
        return False
    return any(passage.is_class(at, "let_be") for at in range(token + 1, token + 3))


def _wish(passage: Passage, token: int, end: int) -> int | None:
    """ "i would | be getting that patched": the deed the speaker would see done."""
    at = token
    while passage.is_class(at, "also_said") and at < end:
        at += 1
    if passage.word(at) == "not" or at >= end:
        return None
    if passage.word(at) == "re" and passage.is_class(at + 1, "remedies", "remedying"):
        return at
    if passage.is_class(at - 1, "wanting") and passage.is_class(at, "article", "demonstrative"):
        return at if _done_to(passage, at - 1) else None  # "i would want | that step dug out"
    chosen = at + 1 if passage.is_class(at, "chooses") else at
    if passage.is_class(chosen - 1, "chooses") and passage.word(chosen) in ("for", "with"):
        return chosen + 1 if _has_deed(passage, chosen + 1, end) else None  # "i would go for | a patch"
    if passage.is_class(at, "remedies", "remedying") and not passage.is_class(at, "doing_by_somebody"):
        return at
    if passage.speech.words[at : at + 3] == ("get", "rid", "of"):
        return at
    if passage.is_class(at, "remedies_with", "remedying"):
        if passage.word(at) in ("do", "be") and passage.word(token - 3) == "what":
            return at + 1 if _has_deed(passage, at + 1, end) else None
        if passage.word(at) in ("tell", "look", "looking", "see"):
            return at if _has_deed(passage, at + 1, end) else None
        return at if _done_to(passage, at) else None
    return None


def order_at(passage: Passage, token: int) -> int | None:
    """ "put a new baffle in", "get the roots cut", "a new hose", "lining of it all": a deed with no subject."""
    word, after = passage.word(token), token + 1
    if word in ("somebody", "someone") and passage.is_class(after, "remedies", "remedies_with"):
        return after
    if passage.word(after) in ("all", "both") and passage.is_class(after + 1, "article"):
        after += 1
    bare = passage.is_class(after, "article", "particle", "demonstrative")
    measure = passage.measure_over(after)
    if passage.is_class(token, "remedies"):
        named = passage.things_from(after, after + 1) and word != "line"
        if word != "line" and passage.word(after) == "and" and passage.is_class(after + 1, "remedies"):
            return token if passage.is_class(after + 2, "article", "object_pronoun", "for_or_at") else None
        return token if bare or (measure and measure.unit == "m") or named else None
    if passage.speech.words[token : token + 3] == ("get", "rid", "of"):
        return token
    if passage.is_class(token, "remedies_with"):
        return token if _done_to(passage, token) or passage.is_class(after, "article") else None
    if word == "re" and (
        bare or passage.is_class(after + 1, "article") or passage.is_class(after, "remedying", "remedies", "remedied")
    ):
        return token  # "re bed that length"
    if (
        passage.is_class(after, "remedying")
        and passage.word(after + 1) == "of"
        and not passage.is_class(token, "article")
    ):
        return token  # "spot repair of"
    if passage.is_class(token, "remedying"):
        return token if bare or word == "re" or passage.word(after) == "of" else None
    length = passage.measure_over(token)
    if length is not None and length.start == token and length.unit == "m" and passage.word(length.end) == "of":
        return token if passage.word(length.end + 1) == "new" else None
    if word == "new" or (word in ("a", "an", "some", "another") and passage.is_class(after, "remedy_thing")):
        return token
    if passage.is_class(token, "remedy_thing") and passage.word(after) in ("on", "over", "across"):
        return token  # "and grates on the gullies"
    if word in ("a", "an") and any(
        passage.word(at) == "for" and passage.is_class(at + 1, "definite") for at in range(token + 2, token + 7)
    ):
        return token  # "a man from the council for the rats"
    described = not passage.is_class(after, "everyday") or passage.is_class(after, "once_more")
    if word in ("a", "an") and passage.is_class(after + 1, "remedy_thing") and described:
        return token  # "a structural patch"
    return None


def wants_it_done(passage: Passage, token: int) -> bool:
    """ "get number one dug up", "get them cut": an order that is always advice, since only others can do it."""
    if passage.word(token) not in ("get", "have"):
        return False
    for at in range(token + 1, min(len(passage), token + AHEAD)):
        if passage.is_class(at, "turns", "list", "someone", "obliges"):
            return False
        if passage.is_class(at, "put_right"):
            return at > token + 1
        if passage.word(at) == "back" and passage.word(at + 1) in ("on", "in") and passage.word(token) == "get":
            return at > token + 1 and not passage.has_class(token + 1, at, "camera_word")
        fetched = passage.word(at) in ("in", "out", "round") and at > token + 1 and passage.word(token) == "get"
        if fetched and passage.word(at + 1) in ("for", "to", "and"):  # "a digger in for"
            return passage.word(at + 1) == "for" or passage.is_class(at - 1, "remedy_thing")
    return False


def done_at(passage: Passage, token: int) -> int | None:
    """ "that the failed liner be renewed", "the last length re surveyed": what is to be done to a thing."""
    at = token + 1 if passage.word(token) == "that" and passage.is_class(token + 1, "article") else token
    if not passage.is_class(at, "article"):
        return None
    if not passage.tokens_of(at + 2, at + AHEAD + 3, ("remedied", "remedying"), ("put",)):
        return None
    for verb in range(at + 2, min(at + AHEAD + 3, len(passage))):
        if passage.covering(verb, "boundary") or passage.is_class(verb, "list", "modal"):
            return None
        if passage.is_class(verb, "remedied") and passage.word(verb) not in ("out", "off", "cut", "put", "re", "done"):
            return token
        if passage.is_class(verb, "remedied") and passage.word(verb - 1) in ("is", "be", "are"):
            return token
        if passage.word(verb) == "put" and passage.word(verb + 1) in ("back", "in", "on", "right"):
            return token
        last = verb + 1 == len(passage) or passage.is_class(verb + 1, "list", "turns")
        stated = any(passage.is_class(t, "copula") for t in range(at, verb))  # "and that is running"
        if passage.is_class(verb, "remedying") and passage.word(verb).endswith("ing") and last and not stated:
            return token if passage.things_from(at, verb) else None  # "and the crushed pipe replacing"
    return None


def _done_to(passage: Passage, verb: int, wanted: bool = False) -> bool:
    """Whether what is done, or a new thing, follows the verb: "get that hole patched", "needs a new lid"."""
    at = verb + 1
    if passage.word(at) in ("all", "both") and passage.is_class(at + 1, "article"):
        at += 1
    if any(looks_again(passage, token) for token in range(at + 1, at + 4)):
        return True
    if passage.word(at) in ("out", "up", "off", "in", "down") and passage.is_class(at + 1, "definite", "article"):
        return passage.is_class(verb, "moves_thing")
    if passage.is_class(at, "object_pronoun") and passage.is_class(at + 1, "remedies"):
        return True  # "have them pump that tank"
    if passage.word(verb) == "put" and passage.word(at).endswith("s") and passage.is_class(at + 1, "at", "inside"):
        return True  # "put grids on the gullies"
    if passage.word(at) == "it" and passage.word(at + 1) in ("at", "down", "around", "about"):
        return False
    object_led = passage.is_class(at, "article", "remedy_thing", "demonstrative", "object_pronoun")
    if not object_led:
        return bool(passage.things_from(at, at + 1)) and _has_deed(passage, at, at + AHEAD) and not wanted
    last = at + AHEAD
    for token in range(at, min(last, len(passage))):
        if passage.word(at) in ("somebody", "someone") and passage.word(token - 1) == "to":
            return passage.is_class(token, "remedies", "remedies_with")
        if passage.is_class(token, "turns"):
            break
        if _out_here(passage, token):
            continue
        if passage.is_class(token, "remedy_thing") or (token > at and passage.is_class(token, "remedied", "remedying")):
            return True
    return (
        wanted
        and passage.word(at) in ("a", "an", "some", "another")
        and bool(passage.tags_from(at, at + 4, "component", "structure"))
    )


def _has_deed(passage: Passage, start: int, end: int) -> bool:
    return any(
        (passage.is_class(at, "remedies") and not _noun(passage, at))
        or passage.is_class(at, "remedying", "remedy_thing")
        or (at > start and passage.is_class(at, "remedied") and not _out_here(passage, at))
        for at in range(start, min(end, start + AHEAD))
    )


def _out_here(passage: Passage, token: int) -> bool:
    """ "put a shed up | out here": where, and nothing taken out."""
    return passage.word(token) == "out" and passage.word(token + 1) in ("here", "there")


def _noun(passage: Passage, token: int) -> bool:
    """ "the first thing is | the pump": a part, and no deed."""
    return passage.is_class(token - 1, "definite") and passage.covering(token, "component") is not None


def _not_denied(passage: Passage, token: int, start: int) -> bool:
    return not any(passage.is_class(at, "asks_first") for at in range(max(start, token - 3), token))
