"""Run something in a child process that is killed, starved or robbed of its rights, and see what it leaves."""

import os
import resource
import signal
import sys
import traceback
from collections.abc import Callable
from pathlib import Path

import pytest

KILLED = -signal.SIGKILL
NOBODY = 65534
_WRITES = os.O_WRONLY | os.O_RDWR | os.O_CREAT
_STEPS = {"os.mkdir", "os.rename", "os.remove", "os.rmdir", "os.chmod", "os.link", "os.truncate", "os.symlink"}

needs_fork = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")


def in_child(action: Callable[[], object], prepare: Callable[[], object] = lambda: None) -> tuple[int, str]:
    """Run `action` in a forked child after `prepare`: (its exit status, or minus the signal that ended it; its words).

    The words go through a pipe, since no file may take them where files may not grow.
    """
    receiving, sending = os.pipe()
    child = os.fork()
    if child == 0:
        status = 1
        try:
            os.dup2(sending, 1)
            os.dup2(sending, 2)
            sys.stdout = os.fdopen(1, "w", encoding="utf-8", closefd=False)
            sys.stderr = os.fdopen(2, "w", encoding="utf-8", closefd=False, buffering=1)
            prepare()
            result = action()
            status = result if isinstance(result, int) and not isinstance(result, bool) else 0
        except BaseException:
            traceback.print_exc()
        finally:
            sys.stderr.flush()
            os._exit(status)
    os.close(sending)
    with os.fdopen(receiving, encoding="utf-8", errors="replace") as words:
        said = words.read()
    _, ended = os.waitpid(child, 0)
    return os.waitstatus_to_exitcode(ended), said


def killed_at(step: int, place: Path) -> Callable[[], None]:
    """Kill this process, as kill -9 does, before its nth step that writes something under `place`."""

    def prepare() -> None:
        steps = 0

        def watch(event: str, arguments: tuple[object, ...]) -> None:
            nonlocal steps
            writes = event == "open" and isinstance(arguments[2], int) and arguments[2] & _WRITES
            if not (writes or event in _STEPS) or str(place) not in str(arguments[0]):
                return
            steps += 1
            if steps > step:
                os.kill(os.getpid(), signal.SIGKILL)

        sys.addaudithook(watch)

    return prepare


def every_kill(action: Callable[[], object], place: Path, restore: Callable[[], object]) -> int:
    """Kill `action` before its first, its second, ... step that writes, until one run comes through; how many kills.

    `restore` is called before each run and looks at what the last one left.
    """
    for step in range(200):
        restore()
        status, said = in_child(action, killed_at(step, place))
        if status != KILLED:
            assert status == 0, said
            return step
    raise AssertionError("it never came through")


def file_size_limit(most: int) -> Callable[[], None]:
    """No file of this process can grow beyond `most` bytes: the system refuses to write more, as on a full disk."""

    def prepare() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (most, most))

    return prepare


def without_rights() -> None:
    """The superuser may write anywhere; nobody may not."""
    if os.geteuid() == 0:
        os.setegid(NOBODY)
        os.seteuid(NOBODY)
