"""What bars the camera's way, and what it was got past.

the head + "sits against"                      -> bars the way, where something else says that it is the end
"a shoe jammed across", "too sharp for the head"
"can't see a thing", the water + "over the lens"
"she's stuck"                                  -> could not pass
somebody + "wiggled us past"                   -> passed
"""

from collections.abc import Iterator

from extractor.language.passage import Passage
from extractor.reading import Tag


def find_bars(passage: Passage) -> Iterator[Tag]:
    """An ending tag over each such word group; "bars" is no end by itself (`survey/run_ends.py` weighs it)."""
    yield from _against_it(passage)
    yield from _too_much_for_it(passage)
    yield from _walled(passage)
    yield from _only_so_far(passage)
    yield from _blinded(passage)
    yield from _stuck(passage)
    yield from _across_it(passage)
    yield from _got_past(passage)


def _against_it(passage: Passage) -> Iterator[Tag]:
    """ "the head just sits against it", "she's butted up to a lump of concrete", "buried its nose in the sand"."""
    for token in passage.every("comes_against", start=1):
        who = next(
            (
                t
                for t in range(token - 1, max(-1, token - 5), -1)
                if passage.is_class(t, "camera_word", "camera_part") or passage.word(t) in ("she", "i", "we", "it")
            ),
            None,
        )
        if who is None or passage.is_class(token - 1, "negation_word"):
            continue
        by = next((t for t in range(token + 1, token + 5) if passage.word(t) == "against"), None)
        hard = passage.is_class(token, "sticks_fast")
        if by is not None or (
            hard and (passage.is_class(who, "camera_word", "camera_part") or passage.word(who) in ("i", "we"))
        ):
            yield Tag(who, (by or token) + 1, "ending", "could_not_pass" if hard else "bars")


def _too_much_for_it(passage: Passage) -> Iterator[Tag]:
    """ "the bend's too sharp for this head", "too narrow for my camera to get through"."""
    for token in passage.tokens_of(0, len(passage), (), ("too",)):
        if passage.word(token + 2) != "for":
            continue
        if any(
            passage.is_class(t, "camera_word", "camera_part", "cable_word", "my_gear")
            for t in range(token + 3, token + 6)
        ):
            yield Tag(token, token + 4, "ending", "bars")


def _walled(passage: Passage) -> Iterator[Tag]:
    """ "it's just a wall of it now", "that dip's got the camera under"."""
    for token in passage.tokens_of(1, len(passage), (), ("wall",)):
        if passage.word(token - 1) == "a" and passage.word(token + 1) == "of":
            yield Tag(token - 1, token + 2, "ending", "bars")
    for token in passage.every("camera_word", start=2):
        verb = token - 1 - passage.is_class(token - 1, "article")
        if passage.word(token + 1) == "under" and passage.word(verb) in ("got", "has", "have", "had", "puts", "put"):
            yield Tag(verb, token + 2, "ending", "bars")


def _only_so_far(passage: Passage) -> Iterator[Tag]:
    """ "I could only get in two metres because of a tight bend"."""
    for token in passage.tokens_of(1, len(passage), (), ("only",)):
        able = passage.word(token - 1) in ("could", "can") or passage.word(token - 2) in ("could", "can")
        told = any(passage.measure_over(t) for t in range(token + 2, token + 6))
        if able and told and passage.is_class(token + 1, "goes_far", "gets_on"):
            yield Tag(token - 1, token + 2, "ending", "bars")


def _blinded(passage: Passage) -> Iterator[Tag]:
    """ "I'm blind", "can't see a thing", "the water's over the lens"."""
    for token in passage.every("refuses"):
        verb = next((t for t in range(token + 1, token + 3) if passage.word(t) in ("see", "seeing")), None)
        of_thing = passage.word(verb + 1 if verb else token) == "a" and passage.word((verb or token) + 2) != "thing"
        if (
            verb is not None
            and not of_thing
            and (passage.is_class(verb + 1, "sees_nothing", "after_own_stop") or verb + 1 >= len(passage))
        ):
            yield Tag(token, verb + 1, "ending", "bars")
    for token in passage.tokens_of(1, len(passage), (), ("blind", "blinded")):
        if passage.is_class(token - 1, "copula") and (
            passage.word(token - 2) in ("i", "we") or passage.is_class(token - 2, "camera_word")
        ):
            yield Tag(token - 1, token + 1, "ending", "bars")
    for token in passage.tokens_of(1, len(passage), (), ("under", "underwater", "submerged")):
        water = passage.word(token) != "under" or passage.word(token + 1) == "water"
        lead = token - 1 - passage.is_class(token - 1, "copula", "filler")
        if water and passage.measure_over(lead) is not None:
            yield Tag(token, token + 1, "ending", "bars")  # "2.9 under water"
    for token in passage.tokens_of(1, len(passage), ("lies_over",)):
        lens = token + 1 + passage.is_class(token + 1, "article", "definite")
        wet = passage.tags_from(token - 12, token, "condition") or passage.has_class(token - 6, token, "covers_lens")
        if passage.is_class(lens, "camera_word") and wet:
            yield Tag(token, lens + 1, "ending", "bars")


def _stuck(passage: Passage) -> Iterator[Tag]:
    """ "so she's stuck", "and I'm jammed there"."""
    for token in passage.every("stuck_fast", start=2):
        if not passage.is_class(token - 1, "copula", "filler"):
            continue
        who = token - 2 - passage.is_class(token - 2, "copula", "filler")
        if passage.word(who) not in ("i", "we", "she", "me", "us") and not passage.is_class(who, "camera_word"):
            continue
        if not passage.is_class(token + 1, "with", "to"):
            yield Tag(who, token + 1, "ending", "could_not_pass")


def _across_it(passage: Passage) -> Iterator[Tag]:
    """ "a shoe jammed across the pipe", "wall to wall", "blocks the whole bore"."""
    for token in passage.every("jams"):
        across = next((t for t in range(token + 1, token + 4) if passage.word(t) in ("across", "crossways")), None)
        if across is not None:
            yield Tag(token, across + 1, "ending", "bars")


def _got_past(passage: Passage) -> Iterator[Tag]:
    """ "I've wiggled us past", "coaxed her round it", "worked the camera through"."""
    for token in passage.every("coaxes", start=1):
        past = token + 1
        while passage.is_class(past, "the_camera", "taken_along", "article", "filler") or passage.word(past) == "way":
            past += 1
        if past > token + 5 or not passage.is_class(past, "passing_by"):
            continue
        if passage.word(past) in ("further", "farther", "beyond"):
            continue
        before = range(max(0, token - 8), token)
        if any(passage.is_class(t, "refuses", "modal", "refuses_modal") or passage.word(t) == "to" for t in before):
            continue
        yield Tag(token, past + 1, "ending", "passed")
