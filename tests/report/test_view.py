"""The view says what the record says: every row once, in order, with its number, time and state."""

import pytest

from extractor.record import Observation, Record
from extractor.report.amounts import FOOT_M
from extractor.report.build_view import MOST_REMAINING, build_view
from extractor.report.reviewed import Reviewed
from extractor.report.view import Change, SignOff
from tests.report.made_records import VISIT, label, record_of, reviewed, view_of, visit_record


@pytest.mark.parametrize("many", [0, 3, 30, 150])
def test_every_row_is_told_once(many: int) -> None:
    view = view_of(record_of(many, runs=2))
    assert sorted(row.observation.id for row in view.all_rows()) == sorted(
        row.id for row in record_of(many, runs=2).observations
    )
    assert len({row.number for row in view.all_rows()}) == many


def test_rows_stand_in_order_of_distance_and_the_unplaced_come_last() -> None:
    for run in view_of(visit_record()).runs:
        placed = [row.observation.from_m for row in run.rows]
        known = [at for at in placed if at is not None]
        assert known == sorted(known) and placed[: len(known)] == known


def test_the_front_page_answers_first() -> None:
    answer = view_of(visit_record()).answer
    assert [(each.text, each.quote) for each in answer.trouble] == [("Root intrusion", "roots were the trouble")]
    assert answer.next_steps[0].quote == "come back in a year and jet it again"
    assert "Jetting: pipe, as far as 5 m (run 1)." in answer.done
    assert "Run 1, 4.2 m: The pipe had severe root intrusion. Cleared on the day." in answer.done
    assert "Run 1, about 6.35 m: The joint may be open." in answer.remains
    assert not any("root intrusion" in text for text in answer.remains)


def test_what_remains_is_counted_where_it_is_too_much_for_the_front_page() -> None:
    view = view_of(record_of(150, runs=3))
    remaining = [row for row in view.all_rows() if row.trouble and row.observation.outcome != "cleared"]
    assert len(view.answer.remains) == MOST_REMAINING
    assert view.answer.remains_more == len(remaining) - MOST_REMAINING


@pytest.mark.parametrize(
    ("reason", "end_m", "told"),
    [
        ("could_not_pass", 9.4, "nothing beyond 9.4 m was seen"),
        ("cable_limit", 9.4, "nothing beyond 9.4 m was seen"),
        ("stopped", 9.4, "nothing beyond 9.4 m was seen"),
        ("capped", 9.4, "what lies behind the cap was not seen"),
        (None, 9.4, "anything beyond it is not known to have been seen"),
        ("could_not_pass", None, "can't be told"),
        ("reached", 9.4, ""),
    ],
)
def test_what_was_not_seen_is_said_as_plainly(reason: str | None, end_m: float | None, told: str) -> None:
    record = visit_record()
    run = record.runs[0].model_copy(update={"end_reason": reason, "end_m": end_m})
    part = view_of(record.model_copy(update={"runs": (run,)})).runs[0]
    assert (told in part.unseen) if told else part.unseen == ""


def test_feet_are_told_where_the_visit_spoke_feet() -> None:
    record = record_of(3, feet=True)
    for row in view_of(record).all_rows():
        assert row.observation.from_m is not None
        assert f"{row.observation.from_m / FOOT_M:.1f}".removesuffix(".0") in row.place and "ft" in row.place
    assert "ft" not in "".join(row.place for row in view_of(record_of(3)).all_rows())


def test_the_time_is_of_the_first_words_and_names_the_recording_where_there_are_several() -> None:
    view = view_of(visit_record())
    times = {row.observation.id: row.moment.text for row in view.all_rows()}
    assert times["o2"] == "0:21"
    record = visit_record()
    two = record.model_copy(update={"sources": (*record.sources, *record.sources)})
    assert {row.moment.text for row in view_of(two).all_rows() if row.observation.id == "o2"} == {"rec. 1, 0:21"}


def test_a_row_with_an_open_query_says_so() -> None:
    asked = {row.observation.id: row.questions for row in view_of(visit_record()).all_rows() if row.questions}
    assert asked == {"o4": ("Is the joint at 6.35 m open?",), "o7": ("Where is the silt?",)}


def test_places_off_the_pipe_have_their_rows_and_measures() -> None:
    places = {place.title: place for place in view_of(visit_record()).places}
    assert set(places) == {"Septic tank", "Distribution box"}
    assert places["Septic tank"].measures == ("depth: about 0.35 to 0.4 m",)
    assert [row.sentence for row in places["Distribution box"].rows] == ["There are 3 outlets."]


def test_before_and_after_names_work_only_where_it_was_done_in_that_run() -> None:
    told = {each.where: each for each in view_of(visit_record()).before_after}
    assert told["Run 1, 4.2 m"].done == "Jetting: pipe, as far as 5 m."
    assert told["Run 2, distance not said"].done == "Not said with this row; see “Work done”."
    assert told["Run 2, distance not said"].left == "Partly cleared"


def test_it_is_a_draft_until_someone_signs() -> None:
    record = visit_record()
    assert view_of(record).draft == "Draft: not signed off"
    signed = build_view(Reviewed(record, SignOff("A. Reviewer", "2026-03-12 18:00 UTC")), VISIT, label)
    assert signed.draft == "" and signed.sign_off is not None


def test_a_row_that_a_reviewer_changed_is_marked() -> None:
    changes = (
        Change("distance: 4.1 m to 4.2 m", "R", "now", "four point two", "o2"),
        Change("left as it is", "R", "now", "", "o4", changed=False),
    )
    view = build_view(Reviewed(visit_record(), None, changes), VISIT, label)
    assert {row.observation.id for row in view.all_rows() if row.changed} == {"o2"}


def test_an_empty_record_claims_nothing() -> None:
    view = view_of(Record())
    assert not tuple(view.all_rows()) and not view.runs and not view.answer.trouble and not view.answer.remains


def test_a_row_of_a_run_that_is_gone_is_not_lost() -> None:
    stray = Observation(id="o1", run="R9", condition="crack", from_m=2.0, quote="crack at two")
    view = build_view(reviewed(Record(observations=(stray,))), VISIT, label)
    assert [row.sentence for row in view.all_rows()] == ["The pipe has a crack."]
