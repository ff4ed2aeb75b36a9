import pytest

from extractor.lexicon.entry import Entry
from extractor.lexicon.load import Lexicon
from extractor.trade.rules import Rules, load_rules

# The few words that these tests lean on, so that they stand whatever the lexicon says.
WORDS = (
    Entry(id="septic_tank", kind="structure", label="septic tank", spoken=("septic tank", "tank")),
    Entry(id="distribution_box", kind="structure", label="distribution box", spoken=("distribution box", "box")),
    Entry(id="root_intrusion", kind="condition", label="roots", spoken=("roots",)),
    Entry(id="crack", kind="condition", label="crack", spoken=("crack",)),
    Entry(id="baffle", kind="component", label="baffle", spoken=("baffle",)),
)


@pytest.fixture(scope="session")
def rules() -> Rules:
    """The shipped rule tables over a few words. Loaded once: they are frozen."""
    return load_rules(lexicon=Lexicon(WORDS, ""))
