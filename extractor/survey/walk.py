"""The state of one reading of the narration for scenes: what stands so far, what is gathered of a start that is not yet
taken for one.
"""

from dataclasses import dataclass, field

from extractor.language.clauses import Clause
from extractor.language.passage import Passage
from extractor.survey.openings import Opening

FIXTURES_FLOW_DOWN = {
    "toilet",
    "basin",
    "sink",
    "shower",
    "bath",
    "laundry_tub",
    "floor_waste",
    "washing_machine",
    "dishwasher",
}
TANKS = {
    "septic_tank",
    "greywater_tank",
    "holding_tank",
    "treatment_unit",
    "pump_well",
    "grease_trap",
    "stormwater_pit",
}
LEADS_ELSEWHERE = ("jetting", "rodding", "root_cutting", "flush_test", "dye_test", "leak_test", "located")
LOOK_AHEAD = 16  # words to the first reading of a new run
NEVER_VISITED = ("main", "building", "absorption_trench")


@dataclass(frozen=True, slots=True)
class Start:
    """How a run began: tokens start to end of the words that said so."""

    start: int
    end: int
    structure: str | None
    port: str | None
    label: str | None
    direction: str | None
    destination: str | None = None


@dataclass(frozen=True, slots=True)
class Scene:
    """Tokens start to end. `kind`: open (nothing yet), structure, run, closing. `run` counts from 0; `second` is a
    relook.
    """

    start: int
    end: int
    kind: str
    run: int | None = None
    structure: str | None = None
    label: str | None = None
    second: bool = False


@dataclass
class Pending:
    """Signs of a start gathered so far."""

    start: int
    end: int
    camera: bool = False
    go: bool = False
    announced: bool = False
    other_way: bool = False
    relook: bool = False
    opening: Opening | None = None
    same_opening: bool = False
    direction: str | None = None
    destination: str | None = None
    remembered: bool = False  # the opening was named before the camera's sign, and gives way to one named after
    said_from: int = -1  # where the camera's sign stands, when the opening was named before it


@dataclass
class State:
    """Where the speaker is: the structure at hand, the run under way."""

    at: str | None = None
    at_label: str | None = None
    reached: str | None = None  # what the camera came to at the end of the run
    run: int | None = None
    ended: bool = False


@dataclass
class Walk:
    """What the reader of the signs knows; it goes from left to right, and looks at each sign once."""

    passage: Passage
    clauses: tuple[Clause, ...]
    openings: dict[int, Opening]  # by first token
    closing_from: int | None
    lines: dict[int, Opening] = field(default_factory=dict)  # lines told only as one of several, by first token
    state: State = field(default_factory=State)
    pending: Pending | None = None
    starts: list[Start] = field(default_factory=list)
    marks: list[tuple[int, Scene]] = field(default_factory=lambda: [(0, Scene(0, 0, "open"))])
    started_at: tuple[str | None, str | None] = (None, None)  # structure and label at hand when the last run began
    topic: Opening | None = None  # the last opening named, which a camera may go into a few words on
    aside: tuple[int, Scene] | None = None  # where a story of another time began, and the scene that it broke into
    several: str | None = None  # what was counted in numbers: "three gullies", of which each is gone into
    reader_at: int = 0  # the token of the sign that is looked at
    stretch_until: int = -1  # up to here the words tell of a stretch, whose ends are no openings gone into
    busy_until: int = -1  # up to here the words tell of work, whose openings are not the camera's


def mark(walk: Walk, token: int, scene: Scene) -> None:
    while walk.marks and walk.marks[-1][0] >= token:
        walk.marks.pop()
    walk.marks.append((token, scene))


def gather(walk: Walk, start: int, end: int) -> Pending:
    if walk.pending is None or start - walk.pending.end > 25:
        walk.pending = Pending(start, end)
    walk.pending.end = max(walk.pending.end, end)
    return walk.pending
