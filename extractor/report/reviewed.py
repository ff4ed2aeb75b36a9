"""Where a report meets the job: its record with decisions applied, the sign-off, the reviewer's changes."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from extractor.job.apply import ReviewedRecord, reviewed_record
from extractor.job.folder import Job
from extractor.record import Record
from extractor.report.safe_text import clean
from extractor.report.view import Change, SignOff


@dataclass(frozen=True)
class Reviewed:
    """What a report is made from. `sign_off` is None until someone stands for it; `rejected` are rows taken out."""

    record: Record
    sign_off: SignOff | None = None
    changes: tuple[Change, ...] = ()
    notes: tuple[str, ...] = ()


def reviewed_job(job: Job) -> Reviewed:
    """The job's record as it stands after review."""
    return from_review(reviewed_record(job))


def from_review(review: ReviewedRecord) -> Reviewed:
    """The review's result in the report's words."""
    notes = list(review.reports)
    if review.voided:
        notes.append(f"It was signed off by {review.voided.by}, {_day(review.voided.when)}, and changed after that.")
    return Reviewed(
        record=review.record,
        sign_off=_sign_off(review),
        changes=tuple(
            Change(
                what=clean(change.what),
                who=clean(change.who),
                when=_day(change.when),
                quote=clean(change.quote),
                row=change.row,
                changed=bool(_differs(change.before, change.after)),
            )
            for change in review.changes
        ),
        notes=tuple(clean(note) for note in notes),
    )


def _sign_off(review: ReviewedRecord) -> SignOff | None:
    signed = review.sign_off
    if signed is None:
        return None
    return SignOff(clean(signed.by), _day(signed.when), clean(signed.because), signed.digest, signed.left_open)


def _differs(before: Mapping[str, Any], after: Mapping[str, Any]) -> bool:
    return dict(before) != dict(after)


def _day(when: str) -> str:
    """Date and minute of an ISO time, as kept: "2026-05-04 17:31 UTC"."""
    return f"{when[:10]} {when[11:16]} UTC" if len(when) >= 16 else clean(when)
