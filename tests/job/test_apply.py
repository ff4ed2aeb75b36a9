"""Record + decisions: what was decided stands, also after extracting again; what can't stand comes back as a query."""

from collections.abc import Callable, Iterable
from pathlib import Path
from random import Random
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from extractor.errors import DecisionError
from extractor.job.answers import (
    add_deed,
    change_deed,
    choices_of,
    merge_deed,
    reject_deed,
    split_deed,
    undo_deed,
)
from extractor.job.apply import ReviewedRecord, apply_decisions, reviewed_record
from extractor.job.decision_log import DecisionLog, latest
from extractor.job.decisions import Decision, Deed, RowName, Span
from extractor.job.harm import harm_of, most_harmful_first
from extractor.job.naming import rows_of
from extractor.job.refusals import refuse
from extractor.record import Observation, Query, Record
from tests.review.made_visit import NARRATION, made_job, made_record, words

RECORD = made_record()
Deeds = Callable[[ReviewedRecord], Deed]


class Reviewer:
    """Takes decisions on a record without a disk: each sees all that this reviewer has."""

    def __init__(self, who: str = "Zoë", record: Record = RECORD, decisions: Iterable[Decision] = ()) -> None:
        self.who, self.record, self.log = who, record, list(decisions)

    @property
    def reviewed(self) -> ReviewedRecord:
        return apply_decisions(self.record, self.log)

    def take(self, deed: Deeds | Deed) -> Decision:
        made = deed if isinstance(deed, Deed) else deed(self.reviewed)
        number = len(self.log) + 1
        taken = Decision(
            **made.model_dump(exclude_unset=True),
            id=f"{number:08x}{ord(self.who[0]):08x}",
            when=f"2026-05-04T10:{number:02d}:00.000Z",
            who=self.who,
            seen=latest(self.log),
        )
        self.log.append(taken)
        return taken

    def row(self, id: str) -> Any:
        return rows_of(self.reviewed.record).get(id)


def query(reviewed: ReviewedRecord, id: str) -> Query:
    return next(each for each in reviewed.record.queries if each.id == id)


def answer(id: str, number: int) -> Deeds:
    return lambda reviewed: choices_of(query(reviewed, id), reviewed)[number - 1].deed


def change(id: str, **sets: Any) -> Deeds:
    return lambda reviewed: change_deed(id, reviewed, sets)


def test_without_decisions_the_record_is_as_it_was() -> None:
    assert apply_decisions(RECORD, ()).record == RECORD


@pytest.mark.parametrize(
    ("id", "number", "row", "fields"),
    [
        ("Q2", 1, "O2", {"certainty": "stated"}),
        ("Q2", 2, "O2", {"certainty": "tentative"}),
        ("Q2", 3, "O2", None),
        ("Q3", 1, "O3", {"from_m": None}),
        ("Q6", 2, "O9", {"from_m": 2.9}),
        ("Q9", 1, "C2", {"condition": None}),
        ("Q1", 2, "M1", None),
    ],
)
def test_an_answer_changes_its_row_and_closes_its_query(
    id: str, number: int, row: str, fields: dict[str, Any] | None
) -> None:
    zoë = Reviewer()
    zoë.take(answer(id, number))
    assert id not in [each.id for each in zoë.reviewed.record.queries]
    assert id in [each.id for each in zoë.reviewed.settled]
    if fields is None:
        assert zoë.row(row) is None
        assert [gone.id for gone in zoë.reviewed.rejected] == [row]
    else:
        assert {name: getattr(zoë.row(row), name) for name in fields} == fields


def test_an_answer_leaves_the_other_query_of_its_row_open_unless_the_row_goes() -> None:
    two = (*RECORD.queries, RECORD.queries[1].model_copy(update={"id": "Q10", "reason": "no_distance"}))
    zoë = Reviewer(record=made_record(queries=two))
    zoë.take(answer("Q2", 1))
    assert "Q10" in [each.id for each in zoë.reviewed.record.queries]
    zoë.take(lambda reviewed: reject_deed("O2", reviewed))
    assert "Q10" not in [each.id for each in zoë.reviewed.record.queries]


def test_a_distance_given_in_the_table_answers_the_query_that_asked_for_it() -> None:
    zoë = Reviewer()
    zoë.take(change("O3", from_m=4.4))
    assert "Q3" not in [each.id for each in zoë.reviewed.record.queries]
    zoë.take(change("O5", extent="slight"))
    assert "Q4" in [each.id for each in zoë.reviewed.record.queries]


def test_a_change_tells_what_was_before_and_after_in_words_and_values() -> None:
    zoë = Reviewer()
    taken = zoë.take(change("O3", from_m=4.4, approximate=True))
    (told,) = zoë.reviewed.changes
    assert (told.decision, told.who, told.row) == (taken.id, "Zoë", "O3")
    assert told.before == {"from_m": None, "approximate": False}
    assert told.after == {"from_m": 4.4, "approximate": True}
    assert told.what == "crack: distance none → 4.4 m, distance hedged no → yes"
    assert told.quote == "then a crack at the crown didn't catch the counter there"


def test_undo_is_an_entry_and_can_itself_be_undone() -> None:
    zoë = Reviewer()
    changed = zoë.take(change("O3", from_m=4.4))
    undone = zoë.take(undo_deed(changed.id))
    assert zoë.row("O3").from_m is None
    assert "Q3" in [each.id for each in zoë.reviewed.record.queries]
    zoë.take(undo_deed(undone.id))
    assert zoë.row("O3").from_m == 4.4
    assert len(zoë.log) == 3


def test_a_rejected_row_comes_back_by_a_later_change() -> None:
    zoë = Reviewer()
    zoë.take(lambda reviewed: reject_deed("O4", reviewed))
    assert zoë.row("O4") is None
    zoë.take(change("O4", extent="slight"))
    assert zoë.row("O4").extent == "slight"


def test_a_split_makes_a_second_row_beside_the_first_that_can_be_changed_too() -> None:
    zoë = Reviewer()
    split = zoë.take(lambda reviewed: split_deed("O4", reviewed, {"from_m": 6.3, "condition": "crack"}))
    ids = [row.id for row in zoë.reviewed.record.observations]
    new = f"N-{split.id[:8]}"
    assert ids[ids.index("O4") + 1] == new
    assert (zoë.row(new).from_m, zoë.row(new).condition, zoë.row(new).quote) == (6.3, "crack", zoë.row("O4").quote)
    assert zoë.row("O4").from_m == 6.1
    zoë.take(change(new, from_m=6.4))
    assert zoë.row(new).from_m == 6.4


def test_a_merge_joins_the_words_of_both_and_takes_on_what_the_first_did_not_say() -> None:
    zoë = Reviewer()
    zoë.take(lambda reviewed: merge_deed("O3", "O5", reviewed))
    row = zoë.row("O3")
    assert zoë.row("O5") is None
    assert (row.from_m, row.clock, row.certainty) == (7.0, (12, 12), "stated")
    assert len(row.evidence) == 2
    assert "Q4" not in [each.id for each in zoë.reviewed.record.queries]


def test_a_row_moves_to_another_run() -> None:
    zoë = Reviewer()
    zoë.take(change("O2", run="R2"))
    assert zoë.row("O2").run == "R2"


def added(quote: str, **sets: Any) -> Deeds:
    piece = words(quote)["evidence"][0]
    span = Span(sha256=NARRATION.sha256, first_char=piece.first_char, last_char=piece.last_char, start_s=piece.start_s)
    return lambda reviewed: add_deed(RowName(kind="observation", spans=(span,), quote=quote), reviewed, sets)


def test_a_missing_row_is_added_where_its_words_were_said() -> None:
    zoë = Reviewer()
    taken = zoë.take(added("didn't catch the counter", run="R1", condition="break", from_m=4.0))
    ids = [row.id for row in zoë.reviewed.record.observations]
    new = f"N-{taken.id[:8]}"
    assert ids[ids.index("O3") + 1] == new
    row = zoë.row(new)
    assert (row.run, row.condition, row.from_m, row.quote) == ("R1", "break", 4.0, "didn't catch the counter")
    assert row.evidence[0].start_s == pytest.approx(words("didn't catch the counter")["evidence"][0].start_s)
    zoë.take(undo_deed(taken.id))
    assert zoë.row(new) is None


# ---- extracting again ---------------------------------------------------------------------------------------------


def renumbered(record: Record) -> Record:
    """The same rows under other ids, as another version of the program might number them."""
    new = {row.id: f"{row.id[0]}{int(row.id[1:]) + 40}" for row in record.observations}
    runs = {run.id: f"R{int(run.id[1:]) + 7}" for run in record.runs}
    return record.model_copy(
        update={
            "runs": tuple(run.model_copy(update={"id": runs[run.id]}) for run in record.runs),
            "observations": tuple(
                row.model_copy(update={"id": new[row.id], "run": runs[row.run or ""]}) for row in record.observations
            )[::-1],
            "queries": tuple(
                each.model_copy(update={"row": new.get(each.row or "", each.row)}) for each in record.queries
            ),
        }
    )


def test_decisions_hold_after_extracting_again_under_other_ids() -> None:
    zoë = Reviewer()
    for deed in (answer("Q2", 1), answer("Q5", 1), change("O3", from_m=4.4), change("O4", run="R2", from_m=3.1)):
        zoë.take(deed)
    again = apply_decisions(renumbered(RECORD), zoë.log)
    rows = rows_of(again.record)
    assert rows["O42"].certainty == "stated"
    assert "O47" not in rows
    assert rows["O43"].from_m == 4.4
    assert (rows["O44"].run, rows["O44"].from_m) == ("R9", 3.1)
    assert not again.raised
    assert {each.id for each in again.record.queries} == {each.id for each in zoë.reviewed.record.queries}


def with_row(id: str, **fields: Any) -> Record:
    return made_record(
        observations=tuple(row.model_copy(update=fields) if row.id == id else row for row in RECORD.observations)
    )


def test_a_decision_holds_where_the_words_of_its_row_have_grown() -> None:
    zoë = Reviewer()
    zoë.take(change("O4", extent="moderate"))
    longer = words("six point one heavy routes in the joint cut those out with the jetter all gone")
    again = apply_decisions(with_row("O4", **longer), zoë.log)
    assert rows_of(again.record)["O4"].extent == "moderate"


@pytest.mark.parametrize(
    "fields",
    [{"condition": "grease"}, {"polarity": "absent"}, words("the fellow with the dog says it floods in winter")],
    ids=["says another thing", "is denied now", "rests on other words"],
)
def test_a_decision_whose_row_is_gone_comes_back_as_a_harmful_query_and_changes_nothing(fields: dict[str, Any]) -> None:
    zoë = Reviewer()
    taken = zoë.take(change("O4", extent="moderate"))
    again = apply_decisions(with_row("O4", **fields), zoë.log)
    (raised,) = again.raised
    asked = query(again, raised)
    assert asked.reason == "conflict"
    assert harm_of(asked, again.record).harmful
    assert "Zoë decided on “root intrusion, joint, 6.1 m”" in asked.question
    assert rows_of(again.record)["O4"].extent == "severe"
    assert again.raised[raised][0].id == taken.id


def returned(number: int) -> tuple[Reviewer, ReviewedRecord]:
    """O4 was changed, is gone after extracting again, and the returned query is answered."""
    zoë = Reviewer()
    zoë.take(change("O4", extent="moderate"))
    zoë.record = with_row("O4", condition="grease")
    (raised,) = zoë.reviewed.raised
    zoë.take(choices_of(query(zoë.reviewed, raised), zoë.reviewed)[number - 1].deed)
    return zoë, zoë.reviewed


def test_a_returned_decision_can_be_put_on_the_row_that_stands_there_now() -> None:
    _, reviewed = returned(1)
    assert (rows_of(reviewed.record)["O4"].condition, rows_of(reviewed.record)["O4"].extent) == ("grease", "moderate")
    assert not reviewed.raised


def test_a_returned_decision_can_be_kept_as_a_row_of_its_own() -> None:
    zoë, reviewed = returned(2)
    row = rows_of(reviewed.record)[f"N-{zoë.log[-1].id[:8]}"]
    assert isinstance(row, Observation)
    assert (row.condition, row.extent, row.from_m) == ("root_intrusion", "moderate", 6.1)
    assert not reviewed.raised


def test_a_returned_decision_can_be_let_go() -> None:
    _, reviewed = returned(3)
    assert not reviewed.raised
    assert reviewed.record.observations == with_row("O4", condition="grease").observations


def test_a_rejected_row_that_is_gone_by_itself_asks_nobody() -> None:
    zoë = Reviewer()
    zoë.take(lambda reviewed: reject_deed("O4", reviewed))
    without = made_record(observations=tuple(row for row in RECORD.observations if row.id != "O4"))
    assert not apply_decisions(without, zoë.log).raised


def test_a_move_to_a_run_that_is_gone_comes_back() -> None:
    zoë = Reviewer()
    zoë.take(change("O2", run="R2"))
    again = apply_decisions(made_record(runs=RECORD.runs[:1], observations=RECORD.observations[:7]), zoë.log)
    (raised,) = again.raised
    assert "the run it was moved to is no longer in the record" in query(again, raised).question


def test_rows_on_the_same_words_are_told_apart_by_what_they_say() -> None:
    quote = words("then a crack at the crown")
    pair = tuple(Observation(id=f"O{n}", run="R1", condition="crack", from_m=n, **quote) for n in (1, 2))
    zoë = Reviewer(record=made_record(observations=pair, queries=()))
    zoë.take(change("O2", extent="severe"))
    again = apply_decisions(made_record(observations=pair[::-1], queries=()), zoë.log)
    assert [(row.from_m, row.extent) for row in again.record.observations] == [(2, "severe"), (1, None)]
    moved = tuple(row.model_copy(update={"from_m": (row.from_m or 0) + 5}) for row in pair)
    assert apply_decisions(made_record(observations=moved, queries=()), zoë.log).raised, "either may be meant: ask"


def test_twins_that_say_the_very_same_are_told_apart_by_their_order() -> None:
    quote = words("then a crack at the crown")
    pair = tuple(Observation(id=f"O{n}", run="R1", condition="crack", **quote) for n in (1, 2))
    zoë = Reviewer(record=made_record(observations=pair, queries=()))
    zoë.take(change("O2", extent="severe"))
    assert [row.extent for row in zoë.reviewed.record.observations] == [None, "severe"]


# ---- two reviewers --------------------------------------------------------------------------------------------------


def apart(ann: Deeds, zoë: Deeds) -> tuple[Reviewer, Reviewer]:
    """Two reviewers start from the same log, decide apart from each other, then have both logs."""
    first, second = Reviewer("Ann"), Reviewer("Zoë")
    first.take(ann)
    second.take(zoë)
    both = [*first.log, *second.log]
    return Reviewer("Ann", decisions=both), Reviewer("Zoë", decisions=both[::-1])


@pytest.mark.parametrize(
    ("ann", "zoë"),
    [
        (change("O3", from_m=4.4), change("O3", from_m=4.6)),
        (change("O3", from_m=4.4), lambda reviewed: reject_deed("O3", reviewed)),
        (answer("Q2", 1), answer("Q2", 3)),
        (answer("Q2", 1), answer("Q2", 2)),
        (answer("Q9", 1), answer("Q9", 2)),
        (change("O2", run="R2"), change("O2", run="R1")),
        (lambda reviewed: merge_deed("O3", "O5", reviewed), lambda reviewed: merge_deed("O2", "O5", reviewed)),
    ],
)
def test_two_that_decided_differently_apart_are_asked_and_neither_stands(ann: Deeds, zoë: Deeds) -> None:
    one, other = apart(ann, zoë)
    assert one.reviewed.record == other.reviewed.record, "the order in which logs are put together makes no difference"
    (raised,) = one.reviewed.raised
    assert harm_of(query(one.reviewed, raised), one.reviewed.record).harmful
    assert one.reviewed.record.observations == RECORD.observations
    labels = [choice.label for choice in choices_of(query(one.reviewed, raised), one.reviewed)]
    assert labels[0].startswith("Ann") and labels[1].startswith("Zoë") and labels[2].startswith("neither")


@pytest.mark.parametrize(
    ("ann", "zoë"),
    [
        (change("O3", from_m=4.4), change("O3", from_m=4.4)),
        (change("O3", from_m=4.4), change("O3", extent="slight")),
        (answer("Q2", 1), answer("Q2", 1)),
        (answer("Q2", 1), answer("Q4", 3)),
    ],
)
def test_two_that_agree_or_decide_on_different_things_are_not_asked(ann: Deeds, zoë: Deeds) -> None:
    one, _ = apart(ann, zoë)
    assert not one.reviewed.raised


def test_one_who_had_seen_the_others_decision_replaces_it() -> None:
    zoë = Reviewer()
    zoë.take(change("O3", from_m=4.4))
    ann = Reviewer("Ann", decisions=zoë.log)
    ann.take(change("O3", from_m=4.6))
    assert ann.row("O3").from_m == 4.6
    assert not ann.reviewed.raised


@pytest.mark.parametrize(("number", "distance"), [(1, 4.4), (2, 4.6), (3, None)])
def test_ruling_between_two_settles_it(number: int, distance: float | None) -> None:
    ann, _ = apart(change("O3", from_m=4.4), change("O3", from_m=4.6))
    (raised,) = ann.reviewed.raised
    ann.take(choices_of(query(ann.reviewed, raised), ann.reviewed)[number - 1].deed)
    assert not ann.reviewed.raised
    assert ann.row("O3").from_m == distance
    assert ("Q3" in [each.id for each in ann.reviewed.record.queries]) == (distance is None)


# ---- refusals -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("deed", "why"),
    [
        (change("O4", from_m=9.4), r"can't lie at 9\.4 m: R1 ended at 8\.5 m"),
        (change("O9", run="R1", from_m=9.0), "R1 ended at 8.5 m"),
        (change("O4", run="R2"), r"can't lie at 6\.1 m: R2 ended at 3\.7 m"),
        (change("O6", to_m=12.0), "R1 ended at 8.5 m"),
        (change("O4", from_m=-1), "can't lie at -1 m"),
        (change("O4", from_m=6.1, to_m=5.0), r"can't go from 6\.1 m back to 5 m"),
        (change("O3", to_m=5.0), "no beginning"),
        (change("O4", clock=(13, 13)), "hours 1 to 12"),
        (change("R1", end_m=5.0), "R1 ended at 5 m"),
        (change("O4", extent="huge"), "extent"),
        (change("O4", colour="red"), "has no colour"),
        (lambda reviewed: reject_deed("R1", reviewed), "still has rows"),
        (lambda reviewed: merge_deed("O4", "M1", reviewed), "only two different rows of one kind"),
        (added("the fellow", run="R1", condition="crack", from_m=99), "R1 ended at 8.5 m"),
    ],
)
def test_what_contradicts_itself_is_refused_with_the_reason(deed: Deeds, why: str) -> None:
    zoë = Reviewer()
    with pytest.raises(DecisionError, match=why):
        refuse(zoë.reviewed, deed(zoë.reviewed))


def test_what_was_extracted_at_odds_with_itself_does_not_keep_other_rows_from_being_changed() -> None:
    zoë = Reviewer(record=with_row("O4", from_m=9.9))
    refuse(zoë.reviewed, change("O2", certainty="stated")(zoë.reviewed))


# ---- order of harm, purity ----------------------------------------------------------------------------------------


def test_queries_come_most_harmful_first() -> None:
    order = [each.id for each in most_harmful_first(RECORD.queries, RECORD)]
    assert order == ["Q5", "Q2", "Q4", "Q3", "Q9", "Q6", "Q1", "Q7", "Q8"]


@pytest.mark.parametrize(
    ("condition", "reason", "harmful"),
    [
        ("crack", "doubt", True),
        ("grease", "doubt", False),
        ("grease", "no_distance", True),
        ("sound", "no_distance", False),
    ],
)
def test_harm_depends_on_what_is_doubted(condition: str, reason: Any, harmful: bool) -> None:
    record = with_row("O2", condition=condition)
    assert harm_of(RECORD.queries[1].model_copy(update={"reason": reason}), record).harmful is harmful


DEEDS: tuple[Deeds, ...] = (
    answer("Q2", 1),
    answer("Q2", 3),
    change("O3", from_m=4.4),
    change("O3", from_m=4.6),
    lambda reviewed: reject_deed("O5", reviewed),
    lambda reviewed: merge_deed("O3", "O5", reviewed),
    lambda reviewed: split_deed("O4", reviewed, {"from_m": 6.3}),
    added("the fellow with the dog", run="R1", condition="crack"),
)


@settings(max_examples=40, deadline=None)
@example(picks=[(0, 1), (0, 4), (1, 5), (1, 0)], shuffle=Random(1))  # two disagreements of the same two people
@given(
    picks=st.lists(st.tuples(st.integers(0, 1), st.integers(0, len(DEEDS))), max_size=8),
    shuffle=st.randoms(use_true_random=False),
)
def test_any_two_peoples_decisions_in_any_order_give_one_result_and_lose_none(picks: list[Any], shuffle: Any) -> None:
    people = (Reviewer("Ann"), Reviewer("Zoë"))
    for who, pick in picks:
        reviewer = people[who]
        try:
            reviewer.take(DEEDS[pick] if pick < len(DEEDS) else undo_deed(reviewer.log[-1].id))
        except (StopIteration, IndexError, KeyError):  # the query is answered or the row gone
            continue
    both = [*people[0].log, *people[1].log]
    first = apply_decisions(RECORD, both)
    shuffle.shuffle(both)
    assert apply_decisions(RECORD, both) == first
    told = {change.decision for change in first.changes} | {
        each.id for asked in first.raised.values() for each in asked
    }
    assert {each.id for each in first.standing} - told <= {
        each.id for each in first.standing if each.kind == "reject"
    }, "every decision that counts is carried out or asked about"


def test_the_jobs_reviewed_record_is_read_from_disk_and_tells_of_damage(tmp_path: Path) -> None:
    job = made_job(tmp_path / "job")
    with DecisionLog(job, "Zoë") as log:
        log.take(change_deed("O3", reviewed_record(job), {"from_m": 4.4}))
    with job.decisions.open("ab") as file:
        file.write(b'{"torn')
    reviewed = reviewed_record(job)
    assert rows_of(reviewed.record)["O3"].from_m == 4.4  # type: ignore[union-attr]
    assert "unfinished" in reviewed.reports[0]
