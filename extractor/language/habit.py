"""The visit's unit of habit: what a bare number on the counter is in, metres or feet.

Told by the units that are spoken. A reading with a decimal and no unit speaks for metres, as feet are read with inches,
unless the visit says decimals of feet; millimetres and centimetres speak for metres, inches for nothing (a pipe is
"four inch" in both worlds) but where no other unit is spoken at all.
"""

from extractor.language.number_stream import Stream
from extractor.language.number_words import decimal_token, digit_at

METRIC = ("metre", "centimetre", "millimetre")


def habit_of(stream: Stream) -> str:
    """ "ft" where feet are spoken more than all that speaks for metres, else "m"."""
    said = dict.fromkeys((*METRIC, "foot", "inch"), 0)
    bare_decimals = decimals_of_feet = 0
    units, point = stream.grammar.units, stream.grammar["point"]
    for i, word in enumerate(stream.words):
        if word in units and (unit := _unit_after_number(stream, i)) in said:
            said[unit] += 1
        if word.isalpha() and word not in point:
            continue
        end = _end_of_decimal(stream, i)
        if end > i:
            unit = _unit_after_number(stream, end)
            bare_decimals += not unit
            decimals_of_feet += unit == "foot" and end - i <= 2  # "four point two, two foot of water"
    metric = sum(said[unit] for unit in METRIC) + (0 if decimals_of_feet else bare_decimals)
    if metric or said["foot"]:
        return "ft" if said["foot"] > metric else "m"
    return "ft" if said["inch"] else "m"


def _unit_after_number(stream: Stream, i: int) -> str:
    """The id of the unit at i where a number stands before it, else ""."""
    before = stream.word(i - 1)
    if not (before[-1:].isdigit() or before in stream.grammar.triggers):
        return ""
    for form, unit, misheard in stream.grammar.units.get(stream.word(i), ()):
        quoted = not form[0].isalpha() and stream.word(i - 2) == form[0]
        if len(form) == 1 and not misheard and not quoted and not stream.is_word(i, "ratio_in"):
            return unit.id
    return ""


def _end_of_decimal(stream: Stream, i: int) -> int:
    """Where a decimal ends that is written at i ("4.18") or whose point is said at i; i where there is none."""
    if decimal_token(stream.words[i]):
        return i + 1
    if not stream.is_word(i, "point") or stream.is_word(i - 1, "no_decimal_before"):
        return i
    end = i + 1
    while digit_at(stream, end) is not None:
        end += 1
    return end if end > i + 1 else i
