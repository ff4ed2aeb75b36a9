"""Why a run ended: the last sign of an end at, or behind, its furthest reading, weighed against the others.

reached > could not pass > capped > out of cable > chose to stop > the line's end > done, unless what is beside it says
otherwise: "that's where I quit" beside a pipe squashed flat could not pass.
"""

from bisect import bisect_left
from collections.abc import Mapping, Sequence

from extractor.language.passage import Passage
from extractor.reading import Measure, Tag, by_start
from extractor.survey.openings import Opening
from extractor.survey.reached import find_arrival
from extractor.survey.rows import Place
from extractor.survey.run_draft import RunDraft
from extractor.survey.scenes import Scene

BEFORE_READING = 14  # words before the furthest reading that may tell of its end
OF_THE_CAP = 12  # words from a cap to "can't go further"
OF_ANOTHER_TIME = 10  # words from "last fall" to what happened then
NO_REFUSAL = ("no", "nothing", "without", "hardly")  # "a bend, no bother"
OUT_THERE = 10  # words from the furthest reading to a place in the open
TOLD_THERE = 18  # words from the furthest reading that tell of that place
OF_THE_JOIN = 8  # words from the line that a run joins to what is told of that place
BARS_BEHIND = 24  # words from the furthest reading to what bars the way there
DONE_WITHIN = 30  # words from the furthest reading to "that's me done"
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
BARS_THERE = (*CLOSES, *HINDERS, "dip", "bend")  # what may stop a camera, where words of stopping stand beside it


def settle_end(
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
    found = _told(passage, scenes, furthest, first_furthest)
    arrival = find_arrival(passage, scenes, run, readings, openings, later)
    capped = _capped(passage, scenes, run, places, openings, first_furthest)
    stopped = found.get("could_not_pass")
    barred = _barred(passage, scenes, run, places, first_furthest)
    joined = found.get("joins")
    joined = joined if joined is not None and joined.end >= first_furthest - OF_THE_JOIN else None
    if stopped is not None and joined is not None and stopped.start - joined.end > OF_THE_JOIN:
        stopped = None  # "1.9 I come out in the other pipe, that's that; the pump's pipe, the camera won't fit it"
        found.pop("could_not_pass", None)
    if stopped is None and arrival is None and joined is None:
        stopped = _said_to_bar(passage, found)
        if stopped is None and barred is not None:
            stopped = _stopped_by(passage, found, barred)
        if stopped is not None:
            found["could_not_pass"] = stopped
    if stopped is not None and capped is not None and 0 <= stopped.start - capped.end <= OF_THE_CAP and barred is None:
        stopped = None  # "there's a cap on it so I can't go further"
    if arrival is not None and arrival.at == "building" and stopped is not None:
        arrival = None  # "we're under the house at a cleanout tee, can't make the turn"
    if arrival is not None and stopped is not None and stopped.start > arrival.end:
        first = bisect_left(openings, arrival.end, key=by_start)
        last = bisect_left(openings, stopped.start, key=by_start)
        between = any(opening.structure is not None for opening in openings[first:last])
        if between and not any(arrival.end <= m.start < stopped.start for m, _ in readings):
            stopped = None  # of another opening, which the camera did not get into
            found.pop("could_not_pass", None)
    for reason in ("cable_limit", "stopped"):
        if stopped is not None and reason in found and found[reason].end <= stopped.start:
            first = bisect_left(openings, found[reason].end, key=lambda opening: opening.start)
            last = bisect_left(openings, stopped.start, key=lambda opening: opening.start)
            if any(opening.port is not None for opening in openings[first:last]):
                stopped = None  # "thirty foot is all the cable; the middle outlet, the head won't fit it"
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
        run.end_reason, run.end_at = "reached", "junction" if "joins" in found else None
    elif "done" in found and run.end_m is not None:
        run.end_reason = "stopped"
    else:
        run.end_reason, run.end_at = _by_what_is_there(passage, scenes, readings, openings, furthest)
    for tag in found.values():
        run.spans.append((tag.start, tag.end))


def _by_what_is_there(
    passage: Passage,
    scenes: Sequence[Scene],
    readings: list[tuple[Measure, float]],
    openings: Sequence[Opening],
    furthest: Sequence[int],
) -> tuple[str | None, str | None]:
    """Where no words of an end were understood: what is told at the furthest reading, up to the next one or work."""
    last = next((m for m, _ in reversed(readings) if m.start in furthest), None)
    scene = next((s for s in scenes if last is not None and s.start <= last.start < s.end), None)
    if last is None or scene is None:
        return None, None
    end = min(scene.end, last.end + TOLD_THERE)
    others = [m.start for m, _ in readings if m.start > last.start]
    end = min([end, *others, *(t.start for t in passage.tags_from(last.end, end, "action"))])
    refused = [
        t
        for t in range(last.end, end)
        if passage.is_class(t, "word_of_stopping")
        or (passage.is_class(t, "refuses") and passage.word(t) not in NO_REFUSAL)
    ]
    bars = [t for t in passage.tags_from(last.end, end, "condition", "component") if t.id in BARS_THERE]
    bars = [t for t in bars if not passage.cue_at(t.start - 1, "negation")]
    fine = any(t.id == "sound" for t in passage.tags_from(last.end, end, "condition"))
    if bars and not fine and any(t >= bars[0].end for t in refused):
        return "could_not_pass", None
    if any(
        passage.is_class(t, "cable_word") and passage.word(t) not in ("line", "length") for t in range(last.end, end)
    ):
        return "cable_limit", None
    out = [t for t in passage.tags_from(last.end, end, "movement") if t.id == "out_again"]
    if out and passage.has_class(out[0].start - 3, out[0].start, "walker"):
        return "stopped", None  # "7.5 and I brought her back from there"
    for token in range(last.end, min(end, last.end + OUT_THERE)):
        led = token - 1 - passage.is_class(token - 1, "article")
        if passage.is_class(token, "kerb_word", "outside_place") and passage.is_class(led, "arrives_at"):
            return "reached", None  # "7.5 and there's the outlet at the creek"
    return None, None


def _told(passage: Passage, scenes: Sequence[Scene], furthest: Sequence[int], first_furthest: int) -> dict[str, Tag]:
    """The words of an end from the furthest reading on, the last of each kind (of the line's end, the first)."""
    found: dict[str, Tag] = {}
    for scene in scenes:
        for tag in passage.tags_from(scene.start, scene.end, "ending"):
            if tag.start < first_furthest - BEFORE_READING or _of_another_time(passage, tag):
                continue
            if tag.id == "passed":
                found.pop("could_not_pass", None)
                found.pop("bars", None)
            elif (
                tag.id in ("cable_limit", "could_not_pass")
                and not passage.has_class(tag.start, tag.end, "cable_word")
                and _own_choice(passage, tag)
            ):
                found["stopped"] = tag
            elif tag.id == "done" and passage.is_class(tag.end, "beaten_word"):
                found["could_not_pass"] = tag  # "and that's me beat"
            elif tag.id == "done" and passage.has_class(tag.end, tag.end + 3, "cable_word"):
                found["cable_limit"] = tag  # "that's my lot of cable"
            elif tag.id == "could_not_pass" and _only_so_far(passage, tag, first_furthest):
                found["cable_limit"] = tag
            elif tag.id == "stopped" and _was_stopped(passage, tag):
                found["could_not_pass"] = tag
            elif tag.id in ("could_not_pass", "cable_limit", "stopped", "bars"):
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
    return found


def _own_choice(passage: Passage, tag: Tag) -> bool:
    """ "I'm not pushing her past there", "we went no further": the speaker, who would not, where the same words of the
    camera tell that it could not.
    """
    no = next((t for t in range(tag.start, tag.end) if passage.is_class(t, "negation_word")), tag.start)
    who = no - 1
    while passage.is_class(who, "copula", "filler", "of_own_will") and not passage.is_class(who, "able_word"):
        who -= 1
    if passage.word(no) not in ("not", "no", "never") or who == no - 1 or passage.word(who) not in ("i", "we"):
        return False
    if tag.id == "cable_limit":
        return True
    onward = passage.has_class(no, tag.end, "onward") and passage.word(tag.end - 1) not in ("past", "beyond")
    return onward and not any(passage.word(t) in ("get", "getting", "got") for t in range(no, tag.end))


def _only_so_far(passage: Passage, tag: Tag, furthest: int) -> bool:
    """ "she won't go any further", with nothing told that stands in her way: as far as she would push."""
    words = passage.speech.words[tag.start : tag.end]
    if not passage.has_class(tag.start, tag.end, "onward") or "past" in words or "get" in words or "getting" in words:
        return False
    near = passage.tags_from(max(0, min(furthest, tag.start) - 8), tag.end + 8, "condition", "component")
    there = [t for t in near if t.id in BARS_THERE]
    bars = [t for t in passage.tags_from(max(0, furthest - 8), tag.end + 8, "ending") if t.id == "bars"]
    return (
        not there
        and not bars
        and passage.has_class(tag.start - 4, tag.start, "the_camera", "camera_part", "refuses_modal")
    )


def _was_stopped(passage: Passage, tag: Tag) -> bool:
    """ "I got stopped at sixteen feet by a chunk of board", not "I've stopped"."""
    verb = next((t for t in range(tag.start, tag.end) if passage.is_class(t, "ends_run")), None)
    if verb is None:
        return False
    led = verb - 1
    while passage.is_class(led, "filler"):
        led -= 1  # "it's still stopped by the collapse"
    if not passage.is_class(led, "passive", "gets_passive"):
        return False
    return passage.is_class(led, "gets_passive") or passage.has_class(verb, tag.end + 8, "by_it")


def _chosen(passage: Passage, tag: Tag | None) -> bool:
    """ "I choose to leave it there", "no need to go on": told as one's own choice, whatever lies there."""
    return tag is not None and passage.has_class(max(0, tag.start - 5), tag.end + 2, "choice_word")


def _said_to_bar(passage: Passage, found: Mapping[str, Tag]) -> Tag | None:
    """What the words say stands in the camera's way ("jammed across the pipe", "I can't see a thing"), where nothing
    else tells why it stopped.
    """
    bar = found.get("bars")
    end = found.get("stopped")
    left = end is not None and bar is not None and end.start < bar.start
    left = left and end is not None and passage.has_class(end.start, end.end, "leaves_it")
    if bar is None or left or _chosen(passage, end):
        return None
    cable = found.get("cable_limit")
    if cable is not None and any(passage.is_class(t, "cable_word") for t in range(cable.start, cable.end)):
        return None
    return bar


def _capped(
    passage: Passage,
    scenes: Sequence[Scene],
    run: RunDraft,
    places: Mapping[Tag, Place],
    openings: Sequence[Opening],
    furthest: int,
) -> Tag | None:
    """A cap at the end of the run, not on a branch of it, nor on an opening spoken of next."""
    for scene in scenes:
        for tag in passage.tags_from(max(scene.start, furthest - 8), scene.end, "condition", "component"):
            if not (tag.id == "capped" or _end_cap(tag, run, places)) or _on_junction(passage, tag, places):
                continue
            first = bisect_left(openings, furthest + 1, key=by_start)
            last = bisect_left(openings, tag.start, key=by_start)
            if not any(o.port is not None and o.label is not None for o in openings[first:last]):
                return tag
    return None


def _barred(
    passage: Passage, scenes: Sequence[Scene], run: RunDraft, places: Mapping[Tag, Place], furthest: int
) -> Tag | None:
    """What fills or blocks the pipe at the furthest reading, and was not said to be got past."""
    bars: Tag | None = None
    for scene in scenes:
        for tag in passage.tags_from(max(scene.start, furthest - BEFORE_READING), scene.end, "condition", "ending"):
            if tag.kind == "ending":
                bars = None if tag.id == "passed" else bars
            elif (
                tag.kind == "condition"
                and tag.id in (*CLOSES, *HINDERS)
                and not passage.cue_at(tag.start - 1, "negation")
            ):
                place = places.get(tag)
                reached = place is not None and run.end_m in (place.from_m, place.to_m)
                there = reached or (place is None and 0 <= tag.start - furthest <= BARS_BEHIND)
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
        if _chosen(passage, end):
            return None
        if kind == "cable_limit" and any(passage.is_class(t, "cable_word") for t in range(end.start, end.end)):
            return None
        if kind == "stopped" and 0 <= end.start - bar.end <= 1 and passage.word(end.start) not in ("i", "we"):
            return end  # "seven feet roots stopped there"
        told = 0 <= bar.start - end.end <= 8 and any(
            passage.is_class(t, "gives_reason") for t in range(end.end, bar.start)
        )
        reason = any(
            passage.is_class(t, "gives_reason") and not (passage.word(t) == "as" and t < end.end)  # "as far as I got"
            for t in range(end.start, end.end + 3)
        )
        chosen = kind == "stopped" and reason
        filled = bar.id in CLOSES or _fills(passage, bar)
        near = end.start - bar.end <= (12 if filled else 8) and bar.start - end.end <= 6
        wades = bar.id == "standing_water" and kind == "cable_limit"  # water lies there, and the camera goes through it
        if told or (near and not chosen and not wades and (filled or kind in ("cable_limit", "done"))):
            return end
        return None
    filled = _fills(passage, bar)
    return bar if bar.id in SHUTS or filled else None


def _fills(passage: Passage, bar: Tag) -> bool:
    """ "packed solid with grease", "silted up to the top"."""
    if passage.has_class(max(0, bar.start - 3), bar.end + 3, "fills_it"):
        return True
    return any(
        passage.is_class(t, "crown_of_pipe") and passage.word(t - 1) == "the" and passage.word(t - 2) == "to"
        for t in range(bar.end, bar.end + 6)
    )


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


def _of_another_time(passage: Passage, tag: Tag) -> bool:
    """ "last fall I got a camera stuck in a belly": no end of a run of this visit."""
    earlier = [t for t in passage.tags_from(tag.start - OF_ANOTHER_TIME, tag.start, "time") if t.id == "earlier"]
    return bool(earlier) and not passage.tags_from(earlier[-1].end, tag.start, "boundary")
