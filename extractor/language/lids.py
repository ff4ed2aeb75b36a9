"""Lids lifted, told by a lid and the word that says it is open: "pit lid up now", "got the slab off it"."""

from collections.abc import Iterator

from extractor.language.passage import Passage
from extractor.language.verb_reach import ends_statement
from extractor.reading import Tag

STICKS = ("root_intrusion", "root_cutting", "obstruction", "blockage", "jetting", "rodding")  # what won't shift, no lid


def lids_lifted(passage: Passage) -> Iterator[Tag]:
    """ "pit lid up now", "the cover's off", "got the slab off it", "up with the cover": a lid, said to be open."""
    for start, end in _lid_words(passage):
        token = _over_its_place(passage, end)
        reach = token + 8
        while (
            token < reach
            and not passage.is_class(token, "lid_open")
            and (
                passage.is_class(token, "copula", "filler", "article")
                or passage.word(token) in passage.classes["state_now"]
            )
        ):
            token += 1
        if passage.is_class(token, "lid_open") and not passage.is_class(token + 1, "measure_of_open"):
            yield Tag(_lift_verb(passage, start) or start, token + 1, "action", "lid_lifted")
            continue
        if _refuses(passage, end):
            yield Tag(start, end + 3, "action", "lid_lifted")
            continue
        lifted = _which_i_lifted(passage, end)
        if lifted is not None:
            yield Tag(start, lifted + 1, "action", "lid_lifted")
            continue
        verb = next((t for t in range(start - 1, max(-1, start - 6), -1) if passage.is_class(t, "opens_lid")), None)
        if verb is not None and not any(
            ends_statement(passage, t) or passage.covering(t, "condition") for t in range(verb + 1, start)
        ):
            yield Tag(verb, end, "action", "lid_lifted")
            continue
        fronted = next((t for t in range(start - 1, max(-1, start - 5), -1) if passage.word(t) == "with"), None)
        if fronted is not None and passage.is_class(fronted - 1, "lid_open"):
            yield Tag(fronted - 1, end, "action", "lid_lifted")


def _refuses(passage: Passage, end: int) -> bool:
    """ "the lid | won't budge"."""
    if passage.word(end + 1) != "not" or not passage.is_class(end, "modal", "refuses_modal"):
        return False
    return any(passage.is_class(t, "stuck_word", "lid_moves") for t in range(end + 2, end + 5))


def _which_i_lifted(passage: Passage, end: int) -> int | None:
    """ "a slab on it | that i've lifted", "a lid | which i took off"."""
    for token in range(end, end + 5):
        if passage.word(token) in ("that", "which") and passage.word(token + 1) in ("i", "we"):
            verb = token + 2 + (passage.word(token + 2) in ("have", "had"))
            return verb if passage.is_class(verb, "opens_lid", "lid_moves") else None
    return None


def _lid_words(passage: Passage) -> Iterator[tuple[int, int]]:
    """Lids, and what is a lid only on an opening: "the cap off the rodding eye", "the slab on the soakaway"."""
    for tag in passage.tags_from(0, len(passage), "component"):
        if tag.id == "lid" or (tag.id == "cap" and _of_opening(passage, tag.start, tag.end)):
            yield tag.start, tag.end
    for token in passage.tokens_of(0, len(passage), ("lid_word",)):
        if passage.covering(token, "component") is None and _of_opening(passage, token, token + 1):
            yield token, token + 1


def _of_opening(passage: Passage, start: int, end: int) -> bool:
    return bool(passage.tags_from(max(0, start - 16), end + 6, "structure"))


def _over_its_place(passage: Passage, token: int) -> int:
    """Past "on the chamber": the structure that the lid is named by."""
    of_it = passage.word(token) in ("to", "of", "for")
    if not of_it and not (passage.is_class(token, "inside") and not passage.is_class(token, "lid_open")):
        return token
    for tag in passage.tags_from(token + 1, token + 4, "structure"):
        return _past_where(passage, tag.end)
    return token


def _past_where(passage: Passage, token: int) -> int:
    """Past "in the side passage", "by the gate", where the verb stands right behind it."""
    if not passage.is_class(token, "inside", "at", "beside") or not passage.is_class(token + 1, "article", "definite"):
        return token
    for at in range(token + 2, token + 6):
        if passage.is_class(at, "copula") or passage.word(at) in ("has", "have"):
            return at
        if ends_statement(passage, at) or passage.things_from(at, at + 1):
            break
    return token


def _lift_verb(passage: Passage, start: int) -> int | None:
    """Back to the verb of "tried to get the lid off", "got the lid off": it says how it went."""
    for token in range(start - 1, max(-1, start - 5), -1):
        if ends_statement(passage, token):
            return None
        if passage.is_class(token, "gets_off", "opens_lid"):
            return token
    return None


def structures_opened(passage: Passage) -> Iterator[Tag]:
    """ "the manhole's open", "got the tank open", "cracked the pit open", "opened up the box"."""
    for tag in passage.tags_from(0, len(passage), "structure"):
        opens = tag.start - 1
        while passage.is_class(opens, "article", "side") or passage.word(opens) == "up":
            opens -= 1
        if passage.is_class(opens, "opens_up") and not passage.is_class(tag.end, "copula"):
            yield Tag(opens, tag.end, "action", "lid_lifted")
            continue
        token = tag.end
        while token < tag.end + 3 and (
            passage.is_class(token, "copula", "filler") or passage.word(token) in passage.classes["state_now"]
        ):
            token += 1
        if not passage.is_class(token, "opened_up"):
            continue
        verb = _lift_verb(passage, tag.start)
        if token == tag.end and verb is None:
            continue
        if not passage.things_from(token, token + 3) and not passage.is_class(token + 1, "to", "inside"):
            yield Tag(tag.start if verb is None else verb, token + 1, "action", "lid_lifted")


def opened_at_last(passage: Passage) -> Iterator[Tag]:
    """ "had to dig for the lid but I got it open", "the lid was stuck but it's off now": open at last."""
    for token in passage.tokens_of(0, len(passage), ("opened_up", "opens_lid"), ("off", "up")):
        opened = passage.is_class(token, "opened_up", "opens_lid") or passage.word(token) in ("off", "up")
        if not opened or passage.is_class(token - 1, "gets_off"):
            continue
        verb = _verb_before_pronoun(passage, token)
        got = verb is not None
        state = passage.is_class(token - 1, "copula") and passage.is_class(token - 2, "pronoun")
        lifted = passage.is_class(token, "opens_lid") and passage.is_class(token + 1, "object_pronoun")
        closed = passage.is_class(token + 1, "and_now", "turns") or ends_statement(passage, token + 1)
        if not got and not lifted and not (state and closed):
            continue
        near = passage.tags_from(max(0, token - 22), token, "structure", "component")
        stuck = passage.tags_from(max(0, token - 22), token, "condition", "action")
        lid_near = any(tag.id in ("lid", "cap") for tag in near)
        if stuck and stuck[-1].id in STICKS and not lid_near:
            continue  # "at that root from the pit, couldn't shift it"
        dug = any(passage.is_class(t, "tried_word", "dig_word") for t in range(max(0, token - 14), token))
        if any(tag.id in ("lid", "cap") for tag in near) or (dug and near and near[-1].kind == "structure"):
            start = token if lifted else token - 2 if verb is None else verb
            yield Tag(start, token + 1 + lifted, "action", "lid_lifted")


def _verb_before_pronoun(passage: Passage, token: int) -> int | None:
    """The "got" of "got it | off", "had that | off", "got both of them | up"."""
    last = token - 1
    while passage.is_class(last, "filler") or passage.word(last) in passage.classes["state_now"]:
        last -= 1
    if not passage.is_class(last, "object_pronoun", "points_at_it", "pronoun"):
        return None
    verb = last - 1
    while passage.word(verb) in ("of", "both", "all", "two", "the", "that", "three"):
        verb -= 1
    return verb if passage.is_class(verb, "gets_off", "opens_lid") else None
