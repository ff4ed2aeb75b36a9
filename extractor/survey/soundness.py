"""Verdicts: "all okay", "in good nick", said of the component just named or of a stretch of pipe."""

from extractor.language.clauses import Clause
from extractor.language.passage import Passage
from extractor.reading import Tag
from extractor.survey.distances import told_inside_measure
from extractor.survey.drafting import draft_of
from extractor.survey.parts import points_back, told_by_place
from extractor.survey.rows import NOWHERE, Place
from extractor.survey.scenes import Scene
from extractor.survey.topics import STATES, Reader, stands, topic_stands

BELITTLED = 4  # words from a finding to "but it's nothing to worry about"
WORKED_BACK = 16  # words from work done to "and it's clean now"


def read_sound(reader: Reader, scene: Scene, clause: Clause, tag: Tag, place: Place, located: Tag | None) -> None:
    """ "all okay", "in good nick": said of the component just named, or of a stretch of pipe."""
    passage, topic = reader.passage, reader.topic
    if told_inside_measure(passage, tag):
        return
    named = tag.on not in (None, "material_change", "taper") and tag.on == topic.component
    if named and place.to_m is not None and passage.cue_at(tag.end, "stretch") is None:
        place = topic.place  # "elbow point six two good and dry to two point four"
    elif scene.kind == "run" and place.how in ("carried", "none") and _right_behind(reader, clause, tag):
        place = topic.place  # "four point three a bend to the left | that's okay"
    context = reader.contexts[tag]
    graded = tag.end - tag.start == 1 or passage.word(tag.end - 1) == "fine"
    if scene.kind == "structure" and _clean_by_now(passage, tag):
        return
    if context.polarity == "absent" or (graded and _extent_not_sound(passage, tag)):
        return
    before = [t for t in passage.tags_from(clause.start, tag.start, "component") if t.end <= tag.start]
    if scene.kind == "run":
        before = [t for t in before if t.id not in ("inlet", "outlet")]
    if len(before) > 1 and before[-2].id != "pipe" and told_by_place(passage, before[-2].end, before[-1].start):
        before.pop()  # "the tee on the outlet end is sound"
    of_pipe = bool(before) and before[-1].id == "pipe"
    before = [] if of_pipe else before
    own = None if tag.on == "pipe" else tag.on
    component = before[-1].id if before else (located.id if located and located.id != "pipe" else own)
    after = [
        t
        for t in passage.tags_from(tag.end, tag.end + 3, "component")
        if t.id != "pipe" and passage.word(tag.end - 1) not in ("fine",)
    ]
    if (
        component is None
        and after
        and (passage.distance(tag.end, after[0].start) == 0 or _with_it(passage, tag, after[0]))
    ):
        component = after[0].id
    near_topic = (
        not of_pipe
        and topic_stands(topic, place, tag)
        and topic.component not in (None, "pipe", "material_change")
        and passage.distance(topic.end, tag.start)
        <= (14 if _of_all(passage, tag) or (topic.component == "junction" and points_back(passage, clause, tag)) else 8)
    )
    if component is None and near_topic and not _after_denial(passage, clause, tag):
        component = topic.component
    spread = place.to_m is not None
    told_of_structure = scene.kind == "structure" and _about_structure(passage, clause, tag)
    if spread and scene.kind == "run" and component != "patch":
        component = None  # "good from the manhole to the junction at 4.4": the pipe is
    if component is None and scene.kind == "run" and _belittled(reader, scene, clause, tag, place):
        return
    if component is None and not (spread and scene.kind == "run") and not told_of_structure:
        return
    behind = passage.tags_from(tag.end, tag.end + 3, "stretch")
    leads = any(cue.start == tag.end or cue.id in ("from_opening", "whole") for cue in behind)
    if not _plainly(passage, tag) and not (spread and leads):
        return
    if topic.row is not None and topic.row.component == component and not spread and stands(reader, topic.row):
        if topic.row.condition is None:
            topic.row.condition = "sound"
            topic.row.end = max(topic.row.end, tag.end)
            topic.row.rules.append("said to be in order")
        return
    if scene.kind == "run" and component is not None and not spread:
        same = [
            r for r in reader.rows if r.run == scene.run and r.component == component and r.place.from_m == place.from_m
        ]
        if any(r.condition not in (None, "sound") for r in same) or place.from_m is None:
            return
    if scene.kind != "run" and scene.structure is None:
        return
    row = draft_of(reader, scene, clause, tag, component, "sound", place if scene.kind == "run" else NOWHERE)
    row.rules.append("said to be in order")
    reader.rows.append(row)


def _right_behind(reader: Reader, clause: Clause, tag: Tag) -> bool:
    """Whether the verdict follows the thing just told, with no reading of its own."""
    topic, passage = reader.topic, reader.passage
    if (
        topic.component in (None, "pipe", "material_change")
        or topic.place.from_m is None
        or topic.place.to_m is not None
    ):
        return False
    near = passage.distance(topic.end, tag.start) <= (2 if not passage.is_class(tag.end - 1, "says_with") else 4)
    return tag.start - topic.end >= 0 and near and not passage.measures_from(topic.end, tag.end)


def _belittled(reader: Reader, scene: Scene, clause: Clause, tag: Tag, place: Place) -> bool:
    """ "there's scale but it's nothing to worry about": of the finding just told, and no verdict on the pipe."""
    last = reader.rows[-1] if reader.rows else None
    return (
        last is not None
        and last.run == scene.run
        and last.condition not in (None, "sound", *STATES)
        and last.polarity == "present"
        and last.place.from_m == place.from_m
        and reader.passage.distance(last.end, tag.start) <= BELITTLED
        and points_back(reader.passage, clause, tag)
    )


def _with_it(passage: Passage, tag: Tag, component: Tag) -> bool:
    """ "nothing wrong with | the baffles"."""
    return passage.is_class(tag.end - 1, "says_with") and all(
        passage.is_class(t, "article", "which_of", "before_part") or not passage.word(t).isalnum()
        for t in range(tag.end, component.start)
    )


def _of_all(passage: Passage, tag: Tag) -> bool:
    """ "and both of them are fine"."""
    return any(passage.word(t) in ("both", "all") for t in range(tag.start - 4, tag.start))


def _clean_by_now(passage: Passage, tag: Tag) -> bool:
    """ "shovelled that out by hand and it's clean now": what the work has done."""
    gone = passage.covering(tag.start, "time")
    subject = tag.start - 1
    while passage.is_class(subject, "copula", "filler"):
        subject -= 1
    done = passage.tags_from(tag.start - WORKED_BACK, tag.start, "action")
    worked = any(t.id in ("hand_removal", "jetting", "pump_out", "rodding") for t in done)
    return (
        gone is not None
        and gone.id == "gone"
        and worked
        and (passage.word(subject) in ("it", "that", "they") or passage.covering(subject, "structure") is not None)
    )


def _extent_not_sound(passage: Passage, tag: Tag) -> bool:
    """ "fine hair roots", "fine crack": the word is a degree where a condition follows it in the same phrase."""
    for token in range(tag.end, tag.end + 3):
        if any(t.id != "sound" for t in passage.tags_from(token, token + 1, "condition")):
            return True
        if (
            passage.is_class(token, "article", "copula", "list")
            or passage.measure_over(token)
            or passage.cue_at(token, "boundary")
            or passage.cue_at(token, "negation")
        ):
            return False
    return False


def _after_denial(passage: Passage, clause: Clause, tag: Tag) -> bool:
    return any(t.end <= tag.start for t in passage.tags_from(clause.start, tag.start, "negation"))


def _about_structure(passage: Passage, clause: Clause, tag: Tag) -> bool:
    named = bool(passage.tags_from(clause.start, tag.start, "structure"))
    return named or passage.has_class(max(clause.start, tag.start - 4), tag.start + 1, "all_of_it")


def _plainly(passage: Passage, tag: Tag) -> bool:
    """A word that also only fills ("okay", "right", "good") is a verdict where it is said of something ("that's
    okay"), or
    stands right behind the thing ("bend okay")."""
    if passage.covering(tag.start, "boundary") is None or tag.end - tag.start > 1 or tag.on is not None:
        return True
    if passage.is_class(tag.start - 1, "article") and passage.tags_from(tag.end, tag.end + 1, "component"):
        return True  # "a good joint"
    if passage.is_class(tag.start - 1, "article") and passage.is_class(tag.start - 2, "copula"):
        return passage.word(tag.end) in ("one", "un", "job")  # "inlet tee's there and she's a good one"
    lead = tag.start - 1
    while passage.is_class(lead, "filler") and not passage.is_class(lead, "copula"):
        lead -= 1
    if passage.is_class(lead, "copula"):
        return not (passage.word(lead - 1) == "that" and passage.word(lead - 2) == "so")
    clock = passage.measure_over(lead)
    reading = passage.measure_over(lead)
    if reading is not None and reading.unit in (None, "m"):  # "joint at four foot okay | joint at eight foot okay"
        part = reading.start - 1
        while passage.is_class(part, "at", "reading_word"):
            part -= 1
        named = passage.covering(part, "component") is not None
        then = tag.end
        while passage.is_class(then, "article", "one_more"):
            then += 1
        ahead = passage.tags_from(then, then + 1, "component")
        over = tag.end
        while passage.is_class(over, "also_word") or (passage.word(over) == "well" and passage.word(over - 1) == "as"):
            over += 1  # "next joint one metre ten good as well"
        closes = (
            over >= len(passage)
            or passage.speech.breaks[over]
            or passage.is_class(over, "list")
            or passage.measure_over(over) is not None
            or passage.cue_at(over, "boundary") is not None
        )
        if named and (ahead or closes):
            return True
    behind = passage.covering(lead, "component") is not None or (clock is not None and clock.unit == "clock")
    return behind and not passage.cue_at(tag.end, "movement") and not passage.cue_at(tag.end, "boundary", "turn")
