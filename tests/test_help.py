"""Every command teaches itself, is told in the README, and answers --help without loading what it does not need."""

import shlex
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import typer

from extractor.cli.main import app

README = (Path(__file__).parents[1] / "README.md").read_text(encoding="utf-8")


def commands(command: Any = None, path: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], Any]]:
    """(words, command) of every command that does something, groups left out."""
    command = command or typer.main.get_command(app)
    children = getattr(command, "commands", {})
    if not children:
        yield path, command
    for name, child in children.items():
        yield from commands(child, (*path, name))


ALL = dict(commands())


@pytest.mark.parametrize("path", ALL, ids=" ".join)
def test_help_says_what_it_does_and_has_an_example_that_parses(path: tuple[str, ...]) -> None:
    command = ALL[path]
    assert command.help
    examples = [line.strip() for line in command.help.splitlines() if line.strip().startswith("rodnote ")]
    assert examples, "no example in the help"
    for example in examples:
        words = shlex.split(example.split(" > ")[0].split(" | ")[-1])[1 + len(path) :]
        command.make_context("rodnote", words)  # raises where an option or argument of the example is unknown


@pytest.mark.parametrize("path", ALL, ids=" ".join)
def test_every_option_has_its_line_of_help(path: tuple[str, ...]) -> None:
    assert not [parameter.name for parameter in ALL[path].params if not getattr(parameter, "help", None)]


@pytest.mark.parametrize("path", ALL, ids=" ".join)
def test_the_readme_tells_of_the_command(path: tuple[str, ...]) -> None:
    assert f"rodnote {' '.join(path)}" in README


WITHOUT_COMMAND = [["--help"], ["-h"], ["--version"], []]


@pytest.mark.parametrize("words", [*WITHOUT_COMMAND, *([*path, "--help"] for path in ALL)], ids=" ".join)
def test_help_loads_no_library_of_the_work(words: list[str]) -> None:
    heavy = {"spacy", "rapidfuzz", "rich", "textual", "numpy", "thinc"}
    if words in WITHOUT_COMMAND:
        heavy.add("pydantic")  # typer itself asks for it as soon as a command's arguments are laid out
    code = (
        "import sys\nfrom extractor.cli.main import run\n"
        f"run({words!r})\n"
        f"print([name for name in {sorted(heavy)!r} if name in sys.modules], file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stderr.splitlines()[-1] == "[]"
    assert "rodnote" in done.stdout + done.stderr
