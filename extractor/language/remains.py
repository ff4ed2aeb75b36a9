"""What is left behind after work: "there's still some on the walls", "most of that ball is gone", "a few left on the
one side", "not all gone". Phrases that no lexicon holds whole, since the thing itself stands inside them.
"""

from collections.abc import Iterator
from dataclasses import replace

from extractor.language.passage import Passage
from extractor.reading import Tag, by_place

HELD = 7  # words from an amount to the word that says that it is left, or gone
GONE = ("gone", "still_there")
MASSES = ("root_intrusion", "settled_deposit", "attached_deposit", "grease", "obstruction", "blockage", "soil_ingress")
WAYS_OFF = ("off", "away", "out")
WHOLLY = ("all", "most", "now", "too", "both", "each")


def add_remains(passage: Passage) -> Passage:
    """The passage with a "partly gone" tag over each such statement; a "gone" inside it is no longer one by itself."""
    passage = _come_away(passage)
    found = [*_left_over(passage), *_part_gone(passage), *_not_all(passage), *_some_of_it(passage)]
    if not found:
        return passage
    kept = [
        tag
        for tag in passage.tags
        if tag.kind != "time" or not any(tag.id in GONE and f.start <= tag.start < f.end for f in found)
    ]
    known = [tag for tag in kept if tag.kind == "time" and tag.id == "partly_gone"]
    new: list[Tag] = []
    for tag in found:
        if not any(k.start < tag.end and tag.start < k.end for k in (*known, *new)):
            new.append(tag)
    return replace(passage, tags=tuple(sorted((*kept, *new), key=by_place)))


def _come_away(passage: Passage) -> Passage:
    """ "the grease has come off", "most of the scale dropped off": gone, and no part that is missing."""
    masses = {
        tag.start: Tag(tag.start, tag.end, "time", "gone")
        for tag in passage.tags_from(0, len(passage), "condition")
        if tag.id == "missing_part" and passage.word(tag.end - 1) in WAYS_OFF and _of_a_mass(passage, tag)
    }
    if not masses:
        return passage
    tags = (masses[t.start] if t.id == "missing_part" and t.start in masses else t for t in passage.tags)
    return replace(passage, tags=tuple(tags))


def _of_a_mass(passage: Passage, tag: Tag) -> bool:
    """Whether what comes off is a thing in the bore: named right in front, with no component between."""
    before = passage.tags_from(tag.start - 8, tag.start, "condition", "component")
    if not before or before[-1].kind != "condition" or before[-1].id not in MASSES:
        return False
    small = ("copula", "filler", "also_said", "inside", "definite", "at", "from")
    return all(
        passage.is_class(t, *small) or passage.word(t) in WHOLLY or passage.measure_over(t) is not None
        for t in range(before[-1].end, tag.start)
    )


def _ends(passage: Passage, token: int) -> bool:
    return passage.measure_over(token) is not None or bool(passage.tags_from(token, token + 1, "boundary", "movement"))


def _left_over(passage: Passage) -> Iterator[Tag]:
    """ "a few left on the one side", "a skim of the grease there still", "still some on the walls"."""
    for token in passage.every("amount_left"):
        if passage.is_class(token - 1, "negation_word"):
            continue
        still = next((t for t in range(token - 1, max(-1, token - 5), -1) if passage.word(t) == "still"), None)
        if still is not None and not any(_ends(passage, t) for t in range(still + 1, token)):
            yield Tag(still, token + 1, "time", "partly_gone")
            continue
        for at in range(token + 1, min(len(passage), token + HELD)):
            side = passage.word(at) == "left" and (
                passage.is_class(at - 1, "definite")
                or (
                    passage.is_class(at + 1, "side", "after_right_hand")
                    and passage.word(at + 1) not in ("on", "in", "at", "over", "behind")
                )
            )
            if passage.is_class(at, "remains_word") and not side:
                yield Tag(token, at + 1, "time", "partly_gone")
                break
            if _ends(passage, at) or passage.is_class(at, "list") or passage.word(at) == "all":
                break  # "the bits are all still in place"


def _part_gone(passage: Passage) -> Iterator[Tag]:
    """ "most of that ball is gone", "the most of the fat came with it", "they're mostly out"."""
    for token in passage.every("part_of_all"):
        if passage.word(token).endswith("ly"):
            if passage.is_class(token + 1, "gone_word"):
                yield Tag(token, token + 2, "time", "partly_gone")
            continue
        if passage.word(token + 1) not in ("of", "it", "them"):
            continue
        for at in range(token + 1, min(len(passage), token + HELD + 1)):
            cue = passage.cue_at(at, "time", "gone")
            if cue is not None or passage.is_class(at, "gone_word"):
                yield Tag(token, cue.end if cue is not None else at + 1, "time", "partly_gone")
                break
            if _ends(passage, at) or passage.is_class(at, "someone"):
                break


def _some_of_it(passage: Passage) -> Iterator[Tag]:
    """ "the grease has come off some but not all of it", "gone in part"."""
    for token in passage.tokens_of(0, len(passage), (), ("some",)):
        cue = passage.covering(token - 1, "time")
        turns = passage.word(token + 1) in ("but", "not") or passage.word(token + 1) == "no"
        if (
            cue is not None
            and cue.id == "gone"
            and turns
            and any(passage.word(t) == "all" for t in range(token + 2, token + 5))
        ):
            yield Tag(cue.start, token + 1, "time", "partly_gone")


def _not_all(passage: Passage) -> Iterator[Tag]:
    """ "it's not all gone", "didn't get all of them", "not quite clear"."""
    for token in passage.tokens_of(0, len(passage), (), ("not",)):
        if any(passage.is_class(t, "whole_of_it") for t in (token + 1, token + 2)):
            for at in range(token + 2, token + 6):
                if passage.cue_at(at, "time", "gone") is not None or passage.is_class(at, "gone_word"):
                    yield Tag(token, at + 1, "time", "partly_gone")
                    break
