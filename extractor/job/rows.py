"""The rows of a record while decisions are carried out on them."""

from collections.abc import Sequence
from typing import Any

from extractor.job.decisions import RowKind, Value
from extractor.job.naming import Row, kind_of, rows_of
from extractor.record import Action, Conclusion, Evidence, Measurement, Observation, Query, Record, Run

_LISTS: dict[RowKind, str] = {
    "run": "runs",
    "observation": "observations",
    "measurement": "measurements",
    "action": "actions",
    "correction": "corrections",
    "conclusion": "conclusions",
}
_NOT_TO_SET = {"id", "quote", "evidence", "rules"}
Differing = tuple[dict[str, Any], dict[str, Any]]


class RowBook:
    """Rows by id, in order. A rejected row stays in the book, so that a later decision can bring it back."""

    def __init__(self, record: Record) -> None:
        self.extracted = record
        self.made: dict[str, str] = {}
        self._rows = dict(rows_of(record))
        self._rejected: set[str] = set()
        self._merged: set[str] = set()

    @property
    def gone(self) -> frozenset[str]:
        """Ids of rows that were taken out or went into another."""
        return frozenset(self._rejected | self._merged)

    @property
    def rejected(self) -> tuple[Row, ...]:
        return tuple(self._rows[id] for id in self._rows if id in self._rejected)

    def change(self, id: str, sets: dict[str, Value]) -> Differing:
        """Set fields; a row that had been rejected is back."""
        row = self._there(id)
        changed = self._with(row, sets)
        self._rejected.discard(id)
        self._rows[id] = changed
        return _difference(row, changed)

    def reject(self, id: str) -> Differing:
        row = self._there(id)
        if isinstance(row, Run) and any(getattr(other, "run", None) == id for other in self._living()):
            raise ValueError("the run still has rows; move or reject them first")
        self._rejected.add(id)
        return {"row": "there"}, {"row": "rejected"}

    def merge(self, id: str, other: str) -> Differing:
        """The second row goes into the first, which keeps what it says and takes on what it does not say."""
        kept, going = self._there(id), self._there(other)
        if id == other or type(kept) is not type(going):
            raise ValueError("only two different rows of one kind can be merged")
        fields: dict[str, Value] = {
            name: getattr(going, name)
            for name in type(kept).model_fields
            if name not in _NOT_TO_SET and getattr(kept, name) is None and getattr(going, name) is not None
        }
        words = tuple(dict.fromkeys((*kept.evidence, *going.evidence)))
        merged = self._with(kept, fields).model_copy(
            update={"evidence": words, "rules": tuple(dict.fromkeys((*kept.rules, *going.rules)))}
        )
        self._rows[id] = merged
        self._merged.add(other)
        before, after = _difference(kept, merged)
        return {**before, other: "a row of its own"}, {**after, other: "merged into it"}

    def split(self, id: str, new: str, sets: dict[str, Value], decision: str) -> Differing:
        """A second row beside the first, on the same words."""
        row = self._there(id)
        second = self._with(row.model_copy(update={"id": new}), sets)
        self._put_after(id, new, second)
        self.made[new] = decision
        return _difference(row, second)

    def add(
        self,
        id: str,
        kind: RowKind,
        quote: str,
        evidence: Sequence[Evidence],
        sets: dict[str, Value],
        decision: str,
    ) -> Differing:
        """A new row, put where its words were said."""
        of: dict[RowKind, type[Row]] = {
            "observation": Observation,
            "measurement": Measurement,
            "action": Action,
            "conclusion": Conclusion,
        }
        if kind not in of:
            raise ValueError(f"a {kind} can't be added")
        fields = {name: value for name, value in sets.items() if name not in _NOT_TO_SET}
        words = {"quote": quote, "evidence": [piece.model_dump() for piece in evidence]}
        row = of[kind].model_validate({**fields, **words, "id": id, "rules": ["reviewer"]})
        self._check_run(row)
        spot = (evidence[0].source, evidence[0].first_char) if evidence else (0, 0)
        before = [
            other.id
            for other in self._rows.values()
            if kind_of(other) == kind
            and other.evidence
            and (other.evidence[0].source, other.evidence[0].first_char) <= spot
        ]
        self._put_after(before[-1] if before else None, id, row)
        self.made[id] = decision
        return {}, {name: value for name, value in fields.items() if value is not None}

    def record(self, queries: Sequence[Query]) -> Record:
        """The record as it stands now."""
        lists: dict[str, list[Row]] = {name: [] for name in _LISTS.values()}
        for row in self._living():
            lists[_LISTS[kind_of(row)]].append(row)
        named = rows_of(self.extracted)
        for name, rows in lists.items():  # what has no id of its own can't be named, so nothing has changed it
            rows += [row for row in getattr(self.extracted, name) if named.get(row.id) is not row]
        return self.extracted.model_copy(
            update={**{name: tuple(rows) for name, rows in lists.items()}, "queries": tuple(queries)}
        )

    def _living(self) -> list[Row]:
        return [row for id, row in self._rows.items() if id not in self._rejected | self._merged]

    def _there(self, id: str) -> Row:
        if id not in self._rows:
            raise KeyError("the row is no longer in the record")
        if id in self._merged:
            raise KeyError("the row has been merged into another")
        return self._rows[id]

    def _with(self, row: Row, sets: dict[str, Value]) -> Row:
        fields = row.model_dump()
        for name, value in sets.items():
            head, _, part = name.partition(".")  # "start.port" is a part of a part
            inner = fields.get(head)
            if head not in fields or head in _NOT_TO_SET or (part and not (isinstance(inner, dict) and part in inner)):
                raise ValueError(f"a {kind_of(row)} has no {name}")
            fields[head] = {**inner, part: value} if part and isinstance(inner, dict) else value
        changed = type(row).model_validate(fields)
        self._check_run(changed)
        return changed

    def _check_run(self, row: Row) -> None:
        run = getattr(row, "run", None)
        if run is not None and not isinstance(self._rows.get(run), Run):
            raise ValueError(f"there is no run {run}")

    def _put_after(self, id: str | None, new: str, row: Row) -> None:
        items = list(self._rows.items())
        at = next((place for place, (known, _) in enumerate(items) if known == id), len(items) - 1) + 1
        items.insert(at, (new, row))
        self._rows = dict(items)


def _difference(before: Row, after: Row) -> Differing:
    names = [name for name in type(before).model_fields if name not in _NOT_TO_SET]
    differing = [name for name in names if getattr(before, name) != getattr(after, name)]
    return {name: getattr(before, name) for name in differing}, {name: getattr(after, name) for name in differing}
