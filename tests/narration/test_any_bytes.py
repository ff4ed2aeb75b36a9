"""Whatever the bytes: a sound narration or a NarrationError, never anything else, and no file that hangs the reader."""

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from extractor.errors import NarrationError
from extractor.narration import read_bytes

from .soundness import assert_sound, words_by_contract

VALID = (
    b"# rain\n[0:00] camera in at the gully [0:07] bend at 1.4 [0:12.5] dry # two\n[1:00:00] out",
    b"1\n00:00:01,000 --> 00:00:03,500\ndry <i>bend</i>\n\n2\n00:00:04,000 --> 00:00:06,000\nwet at 3.3\n",
    b"WEBVTT\n\nNOTE pump\n\ncue-1\n00:01.000 --> 00:03.500 line:0\n<v Sam>dry <00:02.000>bend\n\n"
    b"00:04.000 --> 00:06.000\nwet\n",
    b'{"segments": [{"start": 0.5, "end": 2, "text": " dry bend", "words": [{"word": " dry", "start": 0.5, "end": 1, '
    b'"probability": 0.9}, {"word": " bend", "start": 1, "end": 2}]}, {"start": 3, "end": 4, "text": "wet"}]}',
    "[0:00] ½ inch gap at the café".encode("utf-16"),
    "[0:00] ½ inch gap at the café".encode("windows-1252"),
)
NAMES = st.sampled_from(["visit.txt", "visit.srt", "visit.vtt", "visit.json", "visit", "standard input"])
WRITTEN = rb"--> 00:00:01,000 --> [0:00] [9:99] < > <v { [ ] \" : # NOTE WEBVTT 1e999 null -1 \ud800".split()
UNWRITTEN = [b"\n", b"\n\n", b"\r", b" ", b"\x00", b"\xff", b"\xfe", b"\xef\xbb\xbf"]
PIECES = st.sampled_from([*WRITTEN, *UNWRITTEN])


def assert_read_or_refused(data: bytes, name: str) -> None:
    try:
        narration = read_bytes(data, name)
    except NarrationError as error:
        assert error.what and error.where and error.todo
    else:
        assert_sound(narration, data)


@settings(max_examples=300, deadline=None)
@given(st.binary(max_size=200), NAMES)
def test_random_bytes(data: bytes, name: str) -> None:
    assert_read_or_refused(data, name)


@settings(max_examples=600, deadline=None)
@given(
    st.sampled_from(VALID),
    st.lists(
        st.tuples(st.integers(0, 300), st.integers(0, 12), PIECES | st.binary(max_size=3)), min_size=1, max_size=6
    ),
    NAMES,
)
def test_valid_files_with_bytes_cut_out_and_put_in(
    data: bytes, changes: list[tuple[int, int, bytes]], name: str
) -> None:
    for at, cut, piece in changes:
        at %= len(data) + 1
        data = data[:at] + piece + data[at + cut :]
    assert_read_or_refused(data, name)


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=5),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.sampled_from(["segments", "words", "word", "text", "start", "end", "score"]), inner, max_size=4
        )
    ),
    max_leaves=12,
)


@settings(max_examples=300, deadline=None)
@given(JSON)
def test_json_of_any_shape(value: object) -> None:
    assert_read_or_refused(json.dumps(value).encode(), "visit.json")


@settings(max_examples=300, deadline=None)
@given(
    st.lists(
        st.sampled_from(
            ["[0:05]", "[1:02:03]", "[0:7]", "[", "]", "#", " ", "\n", "bend", "3.3", "[0:01.5]", "\x85", "\u3000"]
        )
    )
)
def test_words_of_marked_text_are_those_of_the_contract(pieces: list[str]) -> None:
    text = "".join(pieces)
    try:
        narration = read_bytes(text.encode(), "visit.txt")
    except NarrationError:
        assert not words_by_contract(text, "visit.txt")
    else:
        assert_sound(narration, text.encode())
        if "read as" not in " ".join(narration.notes):
            assert narration.text == words_by_contract(text, "visit.txt")


LONG = 200_000


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("1\n00:01.000 --> 00:02.000\n" + "<" * LONG, "visit.srt"),
        ("1\n00:01.000 --> 00:02.000\n" + "&" * LONG, "visit.vtt"),
        ("WEBVTT\n\n00:01.000 --> 00:02.000\n" + "<c" + "." * LONG + "a>dry", "visit.vtt"),
        ("WEBVTT\n\n00:01.000 --> 00:02.000\n" + "<v" + " " * LONG + "dry", "visit.vtt"),
        ("1" * LONG + " --> " + ":" * LONG + "\ndry", "visit.srt"),
        ("dry " + "[1" * LONG, "visit.txt"),
        ("dry [" + "1" * LONG + ":00", "visit.txt"),
        ("dry" + "\n \t" * LONG + "wet", "visit.srt"),
        ("WEBVTT\n\n" + "00:01.000" + " " * LONG + "-->" + " " * LONG + "x\ndry", "visit.vtt"),
        ("1\n00:01.000 --> 00:02.000\n" + "a <00:01.500>" * 20_000, "visit.srt"),
        (
            json.dumps({"segments": [{"text": "a b " * 20_000, "words": [{"word": "b"}, {"word": "c"}] * 20_000}]}),
            "visit.json",
        ),
    ],
)
def test_files_built_to_be_slow_are_read_in_one_pass(text: str, name: str) -> None:
    """Anything that grows with the square of the length would hang here; the run as a whole is the clock."""
    assert_read_or_refused(text.encode(), name)
