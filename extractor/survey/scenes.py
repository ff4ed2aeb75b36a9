"""Scenes: what each stretch of the narration is about: a run of the camera, a structure looked into, or the closing
words.

    lid off the tank ... | camera in the inlet, upstream ... | back in the same way ... | to wrap up
    structure              run R1                              run R1, second look         closing

A run starts where the camera goes into an opening, which the words tell by several small signs that need not be in one
clause (camera, opening, direction); it is taken for a start when the first distance or finding follows.
"""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import replace

from extractor.language.clauses import Clause
from extractor.language.passage import Passage
from extractor.reading import Measure, Tag, by_start
from extractor.survey.box_lines import take_line
from extractor.survey.camera_signs import take_action, take_direction, take_movement
from extractor.survey.opening_signs import SEEN_AT_FIXTURE, take_opening
from extractor.survey.openings import Opening, find_lines, find_openings
from extractor.survey.starts import commit
from extractor.survey.surroundings import at_reading, come_back, is_content, metres, run_told_of, told_of_tool
from extractor.survey.told_lines import give_back
from extractor.survey.walk import FIXTURES_FLOW_DOWN, LEADS_ELSEWHERE, Scene, Start, Walk, gather, mark

TO_A_READING = 60  # words from a move of the camera to its first reading; a move behind which none is told is no run
TO_ITS_READING = 4  # words from the name of a place to its reading
TO_ITS_CAP = 12  # words from a branch to the word of its cap
ENDS_A_RUN = (
    "line_end",
    "cable_limit",
    "stopped",
    "could_not_pass",
    "bars",
    "joins",
    "done",
)  # unless a further reading follows

__all__ = ["Scene", "Start", "read_scenes"]


def read_scenes(
    passage: Passage, clauses: tuple[Clause, ...]
) -> tuple[tuple[Start, ...], tuple[Scene, ...], tuple[Opening, ...]]:
    """Starts of runs (in order), scenes that cover every token, and all openings named."""
    openings = find_openings(passage)
    lines = {line.start: line for line in find_lines(passage, openings)}
    walk = Walk(passage, clauses, {opening.start: opening for opening in openings}, _closing(passage, clauses), lines)
    scenes = give_back(passage, clauses, _walk_through(walk))
    return tuple(walk.starts), scenes, openings


def scene_at(scenes: Sequence[Scene], token: int) -> Scene | None:
    """The scene that the token lies in."""
    at = bisect_right(scenes, token, key=by_start) - 1
    return scenes[at] if at >= 0 and token < scenes[at].end else None


def _walk_through(walk: Walk) -> tuple[Scene, ...]:
    """Every sign in order, then the scenes that they made."""
    clause_index = 0
    for token, signs in _signs(walk):
        while clause_index + 1 < len(walk.clauses) and walk.clauses[clause_index + 1].start <= token:
            clause_index += 1
        clause = walk.clauses[clause_index]
        walk.reader_at = token
        for sign in signs:
            _take(walk, token, sign, clause)
    commit(walk, len(walk.passage), at_end=True)
    if walk.closing_from is not None and walk.closing_from > walk.marks[-1][0]:
        walk.marks.append((walk.closing_from, Scene(0, 0, "closing")))
    ends = [start for start, _ in walk.marks[1:]] + [len(walk.passage)]
    scenes = [
        replace(scene, start=start, end=end)
        for (start, scene), end in zip(walk.marks, ends, strict=True)
        if end > start
    ]
    return tuple(_without_empty_runs(walk, scenes))


def _without_empty_runs(walk: Walk, scenes: list[Scene]) -> list[Scene]:
    """A start behind which no distance and no end is told was none: its words belong to what stood before."""
    passage = walk.passage
    told = {
        scene.run
        for scene in scenes
        if scene.kind == "run"
        and (
            any(_may_be_reading(walk, m) for m in passage.measures_from(scene.start, scene.end))
            or any(t.id == "could_not_pass" for t in passage.tags_from(scene.start, scene.end, "ending"))
        )
    }
    empty = [run for run in range(len(walk.starts)) if run not in told]
    if not empty:
        return scenes
    looked_at = {run: walk.starts[run].structure for run in empty if walk.starts[run].structure in FIXTURES_FLOW_DOWN}
    number = {run: at for at, run in enumerate(sorted(run for run in told if run is not None))}
    walk.starts = [start for run, start in enumerate(walk.starts) if run in told]
    kept: list[Scene] = []
    for scene in scenes:
        if scene.run is not None and scene.run in empty:
            before, fixture = kept[-1] if kept else Scene(0, 0, "open"), looked_at.get(scene.run)
            scene = replace(before, start=scene.start, end=scene.end)
            seen = walk.passage.tags_from(scene.start, scene.end, "condition")
            denied = walk.passage.tags_from(scene.start, scene.end, "negation")
            if fixture is not None and not denied and any(tag.id in SEEN_AT_FIXTURE for tag in seen):
                scene = Scene(scene.start, scene.end, "structure", structure=fixture)
        elif scene.run is not None:
            scene = replace(scene, run=number[scene.run])
        kept.append(scene)
    return kept


def _may_be_reading(walk: Walk, measure: Measure) -> bool:
    return is_content(walk, measure) or (
        measure.unit is None and walk.passage.is_class(measure.start - 1, "at", "from", "to")
    )


def _signs(walk: Walk) -> list[tuple[int, list[object]]]:
    table: dict[int, list[object]] = {}
    for tag in walk.passage.tags_from(
        0, len(walk.passage), "movement", "direction", "action", "reference", "ending", "condition"
    ):
        table.setdefault(tag.start, []).append(tag)
    for start, opening in walk.openings.items():
        table.setdefault(start, []).append(opening)
    for start, line in walk.lines.items():
        table.setdefault(start, []).append(line)
    for measure in walk.passage.measures:
        table.setdefault(measure.start, []).append(measure)
    order = {"movement": 0, "reference": 1, "Opening": 2, "direction": 3, "action": 4, "ending": 5, "condition": 6}

    def rank(sign: object) -> int:
        return order.get(sign.kind, 7) if isinstance(sign, Tag) else order.get(type(sign).__name__, 7)

    return [(token, sorted(signs, key=rank)) for token, signs in sorted(table.items())]


def _take(walk: Walk, token: int, sign: object, clause: Clause) -> None:
    if isinstance(sign, Opening):
        if sign.line:
            take_line(walk, sign, clause)
        else:
            take_opening(walk, sign, clause)
    elif isinstance(sign, Tag):
        if sign.kind == "movement":
            take_movement(walk, sign, clause)
        elif sign.kind == "direction":
            take_direction(walk, sign, clause)
        elif sign.kind == "reference":
            if sign.id == "same_opening":
                gather(walk, sign.start, sign.end).same_opening = True
        elif sign.kind == "action":
            take_action(walk, sign)
        elif sign.kind == "ending":
            if sign.id not in ("passed", "arrival"):
                commit(walk, token)
                if sign.id in ENDS_A_RUN and not _says_where(walk, sign):
                    walk.state.ended = True
        elif clause.act in ("report", "moving"):
            commit(walk, token)
            if sign.id == "capped" and not walk.passage.tags_from(token - TO_ITS_CAP, token, "component"):
                walk.state.ended = True  # "it's capped at nine metres": no pipe goes on behind a cap
    elif is_content(walk, sign):
        come_back(walk, token)
        if walk.aside is not None:
            return
        runs = len(walk.starts)
        commit(walk, token)
        if len(walk.starts) > runs and _met_there(walk, token):
            walk.state.ended = True
        _goes_further(walk, token, sign)
        _never_lose(walk, token, sign)


def _says_where(walk: Walk, sign: Tag) -> bool:
    """ "and that's me back in the tank": done, because the camera has come to a place."""
    near = walk.passage.tags_from(sign.start, sign.end + 1, "ending")
    return sign.id == "done" and any(tag.id == "arrival" for tag in near)


def _goes_further(walk: Walk, token: int, measure: object) -> None:
    """ "the lens goes under at five and a half, then a bend at 8.1": what looked like the end was none."""
    run, passage = walk.state.run, walk.passage
    if run is None or not walk.state.ended or not isinstance(measure, Measure):
        return
    if walk.marks[-1][1].kind != "run" or token < walk.busy_until:
        return
    told = passage.covering(token - 1, "role") or passage.cue_at(measure.end, "role")
    clause = walk.clauses[max(0, bisect_right(walk.clauses, token, key=lambda one: one.start) - 1)]
    if told or clause.act not in ("report", "moving") or told_of_tool(walk, token):
        return
    before = [m for m in passage.measures_from(walk.starts[run].end, token) if is_content(walk, m)]
    ended = passage.tags_from(before[-1].start if before else token, token, "ending")
    final = any(tag.id in ("line_end", "cable_limit", "stopped", "done") for tag in ended)
    there = any(
        one.structure == walk.state.reached and measure.start - one.end <= TO_ITS_READING
        for at in range(token - 8, token)
        if walk.state.reached is not None and (one := walk.openings.get(at)) is not None
    )  # "the chamber reached at 8.7"
    if before and not final and not there and metres(measure) > max(metres(m) for m in before):
        walk.state.ended, walk.state.reached = False, None


def _met_there(walk: Walk, token: int) -> bool:
    """ "heading downstream and the main at 9 metres": a run told in one breath with its end."""
    start = walk.starts[-1]
    near = [walk.openings[t] for t in range(token - 5, token) if t in walk.openings]
    return any(
        o.structure not in (None, start.structure)
        and not o.port
        and ((o.part == "topic" and at_reading(walk, o)) or (o.part == "destination" and _is_so_far(walk, o, token)))
        for o in near
    )


def _is_so_far(walk: Walk, opening: Opening, token: int) -> bool:
    """ "from the outlet out to the box is thirty one feet", "and it goes to a box at 3.5", with nothing told there."""
    passage = walk.passage
    if not 1 <= token - opening.end <= 2:
        return False
    reading = passage.measure_over(token)
    end = reading.end if reading is not None else token + 1
    told = [t for t in passage.tags_from(end, end + TO_ITS_READING, "component", "condition") if t.id != "sound"]
    told_there = bool(told) or passage.word(end) == "there"
    return passage.is_class(opening.end, "copula") or (passage.is_class(opening.end, "at") and not told_there)


def _never_lose(walk: Walk, token: int, measure: object) -> None:
    """A defect at a counter reading while no run is open: the run whose start was not told, or not understood."""
    scene = walk.marks[-1][1]
    if scene.kind == "run" or getattr(measure, "unit", "") is not None:
        return
    end = int(getattr(measure, "end", token))
    if walk.passage.covering(token - 1, "role") or walk.passage.cue_at(end, "role"):
        return
    told_of = run_told_of(walk, token)
    if told_of is not None:
        mark(walk, max(0, token - 1), Scene(0, 0, "run", run=told_of, second=True))
        return
    if _goes_on(walk, token, measure):
        walk.state.ended = False
        mark(walk, max(0, token - 1), Scene(0, 0, "run", run=walk.state.run, second=True))
        return
    near = [t for t in walk.passage.tags_from(token - 6, end + 7, "condition") if t.id != "sound"]
    if not near or any(walk.passage.tags_from(min(token, near[0].start), max(end, near[0].start), "action")):
        return
    if walk.closing_from is not None and token >= walk.closing_from:
        return
    start = Start(max(0, token - 1), end, walk.state.at if walk.state.run is None else None, None, None, None)
    walk.starts.append(start)
    walk.state.run, walk.state.ended = len(walk.starts) - 1, False
    mark(walk, start.start, Scene(0, 0, "run", run=walk.state.run))


def _goes_on(walk: Walk, token: int, measure: object) -> bool:
    """ "couldn't shift it, going on 7.7 there is water": behind work, further along a run with no end told."""
    run, passage = walk.state.run, walk.passage
    if run is None or walk.state.reached is not None or not isinstance(measure, Measure):
        return False
    start = walk.starts[run]
    before = [m for m in passage.measures_from(start.end, token) if is_content(walk, m)]
    if not before or metres(measure) <= max(metres(m) for m in before):
        return False
    ended = passage.tags_from(start.end, token, "ending")
    if any(
        tag.id in ("line_end", "cable_limit", "stopped", "arrival", "done", "joins")
        and not told_of_tool(walk, tag.start)
        for tag in ended
    ):
        return False
    onward = passage.has_class(max(0, token - 5), token, "goes_on_verb", "onward")
    since = max(passage.tags_from(start.end, token, "action"), key=lambda tag: tag.end, default=None)
    return onward or (since is not None and since.id in LEADS_ELSEWHERE)


def _closing(passage: Passage, clauses: tuple[Clause, ...]) -> int | None:
    """Where the closing words begin: the first summary or main issue in the last part that no run follows."""
    cues = [
        t for t in passage.tags_from(len(passage) // 2, len(passage), "speech_act") if t.id in ("closing", "main_issue")
    ]
    moves = [
        t.start
        for clause in clauses
        if clause.act not in ("recommendation", "plan", "main_issue", "general")
        for t in passage.tags_from(clause.start, clause.end, "movement")
        if (
            t.id == "camera_in"
            or (
                t.id in ("new_pass", "relook")
                and passage.tags_from(t.end, t.end + 12, "structure", "direction", "fixture")
            )
        )
        and any(m.unit in (None, "m") for m in passage.measures_from(t.end, t.end + TO_A_READING))
    ]
    last = max(moves, default=-1)
    held = [tag for tag in cues if (cue := passage.covering(tag.start, "stretch")) is None or cue.start == tag.start]
    return min((tag.start for tag in held if tag.start > last), default=None)
