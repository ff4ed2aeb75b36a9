"""Scenes: what each stretch of the narration is about: a run of the camera, a structure looked into, or the closing
words.

    lid off the tank ... | camera in the inlet, upstream ... | back in the same way ... | to wrap up
    structure              run R1                              run R1, second look         closing

A run starts where the camera goes into an opening, which the words tell by several small signs that need not be in one
clause (camera, opening, direction); it is taken for a start when the first distance or finding follows.
"""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, replace

from extractor.language.clauses import Clause
from extractor.language.passage import Passage
from extractor.reading import Measure, Tag
from extractor.survey.openings import Opening, find_openings

FIXTURES_FLOW_DOWN = {
    "toilet",
    "basin",
    "sink",
    "shower",
    "bath",
    "laundry_tub",
    "floor_waste",
    "washing_machine",
    "dishwasher",
}
BOXES = {"distribution_box"}
TANKS = {
    "septic_tank",
    "greywater_tank",
    "holding_tank",
    "treatment_unit",
    "pump_well",
    "grease_trap",
    "stormwater_pit",
}
DOWNSTREAM_ENDS = {"main", "absorption_trench", "soakaway", "distribution_box"}
LEADS_ELSEWHERE = ("jetting", "rodding", "root_cutting", "flush_test", "dye_test", "leak_test", "located")
LOOK_AHEAD = 16  # words to the first reading of a new run
STARTS_OVER_M = 0.15
NEVER_VISITED = ("main", "building", "absorption_trench")
UPSTREAM_ENDS = {"building", *FIXTURES_FLOW_DOWN, "stack"}


@dataclass(frozen=True, slots=True)
class Start:
    """How a run began: tokens start to end of the words that said so."""

    start: int
    end: int
    structure: str | None
    port: str | None
    label: str | None
    direction: str | None
    destination: str | None = None


@dataclass(frozen=True, slots=True)
class Scene:
    """Tokens start to end. `kind`: open (nothing yet), structure, run, closing. `run` counts from 0; `second` is a
    relook.
    """

    start: int
    end: int
    kind: str
    run: int | None = None
    structure: str | None = None
    label: str | None = None
    second: bool = False


@dataclass
class _Pending:
    """Signs of a start gathered so far."""

    start: int
    end: int
    camera: bool = False
    go: bool = False
    announced: bool = False
    other_way: bool = False
    relook: bool = False
    opening: Opening | None = None
    same_opening: bool = False
    direction: str | None = None
    destination: str | None = None
    remembered: bool = False  # the opening was named before the camera's sign, and gives way to one named after
    said_from: int = -1  # where the camera's sign stands, when the opening was named before it


@dataclass
class _State:
    """Where the speaker is: the structure at hand, the run under way."""

    at: str | None = None
    at_label: str | None = None
    run: int | None = None
    ended: bool = False


def read_scenes(
    passage: Passage, clauses: tuple[Clause, ...]
) -> tuple[tuple[Start, ...], tuple[Scene, ...], tuple[Opening, ...]]:
    """Starts of runs (in order), scenes that cover every token, and all openings named."""
    openings = find_openings(passage)
    walker = _Walker(passage, clauses, openings)
    walker.walk()
    return tuple(walker.starts), tuple(walker.scenes), openings


def scene_at(scenes: Sequence[Scene], token: int) -> Scene | None:
    """The scene that the token lies in."""
    at = bisect_right(scenes, token, key=lambda scene: scene.start) - 1
    return scenes[at] if at >= 0 and token < scenes[at].end else None


class _Walker:
    """Reads the signs from left to right; one pass, each sign looked at once."""

    def __init__(self, passage: Passage, clauses: tuple[Clause, ...], openings: tuple[Opening, ...]) -> None:
        self.passage = passage
        self.clauses = clauses
        self.openings = {opening.start: opening for opening in openings}
        self.state = _State()
        self.pending: _Pending | None = None
        self.starts: list[Start] = []
        self.marks: list[tuple[int, Scene]] = [(0, Scene(0, 0, "open"))]
        self.scenes: list[Scene] = []
        self.closing_from = _closing(passage)
        self.topic: Opening | None = None  # the last opening named, which a camera may go into a few words on
        self.busy_until = -1  # up to here the words tell of work, whose openings are not the camera's

    def walk(self) -> None:
        clause_index = 0
        for token, signs in self._signs():
            while clause_index + 1 < len(self.clauses) and self.clauses[clause_index + 1].start <= token:
                clause_index += 1
            clause = self.clauses[clause_index]
            for sign in signs:
                self._take(token, sign, clause)
        self._commit(len(self.passage), at_end=True)
        if self.closing_from is not None and self.closing_from > self.marks[-1][0]:
            self.marks.append((self.closing_from, Scene(0, 0, "closing")))
        ends = [start for start, _ in self.marks[1:]] + [len(self.passage)]
        self.scenes = [
            replace(scene, start=start, end=end)
            for (start, scene), end in zip(self.marks, ends, strict=True)
            if end > start
        ]

    def _signs(self) -> list[tuple[int, list[object]]]:
        table: dict[int, list[object]] = {}
        for tag in self.passage.tags_from(
            0, len(self.passage), "movement", "direction", "action", "reference", "ending", "condition"
        ):
            table.setdefault(tag.start, []).append(tag)
        for start, opening in self.openings.items():
            table.setdefault(start, []).append(opening)
        for measure in self.passage.measures:
            table.setdefault(measure.start, []).append(measure)
        order = {"movement": 0, "reference": 1, "Opening": 2, "direction": 3, "action": 4, "ending": 5, "condition": 6}

        def rank(sign: object) -> int:
            return order.get(sign.kind, 7) if isinstance(sign, Tag) else order.get(type(sign).__name__, 7)

        return [(token, sorted(signs, key=rank)) for token, signs in sorted(table.items())]

    def _take(self, token: int, sign: object, clause: Clause) -> None:
        if isinstance(sign, Opening):
            self._take_opening(sign, clause)
        elif isinstance(sign, Tag):
            if sign.kind == "movement":
                self._take_movement(sign, clause)
            elif sign.kind == "direction":
                self._take_direction(sign, clause)
            elif sign.kind == "reference":
                if sign.id == "same_opening":
                    self._gather(sign.start, sign.end).same_opening = True
            elif sign.kind == "action":
                self._take_action(sign)
            elif sign.kind == "ending":
                if sign.id not in ("passed", "arrival"):
                    self._commit(token)
                    if sign.id in ("line_end", "cable_limit", "stopped", "could_not_pass"):
                        self.state.ended = True
            elif clause.act in ("report", "moving"):
                self._commit(token)
        elif self._is_content(sign):
            runs = len(self.starts)
            self._commit(token)
            if len(self.starts) > runs and self._met_there(token):
                self.state.ended = True
            self._never_lose(token, sign)

    def _went(self, pending: _Pending) -> bool:
        """Whether somebody went, rather than water that came."""
        return pending.go and self.passage.word(pending.start) not in self.passage.classes["comes_word"]

    def _met_there(self, token: int) -> bool:
        """ "heading downstream and the main at 9 metres": a run told in one breath with its end."""
        start = self.starts[-1]
        near = [self.openings[t] for t in range(token - 5, token) if t in self.openings]
        return any(
            o.structure not in (None, start.structure) and not o.port and o.part == "topic" and self._at_reading(o)
            for o in near
        )

    def _never_lose(self, token: int, measure: object) -> None:
        """A defect at a counter reading while no run is open: the run whose start was not told, or not understood."""
        scene = self.marks[-1][1]
        if scene.kind == "run" or getattr(measure, "unit", "") is not None:
            return
        end = int(getattr(measure, "end", token))
        if self.passage.covering(token - 1, "role") or self.passage.cue_at(end, "role"):
            return
        near = [t for t in self.passage.tags_from(token - 6, end + 7, "condition") if t.id != "sound"]
        if not near or any(self.passage.tags_from(min(token, near[0].start), max(end, near[0].start), "action")):
            return
        if self.closing_from is not None and token >= self.closing_from:
            return
        start = Start(max(0, token - 1), end, self.state.at if self.state.run is None else None, None, None, None)
        self.starts.append(start)
        self.state.run, self.state.ended = len(self.starts) - 1, False
        self._mark(start.start, Scene(0, 0, "run", run=self.state.run))

    def _is_content(self, measure: object) -> bool:
        unit = getattr(measure, "unit", "")
        low = float(getattr(measure, "low", 0))
        return unit in (None, "m") and (low != int(low) or unit == "m") and not self._is_size(measure)

    def _is_size(self, measure: object) -> bool:
        return getattr(measure, "spoken_unit", None) in ("millimetre", "inch")

    # --- signs --------------------------------------------------------------------------

    def _gather(self, start: int, end: int) -> _Pending:
        if self.pending is None or start - self.pending.end > 25:
            self.pending = _Pending(start, end)
        self.pending.end = max(self.pending.end, end)
        return self.pending

    def _take_movement(self, tag: Tag, clause: Clause) -> None:
        ending = self.passage.covering(tag.start, "ending")
        if ending is not None and ending.id == "could_not_pass":
            return  # "can't get the camera through"
        comes = self.passage.word(tag.start - 1) in self.passage.classes["comes_word"]
        if tag.id == "go" and comes and self.passage.word(tag.start - 2) not in ("i", "we", "have"):
            return  # "that's the tank, comes in at the inlet": the pipe, not the camera
        if self.passage.covering(tag.start, "action") is not None and tag.id == "go":
            return  # "a go with the jet"
        if tag.id == "out_again":
            self.state.ended = True
            return
        if tag.id == "camera_in" and self.state.run is not None and self._beside_reading(tag):
            self.state.ended = True
            return  # "and at six metres the camera is at the toilet"
        if tag.id == "inspect":
            if self._goes_in(tag):
                self._gather(tag.start, tag.end).camera = True
                self._remember_topic(self._gather(tag.start, tag.end), tag.start)
            return
        if tag.id == "left_out":
            self.pending = None
            if self.passage.word(tag.start) in self.passage.classes["leaves_out"]:
                self.busy_until = tag.end + 6
            return
        goes_in = (
            "in" in self.passage.speech.words[tag.start : tag.end]
            and self.topic is not None
            and tag.start - self.topic.end <= 8
        )
        if tag.id == "go" and self.pending is None and not self._leads_somewhere(tag) and not goes_in:
            return
        if tag.id == "camera_in" and self.passage.word(tag.start) == "with" and not self._just_named(tag.start):
            return
        pending = self._gather(tag.start, tag.end)
        if tag.id == "camera_in":
            pending.camera = True
            self._remember_topic(pending, tag.start)
        elif tag.id == "go":
            pending.go = True
            self._way_behind(pending, tag.end)
            if "in" in self.passage.speech.words[tag.start : tag.end]:
                self._remember_topic(pending, tag.start)
        elif tag.id == "new_pass":
            pending.announced = True
        elif tag.id == "other_way":
            pending.other_way = True
        elif tag.id == "relook":
            pending.relook = self.state.run is not None
            pending.camera = pending.camera or (
                self.state.run is None and "camera" in self.passage.speech.words[tag.start : tag.end]
            )

    def _way_behind(self, pending: _Pending, token: int) -> None:
        """ "looking down to the kerb", "on up towards the sheds": a way told by up or down alone."""
        for at in range(token, token + 3):
            word = self.passage.word(at)
            if word in ("up", "down"):
                if (
                    self.passage.is_class(at + 1, "destination", "to")
                    and self.passage.covering(at, "direction") is None
                ):
                    pending.direction = pending.direction or ("upstream" if word == "up" else "downstream")
                return
            if word not in ("back", "on", "right", "straight"):
                return

    def _beside_reading(self, tag: Tag) -> bool:
        words = self.passage.speech.words[tag.start : tag.end]
        near = [m for m in self.passage.measures_from(tag.start - 6, tag.start) if tag.start - m.end <= 2]
        return "at" in words and any(self._is_content(m) for m in near)

    def _remember_topic(self, pending: _Pending, token: int) -> None:
        """The opening named a few words before is the one the camera goes into: "the gully by the porch, camera in
        that".
        """
        topic = self.topic
        if pending.opening is None and topic is not None and 0 <= token - topic.end <= 14:
            if self.starts and topic.start < self.starts[-1].end and self.state.ended:
                return  # the opening of the run before
            if topic.start < self.busy_until - 16 or (
                self.state.run is not None and not self.state.ended and token - topic.end > 8
            ):
                return
            pending.opening = topic
            pending.remembered, pending.said_from = True, pending.start
            pending.start = min(pending.start, topic.start)

    def _goes_in(self, tag: Tag) -> bool:
        """ "the camera" with a verb of putting in beside it and an opening or a direction close behind."""
        passage = self.passage
        if not passage.is_class(tag.start, "camera_word"):
            return False
        verb = any(
            passage.is_class(t, "puts_in") for t in (*range(tag.start - 4, tag.start), *range(tag.end, tag.end + 3))
        )
        denied = any(passage.word(t) in ("not", "never") for t in range(tag.start - 6, tag.start))
        busy = any(passage.covering(t, "ending") for t in (tag.start, tag.start - 1, tag.end))
        if not verb or denied or busy:
            return False
        if passage.tags_from(tag.start - 3, tag.end + 6, "action"):
            return False
        near = [self.openings[t] for t in range(tag.end, tag.end + 9) if t in self.openings]
        return any(o.part == "origin" for o in near) or bool(passage.tags_from(tag.end, tag.end + 6, "direction"))

    def _just_named(self, token: int) -> bool:
        """ "up the inlet with the camera": an opening stands right in front."""
        return self.topic is not None and 0 <= token - self.topic.end <= 4

    def _leads_somewhere(self, tag: Tag) -> bool:
        near = range(tag.end - 1, tag.end + 6)
        return any(token in self.openings or self.passage.cue_at(token, "direction") for token in near)

    def _take_direction(self, tag: Tag, clause: Clause) -> None:
        before = self.passage.covering(tag.start - 1, "ending") or self.passage.covering(tag.start, "ending")
        if before is not None and before.id == "arrival":
            return  # "I'm up under the kitchen sink"
        pending = self._gather(tag.start, tag.end)
        self._remember_topic(pending, tag.start)
        plain = tag.end - tag.start == 1 or (
            self.passage.word(tag.start) in ("up", "down") and tag.end - tag.start == 2
        )
        if pending.direction is None or plain:
            pending.direction = tag.id

    def _take_opening(self, opening: Opening, clause: Clause) -> None:
        over = self.passage.word(opening.start - 3) in self.passage.classes["moves_over"]
        bare = self.pending is None or not (self.pending.camera or self.pending.direction or self.pending.opening)
        if opening.part == "destination" and over and bare and self.state.ended and not opening.port:
            self.pending = None
            self._visit(opening)
            return
        if self.passage.word(opening.end) == "itself" and self.pending is None and not self._at_reading(opening):
            self._visit(opening, again=True)
        if opening.part == "destination" and self.pending is not None:
            self.pending.destination = self.pending.destination or opening.structure
            led = self.passage.speech.words[max(0, opening.start - 5) : opening.start]
            if self.pending.direction is None and ("down" in led or "up" in led):
                self.pending.direction = "downstream" if "down" in led else "upstream"
            self.pending.end = max(self.pending.end, opening.end)
            return
        filled = bool(
            self.passage.tags_from(opening.start - 4, opening.start, "condition")
        )  # "full right to the inlet"
        if (
            opening.part == "destination"
            and opening.port
            and not filled
            and self.pending is None
            and (self.state.run is None or self.state.ended)
        ):
            opening = replace(opening, part="origin")
            self._gather(opening.start, opening.end).go = True
        if opening.part == "destination" and over:
            if self.state.run is None or self.state.ended:
                self._visit(opening)
            return
        if opening.part in ("destination", "belongs"):
            return
        if (
            opening.start < self.busy_until
            and not (
                self.pending
                and (
                    self.pending.camera
                    or self.pending.direction
                    or (
                        (self._went(self.pending) or self.pending.announced)
                        and opening.part == "origin"
                        and self.passage.word(opening.start - 1) != "from"
                    )
                )
            )
            and not any(t.id == "camera_in" for t in self.passage.tags_from(opening.end, opening.end + 3, "movement"))
        ):
            return
        if opening.structure == "building":
            return
        out_of_run = self.state.run is None or self.state.ended
        arrived = self._at_reading(opening) and not self._headed_from(opening)
        if self.state.run is not None and arrived and not (self.pending and self.pending.camera):
            self.state.ended = True
            return
        if opening.part == "topic" and self._leads_to_another(opening):
            opening = replace(opening, part="origin")
            self._gather(opening.start, opening.end).go = True
        bare = (
            self.pending is not None
            and self.pending.opening is not None
            and not (
                self.pending.camera
                or self.pending.go
                or self.pending.direction
                or self.pending.announced
                or self.pending.relook
                or self.pending.same_opening
                or self.pending.other_way
            )
        )
        if bare and opening.part == "origin" and opening.structure:
            self.pending = None  # "on a corner block, toilet's gurgling, we're at the inspection opening"
        self.topic = opening
        numbered = any(t.id == "new_pass" for t in self.passage.tags_from(opening.start, opening.end + 1, "movement"))
        turned = opening.port is not None and (numbered or self._behind_turn(opening))
        if opening.part == "topic" and not out_of_run and self.pending is None and not turned:
            return
        if out_of_run and not (self.pending and (self.pending.camera or self.pending.go)):
            self._visit(opening)
        leads = opening.part != "topic" and (out_of_run or self._headed_from(opening))
        through_port = opening.port and (out_of_run or turned or opening.part == "origin")
        if self.pending is None and not through_port and not leads:
            return
        pending = self._gather(opening.start, opening.end)
        if opening.part == "origin" and not pending.go:
            put_in = opening.port and any(
                self.passage.is_class(t, "pushes_in") for t in range(opening.start - 4, opening.start)
            )
            pending.go = bool(put_in) or self._leads_on(opening)
            if pending.go:
                self._way_behind(pending, opening.end)
        known = pending.opening
        if pending.remembered and (opening.part == "origin" or (pending.announced and opening.structure)):
            known, pending.start = None, max(pending.start, pending.said_from)
        pending.remembered = pending.remembered and known is not None
        if known is None or (opening.part == "origin" and known.part != "origin" and not known.port):
            pending.opening = opening
        elif opening.port and not known.port and opening.structure in (None, known.structure):
            pending.opening = replace(opening, structure=known.structure, label=opening.label or known.label)
        elif opening.port and known.port and opening.port != known.port:
            pending.opening = replace(opening, structure=opening.structure or known.structure)

    def _leads_to_another(self, opening: Opening) -> bool:
        """ "tank to box first", "second run manhole b to c": from one to the next, with a reading behind."""
        passage = self.passage
        if not passage.is_class(opening.end, "to"):
            return False
        other = next((self.openings[t] for t in range(opening.end + 1, opening.end + 4) if t in self.openings), None)
        end = other.end if other is not None else opening.end + 2
        lettered = other is not None or len(passage.word(opening.end + 1)) == 1
        return lettered and any(self._is_content(m) for m in passage.measures_from(end, end + LOOK_AHEAD))

    def _leads_on(self, opening: Opening) -> bool:
        """ "from the inspection opening on down"."""
        lead = opening.start - 1
        while self.passage.is_class(lead, "article", "side"):
            lead -= 1
        return (
            self.passage.is_class(lead, "from")
            and self.passage.word(opening.end) in self.passage.classes["leads_on_word"]
        )

    def _headed_from(self, opening: Opening) -> bool:
        """ "then in the manhole heading upstream": in an opening, with the way right behind."""
        passage = self.passage
        lead = opening.start - 1
        while passage.is_class(lead, "article", "side"):
            lead -= 1
        way = passage.tags_from(opening.end, opening.end + 3, "direction")
        return opening.part == "origin" and passage.word(lead) == "in" and bool(way)

    def _visit(self, opening: Opening, again: bool = False) -> None:
        """The speaker turns to a structure: what is told next is told of it."""
        if opening.structure is None or opening.port or opening.structure in NEVER_VISITED:
            return
        if opening.structure in FIXTURES_FLOW_DOWN or opening.structure == "stack":
            return
        moved = self.state.at != opening.structure or opening.label not in (None, self.state.at_label)
        self.state.at, self.state.at_label = opening.structure, opening.label
        if moved or (again and self.marks[-1][1].kind == "run"):
            self.state.ended = True
            self._mark(
                self._part_before(opening), Scene(0, 0, "structure", structure=opening.structure, label=opening.label)
            )

    def _part_before(self, opening: Opening) -> int:
        """ "the lid on | the manhole is cracked": where the words of a visit begin, with the part that is named
        first.
        """
        passage = self.passage
        lead = opening.start - 1
        while lead > opening.start - 4 and (
            passage.is_class(lead, "article", "inside", "side") or passage.word(lead) in ("of", "on", "to")
        ):
            lead -= 1
        part = passage.covering(lead, "component")
        return part.start if part is not None and lead < opening.start - 1 else opening.start

    def _behind_turn(self, opening: Opening) -> bool:
        """ "now the outlet", "next the left outlet": a port named right behind a turn to something else."""
        token = opening.start - 1
        while self.passage.is_class(token, "article", "side"):
            token -= 1
        boundary = self.passage.covering(token, "boundary")
        return boundary is not None and boundary.id in ("turn", "next")

    def _at_reading(self, opening: Opening) -> bool:
        """Whether a distance stands right beside the opening: the camera has come to it."""
        if opening.port or opening.structure is None:
            return False
        if self.passage.is_class(opening.start - 1, "from") or self.passage.is_class(opening.start - 2, "from"):
            return False
        before = [
            m
            for m in self.passage.measures_from(opening.start - 9, opening.start)
            if opening.start - m.end <= 5
            and not self.passage.tags_from(m.end, opening.start, "condition", "component", "direction")
            and not any(token in self.openings for token in range(m.end, opening.start))
            and not any(
                t.id in ("new_pass", "camera_in", "relook", "other_way")
                for t in self.passage.tags_from(m.end, opening.start, "movement")
            )
        ]
        behind = self.passage.measures_from(opening.end, opening.end + 3)
        return any(self._is_content(measure) for measure in (*before, *behind))

    def _arrived_at(self, opening: Opening) -> bool:
        return any(t.id == "arrival" for t in self.passage.tags_from(opening.start - 5, opening.start, "ending"))

    def _take_action(self, tag: Tag) -> None:
        if tag.id != "lid_lifted":
            if self.pending is not None and not self.pending.camera and not self.pending.relook:
                self.pending = None
            if tag.id in LEADS_ELSEWHERE:
                self.busy_until = tag.end + 16
            return
        close = (self.openings.get(start) for start in range(tag.start - 8, tag.start + 9))
        near = [o for o in close if o is not None and o.structure]
        near = [o for o in near if o.structure not in NEVER_VISITED]
        near.sort(
            key=lambda o: (
                o.part == "destination",
                abs(o.start - tag.end) if o.start >= tag.end else tag.start - o.end + 1,
            )
        )
        place = near[0] if near else None
        if place and place.structure:
            self.state.at, self.state.at_label = place.structure, place.label
        self.pending = None
        self.state.ended = True
        start = tag.start
        if place and place.end <= tag.start and tag.start - place.end <= 4 and not self._arrived_at(place):
            start = place.start
        self._mark(start, Scene(0, 0, "structure", structure=self.state.at, label=self.state.at_label))

    # --- what the signs come to ---------------------------------------------------------

    def _commit(self, token: int, at_end: bool = False) -> None:
        pending, self.pending = self.pending, None
        if pending is None:
            return
        state = self.state
        over = self._starts_over(token, pending)
        if (
            pending.relook
            and state.run is not None
            and not (pending.opening and self._other_opening(pending))
            and not pending.other_way
            and not (over and self._turned_round(pending))
        ):
            state.ended = False
            self._mark(pending.start, Scene(0, 0, "run", run=state.run, second=True))
            return
        state.ended = state.ended or over
        closing = self.closing_from is not None and pending.start >= self.closing_from
        if at_end or closing or not self._is_start(pending, over):
            return
        start = self._start(pending)
        if self._same_line_again(start):
            state.ended = False
            self._mark(start.start, Scene(0, 0, "run", run=state.run, second=True))
            return
        if self._restates(start):
            self.starts[-1] = _joined(self.starts[-1], start)
            return
        if self._never_began(start):
            last = self.starts.pop()
            self.marks = [
                (
                    at,
                    replace(scene, kind="structure", run=None, structure=last.structure)
                    if scene.run == len(self.starts)
                    else scene,
                )
                for at, scene in self.marks
            ]
        elif (
            state.run is not None
            and not state.ended
            and not self._new_place(start)
            and not pending.announced
            and not pending.other_way
        ):
            return
        self.starts.append(start)
        state.run, state.ended = len(self.starts) - 1, False
        if start.structure:
            state.at, state.at_label = start.structure, start.label if not start.port else state.at_label
        self._mark(max(start.start, pending.said_from), Scene(0, 0, "run", run=state.run))

    def _starts_over(self, token: int, pending: _Pending) -> bool:
        """Whether the counter's next reading is less than the last one: the camera went in again somewhere."""
        if self.state.run is None or not (pending.direction or pending.go or pending.opening or pending.announced):
            return False
        if pending.start < self.busy_until or any(
            t.id in LEADS_ELSEWHERE for t in self.passage.tags_from(pending.start, token + LOOK_AHEAD, "action")
        ):
            return False  # told of the work
        since = max(pending.start, pending.said_from)
        before = [m for m in self.passage.measures_from(self.starts[-1].end, since) if self._is_content(m)]
        behind = [m for m in self.passage.measures_from(token, token + LOOK_AHEAD) if self._is_content(m)]
        return bool(before and behind) and _metres(behind[0]) < _metres(before[-1]) - STARTS_OVER_M

    def _turned_round(self, pending: _Pending) -> bool:
        last = self.starts[-1].direction
        return pending.direction is not None and last is not None and pending.direction != last

    def _is_start(self, pending: _Pending, over: bool) -> bool:
        opening = pending.opening
        named = opening is not None and (opening.part == "origin" or opening.port is not None)
        known = self.state.at is not None
        moves = pending.camera or pending.go or pending.announced or pending.other_way
        if pending.other_way:
            return known or named or bool(self.starts)
        if over and (pending.direction or (named and pending.go)) and (known or named):
            return True
        if pending.camera and (opening is not None or pending.direction or known or pending.same_opening):
            return True
        if pending.announced and (opening is not None or pending.direction or pending.same_opening):
            return True
        if (
            named
            and opening is not None
            and (pending.go or pending.direction)
            and not (not moves and self._from_it(opening))
        ):
            return True
        if opening is not None and pending.direction and (self.state.run is None or self.state.ended):
            return True
        if pending.same_opening and (pending.direction or moves):
            return True
        if opening is not None and opening.port and opening.label and self.state.ended:
            return True
        pipe = opening is not None and (
            self.passage.cue_at(opening.end, "component", "pipe") is not None
            or self.passage.covering(opening.end - 1, "movement") is not None
        )
        if named and opening is not None and opening.port and not pipe and (self.state.run is None or self.state.ended):
            lead = (self.passage.word(opening.start - 1), self.passage.word(opening.start - 2))
            if "in" in lead or "into" in lead:
                return True  # "in the outlet of the tank now and ..."
        return bool(pending.direction and pending.go and known and (self.state.run is None or self.state.ended))

    def _from_it(self, opening: Opening) -> bool:
        """ "it's flowing from the manhole to the sewer": where a stretch begins, not where the camera went in."""
        passage = self.passage
        lead = opening.start - 1
        while passage.is_class(lead, "article", "side"):
            lead -= 1
        while passage.word(lead - 1) in ("now", "right", "straight", "all"):
            lead -= 1
        near = passage.tags_from(max(0, lead - 4), lead, "condition")
        return (passage.is_class(lead, "from") or passage.word(lead) in ("now", "right", "straight", "all")) and any(
            passage.distance(t.end, lead) <= 2 for t in near
        )

    def _start(self, pending: _Pending) -> Start:
        opening = pending.opening
        structure = opening.structure if opening else None
        port = opening.port if opening else None
        label = opening.label if opening else None
        last = self.starts[-1] if self.starts else None
        if structure is None and port is None and (pending.other_way or pending.same_opening) and last:
            structure, port, label = last.structure, last.port if pending.same_opening else None, last.label
            if self.state.at and self.state.at != last.structure and not pending.same_opening:
                structure, label = self.state.at, self.state.at_label
        if structure in NEVER_VISITED and self.state.at is not None:
            structure = self.state.at
        if structure is None:
            structure, label = self.state.at, label or (self.state.at_label if not port else None)
        direction = pending.direction or self._certain_direction(structure, port, pending.destination)
        if structure in FIXTURES_FLOW_DOWN:
            direction = "downstream"  # there is no other way out of a fixture
        if pending.other_way and pending.direction is None and last and last.direction:
            direction = "upstream" if last.direction == "downstream" else "downstream"
        return Start(pending.start, pending.end, structure, port, label, direction, pending.destination)

    def _certain_direction(self, structure: str | None, port: str | None, destination: str | None) -> str | None:
        if port == "inlet" and structure:
            return "upstream"
        if port == "outlet" and structure:
            return "downstream"
        if structure in FIXTURES_FLOW_DOWN or structure in ("downpipe", "gully"):
            return "downstream"
        if destination in DOWNSTREAM_ENDS:
            return "downstream"
        if destination in UPSTREAM_ENDS:
            return "upstream"
        return None

    def _restates(self, start: Start) -> bool:
        """A second mention of the start before anything was seen: "I'm in at the cleanout ... heading downstream"."""
        if self.state.run is None or not self.marks or self.marks[-1][1].kind != "run" or self.marks[-1][1].second:
            return False
        last = self.starts[-1]
        since = self.marks[-1][0]
        seen = any(self._is_content(m) for m in self.passage.measures_from(last.end, start.start))
        seen = seen or bool(self.passage.tags_from(last.end, start.start, "condition"))
        return not seen and start.start >= since and not (start.port and last.port and start.port != last.port)

    def _never_began(self, start: Start) -> bool:
        """ "starting at the gully, there's grease in it; run one is downstream from that gully": no reading between."""
        if self.state.run is None or self.state.run != len(self.starts) - 1:
            return False
        last = self.starts[-1]
        if (
            last.port is not None
            or last.structure is None
            or start.structure != last.structure
            or last.label not in (None, start.label)
        ):
            return False
        between = self.passage.measures_from(last.end, start.start)
        ended = self.passage.tags_from(last.end, start.start, "ending")
        return not any(self._is_content(m) for m in between) and not ended

    def _same_line_again(self, start: Start) -> bool:
        """In at the very port of the run just told: another look, not another run."""
        if self.state.run is None or start.port is None:
            return False
        last = self.starts[-1]
        same = (start.structure, start.port) == (last.structure, last.port) and start.label in (None, last.label)
        return same and start.direction in (None, last.direction) and self._seen_since(last)

    def _other_opening(self, pending: _Pending) -> bool:
        opening, last = pending.opening, self.starts[-1]
        if opening is None or opening.part == "destination":
            return False
        if opening.port and last.port and opening.port != last.port:
            return True
        if opening.port and opening.structure is None and self.state.at not in (None, last.structure):
            return True  # back at the tank, up its inlet again
        if opening.label and last.label and opening.label != last.label:
            return True
        moved = opening.part == "origin" and (pending.camera or pending.go)
        return bool(opening.structure and last.structure and opening.structure != last.structure and moved)

    def _new_place(self, start: Start) -> bool:
        last = self.starts[-1]
        return (
            (start.structure, start.port) != (last.structure, last.port)
            or (start.direction is not None and last.direction is not None and start.direction != last.direction)
            or (start.direction is not None and last.direction is None and self._seen_since(last))
            or (start.label is not None and start.label != last.label)
        )

    def _seen_since(self, start: Start) -> bool:
        measures = self.passage.measures_from(
            start.end, len(self.passage) if self.pending is None else self.pending.start
        )
        return any(self._is_content(m) for m in measures)

    def _mark(self, token: int, scene: Scene) -> None:
        while self.marks and self.marks[-1][0] >= token:
            self.marks.pop()
        self.marks.append((token, scene))


def _metres(measure: Measure) -> float:
    return measure.length_m[0] if measure.unit is None and measure.length_m is not None else measure.low


def _joined(first: Start, second: Start) -> Start:
    return Start(
        first.start,
        max(first.end, second.end),
        second.structure or first.structure,
        second.port or first.port,
        second.label or first.label,
        second.direction or first.direction,
        second.destination or first.destination,
    )


def _closing(passage: Passage) -> int | None:
    """Where the closing words begin: the first summary or main issue in the last part that no run follows."""
    cues = [
        t for t in passage.tags_from(len(passage) // 2, len(passage), "speech_act") if t.id in ("closing", "main_issue")
    ]
    moves = [
        t.start
        for t in passage.tags_from(0, len(passage), "movement")
        if t.id == "camera_in"
        or (
            t.id in ("new_pass", "relook") and passage.tags_from(t.end, t.end + 12, "structure", "direction", "fixture")
        )
    ]
    last = max(moves, default=-1)
    held = [tag for tag in cues if (cue := passage.covering(tag.start, "stretch")) is None or cue.start == tag.start]
    return min((tag.start for tag in held if tag.start > last), default=None)
