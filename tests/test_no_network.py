"""Nothing leaves this machine: the whole main job runs with sockets forbidden, and nothing that is loaded asks for one.

An audit hook sees every socket that Python makes, whatever library makes it, and every name that is looked up. On Linux
the job also runs where there is no network at all (a network namespace of its own), where the system allows making one.
"""

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
DEMO = sorted((ROOT / "fixtures" / "demo").iterdir())

FORBID = """
import os, sys
def forbid(event, arguments):
    if event.startswith("socket.") or event in ("urllib.Request", "http.client.connect"):
        os.write(2, f"NETWORK {event} {arguments!r:.200}\\n".encode())
        os._exit(99)
sys.addaudithook(forbid)
"""

MAIN_JOB = """
import sys
from pathlib import Path
from extractor.cli.main import run
place, demo = Path(sys.argv[1]), sys.argv[2:]
steps = [
    ["extract", *demo, "--into", str(place / "job")],
    ["extract", *demo, "--json"],
    ["extract", *demo, "--csv"],
    ["explain", demo[0], "--at", "1:00-2:00"],
    ["lexicon", "check", str(place / "words")],
    ["lexicon", "find", "rodding", "eye"],
    ["decide", str(place / "job"), "--who", "Ann", "--show"],
    ["decide", str(place / "job"), "--who", "Ann", "--row", "O1", "--reject"],
    ["report", str(place / "job"), "--codes"],
    ["compare", str(place / "job"), str(place / "job")],
    ["redact", str(place / "job"), "--into", str(place / "share")],
    ["batch", str(place / "recordings"), "--out", str(place / "set"), "--workers", "1"],
]
for words in steps:
    status = run(words)
    print("STEP", words[0], status, flush=True)
"""

SCREEN = """
import asyncio, sys
from pathlib import Path
from extractor.cli.main import run
from extractor.review.screen import ReviewScreen
from extractor.job.folder import open_job
from extractor.lexicon.load import load_lexicon
from extractor.review.session import open_session
assert run(["extract", *sys.argv[2:], "--into", sys.argv[1]]) == 0

async def look() -> None:
    with open_session(open_job(Path(sys.argv[1])), load_lexicon(), "Ann") as session:
        app = ReviewScreen(session)
        async with app.run_test(size=(120, 40)) as pilot:
            await pilot.press("t", "n", "q")
            await pilot.pause()

asyncio.run(look())
"""


def prepared(place: Path) -> list[str]:
    (place / "words").mkdir()
    (place / "words" / "own.toml").write_text(
        'kind = "structure"\n[[entry]]\nid = "gully"\nlabel = "gully"\nspoken = ["dandy hole"]\n', encoding="utf-8"
    )
    (place / "recordings").mkdir()
    (place / "recordings" / "visit.txt").write_text("[0:00] camera in at the gully roots at 2.5\n", encoding="utf-8")
    (place / "job").mkdir()
    (place / "job.py").write_text(FORBID + 'if __name__ == "__main__":\n' + _indented(MAIN_JOB), encoding="utf-8")
    return [sys.executable, str(place / "job.py"), str(place), *map(str, DEMO)]


def _indented(text: str) -> str:
    return "".join(f"    {line}\n" for line in text.splitlines())


def steps_of(output: str) -> dict[str, set[str]]:
    steps: dict[str, set[str]] = {}
    for line in output.splitlines():
        if line.startswith("STEP "):
            _, name, status = line.split()
            steps.setdefault(name, set()).add(status)
    return steps


EXPECTED = {
    **{"extract": {"0"}, "explain": {"0"}, "lexicon": {"0"}, "decide": {"0"}, "report": {"0"}},
    **{"compare": {"0"}, "redact": {"0"}, "batch": {"0"}},
}


def test_the_main_job_makes_no_socket(tmp_path: Path) -> None:
    done = subprocess.run(prepared(tmp_path), capture_output=True, text=True, cwd=ROOT)
    assert "NETWORK" not in done.stderr, done.stderr
    assert done.returncode == 0, done.stderr
    assert steps_of(done.stdout) == EXPECTED, done.stderr
    assert (tmp_path / "job" / "reports" / "report.pdf").stat().st_size > 1000


def test_the_main_job_runs_where_there_is_no_network_at_all(tmp_path: Path) -> None:
    alone = ["unshare", "--net", "--map-root-user"]
    try:
        subprocess.run([*alone, "true"], check=True, capture_output=True)
    except (OSError, subprocess.CalledProcessError):
        pytest.skip("this system makes no network namespace for us")
    done = subprocess.run([*alone, *prepared(tmp_path)], capture_output=True, text=True, cwd=ROOT)
    assert done.returncode == 0, done.stderr
    assert steps_of(done.stdout) == EXPECTED, done.stderr


@pytest.mark.parametrize("attempt", ["socket.socket()", "socket.getaddrinfo('localhost', 80)"])
def test_the_hook_sees_a_socket(attempt: str, tmp_path: Path) -> None:
    """So that the tests above can fail."""
    done = subprocess.run([sys.executable, "-c", f"{FORBID}\nimport socket; {attempt}"], capture_output=True, text=True)
    assert done.returncode == 99
    assert "NETWORK" in done.stderr


def test_the_review_without_a_screen_makes_no_socket(tmp_path: Path) -> None:
    prepared(tmp_path)
    code = FORBID + "from extractor.cli.main import run\nimport sys\nsys.exit(run(sys.argv[1:]))"
    job = str(tmp_path / "visit")
    for words in (["extract", *map(str, DEMO), "--into", job], ["review", job, "--plain", "--who", "Ann"]):
        done = subprocess.run(
            [sys.executable, "-c", code, *words], capture_output=True, text=True, cwd=ROOT, input="q\n"
        )
        assert "NETWORK" not in done.stderr
        assert done.returncode == 0, done.stderr


def test_the_review_screen_asks_for_no_network(tmp_path: Path) -> None:
    """Its event loop wakes itself through a pair of sockets that lead nowhere; nothing is connected or looked up."""
    prepared(tmp_path)
    connecting = ("socket.connect", "socket.bind", "socket.getaddrinfo", "socket.gethostbyname", "socket.sendto")
    code = FORBID.replace('event.startswith("socket.")', f"event in {connecting}") + SCREEN
    done = subprocess.run(
        [sys.executable, "-c", code, str(tmp_path / "visit"), *map(str, DEMO)], capture_output=True, text=True, cwd=ROOT
    )
    assert "NETWORK" not in done.stderr
    assert done.returncode == 0, done.stderr
