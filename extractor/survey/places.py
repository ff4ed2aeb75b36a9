"""Places: which distance belongs to which thing.

    "at 2.4 there's a joint"   said before          "roots at six metres"      said after
    "from 5.4 to 7.2"          a stretch            "dry the whole way to 12"  a stretch from the opening
    "and it's cracked"         carried              "no roots to this point"   from the opening to the last distance

Read from left to right, one run at a time: a distance right behind a thing that has none is that thing's; any other opens a
place for what follows in the same breath. A thing that stands further on ("and then a bend") does not inherit it.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from extractor.language.clauses import Clause
from extractor.language.passage import Passage
from extractor.reading import Measure, Tag
from extractor.survey.rows import END, NOWHERE, Place
from extractor.survey.scenes import Scene

BREATH = 34  # words over which a distance carries at most
CLOSE = 4  # words between a thing and the distance behind it
NOT_NOTED_REACH = 16
PLACED_COMPONENTS_SKIPPED = ("pipe", "inlet", "outlet", "hose", "lid", "wall", "base", "pump", "float_switch", "filter")


@dataclass
class _Breath:
    """The place that is open, and the things said since it was."""

    place: Place = NOWHERE
    at: int = -1
    explicit: bool = False


def place_things(
    passage: Passage,
    clauses: Sequence[Clause],
    scenes: Sequence[Scene],
    roles: Mapping[Measure, str | None],
    absent: set[Tag],
) -> dict[Tag, Place]:
    """The place of each condition and component tag that stands in a run; NOWHERE where none is said."""
    places: dict[Tag, Place] = {}
    breath = _Breath()
    run: int | None = None
    for scene in scenes:
        if scene.kind != "run":
            breath = _Breath()
            continue
        if scene.run != run or scene.second:
            breath, run = _Breath(), scene.run
        _place_scene(passage, clauses, scene, roles, absent, places, breath)
    return places


def length_of(measure: Measure) -> tuple[float, float]:
    """Low and high of a measure taken as a chainage, in metres."""
    if measure.unit is None and measure.length_m is not None:
        return measure.length_m
    return measure.low, measure.high


def point(measure: Measure, how: str) -> Place:
    """A range for one place is its middle, approximate."""
    low, high = length_of(measure)
    return Place(round((low + high) / 2, 4), None, measure.approximate or high > low, how, (measure,))


def _place_scene(
    passage: Passage,
    clauses: Sequence[Clause],
    scene: Scene,
    roles: Mapping[Measure, str | None],
    absent: set[Tag],
    places: dict[Tag, Place],
    breath: _Breath,
) -> None:
    loose: list[Tag] = []  # things since the last distance that no distance before them claimed
    last: list[Tag] = []  # things that took the last place, for a stretch that goes on
    for item in _items(passage, scene, roles):
        if isinstance(item, Measure):
            clause = _clause_at(clauses, item.start)
            if (until := _goes_on_to(passage, item, breath, loose, last)) is not None:
                targets, start_m, approximate, measures = until
                low, high = length_of(item)
                place = Place(
                    start_m, round((low + high) / 2, 4), approximate or item.approximate, "stretch", (*measures, item)
                )
                for tag in targets:
                    places[tag] = place
                breath.place, breath.at, breath.explicit = place, item.end, True
                last, loose = targets, []
            elif (closed := _said_after(passage, item, clause, loose, places)) and closed:
                place = point(item, "said after")
                for tag in closed:
                    places[tag] = place
                breath.place, breath.at, breath.explicit = place, item.end, True
                last, loose = closed, []
            else:
                breath.place, breath.at, breath.explicit = point(item, "said before"), item.end, True
                last, loose = [], []
            continue
        tag = item
        place = _place_ahead(passage, clauses, tag, breath, absent)
        places[tag] = place
        if place.how in ("said before", "stretch", "whole", "to this point"):
            last.append(tag)
        else:
            loose.append(tag)
            last.append(tag)


def _items(passage: Passage, scene: Scene, roles: Mapping[Measure, str | None]) -> Iterator[Measure | Tag]:
    things = [
        tag
        for tag in passage.tags_from(scene.start, scene.end, "condition", "component")
        if tag.kind == "condition" or tag.id not in PLACED_COMPONENTS_SKIPPED
    ]
    measures = [m for m in passage.measures_from(scene.start, scene.end) if roles.get(m) == "chainage"]
    return iter(sorted([*things, *measures], key=lambda item: (item.start, item.end)))


def _clause_at(clauses: Sequence[Clause], token: int) -> Clause:
    low, high = 0, len(clauses)
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if clauses[middle].start <= token else (low, middle)
    return clauses[low]


# --- a distance behind what it places --------------------------------------------------------


def _said_after(
    passage: Passage, measure: Measure, clause: Clause, loose: list[Tag], places: dict[Tag, Place]
) -> list[Tag]:
    """Things right before the distance that have none of their own: "light roots at six metres"."""
    if not loose:
        return []
    nearest = loose[-1]
    lead = _lead(passage, measure)
    if (
        _gap(passage, nearest.end, lead) > CLOSE
        or passage.tags_from(nearest.end, lead + 1, "boundary")
        or passage.tags_from(nearest.end, lead, "stretch")
    ):
        return []
    opens = passage.cue_at(measure.end, "speech_act", "report") is not None or passage.is_class(measure.end, "article")
    prepared = passage.is_class(lead, "at") or passage.word(lead) in ("from", "somewhere", "just")
    if passage.is_class(lead, "list") or (opens and not prepared):
        return []
    if opens and prepared and places.get(nearest, NOWHERE).how == "carried" and passage.is_class(lead - 1, "list"):
        return []
    together = [tag for tag in loose if tag.start >= clause.start or _gap(passage, tag.end, nearest.start) <= 3]
    return together or [nearest]


def _lead(passage: Passage, measure: Measure) -> int:
    """The first token of the distance with its preposition."""
    start = measure.start
    while start > 0 and (
        passage.is_class(start - 1, "at", "from") or passage.word(start - 1) in ("um", "uh", "just", "the")
    ):
        start -= 1
    return start


def _gap(passage: Passage, start: int, end: int) -> int:
    """Words between, clock positions, extents and hesitations left out."""
    count = 0
    for token in passage.standing(start, end):
        measure = passage.measure_over(token)
        if measure and measure.unit == "clock":
            continue
        if (
            passage.is_class(token, "filler", "side", "article")
            or passage.covering(token, "extent")
            or passage.covering(token, "component")
        ):
            continue
        count += 1
    return count


# --- a stretch --------------------------------------------------------------------------------


def _goes_on_to(
    passage: Passage, measure: Measure, breath: _Breath, loose: list[Tag], last: list[Tag]
) -> tuple[list[Tag], float | None, bool, tuple[Measure, ...]] | None:
    """ "from 5.4 | to 7.2", "a sag ... goes to ten foot six", "the whole way to 12.4": this distance ends a stretch."""
    until = passage.covering(measure.start - 1, "stretch") or passage.covering(measure.start, "stretch")
    if until is None or until.id not in ("until", "ends", "whole") or until.end > measure.end:
        return None
    if until.end < measure.start:
        return None
    if until.id == "whole" and not passage.is_class(until.end - 1, "to"):
        return None
    since = passage.tags_from(
        max(breath.at, (loose or last)[0].start if (loose or last) else breath.at), until.start, "boundary"
    )
    moved_on = any(tag.id == "next" for tag in since)
    before = breath.place
    adjacent = (
        bool(before.measures) and passage.distance(before.measures[-1].end, until.start) <= 1 and before.to_m is None
    )
    if adjacent:
        targets = [tag for tag in last if tag.kind == "condition"] or [tag for tag in loose if tag.kind == "condition"]
        return (targets, before.from_m, before.approximate, before.measures)
    targets = [tag for tag in (loose or last) if tag.kind == "condition"]
    if not targets or moved_on:
        return None
    nearest = targets[-1]
    from_opening = _from_opening(passage, nearest.start - 4, measure.start)
    if from_opening:
        return (targets[-1:], 0.0, False, ())
    if before.from_m is not None and before.to_m is None:
        return (targets[-1:], before.from_m, before.approximate, before.measures)
    return (targets[-1:], 0.0 if nearest not in loose else 0.0, False, ())


def _from_opening(passage: Passage, start: int, end: int) -> bool:
    cues = passage.tags_from(max(0, start), end, "stretch")
    return any(tag.id in ("from_opening", "whole") for tag in cues)


# --- what a thing inherits --------------------------------------------------------------------


def _place_ahead(passage: Passage, clauses: Sequence[Clause], tag: Tag, breath: _Breath, absent: set[Tag]) -> Place:
    clause = _clause_at(clauses, tag.start)
    denied = tag in absent
    statement_end = _statement_end(passage, clauses, clause)
    cues = {cue.id: cue for cue in passage.tags_from(max(clause.start, tag.start - 12), statement_end, "stretch")}
    here = breath.place
    if (
        "to_this_point" in cues
        and (denied or tag.id in ("sound", "dry"))
        and cues["to_this_point"].start >= tag.end - 1
    ):
        return Place(0.0, _last_point(here), here.approximate, "to this point", here.measures)
    if (
        "whole" in cues
        and not _until_follows(passage, cues["whole"])
        and (denied or _spreads(tag, cues["whole"], passage))
    ):
        return Place(0.0, END, False, "whole")
    if "onwards" in cues and cues["onwards"].start - tag.end <= 8:
        start = here.from_m if here.to_m is None else here.to_m
        return Place(start if start is not None else 0.0, END, here.approximate, "onwards", here.measures)
    if breath.at < 0 or here.from_m is None:
        return Place(0.0, END, False, "whole") if denied and breath.at < 0 else NOWHERE
    if _not_noted(passage, tag, clause) or tag.start - breath.at > BREATH:
        return NOWHERE
    if _moves_on(passage, tag, clause, breath):
        return NOWHERE
    same_clause = clause.start <= breath.at and not any(
        t.kind == "condition" for t in passage.tags_from(breath.at, tag.start, "boundary")
    )
    how = here.how if here.how == "stretch" else ("said before" if same_clause or breath.explicit else "carried")
    if how == "said before" and not _first_breath(passage, clause, breath, tag):
        how = "carried"
    return replace(here, how=how)


def _first_breath(passage: Passage, clause: Clause, breath: _Breath, tag: Tag) -> bool:
    """Whether the thing stands in the very clause that the distance opened."""
    return clause.start <= breath.at <= tag.start or tag.start - breath.at <= 3


def _last_point(place: Place) -> float | None:
    return place.to_m if place.to_m not in (None, END) else place.from_m


def _statement_end(passage: Passage, clauses: Sequence[Clause], clause: Clause) -> int:
    """The end of the clause and of the ones that only go on with "and no ..." behind it."""
    end = clause.end
    while end < len(passage) and passage.is_class(end, "list") and passage.cue_at(end + 1, "negation"):
        end = _clause_at(clauses, end).end
    return end


def _until_follows(passage: Passage, cue: Tag) -> bool:
    measure = passage.measure_over(cue.end) or passage.measure_over(cue.end + 1)
    until = passage.cue_at(cue.end, "stretch", "until")
    return (until is not None and passage.measure_over(until.end) is not None) or (
        measure is not None and passage.is_class(cue.end - 1, "to")
    )


def _spreads(tag: Tag, cue: Tag, passage: Passage) -> bool:
    """What is said to be so over the whole line: only in words that mean the whole of it."""
    if tag.id in ("dry", "sound", "standing_water", "full", "flowing"):
        return (
            "whole" in passage.speech.words[cue.start : cue.end]
            or "way" in passage.speech.words[cue.start : cue.end]
            or passage.word(cue.start) in ("start", "throughout", "all", "end", "full", "entire", "from", "the")
        )
    return (
        any(word in ("whole", "throughout", "entire", "way") for word in passage.speech.words[cue.start : cue.end])
        and cue.start - tag.end <= 4
    )


def _not_noted(passage: Passage, tag: Tag, clause: Clause) -> bool:
    for cue in passage.tags_from(tag.start, min(len(passage), tag.end + NOT_NOTED_REACH), "reference"):
        if cue.id == "not_noted":
            between = passage.measures_from(tag.end, cue.start)
            return not any(m.unit in (None, "m") for m in between)
    return any(cue.id in ("back_there",) for cue in passage.tags_from(clause.start, tag.end + 6, "reference"))


def _moves_on(passage: Passage, tag: Tag, clause: Clause, breath: _Breath) -> bool:
    """ "and then a bend": a clause that goes on to the next thing, with no distance of its own, is further on."""
    for cue in passage.tags_from(max(breath.at, 0), tag.start, "boundary"):
        if cue.id == "next" and passage.distance(cue.end, tag.start) <= 6:
            return True
    return False
