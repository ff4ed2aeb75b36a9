"""The words round a row, where its meaning hangs on them: "same junction", "of sludge", "over the outlet".

Phrases come from the rule tables; only whole words count, in any case. Nothing here changes a row.
"""

import re
from collections.abc import Iterable, Mapping

from extractor.record import Quoted, Record, Run

WORD = 8  # characters of a word and its space, roughly
_WORD = re.compile(r"[\w']+")


def words_of(text: str) -> list[str]:
    return _WORD.findall(text.lower().replace("’", "'"))


def has_phrase(text: str, phrases: Iterable[str]) -> bool:
    """True where one of the phrases stands in the text as whole words."""
    return bool(first_phrase(text, phrases))


def first_phrase(text: str, phrases: Iterable[str]) -> str:
    """The first of the phrases that stands in the text as whole words, or ""."""
    spaced = f" {' '.join(words_of(text))} "
    return next((phrase for phrase in phrases if f" {' '.join(words_of(phrase))} " in spaced), "")


def words_round(record: Record, row: Quoted | Run, *, before: int = 12, after: int = 12) -> tuple[list[str], int, int]:
    """Words before the row, its own, and after it, with the place [first, last) of its own among them.

    Where the record does not hold the narration, only the row's quote is known.
    """
    for evidence in row.evidence[:1]:
        if evidence.source < len(record.sources) and (text := record.sources[evidence.source].text):
            lead = _words_before(text, evidence.first_char, before)
            own = words_of(text[evidence.first_char : evidence.last_char])
            tail = _words_behind(text, evidence.last_char, after)
            return [*lead, *own, *tail], len(lead), len(lead) + len(own)
    own = words_of(row.quote)
    return own, 0, len(own)


def _words_before(text: str, end: int, count: int) -> list[str]:
    """The last `count` words before the character `end`. Only as much is read as holds one more, which may be cut."""
    reach = WORD * (count + 1)
    while len(words := words_of(text[max(0, end - reach) : end])) <= count and reach < end:
        reach *= 2
    return words[max(0, len(words) - count) :]


def _words_behind(text: str, start: int, count: int) -> list[str]:
    """The first `count` words from the character `start` on, read in the same way."""
    reach = WORD * (count + 1)
    while len(words := words_of(text[start : start + reach])) <= count and start + reach < len(text):
        reach *= 2
    return words[:count]


def text_round(record: Record, row: Quoted | Run, *, before: int = 12, after: int = 12) -> str:
    """The same as one string."""
    return " ".join(words_round(record, row, before=before, after=after)[0])


def nearest_kind(record: Record, row: Quoted, kinds: Mapping[str, Iterable[str]], *, reach: int = 8) -> str | None:
    """Which kind of phrase a measure is of, within `reach` words; None for none, or where two are as near.

    Its own words and "of ..." right after it ("400 mil of sludge") come first; then the nearest word before it ("the
    sludge is 400"), since what follows is mostly the next thing; then the nearest one after it.
    """
    words, first, last = words_round(record, row, before=reach, after=reach)
    found: list[tuple[int, int, str]] = []
    for kind, phrases in kinds.items():
        for phrase in phrases:
            parts = words_of(phrase)
            for start in range(len(words) - len(parts) + 1):
                if words[start : start + len(parts)] == parts:
                    rank, distance = _away(words, start, start + len(parts), first, last)
                    found.append((rank, distance, kind))
    if not found:
        return None
    nearest = min(found)[:2]
    best = {kind for rank, distance, kind in found if (rank, distance) == nearest}
    return best.pop() if len(best) == 1 else None


def _away(words: list[str], start: int, end: int, first: int, last: int) -> tuple[int, int]:
    if end <= first:
        return 1, first - end
    if start < last:
        return 0, 0
    linked = words[last:start] in (["of"], ["of", "the"], ["of", "it"]) or (words[start] == "of" and start == last)
    return (0 if linked else 2), start - last
