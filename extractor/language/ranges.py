"""Two quantities that belong together: a range for one place, a stretch with two ends, or a unit said once for both.

"three or four metres"            one measure, 3 to 4 m, approximate
"between eight and nine feet"     one measure
"from five to six metres"         two measures, 5 m and 6 m
"ten round to two o'clock"        one clock position, 10 to 2
"""

from extractor.language.number_stream import Draft, Stream

CLOSE = 0.34  # two numbers whose gap is at most this part of the larger one may be one loose reading


def joined(stream: Stream, first: Draft, second: Draft, connector: str, opener: str) -> list[Draft]:
    """The two drafts as one measure or two. `connector` and `opener` are ids of quantity words, "" for no opener."""
    if (clock := _clock_range(first, second, connector)) is not None:
        if connector != "and" or opener in ("between", "between_loosely"):
            return [clock]
        if first.kind != "clock":  # "at three and nine o'clock": two positions
            first.kind, first.unit, first.rule = "clock", second.unit, "clock"
        return [first, second]
    if first.kind or second.kind:
        return [first, second]
    if connector == "range_by":
        first.rule = second.rule = "size by size"
    told_twice = first.unit is not None and second.unit is not None
    _carry_unit(stream, first, second, connector, opener)
    if told_twice and connector in ("range_to", "hyphen") and opener != "between_loosely" and not first.approximate:
        return [first, second]  # "four inch to six inch", "eight metres to nine metres": two ends
    labelled = first.unit is None and stream.is_word(first.start - 1, "labelled_noun")  # "chamber one to two"
    if not labelled and _is_range(first, second, connector, opener):
        return [
            Draft(
                first.start,
                second.end,
                first.low,
                second.high,
                second.unit,
                "range",
                approximate=True,
                coarse=first.coarse and second.coarse,
            )
        ]
    return [first, second]


def _clock_range(first: Draft, second: Draft, connector: str) -> Draft | None:
    clocks = (first.kind == "clock") + (second.kind == "clock")
    if not clocks or connector in ("range_by",):
        return None
    other = second if first.kind == "clock" else first
    hours = other.kind == "clock" or (
        other.unit is None and not other.kind and other.low == int(other.low) and 1 <= other.low <= 12
    )
    if not hours or (connector == "and" and second.kind != "clock"):
        return None
    if first.low != first.high or second.low != second.high:
        return None
    unit = first.unit or second.unit
    approximate = first.approximate or second.approximate
    return Draft(first.start, second.end, first.low, second.high, unit, "clock range", "clock", approximate)


def _carry_unit(stream: Stream, first: Draft, second: Draft, connector: str, opener: str) -> None:
    """A unit said once, before or after, for both."""
    given = first.unit or second.unit
    if given is None or (first.unit is not None and second.unit is not None):
        return
    bare = first if first.unit is None else second
    unitary = second if first.unit is None else first
    if connector == "and" and not opener and not stream.is_word(first.start - 1, "frame"):
        return
    if (
        given.of == "m"
        and given.factor < 0.1
        and (not bare.coarse or not 0.1 <= bare.low / max(unitary.low, 1e-9) <= 10)
    ):
        return  # "at 4.2 to 100 mil": a distance and a size
    if bare is second and (stream.counts(second.end) or (given.of == "%" and connector == "and")):
        return  # "down by fifty percent and 5.1 a root"
    bare.unit = given
    bare.rule = "size by size" if connector == "range_by" else "unit carried"


def _is_range(first: Draft, second: Draft, connector: str, opener: str) -> bool:
    """True where both numbers are about one value rather than two ends."""
    if (first.unit is None) != (second.unit is None):
        return False
    if first.unit and second.unit and first.unit is not second.unit:
        return False
    if not first.high < second.low:
        return False
    loose = opener == "between_loosely" or first.approximate
    if connector in ("and", "range_by"):
        return connector == "and" and opener in ("between", "between_loosely") and (loose or _close(first, second))
    if connector == "range_or":
        return True
    if opener == "from":
        return first.unit is not None and first.unit.of not in ("m", None) and _close(first, second)
    size = first.unit is not None and (first.unit.of != "m" or first.unit.factor < 0.1)
    return (size and not (first.pair or second.pair)) or (
        (loose or (first.coarse and second.coarse)) and _close(first, second)
    )


def _close(first: Draft, second: Draft) -> bool:
    return first.coarse and second.coarse and second.high - first.low <= max(1.0, CLOSE * second.high)
