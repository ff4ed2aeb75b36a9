"""Narration -> Speech: spaCy's tokeniser, with punctuation taken out and each word in its normal form.

    "That's 3.6, isn't it?"  ->  that 's 3.6 is not it

The same function makes the lexicon's phrases into tokens, so that a phrase and the speech always agree.
"""

import re
from functools import cache

import spacy
from spacy.language import Language
from spacy.tokens import Doc
from spacy.util import compile_infix_regex

from extractor.reading import Narration, Speech

PAUSE_S = 0.6  # a silence this long between two timed words counts as a break
_WORDLESS = re.compile(r"^[\W_]+$")
_SHORT_VERBS = {"'s": "is", "'d": "would", "'re": "are", "'ll": "will", "'ve": "have", "'m": "am"}  # "seal's hanging"
_MEANINGFUL_MARKS = {"%", "'", '"', "°", "$"}


@cache
def blank_english() -> Language:
    """spaCy's rule-based English, tokeniser only; hyphens part words and a digit parts from a letter."""
    nlp = spacy.blank("en")
    nlp.max_length = 100_000_000  # the limit guards parsers that this pipeline does not have
    infixes = [*(nlp.Defaults.infixes or []), r"(?<=[0-9a-z])[-–—](?=[0-9a-z])", r"(?<=[a-z])[/…](?=[0-9a-z])"]
    nlp.tokenizer.infix_finditer = compile_infix_regex(infixes).finditer  # type: ignore[attr-defined]
    return nlp


def normal_forms(text: str) -> tuple[str, ...]:
    """The tokens of a phrase, as they would stand in `Speech.words`."""
    return tuple(word for word, _, _ in _tokens(text))


def tokenise(narration: Narration) -> Speech:
    """Tokens of the whole narration, each with its place and its word."""
    words, firsts, lasts, word_of, breaks = [], [], [], [], []
    index, count = 0, len(narration.words)
    end_of_last = 0
    for form, first, last in _tokens(narration.text):
        while index + 1 < count and narration.words[index].last_char <= first:
            index += 1
        words.append(form)
        firsts.append(first)
        lasts.append(last)
        word_of.append(index)
        between = narration.text[end_of_last:first]
        breaks.append(bool(between.strip()) or _paused(narration, index))
        end_of_last = last
    doc = Doc(blank_english().vocab, words=words)
    return Speech(narration, tuple(words), tuple(firsts), tuple(lasts), tuple(word_of), tuple(breaks), doc)


def _paused(narration: Narration, index: int) -> bool:
    if not index:
        return True
    before, word = narration.words[index - 1], narration.words[index]
    if before.interpolated or word.interpolated or before.end_s is None or word.start_s is None:
        return False
    return word.start_s - before.end_s >= PAUSE_S


def _tokens(text: str) -> list[tuple[str, int, int]]:
    """(normal form, first character, last character) of each word."""
    out = []
    for token in blank_english().make_doc(text.replace("’", "'").replace("‘", "'")):
        form = token.norm_.strip().lower()
        form = _SHORT_VERBS.get(form, form)
        if not form or (_WORDLESS.match(form) and form not in _MEANINGFUL_MARKS):
            continue
        if len(form) > 1 and form[-1] in ".,!?;:" and form[:-1].replace(".", "").isalnum():
            form = form.rstrip(".,!?;:")
        out.append((form, token.idx, token.idx + len(token.text)))
    return out
