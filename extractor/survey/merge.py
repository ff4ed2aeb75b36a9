"""One thing, one row: second mentions change the first row, general words give way to the particular ones."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace

from extractor.survey.rows import Draft, rows_of_runs

TOLERANCE_M = 0.011
CAUSES = ("settled_deposit", "grease", "obstruction", "root_intrusion", "attached_deposit", "soil_ingress")
LYING = ("standing_water", "dip", "dry", "settled_deposit", "attached_deposit", "grease", "full")  # lies over a stretch


def merge(rows: Sequence[Draft]) -> list[Draft]:
    """Rows in order of their first words; each thing once."""
    kept: list[Draft] = []
    alike: dict[tuple[object, ...], list[Draft]] = defaultdict(list)  # what `_same_thing` wants equal
    for row in rows:
        same = alike[row.run, row.structure, row.label if row.run is None else None, row.condition, row.polarity]
        twin = next((other for other in same if _same_thing(other, row)), None)
        if twin is None:
            kept.append(row)
            same.append(row)
        else:
            _take_over(twin, row)
    of_run = rows_of_runs(kept)
    return [row for row in kept if not _is_told_otherwise(row, of_run[row.run])]


def _is_told_otherwise(row: Draft, own: Sequence[Draft]) -> bool:
    """Whether another row of the same run (`own`) says all that this one does."""
    return _is_general(row, own) or _is_only_noted(row, own) or _cause_is_told(row, own) or _is_implied(row, own)


def _is_implied(row: Draft, rows: Sequence[Draft]) -> bool:
    """ "capped off so it doesn't go anywhere": a capped end leads nowhere."""
    if row.condition != "disused" or row.run is None:
        return False
    return any(r.run == row.run and r.condition == "capped" and _near(r.place.from_m, row.place.from_m) for r in rows)


def _cause_is_told(row: Draft, rows: Sequence[Draft]) -> bool:
    """A stoppage whose cause is a row at the same place."""
    if row.condition != "blockage" or row.run is None or row.place.from_m is None:
        return False
    return any(
        other.run == row.run
        and other.polarity == "present"
        and other.condition in CAUSES
        and _near(other.place.from_m, row.place.from_m)
        for other in rows
    )


def _is_only_noted(row: Draft, rows: Sequence[Draft]) -> bool:
    """A feature of which a condition was told, in a row of its own."""
    if row.condition is not None or row.count is not None:
        return False
    return any(
        other is not row
        and other.condition is not None
        and other.polarity == "present"
        and other.run == row.run
        and (other.component == row.component or (row.component == "cap" and other.condition == "capped"))
        and _near(other.place.from_m, row.place.from_m)
        for other in rows
    )


def _same_thing(first: Draft, second: Draft) -> bool:
    if (first.run, first.structure, first.label if first.run is None else None) != (
        second.run,
        second.structure,
        second.label if second.run is None else None,
    ):
        return False
    if first.condition != second.condition or first.polarity != second.polarity:
        return False
    if first.component != second.component and first.named and second.named:
        return False
    if first.run is None:
        both = first.which is not None and second.which is not None
        return first.component == second.component and not (both and first.which != second.which)
    if (
        first.polarity == "present"
        and first.place.to_m is not None
        and second.place.to_m is None
        and second.place.from_m is not None
        and first.condition in LYING
        and first.covers(second.place.from_m)
    ):
        return True
    return _near(first.place.from_m, second.place.from_m) and (
        _near(first.place.to_m, second.place.to_m) or second.place.to_m is None or first.place.to_m is None
    )


def _near(one: float | None, other: float | None) -> bool:
    if one is None or other is None:
        return one is other
    return abs(one - other) <= TOLERANCE_M


def _take_over(first: Draft, second: Draft) -> None:
    first.extent = first.extent or second.extent
    first.clock = first.clock or second.clock
    first.count = first.count or second.count
    if first.component is None or (second.named and not first.named and second.component):
        first.component = second.component or first.component
    if second.outcome != "open":
        first.outcome = second.outcome
    if second.certainty == "tentative" and second.doubt is not None and second.start - first.end < 20:
        first.certainty, first.doubt = "tentative", second.doubt
    if second.place.to_m is not None and first.place.to_m is None:
        first.place = replace(second.place, how=first.place.how)
    first.spans.append((second.start, second.end))
    first.rules.append("told again")


def _is_general(row: Draft, rows: Sequence[Draft]) -> bool:
    """ "roots in the joints", followed by the joints one by one."""
    if row.run is None or row.polarity != "present" or row.tag is None or row.place.to_m is not None:
        return False
    if row.place.how not in ("carried", "none"):
        return False
    others = [
        r
        for r in rows
        if r is not row
        and r.run == row.run
        and r.condition == row.condition
        and r.polarity == "present"
        and r.place.from_m is not None
    ]
    later = [r for r in others if r.start > row.start and r.place.how not in ("carried", "none")]
    return len(later) >= 2
