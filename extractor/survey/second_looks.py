"""Second looks: what the camera sees, once work is done, of the things that it found before.

    "ran the cutter out to five, camera back in, the roots at 2.1 are gone and so are the wipes, still a fringe at 3.4"

The words behind the work are read as verdicts (gone, partly gone, still there, "no sign of") and what each is said of
(`look_words`). A verdict takes what was named since the last one; with nothing named before it, what it names behind
it; else what a pronoun stands for.
"""

from collections.abc import Mapping, Sequence
from itertools import pairwise

from extractor.language.clauses import Clause
from extractor.language.passage import Passage
from extractor.reading import Measure
from extractor.survey.look_words import AT_IT, CLEARED_BY_LOOKS, NAMED, LookWords, Mention, Verdict, is_denied, rows_at
from extractor.survey.rows import Draft
from extractor.survey.scenes import Scene, scene_at
from extractor.survey.work import ActionDraft

STOPPING = ("blockage", "obstruction", "root_intrusion", "grease", "settled_deposit")
CLEARING = ("jetting", "rodding", "root_cutting", "hand_removal")
RANKS = ("slight", "moderate", "severe")
LOOK = 120  # words behind the work in which its outcome is told
OBJECT = 3  # words from "that's shifted" to what was shifted


def look_again(
    passage: Passage,
    clauses: Sequence[Clause],
    scenes: Sequence[Scene],
    rows: Sequence[Draft],
    roles: Mapping[Measure, str | None],
    actions: Sequence[ActionDraft],
    dropped: set[int],
) -> tuple[set[int], list[tuple[Draft, str]]]:
    """The tokens of the verdicts that the looks behind work settle, and the outcomes they tell, in order. Rows that
    only name a finding again go into `dropped`.
    """
    settled: set[int] = set()
    outcomes: list[tuple[Draft, str]] = []
    clearing = [action for action in actions if action.action in CLEARING]
    for index, action in enumerate(clearing):
        following = clearing[index + 1].start if index + 1 < len(clearing) else len(passage)
        run, start, end = _look(passage, scenes, action, following)
        known = [
            row
            for row in rows
            if row.run == run
            and row.polarity == "present"
            and row.condition in CLEARED_BY_LOOKS
            and row.start < action.start
            and id(row) not in dropped
        ]
        if run is None or not known:
            continue
        words = LookWords(passage, clauses, roles, known, start, _new_reading(passage, roles, known, start, end))
        look = _Look(words)
        look.read()
        settled |= look.settled
        outcomes += look.outcomes
        _drop(rows, look, dropped)
        if look.kinds:
            action.result = _result(look.kinds)
    return settled, outcomes


def _look(
    passage: Passage, scenes: Sequence[Scene], action: ActionDraft, following: int
) -> tuple[int | None, int, int]:
    """The run that is looked into behind the work, and the words of the look."""
    limit = min(following, action.end + LOOK, len(passage))
    for scene in scenes:
        if scene.end <= action.end or scene.start >= limit:
            continue
        if scene.kind == "run":
            start = max(scene.start, action.end)
            return scene.run, start, _goes_on(passage, start, min(scene_end(scenes, scene, limit), limit))
        if scene.kind == "closing":
            break
    return None, 0, 0


def scene_end(scenes: Sequence[Scene], first: Scene, limit: int) -> int:
    """Where the camera leaves the run that it is in."""
    end = first.end
    while end < limit:
        scene = scene_at(scenes, end)
        if scene is None or scene.kind != "run" or scene.run != first.run:
            break
        end = scene.end
    return end


def _goes_on(passage: Passage, start: int, end: int) -> int:
    """Where the camera goes on to what it has not seen yet."""
    for tag in passage.tags_from(start, end, "movement"):
        if tag.id == "go" and passage.is_class(tag.start, "goes_on_verb") and not is_denied(passage, tag.start):
            return tag.start
    return end


def _new_reading(
    passage: Passage, roles: Mapping[Measure, str | None], known: Sequence[Draft], start: int, end: int
) -> int:
    """Where a reading is told at which nothing was found before."""
    for measure in passage.measures_from(start, end):
        verdict = passage.tags_from(measure.end, measure.end + 4, "time")
        if roles.get(measure) == "chainage" and not rows_at(known, measure) and not verdict:
            return measure.start
    return end


def _result(kinds: Sequence[str]) -> str:
    if set(kinds) == {"gone"}:
        return "done"
    return "failed" if set(kinds) == {"still_there"} else "partial"


def _drop(rows: Sequence[Draft], look: "_Look", dropped: set[int]) -> None:
    """Rows made of the words that only name a finding again."""
    again = {tag for mention in look.matched for tag in mention.tags}
    for row in rows:
        if row.tag in again and not any(row is each for each in look.known):
            dropped.add(id(row))


class _Look:
    """The words of one look, read from start to end."""

    def __init__(self, words: LookWords) -> None:
        self.words = words
        self.passage, self.known, self.start = words.passage, words.known, words.start
        self.settled: set[int] = set()
        self.kinds: list[str] = []
        self.outcomes: list[tuple[Draft, str]] = []
        self.matched: list[Mention] = []
        self.last: list[Draft] = []
        self.last_kind = "gone"
        self.told: dict[int, str] = {}

    def read(self) -> None:
        events = self.words.events()
        pending: list[Mention] = []
        at = 0
        while at < len(events):
            event = events[at]
            if isinstance(event, Mention):
                if pending and self.words.turns(pending[-1].end, event.start):
                    pending = self._leave(pending)
                pending.append(event)
                at += 1
                continue
            if pending and self.words.turns(pending[-1].end, event.start):
                pending = self._leave(pending)
            own = pending
            step = 1
            if event.ahead or not own:
                own, step = self._ahead(events, at)
            elif not any(mention.metres for mention in own) and at + 1 < len(events):
                place = events[at + 1]
                near = place.start - event.end <= 2 and not self.words.turns(event.end, place.start)
                if isinstance(place, Mention) and place.metres and not place.conditions and near:
                    own[-1].metres += place.metres  # "half of it is still hanging | at 3.4"
                    step = 2
            if not (event.kind == "again" and not own):
                self._settle(event, own)
            pending = []
            at += step
        # what is named behind the last verdict with a distance only is told of it: "gone | at 2.1 and 3.4"

    def _leave(self, mentions: Sequence[Mention]) -> list[Mention]:
        """What is named at a reading with no verdict stays spoken of: "the one at 4 opened | still some of it"."""
        placed = [row for mention in mentions if mention.metres for row in self._meant(mention)]
        if placed:
            self.last = placed
        return []

    def _ahead(self, events: Sequence["Mention | Verdict"], at: int) -> tuple[list[Mention], int]:
        """What a verdict names behind it: "that's shifted | the wipes", "no sign of | the roots or the wipes"."""
        verdict = events[at]
        found: list[Mention] = []
        end, index = verdict.end, at + 1
        while index < len(events):
            event = events[index]
            if not isinstance(event, Mention):
                own = any(self.passage.is_class(t, "copula") for t in range(end, event.start)) or event.start - end <= 1
                own = own and not self.words.turns(end, event.start)
                led = len(found) == 1 and found[0].start - verdict.end == 1 and self.passage.is_class(verdict.end, "at")
                own = own and not (led and event.start - end <= 1)  # "nothing left | at 2.1 | nothing left ..."
                if found and own and not (isinstance(verdict, Verdict) and verdict.ahead) and event.kind != "again":
                    found.pop()  # "... shifted the wipes and the roots | are gone"
                    index -= 1
                break
            near = event.start - end <= (NAMED if isinstance(verdict, Verdict) and verdict.ahead else OBJECT)
            if not near or self.words.turns(end, event.start):
                break
            found.append(event)
            end = event.end
            index += 1
        return found, max(1, 1 + len(found))

    def _settle(self, verdict: Verdict, mentions: Sequence[Mention]) -> None:
        kind = self.last_kind if verdict.kind == "again" else verdict.kind
        targets: list[Draft] = []
        for mention in mentions:
            meant = self._meant(mention)
            if meant:
                self.matched.append(mention)
            targets += [row for row in meant if not any(row is each for each in targets)]
        named = any(mention.conditions or mention.metres for mention in mentions)
        if not targets and not named:
            targets = self._pronoun(verdict)
        if kind != "gone" and not any(mention.metres for mention in mentions):
            # "the one at 2 is all gone, at 5 most of it's out, | some root left on top" is of the one at 5
            targets = [row for row in targets if self.told.get(id(row)) != "gone"] or targets
        if not targets:
            return
        for row in targets:
            if kind == "still_there" and self.told.get(id(row)) in ("gone", "partly_gone") and not mentions:
                kind = "partly_gone"  # "gone from 1.8 to 2.5 but it's still thick past that"
            self.outcomes.append((row, {"gone": "cleared", "partly_gone": "partly_cleared"}.get(kind, "open")))
            row.spans.append((min([verdict.start, *(m.start for m in mentions)]), verdict.end))
            self.told[id(row)] = kind
        self.settled.update(range(verdict.start, verdict.end))
        self.kinds.append(kind)
        self.last, self.last_kind = targets, kind

    def _meant(self, mention: Mention) -> list[Draft]:
        rows = list(mention.rows or self.known)
        if mention.conditions:
            same = [row for row in rows if row.condition in mention.conditions]
            if not same and mention.conditions & {"blockage", "obstruction"}:
                same = [row for row in rows if row.condition in STOPPING][-1:]  # "the plug", of grease
            rows = same
        if mention.metres:
            at = [row for row in rows if any(row.at(metres, AT_IT) for metres in mention.metres)]
            at = at or [r for r in rows if r.place.to_m is not None and any(r.covers(m) for m in mention.metres)]
            if not at and mention.conditions:
                at = [row for row in self.known if any(row.at(metres, AT_IT) for metres in mention.metres)]
            rows = at
        if mention.part is not None:
            rows = [row for row in rows if row.component == mention.part] or rows
        if mention.degree in ("lesser", "greater"):
            ranks = [RANKS.index(row.extent) if row.extent in RANKS else 1 for row in rows]
            best = min(ranks, default=1) if mention.degree == "lesser" else max(ranks, default=1)
            rows = [row for row, rank in zip(rows, ranks, strict=True) if rank == best]
        elif mention.degree is not None and mention.which not in ("both", "all"):
            rows = [row for row in rows if row.extent == mention.degree] or rows
        if mention.which == "other":
            return [row for row in rows if id(row) not in self.told]
        if mention.which == "both":
            return rows[-2:]
        if mention.which in ("first", "second", "third", "fourth"):
            index = ("first", "second", "third", "fourth").index(mention.which)
            return rows[index : index + 1]
        if mention.which == "last":
            return rows[-1:]
        return rows

    def _pronoun(self, verdict: Verdict) -> list[Draft]:
        """What "it", "they" or no word at all stands for: what was told last, else what the work was for."""
        words = self.passage.speech.words[max(self.start, verdict.start - 4) : verdict.end]
        near = self.passage.speech.words[max(self.start, verdict.start - 1) : verdict.end + 3]
        if {("all", "clear"), ("right", "through"), ("all", "clean")} & set(pairwise(near)) or "everything" in words:
            return list(self.known)
        if self.last:
            return self.last
        stopping = [row for row in self.known if row.condition in STOPPING]
        if {"they", "them", "those", "these"} & set(words) and stopping:
            return [row for row in stopping if row.condition == stopping[-1].condition]
        return stopping[-1:]
