"""The fields of a row that a reviewer may change: what each is called, and how it is asked for."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, get_args

from extractor.job.decisions import RowKind
from extractor.record import Certainty, Direction, EndReason, Extent, Outcome, Polarity, Result, Role

Asked = Literal["lexicon", "place", "metres", "value", "one_of", "clock", "count", "text", "run"]


@dataclass(frozen=True)
class Field:
    """A field of a row and how it is asked for.

    `key` is its letter in the form; `kinds` the kinds of lexicon entries it may be; `options` the values and their
    words; `may_be_none` is true where it can be emptied.
    """

    name: str
    label: str
    key: str
    asked: Asked
    kinds: tuple[str, ...] = ()
    options: tuple[tuple[str, str], ...] = ()
    may_be_none: bool = True


def _options(of: object, **words: str) -> tuple[tuple[str, str], ...]:
    return tuple((value, words.get(value, value.replace("_", " "))) for value in get_args(of))


THINGS = ("structure", "component", "fixture")

FIELDS: Mapping[RowKind, tuple[Field, ...]] = {
    "observation": (
        Field("condition", "what", "w", "lexicon", ("condition",)),
        Field("component", "on", "o", "lexicon", ("component", "fixture")),
        Field("from_m", "distance", "d", "place"),
        Field("extent", "degree", "e", "one_of", options=_options(Extent)),
        Field(
            "certainty",
            "how sure",
            "h",
            "one_of",
            options=_options(Certainty, stated="certain", tentative="in doubt"),
            may_be_none=False,
        ),
        Field(
            "polarity",
            "seen",
            "n",
            "one_of",
            options=_options(Polarity, present="seen", absent="said not to be there"),
            may_be_none=False,
        ),
        Field("outcome", "left", "l", "one_of", options=_options(Outcome), may_be_none=False),
        Field("clock", "o'clock", "c", "clock"),
        Field("count", "how many", "m", "count"),
        Field("run", "run", "r", "run"),
        Field("structure", "place", "p", "lexicon", ("structure", "fixture")),
        Field("detail", "detail", "t", "text"),
    ),
    "measurement": (
        Field("low", "value", "v", "value", may_be_none=False),
        Field(
            "role",
            "of what",
            "w",
            "one_of",
            options=_options(Role, chainage="distance along the pipe"),
            may_be_none=False,
        ),
        Field("run", "run", "r", "run"),
        Field("structure", "place", "p", "lexicon", ("structure", "fixture")),
    ),
    "action": (
        Field("action", "work", "w", "lexicon", ("action",), may_be_none=False),
        Field("target", "on", "o", "lexicon", THINGS),
        Field("reach_m", "how far", "d", "metres"),
        Field("result", "result", "l", "one_of", options=_options(Result, partial="in part")),
        Field("run", "run", "r", "run"),
    ),
    "conclusion": (
        Field("condition", "about", "w", "lexicon", ("condition",)),
        Field(
            "kind",
            "kind",
            "k",
            "one_of",
            options=(("main_issue", "main trouble"), ("recommendation", "advice")),
            may_be_none=False,
        ),
    ),
    "run": (
        Field("start.structure", "went in at", "w", "lexicon", ("structure", "fixture", "component")),
        Field("start.port", "port", "o", "one_of", options=(("inlet", "inlet"), ("outlet", "outlet"))),
        Field("start.label", "which one", "n", "text"),
        Field("direction", "direction", "r", "one_of", options=_options(Direction)),
        Field("end_m", "reached", "d", "metres"),
        Field("end_reason", "why it ended", "e", "one_of", options=_options(EndReason)),
        Field("end_at", "ended at", "t", "lexicon", THINGS),
    ),
    "correction": (),
}
