"""Sets of phrases over tokens: the longest that starts at, or ends at, a place in the speech."""

from collections.abc import Iterable, Sequence

from extractor.lexicon.forms import tokens_of


class PhraseSet(frozenset[str]):
    """Phrases as tuples of normal forms; as a set, those of one word, which are asked for by far the most.

    Looking one up costs a dictionary access for most words.
    """

    __slots__ = ("_by_first", "_by_last")
    _by_first: dict[str, list[tuple[str, ...]]]
    _by_last: dict[str, list[tuple[str, ...]]]

    def __new__(cls, phrases: Iterable[str]) -> "PhraseSet":
        forms = {tokens_of(phrase) or (phrase,) for phrase in phrases}
        made = super().__new__(cls, (form[0] for form in forms if len(form) == 1))
        made._by_first, made._by_last = {}, {}
        for form in sorted(forms, key=lambda form: (-len(form), form)):
            made._by_first.setdefault(form[0], []).append(form)
            made._by_last.setdefault(form[-1], []).append(form)
        return made

    def first_words(self) -> set[str]:
        """The words that a phrase can start with."""
        return set(self._by_first)

    def later_words(self) -> set[str]:
        """The words that stand in a phrase behind its first."""
        return {word for forms in self._by_first.values() for form in forms for word in form[1:]}

    def end_at(self, words: Sequence[str], start: int) -> int:
        """Where the longest phrase that starts at `start` ends; `start` itself where there is none."""
        if start < len(words):
            for form in self._by_first.get(words[start], ()):
                if len(form) == 1 or tuple(words[start : start + len(form)]) == form:
                    return start + len(form)
        return start

    def start_of(self, words: Sequence[str], end: int) -> int:
        """Where the longest phrase that ends at `end` (half-open) starts; `end` itself where there is none."""
        if end > 0:
            for form in self._by_last.get(words[end - 1], ()):
                if len(form) == 1 or (len(form) <= end and tuple(words[end - len(form) : end]) == form):
                    return end - len(form)
        return end
