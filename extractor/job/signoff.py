"""Sign-off: a person stands for the record as it is now. Any later change makes it void: its digest is another."""

from extractor.errors import DecisionError
from extractor.job.apply import ReviewedRecord
from extractor.job.decisions import Deed
from extractor.job.harm import harmful_queries

__all__ = ["sign_off"]


def sign_off(reviewed: ReviewedRecord, because: str = "") -> Deed:
    """The deed of signing off what `reviewed` holds.

    Raises:
        DecisionError: while harmful queries are open and no reason is given, or where it is signed already.
    """
    if reviewed.sign_off is not None:
        raise DecisionError(f"is signed off already, by {reviewed.sign_off.by}; nothing has changed since.")
    still = len(harmful_queries(reviewed.record))
    because = " ".join(because.split())
    if still and not because:
        raise DecisionError(
            f"{still} harmful {'query is' if still == 1 else 'queries are'} open.",
            todo="Answer them, or give the reason why it is signed off all the same: the report shows it.",
        )
    return Deed(kind="sign", digest=reviewed.digest, because=because if still else "", left_open=still)
