"""From random records to narrations and back: what is told in any of many phrasings must come back as it was.

The phrase bank (phrases.toml) is kept apart from the lexicon and was written without it. Numbers in words are
num2words's. A few visits always run; `ROUND_TRIPS=5000 pytest tests/understanding/test_generator.py -s` tells the
share over more.
"""

import os
from collections import Counter
from collections.abc import Sequence
from random import Random
from typing import TypeVar

from hypothesis import given, settings
from hypothesis import strategies as st

from extractor.record import Record
from tests.understanding.made_visits import Visit, make_visit, record_of_visit
from tests.understanding.shown import shown
from tests.understanding.spoken import record_of
from tests.understanding.telling import tell

T = TypeVar("T")
VISITS = int(os.environ.get("ROUND_TRIPS", "300"))
EXACT = 0.50  # share of visits whose whole record comes back, every field of the contract
LINES = 0.93  # share of the rows, readings, runs, actions and queries that come back, and of those found that were told


def lines_of_record(record: Record) -> Counter[str]:
    """Corrections count by number only: how much of the words round a reading is withdrawn is the reader's choice."""
    return Counter("correction" if line.startswith("correction") else line for line in shown(record))


def made(seed: int) -> tuple[Visit, str]:
    chance = Random(seed)
    visit = make_visit(chance.choice)
    return visit, tell(visit, chance.choice)


def test_most_visits_come_back_as_they_were_told() -> None:
    exact = right = told = found = 0
    for seed in range(VISITS):
        visit, text = made(seed)
        wanted, read = lines_of_record(record_of_visit(visit)), lines_of_record(record_of(text))
        exact += wanted == read
        right, told, found = right + (wanted & read).total(), told + wanted.total(), found + read.total()
    shares = (
        f"{exact / VISITS:.3f} exact, {right / told:.3f} of the lines come back, {right / found:.3f} found are right"
    )
    print(f"\n{VISITS} visits: {shares}")
    assert exact / VISITS >= EXACT
    assert right / told >= LINES and right / found >= LINES


@st.composite
def told_visits(draw: st.DrawFn) -> tuple[Visit, str]:
    def pick(options: Sequence[T], /) -> T:
        return draw(st.sampled_from(options))

    visit = make_visit(pick)
    return visit, tell(visit, pick)


FEW = settings(max_examples=80, deadline=None, derandomize=True)


@settings(FEW)
@given(told_visits())
def test_no_condition_and_no_place_is_invented(told: tuple[Visit, str]) -> None:
    visit, text = told
    wanted, found = record_of_visit(visit), record_of(text)
    assert {row.condition for row in found.observations} <= {row.condition for row in wanted.observations} | {
        None,
        "sound",
    }
    assert {row.component for row in found.observations} <= {row.component for row in wanted.observations} | {None}
    assert {run.start.structure for run in found.runs} <= {run.start.structure for run in wanted.runs} | {None}


@FEW
@given(told_visits())
def test_every_distance_of_a_row_was_said_or_is_an_end_of_the_run(told: tuple[Visit, str]) -> None:
    _, text = told
    record = record_of(text)
    said = {
        round(end, 3) for value in record.measurements for end in (value.low, value.high, (value.low + value.high) / 2)
    }
    ends = {0.0, *(round(run.end_m, 3) for run in record.runs if run.end_m is not None)}
    for row in record.observations:
        assert {round(metres, 3) for metres in (row.from_m, row.to_m) if metres is not None} <= said | ends, row


@FEW
@given(told_visits())
def test_a_reading_taken_back_is_no_reading_and_stays_visible(told: tuple[Visit, str]) -> None:
    visit, text = told
    record, wanted = record_of(text), record_of_visit(visit)
    withdrawn = {round(item.withdrawn, 2) for one in visit.passes for item in one.items if item.withdrawn is not None}
    standing = {round(value.low, 2) for value in wanted.measurements}
    assert not (withdrawn - standing) & {round(value.low, 2) for value in record.measurements}
    assert len(record.corrections) >= len(wanted.corrections)


@FEW
@given(told_visits())
def test_quotes_are_pieces_of_the_narration_and_the_record_is_a_function_of_it(told: tuple[Visit, str]) -> None:
    _, text = told
    record = record_of(text)
    rows = (
        *record.observations,
        *record.measurements,
        *record.actions,
        *record.corrections,
        *record.conclusions,
        *record.queries,
    )
    assert all(row.quote and row.quote in text for row in rows)
    assert record_of(text) == record
