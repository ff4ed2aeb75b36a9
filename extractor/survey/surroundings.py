"""What stands beside a sign of the camera: a reading, an opening, a way; questions that the other modules ask."""

from extractor.language.clauses import Clause
from extractor.reading import Measure, Tag
from extractor.survey.openings import Opening
from extractor.survey.walk import LOOK_AHEAD, NEVER_VISITED, Pending, Scene, Start, Walk, mark

LONGEST_PHRASE = 40  # words; no phrase has as many
NEVER_OF_A_STRUCTURE = ("stack", "junction", "joint", "bend", "pipe", "material_change", "taper")
OF_A_TOOL = 12  # words from a tool to the way that it went
FAR_BACK = 60  # words back to the last reading
TO_FIRST_READING = 12  # words from an opening to the first reading behind it
OF_A_RUN = 16  # words from "on that last line" to a reading of it
DENIED_AHEAD = 9
DENIED_BACK = 12  # words from a denial to the stretch that it is told of
OF_A_STORY = 14  # words from "last week" to the clause in which a camera is named


def is_content(walk: Walk, measure: object) -> bool:
    unit = getattr(measure, "unit", "")
    low = float(getattr(measure, "low", 0))
    told = low != int(low) or unit == "m" or "point" in str(getattr(measure, "rule", ""))  # "five point oh"
    told = told or "." in walk.passage.word(int(getattr(measure, "start", -1)))  # "2.0"
    return unit in (None, "m") and told and not _is_size(walk, measure)


def _is_size(walk: Walk, measure: object) -> bool:
    return getattr(measure, "spoken_unit", None) in ("millimetre", "inch")


def went(walk: Walk, pending: Pending) -> bool:
    """Whether somebody went, rather than water that came."""
    return pending.go and walk.passage.word(pending.start) not in walk.passage.classes["comes_word"]


def beside_reading(walk: Walk, tag: Tag) -> bool:
    words = walk.passage.speech.words[tag.start : tag.end]
    near = [m for m in walk.passage.measures_from(tag.start - 6, tag.start) if tag.start - m.end <= 2]
    return "at" in words and any(is_content(walk, m) for m in near)


def just_named(walk: Walk, token: int) -> bool:
    """ "up the inlet with the camera": an opening stands right in front."""
    return walk.topic is not None and 0 <= token - walk.topic.end <= 4


def leads_somewhere(walk: Walk, tag: Tag) -> bool:
    near = range(tag.start, tag.end + 6)
    return any(token in walk.openings or walk.passage.cue_at(token, "direction") for token in near)


def leads_to_another(walk: Walk, opening: Opening) -> bool:
    """ "tank to box first", "second run manhole b to c": from one to the next, with a reading behind."""
    passage = walk.passage
    if not passage.is_class(opening.end, "to"):
        return False
    other = next((walk.openings[t] for t in range(opening.end + 1, opening.end + 4) if t in walk.openings), None)
    end = other.end if other is not None else opening.end + 2
    lettered = other is not None or len(passage.word(opening.end + 1)) == 1
    return lettered and any(is_content(walk, m) for m in passage.measures_from(end, end + LOOK_AHEAD))


def leads_on(walk: Walk, opening: Opening) -> bool:
    """ "from the inspection opening on down"."""
    lead = opening.start - 1
    while walk.passage.is_class(lead, "article", "side"):
        lead -= 1
    return (
        walk.passage.is_class(lead, "from") and walk.passage.word(opening.end) in walk.passage.classes["leads_on_word"]
    )


def headed_from(walk: Walk, opening: Opening) -> bool:
    """ "then in the manhole heading upstream": in an opening, with the way right behind."""
    passage = walk.passage
    lead = opening.start - 1
    while passage.is_class(lead, "article", "side"):
        lead -= 1
    way = passage.tags_from(opening.end, opening.end + 3, "direction")
    return opening.part == "origin" and passage.word(lead) in ("in", "out", "from") and bool(way)


def behind_turn(walk: Walk, opening: Opening) -> bool:
    """ "now the outlet", "next the left outlet": a port named right behind a turn to something else."""
    token = opening.start - 1
    while walk.passage.is_class(token, "article", "side", "takes_up"):
        token -= 1
    boundary = walk.passage.covering(token, "boundary")
    return boundary is not None and boundary.id in ("turn", "next")


def at_reading(walk: Walk, opening: Opening) -> bool:
    """Whether a distance stands right beside the opening: the camera has come to it."""
    if opening.port or opening.structure is None:
        return False
    if walk.passage.is_class(opening.start - 1, "from") or walk.passage.is_class(opening.start - 2, "from"):
        return False
    taken_back = [t for t in range(opening.start - 12, opening.start) if t in walk.passage.masked]
    before = [
        m
        for m in walk.passage.measures_from(opening.start - (18 if taken_back else 9), opening.start)
        if opening.start - m.end - sum(m.end <= token for token in taken_back) <= 5
        and not walk.passage.tags_from(m.end, opening.start, "condition", "component", "direction")
        and not any(token in walk.openings for token in range(m.end, opening.start))
        and not any(
            t.id in ("new_pass", "camera_in", "relook", "other_way")
            for t in walk.passage.tags_from(m.end, opening.start, "movement")
        )
    ]
    behind = walk.passage.measures_from(opening.end, opening.end + 3)
    if not before and behind and reads_less(walk, opening.end):
        return False  # "next the basin itself, 0.4 gunk": the counter begins anew
    return any(is_content(walk, measure) for measure in (*before, *behind))


def looks_at_end(walk: Walk, tag: Tag) -> bool:
    """ "4.05 and I'm looking up at the pan": what the lens shows at a reading, while a run is under way."""
    if walk.passage.word(tag.start) not in ("looking", "staring") or walk.state.run is None or walk.state.ended:
        return False
    near = walk.passage.measures_from(tag.start - 8, tag.start)
    there = any(token in walk.openings for token in range(tag.end, tag.end + 6))
    return there and any(is_content(walk, m) and tag.start - m.end <= 4 for m in near) and walk.pending is None


def come_to(walk: Walk, opening: Opening) -> bool:
    """ "four metres and I'm looking up at the pan", "nine foot and that's you into the main": said to be there, close
    behind a reading of the run under way.
    """
    if opening.port or opening.structure is None or walk.state.run is None or walk.state.ended or walk.pending:
        return False
    near = walk.passage.measures_from(opening.start - 14, opening.start)
    return arrived_at(walk, opening) and any(is_content(walk, m) and opening.start - m.end <= 10 for m in near)


def closed_at(walk: Walk, opening: Opening) -> bool:
    """ "survey complete at the base of the stack": where the run ended."""
    if opening.port or opening.structure is None:
        return False
    ends = [t for t in walk.passage.tags_from(opening.start - 7, opening.start, "ending") if t.id == "line_end"]
    return any(
        walk.passage.is_class(ends[-1].end, "at") and not walk.passage.tags_from(t.end, opening.start, "movement")
        for t in ends[-1:]
    )


def arrived_at(walk: Walk, opening: Opening) -> bool:
    near = walk.passage.tags_from(opening.start - 9, opening.start, "ending")
    return any(t.id == "arrival" and opening.start - t.end <= 4 for t in near)


def from_it(walk: Walk, opening: Opening) -> bool:
    """ "it's flowing from the manhole to the sewer": where a stretch begins, not where the camera went in."""
    passage = walk.passage
    lead = opening.start - 1
    while passage.is_class(lead, "article", "side"):
        lead -= 1
    while passage.word(lead - 1) in ("now", "right", "straight", "all"):
        lead -= 1
    near = passage.tags_from(max(0, lead - 4), lead, "condition")
    return (passage.is_class(lead, "from") or passage.word(lead) in ("now", "right", "straight", "all")) and any(
        passage.distance(t.end, lead) <= 2 for t in near
    )


def told_of_stretch(walk: Walk, opening: Opening, clause: Clause) -> bool:
    """ "no silt at all from the unit to the well": an opening that only tells along which stretch something is denied
    or in order.
    """
    passage, lead = walk.passage, opening.start - 1
    while passage.is_class(lead, "article", "side", "end_particle"):
        lead -= 1
    if not passage.is_class(lead, "from", "between"):
        return False
    behind = passage.tags_from(opening.end, opening.end + DENIED_AHEAD, "negation")
    if behind and behind[0].id == "denies_next" and not passage.measures_from(opening.end, behind[0].start):
        return True  # "from the cleanout on down I didn't see no cracks"
    denied = passage.tags_from(max(0, lead - DENIED_BACK), lead, "negation")
    seen = passage.tags_from(max(0, lead - 5), lead, "condition")
    if seen and passage.distance(seen[-1].end, lead) <= 1 and passage.is_class(opening.end, "to", "end_particle"):
        return bool(passage.measures_from(opening.end, opening.end + 6))  # "bone dry from the trap on out to 1.5"
    if any(cue.id == "denies_next" for cue in denied):
        return not passage.measures_from(denied[0].end, lead) and not passage.tags_from(denied[0].end, lead, "movement")
    return False


def water_comes(walk: Walk, tag: Tag) -> bool:
    """ "been coming back up on them", "backing up into the shower": the water's way, not the camera's."""
    passage = walk.passage
    comes = tag.start - 1
    while passage.is_class(comes, "filler") or passage.word(comes) == "back":
        comes -= 1
    if not passage.is_class(comes, "comes_word", "backs_up"):
        return False
    before = range(max(0, comes - 5), comes)
    return not any(passage.is_class(t, "camera_word", "someone") for t in before)


def seen_since(walk: Walk, start: Start) -> bool:
    measures = walk.passage.measures_from(start.end, len(walk.passage) if walk.pending is None else walk.pending.start)
    return any(is_content(walk, m) for m in measures)


def part_before(walk: Walk, opening: Opening) -> int:
    """ "the lid on | the manhole is cracked": where the words of a visit begin, with the part that is named
    first.
    """
    passage = walk.passage
    lead = opening.start - 1
    while lead > opening.start - 4 and (
        passage.is_class(lead, "article", "inside", "side") or passage.word(lead) in ("of", "on", "to")
    ):
        lead -= 1
    part = passage.covering(lead, "component")
    of_it = part is not None and part.id not in NEVER_OF_A_STRUCTURE and lead < opening.start - 1
    return part.start if part is not None and of_it else opening.start


def reads_less(walk: Walk, token: int) -> bool:
    """Whether the next reading is less than the last one: the counter began anew."""
    before = [m for m in walk.passage.measures_from(max(0, token - FAR_BACK), token) if is_content(walk, m)]
    behind = [m for m in walk.passage.measures_from(token, token + LOOK_AHEAD + 4) if is_content(walk, m)]
    return bool(before and behind) and metres(behind[0]) < metres(before[-1]) - 0.15


def reading_near(walk: Walk, token: int, within: int) -> bool:
    return any(is_content(walk, m) for m in walk.passage.measures_from(token, token + within))


def told_of_tool(walk: Walk, token: int) -> bool:
    """ "the rods then, I went up from the manhole", "ran the jetter back up from the tank": the way of a tool, where
    no camera is named between.
    """
    passage = walk.passage
    if any(t.id == "back_there" for t in passage.tags_from(token - 3, token, "reference")):
        return False  # "back at the manhole": the speaker
    first = max(0, token - OF_A_TOOL)
    if not passage.has_class(first, token, "reaching_tool") and not any(
        action.end > first for action in passage.tags_from(first - LONGEST_PHRASE, token, "action")
    ):
        return False
    for before in range(token - 1, first - 1, -1):
        if passage.is_class(before, "camera_word"):
            return False
        camera = passage.covering(before, "movement")
        if camera is not None and camera.id in ("camera_in", "relook", "new_pass", "other_way"):
            return False
        if passage.is_class(before, "reaching_tool"):
            return True
        action = passage.covering(before, "action")
        if action is not None and action.id in ("jetting", "rodding", "root_cutting"):
            return not any(t.id == "hand_removal" for t in passage.tags_from(action.end, action.end + 4, "action"))
    return False


def told_of_another_time(walk: Walk, token: int, clause: Clause) -> bool:
    """ "did one last week where the camera went in the downpipe", "the previous crowd put a camera up": no run of
    this visit, and its distances are none of the run that it breaks into.
    """
    told = _another_time(walk, token, clause)
    if told and walk.aside is None and walk.state.run is not None and walk.pending is None:
        read = walk.passage.measures_from(clause.start, token)
        begins = max([clause.start, *(m.end for m in read if is_content(walk, m))])
        reached = [o for t in range(begins, begins + 3) if (o := walk.openings.get(t)) is not None]
        begins = reached[-1].end if reached and begins > clause.start else begins  # "9.9 sewer main | last year they"
        walk.aside = (begins, walk.marks[-1][1])
        mark(walk, begins, Scene(0, 0, "open"))
    return told


def come_back(walk: Walk, token: int) -> None:
    """Behind a story: the words go on with what it broke into, from the next turn."""
    if walk.aside is None:
        return
    began, scene = walk.aside
    turns = [t for t in walk.passage.tags_from(began + 1, token, "boundary") if t.id == "turn"]
    if turns:
        walk.aside = None
        mark(walk, turns[-1].start, scene)


def _another_time(walk: Walk, token: int, clause: Clause) -> bool:
    passage = walk.passage
    first = max(clause.start - OF_A_STORY, 0)
    if not passage.has_class(max(first, token - 6), token + 5, "story_verb"):
        return False
    for before in range(token - 1, first - 1, -1):
        turn = passage.covering(before, "boundary")
        if turn is not None and turn.id == "turn" and before > clause.start - 3:
            return False
        earlier = passage.covering(before, "time")
        if earlier is not None and earlier.id == "earlier":
            return True
        if passage.is_class(before, "others_word") and passage.is_class(before - 1, "before_others"):
            return True
        if passage.covering(before, "movement") and walk.pending is not None:
            return False
    return False


def put_in(walk: Walk, opening: Opening) -> bool:
    """ "pushed it down the outlet", "dropped her in the floor drain"."""
    verbs = [t for t in range(opening.start - 5, opening.start) if walk.passage.is_class(t, "pushes_in")]
    if opening.port and verbs and verbs[-1] >= opening.start - 4:
        return True
    return any(walk.passage.is_class(verb + 1, "the_camera") for verb in verbs)


def from_it_to(walk: Walk, opening: Opening) -> bool:
    """ "then from the cleanout to the house, 2.2 a joint": from one place to another, behind a turn."""
    lead = opening.start - 1
    while walk.passage.is_class(lead, "article", "side"):
        lead -= 1
    if walk.passage.word(lead) != "from" or not walk.passage.is_class(opening.end, "to", "heads_to"):
        return False
    turn = walk.passage.covering(lead - 1, "boundary")
    return turn is not None and reading_near(walk, opening.end, 8)


def walked(walk: Walk, opening: Opening) -> bool:
    """ "so I went outside to the cleanout": the speaker, who leaves the run."""
    verbs = [t for t in range(opening.start - 6, opening.start) if walk.passage.is_class(t, "walks")]
    if not verbs:
        return False
    behind_end = walk.passage.covering(verbs[-1] - 1, "ending") is not None
    return (behind_end or walk.passage.is_class(verbs[-1] - 1, "walker")) and not walk.passage.tags_from(
        verbs[-1], opening.start, "condition", "direction", "component"
    )


def moved_to(walk: Walk, opening: Opening, clause: Clause) -> bool:
    """ "back at the tank now", "so I'm over at the gully", "round to the manhole then": the speaker, who is somewhere
    else now, rather than the camera, or a pipe that leads there.
    """
    passage, lead = walk.passage, opening.start - 1
    if opening.port or opening.structure in (None, *NEVER_VISITED):
        return False
    while passage.is_class(lead, "article", "side"):
        lead -= 1
    first = lead
    while passage.is_class(first - 1, "moves_over", "moves_along") and passage.measure_over(first - 1) is None:
        first -= 1
    told = passage.speech.words[first:lead]
    over = any(
        passage.is_class(t, "moves_over") or passage.word(t) in ("outside", "inside") for t in range(first, lead)
    )
    if not passage.is_class(lead, "stands_at") or not told or not (over or passage.is_class(lead, "at")):
        return False
    if _reached_there(walk, opening, first):
        return False
    before = first - 1
    while (
        passage.is_class(before, "copula", "filler", "state_now")
        and passage.measure_over(before) is None
        and passage.covering(before, "boundary") is None
    ):
        before -= 1
    on_foot = passage.is_class(before, "walks") and over
    turned = passage.covering(before, "boundary") is not None
    pending = walk.pending
    under_way = pending is not None and pending.start < before and (pending.camera or pending.go or pending.direction)
    if under_way and not on_foot and not turned:
        return False  # "camera in at the gully, heading back to the tank", "out the outlet and on to the box"
    if before < clause.start or passage.is_class(before, "list") or passage.word(before) in ("i", "we"):
        return True
    if any(passage.covering(before, kind) for kind in ("boundary", "ending")):
        return True
    if on_foot:
        return before - 1 < clause.start or not passage.is_class(before - 1, "not_on_foot", "camera_word")
    if passage.is_class(
        before, "someone", "camera_word", "taken_along", "goes_on_verb", "heads", "leads_off", "backs_up"
    ):
        return False
    if any(passage.covering(before, kind) for kind in ("movement", "action", "direction")):
        return False
    if over and walk.state.ended and walk.state.reached is not None:
        there = walk.openings.get(before)
        if there is not None and there.structure == walk.state.reached:
            return True  # "3.0 it comes out at the gully; outside to the gully"
    if told_of_tool(walk, opening.start) and not passage.is_class(lead, "at"):
        return False  # "jetted the gravel back to the pit"
    return "back" in told and not passage.has_class(before - 5, before, "from")


def _reached_there(walk: Walk, opening: Opening, first: int) -> bool:
    """Whether the words from `first` on tell what the camera came to at a reading, which is not told of anything else
    ("capped at nine metres. back at the tank").
    """
    passage = walk.passage
    if walk.state.run is None or walk.state.ended or not (at_reading(walk, opening) or come_to(walk, opening)):
        return False
    near = [m for m in passage.measures_from(first - 9, first) if is_content(walk, m)]
    if not near or near[-1].end != first:
        return True
    return not passage.is_class(near[-1].start - 1, "at", "to")


def gone_into(walk: Walk, opening: Opening, known: Opening) -> bool:
    """Whether a camera's verb leads right into this opening, and none into the one named before it."""
    if opening.structure in (None, known.structure) or known.port or opening.part != "origin":
        return False

    def led(one: Opening) -> bool:
        token = one.start - 1
        while walk.passage.is_class(token, "article", "side"):
            token -= 1
        verb = walk.passage.covering(token, "movement") or walk.passage.covering(token - 1, "movement")
        return verb is not None and verb.id in ("go", "camera_in")

    return led(opening) and not led(known)


def metres(measure: Measure) -> float:
    return measure.length_m[0] if measure.unit is None and measure.length_m is not None else measure.low


def led_at_once(walk: Walk, opening: Opening) -> bool:
    """ "up the tank inlet to the house, 2.2 a joint", "and from the gully to the manhole, 1.1 ...": a way into
    an opening with no verb, and a reading close behind, where no run is under way or the counter begins anew.
    """
    passage = walk.passage
    if opening.structure in NEVER_VISITED and not opening.port:
        return False
    if walk.state.run is not None and not walk.state.ended and not reads_less(walk, opening.end):
        return False
    first = next(
        (m for m in passage.measures_from(opening.end, opening.end + TO_FIRST_READING) if is_content(walk, m)), None
    )
    cues = passage.tags_from(first.start - 3, first.end + 3, "role") if first is not None else []
    if first is None or any(
        cue.id.startswith(("depth", "surface")) and passage.word(cue.start) != "down" for cue in cues
    ):
        return False  # "from the manhole to the gate it's six metres deep"
    lead = opening.start - 1
    while passage.is_class(lead, "article", "side") and passage.word(lead) not in ("out",):
        lead -= 1
    if not passage.is_class(lead, "leads_in"):
        return False
    while passage.is_class(lead, "leads_in"):
        lead -= 1
    return (
        lead < 0
        or passage.measure_over(lead) is not None
        or (walk.topic is not None and walk.topic.end == lead + 1)  # "back to the pit, up the first inlet"
        or passage.is_class(lead, "list", "filler", "before_way")
        or any(passage.covering(lead, kind) for kind in ("boundary", "ending", "movement"))
    )


def run_told_of(walk: Walk, token: int) -> int | None:
    """ "there's a dead branch on that last line, capped at 11.2", "back on the first run at 3.3": which of the runs
    told so far the words before the token name.
    """
    passage = walk.passage
    for lead in range(token - 1, max(-1, token - OF_A_RUN), -1):
        if not passage.is_class(lead, "on_a_run") or not walk.starts:
            continue
        at = lead + 1
        if not passage.is_class(at, "definite"):
            continue
        near, at = passage.word(at) in ("that", "this"), at + 1
        ordinal = passage.measure_over(at)
        told = passage.word(at)
        number: int | None = None
        if ordinal is not None and ordinal.unit == "ordinal":
            number, at = int(ordinal.low) - 1, ordinal.end
        elif told in ("last", "same", "previous"):
            number, at = len(walk.starts) - 1, at + 1
        if passage.is_class(at, "told_line") and (number is not None or near):
            number = len(walk.starts) - 1 if number is None else number
            return number if 0 <= number < len(walk.starts) else None
    return None


def ports_spoken_of(walk: Walk) -> str | None:
    """ "there's three pipes coming in", "two inlets": through which kind of port the lines of the structure at hand
    lead, as told since the speaker came to it. None where that is not told, or both kinds are.
    """
    passage = walk.passage
    start, end = walk.marks[-1][0], walk.reader_at
    kinds: set[str] = set()
    for token in passage.tokens_of(start, end, ("ports_in_numbers",)):
        number = passage.measure_over(token - 1) or passage.measure_over(token - 2)
        if number is None or number.unit not in (None, "count"):
            continue
        word = passage.word(token)
        if word.startswith(("inlet", "outlet")):
            kinds.add(word.removesuffix("s"))
            continue
        for behind in range(token + 1, token + 6):
            if passage.is_class(behind, "list", "article") or passage.measure_over(behind):
                break
            if passage.word(behind) in ("in", "into", "enter", "entering", "incoming"):
                kinds.add("inlet")
            elif passage.word(behind) in ("out", "leave", "leaving", "off"):
                kinds.add("outlet")
    return kinds.pop() if len(kinds) == 1 else None
