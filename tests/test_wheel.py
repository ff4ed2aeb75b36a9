"""The built wheel works outside the checkout: the command, the package and the lexicon in it."""

import json
import os
import subprocess
import sys
import sysconfig
import venv
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
DEMO = ROOT / "fixtures" / "demo" / "2-kitchen.txt"


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("wheel")
    build = [sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", str(out), str(ROOT)]
    subprocess.run(build, check=True, capture_output=True)
    return next(out.glob("rodnote-*.whl"))


@pytest.fixture(scope="module")
def elsewhere(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A bare environment with the wheel in it, and the libraries lent by path so that nothing is fetched."""
    home = tmp_path_factory.mktemp("venv") / "bare"
    venv.create(home, with_pip=False)
    python = home / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
    site = Path(sysconfig.get_path("purelib", vars={"base": str(home), "platbase": str(home)}))
    (site / "lent.pth").write_text(sysconfig.get_path("purelib") + "\n" + sysconfig.get_path("platlib") + "\n")
    pip = [sys.executable, "-m", "pip", "--python", str(python), "install", "--no-deps", "--no-index", "--quiet"]
    subprocess.run([*pip, "--ignore-installed", str(wheel)], check=True, capture_output=True)
    return python


def test_the_wheel_holds_the_lexicon_and_no_tests(wheel: Path) -> None:
    names = zipfile.ZipFile(wheel).namelist()
    packed = {name.removeprefix("extractor/lexicon/words/") for name in names if "lexicon/words/" in name}
    assert packed == {path.relative_to(ROOT / "lexicon").as_posix() for path in (ROOT / "lexicon").rglob("*.toml")}
    assert not [name for name in names if name.startswith(("tests", "fixtures", "scripts"))]
    assert any(name.endswith("licenses/LICENSE") for name in names)


def test_the_installed_command_runs_from_another_folder(elsewhere: Path, tmp_path: Path) -> None:
    command = elsewhere.with_name("rodnote.exe" if os.name == "nt" else "rodnote")
    narration = tmp_path / DEMO.name
    narration.write_bytes(DEMO.read_bytes())
    done = subprocess.run([command, "extract", DEMO.name, "--json"], cwd=tmp_path, capture_output=True, check=True)
    record = json.loads(done.stdout)
    assert record["runs"]
    assert record["observations"]


def test_the_installed_package_is_the_wheels_and_finds_its_own_lexicon(elsewhere: Path, tmp_path: Path) -> None:
    code = (
        "import extractor, extractor.lexicon.load as load\n"
        "print(extractor.__file__)\nprint(load.shipped_folder())\nprint(len(extractor.load_lexicon().entries))"
    )
    done = subprocess.run([elsewhere, "-c", code], cwd=tmp_path, capture_output=True, text=True, check=True)
    package, lexicon, entries = done.stdout.split("\n")[:3]
    assert Path(package).is_relative_to(elsewhere.parents[1])
    assert Path(lexicon).is_relative_to(elsewhere.parents[1])
    assert int(entries) > 100
