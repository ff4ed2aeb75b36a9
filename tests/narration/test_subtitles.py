"""SubRip and WebVTT as they come in the wild. Each file shows common practice (no source) unless one is named."""

import pytest

from extractor.narration import read_bytes
from extractor.narration.subtitles import time_s
from extractor.reading import Narration

from .soundness import assert_sound, words_by_contract

FIRST = "1\n00:00:01,000 --> 00:00:03,500\n"
SECOND = "2\n00:00:04,000 --> 00:00:06,000\n"


def read(text: str, name: str = "visit.srt") -> Narration:
    narration = read_bytes(text.encode(), name)
    assert_sound(narration, text.encode())
    return narration


def ends(narration: Narration) -> list[tuple[str, float | None, float | None]]:
    return [(word.text, word.start_s, word.end_s) for word in narration.words]


SOUND = {  # name: file, its cues as (words, start, end)
    "usual": (f"{FIRST}dry bend\n\n{SECOND}wet\n\n", "visit.srt"),
    "no empty line at the end": (f"{FIRST}dry bend\n\n{SECOND}wet", "visit.srt"),
    "carriage returns": (f"{FIRST}dry bend\n\n{SECOND}wet\n".replace("\n", "\r\n"), "visit.srt"),
    "old carriage returns": (f"{FIRST}dry bend\n\n{SECOND}wet\n".replace("\n", "\r"), "visit.srt"),
    "full stop for comma": (f"{FIRST}dry bend\n\n{SECOND}wet\n".replace(",", "."), "visit.srt"),
    "no counters": (f"{FIRST[2:]}dry bend\n\n{SECOND[2:]}wet\n", "visit.srt"),
    "wrong counters": (f"7{FIRST[1:]}dry bend\n\n7{SECOND[1:]}wet\n", "visit.srt"),
    "byte order mark": (f"\ufeff{FIRST}dry bend\n\n{SECOND}wet\n", "visit.srt"),
    "slanted": (f"{FIRST}<i>dry</i>\n<font color='#fff'>bend</font>\n\n{SECOND}<b>wet</b>\n", "visit.srt"),
    "several empty lines": (f"\n\n{FIRST}dry bend\n\n \n\n{SECOND}wet\n", "visit.srt"),
    "spaces about the times": (f"{FIRST} dry  bend \n\n{SECOND}wet\n".replace(" --> ", "  -->  "), "visit.srt"),
    "no spaces about the arrow": (f"{FIRST}dry bend\n\n{SECOND}wet\n".replace(" --> ", "-->"), "visit.srt"),
    "places on the screen": (f"{FIRST}dry bend\n\n{SECOND}wet\n".replace("03,500", "03,500 X1:1 Y1:2"), "visit.srt"),
    "webvtt": ("WEBVTT\n\n00:01.000 --> 00:03.500\ndry bend\n\n00:04.000 --> 00:06.000\nwet\n", "visit.vtt"),
    "webvtt with everything": (
        "WEBVTT second visit\n\nSTYLE\n::cue { color: white }\n\nREGION\nid:a width:40%\n\n"
        "NOTE the pump ran\nall day\n\ncue-1\n00:01.000 --> 00:03.500 align:start line:0\n"
        "<v Sam>dry\n<c.loud>bend</c>\n\nNOTE\n\n"
        "00:00:04.000 --> 00:00:06.000\nwet\n\n",
        "visit.vtt",
    ),
}


@pytest.mark.parametrize("case", SOUND)
def test_sound_files_give_words_and_times_of_their_cues(case: str) -> None:
    text, name = SOUND[case]
    narration = read(text, name)
    assert narration.text == "dry bend wet" == words_by_contract(text, name)
    assert ends(narration) == [("dry", 1.0, 2.111), ("bend", 2.111, 3.5), ("wet", 4.0, 6.0)]
    assert [word.interpolated for word in narration.words] == [True, True, False]
    assert narration.notes == ()


BROKEN = {  # name: file, name of the file, the words, a piece of the note
    "no empty line between": (
        f"{FIRST}dry\n{SECOND}wet",
        "visit.srt",
        "dry wet",
        "no empty line between two cues (line 5",
    ),
    "empty line within": (f"{FIRST}dry\n\nbend\n\n{SECOND}wet", "visit.srt", "dry bend wet", "no times of its own"),
    "empty line above the counter": (
        f"{FIRST}dry\n\nbend\n{SECOND}wet",
        "visit.srt",
        "dry bend wet",
        "no times of its own",
    ),
    "text before the first cue": (f"hello there\n\n{FIRST}dry", "visit.srt", "hello there dry", "no times of its own"),
    "text after an empty line in webvtt": (
        "WEBVTT\n\n00:01.000 --> 00:03.500\ndry\n\nbend\n",
        "visit.vtt",
        "dry bend",
        "no times of its own",
    ),
    "ends before it starts": (
        "1\n00:00:09,000 --> 00:00:03,500\ndry bend\n",
        "visit.srt",
        "dry bend",
        "a cue ends before it starts: its words are kept at its start (line 2)",
    ),
    "runs backwards": (f"{SECOND}wet\n\n{FIRST}dry\n", "visit.srt", "wet dry", "times run backwards (line 6)"),
    "times that are none": (
        "1\n00:aa --> 00:00:03,500\ndry\n\n" + SECOND + "wet",
        "visit.srt",
        "dry wet",
        "times can't be read",
    ),
    "half a time": ("1\n00:00:01,000 --> \ndry\n", "visit.srt", "dry", "times can't be read"),
    "four parts": (
        "1\n00:00:01:000 --> 00:00:03:500\ndry\n\n" + SECOND + "wet",
        "visit.srt",
        "dry wet",
        "times can't be read",
    ),
    "words beside the times": (
        FIRST.rstrip() + " dry bend\n\n" + SECOND + "wet",
        "visit.srt",
        "dry bend wet",
        "on a timing line",
    ),
    "less than": (f"{FIRST}gap < 5 mil\n\n{SECOND}then > 3\n", "visit.srt", "gap < 5 mil then > 3", "'<' with no '>'"),
    "less and more than": (
        f"{FIRST}gap <5 mil or> 3\n",
        "visit.srt",
        "gap 3",
        "left out as a tag (line 2: '<5 mil or>'",
    ),
    "a name for a counter": (f"first cue\n{FIRST[2:]}dry\n", "visit.srt", "dry", "line 1: 'first cue'"),
    "a counter alone at the end": (f"{FIRST}dry\n\n2\n", "visit.srt", "dry", ""),
    "a counter parted from its times": (f"1\n\n{FIRST[2:]}dry\n", "visit.srt", "dry", ""),
    "a number of its own": (f"{FIRST}at\n\n12\n\nmetres\n", "visit.srt", "at 12 metres", "no times of its own"),
    "an arrow that was said": (f"{FIRST}inlet --> outlet\n", "visit.srt", "inlet --> outlet", ""),
    "header and cue run together": (
        "WEBVTT\n00:01.000 --> 00:03.500\ndry\n",
        "visit.vtt",
        "dry",
        "no empty line after",
    ),
}


@pytest.mark.parametrize("case", BROKEN)
def test_broken_files_lose_no_words_and_say_so(case: str) -> None:
    text, name, words, note = BROKEN[case]
    narration = read(text, name)
    assert narration.text == words
    assert note in " ".join(narration.notes)


def test_a_cue_that_ends_before_it_starts_has_its_words_at_its_start() -> None:
    narration = read("1\n00:00:09,000 --> 00:00:03,500\ndry bend\n")
    assert {(word.start_s, word.end_s) for word in narration.words} == {(9.0, 9.0)}


def test_text_after_an_empty_line_shares_the_time_of_its_cue() -> None:
    assert ends(read(f"{FIRST}dry\n\nbend\n\n{SECOND}wet"))[1] == ("bend", 2.111, 3.5)


def test_cues_of_one_word_keep_their_times_as_given() -> None:
    narration = read(f"{FIRST}dry\n\n{SECOND}wet\n")
    assert not any(word.interpolated for word in narration.words)


def test_time_tags_within_a_cue_time_the_words_after_them() -> None:
    """W3C WebVTT 4.2.2: a cue timestamp is when what follows it becomes active."""
    text = "WEBVTT\n\n00:00.000 --> 00:10.000\nsmall <00:02.000>root <00:05.500><c>at six</c>\n"
    narration = read(text, "visit.vtt")
    assert narration.text == words_by_contract(text, "visit.vtt")
    assert ends(narration) == [("small", 0.0, 2.0), ("root", 2.0, 5.5), ("at", 5.5, 7.429), ("six", 7.429, 10.0)]


def test_character_references_stay_as_written() -> None:
    """A quote is always as written (the contract), so the reader must not change a letter of it."""
    assert read("WEBVTT\n\n00:00.000 --> 00:10.000\nfat &amp; rag\n", "visit.vtt").text == "fat &amp; rag"


@pytest.mark.parametrize(
    ("time", "seconds"),
    [
        ("00:01.500", 1.5),
        ("00:00:01,500", 1.5),
        ("1:02:03.004", 3723.004),
        ("100:00:00.000", 360000.0),
        ("00:61.000", 61.0),
        ("0:05", 5.0),
        ("00:00:01:12", None),
        ("-00:01.000", None),
        ("00:01.0.0", None),
        ("9" * 50 + ":00", None),
        ("999999999:00:00", None),
        ("１:０0", 60.0),
        ("", None),
    ],
)
def test_times_are_read_laxly(time: str, seconds: float | None) -> None:
    assert time_s(time) == seconds
