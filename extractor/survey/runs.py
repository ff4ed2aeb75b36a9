"""Runs: how far each pass went, why it stopped, and what it reached."""

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from extractor.language.clauses import Clause
from extractor.language.passage import Passage
from extractor.reading import Measure, Tag
from extractor.survey.distances import length_of
from extractor.survey.openings import Opening
from extractor.survey.rows import END, Draft, Place
from extractor.survey.scenes import Scene, Start

LONGEST_OPENING = 40  # words; no name of an opening has as many
DONE_WITHIN = 30  # words from the furthest reading to "that's me done"
SMALLEST_PIPE = 32  # millimetres; a whole number from here on may be the pipe's
SHUTS = ("blockage", "collapse")  # no camera goes on where the pipe is shut, said or not
CLOSES = (*SHUTS, "obstruction", "soil_ingress", "full")
HINDERS = (
    "root_intrusion",
    "grease",
    "settled_deposit",
    "attached_deposit",
    "standing_water",
    "displaced_joint",
    "deformation",
    "break",
    "vermin",
    "protruding_connection",
    "defective_repair",
)


@dataclass
class RunDraft:
    """One pass of the camera in the making; tokens start to end are the words of its start and its end."""

    start: Start
    end_m: float | None = None
    end_reason: str | None = None
    end_at: str | None = None
    spans: list[tuple[int, int]] = field(default_factory=list)
    rules: list[str] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Arrival:
    """The camera at a structure or fixture: tokens, what, and at which chainage."""

    start: int
    end: int
    at: str
    metres: float | None


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
        run.end_m = max((metres for _, metres in readings), default=None)
        later = runs[index + 1].start.start if index + 1 < len(runs) else len(passage)
        _settle_end(passage, own, run, readings, openings, places, later)
    return runs


def _a_pipe_size(pair: tuple[Measure, float], readings: Sequence[tuple[Measure, float]]) -> bool:
    """ "goes from fifty to a hundred and ten", among readings with a point: whole and far above all of them."""
    measure, metres = pair
    if measure.unit is not None or metres != int(metres) or metres < SMALLEST_PIPE or "point" in measure.rule:
        return False
    told = [other for m, other in readings if m.unit is not None or "point" in m.rule]
    return bool(told) and metres > 3 * max(told)


def _settle_end(
    passage: Passage,
    scenes: Sequence[Scene],
    run: RunDraft,
    readings: list[tuple[Measure, float]],
    openings: Sequence[Opening],
    places: Mapping[Tag, Place],
    later: int,
) -> None:
    """The last sign of an end that stands at, or after, the furthest reading. `later`: where the next run is begun,
    whose opening is no end of this one.
    """
    if not scenes:
        return
    furthest = [m.start for m, metres in readings if run.end_m is not None and metres >= run.end_m - 0.011]
    first_furthest = min(furthest, default=scenes[0].start)
    found: dict[str, Tag] = {}
    for scene in scenes:
        for tag in passage.tags_from(scene.start, scene.end, "ending"):
            if tag.start < first_furthest - 14:
                continue
            if tag.id == "passed":
                found.pop("could_not_pass", None)
            elif tag.id in ("could_not_pass", "cable_limit", "stopped"):
                named = passage.covering(tag.start, "condition")
                if named is not None and named.id == "disused":
                    continue  # "going nowhere"
                found[tag.id] = tag
            elif tag.id == "done":
                if tag.start - max((m for m in furthest if m <= tag.start), default=-DONE_WITHIN) < DONE_WITHIN:
                    found[tag.id] = tag
            elif tag.id == "arrival" and passage.is_class(tag.start, "arrives_verb"):
                found["comes_out"] = tag  # "that's it coming out at the bank"
            elif tag.id in ("line_end", "joins"):
                found.setdefault(tag.id, tag)
    arrival = _arrival(passage, scenes, run, readings, openings, later)
    capped = next(
        (
            tag
            for scene in scenes
            for tag in passage.tags_from(max(scene.start, first_furthest - 8), scene.end, "condition", "component")
            if (tag.id == "capped" or _end_cap(tag, run, places)) and not _on_junction(passage, tag, places)
        ),
        None,
    )
    stopped = found.get("could_not_pass")
    barred = _barred(passage, scenes, run, places, first_furthest)
    if stopped is None and barred is not None:
        stopped = _stopped_by(passage, found, barred)
        if stopped is not None:
            found["could_not_pass"] = stopped
    if arrival is not None and stopped is not None and stopped.start > arrival.end:
        first = bisect_left(openings, arrival.end, key=lambda opening: opening.start)
        last = bisect_left(openings, stopped.start, key=lambda opening: opening.start)
        between = any(opening.structure is not None for opening in openings[first:last])
        if between and not any(arrival.end <= m.start < stopped.start for m, _ in readings):
            stopped = None  # of another opening, which the camera did not get into
            found.pop("could_not_pass", None)
    if arrival is not None and (stopped is None or arrival.start > stopped.start):
        again = arrival.at == run.start.structure and run.start.destination is not None
        run.end_reason, run.end_at = "reached", run.start.destination if again else arrival.at  # "to the boundary trap"
        run.spans.append((arrival.start, arrival.end))
        run.rules.append("arrives")
    elif stopped is not None:
        run.end_reason = "could_not_pass"
    elif capped is not None:
        run.end_reason = "capped"
    elif "cable_limit" in found:
        run.end_reason = "cable_limit"
    elif "stopped" in found:
        run.end_reason = "stopped"
    elif not found.keys().isdisjoint(("line_end", "joins", "comes_out")) and run.end_m is not None:
        run.end_reason = "reached"
    elif "done" in found and run.end_m is not None:
        run.end_reason = "stopped"
    for tag in found.values():
        run.spans.append((tag.start, tag.end))


def _barred(
    passage: Passage, scenes: Sequence[Scene], run: RunDraft, places: Mapping[Tag, Place], furthest: int
) -> Tag | None:
    """What fills or blocks the pipe at the furthest reading, and was not said to be got past."""
    bars: Tag | None = None
    for scene in scenes:
        for tag in passage.tags_from(max(scene.start, furthest - 14), scene.end, "condition", "ending"):
            if tag.kind == "ending":
                bars = None if tag.id == "passed" else bars
            elif tag.id in (*CLOSES, *HINDERS) and not passage.cue_at(tag.start - 1, "negation"):
                place = places.get(tag)
                reached = place is not None and run.end_m in (place.from_m, place.to_m)
                there = reached or (place is None and tag.start >= furthest)
                if there and (bars is None or _closes(tag) > _closes(bars)):
                    bars = tag
    return bars


def _closes(tag: Tag) -> int:
    """How surely a camera is stopped by it."""
    return 2 if tag.id in SHUTS else int(tag.id in CLOSES)


def _stopped_by(passage: Passage, found: Mapping[str, Tag], bar: Tag) -> Tag | None:
    """The words of the end, where what stands in the way is the reason: "that's the end of it, it's fallen in"."""
    for kind in ("cable_limit", "stopped", "done", "line_end"):
        end = found.get(kind)
        if end is None:
            continue
        if kind == "cable_limit" and any(passage.is_class(t, "cable_word") for t in range(end.start, end.end)):
            return None
        told = 0 <= bar.start - end.end <= 8 and any(
            passage.is_class(t, "gives_reason") for t in range(end.end, bar.start)
        )
        chosen = kind == "stopped" and any(passage.is_class(t, "gives_reason") for t in range(end.start, end.end + 3))
        filled = bar.id in CLOSES or any(passage.is_class(t, "fills_it") for t in range(bar.start - 3, bar.end + 3))
        near = end.start - bar.end <= (12 if filled else 8) and bar.start - end.end <= 6
        wades = bar.id == "standing_water" and kind == "cable_limit"  # water lies there, and the camera goes through it
        if told or (near and not chosen and not wades and (filled or kind in ("cable_limit", "done"))):
            return end
        return None
    filled = any(passage.is_class(t, "fills_it") for t in range(bar.start - 2, bar.end + 2))
    return bar if bar.id in SHUTS or filled else None


def _end_cap(tag: Tag, run: RunDraft, places: Mapping[Tag, Place]) -> bool:
    """ "11.2 it's the end cap": the cap itself, noted at the furthest reading."""
    place = places.get(tag)
    return tag.id == "cap" and place is not None and run.end_m is not None and run.end_m in (place.from_m, place.to_m)


def _on_junction(passage: Passage, tag: Tag, places: Mapping[Tag, Place]) -> bool:
    before = [t for t in passage.tags_from(max(0, tag.start - 14), tag.start, "component") if t.id != "pipe"]
    if not before or before[-1].id != "junction":
        return False
    own, there = places.get(tag), places.get(before[-1])
    return own is None or there is None or own.from_m == there.from_m


def _arrival(
    passage: Passage,
    scenes: Sequence[Scene],
    run: RunDraft,
    readings: list[tuple[Measure, float]],
    openings: Sequence[Opening],
    later: int,
) -> Arrival | None:
    """A structure or fixture named with the furthest reading: "that's us at the toilet at eight", "6.3 stormwater
    pit".
    """
    ends = [m for m, metres in readings if run.end_m is not None and metres >= run.end_m - 0.011]
    best: Arrival | None = _out_at_a_junction(passage, scenes, ends, run.end_m)
    for measure in ends:
        first = bisect_left(openings, measure.start - LONGEST_OPENING, key=lambda opening: opening.start)
        for opening in openings[first:]:
            if opening.start > measure.end + 18 or (opening.start >= later > measure.start):
                break
            if opening.structure is None:
                continue
            if opening.start < run.start.end and not _at_next(passage, opening, measure):
                continue  # "up the branch to the shed, 3.4 a crack"
            if not any(scene.start <= opening.start < scene.end for scene in scenes):
                continue
            if opening.start >= measure.end and opening.start - measure.end <= 18:
                gap = (measure.end, opening.start)
            elif opening.end <= measure.start and measure.start - opening.end <= 6:
                gap = (opening.end, measure.start)
            else:
                continue
            if _arrives(passage, opening, measure, gap):
                candidate = Arrival(
                    min(opening.start, measure.start), max(opening.end, measure.end), opening.structure, run.end_m
                )
                turned = best is not None and any(
                    tag.id in ("turn", "next") for tag in passage.tags_from(best.end, opening.start, "boundary")
                )
                if best is None or (opening.start > best.start and not turned):
                    best = candidate
    return best


def _at_next(passage: Passage, opening: Opening, measure: Measure) -> bool:
    """ "down to the main at 9": the words of the start are those of the end."""
    return 0 <= measure.start - opening.end <= 2 and passage.is_class(opening.end, "at", "hedge")


def _out_at_a_junction(
    passage: Passage, scenes: Sequence[Scene], ends: Sequence[Measure], end_m: float | None
) -> Arrival | None:
    """ "eighteen foot one I come out at that wye on the other line": a junction reached, not passed."""
    for measure in ends:
        for way in passage.tags_from(measure.end, measure.end + 8, "ending"):
            leads = any(passage.is_class(t, "arrives_verb", "meets_verb") for t in range(way.start, way.end))
            leads = leads or _with_the_main_line(passage, way.end)
            if way.id not in ("arrival", "joins") or not leads:
                continue
            for tag in passage.tags_from(way.end - 1, way.end + 4, "component"):
                held = any(scene.start <= tag.start < scene.end for scene in scenes)
                if (
                    tag.id == "junction"
                    and held
                    and not passage.tags_from(way.end, tag.start, "condition", "component")
                ):
                    return Arrival(measure.start, tag.end, "junction", end_m)
    return None


def _with_the_main_line(passage: Passage, token: int) -> bool:
    """ "that's the junction with the main drain"."""
    words = passage.speech.words[token - 1 : token + 8]
    return any(word in ("with", "on", "into", "onto", "to") for word in words) and any(
        word in ("main", "house", "other") and behind in passage.classes["whole_line_word"]
        for word, behind in pairwise(words)
    )


def _arrives(passage: Passage, opening: Opening, measure: Measure, gap: tuple[int, int]) -> bool:
    """Whether the words say that the camera is there, rather than what a branch belongs to."""
    if opening.part == "belongs" or _serves(passage, opening) or passage.covering(opening.start, "action"):
        return False
    if any(
        passage.word(token) in ("not", "never")
        and passage.is_class(token + 1, "meets_verb", "makes_out", "arrives_verb")
        for token in range(max(gap[0], opening.start - 5), opening.start)
    ):
        return False  # "end of my reel, didn't see the main"
    junction = [t for t in passage.tags_from(gap[0], gap[1], "component") if t.id in ("junction",)]
    before_junction = [
        t for t in passage.tags_from(max(0, opening.start - 12), opening.start, "component") if t.id == "junction"
    ]
    if junction and not (opening.structure == "main" and opening.start - junction[-1].end <= 3):
        return False  # but "the connection to the council main"
    if opening.end <= measure.start and not passage.is_class(opening.end, "at", "hedge"):
        earlier = [m for m in passage.measures_from(opening.start - 9, opening.start) if m.unit in (None, "m")]
        if earlier and passage.is_class(measure.start - 1, "list"):
            return False  # "thirty one feet I'm at the stack, and forty feet": of the reading before
    if before_junction and before_junction[-1].end >= measure.start - 2:
        own = passage.measures_from(before_junction[-1].start - 5, before_junction[-1].start)
        if not own or passage.word(measure.start - 1) == "at":  # "4.6 junction left okay 7.2 septic tank"
            return False
    if any(passage.tags_from(gap[0], gap[1], "condition")):
        blocking = [
            t for t in passage.tags_from(gap[0], gap[1], "condition") if t.id not in ("sound", "dry", "flowing")
        ]
        near = passage.tags_from(opening.start - 6, opening.start, "ending")
        if blocking and not any(tag.id == "arrival" and opening.start - tag.end <= 1 for tag in near):
            return False
    moves = [tag for tag in passage.tags_from(gap[0], gap[1], "movement") if tag.id != "inspect"]
    before = passage.tags_from(opening.start - 6, opening.start, "ending")
    said = any(tag.id == "arrival" and opening.start - tag.end <= 1 for tag in before)
    if not said and any(not passage.covering(tag.start, "ending") for tag in moves):
        return False
    near = passage.tags_from(max(0, opening.start - 13), opening.end + 7, "ending")
    if any(tag.id == "arrival" for tag in near):
        return True
    if any(tag.id == "line_end" for tag in passage.tags_from(max(0, opening.start - 7), opening.start, "ending")):
        return True  # "survey complete at the base of the stack"
    words = [passage.word(token) for token in passage.standing(gap[0], gap[1]) if not passage.is_class(token, "filler")]
    if opening.start >= measure.end and len(words) <= 3:
        return True
    near_end = passage.tags_from(opening.end, opening.end + 10, "ending")
    if any(tag.id == "line_end" for tag in near_end):
        return True
    if opening.part == "destination" and _at_next(passage, opening, measure):
        return True  # "up to the foot of the stack at 3.5"
    return opening.part == "topic" and len(words) <= 4


def _serves(passage: Passage, opening: Opening) -> bool:
    return any(
        passage.word(token) in passage.classes["serves_word"]
        for token in range(max(0, opening.start - 4), opening.start)
    )


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
