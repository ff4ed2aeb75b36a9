"""Words that sound like numbers: read as such only where a unit or the frame round them demands a number.

"ate point five metres" -> 8.5 m;   "for inch cast iron" -> 4 inch;   "wait for ten minutes" -> untouched
"""

from extractor.language.lengths import unit_at
from extractor.language.number_stream import Stream
from extractor.language.number_words import cardinal, digit_at
from extractor.language.quantities import clock_end

SHORT = 3  # unit words shorter than this are too weak to demand a number


def hear_numbers(stream: Stream) -> None:
    """Put the number word in place of each homophone that can be nothing else here."""
    homophones, words = stream.grammar.homophones, stream.words
    for i, word in enumerate(words):
        if word in homophones and _demanded(stream, i):
            words[i] = homophones[word]
            stream.cardinals.clear()  # they were read without it


def _demanded(stream: Stream, i: int) -> bool:
    if stream.is_word(i, "number_after_number") and _number(stream, i - 1):
        return True
    preposition = stream.is_word(i, "range_to") or stream.is_word(i, "preposition")
    if stream.is_word(i + 1, "point") and digit_at(stream, i + 2) is not None:
        return not preposition or stream.is_word(i - 1, "frame") or i == 0
    if clock_end(stream, i + 1) > i + 1:
        return not preposition
    found = unit_at(stream, i + 1)
    if (
        found is None
        or found[0].of not in ("m", "%")
        or found[2]
        or len(stream.word(i + 1)) < SHORT - (stream.word(i + 1) == "mm")
    ):
        return False
    if cardinal(stream, i + 2) and not stream.word(i + 1).endswith("s") and found[0].id == "metre":
        return False  # "to metre five"
    return not _number(stream, i - 1)


def _number(stream: Stream, i: int) -> bool:
    word, grammar = stream.word(i), stream.grammar
    return word[:1].isdigit() or word in grammar.ones or word in grammar.teens or word in grammar.tens
