"""Which pipe materials a record's narrations name, and where: what "roots by material" is counted from.

The record itself holds changes of material only; the words hold the rest ("it's hundred mil pvc").
"""

import re
from functools import lru_cache

from extractor.language.tokens import tokenise
from extractor.lexicon.load import Lexicon
from extractor.lexicon.match import PhraseTable, find_tags, phrase_table
from extractor.reading import Narration, Word
from extractor.record import Record

_WORD = re.compile(r"\S+")


def materials_in(record: Record, lexicon: Lexicon) -> tuple[tuple[int, int, str], ...]:
    """(number of the narration, first character, id of the material) of each mention, in order."""
    table = _material_phrases(lexicon)
    found: list[tuple[int, int, str]] = []
    for number, source in enumerate(record.sources):
        words = tuple(Word(match[0], match.start(), match.end()) for match in _WORD.finditer(source.text))
        speech = tokenise(Narration(source.text, words, source.name))
        found += [(number, speech.first_chars[tag.start], tag.id) for tag in find_tags(speech, table) if tag.certain]
    return tuple(sorted(found))


@lru_cache(maxsize=4)
def _material_phrases(lexicon: Lexicon) -> PhraseTable:
    return phrase_table(Lexicon(lexicon.of_kind("material"), lexicon.fingerprint))
