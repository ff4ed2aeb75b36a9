"""Numbers as people say them, made with num2words (an independent library), and what a reader made of each.

Phrases are read in one narration, parted by a word that belongs to no quantity, so that thousands are read at once.
"""

from collections.abc import Iterable, Sequence

from num2words import num2words

from extractor.language.measures import MeasureGrammar, find_measures
from extractor.language.tokens import tokenise
from extractor.reading import Measure, Narration, Speech, Word

PARTING = "seen"


def speech_of(text: str) -> Speech:
    """The words of `text` as a narration without times."""
    words, at = [], 0
    for piece in text.split():
        at = text.index(piece, at)
        words.append(Word(piece, at, at + len(piece)))
        at += len(piece)
    return tokenise(Narration(text, tuple(words), "test"))


BLOCK = 4000  # phrases read at once; spaCy takes a million characters


def read_each(phrases: Sequence[str], grammar: MeasureGrammar, habit: str = "m") -> list[list[tuple[Measure, str]]]:
    """For each phrase its measures, each with the words it spans."""
    blocks = (phrases[at : at + BLOCK] for at in range(0, len(phrases), BLOCK))
    return [found for block in blocks for found in _read_block(block, grammar, habit)]


def _read_block(phrases: Sequence[str], grammar: MeasureGrammar, habit: str) -> list[list[tuple[Measure, str]]]:
    speech = speech_of(f" {PARTING} ".join([*phrases, ""]))
    found: list[list[tuple[Measure, str]]] = [[]]
    measures = iter(find_measures(speech, grammar, habit=habit))
    measure = next(measures, None)
    for token, word in enumerate(speech.words):
        if measure and measure.start == token:
            found[-1].append((measure, " ".join(speech.words[measure.start : measure.end])))
            measure = next(measures, None)
        if word == PARTING:
            found.append([])
    return found[: len(phrases)]


def in_words(number: int) -> str:
    """4 -> "four", 126 -> "one hundred and twenty six"."""
    return str(num2words(number)).replace("-", " ").replace(",", "")


def digits_in_words(digits: str, zero: str = "oh") -> str:
    return " ".join(zero if digit == "0" else in_words(int(digit)) for digit in digits)


def counter_readings(whole: int, decimals: str) -> Iterable[str]:
    """Ways to say and to write whole.decimals ("4", "18"), all of them that value and nothing else."""
    said = in_words(whole)
    yield f"{whole}.{decimals}"
    yield f"{whole}. {decimals}" if whole and decimals[-1] != "0" and len(decimals) == 1 else f"{whole}.{decimals}"
    yield f"{said} point {digits_in_words(decimals)}"
    yield f"{said} point {digits_in_words(decimals, 'zero')}"
    yield f"{whole} point {decimals}"
    yield f"{said} point. {decimals}"
    yield f"{whole} points {digits_in_words(decimals)}"
    yield f"{said} .{decimals}"
    if len(decimals) == 2 and decimals[0] != "0":
        yield f"{said} point {in_words(int(decimals))}"
    if whole == 0:
        yield f"point {digits_in_words(decimals)}"
        yield f"nought point {digits_in_words(decimals)}"
        yield f"nothing point {decimals}"
        yield f".{decimals}"
