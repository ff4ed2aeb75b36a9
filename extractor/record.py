"""The survey record: contract 1, plus what the program adds (ids, evidence, times, the rules that made a row).

Distances are metres along the run, times seconds from the start of the recording, character offsets half-open into
`Source.text`. Field names and meanings of the contract are fixed; the added fields may be left out by other programs.
"""

from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field

Polarity = Literal["present", "absent"]
Certainty = Literal["stated", "tentative"]
Outcome = Literal["open", "cleared", "partly_cleared"]
Extent = Literal["slight", "moderate", "severe"]
Direction = Literal["upstream", "downstream"]
EndReason = Literal["reached", "could_not_pass", "cable_limit", "capped", "stopped"]
Unit = Literal["m", "%", "L", "min", "mm/m", "ratio"]
Role = Literal[
    "chainage", "depth", "diameter", "reach", "surface", "length", "size", "level", "fall", "duration", "other"
]
Result = Literal["done", "partial", "failed"]
Reason = Literal["no_distance", "unclear_word", "conflict", "counter", "which_one", "unit", "doubt"]


_GIVEN: dict[frozenset[str], set[str]] = {}  # the sets of field names that parts were made with, each kept once


class _Part(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)

    def model_post_init(self, context: Any, /) -> None:
        """Share the set of the fields' names that were given with the parts alike: it is most of a part's memory."""
        given = self.__pydantic_fields_set__
        object.__setattr__(self, "__pydantic_fields_set__", _GIVEN.setdefault(frozenset(given), given))


class Evidence(_Part):
    """Words that a row rests on: characters first to last of narration `source` (0 for the first), and their time."""

    source: int = 0
    first_char: int
    last_char: int
    start_s: float | None = None
    end_s: float | None = None


class Quoted(_Part):
    """What every row has: an id within the record, the words it rests on, and the rules that made it."""

    id: str = ""
    quote: str
    evidence: tuple[Evidence, ...] = ()
    rules: tuple[str, ...] = ()


class RunStart(_Part):
    """Where the camera went in. `label` tells one of several ("1", "left", "second"), as said."""

    structure: str | None = None
    port: Literal["inlet", "outlet"] | None = None
    label: str | None = None


class Run(_Part):
    """One continuous pass of the camera. `end_m` is the furthest chainage reached, in metres."""

    id: str
    start: RunStart
    direction: Direction | None = None
    end_m: float | None = None
    end_reason: EndReason | None = None
    end_at: str | None = None
    quote: str = ""
    evidence: tuple[Evidence, ...] = ()
    rules: tuple[str, ...] = ()


class Observation(Quoted):
    """One thing seen, in a pipe (`run` set) or at a structure (`structure` set)."""

    run: str | None = None
    structure: str | None = None
    structure_label: str | None = None
    component: str | None = None
    condition: str | None = None
    from_m: float | None = None
    to_m: float | None = None
    approximate: bool = False
    polarity: Polarity = "present"
    certainty: Certainty = "stated"
    outcome: Outcome = "open"
    extent: Extent | None = None
    clock: tuple[int, int] | None = None
    count: int | None = None
    detail: str | None = None
    confidence: float | None = Field(default=None, ge=0, le=1)


class Measurement(Quoted):
    """One measured value that stands. `low == high` unless a range was said; `spoken_unit` is the unit in the words."""

    low: float
    high: float
    unit: Unit
    role: Role
    approximate: bool = False
    spoken_unit: str | None = None
    run: str | None = None
    structure: str | None = None


class Action(Quoted):
    """Work done in the visit. `reach_m`: how far a jet or a rod went, metres."""

    action: str
    target: str | None = None
    run: str | None = None
    reach_m: float | None = None
    result: Result | None = None


class SpokenCorrection(Quoted):
    """A word taken back and what was put in its place ("" where nothing was)."""

    withdrawn: str
    kept: str


class Conclusion(Quoted):
    """What the speaker says the trouble was, or what should be done next."""

    kind: Literal["main_issue", "recommendation"]
    condition: str | None = None


class Answer(_Part):
    """A likely answer: words for the person, and the fields of the row it would set ({} leaves it, None rejects it)."""

    label: str
    sets: dict[str, float | int | str | bool | tuple[int, int] | None] | None = None


class Query(Quoted):
    """What a person must decide. `row` is the id of the row it is about, where there is one."""

    about: str
    reason: Reason
    question: str = ""
    answers: tuple[Answer, ...] = ()
    row: str | None = None


class Mending(_Part):
    """A misheard word that was read as another: what was heard, what it was read as, and how sure that is."""

    heard: str
    read_as: str
    certain: bool
    evidence: tuple[Evidence, ...] = ()


class Source(_Part):
    """A narration of the record: its name, the SHA-256 of its bytes as received, and its words on one line."""

    name: str
    sha256: str
    encoding: str = "utf-8"
    encoding_guessed: bool = False
    text: str = ""
    duration_s: float | None = None
    notes: tuple[str, ...] = ()


class Record(_Part):
    """What a report may claim from one visit, and no more."""

    contract: Literal[1] = 1
    runs: tuple[Run, ...] = ()
    observations: tuple[Observation, ...] = ()
    measurements: tuple[Measurement, ...] = ()
    actions: tuple[Action, ...] = ()
    corrections: tuple[SpokenCorrection, ...] = ()
    conclusions: tuple[Conclusion, ...] = ()
    queries: tuple[Query, ...] = ()
    mendings: tuple[Mending, ...] = ()
    unread: tuple[Evidence, ...] = ()
    spoken_unit: Literal["m", "ft"] = "m"
    sources: tuple[Source, ...] = ()
    lexicon: str = ""
    program: str = ""
