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


def add_remains(passage: Passage) -> Passage:
    """The passage with a "partly gone" tag over each such statement; a "gone" inside it is no longer one by itself."""
    passage = _come_away(passage)
    found = [*_left_over(passage), *_part_gone(passage), *_not_all(passage), *_some_of_it(passage)]
    told = [*_gone_by_parts(passage), *_stays_by_parts(passage)]
    if told:
        cues = [*found, *passage.tags_from(0, len(passage), "time")]
        free = [tag for tag in told if not any(cue.start < tag.end and tag.start < cue.end for cue in cues)]
        passage = replace(passage, tags=tuple(sorted((*passage.tags, *free), key=by_place)))
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
        if tag.id == "missing_part" and passage.is_class(tag.end - 1, "way_off") and _of_a_mass(passage, tag)
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
        passage.is_class(t, *small, "how_much_of_it") or passage.measure_over(t) is not None
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
        counted = passage.measure_over(token)  # "a couple of"
        first = token + 1 if counted is None else counted.end
        for at in range(first, min(len(passage), first + HELD - 1)):
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
        if passage.is_class(token + 1, "away_word") and passage.has_class(token - 5, token, "gets_rid", "takes_now"):
            yield Tag(token, token + 2, "time", "partly_gone")  # "it'd only take the bottom half off"
            continue
        if passage.word(token + 1) not in ("of", "it", "them", "the", "that", "those"):
            continue
        for at in range(token + 1, min(len(passage), token + HELD + 1)):
            cue = passage.cue_at(at, "time", "gone", "still_there")
            stays = passage.word(at) == "still" and passage.has_class(at + 1, at + 3, "attached")
            masses = [t for t in passage.tags_from(token + 1, at, "condition") if t.id in MASSES]
            whole_noun = passage.word(token + 1) in (
                "the",
                "that",
                "those",
            )  # "half the roots", no "half the seal is out"
            if (cue is not None or stays or passage.is_class(at, "gone_word")) and (masses or not whole_noun):
                yield Tag(token, cue.end if cue is not None else at + 1, "time", "partly_gone")
                break
            measure = passage.measure_over(at)
            if measure is not None and passage.is_class(measure.start - 1, "at"):
                continue  # "half the roots | at 3.4 | came away"
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


def _gone_by_parts(passage: Passage) -> Iterator[Tag]:
    """ "the roots are all away", "it's clean out", "the ones at 2.1 are off", "has been cut back": told of a thing in
    the bore, a distance or a pronoun. "Half", "mostly" and "cut back" leave some of it.
    """
    for token in passage.every("gone_by_state", "worked_away"):
        if passage.is_class(token + 1, "article") or passage.word(token + 1) == "to":
            continue
        if passage.measure_over(token + 1) is not None:
            continue
        start, part = token, False
        while passage.is_class(start - 1, "wholly", "filler", "part_of_all", "also_word", "how_much_of_it"):
            start -= 1
            part = part or (passage.is_class(start, "part_of_all") and passage.word(start) != "most")
        first = start
        while passage.is_class(start - 1, "copula"):
            start -= 1
        if first == start or not _is_gone_thing(passage, start):
            continue
        if passage.word(token) == "come" and passage.covering(start - 1, "component") is not None:
            continue  # "the pipe's come away from the joint"
        end = token + 1
        if passage.is_class(token, "worked_away"):
            if passage.word(end) == "up" or not (
                passage.is_class(end, "away_word", "gone_by_state") or passage.word(end) == "back"
            ):
                continue
            part = part or passage.word(end) == "back"
            end += 1
        elif passage.is_class(end, "way_on") and passage.word(end) not in ("of", "off", "out", "down", "on"):
            continue
        yield Tag(start, end, "time", "partly_gone" if part else "gone")


def _is_gone_thing(passage: Passage, end: int) -> bool:
    """Whether what ends here is a thing in the bore, a distance, or a word that stands for one."""
    last = end - 1
    while passage.is_class(last, "wholly", "how_much_of_it"):
        last -= 1
    tag = passage.covering(last, "condition")
    if tag is not None:
        return tag.id in MASSES
    part = passage.covering(last, "component")
    if part is not None:
        return part.id in ("joint", "pipe", "junction")
    stands_for = passage.is_class(last, "pronoun", "points_at_it", "all_told", "ones") or passage.word(last) == "rest"
    return stands_for or passage.measure_over(last) is not None


def _stays_by_parts(passage: Passage) -> Iterator[Tag]:
    """ "never moved", "hasn't touched it", "wouldn't come away": work that changed nothing."""
    for token in passage.every("lets_go"):
        for lead in range(token - 1, max(-1, token - 4), -1):
            ordered = passage.word(lead - 1) == "do"  # "don't touch that"
            if passage.word(lead) in ("not", "never", "hardly", "barely", "nothing") and not ordered:
                yield Tag(lead, token + 1, "time", "still_there")
                break
            if not (
                passage.is_class(lead, "copula", "filler", "wholly")
                or passage.word(lead) in ("get", "even", "a", "bit")
            ):
                break
