"""What a correction may be about, and what it does: things and measures round a cue, the tokens that are masked."""

from bisect import bisect_left
from dataclasses import dataclass

from extractor.language.passage import THING_KINDS, Passage
from extractor.reading import Correction, Measure, Tag, by_start

REACH = 4  # words between a thing and the cue
LONGEST_UNIT = 40  # words; no phrase and no spoken measure has as many


@dataclass(slots=True)  # not frozen, since many are made and none leaves this stage
class Unit:
    """A thing or a measure that a correction may be about. Two units are alike where `kind` is the same."""

    start: int
    end: int
    kind: str
    value: object


@dataclass(frozen=True, slots=True)
class Repair:
    """A correction found, with the tokens it masks and the measures it puts in the place of earlier ones."""

    correction: Correction
    masked: frozenset[int]
    replaced: tuple[tuple[Measure, Measure], ...] = ()


def units_of(passage: Passage) -> list[Unit]:
    units = [
        Unit(tag.start, tag.end, "port" if tag.id in ("inlet", "outlet") else tag.kind, _told_as(passage, tag))
        for tag in passage.tags
        if tag.kind in THING_KINDS or tag.kind in ("material", "direction", "extent", "action")
    ]
    units += [Unit(m.start, m.end, _measure_kind(m), (m.low, m.high)) for m in passage.measures]
    units += [
        Unit(token, token + 1, "side", passage.word(token))
        for token in passage.tokens_of(0, len(passage), ("side",))
        if not passage.measure_over(token) or _led_side(passage, token)
    ]
    return sorted(units, key=lambda unit: (unit.start, -unit.end))


def _told_as(passage: Passage, tag: Tag) -> str:
    """The id; of a bend with its angle or its side too: "a ninety, no, a forty five degree bend"."""
    if tag.id != "bend" or tag.kind != "component" or tag.end - tag.start == 1:
        return tag.id
    words = [w for w in passage.speech.words[tag.start : tag.end] if w not in passage.classes["article"]]
    turn = next((at for at, word in enumerate(words) if word.startswith(("degree", tag.id))), len(words))
    return " ".join((tag.id, *words[:turn])) if turn else tag.id


def _led_side(passage: Passage, token: int) -> bool:
    """ "on the right at 52 feet": a side, where "right at 52 feet" alone is a distance."""
    measure = passage.measure_over(token)
    return measure is not None and measure.start == token and passage.is_class(token - 1, "definite")


def _measure_kind(measure: Measure) -> str:
    return "distance" if measure.unit in (None, "m") else f"measure {measure.unit}"


def units_before(units: list[Unit], token: int, passage: Passage, reach: int) -> list[Unit]:
    """Units that end at or before the token, within reach, the nearest first."""
    first = bisect_left(units, token - reach - LONGEST_UNIT, key=by_start)
    near = [
        u
        for u in units[first : bisect_left(units, token, key=by_start)]
        if u.end <= token
        and token - u.end <= reach + 6
        and (token - u.end <= reach or passage.distance(u.end, token) <= reach)
    ]
    return sorted(near, key=lambda unit: (-unit.end, unit.start))


def units_behind(units: list[Unit], token: int, passage: Passage, reach: int) -> list[Unit]:
    first = bisect_left(units, token, key=by_start)
    near = [
        u
        for u in units[first : bisect_left(units, token + reach + 7, key=by_start)]
        if u.start - token <= reach or passage.distance(token, u.start) <= reach
    ]
    return sorted(near, key=lambda unit: (unit.start, -unit.end))


def are_alike(said: Unit, meant: Unit, strong: bool) -> bool:
    if said.value == meant.value:
        return False
    if said.kind == meant.kind:
        return True
    if meant.value == "sound":
        return False  # "the float is sticking no it's fine": its state is put right, not the float
    return strong and said.kind in THING_KINDS and meant.kind in THING_KINDS


def masking(
    passage: Passage, withdrawn: tuple[int, int], cue: tuple[int, int], kept: tuple[int, int], rule: str
) -> Repair:
    """Masks from the reparandum's own words and from the cue to the repair; what lies between stands."""
    masked = frozenset(range(*withdrawn)) | frozenset(range(cue[0], max(cue[1], kept[0])))
    own = passage.is_class(kept[0] - 1, "article") and not passage.is_class(withdrawn[0] - 1, "article")
    led = kept[0] - (
        kept[1] > kept[0] > cue[1] and own
    )  # "roots ... the seal" differ in it, "the inlet the outlet" not
    return Repair(Correction(withdrawn, cue, (led, kept[1]), rule), masked)


def takes_all(passage: Passage, cue: Tag) -> bool:
    return any(tag.id == "nothing_instead" for tag in passage.tags_from(cue.start, cue.end, "repair"))


def denial_end(passage: Passage, token: int) -> int | None:
    """The token behind "it isn't", "it's not", "I'm not", "they don't" that only deny what was said."""
    if not passage.is_class(token, "pronoun", "someone") or not passage.is_class(token + 1, "copula", "does_not"):
        return None
    if passage.word(token + 2) != "not":
        return None
    bare = passage.is_class(token + 3, "pronoun", "article", "someone", "merely")
    return token + 3 if bare or passage.is_class(token + 1, "copula") else None
