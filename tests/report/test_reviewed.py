"""What a reviewer did shows in the report: changes with their words, sign-off, a sign-off that became void."""

from pathlib import Path

import pytest

from extractor.job.apply import Change, ReviewedRecord, SignedOff
from extractor.job.folder import create_job, open_job
from extractor.report.build_view import build_view
from extractor.report.document import Grid, Paragraph, document_blocks
from extractor.report.reviewed import from_review, reviewed_job
from tests.report.made_records import VISIT, label, visit_record

SIGNED = SignedOff("A. Reviewer", "2026-03-12T18:05:11.120Z", "d" * 64)


def _review(**fields: object) -> ReviewedRecord:
    return ReviewedRecord(record=visit_record(), extracted=visit_record(), **fields)  # type: ignore[arg-type]


def test_an_unreviewed_job_is_a_draft_with_its_own_record(tmp_path: Path) -> None:
    record = visit_record()
    data = b"in we go"
    import hashlib

    source = record.sources[0].model_copy(update={"sha256": hashlib.sha256(data).hexdigest()})
    record = record.model_copy(update={"sources": (source,)})
    create_job(tmp_path / "job", [("visit.srt", data)], record)
    found = reviewed_job(open_job(tmp_path / "job"))
    assert found.record == record and found.sign_off is None and not found.changes


def test_a_sign_off_names_who_when_and_what() -> None:
    view = build_view(from_review(_review(sign_off=SIGNED)), VISIT, label)
    assert view.draft == ""
    told = [block.text for block in document_blocks(view) if isinstance(block, Paragraph)]
    assert "Signed off by A. Reviewer, 2026-03-12 18:05 UTC." in told
    assert any("d" * 64 in text for text in told)


def test_the_reason_for_signing_with_questions_open_is_shown() -> None:
    signed = SignedOff("A. Reviewer", "2026-03-12T18:05:11.120Z", "d" * 64, "client needs it today", 2)
    view = build_view(from_review(_review(sign_off=signed)), VISIT, label)
    told = [block for block in document_blocks(view) if isinstance(block, Paragraph) and block.kind == "warning"]
    assert [block.text for block in told] == ["Signed off with 2 questions open, because: client needs it today"]


def test_a_void_sign_off_is_told_and_the_report_is_a_draft() -> None:
    view = build_view(from_review(_review(voided=SIGNED)), VISIT, label)
    assert view.draft and any("changed after that" in note for note in view.notes)
    told = [block.text for block in document_blocks(view) if isinstance(block, Paragraph)]
    assert any("changed after that" in text for text in told)


def test_changes_stand_in_the_appendix_with_their_words() -> None:
    change = Change("1", "distance: 4.1 m to 4.2 m", "A. Reviewer", "2026-03-12T17:00:00.000Z", "o2", "four point two")
    view = build_view(from_review(_review(changes=(change,))), VISIT, label)
    (grid,) = (each for each in document_blocks(view) if isinstance(each, Grid) and "in review" in each.caption)
    assert [[cell.text or cell.quote for cell in row] for row in grid.rows] == [
        ["distance: 4.1 m to 4.2 m", "A. Reviewer", "2026-03-12 17:00 UTC", "four point two"]
    ]


@pytest.mark.parametrize(("before", "after", "marked"), [({"from_m": 4.1}, {"from_m": 4.2}, True), ({}, {}, False)])
def test_only_a_row_that_changed_is_marked(before: dict[str, float], after: dict[str, float], marked: bool) -> None:
    change = Change("1", "what", "who", "2026-03-12T17:00:00.000Z", "o2", "", before, after)
    view = build_view(from_review(_review(changes=(change,))), VISIT, label)
    assert [row.changed for row in view.all_rows() if row.observation.id == "o2"] == [marked]
