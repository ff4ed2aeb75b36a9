"""Work: what was done in the visit, on what, how far it reached, and how it went."""

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from extractor.language.clauses import Clause, clause_at
from extractor.language.passage import Passage
from extractor.reading import Measure, Tag
from extractor.survey.distances import length_of
from extractor.survey.openings import Opening
from extractor.survey.scenes import Scene

FLUSHED = ("flush_test", "dye_test")
IN_PIPE = ("jetting", "rodding", "root_cutting")


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
) -> list[ActionDraft]:
    """Actions performed, in order; what is planned, ordered or asked is none."""
    actions: list[ActionDraft] = []
    for tag in passage.tags_from(0, len(passage), "action"):
        clause = clause_at(clauses, tag.start)
        if not _performed(passage, clause, tag):
            continue
        scene = scenes[bisect_right(scenes, tag.start, key=lambda scene: scene.start) - 1]
        if (
            actions
            and actions[-1].action == tag.id
            and tag.start - actions[-1].end <= 14
            and not _another(passage, tag, actions[-1])
        ):
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
                ),
                None,
            )
        run = scene.run if scene.kind == "run" and tag.id in (*IN_PIPE, "hand_removal") else None
        if tag.id not in IN_PIPE and target not in ("pipe", None):
            run = None
        actions.append(ActionDraft(tag.start, tag.end, tag.id, target, run, reach, _result(passage, tag)))
    return actions


def _performed(passage: Passage, clause: Clause, tag: Tag) -> bool:
    if clause.act in ("plan", "question", "recommendation", "main_issue", "general"):
        return False
    out_again = passage.covering(tag.start, "movement")
    if out_again is not None and out_again.id == "out_again":
        return False
    if passage.is_class(tag.start - 1, "article") and passage.word(tag.end - 1) in ("the", "it", "that"):
        return False  # "the end of the cable | the main problem is"
    for token in range(tag.start - 1, max(clause.start, tag.start - 5) - 1, -1):
        word = passage.word(token)
        if word in passage.classes["not_yet_done"]:
            return "have" in passage.speech.words[token : tag.start] and word != "not"
        if word in passage.classes["did_it"]:
            break
    return not any(
        cue.id == "earlier" and cue.start >= tag.start - 8
        for cue in passage.tags_from(clause.start, clause.end, "time")
    )


def _another(passage: Passage, tag: Tag, last: ActionDraft) -> bool:
    new = [t for t in passage.tags_from(last.end, tag.start, "condition") if t.id != "sound"]
    told = any(passage.measure_over(at) is not None for at in range(last.end, tag.start)) and bool(new)
    return (
        told
        or bool(passage.tags_from(last.end, tag.start, "structure", "movement"))
        or tag.id in ("lid_lifted", "located")
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
        return named[0].id if named else "pipe"
    parts = [
        t
        for t in (*inside, *front, *behind)
        if t.kind in ("component", "structure") and t.id not in ("inlet", "outlet", "lid")
    ]
    if tag.id == "part_replaced" and (new := [t for t in parts if tag.end <= t.start <= tag.end + 3]):
        return new[0].id  # "put a new bit of | hose on"
    if parts:
        return parts[0].id
    return "pipe" if scene.kind == "run" else scene.structure


def _result(passage: Passage, tag: Tag) -> str | None:
    end = next(
        (
            t.start
            for t in passage.tags_from(tag.end, tag.end + 60, "action", "movement")
            if t.id not in ("relook", "inspect", "camera_in", "out_again")
        ),
        tag.end + 60,
    )
    cues = passage.tags_from(tag.end, min(end, tag.end + 60), "time")
    ids = {cue.id for cue in cues}
    if "partly_gone" in ids or {"gone", "still_there"} <= ids:
        return "partial"
    return "failed" if "still_there" in ids else "done"
