"""The reviewer's log of a job, open for adding: one writer at a time, each decision on disk before anyone goes on.

A last line that a power cut left unfinished is put into a file of its own beside the log, and told.
"""

import getpass
import hashlib
import os
import secrets
import unicodedata
from collections.abc import Iterable
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import Self

from filelock import FileLock, Timeout

from extractor.errors import DecisionError, JobError
from extractor.job.decisions import Decision, Deed, line_of, read_line, read_log
from extractor.job.folder import Job
from extractor.job.writing import sync_folder, unwritable, write_atomically

LOCK = ".review.lock"
HOLDER = ".review.who"
LONGEST_NAME = 80


class DecisionLog:
    """The log of one job, locked until closed. `decisions` are all entries in the order written, undone ones too.

    `reports` tell in plain words what had to be mended when it was opened.
    """

    def __init__(self, job: Job, who: str) -> None:
        self.path = job.decisions
        self.who = person(who)
        self.reports: tuple[str, ...] = ()
        self._lock = _locked(job, self.who)
        try:
            text = read_log(self.path)
            self._handle = _open(self.path)
            self.decisions = text.decisions
            self._mend()
        except BaseException:
            self._lock.release()
            raise

    def take(self, deed: Deed) -> Decision:
        """Write the deed as this reviewer's decision. It is on disk when this returns.

        Raises:
            DecisionError: where it can't be written; the log is then as it was.
        """
        decision = Decision(
            **deed.model_dump(exclude_unset=True),
            id=secrets.token_hex(8),
            when=datetime.now(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z"),
            who=self.who,
            seen=latest(self.decisions),
        )
        decision = read_line(line_of(decision))  # as it will be read again, so that digests agree
        self._append([decision])
        return decision

    def take_in(self, others: Iterable[Decision]) -> tuple[Decision, ...]:
        """Add entries of another log for this job, as they are; those already here are passed over."""
        known = {decision.id for decision in self.decisions}
        new = tuple(decision for decision in others if decision.id not in known)
        if new:
            self._append(new)
        return new

    def close(self) -> None:
        """Give the job free for others."""
        if self._handle >= 0:
            os.close(self._handle)
            self._handle = -1
            self.path.with_name(HOLDER).unlink(missing_ok=True)
            self._lock.release()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def _append(self, decisions: Iterable[Decision]) -> None:
        decisions = tuple(decisions)
        before = os.fstat(self._handle).st_size
        try:
            _write_all(self._handle, b"".join(map(line_of, decisions)))
            os.fsync(self._handle)
        except OSError as error:
            _cut(self._handle, before)
            reason = (error.strerror or str(error)).lower()
            raise DecisionError(
                f"the decision was not kept: {reason}.",
                where=str(self.path),
                todo="Free some space or mend the disk, then take it again.",
            ) from error
        self.decisions += decisions

    def _mend(self) -> None:
        """Bring the log to whole lines before anything is added: torn bytes aside, a missing line feed put there."""
        text = read_log(self.path)
        reports = []
        for damage in text.damages:
            if not damage.torn:
                reports.append(
                    f"Line {damage.line} of {self.path.name} is damaged and does not count; it was left where it is."
                )
                continue
            aside = self.path.with_name(f"decisions.torn-{hashlib.sha256(damage.data).hexdigest()[:8]}")
            write_atomically(aside, damage.data)
            try:
                os.ftruncate(self._handle, text.sound_bytes)
                os.fsync(self._handle)
            except OSError as error:
                raise unwritable(self.path, error) from error
            reports.append(
                f"The last line of {self.path.name} was unfinished (a power cut?). It was never shown as kept; "
                f"its {len(damage.data)} bytes are in {aside.name}."
            )
        if text.unended:
            try:
                _write_all(self._handle, b"\n")
                os.fsync(self._handle)
            except OSError as error:
                raise unwritable(self.path, error) from error
        self.reports = tuple(reports)


def latest(decisions: Iterable[Decision]) -> tuple[str, ...]:
    """The ids that no other entry has seen: one in a log written by one person after the other, more after a merge."""
    decisions = tuple(decisions)
    seen = {id for decision in decisions for id in decision.seen}
    return tuple(decision.id for decision in decisions if decision.id not in seen)


def person(name: str) -> str:
    """A name fit for a line of a log and a terminal: marks that steer or hide are left out.

    Raises:
        DecisionError: where nothing is left of it.
    """
    shown = "".join(mark if unicodedata.category(mark)[0] not in "CZ" else " " for mark in name)
    shown = " ".join(shown.split())[:LONGEST_NAME].strip()
    if not shown:
        raise DecisionError("a decision needs the name of who takes it.", todo="Give it with --who NAME.")
    return shown


def own_name() -> str:
    """Who sits at this machine: RODNOTE_REVIEWER, else the name they logged in with."""
    if name := os.environ.get("RODNOTE_REVIEWER"):
        return name
    try:
        return getpass.getuser()
    except (OSError, KeyError, ImportError):  # no such user in the system's list
        return ""


def _locked(job: Job, who: str) -> FileLock:
    path = job.folder / LOCK
    if path.is_symlink():
        raise JobError("is a link: remove it.", where=str(path))
    lock = FileLock(path, timeout=0)
    try:
        lock.acquire()
    except Timeout as error:
        raise JobError(
            f"is open for review{_holder(job)} at the moment.",
            where=str(job.folder),
            todo="Wait until they have left it, or work on a copy of the job and merge afterwards.",
        ) from error
    except (OSError, NotImplementedError) as error:
        raise JobError(
            f"can't be opened for review: {(getattr(error, 'strerror', None) or str(error)).lower()}.",
            where=str(job.folder),
            todo="Check your rights there.",
        ) from error
    try:
        write_atomically(job.folder / HOLDER, f"{who}, since {datetime.now().astimezone():%H:%M}\n".encode())
    except BaseException:
        lock.release()
        raise
    return lock


def _holder(job: Job) -> str:
    try:
        who = (job.folder / HOLDER).read_text(encoding="utf-8", errors="replace").strip()
    except OSError:
        return ""
    return f" by {who}" if who else ""


def _open(path: Path) -> int:
    new = not path.exists()
    try:
        handle = os.open(path, os.O_RDWR | os.O_APPEND | os.O_CREAT | getattr(os, "O_BINARY", 0), 0o644)
        if new:
            sync_folder(path.parent)
    except OSError as error:
        raise unwritable(path, error) from error
    return handle


def _write_all(handle: int, data: bytes) -> None:
    while data:
        data = data[os.write(handle, data) :]


def _cut(handle: int, size: int) -> None:
    """Take back what a failed write left. Where even that fails, the next opening puts the torn line aside."""
    try:
        os.ftruncate(handle, size)
        os.fsync(handle)
    except OSError:
        return
