"""Second looks: what the camera sees, once work is done, of the things that it found before.

    "ran the cutter out to five, camera back in, the roots at 2.1 are gone and so are the wipes, still a fringe at 3.4"

The words behind the work are read as verdicts (gone, partly gone, still there, "no sign of") and what each is said of:
a distance, a thing by its name or degree, "both", "the lot", "the other one", a pronoun. A verdict takes what was named
since the last one; with nothing named before it, what it names behind it; else what a pronoun stands for.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from extractor.language.clauses import Clause, clause_at
from extractor.language.passage import Passage
from extractor.reading import Measure, Tag
from extractor.survey.distances import length_of
from extractor.survey.rows import Draft
from extractor.survey.scenes import Scene, scene_at
from extractor.survey.work import ActionDraft

CLEARED_BY_LOOKS = (
    "root_intrusion", "settled_deposit", "attached_deposit", "grease", "obstruction", "blockage", "soil_ingress",
    "vermin",
)  # fmt: skip
STOPPING = ("blockage", "obstruction", "root_intrusion", "grease", "settled_deposit")
CLEARING = ("jetting", "rodding", "root_cutting", "hand_removal")
SILENT = ("plan", "recommendation", "main_issue", "question", "general", "earlier")
RANKS = ("slight", "moderate", "severe")
LOOK = 120  # words behind the work in which its outcome is told
OBJECT = 3  # words from "that's shifted" to what was shifted
LINK = 5  # words between a thing and the distance at which it is
NAMED = 4  # words from "no sign of" to the thing
AT_IT = 0.06  # metres by which a distance said again may differ


@dataclass
class _Mention:
    """What one noun phrase points at: [start, end) its words."""

    start: int
    end: int
    conditions: set[str] = field(default_factory=set)
    metres: list[float] = field(default_factory=list)
    degree: str | None = None
    which: str | None = None  # an ordinal, "other", "both", "all"
    tags: list[Tag] = field(default_factory=list)
    rows: list[Draft] = field(default_factory=list)
    part: str | None = None  # the component it is at: "in the second joint"


@dataclass(frozen=True)
class _Verdict:
    start: int
    end: int
    kind: str  # gone, partly_gone, still_there, again (the same as the last one)
    ahead: bool = False  # what it is about is named behind it: "no sign of the wipes"


def look_again(
    passage: Passage,
    clauses: Sequence[Clause],
    scenes: Sequence[Scene],
    rows: Sequence[Draft],
    roles: Mapping[Measure, str | None],
    actions: Sequence[ActionDraft],
    dropped: set[int],
) -> tuple[set[int], list[tuple[Draft, str]]]:
    """The tokens of the verdicts that the looks behind work settle, and the outcomes they tell, in order. Rows that only
    name a finding again go into `dropped`.
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
        look = _Look(passage, clauses, roles, known, action, start, _new_reading(passage, roles, known, start, end))
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
        if tag.id == "go" and passage.is_class(tag.start, "goes_on_verb") and not _denied(passage, tag.start):
            return tag.start
    return end


def _new_reading(
    passage: Passage, roles: Mapping[Measure, str | None], known: Sequence[Draft], start: int, end: int
) -> int:
    """Where a reading is told at which nothing was found before."""
    for measure in passage.measures_from(start, end):
        verdict = passage.tags_from(measure.end, measure.end + 4, "time")
        if roles.get(measure) == "chainage" and not _at(known, measure) and not verdict:
            return measure.start
    return end


def _at(known: Sequence[Draft], measure: Measure) -> list[Draft]:
    metres = sum(length_of(measure)) / 2
    near = [row for row in known if row.at(metres, AT_IT)]
    return near or [row for row in known if row.place.to_m is not None and row.covers(metres)]


def _denied(passage: Passage, token: int) -> bool:
    return any(passage.is_class(at, "negation_word") for at in range(token - 3, token + 1))


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

    def __init__(
        self,
        passage: Passage,
        clauses: Sequence[Clause],
        roles: Mapping[Measure, str | None],
        known: Sequence[Draft],
        action: ActionDraft,
        start: int,
        end: int,
    ) -> None:
        self.passage, self.clauses, self.roles = passage, clauses, roles
        self.known, self.action, self.start, self.end = known, action, start, end
        self.settled: set[int] = set()
        self.kinds: list[str] = []
        self.outcomes: list[tuple[Draft, str]] = []
        self.matched: list[_Mention] = []
        self.last: list[Draft] = []
        self.last_kind = "gone"
        self.conditions: set[str] = set()  # named last, for "the ones at 3.4"
        self.told: dict[int, str] = {}

    def read(self) -> None:
        events = self._events()
        pending: list[_Mention] = []
        at = 0
        while at < len(events):
            event = events[at]
            if isinstance(event, _Mention):
                if pending and self._turns(pending[-1].end, event.start):
                    pending = []
                pending.append(event)
                at += 1
                continue
            if pending and self._turns(pending[-1].end, event.start):
                pending = []
            own = pending
            step = 1
            if event.ahead or not own:
                own, step = self._ahead(events, at)
            elif not any(mention.metres for mention in own) and at + 1 < len(events):
                place = events[at + 1]
                near = place.start - event.end <= 2 and not self._turns(event.end, place.start)
                if isinstance(place, _Mention) and place.metres and not place.conditions and near:
                    own[-1].metres += place.metres  # "half of it is still hanging | at 3.4"
                    step = 2
            if not (event.kind == "again" and not own):
                self._settle(event, own)
            pending = []
            at += step
        # what is named behind the last verdict with a distance only is told of it: "gone | at 2.1 and 3.4"

    def _turns(self, start: int, end: int) -> bool:
        """Whether a new statement begins between what was named and what is told next."""
        return any(
            (
                self.passage.cue_at(token, "boundary", "against", "turn", "next")
                and not self.passage.is_class(token, "filler")
            )
            or self.passage.is_class(token, "someone")
            for token in range(start, end)
        )

    def _linked(self, start: int, end: int) -> bool:
        """Whether only small words of one noun phrase stand between: "roots | in the joint at | 3.4"."""
        return end - start <= LINK and all(
            self.passage.is_class(t, "article", "at", "inside", "filler", "once_more")
            or (self.passage.is_class(t, "ones") and self.passage.word(t + 1) == "of")
            or self.passage.covering(t, "extent")
            or self.passage.covering(t, "component")
            for t in range(start, end)
        )

    def _ahead(self, events: Sequence["_Mention | _Verdict"], at: int) -> tuple[list[_Mention], int]:
        """What a verdict names behind it: "that's shifted | the wipes", "no sign of | the roots or the wipes"."""
        verdict = events[at]
        found: list[_Mention] = []
        end, index = verdict.end, at + 1
        while index < len(events):
            event = events[index]
            if not isinstance(event, _Mention):
                own = any(self.passage.is_class(t, "copula") for t in range(end, event.start)) or event.start - end <= 1
                own = own and not self._turns(end, event.start)
                led = len(found) == 1 and found[0].start - verdict.end == 1 and self.passage.is_class(verdict.end, "at")
                own = own and not (led and event.start - end <= 1)  # "nothing left | at 2.1 | nothing left ..."
                if found and own and not (isinstance(verdict, _Verdict) and verdict.ahead) and event.kind != "again":
                    found.pop()  # "... shifted the wipes and the roots | are gone"
                    index -= 1
                break
            near = event.start - end <= (NAMED if isinstance(verdict, _Verdict) and verdict.ahead else OBJECT)
            if not near or self._turns(end, event.start):
                break
            found.append(event)
            end = event.end
            index += 1
        return found, max(1, 1 + len(found))

    # --- what the words hold -------------------------------------------------------------------

    def _events(self) -> list["_Mention | _Verdict"]:
        events: list[_Mention | _Verdict] = []
        token = self.start
        while token < self.end:
            if clause_at(self.clauses, token).act in SILENT:
                token += 1
                continue
            verdict = self._verdict(token)
            if verdict is not None:
                events.append(verdict)
                inner = [] if verdict.ahead else self._inside(verdict)
                events[-1:] = [*inner, verdict]
                token = max(verdict.end, token + 1)
                continue
            mention = self._mention(token, events)
            if mention is not None:
                events.append(mention)
                token = max(mention.end, token + 1)
                continue
            token += 1
        return events

    def _inside(self, verdict: _Verdict) -> list[_Mention]:
        """What stands inside the words of a verdict: "most of | the grease | is gone"."""
        found: list[_Mention | _Verdict] = []
        token = verdict.start
        while token < verdict.end:
            mention = self._mention(token, found)
            if mention is not None:
                found.append(mention)
            token = mention.end if mention is not None else token + 1
        return [each for each in found if isinstance(each, _Mention)]

    def _verdict(self, token: int) -> _Verdict | None:
        passage = self.passage
        cue = passage.cue_at(token, "time", "gone", "partly_gone", "still_there")
        if cue is not None and not (other_going(passage, cue) or how_much(passage, cue)):
            inside = passage.covering(cue.start, "condition")
            if inside is None or inside.id in ("sound", "full"):
                return _Verdict(cue.start, cue.end, cue.id)
        denial = passage.cue_at(token, "negation", "denies_next")
        if denial is not None and self._denies_known(denial.end):
            return _Verdict(token, denial.end, "gone", True)
        if passage.cue_at(token, "negation", "denies_back") is not None:
            back = passage.cue_at(token, "negation", "denies_back")
            if back is not None and not passage.things_from(back.end, back.end + 2):
                return _Verdict(token, back.end, "gone")
        if passage.is_class(token, "gets_rid") and self._denies_known(token + 1):
            part = passage.has_class(token + 1, token + NAMED, "part_of_all", "amount_left")
            kind = "still_there" if _denied(passage, token - 1) else "partly_gone" if part else "gone"
            return _Verdict(token, token + 1, kind, True)
        if (
            passage.word(token) == "left"
            and self._denies_known(token + 1)
            and passage.has_class(token + 1, token + 7, "behind_word")
        ):
            return _Verdict(token, token + 1, "partly_gone", True)  # "it's left a few of the wipes behind"
        if passage.is_class(token, "sees") and _denied(passage, token) and self._denies_known(token + 1):
            return _Verdict(token, token + 1, "gone", True)
        if passage.word(token) == "still" and passage.has_class(token + 1, token + 4, "attached", "inside"):
            return _Verdict(token, token + 1, "still_there")
        if passage.is_class(token, "as_before") and (
            passage.is_class(token + 1, "copula", "at", "for_or_at", "article") or passage.word(token + 1) == "with"
        ):
            return _Verdict(token, token + 1, "again", True)
        if passage.is_class(token, "likewise") and passage.covering(token, "time") is None:
            return _Verdict(token, token + 1, "again")
        return None

    def _denies_known(self, start: int) -> bool:
        """Whether what is denied from here on is a thing found before."""
        own = {row.condition for row in self.known}
        named = self.passage.tags_from(start, start + NAMED + 3, "condition")
        return bool(named) and named[0].id in own and not self._turns(start, named[0].start)

    def _mention(self, token: int, events: Sequence["_Mention | _Verdict"]) -> _Mention | None:
        passage = self.passage
        last = events[-1] if events and isinstance(events[-1], _Mention) else None
        tag = passage.cue_at(token, "condition")
        if tag is not None and tag.id in CLEARED_BY_LOOKS and not self._passed_by(token):
            degree = self._degree(token)
            linked = last is not None and self._linked(last.end, token)
            behind = (
                len(events) > 1
                and isinstance(before := events[-2], _Verdict)
                and last is not None
                and (last.start - before.end == 1 and passage.is_class(before.end, "at"))
            )  # "still there at 5.2 | roots ..."
            if last is not None and not last.conditions and linked and last.metres and not last.which and not behind:
                last.conditions.add(tag.id)  # "at 3.4 | the roots"
                last.tags.append(tag)
                last.end, last.degree = tag.end, degree
                return None
            which = last.which if last is not None and linked and not last.conditions else None
            mention = _Mention(token, tag.end, {tag.id}, [], degree, which, [tag])
            self.conditions = {tag.id}
            if which is not None and last is not None:
                last.conditions, last.tags, last.end, last.degree = {tag.id}, [tag], tag.end, degree
                return None
            return mention
        measure = passage.measure_over(token)
        if measure is not None and passage.is_class(token, "all_told"):
            return self._pointed(token, last)
        if measure is not None and measure.start == token:
            return self._distance(measure, last)
        if measure is not None:
            return None
        return self._pointed(token, last)

    def _distance(self, measure: Measure, last: _Mention | None) -> _Mention | None:
        chainage = self.roles.get(measure) == "chainage" or measure.unit in (None, "m")
        unknown = not _at(self.known, measure)
        if not chainage or self.roles.get(measure) == "reach" or (unknown and self.roles.get(measure) != "chainage"):
            return None
        metres = sum(length_of(measure)) / 2
        listed = last is not None and bool(last.metres) and passage_list(self.passage, last.end, measure.start)
        if last is not None and (listed or self._linked(last.end, measure.start)) and last.which not in ("all", "both"):
            last.metres.append(metres)
            last.end = measure.end
            return None
        return _Mention(measure.start, measure.end, set(), [metres])

    def _pointed(self, token: int, last: _Mention | None) -> _Mention | None:
        """ "both", "all three", "the other one", "the light ones", "the lot", and a word of what a thing was called."""
        passage, word = self.passage, self.passage.word(token)
        if passage.covering(token, "time") is not None and not passage.is_class(token, "all_told", "once_more"):
            return None
        if passage.is_class(token, "ones") and self._ordinal(token) is not None:
            return _Mention(token, token + 1, set(self.conditions), [], None, self._ordinal(token))
        if passage.is_class(token, "all_told"):
            if word == "lot" and (not passage.is_class(token - 1, "definite") or passage.word(token + 1) == "of"):
                return None
            singular = (
                word == "all" and passage.word(token + 1) in ("of",) and passage.word(token + 2) in ("it", "that")
            )
            bare = word == "all" and not passage.is_class(token + 1, "all_told", "of") and passage.word(token + 1) not in (
                "of", "them", "the", "those", "these", "three", "four", "two",
            )  # fmt: skip
            if singular or bare:
                return None
            return _Mention(token, token + 1, which="both" if word in ("both", "either", "neither") else "all")
        fresh = last is None or not self._linked(last.end, token)
        if (
            passage.is_class(token, "ones")
            and fresh
            and not (passage.word(token + 1) == "of" and passage.tags_from(token + 2, token + 4, "condition"))
        ):
            return _Mention(token, token + 1, set(self.conditions), [], self._degree(token), self._ordinal(token))
        if word in ("rest", "others", "other") and passage.is_class(token - 1, "definite"):
            return _Mention(token, token + 1, which="other")
        part = passage.cue_at(token, "component", "joint", "junction", "bend")
        if part is not None:
            which = self._ordinal(token)
            if (
                last is not None
                and self._linked(last.end, token)
                and (which is not None or last.which in ("both", "all"))
            ):
                last.part, last.end = part.id, part.end
                last.which = which or last.which
                return None
            if which is not None:
                return _Mention(token, part.end, set(), [], None, which, part=part.id)
        own = [row for row in self.known if row.tag is not None and _called(passage, row.tag, token)]
        if own:
            return _Mention(token, token + 1, rows=own)
        return None

    def _passed_by(self, token: int) -> bool:
        """ "past the wipes": where the camera goes, and no verdict."""
        lead = token - 1
        while self.passage.is_class(lead, "article") or self.passage.covering(lead, "extent"):
            lead -= 1
        return self.passage.is_class(lead, "gets_past") and self.passage.word(lead) not in (
            "in",
            "on",
            "up",
            "no",
            "any",
        )

    def _degree(self, token: int) -> str | None:
        for lead in (token - 1, token - 2):
            tag = self.passage.covering(lead, "extent")
            if tag is not None:
                return tag.id
            if self.passage.is_class(lead, "lesser", "greater"):
                return "lesser" if self.passage.is_class(lead, "lesser") else "greater"
        return None

    def _ordinal(self, token: int) -> str | None:
        lead = token - 1 - (self.passage.covering(token - 1, "extent") is not None)
        return self.passage.word(lead) if self.passage.is_class(lead, "once_more") or self._is_last(lead) else None

    def _is_last(self, token: int) -> bool:
        return self.passage.word(token) == "last"

    # --- what is meant -------------------------------------------------------------------------

    def _settle(self, verdict: _Verdict, mentions: Sequence[_Mention]) -> None:
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

    def _meant(self, mention: _Mention) -> list[Draft]:
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

    def _pronoun(self, verdict: _Verdict) -> list[Draft]:
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


def passage_list(passage: Passage, start: int, end: int) -> bool:
    """ "at 2.1 | and | 3.4", "2.1 | and at | 3.4": one more distance of the same things."""
    return (
        end - start <= 2
        and passage.is_class(start, "list")
        and all(passage.is_class(t, "at") for t in range(start + 1, end))
    )


def _called(passage: Passage, tag: Tag, token: int) -> bool:
    """ "the towel": a word by which the thing was told."""
    word = passage.word(token)
    if len(word) <= 3 or passage.is_class(token, "everyday", "side", "vague_noun", "extent_noun"):
        return False
    return word in passage.speech.words[tag.start : tag.end] and not passage.covering(token, "condition")


def how_much(passage: Passage, cue: Tag) -> bool:
    """ "80 percent of the bore gone": how much is lost, not that it is gone."""
    return any(m.unit == "%" for m in passage.measures_from(max(0, cue.start - 6), cue.start))


def other_going(passage: Passage, cue: Tag) -> bool:
    """ "I went down", "she's gone under water", "cover removed", "must have gone", "a break that I fixed years ago"."""
    first, behind = cue.start, cue.end
    while passage.is_class(first, "copula", "filler") and first < cue.end - 1:
        first += 1
    new_start = passage.is_class(behind + 1, "someone")  # "they're gone | on we go"
    if (
        passage.word(cue.end - 1) == "gone"
        and cue.end - cue.start <= 2
        and passage.is_class(behind, "way_on")
        and not new_start
    ):
        return True
    if passage.is_class(cue.start - 1, "camera_word"):
        return True
    if passage.word(cue.start - 1) in ("i", "we") and passage.word(first) in ("went", "came", "gone", "have"):
        return True
    if passage.word(cue.end - 1) == "out" and passage.is_class(behind, "way_on") and not new_start:
        return True  # "where the main is out on the lawn"
    before_it = cue.start - 1 - (passage.word(cue.start - 1) == "and")
    missing = passage.covering(before_it, "condition")
    if missing is not None and missing.id in ("missing_part", "break") and passage.word(cue.end - 1) == "gone":
        return True  # "the tee's rotted off and gone"
    action = passage.covering(cue.start, "action")
    lid = any(tag.id in ("lid", "cap") for tag in passage.tags_from(cue.start - 2, cue.end, "component"))
    if (action is not None and action.id == "lid_lifted") or (lid and passage.word(cue.start) == "removed"):
        return True
    if passage.word(cue.start - 1) in ("must", "ever", "never", "might", "could"):
        return True
    before = passage.tags_from(cue.start - 9, cue.end + 6, "time")
    return any(tag.id == "earlier" and passage.word(tag.start) != "had" for tag in before)
