"""The values that flow from stage to stage, all frozen (a tag by the type checker), all holding offsets, not text.

Offsets of characters point into `Narration.text`; offsets of tokens point into `Speech.words`. Both are half-open.
"""

from __future__ import annotations

from array import array
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from operator import attrgetter
from typing import Final

by_place = attrgetter("start", "end")  # the order of tags in the words
by_start = attrgetter("start")


@dataclass(frozen=True, slots=True)
class Word:
    """One word as received, with its time.

    `interpolated` is true where the source gave a time for the whole block only and the word's own time was spread
    evenly over it. Times are seconds from the start of the recording, or None where the source has none.
    """

    text: str
    first_char: int
    last_char: int
    start_s: float | None = None
    end_s: float | None = None
    interpolated: bool = False
    probability: float | None = None


@dataclass(frozen=True, slots=True)
class Narration:
    """What was said, as words on one line: time marks, cue numbers and headers left out, words one space apart.

    `sha256` is of the bytes as received; `encoding` names how they were read, `encoding_guessed` whether that was a
    guess.
    """

    text: str
    words: tuple[Word, ...]
    source: str
    sha256: str = ""
    encoding: str = "utf-8"
    encoding_guessed: bool = False
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Speech:
    """The narration as tokens: punctuation left out, each word in its normal form (lower case, "n't" as "not").

    `first_chars` and `last_chars` lead back to `narration.text`,
    `word_of` to `narration.words`. `breaks[i]` is true where punctuation or a new block stood before token i: a weak
    hint only, since recognisers put both in the wrong places.
    """

    narration: Narration
    words: tuple[str, ...]
    first_chars: Sequence[int]
    last_chars: Sequence[int]
    word_of: Sequence[int]
    breaks: tuple[bool, ...]

    def __len__(self) -> int:
        return len(self.words)

    @cached_property
    def places(self) -> Mapping[str, Sequence[int]]:
        """Where each word stands: its tokens, in order."""
        places: dict[str, array[int]] = defaultdict(lambda: array("I"))
        for token, word in enumerate(self.words):
            places[word].append(token)
        return dict(places)

    def quote(self, start: int, end: int) -> str:
        """The exact words of tokens start to end, as written, whole words only."""
        if end <= start:
            return ""
        first = self.narration.words[self.word_of[start]].first_char
        last = self.narration.words[self.word_of[min(end, len(self)) - 1]].last_char
        return self.narration.text[first:last]


@dataclass(frozen=True, slots=True)
class Measure:
    """One spoken quantity: tokens start to end, hedge and unit included.

    `unit` is one of m, %, L, min, mm/m, ratio (1 in N, value N), clock (hours 1 to 12; low to high as said),
    ordinal ("second"), count ("a couple", "both"), or None for a bare number. Lengths are in metres whatever was
    spoken;
    `spoken_unit` names the lexicon's unit entry (foot, inch, millimetre, ...). For a bare number `low` and `high` are
    the number as said, and `length_m` is what it would be as a counter reading in the visit's unit of habit.
    `low == high` unless a range was said.
    """

    start: int
    end: int
    low: float
    high: float
    unit: str | None
    approximate: bool = False
    spoken_unit: str | None = None
    length_m: tuple[float, float] | None = None
    rule: str = ""

    def __hash__(self) -> int:
        return self.start  # few measures share it, and tables by measure are asked for often


@dataclass(slots=True)
class Tag:
    """A phrase of the lexicon in the narration: `kind` and `id` of its entry; `heard` the words it was mended from.

    Many are made, and a frozen one takes four times as long to make: the type checker keeps its fields as they are.
    """

    start: Final[int]
    end: Final[int]
    kind: Final[str]
    id: Final[str]
    extent: Final[str | None] = None
    on: Final[str | None] = None
    heard: Final[str | None] = None
    certain: Final[bool] = True

    def __hash__(self) -> int:
        return self.start  # few tags share it, and tables by tag are asked for more often than any other


@dataclass(frozen=True, slots=True)
class Correction:
    """A speech repair: reparandum (withdrawn), interregnum (cue) and repair (kept), as token ranges.

    `kept` is empty (start == end) for a retraction with nothing in its place.
    """

    withdrawn: tuple[int, int]
    cue: tuple[int, int]
    kept: tuple[int, int]
    rule: str
