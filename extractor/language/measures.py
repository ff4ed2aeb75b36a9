"""Speech -> measures: every spoken quantity with its value, unit, range and hedge, in order and without overlap.

    "about two metres thirty and a crack at nine two from ten round to two o'clock"
        ->  2.3 m approximate, 9.2 bare (counter, point dropped), clock 10 to 2

Each rule reads one form; `_term` tries them in order. The words are in the lexicon: numbers, units, hedges,
quantity_words.
"""

from dataclasses import replace

from extractor.language.clocks import clock
from extractor.language.counters import bare
from extractor.language.falls import one_in, per_length
from extractor.language.habit import habit_of
from extractor.language.hedges import widen
from extractor.language.homophones import hear_numbers
from extractor.language.lengths import with_unit
from extractor.language.measure_grammar import MeasureGrammar, measure_grammar
from extractor.language.not_numbers import asks_to_wait, not_a_quantity, phrase_or_pronoun
from extractor.language.number_stream import Draft, Stream, stream_of
from extractor.language.number_words import ORDINAL, below_hundred, integer_token
from extractor.language.ranges import joined
from extractor.language.tokens import tokenise
from extractor.reading import Measure, Narration, Speech, Word

__all__ = [
    "MeasureGrammar",
    "find_measures",
    "habit_and_measures",
    "habit_of",
    "measure_grammar",
    "read_quantity",
    "visit_habit",
]

OPENERS = ("between_loosely", "between", "from")
CONNECTORS = ("range_or", "range_to", "and", "range_by")


def find_measures(speech: Speech, grammar: MeasureGrammar, *, habit: str | None = None) -> tuple[Measure, ...]:
    """All measures of the narration. `habit` ("m" or "ft") is decided from the narration where not given."""
    return habit_and_measures(speech, grammar, habit=habit)[1]


def habit_and_measures(
    speech: Speech, grammar: MeasureGrammar, *, habit: str | None = None
) -> tuple[str, tuple[Measure, ...]]:
    """The unit of the visit's bare numbers, "m" or "ft", and all measures."""
    stream = stream_of(speech, grammar)
    stream.habit = habit or habit_of(stream)
    hear_numbers(stream)
    measures: list[Measure] = []
    for draft in _drafts(stream):
        measure = _measure(stream, draft)
        if measures and measure.start < measures[-1].end:  # two quantities in one token of the speech
            measure = replace(measure, start=measures[-1].end)
        if measure.start < measure.end:
            measures.append(measure)
    return stream.habit, tuple(measures)


def visit_habit(speech: Speech, grammar: MeasureGrammar) -> str:
    """The unit of the visit's bare numbers: "m" or "ft"."""
    return habit_of(stream_of(speech, grammar))


def read_quantity(text: str, grammar: MeasureGrammar, *, habit: str = "m") -> Measure | None:
    """A value that a person typed ("4.2", "14 ft 2"); None where it is not one quantity and nothing else."""
    words, at = [], 0
    for piece in text.split():
        at = text.index(piece, at)
        words.append(Word(piece, at, at + len(piece)))
        at += len(piece)
    if not words:
        return None
    speech = tokenise(Narration(text, tuple(words), "typed"))
    measures = find_measures(speech, grammar, habit=habit)
    if len(measures) == 1 and measures[0].start == 0 and measures[0].end == len(speech):
        return measures[0]
    return None


def _drafts(stream: Stream) -> list[Draft]:
    """The whole stream, left to right; each place is read once."""
    drafts: list[Draft] = []
    grammar, words = stream.grammar, stream.words
    triggers = grammar.triggers
    i, count = 0, len(words)
    while i < count:
        word = words[i]
        if word not in triggers and (word.isalpha() or not (word[0].isdigit() or (word[0] == "." and len(word) > 1))):
            i += 1
            continue
        only_leads = word in grammar.leads and stream.word(i + 1) not in grammar.led
        if (skipped := phrase_or_pronoun(stream, i) if only_leads else not_a_quantity(stream, i)) > i:
            i = stream.taken = skipped
            continue
        if only_leads:
            i += 1
            continue
        found = _term(stream, i)
        if not found:
            i += 1
            continue
        found = _with_the_next(stream, found)
        if asks_to_wait(stream, found[0]):
            found[0].kind = "other"
        if found[0].kind != "other":
            widen(stream, found[0])
            for draft in found[1:]:
                stream.taken = draft.start
                widen(stream, draft)
            drafts.extend(draft for draft in found if draft.kind != "other")
        i = stream.taken = max(found[-1].end, i + 1)
    return drafts


def _term(stream: Stream, i: int) -> list[Draft]:
    """The quantity at i by the first rule that reads it: clock, fall, with a unit, count, ordinal, bare."""
    if found := clock(stream, i):
        return found
    for rule in (_nominal_size, one_in, _with_unit, _count, _ordinal, bare):
        if draft := rule(stream, i):
            return [draft]
    return []


def _with_the_next(stream: Stream, found: list[Draft]) -> list[Draft]:
    """Read on over "to", "or", "and", "by" and a hyphen to the number they lead to."""
    first = found[-1]
    if first.kind in ("ordinal", "count", "ratio", "mm/m", "other"):
        return found
    start = stream.grammar["before_approximate"].start_of(stream.words, first.start)
    opener = ""
    for id in OPENERS:
        if (opens := stream.grammar[id].start_of(stream.words, start)) < start and opens >= stream.taken:
            opener = id
            break
    connector, at = _connector(stream, first.end)
    if not connector:
        return found
    hedged = stream.grammar["before_approximate"].end_at(stream.words, at)
    if not_a_quantity(stream, hedged) > hedged:
        return found
    following = _term(stream, hedged)
    if not following or following[0].kind in ("ordinal", "count", "ratio", "mm/m", "other"):
        return found
    second = following[0]
    second.start = hedged
    first.approximate |= start < first.start
    second.approximate |= hedged > at
    pair = joined(stream, first, second, connector, opener)
    if len(pair) == 1:
        if opener in ("between", "between_loosely") or (opener and pair[0].kind == "clock"):
            pair[0].start = opens
        return [*found[:-1], pair[0]]
    if connector == "and" and second.rule != "unit carried" and first.rule != "unit carried":
        return found
    second.start = at
    return [*found[:-1], *pair, *following[1:]]


def _connector(stream: Stream, end: int) -> tuple[str, int]:
    """Which words at `end` lead on to another number, and where that starts."""
    if end < len(stream) and stream.hyphen[end]:
        return "range_to", end
    for id in CONNECTORS:
        if (at := stream.after(end, id)) > end:
            return id, at
    return "", end


def _nominal_size(stream: Stream, i: int) -> Draft | None:
    """ "dn 100": millimetres."""
    if stream.is_word(i, "nominal") and (number := integer_token(stream.word(i + 1))):
        return Draft(i, i + 2, number, number, stream.grammar.unit_of_id["millimetre"], "nominal size")
    return None


def _with_unit(stream: Stream, i: int) -> Draft | None:
    """ "six millimetres", and "six millimetres to the metre"."""
    draft = with_unit(stream, i)
    return draft and (per_length(stream, draft) or draft)


def _count(stream: Stream, i: int) -> Draft | None:
    """ "a couple of", "both", "a dozen"."""
    for phrases, value in stream.grammar.counts:
        if (end := phrases.end_at(stream.words, i)) > i:
            return Draft(i, end, value, value, rule="count", kind="count")
    return None


def _ordinal(stream: Stream, i: int) -> Draft | None:
    """ "first", "twenty first", "2nd"."""
    word = stream.word(i)
    if found := ORDINAL.match(word) if word[:1].isdigit() else None:
        return Draft(i, i + 1, int(found[1]), int(found[1]), rule="ordinal", kind="ordinal")
    if word in stream.grammar.fractions and stream.is_word(i - 1, "article") and stream.is_word(i + 1, "part_of"):
        return None  # "a third full"
    if word in stream.grammar.ordinals:
        value = stream.grammar.ordinals[word]
        return Draft(i, i + 1, value, value, rule="ordinal", kind="ordinal")
    tens = stream.grammar.tens.get(word)
    last = stream.grammar.ordinals.get(stream.word(i + 1))
    if tens and last and last < 10 and not stream.breaks[i + 1] and below_hundred(stream, i) == (tens, i + 1):
        return Draft(i, i + 2, tens + last, tens + last, rule="ordinal", kind="ordinal")
    return None


def _measure(stream: Stream, draft: Draft) -> Measure:
    """The draft in the units of the record, with token offsets of the speech."""
    start, end = stream.back[draft.start], stream.back[draft.end - 1] + 1
    low, high, unit, spoken, rule = draft.low, draft.high, draft.unit, None, draft.rule
    length = None
    if unit is None:
        of = draft.kind or None
        if of is None:
            factor = stream.grammar.unit_of_id["foot" if stream.habit == "ft" else "metre"].factor
            length = _rounded(low * factor, high * factor)
        spoken = next(iter(draft.notes), None) if of == "mm/m" else None
    else:
        of, spoken, factor = unit.of, unit.id, unit.factor
        if unit.id == "gallon":
            if stream.habit == "m":
                factor = stream.grammar.unit_of_id["imperial_gallon"].factor
            rule = "gallon, region unknown"
        if of != "clock":
            low, high = low * factor, high * factor
    return Measure(start, end, *_rounded(low, high), of, draft.approximate, spoken, length, rule)


def _rounded(low: float, high: float) -> tuple[float, float]:
    """Without the dust of binary fractions; a tenth of a millimetre is kept. Most are no range, and rounded once."""
    rounded = round(float(low), 6)
    return rounded, rounded if high == low else round(float(high), 6)
