"""Signs in the words that a row may be wrong: a distance told far off, a part named beside it, words not understood.

A sign is a name; confidence.py weighs them. Each is cheap to see and tells only what may be amiss, so that many rows
that are right show one or another.
"""

from bisect import bisect_left, bisect_right
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence

from extractor.language.clauses import Clause
from extractor.language.passage import Passage
from extractor.reading import Measure, Tag
from extractor.survey.distances import length_of
from extractor.survey.rows import Draft
from extractor.survey.run_draft import RunDraft
from extractor.survey.scenes import Scene

IS, ON = "is ", "on "  # which condition, on which component: some are harder to read than others
FAR = 7  # words between a thing and the distance it was given
VERY_FAR = 16
LONG = 14  # words of a row's quote
VERY_LONG = 26
CLOSE_M = 0.35  # rows of one thing that stand nearer than this may be one
SHAKY_RULES = ("split number", "point dropped", "misheard unit", "unit carried")
LOW_PROBABILITY = 0.5
AROUND = 5  # words round a row in which a correction is told
BESIDE = 6  # words round a thing in which what belongs to it is named
POINTS = ("capped", "displaced_joint", "open_joint", "hole", "vermin", "protruding_connection", "missing_part")
STRETCHES = ("begins", "ends", "onwards", "from_there")
MOST_ELSEWHERE = 2  # other distances or parts offered
ELSEWHERE_REACH = 14  # words from a thing to another reading that may be its own


def _unsure_tokens(passage: Passage) -> list[int]:
    """The tokens of words of which the recogniser itself was unsure."""
    speech = passage.speech
    unsure = {
        index
        for index, word in enumerate(speech.narration.words)
        if word.probability is not None and word.probability < LOW_PROBABILITY
    }
    return [token for token, index in enumerate(speech.word_of) if index in unsure] if unsure else []


def _may_spread(row: Draft) -> bool:
    """Whether a thing at one place may well be a stretch."""
    return row.place.from_m is not None and row.place.to_m is None and row.condition not in (*POINTS, None)


class Signs:
    """What is looked up for every row, made ready once for a narration."""

    def __init__(
        self,
        passage: Passage,
        clauses: Sequence[Clause],
        scenes: Sequence[Scene],
        roles: Mapping[Measure, str | None],
        rows: Sequence[Draft],
        runs: Sequence[RunDraft],
        unread: Sequence[tuple[int, int]],
    ) -> None:
        self.passage = passage
        self.clauses = clauses
        self.clause_starts = [clause.start for clause in clauses]
        self.scenes = scenes
        self.scene_starts = [scene.start for scene in scenes]
        self.alike: dict[tuple[object, ...], list[Draft]] = defaultdict(list)  # rows that may be twins, if near
        for row in rows:
            self.alike[self._kin(row)].append(row)
        self.runs = runs
        self.unread = [token for start, end in unread for token in range(start, end)]
        self.chainages = [measure for measure in passage.measures if roles.get(measure) == "chainage"]
        self.chainage_starts = [measure.start for measure in self.chainages]
        self.holders = {measure.start for row in rows for measure in row.place.measures}
        self.sharers = Counter(m.start for row in rows if row.polarity == "present" for m in row.place.measures)
        self.siblings: dict[Tag, set[int]] = defaultdict(set)  # readings at which one and the same thing was told
        for row in rows:
            if row.tag is not None:
                self.siblings[row.tag].update(measure.start for measure in row.place.measures)
        self.masked = sorted(passage.masked)
        self.unsure = _unsure_tokens(passage)
        self.much_unread = len(self.unread) > 0.06 * max(1, len(passage))
        self.backward = self._backward_runs()

    def of(self, row: Draft) -> list[str]:
        """The names of the row's signs."""
        return [
            *([f"{IS}{row.condition}"] if row.condition else []),
            f"{ON}{row.component or 'nothing named'}",
            *self._what(row),
            *(self._where_in_run(row) if row.run is not None else self._where_at_structure(row)),
            *self._words(row),
        ]

    def elsewhere(self, row: Draft) -> tuple[float, ...]:
        """Where else the thing may be, by the readings close by: metres, the nearest words first."""
        if row.run is None or row.tag is None:
            return ()
        own = {measure.start for measure in row.place.measures}
        start, end = row.tag.start, row.tag.end
        near = sorted(
            (
                measure
                for measure in self._chainages_in(start - ELSEWHERE_REACH, end + ELSEWHERE_REACH)
                if measure.start not in own
            ),
            key=lambda measure: self._gap(start, end, measure),
        )
        metres = (round(length_of(measure)[0], 3) for measure in near)
        return tuple(dict.fromkeys(each for each in metres if not row.at(each)))[:MOST_ELSEWHERE]

    def parts(self, row: Draft) -> tuple[str, ...]:
        """Which components are named close by that the row does not sit on."""
        tag = row.tag
        if tag is None:
            return ()
        near = [
            other.id
            for other in self.passage.tags_from(tag.start - BESIDE, tag.end + BESIDE, "component")
            if other.id not in (row.component, "pipe")
            and not self._parted(min(other.end, tag.end), max(other.start, tag.start))
        ]
        return tuple(dict.fromkeys(near))[:MOST_ELSEWHERE]

    def _what(self, row: Draft) -> list[str]:
        tag = row.tag
        twins = [other for other in self.alike[self._kin(row)] if self._twins(row, other)]
        listed = [other for other in twins if self._listed(row, other)]
        signs = {
            "feature only": row.condition is None,
            "said sound": row.condition == "sound",
            "denied": row.polarity == "absent",
            "doubted": row.certainty == "tentative",
            "counted": row.count is not None,
            "component taken from condition": row.component is not None and not row.named and row.condition is not None,
            "told again": any(rule == "told again" for rule in row.rules),
            "same again": "same again" in row.rules,
            "told with another distance": "told with another distance" in row.rules,
            "mended word": tag is not None and tag.heard is not None,
            "one word": tag is not None and tag.end - tag.start == 1,
            "twin": len(twins) > len(listed),
            "listed twin": bool(listed),
            "cleared": row.outcome != "open",
            "other tag on the words": tag is not None and self._tagged_twice(tag),
            "component in front": tag is not None and self._component_in_front(row, tag),
            "component behind": tag is not None and self._component_behind(row, tag),
            "component behind, in it": tag is not None and self._in_component(row, tag),
            "verdict close by": row.condition is None and self._verdict_close_by(row),
            "verdict before a thing": row.condition == "sound" and tag is not None and self._thing_at(tag.end),
            "refers back": tag is not None and self.passage.is_class(tag.start - 1, "definite"),
            "pronoun before it": tag is not None and self._pronoun_before(tag),
        }
        return [name for name, holds in signs.items() if holds]

    def _listed(self, row: Draft, other: Draft) -> bool:
        """ "a junction and a crack": two things told one after the other in a list."""
        if row.tag is None or other.tag is None:
            return False
        first, second = sorted((row.tag, other.tag), key=lambda tag: tag.start)
        return self._parted(first.end, second.start)

    @staticmethod
    def _kin(row: Draft) -> tuple[object, ...]:
        return row.run, row.structure, row.polarity

    @staticmethod
    def _twins(row: Draft, other: Draft) -> bool:
        """Two rows of one thing, so near that they may be one; or a thing noted beside the same with a condition."""
        if other is row:
            return False
        first, second = row.place.from_m, other.place.from_m
        near = first == second or (first is not None and second is not None and abs(first - second) < CLOSE_M)
        if not near:
            return False
        if row.condition is None or other.condition is None:
            return row.component == other.component or row.component is None or other.component is None
        return row.condition == other.condition

    def _where_in_run(self, row: Draft) -> list[str]:
        place = row.place
        tag = row.tag
        run = self.runs[row.run] if row.run is not None and row.run < len(self.runs) else None
        signs = {
            place.how: place.how != "none",
            "no distance": place.from_m is None,
            "shaky number": any(any(rule in m.rule for rule in SHAKY_RULES) for m in place.measures),
            "bare number": any(m.unit is None for m in place.measures),
            "shares distance": row.polarity == "present" and any(self.sharers[m.start] > 2 for m in place.measures),
            "out of order": row.run in self.backward and any(m.start in self.backward[row.run] for m in place.measures),
            "run never opened": run is None or run.start.structure is None,
            "run with no reason to end": run is not None and run.end_reason is None,
            "whole of a run not ended": place.how in ("whole", "to this point")
            and run is not None
            and not run.end_reason,
            "point over a stretch": place.to_m is not None and row.condition in POINTS,
            "one end of a stretch": self._one_end(row),
            "begins or ends": self._begins_or_ends(row),
            "unused reading close by": self._unused_close_by(row),
            "thing between the ends": self._thing_between_ends(row),
            "other distance inside": self._other_inside(row),
            "past the end": bool(run and run.end_m is not None and (place.from_m or 0) > run.end_m + 0.02),
            "second look": self._scene(row.start).second,
        }
        found = [name for name, holds in signs.items() if holds]
        if tag is not None and place.measures:
            gap = min(self._gap(tag.start, tag.end, measure) for measure in place.measures)
            if gap > VERY_FAR:
                found.append("distance very far")
            elif gap > FAR:
                found.append("distance far")
            if self._other_nearer(row, gap):
                found.append("other distance nearer")
        return found

    def _where_at_structure(self, row: Draft) -> list[str]:
        scene = self._scene(row.start)
        signs = {
            "at a structure": True,
            "structure told in a run": scene.kind == "run",
            "structure after the runs": scene.kind == "closing",
            "distance close by": bool(self._chainages_in(row.start - AROUND, row.end + AROUND)),
            "no component": row.component is None,
        }
        return [name for name, holds in signs.items() if holds]

    def _words(self, row: Draft) -> list[str]:
        clause = self.clauses[max(0, bisect_right(self.clause_starts, row.tag.start if row.tag else row.start) - 1)]
        first, last = min(clause.start, row.start), max(clause.end, row.end)
        unread = bisect_left(self.unread, last) - bisect_left(self.unread, first)
        length = row.end - row.start
        masked = bisect_left(self.masked, row.end + AROUND) - bisect_left(self.masked, row.start - AROUND)
        signs = {
            "words unread": unread == 1,
            "unread word beside": row.tag is not None and self._unread_beside(row.tag),
            "many words unread": unread > 1,
            "much unread in all": self.much_unread,
            "not reporting": clause.act != "report",
            "long quote": LONG < length <= VERY_LONG,
            "very long quote": length > VERY_LONG,
            "corrected close by": masked > 0,
            "short clause": clause.end - clause.start <= 2,
            "word unsure": bisect_left(self.unsure, row.end) > bisect_left(self.unsure, row.start),
        }
        return [name for name, holds in signs.items() if holds]

    # --- signs of what ------------------------------------------------------------------------

    def _tagged_twice(self, tag: Tag) -> bool:
        return any(
            other.id != tag.id and other.start < tag.end and other.end > tag.start
            for other in self.passage.tags_from(tag.start - 4, tag.end, "condition", "component")
        )

    def _component_in_front(self, row: Draft, tag: Tag) -> bool:
        """A part named in front of the condition that the row does not sit on; not "a junction and a crack"."""
        return row.condition is not None and any(
            other.id not in (row.component, "pipe") and not self._parted(other.end, tag.start)
            for other in self.passage.tags_from(tag.start - BESIDE, tag.start, "component")
        )

    def _component_behind(self, row: Draft, tag: Tag) -> bool:
        return row.condition is not None and any(
            other.id not in (row.component, "pipe") and not self._parted(tag.end, other.start)
            for other in self.passage.tags_from(tag.end, tag.end + BESIDE, "component")
        )

    def _parted(self, start: int, end: int) -> bool:
        """Whether another thing begins between: behind "and a", a distance, a denial, "there's" or a turn."""
        passage = self.passage
        if passage.measures_from(start, end) or passage.tags_from(start, end, "negation", "boundary"):
            return True
        if any(tag.id == "report" for tag in passage.tags_from(start, end, "speech_act")):
            return True
        return any(
            passage.is_class(token, "list") and passage.is_class(token + 1, "indefinite") for token in range(start, end)
        )

    def _in_component(self, row: Draft, tag: Tag) -> bool:
        """ "roots through a joint", "wear to the wall": a part behind a preposition that the row does not sit on."""
        passage = self.passage
        return any(
            passage.is_class(other.start - 1, "inside", "to")
            or (passage.is_class(other.start - 1, "article") and passage.is_class(other.start - 2, "inside", "to"))
            for other in passage.tags_from(tag.end, tag.end + BESIDE, "component")
            if row.condition is not None and other.id not in (row.component, "pipe")
        )

    def _verdict_close_by(self, row: Draft) -> bool:
        """A condition told right behind a thing that is only noted."""
        behind = self.passage.tags_from(row.end, row.end + BESIDE, "condition")
        return any(not self._parted(row.end, tag.start) for tag in behind)

    def _thing_at(self, token: int) -> bool:
        return bool(self.passage.things_from(token, token + 1))

    def _pronoun_before(self, tag: Tag) -> bool:
        passage = self.passage
        return passage.is_class(tag.start - 1, "copula") and passage.is_class(tag.start - 2, "pronoun")

    # --- signs of where -----------------------------------------------------------------------

    def _one_end(self, row: Draft) -> bool:
        """ "through to 6.5", "from two metres on": one distance, led as the end of a stretch is."""
        passage = self.passage
        return _may_spread(row) and any(
            passage.is_class(token, "to", "from")
            for measure in row.place.measures
            for token in (measure.start - 1, measure.start)
        )

    def _begins_or_ends(self, row: Draft) -> bool:
        """ "starts", "onwards": one distance where the words tell of more."""
        near = self.passage.tags_from(row.start - BESIDE, row.end + BESIDE, "stretch")
        return _may_spread(row) and any(cue.id in STRETCHES for cue in near)

    def _thing_between_ends(self, row: Draft) -> bool:
        """A stretch between whose ends another thing is named: two things may have been run together."""
        if row.place.to_m is None or len(row.place.measures) < 2:
            return False
        first, last = row.place.measures[0], row.place.measures[-1]
        return any(
            tag.kind == "component" or tag.id not in (row.condition, None)
            for tag in self.passage.tags_from(first.end, last.start, "component", "condition")
        )

    def _unused_close_by(self, row: Draft) -> bool:
        """A reading beside the row that no row took and that is not the run's end: a thing may have been missed."""
        end = self.runs[row.run].end_m if row.run is not None and row.run < len(self.runs) else None
        return any(
            measure.start not in self.holders
            and (end is None or abs(length_of(measure)[1] - end) > 0.011)
            and not row.at(length_of(measure)[0])  # "at 5.2, yeah, 5.2"
            for measure in self._chainages_in(row.start - AROUND, row.end + AROUND)
        )

    def _other_inside(self, row: Draft) -> bool:
        own = {measure.start for measure in row.place.measures}
        if row.tag is not None:
            own |= self.siblings[row.tag]  # "at 5.2 and 6.4 there's scale"
        return any(measure.start not in own for measure in self._chainages_in(row.start, row.end))

    # --- what the signs look at --------------------------------------------------------------

    def _scene(self, token: int) -> Scene:
        return self.scenes[max(0, bisect_right(self.scene_starts, token) - 1)]

    def _chainages_in(self, start: int, end: int) -> list[Measure]:
        return self.chainages[bisect_left(self.chainage_starts, start) : bisect_left(self.chainage_starts, end)]

    @staticmethod
    def _gap(start: int, end: int, measure: Measure) -> int:
        return max(measure.start - end, start - measure.end, 0)

    def _other_nearer(self, row: Draft, gap: int) -> bool:
        """Whether another reading stands nearer to the thing than the one it was given.

        Behind a thing that was told after its own reading, a nearer one begins the next statement.
        """
        if row.tag is None or row.place.how == "said before":
            return False
        own = {measure.start for measure in row.place.measures}
        start, end = row.tag.start, row.tag.end
        return any(
            measure.start not in own and self._gap(start, end, measure) < gap
            for measure in self._chainages_in(start - gap - 4, end + gap + 1)
        )

    def _backward_runs(self) -> dict[int | None, set[int]]:
        """For each run the readings at which, or right before which, the counter runs back."""
        found: dict[int | None, set[int]] = {}
        for scene in self.scenes:
            if scene.kind != "run":
                continue
            last: Measure | None = None
            for measure in self._chainages_in(scene.start, scene.end):
                if last is not None and length_of(measure)[0] < length_of(last)[0] - 0.011:
                    found.setdefault(scene.run, set()).update((last.start, measure.start))
                last = measure
        return found

    def _unread_beside(self, tag: Tag) -> bool:
        return bisect_left(self.unread, tag.end + 3) - bisect_left(self.unread, tag.start - 3) > 0
