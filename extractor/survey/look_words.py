"""The words of a second look: verdicts ("gone", "a fringe left", "no sign of") and what they may be said of.

"the roots at 2.1 are gone, so are the wipes, the other lot's still there"
 mention           verdict  verdict mention   mention   verdict
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from extractor.language.clauses import Clause, clause_at
from extractor.language.passage import Passage
from extractor.reading import Measure, Tag
from extractor.survey.distances import length_of
from extractor.survey.rows import Draft

CLEARED_BY_LOOKS = (
    "root_intrusion", "settled_deposit", "attached_deposit", "grease", "obstruction", "blockage", "soil_ingress",
    "vermin",
)  # fmt: skip
SILENT = ("plan", "recommendation", "main_issue", "question", "general", "earlier")
LINK = 5  # words between a thing and the distance at which it is
NAMED = 4  # words from "no sign of" to the thing
AT_IT = 0.06  # metres by which a distance said again may differ


@dataclass
class Mention:
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
class Verdict:
    start: int
    end: int
    kind: str  # gone, partly_gone, still_there, again (the same as the last one)
    ahead: bool = False  # what it is about is named behind it: "no sign of the wipes"


class LookWords:
    """The words [start, end) of a look, of which `known` are the findings made before it."""

    def __init__(
        self,
        passage: Passage,
        clauses: Sequence[Clause],
        roles: Mapping[Measure, str | None],
        known: Sequence[Draft],
        start: int,
        end: int,
    ) -> None:
        self.passage, self.clauses, self.roles = passage, clauses, roles
        self.known, self.start, self.end = known, start, end
        self.conditions: set[str] = set()  # named last, for "the ones at 3.4"

    def events(self) -> list["Mention | Verdict"]:
        events: list[Mention | Verdict] = []
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

    def _inside(self, verdict: Verdict) -> list[Mention]:
        """What stands inside the words of a verdict: "most of | the grease | is gone"."""
        found: list[Mention | Verdict] = []
        token = verdict.start
        while token < verdict.end:
            mention = self._mention(token, found)
            if mention is not None:
                found.append(mention)
            token = mention.end if mention is not None else token + 1
        return [each for each in found if isinstance(each, Mention)]

    def _verdict(self, token: int) -> Verdict | None:
        passage = self.passage
        cue = passage.cue_at(token, "time", "gone", "partly_gone", "still_there")
        if cue is not None and not (other_going(passage, cue) or how_much(passage, cue)):
            inside = passage.covering(cue.start, "condition")
            if inside is None or inside.id in ("sound", "full"):
                return Verdict(cue.start, cue.end, cue.id)
        denial = passage.cue_at(token, "negation", "denies_next")
        if denial is not None and self._denies_known(denial.end):
            return Verdict(token, denial.end, "gone", True)
        if passage.cue_at(token, "negation", "denies_back") is not None:
            back = passage.cue_at(token, "negation", "denies_back")
            if back is not None and not passage.things_from(back.end, back.end + 2):
                return Verdict(token, back.end, "gone")
        if passage.is_class(token, "gets_rid") and self._denies_known(token + 1):
            part = passage.has_class(token + 1, token + NAMED, "part_of_all", "amount_left")
            kind = "still_there" if is_denied(passage, token - 1) else "partly_gone" if part else "gone"
            return Verdict(token, token + 1, kind, True)
        if (
            passage.word(token) == "left"
            and self._denies_known(token + 1)
            and passage.has_class(token + 1, token + 7, "behind_word")
        ):
            return Verdict(token, token + 1, "partly_gone", True)  # "it's left a few of the wipes behind"
        if passage.is_class(token, "sees") and is_denied(passage, token) and self._denies_known(token + 1):
            return Verdict(token, token + 1, "gone", True)
        if passage.word(token) == "still" and passage.has_class(token + 1, token + 4, "attached", "inside"):
            return Verdict(token, token + 1, "still_there")
        links = passage.is_class(token + 1, "copula") or passage.word(token + 1) in ("with", "at", "for")
        if passage.is_class(token, "as_before") and links:
            return Verdict(token, token + 1, "again", True)
        if passage.is_class(token, "likewise") and passage.covering(token, "time") is None:
            return Verdict(token, token + 1, "again")
        return None

    def _denies_known(self, start: int) -> bool:
        """Whether what is denied from here on is a thing found before."""
        own = {row.condition for row in self.known}
        named = self.passage.tags_from(start, start + NAMED + 3, "condition")
        return bool(named) and named[0].id in own and not self.turns(start, named[0].start)

    def _mention(self, token: int, events: Sequence["Mention | Verdict"]) -> Mention | None:
        passage = self.passage
        last = events[-1] if events and isinstance(events[-1], Mention) else None
        tag = passage.cue_at(token, "condition")
        if tag is not None and tag.id in CLEARED_BY_LOOKS and not self._passed_by(token):
            degree = self._degree(token)
            linked = last is not None and self._linked(last.end, token)
            behind = (
                len(events) > 1
                and isinstance(before := events[-2], Verdict)
                and last is not None
                and (last.start - before.end == 1 and passage.is_class(before.end, "at"))
            )  # "still there at 5.2 | roots ..."
            if last is not None and not last.conditions and linked and last.metres and not last.which and not behind:
                last.conditions.add(tag.id)  # "at 3.4 | the roots"
                last.tags.append(tag)
                last.end, last.degree = tag.end, degree
                return None
            which = last.which if last is not None and linked and not last.conditions else None
            mention = Mention(token, tag.end, {tag.id}, [], degree, which, [tag])
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

    def _distance(self, measure: Measure, last: Mention | None) -> Mention | None:
        chainage = self.roles.get(measure) == "chainage" or measure.unit in (None, "m")
        unknown = not rows_at(self.known, measure)
        if not chainage or self.roles.get(measure) == "reach" or (unknown and self.roles.get(measure) != "chainage"):
            return None
        metres = sum(length_of(measure)) / 2
        listed = last is not None and bool(last.metres) and _listed(self.passage, last.end, measure.start)
        if last is not None and (listed or self._linked(last.end, measure.start)) and last.which not in ("all", "both"):
            last.metres.append(metres)
            last.end = measure.end
            return None
        return Mention(measure.start, measure.end, set(), [metres])

    def _pointed(self, token: int, last: Mention | None) -> Mention | None:
        """ "both", "all three", "the other one", "the light ones", "the lot", and a word of what a thing was called."""
        passage, word = self.passage, self.passage.word(token)
        held = passage.covering(token, "time") is not None and word != "ones"  # "half of the heavy | ones | are gone"
        if held and not passage.is_class(token, "all_told", "once_more"):
            return None
        if passage.is_class(token, "ones") and self._ordinal(token) is not None:
            return Mention(token, token + 1, set(self.conditions), [], None, self._ordinal(token))
        if passage.is_class(token, "all_told"):
            if word == "lot" and (not passage.is_class(token - 1, "definite") or passage.word(token + 1) == "of"):
                return None
            if word == "all" and not self._all_of_several(token + 1):
                return None
            return Mention(token, token + 1, which="both" if word in ("both", "either", "neither") else "all")
        fresh = last is None or not self._linked(last.end, token)
        if (
            passage.is_class(token, "ones")
            and fresh
            and not (passage.word(token + 1) == "of" and passage.tags_from(token + 2, token + 4, "condition"))
        ):
            return Mention(token, token + 1, set(self.conditions), [], self._degree(token), self._ordinal(token))
        if word in ("rest", "others", "other") and passage.is_class(token - 1, "definite"):
            return Mention(token, token + 1, which="other")
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
                return Mention(token, part.end, set(), [], None, which, part=part.id)
        own = [row for row in self.known if row.tag is not None and _called(passage, row.tag, token)]
        if own:
            return Mention(token, token + 1, rows=own)
        return None

    def _all_of_several(self, token: int) -> bool:
        """ "all | three", "all | of them"; but "it's all | gone", "all | of it"."""
        if self.passage.word(token) == "of":
            return self.passage.word(token + 1) not in ("it", "that")
        number = self.passage.measure_over(token)
        return self.passage.is_class(token, "object_pronoun", "definite", "all_told") or number is not None

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

    def turns(self, start: int, end: int) -> bool:
        """Whether a new statement begins between what was named and what is told next."""
        return any(
            (
                self.passage.cue_at(token, "boundary", "against", "turn", "next")
                and not self.passage.is_class(token, "filler")
            )
            or self.passage.word(token) in ("i", "we", "you")
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


def rows_at(known: Sequence[Draft], measure: Measure) -> list[Draft]:
    metres = sum(length_of(measure)) / 2
    near = [row for row in known if row.at(metres, AT_IT)]
    return near or [row for row in known if row.place.to_m is not None and row.covers(metres)]


def is_denied(passage: Passage, token: int) -> bool:
    return any(passage.is_class(at, "negation_word") for at in range(token - 3, token + 1))


def _listed(passage: Passage, start: int, end: int) -> bool:
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
    if passage.word(behind) == "from" and passage.covering(cue.start - 1, "condition") is not None:
        new_start = True  # "the roots are gone from both joints"
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
