"""One archive, read once, for all tests that only look at it."""

from pathlib import Path

import pytest

from extractor.archive.batch import Done, run_batch
from extractor.archive.engine import engine_of
from extractor.lexicon.load import Lexicon, load_lexicon

from .made_archive import made_archive


@pytest.fixture(scope="session")
def lexicon() -> Lexicon:
    return load_lexicon()


@pytest.fixture(scope="session")
def archive(tmp_path_factory: pytest.TempPathFactory, lexicon: Lexicon) -> Path:
    return made_archive(tmp_path_factory.mktemp("archive") / "recordings", lexicon)


@pytest.fixture(scope="session")
def read_archive(archive: Path, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Done]:
    """The data set of the archive, read by two processes."""
    out = tmp_path_factory.mktemp("set") / "set"
    return out, run_batch(archive, out, engine_of("processes", 2), workers=2)
