"""How much harm a query does while it is open: the order in which a person is asked, and what holds up a sign-off.

The order stands in harm.toml beside this file.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any

import tomli

from extractor.job.naming import Row, rows_of, shared, spans_of
from extractor.record import Conclusion, Query, Record


@dataclass(frozen=True)
class Harm:
    """`rank` counts from 0, the most harmful; `why` says in a few words what is at stake."""

    rank: int
    harmful: bool
    why: str


def most_harmful_first(queries: Sequence[Query], record: Record) -> tuple[Query, ...]:
    """The queries in the order they are asked; those of one kind as they were spoken."""
    rows = rows_of(record)
    return tuple(sorted(queries, key=lambda query: (_harm(query, record, rows).rank, *_spot(query), query.id)))


def harmful_queries(record: Record) -> tuple[Query, ...]:
    """The open queries that hold up a sign-off."""
    rows = rows_of(record)
    return tuple(query for query in record.queries if _harm(query, record, rows).harmful)


def harm_of(query: Query, record: Record) -> Harm:
    """The first kind in the table that fits the query and its row."""
    return _harm(query, record, rows_of(record))


def _harm(query: Query, record: Record, rows: Mapping[str, Row]) -> Harm:
    table, row = _table(), rows.get(query.row or "") or _conclusion(query, record)
    condition = getattr(row, "condition", None)
    for rank, kind in enumerate(table["kind"]):
        if kind["reason"] != query.reason:
            continue
        if "condition" in kind and condition not in table[kind["condition"]]:
            continue
        if kind.get("row") == "any" and row is None:
            continue
        if kind.get("row") == "recommendation" and not (isinstance(row, Conclusion) and row.kind == "recommendation"):
            continue
        return Harm(rank, kind["harmful"], kind["why"])
    return Harm(len(table["kind"]), True, query.about)  # a reason the table does not know: ask rather than pass over


def _conclusion(query: Query, record: Record) -> Conclusion | None:
    """The conclusion that a query without a row was asked of: the one on the same words."""
    if query.row is not None or query.reason != "which_one":
        return None
    spans = spans_of(query.evidence, record)
    return next((each for each in record.conclusions if shared(spans_of(each.evidence, record), spans)), None)


def _spot(query: Query) -> tuple[int, int]:
    return (query.evidence[0].source, query.evidence[0].first_char) if query.evidence else (-1, -1)


@cache
def _table() -> dict[str, Any]:
    return tomli.loads((resources.files("extractor.job") / "harm.toml").read_text(encoding="utf-8"))
