"""Changes of pipe material that no phrase of the lexicon names: "it goes from the earthenware into pvc", "back to clay
again", "the pvc ends and the asbestos starts", "it's plastic from there on", "we pick up the old clay".

The lexicon holds the words that name a change ("changes to"); this finds the ones that only materials tell.
"""

from collections.abc import Sequence
from dataclasses import replace

from extractor.language.passage import Passage
from extractor.reading import Tag, by_place

REACH = 5  # words between the two materials
ENDS = 9  # words from one material that ends to the next


def add_material_changes(passage: Passage) -> Passage:
    """The passage with a `material_change` tag over each change that no phrase of the lexicon covers."""
    materials = passage.tags_from(0, len(passage), "material")
    known = [tag for tag in passage.tags_from(0, len(passage), "component") if tag.id == "material_change"]
    found: list[Tag] = []
    for index, tag in enumerate(materials):
        span = (
            _into(passage, materials, index) or _one_ends(passage, materials, index) or _from_here(passage, tag)
            or _met(passage, tag)
        )  # fmt: skip
        if span is None or any(t.start < span[1] and t.end >= span[0] - 1 for t in known):
            continue
        found.append(Tag(*span, "component", "material_change"))
    if not found:
        return passage
    return replace(passage, tags=tuple(sorted((*passage.tags, *found), key=by_place)))


def _lead(passage: Passage, tag: Tag) -> int:
    """The token in front of a material and of what describes it ("the old four inch clay")."""
    lead = tag.start - 1
    while (
        passage.is_class(lead, "article", "filler")
        or passage.word(lead) in passage.classes["before_material"]
        or ((size := passage.measure_over(lead)) is not None and size.spoken_unit in ("millimetre", "inch"))
    ):
        lead -= 1
    return lead


def _into(passage: Passage, materials: Sequence[Tag], index: int) -> tuple[int, int] | None:
    """ "from the earthenware into pvc", "goes over to plastic", "joined on to the new plastic"."""
    tag = materials[index]
    lead = _lead(passage, tag)
    if not (passage.is_class(lead, "to") or passage.word(lead) in ("into", "onto")):
        return None
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
    if start is None or any(_distance_at(passage, token) for token in range(start, tag.start)):
        return None
    return start, tag.end


def _one_ends(passage: Passage, materials: Sequence[Tag], index: int) -> tuple[int, int] | None:
    """ "the pvc ends and the asbestos starts", "out of the clay and into plastic"."""
    tag, first = materials[index], materials[index - 1] if index else None
    if first is None or first.id == tag.id or tag.start - first.end > ENDS:
        return None
    ended = any(passage.is_class(t, "comes_to_end") for t in range(first.end, tag.start))
    begun = any(passage.is_class(t, "begins") for t in range(tag.end, tag.end + 2))
    left = passage.word(_lead(passage, first)) == "of" and passage.word(_lead(passage, first) - 1) == "out"
    if not (ended and begun) and not left:
        return None
    return first.start, tag.end


def _from_here(passage: Passage, tag: Tag) -> tuple[int, int] | None:
    """ "it's plastic from here on", "clay after that"."""
    cue = next(
        (t for t in passage.tags_from(tag.end, tag.end + 2, "stretch") if t.id in ("onwards", "from_there")), None
    )
    lead = _lead(passage, tag)
    if cue is None or not passage.is_class(lead, "copula") or not passage.is_class(lead - 1, "pronoun"):
        return None
    return lead, tag.end


def _met(passage: Passage, tag: Tag) -> tuple[int, int] | None:
    """ "we pick up the old clay"."""
    lead = _lead(passage, tag)
    if passage.word(lead) == "up" and passage.is_class(lead - 1, "picks"):
        return lead - 1, tag.end
    return None


def _distance_at(passage: Passage, token: int) -> bool:
    measure = passage.measure_over(token)
    return measure is not None and measure.spoken_unit not in ("millimetre", "inch")
