"""What must hold for every narration, whatever its file; and the contract's rule for its words, written anew."""

import hashlib
import math

from extractor.reading import Narration


def assert_sound(narration: Narration, data: bytes) -> None:
    assert narration.words
    assert narration.sha256 == hashlib.sha256(data).hexdigest()
    assert narration.text == " ".join(narration.text.split())
    assert narration.text == " ".join(word.text for word in narration.words)
    narration.text.encode("utf-8")
    assert not any(character < " " or "\x7f" <= character < "\xa0" for character in narration.text)
    assert narration.source and "/" not in narration.source and narration.encoding
    at = 0
    for word in narration.words:
        assert word.text and word.first_char == at and word.last_char == at + len(word.text)
        assert narration.text[word.first_char : word.last_char] == word.text
        at = word.last_char + 1
        if word.start_s is None:
            assert not word.interpolated
        for time in (word.start_s, word.end_s):
            assert time is None or (math.isfinite(time) and time >= 0)
        if word.start_s is not None and word.end_s is not None:
            assert word.start_s <= word.end_s
        assert word.probability is None or 0 <= word.probability <= 1


def words_by_contract(text: str, name: str) -> str:
    """The words of a sound file as the contract of the survey record defines them.

    Marked text: without lines that start with "#" and without [m:ss] or [h:mm:ss] marks. Captions: in each block of
    lines parted by blank ones, what stands below the first line with an arrow, without anything in angle brackets.
    """
    text = text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    if not name.endswith((".srt", ".vtt")):
        lines = [line for line in text.split("\n") if not line.startswith("#")]
        return " ".join(_without_marks("\n".join(lines)).split())
    kept, below_times = [], False
    for line in text.split("\n"):
        if not line.strip():
            below_times = False
        elif below_times:
            kept.append(line)
        elif "-->" in line:
            below_times = True
    said, depth = "", 0
    for character in "\n".join(kept):
        depth = 1 if character == "<" else depth
        said += "" if depth else character
        depth = 0 if character == ">" else depth
    return " ".join(said.split())


def _without_marks(text: str) -> str:
    out = []
    for piece in text.split("["):
        mark, bracket, rest = piece.partition("]")
        out.append(" " + rest if bracket and _is_mark(mark) else "[" + piece)
    return "".join(out).removeprefix("[")


def _is_mark(mark: str) -> bool:
    whole, point, fraction = mark.partition(".")
    first, *others = whole.split(":")
    return (
        first.isdecimal()
        and len(others) in (1, 2)
        and all(len(other) == 2 and other.isdecimal() for other in others)
        and (fraction.isdecimal() if point else True)
    )
