"""A file on disk is whole or not there: written beside its place, synced, then renamed over it."""

import contextlib
import os
import tempfile
from collections.abc import Sequence
from pathlib import Path

from extractor.errors import JobError


def write_atomically(path: Path, data: bytes) -> None:
    """Put `data` at `path`; at any moment the path holds all of the old bytes or all of the new ones.

    Raises:
        JobError: where the disk is full, the folder is read-only or the like; what stood there before still stands.
    """
    write_together([(path, data)])


def write_together(files: Sequence[tuple[Path, bytes]]) -> None:
    """Put several files in their places, the first one first: none where the disk has no room for all of them.

    Raises:
        JobError: where one can't be written; what stood there before still stands.
    """
    unfinished: list[Path] = []
    path = Path()
    try:
        for path, data in files:
            unfinished.append(_begun(path))
            _fill(unfinished[-1], data)
        for (path, _), written in zip(files, unfinished, strict=True):
            written.replace(path)
        for folder in {path.parent for path, _ in files}:
            sync_folder(folder)
    except OSError as error:
        raise unwritable(path, error) from error
    finally:
        for left in unfinished:  # gone already where the renaming went well; Ctrl-C comes by here too
            left.unlink(missing_ok=True)


def _begun(path: Path) -> Path:
    """An empty file beside the place of `path`."""
    handle, unfinished = tempfile.mkstemp(prefix=f".{path.name[:40]}.", suffix=".unfinished", dir=path.parent)
    os.close(handle)
    return Path(unfinished)


def _fill(unfinished: Path, data: bytes) -> None:
    with unfinished.open("wb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())
    unfinished.chmod(_usual_mode())


def unwritable(path: Path, error: OSError) -> JobError:
    """The error for a file or folder that the system would not write."""
    reason = (error.strerror or str(error)).lower()
    return JobError(
        f"can't be written: {reason}.", where=str(path), todo="Check the disk's free space and your rights there."
    )


def sync_folder(folder: Path) -> None:
    """Make the names in a folder last through a power cut, where the system has a way to (Windows has none)."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _usual_mode() -> int:
    """What an ordinary new file may be read by: the temporary file is the owner's alone otherwise."""
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask
