"""Number words that are no quantity: times of day, dates, years, telephone numbers, phrases, "one" for a thing."""

import re

from extractor.language.number_stream import Draft, Stream
from extractor.language.number_words import ORDINAL, cardinal, digit_at, integer_token
from extractor.language.quantities import clock_end, quantity

YEARS = range(1900, 2100)
PHONE = 5  # so many single digits in a row are no reading
BEFORE_TIME = 6  # words within which an arrival, an appointment makes a time of day
LONG = re.compile(r"^\d{6,}$")


def not_a_quantity(stream: Stream, i: int) -> int:
    """Where the words at i end that look like a quantity and are none; i where they may be one."""
    for rule in (phrase_or_pronoun, _money, _hour_of_day, _date, _year, _telephone, _label, _vague):
        end = rule(stream, i)
        if end > i:
            return end
    return i


def phrase_or_pronoun(stream: Stream, i: int) -> int:
    """The same for an idiom ("one by one") or a "one" that stands for a thing, which begin with many small words."""
    end = _phrase(stream, i)
    return end if end > i else _pronoun(stream, i)


def asks_to_wait(stream: Stream, draft: Draft) -> bool:
    """ "give me two minutes", "back in five minutes": a moment asked for, not a time that work took."""
    if draft.unit is None or draft.unit.of != "min":
        return False
    start = stream.grammar["before_approximate"].start_of(stream.words, draft.start)
    return stream.grammar["waiting"].start_of(stream.words, start) < start


def _phrase(stream: Stream, i: int) -> int:
    for id in ("idiom", "moment"):
        if (end := stream.after(i, id)) > i:
            return end
    return i


def _pronoun(stream: Stream, i: int) -> int:
    """ "that one", "the other one", "one that": a thing, not a number, unless a unit, a point or a number follows."""
    if stream.grammar.ones.get(stream.word(i)) != 1:
        phrase = stream.after(i, "one_pronoun")
        return phrase if phrase > i and not stream.unit_word(phrase) else i
    follower = stream.word(i + 1)
    grammar = stream.grammar
    if stream.is_word(i - 1, "one_in_order") and digit_at(stream, i + 1) is not None:
        return i + 1  # "second one four metres"
    if stream.unit_word(i + 1) or follower in grammar["point"] or digit_at(stream, i + 1) is not None:
        return i
    tail = quantity(stream, i + 1)
    if tail is not None and tail.whole and 10 <= tail.value < 100:
        unit = stream.grammar.units.get(stream.word(tail.end), ())
        bore = any(len(form) == 1 and each.id == "millimetre" and not misheard for form, each, misheard in unit)
        if bore or grammar.materials.end_at(stream.words, tail.end) > tail.end:
            return i  # "to the street | one fifty mil"
    if follower == "and" and any(stream.word(at) in grammar.fractions for at in (i + 2, i + 3)):
        return i
    if follower in grammar.multipliers or (stream.is_word(i + 1, "ratio_in") and cardinal(stream, i + 2)):
        return i
    if stream.is_word(i - 1, "one_pronoun_after") or stream.after(i + 1, "one_pronoun_before") > i + 1:
        return i + 1
    return stream.after(i, "one_pronoun")


def _money(stream: Stream, i: int) -> int:
    marks = stream.grammar.units.get(stream.word(i - 1), ())
    if marks and any(unit.id == "other_money" for form, unit, _ in marks if not form[0].isalnum()):
        number = quantity(stream, i)
        return number.end if number else i
    return i


def _hour_of_day(stream: Stream, i: int) -> int:
    """ "half past two", "twenty past nine", "2:30 pm", "by ten o'clock", "two o'clock this afternoon"."""
    word = stream.word(i)
    if word in stream.grammar.fractions and stream.is_word(i + 1, "past_hour") and (hour := cardinal(stream, i + 2)):
        return clock_end(stream, hour[1])
    number = cardinal(stream, i)
    if ":" in word and word.replace(":", "").isdigit():
        end = i + 1
    elif number and stream.is_word(number[1], "past_hour") and stream.word(number[1]) not in stream.grammar["range_to"]:
        hour = cardinal(stream, number[1] + 1)
        return clock_end(stream, hour[1]) if hour and hour[0] <= 12 and number[0] in (5, 10, 20, 25) else i
    elif number and 1 <= number[0] <= 12:
        end = number[1]
        minutes = cardinal(stream, end)
        if minutes and 10 <= minutes[0] < 60:
            end = minutes[1]
        end = clock_end(stream, end)
    else:
        return i
    after = stream.after(end, "time_of_day_after")
    if after > end:
        return after
    if end > i + 1 or ":" in word:
        for at in range(max(stream.taken, i - BEFORE_TIME), i):
            stop = stream.after(at, "time_of_day_before")
            if at < stop <= i and not any(stream.breaks[stop:i]):
                return end
    return i


def _date(stream: Stream, i: int) -> int:
    """ "the third of March", "March 3rd", "12 June 2019"."""
    grammar = stream.grammar
    if stream.is_word(i, "month") or (stream.is_word(i, "month_or_word") and ORDINAL.match(stream.word(i + 1))):
        day = cardinal(stream, i + 1)
        end = day[1] if day and day[0] <= 31 else i + 1
        if ORDINAL.match(stream.word(i + 1)) or stream.word(i + 1) in grammar.ordinals:
            end = i + 2
        return _with_year(stream, end) if day or end > i + 1 else _with_year(stream, i + 1)
    day_end, word = i, stream.word(i)
    if word in grammar.ordinals or (word[:1].isdigit() and ORDINAL.match(word)):
        day_end = i + 1
    elif (day := cardinal(stream, i)) and day[0] <= 31:
        day_end = day[1]
    if day_end > i:
        at = day_end + stream.is_word(day_end, "of")
        month = stream.is_word(at, "month") or (stream.is_word(at, "month_or_word") and at > day_end)
        if month:
            return _with_year(stream, at + 1)
    return i


def _with_year(stream: Stream, end: int) -> int:
    value = integer_token(stream.word(end))
    return end + 1 if value in YEARS else end


def _year(stream: Stream, i: int) -> int:
    """ "1985", "in nineteen eighty five", "twenty nineteen"."""
    word = stream.word(i)
    if word.isdecimal() and len(word) == 4 and int(word) in YEARS and not stream.unit_word(i + 1):
        return i + 1
    first = cardinal(stream, i)
    if first and first[0] in (19, 20) and stream.is_word(i - 1, "year_frame") and not word.isdecimal():
        second = cardinal(stream, first[1])
        if second and 10 <= second[0] < 100 and not stream.unit_word(second[1]):
            return second[1]
    return i


def _telephone(stream: Stream, i: int) -> int:
    word = stream.word(i)
    if word[:1].isdigit() and LONG.match(word) and not stream.unit_word(i + 1):
        return i + 1
    end = i
    while digit_at(stream, end) is not None:
        end += 1
    return end if end - i >= PHONE else i


def _label(stream: Stream, i: int) -> int:
    """ "schedule forty", "class 3": a name, not a number."""
    if stream.is_word(i - 1, "label_out") and (number := quantity(stream, i)):
        return number.end
    return i


def _vague(stream: Stream, i: int) -> int:
    """ "a few hundred mil": no value."""
    if stream.word(i) in stream.grammar.multipliers and stream.is_word(i - 1, "vague"):
        return i + 1 + stream.unit_word(i + 1)
    return i
