"""What every command that reads narrations needs: the narrations, their bytes as received, and the lexicon."""

import hashlib
import sys
from collections.abc import Sequence
from contextlib import nullcontext
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from extractor.errors import NarrationError, UsageError

if TYPE_CHECKING:
    from extractor.lexicon.load import Lexicon
    from extractor.reading import Narration

STANDARD_INPUT = Path("-")


@dataclass(frozen=True)
class Visit:
    """The narrations of one visit, in the order given, and where their bytes are: a path, or the bytes themselves."""

    narrations: tuple["Narration", ...]
    origins: tuple[Path | bytes, ...]

    def sources(self) -> list[tuple[str, bytes]]:
        """(name, bytes as received) of each narration.

        Raises:
            NarrationError: where a file is no longer what was read a moment ago.
        """
        return [
            (narration.source, _same_bytes(origin, narration.sha256))
            for narration, origin in zip(self.narrations, self.origins, strict=True)
        ]


def read_visit(paths: Sequence[Path]) -> Visit:
    """Read each file; "-" is standard input.

    Raises:
        NarrationError: for the first file that can't be read.
        UsageError: where standard input is named twice.
    """
    from extractor.narration.choose import MAX_BYTES, read_bytes, read_narration
    from extractor.narration.choose import STANDARD_INPUT as NAME

    if list(paths).count(STANDARD_INPUT) > 1:
        raise UsageError("standard input (-) can be read once only.")
    narrations: list[Narration] = []
    origins: list[Path | bytes] = []
    for path in paths:
        if path == STANDARD_INPUT or path.is_fifo():  # bytes that come only once
            with nullcontext(sys.stdin.buffer) if path == STANDARD_INPUT else path.open("rb") as stream:
                data = stream.read(MAX_BYTES + 1)  # one byte over tells the reader that it is too large
            narrations.append(read_bytes(data, NAME if path == STANDARD_INPUT else path.name))
            origins.append(data)
        else:
            narrations.append(read_narration(path))
            origins.append(path)
    return Visit(tuple(narrations), tuple(origins))


def read_lexicon(folders: Sequence[Path]) -> "Lexicon":
    """The shipped lexicon with the user's folders added."""
    from extractor.lexicon.load import load_lexicon

    return load_lexicon(*folders)


def _same_bytes(origin: Path | bytes, sha256: str) -> bytes:
    try:
        data = origin if isinstance(origin, bytes) else origin.read_bytes()
    except OSError:
        data = b""
    if hashlib.sha256(data).hexdigest() != sha256:
        raise NarrationError("changed while it was being read.", where=str(origin), todo="Run again.")
    return data
