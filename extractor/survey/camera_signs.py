"""The signs of a camera that goes in: its movements, ways and openings, gathered into a start that is not yet one."""

from extractor.language.clauses import Clause
from extractor.reading import Tag
from extractor.survey.openings import Opening
from extractor.survey.surroundings import (
    arrived_at,
    at_reading,
    beside_reading,
    just_named,
    leads_somewhere,
    looks_at_end,
    told_of_another_time,
    told_of_tool,
    water_comes,
)
from extractor.survey.walk import LEADS_ELSEWHERE, NEVER_VISITED, Pending, Scene, Walk, gather, mark

GOES_IN = 8  # words from a place that is gone over to until the camera goes in there
LID_OF_IT = 16  # words from a place to "I've taken the lid off that"


def take_movement(walk: Walk, tag: Tag, clause: Clause) -> None:
    ending = walk.passage.covering(tag.start, "ending")
    if ending is not None and ending.id == "could_not_pass":
        return  # "can't get the camera through"
    comes = walk.passage.word(tag.start - 1) in walk.passage.classes["comes_word"]
    if tag.id == "go" and comes and walk.passage.word(tag.start - 2) not in ("i", "we", "have"):
        return  # "that's the tank, comes in at the inlet": the pipe, not the camera
    if walk.passage.covering(tag.start, "action") is not None and tag.id == "go":
        return  # "a go with the jet"
    if tag.id == "out_again":
        walk.state.ended = True
        return
    if walk.passage.cue_at(tag.start, "stretch", "begins") and any(
        told.end >= tag.start - 2 for told in walk.passage.tags_from(tag.start - 6, tag.start, "condition")
    ):
        return  # "there's grease starting at 1.2": the grease, not the camera
    if tag.id == "camera_in" and walk.state.run is not None and beside_reading(walk, tag):
        walk.state.ended = True
        return  # "and at six metres the camera is at the toilet"
    if tag.id == "camera_in" and walk.passage.word(tag.end) == "out" and walk.passage.is_class(tag.start, "has_it_out"):
        walk.state.ended = True
        return  # "while I had the camera out"
    comes_to = ending is not None and ending.id == "arrival" and walk.state.run is not None
    if tag.id == "go" and comes_to and walk.pending is None:
        return  # "7.5 I've come out in the manhole"
    if tag.id == "camera_in" and ending is not None and ending.id == "arrival" and _goes_nowhere(walk, tag):
        return  # "5.05 metres the camera is in the tank"
    if tag.id == "inspect":
        if walk.passage.is_class(tag.start, "camera_word") and told_of_another_time(walk, tag.start, clause):
            return
        if _goes_in(walk, tag):
            gather(walk, tag.start, tag.end).camera = True
            _remember_topic(walk, gather(walk, tag.start, tag.end), tag.start)
        return
    if told_of_another_time(walk, tag.start, clause) or (tag.id == "go" and told_of_tool(walk, tag.start)):
        return
    refused = tag.id == "camera_in" and any(
        walk.passage.word(t) in ("not", "never") for t in range(tag.start - 3, tag.start)
    )
    if tag.id == "left_out" and walk.pending is not None and walk.pending.camera and not _of_camera(walk, tag):
        return  # "camera into outlet three, I've skipped one"
    if tag.id == "left_out" or refused:  # "I'm not putting a camera in that"
        walk.pending = None
        alone = walk.passage.word(tag.end - 1) in ("alone", "be", "unseen", "undone")  # told of what was named before
        if walk.passage.word(tag.start) in walk.passage.classes["leaves_out"] and not alone:
            walk.busy_until = tag.end + 6
        return
    goes_in = (
        "in" in walk.passage.speech.words[tag.start : tag.end]
        and walk.topic is not None
        and tag.start - walk.topic.end <= 8
    )
    if tag.id == "go" and looks_at_end(walk, tag):
        walk.state.ended = True
        return
    if tag.id == "go" and walk.pending is None and not leads_somewhere(walk, tag) and not goes_in:
        return
    gone = walk.passage.has_class(tag.start - 4, tag.start, "goes_along", "heads")  # "went down it with the camera"
    headed = gone or (
        walk.pending is not None and walk.pending.direction is not None and walk.pending.opening is not None
    )
    if (
        tag.id == "camera_in"
        and walk.passage.word(tag.start) == "with"
        and not headed
        and not just_named(walk, tag.start)
    ):
        return
    if tag.id == "camera_in" and walk.passage.word(tag.start) == "line" and not _line_announced(walk, tag, clause):
        return  # "it meets the main line from the house"
    pending = gather(walk, tag.start, tag.end)
    if tag.id == "camera_in":
        pending.camera = True
        again = walk.passage.tags_from(tag.end, tag.end + 4, "reference")
        pending.relook = pending.relook or (
            walk.state.run is not None
            and any(t.id == "same_again" and "again" in _words(walk, t) for t in again)
            and not walk.passage.tags_from(tag.end, tag.end + 4, "direction", "structure", "fixture")
        )
        _remember_topic(walk, pending, tag.start)
        if walk.passage.word(tag.end - 1) in ("up", "down"):
            way_behind(walk, pending, tag.end - 1)
    elif tag.id == "go":
        pending.go = True
        way_behind(walk, pending, tag.end - (walk.passage.word(tag.end - 1) in ("up", "down")))
        if "in" in walk.passage.speech.words[tag.start : tag.end]:
            _remember_topic(walk, pending, tag.start)
    elif tag.id == "new_pass":
        told = pending.opening
        stale = told is not None and told.part == "topic" and walk.state.ended and tag.start > told.end
        done_with = (walk.starts[-1].structure, walk.state.reached) if walk.starts else ()
        if stale and told is not None and told.structure in done_with and not pending.camera:
            pending.opening, pending.start = None, tag.start  # "so that's the bath done, next the basin"
        pending.announced = True
    elif tag.id == "other_way":
        seen = walk.passage.word(tag.start - 1) == "from" and not (
            pending.camera or pending.go
        )  # "the same roots from"
        passed = seen or (
            walk.passage.is_class(tag.start - 1, "passes_out") and not walk.state.ended
        )  # "i'm right under and then out the other side"
        pending.other_way = walk.passage.word(tag.end) != "of" and not passed  # "the other side of the wipes"
    elif tag.id == "relook":
        pending.relook = walk.state.run is not None
        pending.camera = pending.camera or (
            walk.state.run is None and "camera" in walk.passage.speech.words[tag.start : tag.end]
        )


def _goes_nowhere(walk: Walk, tag: Tag) -> bool:
    """Whether a run is under way, and no way or port is told behind, nor a reading that is less."""
    way = walk.passage.tags_from(tag.end, tag.end + GOES_IN, "direction")
    port = any(o.port for t in range(tag.end, tag.end + 5) if (o := walk.openings.get(t)) is not None)
    return walk.state.run is not None and not way and not port


def _line_announced(walk: Walk, tag: Tag, clause: Clause) -> bool:
    """ "second line from the laundry tub", "the line from the gully next"."""
    passage, lead = walk.passage, tag.start - 1
    while passage.is_class(lead, "article", "side", "takes_up") or passage.measure_over(lead) is not None:
        lead -= 1
    turned = lead < clause.start or passage.covering(lead, "boundary") is not None
    return turned or any(t.id == "new_pass" for t in passage.tags_from(tag.start - 4, tag.end, "movement"))


def _of_camera(walk: Walk, tag: Tag) -> bool:
    return any(walk.passage.is_class(t, "camera_word") for t in range(tag.start, tag.end))


def _words(walk: Walk, tag: Tag) -> tuple[str, ...]:
    return walk.passage.speech.words[tag.start : tag.end]


def way_behind(walk: Walk, pending: Pending, token: int) -> None:
    """ "looking down to the kerb", "on up towards the sheds": a way told by up or down alone."""
    for at in range(token, token + 3):
        word = walk.passage.word(at)
        if word in ("up", "down"):
            leads = (
                walk.passage.is_class(at + 1, "destination", "to", "from")
                or walk.passage.measure_over(at + 1) is not None
                or (walk.passage.is_class(at + 1, "article") and walk.passage.has_class(at + 2, at + 4, "line_noun"))
            )
            if leads and walk.passage.covering(at, "direction") is None:
                pending.direction = pending.direction or ("upstream" if word == "up" else "downstream")
            return
        if word not in ("back", "on", "right", "straight"):
            return


def way_before(walk: Walk, pending: Pending, opening: Opening) -> None:
    """ "up from the manhole", "down the gully": the way told in front of the opening."""
    for token in range(opening.start - 1, opening.start - 5, -1):
        word = walk.passage.word(token)
        if word in ("up", "down") and walk.passage.covering(token, "direction") is None:
            pending.direction = pending.direction or ("upstream" if word == "up" else "downstream")
            return
        described = token >= opening.start - 2 and not walk.passage.is_class(token, "small")
        if not described and not walk.passage.is_class(token, "article", "side", "leads_in"):
            return


def _remember_topic(walk: Walk, pending: Pending, token: int) -> None:
    """The opening named a few words before is the one the camera goes into: "the gully by the porch, camera in
    that".
    """
    topic, told = walk.topic, pending.opening
    bare = not (pending.go or pending.direction or pending.announced or pending.relook or pending.other_way)
    named = told is not None and topic is not None and bare and not told.port and not pending.remembered
    if named and told is not None and topic is not None and topic.structure not in (None, told.structure):
        near = topic.start > told.end and token - topic.end <= GOES_IN
        if near:  # "the tank's in the paddock, there's an eye, camera in it"
            pending.opening, pending.start = None, topic.start
    if pending.opening is None and topic is not None and 0 <= token - topic.end <= 14:
        if walk.starts and topic.start < walk.starts[-1].end and walk.state.ended:
            return  # the opening of the run before
        if topic.start < walk.busy_until - 16 or (
            walk.state.run is not None and not walk.state.ended and token - topic.end > 8
        ):
            return
        pending.opening = topic
        pending.remembered, pending.said_from = True, pending.start
        pending.start = min(pending.start, topic.start)


def _goes_in(walk: Walk, tag: Tag) -> bool:
    """ "the camera" with a verb of putting in beside it and an opening or a direction close behind."""
    passage = walk.passage
    if not passage.is_class(tag.start, "camera_word"):
        return False
    verb = any(passage.is_class(t, "puts_in") for t in (*range(tag.start - 4, tag.start), *range(tag.end, tag.end + 3)))
    denied = any(passage.word(t) in ("not", "never") for t in range(tag.start - 6, tag.start))
    busy = any(passage.covering(t, "ending") for t in (tag.start, tag.start - 1, tag.end))
    if not verb or denied or busy:
        return False
    if passage.tags_from(tag.start - 3, tag.end + 6, "action"):
        return False
    near = [walk.openings[t] for t in range(tag.end, tag.end + 9) if t in walk.openings]
    if walk.topic is not None and 0 <= tag.start - walk.topic.end <= 14 and _into_the_pipe(walk, tag.end):
        return True
    return any(o.part == "origin" for o in near) or bool(passage.tags_from(tag.end, tag.end + 6, "direction"))


def _into_the_pipe(walk: Walk, token: int) -> bool:
    """ "camera's going into the waste pipe", "camera goes in here"."""
    passage = walk.passage
    for at in range(token, token + 5):
        if passage.word(at) in ("in", "into", "down", "up", "through") and any(
            passage.is_class(t, "pipe_mouth") or passage.word(t) == "here" for t in range(at + 1, at + 4)
        ):
            return not passage.tags_from(token, at, "condition")
    return False


def take_direction(walk: Walk, tag: Tag, clause: Clause) -> None:
    before = walk.passage.covering(tag.start - 1, "ending") or walk.passage.covering(tag.start, "ending")
    if before is not None and before.id == "arrival":
        return  # "I'm up under the kitchen sink"
    if told_of_tool(walk, tag.start) or told_of_another_time(walk, tag.start, clause):
        return
    if walk.passage.word(tag.start - 1) == "way" and walk.pending is None:
        return  # "clear right the way to the sewer"
    if tag.start < walk.stretch_until and walk.pending is None:
        return  # "not a crack in it from the downpipe to the main"
    if walk.pending is None and water_comes(walk, tag):
        return  # "the shower's been coming back up on them"
    if (
        walk.passage.word(tag.end - 1) in ("up", "down")
        and walk.passage.is_class(tag.end, "at")
        and walk.pending is None
    ):
        return  # "back up at the house there's a cleanout"
    pending = gather(walk, tag.start, tag.end)
    _remember_topic(walk, pending, tag.start)
    plain = tag.end - tag.start == 1 or (walk.passage.word(tag.start) in ("up", "down") and tag.end - tag.start == 2)
    if pending.direction is None or plain:
        pending.direction = tag.id
    pending.go = pending.go or walk.passage.is_class(tag.start - 1, "goes_along", "walks")
    pending.go = pending.go or (walk.state.ended and _turned_about(walk, tag, clause))


def _turned_about(walk: Walk, tag: Tag, clause: Clause) -> bool:
    """ "then around and downstream", "now upstream": another way than the last run's, at the head of a statement."""
    passage, lead = walk.passage, tag.start - 1
    if not walk.starts or walk.starts[-1].direction in (None, tag.id):
        return False
    while passage.is_class(lead, "list", "turns_about", "filler") and passage.covering(lead, "boundary") is None:
        lead -= 1
    return lead < clause.start or passage.covering(lead, "boundary") is not None


def take_action(walk: Walk, tag: Tag) -> None:
    if tag.id == "lid_lifted" and _of_no_lid(walk, tag):
        return
    if tag.id != "lid_lifted":
        prepared = tag.id == "hand_removal" and walk.pending is not None and walk.pending.announced
        if walk.pending is not None and not (walk.pending.camera or walk.pending.relook or prepared):
            walk.pending = None
        if tag.id in LEADS_ELSEWHERE:
            walk.busy_until = tag.end + 16
        return
    close = (walk.openings.get(start) for start in range(tag.start - 8, tag.start + 9))
    near = [o for o in close if o is not None and o.structure]
    near = [o for o in near if o.structure not in NEVER_VISITED]
    near.sort(
        key=lambda o: (
            o.part == "destination" and not 0 <= tag.start - o.end <= 1,
            abs(o.start - tag.end) if o.start >= tag.end else tag.start - o.end + 1,
        )
    )
    place = near[0] if near else _lid_of_it(walk, tag)
    if place and place.structure:
        walk.state.at, walk.state.at_label = place.structure, place.label
    walk.pending = None
    walk.state.ended = True
    start = tag.start
    if (
        place
        and place.end <= tag.start
        and tag.start - place.end <= 4
        and not arrived_at(walk, place)
        and not at_reading(walk, place)
    ):
        start = place.start
    mark(walk, start, Scene(0, 0, "structure", structure=walk.state.at, label=walk.state.at_label))


def _lid_of_it(walk: Walk, tag: Tag) -> Opening | None:
    """ "boundary trap next ... I've taken the lid off that": the place named last."""
    topic = walk.topic
    if topic is None or topic.structure in (None, *NEVER_VISITED) or not 0 <= tag.start - topic.end <= LID_OF_IT:
        return None
    points = any(walk.passage.word(t) in ("that", "it", "this") for t in range(tag.start, tag.end + 1))
    return topic if points else None


def _of_no_lid(walk: Walk, tag: Tag) -> bool:
    """ "had a crack at that root, couldn't shift it": what did not move was no lid."""
    passage = walk.passage
    if not passage.has_class(tag.start - 2, tag.start, "refuses"):
        return False
    before = passage.tags_from(tag.start - 20, tag.start, "component", "condition", "structure")
    of_lid = (
        t.id in ("lid", "cap") or (t.kind == "structure" and passage.word(t.start - 2) != "from") for t in before[-2:]
    )
    return not any(of_lid)
