import pytest

from extractor.trade.rules import Rules, load_rules


@pytest.fixture(scope="session")
def rules() -> Rules:
    """The shipped rule tables. Loaded once: they are frozen."""
    return load_rules()
