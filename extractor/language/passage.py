"""A passage: the speech with its measures and tags, in the form that later stages look things up in.

Positions are token offsets. What a correction withdrew is masked: it is no longer found by `tags` and `measures`,
though
`speech` still holds the words.
"""

from array import array
from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

from extractor.lexicon.load import Lexicon
from extractor.reading import Correction, Measure, Speech, Tag, by_place

THING_KINDS = ("structure", "fixture", "component", "condition")


class WordClasses(dict[str, frozenset[str]]):
    """Class id -> its words; and the other way round."""

    @cached_property
    def of_word(self) -> dict[str, frozenset[str]]:
        """Each word -> the ids of its classes."""
        found: dict[str, set[str]] = {}
        for name, words in self.items():
            for word in words:
                found.setdefault(word, set()).add(name)
        return {word: frozenset(names) for word, names in found.items()}


def word_classes(lexicon: Lexicon) -> WordClasses:
    """The closed classes of the lexicon: class id -> its words. `small`: all words of the grammar, which alone tell
    nothing; not those of the neighbours, among which are words that a person may want to see when they led to nothing.
    `of_any_class`: all words of both.
    """
    classes = {entry.id: frozenset(entry.spoken) for entry in lexicon.of_kind("grammar", "neighbour")}
    small = frozenset(word for entry in lexicon.of_kind("grammar") for word in entry.spoken)
    return WordClasses({**classes, "small": small, "of_any_class": frozenset().union(*classes.values())})


Listed = tuple[list[int], list[Tag]]  # tags in order, and where each starts; behind the last start stands _BEHIND_ALL
_BEHIND_ALL = 1 << 62  # so that a search need not ask whether it came to the end
_NO_TAGS: Listed = ([_BEHIND_ALL], [])


class _WordLookups:
    """What is looked up of the words alone: the same for every passage that is made of a speech."""

    __slots__ = ("class_names", "class_tokens", "tokens")

    def __init__(self, speech: Speech, classes: WordClasses) -> None:
        of_word = classes.of_word.get
        self.class_names = [of_word(word) for word in speech.words]
        self.tokens: dict[tuple[tuple[str, ...], tuple[str, ...]], Sequence[int]] = {}  # those asked for so far
        self.class_tokens: dict[tuple[str, ...], Sequence[int]] = {}


@dataclass(frozen=True, slots=True)
class Passage:
    """What is known of a narration so far. Tags and measures are in order of start."""

    speech: Speech
    tags: tuple[Tag, ...]
    measures: tuple[Measure, ...]
    classes: WordClasses
    corrections: tuple[Correction, ...] = ()
    masked: frozenset[int] = field(default=frozenset())
    lookups: _WordLookups | None = field(default=None, repr=False, compare=False)  # `replace` hands them on
    # What nearly every rule asks for. Slots, as Python finds these, and the methods beside them, several times faster
    # than cached properties and the methods of what has some.
    _words: tuple[str, ...] = field(init=False, repr=False, compare=False)
    _class_names: list[frozenset[str] | None] = field(init=False, repr=False, compare=False)
    _tokens: dict[tuple[tuple[str, ...], tuple[str, ...]], Sequence[int]] = field(init=False, repr=False, compare=False)
    _class_tokens: dict[tuple[str, ...], Sequence[int]] = field(init=False, repr=False, compare=False)
    _by_kind: dict[str, Listed] = field(init=False, repr=False, compare=False)  # empty until it is asked for
    _by_kinds: dict[tuple[str, ...], Listed] = field(init=False, repr=False, compare=False)  # those asked for so far
    _measure_starts: list[int] = field(init=False, repr=False, compare=False)
    _measure_of: dict[int, Measure] = field(init=False, repr=False, compare=False)  # by token; empty until asked for

    def __post_init__(self) -> None:
        lookups = self.lookups or _WordLookups(self.speech, self.classes)
        for name, value in (
            ("lookups", lookups),
            ("_words", self.speech.words),
            ("_class_names", lookups.class_names),
            ("_tokens", lookups.tokens),
            ("_class_tokens", lookups.class_tokens),
            ("_by_kind", {}),
            ("_by_kinds", {}),
            ("_measure_starts", [measure.start for measure in self.measures]),
            ("_measure_of", {}),
        ):
            object.__setattr__(self, name, value)

    def __len__(self) -> int:
        return len(self._words)

    def word(self, token: int) -> str:
        try:
            return self._words[token] if token >= 0 else ""
        except IndexError:  # behind the end
            return ""

    def is_class(self, token: int, name: str, *more: str) -> bool:
        """Whether the token is of one of these classes; asked more often than anything else, mostly of one class."""
        if token < 0:
            return False
        try:
            own = self._class_names[token]
        except IndexError:  # behind the end
            return False
        return own is not None and (name in own or (more != () and not own.isdisjoint(more)))

    def tokens_of(self, start: int, end: int, names: tuple[str, ...], words: tuple[str, ...] = ()) -> Sequence[int]:
        """Tokens of [start, end), in order, that are of one of the classes `names` or one of `words`.

        A rule that begins with few words is tried at these instead of at every word.
        """
        found = self._tokens
        tokens = found.get((names, words))
        if tokens is None:
            tokens = found[names, words] = self._all_tokens_of(names, words)
        first = bisect_left(tokens, start)
        return tokens[first : bisect_left(tokens, end, first)]

    def _all_tokens_of(self, names: tuple[str, ...], words: tuple[str, ...]) -> Sequence[int]:
        wanted = frozenset(words).union(*(self.classes.get(name, ()) for name in names))
        places = self.speech.places
        return array("I", sorted(token for word in wanted & places.keys() for token in places[word]))

    def every(self, *names: str, start: int = 0) -> Sequence[int]:
        """All tokens, from `start` on, that are of one of these classes."""
        return self.tokens_of(start, len(self), names)

    def has_class(self, start: int, end: int, *names: str) -> bool:
        """Whether a token of [start, end) is of one of these classes."""
        found = self._class_tokens
        tokens = found.get(names)
        if tokens is None:
            tokens = found[names] = self._all_tokens_of(names, ())
        first = bisect_left(tokens, start)
        return first < len(tokens) and tokens[first] < end

    def _of_kind(self, kind: str) -> Listed:
        return (self._by_kind or self._sorted_by_kind()).get(kind, _NO_TAGS)

    def _sorted_by_kind(self) -> dict[str, Listed]:
        table = self._by_kind
        for tag in self.tags:
            listed = table.get(tag.kind)
            if listed is None:
                listed = table[tag.kind] = [], []
            listed[0].append(tag.start)
            listed[1].append(tag)
        for starts, _ in table.values():
            starts.append(_BEHIND_ALL)
        return table

    def _of_kinds(self, kinds: tuple[str, ...]) -> Listed:
        """The tags of all of these kinds, of every kind where none is named; kept, as the same are asked for again."""
        if len(kinds) == 1:
            made = self._of_kind(kinds[0])
        else:
            tags = [tag for kind in kinds for tag in self._of_kind(kind)[1]] if kinds else list(self.tags)
            if kinds:
                tags.sort(key=by_place)
            made = [*(tag.start for tag in tags), _BEHIND_ALL], tags
        self._by_kinds[kinds] = made
        return made

    def tags_from(self, start: int, end: int, *kinds: str) -> list[Tag]:
        """Tags of these kinds (all, where none is named) that start in [start, end), in order."""
        starts, tags = self._by_kinds.get(kinds) or self._of_kinds(kinds)
        first = bisect_left(starts, start)
        if starts[first] >= end:
            return []
        return tags[first : bisect_left(starts, end, first)]

    def things_from(self, start: int, end: int) -> list[Tag]:
        """As `tags_from` with the kinds of things, which is asked often enough to spare the second call."""
        starts, tags = self._by_kinds.get(THING_KINDS) or self._of_kinds(THING_KINDS)
        first = bisect_left(starts, start)
        if starts[first] >= end:
            return []
        return tags[first : bisect_left(starts, end, first)]

    def cue_at(self, token: int, kind: str, *ids: str) -> Tag | None:
        """The tag of this kind that starts at the token, if any."""
        starts, tags = (self._by_kind or self._sorted_by_kind()).get(kind, _NO_TAGS)
        at = bisect_left(starts, token)
        while starts[at] == token:
            if not ids or tags[at].id in ids:
                return tags[at]
            at += 1
        return None

    def covering(self, token: int, kind: str) -> Tag | None:
        """The tag of this kind that the token lies in, if any."""
        starts, tags = (self._by_kind or self._sorted_by_kind()).get(kind, _NO_TAGS)
        index = bisect_right(starts, token) - 1
        return tags[index] if index >= 0 and tags[index].end > token else None

    def measures_from(self, start: int, end: int) -> tuple[Measure, ...]:
        starts = self._measure_starts
        first = bisect_left(starts, start)
        return self.measures[first : bisect_left(starts, end, first)] if first < len(starts) else ()

    def measure_over(self, token: int) -> Measure | None:
        """The measure that the token lies in, if any."""
        return (self._measure_of or self._by_token()).get(token)

    def _by_token(self) -> dict[int, Measure]:
        over = self._measure_of
        over.update((token, measure) for measure in self.measures for token in range(measure.start, measure.end))
        return over

    def standing(self, start: int, end: int) -> Iterator[int]:
        """Tokens of [start, end) that no correction withdrew."""
        return (token for token in range(start, end) if token not in self.masked)

    def distance(self, start: int, end: int) -> int:
        """How many standing words that are no hesitation lie in [start, end)."""
        if start >= end:
            return 0
        fillers = self.tokens_of(start, end, ("filler",))
        if not self.masked:
            return end - start - len(fillers)
        return sum(1 for token in self.standing(start, end) if token not in fillers)

    def without(
        self, masked: frozenset[int], corrections: tuple[Correction, ...], measures: tuple[Measure, ...]
    ) -> "Passage":
        """The passage with the masked words' tags and measures taken out."""
        return replace(
            self,
            tags=tuple(left for tag in self.tags if (left := _left_of(tag, masked)) is not None),
            measures=tuple(m for m in measures if masked.isdisjoint(range(m.start, m.end))),
            corrections=corrections,
            masked=masked,
        )


def _left_of(tag: Tag, masked: frozenset[int]) -> Tag | None:
    """What stands of a tag: all of it, nothing, or the part that the phrase is named by ("bend | to the right")."""
    alone = tag.end - tag.start == 1  # as most are
    if tag.start not in masked and (alone or masked.isdisjoint(range(tag.start, tag.end))):
        return tag
    if tag.kind != "component" or tag.start in masked:
        return None
    return replace(tag, end=next(token for token in range(tag.start, tag.end) if token in masked))
