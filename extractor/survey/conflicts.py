"""Two statements that can't both stand, with neither taken back."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from itertools import pairwise

from extractor.language.passage import Passage
from extractor.reading import Measure, Tag
from extractor.survey.rows import Draft, QueryDraft, rows_of_runs
from extractor.survey.run_draft import RunDraft
from extractor.survey.scenes import Scene

SAME_BORE_M = 0.003
SAME_DEPTH_M = 0.011
SAME_LEVEL = 10.0  # percent
LEVEL_WORDS = 10  # words from a tank to how full it is
DEPTH_WORDS = 6  # words round a depth in which it is said to be the structure's own
ORDINALS = {"second": 2, "third": 3, "fourth": 4, "fifth": 5, "sixth": 6}
HOLDS = ("septic_tank", "holding_tank", "greywater_tank", "pump_well", "grease_trap", "treatment_unit", "soakaway")
CHANGES = ("taper", "material_change", "junction")
CONTENTS = ("settled_deposit", "standing_water", "grease", "full", "attached_deposit")


def find_conflicts(
    passage: Passage,
    scenes: Sequence[Scene],
    roles: Mapping[Measure, str | None],
    rows: Sequence[Draft],
    runs: Sequence[RunDraft],
) -> list[QueryDraft]:
    """In no order."""
    return [
        *_denied_and_found(rows),
        *_two_bores(passage, scenes, roles),
        *_two_depths(passage, scenes, roles),
        *_two_levels(passage, scenes, roles),
        *_more_than_counted(rows, runs),
        *_one_too_many(passage, rows),
        *_counted_otherwise(passage, rows),
        *_past_the_end(rows, runs),
    ]


def _denied_and_found(rows: Sequence[Draft]) -> list[QueryDraft]:
    """A thing denied over a stretch in which it was found and was not cleared."""
    queries = []
    of_run = rows_of_runs(rows)
    for denied in rows:
        if denied.polarity != "absent" or denied.run is None or denied.place.from_m is None:
            continue
        for found in of_run[denied.run]:
            if (
                found.polarity == "present"
                and found.condition == denied.condition
                and found.outcome == "open"
                and found.place.from_m is not None
                and denied.covers(found.place.from_m)
            ):
                queries.append(QueryDraft(denied.start, denied.end, "conflict", "denied and found", denied))
                break
    return queries


def _two_bores(passage: Passage, scenes: Sequence[Scene], roles: Mapping[Measure, str | None]) -> list[QueryDraft]:
    """Two bores of one line with no taper, change or branch said between."""
    bores: dict[int, list[Measure]] = defaultdict(list)
    for scene in scenes:
        if scene.kind == "run" and scene.run is not None:
            bores[scene.run] += [
                measure
                for measure in passage.measures_from(scene.start, scene.end)
                if (roles.get(measure) == "diameter" or _named_bore(passage, roles, measure))
                and not _of_another(passage, measure)
            ]
    queries = []
    for said in bores.values():
        for first, second in pairwise(said):
            changed = any(tag.id in CHANGES for tag in passage.tags_from(first.start - 12, second.end + 8, "component"))
            if abs(first.low - second.low) > SAME_BORE_M and not changed:
                queries.append(
                    QueryDraft(second.start, second.end + 1, "conflict", "two bores", None, (first.low, second.low))
                )
    return queries


def _named_bore(passage: Passage, roles: Mapping[Measure, str | None], measure: Measure) -> bool:
    """ "carrying on up the hundred mil": a line called by its bore."""
    behind = passage.word(measure.end)
    return (
        roles.get(measure) in (None, "size")
        and measure.spoken_unit in ("millimetre", "inch")
        and 0.07 <= measure.low <= 0.3
        and passage.word(measure.start - 1) == "the"
        and passage.is_class(measure.start - 2, "inside", "down_word", "to", "origin")
        and behind not in ("of", "step", "gap")
    )


def _of_another(passage: Passage, measure: Measure) -> bool:
    """Whether the bore is a branch's, not the line's: "a hundred mil junction"."""
    return any(tag.id in ("junction", "hole", "gully") for tag in passage.things_from(measure.end, measure.end + 3))


def _two_depths(passage: Passage, scenes: Sequence[Scene], roles: Mapping[Measure, str | None]) -> list[QueryDraft]:
    """Two depths of one structure, each said of the structure itself and not of what is in it."""
    last: dict[tuple[str, str | None], Measure] = {}
    queries = []
    for measure in passage.measures:
        if roles.get(measure) != "depth" or _of_contents(passage, measure):
            continue
        key = _structure_of(passage, scenes, measure)
        if key is None:
            continue
        first = last.setdefault(key, measure)
        if abs(first.low - measure.low) > SAME_DEPTH_M and abs(first.high - measure.high) > SAME_DEPTH_M:
            queries.append(
                QueryDraft(measure.start, measure.end, "conflict", "two depths", None, (first.low, measure.low))
            )
    return queries


def _two_levels(passage: Passage, scenes: Sequence[Scene], roles: Mapping[Measure, str | None]) -> list[QueryDraft]:
    """ "it's about sixty percent", and later "with the tank up near ninety percent", with nothing pumped between."""
    last: dict[str, Measure] = {}
    queries = []
    for measure in passage.measures:
        if measure.unit != "%" or roles.get(measure) not in ("level", None):
            continue
        scene = next((each for each in scenes if each.start <= measure.start < each.end), None)
        named = [t for t in passage.tags_from(measure.start - LEVEL_WORDS, measure.start, "structure") if t.id in HOLDS]
        at = scene.structure if scene is not None and scene.kind == "structure" else None
        key = named[-1].id if named else at
        if key not in HOLDS:
            continue
        first = last.get(key)
        worked = first is not None and any(
            tag.id == "pump_out" for tag in passage.tags_from(first.end, measure.start, "action")
        )
        if first is not None and not worked and abs(first.low - measure.low) > SAME_LEVEL:
            queries.append(
                QueryDraft(measure.start, measure.end, "conflict", "two levels", None, (first.low, measure.low))
            )
        last[key] = measure
    return queries


def _counted_otherwise(passage: Passage, rows: Sequence[Draft]) -> list[QueryDraft]:
    """ "two outlets on it", and then "the right hand one of the three outlets"."""
    queries = []
    for tag in passage.tags_from(0, len(passage), "component"):
        number = passage.measure_over(tag.start - 1)
        if tag.id not in ("inlet", "outlet") or number is None or number.unit is not None or number.end != tag.start:
            continue
        if passage.word(number.start - 1) not in ("the", "all", "those", "them") or number.low != int(number.low):
            continue
        before = [
            row
            for row in rows
            if row.component == tag.id and row.count is not None and row.run is None and row.end < number.start
        ]
        if before and before[-1].count is not None and before[-1].count != int(number.low):
            about = (float(before[-1].count), number.low)
            queries.append(QueryDraft(number.start - 1, tag.end, "conflict", "more than counted", before[-1], about))
    return queries


def _of_contents(passage: Passage, measure: Measure) -> bool:
    """Of silt, water or scum in it, told before, or right behind; "depth nought point eight metres" is its own."""
    told_of = (
        2 * DEPTH_WORDS if passage.word(measure.start - 4) == "to" else DEPTH_WORDS
    )  # "silt in the base to a depth of"
    before = passage.tags_from(measure.start - told_of, measure.start, "condition", "component")
    words = passage.speech.words[max(0, measure.start - DEPTH_WORDS) : measure.start]
    if any(tag.id in CONTENTS for tag in before) or {"water", "scum", "sludge"} & set(words):
        return True
    if "depth" in words:
        return False
    reach = measure.end + 3 if passage.word(measure.end) in ("of", "deep") else measure.end + 1
    behind = passage.tags_from(measure.end, reach, "condition", "component")
    told = passage.speech.words[measure.end : reach]
    return any(tag.id in CONTENTS for tag in behind) or bool({"water", "scum", "sludge"} & set(told))


def _structure_of(passage: Passage, scenes: Sequence[Scene], measure: Measure) -> tuple[str, str | None] | None:
    """The structure that a depth is said of: the one named right before, else the one looked into, else one behind."""
    scene = next((each for each in scenes if each.start <= measure.start < each.end), None)
    at = scene if scene is not None and scene.kind == "structure" and scene.structure is not None else None
    before = passage.tags_from(measure.start - DEPTH_WORDS, measure.start, "structure")
    if before and not any(passage.is_class(t, "inside", "at") for t in range(before[-1].start - 2, before[-1].start)):
        label = _label_of(passage, before[-1])
        if label is None and at is not None and at.structure == before[-1].id:
            label = at.label
        return before[-1].id, label
    named = passage.tags_from(measure.start - DEPTH_WORDS, measure.end + 3, "structure")
    if at is not None and at.structure is not None:
        return None if named and named[-1].id != at.structure else (at.structure, at.label)
    return (named[-1].id, None) if named else None


def _label_of(passage: Passage, tag: Tag) -> str | None:
    """ "chamber | two", "the | far pit": what tells it from another."""
    number = passage.measure_over(tag.end)
    if number is not None and number.start == tag.end and number.unit is None and number.low == int(number.low):
        return str(int(number.low))
    before = passage.word(tag.start - 1)
    return before if passage.is_class(tag.start - 1, "side", "once_more") else None


def _more_than_counted(rows: Sequence[Draft], runs: Sequence[RunDraft]) -> list[QueryDraft]:
    """ "two outlets", and then the camera goes out of a third."""
    queries = []
    for row in rows:
        if row.count is None or row.run is not None or row.component not in ("inlet", "outlet"):
            continue
        counted = {
            r.label for r in rows if r.structure == row.structure and r.run is None and r.component == row.component
        }
        if len(counted) > 1 or sum(_counts_like(r, row) for r in rows) > 1:
            continue  # several such structures, each with a count of its own
        labels = {
            run.start.label
            for run in runs
            if run.start.structure == row.structure and run.start.port == row.component and run.start.label
        }
        numbered = [int(label) for label in labels if label.isdigit()]
        if len(labels) > row.count or any(number > row.count for number in numbered):
            queries.append(
                QueryDraft(row.start, row.end, "conflict", "more than counted", row, (row.count, len(labels)))
            )
    return queries


def _counts_like(row: Draft, other: Draft) -> bool:
    return row.count is not None and (row.structure, row.component) == (other.structure, other.component)


def _one_too_many(passage: Passage, rows: Sequence[Draft]) -> list[QueryDraft]:
    """ "two inlets", and later "that third inlet"."""
    queries = []
    for tag in passage.tags_from(0, len(passage), "component"):
        word = passage.word(tag.start - 1)
        if tag.id not in ("inlet", "outlet") or word not in ORDINALS:
            continue
        counted = [
            row
            for row in rows
            if row.component == tag.id and row.count is not None and row.run is None and row.start < tag.start
        ]
        if counted and counted[-1].count is not None and ORDINALS[word] > counted[-1].count:
            about = (float(counted[-1].count), float(ORDINALS[word]))
            queries.append(QueryDraft(tag.start - 2, tag.end, "conflict", "more than counted", counted[-1], about))
    return queries


def _past_the_end(rows: Sequence[Draft], runs: Sequence[RunDraft]) -> list[QueryDraft]:
    """A stretch, or a thing, further on than the camera is said to have gone."""
    queries = []
    for row in rows:
        end = runs[row.run].end_m if row.run is not None and row.run < len(runs) else None
        furthest = max((metres for metres in (row.place.from_m, row.place.to_m) if metres is not None), default=None)
        if end is not None and furthest is not None and furthest > end + 0.02:
            queries.append(QueryDraft(row.start, row.end, "conflict", "past the end", row, (furthest, end)))
    return queries
