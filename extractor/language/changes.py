"""Changes of material told by their two ends: "it goes from the earthenware into pvc", "back to clay again".

The lexicon holds the words that name a change ("changes to"); this finds the ones that only materials tell.
"""

from dataclasses import replace

from extractor.language.passage import Passage
from extractor.reading import Tag, by_place

REACH = 5  # words between the two materials


def add_material_changes(passage: Passage) -> Passage:
    """The passage with a `material_change` tag over each change that no phrase of the lexicon covers."""
    materials = passage.tags_from(0, len(passage), "material")
    known = [tag for tag in passage.tags_from(0, len(passage), "component") if tag.id == "material_change"]
    found: list[Tag] = []
    for index, tag in enumerate(materials):
        lead = tag.start - 1
        while passage.is_class(lead, "article", "filler") or passage.word(lead) in passage.classes["before_material"]:
            lead -= 1
        if not (passage.is_class(lead, "to") or passage.word(lead) in ("into", "onto")):
            continue
        first = materials[index - 1] if index else None
        start = None
        if (
            first is not None
            and first.id != tag.id
            and lead - first.end <= REACH
            and passage.word(first.start - 1) in passage.classes["before_first_material"]
        ):
            start = first.start - 1 if passage.word(first.start - 1) == "from" else first.start
        elif passage.word(lead - 1) in passage.classes["changes_over"]:
            start = lead - 1
        if start is None or any(t.start < tag.end and t.end >= start - 1 for t in known):
            continue
        if any(passage.measure_over(token) for token in range(start, tag.start)):
            continue
        found.append(Tag(start, tag.end, "component", "material_change"))
    if not found:
        return passage
    return replace(passage, tags=tuple(sorted((*passage.tags, *found), key=by_place)))
