"""Phrases of the lexicon in the speech -> Tags, the longest phrase first, layer by layer.

All things (structures, conditions, actions, ...) are one layer, misheard forms another, each kind of cue one more.
Within a layer a shorter phrase inside a longer one is not tagged ("joint" in "open joint"); two entries with the very
same phrase both are. A cue of two words may hold a thing ("from the tank") without hiding it, save a degree ("full" in
"full of roots"). A thing hides a denial ("no issues") and a mishearing ("ball" in "root ball") inside it. A phrase of
several words is also found round a hesitation or a word of degree ("joint is slightly open").
"""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from extractor.lexicon.entry import Entry
from extractor.lexicon.forms import forms_of, naming_forms_of, plural_of, tokens_of
from extractor.lexicon.load import Lexicon
from extractor.reading import Speech, Tag, by_place

__all__ = ["PhraseTable", "find_tags", "phrase_table", "plural_of"]

NOT_PHRASES = {
    "number",
    "unit",
    "quantity_word",
    "hedge",
    "grammar",
    "neighbour",
    "predicate",
    "spelling",
}  # read word by word elsewhere
THINGS = {"structure", "fixture", "component", "condition", "material", "action"}
HIDDEN_IN_THINGS = {"negation", "repair", "boundary"}  # cues that a longer thing swallows

Found = tuple[Entry, bool, str | None]  # the entry, whether the form is a mishearing, the component the phrase names
Node = dict[str | None, Any]  # the next word -> Node; None -> all Found that end here
Span = tuple[int, int, tuple[Found, ...]]


@dataclass(frozen=True)
class PhraseTable:
    """The lexicon's phrases as a tree of words, and the words that may stand inside a phrase without being of it."""

    root: Node = field(repr=False)
    hesitations: frozenset[str]
    graded: frozenset[str]  # ids of the conditions that there may be more or less of


def phrase_table(lexicon: Lexicon) -> PhraseTable:
    """All phrases of all entries that are read as phrases, in the order of the lexicon."""
    root: Node = {}
    for entry in lexicon.entries:
        if entry.kind in NOT_PHRASES:
            continue
        spoken, misheard = (entry, False, entry.on), (entry, True, entry.on)
        for words in forms_of(entry):
            _add(root, words, spoken)
        for component, words in naming_forms_of(entry):
            _add(root, words, (entry, False, component))
        for phrase in entry.misheard:
            _add(root, tokens_of(phrase), misheard)
    graded = frozenset(entry.id for entry in lexicon.of_kind("condition") if entry.graded)
    return PhraseTable(root, _hesitations(lexicon), graded)


def find_tags(speech: Speech, table: PhraseTable) -> tuple[Tag, ...]:
    """All tags in order of start. A misheard form has `heard` set and `certain` false: a later stage judges it."""
    words = _words(speech)
    spans = _spans(words, table.root)
    spans += _spans_round_gaps(words, spans, table)
    count = len(words)
    layers: dict[str, bytearray] = defaultdict(lambda: bytearray(len(words)))
    things, degrees = layers["things"], layers["extent"]
    tags: list[Tag] = []
    # the longest first, then by start: as one number, since pairs take twice as long to sort
    for start, end, found in sorted(spans, key=lambda span: (span[0] - span[1]) * count + span[0]):
        claimed: set[str] = set()
        inside_thing = things.find(1, start, end) >= 0
        inside_degree = degrees.find(0, start, end) < 0
        for entry, misheard, on in found:
            kind = entry.kind
            layer = "misheard" if misheard else "things" if kind in THINGS else kind
            if layer not in claimed:
                if layers[layer].find(1, start, end) >= 0:
                    continue
                if inside_degree if kind in THINGS else inside_thing and kind in HIDDEN_IN_THINGS:
                    continue
                if inside_thing and misheard:
                    continue
                claimed.add(layer)
                layers[layer][start:end] = b"\1" * (end - start)
            heard = " ".join(speech.words[start:end]) if misheard else None
            tags.append(Tag(start, end, kind, entry.id, entry.extent, on, heard, not misheard))
    tags.sort(key=by_place)
    return tuple(_graded(tags, words, table))


def _add(root: Node, words: Sequence[str], found: Found) -> None:
    node = root
    for word in words:
        after = node.get(word)
        if after is None:
            after = node[word] = {}
        node = after
    ends: tuple[Found, ...] | None = node.get(None)
    if ends is None:
        node[None] = (found,)
    elif not any(entry is found[0] and misheard is found[1] for entry, misheard, _ in ends):
        node[None] = (*ends, found)


def _words(speech: Speech) -> list[str]:
    """The words of the speech; the "s" whose apostrophe the recogniser left out ("thats") as "is"."""
    words = list(speech.words)
    firsts, lasts = speech.first_chars, speech.last_chars
    for at in [at for at, word in enumerate(words) if word == "s" and at and firsts[at] == lasts[at - 1]]:
        words[at] = "is"
    return words


def _spans(words: Sequence[str], root: Node) -> list[Span]:
    """Every phrase in the words, by start."""
    spans: list[Span] = []
    count = len(words)
    for at, word in enumerate(words):
        node = root.get(word)
        last = at + 1
        while node is not None:
            if None in node:
                spans.append((at, last, node[None]))
            if last == count:
                break
            node = node.get(words[last])
            last += 1
    return spans


def _spans_round_gaps(words: Sequence[str], spans: Sequence[Span], table: PhraseTable) -> list[Span]:
    """Things said round a hesitation or a word of degree, which is left out and stays a tag of its own."""
    left_out = bytearray(len(words))
    for start, end, found in spans:
        for entry, _, _ in found:
            if entry.kind == "extent":
                left_out[start:end] = b"\1" * (end - start)
    for at, word in enumerate(words):
        if word in table.hesitations:
            left_out[at] = 1
    places = [at for at, out in enumerate(left_out) if not out]
    round_gaps = []
    for first, last, found in _spans([words[at] for at in places], table.root):
        start, end = places[first], places[last - 1] + 1
        if end - start == last - first:
            continue
        things = tuple(each for each in found if each[0].kind in THINGS and not each[1])
        if things:
            round_gaps.append((start, end, things))
    return round_gaps


def _graded(tags: Sequence[Tag], words: Sequence[str], table: PhraseTable) -> Iterator[Tag]:
    """The tags, a condition with a word of degree inside it ("hairline crack") bearing that extent."""
    degrees = {
        tag.start: tag for tag in tags if tag.kind == "extent" and "not" not in words[max(0, tag.start - 1) : tag.start]
    }
    for tag in tags:
        if tag.kind == "condition" and tag.extent is None and tag.end - tag.start > 1 and tag.id in table.graded:
            for at in range(tag.start, tag.end):
                if (degree := degrees.get(at)) and degree.end <= tag.end:
                    tag = replace(tag, extent=degree.extent)
                    break
        yield tag


def _hesitations(lexicon: Lexicon) -> frozenset[str]:
    sounds = lexicon.entry("quantity_word", "filler")
    return frozenset(sounds.spoken) if sounds else frozenset()
