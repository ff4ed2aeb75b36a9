"""Which reader takes a file, and files that none can take."""

import hashlib
import io
import json
import os
import sys
from pathlib import Path

import pytest

from extractor.errors import NarrationError
from extractor.narration import choose, read_bytes, read_narration

from .soundness import assert_sound

MARKED = "[0:01] dry bend [0:03] wet"
SUBRIP = "1\n00:00:01,000 --> 00:00:03,000\ndry bend\n\n2\n00:00:03,000 --> 00:00:04,000\nwet\n"
WEBVTT = "WEBVTT\n\n00:01.000 --> 00:03.000\ndry bend\n\n00:03.000 --> 00:04.000\nwet\n"
JSON = json.dumps({"segments": [{"start": 1, "end": 3, "text": "dry bend"}, {"start": 3, "end": 4, "text": "wet"}]})


@pytest.mark.parametrize(
    "name", ["visit.txt", "visit.srt", "visit.vtt", "visit.json", "visit.SRT", "visit", "visit.md", "-"]
)
@pytest.mark.parametrize("text", [MARKED, SUBRIP, WEBVTT, JSON])
def test_content_wins_over_the_name(name: str, text: str) -> None:
    narration = read_bytes(text.encode(), name)
    assert narration.text == "dry bend wet"
    assert [word.start_s for word in narration.words][::2] == [1.0, 3.0]


def test_a_name_that_lies_leaves_a_note() -> None:
    assert read_bytes(WEBVTT.encode(), "visit.txt").notes == ("read as captions, whatever the name says",)
    assert read_bytes(WEBVTT.encode(), "visit.vtt").notes == ()
    assert read_bytes(WEBVTT.encode(), "visit").notes == ()


def test_an_arrow_in_marked_text_does_not_make_it_captions() -> None:
    text = "[0:01] the clock says\n00:05 --> 00:09\n[0:03] wet"
    assert read_bytes(text.encode(), "visit.txt").text == "the clock says 00:05 --> 00:09 wet"


def test_captions_without_any_times_are_read_as_text() -> None:
    narration = read_bytes(b"dry bend\nwet", "visit.srt")
    assert narration.text == "dry bend wet" and narration.notes


def test_the_bytes_are_known_by_their_hash_and_the_file_by_its_name_only(tmp_path: Path) -> None:
    path = tmp_path / "visit one.srt"
    path.write_bytes(SUBRIP.replace("\n", "\r\n").encode("utf-16"))
    narration = read_narration(path)
    assert narration.source == "visit one.srt"
    assert narration.sha256 == hashlib.sha256(path.read_bytes()).hexdigest()
    assert_sound(narration, path.read_bytes())
    assert read_narration(str(path)) == narration


def test_a_dash_reads_standard_input(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(SUBRIP.encode())))
    narration = read_narration("-")
    assert narration.text == "dry bend wet" and narration.source == "standard input"


def test_closed_standard_input_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stdin", None)
    with pytest.raises(NarrationError, match="standard input"):
        read_narration("-")


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes here")
def test_a_pipe_is_read_like_a_file(tmp_path: Path) -> None:
    reading, writing = os.pipe()
    os.write(writing, SUBRIP.encode())
    os.close(writing)
    try:
        assert read_narration(f"/dev/fd/{reading}").text == "dry bend wet"
    finally:
        os.close(reading)


def test_a_missing_file_a_folder_and_an_impossible_name_are_refused(tmp_path: Path) -> None:
    for path, what in [(tmp_path / "none.txt", "no such file"), (tmp_path, "folder"), ("a\0b", "can't be read")]:
        with pytest.raises(NarrationError) as caught:
            read_narration(path)
        assert what in caught.value.what and caught.value.where == str(path) and caught.value.todo
        assert caught.value.exit_status != 0


@pytest.mark.parametrize(
    ("data", "what"),
    [
        (b"", "is empty"),
        (b" \r\n\t", "is empty"),
        (b"\xef\xbb\xbf", "no spoken words"),
        (b"# only a remark\n[0:00] [0:05]", "no spoken words"),
        (b"WEBVTT\n\nNOTE nothing said\n", "no spoken words"),
        (b"1\n00:00:01,000 --> 00:00:03,000\n\n", "no spoken words"),
    ],
)
def test_a_file_without_words_is_refused(data: bytes, what: str) -> None:
    with pytest.raises(NarrationError) as caught:
        read_bytes(data, "visit.srt" if b"-->" in data else "visit.txt")
    assert what in caught.value.what and caught.value.where and caught.value.todo


def test_a_file_over_the_limit_is_refused_before_it_is_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "visit.txt"
    with path.open("wb") as file:
        file.truncate(choose.MAX_BYTES + 1)
    monkeypatch.setattr(Path, "open", lambda *_: pytest.fail("opened"))
    with pytest.raises(NarrationError, match="is over 64 MB"):
        read_narration(path)


def test_a_stream_over_the_limit_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(choose, "MAX_BYTES", 1000)
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(b"dry " * 500)))
    with pytest.raises(NarrationError, match="is over"):
        read_narration("-")
    with pytest.raises(NarrationError, match="is over"):
        read_bytes(b"dry " * 500, "visit.txt")


def test_too_many_words_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(choose, "MAX_WORDS", 100)
    assert len(read_bytes(b"dry   " * 100, "visit.txt").words) == 100
    with pytest.raises(NarrationError, match="over 100 words"):
        read_bytes(b"dry " * 101, "visit.txt")
