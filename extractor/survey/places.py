"""Places: which distance belongs to which thing.

    "at 2.4 there's a joint"   said before          "roots at six metres"      said after
    "from 5.4 to 7.2"          a stretch            "dry the whole way to 12"  a stretch from the opening
    "and it's cracked"         carried              "no roots to this point"   from the opening to the last distance

Read from left to right, one run at a time: a distance right behind a thing that has none of its own is that thing's;
any
other opens a place for what follows in the same breath. A thing that stands further on
("and then a bend") does not inherit it.
"""

from bisect import bisect_right
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from extractor.language.clauses import Clause
from extractor.language.passage import Passage
from extractor.reading import Measure, Tag
from extractor.survey.rows import END, NOWHERE, Place
from extractor.survey.scenes import Scene

BREATH = 34  # words over which a distance carries at most
CLOSE = 4  # words between a thing and the distance behind it
NOT_NOTED_REACH = 16
NO_PLACE_OF_THEIR_OWN = ("pipe", "inlet", "outlet", "hose", "lid", "wall", "base", "pump", "float_switch", "filter")
STATES = ("sound", "capped", "live", "flowing", "disused", "dry", "full")  # said of what was just named
OWN_PLACE = ("said before", "said after", "stretch", "whole", "to this point", "onwards")
SPREADING = (
    "dry",
    "sound",
    "standing_water",
    "full",
    "flowing",
    "settled_deposit",
    "attached_deposit",
    "grease",
    "root_intrusion",
    "surface_damage",
)


@dataclass(frozen=True, slots=True)
class Spoken:
    """A distance as it stands in the words: one reading, or a stretch told in one go ("from 5.4 to 7.2")."""

    start: int
    end: int
    place: Place
    stretch: bool


@dataclass
class _Breath:
    """The place that is open, the things that took it, and the things since that have none of their own."""

    place: Place = NOWHERE
    at: int = -1
    holders: list[Tag] = field(default_factory=list)
    loose: list[Tag] = field(default_factory=list)
    also: tuple[Place, ...] = ()  # places told with this one: "at 5.2 and 6.4 there's scale"
    style: str = ""  # whether distances last came before or after their things


def place_things(
    passage: Passage,
    clauses: Sequence[Clause],
    scenes: Sequence[Scene],
    roles: Mapping[Measure, str | None],
    absent: set[Tag],
) -> tuple[dict[Tag, Place], dict[Tag, list[Place]]]:
    """The place of each condition and component tag that stands in a run (NOWHERE where none is said), and further
    places
    of the same thing told in one go ("at 5.2 and 6.4 there's scale").
    """
    places: dict[Tag, Place] = {}
    placer = _Placer(passage, clauses, absent, places)
    run: int | None = None
    for scene in scenes:
        if scene.kind != "run":
            placer.breath = _Breath()
            run = None if scene.kind == "closing" else run
            continue
        if scene.run != run or scene.second:
            placer.breath, run = _Breath(), scene.run
        for item in _items(passage, scene, roles):
            if isinstance(item, Spoken):
                placer.take_distance(item)
            else:
                placer.take_thing(item)
    return places, placer.extra


def length_of(measure: Measure) -> tuple[float, float]:
    """Low and high of a measure taken as a chainage, in metres."""
    if measure.unit is None and measure.length_m is not None:
        return measure.length_m
    return measure.low, measure.high


def point(measure: Measure) -> Place:
    """A range for one place is its middle, approximate."""
    low, high = length_of(measure)
    return Place(round((low + high) / 2, 4), None, measure.approximate or high > low, "said", (measure,))


def clause_at(clauses: Sequence[Clause], token: int) -> Clause:
    return clauses[max(0, bisect_right(clauses, token, key=lambda clause: clause.start) - 1)]


def _items(passage: Passage, scene: Scene, roles: Mapping[Measure, str | None]) -> Iterator[Spoken | Tag]:
    """Distances (stretches joined) and things of the scene, in order."""
    things = [
        tag
        for tag in passage.tags_from(scene.start, scene.end, "condition", "component")
        if tag.kind == "condition" or tag.id not in NO_PLACE_OF_THEIR_OWN
    ]
    measures = [m for m in passage.measures_from(scene.start, scene.end) if roles.get(m) == "chainage"]
    items: list[Spoken | Tag] = [*things, *_joined(passage, measures)]
    return iter(sorted(items, key=lambda item: (item.start, item.end)))


def _joined(passage: Passage, measures: Sequence[Measure]) -> Iterator[Spoken]:
    index = 0
    last: float | None = None
    while index < len(measures):
        first = measures[index]
        second = measures[index + 1] if index + 1 < len(measures) else None
        place = point(first)
        step = _step(passage, first)
        if step is not None and last is not None and last + step[0] >= 0:
            last = round(last + step[0], 4)
            yield Spoken(first.start, step[1], Place(last, None, place.approximate, "said", (first,)), False)
            index += 1
            continue
        last = place.from_m
        if first.low < first.high and "to" in passage.speech.words[first.start : first.end]:
            low, high = length_of(first)
            yield Spoken(first.start, first.end, Place(low, high, first.approximate, "stretch", (first,)), True)
            index += 1
            continue
        if second is not None and _is_stretch(passage, first, second):
            far = point(second)
            both = Place(place.from_m, far.from_m, place.approximate or far.approximate, "stretch", (first, second))
            yield Spoken(first.start, second.end, both, True)
            index += 2
            continue
        yield Spoken(first.start, first.end, place, False)
        index += 1


def _step(passage: Passage, measure: Measure) -> tuple[float, int] | None:
    """ "a metre further on", "another half a metre on", "two metres back": metres from the last reading, and where it
    ends.
    """
    if measure.unit != "m" or measure.low != measure.high:
        return None
    cue = passage.cue_at(measure.end, "stretch", "further", "nearer")
    if cue is None:
        return None
    words = passage.speech.words[cue.start : cue.end]
    plain = not any(word in passage.classes["step"] for word in words)
    if plain and "another" not in passage.speech.words[max(0, measure.start - 1) : measure.start + 1]:
        return None
    return (-measure.low if cue.id == "nearer" else measure.low), cue.end


def _is_stretch(passage: Passage, first: Measure, second: Measure) -> bool:
    """Two readings with nothing between but "to", "right through to" and such, the second the further."""
    if second.start - first.end > 8 or length_of(second)[1] <= length_of(first)[0]:
        return False
    until = False
    token = first.end
    between = "between" in passage.speech.words[max(0, first.start - 2) : first.start + 1]
    while token < second.start:
        cue = passage.cue_at(token, "stretch", "until", "ends")
        if cue is not None and cue.end <= second.start:
            until, token = True, cue.end
        elif (
            passage.is_class(token, "filler", "to", "list", "reading_word")
            or passage.word(token) in passage.classes["roughly_word"]
        ):
            until = until or passage.is_class(token, "to") or (between and passage.word(token) == "and")
            token += 1
        else:
            return False
    starts_with_to = passage.is_class(second.start, "to")
    return until or starts_with_to


class _Placer:
    """Takes the items of a run in order; `breath` is the place that is open."""

    def __init__(self, passage: Passage, clauses: Sequence[Clause], absent: set[Tag], places: dict[Tag, Place]) -> None:
        self.passage, self.clauses, self.absent, self.places = passage, clauses, absent, places
        self.breath = _Breath()
        self.extra: dict[Tag, list[Place]] = {}
        self.unnoted: set[Tag] = set()  # things whose distance the speaker says he did not note

    # --- distances ----------------------------------------------------------------------

    def take_distance(self, spoken: Spoken) -> None:
        breath = self.breath
        if (
            not spoken.stretch
            and (named := self._from_named(spoken) or self._first_part(spoken) or self._to_named(spoken)) is not None
        ):
            spoken = named
        if not spoken.stretch and (ended := self._ends_stretch(spoken)) is not None:
            targets, place = ended
            for tag in targets:
                self.places[tag] = place
            self.breath = _Breath(place, spoken.end, targets)
            return
        if (
            spoken.stretch
            and breath.holders
            and spoken.place.from_m == breath.place.from_m
            and breath.place.to_m is None
        ):
            place = replace(spoken.place, how="stretch")  # "7.7 it's worn, worn from 7.7 up to 10.3"
            for tag in breath.holders:
                if self.places.get(tag, NOWHERE).from_m == place.from_m and tag.kind == "condition":
                    self.places[tag] = place
            self.breath = _Breath(place, spoken.end, list(breath.holders), style="after")
            return
        if (late := self._told_late(spoken)) is not None:
            place = replace(spoken.place, how="said after")
            self.places[late] = place
            self.breath = _Breath(place, spoken.end, [late], style="after")
            return
        closed = self._said_after(spoken)
        if closed:
            place = replace(spoken.place, how="stretch" if spoken.stretch else "said after")
            onwards = self.passage.cue_at(spoken.end, "stretch", "onwards")
            led = onwards is not None and self._is_onwards(onwards)
            if (led or self._from_on(spoken)) and not spoken.stretch:
                place = replace(place, to_m=END, how="onwards")
            for tag in closed:
                self.places[tag] = place
            self.breath = _Breath(place, spoken.end, closed, style="after")
            return
        if self._told_with_the_last(spoken):
            held = [tag for tag in breath.holders if self.places.get(tag, NOWHERE).from_m == breath.place.from_m]
            if held:  # "cracks at 3.2 and 3.6"
                for tag in held:
                    self.extra.setdefault(tag, []).append(replace(spoken.place, how="said after"))
                self.breath = _Breath(replace(spoken.place, how="carried"), spoken.end, style=breath.style)
                return
            also = (*breath.also, breath.place)
        else:
            also = ()
        place = replace(spoken.place, how="stretch" if spoken.stretch else "said before")
        onwards = self.passage.cue_at(spoken.end, "stretch", "onwards")
        if onwards is not None and not spoken.stretch and self._is_onwards(onwards):
            place = replace(place, to_m=END, how="onwards")
        self.breath = _Breath(place, spoken.end, also=also, style=breath.style)

    def _told_with_the_last(self, spoken: Spoken) -> bool:
        """Two distances with nothing but "and" between: both are of the same thing."""
        breath, passage = self.breath, self.passage
        if breath.at < 0 or breath.place.from_m is None or not 0 < spoken.start - breath.at <= 3 or spoken.stretch:
            return False
        between = passage.speech.words[breath.at : spoken.start]
        if "and" not in between or any(word not in passage.classes["one_more_distance"] for word in between):
            return False
        if breath.place.how == "said after" or breath.holders:
            return not self._opens(spoken.end) and not self._told_of_the_end(spoken.end)
        return True

    def _first_part(self, spoken: Spoken) -> Spoken | None:
        """ "the first four foot's holding water": a stretch from the opening."""
        ordinal = self.passage.measure_over(spoken.start - 1)
        measure = spoken.place.measures[0] if spoken.place.measures else None
        if ordinal is None or ordinal.unit != "ordinal" or ordinal.low != 1 or measure is None or measure.unit != "m":
            return None
        place = Place(0.0, spoken.place.from_m, spoken.place.approximate, "stretch", spoken.place.measures)
        return Spoken(spoken.start - 1, spoken.end, place, True)

    def _to_named(self, spoken: Spoken) -> Spoken | None:
        """ "from 4.6 up to the sewer": a stretch to where the run ends."""
        passage = self.passage
        until = passage.cue_at(spoken.end, "stretch", "until")
        end = until.end if until is not None else spoken.end + 1 if passage.is_class(spoken.end, "to") else None
        rest = passage.covering(spoken.end, "stretch")
        if (
            passage.is_class(spoken.start - 1, "from")
            and rest is not None
            and passage.word(rest.end - 1) in ("end", "finish")
        ):
            return Spoken(spoken.start, spoken.end, replace(spoken.place, to_m=END), True)  # "from 6.4 to the end"
        if end is None or not passage.is_class(spoken.start - 1, "from"):
            return None
        if not passage.tags_from(end, end + 3, "structure", "fixture"):
            return None
        return Spoken(spoken.start, spoken.end, replace(spoken.place, to_m=END), True)

    def _from_named(self, spoken: Spoken) -> Spoken | None:
        """ "from the valve to thirteen foot", "from the manhole to 4.1": a stretch that begins at something named."""
        passage = self.passage
        cue = passage.covering(spoken.start - 1, "stretch") or passage.covering(spoken.start, "stretch")
        lead = (
            cue.start
            if cue is not None and cue.id == "until"
            else spoken.start - 1
            if passage.is_class(spoken.start - 1, "to")
            else None
        )
        if lead is None and (
            passage.is_class(spoken.start - 1, "reading_word") or passage.word(spoken.start - 1) == "the"
        ):
            cue = passage.covering(spoken.start - 2, "stretch")
            lead = cue.start if cue is not None and cue.id == "until" else None
            if lead is None and passage.is_class(spoken.start - 2, "to"):
                lead = spoken.start - 2
        if lead is None:
            return None
        for tag in passage.tags_from(max(0, lead - 4), lead, "component", "structure", "fixture"):
            if tag.end != lead or not any(
                passage.word(t) in ("from", "between") for t in range(max(0, tag.start - 2), tag.start)
            ):
                continue
            near: float | None = 0.0
            if tag.kind == "component" and tag.id not in ("inlet", "outlet", "stack"):
                near = next(
                    (
                        p.from_m
                        for t, p in reversed(self.places.items())
                        if t.id == tag.id and t.start < tag.start and p.from_m is not None
                    ),
                    None,
                )
            if near is not None and spoken.place.from_m is not None and near < spoken.place.from_m:
                place = Place(near, spoken.place.from_m, spoken.place.approximate, "stretch", spoken.place.measures)
                return Spoken(tag.start - 1, spoken.end, place, True)
        return None

    def _said_after(self, spoken: Spoken) -> list[Tag]:
        """Things right before the distance that have none of their own: "light roots at six metres"."""
        passage = self.passage
        loose = [tag for tag in self.breath.loose if tag.end <= spoken.start and tag not in self.unnoted]
        if not loose:
            return []
        nearest = loose[-1]
        if nearest.kind == "component" and passage.word(nearest.start - 1) == "same":
            return []  # "at that same joint": its distance was said before
        lead = self._lead(spoken.start)
        turns = [t for t in passage.tags_from(nearest.end, lead + 1, "boundary") if not self._then_at(nearest, t, lead)]
        pointed = passage.word(lead - 1) in ("it", "that", "them") and passage.distance(nearest.end, lead) <= 10
        if (self._gap(nearest.end, lead) > CLOSE or turns) and not (pointed and passage.is_class(lead, "at")):
            return []
        if passage.tags_from(nearest.end, lead, "structure", "fixture"):
            return []
        opens = self._opens(spoken.end)
        prepared = (
            passage.is_class(lead, "at", "from")
            or passage.word(lead) in ("somewhere", "just")
            or passage.is_class(spoken.start, "from")
        )
        carried = self.places.get(nearest, NOWHERE).how == "carried" and not self._only_denied(nearest)
        listed = passage.is_class(lead - 1, "list") or carried
        if not spoken.stretch and listed and self._told_of_the_end(spoken.end) and not self._own_behind(spoken.end):
            return []
        if not prepared and (
            (opens and not self._own_behind(spoken.end))
            or carried
            or passage.is_class(lead - 1, "list")
            or self._gap(nearest.end, lead) > 1
        ):
            return []
        if carried and passage.is_class(lead - 1, "list"):
            return []
        if self._only_denied(nearest) and opens and not self._own_behind(spoken.end):
            return []
        if carried and spoken.stretch and nearest.id in ("capped", "live", "disused"):
            return []
        if carried and not spoken.stretch and not self._told_alike(nearest, spoken.end):
            if nearest.id in ("capped", "live", "disused", "flowing", "sound") and opens:
                return []
            if opens and self.breath.style != "after" and not self._own_behind(spoken.end):
                return []
        return self._chain(loose)

    def _told_late(self, spoken: Spoken) -> Tag | None:
        """ "at 3.95 no roots and it's capped off at 4.35": a later thing with its own distance right behind it."""
        passage, holders = self.passage, self.breath.holders
        lead = self._lead(spoken.start)
        near = [tag for tag in (*holders, *self.breath.loose) if tag.end == lead and tag.kind == "condition"]
        if spoken.stretch or not near or not passage.is_class(lead, "at") or near[-1] in holders[:1]:
            return None
        if near[-1].id == "capped" and (not self._opens(spoken.end) or self._own_behind(spoken.end)):
            return near[-1]
        placed = near[-1] in holders and self.places[near[-1]].how == "said before"
        return near[-1] if placed and near[-1] not in self.absent and not self._opens(spoken.end) else None

    def _only_denied(self, tag: Tag) -> bool:
        """ "at 1.3 no holes to this point | there's a crack at 1.7": a reading for what is denied leads to nothing
        else.
        """
        holders = self.breath.holders
        return bool(holders) and all(t in self.absent for t in holders) and tag not in self.absent

    def _own_behind(self, token: int) -> bool:
        """Whether the thing told next has its own distance right behind it: "there's the trap at 5.8"."""
        passage = self.passage
        ahead = [
            t
            for t in passage.tags_from(token, token + 8, "condition", "component", "structure", "fixture")
            if t.id not in NO_PLACE_OF_THEIR_OWN
        ]
        if not ahead or any(passage.measure_over(t) for t in range(token, ahead[0].start)):
            return False
        end = ahead[0].end
        while end < len(passage) and (passage.covering(end, "extent") or passage.is_class(end, "filler")):
            end += 1
        if passage.is_class(end, "inside") and (part := passage.tags_from(end + 1, end + 3, "component")):
            end = part[0].end
        if passage.word(end) in ("starts", "begins", "commences"):
            end += 1
        if not passage.is_class(end, "at", "from"):
            return False
        measure = passage.measure_over(end + 1)
        if measure is None or measure.unit not in (None, "m"):
            return False
        return passage.cue_at(measure.end, "speech_act", "report") is None or self._own_behind(measure.end)

    def _then_at(self, tag: Tag, boundary: Tag, lead: int) -> bool:
        """ "roots then at 3.2": a thing that opens its clause, its distance right behind "then"."""
        if boundary.start != tag.end or boundary.end != lead or boundary.end - boundary.start > 1:
            return False
        return clause_at(self.clauses, tag.start).start == tag.start and self.places.get(tag, NOWHERE).how in (
            "carried",
            "none",
        )

    def _told_alike(self, tag: Tag, token: int) -> bool:
        """ "roots at 26 feet roots at 29": the same thing told again right behind, each with its distance behind it."""
        ahead = self.passage.tags_from(token, token + 3, "condition")
        return bool(ahead) and ahead[0].id == tag.id

    def _told_of_the_end(self, token: int) -> bool:
        """ "at 4 metres I'll leave it there": the reading is where the camera stopped, not where the last thing is."""
        passage = self.passage
        for tag in passage.tags_from(token, token + 3, "ending"):
            if tag.id in ("stopped", "cable_limit", "line_end"):
                return True
            if tag.id == "arrival" and passage.tags_from(tag.start, tag.end + 3, "structure", "fixture"):
                return True
        return False

    def _opens(self, token: int) -> bool:
        """Whether a new thing is told right behind the distance: "at 4.4 there's", "at 3.3 moderate scale"."""
        passage = self.passage
        while token in passage.masked:
            token += 1
        report = passage.cue_at(token, "speech_act", "report")
        if (report is not None and report.end - report.start >= 2) or passage.cue_at(token, "negation", "denies_next"):
            return True
        if passage.is_class(token, "article"):
            return (
                passage.cue_at(token, "speech_act") is None
                and passage.cue_at(token + 1, "speech_act", "main_issue") is None
            )
        for step in range(token, token + 5):
            if (
                step in passage.masked
                or passage.is_class(step, "article", "filler", "at")
                or passage.covering(step, "extent")
            ):
                continue
            things = passage.things_from(step, step + 1)
            if things:
                return any(tag.kind != "condition" or tag.id not in STATES for tag in things)
            if not passage.covering(step, "material"):
                return False
        return False

    def _chain(self, loose: list[Tag]) -> list[Tag]:
        """The nearest thing and those told in one go with it: "a joint with roots in it at 3.2"."""
        chain = [loose[-1]]
        for tag in reversed(loose[:-1]):
            start, end = tag.end, chain[-1].start
            if any(tag.id == later.id and tag.kind == later.kind for later in chain) and end - start > 2:
                break
            placed = self.places.get(tag, NOWHERE).from_m is not None
            twin = tag.id == chain[-1].id and start == end
            if placed and not twin and not self._in_the(tag, chain[-1]):
                break
            if self._gap(start, end) > 4 or self.passage.tags_from(start, end, "boundary"):
                break
            report = [t for t in self.passage.tags_from(start, end, "speech_act") if t.id == "report"]
            pointing = any(
                self.passage.is_class(token, "pronoun") and self.passage.word(token) != "there"
                for token in range(start, end)
            )
            if report and not pointing:
                break
            chain.append(tag)
        return chain

    def _in_the(self, tag: Tag, component: Tag) -> bool:
        """ "roots in the joint": the component only says where the condition is."""
        between = self.passage.speech.words[tag.end : component.start]
        return component.kind == "component" and 0 < len(between) <= 4 and between[0] in self.passage.classes["inside"]

    def _lead(self, start: int) -> int:
        passage = self.passage
        while start > 0 and (
            start - 1 in passage.masked
            or passage.is_class(start - 1, "at", "from")
            or passage.word(start - 1) in ("um", "uh", "just", "the")
        ):
            start -= 1
        return start

    def _gap(self, start: int, end: int) -> int:
        """Words between; clock positions, degrees, sides and hesitations left out."""
        passage, count = self.passage, 0
        for token in passage.standing(start, end):
            measure = passage.measure_over(token)
            if measure and measure.unit == "clock":
                continue
            if (
                passage.is_class(token, "filler", "side", "article", "at")
                or passage.covering(token, "extent")
                or passage.covering(token, "component")
            ):
                continue
            count += 1
        return count

    def _ends_stretch(self, spoken: Spoken) -> tuple[list[Tag], Place] | None:
        """ "a sag ... goes to ten foot six", "the whole way to 12.4", "continuing to 4.6": this reading ends a
        stretch.
        """
        passage, breath = self.passage, self.breath
        at = spoken.start
        while passage.is_class(at - 1, "reading_word") or passage.word(at - 1) == "the":
            at -= 1
        cue = passage.covering(at - 1, "stretch") or passage.covering(at, "stretch")
        if cue is None or cue.id not in ("until", "ends", "whole"):
            cue = self._till_reached(spoken) or cue
            at = cue.end if cue is not None else at
        if cue is None or cue.id not in ("until", "ends", "whole") or cue.end < at or cue.end > spoken.end:
            return None
        if passage.speech.words[cue.start : cue.end] in (("through",), ("thru",)):
            return None
        if cue.id == "whole" and not passage.is_class(cue.end - 1, "to"):
            return None
        candidates = sorted(
            (t for t in (*breath.holders, *breath.loose) if t.kind == "condition" and t.start < cue.start),
            key=lambda t: t.start,
        )
        if candidates:
            candidates = [t for t in candidates if (t in self.absent) == (candidates[-1] in self.absent)]
        if not candidates or passage.distance(candidates[-1].end, cue.start) > 14:
            return None
        target = candidates[-1]
        if any(
            tag.id == "next" and not _inside_cue(tag, cue)
            for tag in passage.tags_from(target.end, cue.start, "boundary")
        ):
            return None
        if passage.tags_from(target.end, cue.start, "movement") and not _inside(passage, "movement", target.end, cue):
            return None
        if any(passage.word(token) in ("i", "we") for token in range(target.end, cue.start)):
            return None
        far = spoken.place
        own = self.places.get(target, NOWHERE)
        opening = any(
            t.id in ("from_opening", "whole")
            for t in passage.tags_from(max(target.start - 5, 0), spoken.start, "stretch")
        )
        onward = any(
            t.id in ("from_there", "onwards") for t in passage.tags_from(target.start, spoken.start, "stretch")
        )
        if (
            own.from_m is not None
            and own.to_m is None
            and (not opening or onward)
            and target.start - breath.at < BREATH
        ):
            near = own
        elif breath.place.from_m is not None and onward:
            near = breath.place if breath.place.to_m is None else replace(breath.place, from_m=breath.place.to_m)
        else:
            near = Place(0.0)
        if far.from_m is None or near.from_m is None or far.from_m < near.from_m:
            return None
        place = Place(
            near.from_m, far.from_m, near.approximate or far.approximate, "stretch", (*near.measures, *far.measures)
        )
        group = [t for t in candidates if target.start - t.end <= 3 and self.places.get(t, NOWHERE) == own]
        return (group or [target]), place

    def _till_reached(self, spoken: Spoken) -> Tag | None:
        """ "doesn't quit till I hit the tank at 19 foot 4": an end told by what is there, with its distance behind."""
        passage = self.passage
        for cue in reversed(passage.tags_from(max(0, spoken.start - 8), spoken.start, "stretch")):
            words = passage.speech.words[cue.start : cue.end]
            if cue.id not in ("until", "ends") or not any(word in ("till", "til", "until") for word in words):
                continue
            arrives = passage.tags_from(cue.end, spoken.start, "structure", "fixture", "ending", "component")
            other = passage.tags_from(cue.end, spoken.start, "condition", "boundary")
            return cue if arrives and not other else None
        return None

    # --- things ---------------------------------------------------------------------------

    def take_thing(self, tag: Tag) -> None:
        place = self._place_ahead(tag)
        self.places[tag] = place
        if place.how == "said before" and self.breath.also and not self.breath.holders:
            self.extra[tag] = [replace(other, how="said before") for other in self.breath.also]
        if place.how in OWN_PLACE and place.how != "none":
            self.breath.holders.append(tag)
        else:
            self.breath.loose.append(tag)

    def _place_ahead(self, tag: Tag) -> Place:
        passage, breath = self.passage, self.breath
        clause = clause_at(self.clauses, tag.start)
        denied = tag in self.absent
        here = breath.place
        if _not_noted(passage, tag, clause):
            self.unnoted.add(tag)
        spread = self._spread(tag, clause, denied, here)
        if spread is not None:
            return spread
        if denied and clause.start > breath.at and self._run_over(tag):
            return Place(0.0, END, False, "whole")
        if here.from_m is None:
            return Place(0.0, END, False, "by default") if denied and breath.at < 0 else NOWHERE
        if tag in self.unnoted or tag.start - breath.at > BREATH or self._moves_on(tag):
            return NOWHERE
        if here.to_m is not None and here.to_m != END and (tag.id == "capped" or self._where(tag)):
            return Place(here.to_m, None, here.approximate, "carried", here.measures)
        first = not breath.holders and here.how in ("said before", "stretch")
        linked = (
            bool(breath.holders) and here.how in ("said before", "stretch") and self._linked(breath.holders[-1], tag)
        )
        in_clause = clause.start <= breath.at or tag.start - breath.at <= 3
        how = here.how if (first and in_clause) or linked else "carried"
        return replace(here, how=how)

    def _run_over(self, tag: Tag) -> bool:
        """Whether the camera came to the end of its run between the last distance and the thing denied."""
        passage, start = self.passage, self.breath.at
        if start < 0:
            return False
        endings = [
            t for t in passage.tags_from(max(0, start - 6), tag.start, "ending") if t.id not in ("passed", "arrival")
        ]
        arrived = passage.tags_from(max(0, start - 6), tag.start, "structure", "fixture")
        return bool(endings or arrived)

    def _linked(self, holder: Tag, tag: Tag) -> bool:
        """Whether a thing is said of the one that holds the place: right behind it, or over "with", "has", "it's"."""
        passage = self.passage
        if tag.start <= holder.end:
            return True
        between = range(holder.end, tag.start)
        if len(between) <= 2 and not any(passage.is_class(token, "article") for token in between):
            return True
        if any(passage.word(token) in ("i", "we", "you") for token in between):
            return False  # "no scale we've got a joint"
        return len(between) <= 8 and any(passage.word(token) in passage.classes["says_with"] for token in between)

    def _spread(self, tag: Tag, clause: Clause, denied: bool, here: Place) -> Place | None:
        """Said of a whole line, of all up to here, or of all from here on."""
        passage = self.passage
        end = self._statement_end(clause)
        start = max(clause.start, tag.start - 4)
        if self.breath.holders or self.breath.loose:
            start = max(start, self.breath.at)
        cues: dict[str, Tag] = {}
        for cue in passage.tags_from(start, end, "stretch"):
            cues.setdefault(cue.id, cue)
        point_cue = cues.get("to_this_point")
        if point_cue is not None and any(
            m.unit in (None, "m") and m.start - tag.end <= 3 for m in passage.measures_from(tag.end, point_cue.start)
        ):
            point_cue = None  # "no infiltration at 1.85 | 2.5 no scale to this point"
        if point_cue and (denied or tag.id in ("sound", "dry")) and point_cue.start - tag.end <= 14:
            last = here.to_m if here.to_m not in (None, END) else here.from_m
            return Place(0.0, last, here.approximate, "to this point", here.measures) if last is not None else NOWHERE
        whole = cues.get("whole")
        if (
            whole is not None
            and (led := passage.measure_over(whole.start - 1))
            and passage.is_class(led.start - 1, "from")
        ):
            whole = None  # "from 6.4 to the end"
        if whole and not self._until_follows(whole):
            named = self._stretch_named(whole)
            if (
                named is None
                and here.how == "stretch"
                and here.to_m not in (None, END)
                and not _the_line(passage, whole)
            ):
                named = here
            if named is not None and not denied:
                return replace(named, how="stretch")
            if denied or (tag.id in SPREADING and _means_all(passage, whole) and whole.start - tag.end <= 5):
                return Place(0.0, END, False, "whole")
        onwards = cues.get("onwards")
        ahead = onwards is not None and 0 <= tag.start - onwards.end <= 4 and onwards.start >= clause.start
        if (
            onwards
            and (ahead or 0 <= onwards.start - tag.end <= 8)
            and here.from_m is not None
            and self._is_onwards(onwards)
        ):
            near = here.from_m
            return Place(near, END, here.approximate, "onwards", here.measures)
        through = next((c for c in passage.tags_from(tag.end, end, "stretch") if c.id == "from_opening"), None)
        if (
            through is not None
            and through.start - tag.end <= 3
            and not passage.measures_from(through.end, through.end + 9)
        ) and any(
            passage.is_class(t.start - 1, "article", "to")
            for t in passage.tags_from(through.end, through.end + 9, "structure", "fixture")
        ):
            return Place(0.0, END, False, "whole")
        opening = cues.get("from_opening")
        if (
            opening
            and not passage.measures_from(opening.end, opening.end + 8)
            and any(
                t.id in ("line_end",) or passage.word(t.end - 1) == "end"
                for t in passage.tags_from(opening.end, opening.end + 5, "stretch", "ending")
            )
        ):
            return Place(0.0, END, False, "whole")
        return None

    def _from_on(self, spoken: Spoken) -> bool:
        """ "from two metres on": to the end of the run."""
        passage = self.passage
        after = spoken.end + 1
        if passage.word(spoken.end) not in ("on", "out", "up") or not passage.is_class(spoken.start - 1, "from"):
            return False
        ends = after >= len(passage) or passage.is_class(after, "list") or passage.cue_at(after, "boundary") is not None
        return ends or passage.cue_at(after, "speech_act") is not None or passage.speech.breaks[after]

    def _is_onwards(self, cue: Tag) -> bool:
        """ "from there out", "2.2 onwards"; not the "onwards there's" that begins the next statement."""
        passage = self.passage
        if self._until_follows(cue) or passage.measure_over(cue.end):
            return False
        before = passage.measure_over(cue.start - 1)
        if cue.end - cue.start == 1 and before is None and passage.cue_at(cue.end, "speech_act", "report"):
            return False
        return cue.end - cue.start > 1 or (before is not None and before.unit in (None, "m"))

    def _stretch_named(self, whole: Tag) -> Place | None:
        """ "all the way through the sag": the stretch of the thing named behind the cue."""
        for tag in self.passage.tags_from(whole.end - 1, whole.end + 4, "condition"):
            for earlier, place in reversed(self.places.items()):
                if earlier.id == tag.id and place.to_m not in (None, END):
                    return place
        return None

    def _statement_end(self, clause: Clause) -> int:
        """The end of the clause and of those that only go on with "and no ..." behind it."""
        end, passage = clause.end, self.passage
        while end < len(passage) and (
            (passage.is_class(end, "list") and passage.cue_at(end + 1, "negation")) or passage.word(end) == "nor"
        ):
            end = clause_at(self.clauses, end).end
        return end

    def _until_follows(self, cue: Tag) -> bool:
        passage = self.passage
        if passage.is_class(cue.end - 1, "to"):
            return passage.measure_over(cue.end) is not None or passage.measure_over(cue.end - 1) is not None
        until = passage.cue_at(cue.end, "stretch", "until") or (passage.cue_at(cue.end - 1, "stretch", "until"))
        return until is not None and passage.measure_over(until.end) is not None

    def _where(self, tag: Tag) -> bool:
        """ "to 12.4 where it's capped", "and at that point it is out of round": at the far end of the stretch."""
        before = range(max(self.breath.at, tag.start - 8), tag.start)
        if self.passage.word(tag.end) == "there" and tag.id not in SPREADING and self.breath.place.how != "carried":
            return True
        if any(self.passage.word(t) == "that" and self.passage.is_class(t - 1, "at") for t in before):
            return True
        if tag.id in (*SPREADING, "dip", "deformation"):
            return False
        return any(
            self.passage.word(token) == "where" for token in range(max(self.breath.at, tag.start - 5), tag.start)
        )

    def _moves_on(self, tag: Tag) -> bool:
        """ "and then a bend": a clause that goes on to the next thing, with no distance of its own, is further on."""
        return any(
            cue.id == "next" and self.passage.distance(cue.end, tag.start) <= 6
            for cue in self.passage.tags_from(max(self.breath.at, 0), tag.start, "boundary")
        )


def _inside_cue(tag: Tag, cue: Tag) -> bool:
    return cue.start <= tag.start < cue.end


def _inside(passage: Passage, kind: str, start: int, cue: Tag) -> bool:
    return all(
        _inside_cue(tag, cue) or tag.id in ("inspect", "go") for tag in passage.tags_from(start, cue.start, kind)
    )


def _the_line(passage: Passage, cue: Tag) -> bool:
    words = passage.speech.words[cue.start : cue.end]
    return any(word in passage.classes["whole_line_word"] for word in words)


def _means_all(passage: Passage, cue: Tag) -> bool:
    words = passage.speech.words[cue.start : cue.end]
    return any(word in passage.classes["means_all"] for word in words)


def _not_noted(passage: Passage, tag: Tag, clause: Clause) -> bool:
    """ "I didn't catch the number", "back there somewhere": said of this thing, with no other between."""
    for cue in passage.tags_from(tag.start, min(len(passage), tag.end + NOT_NOTED_REACH), "reference"):
        if (
            cue.id == "not_noted"
            and passage.word(cue.end - 1) == "somewhere"
            and any(passage.measure_over(at) for at in range(cue.end, cue.end + 3))
        ):
            continue  # "somewhere around nine and a half"
        if cue.id == "not_noted":
            other = [t for t in passage.tags_from(tag.end, cue.start, "condition") if t.id != tag.id]
            if passage.word(cue.start) == "somewhere" and passage.tags_from(cue.end, cue.end + 8, "condition"):
                break  # "and somewhere along there I saw sand": of the next thing
            return not other and not any(m.unit in (None, "m") for m in passage.measures_from(tag.end, cue.start))
    for cue in passage.tags_from(max(0, tag.start - 9), tag.end + 6, "reference"):
        if cue.id == "not_noted" and cue.start < tag.start and passage.word(cue.start) == "somewhere":
            if any(passage.measure_over(at) for at in range(cue.end, cue.end + 3)):
                continue
            if passage.tags_from(max(clause.start, cue.start - 5), cue.start, "condition", "component"):
                continue  # said of the thing in front of it
            return not passage.tags_from(cue.end, tag.start, "condition")
        if cue.end <= tag.start and any(m.unit in (None, "m") for m in passage.measures_from(cue.end, tag.start)):
            continue
        if (
            cue.id == "back_there"
            and cue.start >= clause.start
            and not passage.covering(cue.start, "movement")
            and not passage.tags_from(cue.end - 1, cue.end + 2, "structure", "fixture")
        ):
            return True
    return False
