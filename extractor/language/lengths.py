"""A number with its unit, and what is said in two units at once: "six foot three", "two metres thirty".

Also the halves and quarters of a unit ("half a metre", "three quarters of an inch") and a unit said with an article.
"""

from extractor.language.measure_grammar import Unit
from extractor.language.number_stream import Draft, Stream
from extractor.language.number_words import digit_at
from extractor.language.quantities import Quantity, clock_end, fraction_at, quantity, starts_clock

INCHES = 12


def unit_at(stream: Stream, i: int, number: Quantity | None = None) -> tuple[Unit, int, bool] | None:
    """(unit, end, misheard) of the unit words at i, the longest form. `number` is what stands before them."""
    for form, unit, misheard in stream.grammar.units.get(stream.word(i), ()):
        end = i + len(form)
        if len(form) > 1 and tuple(stream.words[i:end]) != form:
            continue
        if misheard and (number is None or not _plausibly_misheard(unit, number)):
            continue
        if unit.id == "inch" and stream.is_word(i, "ratio_in") and not _in_is_inch(stream, i, number):
            continue
        if unit.id == "other_money" and number is not None and number.point and form[0][0].isalpha():
            continue  # "joint at one point nine | grand"
        if not form[0][0].isalnum() and form[0] != "%" and not _is_mark(stream, i, number):
            continue
        return unit, end, misheard
    return None


def _plausibly_misheard(unit: Unit, number: Quantity) -> bool:
    """Misheard millimetres ("miles", "milk", "ml") only after the size of a pipe or a gap."""
    return unit.of == "clock" or (number.value >= 5 and not number.fraction if unit.id == "millimetre" else True)


def _in_is_inch(stream: Stream, i: int, number: Quantity | None) -> bool:
    """ "4in", "4 in pipe", "2 ft 3 in": inches. "6 in the pipe": not."""
    if number is None or not stream.word(i - 1)[-1:].isdigit():
        return False
    follower = stream.word(i + 1)
    compound = stream.grammar.units.get(stream.word(number.start - 1), ())
    return (
        stream.glued[i]
        or stream.is_word(i + 1, "size_noun")
        or stream.is_word(i + 1, "size_adjective")
        or stream.grammar.materials.end_at(stream.words, i + 1) > i + 1
        or (any(unit.id == "foot" for _, unit, _ in compound) and follower not in stream.grammar["article"])
    )


def _is_mark(stream: Stream, i: int, number: Quantity | None) -> bool:
    """A foot or inch mark stands straight after digits, and opened no quotation before them."""
    return number is not None and stream.word(i - 1)[-1:].isdigit() and stream.word(number.start - 1) != stream.word(i)


def with_unit(stream: Stream, i: int) -> Draft | None:
    """The measure with a unit of its own at i, or None. Units the record has no place for give kind "other"."""
    number = quantity(stream, i)
    if number is None:
        return _article_and_unit(stream, i)
    end, approximate = number.end, False
    odd = stream.after(end, "after_approximate")
    if odd > end and unit_at(stream, odd, number):
        end, approximate = odd, True
    if number.alone or (number.point and number.value < 1 and stream.is_word(end, "of")):
        end += stream.is_word(end, "of")
        end += stream.is_word(end, "article")
    found = unit_at(stream, end, number)
    if found is None or found[0].of == "clock":
        return _hundreds_of_millimetres(stream, number)
    unit, end, misheard = found
    draft = Draft(
        number.start, end, number.value, number.value, unit, "unit", coarse=not number.point, approximate=approximate
    )
    if unit.of is None:
        draft.kind = "other"
        return draft
    if misheard:
        draft.rule = "ml for mil" if unit.id == "millimetre" else "misheard unit"
    if number.whole:
        _extend(stream, draft)
    return draft


def _article_and_unit(stream: Stream, i: int) -> Draft | None:
    """ "a metre", "another metre", "a couple of metres", "an inch and a half", "inch and a half"."""
    grammar, word = stream.grammar, stream.word(i)
    value, end, approximate = 1.0, i, False
    if word in grammar["article"] or word in grammar["another"]:
        end = i + 1
    for phrases, count in grammar.counts:
        counted = phrases.end_at(stream.words, i)
        if counted > end:
            value, end, approximate = count, counted, True
    if stream.grammar.multipliers.get(stream.word(end)) == 100 and value > 1:
        value, end = value * 100, end + 1
    found = unit_at(stream, end)
    if found is None or found[0].of in (None, "clock") or not stream.word(end).isalpha() or len(stream.word(end)) < 3:
        return None
    unit, after, _ = found
    if end == i:
        if stream.is_word(i - 1, "frame") and not stream.word(i).endswith("s") and unit.id == "metre":
            return _unit_first(stream, i, after, unit)
        if grammar.ordinals.get(stream.word(i - 1)) == 1 and unit.of == "m" and not stream.word(i).endswith("s"):
            first = Draft(i, after, 1.0, 1.0, unit, "unit")  # "the first metre", "the first metre and a half"
            if stream.is_word(after, "and") and stream.word(after + 1) in grammar["article"]:
                _half_of_unit(stream, first)
            return first
        tail = fraction_at(stream, after + 1) if stream.is_word(after, "and") else None
        if unit.of != "m" or tail is None or stream.word(after + 1) not in grammar["article"]:
            return None
    elif value == 1 and unit.of == "min" and not stream.is_word(i - 1, "duration_frame"):
        return None
    draft = Draft(i, after, value, value, unit, "unit", approximate=approximate)
    _extend(stream, draft)
    return draft


def _unit_first(stream: Stream, start: int, end: int, unit: Unit) -> Draft | None:
    """ "at metre five"."""
    number = quantity(stream, end)
    if number is None or number.alone or unit_at(stream, number.end, number):
        return None
    return Draft(start, number.end, number.value, number.value, unit, "unit first", coarse=not number.point)


def _hundreds_of_millimetres(stream: Stream, number: Quantity) -> Draft | None:
    """ "one fifty mil" is 150 mm, "two twenty five mil" 225, "one oh five mil" 105."""
    if not number.whole or not 1 <= number.value <= 9:
        return None
    tail = quantity(stream, number.end)
    at, value = number.end, -1
    if tail and tail.whole and 10 <= tail.value < 100:
        at, value = tail.end, int(number.value) * 100 + int(tail.value)
    elif stream.is_word(at, "digit_zero") and (digit := digit_at(stream, at + 1)):
        at, value = at + 2, int(number.value) * 100 + digit
    if value < 0:
        return None
    found = unit_at(stream, at, number)
    if found and found[0].id == "millimetre" and not found[2]:
        return Draft(number.start, found[1], value, value, found[0], "hundreds unsaid")
    return None


def _extend(stream: Stream, draft: Draft) -> None:
    """What still belongs to a whole number of units: "and a half", inches after feet, centimetres after metres."""
    unit = draft.unit
    assert unit is not None
    if stream.is_word(draft.end, "and") and _half_of_unit(stream, draft):
        return
    if unit.id == "foot":
        _inches_after_feet(stream, draft)
    elif unit.id == "metre":
        _centimetres_after_metres(stream, draft)
    elif unit.id == "hour":
        _minutes_after_hours(stream, draft)


def _half_of_unit(stream: Stream, draft: Draft) -> bool:
    """ "a metre and a half", "two feet and three quarters"; not "a metre and a half inch pipe"."""
    part = fraction_at(stream, draft.end + 1)
    if part is None or stream.word(draft.end + 1) in stream.grammar.fractions:
        return False
    if unit_at(stream, part[1]) or (stream.is_word(part[1], "of") and unit_at(stream, part[1] + 2)):
        return False
    draft.low = draft.high = draft.low + part[0]
    draft.end, draft.rule = part[1], "unit and a part"
    return True


def _smaller(stream: Stream, at: int) -> Quantity | None:
    """The number at `at` that may count the smaller unit: whole or with a half, and not the start of something else."""
    number = quantity(stream, at)
    if (
        number is None
        or number.point
        or number.alone
        or starts_clock(stream, number.end)
        or _clock_range(stream, number)
    ):
        return None
    return number


def _clock_range(stream: Stream, number: Quantity) -> bool:
    to = stream.after(number.end, "range_to")
    until = quantity(stream, to) if to > number.end and 1 <= number.value <= 12 else None
    return bool(until and clock_end(stream, until.end) > until.end)


def _inches_after_feet(stream: Stream, draft: Draft) -> None:
    """Feet and inches: "six foot three", "14 ft 2 in", "6'3\"", "a foot two", "six foot three and a half"."""
    joined = stream.is_word(draft.end, "and")
    number = _smaller(stream, draft.end + joined)
    if number is None or not 0 <= number.value < INCHES:
        return
    found = unit_at(stream, number.end, number)
    explicit = found is not None and found[0].id == "inch"
    if (found and not explicit) or (joined and not explicit):
        return
    end = found[1] if found and explicit else number.end
    marked = explicit and not stream.word(number.end).isalpha()  # 6'3" is one length whatever follows
    if explicit and not marked and _own_measure(stream, end):
        return
    if not explicit and _counts_things(stream, number):
        return
    draft.low = draft.high = draft.low + number.value / INCHES
    draft.end, draft.rule = end, "feet and inches"


def _centimetres_after_metres(stream: Stream, draft: Draft) -> None:
    """Metres and centimetres: "two metres thirty", "a metre twenty", "one metre oh five", "one metre 20 cm"."""
    joined = stream.is_word(draft.end, "and")
    at = draft.end + joined
    if stream.is_word(at, "digit_zero") and (digit := digit_at(stream, at + 1)) and not joined:
        draft.low = draft.high = draft.low + digit / 100
        draft.end, draft.rule, draft.coarse = at + 2, "metres and centimetres", False
        return
    if (
        stream.is_word(at, "point")
        and not joined
        and (tail := quantity(stream, at))
        and not unit_at(stream, tail.end, tail)
    ):
        draft.low = draft.high = draft.low + tail.value  # "four metres point two"
        draft.end, draft.rule, draft.coarse = tail.end, "metres and a decimal", False
        return
    number = _smaller(stream, at)
    if number is not None and number.fraction and stream.word(at) in stream.grammar.tens and number.value % 10 > 1:
        tens = stream.grammar.tens[stream.word(at)]  # "three metres eighty | five and a half": no half centimetre
        draft.low = draft.high = draft.low + tens / 100
        draft.end, draft.rule, draft.coarse = at + 1, "metres and centimetres", False
        return
    if number is None or not number.whole or not 1 <= number.value < 100:
        return
    found = unit_at(stream, number.end, number)
    explicit = found is not None and found[0].id == "centimetre"
    if (found and not explicit) or (joined and not explicit):
        return
    end = found[1] if found and explicit else number.end
    if explicit and _own_measure(stream, end):
        return
    rule = "metres and centimetres"
    if not explicit:
        if _counts_things(stream, number):
            return
        if number.value < 10:
            if number.value == 1:
                return
            rule = "metres and a digit"
    draft.low = draft.high = draft.low + number.value / 100
    draft.end, draft.rule, draft.coarse = end, rule, False


def _minutes_after_hours(stream: Stream, draft: Draft) -> None:
    at = draft.end + stream.is_word(draft.end, "and")
    number = quantity(stream, at)
    found = unit_at(stream, number.end, number) if number and number.whole else None
    if number and found and found[0].id == "minute":
        draft.low = draft.high = draft.low + number.value / 60
        draft.end, draft.rule = found[1], "hours and minutes"


def _own_measure(stream: Stream, end: int) -> bool:
    """The smaller unit is a size of its own: "nine feet, two inches of water", "six foot, four inch clay".

    Before a noun the unit is said in the singular: "seven feet ten inches | main trouble was".
    """
    if stream.is_word(end, "of"):
        return True
    named = stream.is_word(end, "size_noun") or stream.grammar.materials.end_at(stream.words, end) > end
    return named and not stream.word(end - 1).endswith("s")


def _counts_things(stream: Stream, number: Quantity) -> bool:
    """True where the number counts what follows ("two metres, two outlets"), or is followed by a number of its own."""
    follower = stream.word(number.end)
    return (
        (number.value > 1 and stream.counts(number.end))
        or follower in stream.grammar["point"]
        or follower in stream.grammar.multipliers
    )
