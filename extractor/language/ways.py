"""Ways told by what lies there: "heading off toward the kitchen block", "pushing on for the lane".

    a word of heading + "to", "toward", "for" + what lies against the flow   -> upstream
                                             + what lies with the flow       -> downstream

The lexicon holds the common phrases whole; this finds the others by their parts.
"""

from collections.abc import Iterator
from dataclasses import replace

from extractor.language.passage import Passage
from extractor.reading import Tag

TO_THE_PLACE = 5  # words from the preposition to the word of the place


def add_ways(passage: Passage) -> Passage:
    """The passage with a direction tag over each such way that no phrase covers."""
    found = [
        tag
        for tag in _ways(passage)
        if not any(passage.covering(token, "direction") for token in range(tag.start, tag.end))
    ]
    if not found:
        return passage
    return replace(passage, tags=tuple(sorted((*passage.tags, *found), key=lambda tag: (tag.start, tag.end))))


def _ways(passage: Passage) -> Iterator[Tag]:
    for token in passage.tokens_of(1, len(passage), ("heads_to",), ("up", "down", "at", "facing", "faced")):
        for toward, lies, way in (("down", "down_the_fall", "downstream"), ("up", "up_the_fall", "upstream")):
            led = passage.word(token) == toward and passage.is_class(token - 1, "list", "heads")
            if led and passage.is_class(token + 1, "definite") and passage.is_class(token + 2, lies):
                yield Tag(token, token + 3, "direction", way)  # "back out and down the alley"
            along = passage.word(token) == toward and _moved(passage, token) and passage.is_class(token + 1, "article")
            if along and passage.is_class(token + 2, "whole_line_word", "drain_word"):
                yield Tag(token, token + 3, "direction", way)  # "went up the drain from the gully"
            back_at = (
                passage.word(token) == "at"
                and passage.word(token - 1) == "back"
                and passage.is_class(token - 2, "heads")
            )
            if back_at and passage.is_class(token + 1, "article") and passage.is_class(token + 2, lies):
                yield Tag(token - 1, token + 3, "direction", way)  # "looking back at the house"
            faced = passage.word(token) in ("facing", "faced") and passage.is_class(token + 1, "article")
            if faced and passage.is_class(token + 2, lies):
                yield Tag(token, token + 3, "direction", way)  # "dropped the camera in facing the house"
        if not passage.is_class(token, "heads_to"):
            continue
        from_there = passage.word(token) in ("toward", "towards") and _named_before(passage, token)
        if not from_there and not passage.is_class(token - 1, "heads"):
            continue
        word = passage.word(token)
        if word == "of" and passage.word(token - 1) != "direction":
            continue
        if word == "for" and passage.is_class(token - 1, "heads_only_toward"):
            continue  # "the survey for the house"
        if passage.is_class(token, "to") and passage.is_class(token - 1, "person_goes"):
            continue  # "I went to the house" is no camera's way
        for place in range(token + 1, token + 1 + TO_THE_PLACE):
            up, down = passage.is_class(place, "up_the_fall"), passage.is_class(place, "down_the_fall")
            if up or down:
                yield Tag(token - 1, place + 1, "direction", "upstream" if up else "downstream")
                break
            if passage.is_class(place, "at", "inside") and passage.word(place) not in ("of", "to"):
                break
            if any(t.end == place + 1 for t in passage.tags_from(place, place + 1, "structure", "fixture")):
                break  # "back to the chamber in the lane"
            if passage.measure_over(place) or passage.tags_from(place, place + 1, "boundary", "condition", "action"):
                break


def _named_before(passage: Passage, token: int) -> bool:
    """ "camera from the manhole towards the toilet block": an opening right in front."""
    return any(passage.covering(token - 1, kind) for kind in ("structure", "fixture")) and not passage.tags_from(
        token - 6, token, "condition"
    )


def _moved(passage: Passage, token: int) -> bool:
    verb = token - 1
    return passage.is_class(verb, "goes_along") and not (passage.tags_from(verb - 3, verb, "condition"))
