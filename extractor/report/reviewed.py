"""Where a report meets the job: its record with decisions applied, the sign-off, the reviewer's changes."""

from dataclasses import dataclass

from extractor.job.folder import Job
from extractor.record import Record
from extractor.report.view import Change, SignOff


@dataclass(frozen=True)
class Reviewed:
    """What a report is made from. `sign_off` is None until someone stands for it."""

    record: Record
    sign_off: SignOff | None = None
    changes: tuple[Change, ...] = ()


def reviewed_job(job: Job) -> Reviewed:
    """The job's record as it stands after review."""
    return Reviewed(job.record)
