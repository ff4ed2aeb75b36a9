"""An answer that none of the likely ones is: a value typed, or a thing found in the lexicon, as fields of the row."""

from collections.abc import Sequence
from dataclasses import dataclass

from extractor.errors import DecisionError
from extractor.job.answers import answer_deed, subject_of
from extractor.job.apply import ReviewedRecord
from extractor.job.decisions import Deed, Value
from extractor.job.naming import kind_of, rows_of
from extractor.language.measures import MeasureGrammar
from extractor.lexicon.load import Lexicon
from extractor.record import Measurement, Observation, Query, Run
from extractor.review.fields import Field
from extractor.review.lexicon_search import Found, search_lexicon
from extractor.review.typed import read_clock, read_count, read_metres, read_place, read_value

MOST_TEXT = 200


@dataclass(frozen=True)
class Wanted:
    """What may be typed in answer to a query: a value (`hint` shows how), or a thing of these kinds of the lexicon."""

    prompt: str
    hint: str = ""
    kinds: tuple[str, ...] = ()


def wanted_of(query: Query, reviewed: ReviewedRecord) -> Wanted | None:
    """What another value for this query would be; None where its row has none to give."""
    row = rows_of(reviewed.record).get(subject_of(query, reviewed) or "")
    if row is None:
        return None
    habit = "feet" if reviewed.record.spoken_unit == "ft" else "metres"
    if isinstance(row, Measurement):
        return Wanted("value", "like “400 mm”, “four hundred mil”, “20 percent”")
    if isinstance(row, Run):
        return Wanted("distance reached", f"{habit}: “4.2”, “four point two”, “14 ft 2”")
    if not isinstance(row, Observation):
        return Wanted("what it is about", kinds=("condition",)) if kind_of(row) == "conclusion" else None
    if query.reason in ("no_distance", "counter", "unit") and row.run:
        return Wanted("distance", f"{habit}: “4.2”, “four point two”, “14 ft 2”, “about 5”, “3 to 4.5”")
    return Wanted("what was seen", kinds=("condition", "component"))


def typed_deed(query: Query, text: str, reviewed: ReviewedRecord, grammar: MeasureGrammar) -> Deed:
    """The deed that a typed value makes.

    Raises:
        DecisionError: where it can't be read.
    """
    row = rows_of(reviewed.record).get(subject_of(query, reviewed) or "")
    habit = reviewed.record.spoken_unit
    sets: dict[str, Value]
    if isinstance(row, Measurement):
        low, high = read_value(text, row.unit, grammar, habit=habit, along=row.role in ("chainage", "reach"))
        sets = {"low": low, "high": high}
    elif isinstance(row, Run):
        sets = {"end_m": read_metres(text, grammar, habit=habit)}
    elif isinstance(row, Observation):
        sets = read_place(text, grammar, habit=habit).sets()
    else:
        raise DecisionError("this query has no value to type.")
    return answer_deed(query, reviewed, sets, text.strip())


def found_deed(query: Query, found: Found, reviewed: ReviewedRecord) -> Deed:
    """The deed that a thing of the lexicon makes: what was seen, or what it was seen on."""
    entry = found.entry
    sets: dict[str, Value] = {"condition": entry.id}
    if entry.kind in ("component", "fixture"):
        sets = {"component": entry.id, "condition": None}
    if query.reason == "doubt":
        sets["certainty"] = "stated"  # the reviewer says what it is
    return answer_deed(query, reviewed, sets, entry.label)


def value_of(field: Field, text: str, row: object, record_unit: str, grammar: MeasureGrammar) -> dict[str, Value]:
    """What was typed for a field of the form, as fields of the row; nothing typed empties it.

    Raises:
        DecisionError: where it can't be read, or the field can't be empty.
    """
    if not text.strip():
        if not field.may_be_none:
            raise DecisionError(f"{field.label} can't be empty.")
        return {"from_m": None, "to_m": None, "approximate": False} if field.asked == "place" else {field.name: None}
    if field.asked == "place":
        return read_place(text, grammar, habit=record_unit).sets()
    if field.asked == "metres":
        return {field.name: read_metres(text, grammar, habit=record_unit)}
    if field.asked == "clock":
        return {field.name: read_clock(text, grammar)}
    if field.asked == "count":
        return {field.name: read_count(text, grammar)}
    if field.asked == "value" and isinstance(row, Measurement):
        along = row.role in ("chainage", "reach")
        low, high = read_value(text, row.unit, grammar, habit=record_unit, along=along)
        return {"low": low, "high": high}
    return {field.name: " ".join(text.split())[:MOST_TEXT]}


def search(typed: str, lexicon: Lexicon, kinds: Sequence[str]) -> tuple[Found, ...]:
    """As many as can be numbered with one key."""
    return search_lexicon(typed, lexicon, kinds, limit=9)
