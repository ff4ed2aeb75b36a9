"""Deeds told by a verb and its object, which no fixed phrase holds: "ran the laundry tub", "the pit lid is up now",
"sent the auger down it", "pulled a lump of fat out of the tee".

The phrases of the lexicon name most work; this finds the rest by its parts: a lid and a word that says it is open, water
or dye and where it was put, a tool and the verb that sends it, a verb of taking and what was taken. Whether the work was
done, ordered or planned is told later, from the clause.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from extractor.language.passage import Passage
from extractor.reading import Tag

FLUSHED_STRUCTURES = (
    "distribution_box", "downpipe", "gully", "inspection_opening", "manhole", "inspection_chamber", "stormwater_pit",
    "grease_trap",
)  # fmt: skip
REMOVABLE = ("obstruction", "blockage", "settled_deposit", "root_intrusion", "grease", "vermin", "attached_deposit")
TOOLS = (("jetting_tool", "jetting"), ("rodding_tool", "rodding"), ("cutting_tool", "root_cutting"))
GIVEN = (("jetting_noun", "jetting"), ("rodding_noun", "rodding"))
OBJECT = 7  # words from a verb of taking or lifting to the end of what is taken or lifted
SENDS = 5  # words from the verb that sends a tool to the tool
BEHIND_TOOL = 4  # words behind a tool in which it is said where it goes


def add_deeds(passage: Passage) -> Passage:
    """The passage with an action tag over each such deed that no phrase covers."""
    known = list(passage.tags_from(0, len(passage), "action"))
    found: list[Tag] = []
    for rule in (
        _dye,
        _lids,
        _opened,
        _dug_open,
        _water_run,
        _water_down,
        _given,
        _tools,
        _cut_back,
        _taken_out,
        _sucked_out,
        _marked,
        _held_water,
        _freed,
        _renewed,
    ):
        for tag in rule(passage):
            withdrawn = tag.start in passage.masked or tag.end - 1 in passage.masked
            if not withdrawn and not any(k.start < tag.end and tag.start < k.end for k in known):
                found.append(tag)
                known.append(tag)
    no_thing = {tag for tag in passage.tags_from(0, len(passage), "condition") if _of_the_deed(passage, tag, found)}
    if not found and not no_thing:
        return passage
    kept = [tag for tag in passage.tags if tag not in no_thing]
    return replace(passage, tags=tuple(sorted((*kept, *found), key=lambda t: (t.start, t.end))))


def _of_the_deed(passage: Passage, tag: Tag, found: Sequence[Tag]) -> bool:
    """ "the cap's off", which is lifted and not missing; "had a crack at it", which is a try."""
    if tag.id == "missing_part":
        return any(deed.id == "lid_lifted" and deed.start < tag.end and tag.start < deed.end for deed in found)
    a_try = passage.is_class(tag.start - 1, "article") and passage.is_class(tag.start - 2, "had_done", "takes_look", "gives")
    return tag.id == "crack" and a_try and passage.word(tag.end) == "at"


def _ends_statement(passage: Passage, token: int) -> bool:
    """Whether what a verb does can't reach over this token: a stop, or a word that goes on to the next statement."""
    if token >= len(passage) or passage.is_class(token, "list", "someone"):
        return True
    if passage.word(token) == "right" and passage.is_class(token + 1, "emptied_word", "away_word", "goes_in"):
        return False
    return passage.cue_at(token, "boundary", "next", "turn", "against", "because") is not None


def _statement_end(passage: Passage, start: int, reach: int) -> int:
    for token in range(start, min(len(passage), start + reach)):
        if _ends_statement(passage, token):
            return token
    return min(len(passage), start + reach)


# --- water and dye --------------------------------------------------------------------------


def _dye(passage: Passage) -> Iterator[Tag]:
    """ "dye was placed in the basin", "put a bit of the red dye down the shower"."""
    for token in range(len(passage)):
        if not passage.is_class(token, "dye_word"):
            continue
        verb = next((t for t in range(token - 1, max(-1, token - 6), -1) if passage.is_class(t, "puts_water")), None)
        if verb is not None and not any(_ends_statement(passage, t) for t in range(verb + 1, token)):
            yield Tag(verb, token + 1, "action", "dye_test")
        elif put := next((t for t in range(token + 1, token + 4) if passage.is_class(t, "puts_water")), None):
            yield Tag(token, put + 1, "action", "dye_test")


def _water_run(passage: Passage) -> Iterator[Tag]:
    """ "ran the laundry tub", "had her flush the toilet upstairs", "the kitchen sink was run", "let the bath out"."""
    for tag in passage.tags_from(0, len(passage), "fixture", "structure"):
        if tag.kind == "structure" and tag.id not in FLUSHED_STRUCTURES:
            continue
        if any(passage.is_class(t, "dye_word") for t in range(tag.start - 6, tag.start)):
            continue
        behind = tag.end
        while passage.is_class(behind, "passive", "filler") or passage.word(behind) in passage.classes["been_word"]:
            behind += 1
        led = behind > tag.end or any(passage.is_class(t, "had_done") for t in range(tag.start - 3, tag.start))
        if led and passage.is_class(behind, "run_water") and tag.kind == "fixture":
            yield Tag(tag.start, behind + 1, "action", "flush_test")
            continue
        if passage.word(behind) in passage.classes["let_go"] and any(
            passage.word(t) in passage.classes["lets"] for t in range(tag.start - 3, tag.start)
        ):
            yield Tag(tag.start, behind + 1, "action", "flush_test")
            continue
        verb = next(
            (t for t in range(tag.start - 1, max(-1, tag.start - 5), -1) if passage.is_class(t, "run_water")), None
        )
        if verb is None or (passage.word(verb) in ("flush", "run") and not _got_done(passage, verb)):
            continue
        between = [t for t in passage.tags_from(verb, tag.start, "movement") if t.start > verb or t.end > verb + 1]
        if any(passage.is_class(t, "destination") for t in range(verb + 1, tag.start)):
            continue  # "running upstream to the gully"
        if not between and not passage.tags_from(verb, tag.start, "action", "condition"):
            yield Tag(verb, tag.end, "action", "flush_test")


def _got_done(passage: Passage, verb: int) -> bool:
    """ "had her flush", "got him to run", "I've run": done, where a bare "flush the toilet" is an order; "let me run
    the bath, that's four minutes": done meanwhile.
    """
    before = passage.speech.words[max(0, verb - 7) : verb]
    return done_meanwhile(passage, verb) or any(word in passage.classes["had_done"] for word in before)


def done_meanwhile(passage: Passage, verb: int) -> bool:
    """ "let me run the bath ... that's four minutes", "... okay it's come through": a test told as it is done."""
    if any(m.unit == "min" and passage.word(m.start - 1) == "is" for m in passage.measures_from(verb, verb + 16)):
        return True
    for token in range(verb + 1, min(len(passage), verb + 14)):
        if passage.is_class(token, "turns") or passage.word(token) == "there":
            return any(passage.is_class(t, "came_through") for t in range(token + 1, token + 6))
    return False


def _water_down(passage: Passage) -> Iterator[Tag]:
    """ "the hose in the garage downpipe", "a bucket down the gully": water, where it went in, and no jet near."""
    for token in range(len(passage)):
        if not passage.is_class(token, "water_source"):
            continue
        put = any(passage.is_class(t, "puts_water", "run_water", "had_done") for t in range(token - 4, token))
        there = passage.cue_at(token - 1, "speech_act") or passage.covering(token - 2, "speech_act")
        if not put and (passage.word(token) == "water" or there):
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
        elif places and not any(_ends_statement(passage, t) for t in range(to, places[0].start)):
            yield Tag(token, places[0].end, "action", "flush_test")


# --- lids -----------------------------------------------------------------------------------


def _lids(passage: Passage) -> Iterator[Tag]:
    """ "pit lid up now", "the cover's off", "got the slab off it", "up with the cover": a lid, said to be open."""
    for start, end in _lid_words(passage):
        token = _over_its_place(passage, end)
        while (
            token < end + 8
            and not passage.is_class(token, "lid_open")
            and (
                passage.is_class(token, "copula", "filler", "article")
                or passage.word(token) in passage.classes["state_now"]
            )
        ):
            token += 1
        if passage.is_class(token, "lid_open") and not passage.is_class(token + 1, "measure_of_open"):
            yield Tag(_lift_verb(passage, start) or start, token + 1, "action", "lid_lifted")
            continue
        if passage.word(end + 1) == "not" and passage.is_class(end, "modal", "refuses_modal"):
            if any(passage.is_class(t, "stuck_word", "lid_moves") for t in range(end + 2, end + 5)):
                yield Tag(start, end + 3, "action", "lid_lifted")
                continue
        verb = next((t for t in range(start - 1, max(-1, start - 6), -1) if passage.is_class(t, "opens_lid")), None)
        if verb is not None and not any(
            _ends_statement(passage, t) or passage.covering(t, "condition") for t in range(verb + 1, start)
        ):
            yield Tag(verb, end, "action", "lid_lifted")
            continue
        if fronted := next((t for t in range(start - 1, max(-1, start - 5), -1) if passage.word(t) == "with"), None):
            if passage.is_class(fronted - 1, "lid_open") and fronted - 1 not in passage.masked:
                yield Tag(fronted - 1, end, "action", "lid_lifted")


def _lid_words(passage: Passage) -> Iterator[tuple[int, int]]:
    """Lids, and what is a lid only on an opening: "the cap off the rodding eye", "the slab on the soakaway"."""
    for tag in passage.tags_from(0, len(passage), "component"):
        if tag.id == "lid" or (tag.id == "cap" and _of_opening(passage, tag.start, tag.end)):
            yield tag.start, tag.end
    for token in range(len(passage)):
        if (
            passage.is_class(token, "lid_word")
            and passage.covering(token, "component") is None
            and _of_opening(passage, token, token + 1)
        ):
            yield token, token + 1


def _of_opening(passage: Passage, start: int, end: int) -> bool:
    return bool(passage.tags_from(max(0, start - 10), end + 6, "structure"))


def _over_its_place(passage: Passage, token: int) -> int:
    """Past "on the chamber": the structure that the lid is named by."""
    if not (passage.is_class(token, "inside") and not passage.is_class(token, "lid_open")):
        return token
    for tag in passage.tags_from(token + 1, token + 4, "structure"):
        return tag.end
    return token


def _lift_verb(passage: Passage, start: int) -> int | None:
    """Back to the verb of "tried to get the lid off", "got the lid off": it says how it went."""
    for token in range(start - 1, max(-1, start - 5), -1):
        if _ends_statement(passage, token):
            return None
        if passage.is_class(token, "gets_off", "opens_lid"):
            return token
    return None


def _opened(passage: Passage) -> Iterator[Tag]:
    """ "the manhole's open", "got the tank open", "cracked the pit open"."""
    for tag in passage.tags_from(0, len(passage), "structure"):
        token = tag.end
        while token < tag.end + 3 and (
            passage.is_class(token, "copula", "filler") or passage.word(token) in passage.classes["state_now"]
        ):
            token += 1
        if passage.word(token) in passage.classes["opened_up"] and (
            token > tag.end or _lift_verb(passage, tag.start) is not None
        ):
            if not passage.things_from(token, token + 3) and not passage.is_class(token + 1, "to", "inside"):
                yield Tag(_lift_verb(passage, tag.start) or tag.start, token + 1, "action", "lid_lifted")


def _dug_open(passage: Passage) -> Iterator[Tag]:
    """ "had to dig for the lid but I got it open", "the lid was stuck but it's off now": open at last."""
    for token in range(len(passage)):
        opened = passage.is_class(token, "opened_up", "opens_lid") or passage.word(token) in ("off", "up")
        if not opened or passage.is_class(token - 1, "gets_off"):
            continue
        got = passage.is_class(token - 1, "object_pronoun") and passage.is_class(token - 2, "gets_off", "opens_lid")
        state = passage.is_class(token - 1, "copula") and passage.is_class(token - 2, "pronoun")
        lifted = passage.is_class(token, "opens_lid") and passage.is_class(token + 1, "object_pronoun")
        closed = passage.is_class(token + 1, "and_now", "turns") or _ends_statement(passage, token + 1)
        if not got and not lifted and not (state and closed):
            continue
        near = passage.tags_from(max(0, token - 22), token, "structure", "component")
        dug = any(passage.is_class(t, "tried_word", "dig_word") for t in range(max(0, token - 14), token))
        if any(tag.id in ("lid", "cap") for tag in near) or (dug and near and near[-1].kind == "structure"):
            yield Tag(token if lifted else token - 2, token + 1 + lifted, "action", "lid_lifted")


# --- tools ----------------------------------------------------------------------------------


def _tools(passage: Passage) -> Iterator[Tag]:
    """ "sent the auger down thirty feet", "the jetter's been up it", "gave it a blow with the water jet", "that's the
    rods then".
    """
    for token in range(len(passage)):
        action = next((action for name, action in TOOLS if passage.is_class(token, name)), None)
        if action is None or passage.is_class(token + 1, *(name for name, _ in TOOLS)):
            continue
        verb = _sends(passage, token)
        goes = _goes(passage, token)
        if verb is not None and (goes or not passage.is_class(verb, "holds_tool")):
            yield Tag(verb, token + 1, "action", action)
        elif (goes and passage.is_class(token - 1, "article", *(name for name, _ in TOOLS))) or passage.is_class(
            token + 1, "put_to_use"
        ):
            yield Tag(token, token + 2, "action", action)
        elif passage.is_class(token + 1, "and_now") and passage.is_class(token - 2, "copula"):
            yield Tag(token, token + 1, "action", action)


def _given(passage: Passage) -> Iterator[Tag]:
    """ "gave her a good blasting", "gave it a few plunges"."""
    for token in range(len(passage)):
        if not passage.is_class(token, "gives"):
            continue
        for noun in range(token + 2, min(len(passage), token + 8)):
            action = next((action for name, action in GIVEN if passage.is_class(noun, name)), None)
            if action is not None and any(passage.is_class(t, "article") for t in range(token + 1, noun)):
                yield Tag(token, noun + 1, "action", action)
                break
            if _ends_statement(passage, noun):
                break


def _sends(passage: Passage, tool: int) -> int | None:
    """The verb, or the "with", by which a tool is put to work."""
    for token in range(tool - 1, max(-1, tool - SENDS), -1):
        if _ends_statement(passage, token):
            return None
        if passage.word(token) == "go" and passage.is_class(token - 1, "once_more"):
            return token
        if passage.is_class(token, "sends_tool", "holds_tool") or passage.word(token) == "with":
            return None if passage.word(token) == "with" and passage.is_class(token - 1, "lid_open") else token
    return None


def _goes(passage: Passage, tool: int) -> bool:
    for token in range(tool + 1, tool + BEHIND_TOOL):
        if passage.is_class(token, "goes_in"):
            return True
        if not (passage.is_class(token, "copula", "filler") or passage.word(token) in passage.classes["state_now"]):
            return False
    return False


# --- what was taken out or put in -----------------------------------------------------------


def _taken_out(passage: Passage) -> Iterator[Tag]:
    """ "pulled a lump of wipes out", "scraped the fat off the tee", "hooked the rag off": taken out by hand."""
    for token in range(len(passage)):
        strong = passage.is_class(token, "takes_by_hand")
        if not strong and not passage.is_class(token, "takes_out"):
            continue
        if passage.covering(token, "action") is not None or passage.covering(token, "movement") is not None:
            continue
        if passage.word(token - 1) == "it":
            continue  # "it took most of the scale off"
        end = _statement_end(passage, token + 1, OBJECT)
        taken = [t for t in passage.tags_from(token + 1, end, "condition") if t.id in REMOVABLE]
        out = next((t for t in range(token + 1, end + 1) if passage.is_class(t, "away_word")), None)
        if any(passage.is_class(t, "camera_part", "camera_word") for t in range(token + 1, end)):
            continue
        if any(passage.is_class(t, name) for t in range(token + 1, end) for name, _ in TOOLS):
            continue
        if strong and passage.is_class(token + 1, "points_at_it") and not taken:
            yield Tag(token, (out or token + 1) + 1, "action", "hand_removal")
        elif taken and (out is not None or strong):
            last = max(taken[-1].end, (out or 0) + 1) if out is None or out - taken[-1].end <= 2 else out + 1
            yield Tag(token, last, "action", "hand_removal")
        elif strong and _scraped_clean(passage, token, end):
            yield Tag(token, token + 2, "action", "hand_removal")
        elif strong and out is not None and passage.is_class(token + 1, "article", "pronoun", "definite"):
            yield Tag(token, out + 1, "action", "hand_removal")


def _scraped_clean(passage: Passage, token: int, end: int) -> bool:
    """ "scraped the baffle down with a paint scraper", "brushed the filter clean"."""
    part = next((t for t in passage.tags_from(token + 1, end, "component") if t.id not in ("pump", "lid")), None)
    return part is not None and passage.word(part.end) in ("down", "clean", "off", "out", "back")


def _cut_back(passage: Passage) -> Iterator[Tag]:
    """ "trimmed that back with the loppers", behind roots: cut, whatever the tool."""
    for token in range(len(passage)):
        if not passage.is_class(token, "cuts_back") or passage.is_class(token - 1, "copula", "to", "modal", "article"):
            continue
        end = _statement_end(passage, token + 1, 5)
        roots = any(t.id == "root_intrusion" for t in passage.tags_from(token + 1, end, "condition"))
        if passage.is_class(token + 1, "points_at_it"):
            before = passage.tags_from(max(0, token - 16), token, "condition")
            roots = roots or bool(before and before[-1].id == "root_intrusion")
        if roots and any(passage.is_class(t, "away_word") or passage.word(t) in ("back", "with") for t in range(token + 1, end + 1)):
            yield Tag(token, token + 2, "action", "root_cutting")


def _sucked_out(passage: Passage) -> Iterator[Tag]:
    """ "pumped the manhole out", "had the truck pump it out", "drew it right down": emptied."""
    for token in range(len(passage)):
        if not passage.is_class(token, "sucks"):
            continue
        if not (passage.word(token).endswith("ed") or passage.word(token) in ("drew", "sucked")) and not _got_done(
            passage, token
        ):
            continue
        end = _statement_end(passage, token + 1, OBJECT)
        out = next((t for t in range(token + 1, end) if passage.is_class(t, "emptied_word")), None)
        held = any(tag.kind == "structure" for tag in passage.tags_from(token + 1, end, "structure"))
        it = passage.is_class(token + 1, "pronoun", "object_pronoun", "all_of")
        if out is not None and (held or it):
            yield Tag(token, out + 1, "action", "pump_out")
        elif passage.is_class(token, "empties") and (held or it):
            if not passage.is_class(token - 1, "pronoun") and passage.covering(token - 1, "condition") is None:
                yield Tag(token, token + 2, "action", "pump_out")


def _marked(passage: Passage) -> Iterator[Tag]:
    """ "staked the tank", "sprayed a cross on the slab", "knocked a peg in over it": located from above."""
    for token in range(len(passage)):
        if passage.is_class(token, "marks_ground") and (
            passage.is_class(token + 1, "article", "object_pronoun", "side")
            or passage.things_from(token + 1, token + 2)
        ):
            yield Tag(token, token + 2, "action", "located")
        elif passage.is_class(token, "ground_mark") and any(
            passage.is_class(t, "sends_tool", "knocks_in", "gets_off") for t in range(token - 4, token)
        ):
            yield Tag(token - 1, token + 1, "action", "located")


def _held_water(passage: Passage) -> Iterator[Tag]:
    """ "filled it up and it lost two litres": filled to see whether it holds."""
    for token in range(len(passage)):
        if not passage.is_class(token, "fills_up") or passage.is_class(token - 1, "copula"):
            continue
        if passage.is_class(token + 1, "object_pronoun", "article") and any(
            passage.is_class(t, "holds_level") for t in range(token + 2, token + 14)
        ):
            yield Tag(token, token + 2, "action", "leak_test")


def _freed(passage: Passage) -> Iterator[Tag]:
    """ "jiggled the float", "flicked the breaker": a pump set going again."""
    for token in range(len(passage)):
        if not passage.is_class(token, "sets_going"):
            continue
        end = _statement_end(passage, token + 1, 5)
        part = next(
            (t for t in passage.tags_from(token + 1, end, "component") if t.id in ("pump", "float_switch")), None
        )
        switch = next((t for t in range(token + 1, end) if passage.is_class(t, "power_part")), None)
        if part is not None:
            yield Tag(token, part.end, "action", "pump_reset")
        elif switch is not None:
            yield Tag(token, switch + 1, "action", "pump_reset")
        elif passage.is_class(token + 1, "object_pronoun") and _pump_before(passage, token):
            yield Tag(token, token + 2, "action", "pump_reset")
    for token in range(len(passage)):
        back = passage.is_class(token, "switches_back") and passage.word(token + 1) == "it"
        if back and passage.word(token + 2) in ("back", "in", "on") and _pump_before(passage, token):
            yield Tag(token, token + 3, "action", "pump_reset")


def _pump_before(passage: Passage, token: int) -> bool:
    """Whether the pump, its float or its switch was spoken of just before."""
    near = passage.tags_from(max(0, token - 12), token, "component")
    return any(t.id in ("pump", "float_switch") for t in near) or any(
        passage.is_class(t, "power_part") for t in range(token - 12, token)
    )


def _renewed(passage: Passage) -> Iterator[Tag]:
    """ "put a length of new hose on it", "fitted another float", "new cap on": a new part, put in by a verb or in place."""
    for tag in passage.tags_from(0, len(passage), "component"):
        placed = passage.word(tag.end) in ("on", "in", "fitted", "installed") and not passage.is_class(tag.end + 1, "article")
        if placed and passage.is_class(tag.start - 1, "new_part"):
            yield Tag(tag.start - 1, tag.end + 1, "action", "part_replaced")
    for token in range(len(passage)):
        if not passage.is_class(token, "puts_part"):
            continue
        end = _statement_end(passage, token + 1, OBJECT)
        parts = passage.tags_from(token + 1, end, "component")
        new = next((t for t in range(token + 1, end) if passage.is_class(t, "new_part")), None)
        if new is not None and passage.word(new + 1) == "one" and passage.tags_from(token - 12, token, "component"):
            yield Tag(token, new + 2, "action", "part_replaced")
        elif new is not None and parts and parts[0].start - new <= 3 and new - token <= 5:
            yield Tag(token, parts[0].end, "action", "part_replaced")
