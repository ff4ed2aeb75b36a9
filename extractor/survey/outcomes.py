"""Outcomes: what the work changed. A row is cleared only where the words say that the thing is gone or was taken out
by hand,
partly cleared where some is left; a jet or a rod alone clears nothing.

    "roots at 14 2 are gone", "the blockage has gone", "21 8 some of it's gone", "which I've fished out by hand"
"""

from bisect import bisect_left, bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from operator import itemgetter

from extractor.language.clauses import Clause, clause_at
from extractor.language.passage import Passage
from extractor.reading import Measure, Tag
from extractor.survey.distances import length_of
from extractor.survey.look_words import how_much, other_going
from extractor.survey.rows import Draft, rows_of_runs
from extractor.survey.scenes import Scene, scene_at
from extractor.survey.second_looks import look_again
from extractor.survey.work import ActionDraft

CLEARABLE = (
    "root_intrusion", "settled_deposit", "attached_deposit", "grease", "obstruction", "blockage", "soil_ingress",
    "standing_water", "full", "pump_fault", "vermin", "missing_part", "break", "infiltration",
)  # fmt: skip
TAKEN_OUT = ("obstruction", "blockage", "settled_deposit", "root_intrusion", "grease", "vermin")
PUMPED_OUT = ("full", "settled_deposit", "standing_water", "grease")
MENDED = ("hole", "crack", "break", "fracture", "open_joint", "infiltration")  # what a patch puts right
STOPPING = ("blockage", "obstruction", "root_intrusion", "grease", "settled_deposit")
MASSES = (*TAKEN_OUT, "attached_deposit", "soil_ingress")  # of which some may be left
CLEARING = ("jetting", "rodding", "root_cutting", "hand_removal", "pump_out", "pump_reset", "part_replaced")
PUMP_WINDOW = 45  # words from a pump that fails to what puts it right
RUNS_AGAIN = 16  # words from that to "and she's running now"
NEXT = 3  # words from "gone" to another word for it
FOLLOWS = 12  # words from one word of clearing to another that goes on from it
WINDOW = 26  # words back to what a word of clearing is about
SILENT = ("plan", "recommendation", "main_issue", "question", "general", "earlier")


@dataclass(frozen=True, slots=True)
class _Told:
    """One word of clearing: the window of words that says what it is about, and the work done so far."""

    cue: Tag
    start: int
    scene: Scene
    work: Sequence[ActionDraft]


def settle_outcomes(
    passage: Passage,
    clauses: Sequence[Clause],
    scenes: Sequence[Scene],
    rows: Sequence[Draft],
    roles: Mapping[Measure, str | None],
    actions: Sequence[ActionDraft],
) -> list[Draft]:
    """Outcomes set; rows that only repeat a finding to say that it is gone are dropped."""
    dropped: set[int] = set()
    _take_out_by_hand(passage, rows, scenes, actions)
    _work_right_through(passage, rows, scenes, actions)
    _pump_runs_again(passage, rows, actions, dropped)
    looked, told_by_looks = look_again(passage, clauses, scenes, rows, roles, actions, dropped)
    last_end, last_cue = 0, -FOLLOWS - 1
    last_targets: list[Draft] = []
    clearing = [action for action in actions if action.action in CLEARING]  # in order of the words
    of_run = rows_of_runs(rows)
    tagged = sorted(((row.tag.start, at, row) for at, row in enumerate(rows) if row.tag is not None), key=itemgetter(0))
    for cue in passage.tags_from(0, len(passage), "time"):
        if cue.id not in ("gone", "partly_gone", "still_there") or cue.start in looked:
            continue
        scene = scene_at(scenes, cue.start)
        inside = passage.covering(cue.start, "condition")
        if (inside is not None and inside.id != "sound") or how_much(passage, cue) or other_going(passage, cue):
            continue
        work = clearing[: bisect_right(clearing, cue.end, key=lambda action: action.start)]
        clause = clause_at(clauses, cue.start)
        silent = clause.act in SILENT and not (clause.act == "earlier" and passage.word(cue.start) == "had")
        if scene is None or scene.kind == "closing" or not work or silent:
            continue
        start = max(_statement_start(passage, clauses, clause), last_end, cue.start - WINDOW)
        if any(t.id in CLEARABLE for t in passage.tags_from(cue.start + 1, cue.end, "condition")):
            start = cue.start  # "the wipes at 6.2 have come away and | most of the grease has gone"
        last_end = cue.end
        told = _Told(cue, start, scene, work)
        runs = dict.fromkeys((scene.run, None) if scene.kind == "run" else (None, work[-1].run))
        standing = [row for run in runs for row in of_run.get(run, ()) if id(row) not in dropped]
        first, last = (bisect_left(tagged, token, key=itemgetter(0)) for token in (start, _told_to(passage, cue)))
        spoken = [row for _, _, row in sorted(tagged[first:last], key=itemgetter(1)) if id(row) not in dropped]
        targets = _targets(passage, told, standing, spoken, roles, rows)
        follows = FOLLOWS if cue.id == "partly_gone" else NEXT
        between = passage.tags_from(last_cue, cue.start, "action", "condition")
        if (
            cue.id != "still_there"
            and cue.start - last_cue <= follows
            and not between
            and last_targets
            and not _names_own(passage, told, roles, standing)
        ):
            targets = last_targets  # "most of the grease is off but there's still some left"
        last_cue, last_targets = cue.end, targets
        if cue.id == "partly_gone":
            targets = [row for row in targets if row.condition in MASSES or row.condition == "full"]
        for row in targets:
            row.outcome = _outcome(cue, row.outcome)
            row.spans.append((start, cue.end))
        for row in spoken:
            repeats = any(row is not t and row.condition == t.condition and row.run == t.run for t in targets)
            if repeats and not any(row is t for t in targets):
                dropped.add(id(row))
    for row, outcome in told_by_looks:
        row.outcome = outcome
    runs_again = [row for row in rows if row.condition == "flowing" and row.component in ("pump", "float_switch")]
    dropped |= {id(row) for row in runs_again}  # "she's running now": the pump's outcome, and no water
    return [row for row in rows if id(row) not in dropped]


def _told_to(passage: Passage, cue: Tag) -> int:
    """Where the words of a clearing end: "got most of | the fat", "cleared | those roots"; else at the cue itself."""
    last, behind = passage.word(cue.end - 1), passage.word(cue.end)
    led = last in ("of", "the", "cleared", "removed") or behind in passage.classes["reaches_on"]
    return cue.end + 3 if led else cue.end


def _outcome(cue: Tag, before: str) -> str:
    if cue.id == "gone":
        return "cleared" if before != "partly_cleared" else before
    if cue.id == "partly_gone":
        return "partly_cleared"
    return "open" if before == "cleared" else before


def _statement_start(passage: Passage, clauses: Sequence[Clause], clause: Clause) -> int:
    """The start of the statement: back over clauses that only go on with "and" or begin with a reading."""
    start, steps = clause.start, 0
    opener = clause.opener
    while start > 0 and opener in ("and", "reading", "report") and steps < 3:
        before = clause_at(clauses, start - 1)
        if before.act in SILENT or passage.tags_from(before.start, before.end, "action"):
            break
        start, opener = before.start, before.opener
        steps += 1
    return start


def _targets(
    passage: Passage,
    told: _Told,
    rows: Sequence[Draft],
    spoken: Sequence[Draft],
    roles: Mapping[Measure, str | None],
    all_rows: Sequence[Draft],
) -> list[Draft]:
    """The rows that are gone: by distance (in this pass, else in another), else by what is named, else what the work
    was for.
    """
    cue, scene = told.cue, told.scene
    known = [row for row in rows if row.polarity == "present" and row.condition in CLEARABLE and row.start <= cue.end]
    if scene.kind == "run":
        known = [row for row in known if row.run == scene.run] or [row for row in known if row.run is None]
    else:
        last = told.work[-1]
        known = [row for row in known if row.run is None and row.structure in (scene.structure, last.target)] or [
            row for row in known if last.run is not None and row.run == last.run
        ]
    earlier = [row for row in known if not any(row is s for s in spoken)]
    if "drained" in passage.speech.words[cue.start : cue.end] and (full := _full_before(passage, told, all_rows)):
        return full
    readings = _readings(passage, told, roles, rows)
    named = [t for t in passage.tags_from(told.start, _told_to(passage, cue), "condition") if t.id in CLEARABLE]
    if readings:
        found: list[Draft] = []
        for measure in readings:
            metres = sum(length_of(measure)) / 2
            here = [r for r in earlier if r.at(metres) or (r.covers(metres) and r.place.to_m is not None)]
            starts_here = [r for r in here if r.place.from_m is not None and abs(r.place.from_m - metres) <= 0.011]
            here = starts_here or here  # a coat that ends where the plug begins is not gone with it
            if named and any(r.condition == t.id for r in here for t in named):
                here = [r for r in here if any(r.condition == t.id for t in named)]
            found += here
            if not here and named:
                found += [
                    row
                    for row in all_rows
                    if row.run is not None
                    and row.polarity == "present"
                    and row.start < told.start
                    and row.at(metres)
                    and any(row.condition == t.id for t in named)
                ]
        if found or earlier:
            return found
    if named:
        same = [row for row in earlier if row.condition == named[-1].id and row.outcome != "cleared"]
        if same:
            return same
        return [row for row in spoken if row.condition == named[-1].id and row.polarity == "present"]
    if cue.id == "gone" and not spoken and (full := _full_before(passage, told, all_rows)):
        return full
    so_told = [row for row in earlier if row.tag is not None and _shares_word(passage, row.tag, told)]
    if so_told:
        return so_told[-1:]
    return _worked_on(passage, told, earlier or known)


def _full_before(passage: Passage, told: _Told, rows: Sequence[Draft]) -> list[Draft]:
    """ "and it all dropped away", "that's drained right down": what stood full, wherever the camera is by now."""
    if not any(passage.is_class(at, "level_falls") for at in range(told.cue.start, told.cue.end)):
        return []
    full = [row for row in rows if row.condition == "full" and row.polarity == "present" and row.outcome == "open"]
    return [row for row in full if row.run is None and row.end <= told.cue.start][-1:]


def _shares_word(passage: Passage, tag: Tag, told: _Told) -> bool:
    """ "the towel came down": told by a word of what it was called."""
    words = passage.speech.words
    own = {word for word in words[tag.start : tag.end] if len(word) > 3}
    at = range(max(told.start, told.cue.start - 6), told.cue.start)
    return any(words[t] in own and not passage.is_class(t, "everyday", "side") for t in at)


def _names_own(passage: Passage, told: _Told, roles: Mapping[Measure, str | None], rows: Sequence[Draft]) -> bool:
    """Whether the words of a clearing say themselves what it is about."""
    named = passage.tags_from(told.start, _told_to(passage, told.cue), "condition")
    return any(t.id in CLEARABLE for t in named) or bool(_readings(passage, told, roles, rows))


def _readings(
    passage: Passage, told: _Told, roles: Mapping[Measure, str | None], rows: Sequence[Draft]
) -> list[Measure]:
    """The distances at which it is gone, a bare number too where something was found there ("twenty six is clean");
    not how far the rods went ("about five metres with them").
    """
    return [
        m
        for m in passage.measures_from(told.start, told.cue.end)
        if not _clean_there(passage, m, told.cue.start)
        and (roles.get(m) == "chainage" or (m.unit is None and any(row.at(length_of(m)[0]) for row in rows)))
        and not (passage.word(m.end) == "with" and passage.is_class(m.end + 1, "pronoun"))
    ]


def _clean_there(passage: Passage, measure: Measure, end: int) -> bool:
    """ "five metres clean, five and a half mostly gone": a reading with a verdict of its own before the next one."""
    following = next((m.start for m in passage.measures_from(measure.end, end)), None)
    if following is None:
        return False
    return any(tag.id == "sound" for tag in passage.tags_from(measure.end, following, "condition"))


def _worked_on(passage: Passage, told: _Told, known: Sequence[Draft]) -> list[Draft]:
    """What the last work was for: the part it was done on, else what stopped the camera, else the last thing found."""
    work = told.work[-1]
    open_rows = [row for row in known if row.outcome != "cleared"]
    on_it = [row for row in known if work.target not in (None, "pipe") and row.component == work.target]
    if on_it or (work.action == "part_replaced" and work.target not in (None, "pipe")):
        return on_it[-1:]
    aimed = passage.tags_from(work.end, work.end + 4, "condition")
    if aimed and (named := [row for row in open_rows if row.condition == aimed[0].id and row.start < work.start]):
        return named[-1:]  # "I've jetted | the gravel | but it's not all come"
    if told.scene.kind == "run":
        before = [row for row in open_rows if row.start < work.start] or open_rows
        return [row for row in before if row.condition in STOPPING][-1:]
    return open_rows[-1:]


def _take_out_by_hand(
    passage: Passage, rows: Sequence[Draft], scenes: Sequence[Scene], actions: Sequence[ActionDraft]
) -> None:
    """ "rags in the channel which I've fished out": taken out by hand or pumped out is gone, unless some was left."""
    of_run = rows_of_runs(rows)
    for action in actions:
        if action.action == "part_replaced":
            _replaced(passage, rows, action)
        if action.action not in ("hand_removal", "pump_out"):
            continue
        kinds = TAKEN_OUT if action.action == "hand_removal" else PUMPED_OUT
        scene = scene_at(scenes, action.start)
        if scene is None:
            continue
        near = [
            row
            for row in of_run.get(scene.run if scene.kind == "run" else None, ())
            if row.polarity == "present" and row.condition in kinds and _reaches(passage, action, row, scene)
        ]
        if action.action == "hand_removal":
            near = [row for row in near if row.component is not None and row.component == action.target][-1:] or near[
                -1:
            ]
        for row in near:
            some = passage.has_class(action.start, action.end, "part_of_all") and passage.word(action.start) != "all"
            done = "partly_cleared" if some else "cleared"
            row.outcome = (
                done if action.result == "done" else "partly_cleared" if action.result == "partial" else "open"
            )
            row.spans.append((action.start, action.end))


def _reaches(passage: Passage, action: ActionDraft, row: Draft, scene: Scene) -> bool:
    """Close before the work; a full tank that is pumped out, however long before it was said to be full."""
    behind = action.start - row.start
    if action.action == "pump_out" and row.condition == "full" and scene.kind != "run":
        return behind >= 0 and row.structure in (action.target, scene.structure)
    own = row.tag is not None and action.start <= row.tag.start < action.end  # "pulled | a load of leaves | out of it"
    return own or 0 <= behind <= WINDOW + 8


def _replaced(passage: Passage, rows: Sequence[Draft], action: ActionDraft) -> None:
    """ "put a new hose on": what was wrong with the old one is put right."""
    words = passage.speech.words[action.start : action.end + 3]
    if action.target == "patch":  # "a hole in the wall ... stuck a patch on it"
        mended = [
            r
            for r in rows
            if r.condition in MENDED and r.polarity == "present" and 0 < action.start - r.start <= WINDOW
        ]
        for row in mended[-1:]:
            row.outcome = "cleared"
            row.spans.append((action.start, action.end))
    for row in rows:
        if (
            row.component is not None
            and (
                row.component == action.target
                or any(part in words for part in row.component.split("_"))
                or (row.component == "baffle" and "tee" in words)
            )
            and row.polarity == "present"
            and row.condition not in (None, "sound")
            and 0 < action.start - row.start <= WINDOW + 8
        ):
            row.outcome = "cleared"
            row.spans.append((action.start, action.end))


def _work_right_through(
    passage: Passage, rows: Sequence[Draft], scenes: Sequence[Scene], actions: Sequence[ActionDraft]
) -> None:
    """ "I've jetted the roots out", "rodded that clear": verb, object and "out" say that it is gone."""
    for action in actions:
        if action.action not in ("jetting", "rodding", "root_cutting"):
            continue
        words = passage.speech.words[action.end : action.end + 5]
        last = next((i for i, word in enumerate(words) if word in ("out", "clear", "away")), None)
        scene = scene_at(scenes, action.start)
        if last is None or scene is None or scene.kind != "run" or passage.measures_from(action.end, action.end + last):
            continue
        named = [t.id for t in passage.tags_from(action.end, action.end + last, "condition")]
        pointed = any(word in passage.classes["points_at_it"] for word in words[:last])
        if not named and not pointed:
            continue
        known = [
            r
            for r in rows
            if r.run == scene.run and r.polarity == "present" and r.condition in STOPPING and r.start < action.start
        ]
        targets = [r for r in known if r.condition in named] if named else known[-1:]
        for row in targets:
            row.outcome = "cleared" if action.result == "done" else row.outcome
            row.spans.append((action.start, action.end + last + 1))


def _pump_runs_again(
    passage: Passage, rows: Sequence[Draft], actions: Sequence[ActionDraft], dropped: set[int]
) -> None:
    """ "reset it and she's running now", "a new float on and the pump's kicked in": the pump is put right."""
    for action in actions:
        if action.action not in ("pump_reset", "part_replaced", "hand_removal"):
            continue
        ill = [
            row
            for row in rows
            if row.condition in ("pump_fault", "blockage")
            and row.component in ("pump", "float_switch")
            and row.polarity == "present"
            and 0 < action.start - row.start <= PUMP_WINDOW
        ]
        end = next(
            (t.start for t in passage.tags_from(action.end, action.end + RUNS_AGAIN, "movement") if t.id != "go"),
            action.end + RUNS_AGAIN,
        )
        for token in range(action.end, min(end, len(passage))):
            subject = token - 1 - passage.is_class(token - 1, "copula")
            led = passage.is_class(subject, "pronoun") or passage.word(subject) in ("pump", "one", "two")
            if ill and led and passage.is_class(token, "pump_works") and not _denied(passage, token):
                ill[-1].outcome = "cleared"
                ill[-1].spans.append((action.start, token + 1))
                _level_falls(passage, rows, action, ill[-1])
                dropped.update(
                    id(row)
                    for row in rows
                    if row.condition == "sound" and row.component == "pump" and token - 2 <= row.start <= token + 1
                )
                break


def _level_falls(passage: Passage, rows: Sequence[Draft], action: ActionDraft, pump: Draft) -> None:
    """ "the pump's kicked in and it's going down": the well is no longer full."""
    if not any(passage.is_class(at, "level_falls") for at in range(action.end, action.end + RUNS_AGAIN + 8)):
        return
    for row in rows:
        if row.condition == "full" and row.structure == pump.structure and row.run is None and row.start < action.start:
            row.outcome = "cleared"


def _denied(passage: Passage, token: int) -> bool:
    return any(passage.is_class(at, "negation_word", "not_yet_done") for at in range(token - 3, token))
