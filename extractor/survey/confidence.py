"""How sure a row is: signs in the words that a row is likely wrong, weighed into one figure, 0 to 1.

The weights (confidence.toml) are fitted to annotated narrations by scripts/calibrate: of rows that are given 0.8, about
eight in ten were right on narrations that had no part in the fitting. No sign changes a row.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from math import exp

import tomli

from extractor.language.clauses import Clause
from extractor.language.passage import Passage
from extractor.reading import Measure
from extractor.record import Reason
from extractor.survey.rows import Draft, QueryDraft
from extractor.survey.run_draft import RunDraft
from extractor.survey.scenes import Scene
from extractor.survey.signs import IS, ON, Signs

STATEMENT = 14  # words before and behind a row's own that a query quotes at most
# Which signs speak for which reason of a query
NUMBER_SIGNS = ("out of order", "word unsure")
PLACE_SIGNS = (
    "carried", "distance far", "distance very far", "shares distance", "same again", "thing between the ends",
    "other distance inside", "one end of a stretch", "begins or ends", "point over a stretch",
    "unused reading close by",
)  # fmt: skip
UNREAD_SIGNS = ("many words unread",)
# Signs that any plain row may show: they count for its confidence, but nobody is asked for them alone
PLAIN_SIGNS = frozenset({
    "feature only", "one word", "bare number", "said before", "said after", "stretch", "whole",
    "to this point", "onwards", "by default", "carried", "at a structure", "no component",
    "component taken from condition", "denied", "doubted", "said sound", "counted", "cleared", "refers back",
    "pronoun before it", "second look", "told again", "shaky number", "long quote", "listed twin",
    "run with no reason to end", "unread word beside", "words unread", "much unread in all",
    "corrected close by", "mended word",
})  # fmt: skip


@dataclass(frozen=True)
class Weights:
    """A weight for each sign; the sum and `start` become a probability by the logistic curve."""

    start: float
    signs: Mapping[str, float]
    ask_below: float

    def confidence(self, signs: Sequence[str]) -> float:
        total = self.start + sum(self.signs.get(sign, 0.0) for sign in signs)
        return 1 / (1 + exp(-total))


@dataclass(frozen=True)
class Rated:
    """A row, the signs against it (and for it), how sure it is; if it may be asked about, what else it may be."""

    row: Draft
    signs: tuple[str, ...]
    confidence: float
    elsewhere: tuple[float, ...] = ()  # metres of the other readings close by, the nearest first
    parts: tuple[str, ...] = ()  # ids of the components named close by that the row does not sit on


@cache
def shipped_weights() -> Weights:
    """The weights as fitted by scripts/calibrate."""
    table = tomli.loads(files("extractor.survey").joinpath("confidence.toml").read_text("utf-8"))
    return Weights(table["start"], table["signs"], table["ask_below"])


def rate_rows(
    passage: Passage,
    clauses: Sequence[Clause],
    scenes: Sequence[Scene],
    roles: Mapping[Measure, str | None],
    rows: Sequence[Draft],
    runs: Sequence[RunDraft],
    unread: Sequence[tuple[int, int]],
    weights: Weights | None = None,
) -> list[Rated]:
    """Each row with its signs and its confidence, in the order of the rows."""
    weights = weights or shipped_weights()
    signs = Signs(passage, clauses, scenes, roles, rows, runs, unread)
    rated = []
    for row in rows:
        told = tuple(signs.of(row))
        confidence = round(weights.confidence(told), 3)
        asked = confidence < weights.ask_below
        otherwise = (signs.elsewhere(row), signs.parts(row)) if asked else ()
        rated.append(Rated(row, told, confidence, *otherwise))
    return rated


def ask_about(
    rated: Sequence[Rated], clauses: Sequence[Clause], asked: Sequence[QueryDraft], ask_below: float
) -> list[QueryDraft]:
    """A query for each row that is less sure than that, the least sure first; none where its words are asked about.

    A row that shows only what any plain row may show is not asked about: there would be nothing to point at.
    """
    taken = [(query.start, query.end) for query in asked]
    starts = [clause.start for clause in clauses]
    queries: list[QueryDraft] = []
    for each in sorted(rated, key=lambda one: one.confidence):
        row = each.row
        if each.confidence >= ask_below:
            break
        nothing_to_show = all(sign in PLAIN_SIGNS or sign.startswith((IS, ON)) for sign in each.signs) or (
            row.condition is None and row.place.from_m is None
        )
        if nothing_to_show or any(start < row.end and row.start < end for start, end in taken):
            continue
        start, end = _statement(row, clauses, starts)
        queries.append(
            QueryDraft(
                start, end, *_reason(each), row, each.elsewhere, each.parts, by_confidence=True, signs=_told(each)
            )
        )
        taken.append((start, end))
    return queries


def _told(rated: Rated) -> tuple[str, ...]:
    """The signs that tell a person why it is asked."""
    return tuple(sign for sign in rated.signs if not sign.startswith((IS, ON)))


def _statement(row: Draft, clauses: Sequence[Clause], starts: Sequence[int]) -> tuple[int, int]:
    """The row's words with the rest of the clauses they stand in: what is to be read to judge the row."""
    first = clauses[max(0, bisect_right(starts, row.start) - 1)]
    last = clauses[max(0, bisect_left(starts, row.end) - 1)]
    return max(first.start, row.start - STATEMENT), min(last.end, row.end + STATEMENT)


def _reason(rated: Rated) -> tuple[Reason, str]:
    """The reason of the contract that fits the signs best, and what it is about."""
    if any(sign in NUMBER_SIGNS for sign in rated.signs):
        return "counter", "doubtful distance"
    if rated.row.place.from_m is not None and any(sign in PLACE_SIGNS for sign in rated.signs):
        return "which_one", "place carried"
    if "no distance" in rated.signs:
        return "no_distance", "doubtful row"
    if any(sign in UNREAD_SIGNS for sign in rated.signs):
        return "unclear_word", "words unread"
    return "doubt", "doubtful row"
