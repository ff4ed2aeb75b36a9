"""Distances as they stand in the words of a run: a reading, a stretch told in one go, a step on from the last one."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from extractor.language.passage import Passage
from extractor.reading import Measure, Tag
from extractor.survey.roles import amount_of, is_last_part, runs_for
from extractor.survey.rows import Place
from extractor.survey.scenes import Scene

NO_PLACE_OF_THEIR_OWN = ("pipe", "inlet", "outlet", "hose", "lid", "wall", "base", "pump", "float_switch", "filter")
VAGUE = 2.0  # metres: "somewhere from 3 to 4" is one place, not well known


@dataclass(frozen=True, slots=True)
class Spoken:
    """A distance as it stands in the words: one reading, or a stretch told in one go ("from 5.4 to 7.2")."""

    start: int
    end: int
    place: Place
    stretch: bool
    long: bool = False  # how far something goes on, and no reading
    step: bool = False  # counted on from the reading before


def length_of(measure: Measure) -> tuple[float, float]:
    """Low and high of a measure taken as a chainage, in metres."""
    if measure.unit is None and measure.length_m is not None:
        return measure.length_m
    return measure.low, measure.high


def point(measure: Measure) -> Place:
    """A range for one place is its middle, approximate."""
    low, high = length_of(measure)
    return Place(round((low + high) / 2, 4), None, measure.approximate or high > low, "said", (measure,))


def told_inside_measure(passage: Passage, tag: Tag) -> bool:
    """ "a good fifty mil of it": a hedge of the number."""
    over = passage.measure_over(tag.start)
    return over is not None and over.end >= tag.end


def items_of(passage: Passage, scene: Scene, roles: Mapping[Measure, str | None]) -> list[Spoken | Tag]:
    """Distances (stretches joined) and things of the scene, in order."""
    things = [
        tag
        for tag in passage.tags_from(scene.start, scene.end, "condition", "component")
        if (tag.kind == "condition" or tag.id not in NO_PLACE_OF_THEIR_OWN)
        and not _names_the_way(passage, tag)
        and not (tag.id == "sound" and told_inside_measure(passage, tag))
    ]
    said = passage.measures_from(scene.start, scene.end)
    measures = [m for m in said if roles.get(m) == "chainage"]
    lengths = [m for m in said if roles.get(m) == "length" and m.unit == "m"]
    lengths = [m for m in lengths if runs_for(passage, m) or is_last_part(passage, m) or amount_of(passage, m)]
    items: list[Spoken | Tag] = [
        *things,
        *_joined(passage, measures),
        *(Spoken(m.start, m.end, point(m), False, long=True) for m in lengths),
    ]
    return sorted(items, key=lambda item: (item.start, item.end))


def furthest_of(items: Sequence[Spoken | Tag]) -> float:
    """The furthest reading among the items; 0 where there is none."""
    read = [item.place for item in items if isinstance(item, Spoken) and not item.long]
    return max((place.to_m or place.from_m or 0.0 for place in read), default=0.0)


def _names_the_way(passage: Passage, tag: Tag) -> bool:
    """The opening of "camera in the trap", the word of "the full length": no thing seen."""
    held = passage.covering(tag.start, "stretch")
    if tag.id == "full" and held is not None and held.end > tag.end:
        return True
    if tag.id not in ("trap", "stack") or not passage.is_class(tag.start - 1, "article"):
        return False
    moved = passage.covering(tag.start - 2, "movement") or passage.covering(tag.start - 1, "movement")
    return moved is not None and moved.id == "camera_in"


def _joined(passage: Passage, measures: Sequence[Measure]) -> Iterator[Spoken]:
    index = 0
    last: float | None = None
    while index < len(measures):
        first = measures[index]
        second = measures[index + 1] if index + 1 < len(measures) else None
        place = point(first)
        step = step_of(passage, first)
        if step is not None and last is not None and last + step[0] >= 0:
            last = round(last + step[0], 4)
            yield Spoken(first.start, step[1], Place(last, None, place.approximate, "said", (first,)), False, step=True)
            index += 1
            continue
        last = place.from_m
        if first.low < first.high and _between(passage, first):
            low, high = length_of(first)
            rough = any(passage.is_class(t, "roughly_word") for t in range(first.start, first.end))
            yield Spoken(first.start, first.end, Place(low, high, rough, "stretch", (first,)), True)
            index += 1
            continue
        vague = passage.has_class(first.start - 2, first.end, "nowhere_known")
        if first.low < first.high and "to" in passage.speech.words[first.start : first.end] and not vague:
            low, high = length_of(first)
            rough = any(passage.is_class(t, "roughly_word") for t in range(first.start - 1, first.end))
            yield Spoken(first.start, first.end, Place(low, high, rough, "stretch", (first,)), True)
            index += 1
            continue
        if second is not None and is_stretch(passage, first, second):
            far = point(second)
            if vague and (far.from_m or 0) - (place.from_m or 0) <= VAGUE:
                middle = round(((place.from_m or 0) + (far.from_m or 0)) / 2, 4)
                yield Spoken(first.start, second.end, Place(middle, None, True, "said", (first, second)), False)
                index += 2
                continue
            both = Place(place.from_m, far.from_m, place.approximate or far.approximate, "stretch", (first, second))
            yield Spoken(first.start, second.end, both, True)
            index += 2
            continue
        start = first.start + (passage.speech.words[first.start - 1 : first.start + 1] == ("the", "right"))
        start = _where_withdrawn(passage, first) or start
        yield Spoken(start, first.end, place, False)  # "to the right at 2.05": the side, not "right at"
        index += 1


def _where_withdrawn(passage: Passage, measure: Measure) -> int | None:
    """ "a hole at 5.4, correction, 4.4": the reading stands where the one that it replaces stood."""
    for repair in passage.corrections:
        if repair.kept[0] <= measure.start < repair.kept[1]:
            start, end = repair.withdrawn
            taken_back = [t for t in range(start, end) if t in passage.masked]
            led = passage.is_class(start - 1, "at")
            if (
                led
                and end <= repair.cue[0]
                and len(taken_back) == end - start
                and not passage.things_from(start, measure.start)
            ):
                return start
    return None


def _names_place(passage: Passage, token: int) -> bool:
    kinds = ("structure", "fixture", "component")
    return passage.is_class(token, "article", "at") or any(passage.covering(token, kind) for kind in kinds)


def _grades_place(passage: Passage, token: int) -> bool:
    """A word in front of the place named: "to a | bad | joint"."""
    word = not passage.measure_over(token) and passage.is_class(token - 1, "article")
    read = passage.measure_over(token + 1 + passage.is_class(token + 1, "at"))
    if word and read is not None and read.unit in (None, "m"):
        return True  # "up to the fence at 8.8"
    return word and _names_place(passage, token + 1) and not passage.is_class(token + 1, "article", "at")


def _between(passage: Passage, measure: Measure) -> bool:
    """ "between two and three metres there's scale"; "somewhere between" is one place, not well known."""
    words = passage.speech.words[max(0, measure.start - 1) : measure.end]
    if "between" not in words[:2] or passage.is_class(measure.start - 1, "not_well_known"):
        return False
    return not any(passage.word(measure.start - back) in passage.classes["not_well_known"] for back in (1, 2))


def step_of(passage: Passage, measure: Measure) -> tuple[float, int] | None:
    """ "a metre further on", "another half a metre on", "two metres back": metres from the last reading, and where it
    ends.
    """
    if measure.unit != "m" or measure.low != measure.high:
        return None
    cue = passage.cue_at(measure.end, "stretch", "further", "nearer")
    side = cue is not None and passage.word(cue.end - 1) == "along" and passage.is_class(cue.end, "definite")
    if cue is None or (side and passage.is_class(measure.start - 1, "at")):
        return None  # "a crack at 2.2 along the top"
    words = passage.speech.words[cue.start : cue.end]
    plain = not any(word in passage.classes["step"] for word in words)
    if plain and "another" not in passage.speech.words[max(0, measure.start - 1) : measure.start + 1]:
        return None
    return (-measure.low if cue.id == "nearer" else measure.low), cue.end


def is_stretch(passage: Passage, first: Measure, second: Measure) -> bool:
    """Two readings with nothing between but "to", "right through to" and such, the second the further."""
    between_them = sum(1 for _ in passage.standing(first.end, second.start))
    if between_them > 8 or length_of(second)[1] <= length_of(first)[0]:
        return False
    until = False
    led = passage.is_class(first.start - 1, "from") or passage.is_class(first.start, "from")
    token = first.end
    between = "between" in passage.speech.words[max(0, first.start - 2) : first.start + 1]
    while token < second.start:
        if token in passage.masked:
            token += 1  # "to two metres no make that | two point six"
            continue
        cue = passage.cue_at(token, "stretch", "until", "ends")
        if cue is not None and cue.end <= second.start:
            until, token = True, cue.end
        elif (
            passage.is_class(token, "filler", "to", "list", "reading_word")
            or passage.word(token) in passage.classes["roughly_word"]
        ):
            until = until or passage.is_class(token, "to") or (between and passage.word(token) == "and")
            token += 1
        elif led and until and (_names_place(passage, token) or _grades_place(passage, token)):
            token += 1  # "from 5 to the main at 8.1", "to a bad joint at 4.7"
        else:
            return False
    starts_with_to = passage.is_class(second.start, "to")
    return until or starts_with_to
