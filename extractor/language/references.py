"""Short names: "the box", "the tank", "the trap" stand for the structure of that kind that was named in full."""

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from dataclasses import replace

from extractor.language.passage import Passage
from extractor.lexicon.forms import tokens_of
from extractor.lexicon.load import Lexicon
from extractor.reading import Tag, by_place, by_start

ShortNames = Mapping[tuple[str, ...], tuple[tuple[str, ...], bool]]
IN_THE_ROOM = 25  # words back to the room in which a fixture stands
ONE_OF_BOTH = 14  # words from a part to "the outlet one"
OF_FIXTURE = 26  # words from a fixture to "the trap"
CALLED_CHAMBERS = ("inspection_chamber", "manhole", "pump_well")
AHEAD = 60  # words in which a full name may follow the short one


def short_names(lexicon: Lexicon) -> ShortNames:
    """Short phrase -> the structures it may stand for, and whether the first of them wins over the last one named."""
    return {
        tokens_of(phrase): (entry.stands_for, entry.value == 1)
        for entry in lexicon.of_kind("reference")
        if entry.stands_for
        for phrase in entry.spoken
    }


def resolve_short_names(passage: Passage, names: ShortNames) -> Passage:
    """Each short name takes the id of the last structure named in full that it can stand for, else of the next one."""
    passage = _other_of_both(passage)
    passage = _basin_of_rain(_tub_of_laundry(_sump_of_rain(_one_lateral(passage))))
    words = passage.speech.words
    full = [
        tag
        for tag in passage.tags_from(0, len(passage), "structure", "fixture")
        if words[tag.start : tag.end] not in names
    ]
    resolved: dict[Tag, Tag] = {}
    for tag in passage.tags_from(0, len(passage), "structure", "component", "fixture"):
        entry = names.get(words[tag.start : tag.end])
        if entry is None:
            continue
        if tag.kind == "component" and tag.id == "trap" and _trap_of_fixture(passage, tag):
            continue
        if passage.cue_at(tag.start, "boundary") and not passage.is_class(tag.start - 1, "article", "definite"):
            continue  # "well, where else"
        candidates, in_order = entry
        if tag.kind == "structure" and _another_come_to(passage, tag, full, candidates):
            resolved[tag] = replace(tag, id=candidates[0])
            full.insert(bisect_left(full, tag.start, key=by_start), resolved[tag])
            continue
        if candidates == ("main",):
            named = passage.word(tag.start - 1) in ("the", "public", "council", "city")
            if tag.kind == "component" and (named or _bare_at_reading(passage, tag)):
                resolved[tag] = replace(tag, kind="structure", id="main")
            continue
        meant = _meant(tag, full, candidates, in_order)
        if meant is not None:
            resolved[tag] = replace(tag, kind=meant.kind, id=meant.id)
    added = []
    for tag in passage.tags_from(0, len(passage), "reference"):  # "the unit": a word that alone names nothing
        entry = names.get(words[tag.start : tag.end])
        if entry is None or passage.tags_from(tag.start, tag.start + 1, "structure", "component", "fixture"):
            continue
        if tag.id == "short_trap" and _trap_of_fixture(passage, tag):
            continue
        if entry[0] == ("main",):
            if _the_described(passage, tag):
                added.append(replace(tag, kind="structure", id="main"))
            continue
        meant = _meant(tag, full[: bisect_left(full, tag.start, key=by_start)], *entry)
        if meant is not None:
            added.append(replace(tag, kind=meant.kind, id=meant.id))
    if not resolved and not added:
        return passage
    tags = (*(resolved.get(tag, tag) for tag in passage.tags), *added)
    return replace(passage, tags=tuple(sorted(tags, key=by_place)))


def _sump_of_rain(passage: Passage) -> Passage:
    """ "sump" alone is a pump's well, but where rain water is spoken of and no float, a pit with a grate."""
    bare = {
        tag
        for tag in passage.tags_from(0, len(passage), "structure")
        if tag.id == "pump_well" and passage.speech.words[tag.start : tag.end] in (("sump",), ("sumps",))
    }
    if not bare:
        return passage
    rain = sum(passage.is_class(token, "rain_word") for token in range(len(passage)))
    if rain < 2 or any(tag.id == "float_switch" for tag in passage.tags_from(0, len(passage), "component")):
        return passage
    return replace(
        passage, tags=tuple(replace(tag, id="stormwater_pit") if tag in bare else tag for tag in passage.tags)
    )


def _basin_of_rain(passage: Passage) -> Passage:
    """ "the basin" where a catch basin was named is that, and none to wash in."""
    words = passage.speech.words
    pits = [
        tag.start
        for tag in passage.tags_from(0, len(passage), "structure")
        if tag.id == "stormwater_pit" and words[tag.end - 1] in ("basin", "basins") and tag.end - tag.start > 1
    ]

    def meant(tag: Tag) -> bool:
        bare = tag.kind == "fixture" and tag.id == "basin" and tag.end - tag.start == 1
        return bare and pits[0] < tag.start and passage.is_class(tag.start - 1, "definite", "side")

    if not pits:
        return passage
    return replace(
        passage,
        tags=tuple(replace(t, kind="structure", id="stormwater_pit") if meant(t) else t for t in passage.tags),
    )


def _other_of_both(passage: Passage) -> Passage:
    """ "the dip pipe on the inlet's missing, the outlet one's in good order": the part at the other port."""
    found: dict[Tag, Tag] = {}
    parts = passage.tags_from(0, len(passage), "component")
    for index, tag in enumerate(parts):
        named = tag.id in ("inlet", "outlet") and passage.word(tag.end) == "one" and tag.end - tag.start == 1
        if not named or not passage.is_class(tag.end + 1, "copula"):
            continue
        before = [t for t in parts[max(0, index - 3) : index] if tag.start - t.end <= ONE_OF_BOTH]
        if any(t.id == "baffle" or passage.word(t.end - 1) == "tee" for t in before):
            found[tag] = replace(tag, id="baffle", end=tag.end + 1)
    return replace(passage, tags=tuple(found.get(tag, tag) for tag in passage.tags)) if found else passage


def _tub_of_laundry(passage: Passage) -> Passage:
    """ "we're in the laundry and the tub's trap is off": the tub of that room, not a bath."""

    def there(tag: Tag) -> bool:
        bare = tag.kind == "fixture" and tag.id == "bath" and passage.speech.words[tag.start : tag.end] == ("tub",)
        return bare and any(passage.word(token) == "laundry" for token in range(tag.start - IN_THE_ROOM, tag.start))

    if not any(there(tag) for tag in passage.tags_from(0, len(passage), "fixture")):
        return passage
    return replace(passage, tags=tuple(replace(tag, id="laundry_tub") if there(tag) else tag for tag in passage.tags))


def _one_lateral(passage: Passage) -> Passage:
    """A phrase listed both as a junction and as a trench line ("lateral"): a trench where the visit is of a disposal
    field.
    """
    both = {
        (tag.start, tag.end)
        for tag in passage.tags_from(0, len(passage), "structure")
        if any(t.end == tag.end for t in passage.tags_from(tag.start, tag.start + 1, "component"))
    }
    if not both:
        return passage
    field = any(
        t.id in ("distribution_box", "septic_tank", "absorption_trench") and (t.start, t.end) not in both
        for t in passage.tags_from(0, len(passage), "structure")
    )

    def dropped(tag: Tag) -> bool:
        """ "a lateral at 0.4" is a junction wherever it is."""
        measure = passage.measure_over(tag.start - 1)
        noted = passage.word(tag.start - 1) in ("a", "another") or (measure is not None and measure.unit == "m")
        return (tag.start, tag.end) in both and tag.kind == ("component" if field and not noted else "structure")

    return replace(passage, tags=tuple(t for t in passage.tags if not dropped(t)))


def _bare_at_reading(passage: Passage, tag: Tag) -> bool:
    """ "8.4 sewer": named with the reading, and nothing more said of it."""
    measure = passage.measure_over(tag.start - 1)
    told = measure is not None and (measure.unit == "m" or "point" in measure.rule)
    return told and not passage.is_class(tag.end, "whole_line_word", "copula", "drain_word")


def _trap_of_fixture(passage: Passage, tag: Tag) -> bool:
    """ "the floor waste ... won't go round the trap": the trap of the fixture just named."""
    near = passage.tags_from(tag.start - OF_FIXTURE, tag.start, "fixture", "structure")
    near = [
        t
        for t in near
        if (t.end <= tag.start and t.kind == "fixture") or t.id in ("gully", "boundary_trap", "grease_trap")
    ]
    return bool(near) and (near[-1].kind == "fixture" or near[-1].id == "gully")


def _the_described(passage: Passage, tag: Tag) -> bool:
    """ "the big brick sewer", not "the sewer gas" nor "sewer pipe"."""
    lead = tag.start - 1
    while lead > tag.start - 3 and passage.word(lead) and not passage.is_class(lead, "definite", "of_any_class"):
        lead -= 1
    return (
        lead < tag.start - 1
        and passage.is_class(lead, "definite")
        and not passage.tags_from(lead, tag.start, "structure", "fixture", "condition")
        and not passage.is_class(tag.end, "whole_line_word")
    )


def _another_come_to(passage: Passage, tag: Tag, full: Sequence[Tag], candidates: tuple[str, ...]) -> bool:
    """ "from the manhole upstream ... 13.2 comes into the chamber": behind a reading a place is come to, and the only
    one of its kind named before is where the camera went in. It is another, of the kind that is meant first.
    """
    if candidates[0] != "inspection_chamber":
        return False
    verb = tag.start - 1
    while passage.is_class(verb, "article", "side"):
        verb -= 1
    led = passage.is_class(verb, "arrives_at", "meets_verb") and passage.word(verb) not in ("in", "with", "on")
    led = led or _somebody_in_it(passage, verb)
    near = passage.measures_from(verb - 6, verb)
    if not led or not near or near[-1].unit not in (None, "m"):
        return False
    before = [other for other in full if other.end <= tag.start and other.id in candidates]
    if not before:
        return True
    if before[-1].id == candidates[0]:
        return False
    called_so = [other for other in before if other.id in CALLED_CHAMBERS]  # a tank has chambers, and is none
    leads = (passage.word(other.start - 1 - passage.is_class(other.start - 1, "article")) for other in called_so)
    return not any(word in passage.classes["destination"] or word == "and" for word in leads)


def _somebody_in_it(passage: Passage, token: int) -> bool:
    """ "9.5 and I'm in the chamber": the speaker or the camera is said to be there."""
    who = token - 1
    while passage.is_class(who, "copula", "filler"):
        who -= 1
    there = passage.word(token) == "in" and passage.is_class(token - 1, "copula", "filler")
    return there and (passage.word(who) in ("i", "we") or passage.is_class(who, "camera_word", "camera_part"))


def _meant(tag: Tag, full: Sequence[Tag], candidates: tuple[str, ...], in_order: bool) -> Tag | None:
    """The last of the candidates named before the tag (`in_order`: of the first of them that was), else the next."""
    best: Tag | None = None
    for other in reversed(full[: bisect_left(full, tag.start, key=by_start)]):
        if other.end > tag.start or other.id not in candidates:
            continue
        if best is None or candidates.index(other.id) < candidates.index(best.id):
            best = other
        if not in_order or best.id == candidates[0]:
            break
    if best is not None:
        return best
    for other in full[bisect_left(full, tag.end, key=by_start) :]:
        if other.start - tag.end > AHEAD:
            break
        if other.id in candidates:
            return other
    return None
