"""The speech as the grammar of quantities sees it: fillers left out, "4.2metres" and "6'3" in parts, homophones settled.

`back[i]` is the token of the speech that word i came from, so that every span leads back to the words as said.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from extractor.language.phrases import PhraseSet
from extractor.lexicon.load import Lexicon
from extractor.lexicon.match import plural_of
from extractor.reading import Speech

GLUED = re.compile(r"^(\d+(?:[.,]\d+)*)([^\W\d]+|['\"½¼¾⅓⅔⅛⅜⅝⅞%°])(\d+(?:\.\d+)?)?([^\W\d]*|[½¼¾])$")
PREFIXED = re.compile(r"^([a-z]+)(\d+)$")


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit of the lexicon: `factor` leads to `of`, the unit of the record; `of` is None for what the record has no place for."""

    id: str
    of: str | None
    factor: float


@dataclass(frozen=True)
class MeasureGrammar:
    """The lexicon's words for quantities, each where the grammar looks for it.

    `ones` 0 to 9, `teens` 10 to 19, `tens` 20 to 90, `multipliers` hundred and up: word -> value. `units`: first word ->
    (phrase, unit, misheard), the longest first. `words`: quantity words and hedges by id.
    """

    ones: dict[str, float]
    teens: dict[str, float]
    tens: dict[str, float]
    multipliers: dict[str, float]
    ordinals: dict[str, int]
    fractions: dict[str, float]
    counts: tuple[tuple[PhraseSet, float], ...]
    homophones: dict[str, str]
    units: dict[str, tuple[tuple[tuple[str, ...], Unit, bool], ...]]
    unit_of_id: dict[str, Unit]
    words: dict[str, PhraseSet]
    materials: PhraseSet
    counted: frozenset[str]
    triggers: frozenset[str]

    def __getitem__(self, id: str) -> PhraseSet:
        return self.words[id]


@dataclass(slots=True)
class Stream:
    """Words ready for the grammar. `habit` is the unit of bare numbers, "m" or "ft"; `hyphen[i]`: a hyphen stood before word i."""

    grammar: MeasureGrammar
    words: list[str]
    back: list[int]
    breaks: list[bool]
    glued: list[bool]
    hyphen: list[bool]
    habit: str = "m"
    taken: int = 0  # words before this one belong to measures already read

    def __len__(self) -> int:
        return len(self.words)

    def word(self, i: int) -> str:
        """Word i, or "" beyond either end."""
        return self.words[i] if 0 <= i < len(self.words) else ""

    def is_word(self, i: int, id: str) -> bool:
        """True where word i alone is one of the quantity words `id`."""
        return 0 <= i < len(self.words) and self.words[i] in self.grammar.words[id]

    def after(self, i: int, id: str) -> int:
        """Where a phrase of the quantity words `id` that starts at i ends; i where there is none."""
        return self.grammar.words[id].end_at(self.words, i)


@dataclass(slots=True)
class Draft:
    """A quantity being read: words start to end of the stream, low and high in `unit` as spoken (None: bare).

    `coarse`: said without decimals, as ranges for one place are. `pair`: read with the point dropped.
    """

    start: int
    end: int
    low: float
    high: float
    unit: Unit | None = None
    rule: str = ""
    kind: str = ""
    approximate: bool = False
    coarse: bool = True
    pair: bool = False
    metres: float | None = None
    notes: list[str] = field(default_factory=list)


def stream_of(speech: Speech, grammar: MeasureGrammar) -> Stream:
    """The speech without fillers, glued tokens in parts. A word after a filler counts as standing after a break."""
    words: list[str] = []
    back: list[int] = []
    breaks: list[bool] = []
    glued: list[bool] = []
    hyphen: list[bool] = []
    filler = grammar["filler"]
    text, firsts, lasts = speech.narration.text, speech.first_chars, speech.last_chars
    paused = False
    for i, word in enumerate(speech.words):
        if word in filler:
            paused = True
            continue
        parts: Sequence[str] = (word,)
        hyphenated = False
        if len(word) > 1 and not word.isalpha():
            if word[0] in "-–" and word[1].isdigit():
                word, hyphenated = word[1:], True
                parts = (word,)
            if not word.replace(".", "", 1).isdigit():
                parts = _parts(word, grammar)
        if word[0].isdigit() and i and not hyphenated:
            between = text[lasts[i - 1] : firsts[i]]
            hyphenated = between in ("-", "–")
        for number, part in enumerate(parts):
            words.append(part)
            back.append(i)
            breaks.append((speech.breaks[i] or paused) and not number)
            glued.append(bool(number) or (i > 0 and firsts[i] == lasts[i - 1]))
            hyphen.append(hyphenated and not number)
        paused = False
    stream = Stream(grammar, words, back, breaks, glued, hyphen)
    return stream


def _parts(word: str, grammar: MeasureGrammar) -> Sequence[str]:
    """ "4.2metres" -> 4.2 metres; "6ft3" -> 6 ft 3; "9ish" -> 9 ish; "dn100" -> dn 100; anything else whole."""
    if found := GLUED.match(word):
        parts = [part for part in found.groups() if part]
        known = (
            grammar.units.keys() | grammar.fractions.keys() | {"ish"}
            if len(parts) == 2
            else grammar.units.keys() | {"in"}
        )
        if parts[1] in known and (len(parts) < 4 or parts[3] in known | grammar.fractions.keys()):
            return parts
    elif (found := PREFIXED.match(word)) and found[1] in grammar["nominal"]:
        return found.groups()
    return (word,)


def measure_grammar(lexicon: Lexicon) -> MeasureGrammar:
    """The grammar's tables from the lexicon's entries of kinds number, unit, quantity_word and hedge.

    Materials, and the plurals of structures, fixtures and components, tell a count or a pipe size from a distance.
    """
    ones: dict[str, float] = {}
    teens: dict[str, float] = {}
    tens: dict[str, float] = {}
    multipliers: dict[str, float] = {}
    ordinals: dict[str, int] = {}
    fractions: dict[str, float] = {}
    counts: list[tuple[PhraseSet, float]] = []
    homophones: dict[str, str] = {}
    for entry in lexicon.of_kind("number"):
        value = entry.value or 0.0
        if entry.id.startswith("ordinal_"):
            ordinals.update(dict.fromkeys(entry.spoken, int(value)))
        elif entry.id.startswith("fraction_"):
            fractions.update(dict.fromkeys(entry.spoken, value))
        elif entry.id.startswith("count_"):
            counts.append((PhraseSet(entry.spoken), value))
        else:
            table = ones if value < 10 else teens if value < 20 else tens if value < 100 else multipliers
            table.update(dict.fromkeys(entry.spoken, value))
            homophones.update(dict.fromkeys(entry.misheard, entry.spoken[0]))
    units, unit_of_id = _units(lexicon)
    words = {entry.id: PhraseSet(entry.spoken) for entry in lexicon.of_kind("quantity_word", "hedge")}
    counted = {
        plural_of(phrase.split()[-1])
        for entry in lexicon.of_kind("structure", "fixture", "component")
        for phrase in entry.spoken
        if not phrase.endswith("s")
    }
    counted.update(
        form for entry in lexicon.of_kind("quantity_word") if entry.id == "counted_noun" for form in entry.spoken
    )
    count_words = {word for phrases, _ in counts for word in phrases.first_words()}
    triggers = {*ones, *teens, *tens, *multipliers, *ordinals, *fractions, *count_words}
    for id in (
        "article",
        "another",
        "point",
        "leading_zero",
        "idiom",
        "moment",
        "nominal",
        "month",
        "month_or_word",
        "one_pronoun",
    ):
        triggers |= words[id].first_words()
    triggers |= {form[0] for forms in units.values() for form, unit, _ in forms if unit.of == "m" and form[0].isalpha()}
    return MeasureGrammar(
        ones,
        teens,
        tens,
        multipliers,
        ordinals,
        fractions,
        tuple(counts),
        homophones,
        units,
        unit_of_id,
        words,
        PhraseSet(form for entry in lexicon.of_kind("material") for form in entry.spoken),
        frozenset(counted),
        frozenset(triggers),
    )


def _units(lexicon: Lexicon) -> tuple[dict[str, tuple[tuple[tuple[str, ...], Unit, bool], ...]], dict[str, Unit]]:
    from extractor.language.tokens import normal_forms

    by_first: dict[str, list[tuple[tuple[str, ...], Unit, bool]]] = {}
    by_id: dict[str, Unit] = {}
    for entry in lexicon.of_kind("unit"):
        unit = by_id[entry.id] = Unit(entry.id, entry.on, entry.value or 1.0)
        for phrases, misheard in ((entry.spoken, False), (entry.misheard, True)):
            for phrase in phrases:
                form = normal_forms(phrase) or (phrase,)
                by_first.setdefault(form[0], []).append((form, unit, misheard))
    for forms in by_first.values():
        forms.sort(key=lambda form: (-len(form[0]), form[2]))
    return {word: tuple(forms) for word, forms in by_first.items()}, by_id
