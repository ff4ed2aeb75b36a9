"""A narration laid out in lines of words, each line with its time and its gloss: pure layout, no screen."""

from collections.abc import Sequence
from dataclasses import dataclass

from rich.cells import cell_len

from extractor.reading import Word
from extractor.review.gloss import MARKS, Phrase
from extractor.review.shown import shown

TIME = 8  # columns before a line, for its time


@dataclass(frozen=True)
class Placed:
    """A word of the whole job on the screen: its line, its column, its columns' number."""

    line: int
    column: int
    columns: int


@dataclass(frozen=True)
class SpokenLine:
    """Words first to last (half-open, numbers of the whole job) on one line; a heading has no words."""

    first: int
    last: int
    start_s: float | None = None
    heading: str = ""


@dataclass(frozen=True)
class Layout:
    """Lines of words and where each word stands. A line takes two rows of the screen, a heading one."""

    lines: tuple[SpokenLine, ...]
    places: tuple[Placed, ...]
    texts: tuple[str, ...]


def lay_out(narrations: Sequence[tuple[str, Sequence[Word]]], width: int) -> Layout:
    """All narrations under one another, lines at most `width` columns wide; (name, words) of each."""
    lines: list[SpokenLine] = []
    places: list[Placed] = []
    texts: list[str] = []
    number = 0
    for name, words in narrations:
        if len(narrations) > 1:
            lines.append(SpokenLine(number, number, heading=shown(name)))
        first, column = number, TIME
        start_s: float | None = None
        for word in words:
            text = shown(word.text)
            columns = cell_len(text)
            if number > first and column + columns > width:
                lines.append(SpokenLine(first, number, start_s))
                first, column = number, TIME
            if number == first:
                start_s = word.start_s
            places.append(Placed(len(lines), column, columns))
            texts.append(text)
            column += columns + 1
            number += 1
        if number > first:
            lines.append(SpokenLine(first, number, start_s))
    return Layout(tuple(lines), tuple(places), tuple(texts))


@dataclass(frozen=True)
class Gloss:
    """A piece of the line under the words: where it starts, what stands there, the phrase it is of."""

    column: int
    text: str
    phrase: Phrase


def gloss_line(layout: Layout, line: SpokenLine, phrases: Sequence[Phrase | None]) -> tuple[Gloss, ...]:
    """The gloss of one line: under each phrase its mark and as much of its label as has room."""
    out: list[Gloss] = []
    place = line.first
    while place < line.last:
        phrase = phrases[place]
        end = place + 1
        while end < line.last and phrases[end] is phrase:
            end += 1
        if phrase is not None:
            start = layout.places[place].column
            last = layout.places[end - 1]
            room = last.column + last.columns - start
            begins = place == 0 or phrases[place - 1] is not phrase
            out.append(Gloss(start, _filled(phrase, room, begins), phrase))
        place = end
    return tuple(out)


def _filled(phrase: Phrase, room: int, begins: bool) -> str:
    """The mark, the label where the phrase begins, and the mark again until the end: "=O4 roots, 6.1 m=====".

    A phrase that goes on from the line before has the mark only.
    """
    mark = MARKS[phrase.became]
    label = shown(phrase.label) if begins else ""
    while label and cell_len(label) > room - 1:
        label = label[:-1]
    text = mark + label
    return text + mark * (room - cell_len(text))
