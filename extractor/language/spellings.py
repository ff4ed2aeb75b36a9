"""Broad speech as a recogniser writes it down -> plain words: "fae" -> from, "hadnae" -> had not, "holdin" -> holding.

The lexicon's entries of kind spelling list the words. A dropped "g" is mended where the whole word is one of the
lexicon's and the short one is not.
"""

from collections.abc import Mapping

from extractor.lexicon.forms import tokens_of
from extractor.lexicon.load import Lexicon

SHORTEST = 4  # letters of a word that may have lost its "g": "goin"

Spellings = Mapping[str, tuple[str, ...]]


def spellings(lexicon: Lexicon) -> Spellings:
    """A word as written -> the word or words it is."""
    known = {word for entry in lexicon.entries for phrase in entry.spoken for word in phrase.split()}
    whole = {
        word[:-1]: (word,)
        for word in known
        if word.endswith("ing") and len(word) > SHORTEST and word.isalpha() and word[:-1] not in known
    }
    listed = {written: tokens_of(entry.label) for entry in lexicon.of_kind("spelling") for written in entry.spoken}
    return {**whole, **listed}
