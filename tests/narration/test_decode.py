"""Encodings: which are read, which are guesses, and what is no text."""

import codecs
import zlib

import charset_normalizer
import pytest

from extractor.errors import NarrationError
from extractor.narration import read_bytes
from extractor.narration.decode import decode

SAID = "there’s a ½ inch gap – about 5° of fall… café side\n" * 3


@pytest.mark.parametrize(
    ("data", "encoding", "guessed"),
    [
        (SAID.encode("utf-8"), "utf-8", False),
        (SAID.encode("utf-8-sig"), "utf-8", False),
        (SAID.encode("utf-16"), "utf-16", False),
        (codecs.BOM_UTF16_BE + SAID.encode("utf-16-be"), "utf-16", False),
        (SAID.encode("utf-32"), "utf-32", False),
        (SAID.encode("utf-16-le"), "utf-16-le", True),
        (SAID.encode("utf-16-be"), "utf-16-be", True),
        (SAID.encode("windows-1252"), "windows-1252", True),
    ],
)
def test_text_in_any_usual_encoding_is_read_and_a_guess_is_called_one(
    data: bytes, encoding: str, guessed: bool
) -> None:
    narration = read_bytes(data, "visit.txt")
    assert narration.text == " ".join(SAID.split())
    assert (narration.encoding, narration.encoding_guessed) == (encoding, guessed)
    assert narration.notes == ()


def test_a_detector_of_its_own_agrees_that_windows_1252_text_is_one_of_its_kin() -> None:
    """charset-normalizer as a second opinion; it may name a sister encoding that gives the same letters."""
    data = ("the caf\xe9's gully \x96 it\x92s a \xbd inch gap at the joint and the fa\xe7ade side is dry. " * 8).encode(
        "latin-1"
    )
    best = charset_normalizer.from_bytes(data).best()
    assert best is not None
    ours = decode(data, "visit.txt").text
    assert "café" in str(best) and "café" in ours


def test_utf8_with_a_few_broken_bytes_stays_utf8() -> None:
    decoded = decode("½ inch, ¼ inch, ¾ inch".encode() + b" and \xff more", "visit.txt")
    assert decoded.text == "½ inch, ¼ inch, ¾ inch and \ufffd more"
    assert decoded.encoding == "utf-8" and decoded.guessed and "1" in decoded.notes[0]


def test_utf8_cut_off_within_a_letter_stays_utf8() -> None:
    decoded = decode(("dry " * 30 + "½").encode()[:-1], "visit.txt")
    assert decoded.encoding == "utf-8" and decoded.guessed and decoded.notes


def test_utf16_with_an_odd_byte_at_the_end_is_read_with_a_note() -> None:
    decoded = decode("dry bend".encode("utf-16") + b"x", "visit.txt")
    assert decoded.text.startswith("dry bend") and decoded.notes


def test_control_characters_that_could_steer_a_terminal_are_replaced_with_a_note() -> None:
    decoded = decode(b"dry \x1b[31mbend " * 1 + b"word " * 40, "visit.txt")
    assert "\x1b" not in decoded.text and "\ufffd[31mbend" in decoded.text
    assert decoded.notes == ("control characters replaced by \ufffd: 1",)


@pytest.mark.parametrize(
    ("data", "what"),
    [
        (b"PK\x03\x04" + b"word/document.xml" * 5, "zip or office"),
        (b"%PDF-1.7\nstream", "PDF"),
        (b"{\\rtf1 dry bend}", "rich text"),
        (b"\x89PNG\r\n\x1a\n....", "picture"),
        (b"\xff\xd8\xff\xe0 JFIF", "picture"),
        (b"RIFF\x00\x10\x00\x00WAVEfmt ", "sound"),
        (b"ID3\x04 song", "sound"),
        (b"OggS\x00\x02", "sound"),
        (b"fLaC\x00", "sound"),
        (b"\x00\x00\x00\x20ftypisom", "sound or video"),
        (b"\x1aE\xdf\xa3webm", "video"),
        (zlib.compress(b"dry bend" * 50, wbits=31), "compressed"),
        (b"dry\x00bend", "zero bytes"),
        (b"\x01\x02\x03\x04\x05\x06 dry", "control characters"),
        ("сифон сухой и чистый".encode("cp1251"), "encoding that can't be told"),
        (b"dry bend " * 9 + b"\x81\x8d\x8f", "encoding that can't be told"),
    ],
)
def test_what_is_no_text_is_refused_by_its_kind(data: bytes, what: str) -> None:
    with pytest.raises(NarrationError) as caught:
        read_bytes(data, "visit.txt")
    assert what in caught.value.what
    assert caught.value.where == "visit.txt" and caught.value.todo


def test_a_recording_is_sent_to_a_recogniser_first() -> None:
    with pytest.raises(NarrationError) as caught:
        read_bytes(b"RIFF\x00\x10\x00\x00WAVEfmt ", "visit.wav")
    assert "recogniser" in caught.value.todo
