"""What in a file breaks the published WebVTT syntax: strict where `subtitles.py` is lax, and only ever a remark.

    "00:01,000 --> 00:02,000"  ->  (3, "a time is not [hh:]mm:ss.ttt")

Source: W3C, "WebVTT: The Web Video Text Tracks Format", section 4 "Syntax" (4.1 file structure, 4.2.2 cue text). Not
checked: the values of cue and region settings, style sheets, language tags, nesting of spans, and the end of the last
line.
"""

import re
from collections.abc import Iterator

Fault = tuple[int, str]  # number of the line from 1, what is wrong with it

_TIME = re.compile(r"(?:([0-9]{2,}):)?([0-5][0-9]):([0-5][0-9])\.([0-9]{3})")
_TIMING = re.compile(r"([^ \t]+)[ \t]+-->[ \t]+([^ \t]+)(?:[ \t]+(.*))?")
_HEADER = re.compile(r"WEBVTT(?:[ \t].*)?")
_REFERENCE = re.compile(r"&(?:#[0-9]{1,9}|#[xX][0-9a-fA-F]{1,9}|[A-Za-z][A-Za-z0-9]{0,40});")
_CLASSES = r"(?:\.[^\t\n .&<>]+)*"
_TAG = re.compile(rf"(?:c|i|b|u|ruby|rt){_CLASSES}|(?:v|lang){_CLASSES}[ \t]+[^\s>][^>]*|/(?:c|i|b|u|ruby|rt|v|lang)")
_ARROW = "-->"


def faults(text: str) -> Iterator[Fault]:
    """Faults in the order of the file. `text` is decoded, without a byte order mark, its line ends "\\n"."""
    lines = text.split("\n")
    if not _HEADER.fullmatch(lines[0]):
        yield 1, "the first line is not WEBVTT"
    if len(lines) < 3 or lines[1]:
        yield 2, "no empty line after the first"
    names: set[str] = set()
    latest: float | None = None
    for number, block in _blocks(lines):
        if _is_aside(block):
            if latest is not None and not block[0].startswith("NOTE"):
                yield number, "a style or region after the first cue"
            continue
        timed = next((at for at, line in enumerate(block) if _ARROW in line), None)
        if timed is None:
            yield number, "text without times"
            continue
        if timed > 1:
            yield number, "more than one line above a cue's times"
        elif timed == 1:
            if block[0] in names:
                yield number, "a cue's name comes twice"
            names.add(block[0])
        start_s, wrong = _timing(block[timed], latest)
        if wrong:
            yield number + timed, wrong
        latest = start_s if latest is None else max(latest, start_s)
        for after, line in enumerate(block[timed + 1 :], start=number + timed + 1):
            if _ARROW in line:
                yield after, "an arrow in the text of a cue"
        if wrong_text := _payload("\n".join(block[timed + 1 :])):
            yield number + timed + 1, wrong_text


def _blocks(lines: list[str]) -> Iterator[tuple[int, list[str]]]:
    """Runs of lines that are not empty, after the first line of the file, each with the number of its first line."""
    block: list[str] = []
    for number, line in enumerate([*lines[1:], ""], start=2):
        if line:
            block.append(line)
        elif block:
            yield number - len(block), block
            block = []


def _is_aside(block: list[str]) -> bool:
    first = block[0]
    named = first == "NOTE" or first.startswith(("NOTE ", "NOTE\t")) or first.rstrip(" \t") in ("STYLE", "REGION")
    return named and not any(_ARROW in line for line in block)


def _timing(line: str, latest: float | None) -> tuple[float, str]:
    """When the cue starts (0 where unreadable), and what is wrong with its timing line ("" for nothing)."""
    match = _TIMING.fullmatch(line)
    if not match:
        return 0.0, "a timing line is not two times with ' --> ' between"
    times = [_TIME.fullmatch(match[1]), _TIME.fullmatch(match[2])]
    start_s, end_s = (_seconds(time) if time else None for time in times)
    if start_s is None or end_s is None:
        return start_s or 0.0, "a time is not [hh:]mm:ss.ttt"
    if end_s <= start_s:
        return start_s, "a cue ends at or before its start"
    if latest is not None and start_s < latest:
        return start_s, "a cue starts before an earlier one"
    if _ARROW in (match[3] or ""):
        return start_s, "an arrow in the settings of a cue"
    return start_s, ""


def _seconds(time: re.Match[str]) -> float:
    hours, minutes, seconds, thousandths = time.groups()
    return float(hours or 0) * 3600 + int(minutes) * 60 + int(seconds) + int(thousandths) / 1000


def _payload(text: str) -> str:
    """What is wrong with the text of a cue ("" for nothing): each `&` begins a reference, each `<` a tag."""
    at = 0
    while (opened := text.find("<", at)) >= 0:
        if not _references(text[at:opened]):
            return "a '&' that is not written &amp;"
        closed = text.find(">", opened)
        tag = text[opened + 1 : closed]
        if closed < 0 or not (_TAG.fullmatch(tag) or _TIME.fullmatch(tag)):
            return "a '<' that is not written &lt; and begins no tag"
        at = closed + 1
    return "" if _references(text[at:]) else "a '&' that is not written &amp;"


def _references(text: str) -> bool:
    return "&" not in _REFERENCE.sub("", text)
