"""Marked text: words, blocks and their times."""

import pytest

from extractor.narration import read_bytes
from extractor.narration.blocks import WORDS_PER_MINUTE

from .soundness import assert_sound, words_by_contract


def times(text: str) -> list[tuple[str, float | None, float | None]]:
    narration = read_bytes(text.encode(), "visit.txt")
    return [(word.text, word.start_s, word.end_s) for word in narration.words]


def test_a_block_lasts_until_the_next_mark_and_is_shared_out_by_length() -> None:
    narration = read_bytes(b"[0:10] one three\n[0:20] on", "visit.txt")
    assert [(w.text, w.start_s, w.end_s) for w in narration.words[:2]] == [("one", 10.0, 14.0), ("three", 14.0, 20.0)]
    assert all(word.interpolated for word in narration.words)
    assert narration.notes == ()


def test_the_last_block_ends_where_the_usual_pace_would_end_it() -> None:
    *_, (_, _, end) = times("[1:00] " + "word " * 30)
    assert end == 60 + 30 * 60 / WORDS_PER_MINUTE


@pytest.mark.parametrize(
    ("mark", "start"),
    [("[0:05]", 5.0), ("[12:00]", 720.0), ("[1:02:03]", 3723.0), ("[0:05.25]", 5.25), ("[75:30]", 4530.0)],
)
def test_marks_with_and_without_hours_and_fractions(mark: str, start: float) -> None:
    assert times(f"{mark} dry")[0][1] == start


def test_two_marks_on_one_line_part_two_blocks() -> None:
    assert times("[0:00] dry [0:04] wet [0:08] end")[1] == ("wet", 4.0, 8.0)


def test_text_before_the_first_mark_was_said_before_it() -> None:
    assert times("hello\n[0:30] dry")[0] == ("hello", 0.0, 30.0)


def test_text_without_marks_has_no_times() -> None:
    narration = read_bytes(b"dry as far\nas the bend", "visit.txt")
    assert narration.text == "dry as far as the bend"
    assert all(word.start_s is None and word.end_s is None and not word.interpolated for word in narration.words)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("# pump running\n[0:00] dry\n#end", "dry"),
        ("[0:00] outlet # two", "outlet # two"),
        (" # not at the start", "# not at the start"),
        ("[0:00]dry[0:05]wet", "dry wet"),
        ("[0:0] dry [x] [0:00:00:00] (0:10)", "[0:0] dry [x] [0:00:00:00] (0:10)"),
        ("dry\u00a0bend\u2003end\r\nmore\rlast", "dry bend end more last"),
    ],
)
def test_words_are_those_of_the_contract(text: str, words: str) -> None:
    narration = read_bytes(text.encode(), "visit.txt")
    assert narration.text == words == words_by_contract(text, "visit.txt")


@pytest.mark.parametrize(
    ("text", "note"),
    [
        ("[0:30] late [0:10] early", "times run backwards ([0:10])"),
        ("[0:75] dry", "more than 59 minutes or seconds: counted on ([0:75])"),
        ("[9999999999:00] dry", "too far on"),
        (f"[{'9' * 5000}:00] dry", "too long"),
        ("00:10 dry\n00:20 wet", "times in another form"),
    ],
)
def test_odd_times_keep_the_words_and_leave_a_note(text: str, note: str) -> None:
    narration = read_bytes(text.encode(), "visit.txt")
    assert_sound(narration, text.encode())
    assert narration.text == words_by_contract(text, "visit.txt")
    assert note in " ".join(narration.notes)
