"""Decisions in words, for the report's list of changes and the screen: ids read as words, metres and hours named."""

from collections.abc import Mapping
from typing import Any

from extractor.job.decisions import Deed
from extractor.record import Observation

FIELD_WORDS: Mapping[str, str] = {
    "run": "run",
    "structure": "place",
    "structure_label": "which place",
    "component": "on",
    "condition": "what",
    "from_m": "distance",
    "to_m": "to",
    "approximate": "distance hedged",
    "polarity": "seen",
    "certainty": "how sure",
    "outcome": "how left",
    "extent": "degree",
    "clock": "o'clock",
    "count": "number",
    "detail": "detail",
    "low": "value",
    "high": "value up to",
    "unit": "unit",
    "role": "what is measured",
    "action": "work",
    "target": "on",
    "reach_m": "reach",
    "result": "result",
    "kind": "kind",
    "withdrawn": "withdrawn",
    "kept": "kept",
    "direction": "direction",
    "end_m": "end of the run",
    "end_reason": "why it ended",
    "end_at": "ended at",
    "start": "start",
    "row": "the row",
    "spoken_unit": "spoken unit",
    "start.structure": "went in at",
    "start.port": "port",
    "start.label": "which",
}


def value_words(name: str, value: Any) -> str:
    """A field's value as a person says it.

    >>> value_words("from_m", 4.2), value_words("condition", "root_intrusion"), value_words("clock", (9, 3))
    ('4.2 m', 'root intrusion', '9 to 3')
    """
    if value is None:
        return "none"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (list, tuple)) and value:
        first, last = (*value, *value)[:2]
        return str(first) if first == last else f"{first} to {last}"
    if isinstance(value, (int, float)):
        number = f"{value:.3f}".rstrip("0").rstrip(".")
        return f"{number} m" if name.endswith("_m") else number
    if name == "certainty":
        return {"stated": "certain", "tentative": "in doubt"}.get(value, str(value))
    if isinstance(value, Mapping) or hasattr(value, "model_dump"):
        parts = value if isinstance(value, Mapping) else value.model_dump()
        return " ".join(str(part).replace("_", " ") for part in parts.values() if part is not None) or "none"
    return str(value).replace("_", " ")


def row_words(row: Any) -> str:
    """A row in few words, without labels of the lexicon: "crack, joint, 4.2 m"."""
    fields = row if isinstance(row, Mapping) else row.model_dump()
    denied = "no " if fields.get("polarity") == "absent" else ""
    names = ("condition", "component", "action", "target", "role", "kept", "structure")
    said = [value_words(name, fields[name]) for name in names if fields.get(name)]
    if fields.get("from_m") is not None:
        place = value_words("from_m", fields["from_m"])
        said.append(f"{place} to {value_words('to_m', fields['to_m'])}" if fields.get("to_m") is not None else place)
    if fields.get("low") is not None:
        said.append(f"{value_words('low', fields['low'])} {fields.get('unit', '')}".strip())
    return denied + (", ".join(said) or "row")


def sets_words(sets: Mapping[str, Any]) -> str:
    """ "distance 4.2 m, how sure certain"."""
    return ", ".join(f"{FIELD_WORDS.get(name, name)} {value_words(name, value)}" for name, value in sets.items())


def deed_words(deed: Deed, before: Mapping[str, Any], after: Mapping[str, Any]) -> str:
    """What a decision did, in one sentence without a full stop."""
    thing = row_words(deed.row.like) if deed.row else ""
    if deed.kind == "reject":
        return f"{thing}: row taken out"
    if deed.kind == "add":
        return f"row added: {row_words(deed.sets)}"
    if deed.kind == "split":
        return f"{thing}: second row made ({_differences(before, after) or 'the same'})"
    if deed.kind == "merge":
        return f"{thing}: {row_words(deed.other.like) if deed.other else 'another row'} merged into it"
    if deed.kind == "settle":
        return f"answered: {deed.answer}" if deed.answer else "answered"
    return f"{thing}: {_differences(before, after) or 'left as it is'}"


def offer_words(deed: Deed) -> str:
    """What a decision would do, as an answer to choose."""
    if deed.kind == "reject":
        return "take the row out"
    if deed.kind == "merge":
        return "merge it with " + (row_words(deed.other.like) if deed.other else "another row")
    if deed.kind == "split":
        return f"make a second row: {sets_words(deed.sets)}"
    if deed.kind == "settle":
        return deed.answer or "leave it"
    moved = "move it to another run" if deed.to_run else ""
    return ", ".join(filter(None, (sets_words(deed.sets), moved))) or "leave the row as it is"


def _differences(before: Mapping[str, Any], after: Mapping[str, Any]) -> str:
    return ", ".join(
        f"{FIELD_WORDS.get(name, name)} {value_words(name, before.get(name))} → {value_words(name, value)}"
        for name, value in after.items()
    )


def row_fields(like: Mapping[str, Any]) -> dict[str, Any]:
    """The fields of an observation that a name remembers, to make the row again; its run is named apart."""
    return {
        name: tuple(value) if isinstance(value, list) else value
        for name, value in like.items()
        if name in Observation.model_fields and name != "run"
    }
