"""Narrations made from text for tests, and what the extractor reads in them. The lexicon is loaded once a process."""

import tomllib
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from extractor.lexicon.load import Lexicon, load_lexicon
from extractor.narration.choose import read_bytes
from extractor.pipeline import extract, read
from extractor.reading import Narration, Word
from extractor.record import Record
from extractor.survey.stages import Reading
from tests.understanding.shown import shown, wanted

CASES = Path(__file__).parents[1] / "cases"
Case = dict[str, Any]


@cache
def lexicon() -> Lexicon:
    return load_lexicon()


def narration_of(text: str) -> Narration:
    """The words of `text`, one space apart, without times: no block begins or ends anywhere."""
    words: list[Word] = []
    at = 0
    for piece in text.split():
        words.append(Word(piece, at, at + len(piece)))
        at += len(piece) + 1
    return Narration(" ".join(word.text for word in words), tuple(words), "told.txt")


def narration_in_blocks(blocks: Sequence[str]) -> Narration:
    """The same words as `[m:ss]` text, a block every ten seconds, read as a file of that form is."""
    marked = (f"[{index * 10 // 60}:{index * 10 % 60:02d}] {block}" for index, block in enumerate(blocks))
    return read_bytes("\n".join(marked).encode(), "told.txt")


def reading_of(text: str) -> Reading:
    return read(narration_of(text), lexicon())


def record_of(text: str) -> Record:
    return extract(narration_of(text), lexicon())


def lines_of(text: str) -> list[str]:
    """The record of a narration as the lines of `shown`."""
    return shown(record_of(text))


def cases(name: str, key: str = "case") -> list[Case]:
    """The table tests/cases/NAME.toml."""
    table: list[Case] = tomllib.loads((CASES / f"{name}.toml").read_text("utf-8"))[key]
    return table


def params(table: Iterable[Case], id: Callable[[Case], str] = lambda case: str(case["name"])) -> list[Any]:
    """One parameter a case. A case that is not read right yet is marked `todo` and must fail, so that whoever mends it
    has to take the mark away."""
    return [
        pytest.param(
            case, id=id(case), marks=[pytest.mark.xfail(strict=True, reason="todo")] if case.get("todo") else []
        )
        for case in table
    ]


def difference(found: Iterable[str], expected: Iterable[str]) -> str:
    """What was found beside what was expected: "" where the lines are the same ones."""
    found, expected = Counter(found), Counter(expected)
    lines = [f"  + {line}" for line in (found - expected).elements()]
    lines += [f"  - {line}" for line in (expected - found).elements()]
    return "\n".join(lines)


def compare(case: Case, *kinds: str, carrier: str = "{say}") -> None:
    """Whether a case's narration comes to its lines of these kinds ("row", "value"), and to no other of them.

    The words of the case stand in the carrier, unless the case is `bare`; lines of `leave_out` are not compared.
    """
    text = case["say"] if case.get("bare") else carrier.format(say=case["say"])
    left_out = tuple(case.get("leave_out", ()))
    found = [line for line in lines_of(text) if line.split()[0] in kinds and not line.startswith(left_out)]
    expected = [line for line in wanted(case["want"]) if not line.startswith(left_out)]
    differs = difference(found, expected)
    assert not differs, f"\n{text}\n{differs}"
