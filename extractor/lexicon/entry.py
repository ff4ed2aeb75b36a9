"""What one entry of the lexicon is: one concept, the ways it is said, the ways it is misheard."""

from typing import Literal

from pydantic import BaseModel, ConfigDict, Field, field_validator

Kind = Literal[
    # things
    "structure",
    "fixture",
    "component",
    "condition",
    "material",
    "action",
    # quantities
    "number",
    "unit",
    "quantity_word",
    "hedge",
    # cues: what the words round a thing say of it
    "negation",
    "doubt",
    "extent",
    "role",
    "repair",
    "boundary",
    "movement",
    "direction",
    "ending",
    "time",
    "speech_act",
    "reference",
    "stretch",
    "grammar",
]


class Entry(BaseModel):
    """One concept.

    `id` is the contract's id for things, a name of the grammar's own for cues. `spoken` are the ways it is said, in lower
    case, plural made by rule unless `plural` is false; a spelling with no other sense in this trade ("sceptic tank") belongs
    here too. `misheard` are words a recogniser writes instead that have a sense of their own ("routes"): they are taken for
    the entry only where the context wants it.
    `on` is the component a condition sits on where none is named; `extent` the extent that the word itself says;
    `value` the number or the factor (metres, litres, minutes) of a number or unit word.
    """

    model_config = ConfigDict(extra="forbid", frozen=True)

    id: str = Field(pattern=r"^[a-z0-9_%/.]+$")
    kind: Kind
    label: str = Field(min_length=1)
    spoken: tuple[str, ...] = ()
    misheard: tuple[str, ...] = ()
    on: str | None = None
    extent: Literal["slight", "moderate", "severe"] | None = None
    value: float | None = None
    plural: bool = True
    region: tuple[str, ...] = ()
    note: str = ""

    @field_validator("spoken", "misheard")
    @classmethod
    def _phrases(cls, phrases: tuple[str, ...]) -> tuple[str, ...]:
        for phrase in phrases:
            if not phrase.strip() or phrase != " ".join(phrase.split()):
                raise ValueError(f"{phrase!r} is empty or has stray spaces")
            if phrase != phrase.lower():
                raise ValueError(f"{phrase!r} must be in lower case")
        return phrases
