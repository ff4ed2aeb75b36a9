"""Independent libraries read what we read: srt and pysubs2 for SubRip, webvtt-py and pysubs2 for WebVTT.

The files are generated and sound. On broken ones the libraries differ from each other; that they lose words there is
why none of them does the reading.
"""

from datetime import timedelta
from itertools import pairwise

import pysubs2
import pytest
import srt
import webvtt
from hypothesis import given, settings
from hypothesis import strategies as st

from extractor.narration import read_bytes
from extractor.narration.blocks import Oddities
from extractor.narration.subtitles import find_cues

from .soundness import assert_sound, words_by_contract

LETTERS = "abcdefgXYZ0123456789.,'%-½é"
WORDS = st.text(LETTERS, min_size=1, max_size=8).filter(lambda word: "--" not in word and not word.isdecimal())
LINES = st.lists(WORDS, min_size=1, max_size=5).map(" ".join)
CUES = st.lists(
    st.tuples(st.integers(0, 9000), st.integers(1, 40_000), st.lists(LINES, min_size=1, max_size=3)),
    min_size=1,
    max_size=8,
)
Cue = tuple[int, int, str]  # start and end in milliseconds, text with line ends


def timed(steps: list[tuple[int, int, list[str]]]) -> list[Cue]:
    """Cues in order of their start, from pauses and lengths in milliseconds."""
    cues, at = [], 0
    for pause, length, lines in steps:
        at += pause
        cues.append((at, at + length, "\n".join(lines)))
    return cues


def as_subrip(cues: list[Cue]) -> str:
    return "\n".join(
        f"{number}\n{srt.timedelta_to_srt_timestamp(timedelta(milliseconds=start))} --> "
        f"{srt.timedelta_to_srt_timestamp(timedelta(milliseconds=end))}\n{text}\n"
        for number, (start, end, text) in enumerate(cues, start=1)
    )


def as_webvtt(cues: list[Cue]) -> str:
    def clock(ms: int) -> str:
        return f"{ms // 3_600_000:02}:{ms // 60_000 % 60:02}:{ms // 1000 % 60:02}.{ms % 1000:03}"

    return "WEBVTT\n" + "".join(f"\n{clock(start)} --> {clock(end)}\n{text}\n" for start, end, text in cues)


def ours(text: str) -> list[Cue]:
    return [
        (round((cue.start_s or 0) * 1000), round((cue.end_s or 0) * 1000), "\n".join(cue.speech))
        for cue in find_cues(text, Oddities())
    ]


def by_srt(text: str) -> list[Cue]:
    return [
        (round(cue.start.total_seconds() * 1000), round(cue.end.total_seconds() * 1000), cue.content)
        for cue in srt.parse(text)
    ]


def by_pysubs2(text: str, kind: str) -> list[Cue]:
    read = pysubs2.SSAFile.from_string(text, format_=kind)
    return [(event.start, event.end, event.plaintext) for event in read]


def by_webvtt_py(text: str) -> list[Cue]:
    def ms(clock: str) -> int:
        hours, minutes, seconds = clock.split(":")
        return round((int(hours) * 3600 + int(minutes) * 60 + float(seconds)) * 1000)

    return [(ms(cue.start), ms(cue.end), cue.text) for cue in webvtt.from_string(text)]


@settings(max_examples=60, deadline=None)
@given(CUES)
def test_subrip_cues_are_those_of_srt_and_pysubs2(steps: list[tuple[int, int, list[str]]]) -> None:
    cues = timed(steps)
    text = as_subrip(cues)
    assert ours(text) == cues == by_srt(text) == by_pysubs2(text, "srt")


@settings(max_examples=60, deadline=None)
@given(CUES)
def test_webvtt_cues_are_those_of_webvtt_py_and_pysubs2(steps: list[tuple[int, int, list[str]]]) -> None:
    cues = timed(steps)
    text = as_webvtt(cues)
    assert ours(text) == cues == by_webvtt_py(text) == by_pysubs2(text, "vtt")


@settings(max_examples=60, deadline=None)
@given(CUES, st.sampled_from(["\n", "\r\n", "\r"]), st.sampled_from(["utf-8", "utf-8-sig", "utf-16"]), st.booleans())
def test_words_and_times_follow_from_the_cues(
    steps: list[tuple[int, int, list[str]]], line_end: str, encoding: str, is_webvtt: bool
) -> None:
    cues = timed(steps)
    name = "visit.vtt" if is_webvtt else "visit.srt"
    text = as_webvtt(cues) if is_webvtt else as_subrip(cues)
    data = text.replace("\n", line_end).encode(encoding)
    narration = read_bytes(data, name)
    assert_sound(narration, data)
    assert narration.notes == ()
    assert narration.text == words_by_contract(text, name) == " ".join(" ".join(cue[2] for cue in cues).split())
    at = 0
    for start, end, speech in cues:
        words = narration.words[at : at + len(speech.split())]
        at += len(words)
        assert words[0].start_s == pytest.approx(start / 1000)
        assert words[-1].end_s == pytest.approx(end / 1000)
        assert all(before.end_s == after.start_s for before, after in pairwise(words))
    assert at == len(narration.words)
