"""Deeds told by a verb and its object, which no fixed phrase holds: "ran the laundry tub", "the pit lid is up now".

The phrases of the lexicon name most work; this finds water put through a fixture and a lid lifted by their parts.
"""

from dataclasses import replace

from extractor.language.passage import Passage
from extractor.reading import Tag

FLUSHED_STRUCTURES = ("distribution_box", "downpipe", "gully", "inspection_opening")


LIDDED = (
    "septic_tank",
    "distribution_box",
    "greywater_tank",
    "pump_well",
    "holding_tank",
    "treatment_unit",
    "soakaway",
    "inspection_opening",
    "manhole",
    "inspection_chamber",
    "gully",
    "grease_trap",
    "stormwater_pit",
)


def add_deeds(passage: Passage) -> Passage:
    """The passage with an action tag over each such deed that no phrase covers."""
    known = passage.tags_from(0, len(passage), "action")
    found = [
        tag
        for tag in (*_opened(passage), *_lids(passage), *_water_run(passage))
        if not any(k.start < tag.end and tag.start < k.end for k in known)
    ]
    if not found:
        return passage
    return replace(passage, tags=tuple(sorted((*passage.tags, *found), key=lambda t: (t.start, t.end))))


def _opened(passage: Passage) -> list[Tag]:
    """ "opened the box up", "after opening the manhole", "popped the septic": a structure opened is a lid lifted."""
    found = []
    for tag in passage.tags_from(0, len(passage), "structure"):
        if tag.id not in LIDDED:
            continue
        verb = tag.start - 1
        while passage.is_class(verb, "article", "side") or passage.word(verb) in ("up", "second", "first", "third"):
            verb -= 1
        if passage.is_class(verb, "opens_up") and not passage.is_class(tag.end, "copula"):
            found.append(Tag(verb, tag.end, "action", "lid_lifted"))
    return found


def _water_run(passage: Passage) -> list[Tag]:
    """ "ran the laundry tub", "had her flush the toilet upstairs", "the kitchen sink was run"."""
    found = []
    for tag in passage.tags_from(0, len(passage), "fixture", "structure"):
        if tag.kind == "structure" and tag.id not in FLUSHED_STRUCTURES:
            continue
        behind = tag.end + 1
        if passage.word(tag.end) in passage.classes["passive"] and passage.is_class(behind, "run_water"):
            found.append(Tag(tag.start, behind + 1, "action", "flush_test"))
            continue
        verb = next(
            (t for t in range(tag.start - 1, max(-1, tag.start - 5), -1) if passage.is_class(t, "run_water")), None
        )
        if verb is None or (passage.word(verb) in ("flush", "run") and not _got_done(passage, verb)):
            continue
        opens_lid = passage.is_class(verb, "opens_up") and tag.kind != "fixture"
        if not opens_lid and not passage.tags_from(verb, tag.start, "action", "movement", "condition"):
            found.append(Tag(verb, tag.end, "action", "flush_test"))
    return found


def _got_done(passage: Passage, verb: int) -> bool:
    """ "had her flush", "got him to run", "I've run": done, where a bare "flush the toilet" is an order."""
    before = passage.speech.words[max(0, verb - 7) : verb]
    return any(word in passage.classes["had_done"] for word in before)


def _lids(passage: Passage) -> list[Tag]:
    """ "pit lid up now", "the cover's off", "lid has been lifted": a lid and a word that says it is open."""
    found = []
    for tag in passage.tags_from(0, len(passage), "component"):
        if tag.id != "lid":
            continue
        token = tag.end
        while token < tag.end + 3 and (
            passage.is_class(token, "copula", "filler", "article") or passage.word(token) in ("now", "all")
        ):
            token += 1
        if passage.is_class(token, "lid_open"):
            found.append(Tag(tag.start, token + 1, "action", "lid_lifted"))
            continue
        verb = next(
            (t for t in range(tag.start - 1, max(-1, tag.start - 5), -1) if passage.is_class(t, "opens_lid")), None
        )
        if verb is not None and not passage.tags_from(verb, tag.start, "condition", "movement"):
            found.append(Tag(verb, tag.end, "action", "lid_lifted"))
    return found
