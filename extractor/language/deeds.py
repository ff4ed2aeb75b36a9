"""Deeds told by a verb and its object, which no fixed phrase holds: "ran the laundry tub", "the pit lid is up now",
"sent the auger down it", "pulled a lump of fat out of the tee".

The phrases of the lexicon name most work; this finds the rest by its parts: a lid and a word that says it is open,
water or dye and where it was put, a tool and the verb that sends it, a verb of taking and what was taken. Whether the
work was done, ordered or planned is told later, from the clause.
"""

from collections.abc import Sequence
from dataclasses import replace

from extractor.language.handwork import (
    cut_back,
    drawn_off,
    marked_above,
    part_put_in,
    pump_freed,
    sucked_out,
    taken_out,
    washed_clean,
)
from extractor.language.lids import lids_lifted, opened_at_last, structures_opened
from extractor.language.passage import Passage
from extractor.language.tools import goes_given, tools_sent
from extractor.language.water_tests import dye_put_in, filled_to_hold, water_poured, water_run
from extractor.reading import Tag, by_place

RULES = (  # in order: what one has found, the next leaves alone
    dye_put_in, lids_lifted, structures_opened, opened_at_last, water_run, water_poured, goes_given, tools_sent,
    cut_back, taken_out, sucked_out, drawn_off, marked_above, washed_clean, filled_to_hold, pump_freed, part_put_in,
)  # fmt: skip


def add_deeds(passage: Passage) -> Passage:
    """The passage with an action tag over each such deed that no phrase covers."""
    covered = bytearray(len(passage))
    for tag in passage.tags_from(0, len(passage), "action"):
        covered[tag.start : tag.end] = b"\1" * (tag.end - tag.start)
    found: list[Tag] = []
    for rule in RULES:
        for tag in rule(passage):
            withdrawn = tag.start in passage.masked or tag.end - 1 in passage.masked
            if not withdrawn and covered.find(1, tag.start, tag.end) < 0:
                found.append(tag)
                covered[tag.start : tag.end] = b"\1" * (tag.end - tag.start)
    no_thing = {tag for tag in passage.tags_from(0, len(passage), "condition") if _of_the_deed(passage, tag, found)}
    if not found and not no_thing:
        return passage
    kept = [tag for tag in passage.tags if tag not in no_thing]
    return replace(passage, tags=tuple(sorted((*kept, *found), key=by_place)))


def _of_the_deed(passage: Passage, tag: Tag, found: Sequence[Tag]) -> bool:
    """ "the cap's off", which is lifted and not missing; "had a crack at it", which is a try."""
    if tag.id == "missing_part":
        return any(deed.id == "lid_lifted" and deed.start < tag.end and tag.start < deed.end for deed in found)
    if tag.id == "dry":  # "had the truck suck it dry"
        return any(deed.id == "pump_out" and deed.start < tag.end and tag.start < deed.end for deed in found)
    a_try = passage.is_class(tag.start - 1, "article") and passage.is_class(
        tag.start - 2, "had_done", "takes_look", "gives"
    )
    return tag.id == "crack" and a_try and passage.word(tag.end) == "at"
