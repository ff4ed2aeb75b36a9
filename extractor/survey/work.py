"""Work: what was done in the visit, on what, how far it reached, and how it went."""

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from extractor.language.clauses import Clause, clause_at
from extractor.language.handwork import REMOVABLE
from extractor.language.passage import Passage
from extractor.language.verb_reach import done_meanwhile
from extractor.language.verdicts import Verdict
from extractor.reading import Measure, Tag
from extractor.survey.distances import length_of
from extractor.survey.openings import Opening
from extractor.survey.scenes import Scene

FLUSHED = ("flush_test", "dye_test")
IN_PIPE = ("jetting", "rodding", "root_cutting")
NAMED_FIRST = ("article", "dye_word", "water_source", "jetting_tool", "rodding_tool", "cutting_tool")
PARTS = ("hose", "filter", "baffle", "float_switch", "lid", "cap", "valve", "trap", "pump")
TRIED = 12  # words back to "tried to"
TOLD = 12  # words back to "she says that"
WANTED = 8  # words back to "get" or "needs"
MANNER = 6  # words from work to how it was done
ACT_REACH = 4  # words from a question or a remark to a deed of which it may be said
ADVISED = 24  # words over which advice reaches
AGO = 9  # words ahead to "two years ago"
NEW_ONE = 24  # words from "fitted a new one" back to the old one
FURTHER = 14  # words from work to words that go on telling of it
MARKED = 24  # the same, of what was located and then marked, or filled and then watched
UNCOVERED = 30  # words from a place uncovered to its lids
TOLD_AFTER = 60  # words behind work in which it is told how it went


@dataclass
class ActionDraft:
    """One piece of work. Tokens start to end are its words."""

    start: int
    end: int
    action: str
    target: str | None
    run: int | None
    reach_m: float | None
    result: str | None


def read_actions(
    passage: Passage,
    clauses: Sequence[Clause],
    scenes: Sequence[Scene],
    roles: Mapping[Measure, str | None],
    openings: Sequence[Opening],
    verdicts: Sequence[Verdict],
) -> list[ActionDraft]:
    """Actions performed, in order; what is planned, ordered or asked is none."""
    actions: list[ActionDraft] = []
    advice = _advice(verdicts)
    performed = [
        tag
        for tag in passage.tags_from(0, len(passage), "action")
        if _performed(passage, clause_at(clauses, tag.start), tag, advice)
    ]
    for index, tag in enumerate(performed):
        clause = clause_at(clauses, tag.start)
        scene = scenes[bisect_right(scenes, tag.start, key=lambda scene: scene.start) - 1]
        if actions and _way_of_clearing(passage, tag, actions[-1]):
            continue
        if actions and _same_work(passage, tag, actions[-1]):
            actions[-1].end = tag.end
            continue
        target = _target(passage, clause, scene, tag, openings)
        reach = None
        if tag.id in IN_PIPE:
            reach = next(
                (
                    max(length_of(m))
                    for m in passage.measures_from(tag.start - 4, tag.end + 18)
                    if roles.get(m) == "reach"
                    or (
                        0 <= m.start - tag.end <= 3
                        and m.unit == "m"
                        and passage.is_class(tag.end, "goes_in", "particle")
                    )
                    or passage.speech.words[m.end : m.end + 2] == ("with", "them")
                ),
                None,
            )
        run = scene.run if scene.kind == "run" and tag.id in (*IN_PIPE, "hand_removal") else None
        if tag.id not in IN_PIPE and target not in ("pipe", None):
            run = None
        following = performed[index + 1].start if index + 1 < len(performed) else len(passage)
        result = _result(passage, tag, following)
        actions.append(ActionDraft(tag.start, tag.end, tag.id, target, run, reach, result))
    return actions


def _advice(verdicts: Sequence[Verdict]) -> list[Verdict]:
    """The statements of what should be done, and the orders that go on from them."""
    advice: list[Verdict] = []
    for verdict in verdicts:
        follows = bool(advice) and verdict.start - advice[-1].end <= 2
        if verdict.kind == "recommendation" or (verdict.kind == "order" and follows):
            advice.append(verdict)
    return advice


def _performed(passage: Passage, clause: Clause, tag: Tag, advice: Sequence[Verdict]) -> bool:
    tried, past = _tried(passage, tag), _told_as_past(passage, tag)
    fronted = passage.word(tag.start + 1) == "with" and passage.is_class(tag.start, "lid_open")
    act = _act(passage, clause, tag)
    if act in ("question", "recommendation", "main_issue", "general") and not fronted:
        return False
    open_lid = tag.id == "lid_lifted" and _has_subject(passage, tag)  # "i'll start with the tank | lid's off"
    if act == "plan" and not (tried or past or fronted or open_lid or _then_timed(passage, tag)):
        return False
    out_again = passage.covering(tag.start, "movement")
    if out_again is not None and out_again.id == "out_again":
        return False
    led = passage.is_class(tag.start - 1, "article") and not passage.is_class(tag.start, *NAMED_FIRST)
    if led and passage.word(tag.end - 1) in ("the", "it", "that"):
        return False  # "the end of the cable | the main problem is"
    if _by_others(passage, tag) or _long_ago(passage, tag) or (not tried and _wanted(passage, tag)):
        return False
    if tag.id == "lid_lifted" and _stayed_shut(passage, tag):
        return True
    if _advised(passage, tag, advice) or _no_deed(passage, tag):
        return False
    if _not_done(passage, clause, tag, past) and not tried and not fronted and not _then_timed(passage, tag):
        return False
    return not any(
        cue.id == "earlier" and tag.start - 8 <= cue.start <= tag.end + AGO
        for cue in passage.tags_from(clause.start, clause.end, "time")
    )


def _told_as_past(passage: Passage, tag: Tag) -> bool:
    """ "jetted", "ran the hose", "have had it off": a form that no "will" and no "to" right before it can govern."""
    first = passage.word(tag.start)
    return first.endswith("ed") or passage.is_class(tag.start, "past_verb")


def _not_done(passage: Passage, clause: Clause, tag: Tag, past: bool) -> bool:
    """ "will jet", "would have jetted", "not jetted yet"; but "so they will | jetted that from the gully"."""
    subject = _has_subject(passage, tag)
    if past or subject:
        led = tag.start - 1
        while led >= clause.start and passage.is_class(led, "auxiliary"):
            led -= 1
        chain = passage.speech.words[led + 1 : tag.start]
        if {"if", "unless", "until", "whether"} & {passage.word(led), passage.word(led - 1)}:
            return True
        helped = any(word in passage.classes["helps_participle"] for word in chain)
        modal = any(word in passage.classes["not_yet_done"] and word not in ("to", "not", "never") for word in chain)
        denied = bool({"not", "never"} & set(chain)) and not subject
        return denied or (helped and (modal or "to" in chain))
    for token in range(tag.start - 1, max(clause.start, tag.start - 5) - 1, -1):
        word = passage.word(token)
        if word == "to" and passage.word(token - 1) == "going":
            return True  # "I was going to run the jetter up it"
        if word == "to" and any(passage.is_class(t, "had_done") for t in range(token - 4, token)):
            return False  # "got her to run the tap"
        if word == "to" and passage.is_class(token + 1, "article", "object_pronoun"):
            continue  # "went to the panel and reset the pump"
        if word in passage.classes["not_yet_done"]:
            return "have" not in passage.speech.words[token : tag.start] or word == "not"
        if word in passage.classes["did_it"]:
            return False
    return False


def _once_renewed(passage: Passage, tag: Tag) -> bool:
    """ "the clay's been dug up and replaced": a pipe found renewed, where no part is named and nobody says "I"."""
    before = range(max(0, tag.start - 6), tag.end)
    passive = any(passage.word(t) in ("been", "was") for t in before)
    mine = any(passage.word(t) in ("i", "we") for t in before)
    parts = passage.tags_from(tag.start - 8, tag.end + 4, "component")
    return passive and not mine and not any(part.id in PARTS for part in parts)


def _has_subject(passage: Passage, tag: Tag) -> bool:
    """ "an air test of", "dye was placed", "both lids are off": whole in itself, whatever was said before it."""
    lid = passage.cue_at(tag.start, "component", "lid", "cap") or passage.is_class(tag.start, "lid_word")
    return (
        (tag.id == "lid_lifted" and bool(lid))
        or passage.is_class(tag.start, *NAMED_FIRST)
        or any(passage.is_class(t, "copula") for t in range(tag.start + 1, tag.end))
    )


def _act(passage: Passage, clause: Clause, tag: Tag) -> str:
    """What the speaker does in the clause; an act told far before a deed whole in itself does not reach it."""
    if clause.act in ("main_issue", "recommendation") and _i_did(passage, tag):
        return "report"
    if clause.act not in ("question", "general") or not (_told_as_past(passage, tag) or _has_subject(passage, tag)):
        return clause.act
    cues = passage.tags_from(clause.start, tag.start, "speech_act")
    last = max((cue.end for cue in cues if cue.id == clause.act), default=clause.start)
    return clause.act if tag.start - last <= ACT_REACH else "report"


def _i_did(passage: Passage, tag: Tag) -> bool:
    """ "I put a new valve on", "we've jetted it": told of oneself as done, and so no advice."""
    before = tag.start - 1
    if passage.word(before) == "have" and not passage.is_class(before - 1, "modal"):
        before -= 1
    return passage.word(before) in ("i", "we") and not passage.is_class(tag.start, "advises", "modal", "obliges")


def _then_timed(passage: Passage, tag: Tag) -> bool:
    """ "I'm going to run the bath now, okay, that's four minutes": told as it is done."""
    return tag.id in (*FLUSHED, "leak_test") and done_meanwhile(passage, tag.start)


def _advised(passage: Passage, tag: Tag, advice: Sequence[Verdict]) -> bool:
    """ "recommended that the silt is jetted out", "and cut the roots": part of what should be done."""
    if any(passage.word(t) in ("i", "we") for t in range(tag.start - 2, tag.start + 1)):
        return False
    return any(verdict.cue <= tag.start < min(verdict.end, verdict.cue + ADVISED) for verdict in advice)


def _no_deed(passage: Passage, tag: Tag) -> bool:
    """ "dirt that's filled the pipe", "the cover was already off", "so I've pulled out", "is cleaned out now"."""
    words = passage.speech.words[tag.start : tag.end]
    if tag.id == "leak_test" and words[0] == "filled":
        return passage.is_class(tag.start - 1, "copula")
    if tag.id == "lid_lifted":
        found_so = tag.end + (0 if passage.is_class(tag.start, "gets_off", "opens_lid") else ACT_REACH)
        return "already" in passage.speech.words[tag.start : found_so] or _not_the_lid(passage, tag)
    if tag.id == "pump_out" and passage.has_class(tag.end, tag.end + MANNER, "dye_word"):
        return True
    if tag.id == "pump_out" and passage.word(tag.end) == "itself":
        return True
    if tag.id == "pump_out" and words in (("emptied",), ("emptied", "out")):  # "the chamber emptied out"
        before = tag.start - 1 - passage.is_class(tag.start - 1, "copula")
        return passage.word(before) in ("it", "that", "which", "she", "all") or bool(
            passage.covering(before, "structure") or passage.covering(before, "condition")
        )
    if tag.id == "part_replaced" and _once_renewed(passage, tag):
        return True
    if tag.id == "flush_test" and any(
        t.id == "dye_test" for t in passage.tags_from(tag.start, tag.end + ACT_REACH, "action")
    ):
        return True  # "poured a bucket of | dyed water down the sink"
    if tag.id == "flush_test" and words == ("flushed",):
        return passage.covering(tag.start - 1, "condition") is not None  # "debris flushed down with the jet"
    if tag.id != "hand_removal":
        return False
    if _handled_only(passage, tag) or _pulled_apart(passage, tag) or _lid_dug_out(passage, tag):
        return True
    if len(words) > 3:
        return False
    return _camera_out(passage, tag, words) or (words[0] == "cleaned" and passage.word(tag.start - 1) in ("is", "are"))


def _not_the_lid(passage: Passage, tag: Tag) -> bool:
    """ "the float switch is fine, I lifted it up and down": a part that "it" stands for."""
    if not passage.is_class(tag.start + 1, "object_pronoun") or passage.tags_from(tag.start, tag.end + 2, "structure"):
        return False
    before = passage.tags_from(max(0, tag.start - WANTED), tag.start, "component", "structure")
    return bool(before) and before[-1].id in ("pump", "float_switch", "filter", "hose")


def _handled_only(passage: Passage, tag: Tag) -> bool:
    """ "even when I lift the float by hand", "yanked the pump out": handled, with nothing taken away."""
    near = passage.tags_from(tag.start - FURTHER, tag.end, "component", "condition")
    parts = [each.id for each in near if each.kind == "component"]
    taken = any(each.id in REMOVABLE for each in near)
    return (
        parts[-1:] in (["pump"], ["float_switch"]) and not taken and not passage.has_class(tag.start, tag.end, "cleans")
    )


def _lid_dug_out(passage: Passage, tag: Tag) -> bool:
    """ "the grate was buried, I dug it out and lifted it off": a lid, and nothing out of the drain."""
    if not passage.is_class(tag.start, "dig_word") or not passage.has_class(tag.start, tag.end, "object_pronoun"):
        return False
    for token in range(tag.start - 1, max(-1, tag.start - FURTHER), -1):
        if passage.covering(token, "condition") is not None:
            return False
        part = passage.covering(token, "component")
        if passage.is_class(token, "lid_word") or (part is not None and part.id in ("lid", "cap")):
            return True
    return False


def _pulled_apart(passage: Passage, tag: Tag) -> bool:
    """ "the joint has pulled out": a joint that moved, not what somebody did."""
    if passage.has_class(tag.start, tag.end, "object_pronoun") or "hand" in passage.speech.words[tag.start : tag.end]:
        return False
    subject = tag.start - 1
    while passage.is_class(subject, "copula", "filler") or passage.measure_over(subject) is not None:
        subject -= 1
    subject -= passage.is_class(subject, "at")
    part = passage.covering(subject, "component")
    return part is not None and part.id in ("joint", "pipe", "junction", "patch", "bend", "hose")


def _camera_out(passage: Passage, tag: Tag, words: tuple[str, ...]) -> bool:
    """ "so I've pulled out", "had the camera in there and pulled it out"."""
    if len(words) == 2 and words[1] == "out" and passage.is_class(tag.start, "backs_out"):
        subject = passage.is_class(tag.start - 1, "someone", "turns", "list") or (
            passage.word(tag.start - 1) == "have" and not passage.is_class(tag.start - 3, "relative")
        )
        return subject and not (
            passage.is_class(tag.end, "article", "object_pronoun")
            or passage.tags_from(tag.end, tag.end + 2, "condition", "component")
        )
    if words == ("pulled", "it", "out"):
        camera = any(passage.is_class(t, "camera_word") for t in range(tag.start - 10, tag.start))
        return camera and not passage.tags_from(tag.start - 10, tag.start, "condition")
    return False


def _tried(passage: Passage, tag: Tag) -> bool:
    """ "tried to lift that lid", "it took two of us to get the lid off", "could not shift it": done, or failed."""
    before = tag.start - TRIED
    return passage.has_class(before, tag.end, "tried_word") and not passage.has_class(before, tag.end, "modal")


def _by_others(passage: Passage, tag: Tag) -> bool:
    """ "he says they jetted it", "my uncle dug that one out": told of, or done by somebody on another day."""
    if tag.id == "lid_lifted" or any(passage.word(t) in ("i", "we") for t in range(tag.start, tag.end)):
        return False
    for token in range(tag.start - 1, max(-1, tag.start - TOLD), -1):
        near = tag.start - token <= 3 and tag.id not in FLUSHED
        elder = passage.word(token) == "man" and passage.word(token - 1) in ("old", "last", "previous")
        if elder or passage.is_class(token, "people_before") or (passage.is_class(token, "unknown_person") and near):
            return True
        if passage.word(token) in ("they", "he", "she") and tag.start - token <= 2 and tag.id == "part_replaced":
            return True
        habit = passage.is_class(token + 1, "copula") and passage.word(tag.start).endswith("ing")
        if passage.is_class(token, "other_people") and tag.start - token <= 2 and habit:
            return True  # "they're flushing wipes"
        if passage.word(token) in ("i", "we") or passage.covering(token, "boundary") is not None:
            return False
        if passage.is_class(token, "says_others") and passage.word(token - 1) not in ("i", "we"):
            return tag.id not in FLUSHED
    return False


def _wanted(passage: Passage, tag: Tag) -> bool:
    """ "get that sand jetted out", "needs the roots cut": wanted, where "got the roots cut" is done."""
    if any(passage.is_class(t, "article", "jetting_tool", "rodding_tool") for t in range(tag.start, tag.end)):
        return False
    for token in range(tag.start - 1, max(-1, tag.start - WANTED), -1):
        if passage.word(token) in ("i", "we") or passage.cue_at(token, "boundary", "next", "turn", "against"):
            return False
        if passage.word(token) == "have" and passage.word(token - 1) == "to":
            return True
        if passage.is_class(token, "wanting", "wants_done"):
            return passage.word(token - 1) != "not" and passage.word(token + 1) not in ("by", "past", "out", "through")
    return False


def _long_ago(passage: Passage, tag: Tag) -> bool:
    """ "was jetted in June", "cut out two years ago": a time behind it that lies before the visit."""
    end = min(len(passage), tag.end + AGO)
    if not passage.has_class(tag.end, end, "month") and not passage.tags_from(tag.end, end, "time"):
        return False
    for token in range(tag.end, end):
        if passage.word(token) in ("i", "we") or passage.cue_at(token, "boundary", "next", "turn", "against"):
            return False
        if passage.is_class(token, "statement_pronoun") and passage.is_class(token + 1, "copula"):
            return False
        if passage.is_class(token, "month") and passage.word(token - 1) in ("in", "last", "the", "back", "since"):
            return True
        cue = passage.cue_at(token, "time", "earlier")
        if cue is not None:
            return True
    return False


def _same_work(passage: Passage, tag: Tag, last: ActionDraft) -> bool:
    """Whether the words go on telling of the work just told: how it was done, what it was done with."""
    gap = tag.start - last.end
    if last.action != tag.id:
        return False
    if tag.id == "lid_lifted":
        return gap <= UNCOVERED and _same_lid(passage, tag, last)
    reach = MARKED if tag.id in ("located", "leak_test") else FURTHER
    return gap <= reach and not _another(passage, tag, last)


def _same_lid(passage: Passage, tag: Tag, last: ActionDraft) -> bool:
    """ "uncovered the tank, it was ten inches down, and both of the lids are off": dug for and then lifted."""
    places = passage.tags_from(last.end, tag.end, "structure")
    dug = any(passage.is_class(t, "opened_up", "dig_word") for t in range(last.start, last.end))
    return dug and not passage.tags_from(last.end, tag.start, "movement") and all(p.id == last.target for p in places)


def _way_of_clearing(passage: Passage, tag: Tag, last: ActionDraft) -> bool:
    """ "gone in with the rods and hooked it out", "jetted it and flushed it out": what the tool did, no work of its
    own; but "and pulled it out by hand".
    """
    if tag.id == last.action == "root_cutting" and passage.word(tag.start) == "roots":
        near = tag.start - last.end <= TOLD_AFTER
        return near and not passage.has_class(last.end, tag.start, "cutting_tool")  # "the roots have been cut out"
    if last.action not in IN_PIPE or tag.id not in ("hand_removal", "flush_test") or tag.start - last.end > FURTHER + 2:
        return False
    words = passage.speech.words[tag.start : tag.end]
    own = passage.tags_from(tag.start, tag.end + 2, "fixture", "structure", "condition")
    told = passage.tags_from(last.end, tag.start, "condition", "movement", "time")
    by_hand = "hand" in passage.speech.words[tag.start : tag.end + 4]
    pointed = any(word in passage.classes["points_at_it"] for word in words)
    return pointed and not own and not told and not by_hand


def _another(passage: Passage, tag: Tag, last: ActionDraft) -> bool:
    again = passage.is_class(tag.start - 1, "once_more") or passage.is_class(tag.start - 2, "once_more")
    if passage.word(tag.start) in ("by", "with") and tag.start - last.end <= FURTHER and not again:
        return False  # "shovelled out of the pit | by hand", "rods down from the manhole | with the plunger on"
    if tag.id in FLUSHED:
        put_in = [t.id for t in passage.tags_from(tag.start, tag.end, "fixture")]
        if put_in and put_in[0] != last.target:
            return True  # "flushed the toilet and | ran the tub"
    if tag.id == "leak_test" and not passage.tags_from(last.end, tag.start, "movement"):
        return False
    if tag.id == "located" and not passage.tags_from(last.end, tag.start, "movement"):
        if passage.has_class(tag.start, tag.end, "ground_mark", "paints"):
            return _mark_of_another(passage, tag, last)  # "traced the trench from above and put a peg in"
        return tag.start - last.end > MANNER  # "put the sonde on it and picked it up"
    new = [t for t in passage.tags_from(last.end, tag.start, "condition") if t.id != "sound"]
    told = any(passage.measure_over(at) is not None for at in range(last.end, tag.start)) and bool(new)
    return (
        told or bool(passage.tags_from(last.end, tag.start, "structure", "movement")) or again or tag.id == "lid_lifted"
    )


def _mark_of_another(passage: Passage, tag: Tag, last: ActionDraft) -> bool:
    """ "marked the tank, and the box has a peg on it too": another place is named between, or behind the mark."""
    named = [
        t
        for t in passage.tags_from(last.end, tag.end + 3, "structure", "component")
        if t.start >= tag.start or passage.is_class(t.start - 1, "article")
    ]
    return any(t.id != last.target for t in named if t.kind == "structure") and not passage.has_class(
        last.end, tag.start, "list"
    )


def _target(passage: Passage, clause: Clause, scene: Scene, tag: Tag, openings: Sequence[Opening]) -> str | None:
    """What was worked on: named behind the verb, then in front of it, else where the speaker is."""
    behind = list(passage.tags_from(tag.end, tag.end + 8, "structure", "fixture", "component"))
    front = [
        t
        for t in passage.tags_from(max(0, tag.start - 12), tag.start, "structure", "fixture", "component")
        if t.end <= tag.start
    ]
    front.reverse()
    inside = passage.tags_from(tag.start, tag.end, "structure", "fixture", "component")
    if tag.id == "lid_lifted":
        next_to = [
            t for t in behind if t.kind == "structure" and t.start - tag.end <= 4 and passage.word(t.start - 1) != "so"
        ]
        if next_to and any(
            passage.word(x) in ("on", "off", "of", "from", "to") for x in range(tag.end - 1, next_to[0].start)
        ):
            return next_to[0].id
        places = [
            t
            for t in (*inside, *sorted((*behind, *front), key=lambda t: abs(t.start - tag.start)))
            if t.kind == "structure"
        ]
        return places[0].id if places else scene.structure
    if tag.id in IN_PIPE:
        trench = [t for t in (*behind[:2], *front[:1]) if t.id == "absorption_trench"]
        return "absorption_trench" if trench else "pipe"
    if tag.id in FLUSHED:
        inner = passage.tags_from(tag.start, tag.end + 1, "fixture", "structure")
        inner = [t for t in inner if passage.word(t.end) != "of"]  # "a tub of dye"
        if inner:
            return inner[0].id
        fixtures = [
            t for t in (*behind, *front) if t.kind == "fixture" or t.id in ("downpipe", "distribution_box", "gully")
        ]
        return fixtures[0].id if fixtures else next((t.id for t in behind if t.kind == "structure"), scene.structure)
    if tag.id == "pump_reset":
        return "pump"
    if tag.id == "pump_out":
        places = [t for t in (*inside, *behind[:2], *front) if t.kind == "structure"]
        return places[0].id if places else scene.structure
    if tag.id == "located":
        named = [t for t in (*inside, *behind) if t.id not in ("pipe",)] or [t for t in front if t.id != "pipe"]
        told = passage.tags_from(max(0, tag.start - FURTHER), tag.start, "condition")
        pointed = bool(told) and not [t for t in (*inside, *behind) if t.id != "pipe"]
        return named[0].id if named and not (pointed and scene.kind == "run") else "pipe"
    if tag.id == "hand_removal":
        behind = [t for t in behind if t.start - tag.end <= ACT_REACH and _taken_from(passage, t)]
        front = [] if behind else front
    parts = [
        t
        for t in (*inside, *front, *behind)
        if t.kind in ("component", "structure") and t.id not in ("inlet", "outlet", "lid")
    ]
    if tag.id == "part_replaced" and (part := _part_in(passage, tag)):
        return part
    if tag.id == "part_replaced" and {"one", "spare"} & set(passage.speech.words[tag.start : tag.end + 1]):
        told = passage.tags_from(max(0, tag.start - NEW_ONE), tag.start, "component", "condition")
        called = [t.id if t.kind == "component" else t.on for t in told]
        called = [part for part in called if part not in (None, "inlet", "outlet", "pipe", "joint")]
        if called:
            return called[-1]  # "the outlet tee's come off ... fitted a new one"
    if tag.id == "part_replaced" and (new := [t for t in parts if tag.end <= t.start <= tag.end + 3]):
        return new[0].id  # "put a new bit of | hose on"
    if parts:
        return parts[0].id
    return "pipe" if scene.kind == "run" else scene.structure


def _taken_from(passage: Passage, tag: Tag) -> bool:
    """ "scooped it out | of the box", "picked them | off the tee"."""
    lead = tag.start - 1 - passage.is_class(tag.start - 1, "article")
    return passage.word(lead) in ("of", "from", "off", "in", "at")


def _part_in(passage: Passage, tag: Tag) -> str | None:
    """ "put a new bit of hose on": the part told by a word of the work itself, where no tag of its own stands."""
    for token in range(tag.start, tag.end + 4):
        word = passage.word(token)
        if token >= tag.end and passage.is_class(token, "at", "list"):
            return None
        part = next((part for part in PARTS if part.split("_")[0] == word), None)
        if part is not None:
            return part
    return None


def _result(passage: Passage, tag: Tag, following: int) -> str | None:
    """How the work went, as told before the next work, or before the camera goes on."""
    if tag.id == "lid_lifted":
        return "failed" if _stayed_shut(passage, tag) else "done"
    end = next(
        (
            t.start
            for t in passage.tags_from(tag.end, tag.end + TOLD_AFTER, "movement")
            if t.id not in ("relook", "inspect", "camera_in", "out_again")
            and not any(passage.is_class(at, "negation_word") for at in (t.start, t.start - 1))
        ),
        tag.end + TOLD_AFTER,
    )
    end = min(end, max(following, tag.end))
    if tag.id == "leak_test" and _leaks(passage, tag.end, min(end, tag.end + MARKED)):
        return "failed"
    if tag.id in FLUSHED:
        return "failed" if _comes_back(passage, tag, min(end, tag.end + TOLD_AFTER // 2)) else "done"
    if tag.id == "hand_removal" and any(
        passage.is_class(t, "part_of_all") and passage.word(t) != "all" for t in range(tag.start, tag.end)
    ):
        return "partial"  # "shovelled most of it out"
    if tag.id == "pump_reset" and any(
        passage.has_class(t + 1, t + 4, "once_again", "away_word") or passage.word(t + 1) == "again"
        for t in passage.tokens_of(tag.end, min(end, tag.end + FURTHER), ("trips",))
    ):
        return "failed"  # "turned the breaker back on and it trips straight out again"
    cues = passage.tags_from(tag.end, end, "time")
    ids = {cue.id for cue in cues}
    if "partly_gone" in ids or {"gone", "still_there"} <= ids:
        return "partial"
    return "failed" if "still_there" in ids else "done"


def _comes_back(passage: Passage, tag: Tag, end: int) -> bool:
    """ "it never showed", "it just came back out over the shoe"; but "and nothing backed up", "it never came up"."""
    for token in passage.tokens_of(tag.end, end, ("shows_up", "backs_up")):
        behind = passage.word(token + 1)
        back = passage.is_class(token, "backs_up") or behind in ("up", "back")
        denied = any(passage.is_class(at, "negation_word") for at in range(max(tag.end, token - 3), token))
        if passage.is_class(token, "backs_up") or behind == "back":
            if not denied and tag.id == "flush_test":
                return True
        elif (
            denied
            and not back
            and (passage.word(token) not in ("got", "made") or behind in ("to", "it", "there", "through"))
        ):
            return True
    for token in passage.tokens_of(tag.end, end, ("trace_word",)):
        if any(passage.is_class(at, "negation_word") for at in range(token - 2, token)):
            return True  # "no sign of it in the manhole"
    return any(
        passage.is_class(token + 1, "turns", "list", "inside") or token + 1 == len(passage)
        for token in passage.tokens_of(tag.end, end, (), ("nothing", "nowhere"))
    )


def _leaks(passage: Passage, start: int, end: int) -> bool:
    """ "filled it and it dropped ten mil", "would not hold"; but "never lost a drop"."""
    for token in passage.tokens_of(start, end, ("leaks_away",), ("hold", "held")):
        denied = any(passage.word(t) in ("not", "never", "no", "nothing", "without") for t in range(token - 3, token))
        if denied == (passage.word(token) in ("hold", "held")):
            return True
    return False


def _stayed_shut(passage: Passage, tag: Tag) -> bool:
    """ "tried to lift it but it's stuck", "couldn't shift the lid"."""
    before = range(max(0, tag.start - 4), tag.end)
    if any(passage.word(t) == "not" and passage.word(t - 1) in ("could", "can", "would", "will") for t in before):
        return True
    if passage.has_class(tag.start - MANNER, tag.start, "able_word") and any(
        passage.is_class(t, "negation_word") for t in range(tag.start - MANNER, tag.start)
    ):
        return True  # "I've not been able to lift the slab"
    tried = any(passage.word(t) == "to" and passage.is_class(t - 1, "tried_word") for t in before)
    behind = range(tag.end, min(len(passage), tag.end + 12))
    return tried and any(passage.is_class(t, "stuck_word") for t in behind)
