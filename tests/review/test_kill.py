"""Kill -9 at random moments of a review: no decision that was acknowledged is lost, and the job opens.

A killed process leaves what the kernel had taken, so this shows that nothing is held back in the program; that the disk
itself has it is the work of fsync, which tests/job/test_decisions.py watches. 20 points by default, more on request:

    RODNOTE_KILLS=220 scripts/test tests/review/test_kill.py
"""

import fcntl
import os
import pty
import random
import re
import select
import signal
import struct
import subprocess
import sys
import termios
import time
from pathlib import Path

import pytest

from extractor.job.apply import reviewed_record
from extractor.job.decision_log import DecisionLog
from extractor.job.decisions import read_log
from extractor.job.folder import Job, open_job
from tests.review.made_visit import made_job

ROOT = Path(__file__).parents[2]
KILLS = int(os.environ.get("RODNOTE_KILLS", "20"))
ON_SCREEN = max(2, KILLS // 10)
SEED = int(os.environ.get("RODNOTE_KILL_SEED", "20260504"))


def opens_with(folder: Path, acknowledged: list[str]) -> int:
    """How many decisions the job holds after the kill; it opens, nothing acknowledged is missing, and it can go on."""
    job = open_job(folder)
    held = [decision.id for decision in read_log(job.decisions).decisions]
    assert set(acknowledged) <= set(held), "an acknowledged decision is lost"
    assert held[: len(acknowledged)] == acknowledged
    reviewed_record(job)
    with DecisionLog(job, "Ann") as log:  # the dead process holds no lock
        assert [decision.id for decision in log.decisions] == held
        assert not read_log(job.decisions).damages
    return len(held)


def test_killed_at_random_moments_of_taking_decisions(tmp_path: Path) -> None:
    """One job is reviewed again and again and killed each time, so its log has to survive all the kills before too."""
    chance = random.Random(SEED)
    job = made_job(tmp_path / "job")
    acknowledged: list[str] = []
    killed_while_taking, told = 0, 0
    for _ in range(KILLS):
        process = subprocess.Popen(
            [sys.executable, "-m", "tests.review.killed_session", str(job.folder), "4000"],
            cwd=ROOT,
            stdout=subprocess.PIPE,
            bufsize=0,
        )
        assert process.stdout is not None
        assert process.stdout.readline().startswith(b"open"), "the job could not be opened after a kill"
        time.sleep(chance.random() * 0.05)
        process.send_signal(signal.SIGKILL)
        lines = process.stdout.read().decode().split("\n")
        process.wait()
        # the last piece may be half a line: what was not printed whole was not acknowledged
        fresh = [line.split()[1] for line in lines[:-1] if line.startswith("ack ")]
        killed_while_taking += bool(fresh)
        acknowledged += fresh
        told += len(fresh)
        held = [decision.id for decision in read_log(job.decisions).decisions]
        assert set(acknowledged) <= set(held), "an acknowledged decision is lost"
        acknowledged = held  # what was written but not yet told may stand too
        assert opens_with(job.folder, acknowledged) == len(held)
        if len(held) > 300:  # a fresh one, so that reading stays quick
            job, acknowledged = made_job(tmp_path / f"job-{len(held)}-{chance.random()}"), []
    print(f"{KILLS} kills, {killed_while_taking} while decisions were taken, {told} acknowledged, none lost")
    assert killed_while_taking > KILLS // 3, "most kills came before anything was taken: the test shows nothing"


@pytest.mark.skipif(sys.platform == "win32", reason="needs a pseudo-terminal")
def test_killed_at_random_moments_of_the_real_screen(tmp_path: Path) -> None:
    """The number of decisions that the screen said were kept is never larger than the number on disk."""
    chance = random.Random(SEED + 1)
    told_somewhere, kept = 0, 0
    for number in range(ON_SCREEN):
        job = made_job(tmp_path / f"job-{number}")
        told = _screen_killed(job, chance)
        told_somewhere += told > 0
        on_disk = opens_with(job.folder, [])
        kept += on_disk
        assert on_disk >= told
    print(
        f"{ON_SCREEN} kills of the screen, {told_somewhere} after decisions were shown as kept, {kept} on disk in all"
    )
    assert told_somewhere, "no kill came after a decision was shown: the test shows nothing"


def _screen_killed(job: Job, chance: random.Random) -> int:
    """Run the review in a pseudo-terminal, press 1 again and again, kill it; how many decisions it said were kept."""
    leader, follower = pty.openpty()
    fcntl.ioctl(follower, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
    process = subprocess.Popen(
        [sys.executable, "-m", "extractor", "review", str(job.folder), "--who", "Zoë"],
        cwd=ROOT,
        stdin=follower,
        stdout=follower,
        stderr=follower,
        env={**os.environ, "TERM": "xterm-256color"},
        start_new_session=True,
    )
    os.close(follower)
    drawn = _read_until(leader, b"harmful", 60)
    presses = chance.randint(1, 9)
    end = time.monotonic() + 0.02 + chance.random() * 0.25 * presses
    for _ in range(presses):
        os.write(leader, b"1")
        drawn += _read_for(leader, min(0.2 * chance.random(), max(0.0, end - time.monotonic())))
        if time.monotonic() >= end:
            break
    process.send_signal(signal.SIGKILL)
    drawn += _read_for(leader, 0.2)
    process.wait()
    os.close(leader)
    text = re.sub(rb"\x1b\[[0-9;?]*[A-Za-z]", b"", drawn).decode(errors="replace")
    # the screen draws only what changed, so the number may stand without its word
    return max((int(found) for found in re.findall(r"(\d+) kept", text)), default=0)


def _read_until(leader: int, wanted: bytes, seconds: float) -> bytes:
    data, end = b"", time.monotonic() + seconds
    while wanted not in data and time.monotonic() < end:
        data += _read_for(leader, 0.05)
    assert wanted in data, f"the screen did not come up: {data[-500:]!r}"
    return data


def _read_for(leader: int, seconds: float) -> bytes:
    data, end = b"", time.monotonic() + seconds
    while True:
        ready, _, _ = select.select([leader], [], [], max(0.0, end - time.monotonic()))
        if not ready:
            return data
        try:
            data += os.read(leader, 65536)
        except OSError:  # the other side is gone
            return data
