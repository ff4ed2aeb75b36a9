"""The published WebVTT syntax.

Source of the rules: W3C, "WebVTT: The Web Video Text Tracks Format", section 4, "Syntax": 4.1 file structure (first
line, line ends after it, cue timings, timestamps, identifiers, comment, style and region blocks) and 4.2.2 cue text.
The files are our own.
"""

import pytest
import webvtt

from extractor.narration import read_bytes
from extractor.narration.webvtt_rules import faults

from .soundness import words_by_contract

VALID = {
    "hours left out": "WEBVTT\n\n00:00.000 --> 00:03.100\ndown from the gully\n",
    "text after the magic": "WEBVTT back yard, wet\n\n02:03:04.005 --> 02:03:09.000\nthree point one bend\n",
    "tab after the magic": "WEBVTT\tback yard\n\n00:00.000 --> 00:03.100\nbend\n",
    "comment and name": "WEBVTT\n\nNOTE jetter on in the background\n\ncue-4\n00:58.500 --> 01:00.000\nhang on\n",
    "settings and voice": "WEBVTT\n\n00:05.000 --> 00:08.000 align:end\n<v Alex>silt at two metres\nonly a bit\n",
    "overlap": "WEBVTT\n\n00:10.000 --> 00:14.000\nwet\n\n00:12.000 --> 00:15.000\nstill wet\n",
    "three digits of hours": "WEBVTT\n\n120:00:00.000 --> 120:00:02.000\nhome time\n",
    "escapes": "WEBVTT\n\n00:00.000 --> 00:03.100\nfat &amp; rag, gap &lt; 5&nbsp;mil\n",
    "spans": "WEBVTT\n\n00:00.000 --> 00:03.100\n<i>dry</i> <c.loud.late>bend</c> <00:02.000><lang en-NZ>eh</lang>\n",
    "style and region": "WEBVTT\n\nSTYLE\n::cue {}\n\nREGION\nid:a\n\n00:00.000 --> 00:03.100\nbend\n\nNOTE\nend\n",
    "carriage returns": "WEBVTT\r\n\r\n00:00.000 --> 00:03.100\r\nbend\r\n",
    "no text in a cue": "WEBVTT\n\n00:00.000 --> 00:03.100\n\n00:04.000 --> 00:05.000\nbend\n",
    "spaces and tabs about the arrow": "WEBVTT\n\n00:00.000 \t --> \t00:03.100\t line:0\nbend\n",
    "same start": "WEBVTT\n\n00:01.000 --> 00:03.100\nbend\n\n00:01.000 --> 00:02.000\nwet\n",
}
INVALID = {  # file, line of the fault, words that a lax reader must still give
    "comma": ("WEBVTT\n\n00:00,000 --> 00:03,100\ndown we go\n", 3, "down we go"),
    "two digits of thousandths": ("WEBVTT\n\n00:00.00 --> 00:03.10\ndown we go\n", 3, "down we go"),
    "no empty line after the magic": ("WEBVTT\n00:00.000 --> 00:03.100\ndown we go\n", 2, "down we go"),
    "seconds over 59": ("WEBVTT\n\n00:57.000 --> 00:60.000\ndown we go\n", 3, "down we go"),
    "minutes over 59": ("WEBVTT\n\n60:00.000 --> 61:00.000\ndown we go\n", 3, "down we go"),
    "minutes of one digit": ("WEBVTT\n\n0:03.000 --> 0:07.000\ndown we go\n", 3, "down we go"),
    "hours of one digit": ("WEBVTT\n\n1:00:03.000 --> 1:00:07.000\ndown we go\n", 3, "down we go"),
    "another first line": ("WEBVTTX\n\n00:00.000 --> 00:03.100\ndown we go\n", 1, "down we go"),
    "no space about the arrow": ("WEBVTT\n\n00:00.000-->00:03.100\ndown we go\n", 3, "down we go"),
    "end before start": ("WEBVTT\n\n00:05.000 --> 00:03.100\ndown we go\n", 3, "down we go"),
    "end at start": ("WEBVTT\n\n00:05.000 --> 00:05.000\ndown we go\n", 3, "down we go"),
    "backwards": ("WEBVTT\n\n00:05.000 --> 00:06.000\ndown\n\n00:04.000 --> 00:07.000\nwe go\n", 6, "down we go"),
    "bare ampersand": ("WEBVTT\n\n00:00.000 --> 00:03.100\ndown & in\n", 4, "down & in"),
    "bare less-than": ("WEBVTT\n\n00:00.000 --> 00:03.100\ngap < 5 mil\n", 4, "gap < 5 mil"),
    "arrow in the text": ("WEBVTT\n\n00:00.000 --> 00:03.100\ndown --> in\n", 4, "down --> in"),
    "text without times": ("WEBVTT\n\n00:00.000 --> 00:03.100\ndown\n\nwe go\n", 6, "down we go"),
    "two lines above the times": ("WEBVTT\n\nwe\ncue-1\n00:00.000 --> 00:03.100\ngo\n", 3, "we go"),
    "style after a cue": ("WEBVTT\n\n00:00.000 --> 00:03.100\ndown\n\nSTYLE\n::cue {}\n", 6, "down"),
    "a name twice": ("WEBVTT\n\na\n00:00.000 --> 00:03.100\ndown\n\na\n00:04.000 --> 00:05.000\ngo\n", 7, "down go"),
}


@pytest.mark.parametrize("case", VALID)
def test_valid_files_have_no_fault_and_no_note(case: str) -> None:
    text = VALID[case].replace("\r\n", "\n")
    narration = read_bytes(VALID[case].encode(), "visit.vtt")
    assert list(faults(text)) == []
    assert narration.text == words_by_contract(text, "visit.vtt")
    assert narration.notes == ()


@pytest.mark.parametrize("case", VALID)
def test_valid_files_are_valid_for_another_library_too(case: str) -> None:
    """webvtt-py, an independent reader, finds a cue with text wherever we do."""
    cues = [cue for cue in webvtt.from_string(VALID[case]) if cue.text.split()]
    said = read_bytes(VALID[case].encode(), "visit.vtt")
    assert cues[0].start_in_seconds <= (said.words[0].start_s or 0.0) <= (said.words[-1].end_s or 0.0)
    assert (said.words[-1].end_s or 0.0) <= max(cue.end_in_seconds + 1 for cue in cues)


@pytest.mark.parametrize("case", INVALID)
def test_invalid_files_have_their_fault_named_and_are_read_all_the_same(case: str) -> None:
    text, line, words = INVALID[case]
    assert [number for number, _ in faults(text)][:1] == [line]
    narration = read_bytes(text.encode(), "visit.vtt")
    assert narration.text == words
    assert any(f"line {line}" in note for note in narration.notes)
    assert all(word.start_s is not None for word in narration.words if case != "two lines above the times")
