"""A scripted review in a process of its own, to be killed at any moment: prints each decision it acknowledges.

    python -m tests.review.killed_session JOB COUNT

Undo, change and reject follow one another; "ack ID" is printed only after `take` has returned, as the screen moves on.
"""

import sys
from pathlib import Path

from extractor.job.answers import change_deed, reject_deed, undo_deed
from extractor.job.apply import apply_decisions
from extractor.job.decision_log import DecisionLog
from extractor.job.folder import open_job


def main() -> None:
    job = open_job(Path(sys.argv[1]))
    count = int(sys.argv[2])
    with DecisionLog(job, "Zoë") as log:
        print("open", len(log.decisions), flush=True)
        reviewed = apply_decisions(job.record, log.decisions)
        for number in range(count):
            if number % 3 == 0:
                deed = change_deed("O4", reviewed, {"from_m": 6 + number / 1000, "detail": "ø" * (number % 40)})
            elif number % 3 == 1:
                deed = reject_deed("O5", reviewed)
            else:
                deed = undo_deed(log.decisions[-1].id)
            print("ack", log.take(deed).id, flush=True)


if __name__ == "__main__":
    main()
