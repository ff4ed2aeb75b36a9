"""Things that no lexicon lists, told to be stuck in a pipe or taken out of it: "there's a football stuck in it", "a
brick sitting in the bottom", "pulled a fork out of the trap". What they are does not matter: they are an obstruction,
and so is "the football" where it is named again.
"""

from collections.abc import Iterator
from dataclasses import replace

from extractor.language.passage import THING_KINDS, Passage
from extractor.reading import Tag, by_place

NOUN = 4  # words of the noun phrase at most: "a | big old wooden | peg"


def add_stuck_things(passage: Passage) -> Passage:
    """The passage with an obstruction tag over each such thing, and over its noun where it is named again."""
    found = [*_stuck(passage), *_taken(passage), *_causes(passage), *_loose(passage)]
    if not found:
        return passage
    nouns = {passage.word(noun) for _, noun in found}
    first = min(tag.start for tag, _ in found)
    again = [
        Tag(token, token + 1, "condition", "obstruction")
        for token in passage.tokens_of(first, len(passage), (), tuple(sorted(nouns)))
        if passage.is_class(token - 1, "definite") and not passage.tags_from(token, token + 1, *THING_KINDS)
    ]
    new = [tag for tag, _ in found] + again
    held = {
        id(tag)
        for tag in passage.tags_from(0, len(passage), "condition")
        if tag.id == "blockage" and any(tag.start in range(one.start, one.end + 1) for one, _ in found)
    }  # "jammed" of the thing itself
    kept = [tag for tag in passage.tags if id(tag) not in held]
    return replace(passage, tags=tuple(sorted((*kept, *new), key=by_place)))


def _loose(passage: Passage) -> Iterator[tuple[Tag, int]]:
    """A thing that gets lost in drains, told to be in one: "a marble rolling about in it", "at 2.2 there's a peg"."""
    for noun in passage.every("loose_thing"):
        start = _opens(passage, noun)
        if start is None or _named(passage, start, noun) or passage.is_class(noun + 1, "loose_thing"):
            continue
        lead = start - 1 - passage.is_class(start - 1, "article")
        if passage.word(lead) in ("as", "like", "of", "than") and passage.is_class(
            lead - 1, "size_noun", "size_adjective", "more_or_less"
        ):
            continue  # "the thickness of a pencil", "thick as a broom handle"
        if passage.covering(noun, "action") or any(passage.is_class(t, "modal") for t in range(start - 4, start)):
            continue  # "put a peg in", "you could get a pencil in it": a size
        end = _lies_in(passage, noun + 1)
        if end is None and not _reported_there(passage, start):
            continue
        yield Tag(start, end or noun + 1, "condition", "obstruction"), noun


def _lies_in(passage: Passage, start: int) -> int | None:
    """Behind how it lies, where it is told to lie in the pipe: "rolling about | in the bottom", "| across the pipe"."""
    at = start
    while (
        at - start < 5
        and passage.is_class(at, "held_fast", "lies_there", "rolls_about", "wholly", "filler", "end_particle")
        and not passage.is_class(at, "inside", "crosswise")
    ):
        at += 1
    if not passage.is_class(at, "inside", "crosswise"):
        return None
    end = at
    while passage.is_class(at + 1, "inside", "article", "definite", "side", "part_of_it"):
        at += 1
    in_pipe = passage.is_class(at + 1, "pipe_itself") or passage.word(at + 1) in ("it", "there", "here")
    return max(start, end) if in_pipe else None


def _reported_there(passage: Passage, start: int) -> bool:
    """Whether a reading and a report lead the thing: "at 2.2 there's | a peg"."""
    lead = start - 1
    while passage.is_class(lead, "article", "one_more") or (passage.covering(lead, "extent") is not None):
        lead -= 1
    if passage.word(lead) == "against":
        return True  # "the camera's up against | a football"
    report = passage.covering(lead, "speech_act")
    if report is None or report.id != "report" or report.end - report.start < 2:
        return False
    lead = report.start - 1
    while passage.is_class(lead, "list", "filler"):
        lead -= 1
    reading = passage.measure_over(lead)
    return reading is not None and reading.unit in (None, "m")


def _causes(passage: Passage) -> Iterator[tuple[Tag, int]]:
    """What a pipe is told to be stopped up with, where no lexicon lists it: "jammed with | stones"."""
    for tag in passage.tags_from(0, len(passage), "condition"):
        if tag.id != "blockage":
            continue
        lead = tag.end - 1
        while lead < tag.end + 2 and passage.word(lead) not in ("with", "by"):
            lead += 1
        if passage.word(lead) not in ("with", "by"):
            continue
        start = lead + 1
        while (
            passage.is_class(start, "article", "amount_noun", "filler")
            or passage.word(start) == "of"
            or (passage.covering(start, "extent") is not None)
        ):
            start += 1
        noun = start
        while noun - start < 2 and passage.is_class(noun, "before_part", "before_material", "small"):
            noun += 1
        word = passage.word(noun)
        unknown = not word.isalpha() or len(word) < 3 or passage.measure_over(noun) is not None
        if unknown or passage.is_class(noun, "vague_noun", "pronoun", "someone", "inside", "copula"):
            continue
        if passage.is_class(noun, "small", "addressed") and not passage.is_class(noun, "loose_thing"):
            continue
        if not passage.tags_from(start, noun + 1, *THING_KINDS, "action"):
            yield Tag(start, noun + 1, "condition", "obstruction"), noun


def _stuck(passage: Passage) -> Iterator[tuple[Tag, int]]:
    """(the tag, its noun) of each thing told to be stuck."""
    for token in passage.every("held_fast", "lies_there"):
        end = _where(passage, token)
        noun = token - 1
        while passage.is_class(noun, "wholly", "filler"):
            noun -= 1
        start = _opens(passage, noun)
        if end is None or start is None or _named(passage, start, noun):
            continue
        if not passage.is_class(noun, "loose_thing") and _some_kind_of(passage, start):
            continue  # "some kind of a gospel laying in there": a word misheard, which is asked about
        yield Tag(start, end, "condition", "obstruction"), noun


def _taken(passage: Passage) -> Iterator[tuple[Tag, int]]:
    """(the tag, its noun) of each thing told to be taken out of a pipe or a chamber."""
    for verb in passage.every("takes_by_hand", "takes_out"):
        article = verb + 1
        if not passage.is_class(article, "indefinite") or passage.covering(verb, "movement") is not None:
            continue
        if passage.is_class(verb - 1, "to", "modal", "article", "negation_word"):
            continue
        out = next((t for t in range(article + 2, article + 2 + NOUN) if passage.word(t) == "out"), None)
        if out is None or passage.word(out + 1) not in ("of", "from"):
            continue
        noun = out - 1
        if passage.is_class(noun, "vague_noun", "surroundings", "camera_word", "camera_part", "extent_noun"):
            continue
        if _named(passage, article + 1, noun) or passage.measures_from(article, out):
            continue
        place = passage.things_from(out + 2, out + 5) or passage.is_class(out + 2, "object_pronoun")
        if place and not passage.has_class(article, out, "list", "inside", "someone", "copula"):
            yield Tag(article + 1, out, "condition", "obstruction"), noun


def _some_kind_of(passage: Passage, start: int) -> bool:
    """ "some kind of a", "a sort of a": the speaker has no word for it."""
    return any(passage.is_class(t, "vague_noun") and passage.word(t + 1) == "of" for t in range(start - 3, start))


def _where(passage: Passage, token: int) -> int | None:
    """Behind the words that put it in the pipe: "stuck | in it", "wedged across", "lying | in the bottom"."""
    at = token + 1
    while passage.is_class(at, "end_particle", "wholly", "side") and not passage.is_class(at, "inside", "crosswise"):
        at += 1
    if passage.is_class(token, "held_fast") and (passage.is_class(at, "crosswise") or at >= len(passage)):
        return token + 1
    if not passage.is_class(at, "inside"):
        return token + 1 if passage.is_class(token, "held_fast") and passage.word(at) == "there" else None
    object_at = at + 1 + passage.is_class(at + 1, "article", "definite")
    pipe = passage.is_class(object_at, "pipe_itself") or passage.word(at + 1) in ("it", "there", "here")
    return token + 1 if pipe else None


def _opens(passage: Passage, noun: int) -> int | None:
    """Where the noun phrase begins, behind "a", "some", "another", a number or "there's"."""
    if noun < 1 or passage.is_class(noun, "held_fast", "pronoun", "someone") or passage.measure_over(noun):
        return None
    if passage.is_class(noun, "small") and not passage.is_class(noun, "loose_thing"):
        return None
    for lead in range(noun - 1, max(-1, noun - 1 - NOUN), -1):
        counted = passage.measure_over(lead)
        if passage.is_class(lead, "article", "one_more") or (counted is not None and counted.unit in (None, "count")):
            return None if passage.is_class(lead, "definite") else lead + 1
        if counted is not None and counted.unit == "m" and passage.is_class(noun, "loose_thing"):
            return lead + 1  # "nine foot | paper hung up on the joint"
        report = passage.covering(lead, "speech_act")
        if report is not None and report.id == "report" and report.end == lead + 1:
            return lead + 1
        if passage.word(lead) == "is" and passage.speech.first_chars[lead] == passage.speech.last_chars[lead - 1]:
            continue  # "a kiddie's | ball"
        if passage.is_class(lead, "copula", "list", "someone", "pronoun", "at", "from", "to"):
            return None
    return None


def _named(passage: Passage, start: int, noun: int) -> bool:
    """Whether the noun phrase already names something that is known."""
    known = passage.tags_from(start, noun + 1, *THING_KINDS)
    if all(tag.end <= noun and tag.kind != "condition" for tag in known):
        known = []  # "a | house | brick", "a | steel | bar", "a | toilet | seat hinge"
    return bool(known) or passage.covering(start, "condition") is not None
