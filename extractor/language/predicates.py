"""Adjectives that are a condition only of a certain component: "the joint at 5.2 is open", "joins open", "that
joint's out".

The lexicon's entries of kind predicate say which words, of which component (`on`), make which condition.
"""

from collections.abc import Mapping
from dataclasses import replace

from extractor.language.passage import Passage
from extractor.language.tokens import normal_forms
from extractor.lexicon.load import Lexicon
from extractor.reading import Tag

Predicates = Mapping[tuple[str, ...], tuple[str, str]]
REACH = 9  # words from the component to what is said of it


def predicates(lexicon: Lexicon) -> Predicates:
    """Words -> (condition, component)."""
    return {
        normal_forms(phrase): (entry.id, entry.on)
        for entry in lexicon.of_kind("predicate")
        if entry.on is not None
        for phrase in entry.spoken
    }


def add_predicates(passage: Passage, table: Predicates) -> Passage:
    """The passage with a condition tag over each such adjective said of its component."""
    found: list[Tag] = []
    longest = max((len(words) for words in table), default=0)
    for tag in passage.tags_from(0, len(passage), "component"):
        for token in range(tag.end, min(len(passage), tag.end + REACH)):
            if passage.cue_at(token, "boundary", "next", "against") or passage.is_class(token, "list"):
                break
            if passage.things_from(token, token + 1):
                break
            match = _match(passage, table, token, longest, tag.id)
            if match is None:
                continue
            condition, end = match
            said = token == tag.end or any(passage.is_class(t, "copula") for t in range(tag.end, token))
            if said and not passage.tags_from(end, end + 1, "condition"):
                found.append(Tag(token, end, "condition", condition, on=tag.id))
            break
    if not found:
        return passage
    return replace(passage, tags=tuple(sorted((*passage.tags, *found), key=lambda t: (t.start, t.end))))


def _match(passage: Passage, table: Predicates, token: int, longest: int, component: str) -> tuple[str, int] | None:
    for length in range(longest, 0, -1):
        entry = table.get(passage.speech.words[token : token + length])
        if entry is not None and entry[1] == component:
            return entry[0], token + length
    return None
