"""Narration -> Speech: spaCy's tokeniser, with punctuation taken out and each word in its normal form.

    "That's 3.6, isn't it?"  ->  that 's 3.6 is not it

The same function makes the lexicon's phrases into tokens, so that a phrase and the speech always agree.
"""

import re
from collections.abc import Mapping
from functools import cache
from types import MappingProxyType

from spacy.lang.en import EnglishDefaults
from spacy.tokenizer import Tokenizer  # type: ignore[import-not-found]  # compiled, and has no types
from spacy.util import compile_infix_regex, compile_prefix_regex, compile_suffix_regex
from spacy.vocab import create_vocab

from extractor.reading import Narration, Speech

PAUSE_S = 0.6  # a silence this long between two timed words counts as a break
# spaCy's affixes take time with the square and more of a word's length: an endless one is cut, at the cost of a sign
_OVERLONG = re.compile(r"(\S{59})\S(?=\S)")
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
        suffix_search=compile_suffix_regex(english.suffixes or []).search,
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
) -> Speech:
    """Tokens of the whole narration, each with its place and its word; hesitations ("um") are left out.

    A word written as broad speech has it ("hadnae") becomes the words it is, each at its place.
    """
    words, firsts, lasts, word_of, breaks = [], [], [], [], []
    index, count = 0, len(narration.words)
    end_of_last = 0
    for form, first, last in _tokens(narration.text):
        while index + 1 < count and narration.words[index].last_char <= first:
            index += 1
        if form in hesitations:
            continue
        between = narration.text[end_of_last:first]
        breaks.append(bool(between.strip()) or _paused(narration, index))
        plain = spellings.get(form, (form,))
        breaks.extend(False for _ in plain[1:])
        for word in plain:
            words.append(word)
            firsts.append(first)
            lasts.append(last)
            word_of.append(index)
        end_of_last = last
    return Speech(narration, tuple(words), tuple(firsts), tuple(lasts), tuple(word_of), tuple(breaks))


def _paused(narration: Narration, index: int) -> bool:
    if not index:
        return True
    before, word = narration.words[index - 1], narration.words[index]
    if before.interpolated or word.interpolated or before.end_s is None or word.start_s is None:
        return False
    return word.start_s - before.end_s >= PAUSE_S


def _tokens(text: str) -> list[tuple[str, int, int]]:
    """(normal form, first character, last character) of each word."""
    tokeniser = english_tokeniser()
    strings = tokeniser.vocab.strings
    forms: dict[int, str] = {}  # few words make up a whole narration
    out = []
    doc = tokeniser(_OVERLONG.sub(r"\1 ", _lower(text.replace("’", "'").replace("‘", "'"))))
    for norm, word, first, length in doc.to_array(["NORM", "LOWER", "IDX", "LENGTH"]).tolist():
        form = forms.get(word)
        if form is None:
            said = strings[word]
            form = forms[word] = said if said in _PASTS else _form(strings[norm])
        if form:
            out.append((form, first, first + length))
    return out


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
