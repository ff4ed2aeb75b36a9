"""Which reader: told by the first bytes, and by the name where they leave it open.

    visit.txt that starts with WEBVTT  ->  read as captions, with a note

Limits: 64 MB, a million words (over a hundred hours of talk; counters and times count as words here). Both are checked
before words are made of anything.
"""

import hashlib
import re
import sys
from pathlib import Path
from typing import BinaryIO

from extractor.errors import NarrationError
from extractor.narration.blocks import Oddities, Spoken, placed
from extractor.narration.decode import decode
from extractor.narration.plain import has_marks, read_plain
from extractor.narration.subtitles import looks_timed, read_subtitles
from extractor.narration.words import read_words
from extractor.reading import Narration

MAX_BYTES = 64 * 1024 * 1024
MAX_WORDS = 1_000_000
VALUES_A_WORD = 8  # of a recogniser's JSON, to bound what parsing it may take
STANDARD_INPUT = "standard input"
_JSON_START = re.compile(r'\s*(?:\{\s*"|\[\s*\{)')
_SPACES = " \n\t\r\f\v\xa0\u3000"
_SHORTER = "Give one recording at a time."
_USUAL_READER = {".srt": "captions", ".vtt": "captions", ".json": "json"}


def read_narration(path: Path | str) -> Narration:
    """The narration in a file; "-" reads standard input.

    Raises:
        NarrationError: a file that is missing, a folder, too large, no text, or without words.
    """
    if str(path) == "-":
        return read_bytes(_standard_input(), STANDARD_INPUT)
    path = Path(path)
    try:
        if path.is_dir():
            raise NarrationError("is a folder.", where=str(path), todo="Name the files in it.")
        if path.stat().st_size > MAX_BYTES:
            raise _too_large(str(path))
        with path.open("rb") as file:
            data = _received(file, str(path))
    except FileNotFoundError as error:
        raise NarrationError("there is no such file.", where=str(path), todo="Check the name.") from error
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise NarrationError(
            f"can't be read: {reason}.", where=str(path), todo="Check the name and its rights."
        ) from error
    return read_bytes(data, str(path))


def read_bytes(data: bytes, name: str) -> Narration:
    """The narration in the bytes of a file of that name; a path before the name is used in errors only.

    Raises:
        NarrationError: bytes that are too many, no text, or without words.
    """
    where = name or STANDARD_INPUT
    if len(data) > MAX_BYTES:
        raise _too_large(where)
    if not data.strip():
        raise NarrationError("is empty.", where=where, todo="Give the text of the recording.")
    decoded = decode(data, where)
    oddities = Oddities()
    spoken = _read(decoded.text, where, oddities)
    if not spoken:
        raise NarrationError("holds no spoken words.", where=where, todo="Give the text of the recording.")
    text, words = placed(spoken)
    return Narration(
        text=text,
        words=words,
        source=Path(where).name or where,
        sha256=hashlib.sha256(data).hexdigest(),
        encoding=decoded.encoding,
        encoding_guessed=decoded.guessed,
        notes=(*decoded.notes, *oddities.notes()),
    )


def _standard_input() -> bytes:
    stream = getattr(sys.stdin, "buffer", None)
    if stream is None:
        raise NarrationError("is closed.", where=STANDARD_INPUT, todo="Name a file.")
    try:
        return _received(stream, STANDARD_INPUT)
    except (OSError, ValueError) as error:
        raise NarrationError("can't be read.", where=STANDARD_INPUT, todo="Name a file.") from error


def _received(file: BinaryIO, where: str) -> bytes:
    data = file.read(MAX_BYTES + 1)
    if len(data) > MAX_BYTES:
        raise _too_large(where)
    return data


def _too_large(where: str) -> NarrationError:
    return NarrationError(f"is over {MAX_BYTES // 1024 // 1024} MB.", where=where, todo=_SHORTER)


def _check_words(text: str, kind: str, where: str) -> None:
    """Count before anything is made of them: a word as a value takes a hundred times its letters."""
    if kind == "json":
        if sum(text.count(mark) for mark in "{[,") > MAX_WORDS * VALUES_A_WORD:
            raise _too_many(where)
        return
    if sum(text.count(space) for space in _SPACES) < MAX_WORDS:
        return
    if sum(1 for _ in re.finditer(r"\S+", text)) > MAX_WORDS:
        raise _too_many(where)


def _too_many(where: str) -> NarrationError:
    return NarrationError(f"holds over {MAX_WORDS:,} words.", where=where, todo=_SHORTER)


def _read(text: str, where: str, oddities: Oddities) -> list[Spoken]:
    usual = _USUAL_READER.get(Path(where).suffix.lower(), "plain")
    kind = _kind(text, usual)
    if kind != usual and Path(where).suffix:
        oddities.add(f"read as {kind}, whatever the name says")
    _check_words(text, kind, where)
    if kind == "json":
        return read_words(text, where, oddities)
    if kind == "captions":
        return read_subtitles(text, oddities)
    return read_plain(text, oddities)


def _kind(text: str, usual: str) -> str:
    if text.startswith("WEBVTT"):
        return "captions"
    if _JSON_START.match(text):
        return "json"
    if looks_timed(text) and (usual == "captions" or not has_marks(text)):
        return "captions"
    return "json" if usual == "json" and text.lstrip()[:1] in tuple('{["') and not has_marks(text[:40]) else "plain"
