"""What is being spoken of while findings are read: the last component named, its place, and the row it may still be."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from extractor.language.clauses import Clause
from extractor.language.context import Context
from extractor.language.passage import Passage
from extractor.reading import Tag
from extractor.survey.openings import Opening
from extractor.survey.rows import NOWHERE, Draft, Place

CAUSES = ("settled_deposit", "grease", "obstruction", "root_intrusion", "attached_deposit", "soil_ingress", "vermin")
STATES = ("capped", "disused", "live", "flowing", "dry", "sound", "full")  # said of what was just named
HELD = ("full", "dry", "flowing", "standing_water", "settled_deposit")  # what a structure holds, and no lid
NATURAL = {
    "joint": (
        "root_intrusion",
        "displaced_joint",
        "open_joint",
        "exposed_seal",
        "infiltration",
        "soil_ingress",
        "exfiltration",
    ),
    "junction": ("defective_connection", "protruding_connection"),
    "patch": ("defective_repair",),
}
FEATURES = (
    "junction",
    "joint",
    "bend",
    "taper",
    "patch",
    "material_change",
    "valve",
    "cap",
    "trap",
    "stack",
    "filter",
    "baffle",
)


@dataclass
class Topic:
    """What is being spoken of: the last component named, its place, and the row it may still be."""

    component: str | None = None
    place: Place = NOWHERE
    row: Draft | None = None
    end: int = -1


@dataclass
class Reader:
    passage: Passage
    clauses: Sequence[Clause]
    contexts: Mapping[Tag, Context]
    places: Mapping[Tag, Place]
    openings: Mapping[int, Opening]
    rows: list[Draft] = field(default_factory=list)
    topic: Topic = field(default_factory=Topic)


def topic_stands(topic: Topic, place: Place, tag: Tag) -> bool:
    """Whether the topic is still what is spoken of: no new reading since it was named."""
    if not same_place(topic.place, place) or (topic.place.from_m is None and place.from_m is not None):
        return False
    newer = [m for m in place.measures if topic.end <= m.start < tag.start]
    return not newer or topic.place.from_m == place.from_m


def same_place(one: Place, other: Place) -> bool:
    return one.from_m == other.from_m or other.from_m is None or one.from_m is None


def drop(reader: Reader, row: Draft) -> None:
    """Take this very row out, if it stands: one of the last, so looked for from behind."""
    for at in range(len(reader.rows) - 1, -1, -1):
        if reader.rows[at] is row:
            del reader.rows[at]
            return


def stands(reader: Reader, row: Draft) -> bool:
    """Whether this very row stands: one of the last, so looked for from behind."""
    return any(other is row for other in reversed(reader.rows))
