"""Ends of a run told by parts that no fixed phrase holds: "can't for the life of me get her round that", "that's my
cable gone".

refusal + a verb of moving on + "past", "any further"   -> could not pass
the lens + "gone under"                                  -> could not pass
"out of", "end of", "no more" + cable                    -> out of cable
"as far as" + somebody or something + a verb of going    -> out of cable, unless something stands in the way
a reading + the camera + "is at"                         -> arrives
a verb of stopping + "there", "here"                     -> stopped
somebody + "stopped" + "because", "as", "and"            -> stopped
"""

from collections.abc import Iterator
from dataclasses import replace

from extractor.language.passage import Passage
from extractor.reading import Tag, by_place

REFUSAL = 6  # words from the refusal to the verb
PAST = 5  # words from the verb to "past it"
OF_CABLE = 4  # words from "out of" to "cable"


def add_endings(passage: Passage) -> Passage:
    """The passage with an ending tag over each such end that no phrase covers."""
    found = [
        tag
        for tag in (
            *_camera_arrives(passage),
            *_comes_out(passage),
            *_all_it_does(passage),
            *_ends_at_a_place(passage),
            *_could_not_pass(passage),
            *_under_water(passage),
            *_out_of_cable(passage),
            *_gone_as_far(passage),
            *_halted(passage),
            *_chose_to_stop(passage),
        )
        if not any(passage.covering(token, "ending") for token in (tag.start, tag.end - 1))
        or _named_place(passage, tag)
    ]
    if not found:
        return passage
    return replace(passage, tags=tuple(sorted((*passage.tags, *found), key=by_place)))


def _camera_arrives(passage: Passage) -> Iterator[Tag]:
    """ "at six metres the camera is at the toilet", "14.2 and the lens is in the sewer"."""
    for token in passage.every("camera_word", start=1):
        if not any(m.unit in (None, "m") and token - m.end <= 4 for m in passage.measures_from(token - 9, token)):
            continue
        verb = token + 1
        while passage.word(verb) in ("is", "has", "now", "just", "come", "comes", "came"):
            verb += 1
        if verb == token + 1 or passage.word(verb) not in ("at", "in", "into", "out", "to", "up", "against"):
            continue
        if passage.tags_from(verb, verb + 4, "structure", "fixture") and not passage.tags_from(
            verb, verb + 8, "direction"
        ):
            yield Tag(token, verb + 1, "ending", "arrival")


def _comes_out(passage: Passage) -> Iterator[Tag]:
    """ "nineteen foot and we've dropped out into the soakaway", "8.2 she pops up in the manhole"."""
    for token in passage.every("meets_verb", "copula", "arrives_verb", start=1):
        meets = passage.is_class(token, "meets_verb")
        into = passage.is_class(token, "copula") and passage.is_class(token + 1, "arrives_at", "arrives_particle")
        bare = passage.word(token) == "into" and passage.measure_over(token - 1) is not None  # "4.9 into the soakaway"
        into = into or bare
        if not meets and not into and not passage.is_class(token, "arrives_verb"):
            continue
        lead = next((m for m in reversed(passage.measures_from(token - 8, token)) if m.unit in (None, "m")), None)
        if lead is None or not _told_by_the_camera(passage, lead.end, token):
            continue
        behind = token if bare else token + 1
        while passage.is_class(behind, "arrives_particle") and not (
            passage.is_class(behind, "arrives_at")
            and not passage.is_class(behind + 1, "arrives_particle", "arrives_at")
        ):
            behind += 1
        if passage.is_class(behind, "arrives_at"):
            behind += 1
        elif not meets:
            continue
        while passage.is_class(behind, "article", "side", "arrives_at"):
            behind += 1
        there = passage.tags_from(behind, behind + 2, "structure", "fixture", "component")
        if any(tag.kind != "component" or tag.id == "stack" for tag in there):
            yield Tag(token, behind, "ending", "arrival")


def _named_place(passage: Passage, tag: Tag) -> bool:
    return tag.id == "arrival" and passage.is_class(tag.start, "ends_run")


def _ends_at_a_place(passage: Passage) -> Iterator[Tag]:
    """ "the run was completed at the stack", "survey terminated in the manhole"."""
    for token in range(1, len(passage)):
        if not passage.is_class(token, "ends_run") or passage.word(token + 1) not in ("at", "in"):
            continue
        place = token + 2
        while passage.is_class(place, "article", "side"):
            place += 1
        there = passage.tags_from(place, place + 1, "structure", "fixture", "component")
        if any(tag.kind != "component" or tag.id == "stack" for tag in there):
            yield Tag(token, token + 2, "ending", "arrival")


def _told_by_the_camera(passage: Passage, start: int, verb: int) -> bool:
    """Whether nothing but the camera, its speaker or a small word stands between a reading and the verb."""
    return all(
        passage.is_class(
            t, "someone", "camera_word", "camera_part", "copula", "list", "definite", "filler", "modal", "to"
        )
        or passage.word(t)
        in ("it", "she", "that", "this", "where", "which", "then", "to", "okay", "just", "can", "could")
        for t in range(start, verb)
    )


def _all_it_does(passage: Passage) -> Iterator[Tag]:
    """ "that's all the camera'll push", "that is all she'll do"."""
    for token in passage.tokens_of(1, len(passage), (), ("all",)):
        if passage.word(token - 1) not in ("is", "s", "about", "was"):
            continue
        verb = next((t for t in range(token + 2, token + 6) if passage.is_class(t, "goes_far")), None)
        held = passage.tags_from(token, verb or token, "condition", "boundary", "structure")
        who = any(
            passage.word(t).split("'")[0] in passage.classes["camera_word"] or passage.word(t) in ("she", "it", "this")
            for t in range(token + 1, verb or token)
        )
        if verb is not None and who and not held:
            yield Tag(token - 1, verb + 1, "ending", "cable_limit")


def _could_not_pass(passage: Passage) -> Iterator[Tag]:
    for token in passage.every("refuses"):
        if passage.covering(token, "stretch") or passage.measure_over(token):
            continue
        verb = next((t for t in range(token + 1, token + 1 + REFUSAL) if passage.is_class(t, "gets_on")), None)
        if verb is None or passage.tags_from(token + 1, verb, "condition", "boundary") or passage.measure_over(verb):
            continue
        if any(passage.is_class(t, "someone") for t in range(token + 2, verb)) and passage.word(token) not in (
            "no",
            "without",
        ):
            continue
        beyond = range(verb + 1, verb + 1 + PAST)
        past = next(
            (t for t in beyond if passage.is_class(t, "passing_by")),
            next((t for t in beyond if passage.is_class(t, "gets_past")), None),
        )
        if passage.is_class(verb, "climbs") and passage.word(verb + 1) in ("it", "that", "this", "them", "the"):
            yield Tag(token, verb + 2, "ending", "could_not_pass")
            continue
        if past is None or any(passage.cue_at(t, "boundary", "turn", "next") for t in range(verb, past)):
            continue
        words = passage.speech.words[verb : past + 2]
        if not _about_the_camera(passage, words):
            continue
        yield Tag(token, past + 1, "ending", "cable_limit" if _pushed_out(words) else "could_not_pass")


def _about_the_camera(passage: Passage, words: tuple[str, ...]) -> bool:
    """ "get past", "go any further", "get the camera round it", not "get over it" or "see any"."""
    tail = set(words[1:])
    if words[0] in passage.classes["no_passing"]:
        return False
    if tail & passage.classes["passing_by"]:
        return True
    if tail & {"over", "up"} and words[0] in passage.classes["over_by"]:
        return "over" in tail or bool(tail & passage.classes["camera_word"])
    return words[0] in passage.classes["passes"] and bool(tail)


def _pushed_out(words: tuple[str, ...]) -> bool:
    return words[0] in ("push", "pushing") and ("further" in words or "more" in words or "farther" in words)


def _out_of_cable(passage: Passage) -> Iterator[Tag]:
    for token in passage.every("cable_word"):
        if passage.word(token) in ("line", "length"):
            continue
        start = next((t for t in range(token - 1, token - 1 - OF_CABLE, -1) if passage.is_class(t, "out_of_it")), None)
        if start is None or passage.tags_from(start, token, "condition", "action", "boundary"):
            continue
        between = passage.speech.words[start:token]
        if between[0] in passage.classes["cable_end"] or between[:2] == ("out", "of"):
            yield Tag(start, token + 1, "ending", "cable_limit")


def _under_water(passage: Passage) -> Iterator[Tag]:
    """ "the lens has gone under", "she's gone under water", "we've gone under"."""
    for token in passage.every("goes_under"):
        if passage.word(token + 1) not in ("under", "underwater"):
            continue
        who = next(
            (
                t
                for t in range(token - 1, max(-1, token - 4), -1)
                if passage.is_class(t, "camera_word", "camera_part") or passage.word(t) in ("she", "it", "i", "we")
            ),
            None,
        )
        behind = passage.word(token + 2)
        water = behind == "the" and passage.word(token + 3) == "water"
        if who is not None and (
            water or behind in ("water", "it", "so", "and", "here", "there", "now", "at", "by", "")
        ):
            yield Tag(who, token + 2, "ending", "could_not_pass")


def _gone_as_far(passage: Passage) -> Iterator[Tag]:
    """ "that's as far as the camera wants to go", "as far in as she'd travel"."""
    for token in passage.tokens_of(0, len(passage), (), ("far",)):
        if "as" not in (passage.word(token + 1), passage.word(token + 2)):
            continue
        verb = next((t for t in range(token + 2, token + 9) if passage.is_class(t, "goes_far")), None)
        if verb is None or passage.tags_from(token + 1, verb, "boundary", "condition", "structure"):
            continue
        if passage.is_class(verb - 1, "someone") or passage.is_class(verb - 2, "someone"):
            continue  # "as far as I went": the speaker's own choice, which the lexicon names
        start = token - 1 if passage.word(token - 1) == "as" else token
        yield Tag(start, verb + 1, "ending", "cable_limit")


def _chose_to_stop(passage: Passage) -> Iterator[Tag]:
    """ "I've stopped as the agent asks me to", "I pulled up because", "we finished before the road"."""
    for token in passage.every("own_stop", "halts", start=1):
        if passage.measure_over(token):
            continue
        who = token - 1
        while who > token - 4 and passage.word(who) in ("have", "just", "am", "will", "are", "had"):
            who -= 1
        if passage.word(who) not in ("i", "we"):
            continue
        behind = token + 1
        if passage.word(behind) in ("up", "off", "out", "it"):
            behind += 1
        elif not passage.is_class(token, "own_stop"):
            continue
        if behind >= len(passage) or passage.is_class(behind, "after_own_stop"):
            opens = passage.is_class(token, "lid_open")  # "I pulled up there", not "I pulled out"
            if passage.word(token + 1) == "up" if opens else passage.word(behind) not in ("out", "up"):
                yield Tag(who, behind, "ending", "stopped")


def _halted(passage: Passage) -> Iterator[Tag]:
    for token in passage.every("halts"):
        if passage.measure_over(token):
            continue
        for place in range(token + 1, token + 4):
            if passage.word(place) in ("there", "here") and not passage.tags_from(
                token, place, "condition", "structure", "component", "boundary"
            ):
                if not passage.is_class(place + 1, "copula") and passage.word(token - 1) not in ("not", "never", "do"):
                    yield Tag(token, place + 1, "ending", "stopped")
                break
