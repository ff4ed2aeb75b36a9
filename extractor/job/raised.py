"""Queries that the log raises: a decision whose row has gone, and decisions that disagree; and the answers to them."""

from collections.abc import Sequence
from contextlib import suppress

from pydantic import ValidationError

from extractor.job.decisions import Decision, Deed, RowName
from extractor.job.naming import evidence_of
from extractor.job.wording import offer_words, row_fields, row_words
from extractor.record import Answer, Evidence, Query, Record

RETURNED, DISAGREE = "returned", "disagree"


def raise_returned(decision: Decision, why: str, record: Record) -> Query:
    """The query for a decision that can't be carried out any more."""
    name = decision.row or (decision.query.row if decision.query else None)
    thing = row_words(name.like) if name else "a row"
    return Query(
        id=f"{RETURNED}-{decision.id}",
        about=f"{thing}: a decision that finds no row",
        reason="conflict",
        question=f"{decision.who} decided on “{thing}” ({offer_words(decision)}), but {why}. What now?",
        quote=name.quote if name else "",
        evidence=_evidence(name, record),
        answers=tuple(Answer(label=label, sets={}) for label, _ in returned_choices(decision, ())),
        rules=("decision without its row",),
    )


def returned_choices(decision: Decision, rows: Sequence[tuple[RowName, str]]) -> list[tuple[str, Deed]]:
    """What can be done about it. `rows` are rows on the same words, named, with their words."""
    choices: list[tuple[str, Deed]] = []
    if decision.kind in ("change", "reject"):
        for name, words in rows:
            deed = _as_deed(decision, over=(decision.id,), row=name)
            choices.append((f"it is about this row now: {words}", deed))
    if decision.row and decision.kind == "change" and decision.row.kind == "observation":
        fields = {**row_fields(decision.row.like), **decision.sets}
        new = RowName(kind="observation", spans=decision.row.spans, quote=decision.row.quote)
        with suppress(ValidationError):  # a log that no program of ours wrote may hold fields that are none of a row
            deed = Deed(kind="add", row=new, sets=fields, to_run=decision.to_run, over=(decision.id,))
            choices.append((f"keep it as a row of its own: {row_words(fields)}", deed))
    choices.append(("it no longer matters: let the decision go", Deed(kind="undo", target=decision.id)))
    return choices


def raise_disagreement(decisions: Sequence[Decision], record: Record, row: str | None) -> Query:
    """The query for decisions that were taken apart and can't all stand. None of them is applied meanwhile."""
    name = next((decision.row for decision in decisions if decision.row), None)
    thing = row_words(name.like) if name else "the same question"
    people = " and ".join(dict.fromkeys(decision.who for decision in decisions))
    return Query(
        id=f"{DISAGREE}-{'-'.join(decision.id for decision in decisions)}",
        about=f"{thing}: two reviewers",
        reason="conflict",
        question=f"{people} decided differently on “{thing}”. Which holds?",
        quote=name.quote if name else next((each.query.quote for each in decisions if each.query), ""),
        evidence=_evidence(name, record),
        answers=tuple(Answer(label=label, sets={}) for label, _ in disagreement_choices(decisions)),
        row=row,
        rules=("two reviewers disagree",),
    )


def disagreement_choices(decisions: Sequence[Decision]) -> list[tuple[str, Deed]]:
    """One choice for each decision, and one for none."""
    over = tuple(decision.id for decision in decisions)
    choices = [
        (f"{decision.who}, {decision.when[:10]}: {offer_words(decision)}", _as_deed(decision, over=over))
        for decision in decisions
    ]
    return [*choices, ("neither: as the program read it", Deed(kind="settle", answer="neither", over=over))]


def _as_deed(decision: Decision, *, over: tuple[str, ...], row: RowName | None = None) -> Deed:
    fields = {name: getattr(decision, name) for name in Deed.model_fields}
    return Deed(**{**fields, "over": over, "row": row or decision.row})


def _evidence(name: RowName | None, record: Record) -> tuple[Evidence, ...]:
    return evidence_of(name.spans, record) if name else ()
