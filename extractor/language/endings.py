"""Ends of a run told by parts that no fixed phrase holds: "can't for the life of me get her round that", "that's my
cable gone".

refusal + a verb of moving on + "past", "any further"   -> could not pass
somebody + "could go on" + "but"                         -> stopped
the screen, the battery + "gone", "died"                 -> stopped
the lens + "gone under"                                  -> could not pass
"out of", "end of", "no more" + cable                    -> out of cable
"as far as" + somebody or something + a verb of going    -> out of cable, unless something stands in the way
a verb of stopping + "there", "here"                     -> stopped
somebody + "stopped" + "because", "as", "and"            -> stopped
"""

from collections.abc import Iterator
from dataclasses import replace

from extractor.language.arrivals import find_arrivals, is_named_place
from extractor.language.bars import find_bars
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
            *find_arrivals(passage),
            *find_bars(passage),
            *_all_it_does(passage),
            *_could_not_pass(passage),
            *_under_water(passage),
            *_out_of_cable(passage),
            *_gone_as_far(passage),
            *_halted(passage),
            *_gave_out(passage),
            *_no_point(passage),
            *_asked_to_stop(passage),
            *_not_going_there(passage),
            *_chosen_end(passage),
            *_chose_to_stop(passage),
            *_would_have_gone_on(passage),
            *_gear_fails(passage),
            *_cable_is_gone(passage),
        )
        if not any(passage.covering(token, "ending") for token in (tag.start, tag.end - 1))
        or is_named_place(passage, tag)
    ]
    if not found:
        return passage
    return replace(passage, tags=tuple(sorted((*passage.tags, *found), key=by_place)))


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
        able = (
            verb is not None
            and passage.is_class(verb, "feeds_out")
            and passage.is_class(verb - 1, "modal", "able_word")
        )
        if verb is not None and (who or able) and not held:
            yield Tag(token - 1, verb + 1, "ending", "cable_limit")  # "it's all I could push her" too
    for token in passage.every("furthest_word"):
        verb = next((t for t in range(token + 2, token + 7) if passage.is_class(t, "goes_far")), None)
        who = verb is not None and passage.has_class(token + 1, verb, "camera_word", "cable_word", "my_gear")
        if verb is not None and who and not passage.tags_from(token, verb, "condition", "boundary", "structure"):
            yield Tag(token, verb + 1, "ending", "cable_limit")  # "the furthest this camera gets"


def _could_not_pass(passage: Passage) -> Iterator[Tag]:
    for token in passage.every("refuses"):
        if passage.covering(token, "stretch") or passage.measure_over(token):
            continue
        if passage.is_class(token + 1, "does_it") and _camera_refuses(passage, token) and _takes_it(passage, token + 1):
            yield Tag(token, token + 2, "ending", "could_not_pass")  # "the camera won't do that bend"
            continue
        verb = next((t for t in range(token + 1, token + 1 + REFUSAL) if passage.is_class(t, "gets_on")), None)
        if verb is None or passage.tags_from(token + 1, verb, "condition", "boundary") or passage.measure_over(verb):
            continue
        if any(passage.is_class(t, "someone") for t in range(token + 2, verb)) and passage.word(token) not in (
            "no",
            "without",
        ):
            continue
        if _camera_refuses(passage, token) and _takes_it(passage, verb):
            yield Tag(token, verb + 1, "ending", "could_not_pass")  # "a tight bend and the camera won't take it"
            continue
        beyond = range(verb + 1, verb + 1 + PAST)
        past = next(
            (t for t in beyond if passage.is_class(t, "passing_by")),
            next((t for t in beyond if passage.is_class(t, "gets_past")), None),
        )
        if passage.is_class(verb, "climbs") and passage.word(verb + 1) in ("it", "that", "this", "them", "the"):
            yield Tag(token, verb + 2, "ending", "could_not_pass")
            continue
        moves = passage.is_class(verb, "passes") and passage.word(verb) not in ("pass", "fit")
        if passage.is_class(verb, "lets_on") and not passage.has_class(verb + 1, verb + 4, "the_camera", "taken_along"):
            continue  # "it won't let the water by"
        of_it = passage.word(token - 2) in ("i", "we") and passage.is_class(verb, "shifts_it")  # roots, a lid
        if past is None and moves and not of_it and _camera_before(passage, token):
            yield Tag(token, verb + 1, "ending", "could_not_pass")  # "it's buried its nose in the sand and won't shift"
            continue
        if past is None or any(passage.cue_at(t, "boundary", "turn", "next") for t in range(verb, past)):
            continue
        words = passage.speech.words[verb : past + 2]
        if not _about_the_camera(passage, words):
            continue
        if _own_will(passage, token, verb, past):
            yield Tag(token, past + 1, "ending", "stopped")
            continue
        yield Tag(token, past + 1, "ending", "cable_limit" if _pushed_out(words) else "could_not_pass")


def _own_will(passage: Passage, token: int, verb: int, past: int) -> bool:
    """ "I won't push on", "we went no further", "decided not to go on": would not, rather than could not."""
    who = token - 1
    while passage.is_class(who, "of_own_will", "filler"):
        who -= 1
    if any(passage.word(t) in ("can", "could", "able", "get", "getting") for t in range(who, verb + 1)):
        return False
    onward = passage.is_class(past, "onward") or passage.word(past) in ("any", "deeper", "in")
    willing = passage.word(who) in ("i", "we") or passage.is_class(who, "choice_word")
    return onward and willing and passage.word(token) in ("not", "never", "no")


def _camera_refuses(passage: Passage, token: int) -> bool:
    """ "the camera won't", "the head will not", "the skid just wouldn't"."""
    who = token - 1
    while passage.is_class(who, "refuses_modal", "filler"):
        who -= 1
    return who < token - 1 and passage.is_class(who, "camera_word", "camera_part")


def _takes_it(passage: Passage, verb: int) -> bool:
    """ "take it", "make the turn", "do that", "go": what a camera does not do at what stands in its way."""
    if passage.is_class(verb, "no_passing"):
        return False
    at = verb + 1
    if passage.word(at) in ("it", "that", "this", "them", "those"):
        return True
    at += passage.is_class(at, "article", "definite")
    bend = passage.covering(at, "component")
    return (bend is not None and bend.id == "bend") or passage.is_class(at, "turn_noun")


def _camera_before(passage: Passage, token: int) -> bool:
    if passage.is_class(token - 1, "refuses_modal") and passage.word(token - 2) in ("i", "we"):
        return True
    near = range(max(0, token - 10), token)
    named = [t for t in near if passage.is_class(t, "camera_word", "camera_part")]
    return bool(named) and not passage.tags_from(named[-1], token, "structure", "fixture")


def _about_the_camera(passage: Passage, words: tuple[str, ...]) -> bool:
    """ "get past", "go any further", "get the camera round it", not "get over it" or "see any"."""
    tail = set(words[1:])
    if words[0] in passage.classes["no_passing"]:
        return False
    if words[:2] in (("go", "on"), ("get", "on"), ("push", "on"), ("going", "on")):
        return True
    if tail & passage.classes["passing_by"]:
        return True
    if tail & {"over", "up"} and words[0] in passage.classes["over_by"]:
        return "over" in tail or bool(tail & passage.classes["camera_word"])
    return words[0] in passage.classes["passes"] and bool(tail)


def _pushed_out(words: tuple[str, ...]) -> bool:
    return words[0] in ("push", "pushing") and ("further" in words or "more" in words or "farther" in words)


def _out_of_cable(passage: Passage) -> Iterator[Tag]:
    for token in passage.every("my_gear"):
        if passage.word(token - 3) in ("limit", "limits", "extent", "end") and passage.word(token - 2) == "of":
            yield Tag(token - 3, token + 1, "ending", "cable_limit")  # "the limit of my equipment"
    for token in passage.every("cable_word"):
        if passage.word(token - 1) == "longer" and passage.word(token) != "line":
            yield Tag(token - 1, token + 1, "ending", "cable_limit")  # "I need a longer cable for the rest"
            continue
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
    for token in passage.tokens_of(0, len(passage), (), ("far", "deep")):
        if "as" not in (passage.word(token + 1), passage.word(token + 2)):
            continue
        verb = next((t for t in range(token + 2, token + 9) if passage.is_class(t, "goes_far", "wants_it")), None)
        if verb is not None and passage.is_class(verb, "wants_it"):
            if passage.has_class(token + 2, verb, "someone", "owner_word"):
                yield Tag(token, verb + 1, "ending", "stopped")  # "as far as the owner wanted"
            continue
        if verb is None or passage.tags_from(token + 1, verb, "boundary", "condition", "structure"):
            continue
        if passage.word(verb - 1) in ("am", "are") and passage.word(verb - 2) in ("i", "we"):
            yield Tag(token, verb + 1, "ending", "stopped")  # "as far as I'm taking it"
            continue
        able = passage.is_class(verb - 1, "modal", "refuses_modal")
        if not able and (passage.is_class(verb - 1, "someone") or passage.is_class(verb - 2, "someone")):
            continue  # "as far as I went": the speaker's own choice, which the lexicon names
        start = token - 1 if passage.word(token - 1) == "as" else token
        own = passage.is_class(verb - 2, "choice_word") or passage.is_class(verb - 1, "choice_word")
        yield Tag(
            start, verb + 1, "ending", "stopped" if own and passage.word(verb - 3) in ("i", "we") else "cable_limit"
        )


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
        there = passage.word(who - 1) in ("there", "here", "where")  # "there I finished"
        turns = passage.covering(behind, "boundary") is not None
        if behind >= len(passage) or there or turns or passage.is_class(behind, "after_own_stop", "survey_noun"):
            opens = passage.is_class(token, "lid_open")  # "I pulled up there", not "I pulled out"
            if passage.word(token + 1) == "up" if opens else passage.word(behind) not in ("out", "up"):
                yield Tag(who, behind, "ending", "stopped")


def _chosen_end(passage: Passage) -> Iterator[Tag]:
    """ "that's where I chose to leave it", "I've elected to turn back", "decided to pull out there"."""
    for token in passage.every("choice_word"):
        refused = passage.word(token + 1) == "not" and passage.word(token + 2) == "to"
        if refused and not passage.is_class(token, "point_in_it"):
            yield Tag(token, token + 3, "ending", "stopped")  # "chose not to chance it"
            continue
        if passage.word(token + 1) != "to":
            continue
        verb = token + 2
        if passage.is_class(verb, "halts", "own_stop") and not passage.measure_over(verb):
            yield Tag(token, verb + 1, "ending", "stopped")


def _no_point(passage: Passage) -> Iterator[Tag]:
    """ "no point pushing on", "not much sense in going further", "no need for me to carry on"."""
    for token in passage.every("point_in_it", start=1):
        if not passage.has_class(token - 3, token, "negation_word"):
            continue
        verb = next(
            (t for t in range(token + 1, token + 5) if passage.is_class(t, "goes_on_myself", "pushes_on")), None
        )
        if verb is not None and passage.has_class(verb + 1, verb + 4, "onward"):
            yield Tag(token - 1, verb + 2, "ending", "stopped")


def _not_going_there(passage: Passage) -> Iterator[Tag]:
    """ "I'm not going under the neighbour's house", "we didn't carry on past there": the speaker would not."""
    for token in passage.tokens_of(1, len(passage), (), ("not", "never")):
        who = token - 1
        while passage.is_class(who, "copula", "filler", "of_own_will"):
            who -= 1
        verb = token + 1
        if passage.word(who) not in ("i", "we") or passage.has_class(who, token, "able_word"):
            continue
        if not passage.is_class(verb, "goes_on_myself", "pushes_on") or passage.word(verb) in ("get", "got", "run"):
            continue
        behind = verb + 1
        while passage.is_class(behind, "the_camera", "article", "on_word"):
            behind += 1
        if passage.is_class(behind, "beyond_word") and passage.word(behind) not in ("through", "round"):
            yield Tag(token, behind + 1, "ending", "stopped")


def _asked_to_stop(passage: Passage) -> Iterator[Tag]:
    """ "the owner asked me to stop", "they want us to leave it there"."""
    for token in passage.tokens_of(1, len(passage), (), ("me", "us")):
        if not passage.is_class(token - 1, "wants_it", "choice_word", "told_me") or passage.word(token + 1) != "to":
            continue
        if passage.is_class(token + 2, "halts", "own_stop"):
            yield Tag(token - 1, token + 3, "ending", "stopped")


def _gave_out(passage: Passage) -> Iterator[Tag]:
    """ "that's where she quit", "where the camera gave up"."""
    for token in passage.tokens_of(0, len(passage), (), ("where",)):
        verb = next((t for t in range(token + 2, token + 5) if passage.is_class(t, "own_stop", "gives_out")), None)
        if verb is None:
            continue
        who = range(token + 1, verb)
        if any(passage.word(t) in ("she", "it", "he") or passage.is_class(t, "camera_word") for t in who):
            yield Tag(token, verb + 1, "ending", "done")


def _halted(passage: Passage) -> Iterator[Tag]:
    for token in passage.every("halts"):
        if passage.measure_over(token):
            continue
        for place in range(token + 1, token + 4):
            if passage.word(place) in ("there", "here") and not passage.tags_from(
                token, place, "condition", "structure", "component", "boundary"
            ):
                asked = any(passage.is_class(t, "told_to_others") for t in range(token - 3, token))
                denied = passage.word(token - 1) in ("not", "never", "do")
                if not passage.is_class(place + 1, "copula") and not denied and not asked:
                    yield Tag(token, place + 1, "ending", "stopped")
                break


def _would_have_gone_on(passage: Passage) -> Iterator[Tag]:
    """ "I'd have gone on but the owner wants her toilet back", "we could go further but there's no need"."""
    for token in passage.tokens_of(2, len(passage), (), ("on", "further", "farther", "more", "past")):
        if not passage.is_class(token + 1, "but_word") and not passage.is_class(token + 2, "but_word"):
            continue
        verb = next((t for t in range(token - 1, token - 5, -1) if passage.is_class(t, "goes_on_myself")), None)
        if verb is None:
            continue
        who = next((t for t in range(verb - 1, verb - 6, -1) if passage.word(t) in ("i", "we", "she", "it")), None)
        willing = any(passage.is_class(t, "modal") or passage.word(t) in ("can", "d") for t in range(who or verb, verb))
        denied = any(passage.is_class(t, "negation_word", "refuses") for t in range(who or verb, token))
        if who is not None and willing and not denied:
            yield Tag(who, token + 1, "ending", "stopped")


def _gear_fails(passage: Passage) -> Iterator[Tag]:
    """ "the screen's gone black on me", "battery died", "lost my picture"."""
    for token in passage.every("gear"):
        verb = token + 1
        while passage.is_class(verb, "copula", "filler") or passage.word(verb) in ("all", "out", "keeps", "has"):
            verb += 1
        if passage.is_class(verb, "gear_fails"):
            yield Tag(token, verb + 1, "ending", "stopped")
        else:
            lost = token - 1
            while passage.is_class(lost, "article", "definite") or passage.word(lost) in ("my", "our"):
                lost -= 1
            if passage.word(lost) in ("lost", "losing", "lose"):
                yield Tag(lost, token + 1, "ending", "stopped")


def _cable_is_gone(passage: Passage) -> Iterator[Tag]:
    """ "that's as much cable as I've got", "the cable's run out on me", "the reel won't reach"."""
    for token in passage.every("cable_word", start=1):
        if passage.word(token) in ("line", "length", "lead"):
            continue
        much = passage.word(token - 1) == "much" or passage.word(token - 2) in ("all", "much")
        if much and any(passage.word(t) in ("have", "got", "carry", "brought") for t in range(token + 1, token + 6)):
            yield Tag(token - 1, token + 1, "ending", "cable_limit")
            continue
        verb = token + 1
        while passage.is_class(verb, "copula", "filler") or passage.word(verb) in (
            "all",
            "run",
            "just",
            "ran",
            "runs",
            "came",
            "comes",
        ):
            verb += 1
        if verb > token + 1 and passage.is_class(verb, "used_up"):
            yield Tag(token, verb + 1, "ending", "cable_limit")
            continue
        refused = passage.is_class(token + 1, "refuses_modal") and passage.word(token + 2) == "not"
        if refused and passage.word(token + 3) in ("reach", "stretch", "go"):
            yield Tag(token, token + 4, "ending", "cable_limit")
