"""What else was said of tanks and boxes: fittings that keep solids in, pumps and floats, and a box's outlets."""

from dataclasses import dataclass
from typing import Literal

from extractor.record import Record
from extractor.trade.heard import first_phrase, text_round
from extractor.trade.rows import keyed, named
from extractor.trade.rules import Rules
from extractor.trade.tables import Guidance

_BREATH = 14  # words after a mention of the box within which its outlets are still spoken of


@dataclass(frozen=True, slots=True)
class Fitting:
    """A fitting or an electric part as it was found, with what the guidance says of it."""

    structure: str
    component: str
    state: Literal["lost", "blocked", "in order", "fault", "put right", "noted"]
    says: str
    row: str
    guidance: Guidance


@dataclass(frozen=True, slots=True)
class BoxOutlets:
    """The outlets of a distribution box: how many, and whether they were said to share the flow (`quote`: how)."""

    structure: str
    count: int | None
    sharing: Literal["uneven", "even"] | None
    quote: str
    guidance: Guidance


def fittings(record: Record, rules: Rules) -> tuple[Fitting, ...]:
    """Inlet and outlet fittings, screens, pumps and floats, in order of narration."""
    inside = rules.phrases("tanks", "fittings", "inside")
    lost = rules.phrases("tanks", "fittings", "lost")
    electric = rules.phrases("tanks", "fittings", "electric")
    fine = rules.phrases("coverage", "conditions", "fine")
    places = (*rules.phrases("tanks", "structures", "tanks"), *rules.phrases("tanks", "structures", "boxes"))
    found = []
    for key, row in keyed(record):
        if row.polarity == "absent" or row.component is None or row.condition is None or row.run is not None:
            continue
        is_electric = row.component in electric
        if not is_electric and (row.structure not in places or row.component not in inside):
            continue
        if row.outcome == "cleared":
            state: Literal["lost", "blocked", "in order", "fault", "put right", "noted"] = "put right"
        elif row.condition in fine:
            state = "in order"
        elif is_electric:
            state = "fault"
        elif row.condition in lost:
            state = "lost"
        elif row.condition in rules.phrases("coverage", "conditions", "blocked"):
            state = "blocked"
        else:
            state = "noted"
        guidance = rules.named(Guidance, "alarm and float" if is_electric else "fittings")
        found.append(Fitting(row.structure or "", row.component, state, named(row, rules), key, guidance))
    return tuple(found)


def box_outlets(record: Record, rules: Rules) -> tuple[BoxOutlets, ...]:
    """Each box of which outlets were spoken of. Sharing is taken from words alone ("only going down one")."""
    found = []
    for box in rules.phrases("tanks", "structures", "boxes"):
        rows = [row for row in record.observations if row.structure == box]
        spoken = (*(row for row in rows if row.polarity == "present"), *(a for a in record.actions if a.target == box))
        counts = [row.count for row in rows if row.component == "outlet" and row.count is not None]
        sharing: Literal["uneven", "even"] | None = None
        said = ""
        which: Literal["uneven", "even"]
        for each in spoken:
            words = text_round(record, each, before=0, after=_BREATH)
            for which in ("uneven", "even"):
                phrase = first_phrase(words, rules.phrases("tanks", "outlets", which))
                if sharing is None and phrase:
                    sharing, said = which, phrase
        if counts or sharing:
            guidance = rules.named(Guidance, "box outlets level")
            found.append(BoxOutlets(box, max(counts, default=None), sharing, said, guidance))
    return tuple(found)
