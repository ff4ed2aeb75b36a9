"""What can go wrong, as one tree. Each error knows its place, what to do, and the exit status of the command.

RodnoteError (1)
├── NarrationError (3)     a file that can't be read as a narration
├── LexiconError (4)       an entry or a file of the lexicon that breaks its rules
├── JobError (5)           a job folder that can't be written or read
│   └── DecisionError      a decision that can't be taken
├── ReportError (6)        a report that can't be made
└── UsageError (2)         the command's words are off
"""


class RodnoteError(Exception):
    """Any error that is told to the user in one sentence, without a traceback.

    Args:
        what: what is wrong, in plain words.
        where: the file, line or entry it is about.
        todo: what the user can do.
    """

    exit_status = 1

    def __init__(self, what: str, *, where: str = "", todo: str = "") -> None:
        self.what, self.where, self.todo = what, where, todo
        super().__init__(what)

    def __str__(self) -> str:
        place = f"{self.where}: " if self.where else ""
        advice = f" {self.todo}" if self.todo else ""
        return f"{place}{self.what}{advice}"


class UsageError(RodnoteError):
    exit_status = 2


class NarrationError(RodnoteError):
    exit_status = 3


class LexiconError(RodnoteError):
    exit_status = 4


class JobError(RodnoteError):
    exit_status = 5


class DecisionError(JobError):
    pass


class ReportError(RodnoteError):
    exit_status = 6
