"""A row's draft from its words: the span it rests on, the structure, the count, the clock position."""

from collections.abc import Sequence

from extractor.language.clauses import Clause, clause_at
from extractor.language.passage import Passage
from extractor.reading import Measure, Tag
from extractor.survey.bare_numbers import clock_pair, is_count, is_label, names_something
from extractor.survey.rows import NOWHERE, Draft, Place
from extractor.survey.scenes import Scene
from extractor.survey.topics import FEATURES, Reader

NAMED_BACK = 50  # words back to the structure, where no scene says at which one this is
WHICH_REACH = 9  # words from what is said to the part that it is said of
TANKS = ("septic_tank", "greywater_tank", "holding_tank", "treatment_unit", "grease_trap")


def draft_of(
    reader: Reader, scene: Scene, clause: Clause, tag: Tag, component: str | None, condition: str | None, place: Place
) -> Draft:
    starts = [tag.start] + [
        m.start for m in place.measures if clause.start <= m.start < clause.end or abs(m.start - tag.start) <= 12
    ]
    ends = [tag.end] + [
        m.end for m in place.measures if clause.start <= m.start < clause.end or abs(m.start - tag.start) <= 12
    ]
    context = reader.contexts.get(tag)
    if context is not None:
        for cue in (context.negation, context.doubt, context.extent_cue):
            if cue is not None:
                starts.append(cue.start)
                ends.append(cue.end)
    in_run = scene.kind == "run"
    structure = None if in_run else _structure_of(reader, scene, clause, tag)
    if component == "junction" and structure in TANKS:
        component = "baffle"  # the tee of a tank
    return Draft(
        start=min(starts),
        end=max(ends),
        run=scene.run if in_run else None,
        structure=structure,
        label=None if in_run else scene.label,
        which=None if in_run or component is None else _which_of(reader.passage, clause, tag, component),
        component=component,
        condition=condition,
        place=place,
        tag=tag,
    )


def _which_of(passage: Passage, clause: Clause, tag: Tag, component: str) -> str | None:
    """Which of several like parts the words name: the inlet's or the outlet's baffle, the left or the back wall."""
    near = passage.tags_from(max(0, tag.start - WHICH_REACH), min(len(passage), tag.end + WHICH_REACH), "component")
    named = [t for t in near if t.id == component]
    before = [t for t in named if t.start <= tag.start]
    mention = before[-1] if before else (named[0] if named else None)
    if mention is None:
        return None
    lead = mention.start
    while lead > 0 and passage.is_class(lead - 1, "which_of", "side") and not passage.is_class(lead - 1, "article"):
        lead -= 1
    words = passage.speech.words[lead : mention.end]
    return next((word for word in words if word in passage.classes["which_of"]), None)


def _structure_of(reader: Reader, scene: Scene, clause: Clause, tag: Tag) -> str | None:
    """The structure named in the clause with the thing ("silt in the gully"), else the one the scene is at."""
    passage = reader.passage
    over = max(clause.end, clause_at(reader.clauses, tag.start).end)  # the scene may have cut the clause short
    for other in passage.tags_from(tag.end, min(over, tag.end + 7), "structure"):
        named = any(passage.word(t) in ("in", "of", "on") for t in range(tag.end, other.start))
        moved = passage.is_class(other.start - 2, "at") and passage.word(other.start - 2) != "on"
        if other.id not in ("main", "building", "absorption_trench") and named and not moved:
            return other.id  # but "grease on the walls | down at the tank again"
    if scene.structure is None:  # nothing said yet of where this is: "the cleanout cap's cracked"
        earlier = [
            t
            for t in passage.tags_from(max(0, tag.start - NAMED_BACK), tag.start, "structure")
            if t.id not in ("main", "building")
        ]
        return earlier[-1].id if earlier else None
    return scene.structure


def count_of(passage: Passage, tag: Tag) -> int | None:
    """How many of it are told right before it; "five outlets, light silt" counts outlets."""
    for back in range(1, 4):
        measure = passage.measure_over(tag.start - back)
        if (
            measure
            and measure.end <= tag.start
            and (measure.unit == "count" or measure.unit is None)
            and "point" not in measure.rule
            and "dropped" not in measure.rule
            and is_count(passage, measure)
            and not (tag.kind == "condition" and passage.tags_from(measure.end, tag.start, "component"))
            and not (tag.kind == "condition" and (is_label(passage, measure) or names_something(passage, measure)))
        ):
            return int(measure.low) if measure.low == int(measure.low) and 0 < measure.low <= 20 else None
    return None


def _another_reading(passage: Passage, measure: Measure, own: Sequence[Measure]) -> bool:
    """A counter reading between a thing and a clock position, other than the thing's own: the clock is of the next
    thing.
    """
    if measure.unit not in (None, "m") or measure.spoken_unit in ("millimetre", "inch") or measure in own:
        return False
    return measure.unit == "m" or measure.low != int(measure.low)


def _told_between(passage: Passage, token: int, tag: Tag) -> bool:
    """Whether a condition begins there that is told apart from the tag: not the "poking in" of "a root poking in"."""
    begins = passage.tags_from(token, token + 1, "condition")
    return any(not (t.id == "protruding_connection" and t.start == tag.end) for t in begins)


def _begins_there(passage: Passage, measure: Measure) -> bool:
    """Whether "at" and a clock position begin what is told, and do not end the statement before."""
    at = measure.start if passage.is_class(measure.start, "at") else measure.start - 1
    if at < 1 or not passage.is_class(at, "at"):
        return False
    turns = passage.covering(at - 1, "boundary") or passage.covering(at - 1, "direction")
    return turns is not None or passage.is_class(at - 1, "list") or passage.speech.breaks[at]


def clock_of(passage: Passage, clause: Clause, tag: Tag, reader: Reader) -> tuple[int, int] | None:
    """The clock position said with the thing: nearest in the clause, or right behind it."""
    within = passage.measures_from(tag.start - 16, tag.end + 16)
    if not any(m.unit == "clock" or clock_pair(passage, m) is not None for m in within):
        return None
    own = reader.places.get(tag, NOWHERE).measures
    own_clause = clause.start
    opens = min([clause.start, *(m.start for m in own if 0 <= tag.start - m.start <= 24)])
    ahead = passage.measures_from(max(0, opens - 4), opens)
    fronted = ahead[-1] if ahead and ahead[-1].unit == "clock" and opens != own_clause else None
    if fronted is not None and _begins_there(passage, fronted):
        opens = fronted.start  # "at two o'clock at 4.1 there's a saddle"
    clause = Clause(opens, clause.end, clause.opener, clause.act)
    near = passage.measures_from(max(clause.start, tag.start - 16), tag.end + 16)
    clocks = [m for m in near if m.unit == "clock" or clock_pair(passage, m) is not None]
    best: tuple[int, Measure] | None = None
    for measure in clocks:
        if measure.start >= tag.end:
            between = range(tag.end, measure.start)
            blocked = any(
                _told_between(passage, token, tag)
                or (passage.cue_at(token, "boundary", "next") and passage.measure_over(token - 1) not in own)
                or ((r := passage.measure_over(token)) and r.start == token and _another_reading(passage, r, own))
                or (
                    (m := passage.measure_over(token))
                    and m.unit in (None, "m")
                    and passage.cue_at(m.end, "speech_act", "report")
                )
                for token in between
            )
            others = [
                t
                for t in passage.tags_from(tag.end, measure.start, "component")
                if t.id in FEATURES and t.id != tag.id and tag.kind == "component"
            ]
            gap = passage.distance(tag.end, measure.start)
            gap -= sum(
                min(m.end, measure.start) - max(m.start, tag.end) for m in own if tag.end <= m.start < measure.start
            )
            if not blocked and not others and gap <= 11:
                best = min(best or (99, measure), (gap, measure), key=lambda pair: pair[0])
        elif measure.end <= tag.start and measure.start >= clause.start:
            front = own_clause if measure.start >= own_clause else clause.start
            in_front = passage.tags_from(max(front, measure.start - 7), measure.start, "component", "condition")
            if any(t.id != "pipe" for t in in_front):
                continue
            between_things = passage.tags_from(measure.end, tag.start, "condition", "component")
            readings = [m for m in passage.measures_from(measure.end, tag.start) if m.unit in (None, "m")]
            readings = [m for m in readings if m not in own or measure is not fronted]
            if not readings and not [t for t in between_things if t.id in FEATURES or t.kind == "condition"]:
                gap = passage.distance(measure.end, tag.start)
                best = min(best or (99, measure), (gap, measure), key=lambda pair: pair[0])
    if best is None or best[0] > 12:
        return None
    pair = clock_pair(passage, best[1])
    return pair if pair is not None else (int(best[1].low), int(best[1].high))
