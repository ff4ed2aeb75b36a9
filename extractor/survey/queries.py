"""Queries: what a person must decide, each with a question in plain words and the likely answers, best first."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from extractor.language.passage import Passage
from extractor.reading import Measure
from extractor.survey.conclusions import ConclusionDraft
from extractor.survey.places import length_of
from extractor.survey.rows import Draft
from extractor.survey.scenes import Scene

HARMLESS = ("sound", "flowing", "live", "dry", None)
LARGEST_SIZE_M = 0.6
DEEPEST_M = 3.2
LONGEST_RUN_M = 120.0
WIDEST_BORE_M = 0.31
NARROWEST_BORE_M = 0.024


@dataclass
class QueryDraft:
    """Tokens start to end, the reason of the contract, and the row it is about (by identity)."""

    start: int
    end: int
    reason: str
    about: str
    row: Draft | None = None
    values: tuple[float, ...] = field(default_factory=tuple)


def find_queries(
    passage: Passage,
    scenes: Sequence[Scene],
    rows: Sequence[Draft],
    roles: Mapping[Measure, str | None],
    conclusions: Sequence[ConclusionDraft],
) -> list[QueryDraft]:
    """In order of the words."""
    queries = [
        *_doubts(rows),
        *_no_distance(rows),
        *_units(passage, roles),
        *_counters(passage, scenes, roles, rows),
        *_conflicts(rows),
        *_bores(passage, scenes, roles),
        *_which_one(passage, rows, conclusions),
    ]
    return sorted(queries, key=lambda query: (query.start, query.end, query.reason))


def _doubts(rows: Sequence[Draft]) -> list[QueryDraft]:
    return [
        QueryDraft(
            min(row.start, row.doubt.start) if row.doubt else row.start,
            max(row.end, row.doubt.end) if row.doubt else row.end,
            "doubt",
            "doubt",
            row,
        )
        for row in rows
        if row.certainty == "tentative" and row.condition not in HARMLESS
    ]


def _no_distance(rows: Sequence[Draft]) -> list[QueryDraft]:
    return [
        QueryDraft(row.start, row.end, "no_distance", "no distance", row)
        for row in rows
        if row.run is not None
        and row.place.from_m is None
        and row.polarity == "present"
        and row.condition not in HARMLESS
    ]


def _units(passage: Passage, roles: Mapping[Measure, str | None]) -> list[QueryDraft]:
    queries = []
    for measure, role in roles.items():
        low, high = length_of(measure)
        odd = (
            (role == "size" and high > LARGEST_SIZE_M)
            or (role == "depth" and high > DEEPEST_M)
            or (role == "chainage" and high > LONGEST_RUN_M)
            or (role == "diameter" and not NARROWEST_BORE_M <= high <= WIDEST_BORE_M)
            or "region unknown" in measure.rule
        )
        if odd:
            queries.append(QueryDraft(measure.start, measure.end, "unit", "unlikely value", None, (low, high)))
    return queries


def _counters(
    passage: Passage, scenes: Sequence[Scene], roles: Mapping[Measure, str | None], rows: Sequence[Draft]
) -> list[QueryDraft]:
    """A reading less than the one before in the same pass, with no word that says why."""
    queries = []
    last: tuple[int, float, Measure] | None = None
    scene_of = {(scene.start, scene.end): scene for scene in scenes}
    del scene_of
    for scene in scenes:
        if scene.kind != "run":
            continue
        last = None
        for measure in passage.measures_from(scene.start, scene.end):
            if roles.get(measure) != "chainage":
                continue
            metres = length_of(measure)[0]
            told = passage.tags_from(max(scene.start, measure.start - 10), measure.end + 12, "reference", "movement")
            back = any(tag.id in ("back_there", "the_ones", "relook", "out_again") for tag in told)
            again = any(row.at(metres) and row.run == scene.run and row.start < measure.start - 3 for row in rows)
            if (
                last
                and metres < last[1] - 0.011
                and not back
                and not again
                and not passage.tags_from(last[0], measure.start, "action")
            ):
                queries.append(
                    QueryDraft(
                        last[2].start,
                        measure.end,
                        "counter",
                        "counter runs back",
                        _row_at(rows, scene.run, metres),
                        (last[1], metres),
                    )
                )
            if not back and not again:
                last = (measure.end, metres, measure)
    return queries


def _row_at(rows: Sequence[Draft], run: int | None, metres: float) -> Draft | None:
    return next((row for row in rows if row.run == run and row.at(metres)), None)


def _conflicts(rows: Sequence[Draft]) -> list[QueryDraft]:
    """A thing denied over a stretch in which it was found and was not cleared."""
    queries = []
    for denied in rows:
        if denied.polarity != "absent" or denied.run is None or denied.place.from_m is None:
            continue
        for found in rows:
            if (
                found.polarity == "present"
                and found.run == denied.run
                and found.condition == denied.condition
                and found.outcome == "open"
                and found.place.from_m is not None
                and denied.covers(found.place.from_m)
            ):
                queries.append(QueryDraft(denied.start, denied.end, "conflict", "denied and found", denied))
                break
    return queries


def _bores(passage: Passage, scenes: Sequence[Scene], roles: Mapping[Measure, str | None]) -> list[QueryDraft]:
    """Two bores of one line with no taper or change between."""
    queries = []
    for scene in scenes:
        if scene.kind != "run":
            continue
        bores = [m for m in passage.measures_from(scene.start, scene.end) if roles.get(m) == "diameter"]
        for first, second in zip(bores, bores[1:], strict=False):
            changed = any(
                t.id in ("taper", "material_change", "junction")
                for t in passage.tags_from(first.start - 12, second.end + 8, "component")
            )
            if abs(first.low - second.low) > 0.003 and not changed:
                queries.append(
                    QueryDraft(second.start, second.end + 1, "conflict", "two bores", None, (first.low, second.low))
                )
    return queries


def _which_one(passage: Passage, rows: Sequence[Draft], conclusions: Sequence[ConclusionDraft]) -> list[QueryDraft]:
    """ "that open joint", where there are two."""
    queries = []
    for conclusion in conclusions:
        for tag in passage.tags_from(conclusion.start, conclusion.end, "condition"):
            if not passage.is_class(tag.start - 1, "definite") and not (
                passage.covering(tag.start - 1, "extent") and passage.is_class(tag.start - 2, "definite")
            ):
                continue
            if passage.word(tag.end - 1).endswith("s") or passage.measures_from(tag.end, conclusion.end):
                continue
            extent = passage.covering(tag.start - 1, "extent")
            alike = [
                row
                for row in rows
                if row.condition == tag.id
                and row.polarity == "present"
                and row.outcome != "cleared"
                and (extent is None or row.extent == extent.id)
            ]
            if len(alike) >= 2 and tag.id not in ("root_intrusion", "settled_deposit", "grease", "standing_water"):
                queries.append(QueryDraft(conclusion.start, conclusion.end, "which_one", "one of several", None))
                break
    return queries
