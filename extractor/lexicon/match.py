"""Phrases of the lexicon in the speech -> Tags, the longest phrase first, layer by layer.

All things (structures, conditions, actions, ...) are one layer, each kind of cue is another. Within a layer a shorter
phrase inside a longer one is not tagged ("joint" in "open joint"); two entries with the very same phrase both are. A cue
of two words may hold a thing ("from the tank") without hiding it; a denial inside a thing ("no issues") is hidden by it.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from spacy.matcher import PhraseMatcher
from spacy.tokens import Doc

from extractor.language.tokens import blank_english, normal_forms
from extractor.lexicon.entry import Entry
from extractor.lexicon.load import Lexicon
from extractor.reading import Speech, Tag

NOT_PHRASES = {"number", "unit", "quantity_word", "hedge", "grammar"}  # read word by word elsewhere
THINGS = {"structure", "fixture", "component", "condition", "material", "action"}
HIDDEN_IN_THINGS = {"negation", "repair", "boundary"}  # cues that a longer thing swallows


@dataclass(frozen=True)
class PhraseTable:
    """The lexicon's phrases ready to be found: a matcher, and for each phrase its entries (entry, is it misheard)."""

    matcher: PhraseMatcher
    entries: dict[int, tuple[tuple[Entry, bool], ...]]


def phrase_table(lexicon: Lexicon) -> PhraseTable:
    phrases: dict[tuple[str, ...], list[tuple[Entry, bool]]] = defaultdict(list)
    for entry in lexicon.entries:
        if entry.kind in NOT_PHRASES:
            continue
        for phrase in dict.fromkeys(_with_plurals(entry)):
            phrases[normal_forms(phrase)].append((entry, False))
        for phrase in entry.misheard:
            phrases[normal_forms(phrase)].append((entry, True))
    vocab = blank_english().vocab
    matcher = PhraseMatcher(vocab, attr="ORTH")
    entries = {}
    for words, found in phrases.items():
        key = " ".join(words)
        matcher.add(key, [Doc(vocab, words=list(words))])
        entries[vocab.strings[key]] = tuple(found)
    return PhraseTable(matcher, entries)


def find_tags(speech: Speech, table: PhraseTable) -> tuple[Tag, ...]:
    """All tags in order of start. Misheard forms come with `heard` set and `certain` false: a later stage judges them."""
    layers: dict[str, bytearray] = defaultdict(lambda: bytearray(len(speech)))
    tags: list[Tag] = []
    matches = sorted(table.matcher(speech.doc), key=lambda match: (match[1] - match[2], match[1]))
    for key, start, end in matches:
        fill = b"\1" * (end - start)
        claimed: set[str] = set()
        for entry, misheard in table.entries[key]:
            layer = "things" if entry.kind in THINGS else entry.kind
            if layer not in claimed and any(layers[layer][start:end]):
                continue
            if entry.kind in HIDDEN_IN_THINGS and any(layers["things"][start:end]):
                continue
            claimed.add(layer)
            layers[layer][start:end] = fill
            heard = " ".join(speech.words[start:end]) if misheard else None
            tags.append(Tag(start, end, entry.kind, entry.id, entry.extent, entry.on, heard, not misheard))
    return tuple(sorted(tags, key=lambda tag: (tag.start, tag.end)))


def plural_of(phrase: str) -> str:
    """The regular plural of a phrase's last word: box -> boxes, cavity -> cavities, joint -> joints."""
    if phrase.endswith(("s", "x", "ch", "sh", "z")):
        return phrase + "es"
    if phrase.endswith("y") and phrase[-2:-1] not in "aeiou":
        return phrase[:-1] + "ies"
    return phrase + "s"


def _with_plurals(entry: Entry) -> Iterator[str]:
    yield from entry.spoken
    if entry.plural and entry.kind in ("structure", "fixture", "component", "condition"):
        yield from _plurals(entry.spoken)


def _plurals(phrases: Iterable[str]) -> Iterator[str]:
    return (plural_of(phrase) for phrase in phrases if not phrase.endswith("s"))
