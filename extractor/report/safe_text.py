"""Text from outside (narration, names, visit.toml) made harmless once, before any output sees it.

Each output still escapes in its own way; here goes what no output can show: control characters, halves of a surrogate
pair, characters that XML forbids, and marks that turn the reading direction of what follows round.
"""

import re
import unicodedata

# Unicode Bidirectional Algorithm (UAX #9): embeddings, overrides and isolates act beyond their own word. The letters of
# right-to-left scripts need none of them.
_DIRECTION = re.compile("[\u202a-\u202e\u2066-\u2069\u200e\u200f\u061c]")
# XML 1.0, production [2] Char: what is outside it can't stand in HTML, SVG, DOCX or XLSX.
_FORBIDDEN = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ufffe\uffff\ud800-\udfff]")
_UNIT = re.compile(r"(?<=\d) (?=(?:m|ft|mm|in|L|min|mm/m)\b)")
_LONG_WORD = 40
_LONGEST_WORD = 60  # no word of any language that a narration is in is as long; more is an accident or an attack


def clean(text: str) -> str:
    """One line of text, in composed form, without what can't be shown; a word longer than any word is cut short.

    The record (JSON) keeps the text as it was.
    """
    text = _DIRECTION.sub("", text)
    text = _FORBIDDEN.sub(" ", text)
    text = "".join(mark for mark in text if not 0xFDD0 <= ord(mark) <= 0xFDEF and ord(mark) & 0xFFFE != 0xFFFE)
    words = (word if len(word) <= _LONGEST_WORD else word[: _LONGEST_WORD - 1] + "…" for word in text.split())
    return unicodedata.normalize("NFC", " ".join(words))


def breakable(text: str) -> str:
    """The text with zero-width spaces in words too long for a line, for outputs that can't break a word themselves."""
    return " ".join(
        "\u200b".join(word[start : start + 20] for start in range(0, len(word), 20)) if len(word) > _LONG_WORD else word
        for word in text.split(" ")
    )


def units_kept(text: str) -> str:
    """The text with no line break between a number and its unit."""
    return _UNIT.sub("\u00a0", text)


def shortened(text: str, most: int) -> str:
    """At most `most` characters, with an ellipsis where something was left off."""
    return text if len(text) <= most else text[: most - 1].rstrip() + "…"
