"""Every command of the README works as it is printed, one after the other, as a newcomer would type them."""

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
# the full screen wants a person, the others set up what the test brings itself
LEFT_OUT = re.compile(r"rodnote review visit-job$|pip install|scripts/|\. \.venv|mkdir try-out|rodnote report .*\.mp4")


def blocks(text: str) -> list[str]:
    """The README's indented blocks but the queries in SQL (tests/archive has those)."""
    found = re.findall(r"(?:^    .*\n|^\n(?=    ))+", text, flags=re.MULTILINE)
    plain = ["\n".join(line[4:] for line in block.splitlines()).strip() for block in found]
    return [block for block in plain if not block.startswith("select")]


def files(block: str) -> list[tuple[str, str]]:
    """(name, content) of each file that a block shows: a comment with its name stands above it."""
    parts = re.split(r"^# ((?:my-words|visit-job)/\S+)\n", block, flags=re.MULTILINE)
    return list(zip(parts[1::2], parts[2::2], strict=True))


@pytest.mark.skipif(shutil.which("bash") is None, reason="the README's commands are for bash")
def test_every_command_of_the_readme_works_as_printed(tmp_path: Path) -> None:
    beside = tmp_path / "try-out"
    beside.mkdir()
    (tmp_path / "fixtures").symlink_to(ROOT / "fixtures")
    path = os.pathsep.join((str(Path(sys.executable).parent), os.environ["PATH"]))
    environment = {**os.environ, "PATH": path, "RODNOTE_REVIEWER": "Zoë"}
    ran, failed = [], []
    for block in blocks((ROOT / "README.md").read_text(encoding="utf-8")):
        for name, content in files(block):
            (beside / name).parent.mkdir(parents=True, exist_ok=True)
            (beside / name).write_text(re.sub("^logo.*", "", content, flags=re.MULTILINE), encoding="utf-8")
        for line in [] if files(block) else filter(None, block.splitlines()):
            command = re.split(r"\s{3,}#", line)[0].strip()
            if LEFT_OUT.match(command):
                continue
            done = subprocess.run(["bash", "-c", line], cwd=beside, env=environment, input=b"", capture_output=True)
            ran.append(command)
            if done.returncode:
                failed.append(f"{command}: {done.returncode}: {done.stderr.decode()}")
    assert not failed
    assert len(ran) > 25
    assert (beside / "rows.csv").read_text(encoding="utf-8").count("\n") > 10
    report = (beside / "visit-job" / "reports" / "report.html").read_text(encoding="utf-8")
    assert "600.00 $" in report, "the rates of the README's own folder, one patch at the least charge"
