"""The answers to a query as deeds: what each would do, ready to be taken."""

from collections.abc import Mapping
from dataclasses import dataclass

from extractor.job.apply import ReviewedRecord
from extractor.job.decisions import Deed, RowKind, RowName, Value
from extractor.job.naming import Finder, Row, kind_of, name_of, name_query, rows_of, shared, spans_of
from extractor.job.raised import DISAGREE, disagreement_choices, returned_choices
from extractor.job.wording import row_words
from extractor.record import Conclusion, Measurement, Query, Run


@dataclass(frozen=True)
class Choice:
    """An answer for a person: words, and what taking it does."""

    label: str
    deed: Deed


def choices_of(query: Query, reviewed: ReviewedRecord) -> tuple[Choice, ...]:
    """The likely answers to an open query, in the order offered."""
    decisions = reviewed.raised.get(query.id)
    if decisions and query.id.startswith(DISAGREE):
        return tuple(Choice(label, deed) for label, deed in disagreement_choices(decisions))
    if decisions:
        (decision,) = decisions
        finder = Finder(reviewed.extracted)
        rows = rows_of(reviewed.record)
        near = [rows[id] for id in finder.rows_at(decision.row) if id in rows] if decision.row else []
        named = [(name_row(row.id, reviewed), row_words(row)) for row in near]
        return tuple(Choice(label, deed) for label, deed in returned_choices(decision, named))
    return tuple(
        Choice(answer.label, answer_deed(query, reviewed, answer.sets, answer.label)) for answer in query.answers
    )


def answer_deed(query: Query, reviewed: ReviewedRecord, sets: Mapping[str, Value] | None, label: str = "") -> Deed:
    """The deed that answers a query: fields to set on its row, {} to leave it, None to take it out."""
    row = subject_of(query, reviewed)
    name = name_row(row, reviewed) if row else None
    named = name_query(query, reviewed.extracted, name)
    if name is None or row is None:
        return Deed(kind="settle", query=named, answer=label)
    if sets is None:
        return Deed(kind="reject", row=name, query=named, answer=label)
    return change_deed(row, reviewed, sets).model_copy(update={"query": named, "answer": label})


def subject_of(query: Query, reviewed: ReviewedRecord) -> str | None:
    """The id of the row a query is about; where it names none, of the measurement or advice on the same words."""
    rows = rows_of(reviewed.record)
    if query.row is not None:
        return query.row if query.row in rows else None
    kinds = {"unit": Measurement, "conflict": Measurement, "which_one": Conclusion}
    kind, spans = kinds.get(query.reason), spans_of(query.evidence, reviewed.extracted)
    if kind is None or not spans:
        return None
    near = [
        (shared(spans_of(row.evidence, reviewed.extracted), spans), id)
        for id, row in rows.items()
        if isinstance(row, kind) and row.evidence
    ]
    most, id = max(near, default=(0, None))
    return id if most else None


def change_deed(row: str, reviewed: ReviewedRecord, sets: Mapping[str, Value]) -> Deed:
    """Set fields of the row with this id. A run is given by its id and kept by its words."""
    rest, run = _without_run(sets, reviewed)
    return Deed(kind="change", row=name_row(row, reviewed), sets=rest, to_run=run)


def reject_deed(row: str, reviewed: ReviewedRecord) -> Deed:
    return Deed(kind="reject", row=name_row(row, reviewed))


def split_deed(row: str, reviewed: ReviewedRecord, sets: Mapping[str, Value]) -> Deed:
    """A second row on the same words; `sets` are the fields in which it differs."""
    rest, run = _without_run(sets, reviewed)
    return Deed(kind="split", row=name_row(row, reviewed), sets=rest, to_run=run)


def merge_deed(row: str, other: str, reviewed: ReviewedRecord) -> Deed:
    return Deed(kind="merge", row=name_row(row, reviewed), other=name_row(other, reviewed))


def add_deed(words: RowName, reviewed: ReviewedRecord, sets: Mapping[str, Value]) -> Deed:
    """A new row of kind `words.kind` on the words it names."""
    rest, run = _without_run(sets, reviewed)
    return Deed(kind="add", row=words, sets=rest, to_run=run)


def undo_deed(decision: str) -> Deed:
    return Deed(kind="undo", target=decision)


def name_row(id: str, reviewed: ReviewedRecord) -> RowName:
    """The name of a row of the reviewed record: as it was extracted, or by the decision that made it.

    Raises:
        KeyError: where there is no such row.
    """
    if id in reviewed.made:
        row = _any_row(id, reviewed)
        made = reviewed.made[id]
        like = row.model_dump(mode="json", exclude_defaults=True, exclude={"id", "quote", "evidence", "rules"})
        return RowName(kind=_kind(row), quote=row.quote, like=like, made_by=made)
    return name_of(rows_of(reviewed.extracted)[id], reviewed.extracted)


def _any_row(id: str, reviewed: ReviewedRecord) -> Row:
    rows = {**{row.id: row for row in reviewed.rejected}, **rows_of(reviewed.record)}
    return rows[id]


def _kind(row: Row) -> RowKind:
    return kind_of(row)


def _without_run(sets: Mapping[str, Value], reviewed: ReviewedRecord) -> tuple[dict[str, Value], RowName | None]:
    rest = dict(sets)
    run = rest.get("run")
    if isinstance(run, str):
        if not isinstance(rows_of(reviewed.record).get(run), Run):
            raise KeyError(f"there is no run {run}")
        del rest["run"]
        return rest, name_row(run, reviewed)
    return rest, None
