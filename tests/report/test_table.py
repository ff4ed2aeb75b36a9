"""The terminal's table of a record: everything in it, nothing by colour alone, within the width."""

import io

import pytest
from rich.console import Console

from extractor.lexicon.load import Lexicon
from extractor.record import Observation, Record
from extractor.report.table import record_table
from extractor.report.table_words import distance_words, run_words, thing_words
from tests.visits import small_record

NO_WORDS = Lexicon((), "")  # ids stand for themselves, underscores as spaces


def shown(record: Record, width: int = 80, **how: bool) -> str:
    console = Console(file=io.StringIO(), width=width, highlight=False, markup=False, emoji=False, **how)  # type: ignore[arg-type]
    console.print(record_table(record, NO_WORDS, width))
    return console.file.getvalue()  # type: ignore[attr-defined, no-any-return]


@pytest.mark.parametrize("width", [80, 119, 120, 160])
def test_every_row_is_there_with_distance_time_doubt_and_outcome(width: int) -> None:
    out = " ".join(shown(small_record(), width).split())
    for words in ("2.5", "1:02", "severe root intrusion", "cleared", "in doubt", "no grease", "0 to 9.4", "2 × outlet"):
        assert words in out


def test_a_row_with_a_query_carries_the_querys_number() -> None:
    out = shown(small_record())
    assert [line for line in out.splitlines() if "? ask 1" in line and "crack" in line]
    assert "1. ? no distance: How far along is the crack?" in out
    assert out.count("? ask") == 1


def test_feet_stand_beside_metres_where_the_visit_spoke_feet() -> None:
    assert "feet" not in shown(small_record())
    out = shown(small_record(spoken_unit="ft"))
    assert "feet" in out
    assert "8.2" in out  # 2.5 m = 8.2 ft
    assert "to 9.4 m (30.8 ft)" in out


def test_a_wide_terminal_shows_the_words() -> None:
    assert "“two point five roots”" not in shown(small_record(), 100)
    assert "“two point five roots”" in shown(small_record(), 120)


@pytest.mark.parametrize("width", [40, 80, 120, 200])
def test_no_line_is_wider_than_the_terminal(width: int) -> None:
    long = small_record().model_copy(update={"spoken_unit": "ft"})
    assert max(map(len, shown(long, width).splitlines())) <= width


def test_control_characters_of_a_narration_never_reach_the_terminal() -> None:
    record = small_record()
    hostile = record.observations[0].model_copy(update={"quote": "roots\x1b]0;owned\x07\x1b[2J [bold]here[/bold]"})
    query = record.queries[0].model_copy(update={"quote": "\x1b[2J", "question": "\x1b[31mwhat\u202e?"})
    out = shown(record.model_copy(update={"observations": (hostile,), "queries": (query,)}), 140)
    assert "\x1b" not in out
    assert "\x07" not in out
    assert "\u202e" not in out
    assert "[bold]here[/bold]" in out


def test_a_row_without_distance_follows_the_one_said_before_it() -> None:
    rows = [
        Observation(id="O1", run="R1", condition="crack", from_m=5, quote=""),
        Observation(id="O2", run="R1", condition="hole", quote=""),
        Observation(id="O3", run="R1", condition="grease", from_m=2, quote=""),
        Observation(id="O4", run="R1", condition="vermin", polarity="absent", from_m=0, to_m=9, quote=""),
    ]
    out = shown(small_record().model_copy(update={"observations": tuple(rows)}))
    places = [out.index(word) for word in ("no vermin", "  2  grease", "  5  crack", "  –  hole")]
    assert places == sorted(places)


def test_a_record_of_nothing_still_closes() -> None:
    assert "0 rows in 0 runs, 0 queries to answer, 0 words not understood." in shown(Record())


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"from_m": 4.25}, "4.25"),
        ({"from_m": 4.0, "approximate": True}, "about 4"),
        ({"from_m": 0.0, "to_m": 9.4}, "0 to 9.4"),
        ({}, ""),
    ],
)
def test_distances_are_said_as_they_were_given(fields: dict[str, float], words: str) -> None:
    assert distance_words(Observation.model_validate({"quote": "", **fields})) == words


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"condition": "crack", "extent": "slight", "clock": (11, 1)}, "slight crack, from 11 to 1 o'clock"),
        ({"condition": "open_joint", "component": "joint"}, "open joint"),
        ({"condition": "root_intrusion", "component": "joint"}, "root intrusion, joint"),
        ({"component": "bend", "condition": "sound"}, "sound, bend"),
        ({"component": "junction"}, "junction"),
        ({"component": "pipe", "condition": "dry"}, "dry"),
        ({"component": "inlet", "count": 2}, "2 × inlet"),
        ({"condition": "crack", "polarity": "absent"}, "no crack"),
    ],
)
def test_what_was_seen_is_said_in_few_words(fields: dict[str, object], words: str) -> None:
    assert thing_words(Observation.model_validate({"quote": "", **fields}), NO_WORDS) == words


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"end_reason": "reached", "end_at": "main"}, "septic tank, inlet, upstream, to 9.4 m: reached main"),
        ({"end_at": "bend"}, "septic tank, inlet, upstream, to 9.4 m: could not pass (bend)"),
        ({"end_m": None, "end_reason": None}, "septic tank, inlet, upstream, end not said"),
        ({"direction": None, "end_reason": "capped"}, "septic tank, inlet, direction not said, to 9.4 m: capped end"),
    ],
)
def test_a_run_is_told_in_one_line(fields: dict[str, object], words: str) -> None:
    assert run_words(small_record().runs[0].model_copy(update=fields), NO_WORDS) == words
