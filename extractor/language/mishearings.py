"""Misheard words: "no sign of routes" -> roots. A form that has a sense of its own is read as the trade word only where

1. it stands where a noun of the trade would ("a why on", "heavy salt in", "no sign of routes"), and
2. the trade is being spoken of close by, or the words before it want just such a thing.

A sound word is never mended: where a known phrase already covers the words, that phrase stands.
"""

from dataclasses import replace

from extractor.language.passage import THING_KINDS, Passage
from extractor.reading import Tag

NEVER_MENDED = ("everyday", "filler", "copula", "inside", "article", "pronoun", "someone", "modal", "list", "at", "to", "from")
NEAR = 8  # words within which other trade words must stand
_ANCHORS = ("structure", "fixture", "component", "condition", "material", "action", "extent", "negation", "direction")


def mend(passage: Passage) -> Passage:
    """The passage with each misheard tag either taken (its `heard` kept, `certain` set) or dropped."""
    sound = [tag for tag in passage.tags if tag.heard is None]
    known = Passage(passage.speech, tuple(sound), passage.measures, passage.classes)
    covered: dict[int, int] = {}
    for tag in sound:
        if tag.kind in THING_KINDS or tag.kind in ("material", "action"):
            for token in range(tag.start, tag.end):
                covered[token] = max(covered.get(token, 0), tag.end - tag.start)
    taken: list[Tag] = []
    replaced: set[int] = set()
    for tag in passage.tags:
        if tag.heard is None:
            continue
        length = tag.end - tag.start
        if any(covered.get(token, 0) >= length for token in range(tag.start, tag.end)):
            continue
        if any(known.measure_over(token) for token in range(tag.start, tag.end)):
            continue
        if all(known.is_class(token, *NEVER_MENDED) for token in range(tag.start, tag.end)):
            continue
        evidence = _evidence(known, tag)
        if evidence >= 3:
            taken.append(replace(tag, certain=evidence >= 3))
            replaced.update(range(tag.start, tag.end))
    kept = [
        tag for tag in sound if not (tag.kind in THING_KINDS and any(t in replaced for t in range(tag.start, tag.end)))
    ]
    tags = tuple(sorted([*kept, *_best(taken)], key=lambda tag: (tag.start, tag.end)))
    return Passage(passage.speech, tags, passage.measures, passage.classes)


def _best(taken: list[Tag]) -> list[Tag]:
    """One reading a span: the same misheard words may be listed under two entries; the first one listed stands."""
    spans: dict[tuple[int, int], Tag] = {}
    for tag in taken:
        spans.setdefault((tag.start, tag.end), tag)
    return list(spans.values())


def _evidence(passage: Passage, tag: Tag) -> int:
    """0: no noun stands here; else one for the frame before, one for the frame behind, one for a trade word close by."""
    before = tag.start - 1
    wanted_before = (
        passage.is_class(before, "article")
        or passage.covering(before, "extent") is not None
        or passage.covering(before, "negation") is not None
        or _behind_a_distance(passage, before, tag)
        or passage.covering(before, "material") is not None
        or passage.word(before) in ("of", "with")
        or (passage.is_class(before, "list") and _denied_list(passage, before))
        or _there_is(passage, before)
    )
    if not wanted_before:
        return 0
    after = tag.end
    wanted_behind = (
        after >= len(passage)
        or passage.speech.breaks[after]
        or passage.is_class(after, "inside", "copula", "list", "at", "from")
        or passage.measure_over(after) is not None
        or passage.covering(after, "boundary") is not None
        or passage.covering(after, "report") is not None
        or bool(passage.tags_from(after, after + 1, *_ANCHORS))
        or passage.word(after).endswith("ing")
    )
    close = any(
        other.kind in _ANCHORS and (other.start, other.end) != (tag.start, tag.end)
        for other in passage.tags_from(max(0, tag.start - NEAR), tag.end + NEAR)
    ) or bool(passage.measures_from(max(0, tag.start - NEAR), tag.end + NEAR))
    return 1 + wanted_behind + close


def _behind_a_distance(passage: Passage, token: int, tag: Tag) -> bool:
    """ "1.1 salt light": a thing told right behind the counter's reading."""
    measure = passage.measure_over(token)
    return measure is not None and measure.spoken_unit in (None, "metre", "foot") and measure.unit in (None, "m") and tag.kind != "structure"


def _denied_list(passage: Passage, token: int) -> bool:
    """Whether the list word stands in a list that is denied or of trade things: "no cracks or routes"."""
    return bool(passage.tags_from(max(0, token - 4), token, "negation", *THING_KINDS))


def _there_is(passage: Passage, token: int) -> bool:
    """ "there is", "we got", "I can see": a report that wants a thing."""
    tag = passage.covering(token, "speech_act")
    return tag is not None and tag.id == "report" and tag.end == token + 1 and tag.end - tag.start >= 2
