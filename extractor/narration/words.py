"""A recogniser's JSON: segments, words, or both, with start and end in seconds.

    {"segments": [{"start": 0.0, "end": 1.2, "text": " in we go",
                   "words": [{"word": " in", "start": 0.0, "end": 0.3, "probability": 0.98}, ...]}]}

Shapes read: an object with `segments` or `words`, or a list of either at the top. A segment has `text`, or `words`, or
both; a word has `word` or `text`. `start` and `end` are always seconds (numbers, or numbers as text); `probability`
(also `score` or `confidence`) is from 0 to 1. Times that are missing are filled in from the neighbours and marked
interpolated. Where a segment's words and its text differ, the text stands, with a note that names the first difference;
its words keep the times of those they agree with. Where `words` stand beside `segments` that have none of their own,
they time the text of all segments.

Recognisers cut words at their own tokens: in a list whose words carry a leading space, one without it belongs to the
word before it (" T", "-junction").
"""

import json
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Any

from extractor.errors import NarrationError
from extractor.narration.blocks import Oddities, Spoken, spread
from extractor.narration.decode import without_controls
from extractor.narration.plain import LONGEST_S

_SHAPE = 'Give {"segments": [{"start", "end", "text"}]} or {"words": [{"word", "start", "end"}]}, times in seconds.'
LOOK_AHEAD = 6  # words that may differ in a row before the two sides are taken up again one by one
_SLOW_S = 20.0  # seconds a word: past this the times are hardly seconds


def read_words(text: str, where: str, oddities: Oddities) -> list[Spoken]:
    """Words of the segments in the order of the file.

    Raises:
        NarrationError: no JSON, or JSON of another shape.
    """
    spoken: list[Spoken] = []
    latest = 0.0
    for place, segment in _segments(_parsed(text, where), where):
        block = _segment_words(segment, place, where, oddities)
        starts = [word.start_s for word in block if word.start_s is not None]
        if starts and starts[0] < latest:
            oddities.add("times run backwards", place)
        latest = max([latest, *starts])
        spoken += block
    if spoken and latest > _SLOW_S * len(spoken):
        oddities.add("times look like milliseconds: read as seconds all the same")
    return spoken


def _parsed(text: str, where: str) -> Any:
    try:
        return json.loads(text)
    except json.JSONDecodeError as error:
        where = f"{where}, line {error.lineno}"
        raise NarrationError(
            f"is no JSON: {error.msg}.", where=where, todo="Export it from the recogniser again."
        ) from error
    except (ValueError, RecursionError) as error:
        raise NarrationError("is JSON that can't be read.", where=where, todo=_SHAPE) from error


def _segments(value: Any, where: str) -> Iterable[tuple[str, Mapping[str, Any]]]:
    """Each segment with its place; a bare list of words is one segment."""
    if isinstance(value, Mapping):
        segments, words = value.get("segments"), value.get("words")
        if segments and words:
            parts = [part for _, part in _listed(segments, "segments", where)]
            if all("words" not in part and isinstance(part.get("text"), str) for part in parts):
                return [("words", {"text": " ".join(part["text"] for part in parts), "words": words})]
        for key, items in (("segments", segments), ("words", words)):
            if items or (items is not None and not isinstance(value.get("text"), str)):
                return _listed(items, key, where)
        if isinstance(value.get("text"), str):
            return [("text", {"text": value["text"]})]
    elif isinstance(value, list) and value:
        return _listed(value, "list", where)
    raise NarrationError("is JSON, but not of a recording's words.", where=where, todo=_SHAPE)


def _listed(items: Any, key: str, where: str) -> Iterable[tuple[str, Mapping[str, Any]]]:
    if not isinstance(items, list) or not all(isinstance(item, Mapping) for item in items):
        raise NarrationError(f"is JSON, but {key!r} is no list of objects.", where=where, todo=_SHAPE)
    if key == "words" or all("word" in item for item in items):
        return [("words", {"words": items})]
    return [(f"segment {number}", item) for number, item in enumerate(items, start=1)]


def _segment_words(segment: Mapping[str, Any], place: str, where: str, oddities: Oddities) -> list[Spoken]:
    text, words = segment.get("text"), segment.get("words")
    if text is not None and not isinstance(text, str):
        raise NarrationError(f"is JSON, but the text of {place} is no text.", where=where, todo=_SHAPE)
    if words is not None and not (isinstance(words, list) and all(isinstance(word, Mapping) for word in words)):
        raise NarrationError(f"is JSON, but the words of {place} are no list of objects.", where=where, todo=_SHAPE)
    if text is None and not words:
        if words is None:
            raise NarrationError(f"is JSON, but {place} has neither text nor words.", where=where, todo=_SHAPE)
        return []
    start_s, end_s = _times(segment, place, oddities)
    if not words:
        said = _clean(text or "", oddities).split()
        if len(said) == 1:
            return [replace(_word(segment, place, where, oddities), text=said[0])]
        return spread(said, start_s, end_s)
    spoken = [_word(word, place, where, oddities) for word in words]
    if text is None:
        return _filled(_whole_words(spoken, _is_glued(spoken)), start_s, end_s)
    said = _clean(text, oddities).split()
    for glued in (True, False):
        whole = _whole_words(spoken, glued)
        if [word.text for word in whole] == said:
            return _filled(whole, start_s, end_s)
    aligned, difference = _aligned(said, _whole_words(spoken, _is_glued(spoken)))
    if difference:
        oddities.add("the words and the text differ: the text is read", f"{place}: {difference}")
    return _filled(aligned, start_s, end_s)


def _word(item: Mapping[str, Any], place: str, where: str, oddities: Oddities) -> Spoken:
    text = item.get("word", item.get("text"))
    if not isinstance(text, str):
        raise NarrationError(f"is JSON, but a word of {place} has no text.", where=where, todo=_SHAPE)
    start_s, end_s = _times(item, place, oddities)
    chance = next((item[key] for key in ("probability", "score", "confidence") if key in item), None)
    probability = _number(chance)
    if probability is not None and not 0 <= probability <= 1:
        oddities.add("a probability is not between 0 and 1: left out", place)
        probability = None
    return Spoken(_clean(text, oddities), start_s, end_s, probability=probability)


def _times(item: Mapping[str, Any], place: str, oddities: Oddities) -> tuple[float | None, float | None]:
    start_s, end_s = _number(item.get("start")), _number(item.get("end"))
    given = [item[key] for key in ("start", "end") if item.get(key) is not None]
    read = [time for time in (start_s, end_s) if time is not None]
    if len(read) < len(given) or any(not 0 <= time <= LONGEST_S for time in read):
        oddities.add("a time can't be read: left out", place)
        return None, None
    if start_s is not None and end_s is not None and end_s < start_s:
        oddities.add("a time ends before it starts: its words are kept at its start", place)
        end_s = start_s
    return start_s, end_s


def _number(value: Any) -> float | None:
    if isinstance(value, bool) or not isinstance(value, (int, float, str)):
        return None
    try:
        number = float(value)
    except (ValueError, OverflowError):
        return None
    return number if math.isfinite(number) else None


def _clean(text: str, oddities: Oddities) -> str:
    clean, replaced = without_controls(text)
    if replaced:
        oddities.add("control characters replaced by \ufffd")
    return clean


def _is_glued(words: Sequence[Spoken]) -> bool:
    return any(word.text[:1].isspace() for word in words[1:])


def _whole_words(pieces: Iterable[Spoken], glued: bool) -> list[Spoken]:
    """The recogniser's pieces as words one would write: glued where no space parts them, split where one does."""
    words: list[Spoken] = []
    open_ended = False  # the last piece ended in a space
    for piece in pieces:
        parts = piece.text.split()
        if not parts:
            open_ended = True
            continue
        shared = spread(parts, piece.start_s, piece.end_s)
        timed = [Spoken(w.text, w.start_s, w.end_s, w.interpolated, piece.probability) for w in shared]
        if glued and words and not open_ended and not piece.text[:1].isspace():
            words[-1] = _joined(words[-1], timed.pop(0))
        words += timed
        open_ended = piece.text[-1:].isspace()
    return words


def _aligned(said: Sequence[str], timed: Sequence[Spoken]) -> tuple[list[Spoken], str]:
    """The words of the text with the times of the timed words they agree with, and the first place where they don't.

    Marks and capitals are no difference. Looks a few words ahead and no further, so the cost stays linear.
    """
    keys, timed_keys = [_letters(word) for word in said], [_letters(word.text) for word in timed]
    out: list[Spoken] = []
    difference = ""
    at = other = 0
    while at < len(said):
        skip, skip_other = _next_agreement(keys, timed_keys, at, other)
        if (skip or skip_other) and not difference:
            heard = " ".join(word.text for word in timed[other : other + skip_other])
            difference = f"{' '.join(said[at : at + skip])!r} in the text, {heard!r} in the words"
        out += [Spoken(word) for word in said[at : at + skip]]
        at, other = at + skip, other + skip_other
        if at < len(said) and other < len(timed) and keys[at] == timed_keys[other]:
            word = timed[other]
            out.append(Spoken(said[at], word.start_s, word.end_s, word.interpolated, word.probability))
            at, other = at + 1, other + 1
    return out, difference


def _next_agreement(keys: Sequence[str], timed_keys: Sequence[str], at: int, other: int) -> tuple[int, int]:
    """How many words to skip on each side until both agree; one on each side where they don't soon."""
    for ahead in range(2 * LOOK_AHEAD + 1):
        for skip in range(max(0, ahead - LOOK_AHEAD), min(ahead, LOOK_AHEAD) + 1):
            here, there = at + skip, other + ahead - skip
            if here < len(keys) and there < len(timed_keys) and keys[here] == timed_keys[there]:
                return skip, ahead - skip
    return 1, min(1, len(timed_keys) - other)


def _letters(word: str) -> str:
    return "".join(character for character in word.casefold() if character.isalnum()) or word


def _joined(first: Spoken, second: Spoken) -> Spoken:
    chances = [word.probability for word in (first, second) if word.probability is not None]
    start_s = first.start_s if first.start_s is not None else second.start_s
    end_s = second.end_s if second.end_s is not None else first.end_s
    if start_s is not None and end_s is not None:
        end_s = max(start_s, end_s)
    interpolated = first.interpolated or second.interpolated
    return Spoken(first.text + second.text, start_s, end_s, interpolated, min(chances, default=None))


def _filled(words: list[Spoken], start_s: float | None, end_s: float | None) -> list[Spoken]:
    """Words with no time of their own get the gap between their neighbours, or the ends of the segment."""
    filled: list[Spoken] = []
    at = 0
    while at < len(words):
        upto = at
        while upto < len(words) and (words[upto].start_s is None or words[upto].end_s is None):
            upto += 1
        if upto > at:
            before = filled[-1].end_s if filled else start_s
            after = words[upto].start_s if upto < len(words) else end_s
            shared = spread([word.text for word in words[at:upto]], before, after)
            for word, timed in zip(words[at:upto], shared, strict=True):
                filled.append(
                    Spoken(word.text, timed.start_s, timed.end_s, timed.start_s is not None, word.probability)
                )
            at = upto
        else:
            filled.append(words[at])
            at += 1
    return filled
