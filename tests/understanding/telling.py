"""A made visit told in words: one of many phrasings of each part, chosen by `Pick`.

Item("point", (Thing("crack", "joint"),), at=4.2)  ->  "at four point two there's a crack in the joint"
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from num2words import num2words

from tests.understanding.made_visits import BANK, FOOT_M, Item, Pass, Pick, Thing, Visit


@dataclass(frozen=True)
class Manner:
    """How one speaker tells it: readings before things or behind them, so that "a bend 4.2 a joint" is no riddle."""

    first: bool
    feet: bool


def tell(visit: Visit, pick: Pick) -> str:
    return " ".join(told_parts(visit, pick))


def told_parts(visit: Visit, pick: Pick) -> list[str]:
    """The statements, in order; a remark may stand between any two."""
    return [text for text, _ in told_items(visit, pick)]


def told_items(visit: Visit, pick: Pick) -> list[tuple[str, Item | None]]:
    """Each statement with the item that it tells, where it tells one."""
    manner = Manner(pick((True, False)), visit.feet)
    parts: list[tuple[str, Item | None]] = []
    for number, one in enumerate(visit.passes):
        if number:
            parts.append((pick(BANK["between"]["say"]), None))
        parts += _pass(one, manner, pick)
    if visit.main_issue:
        thing = pick(_entry(visit.main_issue)["plural"])
        parts.append((str(pick(BANK["main_issue"]["say"])).format(thing=thing), None))
    return [(" ".join(text.split()), item) for text, item in parts]


def _fitting(forms: Sequence[str], manner: Manner) -> list[str]:
    """The forms in which the reading stands where this speaker puts it; all, where none does."""
    return [form for form in forms if _reading_first(form) == manner.first] or list(forms)


def _reading_first(form: str) -> bool:
    return "{at}" in form and not re.search(r"\{thing\}|\{place\}|capped", form[: form.index("{at}")])


def _pass(one: Pass, manner: Manner, pick: Pick) -> list[tuple[str, Item | None]]:
    form = "port" if one.port else "pulled" if one.structure == "toilet" else one.direction
    structure = pick(BANK["names"][one.structure])
    start = str(pick(BANK["start"][form])).format(structure=structure, port=one.port)
    parts: list[tuple[str, Item | None]] = [(start, None)]
    parts += [(_item(item, manner, pick), item) for item in one.items]
    if one.reason == "could_not_pass":
        parts.append((pick(BANK["end"]["could_not_pass"]), None))
    else:
        place = pick(BANK["names"][one.end_at]) if one.end_at else ""
        dist = distance(one.end, manner.feet, pick)
        forms = _fitting(BANK["end"][one.reason], manner)
        parts.append((pick(forms).format(at=_at(dist, manner, pick), dist=dist, place=place), None))
    if one.denied:
        parts.append((_denied("denied_whole", [_noun(condition, pick) for condition in one.denied], "", pick), None))
    return parts


def _noun(condition: str, pick: Pick) -> str:
    return str(pick(_entry(condition)["plural"]))


def _denied(form: str, nouns: list[str], at: str, pick: Pick) -> str:
    both = [text for text in BANK[form]["say"] if ("{b}" in text) == (len(nouns) > 1)]
    return str(pick(both)).format(a=nouns[0], b=nouns[-1], at=at)


def _entry(condition: str) -> dict[str, Any]:
    found: dict[str, Any] = next(entry for entry in BANK["seen"] if entry["condition"] == condition)
    return found


def _item(item: Item, manner: Manner, pick: Pick) -> str:
    if item.kind == "nowhere":
        return str(pick(BANK["nowhere"]["say"])).format(thing=_thing(item.things[0], pick))
    assert item.at is not None
    at = _reading(item, manner, pick)
    if item.kind in ("denied_here", "denied_so_far"):
        return _denied(item.kind, [_noun(str(thing.condition), pick) for thing in item.things], at, pick)
    (thing,) = item.things
    if item.kind == "stretch":
        assert item.to is not None
        ends = {"from": distance(item.at, manner.feet, pick), "to": distance(item.to, manner.feet, pick)}
        return str(pick(BANK["stretch"]["say"])).format(thing=_thing(thing, pick), **ends)
    form = "doubted" if thing.tentative else "sound" if thing.condition == "sound" else "point"
    told = str(pick(_fitting(BANK[form]["say"], manner))).format(at=at, thing=_thing(thing, pick))
    if item.kind in ("cleared", "partly"):
        return f"{told} {pick(BANK['cleared']['say' if item.kind == 'cleared' else 'partly'])}"
    return told + _clock(thing, pick)


def _clock(thing: Thing, pick: Pick) -> str:
    if thing.clock is None:
        return ""
    first, last = thing.clock
    form = "say" if first == last else "arc"
    return " " + str(pick(BANK["clock"][form])).format(hour=num2words(first), other=num2words(last))


def _thing(thing: Thing, pick: Pick) -> str:
    if thing.condition in (None, "sound"):
        noun = pick(next(entry["nouns"] for entry in BANK["feature"] if entry["component"] == thing.component))
        return f"{_article(noun)} {noun}"
    entry = _entry(str(thing.condition))
    said = pick(entry["nouns"])
    if thing.extent:
        said = f"{pick(BANK['extent'][thing.extent])} {said}"
    if entry["article"]:
        said = f"{_article(said)} {said}"
    if thing.component and thing.component != entry.get("on"):
        said += f" {pick(BANK['in_part']['say']).format(part=thing.component)}"
    return str(said)


def _article(noun: str) -> str:
    return "an" if noun[0] in "aeiou" else "a"


def _at(dist: str, manner: Manner, pick: Pick) -> str:
    return str(pick(BANK["at"]["plain" if manner.first else "behind"])).format(dist=dist)


def _reading(item: Item, manner: Manner, pick: Pick) -> str:
    assert item.at is not None
    dist = distance(item.at, manner.feet, pick)
    if item.approximate:
        return str(pick(BANK["at"]["approximate" if manner.first else "approximate_behind"])).format(dist=dist)
    if item.withdrawn is not None:
        wrong = distance(item.withdrawn, manner.feet, pick)
        return str(pick(BANK["at"]["withdrawn"])).format(dist=dist, wrong=wrong)
    return _at(dist, manner, pick)


def distance(metres: float, feet: bool, pick: Pick) -> str:
    """A length as said or as a recogniser writes it; num2words (an independent library) makes the words."""
    if feet:
        whole, inches = divmod(round(metres / FOOT_M * 12), 12)
        said = pick((str(whole), str(num2words(whole)).replace("-", " ")))
        if not inches:
            return f"{said} foot" if whole == 1 else f"{said} {pick(('feet', 'foot'))}"
        if inches == 6 and pick((True, False)):
            return f"{said} and a half feet"
        inch = pick((str(inches), str(num2words(inches))))
        if whole == 1:
            return f"{said} foot {inch}"
        return pick((f"{said} foot {inch}", f"{said} feet {inch}", f"{said} feet {inch} inches"))
    whole_text, _, decimals = f"{metres:.2f}".rstrip("0").rstrip(".").partition(".")
    said = str(num2words(int(whole_text))).replace("-", " ")
    if metres == 1:
        return pick(("1 metre", "one metre", "1m"))
    if not decimals:
        return pick((f"{whole_text} metres", f"{said} metres", f"{whole_text}m"))
    words = " ".join("oh" if digit == "0" else str(num2words(int(digit))) for digit in decimals)
    forms = [
        f"{whole_text}.{decimals}",
        f"{whole_text}.{decimals} metres",
        f"{said} point {words}",
        f"{said} point {words} metres",
    ]
    if decimals == "5" and int(whole_text):
        forms.append(f"{said} and a half metres")
    return pick(forms)
