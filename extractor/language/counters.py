"""The counter read aloud without its point: "nine two" (9.2), "two thirty four" (2.34), "eight oh five" (8.05).

Where the visit speaks feet, "fourteen two" is fourteen feet two inches. The context has to allow only that: no unit
on the second number, no things that it counts, no clock, no label ("survey one") in the first.
"""

import re
from dataclasses import replace

from extractor.language.clocks import hour_at
from extractor.language.lengths import INCHES, unit_at
from extractor.language.number_stream import Draft, Stream
from extractor.language.number_words import digit_at
from extractor.language.quantities import Quantity, quantity, starts_clock

LONGEST = 130  # metres a push camera can go
SIZES = (40, 1200)  # bores in millimetres
LABELS = 4  # a first number this small may be a label: "survey one", "outlet 2"
TIME = re.compile(r"^(\d{1,2}):(\d\d)$")


def bare(stream: Stream, i: int) -> Draft | None:
    """A number with no unit at i: a reading with the point dropped, or the number as it is."""
    if time := TIME.match(stream.word(i)) if stream.word(i)[:1].isdigit() else None:
        return Draft(
            i, i + 1, *_twice(int(time[1]) + int(time[2]) / 100), rule="point dropped, maybe a time", coarse=False
        )
    number = quantity(stream, i)
    if number is None or number.alone:
        return None
    if size := _pipe_size(stream, number):
        return size
    if number.whole and number.value <= LONGEST and (pair := _pair(stream, number)):
        return pair
    rule = "split number" if number.split else "point" if number.point else "bare number"
    return Draft(i, number.end, number.value, number.value, rule=rule, coarse=not number.point)


def _pipe_size(stream: Stream, number: Quantity) -> Draft | None:
    """ "a hundred pvc", "150 clay": the bore in millimetres, before the pipe's material, where metres are spoken."""
    if stream.habit != "m" or not number.whole:
        return None
    number = _hundreds(stream, number)
    if not SIZES[0] <= number.value <= SIZES[1] or number.value % 5:
        return None
    bore = stream.word(number.end) in ("diameter", "bore", "dia")
    if stream.grammar.materials.end_at(stream.words, number.end) == number.end and not bore:
        return None
    start = stream.grammar["before_approximate"].start_of(stream.words, number.start)
    if (number.value <= LONGEST or number.split) and stream.is_word(start - 1, "place_before"):
        return None  # "at 40 plastic starts"
    unit = stream.grammar.unit_of_id["millimetre"]
    return Draft(number.start, number.end, number.value, number.value, unit, "pipe size, unit unsaid")


def _hundreds(stream: Stream, number: Quantity) -> Quantity:
    """ "one fifty", "two two five" in front of a material: the hundreds of a bore, said without the word."""
    if not 1 <= number.value <= 9:
        return number
    tenths, fives = digit_at(stream, number.end), digit_at(stream, number.end + 1)
    if tenths is not None and fives is not None and stream.word(number.end).isalpha():
        value, end = 100 * number.value + 10 * tenths + fives, number.end + 2
    else:
        tail = quantity(stream, number.end)
        if tail is None or not tail.whole or not 10 <= tail.value < 100:
            return number
        value, end = 100 * number.value + tail.value, tail.end
    return replace(number, end=end, value=value, split=True)


def _twice(value: float) -> tuple[float, float]:
    return value, value


def _pair(stream: Stream, first: Quantity) -> Draft | None:
    at, whole = first.end, int(first.value)
    if stream.hyphen[at : at + 1] == [True] and not _descends(stream, first):
        return None
    if first.value <= LABELS and stream.is_word(first.start - 1, "labelled_noun") and not _taken_back(stream, first):
        return None
    tenths, hundredths = digit_at(stream, at), digit_at(stream, at + 1)
    zero = tenths == 0 and stream.is_word(at, "digit_zero")
    in_words = whole < 10 and stream.word(at).isalpha()
    if tenths is not None and hundredths is not None and (zero or (in_words and _ends_the_digits(stream, at + 2))):
        end, second, places = at + 2, 10 * tenths + hundredths, 2
    else:
        number = quantity(stream, at)
        if number is None or not number.whole or number.value >= 100:
            return None
        end, second = number.end, int(number.value)
        places = 1 if second < 10 else 2
        if stream.words[at].isdecimal() and len(stream.words[at]) != places:
            places = len(stream.words[at])
        if stream.word(at) in stream.grammar.multipliers or stream.word(at) in stream.grammar["article"]:
            return None
    if not _stands_alone(stream, end, second):
        return None
    if stream.habit == "ft":
        if second >= INCHES or (places == 2 and second < 10):
            return None
        return Draft(
            first.start, end, *_twice(whole + second / INCHES), rule="feet and inches", coarse=False, pair=True
        )
    if places == 2 and second >= 10 and (second == whole + 1 or (whole >= 20 and not whole % 10)):
        return None  # "nine ten" counts on; "sixty fifteen" is two numbers
    if whole > 60 and not stream.words[first.start].isdecimal():
        return None
    rule = "split number" if stream.breaks[at] and stream.words[at].isdecimal() else "point dropped"
    if hour_at(stream, first.start) and places == 2 and second in (15, 30, 45):
        rule = "point dropped, maybe a time"
    elif places == 1 and second == whole + 1:
        rule = "point dropped, or a range"
    found = unit_at(stream, end)
    value = whole + second / 10**places
    draft = Draft(first.start, end, value, value, rule=rule, coarse=False, pair=True)
    if found and found[0].id == "metre" and not found[2]:
        draft.unit, draft.end = found[0], found[1]
    return draft


def _taken_back(stream: Stream, number: Quantity) -> bool:
    """ "four nine no four eight": the "no" takes a number back, and is no "number four"."""
    return stream.is_word(number.start - 1, "leading_zero") and digit_at(stream, number.start - 2) is not None


def _ends_the_digits(stream: Stream, end: int) -> bool:
    """True where the digit before `end` is the last of its number: nothing that it would count, measure or begin."""
    return (
        digit_at(stream, end) is None
        and not stream.unit_word(end)
        and _stands_alone(stream, end, digit_at(stream, end - 1) or 0)
    )


def _digits_from(stream: Stream, i: int) -> int:
    """How many single digits are said in a row from i on: two more after a pair are another pair."""
    count = 0
    while digit_at(stream, i + count) is not None:
        count += 1
    return count


def _descends(stream: Stream, first: Quantity) -> bool:
    """ "9-2" is a reading; "2-9" is a range."""
    second = digit_at(stream, first.end)
    return second is not None and second < first.value


def _stands_alone(stream: Stream, end: int, second: int) -> bool:
    """True where the second number belongs to nothing that follows it."""
    grammar, follower = stream.grammar, stream.word(end)
    if second > 1 and stream.counts(end):
        return False
    if follower in grammar.multipliers or follower in grammar["point"] or follower[:1] == ".":
        return False
    if starts_clock(stream, end) or (end < len(stream) and stream.back[end] == stream.back[end - 1]):
        return False
    to = stream.after(end, "range_to")
    if to > end and (hour := hour_at(stream, to)) and starts_clock(stream, hour[1]):
        return False
    if stream.is_word(end, "and") and quantity(stream, end + 1) is None and follower in grammar["and"]:
        tail = stream.word(end + 2)
        if stream.word(end + 1) in grammar["article"] and tail in grammar.fractions:
            return False
    found = unit_at(stream, end)
    if found and not (found[0].id == "metre" and len(follower) > 1):
        return bool(found[0].id == "inch" and stream.is_word(end, "ratio_in"))
    following = quantity(stream, end) if digit_at(stream, end) is not None else None
    return (
        following is None
        or _digits_from(stream, end) == 2
        or following.point
        or starts_clock(stream, following.end)
        or unit_at(stream, following.end, following) is not None
    )
