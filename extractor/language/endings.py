"""Ends of a run told by parts that no fixed phrase holds: "can't for the life of me get her round that", "that's my
cable gone".

refusal + a verb of moving on + "past", "any further"   -> could not pass
"out of", "end of", "no more" + cable                    -> out of cable
a verb of stopping + "there", "here"                     -> stopped
"""

from collections.abc import Iterator
from dataclasses import replace

from extractor.language.passage import Passage
from extractor.reading import Tag

REFUSAL = 6  # words from the refusal to the verb
PAST = 5  # words from the verb to "past it"
OF_CABLE = 4  # words from "out of" to "cable"


def add_endings(passage: Passage) -> Passage:
    """The passage with an ending tag over each such end that no phrase covers."""
    found = [
        tag
        for tag in (*_could_not_pass(passage), *_out_of_cable(passage), *_halted(passage))
        if not any(passage.covering(token, "ending") for token in (tag.start, tag.end - 1))
    ]
    if not found:
        return passage
    return replace(passage, tags=tuple(sorted((*passage.tags, *found), key=lambda tag: (tag.start, tag.end))))


def _could_not_pass(passage: Passage) -> Iterator[Tag]:
    for token in passage.tokens_of(0, len(passage), ("refuses",)):
        if passage.covering(token, "stretch") or passage.measure_over(token):
            continue
        verb = next((t for t in range(token + 1, token + 1 + REFUSAL) if passage.is_class(t, "gets_on")), None)
        if verb is None or passage.tags_from(token + 1, verb, "condition", "boundary") or passage.measure_over(verb):
            continue
        if any(passage.is_class(t, "someone") for t in range(token + 2, verb)) and passage.word(token) not in (
            "no",
            "without",
        ):
            continue
        past = next((t for t in range(verb + 1, verb + 1 + PAST) if passage.is_class(t, "gets_past")), None)
        if past is None or any(passage.cue_at(t, "boundary", "turn", "next") for t in range(verb, past)):
            continue
        words = passage.speech.words[verb : past + 2]
        if not _about_the_camera(passage, words):
            continue
        yield Tag(token, past + 1, "ending", "cable_limit" if _pushed_out(words) else "could_not_pass")


def _about_the_camera(passage: Passage, words: tuple[str, ...]) -> bool:
    """ "get past", "go any further", "get the camera round it", not "get over it" or "see any"."""
    tail = set(words[1:])
    if words[0] in passage.classes["no_passing"]:
        return False
    if tail & passage.classes["passing_by"]:
        return True
    return words[0] in passage.classes["passes"] and bool(tail)


def _pushed_out(words: tuple[str, ...]) -> bool:
    return words[0] in ("push", "pushing") and ("further" in words or "more" in words or "farther" in words)


def _out_of_cable(passage: Passage) -> Iterator[Tag]:
    for token in passage.tokens_of(0, len(passage), ("cable_word",)):
        if passage.word(token) in ("line", "length"):
            continue
        start = next((t for t in range(token - 1, token - 1 - OF_CABLE, -1) if passage.is_class(t, "out_of_it")), None)
        if start is None or passage.tags_from(start, token, "condition", "action", "boundary"):
            continue
        between = passage.speech.words[start:token]
        if between[0] in passage.classes["cable_end"] or between[:2] == ("out", "of"):
            yield Tag(start, token + 1, "ending", "cable_limit")


def _halted(passage: Passage) -> Iterator[Tag]:
    for token in passage.tokens_of(0, len(passage), ("halts",)):
        if passage.measure_over(token):
            continue
        for place in range(token + 1, token + 4):
            if passage.word(place) in ("there", "here") and not passage.tags_from(
                token, place, "condition", "structure", "component", "boundary"
            ):
                if not passage.is_class(place + 1, "copula") and passage.word(token - 1) not in ("not", "never", "do"):
                    yield Tag(token, place + 1, "ending", "stopped")
                break
