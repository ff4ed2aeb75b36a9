"""Recogniser noise on told visits: words changed for near-homophones, and how much of what is then wrong goes unasked.

A row is wrong where no row of the made record equals it in every field of the contract; it is silent where no query is
on it or on its words. An item is missed where a row that it must make is not there; that is silent where no query is
on its statement.
"""

import tomllib
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from random import Random

from extractor.pipeline import extract
from extractor.record import Evidence, Record
from tests.understanding.made_visits import Item, Visit, make_visit, record_of_visit, row_of
from tests.understanding.shown import shown_row
from tests.understanding.spoken import lexicon, narration_of
from tests.understanding.telling import told_items

CONFUSIONS: dict[str, list[str]] = tomllib.loads((Path(__file__).parent / "confusions.toml").read_text("utf-8"))["said"]
Span = tuple[int, int]


@dataclass
class Tally:
    """Rows wanted, found right, found wrong, and the silent ones among what is wrong or missed."""

    wanted: int = 0
    found: int = 0
    right: int = 0
    wrong_silent: int = 0
    missed: int = 0
    missed_silent: int = 0
    changed_words: int = 0
    words: int = 0

    @property
    def recall(self) -> float:
        return self.right / self.wanted

    @property
    def silent_wrong(self) -> float:
        """Share of the record's rows."""
        return self.wrong_silent / self.found

    @property
    def silent_missed(self) -> float:
        """Share of the rows wanted."""
        return self.missed_silent / self.wanted


def with_noise(statements: Sequence[str], share: float, chance: Random) -> tuple[list[str], int]:
    """The statements with `share` of all their words changed (fewer, where fewer can be), and how many were."""
    words = [statement.split() for statement in statements]
    places = [(line, at) for line, row in enumerate(words) for at, word in enumerate(row) if word in CONFUSIONS]
    wanted = round(share * sum(map(len, words)) + chance.random() - 0.5)
    chosen = chance.sample(places, min(max(wanted, 0), len(places)))
    for line, at in chosen:
        words[line][at] = chance.choice(CONFUSIONS[words[line][at]])
    return [" ".join(row) for row in words], len(chosen)


def tally(visits: int, share: float, first_seed: int = 0) -> Tally:
    """Told, changed and read again: so many visits, each from its own seed."""
    out = Tally()
    for seed in range(first_seed, first_seed + visits):
        chance = Random(seed)
        visit = make_visit(chance.choice)
        told = told_items(visit, chance.choice)
        statements, changed = with_noise([text for text, _ in told], share, Random(seed))
        out.changed_words += changed
        out.words += sum(len(text.split()) for text, _ in told)
        record = extract(narration_of(" ".join(statements)), lexicon())
        _count(out, visit, record, _spans(statements, [item for _, item in told]))
    return out


def _spans(statements: Sequence[str], items: Sequence[Item | None]) -> list[tuple[Item, Span]]:
    out, at = [], 0
    for text, item in zip(statements, items, strict=True):
        if item is not None:
            out.append((item, (at, at + len(text))))
        at += len(text) + 1
    return out


def _count(out: Tally, visit: Visit, record: Record, spans: Sequence[tuple[Item, Span]]) -> None:
    wanted = Counter(shown_row(row) for row in record_of_visit(visit).observations)
    asked = [(each.first_char, each.last_char) for query in record.queries for each in query.evidence]
    rows_asked = {query.row for query in record.queries}
    left = wanted.copy()
    for row in record.observations:
        out.found += 1
        line = shown_row(row)
        if left[line] > 0:
            left[line] -= 1
            out.right += 1
        elif row.id not in rows_asked and not _touches(asked, _all(row.evidence)):
            out.wrong_silent += 1
    out.wanted += wanted.total()
    number = {id(item): f"R{index}" for index, one in enumerate(visit.passes, 1) for item in one.items}
    for item, span in spans:
        for thing in item.things:
            line = shown_row(row_of(number[id(item)], item, thing))
            if left[line] > 0:
                left[line] -= 1
                out.missed += 1
                out.missed_silent += not _touches(asked, [span])
    out.missed += left.total()
    out.missed_silent += left.total()


def _all(evidence: Sequence[Evidence]) -> list[Span]:
    return [(each.first_char, each.last_char) for each in evidence]


def _touches(asked: Sequence[Span], words: Sequence[Span]) -> bool:
    return any(first < end and start < last for first, last in asked for start, end in words)
