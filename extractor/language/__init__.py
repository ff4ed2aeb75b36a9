"""What the words say: tokens, numbers, measures, things, corrections, clauses, contexts.

spaCy is loaded here, before any module of this folder asks for it, and without its command line. That one brings five
HTTP clients and download tools with it: two fifths of the time that spaCy takes to load, and a socket that one of them
opens to try out IPv6. Nothing here uses it; who does can still import `spacy.cli` afterwards.
"""

import sys
from types import ModuleType


def _load_spacy() -> None:
    if "spacy" in sys.modules:
        return
    stand_ins = {name: ModuleType(name) for name in ("spacy.cli", "spacy.cli.info")}
    stand_ins["spacy.cli.info"].info = None  # type: ignore[attr-defined]  # the one name that spaCy takes from there
    sys.modules.update(stand_ins)
    try:
        import spacy  # noqa: F401
    finally:
        for name in stand_ins:
            del sys.modules[name]


_load_spacy()
