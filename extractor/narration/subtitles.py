"""SubRip and WebVTT, read as they come: what a strict reader would drop is kept, and said.

    2                                     ->  going down the outlet        4.2 s to 7.0 s, interpolated
    00:00:04,200 --> 00:00:07,000
    <i>going down</i> the outlet

Why not a library: webvtt-py refuses a whole file for one comma, pysubs2 and srt lose or join cues whose times they
don't know, and all three take out or put in characters of the words. Here the words count and the looks do not. The
tests hold this reader to two of those libraries wherever the file is sound.

On a sound file the words are those between the timing lines, `<...>` left out, character references such as `&amp;` as
written (a quote is always as written). On a broken one no words are lost:
- cues with no empty line between them are parted at the timing line;
- text after an empty line within a cue goes on with that cue;
- a `<` that no `>` of its own cue closes is kept as it stands;
- a cue whose times can't be read has its words without times; one that ends before it starts has them at its start.
Each of these leaves a note, and so does a WebVTT file that breaks the published rules (webvtt_rules.py). Comments,
styles, regions, headers, counters and cue names are never speech.
"""

import re
from dataclasses import dataclass, field

from extractor.narration.blocks import Oddities, Spoken, spread
from extractor.narration.plain import LONGEST_S
from extractor.narration.webvtt_rules import faults

ARROW = "-->"
_TIME = re.compile(r"(?:(\d{1,9}):)?(\d{1,9}):(\d{1,9}(?:\.\d{0,20})?)")
# each begins with what ends at the first colon or digit, so that there is one way only to match it; the second is the
# other side of an arrow: a time, however it is written, or nothing
_TIME_LIKE = re.compile(r"[\d.,;]*:[\d:.,;]*")
_ONE_TIME_AT_MOST = re.compile(r"[^\s\d]*\d\S*|")
_USUAL_TAG = re.compile(
    r"\s*|/?(?:c|i|b|u|s|v|ruby|rt|br|em|strong|lang|font|span)(?:\.\S*)?\s*/?|(?:v|lang|font|span)[.\s].*",
    re.IGNORECASE | re.DOTALL,
)
_ASIDE = ("NOTE", "STYLE", "REGION")
_HEADER = "WEBVTT"

Line = tuple[int, str]  # number of the line in the file from 1, its text


@dataclass(slots=True)
class Cue:
    """One cue: the line it starts on, its times in seconds, its lines of speech."""

    line: int
    start_s: float | None
    end_s: float | None
    speech: list[str] = field(default_factory=list)


def looks_timed(text: str) -> bool:
    """Whether a timing line stands in the text, whether its times can be read or not."""
    return ARROW in text and any(_timing(line) for line in text.split("\n"))


def read_subtitles(text: str, oddities: Oddities) -> list[Spoken]:
    """Words of the cues in the order of the file, with the times of their cues."""
    cues = find_cues(text, oddities)
    if text.startswith(_HEADER):
        for number, fault in faults(text):
            oddities.add("breaks the WebVTT rules, and is read all the same", f"line {number}: {fault}")
    spoken: list[Spoken] = []
    latest = 0.0
    for cue in cues:
        place = f"line {cue.line}"
        if cue.start_s is not None:
            if cue.end_s is not None and cue.end_s < cue.start_s:
                oddities.add("a cue ends before it starts: its words are kept at its start", place)
            if cue.start_s < latest:
                oddities.add("times run backwards", place)
            latest = max(latest, cue.start_s)
        spoken += _cue_words(cue, oddities)
    return spoken


def find_cues(text: str, oddities: Oddities) -> list[Cue]:
    """The cues of a SubRip or WebVTT file in the order they stand, tags still in their lines."""
    is_webvtt = text.startswith(_HEADER)
    cues: list[Cue] = []
    blocks = _blocks(text)
    for index, block in enumerate(blocks):
        timed = next((at for at, (_, line) in enumerate(block) if _timing(line)), None)
        if timed is None:
            following = blocks[index + 1] if index + 1 < len(blocks) else []
            if not _is_aside(block, index, is_webvtt) and not _is_lone_counter(block, following):
                _carry_on(cues, block, oddities)
            continue
        if timed and not (is_webvtt and index == 0):
            _carry_on(cues, block[: timed - 1], oddities)
            number, name = block[timed - 1]
            if not is_webvtt and not _is_counter(name):
                oddities.add(
                    "a line above a cue's times is left out as its name", f"line {number}: {name.strip()[:40]!r}"
                )
        _add_cues(cues, block[timed:], oddities)
    return cues


def _blocks(text: str) -> list[list[Line]]:
    """Runs of lines that are not blank."""
    blocks: list[list[Line]] = [[]]
    for number, line in enumerate(text.split("\n"), start=1):
        if line.strip():
            blocks[-1].append((number, line))
        elif blocks[-1]:
            blocks.append([])
    return [block for block in blocks if block]


def _is_aside(block: list[Line], index: int, is_webvtt: bool) -> bool:
    words = block[0][1].split()
    return is_webvtt and (index == 0 or words[0] in _ASIDE)


def _is_lone_counter(block: list[Line], following: list[Line]) -> bool:
    if len(block) > 1 or not _is_counter(block[0][1]):
        return False
    return not following or bool(_timing(following[0][1]))


def _is_counter(line: str) -> bool:
    return line.strip().strip("\ufeff").isdecimal()


def _carry_on(cues: list[Cue], lines: list[Line], oddities: Oddities) -> None:
    """Lines with no times of their own: speech of the cue before them, never thrown away."""
    if not lines:
        return
    oddities.add("text with no times of its own is read on with what stands before it", f"line {lines[0][0]}")
    if not cues:
        cues.append(Cue(lines[0][0], None, None))
    cues[-1].speech += [line for _, line in lines]


def _add_cues(cues: list[Cue], lines: list[Line], oddities: Oddities) -> None:
    """The cues of one block whose first line is a timing line; more than one where empty lines are missing."""
    for number, line in lines:
        timing = _timing(line)
        if timing is None:
            cues[-1].speech.append(line)
            continue
        if number != lines[0][0]:
            oddities.add("no empty line between two cues", f"line {number}")
            if cues[-1].speech and _is_counter(cues[-1].speech[-1]):
                cues[-1].speech.pop()
        start_s, end_s, rest = timing
        if start_s is None or end_s is None:
            oddities.add("a cue's times can't be read: its words have none, or only a start", f"line {number}")
        cues.append(Cue(number, start_s, end_s))
        if rest:
            oddities.add("words on a timing line are read as speech", f"line {number}")
            cues[-1].speech.append(rest)


def _timing(line: str) -> tuple[float | None, float | None, str] | None:
    """Start and end of a timing line in seconds (None: unreadable), and any words after them; None for other lines."""
    if ARROW not in line:
        return None
    left, _, right = line.partition(ARROW)
    left = left.strip().strip("\ufeff")
    first, *rest = right.split() or [""]
    if not _TIME_LIKE.fullmatch(left):
        if not _TIME_LIKE.fullmatch(first) or not _ONE_TIME_AT_MOST.fullmatch(left):
            return None
    elif not _ONE_TIME_AT_MOST.fullmatch(first):
        first, rest = "", [first, *rest]
    words = " ".join(rest) if any(":" not in setting for setting in rest) else ""
    return time_s(left), time_s(first), words


def time_s(time: str) -> float | None:
    """Seconds of "h:mm:ss,mmm" or "mm:ss.mmm", any number of digits; None for what is no time."""
    match = _TIME.fullmatch(time.replace(",", ".").replace(";", "."))
    if not match:
        return None
    hours, minutes, seconds = match.groups()
    total = int(hours or 0) * 3600 + int(minutes) * 60 + float(seconds)
    return round(total, 6) if total <= LONGEST_S else None


def _cue_words(cue: Cue, oddities: Oddities) -> list[Spoken]:
    text, tags = _without_tags("\n".join(cue.speech), cue.line, oddities)
    words = text.split()
    steps = _steps(cue, tags)
    if not steps:
        return spread(words, cue.start_s, cue.end_s)
    return _stepped_words(text, words, cue, steps)


def _without_tags(text: str, line: int, oddities: Oddities) -> tuple[str, list[tuple[int, str]]]:
    """Text without `<...>`, and each tag with its place in what is left. One pass, no backtracking."""
    kept: list[str] = []
    tags: list[tuple[int, str]] = []
    at = length = 0
    while (opened := text.find("<", at)) >= 0:
        closed = text.find(">", opened)
        if closed < 0:
            oddities.add("a '<' with no '>' is kept as it stands", f"line {line}")
            break
        kept.append(text[at:opened])
        length += opened - at
        tag = text[opened + 1 : closed]
        tags.append((length, tag))
        if time_s(tag) is None and not _USUAL_TAG.fullmatch(tag):
            oddities.add("left out as a tag", f"line {line}: {f'<{tag[:60]}>'!r}")
        at = closed + 1
    kept.append(text[at:])
    return "".join(kept), tags


def _steps(cue: Cue, tags: list[tuple[int, str]]) -> list[tuple[int, float]]:
    """Time tags within the cue's text (`<00:00:05.100>`) as place and seconds; only those in order and in the cue."""
    if cue.start_s is None or cue.end_s is None:
        return []
    steps: list[tuple[int, float]] = []
    latest = cue.start_s
    for place, tag in tags:
        seconds = time_s(tag)
        if seconds is not None and latest <= seconds <= cue.end_s:
            steps.append((place, seconds))
            latest = seconds
    return steps


def _stepped_words(text: str, words: list[str], cue: Cue, steps: list[tuple[int, float]]) -> list[Spoken]:
    """Words with the time of the last step before each; between two steps shared out as in a block."""
    groups: list[list[str]] = [[] for _ in range(len(steps) + 1)]
    at = step = 0
    for word in words:
        at = text.index(word, at)
        while step < len(steps) and steps[step][0] <= at:
            step += 1
        groups[step].append(word)
        at += len(word)
    times = [cue.start_s, *(seconds for _, seconds in steps), cue.end_s]
    spoken: list[Spoken] = []
    for index, group in enumerate(groups):
        spoken += spread(group, times[index], times[index + 1])
    return spoken
