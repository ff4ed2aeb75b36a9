"""Tools put to work: "sent the auger down thirty feet", "the jetter's been up it", "gave her a blast"."""

from collections.abc import Iterator

from extractor.language.passage import Passage
from extractor.language.verb_reach import ends_statement
from extractor.reading import Tag

TOOLS = (("jetting_tool", "jetting"), ("rodding_tool", "rodding"), ("cutting_tool", "root_cutting"))
GIVEN = (("jetting_noun", "jetting"), ("rodding_noun", "rodding"))
SENDS = 5  # words from the verb that sends a tool to the tool
BEHIND_TOOL = 6  # words behind a tool in which it is said where it goes


def tools_sent(passage: Passage) -> Iterator[Tag]:
    """ "sent the auger down thirty feet", "the jetter's been up it", "gave it a blow with the water jet", "that's the
    rods then".
    """
    for token in passage.tokens_of(0, len(passage), ("jetting_tool", "rodding_tool", "cutting_tool")):
        action = next((action for name, action in TOOLS if passage.is_class(token, name)), None)
        if action is None or passage.is_class(token + 1, *(name for name, _ in TOOLS)):
            continue
        there = any(passage.word(t) == "there" and passage.is_class(t + 1, "copula") for t in range(token - 4, token))
        if there or any(passage.word(t) in ("left", "lost") for t in range(token - 4, token)):
            continue  # "somebody's left a nozzle in the line"
        verb = _sends(passage, token)
        goes = _goes(passage, token)
        if verb is not None and (goes or not passage.is_class(verb, "holds_tool")):
            yield Tag(verb, token + 1, "action", action)
        elif goes and passage.word(token - 1) == "of" and (length := passage.measure_over(token - 2)):
            yield Tag(length.start, token + 2, "action", action)  # "four metres of rods in"
        elif (goes and passage.is_class(token - 1, "article", *(name for name, _ in TOOLS))) or passage.is_class(
            token + 1, "put_to_use"
        ):
            yield Tag(token, token + 2, "action", action)
        elif (sent := _sent_behind(passage, token)) is not None:
            yield Tag(token, sent, "action", action)
        elif passage.is_class(token + 1, "and_now") and passage.is_class(token - 2, "copula"):
            yield Tag(token, token + 1, "action", action)


def goes_given(passage: Passage) -> Iterator[Tag]:
    """ "gave her a good blasting", "gave it a few plunges"."""
    for token in passage.tokens_of(0, len(passage), ("gives",)):
        for noun in range(token + 2, min(len(passage), token + 8)):
            action = next((action for name, action in GIVEN if passage.is_class(noun, name)), None)
            if action is not None and any(passage.is_class(t, "article") for t in range(token + 1, noun)):
                yield Tag(token, noun + 1, "action", action)
                break
            if passage.is_class(noun, "list", "someone"):
                break


def _sends(passage: Passage, tool: int) -> int | None:
    """The verb, or the "with", by which a tool is put to work."""
    for token in range(tool - 1, max(-1, tool - SENDS), -1):
        if ends_statement(passage, token):
            return None
        if passage.word(token) == "go" and passage.is_class(token - 1, "once_more"):
            return token
        if passage.is_class(token, "sends_tool", "holds_tool") or passage.word(token) == "with":
            return None if passage.word(token) == "with" and passage.is_class(token - 1, "lid_open") else token
    return None


def _sent_behind(passage: Passage, tool: int) -> int | None:
    """Behind "the cutter next | ran it up", "jetter now | up from the pit": named first, then put to work."""
    at = tool + 1
    while passage.is_class(at, "and_now", "next_word"):
        at += 1
    if passage.is_class(at, "sends_tool") and passage.is_class(at + 1, "object_pronoun"):
        return at + 2
    if at > tool + 1 and passage.is_class(at, "goes_in") and passage.is_class(at + 1, "from"):
        return at + 1
    return None


def _goes(passage: Passage, tool: int) -> bool:
    for token in range(tool + 1, tool + BEHIND_TOOL):
        if passage.is_class(token, "goes_in"):
            return True
        if passage.word(token) in ("on", "onto", "to"):  # "got the jetter on from the gully", "the rods to it"
            return passage.is_class(token + 1, "object_pronoun") or passage.word(token + 1) in ("from", "that", "this")
        sent = passage.is_class(token, "sends_tool") and passage.is_class(token - 1, "copula", "now_word")
        if not (
            sent or passage.is_class(token, "copula", "filler") or passage.word(token) in passage.classes["state_now"]
        ):
            return False
    return False
