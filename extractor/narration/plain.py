"""Text with `[m:ss]` or `[h:mm:ss]` marks, a fraction of a second allowed.

    [0:04] in at the gully        ->  in at the gully             0:04 to 0:09, interpolated
    # wind on the microphone          going down
    [0:09] going down                                             0:09 to an estimate

A line that starts with `#` is a remark and not spoken. A block lasts until the next mark, the last one for as long as
it would take at the usual pace. What stands before the first mark was said between 0 and that mark. Without marks, no
times.
"""

import re

from extractor.narration.blocks import Oddities, Spoken, estimated_end, spread

_MARK = re.compile(r"\[(\d+(?::\d{2}){1,2}(?:\.\d+)?)\]")
_OTHER_MARK = re.compile(r"^[(\[]?\d{1,2}:\d{2}(?::\d{2})?(?![\d:])", re.MULTILINE)
LONGEST_S = 1_000_000.0  # about eleven days: a time past this is a slip of the file, not of a recording


def read_plain(text: str, oddities: Oddities) -> list[Spoken]:
    """Words of the text with the times of their blocks."""
    spoken_text = "\n".join("" if line.startswith("#") else line for line in text.split("\n"))
    first, *marked = _MARK.split(spoken_text)
    times = [_seconds(mark, oddities) for mark in marked[::2]]
    starts = [0.0 if times else None, *times]
    if not times and len(_OTHER_MARK.findall(spoken_text)) > 1:
        oddities.add("lines begin with times in another form than [m:ss]: read as words, without times")
    spoken: list[Spoken] = []
    for block, start_s, next_s in zip([first, *marked[1::2]], starts, [*starts[1:], None], strict=True):
        if start_s is not None and next_s is not None and next_s < start_s:
            oddities.add("times run backwards", _clock(next_s))
            next_s = None
        spoken += _block(block.split(), start_s, next_s)
    return spoken


def _block(words: list[str], start_s: float | None, next_s: float | None) -> list[Spoken]:
    if start_s is None:
        return [Spoken(word) for word in words]
    end_s = estimated_end(start_s, len(words)) if next_s is None else next_s
    # Only the start of a block is given, never its end: even a single word's time is in part a guess.
    return [Spoken(word.text, word.start_s, word.end_s, interpolated=True) for word in spread(words, start_s, end_s)]


def has_marks(text: str) -> bool:
    """Whether a `[m:ss]` mark stands in the text."""
    return bool(_MARK.search(text))


def _seconds(mark: str, oddities: Oddities) -> float | None:
    parts = mark.split(":")
    if any(len(part) > 12 for part in parts[:-1]):
        oddities.add("a time mark is too long to be one: its words have no time")
        return None
    seconds = float(parts[-1])
    for part, size in zip(reversed(parts[:-1]), (60, 3600), strict=False):
        seconds += int(part) * size
    if float(parts[-1]) >= 60 or (len(parts) == 3 and int(parts[1]) >= 60):
        oddities.add("a time mark has more than 59 minutes or seconds: counted on", f"[{mark}]")
    if seconds > LONGEST_S:
        oddities.add("a time mark is too far on to be one: its words have no time", f"[{mark}]")
        return None
    return seconds


def _clock(seconds: float) -> str:
    minutes, rest = divmod(int(seconds), 60)
    return f"[{minutes}:{rest:02d}]"
