"""What a reviewer types: a distance, a value or a clock position in any form that is spoken or written.

"4.2"  "four point two"  "14 ft 2"  "about 4"  "4.5 to 6.1"  "two or three"  "just under nine"
"""

from dataclasses import dataclass

from extractor.errors import DecisionError
from extractor.job.decisions import Value
from extractor.language.measures import MeasureGrammar, find_measures, read_quantity
from extractor.language.tokens import tokenise
from extractor.reading import Measure, Narration, Speech, Word


@dataclass(frozen=True)
class Place:
    """Metres along a run; `to_m` is None for a point."""

    from_m: float
    to_m: float | None = None
    approximate: bool = False

    def sets(self) -> dict[str, Value]:
        """As fields of a row."""
        return {"from_m": self.from_m, "to_m": self.to_m, "approximate": self.approximate}


def read_place(text: str, grammar: MeasureGrammar, *, habit: str = "m") -> Place:
    """A distance along the run, or a stretch. A bare number is in the visit's unit of habit.

    Two numbers with "or" between are one place not known exactly (its middle); with "to" or a dash, a stretch.

    Raises:
        DecisionError: where it is none.
    """
    text = _without_opener(text, grammar)
    whole = read_quantity(text, grammar, habit=habit)
    if whole is not None and whole.low != whole.high and not _either(text, grammar):
        whole = None
    if whole is not None:
        low, high = _metres(whole, text)
        return Place(round((low + high) / 2, 3), None, whole.approximate or low != high)
    ends = _two(text, grammar, habit)
    if ends is None:
        raise _no_distance(text)
    (first, _), (_, last) = _metres(ends[0], text), _metres(ends[1], text)
    low, high = sorted((round(first, 3), round(last, 3)))
    return Place(low, high, ends[0].approximate or ends[1].approximate)


def read_metres(text: str, grammar: MeasureGrammar, *, habit: str = "m") -> float:
    """A length, in metres.

    Raises:
        DecisionError: where it is none.
    """
    text = _without_opener(text, grammar)
    found = read_quantity(text, grammar, habit=habit)
    if found is None:
        raise _no_distance(text)
    return round(_metres(found, text)[0], 3)


def read_value(
    text: str, unit: str, grammar: MeasureGrammar, *, habit: str = "m", along: bool = False
) -> tuple[float, float]:
    """A measured value in the unit of the record: "400 mil" for m, "20 percent" or "20" for %.

    A bare number is a length only `along` a pipe, where everybody means the counter's unit.

    Raises:
        DecisionError: where it is none, or of another unit.
    """
    found = read_quantity(text, grammar, habit=habit)
    if found is None:
        raise DecisionError(
            f"{text!r} is no value that can be read.", todo='Type it like "400 mm" or "four hundred mil".'
        )
    if unit == "m" and found.unit is None and not along:
        raise DecisionError(f"{text!r} of what?", todo='Type the unit too, like "400 mm".')
    if unit == "m":
        return _metres(found, text)
    if found.unit not in (None, unit):
        raise DecisionError(f"{text!r} is in {found.unit}, not in {unit}.")
    return found.low, found.high


def read_clock(text: str, grammar: MeasureGrammar) -> tuple[int, int]:
    """Hours on the circle: "3", "9 to 3", "three o'clock".

    Raises:
        DecisionError: where it is none.
    """
    found = read_quantity(text, grammar)
    pair = _two(text, grammar, "m")
    if pair is not None and pair[0] is not pair[1]:
        hours = (pair[0].low, pair[1].high)
    elif found is not None and found.unit in ("clock", None):
        hours = (found.low, found.high)
    else:
        raise DecisionError(f"{text!r} is no place on a clock.", todo='Type it like "3" or "9 to 3".')
    if not all(value == int(value) and 1 <= value <= 12 for value in hours):
        raise DecisionError(f"{text!r} is no place on a clock: hours go from 1 to 12.")
    return int(hours[0]), int(hours[1])


def read_count(text: str, grammar: MeasureGrammar) -> int:
    """A whole number.

    Raises:
        DecisionError: where it is none.
    """
    found = read_quantity(text, grammar)
    if found is None or found.unit not in (None, "count") or found.low != found.high or found.low != int(found.low):
        raise DecisionError(f"{text!r} is no whole number.")
    return int(found.low)


def _without_opener(text: str, grammar: MeasureGrammar) -> str:
    """Without "from" before it; what begins with a minus is refused, since a counter has none.

    Raises:
        DecisionError: for a minus.
    """
    text = text.strip()
    if text[:1] in "-–−" and text:
        raise _no_distance(text)
    first, _, rest = text.partition(" ")
    return rest if rest and grammar["from"].end_at(_forms(first), 0) else text


def _metres(measure: Measure, text: str) -> tuple[float, float]:
    if measure.length_m is not None:
        return measure.length_m
    if measure.unit == "m":
        return measure.low, measure.high
    raise _no_distance(text)


def _two(text: str, grammar: MeasureGrammar, habit: str) -> tuple[Measure, Measure] | None:
    """Two quantities with nothing but a word between, or one that was taken for a range."""
    whole = read_quantity(text, grammar, habit=habit)
    for mark in ("–", "—", "-"):  # the reader of speech takes a dash for part of a word
        first, dash, last = text.partition(mark)
        if dash and first.strip() and last.strip():
            ends = read_quantity(first, grammar, habit=habit), read_quantity(last, grammar, habit=habit)
            if ends[0] and ends[1]:
                return _same_unit(ends[0], ends[1], text, grammar, habit)
    words = text.split()
    for cut in range(1, len(words) - 1):
        first, last = " ".join(words[:cut]), " ".join(words[cut + 1 :])
        ends = read_quantity(first, grammar, habit=habit), read_quantity(last, grammar, habit=habit)
        if ends[0] and ends[1] and grammar["range_to"].end_at(_forms(words[cut]), 0):
            return _same_unit(ends[0], ends[1], text, grammar, habit)
    return (whole, whole) if whole else None


def _same_unit(
    first: Measure, last: Measure, text: str, grammar: MeasureGrammar, habit: str
) -> tuple[Measure, Measure]:
    """A unit said with the second only is meant for both: "4 to 6 ft"."""
    if first.unit is None and last.spoken_unit:
        said = find_measures(_speech(text), grammar, habit="ft" if last.spoken_unit == "foot" else habit)
        if len(said) == 2:
            return said[0], said[1]
        if len(said) == 1 and said[0].low != said[0].high:
            low, high = _metres(said[0], text)
            return _point(low), _point(high)
    return first, last


def _point(metres: float) -> Measure:
    return Measure(0, 1, metres, metres, "m")


def _either(text: str, grammar: MeasureGrammar) -> bool:
    """True where "or" or "between" makes one loose reading of two numbers."""
    forms = _forms(text)
    return any(
        grammar[id].end_at(forms, place) > place
        for id in ("range_or", "between", "between_loosely")
        for place in range(len(forms))
    )


def _forms(text: str) -> tuple[str, ...]:
    return _speech(text).words


def _speech(text: str) -> Speech:
    words, at = [], 0
    for piece in text.split():
        at = text.index(piece, at)
        words.append(Word(piece, at, at + len(piece)))
        at += len(piece)
    return tokenise(Narration(text, tuple(words), "typed"))


def _no_distance(text: str) -> DecisionError:
    return DecisionError(
        f"{text!r} is no distance that can be read.", todo='Type it like "4.2", "four point two" or "14 ft 2".'
    )
