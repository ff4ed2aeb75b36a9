"""A distance that was not noted, told by its parts: "I never read the number off", "couldn't see the footage for that
one", "forgot to call it out". The fixed ways to say so are phrases of the lexicon.
"""

from collections.abc import Iterator
from dataclasses import replace

from extractor.language.passage import Passage
from extractor.reading import Tag, by_place

TO_VERB = 3  # words from a denial to the verb of reading: "forgot to even note"
TO_NUMBER = 5  # words from the verb to the number


def add_unnoted(passage: Passage) -> Passage:
    """The passage with a `not_noted` tag over each such statement that no phrase covers."""
    known = [tag for tag in passage.tags_from(0, len(passage), "reference") if tag.id == "not_noted"]
    found = [tag for tag in _unnoted(passage) if not any(k.start < tag.end and tag.start < k.end for k in known)]
    return replace(passage, tags=tuple(sorted((*passage.tags, *found), key=by_place))) if found else passage


def _unnoted(passage: Passage) -> Iterator[Tag]:
    for token in passage.every("negation_word", "misses"):
        verb: int | None = token if passage.is_class(token, "misses") and passage.word(token + 1) != "to" else None
        for at in range(token + 1, token + 1 + TO_VERB):
            if verb is not None or not passage.is_class(at, "reads_off", "to", "filler", "also_said"):
                break
            verb = at if passage.is_class(at, "reads_off") else None
        if verb is None:
            continue
        number = next((t for t in range(verb + 1, verb + TO_NUMBER) if passage.is_class(t, "number_read")), None)
        if number is not None and passage.measure_over(number) is None and _plain(passage, verb + 1, number):
            yield Tag(token, number + 1, "reference", "not_noted")


def _plain(passage: Passage, start: int, end: int) -> bool:
    """Whether only small words stand between verb and number, which is no name ("can't get by it | number two")."""
    small = all(
        passage.is_class(t, "article", "definite", "inside", "end_particle", "filler") for t in range(start, end)
    )
    label = passage.measure_over(end + 1)
    return small and (label is None or label.unit is not None)
