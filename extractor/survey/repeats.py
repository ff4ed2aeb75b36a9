"""Findings told by what came before: "same at 2.5", "and another at 3.1", "next joint thirteen and a half moderate"."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from extractor.language.clauses import Clause
from extractor.language.context import Context
from extractor.language.passage import Passage
from extractor.reading import Measure, Tag
from extractor.survey.distances import is_stretch, length_of, point, step_of
from extractor.survey.rows import Draft, Place
from extractor.survey.scenes import Scene, scene_at
from extractor.survey.topics import NATURAL, STATES

LIKENESS = 9  # words of "(and another) one just like it about the same size" before the reading


def at_further_places(rows: Sequence[Draft], further: Mapping[Tag, Sequence[Place]]) -> list[Draft]:
    """The rows again at each further place told in one go: "cracks at 3.2 and 3.6"."""
    added = []
    for tag, places in further.items():
        if tag.kind == "condition":
            _fill_in(rows, tag, places)
    for row in rows:
        for place in further.get(row.tag, ()) if row.tag is not None else ():
            if any(_same_part(other, replace(row, place=place)) and other.condition == row.condition for other in rows):
                continue
            ends = [m.end for m in place.measures]
            starts = [m.start for m in place.measures]
            added.append(
                replace(
                    row,
                    place=place,
                    start=min([row.start, *starts]),
                    end=max([row.end, *ends]),
                    rules=["told with another distance"],
                    spans=[],
                )
            )
    told = [row for row in (*rows, *added) if row.condition is not None]
    return [row for row in added if row.condition is not None or not any(_same_part(row, other) for other in told)]


def _fill_in(rows: Sequence[Draft], tag: Tag, places: Sequence[Place]) -> None:
    """ "bend 2.2 bend 3.3 both good": the state of parts that were only named so far."""
    told = [r for r in rows if r.condition == tag.id and r.start <= tag.start < r.end + 1]
    for row in rows:
        near = row.condition is None and 0 < tag.start - row.end <= 40
        if near and told and row.component == told[-1].component and any(row.at(p.from_m) for p in places if p.from_m):
            row.condition = tag.id
            row.rules.append("told of several")


def _same_part(row: Draft, other: Draft) -> bool:
    """Whether the other row tells of the same part at the same place."""
    return (row.run, row.component, row.place.from_m) == (other.run, other.component, other.place.from_m)


def repeat_findings(
    passage: Passage, scenes: Sequence[Scene], roles: Mapping[Measure, str | None], rows: list[Draft]
) -> list[Draft]:
    """ "same at 2.5", "and again at 3.1": the last finding at another distance."""
    added: list[Draft] = []
    told: set[Measure] = set()
    cues = [
        cue
        for cue in passage.tags_from(0, len(passage), "reference")
        if cue.id == "same_again" and not _of_a_state(passage, cue)
    ]
    by_noun = [
        cue for cue in _again_by_noun(passage, roles) if not any(c.start < cue.end and cue.start < c.end for c in cues)
    ]
    for cue in sorted((*cues, *by_noun), key=lambda cue: cue.start):
        scene = scene_at(scenes, cue.start)
        if passage.word(cue.start - 1) in ("nothing", "none", "no"):
            continue  # "nothing again till 6.2"
        if passage.word(cue.end - 1) == "more" and (
            passage.things_from(cue.end, cue.end + 2) or passage.word(cue.end) == "than"
        ):
            continue  # "2.2 a bit more scale"
        before = [
            r
            for r in (*rows, *added)
            if r.run is not None and scene and r.run == scene.run and r.start < cue.start and r.polarity == "present"
        ]
        denied = _denied_before(passage, cue, rows, scene)
        if denied is not None:
            before = [replace(denied, polarity="present", rules=["denied before"])]
        if not before or cue.start - max(r.end for r in before) > 20:
            continue
        model = max(before, key=lambda r: r.start)
        named = _named_again(passage, cue, model, before)
        if named is not None and model.condition is None:  # "3.8 another joint same deal"
            model.condition, model.extent, model.rules = named.condition, named.extent, ["same again"]
            continue
        if named is not None:  # "3.8 another joint same deal, that one's open"
            added.append(
                replace(model, condition=named.condition, extent=None, rules=["same again"], spans=[], doubt=None)
            )
            continue
        measure = _distance_of_repeat(passage, cue, roles, model)
        if measure is None or measure in told:
            continue
        told.add(measure)
        if any(measure in row.place.measures and row.place.to_m is not None for row in before):
            continue  # "it comes good again at 4.8" ends what was told
        far = next((m for m in passage.measures_from(measure.end, measure.end + 6) if roles.get(m) == "chainage"), None)
        if far is not None and not is_stretch(passage, measure, far):
            far = None
        for reading in (measure, *([] if far is not None else _listed_behind(passage, measure, roles))):
            added.append(
                replace(
                    model,
                    start=min(cue.start, reading.start),
                    end=max(cue.end, (far or reading).end),
                    place=_again_at(passage, reading, far, model.place),
                    clock=None,
                    extent=_graded_behind(passage, max(cue.end, reading.end))
                    or (_graded_inside(passage, cue) if cue in by_noun else model.extent),
                    outcome="open",
                    rules=["same again"],
                    spans=[],
                    doubt=None,
                    certainty="stated",
                )
            )
    return sorted([*rows, *added], key=lambda row: row.start)


def _denied_before(passage: Passage, cue: Tag, rows: Sequence[Draft], scene: Scene | None) -> Draft | None:
    """ "no roots between the box and six, at six there's a bunch of them": what was denied is met further on."""
    told = [r for r in rows if scene and r.run == scene.run and r.start < cue.start and r.condition is not None]
    last = max(told, key=lambda r: r.start, default=None)
    named = any(passage.word(t) in ("them", "it", "those") for t in range(cue.start, cue.end))
    near = last is not None and cue.start - last.end <= 12 and scene is not None and scene.kind == "run"
    return last if last is not None and near and named and last.polarity == "absent" else None


def _again_at(passage: Passage, reading: Measure, far: Measure | None, last: Place) -> Place:
    """The place of a repeat: a point, a step on from the last ("a metre past that there's another"), or a stretch
    ("and again from 6 to 7.5").
    """
    place = replace(point(reading), how="same again")
    step = step_of(passage, reading)
    if step is not None and last.from_m is not None:
        return replace(place, from_m=round(last.from_m + step[0], 4))
    if far is None:
        return place
    end = point(far)
    rough = place.approximate or end.approximate
    return replace(place, to_m=end.from_m, approximate=rough, measures=(*place.measures, *end.measures))


def _of_a_state(passage: Passage, cue: Tag) -> bool:
    """ "then it's dry again": back to a state, no other finding."""
    told = passage.tags_from(cue.start - 3, cue.start, "condition", "time")
    return any(t.end == cue.start and (t.id in STATES or t.id == "gone") for t in told)


def _again_by_noun(passage: Passage, roles: Mapping[Measure, str | None]) -> list[Tag]:
    """ "and a bigger bunch at nineteen foot two", "1.8 another", "a third at 4.4": the last thing again, by a noun of
    amount or by a word for one more that no noun follows.
    """
    found = []
    for measure in passage.measures:
        if roles.get(measure) == "chainage" and (one_more := _one_more(passage, measure)) is not None:
            found.append(one_more)
            continue
        noun = measure.start - 2 if passage.is_class(measure.start - 1, "at") else measure.start - 1
        if passage.word(noun) in ("it", "them") and passage.word(noun - 1) == "of":
            noun -= 2  # "a proper plug of it at 1.3"
        if roles.get(measure) != "chainage" or not passage.is_class(noun, "amount_noun"):
            continue
        start = noun - 1
        while (
            noun - start <= 3
            and passage.word(start) not in ("a", "another")
            and (
                passage.covering(start, "extent") or passage.is_class(start, "more_or_less", "before_degree", "filler")
            )
        ):
            start -= 1
        if passage.word(start) not in ("a", "another", "an") or passage.things_from(start, noun + 1):
            continue
        apart = passage.is_class(start - 1, "list") or passage.covering(start - 1, "boundary") is not None
        if apart or passage.measure_over(start - 1) is not None:
            found.append(Tag(start, noun + 1, "reference", "same_again"))
    return found


def _one_more(passage: Passage, measure: Measure) -> Tag | None:
    """ "a third at 4.4" in front of a reading, "1.8 another", "2.7 there's a second one" behind it."""
    lead = measure.start
    if passage.word(lead) == "right" and passage.is_class(lead + 1, "at"):
        lead += 1  # "on the | right at five"
    while passage.is_class(lead - 1, "at") or passage.word(lead - 1) in ("of", "them", "it", "those"):
        lead -= 1
    lead -= passage.is_class(lead - 1, "amount_noun")
    if (side := _side_before(passage, lead)) < lead:
        one = passage.word(side - 1) == "one" or passage.is_class(side - 1, "one_more")
        start = side - 1 - passage.is_class(side - 2, "one_more")
        apart = passage.is_class(start - 1, "list") or passage.measure_over(start - 1) is not None
        if one and (apart or passage.covering(start - 1, "boundary")):
            return Tag(start, lead, "reference", "same_again")  # "one on the right at five"
    compared = passage.is_class(lead - 1, "more_or_less") and passage.word(lead - 1).endswith(("er", "rse"))
    if lead < measure.start and (passage.is_class(lead - 1, "one_more") or compared):
        start = lead - 1 - passage.is_class(lead - 2, "article")
        fresh = passage.is_class(start - 1, "list") or passage.covering(start - 1, "boundary")
        if fresh or passage.cue_at(start - 2, "speech_act", "report") or passage.measure_over(start - 1):
            return Tag(start, lead, "reference", "same_again")
    led = passage.is_class(measure.start - 1, "at") or passage.is_class(measure.start, "at")
    if led and passage.is_class(measure.start - 2, "list") and passage.is_class(measure.end, "also_word"):
        return Tag(measure.start, measure.end + 1, "reference", "same_again")  # "and at 2.9 as well"
    behind = measure.end + (
        passage.is_class(measure.end, "way_word") and measure.unit == "m"
    )  # "two metres in | there's"
    report = passage.cue_at(behind, "speech_act", "report")
    token = report.end if report is not None else measure.end
    token += passage.is_class(token, "article") and not passage.is_class(token, "one_more")
    if not passage.is_class(token, "one_more"):
        return None
    end = token + 1
    while passage.is_class(end, "amount_noun") or passage.word(end) in ("of", "them", "it", "like", "again", "too"):
        end += 1
    follows = passage.is_class(end, "at") and passage.measure_over(end + 1) is not None
    named = passage.things_from(end, end + 2) or passage.covering(end, "extent") or end in passage.masked
    return None if named or follows else Tag(measure.start, end, "reference", "same_again")


def _side_before(passage: Passage, end: int) -> int:
    """Where "on the right", "to the left hand side" begin that end there; the end itself where none does."""
    token = end
    while passage.is_class(token - 1, "side"):
        token -= 1
    if (
        token == end
        or not passage.is_class(token - 1, "definite")
        or passage.word(token - 2) not in ("on", "to", "off")
    ):
        return end
    return token - 2


def _graded_inside(passage: Passage, cue: Tag) -> str | None:
    inside = [tag for tag in passage.tags_from(cue.start, cue.end, "extent") if tag.extent is not None]
    return inside[0].id if inside else None


def _listed_behind(passage: Passage, measure: Measure, roles: Mapping[Measure, str | None]) -> list[Measure]:
    """ "more of them at 5.9 and 7.1": the readings that go on with a list."""
    listed: list[Measure] = []
    at = measure.end
    while behind := passage.measures_from(at, at + 3):
        between = passage.speech.words[at : behind[0].start]
        if roles.get(behind[0]) != "chainage" or "and" not in between:
            break
        if any(word not in passage.classes["one_more_distance"] for word in between):
            break
        if passage.cue_at(behind[0].end, "speech_act", "report") or passage.things_from(
            behind[0].end, behind[0].end + 2
        ):
            break
        listed.append(behind[0])
        at = behind[0].end
    return listed


def _only_points(passage: Passage, reports: Sequence[Tag]) -> bool:
    """ "that's heavy", not "there's a heavy crack"."""
    return not any("there" in passage.speech.words[t.start : t.end] for t in reports)


def _graded_behind(passage: Passage, token: int) -> str | None:
    """ "a second lot at four metres ten | moderate", "another and that one's heavy", "the same at 4.2 only this time
    there's a big beard of them".
    """
    small = ("filler", "copula", "list", "definite", "pronoun", "article", "for_grade", "says_with")
    for at in range(token, token + 8):
        cue = passage.cue_at(at, "extent")
        if cue is not None and cue.extent is not None:
            ahead = passage.tags_from(cue.end, cue.end + 2, "condition")
            report = passage.tags_from(token, cue.start, "speech_act")
            own = passage.is_class(cue.end, "amount_noun") and passage.word(cue.end + 1) == "of"
            another = passage.is_class(cue.end, "amount_noun") and not own  # "and a heavy clump at 6.6"
            return None if ahead or another or (report and not own and not _only_points(passage, report)) else cue.id
        if not passage.is_class(at, *small) or passage.measure_over(at) is not None:
            return None
    return None


def graded_again(
    passage: Passage,
    clauses: Sequence[Clause],
    scenes: Sequence[Scene],
    contexts: Mapping[Tag, Context],
    roles: Mapping[Measure, str | None],
    rows: list[Draft],
) -> list[Draft]:
    """ "next joint thirteen and a half feet moderate", "sixteen foot eight it's heavy": the last finding again, only
    its degree told.
    """
    used = {context.extent_cue for context in contexts.values() if context.extent_cue is not None}
    added: list[Draft] = []
    for cue in passage.tags_from(0, len(passage), "extent"):
        scene = scene_at(scenes, cue.start)
        if (
            cue in used
            or cue.extent is None
            or scene is None
            or scene.kind != "run"
            or passage.covering(cue.start, "condition")
        ):
            continue
        if passage.is_class(cue.end, "amount_noun"):
            continue  # "a heavy clump at 6.6": of the reading behind it
        start = max(scene.start, cue.start - 9)
        readings = [m for m in passage.measures_from(start, cue.start) if roles.get(m) == "chainage"]
        if not readings or passage.distance(readings[-1].end, cue.start) > 4:
            continue
        measure = readings[-1]
        if passage.tags_from(measure.start - 4, cue.end + 4, "condition") or passage.tags_from(
            measure.end, cue.start, "boundary"
        ):
            continue
        points = any(passage.word(t) in ("it", "they", "ones", "them") for t in range(measure.end, cue.end + 2))
        again = any(passage.word(t) in ("next", "another", "again") for t in range(start, measure.start))
        before = [
            r
            for r in (*rows, *added)
            if r.run == scene.run and r.start < measure.start and r.polarity == "present" and r.condition
        ]
        if not (points or again) or not before or measure.start - max(r.end for r in before) > 40:
            continue
        model = max(before, key=lambda r: r.start)
        low, high = length_of(measure)
        place = Place(round((low + high) / 2, 4), None, measure.approximate or high > low, "same again", (measure,))
        on = next((t for t in passage.tags_from(start, cue.end + 5, "component") if t.id in NATURAL), None)
        if on is not None:
            rows = [
                r
                for r in rows
                if not (r.run == scene.run and r.component == on.id and r.condition is None)
                or r.start > measure.end
                or measure.start > r.end
            ]
        added.append(
            replace(
                model, start=measure.start, end=max(cue.end, on.end if on else 0), place=place, clock=None,
                component=on.id if on else model.component, extent=cue.id, outcome="open",
                rules=["graded again"], spans=[], doubt=None, certainty="stated",
            )
        )  # fmt: skip
    return sorted([*rows, *added], key=lambda row: row.start)


def _named_again(passage: Passage, cue: Tag, model: Draft, before: Sequence[Draft]) -> Draft | None:
    """The last finding on a part, where only the same part was named since, with its reading."""
    if model.component is None or not any(_only_named(passage, m.end, cue.start) for m in model.place.measures):
        return None
    if not any(passage.covering(t, "component") for m in model.place.measures for t in range(m.end, cue.start)):
        return None
    here = {measure.start for measure in model.place.measures}
    earlier = [r for r in before if r.condition is not None and r.component == model.component]
    earlier = [r for r in earlier if not here & {measure.start for measure in r.place.measures}]
    last = max(earlier, key=lambda r: r.start, default=None)
    return last if last is not None and last.condition != model.condition else None


def _told_by(passage: Passage, start: int, end: int) -> bool:
    """ "at three | there's | more of them": only the words that bring it in."""
    report = passage.cue_at(start, "speech_act", "report")
    return report is not None and report.end <= end <= report.end + 1


def _only_named(passage: Passage, start: int, end: int) -> bool:
    """ "3.8 | another joint | same deal": only a part named between the reading and the words for the same."""
    return all(
        passage.is_class(token, "article", "one_more", "copula", "says_with") or passage.covering(token, "component")
        for token in range(start, end)
    )


def _told_there(passage: Passage, token: int) -> bool:
    """ "there goes the dog again | 5.8 there's a minor step": the reading of a statement of its own."""
    report = passage.cue_at(token, "speech_act", "report")
    return report is not None and "there" in passage.speech.words[report.start : report.end]


def _likeness(passage: Passage, start: int, end: int) -> bool:
    """ "(and another) one just like it", "a bit bigger than that": only words that compare it with the last."""
    small = ("filler", "pronoun", "one_again", "article", "amount_noun", "at", "more_or_less", "copula", "size_word")
    return all(
        passage.is_class(token, *small) or passage.covering(token, "extent") or passage.is_class(token, "likens")
        for token in range(start, end)
    )


def _distance_of_repeat(
    passage: Passage, cue: Tag, roles: Mapping[Measure, str | None], model: Draft
) -> Measure | None:
    """ "same at 2.5" behind the words, "three one same deal" in front of them; not the reading that the model stands at
    ("crack at 3.4 same deal 4.9").
    """
    inside = next((m for m in passage.measures_from(cue.start, cue.end) if roles.get(m) == "chainage"), None)
    if inside is not None:
        return inside  # "1.8 another"
    behind = next(
        (m for m in passage.measures_from(cue.end - 1, cue.end + LIKENESS) if roles.get(m) == "chainage"), None
    )
    if behind is not None and behind.start > cue.end + 2 and not _likeness(passage, cue.end, behind.start):
        behind = None
    front = next(
        (
            m
            for m in reversed(passage.measures_from(max(0, cue.start - 8), cue.start))
            if roles.get(m) == "chainage"
            and (
                m.end >= cue.start - 1 or _only_named(passage, m.end, cue.start) or _told_by(passage, m.end, cue.start)
            )
        ),
        None,
    )
    if front is not None and front in model.place.measures:
        told_behind = ("same again" in model.rules and model.start == front.start) or (
            "same again" not in model.rules and model.tag is not None and model.tag.start >= front.end
        )
        if told_behind and not passage.is_class(cue.end - 1, "at"):
            return None  # "1.9 another seal same again": said of what stands there
        front = None
    if behind is not None and (
        passage.things_from(cue.end, behind.start)
        or passage.things_from(behind.end, behind.end + 2)
        or _told_there(passage, behind.end)
        or passage.tags_from(cue.end, behind.start, "boundary")
    ):
        behind = None
    if behind is not None and (
        front is None or passage.is_class(behind.start - 1, "at") or passage.is_class(cue.end - 1, "at")
    ):
        return behind
    return front
