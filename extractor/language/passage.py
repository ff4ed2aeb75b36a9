"""A passage: the speech with its measures and tags, in the form that later stages look things up in.

Positions are token offsets. What a correction withdrew is masked: it is no longer found by `tags` and `measures`,
though
`speech` still holds the words.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

from extractor.lexicon.load import Lexicon
from extractor.reading import Correction, Measure, Speech, Tag

THING_KINDS = frozenset({"structure", "fixture", "component", "condition"})
PLACE_KINDS = frozenset({"structure", "fixture"})


def word_classes(lexicon: Lexicon) -> Mapping[str, frozenset[str]]:
    """The closed classes of the lexicon: class id -> its words. `small`: all words of the grammar, which alone tell
    nothing; not those of the neighbours, among which are words that a person may want to see when they led to nothing.
    """
    classes = {entry.id: frozenset(entry.spoken) for entry in lexicon.of_kind("grammar", "neighbour")}
    return {**classes, "small": frozenset(word for entry in lexicon.of_kind("grammar") for word in entry.spoken)}


@dataclass(frozen=True)
class Passage:
    """What is known of a narration so far. Tags and measures are in order of start."""

    speech: Speech
    tags: tuple[Tag, ...]
    measures: tuple[Measure, ...]
    classes: Mapping[str, frozenset[str]]
    corrections: tuple[Correction, ...] = ()
    masked: frozenset[int] = field(default=frozenset())

    def __len__(self) -> int:
        return len(self.speech)

    def word(self, token: int) -> str:
        words = self.speech.words
        return words[token] if 0 <= token < len(words) else ""

    def is_class(self, token: int, *names: str) -> bool:
        words = self.speech.words  # asked more often than anything else: no calls, no generator
        if not 0 <= token < len(words):
            return False
        word, classes = words[token], self.classes
        for name in names:  # noqa: SIM110
            if word in classes.get(name, ()):
                return True
        return False

    @cached_property
    def _tag_starts(self) -> list[int]:
        return [tag.start for tag in self.tags]

    @cached_property
    def _measure_starts(self) -> list[int]:
        return [measure.start for measure in self.measures]

    @cached_property
    def _by_kind(self) -> dict[str, tuple[list[int], list[Tag]]]:
        table: dict[str, tuple[list[int], list[Tag]]] = {}
        for tag in self.tags:
            starts, tags = table.setdefault(tag.kind, ([], []))
            starts.append(tag.start)
            tags.append(tag)
        return table

    def tags_from(self, start: int, end: int, *kinds: str) -> list[Tag]:
        """Tags of these kinds (all, where none is named) that start in [start, end), in order."""
        if not kinds:
            return list(self.tags[bisect_left(self._tag_starts, start) : bisect_left(self._tag_starts, end)])
        found: list[Tag] = []
        for kind in kinds:
            starts, tags = self._by_kind.get(kind, ([], []))
            first = bisect_left(starts, start)
            if first < len(starts) and starts[first] < end:
                found += tags[first : bisect_left(starts, end, first)]
        return sorted(found, key=lambda tag: (tag.start, tag.end)) if len(found) > 1 and len(kinds) > 1 else found

    def things_from(self, start: int, end: int) -> list[Tag]:
        return self.tags_from(start, end, *THING_KINDS)

    def cue_at(self, token: int, kind: str, *ids: str) -> Tag | None:
        """The tag of this kind that starts at the token, if any."""
        starts, tags = self._by_kind.get(kind, ([], []))
        at = bisect_left(starts, token)
        while at < len(starts) and starts[at] == token:
            if not ids or tags[at].id in ids:
                return tags[at]
            at += 1
        return None

    def covering(self, token: int, kind: str) -> Tag | None:
        """The tag of this kind that the token lies in, if any."""
        starts, tags = self._by_kind.get(kind, ([], []))
        index = bisect_right(starts, token) - 1
        return tags[index] if index >= 0 and tags[index].end > token else None

    def measures_from(self, start: int, end: int) -> tuple[Measure, ...]:
        return self.measures[bisect_left(self._measure_starts, start) : bisect_left(self._measure_starts, end)]

    def measure_over(self, token: int) -> Measure | None:
        """The measure that the token lies in, if any."""
        index = bisect_right(self._measure_starts, token) - 1
        return self.measures[index] if index >= 0 and self.measures[index].end > token else None

    def standing(self, start: int, end: int) -> Iterator[int]:
        """Tokens of [start, end) that no correction withdrew."""
        return (token for token in range(start, end) if token not in self.masked)

    def distance(self, start: int, end: int) -> int:
        """How many standing words that are no hesitation lie in [start, end)."""
        return sum(1 for token in self.standing(start, end) if not self.is_class(token, "filler"))

    def without(
        self, masked: frozenset[int], corrections: tuple[Correction, ...], measures: tuple[Measure, ...]
    ) -> "Passage":
        """The passage with the masked words' tags and measures taken out."""
        return replace(
            self,
            tags=tuple(tag for tag in self.tags if not any(token in masked for token in range(tag.start, tag.end))),
            measures=tuple(m for m in measures if not any(token in masked for token in range(m.start, m.end))),
            corrections=corrections,
            masked=masked,
        )
