"""The forms one listed phrase may take in speech: its plural, its short forms, its words without the linking verb.

"joint is open"  ->  joint is open, joint was open, joint open
"pump has died"  ->  pump has died, pump is died ("pump's died"), pump died
"rodding eye"    ->  rodding eye, rodding eyes
"""

from collections.abc import Iterator
from functools import cache

from extractor.language.tokens import english_tokeniser, normal_forms
from extractor.lexicon.entry import Entry

Words = tuple[str, ...]

PLURAL_KINDS = {"structure", "fixture", "component", "condition"}
CLIPPED_KINDS = {"condition", "action"}  # "pump is dead" is said "pump dead"
LONGEST_PLURAL = 3  # words; a longer phrase is a clause, not a noun
LINKS = {"is": "was", "are": "were", "has": None, "have": None}
SHORT_HAS = "is"  # what the tokeniser makes of "'s"


def forms_of(entry: Entry, longest: int | None = None) -> Iterator[Words]:
    """Every form of the entry's spoken phrases, as tokens, of those with no more than `longest` words and a linking
    verb where it is given. A form may come twice.
    """
    plural = entry.plural and entry.kind in PLURAL_KINDS
    clipped = entry.kind in CLIPPED_KINDS
    for phrase in entry.spoken:
        if longest is None or phrase.count(" ") <= longest:
            yield from _said(phrase, plural, clipped)


def naming_forms_of(entry: Entry) -> Iterator[tuple[str, Words]]:
    """(component, form) of every phrase of the entry that names its component itself ("float stuck")."""
    for component, phrases in entry.naming.items():
        for phrase in phrases:
            for words in _said(phrase, False, True):
                yield component, words


def tokens_of(phrase: str) -> Words:
    """The phrase as tokens: what `normal_forms` gives, without the tokeniser where plain words allow it."""
    words = tuple(phrase.split(" "))
    if phrase.isascii() and "".join(words).isalpha() and _exceptions().isdisjoint(words):
        return words
    return normal_forms(phrase)


def plural_of(phrase: str) -> str:
    """The regular plural of a phrase's last word: box -> boxes, cavity -> cavities, joint -> joints."""
    if phrase.endswith(("s", "x", "ch", "sh", "z")):
        return phrase + "es"
    if phrase.endswith("y") and phrase[-2:-1] not in "aeiou":
        return phrase[:-1] + "ies"
    return phrase + "s"


def _said(phrase: str, plural: bool, clipped: bool) -> list[Words]:
    words = tokens_of(phrase)
    forms = [words]
    if plural and len(words) <= LONGEST_PLURAL and not phrase.endswith("s"):
        forms.append((*words[:-1], plural_of(words[-1])))
    if "has" in words:
        forms += _short_forms(words)
    if clipped and not LINKS.keys().isdisjoint(words):
        forms += _clipped_forms(words)
    return forms


def _short_forms(words: Words) -> Iterator[Words]:
    for at, word in enumerate(words[1:], 1):
        if word == "has":
            yield (*words[:at], SHORT_HAS, *words[at + 1 :])


def _clipped_forms(words: Words) -> Iterator[Words]:
    """The linking verb left out, or in the past. Where it stands last ("how dry it is") it is no link."""
    for at, word in enumerate(words[1:-1], 1):
        if word not in LINKS or words[at + 1] == "not":
            continue
        yield (*words[:at], *words[at + 1 :])
        if past := LINKS[word]:
            yield (*words[:at], past, *words[at + 1 :])


@cache
def _exceptions() -> frozenset[str]:
    """Words that the tokeniser parts or rewrites though they are plain letters ("cannot", "dont")."""
    return frozenset(word for word in english_tokeniser().rules or {} if word.isalpha())
