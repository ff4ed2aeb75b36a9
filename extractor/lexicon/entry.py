"""What one entry of the lexicon is: one concept, the ways it is said, the ways it is misheard."""

from typing import Literal

from pydantic import BaseModel, ConfigDict, Field, field_validator, model_validator

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
    "predicate",
    "stretch",
    "grammar",
    "neighbour",
    "spelling",
]


class Entry(BaseModel):
    """One concept.

    `id` is the contract's id for things, a name of the grammar's own for cues.
    `spoken` are the ways it is said, in lower case. Plurals are made by rule unless `plural` is false, short forms and
    the past by rule too (`forms.py`). A spelling with no other sense in this trade ("sceptic tank") belongs here too.
    `misheard` are words a recogniser writes instead that have a sense of their own ("routes"): they are taken for the
    entry only where the context wants it.
    `naming` are phrases that name their own component, by its id: `float_switch = ["float is stuck"]`.
    `on` is the component a condition sits on where none is named; `extent` the extent that the word itself says. A word
    of degree inside a phrase ("hairline crack") gives the phrase its extent too, unless `graded` is false.
    `stands_for` the structures that a short word ("the box") may mean;
    `value` the number or the factor (metres, litres, minutes) of a number or unit word.
    `note` says what is doubtful, and where in the world a form is said.
    """

    model_config = ConfigDict(extra="forbid", frozen=True)

    id: str = Field(pattern=r"^[a-z0-9_%/.]+$")
    kind: Kind
    label: str = Field(min_length=1)
    spoken: tuple[str, ...] = ()
    misheard: tuple[str, ...] = ()
    on: str | None = None
    extent: Literal["slight", "moderate", "severe"] | None = None
    graded: bool = True
    value: float | None = Field(default=None, allow_inf_nan=False)
    plural: bool = True
    naming: dict[str, tuple[str, ...]] = {}
    region: tuple[str, ...] = ()
    stands_for: tuple[str, ...] = ()
    note: str = ""

    @field_validator("spoken", "misheard")
    @classmethod
    def _phrases(cls, phrases: tuple[str, ...]) -> tuple[str, ...]:
        _check_phrases(phrases)
        return phrases

    @field_validator("naming")
    @classmethod
    def _naming(cls, naming: dict[str, tuple[str, ...]]) -> dict[str, tuple[str, ...]]:
        for phrases in naming.values():
            _check_phrases(phrases)
        return naming

    @model_validator(mode="after")
    def _one_sense(self) -> "Entry":
        if both := set(self.spoken).intersection(self.misheard):
            raise ValueError(f"{min(both)!r} is listed as spoken and as misheard; keep it in one")
        return self


def _check_phrases(phrases: tuple[str, ...]) -> None:
    for phrase in phrases:
        if not phrase or phrase != " ".join(phrase.split()):
            raise ValueError(f"{phrase!r} is empty or has stray spaces")
        if phrase != phrase.lower():
            raise ValueError(f"{phrase!r} must be in lower case")
    if len(set(phrases)) != len(phrases):
        twice = next(phrase for at, phrase in enumerate(phrases) if phrase in phrases[:at])
        raise ValueError(f"{twice!r} is listed twice")
