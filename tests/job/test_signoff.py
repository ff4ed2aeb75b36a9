"""Sign-off: held up by harmful queries, bound to what was signed, void after any change."""

from pathlib import Path

import pytest

from extractor.errors import DecisionError
from extractor.job.answers import change_deed, choices_of, undo_deed
from extractor.job.apply import ReviewedRecord, apply_decisions, reviewed_record
from extractor.job.decision_log import DecisionLog
from extractor.job.folder import Job, open_job
from extractor.job.harm import harmful_queries
from extractor.job.merge_logs import merge_logs
from extractor.job.signoff import sign_off
from tests.review.made_visit import made_job, made_record


@pytest.fixture
def job(tmp_path: Path) -> Job:
    return made_job(tmp_path / "job")


def answer_all(job: Job, log: DecisionLog) -> ReviewedRecord:
    while queries := (reviewed := apply_decisions(job.record, log.decisions)).record.queries:
        log.take(choices_of(queries[0], reviewed)[0].deed)
    return reviewed


def test_it_is_refused_while_harmful_queries_are_open(job: Job) -> None:
    with pytest.raises(DecisionError, match="9 harmful queries are open"):
        sign_off(reviewed_record(job))


def test_a_reason_lets_it_through_and_is_kept(job: Job) -> None:
    with DecisionLog(job, "Zoë") as log:
        log.take(sign_off(reviewed_record(job), "  client waits;\n  second visit on Monday "))
    signed = reviewed_record(job).sign_off
    assert signed is not None
    assert (signed.by, signed.because, signed.left_open) == ("Zoë", "client waits; second visit on Monday", 9)


def test_queries_that_do_no_harm_do_not_hold_it_up() -> None:
    record = made_record()
    harmless = record.model_copy(update={"queries": (record.queries[6].model_copy(update={"row": None}),)})
    reviewed = apply_decisions(harmless, ())
    assert not harmful_queries(reviewed.record)
    assert sign_off(reviewed).kind == "sign"


def test_it_names_reviewer_time_and_digest_and_holds_when_the_job_is_opened_again(job: Job) -> None:
    with DecisionLog(job, "Zoë") as log:
        reviewed = answer_all(job, log)
        log.take(sign_off(reviewed))
    again = reviewed_record(open_job(job.folder))
    assert again.sign_off is not None
    assert again.sign_off.by == "Zoë"
    assert again.sign_off.when.endswith("Z")
    assert again.sign_off.digest == again.digest == reviewed.digest
    assert again.sign_off.because == ""
    with pytest.raises(DecisionError, match="signed off already, by Zoë"):
        sign_off(again)


def test_any_later_decision_voids_it_even_one_that_is_undone(job: Job) -> None:
    with DecisionLog(job, "Zoë") as log:
        log.take(sign_off(answer_all(job, log)))
        taken = log.take(change_deed("O4", reviewed_record(job), {"extent": "slight"}))
        reviewed = reviewed_record(job)
        assert reviewed.sign_off is None
        assert reviewed.voided is not None and reviewed.voided.by == "Zoë"
        log.take(undo_deed(taken.id))
        assert reviewed_record(job).sign_off is None
        log.take(sign_off(reviewed_record(job)))
        assert reviewed_record(job).sign_off is not None


def test_extracting_again_with_another_result_voids_it_and_with_the_same_does_not(job: Job) -> None:
    with DecisionLog(job, "Zoë") as log:
        log.take(sign_off(answer_all(job, log)))
    made_job(job.folder)
    assert reviewed_record(open_job(job.folder)).sign_off is not None
    made_job(job.folder, program="rodnote, another version")
    assert reviewed_record(open_job(job.folder)).sign_off is None


def test_anothers_decisions_taken_in_void_it(job: Job, tmp_path: Path) -> None:
    other = made_job(tmp_path / "other")
    with DecisionLog(other, "Ann") as log:
        log.take(change_deed("O4", reviewed_record(other), {"extent": "slight"}))
    with DecisionLog(job, "Zoë") as log:
        log.take(sign_off(answer_all(job, log)))
        merge_logs(log, other.folder)
    assert reviewed_record(job).sign_off is None


def test_a_sign_off_copied_into_another_job_does_not_hold(job: Job, tmp_path: Path) -> None:
    with DecisionLog(job, "Zoë") as log:
        log.take(sign_off(reviewed_record(job), "all well"))
    other = made_job(tmp_path / "other", spoken_unit="ft")
    other.decisions.write_bytes(job.decisions.read_bytes())
    assert reviewed_record(other).sign_off is None
