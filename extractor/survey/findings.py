"""Findings: thing + condition + place -> rows.

A condition sits on the component that is named with it, else on the one its clause is about, else on the one it
always sits
on (an open joint on a joint). A component that is only noted is a row of its own until a condition said of it takes
its place.
"""

from bisect import bisect_right
from collections.abc import Mapping, Sequence

from extractor.language.clauses import Clause
from extractor.language.context import Context
from extractor.language.passage import Passage
from extractor.reading import Tag
from extractor.survey.asides import (
    excepted,
    has_a_cause,
    is_aside,
    is_past,
    named_again,
    on_the_lens,
    only_measured,
    worked_at,
)
from extractor.survey.distances import NO_PLACE_OF_THEIR_OWN
from extractor.survey.drafting import clock_of, count_of, draft_of
from extractor.survey.openings import Opening
from extractor.survey.parts import component_of, located_on
from extractor.survey.rows import NOWHERE, Draft, Place
from extractor.survey.scenes import Scene
from extractor.survey.soundness import read_sound
from extractor.survey.topics import FEATURES, STATES, Reader, Topic, drop, same_place

SILENT_ACTS = ("plan", "main_issue", "recommendation")
COUNTED = ("inlet", "outlet", "pump")  # parts of a structure whose number is noted
RUNNING_PARTS = ("pump", "float_switch", "hose")


def read_findings(
    passage: Passage,
    clauses: Sequence[Clause],
    scenes: Sequence[Scene],
    contexts: Mapping[Tag, Context],
    places: Mapping[Tag, Place],
    openings: Sequence[Opening],
) -> list[Draft]:
    """Rows in order of the words, before merging."""
    reader = Reader(passage, clauses, contexts, places, {opening.start: opening for opening in openings})
    ends = [clause.end for clause in clauses]
    last: Scene | None = None
    for scene in scenes:
        if scene.kind in ("closing", "open") and scene.structure is None and scene.kind == "closing":
            continue
        if last is None or scene.kind != "structure" or (last.kind, last.structure) != (scene.kind, scene.structure):
            reader.topic = Topic()
        last = scene
        for clause in clauses[bisect_right(ends, scene.start) :]:
            if clause.start >= scene.end:
                break
            start, end = max(clause.start, scene.start), min(clause.end, scene.end)
            whole = (start, end) == (clause.start, clause.end)
            if start < end:
                _read_clause(reader, scene, clause if whole else Clause(start, end, clause.opener, clause.act))
    return [row for row in reader.rows if row.condition is not None or row.count is not None or _stands_alone(row)]


def _stands_alone(row: Draft) -> bool:
    """A feature with no condition is a row where it was noted in a pipe at a distance."""
    known = row.place.from_m is not None or row.place.how == "not noted"
    return row.run is not None and row.component in FEATURES and known


def _read_clause(reader: Reader, scene: Scene, clause: Clause) -> None:
    passage = reader.passage
    if clause.act in SILENT_ACTS and clause.act != "plan":
        return
    things = [
        tag
        for tag in passage.tags_from(clause.start, clause.end, "condition", "component")
        if not is_aside(reader, clause, tag)
    ]
    if not things:
        return
    located = located_on(passage, things, clause, reader.topic.component)
    for tag in things:
        if tag.kind == "component":
            if tag not in located.values():
                _read_component(reader, scene, clause, tag)
            continue
        _read_condition(reader, scene, clause, tag, located.get(tag))


def _read_component(reader: Reader, scene: Scene, clause: Clause, tag: Tag) -> None:
    passage = reader.passage
    place = reader.places.get(tag, NOWHERE)
    count = count_of(passage, tag)
    if scene.kind == "run":
        if tag.id in NO_PLACE_OF_THEIR_OWN:
            if tag.id not in ("pipe", "inlet", "outlet"):
                reader.topic = Topic(tag.id, place, None, tag.end)
            return
        cue = passage.covering(tag.start - 1, "stretch")
        if cue is not None and cue.id == "to_this_point" and cue.end == tag.start:
            return  # "no rats up to that connection": one told before
        known = reader.topic
        if known.component == tag.id and known.place.from_m == place.from_m and tag.start - known.end < 20:
            known.end = tag.end
            return
        named = passage.is_class(tag.start - 1, "definite")
        unnoted = place.how == "not noted" and tag.id not in ("material_change", "joint") and not named
        if (place.from_m is None and not unnoted) or place.how == "whole" or reader.contexts[tag].polarity == "absent":
            reader.topic = Topic(tag.id, place, None, tag.end)
            return
        if _refers_back(passage, tag, place):
            row = next((r for r in reversed(reader.rows) if r.run == scene.run and r.component == tag.id), None)
            reader.topic = Topic(
                tag.id,
                row.place if row and place.how == "carried" else place,
                row if row and row.condition is None else None,
                tag.end,
            )
            if place.how == "carried":
                return
        row = draft_of(reader, scene, clause, tag, tag.id, None, place)
        row.clock = clock_of(passage, clause, tag, reader)
        row.rules.append(f"feature, {place.how}")
        reader.rows.append(row)
        reader.topic = Topic(tag.id, place, row, tag.end)
        return
    if count is not None and tag.id in COUNTED and scene.structure:
        row = draft_of(reader, scene, clause, tag, tag.id, None, NOWHERE)
        row.count = count
        row.rules.append("count at a structure")
        reader.rows.append(row)
    reader.topic = Topic(tag.id, NOWHERE, None, tag.end)


def _refers_back(passage: Passage, tag: Tag, place: Place) -> bool:
    """ "that joint's open": a definite mention with no distance of its own speaks of the one before."""
    return (
        tag.id != "material_change" and passage.is_class(tag.start - 1, "definite") and place.how in ("carried", "none")
    )


def _read_condition(reader: Reader, scene: Scene, clause: Clause, tag: Tag, located: Tag | None) -> None:
    passage, context = reader.passage, reader.contexts[tag]
    place = reader.places.get(tag, NOWHERE) if scene.kind == "run" else NOWHERE
    if tag.id == "sound":
        read_sound(reader, scene, clause, tag, place, located)
        return
    if (scene.kind != "run" or tag.id == "full") and only_measured(passage, scene, tag, context):
        return
    if on_the_lens(passage, tag) or worked_at(reader, scene, tag, place) or named_again(reader, scene, tag, place):
        return
    if is_past(passage, tag, clause) or has_a_cause(passage, tag) or excepted(reader, tag):
        return
    component, named = component_of(reader, scene, clause, tag, located, place)
    if tag.id == "flowing" and component in RUNNING_PARTS:
        return  # "and now it's running": the pump
    topic = reader.topic
    row = draft_of(reader, scene, clause, tag, component, tag.id, place)
    row.named = named
    row.polarity, row.certainty = context.polarity, context.certainty
    row.extent = None if tag.id in STATES else context.extent
    row.doubt = context.doubt
    if tag.id == "dry" and _of_a_dip(reader, scene, tag, place):
        row.condition, row.polarity = "standing_water", "absent"  # "a sag but there's no water in it"
    row.rules.append(f"condition, {place.how}")
    if row.polarity == "present":
        row.clock = clock_of(passage, clause, tag, reader)
        row.count = count_of(passage, tag)
    if (
        topic.row is not None
        and component == topic.component
        and row.polarity == "present"
        and same_place(topic.place, place)
    ):
        row.clock = row.clock or topic.row.clock
        row.start = min(row.start, topic.row.start)
        drop(reader, topic.row)
    if row.run is None and row.structure is None:
        return
    if row.polarity == "absent" and row.condition in STATES:
        return
    reader.rows.append(row)
    if component and row.polarity == "present":
        reader.topic = Topic(component, place, None, tag.end)


def _of_a_dip(reader: Reader, scene: Scene, tag: Tag, place: Place) -> bool:
    """Whether water is denied of a dip just told, at its place."""
    last = reader.rows[-1] if reader.rows else None
    return (
        last is not None
        and (last.run, last.condition) == (scene.run, "dip")
        and same_place(last.place, place)
        and "water" in reader.passage.speech.words[tag.start : tag.end]
    )
