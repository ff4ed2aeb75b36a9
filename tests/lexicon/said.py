"""Words as a narration, for tests of the lexicon."""

from extractor.language.tokens import tokenise
from extractor.reading import Narration, Speech, Word


def speech_of(text: str) -> Speech:
    """The words of `text`, one space apart, without times."""
    words, at = [], 0
    for piece in text.split():
        at = text.index(piece, at)
        words.append(Word(piece, at, at + len(piece)))
        at += len(piece)
    return tokenise(Narration(text, tuple(words), "test"))
