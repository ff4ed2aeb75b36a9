"""Positions by the clock: "three o'clock", "from ten round to two o'clock", "4.29 o'clock" (4.2, 9)."""

from extractor.language.number_stream import Draft, Stream
from extractor.language.number_words import below_hundred, decimal_token
from extractor.language.quantities import clock_end

HOURS = range(1, 13)


def clock(stream: Stream, i: int) -> list[Draft]:
    """The clock position at i; with the reading before it where a recogniser wrote both as one number; else nothing."""
    if (parts := decimal_token(stream.word(i))) and (end := _clock_or_range(stream, i + 1)) > i + 1:
        return _parted(stream, i, parts, end)
    if (hour := hour_at(stream, i)) is None or clock_end(stream, hour[1]) == hour[1]:
        return []
    return [
        Draft(
            i, clock_end(stream, hour[1]), hour[0], hour[0], stream.grammar.unit_of_id["clock"], "clock", kind="clock"
        )
    ]


def hour_at(stream: Stream, i: int) -> tuple[int, int] | None:
    """An hour 1 to 12 as a whole number at i, and where it ends."""
    found = below_hundred(stream, i)
    return found if found and found[0] in HOURS else None


def _clock_or_range(stream: Stream, i: int) -> int:
    """Where the words for o'clock end, right at i or after "to three"."""
    if (end := clock_end(stream, i)) > i:
        return end
    to = stream.after(i, "range_to")
    hour = hour_at(stream, to) if to > i else None
    return end if hour and (end := clock_end(stream, hour[1])) > hour[1] else i


def _parted(stream: Stream, i: int, parts: tuple[str, str], end: int) -> list[Draft]:
    """The reading and the hour in one token: 4.29 is 4.2 and 9; 4.210 is 4.2 and 10; 4.9 is 4 and 9."""
    whole, decimals = parts
    reading, hour = None, 0
    for length in (2, 1):
        kept, last = decimals[:-length], decimals[-length:]
        if len(decimals) >= length and last[0] != "0" and int(last) in HOURS and (kept or length == len(decimals)):
            if length == 2 and not kept:
                continue  # 4.12 is 4.1 and 2: a counter shows a decimal
            reading, hour = float(f"{whole}.{kept or 0}"), int(last)
            break
    if reading is None:
        return []
    unit = stream.grammar.unit_of_id["clock"]
    low = high = hour
    if clock_end(stream, i + 1) == i + 1 and (last_hour := hour_at(stream, stream.after(i + 1, "range_to"))):
        high = last_hour[0]
    return [
        Draft(i, i + 1, reading, reading, None, "clock joined", coarse=False),
        Draft(i + 1, end, low, high, unit, "clock joined", kind="clock"),
    ]
