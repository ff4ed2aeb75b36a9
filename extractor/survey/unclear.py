"""Words that make no sense where something was seen, and have no one plain reading: no row, a query.

    "at 4.2 there's a sort of a candle on the left"   a report, a reading, a noun nobody knows, and where it sits
    "3.1 a bit of old waltz stuck to the crown"       a reading, a noun nobody knows, and how it sits

It is asked only where the words report something in a pipe, and no known thing stands in the same noun phrase.
"""

from collections.abc import Mapping, Sequence

from extractor.language.passage import Passage
from extractor.reading import Measure
from extractor.survey.rows import Draft
from extractor.survey.scenes import Scene

FRAME_REACH = 8  # words from the unknown noun back to the report or the reading
PLACE_REACH = 7  # words behind it in which where or how it sits is told
READING_REACH = 14  # words from the report back to the reading
KNOWN = ("condition", "component", "structure", "fixture", "material", "action")


def find_unclear(
    passage: Passage,
    scenes: Sequence[Scene],
    roles: Mapping[Measure, str | None],
    rows: Sequence[Draft],
    unread: Sequence[tuple[int, int]],
) -> list[tuple[int, int, tuple[int, int]]]:
    """(start, end, the noun) of each statement about something that is not known, in order."""
    runs = [scene for scene in scenes if scene.kind == "run"]
    found: list[tuple[int, int, tuple[int, int]]] = []
    for noun in unread:
        scene = next((each for each in runs if each.start <= noun[0] < each.end), None)
        if scene is None or (found and noun[0] < found[-1][1]):
            continue
        opener = _frame(passage, noun, roles)
        if opener is None and _placed_behind(passage, noun, roles):
            opener = noun[0] - 1
        if opener is None:
            continue
        end = _where_it_sits(passage, noun)
        reading = _reading(passage, scene, opener, roles)
        if end is None or (reading is None and not _placed(passage, noun, end)):
            continue
        if _known(passage, opener, noun[1]) or any(_tells(row, opener, end) for row in rows):
            continue
        start = reading.start if reading is not None else opener
        found.append((min(start, opener), end, noun))
    return found


def _frame(passage: Passage, noun: tuple[int, int], roles: Mapping[Measure, str | None]) -> int | None:
    """Where the report that wants this noun begins: "there's a", "we've got some kind of", a reading and "a"."""
    article = False
    token = noun[0] - 1
    while token >= 0 and noun[0] - token <= FRAME_REACH:
        report = passage.covering(token, "speech_act")
        if report is not None and report.id == "report" and report.end - report.start >= 2 and report.end == token + 1:
            return report.start
        measure = passage.measure_over(token)
        if measure is not None:
            return measure.start if article and roles.get(measure) == "chainage" else None
        if passage.is_class(token, "article"):
            if not article and passage.is_class(token, "definite"):
                return None  # "the", "that": something known already
            article = True
        elif passage.word(token) not in ("of", "like") and not passage.is_class(token, "vague_noun", "filler"):
            return None
        token -= 1
    return None


def _placed_behind(passage: Passage, noun: tuple[int, int], roles: Mapping[Measure, str | None]) -> bool:
    """ "and then a waltz at 7.9": the reading told right behind it."""
    if not passage.is_class(noun[0] - 1, "indefinite") or not passage.is_class(noun[1], "at"):
        return False
    reading = passage.measure_over(noun[1]) or passage.measure_over(noun[1] + 1)
    return reading is not None and roles.get(reading) == "chainage"


def _where_it_sits(passage: Passage, noun: tuple[int, int]) -> int | None:
    """The end of the statement: behind where or how the thing sits, or at a stop right behind it."""
    token = noun[1]
    if token >= len(passage) or passage.speech.breaks[token]:
        return noun[1]
    if not (passage.is_class(token, "inside", "attached", "at") or passage.measure_over(token)):
        return (
            noun[1] if passage.cue_at(token, "boundary", "next", "against") or passage.cue_at(token, "doubt") else None
        )
    end = token
    while end < len(passage) and end - noun[1] < PLACE_REACH:
        if end > token and (passage.speech.breaks[end] or _next_statement(passage, end)):
            break
        end += 1
    return end


def _next_statement(passage: Passage, token: int) -> bool:
    return (
        passage.cue_at(token, "speech_act") is not None
        or passage.cue_at(token, "boundary") is not None
        or passage.is_class(token, "someone")
        or passage.is_class(token, "list")
    )


def _reading(passage: Passage, scene: Scene, opener: int, roles: Mapping[Measure, str | None]) -> Measure | None:
    """The reading that the report stands at."""
    before = [
        measure
        for measure in passage.measures_from(max(scene.start, opener - READING_REACH), opener + 1)
        if roles.get(measure) == "chainage"
    ]
    if not before or passage.distance(before[-1].end, opener) > 3:
        return None
    return before[-1]


def _placed(passage: Passage, noun: tuple[int, int], end: int) -> bool:
    """Whether where it sits is a place in a pipe: on a side, in a wall, at a clock position or a distance."""
    behind = range(noun[1], min(end + 2, len(passage)))
    if not any(passage.is_class(token, "inside", "at") for token in behind[:3]):
        return False
    return any(
        passage.is_class(token, "side") or passage.covering(token, "component") or passage.measure_over(token)
        for token in behind[1:]
    )


def _known(passage: Passage, start: int, end: int) -> bool:
    """Whether a known thing stands in the noun phrase, or the noun is something that stands about on the job."""
    return bool(passage.tags_from(start, end + 1, *KNOWN)) or passage.is_class(
        end - 1, "surroundings", "someone", "amount_left"
    )


def _tells(row: Draft, start: int, end: int) -> bool:
    """Whether a row was made of these very words."""
    tag = row.tag
    return tag is not None and start <= tag.start < end and row.condition is not None
