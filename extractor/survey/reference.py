"""What a statement is about: the condition it names, or that of the row which its words lead to.

A part ("that lid" -> the crack in it), a distance ("the joint at 3.4"), a word by which the thing was told ("that flat
piece"). The rows are those of the whole narration, so a thing may be told of before or after.
"""

from collections.abc import Iterator, Sequence, Set
from dataclasses import dataclass

from extractor.language.advice import looks_again
from extractor.language.passage import THING_KINDS, Passage
from extractor.reading import Tag
from extractor.survey.distances import length_of
from extractor.survey.rows import Draft

STILL = ("sound", "flowing", "live", "dry")
CLEARS = {"root_cutting": "root_intrusion"}  # work named with what it takes away: "the roots cut"
WHOLE = ("pipe", "material_change", "inlet", "outlet")  # components too wide to name one thing
CONNECTIONS = ("defective_connection", "protruding_connection")
SEEPS = ("absorption_trench", "soakaway")  # is dug anew when it is full
SPENT = ("full", "standing_water", "settled_deposit", "root_intrusion", "collapse")
EFFECTS = ("blockage", "standing_water")  # what a trouble does, where the trouble itself is named too
DEEDS = {  # what the word for a deed is done about, by its class
    "descales": ("attached_deposit",), "trims_back": ("protruding_connection", "exposed_seal"), "gives_fall": ("dip",),
    "baits": ("vermin",), "caps_off": ("disused",), "keeps_out": ("obstruction", "vermin"),
    "empties_tank": ("full", "grease", "settled_deposit", "blockage", "standing_water"),
    "cuts_growth": ("root_intrusion",),
    "clears_place": ("settled_deposit", "grease", "obstruction", "blockage", "full"),
}  # fmt: skip
CATCHES = {"grease_trap": "grease"}  # what a structure asked for would keep back
IN_BORE = (
    "grease", "settled_deposit", "root_intrusion", "attached_deposit", "blockage", "obstruction", "soil_ingress",
)  # fmt: skip
PUMP_PARTS = ("pump", "float_switch")
NEW_FOR = {  # what a new part is asked for, before other troubles of the old one
    "missing_part": 2.5, "pump_fault": 1.2, "break": 1.0, "collapse": 1.0, "crack": 0.8, "hole": 0.8, "fracture": 0.8,
    "surface_damage": 0.6, "defective_repair": 0.6, "deformation": 0.6,
}  # fmt: skip
SAYS_LITTLE = ("everyday", "new_piece", "remedies", "remedied", "remedying", "trouble", "side", "also_said", "everyone")


@dataclass
class About:
    """What a statement names: a condition, or only a thing (`named`), or nothing of its own."""

    condition: str | None = None
    named: bool = False
    definite: bool = False
    guessed: bool = False  # only the last thing of its kind
    several: tuple[Draft, ...] = ()  # rows of more than one condition that the words may mean alike


def is_trouble(row: Draft) -> bool:
    return row.condition not in (None, *STILL) and row.polarity == "present"


def about_what(
    passage: Passage, start: int, end: int, rows: Sequence[Draft], denied: Set[Tag], *, main: bool = False
) -> About:
    """What the words of [start, end) name, an aim or a time behind them ("before it collapses") left out."""
    said_to, end = end, tail_of(passage, start, end)
    end = end if main else _told_next(passage, start, end)
    conditions = [
        tag
        for tag in passage.tags_from(start, end, "condition", "action")
        if (tag.kind == "condition" or tag.id in CLEARS)
        and tag.id not in STILL
        and tag not in denied
        and not _is_verb(passage, tag)
        and (main or not passage.is_class(tag.start, "caps_off"))
    ]
    if not main and not conditions:
        conditions = _kept_off(passage, end, said_to)
    if main and not conditions and any(row.condition == "dry" and row.polarity == "present" for row in rows):
        conditions = [
            tag for tag in passage.tags_from(start, end, "condition") if tag.id == "dry"
        ]  # "the main problem is that dry trap"
    if conditions:
        chosen = _cause(passage, conditions)
        named = _as_found(passage, chosen, rows) or CLEARS.get(chosen.id, chosen.id)
        return About(named, True, _is_definite(passage, chosen))
    troubles = [row for row in rows if is_trouble(row)]
    parts = [tag for tag in passage.tags_from(start, end, "component") if _is_object(passage, tag)]
    for metres in distances(passage, start, end):
        at_it = [row for row in troubles if row.at(metres, 0.02)]
        on_part = [row for row in at_it if row.component in {tag.id for tag in parts}]
        if at_it:
            return About((on_part or at_it)[0].condition, True, True)
    done_about = None if main else _done_about(passage, start, end, troubles)
    if done_about is not None:
        return About(done_about.condition, True)
    meant = _weightiest(passage, start, end, troubles, parts)
    if meant:
        one = {row.condition for row in meant}
        if "pump_fault" in one and any(tag.id in PUMP_PARTS for tag in parts):
            return About("pump_fault", True, True)  # not the hair round its impeller
        return About(
            meant[-1].condition if len(one) == 1 else None, True, True, several=tuple(meant) if len(one) > 1 else ()
        )
    cleared = None if main or parts else _cleared(passage, start, end, troubles)
    if cleared is not None:
        row, guessed = cleared
        return About(row.condition, True, True, guessed)
    pumps = any(tag.id in PUMP_PARTS for tag in parts) or any(
        passage.word(at) == "pump" and passage.is_class(at - 1, "definite", "new_part") for at in range(start, end)
    )
    if pumps and (main or _asks_new(passage, start, end)):
        return About("pump_fault", True, True)
    structures = passage.tags_from(start, end, "structure", "fixture")
    if main:
        at_it = [row for tag in structures for row in troubles if row.structure == tag.id]
        return About(at_it[-1].condition if at_it else None, bool(structures or parts))
    whole_new = passage.has_class(start, end, "new_part")  # a new whole is about no one condition
    if not whole_new and passage.has_class(start, end, "remedied", "remedying"):
        for tag in structures:
            noun = passage.word(tag.end - 1)
            whole = [
                row
                for row in troubles
                if row.condition in SPENT
                and row.component in (None, "pipe", tag.id)
                and (row.structure == tag.id or noun in _own_words(passage, row))
            ]
            if whole and tag.id in SEEPS:
                return About(whole[-1].condition, True)
    for tag in structures:
        if tag.id in CATCHES and passage.word(tag.start - 1) in ("a", "an"):
            caught = next((row.condition for row in troubles if row.condition == CATCHES[tag.id]), None)
            return About(caught, True)
    material = any(passage.is_class(tag.start - 1, "definite") for tag in passage.tags_from(start, end, "material"))
    new = any(passage.word(at) == "new" and passage.word(at + 1) == "one" for at in range(start, end))
    return About(None, bool(parts or structures) or material or new or _own_thing(passage, start, end))


def _kept_off(passage: Passage, start: int, end: int) -> list[Tag]:
    """ "jetted every three months to keep the grease off it": what the aim of the advice is about."""
    for token in passage.tokens_of(start, end, (), ("keep", "keeping", "stop", "clear")):
        named = passage.tags_from(token + 1, token + 5, "condition")
        if named:
            return named[:1]
    return []


def _as_found(passage: Passage, tag: Tag, rows: Sequence[Draft]) -> str | None:
    """ "that crushed pipe", which was "crushed flat" where it was found: the finding by its word."""
    if tag.kind != "condition" or any(row.condition == tag.id for row in rows):
        return None
    words = {word for word in passage.speech.words[tag.start : tag.end] if len(word) > 4}
    for row in rows:
        if is_trouble(row) and row.tag is not None and words & {*passage.speech.words[row.tag.start : row.tag.end]}:
            return row.condition
    return None


def _done_about(passage: Passage, start: int, end: int, troubles: Sequence[Draft]) -> Draft | None:
    """ "descale it" -> the scale, "cap that branch" -> the disused one, "pump the tank" -> the full one, "a grid on it
    to keep the leaves out" -> the leaves. The row at the place named, else the last one.
    """
    places = {tag.id for tag in passage.tags_from(start, end, "structure", "fixture")}
    places |= {"septic_tank"} if "tank" in passage.speech.words[start:end] else set()
    for deed, conditions in DEEDS.items():
        at = next((at for at in passage.tokens_of(start, end, (deed,)) if _is_deed(passage, at)), None)
        others = {tag.id for tag in passage.tags_from(start, end, "component")} - {"cap"}
        if deed == "cuts_growth" and (others or not passage.has_class(start, end, "object_pronoun", "demonstrative")):
            continue  # "get those cut", but no "cut that joint out"
        if at is None or (deed == "caps_off" and others and not others & {"junction", "pipe"}):
            continue
        fit = [row for row in troubles if row.condition in conditions and row.outcome != "cleared"]
        if deed == "keeps_out":  # what is kept out may have been cleared
            fit = [row for row in troubles if row.condition in conditions]
        here = [row for row in fit if row.structure in places]
        pointed = deed == "empties_tank" and passage.has_class(at, at + 2, "object_pronoun")
        pointed = pointed or (deed == "empties_tank" and passage.is_class(at - 1, "object_pronoun"))
        if pointed and not here:  # "and get it pumped"
            here = [row for row in fit if row.structure is not None]
        if deed in ("empties_tank", "clears_place"):  # what fills a tank goes before what lies in it
            if not here and deed == "clears_place":
                continue
            return min(here, key=lambda row: conditions.index(row.condition or "")) if here else None
        if fit:
            return min(reversed(here or fit), key=lambda row: conditions.index(row.condition or ""))
    return None


def _is_deed(passage: Passage, token: int) -> bool:
    """ "pump the tank", "pumped"; but no "new pump", "the pump"."""
    if passage.word(token) not in ("pump", "cap", "bed", "fall", "tanker"):
        return True
    if passage.is_class(token - 1, "definite", "new_part"):
        return False  # "swap the pump out"
    out = passage.word(token + 1) == "out" or passage.word(token) in ("fall", "tanker")
    return out or not passage.is_class(token - 1, "article", "new_part", "demonstrative")


def _is_object(passage: Passage, tag: Tag) -> bool:
    """A part the work is done to; "a liner" is what it is done with, "patched" and "pump it" are the work."""
    before = tag.start - 1
    if passage.is_class(tag.start, "remedied", "remedying") or (
        passage.is_class(tag.start, "remedies")
        and not passage.is_class(before, "article", "remedy_thing", "side", "once_more")
        and passage.measure_over(before) is None
    ):
        return False
    return tag.id not in WHOLE and not (tag.id == "patch" and passage.word(before) in passage.classes["brings_in"])


def _told_by(passage: Passage, start: int, end: int) -> Iterator[str]:
    """Words by which a thing is told again, behind "the" or "that": "that flat piece", "the concrete"."""
    for at in range(start, end):
        if not passage.is_class(at, "definite"):
            continue
        for near in range(at + 1, min(end, at + 4)):
            word = passage.word(near)
            part = passage.covering(near, "component")
            if part is not None and part.id == "cap" and part.end - part.start == 1:
                yield word  # "the plug": a stoppage too
            if passage.is_class(near, "inside", "copula", "list", "modal", "obliges") or any(
                passage.covering(near, kind) for kind in THING_KINDS
            ):
                break
            if len(word) >= 3 and word.isalpha() and not passage.is_class(near, *SAYS_LITTLE):
                yield word


def _own_thing(passage: Passage, start: int, end: int) -> bool:
    """A job of its own: another look ("re survey the rest"), an order done to "the" something, a new thing wanted."""
    if any(looks_again(passage, at) for at in range(start, end)):
        return True
    verb = next(
        (at for at in range(start, min(end, start + 3)) if passage.is_class(at, "remedies", "remedies_with")), end
    )
    for at in range(verb + 1, min(end - 1, verb + 4)):
        if passage.word(at) == "new" and passage.covering(at + 1, "material") is None:
            return not passage.is_class(at + 1, "new_piece")
        if passage.is_class(at, "definite"):
            return not passage.is_class(at + 1, "everyday", "new_piece", "copula", "inside")
    return False


def tail_of(passage: Passage, start: int, end: int) -> int:
    """Where an aim, a time or a condition begins that names no work: "before ...", "so that ...", "to stop ..."."""
    for at in range(start + 2, end):
        if passage.is_class(at, "tail") or (
            passage.word(at) == "to" and passage.word(at + 1) in ("stop", "keep", "prevent", "avoid")
        ):
            return at
    return end


def _told_next(passage: Passage, start: int, end: int) -> int:
    """ "that wants a tanker | the stopper is missing": where something else is told of behind the deed."""
    deeds = passage.tokens_of(start, end, ("remedies", "remedying", "remedied", "remedy_thing"))
    for tag in passage.tags_from(deeds[0] + 1, end, "condition") if deeds else ():
        subject = tag.start - 2
        if passage.word(tag.start - 1) in ("is", "was", "are", "were") and not passage.is_class(
            subject, "pronoun", "relative", "someone"
        ):
            return subject
    return end


def _cause(passage: Passage, conditions: Sequence[Tag]) -> Tag:
    """ "blocked with grease": what blocks; else the first named."""
    first = conditions[0]
    for other in conditions[1:]:
        if (
            first.id in ("blockage", "full")
            and other.start - first.end <= 4
            and passage.word(first.end) in ("with", "by", "of", "from")
        ):
            return other
    return first


def _is_definite(passage: Passage, tag: Tag) -> bool:
    before = tag.start - 1
    return passage.is_class(before, "definite") or (
        passage.covering(before, "extent") is not None and passage.is_class(before - 1, "definite")
    )


def distances(passage: Passage, start: int, end: int) -> Iterator[float]:
    """Chainages by which a thing is pointed out ("the joint at 3.4"); no length of new pipe."""
    for measure in passage.measures_from(start, end):
        if measure.unit in (None, "m") and passage.is_class(measure.start - 1, "at"):
            yield length_of(measure)[0]


def _cleared(passage: Passage, start: int, end: int, troubles: Sequence[Draft]) -> tuple[Draft, bool] | None:
    """ "get that kitchen line jetted", "jetting that out": what is in the line to be cleared."""
    if not any(passage.is_class(at, "clears_line") for at in range(start, end)):
        return None
    inside = [row for row in troubles if row.condition in IN_BORE and row.outcome != "cleared" and row.start < start]
    leads = {passage.word(at) for at in range(start, end) if passage.is_class(at, "side", "line_name")}
    leads |= {tag.id for tag in passage.tags_from(start, end, "structure", "fixture")}
    named = [
        row
        for row in inside
        if leads & {*passage.speech.words[max(0, row.start - 12) : row.end + 6], row.structure or ""}
    ]
    of_run = [row for row in inside if row.run is not None and row.run + 1 == run_number(passage, start, end)]
    pointed = any(passage.is_class(at, "definite", "object_pronoun") for at in range(start, end))
    meant = of_run or named or (inside if pointed and not leads else [])
    return (meant[-1], meant is inside) if meant else None


def run_number(passage: Passage, start: int, end: int) -> int | None:
    """Which run the words name: "the joint in run three"."""
    for at in range(start, end):
        measure = passage.measure_over(at + 1) if passage.word(at) in ("run", "line", "survey") else None
        if measure is not None and measure.low == int(measure.low):
            return int(measure.low)
    return None


def _weightiest(passage: Passage, start: int, end: int, troubles: Sequence[Draft], parts: Sequence[Tag]) -> list[Draft]:
    """The rows that the words lead to best: by the part, its noun, the words a thing was told by; then the place, the
    side, the number, and whether a new one is asked for. More than one where nothing tells them apart.
    """
    told_by = [] if any(tag.id in PUMP_PARTS for tag in parts) else list(_told_by(passage, start, end))
    materials = {passage.word(tag.end - 1) for tag in passage.tags_from(start, end, "material")}
    leads = _place_words(passage, start, end)
    places = {tag.id for tag in passage.tags_from(start, end, "structure", "fixture")}
    asked = _asks_new(passage, start, end)
    head = next(
        (tag.id for tag in parts if passage.word(tag.start - 1) in ("new", "a", "an", "another")), None
    )  # "a new | hose on the pump", "get a | check valve on that pump"
    weighed: list[tuple[float, Draft]] = []
    number = run_number(passage, start, end)
    for row in [row for row in troubles if row.run is not None and row.run + 1 == number] or troubles:
        own = _own_words(passage, row)
        near = passage.speech.words[max(0, row.start - (6 if row.structure is None else 12)) : row.end + 4]
        behind = passage.speech.words[row.end : row.end + 4]
        anchor = 0.0
        for tag in parts:
            noun = passage.word(tag.end - 1)
            if row.component == "baffle" and tag.id == "junction" and noun in own:
                anchor = max(anchor, 4.0)  # the tee of a tank
            elif row.component == "baffle" and tag.id == "junction" and places & {row.structure}:
                anchor = max(anchor, 4.0)
            elif row.component == tag.id:
                definite = passage.is_class(tag.start - 1, "definite") or passage.covering(tag.start - 1, "side")
                held = passage.is_class(tag.start - 2, "definite") or passage.is_class(tag.start - 3, "definite")
                anchor = max(anchor, 4.0 if tag.id != "joint" or definite or held or tag.start == start else 0.0)
            elif tag.id == "junction" and row.condition in CONNECTIONS:
                anchor = max(anchor, 3.5)  # "redo that saddle"
            elif row.component == passage.word(tag.end - 2) and row.structure is not None:
                anchor = max(anchor, 3.0)  # "a new outlet baffle", and the outlet is cracked
            elif noun in own and row.component in (None, "pipe", "inlet", "outlet", "junction", "baffle"):
                anchor = max(anchor, 3.5)
        for word in told_by:
            if word in materials and row.tag is not None:
                own = passage.speech.words[
                    row.tag.start : row.tag.end
                ]  # "the concrete": a lump of it, no concrete pipe
            told = word in own or (len(word) >= 4 and any(each.startswith(word) for each in own))  # "the choke": choked
            anchor = max(anchor, 4.5 if told else 3.0 if word in behind and not parts else 0.0)
        if not anchor:
            continue
        points = anchor
        points += sum(1.5 for word in leads if word in near)
        other = {"inlet": "outlet", "outlet": "inlet"}
        points -= sum(2.0 for word in leads if other.get(word) in near and word not in near)
        points += 2.0 if row.structure in places else 0.0
        points += 2.0 if head is not None and row.component == head else 0.0
        points += NEW_FOR.get(row.condition or "", 0.0) if asked else 0.0
        points -= 1.5 if row.outcome == "cleared" and row.condition != "pump_fault" else 0.0
        points += 1.0 if row.condition == "pump_fault" and any(tag.id in PUMP_PARTS for tag in parts) else 0.0
        weighed.append((points, row))
    best = max((points for points, _ in weighed), default=0.0)
    meant = [row for points, row in weighed if points >= best - 0.01] if best > 1.0 else []
    named = {tag.id for tag in parts}
    if len({row.condition for row in meant}) > 1:
        meant = [row for row in meant if row.component in named] or meant
    if len({row.condition for row in meant}) > 1 and passage.has_class(start, end, "clears_line"):
        meant = [row for row in meant if row.condition in IN_BORE] or meant
    return meant


def _asks_new(passage: Passage, start: int, end: int) -> bool:
    return any(
        passage.is_class(at, "new_part", "puts_anew")
        and (passage.word(at) != "put" or "back" in passage.speech.words[at:end])
        for at in range(start, end)
    )


def _own_words(passage: Passage, row: Draft) -> tuple[str, ...]:
    """The words the thing itself was told by."""
    first, last = (row.tag.start, row.tag.end) if row.tag is not None else (row.start, row.end)
    led = 5 if row.structure is None else 9
    return passage.speech.words[max(0, min(row.start, first - led)) : max(row.end, last)]


def _place_words(passage: Passage, start: int, end: int) -> list[str]:
    """Words that tell one of several: a side, a port, a number, the name of a place."""
    words = []
    for at in range(start, end):
        word = passage.word(at)
        if word in ("inlet", "outlet") or passage.is_class(at, "side", "once_more"):
            words.append(word)
    return words


def _is_verb(passage: Passage, tag: Tag) -> bool:
    """ "and break it out", "cap it off": a deed, not what was found."""
    return (
        tag.end - tag.start == 1
        and (passage.is_class(tag.end, "object_pronoun", "definite") or passage.word(tag.end) in ("out", "up"))
        and (passage.is_class(tag.start - 1, "list", "someone", "turns") or passage.word(tag.start - 1) == "to")
        and passage.is_class(tag.start, "deed_too")
    )
