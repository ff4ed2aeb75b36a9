"""Openings: the structures, fixtures and ports that the speaker names, and what part each plays.

"out of the tank outlet heading down to the box"  ->  tank + outlet: origin; box: destination
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from extractor.language.passage import Passage
from extractor.reading import Tag

PORTS = ("inlet", "outlet")
LED_TO = ("absorption_trench", "main", "building", "soakaway")  # what a camera goes along or to, not into
HAS_NO_PORT = ("downpipe", "stack", "gully", "building", "main")  # "the downpipe, second inlet"
NAMED_BY_FIXTURE = ("inspection_opening", "gully", "manhole", "inspection_chamber")
TAKEN_OFF = ("trap", "filter", "hose", "valve")  # off its fixture, which the camera goes into then
SIDE_WORDS_BACK = 3


@dataclass(frozen=True, slots=True)
class Opening:
    """A place the camera could go in. `part`: origin, destination, belongs (what a branch serves) or topic.
    `line`: told only as one of several ("number two", "the far one"); which it is hangs on the structure at hand.
    """

    start: int
    end: int
    structure: str | None
    port: str | None
    label: str | None
    part: str
    line: bool = False


def find_openings(passage: Passage) -> tuple[Opening, ...]:
    """Every mention of a structure, fixture or port, in order; "the tank outlet" and "the outlet of the tank" are
    one.
    """
    tags = [
        tag
        for tag in (
            _tee_gone_through(passage, tag)
            for tag in passage.tags_from(0, len(passage), "structure", "fixture", "component")
        )
        if (tag.kind != "component" or tag.id in PORTS or tag.id == "stack")
        and not _in_closing_words(passage, tag)
        and not _which_is_main(passage, tag)
        and not _room(passage, tag)
    ]
    openings: list[Opening] = []
    index = 0
    while index < len(tags):
        group = [tags[index]]
        while index + 1 < len(tags) and _one_place(passage, group, tags[index + 1]):
            index += 1
            group.append(tags[index])
        if not _counted(passage, group):
            openings.append(_opening(passage, group))
        index += 1
    return tuple(openings)


def _tee_gone_through(passage: Passage, tag: Tag) -> Tag:
    """ "camera in the outlet tee": the tank's port, where the camera goes through it."""
    if tag.kind != "component" or tag.id != "baffle":
        return tag
    port = next((p for p in PORTS if p in passage.speech.words[tag.start : tag.end]), None)
    lead = tag.start - 1
    while passage.is_class(lead, "article"):
        lead -= 1
    led = passage.word(lead) in ("in", "into", "out", "down", "up", "through", "of", "via")
    moved = passage.covering(lead, "movement") or passage.covering(lead - 1, "movement")
    return replace(tag, id=port) if port and led and moved is not None else tag


def find_lines(passage: Passage, openings: Sequence[Opening]) -> tuple[Opening, ...]:
    """ "number two", "the left hand one", "the next line", "trench two": one of several, where no opening is named."""
    taken = {token for opening in openings for token in range(opening.start, opening.end) if _names_port(opening)}
    found: list[Opening] = []
    ordinals = [token for m in passage.measures if m.unit == "ordinal" for token in range(m.start, m.end)]
    spoken = passage.tokens_of(0, len(passage), ("line_noun", "line_side", "line_order"), ("number",))
    for token in sorted({*ordinals, *spoken}):
        if found and token < found[-1].end:
            continue
        line = _numbered(passage, token) or _told_by_side(passage, token) or _told_by_place(passage, token)
        if line is not None and taken.isdisjoint(range(line.start, line.end + 1)):
            found.append(line)
    return tuple(found)


def _names_port(opening: Opening) -> bool:
    return opening.port is not None or opening.structure != "absorption_trench"


def _numbered(passage: Passage, token: int) -> Opening | None:
    """ "number two", "line two", "trench three"."""
    numbered = passage.word(token) == "number"
    if not numbered and not (passage.is_class(token, "line_noun") and passage.word(token) != "one"):
        return None
    at = token + 1 + (not numbered and passage.word(token + 1) == "number")
    measure = passage.measure_over(at)
    if numbered and measure is None and passage.word(at) == "one" and not passage.is_class(at + 1, "not_a_line"):
        return Opening(token, at + 1, None, None, "1", "topic", line=True)  # "number one I went twenty five foot"
    if measure is None or measure.unit is not None or measure.end - measure.start != 1 or not 1 <= measure.low <= 9:
        return None
    if measure.low != int(measure.low) or passage.is_class(measure.end, "not_a_line"):
        return None
    if numbered and passage.is_class(token - 1, "not_a_line"):
        return None
    return Opening(token, measure.end, None, None, str(int(measure.low)), "topic", line=True)


def _told_by_place(passage: Passage, token: int) -> Opening | None:
    """ "the one by the kitchen door", "the one from the roof": one of several by where it is, or whence it comes and
    where it goes, which tells its port.
    """
    if passage.word(token) != "one" or not passage.is_class(token - 1, "definite"):
        return None
    if passage.covering(token, "stretch") is not None:
        return None  # "no grease in this one from the tank to the shower"
    at = token + 1
    while passage.is_class(at, "line_comes", "line_goes"):
        at += 1
    comes = passage.word(at) == "from" or (at > token + 1 and passage.is_class(at - 1, "line_comes"))
    goes = passage.word(at) in ("to", "toward", "towards", "out")
    if not comes and not goes and not passage.is_class(at, "stands_by"):
        return None
    if (comes or goes) and not passage.is_class(at + 1, "article"):
        return None
    place = at + 1 + passage.is_class(at + 1, "article")
    if not passage.word(place) or passage.measure_over(place) is not None:
        return None
    port = "inlet" if passage.word(at) == "from" else "outlet" if goes else None
    return Opening(token, at + 1, None, port, passage.word(place), "topic", line=True)


def _told_by_side(passage: Passage, token: int) -> Opening | None:
    """ "the left one", "right hand side", "the second line", "the one on the left", "the last one"."""
    if passage.is_class(token, "line_noun") and passage.word(token + 1) in ("on", "in", "at", "to"):
        at = token + 2 + passage.is_class(token + 2, "article")
        if passage.is_class(at, "line_side") and passage.is_class(token - 1, "article"):
            at += passage.word(at + 1) in ("hand", "side")
            return Opening(token, at + 1, None, None, passage.word(at), "topic", line=True)
    ordinal = passage.measure_over(token)
    if ordinal is not None and ordinal.unit == "ordinal":
        label, at = str(int(ordinal.low)), ordinal.end
    elif passage.is_class(token, "line_side", "line_order"):
        label, at = passage.word(token), token + 1
        if passage.is_class(at, "line_side"):
            label, at = f"{label} {passage.word(at)}", at + 1  # "the far right one"
    else:
        return None
    reading = passage.measure_over(at)
    if reading is not None and reading.end - reading.start > 1:
        return None  # "on the house side one point one"
    if passage.word(at) == "hand":
        at += 1
        if not passage.is_class(at, "line_noun") and passage.word(at) != "side":
            return Opening(token, at, None, None, label, "topic", line=True)
    elif not passage.is_class(at, "line_noun"):
        return None
    pointed_at = (
        passage.is_class(token - 1, "article")
        or passage.cue_at(token - 1, "boundary") is not None
        or passage.is_class(at, "field_line")
        or _is_reading(passage, at + 1)  # "the gully, middle one 1.1 a joint"
        or (passage.word(at + 1) == "first" and passage.word(at) == "one")
        or _is_reading(passage, token - 1)  # "still under at four metres, right one dry"
        or (passage.is_class(at + 1, "copula") and passage.word(at) == "one")  # "middle one is clear"
    )
    if not pointed_at and not passage.is_class(token, "line_order") and ordinal is None:
        return None  # "on the way back one", "water left one"
    return Opening(token, at + 1, None, None, label, "topic", line=True)


def _is_reading(passage: Passage, token: int) -> bool:
    """A number with a unit, a point or a part, not "line two"."""
    measure = passage.measure_over(token)
    return measure is not None and (
        measure.unit is not None or measure.low != int(measure.low) or "point" in measure.rule
    )


def _room(passage: Passage, tag: Tag) -> bool:
    """ "the shower room", "the hall bath": a place in the house, not what drains."""
    if tag.kind != "fixture":
        return False
    if passage.is_class(tag.end, "room_word") and not passage.tags_from(tag.end, tag.end + 1, "component", "fixture"):
        return True
    return tag.id == "bath" and tag.end - tag.start == 1 and passage.is_class(tag.start - 1, "bath_room")


def _which_is_main(passage: Passage, tag: Tag) -> bool:
    """ "the main manhole", "main stack": which of them, not the sewer."""
    behind = passage.tags_from(tag.end, tag.end + 1, "structure", "fixture", "component")
    return (
        tag.id == "main" and tag.end - tag.start == 1 and any(t.kind != "component" or t.id != "pipe" for t in behind)
    )


def _in_closing_words(passage: Passage, tag: Tag) -> bool:
    """ "the main trouble" is no sewer main."""
    cues = passage.tags_from(tag.start - 5, tag.end + 1, "speech_act")
    return any(
        cue.end > tag.start
        and (cue.start < tag.end or tag.id == "main")
        and cue.id in ("main_issue", "closing", "recommendation")
        for cue in cues
    )


def _counted(passage: Passage, group: list[Tag]) -> bool:
    """ "three inlets and the one outlet": counted, not gone into."""
    if passage.word(group[0].start - 2) == "number":
        return False
    if len(group) == 1 and group[0].id in PORTS and passage.word(group[0].start - 1) == "one":
        return True
    measure = passage.measure_over(group[0].start - 1)
    if measure is None or measure.low != int(measure.low) or "." in passage.word(measure.start):
        return False  # "the downpipe at 3.5, inlet two"
    return measure.unit in (None, "count") and len(group) == 1 and group[0].id in PORTS


def _one_place(passage: Passage, group: list[Tag], tag: Tag) -> bool:
    """ "the tank's outlet", "outlet of the grease trap", "toilet flange" and such; "gully boundary trap" is two."""
    last = group[-1]
    if tag.start < last.end:
        return True
    if tag.start == last.end and last.kind == "fixture" and tag.id in NAMED_BY_FIXTURE:
        return True  # "the kitchen sink cleanout"
    between = passage.speech.words[last.end : tag.start]
    if tag.id in PORTS and between and (last.kind == "fixture" or last.id in HAS_NO_PORT):
        return False  # "up to the foot of the downpipe, second inlet ..."
    if tag.id in ("building", "main") and any(member.id in PORTS for member in group):
        return False  # "up the inlet on the house side"
    ports = [member.id in PORTS for member in (*group, tag)]
    if sum(ports) != 1 or len(between) > 3 or between[:1] == ("the",):
        return False
    nth = passage.measure_over(last.end)
    one_of_them = passage.is_class(last.end, "side") or (nth is not None and nth.unit == "ordinal")
    if tag.id in PORTS and one_of_them and _at_a_reading(passage, group[0].start):
        return False  # "3.8 that's the gully, right inlet 0.8 ..."
    if tag.id in PORTS:
        return all(word in passage.classes["between_opening_and_port"] for word in between)
    return all(word in passage.classes["between_port_and_opening"] for word in between) and (
        "of" in between or "from" in between or "on" in between or "at" in between
    )


def _at_a_reading(passage: Passage, token: int) -> bool:
    return any(m.unit in (None, "m") for m in passage.measures_from(token - 6, token))


def _opening(passage: Passage, group: list[Tag]) -> Opening:
    start, end = min(tag.start for tag in group), max(tag.end for tag in group)
    places = [tag for tag in group if tag.kind in ("structure", "fixture") or tag.id == "stack"]
    ports = [tag.id for tag in group if tag.id in PORTS]
    label, end = _label(passage, start, end, bool(ports))
    named_by = len(places) > 1 and places[0].kind == "fixture" and places[-1].id in NAMED_BY_FIXTURE
    where = places[-1 if named_by else 0].id if places else None
    return Opening(
        start=start,
        end=end,
        structure=where,
        port=ports[0] if ports else None,
        label=label,
        part=_part(passage, start, where, bool(ports)),
    )


def _label(passage: Passage, start: int, end: int, port: bool) -> tuple[str | None, int]:
    """ "the second box", "left hand outlet", "outlet number two", "chamber one": the word that tells one of several."""
    numbered = passage.measure_over(start - 1)
    if numbered and passage.word(numbered.start - 1) == "number" and numbered.low == int(numbered.low):
        return str(int(numbered.low)), end  # "number two outlet"
    measure = passage.measure_over(end + (passage.word(end) == "number"))
    if (
        measure
        and measure.unit is None
        and measure.low == int(measure.low)
        and measure.low < 10
        and measure.end - measure.start == 1
        and "." not in passage.word(measure.start)  # "the tank inlet 2.0 roots"
    ):
        behind = passage.word(measure.end)
        further = passage.measure_over(measure.end)
        told = port and further is not None and ("point" in further.rule or further.unit == "m")  # "outlet one 3.3"
        if (further is None or further.unit == "ordinal" or told) and behind not in ("point",):
            return str(int(measure.low)), measure.end
    if behind_letter(passage.word(end)):
        return passage.word(end), end + 1
    beside = port and passage.word(end) in ("on", "at", "to") and passage.is_class(end + 1, "article")
    if beside and passage.is_class(end + 2, "line_side") and passage.word(end + 2) != "end":
        return passage.word(end + 2), end + 3  # "the inlet on the left"
    for token in range(start - 1, max(-1, start - 1 - SIDE_WORDS_BACK), -1):
        ordinal = passage.measure_over(token)
        if ordinal and ordinal.unit == "ordinal":
            return str(int(ordinal.low)), end
        if passage.word(token) == "next":
            return "next", end
        if (
            passage.is_class(token, "side")
            and passage.word(token) not in ("hand", "main", "back")
            and (port or not passage.cue_at(token, "boundary"))
        ):
            return passage.word(token), end
        if passage.is_class(token, "origin", "destination", "at", "article"):
            break
    return None, end


def behind_letter(word: str) -> bool:
    """ "manhole b": one of several told by a letter (not "a", which is an article)."""
    return len(word) == 1 and word in "bcdefgh"


def _part(passage: Passage, start: int, structure: str | None, port: bool) -> str:
    """From the preposition in front, over articles and what describes it."""
    token = start - 1
    steps = 0
    while token >= 0 and steps < 4:
        word = passage.word(token)
        stretch = passage.covering(token, "stretch")
        if stretch is not None and stretch.id == "whole":
            return "topic"
        ending = passage.covering(token, "ending")
        if word in ("them", "me", "us") or (ending is not None and ending.id == "could_not_pass"):
            return "topic"  # "can't get past them, second outlet dry to nine"
        if passage.is_class(token + 1, "article") and any(passage.covering(token, k) for k in ("structure", "fixture")):
            return "topic"  # "then into the house, the floor waste had a sock in it"
        number = passage.measure_over(token)
        if number is not None and (number.unit == "m" or "point" in number.rule):
            return "topic"  # "a joint at 5.0, box at 8.1"
        if (
            number is not None
            and number.unit is None
            and passage.is_class(number.start - 1, "at", "to")
            and token == start - 1
        ):
            return "topic"  # "a joint at nineteen, box cover was buried"
        moving = passage.covering(token, "movement")
        if word in passage.classes["destination"] and moving is not None and moving.id == "camera_in":
            return "origin"
        camera = passage.covering(token - 1, "movement")
        if word == "into" and camera is not None and camera.id == "camera_in":
            return "origin"  # "camera going into the gully"
        if word in passage.classes["destination"]:
            return "belongs" if word == "for" and not _moving(passage, token) else "destination"
        if passage.word(token - 1) in passage.classes["way_word"] and word in (
            "to",
            "into",
            "toward",
            "towards",
        ):
            return "destination"
        if word == "from" and passage.word(token - 1) in passage.classes["comes_from"]:
            line = passage.word(token - 1) == "line"
            nth = passage.measure_over(token - 2)
            announced = nth is not None and nth.unit == "ordinal"  # "second line from the laundry tub"
            announced = announced or any(t.id == "new_pass" for t in passage.tags_from(token - 4, token, "movement"))
            return "origin" if line and (announced or structure in NAMED_BY_FIXTURE) else "belongs"
        if word == "from" and passage.word(token - 1) == "is" and passage.is_class(token - 2, "pointing_word"):
            return "belongs"  # "up the first inlet, that's from the downpipe"
        if word in ("up", "down") and port:
            return "origin"  # "pushed it down the outlet"
        if word == "outside" and passage.is_class(token - 1, "article"):
            token -= 1
            continue  # "that's the outside toilet"
        if word in passage.classes["beside"] and passage.cue_at(token - 1, "boundary"):
            return "topic"  # "then outside, the rodding eye"
        if word in passage.classes["beside"] or (word == "by" and not port and not _goes_in_by(passage, token)):
            return "belongs"  # "beside the laundry", "the floor drain by the washer"
        if word == "off" and passage.word(token - 1) == "in":
            return "origin"
        if word == "off" and passage.word(token - 1) != "starting":
            lid = passage.covering(token - 1, "component")
            if lid is not None and lid.id in ("lid", "cap"):
                return "origin"
            verb = token - 1 - (passage.word(token - 1) in ("is", "was"))
            led = passage.is_class(verb, "leads_off") or passage.measure_over(token - 1) is not None
            part = lid is not None and lid.id not in TAKEN_OFF
            return "belongs" if led or part else "topic"  # "the shoe off the downpipe": opened there
        if word in ("down", "up", "along") and structure in LED_TO and not port:
            return "destination"
        if word == "of" and passage.word(token - 1) in ("foot", "bottom", "base", "head"):
            token -= 2  # "up to the foot of the stack"
            continue
        if word in passage.classes["origin"] or word == "on":
            if word == "of" and passage.word(token - 1) in passage.classes["part_word"]:
                return "topic"
            return "origin"
        if passage.is_class(token, "does_to_it") and passage.word(token - 1) in ("to", "and", "will", "we", "i"):
            return "topic"  # "he said to do the gully first"
        if passage.is_class(token, "copula", "list", "someone") or passage.cue_at(token, "boundary"):
            return "topic"
        token -= 1
        steps += 1
    return "topic"


def _goes_in_by(passage: Passage, token: int) -> bool:
    """ "went in by the gully"."""
    before = token - 1
    return passage.word(before) in ("in", "into") or passage.cue_at(before, "movement") is not None


def _moving(passage: Passage, token: int) -> bool:
    """ "heading for", "making for", "down for": for as a direction."""
    return passage.word(token - 1) in passage.classes["before_for"]
