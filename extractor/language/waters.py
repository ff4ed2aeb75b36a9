"""Water told by its depth: "holding about two inches of water", "there's an inch and a half of water"."""

from dataclasses import replace

from extractor.language.passage import Passage
from extractor.reading import Tag, by_place


def add_waters(passage: Passage) -> Passage:
    """The passage with a standing_water tag behind each depth of water that no phrase covers."""
    found = []
    for measure in passage.measures:
        if measure.unit != "m" or passage.word(measure.end) != "of":
            continue
        token = measure.end + 1
        if passage.is_class(token, "article") or passage.word(token) in passage.classes["before_water"]:
            token += 1
        if passage.word(token) not in ("water", "effluent", "sewage"):
            continue
        near = passage.tags_from(measure.start - 4, token + 4, "condition")
        if any(tag.id in ("standing_water", "full", "infiltration", "flowing") for tag in near):
            continue
        found.append(Tag(token, token + 1, "condition", "standing_water"))
    for measure in passage.measures:  # "it's got water in it two inches deep"
        if (
            measure.unit != "m"
            or passage.cue_at(measure.end, "role", "depth_after") is None
            or passage.word(measure.end) != "deep"
        ):
            continue
        lead = next(
            (
                t
                for t in range(measure.start - 1, measure.start - 6, -1)
                if passage.word(t) in ("water", "effluent", "sewage")
            ),
            None,
        )
        if lead is not None and not passage.tags_from(lead - 3, measure.start, "condition"):
            found.append(Tag(lead, lead + 1, "condition", "standing_water"))
    for measure in passage.measures:  # "holding about ten percent water", "with thirty percent of water in it"
        token = measure.end + (passage.word(measure.end) == "of")
        if measure.unit != "%" or passage.word(token) not in ("water", "effluent", "sewage"):
            continue
        near = passage.tags_from(measure.start - 4, token + 4, "condition")
        if not any(tag.id in ("standing_water", "full", "infiltration", "flowing") for tag in near):
            found.append(Tag(token, token + 1, "condition", "standing_water"))
    if not found:
        return passage
    return replace(passage, tags=tuple(sorted((*passage.tags, *found), key=by_place)))
