"""Bytes -> text: which encoding, whether that is a guess, and which bytes are no text at all.

    b"\xff\xfed\x00r\x00y\x00"  ->  "dry", "utf-16", not guessed

Tried in order: a byte order mark; UTF-16 without one (told by where the zero bytes stand); UTF-8; and, as a guess,
Windows-1252, which is what English text that is not UTF-8 almost always is. A detector (charset-normalizer) was
weighed and left out: for English with a few bytes above 127 it can only choose among near-equals, and it costs start
time and a dependency; the tests use it as a second opinion.
"""

import codecs
from dataclasses import dataclass

from extractor.errors import NarrationError

_MARKS = (  # the four-byte marks first: UTF-16's is a prefix of UTF-32's
    (codecs.BOM_UTF32_LE, "utf-32"),
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)
_SIGNATURES = (  # first bytes of what people pick by mistake; offset, bytes, name
    (0, b"PK\x03\x04", "a zip or office file"),
    (0, b"PK\x05\x06", "a zip file"),
    (0, b"%PDF-", "a PDF"),
    (0, b"{\\rtf", "a rich text file"),
    (0, b"\x89PNG", "a picture"),
    (0, b"\xff\xd8\xff", "a picture"),
    (0, b"GIF8", "a picture"),
    (0, b"RIFF", "a sound or video file"),
    (0, b"ID3", "a sound file"),
    (0, b"OggS", "a sound file"),
    (0, b"fLaC", "a sound file"),
    (4, b"ftyp", "a sound or video file"),
    (0, b"\x1aE\xdf\xa3", "a video file"),
    (0, b"\x1f\x8b", "a compressed file"),
    (0, b"\xd0\xcf\x11\xe0", "an office file"),
    (0, b"SQLite format 3", "a database"),
)
_ASCII = bytes(range(128))
_SAMPLE = 4096  # bytes looked at for UTF-16 without a mark
_FOREIGN_SHARE = 0.2  # more bytes than this above 127 is no English in Windows-1252
_CONTROL_SHARE = 0.02  # more control characters than this is no text
_SAVE_AS = "Give the text of the recording, saved as UTF-8."
_TRANSCRIBE = "Put it through a speech recogniser first and give its text, captions or JSON."


@dataclass(frozen=True, slots=True)
class Decoded:
    """Text as received, line ends as "\\n", control characters replaced; how it was read, and what was odd."""

    text: str
    encoding: str
    guessed: bool = False
    notes: tuple[str, ...] = ()


def decode(data: bytes, where: str) -> Decoded:
    """Text of a file. `where` names it in the error.

    Raises:
        NarrationError: bytes that are no text, or in an encoding that can't be told.
    """
    _refuse_known_formats(data, where)
    text, encoding, guessed, notes = _decoded(data, where)
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    text, replaced = without_controls(text)
    if replaced > max(1, len(text) * _CONTROL_SHARE):
        raise NarrationError("is no text: it is full of control characters.", where=where, todo=_SAVE_AS)
    if replaced:
        notes = (*notes, f"control characters replaced by \ufffd: {replaced}")
    return Decoded(text, encoding, guessed, notes)


def without_controls(text: str) -> tuple[str, int]:
    """Text with each character that a terminal or a file would choke on as U+FFFD, and how many there were.

    Those are the control characters that are not white space, and halves of surrogate pairs.
    """
    if text.isprintable():
        return text, 0
    odd = {character for character in set(text) if _unprintable(character)}
    count = sum(text.count(character) for character in odd)
    return (text.translate({ord(character): "\ufffd" for character in odd}), count) if odd else (text, 0)


def _unprintable(character: str) -> bool:
    code = ord(character)
    control = code < 0x20 or 0x7F <= code < 0xA0
    return (control and not character.isspace()) or 0xD800 <= code < 0xE000


def _refuse_known_formats(data: bytes, where: str) -> None:
    for offset, first, name in _SIGNATURES:
        if data.startswith(first, offset):
            todo = _TRANSCRIBE if "sound" in name or "video" in name else _SAVE_AS
            raise NarrationError(f"is {name}, not text.", where=where, todo=todo)


def _decoded(data: bytes, where: str) -> tuple[str, str, bool, tuple[str, ...]]:
    for mark, encoding in _MARKS:
        if data.startswith(mark):
            text, notes = _mended(data, encoding)
            return text, encoding.removesuffix("-sig"), False, notes
    if wide := _wide_without_mark(data):
        text, notes = _mended(data, wide)
        return text, wide, True, notes
    if b"\x00" in data:
        raise NarrationError("is no text: it holds zero bytes.", where=where, todo=_SAVE_AS)
    try:
        return data.decode("utf-8"), "utf-8", False, ()
    except UnicodeDecodeError:
        return _guessed(data, where)


def _mended(data: bytes, encoding: str) -> tuple[str, tuple[str, ...]]:
    """Text in an encoding that is known: what breaks its rules becomes U+FFFD, with a note."""
    try:
        return data.decode(encoding), ()
    except UnicodeDecodeError:
        text = data.decode(encoding, errors="replace")
        return text, (f"bytes that break {encoding.removesuffix('-sig')} replaced by \ufffd",)


def _wide_without_mark(data: bytes) -> str | None:
    """UTF-16 told by its zero bytes: in English nearly every second byte, and only on one side."""
    sample = data[:_SAMPLE]
    if len(sample) < 4:
        return None
    pairs = len(sample) // 2
    even, odd = sample[::2].count(0) / pairs, sample[1::2].count(0) / pairs
    if odd > 0.7 and even < 0.05:
        return "utf-16-le"
    if even > 0.7 and odd < 0.05:
        return "utf-16-be"
    return None


def _guessed(data: bytes, where: str) -> tuple[str, str, bool, tuple[str, ...]]:
    text = data.decode("utf-8", errors="replace")
    broken = text.count("\ufffd")
    high = len(text) - len(text.encode("ascii", errors="ignore")) - broken
    if high >= 2 * broken or (broken == 1 and text.endswith("\ufffd") and len(data) > 64):
        return text, "utf-8", True, (f"bytes that break utf-8 replaced by \ufffd: {broken}",)
    if len(data.translate(None, _ASCII)) <= _FOREIGN_SHARE * len(data):
        try:
            return data.decode("cp1252"), "windows-1252", True, ()
        except UnicodeDecodeError:
            pass
    raise NarrationError("is in an encoding that can't be told.", where=where, todo="Save it as UTF-8.")
