"""Runs: how far each pass went; why it stopped (`run_ends.py`) and what it reached (`reached.py`)."""

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Mapping, Sequence

from extractor.language.clauses import Clause
from extractor.language.passage import Passage
from extractor.reading import Measure, Tag
from extractor.survey.distances import length_of
from extractor.survey.openings import Opening
from extractor.survey.rows import END, Draft, Place
from extractor.survey.run_draft import RunDraft
from extractor.survey.run_ends import settle_end
from extractor.survey.scenes import Scene, Start

TIGHT = ("bend", "trap")  # what a camera may not get round
SMALLEST_PIPE = 32  # millimetres; a whole number from here on may be the pipe's


def close_runs(
    passage: Passage,
    clauses: Sequence[Clause],
    scenes: Sequence[Scene],
    starts: Sequence[Start],
    roles: Mapping[Measure, str | None],
    places: Mapping[Tag, Place],
    openings: Sequence[Opening],
) -> list[RunDraft]:
    """One draft a start, with its end."""
    runs = [RunDraft(start, spans=[(start.start, start.end)]) for start in starts]
    scenes_of: dict[int | None, list[Scene]] = defaultdict(list)
    for scene in scenes:
        scenes_of[scene.run].append(scene)
    for index, run in enumerate(runs):
        own = scenes_of[index]
        readings = [
            (m, max(length_of(m)) if length_of(m)[0] == length_of(m)[1] else sum(length_of(m)) / 2)
            for scene in own
            for m in passage.measures_from(scene.start, scene.end)
            if roles.get(m) == "chainage"
        ]
        readings = [pair for pair in readings if not _a_pipe_size(pair, readings)]
        readings = [pair for pair in readings if not _only_advised(pair, clauses)]
        run.end_m = max((metres for _, metres in readings), default=None)
        later = runs[index + 1].start.start if index + 1 < len(runs) else len(passage)
        settle_end(passage, own, run, readings, openings, places, later)
    return runs


def _a_pipe_size(pair: tuple[Measure, float], readings: Sequence[tuple[Measure, float]]) -> bool:
    """ "goes from fifty to a hundred and ten", among readings with a point: whole and far above all of them."""
    measure, metres = pair
    if measure.unit is not None or metres != int(metres) or metres < SMALLEST_PIPE or "point" in measure.rule:
        return False
    told = [other for m, other in readings if m.unit is not None or "point" in m.rule]
    return bool(told) and metres > 3 * max(told)


def _only_advised(pair: tuple[Measure, float], clauses: Sequence[Clause]) -> bool:
    """ "and the step at three metres forty wants digging out": where the trouble was, in the words that sum up."""
    at = bisect_right(clauses, pair[0].start, key=lambda clause: clause.start) - 1
    return at >= 0 and clauses[at].act in ("recommendation", "main_issue")


def resolve_ends(rows: Sequence[Draft], runs: Sequence[RunDraft]) -> None:
    """Put the run's end in the place of `END`; a stretch with no known end keeps only what was said."""
    for row in rows:
        if row.place.to_m == END and row.run is not None:
            end = runs[row.run].end_m
            from_m = row.place.from_m if end is not None else (None if row.place.from_m == 0.0 else row.place.from_m)
            row.place = Place(from_m, end, row.place.approximate, row.place.how, row.place.measures)
            if end is None:
                row.place = Place(from_m, None, row.place.approximate, row.place.how, row.place.measures)


def is_run_end(row: Draft, runs: Sequence[RunDraft]) -> bool:
    """A feature that is only where the run ended (a stack): the run's `end_at`, not a row."""
    if row.run is None or row.condition is not None or row.count is not None:
        return False
    run = runs[row.run]
    return row.component == run.end_at and row.place.from_m == run.end_m


def name_what_stopped(rows: Sequence[Draft], runs: Sequence[RunDraft]) -> None:
    """Put the bend or trap at which a camera could go no further in the run's `end_at`."""
    for row in rows:
        run = runs[row.run] if row.run is not None else None
        stopped = run is not None and run.end_reason == "could_not_pass" and run.end_at is None
        if (
            run is not None
            and stopped
            and row.component in TIGHT
            and row.place.from_m is not None
            and row.place.from_m == run.end_m
        ):
            run.end_at = row.component
