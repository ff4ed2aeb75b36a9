"""A recogniser's JSON: shapes, pieces of words, times that are missing or wrong, text and words that differ."""

import json
from typing import Any

import pytest

from extractor.errors import NarrationError
from extractor.narration import read_bytes
from extractor.reading import Narration

from .soundness import assert_sound


def read(value: Any) -> Narration:
    data = json.dumps(value).encode()
    narration = read_bytes(data, "visit.json")
    assert_sound(narration, data)
    return narration


def word(text: str, start: Any = None, end: Any = None, **more: Any) -> dict[str, Any]:
    return {"word": text, "start": start, "end": end, **more}


def ends(narration: Narration) -> list[tuple[str, float | None, float | None, bool]]:
    return [(word.text, word.start_s, word.end_s, word.interpolated) for word in narration.words]


WET, BEND = word(" wet", 1.0, 1.5, probability=0.5), word(" bend.", 1.5, 2.25, probability=0.75)
SHAPES = {
    "segments with words": {"segments": [{"start": 1.0, "end": 2.25, "text": " wet bend.", "words": [WET, BEND]}]},
    "segments with words, no text": {"segments": [{"start": 1.0, "end": 2.25, "words": [WET, BEND]}]},
    "words alone": {"words": [WET, BEND]},
    "a list of words": [WET, BEND],
    "a list of segments": [{"text": "wet bend.", "words": [WET, BEND]}],
    "text for word": {"words": [{"text": "wet", "start": 1, "end": 1.5, "score": 0.5}, {**BEND, "word": "bend."}]},
    "a list with text": [
        {"text": "wet", "start": 1, "end": 1.5, "confidence": 0.5},
        {"text": " bend.", "start": 1.5, "end": 2.25},
    ],
    "numbers as text": {"words": [word("wet", "1.0", "1.50", probability="0.5"), BEND]},
    "words beside segments": {
        "segments": [{"text": "wet"}, {"text": "bend."}],
        "words": [WET, word("Bend", 1.5, 2.25)],
    },
    "other fields": {
        "language": "en",
        "text": "wet bend.",
        "segments": [{"id": 0, "words": [WET, BEND], "tokens": [1]}],
    },
}


@pytest.mark.parametrize("shape", SHAPES)
def test_every_documented_shape_gives_words_with_their_own_times(shape: str) -> None:
    narration = read(SHAPES[shape])
    assert narration.text == "wet bend."
    assert ends(narration) == [("wet", 1.0, 1.5, False), ("bend.", 1.5, 2.25, False)]
    assert narration.words[0].probability == 0.5
    assert narration.notes == ()


def test_segments_without_words_have_their_time_shared_out() -> None:
    narration = read({"segments": [{"start": 0, "end": 8, "text": "at six."}, {"start": 8, "end": 9, "text": "dry"}]})
    assert ends(narration) == [("at", 0.0, 3.0, True), ("six.", 3.0, 8.0, True), ("dry", 8.0, 9.0, False)]


def test_text_alone_is_read_without_times() -> None:
    assert ends(read({"text": "dry bend", "segments": []})) == [("dry", None, None, False), ("bend", None, None, False)]


def test_pieces_of_a_word_are_put_together_where_no_space_parts_them() -> None:
    pieces = [
        word(" at", 0, 1),
        word(" 3", 1, 1.5, probability=0.9),
        word(".7", 1.5, 2, probability=0.4),
        word(" a", 2, 3),
    ]
    narration = read([*pieces, word(" T", 3, 4), word("-junction", 4, 5)])
    assert narration.text == "at 3.7 a T-junction"
    assert ends(narration)[1] == ("3.7", 1.0, 2.0, False)
    assert narration.words[1].probability == 0.4


def test_a_word_without_times_gets_the_gap_between_its_neighbours() -> None:
    narration = read([word("at", 0.0, 1.0), word("3.3"), word("bend", 2.0, 2.5), word("dry")])
    assert ends(narration)[1:] == [("3.3", 1.0, 2.0, True), ("bend", 2.0, 2.5, False), ("dry", 2.5, 2.5, True)]


def test_where_text_and_words_differ_the_text_is_read_and_the_difference_named() -> None:
    words = [word(" about", 1, 2), word(" 17", 2, 3), word("%", 3, 3.5), word(" lost", 4, 5)]
    narration = read({"segments": [{"start": 1, "end": 5, "text": " about 70% lost", "words": words}]})
    assert narration.text == "about 70% lost"
    assert ends(narration) == [("about", 1.0, 2.0, False), ("70%", 2.0, 4.0, True), ("lost", 4.0, 5.0, False)]
    assert "'70%' in the text, '17%' in the words" in narration.notes[0]


def test_words_missing_from_the_list_are_not_lost() -> None:
    narration = read(
        {"segments": [{"text": "dry as far as the bend", "words": [word("dry", 0, 1), word("bend", 4, 5)]}]}
    )
    assert narration.text == "dry as far as the bend"
    assert ends(narration)[-1] == ("bend", 4.0, 5.0, False)
    assert "'as far as the' in the text, '' in the words" in narration.notes[0]


@pytest.mark.parametrize(
    ("value", "note"),
    [
        ([word("wet", 2, 1)], "ends before it starts"),
        ([word("wet", -1, 1)], "a time can't be read"),
        ([word("wet", float("nan"), 1)], "a time can't be read"),
        ([word("wet", 1e300, 1e301)], "a time can't be read"),
        ([word("wet", "soon", 1)], "a time can't be read"),
        ([word("wet", True, 1)], "a time can't be read"),
        ([word("wet", 1, 2, probability=7)], "not between 0 and 1"),
        ([word("wet", 1000, 2000), word("bend", 2000, 2600)], "look like milliseconds"),
        (
            {"segments": [{"start": 5, "end": 6, "text": "wet"}, {"start": 1, "end": 2, "text": "dry"}]},
            "backwards (segment 2)",
        ),
        ([word("we\x00t\ud800", 1, 2)], "control characters replaced"),
    ],
)
def test_odd_values_keep_the_words_and_leave_a_note(value: Any, note: str) -> None:
    narration = read(value)
    assert narration.words[0].text.startswith("we")
    assert note in " ".join(narration.notes)


@pytest.mark.parametrize(
    "value",
    [
        {},
        [],
        {"a": 1},
        [1, 2],
        {"segments": 1},
        {"segments": "wet"},
        {"segments": [1], "words": [2]},
        {"segments": [{}]},
        {"segments": [{"text": 5}]},
        {"segments": [{"words": "wet"}]},
        {"segments": [{"words": [5]}]},
        {"segments": [{"words": [{"start": 1}]}]},
        {"words": [{"word": None}]},
        {"words": [{"word": "  "}]},
        {"segments": []},
        "wet",
        [[["wet"]]],
    ],
)
def test_json_of_another_shape_is_refused(value: Any) -> None:
    with pytest.raises(NarrationError, match=r"visit\.json"):
        read_bytes(json.dumps(value).encode(), "visit.json")


@pytest.mark.parametrize(
    "text", ['{"segments": [', "[" * 100_000, '{"words": [{"word": "a", "start": ' + "9" * 5000 + "}]}"]
)
def test_json_that_cannot_be_parsed_is_refused(text: str) -> None:
    with pytest.raises(NarrationError):
        read_bytes(text.encode(), "visit.json")
