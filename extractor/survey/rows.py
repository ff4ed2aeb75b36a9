"""Rows in the making: what the survey stages pass on to each other before the record is written."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from extractor.reading import Measure, Tag

END = -1.0  # stands for "the run's end" in `Place.to_m` until the end is known


@dataclass(frozen=True, slots=True)
class Place:
    """Where along the run a thing is. `how` names the rule: said before, said after, carried, stretch, whole, ..."""

    from_m: float | None = None
    to_m: float | None = None
    approximate: bool = False
    how: str = "none"
    measures: tuple[Measure, ...] = ()

    def told(self, how: str) -> "Place":
        """The same place by another rule; what `replace` makes too, but takes several times longer for."""
        return self if how == self.how else Place(self.from_m, self.to_m, self.approximate, how, self.measures)


NOWHERE = Place()


@dataclass
class Draft:
    """One observation in the making. Tokens start to end are the words it rests on."""

    start: int
    end: int
    run: int | None
    structure: str | None
    label: str | None
    component: str | None
    condition: str | None
    place: Place
    tag: Tag | None = None
    polarity: str = "present"
    certainty: str = "stated"
    outcome: str = "open"
    extent: str | None = None
    clock: tuple[int, int] | None = None
    count: int | None = None
    detail: str | None = None
    doubt: Tag | None = None
    rules: list[str] = field(default_factory=list)
    spans: list[tuple[int, int]] = field(default_factory=list)
    named: bool = False  # the component was named, rather than taken from the condition

    def at(self, metres: float, tolerance: float = 0.011) -> bool:
        """Whether the row stands at this chainage, or its stretch begins or ends there."""
        near, far = self.place.from_m, self.place.to_m
        return (near is not None and abs(near - metres) <= tolerance) or (
            far is not None and abs(far - metres) <= tolerance
        )

    def covers(self, metres: float) -> bool:
        low, high = self.place.from_m, self.place.to_m
        if low is None:
            return False
        return low - 0.011 <= metres <= (high if high is not None else low) + 0.011


@dataclass
class QueryDraft:
    """Tokens start to end, the reason of the contract, and the row it is about (by identity)."""

    start: int
    end: int
    reason: str
    about: str
    row: Draft | None = None
    values: tuple[float, ...] = ()
    likely: tuple[str, ...] = ()  # ids of what may have been meant, best first
    by_confidence: bool = False  # asked since the row is unsure in all, not for a sign of its own
    signs: tuple[str, ...] = ()  # what speaks against the row (signs.py)


def rows_of_runs(rows: Iterable[Draft]) -> Mapping[int | None, list[Draft]]:
    """The rows of each run, and under None those off the pipe, in their order: most of what is asked is of one run."""
    runs: dict[int | None, list[Draft]] = defaultdict(list)
    for row in rows:
        runs[row.run].append(row)
    return runs
