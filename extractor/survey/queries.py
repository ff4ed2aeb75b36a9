"""Queries: what a person must decide, each by the signs of its reason in the words.

The words that a query quotes are the words in question. Conflicts and unknown words have modules of their own.
"""

from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise
from statistics import median

from extractor.language.clauses import Clause, clause_at
from extractor.language.mishearings import STATES
from extractor.language.passage import Passage
from extractor.language.sounds import SoundIndex
from extractor.reading import Measure, Tag
from extractor.survey.conclusions import ConclusionDraft
from extractor.survey.conflicts import find_conflicts
from extractor.survey.distances import length_of
from extractor.survey.reference import distances, run_number
from extractor.survey.rows import Draft, QueryDraft, rows_of_runs
from extractor.survey.run_draft import RunDraft
from extractor.survey.scenes import Scene
from extractor.survey.unclear import KNOWN, find_unclear

__all__ = ["QueryDraft", "find_queries", "in_order"]

ANY = "any"
HARMLESS = ("sound", "flowing", "live", "dry", None)
LARGEST_SIZE_M = 0.6
LARGEST_STEP_M = 0.15  # a step or a gap of a joint is no more than the bore of what it is in
DEEPEST_M = 3.2
THICKEST_SCUM_M = 0.9
DEEPEST_DEPOSIT_M = 2.4
SMALLEST_TANK_L = 60.0
NEAR_WORDS = 6
WAY_ON = ("past", "beyond", "further", "farther")  # "sixty mil past that"
LONGEST_RUN_M = 120.0
WIDEST_BORE_M = 0.31
NARROWEST_BORE_M = 0.024
LONG_STEP_M = 12.0  # from one reading to the next; longer ones are asked about where the visit's steps are short
LONG_STEP_TIMES = 5.0
NOT_NOTED_REACH = 16  # words from a thing to "I didn't get the number on that"
LONG_QUOTE = 20  # words; two readings further apart are not quoted together
LIKELY_ALIKE = 0.68
MOST_LIKELY = 3
MASSES = ("root_intrusion", "settled_deposit", "grease", "standing_water", "attached_deposit")


def find_queries(
    passage: Passage,
    clauses: Sequence[Clause],
    scenes: Sequence[Scene],
    rows: Sequence[Draft],
    runs: Sequence[RunDraft],
    roles: Mapping[Measure, str | None],
    conclusions: Sequence[ConclusionDraft],
    unread: Sequence[tuple[int, int]],
    sounds: SoundIndex,
) -> list[QueryDraft]:
    """In order of the words; one query of a reason for the same words."""
    queries = [
        *_doubts(rows),
        *_no_distance(passage, scenes, rows),
        *_units(passage, roles),
        *_counters(passage, scenes, roles, rows),
        *find_conflicts(passage, scenes, roles, rows, runs),
        *_which_one(passage, rows, conclusions),
        *_unclear(passage, clauses, scenes, roles, rows, unread, sounds),
    ]
    once = {(query.start, query.end, query.reason): query for query in reversed(queries)}
    return in_order(once.values())


def in_order(queries: Iterable[QueryDraft]) -> list[QueryDraft]:
    """By the words they are about."""
    return sorted(queries, key=lambda query: (query.start, query.end, query.reason))


def _doubts(rows: Sequence[Draft]) -> list[QueryDraft]:
    """Each thing the speaker doubts, found or denied ("I don't think that's a crack")."""
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


def _no_distance(passage: Passage, scenes: Sequence[Scene], rows: Sequence[Draft]) -> list[QueryDraft]:
    """A defect in a pipe with no chainage, or with one though the words say that none was noted."""
    queries = []
    for row in rows:
        if row.run is None or row.polarity != "present" or row.condition in HARMLESS:
            continue
        if row.condition is None and row.place.from_m is None:
            continue  # a feature of which the speaker says himself that he noted no distance
        if row.place.from_m is None:
            queries.append(QueryDraft(row.start, row.end, "no_distance", "no distance", row))
        elif (cue := _said_not_noted(passage, scenes, row)) is not None:
            start, end = min(row.start, cue.start), max(row.end, cue.end)
            queries.append(QueryDraft(start, end, "no_distance", "not noted", row))
    return queries


def _said_not_noted(passage: Passage, scenes: Sequence[Scene], row: Draft) -> Tag | None:
    """ "somewhere along there", "I didn't get the number": said of this row, and no distance told behind it."""
    if row.tag is None:
        return None
    first, last = max(0, row.tag.start - NOT_NOTED_REACH), row.tag.end + NOT_NOTED_REACH
    for cue in passage.tags_from(first, last, "reference"):
        if cue.id != "not_noted" or _read_after_all(passage, cue):
            continue
        if cue.end <= row.tag.start and passage.tags_from(max(0, cue.start - 12), cue.start, "condition"):
            continue  # said of the thing in front of it
        between = (cue.end, row.tag.start) if cue.end <= row.tag.start else (row.tag.end, cue.start)
        if not passage.measures_from(*between) and not passage.tags_from(*between, "condition"):
            return cue
    return None


def _read_after_all(passage: Passage, cue: Tag) -> bool:
    """ "didn't get the number on that, about five": the reading follows; but not "... | at five metres a joint"."""
    for token in range(cue.start, cue.end + 4):
        if passage.measure_over(token):
            return True
        if token >= cue.end and (passage.is_class(token, "at", "turns") or passage.word(token) == "there"):
            return False
    return False


def _units(passage: Passage, roles: Mapping[Measure, str | None]) -> list[QueryDraft]:
    """A number with no unit where only a unit tells what it is, or one that is unlikely for what it is said of."""
    queries = []
    for measure, role in roles.items():
        low, high = length_of(measure)
        odd = (
            (role == "size" and high > LARGEST_SIZE_M)
            or (role == "depth" and high > DEEPEST_M)
            or (role == "chainage" and high > LONGEST_RUN_M)
            or (role == "diameter" and not NARROWEST_BORE_M <= high <= WIDEST_BORE_M)
            or (role in ("size", "depth") and measure.unit is None)
            or "region unknown" in measure.rule
            or (role == "size" and high > LARGEST_STEP_M and _of_a_step(passage, measure))
            or _unlikely(passage, measure, role)
        )
        if odd:
            queries.append(QueryDraft(measure.start, measure.end, "unit", "unlikely value", None, (low, high)))
    return queries


def _of_a_step(passage: Passage, measure: Measure) -> bool:
    near = passage.tags_from(measure.start - 4, measure.end + 3, "condition")
    return bool(near) and near[0].id in ("displaced_joint", "open_joint")


def _unlikely(passage: Passage, measure: Measure, role: str | None) -> bool:
    """More than there can be of it: scum as thick as a man is tall, a gap of metres to the next thing in millimetres,
    a pipe that is 140 percent full, a tank of twelve litres.
    """
    _, high = length_of(measure)
    near = passage.speech.words[max(0, measure.start - NEAR_WORDS) : measure.end + 2]
    if measure.unit == "m" and role in ("depth", "size", "length", None):
        if "scum" in near and high > THICKEST_SCUM_M:
            return True
        if {"sludge", "silt", "grease", "fat"} & set(near) and high > DEEPEST_DEPOSIT_M and role in ("depth", "size"):
            return True
    if measure.spoken_unit == "millimetre" and role != "reach":
        behind = measure.end
        return (
            passage.is_class(behind, "step")
            and passage.word(behind) in WAY_ON
            and passage.is_class(behind + 1, "pronoun", "article", "list")
        )
    if measure.unit == "%":
        return measure.high > 100
    if measure.unit == "L" and any(
        tag.id.endswith("_tank") for tag in passage.tags_from(measure.start - 10, measure.end + 4, "structure")
    ):
        return measure.low < SMALLEST_TANK_L and passage.classes["pours_out"].isdisjoint(near)
    return False


def _counters(
    passage: Passage, scenes: Sequence[Scene], roles: Mapping[Measure, str | None], rows: Sequence[Draft]
) -> list[QueryDraft]:
    """A reading less than the one before in the same pass, or far beyond it, with no word that says why."""
    queries = []
    of_run = rows_of_runs(rows)
    for scene in scenes:
        if scene.kind != "run":
            continue
        own = of_run.get(scene.run, [])
        readings = [m for m in passage.measures_from(scene.start, scene.end) if roles.get(m) == "chainage"]
        usual = _usual_step(readings)
        last: tuple[int, float, Measure] | None = None
        for measure in readings:
            metres = length_of(measure)[0]
            told = passage.tags_from(max(scene.start, measure.start - 10), measure.end + 12, "reference", "movement")
            back = any(tag.id in ("back_there", "the_ones", "relook", "out_again") for tag in told)
            again = any(row.start < measure.start - 3 and row.at(metres) for row in own)
            if last is not None and not back and not again and not passage.tags_from(last[0], measure.start, "action"):
                step = metres - last[1]
                stretch = passage.is_class(measure.start - 1, "from") or passage.is_class(measure.start, "from")
                runs_back, jumps = (
                    step < -0.011 and not stretch,
                    usual is not None and step > max(LONG_STEP_M, LONG_STEP_TIMES * usual),
                )
                if runs_back or (jumps and not passage.tags_from(last[0], measure.start, "stretch", "ending")):
                    queries.append(
                        QueryDraft(
                            last[2].start
                            if runs_back and measure.start - last[2].start < LONG_QUOTE
                            else measure.start,
                            measure.end,
                            "counter",
                            "counter runs back" if runs_back else "counter jumps",
                            next((row for row in own if row.at(metres)), None),
                            (last[1], metres),
                        )
                    )
            if not back and not again:
                last = (measure.end, metres, measure)
    return queries


def _usual_step(readings: Sequence[Measure]) -> float | None:
    """The middle step between readings of a pass; None where there are too few to tell."""
    steps = [length_of(second)[0] - length_of(first)[0] for first, second in pairwise(readings)]
    ahead = [step for step in steps if step > 0]
    return median(ahead) if len(ahead) >= 3 else None


def _which_one(passage: Passage, rows: Sequence[Draft], conclusions: Sequence[ConclusionDraft]) -> list[QueryDraft]:
    """ "that open joint", "that bad joint", "the joint with the roots in it", where there are two."""
    queries = []
    for conclusion in conclusions:
        alike_told = _told_alike(passage, conclusion, rows)
        if alike_told is not None:
            queries.append(alike_told)
            continue
        for tag in passage.tags_from(conclusion.start, conclusion.end, "condition", "component"):
            start = _definite_before(passage, tag)
            if start is None or passage.word(tag.end - 1).endswith("s"):
                continue
            end, others = _told_of(passage, tag, conclusion.end)
            if tag.kind == "component" and not others:
                others = _told_elsewhere(passage, tag, conclusion)
            if any(passage.is_class(m.start - 1, "at") for m in passage.measures_from(start, end + 3)):
                continue
            told = _in_place_told(passage, start, min(conclusion.end, end + NEAR_WORDS), rows)
            alike = _alike(passage, told, tag, others) or _alike(passage, rows, tag, others)
            if len(alike) >= 2:
                queries.append(
                    QueryDraft(start, end, "which_one", "one of several", None, _metres(alike), _structures(alike))
                )
                break
    return queries


def _told_alike(passage: Passage, conclusion: ConclusionDraft, rows: Sequence[Draft]) -> QueryDraft | None:
    """ "that step", where three were found: a word by which more than one row of the condition was told."""
    if not conclusion.definite:
        return None
    own = [row for row in rows if row.condition == conclusion.condition and row.polarity == "present" and row.tag]
    for token in range(conclusion.start, conclusion.end - 1):
        if not passage.is_class(token, "demonstrative") or passage.things_from(token + 1, token + 2):
            continue
        if any(True for _ in distances(passage, token, token + NEAR_WORDS)):
            continue
        word = passage.word(token + 1)
        alike = [row for row in own if row.tag and word in passage.speech.words[row.tag.start : row.tag.end]]
        if len({(row.run, row.structure, row.place.from_m) for row in alike}) >= 2:
            return QueryDraft(token, token + 2, "which_one", "one of several", None, _metres(alike), _structures(alike))
    return None


def _told_elsewhere(passage: Passage, tag: Tag, conclusion: ConclusionDraft) -> list[str]:
    """ "that joint on the tank side needs the roots cut out": what is wrong with it, told behind; else anything."""
    if tag.id != "joint" or passage.covering(tag.start - 1, "condition") is not None:
        return []
    told = [each.id for each in passage.tags_from(tag.end, conclusion.end, "condition") if each.id not in HARMLESS]
    return told or [ANY]


def _in_place_told(passage: Passage, start: int, end: int, rows: Sequence[Draft]) -> list[Draft]:
    """The rows of the run or the structure that the words name ("the joint in run three"); all where they name none."""
    number = run_number(passage, start, end)
    if number is not None and (of_run := [row for row in rows if row.run == number - 1]):
        return of_run
    named = {tag.id for tag in passage.tags_from(start, end, "structure", "fixture")}
    at_it = [row for row in rows if row.structure in named]
    return at_it or list(rows)


def _definite_before(passage: Passage, tag: Tag) -> int | None:
    """Where "that" or "the" stands before the thing, a word of degree or of blame between at most."""
    token = tag.start - 1
    if passage.covering(token, "extent") or passage.is_class(token, "blames"):
        token -= 1
    return token if passage.is_class(token, "definite") else None


def _told_of(passage: Passage, tag: Tag, end: int) -> tuple[int, list[str]]:
    """The end of the noun phrase, and the conditions that tell the thing: "that joint with the roots in it"."""
    if passage.word(tag.end) != "with":
        return tag.end, []
    told = passage.tags_from(tag.end, min(end, tag.end + 5), "condition")
    return (max(each.end for each in told), [each.id for each in told]) if told else (tag.end, [])


def _alike(passage: Passage, rows: Sequence[Draft], tag: Tag, others: Sequence[str]) -> list[Draft]:
    """The rows that the words may mean, each at a place of its own."""
    degree = passage.covering(tag.start - 1, "extent")
    present = [
        row for row in rows if row.polarity == "present" and row.outcome != "cleared" and row.certainty == "stated"
    ]
    if tag.kind == "component":
        if not others:
            return []
        meant = [
            row
            for row in present
            if row.component == tag.id
            and (row.condition in others or (ANY in others and row.condition not in HARMLESS))
        ]
    elif tag.id in MASSES:
        return []
    else:
        meant = [row for row in present if row.condition == tag.id]
    meant = [row for row in meant if degree is None or row.extent == degree.id]
    places = {(row.run, row.structure, row.place.from_m): row for row in meant}
    return list(places.values())


def _metres(rows: Sequence[Draft]) -> tuple[float, ...]:
    return tuple(row.place.from_m for row in rows if row.place.from_m is not None)


def _structures(rows: Sequence[Draft]) -> tuple[str, ...]:
    return tuple(row.structure for row in rows if row.run is None and row.structure is not None)


def _unclear(
    passage: Passage,
    clauses: Sequence[Clause],
    scenes: Sequence[Scene],
    roles: Mapping[Measure, str | None],
    rows: Sequence[Draft],
    unread: Sequence[tuple[int, int]],
    sounds: SoundIndex,
) -> list[QueryDraft]:
    reporting = [noun for noun in unread if clause_at(clauses, noun[0]).act == "report"]
    strange = sorted({*reporting, *_no_nouns(passage)})
    return [
        QueryDraft(start, end, "unclear_word", passage.speech.quote(*noun), likely=_likely(passage, sounds, noun))
        for start, end, noun in find_unclear(passage, scenes, roles, rows, strange)
    ]


def _no_nouns(passage: Passage) -> list[tuple[int, int]]:
    """Small words where only a noun can stand: "there's a then at the bottom"."""
    return [
        (token, token + 1)
        for token in (before + 1 for before in passage.tokens_of(0, len(passage) - 2, ("indefinite",)))
        if passage.is_class(token, "everyday", "copula")
        and passage.is_class(token + 1, "inside")
        and passage.word(token + 1) != "of"
        and not passage.is_class(token, "vague_noun", "attached", "surroundings", "side", "someone")
        and passage.measure_over(token) is None
        and not passage.tags_from(token, token + 1, *KNOWN)
    ]


def _likely(passage: Passage, sounds: SoundIndex, noun: tuple[int, int]) -> tuple[str, ...]:
    """What may have been said instead: the trade's words that sound nearest."""
    heard = " ".join(passage.speech.words[slice(*noun)])
    likely = [candidate.id for candidate in sounds.nearest(heard, LIKELY_ALIKE) if candidate.id not in STATES]
    return tuple(dict.fromkeys(likely))[:MOST_LIKELY]
