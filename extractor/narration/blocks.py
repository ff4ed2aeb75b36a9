"""What every reader hands on: spoken words with times, and notes on what was odd in the file.

    "00:10 --> 00:14", "roots at six"  ->  roots 10.0-11.67, at 11.67-12.67, six 12.67-14.0, all interpolated

A block is a stretch of words that the source gave one time for: a cue, a segment, what follows a `[m:ss]` mark.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from extractor.reading import Word

WORDS_PER_MINUTE = 150.0  # usual pace of unhurried English talk (common practice, no source)
SHOWN_PLACES = 3  # a note names this many places and counts the rest


@dataclass(frozen=True, slots=True)
class Spoken:
    """One word with its time in seconds (both None where unknown), before it has a place in the text."""

    text: str
    start_s: float | None = None
    end_s: float | None = None
    interpolated: bool = False
    probability: float | None = None


@dataclass(slots=True)
class Oddities:
    """What was odd in a file: each thing once, with the places where it was met."""

    met: dict[str, list[str]] = field(default_factory=dict)

    def add(self, what: str, place: str = "") -> None:
        self.met.setdefault(what, []).append(place)

    def notes(self) -> tuple[str, ...]:
        """One sentence a thing, in the order first met: "a cue ends before it starts ... (line 9, line 14)"."""
        return tuple(_sentence(what, [place for place in places if place]) for what, places in self.met.items())


def _sentence(what: str, places: Sequence[str]) -> str:
    if not places:
        return what
    more = f" and {len(places) - SHOWN_PLACES} more" if len(places) > SHOWN_PLACES else ""
    return f"{what} ({', '.join(places[:SHOWN_PLACES])}{more})"


def spread(words: Sequence[str], start_s: float | None, end_s: float | None) -> list[Spoken]:
    """Words of one block, its time shared out by the length of each word and the space after it.

    A block of one word has its time as given; in a longer one every word is marked interpolated. Without a start, or
    with an end before the start, no word has more than the start.
    """
    if start_s is None:
        return [Spoken(word) for word in words]
    end_s = start_s if end_s is None else max(start_s, end_s)
    if len(words) == 1:
        return [Spoken(words[0], start_s, end_s)]
    total = sum(len(word) + 1 for word in words)
    out: list[Spoken] = []
    done, at = 0, start_s
    for word in words:
        done += len(word) + 1
        upto = end_s if done == total else min(end_s, max(at, round(start_s + (end_s - start_s) * done / total, 3)))
        out.append(Spoken(word, at, upto, interpolated=True))
        at = upto
    return out


def estimated_end(start_s: float, words: int) -> float:
    """When so many words would be said from `start_s` on, at the usual pace, in seconds."""
    return round(start_s + words * 60.0 / WORDS_PER_MINUTE, 3)


def placed(spoken: Iterable[Spoken]) -> tuple[str, tuple[Word, ...]]:
    """The words one space apart, and each with its place in that line."""
    words: list[Word] = []
    forms: dict[str, str] = {}  # most words are said again and again: each is kept once
    at = 0
    for word in spoken:
        end = at + len(word.text)
        text = forms.setdefault(word.text, word.text)
        words.append(Word(text, at, end, word.start_s, word.end_s, word.interpolated, word.probability))
        at = end + 1
    return " ".join(word.text for word in words), tuple(words)
