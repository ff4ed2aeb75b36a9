"""What one row of a rule table in lexicon/rules/ is. Each row has a name, and says where it comes from.

`basis`: "read" the value stood in a text that was opened; "recalled" it is from memory, to be checked before anyone
relies on it; "practice" common practice without a source; "ours" this program's own choice.
"""

from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from extractor.record import Certainty, Extent, Outcome, Role, Unit

Basis = Literal["read", "recalled", "practice", "ours"]
Code = Literal["AS/NZS 3500.2", "ADH", "IPC"]
Urgency = Literal["now", "soon", "watch", "none"]

_SAID = {
    "read": "read",
    "recalled": "from memory: check before relying on it",
    "practice": "common practice, no published source",
    "ours": "this program's own choice",
}


class Table(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Sourced(Table):
    """A row with its source. `note` is for whoever checks the row."""

    name: str = Field(min_length=1)
    source: str = ""
    basis: Basis
    confidence: Literal["high", "medium", "low"] = "medium"
    note: str = ""

    def cited(self) -> str:
        """The source and its basis in one phrase, for a note under a table."""
        return f"{self.source} ({_SAID[self.basis]})" if self.source else _SAID[self.basis]


class PriorityRule(Sourced):
    """A finding that meets every list given has this priority. An empty list asks nothing.

    `extents` may hold "unsaid"; `places` the names of [places] in the same file; `stops_camera` asks whether it is
    where the camera stuck; `main_issue` whether the speaker called it the trouble of the visit;
    `at_least_m` whether its stretch is at least that long.
    `repair` names a method of repairs.toml, or is empty where nothing is to be repaired.
    """

    conditions: tuple[str, ...] = ()
    components: tuple[str, ...] = ()
    extents: tuple[Extent | Literal["unsaid"], ...] = ()
    places: tuple[str, ...] = ()
    outcomes: tuple[Outcome, ...] = ()
    certainty: tuple[Certainty, ...] = ()
    stops_camera: bool | None = None
    main_issue: bool | None = None
    at_least_m: float | None = None
    priority: Urgency
    because: str = Field(min_length=1)
    next_step: str = ""
    repair: str = ""


class RepairMethod(Sourced):
    """How findings become one repair. Lengths in metres.

    Two findings belong to one repair where the gap between them is not over `reach_m`; the repair goes `margin_m`
    beyond the first and the last, and is at least `least_m` long. `unit` "each" counts places, "m" metres. More than
    `more_than` places in one repair of this kind make it one of the method `becomes`. `digs` asks for the depth.
    `takes_in` are methods whose repairs need not be done where they lie wholly within one of this kind.
    """

    label: str
    unit: Literal["m", "each"]
    reach_m: float = Field(ge=0)
    margin_m: float = Field(default=0.0, ge=0)
    least_m: float = Field(default=0.0, ge=0)
    more_than: int | None = None
    becomes: str = ""
    digs: bool = False
    takes_in: tuple[str, ...] = ()


class Rate(Sourced):
    """The user's own price for one unit of a method. `least` is the least charged for one repair."""

    basis: Basis = "ours"
    method: str
    price: float = Field(ge=0)
    least: float = Field(default=0.0, ge=0)


class MinimumFall(Sourced):
    """A line of a published table: the least fall for diameters from `diameter_low_mm` to `diameter_high_mm`.

    `spoken_mm_per_m` is the round figure by which the source itself calls the same fall (1/4 inch a foot, "2 percent").
    """

    code: Code
    diameter_low_mm: float
    diameter_high_mm: float
    mm_per_m: float
    one_in: float
    spoken_mm_per_m: float | None = None
    when: str = ""


class NominalSize(Sourced):
    """Measured diameters (mm, inside or outside) that are sold as one nominal size."""

    nominal_mm: float
    low_mm: float
    high_mm: float
    codes: tuple[Code, ...]


class Guidance(Sourced):
    """A published value or statement about tanks and boxes. `value` is in `unit`."""

    value: float | None = None
    unit: Unit | Literal["share", ""] = ""
    says: str


class Caution(Sourced):
    """Shown where the record has any of these. `says` is a fact, not advice."""

    structures: tuple[str, ...] = ()
    actions: tuple[str, ...] = ()
    conditions: tuple[str, ...] = ()
    components: tuple[str, ...] = ()
    repairs: tuple[str, ...] = ()
    says: str


class CodeLetter(Table):
    """A characterisation letter and the words that settle it; without words it always holds."""

    letter: str
    words: tuple[str, ...] = ()


class MainCode(Sourced):
    """A main code of EN 13508-2 in our own words. `c1`, `c2`: the letters it takes; `quantity` what is measured."""

    says: str
    c1: str = ""
    c2: str = ""
    quantity: str = ""
    clock: bool = False


class CodeMapping(Sourced):
    """From one of our ids to a code. `sure`: how well the two meet. An empty `code` means that there is none."""

    kind: Literal["condition", "component", "end"]
    code: str = ""
    chamber_code: str = ""
    sure: Literal["sure", "fair", "unsure"]
    c1: tuple[CodeLetter, ...] = ()
    c2: tuple[CodeLetter, ...] = ()
    c1_else: str = ""
    c2_else: str = ""
    quantity_unit: Unit | Literal["mm", ""] = ""
    quantity_roles: tuple[Role, ...] = ()
    remark: str = ""


class Tolerance(Sourced):
    """Two distances agree that differ by no more than base_m + share x distance, `approximate` times that if hedged."""

    base_m: float = Field(ge=0)
    share: float = Field(ge=0)
    approximate: float = Field(default=2.0, ge=1)

    def at(self, distance_m: float, *, approximate: bool = False) -> float:
        """Metres of difference allowed at a distance."""
        allowed = self.base_m + self.share * abs(distance_m)
        return allowed * self.approximate if approximate else allowed
