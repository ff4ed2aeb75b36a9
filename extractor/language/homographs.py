"""Words that are a thing or a verb, a turn or a name: "leaves in the pipe", but "where the line leaves the property";
"next a bend", but "a wye for next door".

A tag is dropped where the words beside it make something else of it.
"""

from dataclasses import replace

from extractor.language.passage import Passage
from extractor.reading import Tag


def drop_verbs(passage: Passage) -> Passage:
    """The passage without the things that are verbs here, and the turns that are none."""
    kept = tuple(
        tag
        for tag in passage.tags
        if not _is_verb(passage, tag)
        and not _next_of_kin(passage, tag)
        and not _done_by_hand(passage, tag)
        and not _of_its_state(passage, tag)
        and not _gets_in(passage, tag)
        and not _habit_of_theirs(passage, tag)
        and not _pass_goes_on(passage, tag)
        and not (tag.kind == "time" and tag.id == "gone" and _how_far(passage, tag))
    )
    return passage if len(kept) == len(passage.tags) else replace(passage, tags=kept)


def _is_verb(passage: Passage, tag: Tag) -> bool:
    if tag.kind != "condition" or tag.end - tag.start != 1 or not passage.is_class(tag.start, "thing_or_verb"):
        return False
    return passage.is_class(tag.start - 1, "does_something") and passage.is_class(tag.end, "article", "definite", "at")


def _done_by_hand(passage: Passage, tag: Tag) -> bool:
    """ "I dipped it", "we had to break the seal", "cracked the lid open": what somebody did, and no finding."""
    one_word = tag.end - tag.start == 1 or tag.id == "capped"  # "I've put a cap on it"
    if tag.kind != "condition" or not one_word or not passage.is_class(tag.start, "handled"):
        return False
    lead = tag.start - 1
    while passage.is_class(lead, "filler") and not passage.is_class(lead, "copula", "someone"):
        lead -= 1
    if passage.word(lead) in ("i", "we", "us", "me") or (
        passage.word(lead) == "have" and passage.word(lead - 1) in ("i", "we")
    ):
        return True
    to_do = passage.word(lead) == "to" and not passage.is_class(lead - 1, "starts_word")
    return to_do and (passage.is_class(tag.end, "article", "definite") or passage.word(tag.end) in ("it", "them"))


def _habit_of_theirs(passage: Passage, tag: Tag) -> bool:
    """ "every time she flushes", "when they empty the bath": what the people of the house do, and no work."""
    subject = tag.start - 1
    if tag.kind != "action" or not passage.is_class(subject, "third_person"):
        return False
    return any(
        cue.id == "general" and cue.end == subject for cue in passage.tags_from(subject - 3, subject, "speech_act")
    )


def _pass_goes_on(passage: Passage, tag: Tag) -> bool:
    """ "run two | continues to 2.6", "on the whole of | run two": the pass that one is in, and no new one."""
    if tag.kind != "movement" or tag.id != "new_pass":
        return False
    return passage.is_class(tag.end, "goes_on_verb") or passage.speech.words[tag.start - 2 : tag.start] == (
        "whole",
        "of",
    )


def _gets_in(passage: Passage, tag: Tag) -> bool:
    """ "ground water is | entering": the water, and no camera."""
    if tag.kind != "movement":
        return False
    finding = passage.covering(tag.start, "condition")
    return (
        finding is not None
        and finding.id in ("infiltration", "soil_ingress", "root_intrusion")
        and (finding.start < tag.start and tag.end <= finding.end)
    )


def _how_far(passage: Passage, tag: Tag) -> bool:
    """ "the liquid is clear | up over the outlet": how far up, and nothing cleared."""
    return passage.word(tag.end - 1) == "clear" and passage.word(tag.end) in ("up", "over", "across", "above")


def _of_its_state(passage: Passage, tag: Tag) -> bool:
    """ "a cap | on that one": where the cap is, and no length of pipe."""
    if tag.kind != "stretch":
        return False
    state = passage.covering(tag.start, "condition")
    return state is not None and state.id == "capped" and state.start < tag.start and tag.end <= state.end


def _next_of_kin(passage: Passage, tag: Tag) -> bool:
    """ "next door", "next week": whose, or when."""
    return tag.kind == "boundary" and passage.word(tag.end - 1) == "next" and passage.is_class(tag.end, "next_of_kin")
