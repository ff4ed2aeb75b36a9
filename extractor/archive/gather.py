"""What a folder holds to be read: each transcript is one visit, each job folder is one visit.

    ARCHIVE/2025-03-04 ferry house.srt      a visit
    ARCHIVE/lake-hall/job.json              a visit: the job, as reviewed
    ARCHIVE/lake-hall/narrations/           the job's own: not read again

No link is followed out of the folder, hidden files are passed over, and so is the folder that the results go to.
"""

import datetime
import hashlib
import os
import re
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from extractor.errors import RodnoteError, UsageError

NARRATION_ENDINGS = frozenset({".txt", ".srt", ".vtt", ".json"})
JOB_FILES = ("job.json", "record.json", "decisions.jsonl", "visit.toml")
LARGEST_JOB_FILE_BYTES = 1_000_000_000
LARGEST_NARRATION_BYTES = 64 * 1024 * 1024 + 1  # one over what the reader takes, so that the reader tells it
_DATE = re.compile(r"(?<!\d)((?:19|20)\d\d)[-_. ]?(0[1-9]|1[0-2])[-_. ]?(0[1-9]|[12]\d|3[01])(?!\d)")


@dataclass(frozen=True, slots=True, order=True)
class Found:
    """A visit in the folder: `path` relative to it with forward slashes, and the SHA-256 of what it is read from."""

    path: str
    sha256: str
    size: int
    is_job: bool = False


@dataclass(frozen=True, slots=True, order=True)
class NotRead:
    """A visit that could not be read, and why in one line."""

    path: str
    error: str


def find_visits(folder: Path, leave_out: Path) -> tuple[list[Found], list[NotRead]]:
    """Every visit under `folder` in order of path, and what can't be opened. `leave_out` is not looked into.

    Raises:
        UsageError: where the folder is none.
    """
    if not folder.is_dir():
        raise UsageError(f"{folder} is no folder.", todo="Name the folder that holds the recordings.")
    root, away = folder.resolve(), leave_out.resolve()
    found: list[Found] = []
    unread: list[NotRead] = []
    for path in _candidates(root, away):
        shown = path.relative_to(root).as_posix()
        try:
            found.append(_looked_at(path, shown, root))
        except OSError as error:
            unread.append(NotRead(told(shown), f"can't be read: {(error.strerror or str(error)).lower()}."))
        except RodnoteError as error:
            unread.append(NotRead(told(shown), error.what))
    return sorted(found), sorted(unread)


def job_digest(job: Path) -> tuple[str, int]:
    """SHA-256 over the files that a job's record comes from, and their size in bytes."""
    digest, size = hashlib.sha256(), 0
    for name in JOB_FILES:
        path = job / name
        if path.is_file():
            own, length = file_digest(path, LARGEST_JOB_FILE_BYTES)
            digest.update(f"{name} {own}\n".encode())
            size += length
    return digest.hexdigest(), size


def file_digest(path: Path, most: int) -> tuple[str, int]:
    """SHA-256 and size of a file; of one that is larger than `most` bytes, of its size alone: it will be refused."""
    size = path.stat().st_size
    if size > most:
        return hashlib.sha256(f"{size} bytes".encode()).hexdigest(), size
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest(), size


def date_in(path: str) -> str | None:
    """The last date (2025-03-04, 20250304) in a path, as ISO; None where there is none."""
    for year, month, day in reversed(_DATE.findall(path)):
        with suppress(ValueError):  # the 31st of a month that has 30 days is no date
            return datetime.date(int(year), int(month), int(day)).isoformat()
    return None


def told(path: str) -> str:
    """A path that any file can hold: half of a surrogate pair, which stands for a byte that is no UTF-8, as "?"."""
    return path.encode("utf-8", "replace").decode()


def _candidates(root: Path, away: Path) -> Iterator[Path]:
    """Files that look like narrations, and job folders."""
    for here, folders, files in os.walk(root, followlinks=False):
        place = Path(here)
        if "job.json" in files and place != root:
            folders.clear()
            yield place
            continue
        folders[:] = sorted(name for name in folders if not name.startswith(".") and place / name != away)
        for name in sorted(files):
            if not name.startswith(".") and Path(name).suffix.lower() in NARRATION_ENDINGS:
                yield place / name


def _looked_at(path: Path, shown: str, root: Path) -> Found:
    if told(shown) != shown:
        raise RodnoteError("has a name that is no UTF-8; rename it.")
    if path.is_dir():
        digest, size = job_digest(path)
        return Found(shown, digest, size, is_job=True)
    if path.is_symlink() and not path.resolve().is_relative_to(root):
        raise RodnoteError("is a link that leads out of the folder.")
    if not path.is_file():
        raise RodnoteError("is no ordinary file.")
    digest, size = file_digest(path, LARGEST_NARRATION_BYTES)
    return Found(shown, digest, size)
