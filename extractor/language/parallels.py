"""Repairs that say the phrase again with one word changed: "on the left at 4.1 no on the right at 4.1", "front gully no
rear gully", "outlet two sorry outlet three", "Tuesday no Wednesday".

The words before the cue and behind it are laid side by side: what is alike at their ends is the phrase, what differs
between is taken back and put right. The longest phrase that fits counts.
"""

from dataclasses import dataclass

from extractor.language.passage import Passage
from extractor.language.repairs import Repair, Unit
from extractor.reading import Correction, Tag

LONGEST = 11  # words of the phrase that is said again
CORE = 4  # words that differ, at most
KINDS = ("structure", "fixture", "component", "condition", "material", "direction", "extent")
SMALL = ("filler", "copula", "pronoun", "someone", "modal", "list", "inside", "article")


@dataclass(frozen=True, slots=True)
class _Phrase:
    """Tokens of the phrase before the cue and behind it, with how many words are alike at its start and end."""

    said: tuple[int, int]
    meant: tuple[int, int]
    head: int
    tail: int


def parallel(passage: Passage, units: list[Unit], cue: Tag) -> Repair | None:
    """The repair, where a phrase is said again with one thing in it changed."""
    if cue.id not in ("strong", "weak"):
        return None
    last = cue.start
    while last > 0 and passage.is_class(last - 1, "hesitation"):
        last -= 1
    best: _Phrase | None = None
    longest = _statement(passage, last)
    words = passage.speech.words
    for first in _beginnings(passage, cue.end):
        for size in range(1, longest + 1):
            opens = words[last - size] in words[first : first + 1] or passage.is_class(last - size, "day")
            for length in range(max(1, size - 2), size + 3):
                if not opens and words[last - 1] not in words[first + length - 1 : first + length]:
                    continue
                found = _aligned(passage, (last - size, last), (first, first + length))
                if found is not None and (best is None or found.head + found.tail > best.head + best.tail):
                    best = found
    if best is None:
        return None
    said = (best.said[0] + best.head, best.said[1] - best.tail)
    meant = (best.meant[0] + best.head, best.meant[1] - best.tail)
    masked = frozenset(range(*best.said)) | frozenset(range(cue.start, best.meant[0]))
    return Repair(Correction(_whole(passage, said), (cue.start, cue.end), _whole(passage, meant), "said again"), masked)


def _statement(passage: Passage, end: int) -> int:
    """How many words before the cue may be the phrase: no further back than where the statement begins."""
    size = 0
    while size < min(LONGEST, end) and passage.covering(end - size - 1, "boundary") is None:
        size += 1
    return size


def _beginnings(passage: Passage, token: int) -> list[int]:
    """Where the phrase may begin behind the cue: at once, or behind "it's", "that's", "make that"."""
    starts = [token]
    at = token
    while passage.is_class(at, "filler", "hesitation"):
        at += 1
    if at > token:
        starts.append(at)
    if passage.is_class(at, "pronoun") and passage.is_class(at + 1, "copula"):
        starts.append(at + 2)
    return starts


def _aligned(passage: Passage, said: tuple[int, int], meant: tuple[int, int]) -> _Phrase | None:
    if said[0] < 0 or meant[1] > len(passage):
        return None
    before, behind = passage.speech.words[slice(*said)], passage.speech.words[slice(*meant)]
    shorter = min(len(before), len(behind))
    head = next((n for n in range(shorter) if before[n] != behind[n]), shorter)
    tail = next((n for n in range(shorter - head) if before[-1 - n] != behind[-1 - n]), shorter - head)
    if not 0 < len(before) - head - tail <= CORE or len(behind) - head - tail > CORE:
        return None
    while head and (_begun(passage, said[0] + head) or _begun(passage, meant[0] + head)):
        head -= 1
    while tail and (_begun(passage, said[1] - tail) or _begun(passage, meant[1] - tail)):
        tail -= 1
    old, new = (said[0] + head, said[1] - tail), (meant[0] + head, meant[1] - tail)
    if not 0 < old[1] - old[0] <= CORE or not 0 < new[1] - new[0] <= CORE:
        return None
    if any(_begun(passage, t) for t in (said[0], meant[0])) or any(_begun(passage, t) for t in (said[1], meant[1])):
        return None
    kind = _kind(passage, *old)
    if kind is None or kind != _kind(passage, *new):
        return None
    told = any(not passage.is_class(t, *SMALL) for t in (*range(said[0], old[0]), *range(old[1], said[1])))
    if kind == "extent" and tail > 1:
        return _Phrase(said, meant, head, tail)  # "light roots in the joint | no | moderate roots in the joint"
    if kind in KINDS:  # "no roots in the joint | no | cracks in the joint" denies two things
        denied = any(passage.is_class(t, "negation_word") for t in range(said[0] - 1, said[1]))
        denied = denied and kind in ("condition", "component")
        return _Phrase(said, meant, head, tail) if head and (told or tail) and not denied else None
    if kind == "word":
        led = head > 0 and passage.is_class(old[0] - 1, "article")
        return _Phrase(said, meant, head, tail) if led or (told and head + tail > 0) else None
    if kind in ("day", "side", "number"):
        return _Phrase(said, meant, head, tail) if told or kind == "day" or (head and tail) else None
    return None


def _begun(passage: Passage, token: int) -> bool:
    """Whether a spoken quantity began before this token: its core is the whole of it."""
    measure = passage.measure_over(token)
    return measure is not None and measure.start < token


def _kind(passage: Passage, start: int, end: int) -> str | None:
    """What the differing words are, as one kind; None where they are a statement, or several things."""
    if passage.is_class(start, "day") and end - start == 1:
        return "day"
    words = range(start, end)
    if all(passage.is_class(t, "side", "once_more") for t in words):
        return "side"
    measure = passage.measure_over(start)
    if measure is not None:
        whole = measure.start == start and measure.end == end
        return "number" if whole and measure.unit in (None, "ordinal", "count") else None
    for kind in KINDS:
        tag = passage.covering(start, kind)
        if tag is not None:
            return kind if tag.end >= end else None
    plain = all(
        passage.word(t).isalpha() and not passage.is_class(t, *SMALL, "negation_word", "gets_on", "remedies")
        for t in words
    )
    known = any(passage.things_from(t, t + 1) or passage.covering(t, "movement") for t in words)
    return "word" if plain and not known and end - start <= 2 else None


def _whole(passage: Passage, span: tuple[int, int]) -> tuple[int, int]:
    """With the "hand" of "right hand": a word that tells nothing without the one before it."""
    return (span[0], span[1] + 1) if passage.word(span[1]) == "hand" else span
