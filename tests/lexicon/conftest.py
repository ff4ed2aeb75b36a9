import pytest

from extractor.lexicon.load import Lexicon, load_lexicon
from extractor.lexicon.match import PhraseTable, phrase_table


@pytest.fixture(scope="session")
def lexicon() -> Lexicon:
    return load_lexicon()


@pytest.fixture(scope="session")
def table(lexicon: Lexicon) -> PhraseTable:
    return phrase_table(lexicon)
