"""Words that are a thing or a verb, a turn or a name: "leaves in the pipe", but "where the line leaves the property";
"next a bend", but "a wye for next door".

A tag is dropped where the words beside it make something else of it.
"""

from dataclasses import replace

from extractor.language.passage import Passage
from extractor.reading import Tag


def drop_verbs(passage: Passage) -> Passage:
    """The passage without the things that are verbs here, and the turns that are none."""
    kept = tuple(tag for tag in passage.tags if not _is_verb(passage, tag) and not _next_of_kin(passage, tag))
    return passage if len(kept) == len(passage.tags) else replace(passage, tags=kept)


def _is_verb(passage: Passage, tag: Tag) -> bool:
    if tag.kind != "condition" or tag.end - tag.start != 1 or not passage.is_class(tag.start, "thing_or_verb"):
        return False
    return passage.is_class(tag.start - 1, "does_something") and passage.is_class(tag.end, "article", "definite", "at")


def _next_of_kin(passage: Passage, tag: Tag) -> bool:
    """ "next door", "next week": whose, or when."""
    return tag.kind == "boundary" and passage.word(tag.end - 1) == "next" and passage.is_class(tag.end, "next_of_kin")
