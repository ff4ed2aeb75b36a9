"""Rows and queries by the words they rest on, and found again by them after extracting anew.

A row is found where its words are the same and it says the same thing. Where the words only overlap, it is found if
what it says is the same and no second row fits as well. Else it is gone, and whoever asks must ask a person.
"""

from collections.abc import Mapping, Sequence
from typing import Any

from extractor.job.decisions import QueryName, RowKind, RowName, Span
from extractor.record import (
    Action,
    Conclusion,
    Evidence,
    Measurement,
    Observation,
    Query,
    Record,
    Run,
    SpokenCorrection,
)

Row = Observation | Measurement | Action | SpokenCorrection | Conclusion | Run

# What makes it the same thing said, whatever else was read of it.
SAYS: Mapping[RowKind, tuple[str, ...]] = {
    "observation": ("condition", "component", "polarity", "structure"),
    "measurement": ("role", "unit", "low", "high"),
    "action": ("action", "target"),
    "correction": ("withdrawn", "kept"),
    "conclusion": ("kind", "condition"),
    "run": ("start",),
}
# What may differ where the words only overlap: a longer quote often names the part as well.
LOOSE = {"component", "structure", "target"}
NOT_SAID = {"id", "quote", "evidence", "rules", "confidence"}


def kind_of(row: Row) -> RowKind:
    """Which kind of row it is."""
    for kind, of in _KINDS.items():
        if isinstance(row, of):
            return kind
    raise TypeError(f"no kind of row: {type(row).__name__}")


def rows_of(record: Record) -> dict[str, Row]:
    """Every row of the record by its id."""
    rows: tuple[Row, ...] = (
        *record.runs,
        *record.observations,
        *record.measurements,
        *record.actions,
        *record.corrections,
        *record.conclusions,
    )
    return {row.id: row for row in rows if row.id}


def name_of(row: Row, record: Record) -> RowName:
    """The row's name in the log."""
    kind, like, spans = kind_of(row), _said(row), spans_of(row.evidence, record)
    twins = [
        other.id
        for other in rows_of(record).values()
        if type(other) is type(row) and spans_of(other.evidence, record) == spans and _said(other) == like
    ]
    nth = twins.index(row.id) if row.id in twins else 0
    return RowName(kind=kind, spans=spans, quote=row.quote, like=like, nth=nth)


def name_query(query: Query, record: Record, row: RowName | None) -> QueryName:
    """The query's name in the log."""
    return QueryName(
        reason=query.reason, about=query.about, quote=query.quote, spans=spans_of(query.evidence, record), row=row
    )


def spans_of(evidence: Sequence[Evidence], record: Record) -> tuple[Span, ...]:
    """The words of some evidence, by the narration's SHA-256."""
    return tuple(
        Span(sha256=record.sources[piece.source].sha256, first_char=piece.first_char, last_char=piece.last_char)
        for piece in evidence
        if 0 <= piece.source < len(record.sources)
    )


def evidence_of(spans: Sequence[Span], record: Record) -> tuple[Evidence, ...]:
    """The spans that lie in the record's narrations, as evidence."""
    sources = {source.sha256: number for number, source in enumerate(record.sources)}
    return tuple(
        Evidence(
            source=sources[span.sha256],
            first_char=span.first_char,
            last_char=span.last_char,
            start_s=span.start_s,
            end_s=span.end_s,
        )
        for span in spans
        if span.sha256 in sources and 0 <= span.first_char <= span.last_char
    )


class Finder:
    """Finds the rows of one record by name."""

    def __init__(self, record: Record) -> None:
        self._of_kind: dict[RowKind, list[tuple[str, Row, tuple[Span, ...]]]] = {}
        self._queries = [(query, spans_of(query.evidence, record)) for query in record.queries]
        for id, row in rows_of(record).items():
            self._of_kind.setdefault(kind_of(row), []).append((id, row, spans_of(row.evidence, record)))

    def row(self, name: RowName) -> str | None:
        """The id of the row, or None where it is gone."""
        rows = self._of_kind.get(name.kind, [])
        exact = [
            (id, row)
            for id, row, spans in rows
            if spans == name.spans and (spans or row.quote == name.quote) and _agree(name, row, SAYS[name.kind])
        ]
        if exact:
            return _most_alike(name, exact)
        firm = tuple(field for field in SAYS[name.kind] if field not in LOOSE or _says_only(name, field))
        near = [(shared(spans, name.spans), id, row) for id, row, spans in rows if _agree(name, row, firm)]
        most = max((overlap for overlap, _, _ in near), default=0)
        if 2 * most <= _length(name.spans):
            return None
        best = [(id, row) for overlap, id, row in near if overlap == most]
        return _most_alike(name, best)

    def rows_at(self, name: RowName) -> tuple[str, ...]:
        """Rows of the same kind on some of the same words."""
        return tuple(id for id, _, spans in self._of_kind.get(name.kind, []) if shared(spans, name.spans))

    def query(self, name: QueryName, row: str | None) -> str | None:
        """The id of the query that this name was given to; `row` is the id of the name's row in this record."""
        same = [(query, spans) for query, spans in self._queries if query.reason == name.reason]
        for query, spans in same:
            if spans == name.spans and query.about == name.about and query.row == row:
                return query.id
        for query, spans in same:
            about_it = query.about == name.about and shared(spans, name.spans) if row is None else query.row == row
            if about_it:
                return query.id
        return None


def shared(one: Sequence[Span], other: Sequence[Span]) -> int:
    """How many characters two sets of spans have in common."""
    return sum(
        max(0, min(a.last_char, b.last_char) - max(a.first_char, b.first_char))
        for a in one
        for b in other
        if a.sha256 == b.sha256
    )


def _most_alike(name: RowName, rows: Sequence[tuple[str, Row]]) -> str | None:
    """The one that says most of what the name says; of rows alike in everything the nth; None where two compete."""
    likeness = {id: sum(_said(row).get(field) == value for field, value in name.like.items()) for id, row in rows}
    most = max(likeness.values())
    best = [id for id, _ in rows if likeness[id] == most]
    if len(best) == 1:
        return best[0]
    twins = {str(sorted(_said(row).items())) for id, row in rows if id in best}
    return best[name.nth] if len(twins) == 1 and name.nth < len(best) else None


def _said(row: Row) -> dict[str, Any]:
    """What the row says beyond the defaults, as JSON has it."""
    return row.model_dump(mode="json", exclude_defaults=True, exclude=NOT_SAID)


def _agree(name: RowName, row: Row, fields: Sequence[str]) -> bool:
    dumped = row.model_dump(mode="json", include=set(fields))
    defaults = {field: row.__class__.model_fields[field].default for field in fields}
    return all(
        (_compact(dumped[field]) if isinstance(dumped[field], dict) else dumped[field])
        == name.like.get(field, defaults[field])
        for field in fields
    )


def _compact(value: dict[str, Any]) -> dict[str, Any]:
    return {field: part for field, part in value.items() if part is not None}


def _says_only(name: RowName, field: str) -> bool:
    """True where a row without a condition is told apart by this field alone."""
    return field in ("component", "structure") and name.like.get("condition") is None


def _length(spans: Sequence[Span]) -> int:
    return sum(span.last_char - span.first_char for span in spans)


_KINDS: Mapping[RowKind, type[Row]] = {
    "observation": Observation,
    "measurement": Measurement,
    "action": Action,
    "correction": SpokenCorrection,
    "conclusion": Conclusion,
    "run": Run,
}
