"""Words that are blanked: given phrases, written e-mail addresses, what sounds like a phone number.

Blanks(["mrs fenwick"], ...).text("ask Mrs Fenwick")  ->  "ask xxx xxxxxxx"
"""

import re
from collections.abc import Iterable, Sequence
from dataclasses import replace

from extractor.lexicon.load import Lexicon
from extractor.reading import Word

PHONE_DIGITS = 7  # in a row; no reading has so many, and a local number has no fewer
_WORD = re.compile(r"\w+(?:['’]\w+)*")
_EMAIL = re.compile(r"\S+@\S+")
_SIGN = re.compile(r"\w")


class Blanks:
    """Blanks phrases, phone numbers and e-mail addresses in words and in texts."""

    def __init__(self, phrases: Iterable[str], digits: frozenset[str]) -> None:
        self._digits = digits
        self._by_first: dict[str, list[tuple[str, ...]]] = {}
        for phrase in phrases:
            if said := tuple(plain_words(phrase)):
                self._by_first.setdefault(said[0], []).append(said)

    def words(self, words: Sequence[Word]) -> list[Word]:
        """The words with what is private blanked."""
        private = self._private([word.text for word in words])
        return [replace(word, text=_blanked(word.text)) if at in private else word for at, word in enumerate(words)]

    def more(self, phrases: Iterable[str]) -> "Blanks":
        """One that blanks these phrases too."""
        known = (" ".join(phrase) for phrases_of in self._by_first.values() for phrase in phrases_of)
        return Blanks([*known, *phrases], self._digits)

    def text(self, text: str) -> str:
        """The text with what is private blanked."""
        pieces = list(re.finditer(r"\S+", text))
        private = self._private([piece[0] for piece in pieces])
        out, last = [], 0
        for at, piece in enumerate(pieces):
            out += [text[last : piece.start()], _blanked(piece[0]) if at in private else piece[0]]
            last = piece.end()
        return "".join([*out, text[last:]])

    def _private(self, words: Sequence[str]) -> set[int]:
        found = {at for at, word in enumerate(words) if _EMAIL.search(word)}
        said = [(part, at) for at, word in enumerate(words) for part in plain_words(word)]
        parts = [part for part, _ in said]
        for start, first in enumerate(parts):
            for phrase in self._by_first.get(first, ()):
                if tuple(parts[start : start + len(phrase)]) == phrase:
                    found.update(at for _, at in said[start : start + len(phrase)])
        return found | self._phones(said)

    def _phones(self, said: Sequence[tuple[str, int]]) -> set[int]:
        """Words of each row of digits that is as long as a phone number, said ("oh four one") or written."""
        found: set[int] = set()
        row: list[int] = []
        count = 0
        for part, at in [*said, ("", -1)]:
            digits = len(part) if part.isdigit() else 1 if part in self._digits else 0
            if digits:
                row.append(at)
                count += digits
            elif part not in ("double", "triple", "plus") or not part:
                if count >= PHONE_DIGITS:
                    found.update(row)
                row, count = [], 0
            else:
                row.append(at)
        return found


def _blanked(word: str) -> str:
    return _SIGN.sub("x", word)


def plain_words(text: str) -> list[str]:
    """The words of a text in lower case, "Fenwick's" as "fenwick"."""
    return [re.sub(r"['’]s$", "", word) for word in _WORD.findall(text.lower())]


def spoken_digits(lexicon: Lexicon) -> frozenset[str]:
    """How the digits are said."""
    said = [
        spoken
        for entry in lexicon.of_kind("number")
        if entry.value in range(10) and not entry.id.partition("_")[2]
        for spoken in entry.spoken
    ]
    return frozenset((*said, "oh", "o"))
