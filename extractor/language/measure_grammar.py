"""The lexicon's words for quantities, sorted into the tables that the grammar of quantities looks things up in."""

from dataclasses import dataclass

from extractor.language.phrases import PhraseSet
from extractor.lexicon.forms import tokens_of
from extractor.lexicon.load import Lexicon
from extractor.lexicon.match import plural_of


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit of the lexicon; `factor` leads to `of`, the unit of the record, None where it has no place for it."""

    id: str
    of: str | None
    factor: float


@dataclass(frozen=True)
class MeasureGrammar:
    """The lexicon's words for quantities, each where the grammar looks for it.

    `ones` 0 to 9, `teens` 10 to 19, `tens` 20 to 90, `multipliers` hundred and up: word -> value. `units`: first word
    -> (phrase, unit, misheard), the longest first. `words`: quantity words and hedges by id. `triggers`: words that a
    quantity, or what looks like one, begins with. Among these, `leads` ("a", "no") begin one only before a word of
    `led`.
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
    counted: PhraseSet
    triggers: frozenset[str]
    leads: frozenset[str]
    led: frozenset[str]

    def __getitem__(self, id: str) -> PhraseSet:
        return self.words[id]


def measure_grammar(lexicon: Lexicon) -> MeasureGrammar:
    """The grammar's tables from the lexicon's entries of kinds number, unit, quantity_word and hedge.

    Materials, and the plurals of structures and fixtures, tell a count or a pipe size from a distance.
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
            homophones.update(dict.fromkeys(entry.misheard, (*entry.spoken, entry.id)[0]))
    units, unit_of_id = _units(lexicon)
    words = {entry.id: PhraseSet(entry.spoken) for entry in lexicon.of_kind("quantity_word", "hedge")}
    counted = {
        plural_of(phrase.split()[-1])
        for entry in lexicon.of_kind("structure", "fixture")
        for phrase in entry.spoken
        if not phrase.endswith("s")
    }
    counted.update(
        form for entry in lexicon.of_kind("quantity_word") if entry.id == "counted_noun" for form in entry.spoken
    )
    own = {*ones, *teens, *tens, *multipliers, *ordinals, *fractions}
    for id in ("point", "digit_zero", "nominal", "month", "month_or_word"):
        own |= words[id].first_words()
    own |= {form[0] for forms in units.values() for form, unit, _ in forms if unit.of == "m" and form[0].isalpha()}
    leads: set[str] = set()
    for phrases, _ in counts:
        first = phrases.first_words()
        own |= {word for word in first if word in phrases}  # "both": a count by itself
        leads |= first
    for id in ("article", "another", "leading_zero", "idiom", "moment", "one_pronoun"):
        leads |= words[id].first_words()
    counted_after = {word for phrases, _ in counts for word in phrases.later_words()}
    led = {*units, *multipliers, *fractions, *words["point"].first_words(), *counted_after}
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
        PhraseSet(counted),
        frozenset(own | leads),
        frozenset(word for word in leads - own if word.isalpha()),
        frozenset(led),
    )


def _units(lexicon: Lexicon) -> tuple[dict[str, tuple[tuple[tuple[str, ...], Unit, bool], ...]], dict[str, Unit]]:
    by_first: dict[str, list[tuple[tuple[str, ...], Unit, bool]]] = {}
    by_id: dict[str, Unit] = {}
    for entry in lexicon.of_kind("unit"):
        unit = by_id[entry.id] = Unit(entry.id, entry.on, entry.value or 1.0)
        for phrases, misheard in ((entry.spoken, False), (entry.misheard, True)):
            for phrase in phrases:
                form = tokens_of(phrase) or (phrase,)
                by_first.setdefault(form[0], []).append((form, unit, misheard))
    for forms in by_first.values():
        forms.sort(key=lambda form: (-len(form[0]), form[2]))
    return {word: tuple(forms) for word, forms in by_first.items()}, by_id
