"""Cautions by what the record contains, each with its source. Facts, not advice: the law of the place decides."""

from dataclasses import dataclass

from extractor.record import Record
from extractor.trade.repairs import Repair
from extractor.trade.rules import Rules
from extractor.trade.tables import Caution


@dataclass(frozen=True, slots=True)
class Warned:
    """A caution and what in the record calls for it, in plain words."""

    caution: Caution
    because: tuple[str, ...]


def cautions(record: Record, rules: Rules, *, planned: tuple[Repair, ...] = ()) -> tuple[Warned, ...]:
    """Cautions that what was seen, done or is planned calls for, in the order of the table."""
    structures = {row.structure for row in record.observations} | {run.start.structure for run in record.runs}
    structures |= {run.end_at for run in record.runs} | {action.target for action in record.actions}
    present = [row for row in record.observations if row.polarity == "present"]
    conditions = {row.condition for row in present}
    components = {row.component for row in present} | {action.target for action in record.actions}
    actions = {action.action for action in record.actions}
    methods = {repair.method.name: repair.method.label for repair in planned}
    found = []
    for caution in rules.of(Caution):
        because = [
            *(rules.label(each) for each in caution.structures if each in structures),
            *(rules.label(each) for each in caution.actions if each in actions),
            *(rules.label(each) for each in caution.conditions if each in conditions),
            *(rules.label(each) for each in caution.components if each in components),
            *(methods[each] for each in caution.repairs if each in methods),
        ]
        if because:
            found.append(Warned(caution, tuple(dict.fromkeys(because))))
    return tuple(found)


def deferring(rules: Rules) -> str:
    """The sentence that stands under all cautions."""
    return " ".join(rules.phrases("cautions", "defer", "says"))
