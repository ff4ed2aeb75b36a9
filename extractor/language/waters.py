"""Water told by its depth: "holding about two inches of water", "there's an inch and a half of water"."""

from dataclasses import replace

from extractor.language.passage import Passage
from extractor.reading import Tag


def add_waters(passage: Passage) -> Passage:
    """The passage with a standing_water tag behind each depth of water that no phrase covers."""
    found = []
    for measure in passage.measures:
        if measure.unit != "m" or passage.word(measure.end) != "of":
            continue
        token = measure.end + 1
        if passage.is_class(token, "article") or passage.word(token) in ("standing", "still", "dirty", "clear", "ground"):
            token += 1
        if passage.word(token) not in ("water", "effluent", "sewage"):
            continue
        near = passage.tags_from(measure.start - 4, token + 4, "condition")
        if any(tag.id in ("standing_water", "full", "infiltration", "flowing") for tag in near):
            continue
        found.append(Tag(token, token + 1, "condition", "standing_water"))
    if not found:
        return passage
    return replace(passage, tags=tuple(sorted((*passage.tags, *found), key=lambda tag: (tag.start, tag.end))))
