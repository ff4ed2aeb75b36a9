"""Ground that gets into a pipe, told by its parts: "a bit of dirt trickling in", "it's letting soil through"."""

from collections.abc import Iterator
from dataclasses import replace

from extractor.language.passage import Passage
from extractor.reading import Tag

BETWEEN = 2  # words between the ground and its verb ("the soil's just been coming in")


def add_ground(passage: Passage) -> Passage:
    """The passage with a soil_ingress tag over each such statement, in place of the deposit that its noun would be."""
    found = [
        tag
        for tag in _coming_in(passage)
        if not any(t.id == "soil_ingress" for t in passage.tags_from(tag.start - 3, tag.end, "condition"))
    ]
    if not found:
        return passage
    kept = [
        tag
        for tag in passage.tags
        if tag.kind not in ("condition", "movement") or not any(new.start <= tag.start < new.end for new in found)
    ]
    return replace(passage, tags=tuple(sorted((*kept, *found), key=lambda tag: (tag.start, tag.end))))


def _coming_in(passage: Passage) -> Iterator[Tag]:
    for token in passage.every("soil_noun"):
        verb = next(
            (
                t
                for t in range(token + 1, token + 2 + BETWEEN)
                if passage.is_class(t, "soil_moves")
                and all(passage.is_class(between, "copula", "filler", "wholly") for between in range(token + 1, t))
            ),
            None,
        )
        if verb is not None and passage.is_class(verb + 1, "soil_way"):
            yield Tag(token, verb + 2, "condition", "soil_ingress")
        elif verb is not None and passage.is_class(verb, "enters_alone"):
            yield Tag(token, verb + 1, "condition", "soil_ingress")  # "soil is entering by the hole"
        elif passage.is_class(token - 1, "lets_in") and passage.word(token + 1) in ("in", "through"):
            yield Tag(token - 1, token + 2, "condition", "soil_ingress")
