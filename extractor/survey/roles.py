"""The role of each measure: chainage, depth, diameter, size, reach, surface, length, ... ; None for what is no
measurement.

Decided by the words behind it, then those in front, then by what the clause is about, and only then by where the
camera is:
a length said while the camera is in a pipe is the counter's, unless the words say otherwise.
"""

from collections.abc import Sequence
from itertools import pairwise

from extractor.language.clauses import Clause
from extractor.language.passage import Passage
from extractor.reading import Measure, Tag
from extractor.survey.bare_numbers import role_of_bare
from extractor.survey.deeds_round import (
    beside_locating,
    from_outside,
    is_working,
    on_the_surface,
    said_of_ground,
    tool_went,
)
from extractor.survey.scenes import Scene

LARGEST = 0.6  # metres of a gap, a hole, a step told without a word that measures it ("across")
LONGEST_CABLE = 130.0  # metres that a camera can be pushed
DEEPEST = 1.2  # metres of what has settled in a tank
SMALLEST_BORE = 0.03  # metres
TOOL_BACK = 12  # words from a tool to how much of it went in
FINE_UNITS = ("millimetre", "inch")
SIZED = (
    "displaced_joint",
    "open_joint",
    "hole",
    "crack",
    "fracture",
    "protruding_connection",
    "exposed_seal",
    "break",
    "deformation",
)
DRAWN_OUT = ("root_intrusion", "attached_deposit", "settled_deposit", "grease")
WATER = ("standing_water", "dip", "full", "settled_deposit")


def role_of_measures(passage: Passage, clauses: Sequence[Clause], scenes: Sequence[Scene]) -> dict[Measure, str | None]:
    """The role of each measure of the passage, in its order."""
    roles: dict[Measure, str | None] = {}
    clause_index = scene_index = 0
    for measure in passage.measures:
        while clause_index + 1 < len(clauses) and clauses[clause_index + 1].start <= measure.start:
            clause_index += 1
        while scene_index + 1 < len(scenes) and scenes[scene_index + 1].start <= measure.start:
            scene_index += 1
        roles[measure] = _role(passage, measure, clauses, clause_index, scenes[scene_index], roles)
    _pair_diameters(passage, roles)
    return roles


def _role(
    passage: Passage,
    measure: Measure,
    clauses: Sequence[Clause],
    index: int,
    scene: Scene,
    roles: dict[Measure, str | None],
) -> str | None:
    clause = clauses[index]
    if measure.unit == "%":
        return (
            "fall" if _cue_before(passage, measure, "fall") or passage.cue_at(measure.end, "role", "fall") else "level"
        )
    if measure.unit == "L":
        return "other"
    if measure.unit == "min":
        return "duration"
    if measure.unit in ("mm/m", "ratio"):
        return "fall"
    if measure.unit is None:
        return role_of_bare(passage, measure, clause, scene)
    if measure.unit != "m":
        return None
    return _length(passage, measure, clause, scene, clauses, index, roles)


def runs_for(passage: Passage, measure: Measure) -> bool:
    """ "it carries on for two metres", "for about half a metre there's scale": how far a finding goes on."""
    led = "for" in passage.speech.words[max(0, measure.start - 1) : measure.start + 1]
    lead = measure.start - 1
    while passage.is_class(lead, "for_length", "roughly_word", "definite", "article"):
        lead -= 1
    led = led or passage.word(lead) == "for"  # "for the next two metres"
    if not led and passage.is_class(lead, "extends_verb"):
        # "a crack running about half a metre"; in "that's running | seven feet", it is the water that runs
        led = passage.covering(lead, "condition") is None and bool(passage.tags_from(lead - 4, lead, "condition"))
    if not led or passage.word(measure.end) in ("in", "of", "along", "up", "down"):
        return False
    found = passage.tags_from(measure.start - 12, measure.end + 6, "condition")
    return bool(found) and not passage.tags_from(measure.start - 12, measure.start, "action")


def _goes_for(passage: Passage, measure: Measure) -> bool:
    """ "running for about three hundred mil": how far, told in a fine unit."""
    lead = measure.start - (passage.word(measure.start) != "for")
    while passage.is_class(lead, "roughly_word", "for_length", "article"):
        lead -= 1
    return passage.word(lead) == "for" and passage.is_class(lead - 1, "goes_on_verb", "end_particle")


def amount_of(passage: Passage, measure: Measure) -> bool:
    """ "two metres of roots", "a metre of scale": how long a finding is that has its reading beside it."""
    if passage.word(measure.end) != "of" or measure.unit != "m" or passage.is_class(measure.start - 1, "at"):
        return False
    found = passage.tags_from(measure.end + 1, measure.end + 3, "condition")
    return bool(found) and found[0].id in DRAWN_OUT


def is_last_part(passage: Passage, measure: Measure) -> bool:
    """ "the last two metres": counted back from where the run ends; "for the last two metres" from the camera."""
    last = measure.start - 1
    led = passage.is_class(last, "last_part") and (
        passage.is_class(last - 1, "definite") or passage.word(last) == "final"
    )
    return led and passage.word(last - 2) != "for" and measure.unit == "m"


def _length(
    passage: Passage,
    measure: Measure,
    clause: Clause,
    scene: Scene,
    clauses: Sequence[Clause],
    index: int,
    roles: dict[Measure, str | None],
) -> str:
    fine = measure.spoken_unit in FINE_UNITS and measure.rule != "feet and inches"  # "nine foot ten inches in"
    behind = passage.word(measure.end)
    if behind == "deep" or (behind == "down" and (fine or measure.low > LONGEST_CABLE)):
        return "depth"
    if (said := _bore(passage, measure, fine)) is not None:
        return said
    drawn = runs_for(passage, measure) or is_last_part(passage, measure) or amount_of(passage, measure)
    if scene.kind == "run" and drawn and (not fine or _goes_for(passage, measure)):
        return "length"
    ordinal = passage.measure_over(measure.start - 1)
    if scene.kind == "run" and not fine and ordinal is not None and ordinal.unit == "ordinal" and ordinal.low == 1:
        return "chainage"  # "the first six feet of it is cast iron"
    if (said := _of_it(passage, measure, scene)) is not None:
        return said
    working = is_working(passage, clauses, index, measure.start)
    if not fine and tool_went(passage, measure, clause):
        return "reach"
    if (said := _after(passage, measure, clause, scene, fine, working)) is not None:
        return said
    if (said := _before(passage, measure, clause, scene, fine, working)) is not None:
        return said
    if not fine and (from_outside(passage, measure) or said_of_ground(passage, measure)):
        return "surface"
    at = passage.is_class(measure.start - 1, "at") or passage.is_class(measure.start, "at")
    if not at and not fine and beside_locating(passage, measure):
        return "depth" if passage.cue_at(measure.end, "role", "depth_after") else "surface"
    last = next(reversed(roles), None)
    if (
        last is not None
        and roles[last] == "surface"
        and measure.start - last.end <= 9
        and not at
        and not passage.tags_from(last.end, measure.start, "movement", "boundary")
    ):
        return "surface"
    if working and not fine and not at and scene.kind != "closing":
        return "reach"
    if clause.act in ("recommendation", "main_issue") and not at:
        return "length"
    if on_the_surface(passage, clause, scene) and not at:
        return "surface"
    if scene.kind == "run":
        if (
            fine
            and measure.spoken_unit == "inch"
            and (at or passage.word(measure.end) == "in")
            and not _sized_near(passage, measure)
        ):
            return "chainage"
        if fine and (_reads_in_fine(passage, measure) or _counted_from(passage, measure)):
            return "chainage"
        return _fine_in_run(passage, measure, clause) if fine else "chainage"
    if scene.kind == "closing":
        return "chainage" if at else "length"
    if scene.structure is None and fine:
        return _fine_in_run(passage, measure, clause)
    return "depth" if scene.structure else "chainage" if at else "depth"


def _of_it(passage: Passage, measure: Measure, scene: Scene) -> str | None:
    """ "six metres of it", "nine metres of them": of a tool its reach, of what settles in a tank its depth, else a
    length of pipe.
    """
    if passage.word(measure.end) != "of" or passage.word(measure.end + 1) not in ("it", "them", "that", "those"):
        return None
    if passage.things_from(measure.end + 2, measure.end + 3) and passage.word(measure.end + 1) in ("that", "those"):
        return None  # "two metres of that silt"
    if passage.has_class(measure.start - TOOL_BACK, measure.start, "reaching_tool"):
        return "reach"
    small = measure.spoken_unit in ("millimetre", "centimetre", "inch") or measure.high <= DEEPEST
    in_tank = scene.structure is not None and scene.kind == "structure"
    lying = passage.tags_from(measure.start - 8, measure.start, "condition")
    if small and (in_tank or any(tag.id in WATER for tag in lying)):
        return "depth"
    return None if small and scene.kind != "run" else "length"


def _bore(passage: Passage, measure: Measure, fine: bool) -> str | None:
    """ "hundred mil pvc", "four inch cast iron", "150 mm pipe", "diameter is 100 mm"."""
    if passage.word(measure.end) in ("deep", "down", "below", "thick"):
        return None
    subject = passage.is_class(measure.end + 1, "copula")  # "up to two metres sixty | bore's down by forty percent"
    if passage.word(measure.end) in ("diameter", "bore", "dia") and not subject:
        return "diameter"
    if not fine and measure.spoken_unit != "centimetre":
        diameter = passage.covering(measure.start - 1, "role")
        if diameter is None or diameter.id != "diameter_before":
            return None
        named = passage.word(measure.start - 1) in ("diameter", "bore", "of", "is")
        return "diameter" if named and "diameter" in passage.speech.words[diameter.start : diameter.end] else None
    token = measure.end
    for _ in range(3):
        if passage.is_class(token, "inside", "copula", "list", "at") or passage.word(token) in (
            "of",
            "a",
            "an",
            "another",
        ):
            break  # "forty centimetres | a trap"
        if passage.cue_at(token, "material") or passage.cue_at(token, "role", "diameter_after"):
            sized = passage.cue_at(token, "role", "size_after", "depth_after")
            return None if sized and not passage.cue_at(token, "material") else "diameter"
        if passage.tags_from(token, token + 1, "condition") or passage.measure_over(token):
            break
        token += 1
    if _cue_before(passage, measure, "diameter_before"):
        return "diameter"
    return None


def _after(passage: Passage, measure: Measure, clause: Clause, scene: Scene, fine: bool, working: bool) -> str | None:
    tag = passage.cue_at(measure.end, "role")
    if tag is None and passage.is_class(measure.end, "filler"):
        tag = passage.cue_at(measure.end + 1, "role")
    if tag is None:
        return None
    role = tag.id.removesuffix("_after")
    words = passage.speech.words[tag.start : tag.end]
    if not tag.id.endswith("_after"):
        return None
    if role == "depth":
        if words == ("down",) and scene.kind == "run" and not fine:
            return None
        if words[:1] == ("under",) and len(words) == 1 and scene.kind == "run":
            return None
        if words[:2] == ("of", "it") and not fine and clause.act in ("recommendation", "main_issue"):
            return "length"
        return "depth"
    if role == "length":
        return "length"
    if role == "surface":
        return "surface" if not (scene.kind == "run" and words == ("off",)) else None
    if role == "size" and words == ("wide",) and passage.tags_from(tag.start, tag.end + 1, "component"):
        return None  # "sixteen feet | wide branch"
    if role == "size":
        if not fine and measure.low > LARGEST and words[-1] not in passage.classes["measures_size"]:
            return None  # "nine foot ten in, no holes": a reading
        if words == ("long",) and not fine:
            return "length"  # "a sleeve about half a metre long"
        return "size" if fine or words[0] in passage.classes["size_word"] else None
    if role == "reach":
        return "reach" if working or words[0] == "of" or words[0] == "rods" else None
    if role == "diameter":
        return None
    return role if role == "level" and fine else None


def _before(passage: Passage, measure: Measure, clause: Clause, scene: Scene, fine: bool, working: bool) -> str | None:
    tag = _cue_before(passage, measure)
    if tag is None and passage.is_class(measure.start - 1, "copula") and _depth_told(passage, measure):
        return "depth"
    if tag is None and scene.kind == "run" and _size_told(passage, measure):
        return "size"
    if tag is None:
        return _of_something(passage, measure)
    words = passage.speech.words[tag.start : tag.end]
    if tag.id == "depth_before":
        if (
            scene.kind == "run"
            and not fine
            and words[-1:] not in (("invert",), ("is",), ("depth",), ("vert",), ("of",))
        ):
            return None
        return "depth"
    if tag.id == "size_before":
        if words in (
            ("by",),
            ("of", "about"),
            ("of", "around"),
            ("by", "about"),
            ("of", "approximately"),
            ("of", "roughly"),
        ):
            return "size" if fine else _of_something(passage, measure)
        return "size"
    if tag.id == "reach_before":
        return "reach" if working or words[0] in passage.classes["reaching_tool"] else None
    if tag.id == "length_before":
        return (
            "length"
            if clause.act in ("recommendation", "main_issue", "plan")
            or "length" in words
            or "unseen" in words
            or "seen" in words
            else None
        )
    if tag.id == "surface_before":
        return "surface"
    return None


def _size_told(passage: Passage, measure: Measure) -> bool:
    """ "step is around one centimetre": of the thing right in front of the verb."""
    lead = measure.start - 1
    while passage.is_class(lead, "roughly_word", "filler"):
        lead -= 1
    if not passage.is_class(lead, "copula") or measure.spoken_unit not in ("centimetre", "millimetre", "inch"):
        return False
    return any(t.end == lead and t.id in SIZED for t in passage.tags_from(lead - 4, lead, "condition"))


def _depth_told(passage: Passage, measure: Measure) -> bool:
    """ "the depth to the channel is one point four five": the subject stands further off."""
    lead = range(max(0, measure.start - 7), measure.start - 1)
    told = [t for t in lead if passage.word(t) == "depth"]
    return bool(told) and not passage.measures_from(told[-1], measure.start)


def _cue_before(passage: Passage, measure: Measure, *ids: str) -> Tag | None:
    """The role cue that ends at the measure, over a copula or a hesitation."""
    token = measure.start
    for _ in range(3):
        before = passage.covering(token - 1, "role")
        if before is not None and before.end == token and (not ids or before.id in ids):
            return before
        if not (
            passage.is_class(token - 1, "copula", "filler", "at")
            or passage.word(token - 1) in ("to", "a", "the", "only")
        ):
            return None
        token -= 1
    return None


def _of_something(passage: Passage, measure: Measure) -> str | None:
    """ "a step in a joint of about fifteen metres": the size of the thing, however unlikely."""
    token = measure.start - 1
    inside = passage.word(measure.start) == "of"
    hedged = passage.word(token) in passage.classes["roughly_word"] and passage.word(token - 1) == "of"
    if passage.word(token) != "of" and not inside and not hedged:
        return None
    near = passage.tags_from(max(0, measure.start - 8), measure.start, "condition")
    return "size" if any(tag.id in SIZED for tag in near) else None


def _reads_in_fine(passage: Passage, measure: Measure) -> bool:
    """ "from nine hundred mil it holds water", "at 650 mil there is a joint": a reading told in front of its thing."""
    went = passage.is_class(measure.start - 1, "inside") and passage.word(measure.start - 1) not in ("from", "to")
    went = went and passage.is_class(measure.start - 2, "gets_on", "goes_on_verb")
    if went and passage.is_class(measure.start - 3, "camera_word", "the_camera", "pronoun", "someone"):
        return True  # "the camera goes in three hundred mil"
    led = passage.is_class(measure.start - 1, "at", "from") or passage.is_class(measure.start, "at", "from")
    changes = passage.tags_from(measure.start - 8, measure.start, "component")
    if any(tag.id in ("taper", "material_change") for tag in changes) and not passage.is_class(measure.start - 1, "at"):
        return False  # "a taper from two hundred and twenty five mil"
    if _opens_with_it(passage, measure):
        return True
    if not led or measure.low < 0.2 or passage.word(measure.start - 1) in ("by", "between"):
        return False
    at = measure.start - (not passage.is_class(measure.start, "at"))
    if passage.is_class(at, "at") and any(t.end == at for t in passage.tags_from(at - 5, at, "condition", "component")):
        return True  # "a bend at eight hundred mil"
    if passage.tags_from(measure.start - 3, measure.start, "condition", "component"):
        return False
    report = passage.cue_at(measure.end, "speech_act", "report")
    told = report is not None or passage.word(measure.end) in passage.classes["statement_pronoun"]
    return told or bool(passage.cue_at(measure.end, "stretch", "until"))


def _opens_with_it(passage: Passage, measure: Measure) -> bool:
    """ "forty centimetres a joint", "three hundred mil in there's a bend": a reading that opens its statement."""
    if measure.low < 0.1 or passage.covering(measure.start - 1, "condition"):
        return False
    token = measure.end
    if passage.word(token) == "in" and passage.word(token + 1) not in ("diameter", "from"):
        token += 1
    elif measure.spoken_unit != "centimetre":
        return False
    report = passage.cue_at(token, "speech_act", "report")
    if report is not None:
        return "there" in passage.speech.words[report.start : report.end]
    return passage.is_class(token, "article") and bool(passage.tags_from(token + 1, token + 3, "component"))


def _counted_from(passage: Passage, measure: Measure) -> bool:
    """ "three hundred mil past the patch": a reading counted from a thing told before."""
    token = measure.end
    if not (passage.is_class(token, "passing_by") or passage.word(token) in ("after", "before", "short")):
        return False
    token += 1 + (passage.word(token + 1) == "of")
    return passage.is_class(token, "definite") and bool(
        passage.tags_from(token + 1, token + 3, "component", "condition")
    )


def _sized_near(passage: Passage, measure: Measure) -> bool:
    near = passage.tags_from(max(0, measure.start - 8), measure.start, "condition")
    return any(tag.id in (*SIZED, *WATER) for tag in near)


def _fine_in_run(passage: Passage, measure: Measure, clause: Clause) -> str:
    near = [tag.id for tag in passage.tags_from(max(0, measure.start - 10), measure.end + 6, "condition")]
    if any(id in WATER for id in near) and not any(id in SIZED for id in near):
        return "depth"
    bore = measure.low >= SMALLEST_BORE and measure.spoken_unit != "centimetre"
    return "diameter" if bore and not any(id in SIZED for id in near) else "size"


def _pair_diameters(passage: Passage, roles: dict[Measure, str | None]) -> None:
    """ "from four inch up to six inch pipe": the first bore of a change of bore."""
    measures = list(roles)
    for first, second in pairwise(measures):
        near = (
            second.start - first.end <= 4
            and first.spoken_unit == second.spoken_unit
            and first.spoken_unit in FINE_UNITS
        )
        if (
            near
            and roles[second] == "diameter"
            and roles[first] in ("size", "depth")
            and passage.is_class(second.start - 1, "to", "destination")
        ):
            roles[first] = "diameter"
