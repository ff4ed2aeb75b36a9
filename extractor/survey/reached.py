"""What the camera came to at the end of a run: the structure, fixture or other line named with the furthest reading."""

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from extractor.language.passage import Passage
from extractor.reading import Measure, by_start
from extractor.survey.openings import Opening
from extractor.survey.run_draft import RunDraft
from extractor.survey.scenes import Scene
from extractor.survey.walk import FIXTURES_FLOW_DOWN

LONGEST_OPENING = 40  # words; no name of an opening has as many
BEHIND_READING = 18  # words from the furthest reading to the name of the place


@dataclass(frozen=True, slots=True)
class Arrival:
    """The camera at a structure or fixture: tokens, what, and at which chainage."""

    start: int
    end: int
    at: str
    metres: float | None


def find_arrival(
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
        first = bisect_left(openings, measure.start - LONGEST_OPENING, key=by_start)
        for opening in openings[first:]:
            if opening.start > measure.end + BEHIND_READING or (opening.start >= later > measure.start):
                break
            if opening.structure is None or (opening.structure == run.start.structure in FIXTURES_FLOW_DOWN):
                continue  # "capped at 1.5, so that floor drain goes nowhere"
            told_first = len(readings) > 1 and measure == readings[0][0] and measure.start == opening.end
            if opening.start < run.start.end and not told_first and not _at_next(passage, opening, measure):
                continue  # "up the branch to the shed, 3.4 a crack"; but "to the shed 3.4, with a crack at 1.2"
            if not any(scene.start <= opening.start < scene.end for scene in scenes) and not (
                0 <= opening.start - measure.end <= 3 and passage.is_class(measure.end, "at")
            ):
                continue  # but "continued to 6.2 metres at the soakaway, the slab was lifted"
            if opening.start >= measure.end and opening.start - measure.end <= BEHIND_READING:
                gap = (measure.end, opening.start)
            elif opening.end <= measure.start and measure.start - opening.end <= 6:
                gap = (opening.end, measure.start)
            else:
                continue
            if opening.start >= measure.end and passage.tags_from(measure.end, opening.start, "action"):
                continue  # "that's the end of my cable, ran the hose down the downpipe"
            if (told_first and opening.part == "destination") or _arrives(passage, opening, measure, gap):
                candidate = Arrival(
                    min(opening.start, measure.start), max(opening.end, measure.end), opening.structure, run.end_m
                )
                turned = best is not None and any(
                    tag.id in ("turn", "next") for tag in passage.tags_from(best.end, opening.start, "boundary")
                )
                told = best is not None and not _said_there(passage, best.end, opening.start)
                if best is None or (opening.start > best.start and not turned and not told):
                    best = candidate
    return best


def _at_next(passage: Passage, opening: Opening, measure: Measure) -> bool:
    """ "down to the main at 9": the words of the start are those of the end."""
    return 0 <= measure.start - opening.end <= 2 and passage.is_class(opening.end, "at", "hedge", "copula")


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
    if opening.end <= measure.start and _left(passage, opening):
        return False
    if any(
        passage.is_class(t, "short_of") and passage.word(t + 1) == "of" for t in range(measure.end, opening.end + 8)
    ):
        return False  # "there's a big drop into the main, and I stopped short of it"
    joins = any(tag.id == "joins" for tag in passage.tags_from(opening.start - 6, opening.start + 1, "ending"))
    if joins and passage.is_class(opening.end, "whole_line_word"):
        return False  # "1.2 it joins the shower line"
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
    between = before_junction and passage.measures_from(before_junction[-1].end, measure.start)
    if before_junction and not between and before_junction[-1].end >= measure.start - 2:
        own = passage.measures_from(before_junction[-1].start - 9, before_junction[-1].start)
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
    if any(
        tag.id == "arrival"
        and not any(t.end < opening.start for t in passage.tags_from(tag.end, opening.start, "structure", "fixture"))
        and not any(
            t.id == "stack" and t.end < opening.start for t in passage.tags_from(tag.end, opening.start, "component")
        )
        for tag in near
    ):
        return True
    if any(tag.id == "line_end" for tag in passage.tags_from(max(0, opening.start - 7), opening.start, "ending")):
        return True  # "survey complete at the base of the stack"
    owned = passage.word(opening.start - 1) == "is" and passage.is_class(opening.start - 3, "definite")  # "the owner's"
    words = [
        passage.word(token)
        for token in passage.standing(gap[0], gap[1])
        if not (owned and token in (opening.start - 2, opening.start - 1))
        and not passage.is_class(token, "filler")
        and not (passage.is_class(token, "part_of_place") and passage.word(token + 1) == "of")
        and not (passage.word(token) == "of" and passage.is_class(token - 1, "part_of_place"))
    ]
    if opening.start >= measure.end and len(words) <= 3:
        return True
    near_end = passage.tags_from(opening.end, opening.end + 10, "ending")
    if any(tag.id == "line_end" for tag in near_end):
        return True
    if opening.part == "destination" and _at_next(passage, opening, measure):
        return True  # "up to the foot of the stack at 3.5"
    return opening.part == "topic" and len(words) <= 4


def _said_there(passage: Passage, start: int, end: int) -> bool:
    """Whether the words between two places say that the camera went on to the second, or that they are one."""
    if end - start <= 4:
        return True
    return any(tag.id in ("arrival", "line_end") for tag in passage.tags_from(start, end, "ending"))


def _left(passage: Passage, opening: Opening) -> bool:
    """ "it's dry from the box to twenty six feet": where the camera came from."""
    lead = opening.start - 1
    while passage.is_class(lead, "article", "side"):
        lead -= 1
    return passage.word(lead) in ("from", "off")


def _serves(passage: Passage, opening: Opening) -> bool:
    return any(
        passage.word(token) in passage.classes["serves_word"]
        and not any(
            tag.id == "arrival" and tag.end > token for tag in passage.tags_from(token - 3, token + 1, "ending")
        )
        for token in range(max(0, opening.start - 4), opening.start)
    )
