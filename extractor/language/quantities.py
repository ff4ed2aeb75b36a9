"""Numbers with their decimals and parts: "four point one eight", "zero point. 6", "twelve and a half".

What follows the point is read digit by digit, at most two as counters show them; a last digit that clearly belongs to
what comes next ("four point two nine o'clock", "two point six four hundred mil") is given back.
"""

from dataclasses import dataclass

from extractor.language.number_stream import Stream
from extractor.language.number_words import FRACTION, below_hundred, cardinal, decimal_token, digit_at, integer_token

PLACES = 2  # decimals of a counter


@dataclass(slots=True)  # not frozen, since one is made for every number and none leaves this stage
class Quantity:
    """A number without its unit, words start to end.

    `point`: said or written with a decimal point; `fraction`: with a half, quarter...; `alone`: nothing but a fraction,
    which needs a unit; `written`: starts with digits; `split`: written in two pieces.
    """

    start: int
    end: int
    value: float
    point: bool = False
    fraction: bool = False
    alone: bool = False
    written: bool = False
    split: bool = False
    words_before: bool = False

    @property
    def whole(self) -> bool:
        return not self.point and not self.fraction


def quantity(stream: Stream, i: int) -> Quantity | None:
    """The number that starts at word i, the longest reading, or None. Several rules ask for it, so it is kept."""
    kept = stream.quantities
    if i not in kept:
        kept[i] = _quantity(stream, i)
    found: Quantity | None = kept[i]
    return found


def _quantity(stream: Stream, i: int) -> Quantity | None:
    word = stream.word(i)
    written = word[:1].isdigit() or word[:1] == "."
    if written and (parts := decimal_token(word)):
        return _after_written_decimal(stream, i, parts)
    if stream.is_word(i, "point") or (stream.is_word(i, "leading_zero") and stream.is_word(i + 1, "point")):
        return _below_one(stream, i)
    if part := fraction_at(stream, i):
        return Quantity(i, part[1], part[0], fraction=True, alone=True, written=written)
    found = cardinal(stream, i)
    if found is None:
        return None
    value, end = found
    if stream.is_word(end, "point") and (decimals := _decimals(stream, end + 1, bool(value))):
        return Quantity(i, decimals[1], float(f"{value}.{decimals[0]}"), point=True, written=written, split=written)
    follower = stream.word(end)
    if follower[:1] == "." and follower[1:].isdecimal():
        return Quantity(i, end + 1, float(f"{value}{follower}"), point=True, written=written, split=True)
    if part := _and_a_part(stream, end):
        return _thousands(stream, Quantity(i, part[1], value + part[0], fraction=True, written=written))
    return Quantity(i, end, float(value), written=written)


def fraction_at(stream: Stream, i: int) -> tuple[float, int] | None:
    """A part of one: "half", "a half", "three quarters", "an eighth", "3/4", "½" -> (value, end)."""
    grammar, word = stream.grammar, stream.word(i)
    if found := FRACTION.match(word) if word[:1].isdigit() else None:
        return int(found[1]) / int(found[2]), i + 1
    count, at = 1, i
    if word in grammar["article"]:
        at = i + 1
    elif (digit := digit_at(stream, i)) and stream.word(i + 1) in grammar.fractions and stream.word(i + 1).isalpha():
        count, at = digit, i + 1
    part = grammar.fractions.get(stream.word(at))
    if part is None or (stream.word(at) in grammar.ordinals and not (count > 1 or stream.is_word(at + 1, "of"))):
        return None
    value = count * part
    return (value, at + 1) if value < 1 else None


def _and_a_part(stream: Stream, end: int) -> tuple[float, int] | None:
    """ "and a half", "and three quarters", "1/2", "½" after a whole number; "and half the ..." is none."""
    grammar, word = stream.grammar, stream.word(end)
    if word in grammar["and"]:
        part = fraction_at(stream, end + 1)
        if (
            part
            and stream.word(end + 1) in grammar.fractions
            and stream.word(part[1])
            and not _ends_number(stream, part[1])
        ):
            return None
        return part
    if FRACTION.match(word) or (word in grammar.fractions and not word.isalpha()):
        return fraction_at(stream, end)
    return None


def _ends_number(stream: Stream, i: int) -> bool:
    """True where "and half" stops being a number's tail only if a unit follows ("five and half metres")."""
    return stream.unit_word(i)


def _after_written_decimal(stream: Stream, i: int, parts: tuple[str, str]) -> Quantity:
    """A written decimal; "6.1 five" is 6.15, since the second decimal that counters are read with is a five."""
    whole, decimals = parts
    word, follower = stream.word(i), stream.word(i + 1)
    if len(decimals) == 1 and stream.grammar.ones.get(follower) == 5:
        after = stream.word(i + 2)
        if not (stream.counts(i + 2) or stream.unit_word(i + 2) or after in stream.grammar["point"]):
            return Quantity(i, i + 2, float(f"{whole}.{decimals}5"), point=True, written=True, split=True)
    odd = word.count(".") > 1
    found = Quantity(i, i + 1, float(f"{whole}.{decimals}"), point=True, written=True, split=odd)
    return _thousands(stream, found)


def _thousands(stream: Stream, found: Quantity) -> Quantity:
    """ "two and a half thousand", "1.5 thousand"."""
    if stream.grammar.multipliers.get(stream.word(found.end)) == 1000:
        return Quantity(found.start, found.end + 1, found.value * 1000, fraction=found.fraction, written=found.written)
    return found


def _below_one(stream: Stream, i: int) -> Quantity | None:
    """ "point eight", "nothing point eight", "oh point oh five". "To this point four junctions" is none."""
    point = i if stream.is_word(i, "point") else i + 1
    if point == i and i and stream.is_word(i - 1, "no_decimal_before"):
        return None
    decimals = _decimals(stream, point + 1, False)
    return Quantity(i, decimals[1], float(f"0.{decimals[0]}"), point=True) if decimals else None


def _decimals(stream: Stream, i: int, whole: bool) -> tuple[str, int] | None:
    """Digits after the point and where they end. `whole`: something other than zero stood before the point."""
    word = stream.word(i)
    if integer_token(word) is not None and len(word) > 1:
        return (word, i + 1) if word.isdecimal() and len(word) <= 3 else None
    digits, end = "", i
    while len(digits) < PLACES and (digit := digit_at(stream, end)) is not None:
        digits, end = digits + str(digit), end + 1
    if not digits:
        group = below_hundred(stream, i)
        return (str(group[0]), group[1]) if group and group[0] >= 10 else None
    if len(digits) == PLACES and _belongs_on(stream, end, int(digits[-1]), whole):
        return digits[:-1], end - 1
    return digits, end


def _belongs_on(stream: Stream, end: int, digit: int, whole: bool) -> bool:
    """True where the last digit is the start of what comes next: a clock, hundreds, a count of things, a pipe size."""
    grammar, word = stream.grammar, stream.word(end)
    if word in grammar.multipliers or (digit > 1 and stream.counts(end)):
        return True
    if word in grammar["point"] and digit_at(stream, end + 1) is not None:
        return True
    forms = grammar.units.get(word, ())
    if starts_clock(stream, end):
        return digit > 0
    if any(
        unit.id in ("inch", "foot", "millimetre") and len(form) == 1 and not misheard for form, unit, misheard in forms
    ):
        return whole and digit > 1 and word.isalpha() and not stream.is_word(end, "ratio_in")
    if any(
        unit.id == "metre" and len(form) == 1 for form, unit, _ in forms
    ):  # "to two point nine | three metres fifteen"
        tail = below_hundred(stream, end + 1)
        return whole and digit > 0 and tail is not None and tail[0] >= 10 and _is_over(stream, tail[1])
    if (to := stream.after(end, "range_to")) > end and digit > 0:
        hours = below_hundred(stream, to)
        return bool(hours and 1 <= hours[0] <= 12 and starts_clock(stream, hours[1]))
    return False


def _is_over(stream: Stream, end: int) -> bool:
    """Whether a number ends there that counts nothing and has neither a unit of its own nor a point."""
    return not (stream.counts(end) or stream.unit_word(end) or stream.is_word(end, "point"))


def starts_clock(stream: Stream, i: int) -> bool:
    """True where "o'clock", or what a recogniser makes of it, stands at i."""
    return clock_end(stream, i) > i


def clock_end(stream: Stream, i: int) -> int:
    """Where the words for "o'clock" at i end; i where there are none."""
    for form, unit, _ in stream.grammar.units.get(stream.word(i), ()):
        if unit.of == "clock" and tuple(stream.words[i : i + len(form)]) == form:
            return i + len(form)
    return i
