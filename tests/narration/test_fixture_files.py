"""The odd files in fixtures/reading, each as a stranger would meet it."""

from pathlib import Path

import pytest

from extractor.errors import NarrationError
from extractor.narration import read_narration

from .soundness import assert_sound, words_by_contract

FOLDER = Path(__file__).parents[2] / "fixtures" / "reading"
READ = {  # name: number of words, encoding, end of the last word in seconds, pieces of its notes in order
    "marks-with-remarks.txt": (34, "utf-8", 3733.2, []),
    "windows-1252.srt": (17, "windows-1252", 9.25, []),
    "utf-16.srt": (10, "utf-16", 9.25, []),
    "run-together.srt": (
        22,
        "utf-8",
        8.0,
        ["no empty line between two cues", "no times of its own", "ends before it starts", "run backwards"],
    ),
    "voices-and-notes.vtt": (20, "utf-8", 10.0, []),
    "commas-for-stops.vtt": (10, "utf-8", 6.5, ["breaks the WebVTT rules"]),
    "pieces.json": (13, "utf-8", 5.0, ["'12' in the text, '20' in the words"]),
    "captions-called-text.txt": (5, "utf-8", 2.0, ["read as captions"]),
}
REFUSED = {"no-text.txt": "picture", "no-words.vtt": "no spoken words"}


def test_every_file_of_the_folder_is_in_the_tables() -> None:
    assert {path.name for path in FOLDER.iterdir()} == READ.keys() | REFUSED.keys()


@pytest.mark.parametrize("name", READ)
def test_odd_files_are_read(name: str) -> None:
    count, encoding, end_s, notes = READ[name]
    narration = read_narration(FOLDER / name)
    assert_sound(narration, (FOLDER / name).read_bytes())
    assert (len(narration.words), narration.encoding, narration.words[-1].end_s) == (count, encoding, end_s)
    assert narration.encoding_guessed == (encoding == "windows-1252")
    assert len(narration.notes) == len(notes)
    for note, piece in zip(narration.notes, notes, strict=True):
        assert piece in note


@pytest.mark.parametrize("name", ["marks-with-remarks.txt", "windows-1252.srt", "utf-16.srt", "voices-and-notes.vtt"])
def test_the_words_of_sound_files_are_those_of_the_contract(name: str) -> None:
    narration = read_narration(FOLDER / name)
    text = (FOLDER / name).read_bytes().decode(narration.encoding)
    assert narration.text == words_by_contract(text, name)


@pytest.mark.parametrize("name", REFUSED)
def test_files_without_a_narration_are_refused(name: str) -> None:
    with pytest.raises(NarrationError, match=REFUSED[name]):
        read_narration(FOLDER / name)
