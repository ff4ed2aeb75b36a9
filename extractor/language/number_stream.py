"""The speech as the grammar of quantities sees it: fillers left out, "4.2metres" and "6'3" in parts.

`back[i]` is the token of the speech that word i came from, so that every span leads back to the words as said.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from extractor.language.measure_grammar import MeasureGrammar, Unit
from extractor.reading import Speech

GLUED = re.compile(r"^(\d+(?:[.,]\d+)*)([^\W\d]+|['\"½¼¾⅓⅔⅛⅜⅝⅞%°])(\d+(?:\.\d+)?)?([^\W\d]*|[½¼¾])$")
LETTERED = re.compile(r"^([a-z])(\d+\.\d+)$")  # "n1.5": a short word and the reading after it, run together
PREFIXED = re.compile(r"^([a-z]+)(\d+)$")

LONGEST_NUMBER = 15  # signs; what is longer is no reading, and no number of the machine holds it
NO_NUMBER = "#"


@dataclass(slots=True)
class Stream:
    """Words ready for the grammar. `habit`: unit of bare numbers, "m" or "ft"; `hyphen[i]`: one stood before i."""

    grammar: MeasureGrammar
    words: list[str]
    back: list[int]
    breaks: list[bool]
    glued: list[bool]
    hyphen: list[bool]
    habit: str = "m"
    taken: int = 0  # words before this one belong to measures already read
    quantities: dict[int, Any] = field(default_factory=dict, repr=False)  # what `quantity` read at each word so far
    cardinals: dict[int, Any] = field(default_factory=dict, repr=False)  # and `cardinal`

    def __len__(self) -> int:
        return len(self.words)

    def word(self, i: int) -> str:
        """Word i, or "" beyond either end."""
        try:
            return self.words[i] if i >= 0 else ""
        except IndexError:
            return ""

    def is_word(self, i: int, id: str) -> bool:
        """True where word i alone is one of the quantity words `id`."""
        try:
            return i >= 0 and self.words[i] in self.grammar.words[id]
        except IndexError:
            return False

    def unit_word(self, i: int) -> bool:
        """True where a unit stands at i, as it is spelt (not a misheard one)."""
        return any(
            not misheard and tuple(self.words[i : i + len(form)]) == form
            for form, _, misheard in self.grammar.units.get(self.word(i), ())
        )

    def counts(self, i: int) -> bool:
        """True where things that are counted stand at i ("outlets", "of them", "small cracks")."""
        end = self.grammar.counted.end_at(self.words, i)
        if end != i + 1 or self.words[i] not in self.grammar["before_counted"]:
            return end > i
        return self.word(end).endswith("s") and not self.word(end).endswith("ss")

    def after(self, i: int, id: str) -> int:
        """Where a phrase of the quantity words `id` that starts at i ends; i where there is none."""
        return self.grammar.words[id].end_at(self.words, i)


@dataclass(slots=True)
class Draft:
    """A quantity being read: words start to end of the stream, low and high in `unit` as spoken (None: bare).

    `coarse`: said without decimals, as ranges for one place are. `pair`: read with the point dropped.
    """

    start: int
    end: int
    low: float
    high: float
    unit: Unit | None = None
    rule: str = ""
    kind: str = ""
    approximate: bool = False
    coarse: bool = True
    pair: bool = False
    metres: float | None = None
    notes: list[str] = field(default_factory=list)


def stream_of(speech: Speech, grammar: MeasureGrammar) -> Stream:
    """The speech without fillers, glued tokens in parts. A word after a filler counts as standing after a break."""
    words: list[str] = []
    back: list[int] = []
    breaks: list[bool] = []
    glued: list[bool] = []
    hyphen: list[bool] = []
    filler = grammar["filler"]
    text, firsts, lasts = speech.narration.text, speech.first_chars, speech.last_chars
    paused = False
    for i, word in enumerate(speech.words):
        if word in filler:
            paused = True
            continue
        if word.isalpha():  # most are: nothing in it to part
            words.append(word)
            back.append(i)
            breaks.append(speech.breaks[i] or paused)
            glued.append(i > 0 and firsts[i] == lasts[i - 1])
            hyphen.append(False)
            paused = False
            continue
        parts: Sequence[str] = (word,)
        hyphenated = False
        if len(word) > 1:
            if word[0] in "-–" and word[1].isdigit():
                word, hyphenated = word[1:], True
                parts = (word,)
            if not word.replace(".", "", 1).isdigit():
                parts = _parts(word, grammar)
        if word[0].isdigit() and i and not hyphenated:
            between = text[lasts[i - 1] : firsts[i]]
            hyphenated = between in ("-", "–")
        for number, part in enumerate(parts):
            words.append(part if len(part) <= LONGEST_NUMBER or part.isalpha() else NO_NUMBER)
            back.append(i)
            breaks.append((speech.breaks[i] or paused) and not number)
            glued.append(bool(number) or (i > 0 and firsts[i] == lasts[i - 1]))
            hyphen.append(hyphenated and not number)
        paused = False
    stream = Stream(grammar, words, back, breaks, glued, hyphen)
    return stream


def _parts(word: str, grammar: MeasureGrammar) -> Sequence[str]:
    """ "4.2metres" -> 4.2 metres; "6ft3" -> 6 ft 3; "9ish" -> 9 ish; "dn100" -> dn 100; anything else whole."""
    if found := GLUED.match(word):
        parts = [part for part in found.groups() if part]
        known = (
            grammar.units.keys() | grammar.fractions.keys() | {"ish"}
            if len(parts) == 2
            else grammar.units.keys() | {"in"}
        )
        if parts[1] in known and (len(parts) < 4 or parts[3] in known | grammar.fractions.keys()):
            return parts
    elif ((found := PREFIXED.match(word)) and found[1] in grammar["nominal"]) or (found := LETTERED.match(word)):
        return found.groups()
    return (word,)
