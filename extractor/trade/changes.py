"""What one finding became between two visits: the status, and whether it got worse."""

from dataclasses import dataclass
from typing import Literal

from extractor.record import Observation
from extractor.trade.rules import Rules

Status = Literal["gone", "remains", "grown", "new", "not_mentioned", "not_looked_at"]
_EXTENTS = (None, "slight", "moderate", "severe")


@dataclass(frozen=True, slots=True)
class Change:
    """One finding over the two visits. `line` names the line by its old runs (its new ones where it is new).

    `old_m` and `new_m` are distances from where the old runs began; None where there is none. `note` says what the
    status rests on. `tolerance_m` is the difference that was allowed.
    """

    status: Status
    line: str
    what: str
    old_rows: tuple[str, ...]
    new_rows: tuple[str, ...]
    old_m: float | None
    new_m: float | None
    note: str
    tolerance_m: float | None = None


def one_kind(old: Observation, new: Observation, rules: Rules) -> bool:
    """The same condition, or one that it turns into."""
    return old.condition == new.condition or _steps(old, new, rules) is not None


def worse(old: Observation, new: Observation, rules: Rules) -> str:
    """How it got worse, by its kind or by the extent said; "" where it did not."""
    if (_steps(old, new, rules) or 0) > 0:
        return f"was {rules.label(old.condition)}, is {rules.label(new.condition)}"
    if old.extent and new.extent and _EXTENTS.index(new.extent) > _EXTENTS.index(old.extent):
        return f"was {old.extent}, is {new.extent}"
    return ""


def no_worse(old: Observation, new: Observation, rules: Rules) -> str:
    """How it remains."""
    if old.extent and new.extent and _EXTENTS.index(new.extent) < _EXTENTS.index(old.extent):
        return f"still there, less than before: was {old.extent}, is {new.extent}"
    if old.condition != new.condition:
        return f"still there; called {rules.label(old.condition)} then, {rules.label(new.condition)} now"
    return "still there"


def _steps(old: Observation, new: Observation, rules: Rules) -> int | None:
    """Steps from one condition to another on a ladder of the rule table; None where no ladder has both."""
    for ladder in rules.words["compare"].get("worse", {}).values():
        if old.condition in ladder and new.condition in ladder:
            return ladder.index(str(new.condition)) - ladder.index(str(old.condition))
    return None
