"""Things remembered too late: "forgot to say, on that first line there was a sag in there somewhere", told in another
run or at a structure, belong to the run that the words name.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from extractor.language.clauses import Clause, clause_at
from extractor.language.passage import Passage
from extractor.reading import Measure
from extractor.survey.distances import point
from extractor.survey.rows import NOWHERE, Draft, Place
from extractor.survey.scenes import Scene, scene_at

REACH = 12  # words from those that name the run to the thing
CLOSE = 4  # words from the thing to those that name the run: "some grease in that first line"
OF_A_STRUCTURE = ("pump", "float_switch", "lid", "wall", "base", "baffle", "inlet", "outlet", "filter", "hose")


def move_remembered(
    passage: Passage,
    clauses: Sequence[Clause],
    scenes: Sequence[Scene],
    roles: Mapping[Measure, str | None],
    rows: Sequence[Draft],
) -> list[Draft]:
    """The rows, those that are told of an earlier run moved there."""
    named = _runs_named(passage, scenes)
    return [_moved(passage, clauses, roles, row, named) for row in rows] if named else list(rows)


def _runs_named(passage: Passage, scenes: Sequence[Scene]) -> list[tuple[int, int, int]]:
    """Where an earlier run is named, to where its words go, and which it is: "on that first line"."""
    found = []
    for token in passage.tokens_of(2, len(passage), ("run_noun",)):
        start = token - 1
        ordinal = passage.measure_over(start)
        if not passage.is_class(start - 1, "definite") or not passage.is_class(start - 2, "of_a_line"):
            continue
        scene = scene_at(scenes, token)
        runs = sorted({s.run for s in scenes if s.start <= token and s.kind == "run" and s.run is not None})
        if scene is None or not runs:
            continue
        here = scene.run if scene.kind == "run" else None
        if ordinal is not None and ordinal.unit == "ordinal":
            run = int(ordinal.low) - 1
        elif passage.is_class(start, "before_this"):
            run = (here if here is not None else runs[-1] + 1) - 1
        else:
            continue
        if (
            run in runs
            and run != here
            and not any(
                tag.id not in ("inspect", "new_pass") for tag in passage.tags_from(start - 4, token + 1, "movement")
            )
        ):
            found.append((start - 2, token + 1, run))
    return found


def _moved(
    passage: Passage,
    clauses: Sequence[Clause],
    roles: Mapping[Measure, str | None],
    row: Draft,
    named: Sequence[tuple[int, int, int]],
) -> Draft:
    for start, end, run in named:
        if row.run == run or row.tag is None or row.component in OF_A_STRUCTURE:
            continue
        behind = 0 <= row.tag.start - end <= REACH
        if not behind and not 0 <= start - row.tag.end <= CLOSE:
            continue
        if row.run is not None and not _thought_of_late(passage, start, end):
            continue
        between = (end, row.tag.start) if row.tag.start >= end else (row.tag.end, start)
        moves = [t for t in passage.tags_from(*between, "movement", "ending") if t.id not in ("inspect", "new_pass")]
        if moves or passage.covering(start, "action"):
            continue
        place = _place(passage, clauses, roles, row, end)
        component = row.component or row.tag.on
        return replace(row, run=run, structure=None, label=None, component=component, place=place)
    return row


def _thought_of_late(passage: Passage, start: int, end: int) -> bool:
    """ "forgot to say", "there was", "should have mentioned": words of what was seen before."""
    cues = passage.tags_from(start - 8, end + 8, "reference")
    if any(cue.id in ("back_there", "not_noted") for cue in cues):
        return True
    return passage.has_class(start - 6, end + 4, "was_word")


def _place(
    passage: Passage, clauses: Sequence[Clause], roles: Mapping[Measure, str | None], row: Draft, end: int
) -> Place:
    """The reading told with it, if any."""
    if row.place.measures:
        return row.place
    at = row.tag.end if row.tag is not None else row.end
    start = min(clause_at(clauses, row.start).start, row.start)
    for measure in passage.measures_from(start, max(at, end) + REACH):
        led = passage.is_class(measure.start - 1, "at") or passage.is_class(measure.start, "at")
        if led and roles.get(measure) == "chainage":
            return replace(point(measure), how="remembered")
    return NOWHERE
