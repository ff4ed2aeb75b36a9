"""What a statement is about: the condition it names, or that of the row which its words lead to.

A part ("that lid" -> the crack in it), a distance ("the joint at 3.4"), a word by which the thing was told ("that flat
piece"). The rows are those of the whole narration, so a thing may be told of before or after.
"""

from collections.abc import Iterator, Sequence, Set
from dataclasses import dataclass

from extractor.language.passage import THING_KINDS, Passage
from extractor.reading import Tag
from extractor.survey.distances import length_of
from extractor.survey.rows import Draft

STILL = ("sound", "flowing", "live", "dry")
CLEARS = {"root_cutting": "root_intrusion"}  # work named with what it takes away: "the roots cut"
WHOLE = ("pipe", "material_change", "inlet", "outlet")  # components too wide to name one thing
CATCHES = {"grease_trap": "grease"}  # what a structure asked for would keep back
SAYS_LITTLE = ("everyday", "new_piece", "remedies", "remedied", "remedying", "trouble", "side", "also_said", "everyone")


@dataclass
class About:
    """What a statement names: a condition, or only a thing (`named`), or nothing of its own."""

    condition: str | None = None
    named: bool = False
    definite: bool = False


def is_trouble(row: Draft) -> bool:
    return row.condition not in (None, *STILL) and row.polarity == "present"


def about_what(
    passage: Passage, start: int, end: int, rows: Sequence[Draft], denied: Set[Tag], *, main: bool = False
) -> About:
    """What the words of [start, end) name, an aim or a time behind them ("before it collapses") left out."""
    end = tail_of(passage, start, end)
    conditions = [
        tag
        for tag in passage.tags_from(start, end, "condition", "action")
        if (tag.kind == "condition" or tag.id in CLEARS) and tag.id not in STILL and tag not in denied
    ]
    if conditions:
        chosen = _cause(passage, conditions)
        return About(CLEARS.get(chosen.id, chosen.id), True, _is_definite(passage, chosen))
    troubles = [row for row in rows if is_trouble(row)]
    parts = [tag for tag in passage.tags_from(start, end, "component") if _is_object(passage, tag)]
    for metres in distances(passage, start, end):
        at_it = [row for row in troubles if row.at(metres, 0.02)]
        on_part = [row for row in at_it if row.component in {tag.id for tag in parts}]
        if at_it:
            return About((on_part or at_it)[0].condition, True, True)
    for tag in parts:
        on_it = [row for row in troubles if row.component == tag.id]
        if on_it and tag.id != "joint":
            return About(_likeliest(passage, tag, on_it).condition, True, True)
    for word in _told_by(passage, start, end):
        so_told = [row for row in troubles if word in passage.speech.words[max(0, row.start - 6) : row.end + 4]]
        if so_told:
            return About(so_told[-1].condition, True, True)
    joints = [row for row in troubles if row.component == "joint"]
    if joints and any(tag.id == "joint" and passage.is_class(tag.start - 1, "definite") for tag in parts):
        return About(joints[-1].condition, True, True)
    structures = passage.tags_from(start, end, "structure", "fixture")
    if main:
        at_it = [row for tag in structures for row in troubles if row.structure == tag.id]
        return About(at_it[-1].condition if at_it else None, bool(structures or parts))
    for tag in structures:
        if tag.id in CATCHES and passage.word(tag.start - 1) in ("a", "an"):
            caught = next((row.condition for row in troubles if row.condition == CATCHES[tag.id]), None)
            return About(caught, True)
    material = any(passage.is_class(tag.start - 1, "definite") for tag in passage.tags_from(start, end, "material"))
    new = any(passage.word(at) == "new" and passage.word(at + 1) == "one" for at in range(start, end))
    return About(None, bool(parts or structures) or material or new or _own_thing(passage, start, end))


def _is_object(passage: Passage, tag: Tag) -> bool:
    """A part the work is done to; "a liner" is what it is done with, "patched" and "pump it" are the work."""
    before = tag.start - 1
    if passage.is_class(tag.start, "remedied") or (
        passage.is_class(tag.start, "remedies") and not passage.is_class(before, "article", "remedy_thing")
    ):
        return False
    return tag.id not in WHOLE and not (tag.id == "patch" and passage.word(before) in passage.classes["brings_in"])


def _told_by(passage: Passage, start: int, end: int) -> Iterator[str]:
    """Words by which a thing is told again, behind "the" or "that": "that flat piece", "the concrete"."""
    for at in range(start, end):
        if not passage.is_class(at, "definite"):
            continue
        for near in range(at + 1, min(end, at + 4)):
            word = passage.word(near)
            if passage.is_class(near, "inside", "copula", "list") or any(
                passage.covering(near, kind) for kind in THING_KINDS
            ):
                break
            if len(word) >= 4 and word.isalpha() and not passage.is_class(near, *SAYS_LITTLE):
                yield word


def _own_thing(passage: Passage, start: int, end: int) -> bool:
    """A job of its own: another look ("re survey the rest"), an order done to "the" something, a new thing wanted."""
    if any(passage.is_class(at, "looks_again") for at in range(start, end)):
        return True
    verb = next(
        (at for at in range(start, min(end, start + 3)) if passage.is_class(at, "remedies", "remedies_with")), end
    )
    for at in range(verb + 1, min(end - 1, verb + 4)):
        if passage.word(at) == "new" and passage.covering(at + 1, "material") is None:
            return not passage.is_class(at + 1, "new_piece")
        if passage.is_class(at, "definite"):
            return not passage.is_class(at + 1, "everyday", "new_piece", "copula", "inside")
    return False


def tail_of(passage: Passage, start: int, end: int) -> int:
    """Where an aim, a time or a condition begins that names no work: "before ...", "so that ...", "to stop ..."."""
    for at in range(start + 2, end):
        if passage.is_class(at, "tail") or (
            passage.word(at) == "to" and passage.word(at + 1) in ("stop", "keep", "prevent", "avoid")
        ):
            return at
    return end


def _cause(passage: Passage, conditions: Sequence[Tag]) -> Tag:
    """ "blocked with grease": what blocks; else the first named."""
    first = conditions[0]
    for other in conditions[1:]:
        if (
            first.id in ("blockage", "full")
            and other.start - first.end <= 4
            and passage.word(first.end) in ("with", "by", "of", "from")
        ):
            return other
    return first


def _is_definite(passage: Passage, tag: Tag) -> bool:
    before = tag.start - 1
    return passage.is_class(before, "definite") or (
        passage.covering(before, "extent") is not None and passage.is_class(before - 1, "definite")
    )


def distances(passage: Passage, start: int, end: int) -> Iterator[float]:
    """Chainages by which a thing is pointed out ("the joint at 3.4"); no length of new pipe."""
    for measure in passage.measures_from(start, end):
        if measure.unit in (None, "m") and passage.is_class(measure.start - 1, "at"):
            yield length_of(measure)[0]


def _likeliest(passage: Passage, part: Tag, on_it: Sequence[Draft]) -> Draft:
    """Of the rows on a part: the one with the same port, the missing one if a new one is asked for, the last."""
    words = passage.speech.words
    port = next((w for w in words[max(0, part.start - 1) : part.end] if w in ("inlet", "outlet")), None)
    same = [row for row in on_it if port and port in words[row.start : row.end]] or list(on_it)
    asked = "new" in words[max(0, part.start - 3) : part.start]
    missing = [row for row in same if row.condition == "missing_part"]
    return missing[-1] if asked and missing else same[-1]
