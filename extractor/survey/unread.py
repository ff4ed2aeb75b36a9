"""Unread words: content words that led to nothing, so that a person can see what was overlooked.

A word is read where a tag, a measure or a correction holds it, where it is a small word of the grammar, or where the
speaker was not reporting (a plan, a question, talk, a general remark, the closing words).
"""

from collections.abc import Iterable, Sequence

from extractor.language.clauses import Clause
from extractor.language.passage import Passage

NOT_REPORTING = frozenset({"plan", "question", "talk", "general", "earlier", "hearsay", "closing"})


def unread_tokens(passage: Passage, clauses: Sequence[Clause]) -> list[int]:
    """Tokens of content words that led to nothing, in order."""
    read = bytearray(len(passage))
    for tag in passage.tags:
        read[tag.start : tag.end] = b"\1" * (tag.end - tag.start)
    for measure in passage.measures:
        read[measure.start : measure.end] = b"\1" * (measure.end - measure.start)
    for clause in clauses:
        if clause.act in NOT_REPORTING:
            read[clause.start : clause.end] = b"\1" * (clause.end - clause.start)
    small = passage.classes["small"]
    words = passage.speech.words
    return [
        token
        for token in range(len(passage))
        if not read[token] and token not in passage.masked and words[token] not in small and _has_letters(words[token])
    ]


def spans_of(tokens: Iterable[int]) -> list[tuple[int, int]]:
    """Tokens -> spans of neighbours, half-open."""
    spans: list[tuple[int, int]] = []
    for token in tokens:
        if spans and spans[-1][1] == token:
            spans[-1] = spans[-1][0], token + 1
        else:
            spans.append((token, token + 1))
    return spans


def _has_letters(word: str) -> bool:
    return len(word) > 1 and (word.isalpha() or any(character.isalpha() for character in word))
