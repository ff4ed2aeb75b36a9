"""Water and dye put through, told by what was put and where: "dye placed in the basin", "ran the laundry tub"."""

from collections.abc import Iterator

from extractor.language.passage import Passage
from extractor.language.verb_reach import ends_statement, got_done
from extractor.reading import Tag

FLUSHED_STRUCTURES = (
    "distribution_box", "downpipe", "gully", "inspection_opening", "manhole", "inspection_chamber", "stormwater_pit",
    "grease_trap",
)  # fmt: skip
NEAR_VERB = 4  # words from the verb to what the water is put through
FAR_VERB = 14  # the same, with the words taken back between


def dye_put_in(passage: Passage) -> Iterator[Tag]:
    """ "dye was placed in the basin", "put a bit of the red dye down the shower"."""
    for token in passage.tokens_of(0, len(passage), ("dye_word",)):
        verb = next((t for t in range(token - 1, max(-1, token - 6), -1) if passage.is_class(t, "puts_water")), None)
        if verb is not None and not any(ends_statement(passage, t) for t in range(verb + 1, token)):
            yield Tag(verb, token + 1, "action", "dye_test")
        elif put := next((t for t in range(token + 1, token + 4) if passage.is_class(t, "puts_water")), None):
            yield Tag(token, put + 1, "action", "dye_test")


def water_run(passage: Passage) -> Iterator[Tag]:
    """ "ran the laundry tub", "had her flush the toilet upstairs", "the kitchen sink was run", "let the bath out"."""
    for tag in passage.tags_from(0, len(passage), "fixture", "structure"):
        if tag.kind == "structure" and tag.id not in FLUSHED_STRUCTURES:
            continue
        if passage.has_class(tag.start - 6, tag.start, "dye_word"):
            continue
        behind = tag.end
        while passage.is_class(behind, "passive", "filler") or passage.word(behind) in passage.classes["been_word"]:
            behind += 1
        led = behind > tag.end or passage.has_class(tag.start - 3, tag.start, "had_done")
        if led and passage.is_class(behind, "run_water") and tag.kind == "fixture":
            yield Tag(tag.start, behind + 1, "action", "flush_test")
            continue
        if passage.word(behind) in passage.classes["let_go"] and any(
            passage.word(t) in passage.classes["lets"] for t in range(tag.start - 3, tag.start)
        ):
            yield Tag(tag.start, behind + 1, "action", "flush_test")
            continue
        before = [t for t in range(max(0, tag.start - FAR_VERB), tag.start) if t not in passage.masked][-NEAR_VERB:]
        verb = next((t for t in reversed(before) if passage.is_class(t, "run_water")), None)
        if verb is None or (passage.word(verb) in ("flush", "run") and not got_done(passage, verb)):
            continue
        between = [t for t in passage.tags_from(verb, tag.start, "movement") if t.start > verb or t.end > verb + 1]
        if passage.is_class(verb + 1, "inside") or passage.has_class(verb + 1, tag.start, "destination"):
            continue  # "running upstream to the gully", "water running in the bath"
        if not between and not passage.tags_from(verb, tag.start, "action", "condition"):
            yield Tag(verb, tag.end, "action", "flush_test")


def water_poured(passage: Passage) -> Iterator[Tag]:
    """ "the hose in the garage downpipe", "a bucket down the gully": water, where it went in, and no jet near."""
    for token in passage.tokens_of(0, len(passage), ("water_source",)):
        put = any(passage.is_class(t, "puts_water", "run_water", "had_done") for t in range(token - 4, token))
        there = passage.cue_at(token - 1, "speech_act") or passage.covering(token - 2, "speech_act")
        if not put and (passage.word(token) == "water" or there or passage.word(token - 1) in ("a", "an")):
            continue  # "there's a bucket in the manhole"
        to = token + 1
        while passage.is_class(to, "water_word", "filler", "passive") or passage.word(to) == "of":
            to += 1
        if not passage.is_class(to, "inside", "down_word"):
            continue
        places = [
            tag
            for tag in passage.tags_from(to + 1, to + 6, "structure", "fixture")
            if tag.kind == "fixture" or tag.id in FLUSHED_STRUCTURES
        ]
        if not places and passage.is_class(to + 1, "object_pronoun"):
            before = passage.tags_from(max(0, token - 18), token, "structure")
            if before and before[-1].id in FLUSHED_STRUCTURES:
                yield Tag(token, to + 2, "action", "flush_test")
        elif places and not any(ends_statement(passage, t) for t in range(to, places[0].start)):
            yield Tag(token, places[0].end, "action", "flush_test")


def filled_to_hold(passage: Passage) -> Iterator[Tag]:
    """ "filled it up and it lost two litres": filled to see whether it holds."""
    for token in passage.tokens_of(0, len(passage), ("fills_up",)):
        if passage.is_class(token - 1, "copula"):
            continue
        if passage.is_class(token + 1, "object_pronoun", "article") and any(
            passage.is_class(t, "holds_level") for t in range(token + 2, token + 14)
        ):
            yield Tag(token, token + 2, "action", "leak_test")
