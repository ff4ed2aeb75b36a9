"""Records as lines of text, so that a table of cases can say what it expects and a difference can be read at a glance.

    run 1 gully downstream to 12 reached main
    row 1 joint root_intrusion at 4.2..6~ absent tentative cleared severe clock 9-3 x2
    value 4.2 m chainage ~
    action jetting pipe in 1 reach 5 partial
    correction 3.2 -> 3.6
    conclusion main_issue root_intrusion
    query doubt crack

Only fields of the contract are shown; quotes, ids and rules are left out. Lengths are metres, to the millimetre.
"""

import re
from collections.abc import Iterable

from extractor.record import Action, Measurement, Observation, Record, Run

FOOT_M = 0.3048
_FEET = re.compile(r"(\d+(?:\.\d+)?)ft\b")


def shown(record: Record) -> list[str]:
    """Every row of the record as one line, runs first."""
    rows = {row.id: row for row in record.observations}
    return [
        *(_run(run) for run in record.runs),
        *(shown_row(row) for row in record.observations),
        *(_value(value) for value in record.measurements),
        *(_action(action) for action in record.actions),
        *(f"correction {item.withdrawn} -> {item.kept}".rstrip() for item in record.corrections),
        *(f"conclusion {item.kind} {item.condition or '-'}" for item in record.conclusions),
        *(
            " ".join(["query", query.reason, *([rows[query.row].condition or "-"] if query.row in rows else [])])
            for query in record.queries
        ),
    ]


def wanted(lines: Iterable[str]) -> list[str]:
    """Lines as a table has them: feet ("14.5ft") made into metres."""
    return [_FEET.sub(lambda found: metres(float(found[1]) * FOOT_M), line) for line in lines]


def metres(value: float) -> str:
    return f"{value:.3f}".rstrip("0").rstrip(".")


def _joined(*parts: str | None) -> str:
    return " ".join(part for part in parts if part)


def _run(run: Run) -> str:
    start = _joined(run.start.structure or "-", run.start.port, run.direction)
    reached = f"to {metres(run.end_m)}" if run.end_m is not None else None
    return _joined("run", run.id.removeprefix("R"), start, reached, run.end_reason, run.end_at)


def shown_row(row: Observation) -> str:
    """One row as a line."""
    component = None if row.component == "pipe" else row.component
    place = None
    if row.from_m is not None:
        place = f"at {metres(row.from_m)}" + (f"..{metres(row.to_m)}" if row.to_m is not None else "")
        place += "~" if row.approximate else ""
    return _joined(
        "row",
        row.run.removeprefix("R") if row.run else row.structure or "-",
        component or "-",
        row.condition or "-",
        place,
        "absent" if row.polarity == "absent" else None,
        "tentative" if row.certainty == "tentative" else None,
        row.outcome if row.outcome != "open" else None,
        row.extent,
        f"clock {row.clock[0]}-{row.clock[1]}" if row.clock else None,
        f"x{row.count}" if row.count is not None else None,
    )


def _value(value: Measurement) -> str:
    amount = metres(value.low) if value.low == value.high else f"{metres(value.low)}..{metres(value.high)}"
    return _joined("value", amount, value.unit, value.role, "~" if value.approximate else None)


def _action(action: Action) -> str:
    where = f"in {action.run.removeprefix('R')}" if action.run else None
    reach = f"reach {metres(action.reach_m)}" if action.reach_m is not None else None
    return _joined("action", action.action, action.target, where, reach, action.result)
