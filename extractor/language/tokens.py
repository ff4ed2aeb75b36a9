"""Narration -> Speech: spaCy's tokeniser, with punctuation taken out and each word in its normal form.

    "That's 3.6, isn't it?"  ->  that 's 3.6 is not it

The same function makes the lexicon's phrases into tokens, so that a phrase and the speech always agree.
"""

import re
from array import array
from collections.abc import Iterator, Mapping
from functools import cache, lru_cache
from itertools import pairwise
from types import MappingProxyType

from spacy.lang.en import EnglishDefaults
from spacy.tokenizer import Tokenizer  # type: ignore[import-not-found]  # compiled, and has no types
from spacy.util import compile_infix_regex, compile_prefix_regex, compile_suffix_regex
from spacy.vocab import create_vocab

from extractor.reading import Narration, Speech

PAUSE_S = 0.6  # a silence this long between two timed words counts as a break
# spaCy's affixes take time with the square and more of a word's length: an endless one is cut, at the cost of a sign
_OVERLONG = re.compile(r"(\S{59})\S(?=\S)")
_PIECE = re.compile(r"\S+")
_WORDLESS = re.compile(r"^[\W_]+$")
_SHORT_VERBS = {"'s": "is", "'d": "would", "'re": "are", "'ll": "will", "'ve": "have", "'m": "am"}  # "seal's hanging"
_PASTS = {"did", "had"}  # spaCy makes "do not" of "didn't" and "have not" of "hadn't": the past would be lost
_MEANINGFUL_MARKS = {"%", "'", '"', "°", "$"}


@cache
def english_tokeniser() -> Tokenizer:
    """spaCy's tokeniser with its rules for English; hyphens part words and a digit parts from a letter.

    The same as `spacy.blank("en").tokenizer` with more infixes, made without the pipeline round it: in a third of the
    time, which is a tenth of what a short command takes.
    """
    english = EnglishDefaults
    infixes = [*(english.infixes or []), r"(?<=[0-9a-z])[-–—](?=[0-9a-z])", r"(?<=[a-z])[/…](?=[0-9a-z])"]
    return Tokenizer(
        create_vocab("en", english),
        # the text comes in lower case, so that half of the exceptions could match nothing
        rules={word: parts for word, parts in (english.tokenizer_exceptions or {}).items() if word == word.lower()},
        prefix_search=compile_prefix_regex(english.prefixes or []).search,
        suffix_search=compile_suffix_regex([*(english.suffixes or []), r"(?<=[a-z])['’]ll"]).search,
        infix_finditer=compile_infix_regex(infixes).finditer,
        token_match=english.token_match,
        url_match=english.url_match,
    )


def normal_forms(text: str) -> tuple[str, ...]:
    """The tokens of a phrase, as they would stand in `Speech.words`."""
    return tuple(word for word, _, _ in _tokens(text))


def tokenise(
    narration: Narration,
    hesitations: frozenset[str] = frozenset(),
    spellings: Mapping[str, tuple[str, ...]] = MappingProxyType({}),
    knows: frozenset[str] = frozenset(),
) -> Speech:
    """Tokens of the whole narration, each with its place and its word; hesitations ("um") are left out, and so is "you
    know" where none of the words `knows` stands in front ("do you know", "if you know").

    A word written as broad speech has it ("hadnae") becomes the words it is, each at its place.
    """
    words: list[str] = []
    breaks: list[bool] = []
    firsts, lasts, word_of = array("I"), array("I"), array("I")  # a tenth of the memory of a tuple's integers
    text = narration.text
    ends = [word.last_char for word in narration.words[:-1]]
    pauses = _pauses(narration)
    index, count = 0, len(ends)
    end_of_last = 0
    for form, first, last in _tokens(text):
        while index < count and ends[index] <= first:
            index += 1
        if form in hesitations:
            continue
        between = text[end_of_last:first]
        breaks.append((between != " " and bool(between.strip())) or index in pauses)
        if form == "know" and words and words[-1] == "you" and knows and not knows.intersection(words[-2:-1]):
            for column in (words, breaks, firsts, lasts, word_of):
                column.pop()
            continue
        plain = spellings.get(form, (form,))
        if len(plain) > 1:
            breaks += [False] * (len(plain) - 1)
        for word in plain:
            words.append(word)
            firsts.append(first)
            lasts.append(last)
            word_of.append(index)
        end_of_last = last
    return Speech(narration, tuple(words), firsts, lasts, word_of, tuple(breaks))


def _pauses(narration: Narration) -> set[int]:
    """The words before which the speaker was silent: the first, and those that have a time that says so."""
    return {0} | {
        index
        for index, (before, word) in enumerate(pairwise(narration.words), 1)
        if not (before.interpolated or word.interpolated)
        and before.end_s is not None
        and word.start_s is not None
        and word.start_s - before.end_s >= PAUSE_S
    }


def _tokens(text: str) -> Iterator[tuple[str, int, int]]:
    """(normal form, first character, last character) of each word."""
    for piece in _PIECE.finditer(_OVERLONG.sub(r"\1 ", _lower(text.replace("’", "'").replace("‘", "'")))):
        start = piece.start()
        for form, first, last in _parts(piece[0]):
            if form:
                yield form, start + first, start + last


@lru_cache(maxsize=16384)
def _parts(piece: str) -> tuple[tuple[str, int, int], ...]:
    """(normal form, first character, last character) of each word between two spaces: "that's" -> that, 's.

    spaCy parts a text at its spaces before it does anything else, and narrations say few different words.
    """
    return tuple(
        (
            token.lower_ if token.lower_ in _PASTS else _form(token.norm_),
            token.idx,
            token.idx + len(token),
        )
        for token in english_tokeniser()(piece)
    )


def _lower(text: str) -> str:
    """Lower case with every character in its place: spaCy's contractions know "can't" and "Can't", not "CAN'T"."""
    lower = text.lower()
    return lower if len(lower) == len(text) else "".join(c.lower() if len(c.lower()) == 1 else c for c in text)


def _form(norm: str) -> str:
    """The normal form of a word as spaCy has it; "" for what is no word."""
    form = norm.strip().lower()
    form = _SHORT_VERBS.get(form, form)
    if _WORDLESS.match(form) and form not in _MEANINGFUL_MARKS:
        return ""
    if len(form) > 1 and form[-1] in ".,!?;:" and form[:-1].replace(".", "").isalnum():
        form = form.rstrip(".,!?;:")
    return form
