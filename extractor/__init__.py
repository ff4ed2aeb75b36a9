"""From what a drain technician says while the camera is in the pipe to a structured record.

    from pathlib import Path
    from extractor import extract, load_lexicon, read_narration

    record = extract(read_narration(Path("visit.srt")), load_lexicon())

The four names below are the whole public face. They are fetched when first used, so that `rodnote --help` does not
have to load the language library.
"""

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from extractor.lexicon.load import load_lexicon
    from extractor.narration.choose import read_narration
    from extractor.pipeline import extract
    from extractor.record import Record

__version__ = "0.1.0"
__all__ = ["Record", "extract", "load_lexicon", "read_narration"]

_HOMES = {
    "Record": "extractor.record",
    "extract": "extractor.pipeline",
    "load_lexicon": "extractor.lexicon.load",
    "read_narration": "extractor.narration.choose",
}


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module 'extractor' has no attribute {name!r}")
    from importlib import import_module

    return getattr(import_module(_HOMES[name]), name)


def __dir__() -> list[str]:
    return sorted([*__all__, "__version__"])
