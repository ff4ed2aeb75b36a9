"""Rows for the table: which are shown, in which order, with which marks."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from extractor.job.answers import subject_of
from extractor.job.naming import Row, rows_of
from extractor.record import Measurement, Observation, Run
from extractor.review.row_words import Told, clock
from extractor.review.session import Session

Show = Literal["all", "seen", "asked", "changed", "taken out", "work", "measured"]
Order = Literal["along the run", "as spoken", "by what"]
SHOWS: tuple[Show, ...] = ("all", "seen", "asked", "changed", "taken out", "work", "measured")
ORDERS: tuple[Order, ...] = ("along the run", "as spoken", "by what")


@dataclass(frozen=True)
class Listed:
    """A row as the table shows it. `marks`: ? a query is open, * changed, + made, x taken out."""

    row: Row
    told: Told
    marks: str
    time: str
    quote: str
    heading: bool = False


def listed_rows(session: Session, show: Show, order: Order, wanted: str = "") -> tuple[Listed, ...]:
    """The rows to be shown. `wanted` keeps those in whose words or labels all of its words are found."""
    reviewed, speaker = session.reviewed, session.speaker
    rejected = {row.id for row in reviewed.rejected}
    asked = {subject_of(query, reviewed) for query in reviewed.record.queries}
    changed = {change.row for change in reviewed.changes if change.row and change.after}
    every: Mapping[str, Row] = {**rows_of(reviewed.record), **{row.id: row for row in reviewed.rejected}}
    listed = []
    for row in every.values():
        if isinstance(row, Run):
            continue
        marks = "".join(
            mark
            for mark, has in (
                ("?", row.id in asked),
                ("+", row.id in reviewed.made),
                ("*", row.id in changed and row.id not in reviewed.made and row.id not in rejected),
                ("x", row.id in rejected),
            )
            if has
        )
        each = Listed(row, speaker.told(row), marks, clock(_start(row)), row.quote)
        if _shown(each, show) and _fits(each, wanted):
            listed.append(each)
    runs = {run.id: (number, run) for number, run in enumerate(reviewed.record.runs)}
    if order == "by what":
        return tuple(sorted(listed, key=lambda each: (each.told.what.casefold(), each.told.where, _along(each.row))))
    if order == "as spoken":
        return tuple(sorted(listed, key=lambda each: _spot(each.row)))
    out: list[Listed] = []
    for number, (_, run) in enumerate([*runs.values(), (0, None)]):
        of_run = [each for each in listed if (runs.get(_run(each.row) or "", (len(runs), None))[0]) == number]
        of_run.sort(key=lambda each: (_along(each.row), _spot(each.row)))
        if run is not None and (of_run or show == "all") and not (wanted and not of_run):
            marks = ("?" if run.id in asked else "") + ("*" if run.id in changed else "")
            out.append(Listed(run, speaker.told(run), marks, clock(_start(run)), run.quote, heading=True))
        out += of_run
    return tuple(out)


def _shown(each: Listed, show: Show) -> bool:
    gone = "x" in each.marks
    if show == "taken out":
        return gone
    if gone:
        return False
    if show == "seen":
        return isinstance(each.row, Observation)
    if show == "asked":
        return "?" in each.marks
    if show == "changed":
        return "*" in each.marks or "+" in each.marks
    if show == "work":
        return each.told.kind == "work"
    if show == "measured":
        return each.told.kind == "measured"
    return not (isinstance(each.row, Measurement) and each.row.role == "chainage" and not each.marks)


def _fits(each: Listed, wanted: str) -> bool:
    told = each.told
    text = (
        f"{each.row.id} {told.kind} {told.where} {told.at} {told.what} {told.sure} {told.left} {each.quote}".casefold()
    )
    return all(word in text for word in wanted.casefold().split())


def _run(row: Row) -> str | None:
    return getattr(row, "run", None)


def _along(row: Row) -> float:
    from_m = getattr(row, "from_m", None)
    return from_m if from_m is not None else float("inf")


def _spot(row: Row) -> tuple[int, int]:
    return (row.evidence[0].source, row.evidence[0].first_char) if row.evidence else (9999, 0)


def _start(row: Row) -> float | None:
    return row.evidence[0].start_s if row.evidence else None
