"""Words round a phrase, cut into lines, each with its time: what the queue shows of a narration."""

from collections.abc import Sequence
from dataclasses import dataclass

from rich.cells import cell_len

from extractor.reading import Word
from extractor.record import Evidence

WORDS_BEFORE, WORDS_AFTER = 18, 12
OPEN, CLOSE = "«", "»"  # round the words in question, so that no colour is needed to see them


@dataclass(frozen=True)
class Piece:
    """Text of a line; `marked` where it is in question."""

    text: str
    marked: bool = False


@dataclass(frozen=True)
class Line:
    """A line of the narration and the time of its first word, in seconds."""

    start_s: float | None
    pieces: tuple[Piece, ...]

    @property
    def text(self) -> str:
        return "".join(piece.text for piece in self.pieces)


def surroundings(
    words: Sequence[Word],
    evidence: Sequence[Evidence],
    width: int,
    before: int = WORDS_BEFORE,
    after: int = WORDS_AFTER,
) -> tuple[Line, ...]:
    """The words of the evidence with some before and after, in lines of at most `width` columns.

    The evidence is of one narration, whose words are given. Stretches far apart are shown apart, "…" between.
    """
    marked = [_inside(word, evidence) for word in words]
    shown = sorted(
        {
            near
            for place, is_marked in enumerate(marked)
            if is_marked
            for near in range(max(0, place - before), min(len(words), place + after + 1))
        }
    )
    lines: list[Line] = []
    start_s: float | None = None
    pieces: list[Piece] = []
    used = 0
    previous = -1
    for place in shown:
        text = words[place].text
        first = marked[place] and not (place and marked[place - 1])
        last = marked[place] and not (place + 1 < len(words) and marked[place + 1])
        text = (OPEN if first else "") + text + (CLOSE if last else "")
        gap = place != previous + 1
        if pieces and (gap or used + 1 + cell_len(text) > width):
            lines.append(Line(start_s, tuple(pieces)))
            pieces, used = [], 0
        if not pieces:
            start_s = words[place].start_s
            if gap and place:
                pieces, used = [Piece("… ")], 2
        else:
            within = marked[place] and marked[place - 1]
            pieces.append(Piece(" ", within))
            used += 1
        pieces.append(Piece(text, marked[place]))
        used += cell_len(text)
        previous = place
    if pieces:
        if previous + 1 < len(words):
            pieces.append(Piece(" …"))
        lines.append(Line(start_s, tuple(pieces)))
    return tuple(lines)


def _inside(word: Word, evidence: Sequence[Evidence]) -> bool:
    return any(word.first_char < piece.last_char and piece.first_char < word.last_char for piece in evidence)
