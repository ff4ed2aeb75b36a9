"""What the placing of things holds on to as it goes along a run, and what the words round a distance tell it.

`Breath` is the place that is open; `Placing` holds it with the places given so far.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

from extractor.language.clauses import Clause
from extractor.language.passage import Passage
from extractor.reading import Tag
from extractor.survey.distances import NO_PLACE_OF_THEIR_OWN, Spoken
from extractor.survey.rows import NOWHERE, Place

STATES = ("sound", "capped", "live", "flowing", "disused", "dry", "full")  # said of what was just named
SPREADING = (
    "dry",
    "sound",
    "standing_water",
    "full",
    "flowing",
    "settled_deposit",
    "attached_deposit",
    "grease",
    "root_intrusion",
    "surface_damage",
)
BREATH = 34  # words over which a distance carries at most


@dataclass
class Breath:
    """The place that is open, the things that took it, and the things since that have none of their own."""

    place: Place = NOWHERE
    at: int = -1
    holders: list[Tag] = field(default_factory=list)
    loose: list[Tag] = field(default_factory=list)
    also: tuple[Place, ...] = ()  # places told with this one: "at 5.2 and 6.4 there's scale"
    up_to: Place | None = None  # the stretch of "up to 4.4 there's no cracks", for what lies along the pipe
    listed: list[Tag] = field(default_factory=list)  # things of a list of readings that goes on
    closed: bool = False  # the list has told its last: "at 2.2 4.1 and 6.3 | nine metres the main"
    style: str = ""  # whether distances last came before or after their things


@dataclass
class Placing:
    """The passage, and what is placed so far."""

    passage: Passage
    clauses: Sequence[Clause]
    absent: set[Tag]
    places: dict[Tag, Place]
    breath: Breath = field(default_factory=Breath)
    extra: dict[Tag, list[Place]] = field(default_factory=dict)
    readings: list[Place] = field(default_factory=list)  # of the run so far
    since: int = 0  # the token at which the run begins
    furthest: float = 0.0  # the furthest reading of the scene
    habit: int = 0  # how much more often a distance was told behind its thing than in front of it
    awaited: list[tuple[Tag, list[Tag]]] = field(default_factory=list)  # ends named before their reading
    lengths: dict[int, Place] = field(default_factory=dict)  # lengths told before the reading where they begin
    ended: set[Tag] = field(default_factory=set)  # mentions that tell the end of what they name
    so_far: set[Tag] = field(default_factory=set)  # things whose far end is only where they were "still there"
    unnoted: set[Tag] = field(default_factory=set)  # things whose distance the speaker says he did not note


def opens_statement(state: Placing, token: int) -> bool:
    """Whether a new thing is told right behind the distance: "at 4.4 there's", "at 3.3 moderate scale"."""
    passage = state.passage
    while token in passage.masked:
        token += 1
    if passage.word(token) == "in" and passage.cue_at(token + 1, "speech_act", "report") is not None:
        token += 1  # "two metres in | there's another"
    if passage.cue_at(token, "speech_act", "main_issue", "closing", "recommendation") is not None:
        return False  # "capped off at 5.8 | main trouble was the fat"
    if passage.word(token) == "that" and passage.is_class(token + 1, "someone"):
        return False  # "a mat of roots at 2.6 | that i can't shove past"
    report = passage.cue_at(token, "speech_act", "report")
    if report is not None and passage.word(token) == "that" and passage.is_class(report.end, "inside"):
        return False  # "a wye on the right at nineteen two | that's off the washing machine"
    if (report is not None and report.end - report.start >= 2) or passage.cue_at(token, "negation", "denies_next"):
        return True
    doubt = passage.cue_at(token, "doubt", "doubts_next")
    if doubt is not None and doubt.end - doubt.start >= 2 and passage.things_from(doubt.end, doubt.end + 4):
        return True  # "there may be infiltration"
    if passage.is_class(token, "copula") and (
        passage.is_class(token + 1, "article") or passage.word(token + 1) == "where"
    ):
        return True  # "2.2 is the thing I was worried about"
    if passage.is_class(token, "article"):
        return (
            passage.cue_at(token, "speech_act") is None
            and passage.cue_at(token + 1, "speech_act", "main_issue") is None
        )
    for step in range(token, token + 5):
        number = passage.measure_over(step)
        if (
            step in passage.masked
            or (number is not None and number.unit == "ordinal")
            or passage.word(step) in ("next", "other", "last")
            or passage.is_class(step, "article", "filler", "at")
            or passage.covering(step, "extent")
        ):
            continue
        things = passage.things_from(step, step + 1)
        if things and all(tag in state.absent for tag in things):
            return False  # "at two metres ten | roots i saw none of"
        if things:
            return any(tag.kind != "condition" or tag.id not in STATES for tag in things)
        if not passage.covering(step, "material"):
            return False
    return False


def own_behind(state: Placing, token: int) -> bool:
    """Whether the thing told next has its own distance right behind it: "there's the trap at 5.8"."""
    passage = state.passage
    ahead = [
        t
        for t in passage.tags_from(token, token + 11, "condition", "component", "structure", "fixture")
        if t.id not in NO_PLACE_OF_THEIR_OWN
    ]
    if not ahead or any(passage.measure_over(t) for t in range(token, ahead[0].start)):
        return False
    end = ahead[0].end
    while end < len(passage) and (passage.covering(end, "extent") or passage.is_class(end, "filler")):
        end += 1
    if passage.is_class(end, "inside") and (part := passage.tags_from(end + 1, end + 3, "component")):
        end = part[0].end
    if passage.word(end) in ("starts", "begins", "commences"):
        end += 1
    if not passage.is_class(end, "at", "from"):
        return False
    measure = passage.measure_over(end + 1)
    if measure is None or measure.unit not in (None, "m"):
        return False
    report = passage.cue_at(measure.end, "speech_act", "report")
    return report is None or not passage.things_from(report.end, report.end + 4) or own_behind(state, measure.end)


def told_of_the_end(state: Placing, token: int) -> bool:
    """ "at 4 metres I'll leave it there": the reading is where the camera stopped, not where the last thing is."""
    passage = state.passage
    for tag in passage.tags_from(token, token + 3, "ending"):
        if tag.id in ("stopped", "cable_limit", "line_end"):
            return True
        if tag.id == "arrival" and passage.tags_from(tag.start, tag.end + 3, "structure", "fixture"):
            return True
    return False


def words_between(state: Placing, start: int, end: int) -> int:
    """Words between; clock positions, degrees, sides and hesitations left out."""
    passage, count = state.passage, 0
    for token in passage.standing(start, end):
        measure, word = passage.measure_over(token), passage.word(token)
        if measure and measure.unit == "clock":
            continue
        if word == "in" and passage.word(token + 1) in ("that", "this"):
            continue  # "roots in that one"
        if word == "one" and passage.word(token - 1) in ("that", "this"):
            continue
        if (
            passage.is_class(token, "filler", "side", "article", "at")
            or passage.covering(token, "extent")
            or passage.covering(token, "component")
        ):
            continue
        count += 1
    return count


def lead_start(state: Placing, start: int) -> int:
    passage = state.passage
    while start > 0 and (
        start - 1 in passage.masked
        or passage.is_class(start - 1, "at", "from")
        or passage.word(start - 1) in ("um", "uh", "just", "the")
    ):
        start -= 1
    return start


def told_alike(state: Placing, tag: Tag, token: int) -> bool:
    """ "roots at 26 feet roots at 29": the same thing told again right behind, each with its distance behind it."""
    ahead = state.passage.tags_from(token, token + 3, "condition")
    return bool(ahead) and ahead[0].id == tag.id


def only_denied(state: Placing, tag: Tag) -> bool:
    """ "at 1.3 no holes to this point | there's a crack at 1.7": a reading for what is denied leads to nothing
    else.
    """
    holders = state.breath.holders
    return bool(holders) and all(t in state.absent for t in holders) and tag not in state.absent


def habit_of(state: Placing, items: Sequence[Spoken | Tag]) -> int:
    """Whether this speaker tells the distance in front of the thing (below 0) or behind it (above), from the readings
    that stand beside one thing only: with none in front that is near, or none behind.
    """
    passage, habit = state.passage, 0
    for index, item in enumerate(items):
        if not isinstance(item, Spoken):
            continue
        before = items[index - 1] if index else None
        after = items[index + 1] if index + 1 < len(items) else None
        lead = lead_start(state, item.start)
        in_front = isinstance(before, Tag) and words_between(state, before.end, lead) <= 1
        behind = isinstance(after, Tag) and opens_statement(state, item.end)
        parted = passage.is_class(lead - 1, "list") or passage.covering(lead - 1, "boundary") is not None
        if behind and (not in_front or parted):
            habit -= 1
        elif in_front and not parted and not behind:
            habit += 1
    return habit
