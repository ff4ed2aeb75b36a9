"""A pipe told clear along a stretch: "clear to fifteen feet", "all clear from the gully to 4.4".

The same for a praise ("it's lovely all the way to 9.4"). "Clear" alone tells what the work did ("it's clear now"), so
it is a finding only where a stretch follows.
"""

from dataclasses import replace

from extractor.language.passage import Passage
from extractor.reading import Tag, by_place


def add_clear_stretches(passage: Passage) -> Passage:
    """The passage with a tag of a pipe in order at each "clear" that a stretch with a reading follows."""
    found = []
    for token in passage.tokens_of(0, len(passage), ("clear_word",)):
        praise = passage.word(token) != "clear"
        cue = passage.cue_at(token + 1, "stretch", "until", "from_opening")
        if (
            cue is None
            or (praise and not passage.is_class(token - 1, "copula", "list"))
            or passage.covering(token, "condition") is not None
            or _cleared(passage, token)
        ):
            continue
        behind = passage.measures_from(cue.end, cue.end + (3 if cue.id == "until" else 8))
        if any(m.unit in (None, "m") for m in behind):
            found.append(Tag(token, token + 1, "condition", "sound"))
    return replace(passage, tags=tuple(sorted((*passage.tags, *found), key=by_place))) if found else passage


def _cleared(passage: Passage, token: int) -> bool:
    """ "it's been cleared, clear to 4.4", "jetted it clear to the bend": what the work did."""
    deeds = passage.tags_from(token - 8, token, "action")
    return bool(deeds) and not passage.tags_from(deeds[-1].end, token, "movement", "boundary")
