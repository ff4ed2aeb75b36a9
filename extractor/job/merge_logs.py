"""Two people's logs of one job become one: every decision of both is kept, and where they disagree, a query asks."""

from dataclasses import dataclass
from pathlib import Path

from extractor.errors import DecisionError
from extractor.job.decision_log import DecisionLog
from extractor.job.decisions import Decision, read_log


@dataclass(frozen=True)
class Merged:
    """What came of it: decisions that were new here, how many were known, lines of the other log that can't be read."""

    new: tuple[Decision, ...]
    known: int
    unread: tuple[int, ...]


def merge_logs(log: DecisionLog, other: Path) -> Merged:
    """Take the decisions of another log of this job into this one. The other file is not changed.

    Raises:
        DecisionError: where the other log gives a known decision another content: neither can be trusted then.
        JobError: where it can't be read.
    """
    path = other / "decisions.jsonl" if other.is_dir() else other
    if not path.is_file():
        raise DecisionError("there is no log of decisions.", where=str(path), todo="Give a decisions.jsonl or its job.")
    text = read_log(path)
    here = {decision.id: decision for decision in log.decisions}
    altered = [decision.id for decision in text.decisions if decision.id in here and here[decision.id] != decision]
    if altered:
        raise DecisionError(
            f"decision {altered[0]} says something else there than here; nothing was merged.",
            where=str(path),
            todo="Find out which log was altered.",
        )
    new = log.take_in(text.decisions)
    return Merged(new, len(text.decisions) - len(new), tuple(damage.line for damage in text.damages))
