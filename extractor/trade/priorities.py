"""Priorities: each finding against the rule table, from the top; the first rule that fits is the one, and is named.

roots, severe, at the joint where the camera stopped  ->  now, "roots that stop the camera"
"""

from dataclasses import dataclass

from extractor.record import Observation, Record
from extractor.trade.rows import keyed, stopped_the_camera
from extractor.trade.rules import Rules
from extractor.trade.tables import PriorityRule, Urgency

ORDER: tuple[Urgency, ...] = ("now", "soon", "watch", "none")


@dataclass(frozen=True, slots=True)
class Priority:
    """What to do about one row, how soon, and by which rule."""

    row: str
    priority: Urgency
    because: str
    next_step: str
    rule: PriorityRule


def priorities(record: Record, rules: Rules) -> tuple[Priority, ...]:
    """One for each row that is present and has a condition, in the order of the record. Features alone have none."""
    table = rules.of(PriorityRule)
    found = []
    for key, row in keyed(record):
        if row.polarity == "absent" or row.condition is None:
            continue
        rule = next((rule for rule in table if fits(rule, record, row, rules)), None)
        if rule is not None:
            found.append(Priority(key, rule.priority, rule.because, rule.next_step, rule))
    return tuple(found)


def fits(rule: PriorityRule, record: Record, row: Observation, rules: Rules) -> bool:
    """True where a row meets all that a rule asks."""
    return (
        (not rule.conditions or row.condition in rule.conditions)
        and (not rule.components or row.component in rule.components)
        and (not rule.extents or (row.extent or "unsaid") in rule.extents)
        and (not rule.places or place_of(row, rules) in rule.places)
        and (not rule.outcomes or row.outcome in rule.outcomes)
        and (not rule.certainty or row.certainty in rule.certainty)
        and (rule.stops_camera is None or rule.stops_camera == stopped_the_camera(record, row, rules))
        and (rule.main_issue is None or rule.main_issue == _is_main_issue(record, row))
        and (rule.at_least_m is None or _length_m(row) >= rule.at_least_m)
    )


def place_of(row: Observation, rules: Rules) -> str:
    """The kind of place by [places] of the rule table: "pipe" for a row in a run, "" where the table has none."""
    if row.run is not None:
        return "pipe"
    places = rules.words["priorities"].get("places", {})
    return next((place for place, structures in places.items() if row.structure in structures), "")


def _length_m(row: Observation) -> float:
    return 0.0 if row.from_m is None or row.to_m is None else row.to_m - row.from_m


def _is_main_issue(record: Record, row: Observation) -> bool:
    return any(each.kind == "main_issue" and each.condition == row.condition for each in record.conclusions)
