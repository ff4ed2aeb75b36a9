"""Work told by a verb and what it was done to: taken out, cut back, pumped out, put in, freed, marked from above."""

from collections.abc import Iterator

from extractor.language.passage import Passage
from extractor.language.tools import TOOLS
from extractor.language.verb_reach import got_done, statement_end
from extractor.reading import Tag

REMOVABLE = ("obstruction", "blockage", "settled_deposit", "root_intrusion", "grease", "vermin", "attached_deposit")
OBJECT = 7  # words from a verb of taking to the end of what is taken


def taken_out(passage: Passage) -> Iterator[Tag]:
    """ "pulled a lump of wipes out", "scraped the fat off the tee", "hooked the rag off": taken out by hand."""
    for token in passage.tokens_of(0, len(passage), ("takes_by_hand", "takes_out", "takes_now")):
        strong = passage.is_class(token, "takes_by_hand")
        if passage.is_class(token, "takes_now") and passage.word(token - 1) not in ("i", "we"):
            continue  # "I take all sand out with hand", not "they should take it out"
        if not strong and not passage.is_class(token, "takes_out", "takes_now"):
            continue
        if passage.covering(token, "action") is not None or passage.covering(token, "movement") is not None:
            continue
        if passage.is_class(token + 1, "inside") or (strong and passage.covering(token - 1, "condition") is not None):
            continue  # "wipes hooked on a bit of cement"
        if passage.word(token - 1) == "it":
            continue  # "it took most of the scale off"
        end = statement_end(passage, token + 1, OBJECT)
        taken = [t for t in passage.tags_from(token + 1, end, "condition") if t.id in REMOVABLE]
        if taken and any(passage.is_class(t, "copula") for t in range(token + 1, taken[0].start)):
            continue  # "pulled up dead, it's jammed"
        if taken and passage.word(token) in ("got", "had") and not _known(passage, token, taken[0]):
            continue  # "got heavy scale off the bend", where it is what there is
        if taken and taken[0].id == "root_intrusion" and passage.has_class(token - 10, token, "cutting_tool"):
            continue  # "ran the cutter in and took the roots out"
        if not taken and passage.tags_from(token + 1, end, "structure") and passage.word(token) in ("picked", "found"):
            continue  # "picked the tank up with the locator"
        out = next((t for t in range(token + 1, end + 1) if passage.is_class(t, "away_word")), None)
        if any(passage.is_class(t, "camera_part", "camera_word") for t in range(token + 1, end)):
            continue
        if any(passage.is_class(t, name) for t in range(token + 1, end) for name, _ in TOOLS):
            continue
        if strong and passage.is_class(token + 1, "points_at_it") and not taken:
            yield Tag(token, (out or token + 1) + 1, "action", "hand_removal")
        elif taken and (out is not None or strong):
            last = max(taken[-1].end, (out or 0) + 1) if out is None or out - taken[-1].end <= 2 else out + 1
            yield Tag(token, last, "action", "hand_removal")
        elif strong and _scraped_clean(passage, token, end):
            yield Tag(token, token + 2, "action", "hand_removal")
        elif strong and out is not None and passage.is_class(token + 1, "article", "pronoun", "definite"):
            yield Tag(token, out + 1, "action", "hand_removal")


def _known(passage: Passage, verb: int, taken: Tag) -> bool:
    return any(passage.is_class(t, "definite", "part_of_all") for t in range(verb + 1, taken.start))


def _scraped_clean(passage: Passage, token: int, end: int) -> bool:
    """ "scraped the baffle down with a paint scraper", "brushed the filter clean"."""
    part = next((t for t in passage.tags_from(token + 1, end, "component") if t.id not in ("pump", "lid")), None)
    return part is not None and passage.word(part.end) in ("down", "clean", "off", "out", "back")


def cut_back(passage: Passage) -> Iterator[Tag]:
    """ "trimmed that back with the loppers", behind roots: cut, whatever the tool."""
    for token in passage.tokens_of(0, len(passage), ("cuts_back",)):
        if passage.is_class(token - 1, "copula", "to", "modal", "article"):
            continue
        end = statement_end(passage, token + 1, 5)
        roots = any(t.id == "root_intrusion" for t in passage.tags_from(token + 1, end, "condition"))
        if passage.is_class(token + 1, "points_at_it"):
            before = passage.tags_from(max(0, token - 16), token, "condition")
            roots = roots or bool(before and before[-1].id == "root_intrusion")
        part = passage.has_class(token + 1, end, "part_of_all") and passage.word(token) == "cut"
        if roots and part:
            yield Tag(token, token + 2, "action", "root_cutting")  # "cut half of the roots"
        elif roots and any(
            passage.is_class(t, "away_word") or passage.word(t) in ("back", "with") for t in range(token + 1, end + 1)
        ):
            yield Tag(token, token + 2, "action", "root_cutting")


def sucked_out(passage: Passage) -> Iterator[Tag]:
    """ "pumped the manhole out", "had the truck pump it out", "drew it right down": emptied."""
    for token in passage.tokens_of(0, len(passage), ("sucks",)):
        if not (passage.word(token).endswith("ed") or passage.word(token) in ("drew", "sucked")) and not got_done(
            passage, token
        ):
            continue
        end = statement_end(passage, token + 1, OBJECT)
        out = next((t for t in range(token + 1, end) if passage.is_class(t, "emptied_word")), None)
        held = any(tag.kind == "structure" for tag in passage.tags_from(token + 1, end, "structure"))
        it = passage.is_class(token + 1, "pronoun", "object_pronoun", "all_of")
        if out is not None and (held or it):
            yield Tag(token, out + 1, "action", "pump_out")
            continue
        subject = passage.is_class(token - 1, "pronoun") or passage.covering(token - 1, "condition") is not None
        if passage.is_class(token, "empties") and (held or it) and not subject:
            yield Tag(token, token + 2, "action", "pump_out")


def marked_above(passage: Passage) -> Iterator[Tag]:
    """ "staked the tank", "sprayed a cross on the slab", "knocked a peg in over it": located from above."""
    for token in passage.tokens_of(0, len(passage), ("marks_ground", "ground_mark")):
        if passage.is_class(token, "marks_ground") and (
            passage.is_class(token + 1, "article", "object_pronoun", "side")
            or passage.things_from(token + 1, token + 2)
        ):
            yield Tag(token, token + 2, "action", "located")
        elif passage.is_class(token, "ground_mark") and any(
            passage.is_class(t, "sends_tool", "knocks_in", "gets_off") for t in range(token - 4, token)
        ):
            yield Tag(token - 1, token + 1, "action", "located")


def pump_freed(passage: Passage) -> Iterator[Tag]:
    """ "jiggled the float", "flicked the breaker": a pump set going again."""
    for token in passage.tokens_of(0, len(passage), ("sets_going",)):
        end = statement_end(passage, token + 1, 5)
        part = next(
            (t for t in passage.tags_from(token + 1, end, "component") if t.id in ("pump", "float_switch")), None
        )
        switch = next((t for t in range(token + 1, end) if passage.is_class(t, "power_part")), None)
        if part is not None:
            yield Tag(token, part.end, "action", "pump_reset")
        elif switch is not None:
            yield Tag(token, switch + 1, "action", "pump_reset")
        elif passage.is_class(token + 1, "object_pronoun") and _pump_before(passage, token):
            yield Tag(token, token + 2, "action", "pump_reset")
    for token in passage.tokens_of(0, len(passage), ("switches_back",)):
        back = passage.word(token + 1) == "it"
        if back and passage.word(token + 2) in ("back", "in", "on") and _pump_before(passage, token):
            yield Tag(token, token + 3, "action", "pump_reset")


def _pump_before(passage: Passage, token: int) -> bool:
    """Whether the pump, its float or its switch was spoken of just before."""
    near = passage.tags_from(max(0, token - 12), token, "component")
    return any(t.id in ("pump", "float_switch") for t in near) or any(
        passage.is_class(t, "power_part") for t in range(token - 12, token)
    )


def part_put_in(passage: Passage) -> Iterator[Tag]:
    """ "put a length of new hose on it", "fitted another float", "new cap on": a new part put in."""
    for tag in passage.tags_from(0, len(passage), "component"):
        if not passage.is_class(tag.start - 1, "new_part"):
            continue
        placed = passage.word(tag.end) in ("on", "in", "fitted", "installed") and not passage.is_class(
            tag.end + 1, "article"
        )
        fitted = next((t for t in range(tag.end, tag.end + 6) if passage.word(t) in ("fitted", "installed")), None)
        mine = fitted is not None and any(passage.word(t) in ("i", "we") for t in range(tag.end, fitted))
        if placed:
            yield Tag(tag.start - 1, tag.end + 1, "action", "part_replaced")
        elif mine and fitted is not None:
            yield Tag(tag.start - 1, fitted + 1, "action", "part_replaced")  # "a new pump i have that fitted now"
    for token in passage.tokens_of(0, len(passage), ("puts_part",)):
        end = statement_end(passage, token + 1, OBJECT)
        parts = passage.tags_from(token + 1, end, "component")
        new = next((t for t in range(token + 1, end) if passage.is_class(t, "new_part")), None)
        if new is not None and passage.word(new + 1) == "one" and passage.tags_from(token - 12, token, "component"):
            yield Tag(token, new + 2, "action", "part_replaced")
        elif new is not None and parts and parts[0].start - new <= 3 and new - token <= 5:
            yield Tag(token, parts[0].end, "action", "part_replaced")
