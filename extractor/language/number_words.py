"""Cardinals in words, digits and mixtures: "twenty six", "a hundred and fifty", "3 thousand", "1,200".

Every reader takes the stream and a place, and gives (value, end) or None. "Twenty six" is 26 and nothing else;
"sixty fifteen" is two numbers.
"""

import re

from extractor.language.number_stream import Stream

INTEGER = re.compile(r"^\d{1,3}(?:,\d{3})+$|^\d+$")
DECIMAL = re.compile(r"^(\d*)[.](\d+)(?:\.\d+)*$|^(\d+),(\d{1,2})$")
FRACTION = re.compile(r"^(\d{1,2})/(2|3|4|8|16|32)$")
ORDINAL = re.compile(r"^(\d+)(?:st|nd|rd|th)$")


def integer_token(word: str) -> int | None:
    """The value of a token of digits: "350", "1,200". None for anything else."""
    if word and word[0].isdigit() and INTEGER.match(word):
        return int(word.replace(",", ""))
    return None


def decimal_token(word: str) -> tuple[str, str] | None:
    """Whole and decimal digits of "4.18", ".8", "2,5"; of "9.9.9" the first two parts. None for anything else."""
    if not word or not (word[0].isdigit() or word[0] == "."):
        return None
    found = DECIMAL.match(word)
    return (found[1] or found[3] or "0", found[2] or found[4]) if found else None


def digit_at(stream: Stream, i: int) -> int | None:
    """One digit, as a word ("five", "oh") or written ("5")."""
    word = stream.word(i)
    if word in stream.grammar.ones:
        return int(stream.grammar.ones[word])
    if word in stream.grammar["digit_zero"]:
        return 0
    return int(word) if len(word) == 1 and word.isdecimal() else None


def below_hundred(stream: Stream, i: int) -> tuple[int, int] | None:
    """0 to 99: "six", "sixteen", "twenty six", "twenty 6", "26"."""
    grammar, word = stream.grammar, stream.word(i)
    if word in grammar.tens:
        value = int(grammar.tens[word])
        unit = digit_at(stream, i + 1)
        # a zero after tens is a counter's ("twenty oh five"), not part of the number
        if unit:
            return value + unit, i + 2
        return value, i + 1
    if word in grammar.teens:
        return int(grammar.teens[word]), i + 1
    if word in grammar.ones:
        return int(grammar.ones[word]), i + 1
    written = integer_token(word)
    return (written, i + 1) if written is not None and written < 100 else None


def cardinal(stream: Stream, i: int) -> tuple[int, int] | None:
    """Any whole number said as one; the longest reading. Several rules ask for it, so it is kept."""
    kept = stream.cardinals
    if i not in kept:
        kept[i] = _cardinal(stream, i)
    found: tuple[int, int] | None = kept[i]
    return found


def _cardinal(stream: Stream, i: int) -> tuple[int, int] | None:
    grammar, word = stream.grammar, stream.word(i)
    found = _below_thousand(stream, i)
    if found is None:
        value_of_token = integer_token(word)
        if value_of_token is None:
            if word in grammar["article"] and grammar.multipliers.get(stream.word(i + 1)) == 1000:
                found = (1, i + 1)
            elif grammar.multipliers.get(word) == 1000:
                found = (1, i)
            else:
                return None
        else:
            found = (value_of_token, i + 1)
    value, end = found
    if grammar.multipliers.get(stream.word(end)) == 1000 and value < 1000:
        value, end = value * 1000, end + 1
        if tail := _tail(stream, end, 1000):
            value, end = value + tail[0], tail[1]
    return value, end


def _below_thousand(stream: Stream, i: int) -> tuple[int, int] | None:
    """ "four hundred", "a hundred and fifty", "hundred"; else what is below a hundred."""
    grammar, word = stream.grammar, stream.word(i)
    if grammar.multipliers.get(word) == 100:
        value, end = 100, i + 1
    elif word in grammar["article"] and grammar.multipliers.get(stream.word(i + 1)) == 100:
        value, end = 100, i + 2
    else:
        small = below_hundred(stream, i)
        if small is None:
            token = integer_token(word)
            # "100 and 50 mil": a hundred and fifty, written in two
            if token is not None and token < 1000 and not token % 100 and stream.is_word(i + 1, "and"):
                tail = integer_token(stream.word(i + 2))
                if tail is not None and 0 < tail < 100:
                    return token + tail, i + 3
            return None
        if grammar.multipliers.get(stream.word(small[1])) != 100 or not small[0]:
            return small
        value, end = small[0] * 100, small[1] + 1
    rest = _tail(stream, end, 100)
    return (value + rest[0], rest[1]) if rest else (value, end)


def _tail(stream: Stream, end: int, below: int) -> tuple[int, int] | None:
    """What "and" adds to hundreds and thousands: "(a hundred) and fifty". Not where it goes on to its own hundred."""
    grammar = stream.grammar
    joined = stream.is_word(end, "and")
    start = end + 1 if joined else end
    if stream.word(start) in grammar["article"] or not stream.word(start):
        return None
    found = below_hundred(stream, start) if below == 100 else _below_thousand(stream, start)
    if not found or not found[0] or found[0] >= below or stream.word(found[1]) in grammar.multipliers:
        return None
    if stream.word(found[1]) in grammar.fractions:
        return None  # "a hundred and three quarters"
    if not joined and stream.word(start).isdecimal():
        return None
    return found
