"""The section of a re-inspection: the changes since the visit before."""

from extractor.record import Record
from extractor.trade.changes import Status
from extractor.trade.compare import Comparison
from extractor.trade.rules import Rules
from extractor.trade.section import Section, Table
from extractor.trade.wording import listed, metres, plain

_STATUS: dict[Status, str] = {
    "grown": "grown",
    "new": "new",
    "remains": "remains",
    "gone": "gone",
    "not_mentioned": "nothing said of it",
    "not_looked_at": "not looked at again",
}
_COUNTED: dict[Status, str] = {**_STATUS, "remains": "remaining", "not_mentioned": "with nothing said of it"}


def comparison_section(comparison: Comparison, old: Record, rules: Rules) -> Section:
    """The table of a re-inspection: what has grown or is new first."""
    order = list(_STATUS)
    changes = sorted(comparison.changes, key=lambda change: order.index(change.status))
    rows = tuple(
        (
            _STATUS[change.status],
            change.line,
            change.what,
            metres(change.old_m, old, unknown=""),
            metres(change.new_m, old, unknown=""),
            change.note,
        )
        for change in changes
    )
    counted = [f"{comparison.count(status)} {words}" for status, words in _COUNTED.items() if comparison.count(status)]
    tolerance = rules.tolerance("two visits")
    lines = [f"{listed(line.old)} then is {listed(line.new)} now" for line in comparison.lines]
    return Section(
        "comparison",
        "Against the visit before",
        (
            f"{listed(counted) or 'No findings at either visit'}.",
            *((f"Lines matched by their opening: {'; '.join(lines)}.",) if lines else ()),
        ),
        Table(("Status", "Line", "What", "Then", "Now", "Why"), rows),
        (
            f"Two distances are one place where they differ by no more than {plain(tolerance.base_m)} m and "
            f"{plain(tolerance.share * 100)} % of the distance ({tolerance.cited()}). Nothing is called gone unless it "
            "was said to be clear.",
        ),
    )
