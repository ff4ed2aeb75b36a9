"""What is said of the line just looked along, once the words have come to the structure at its end: "... and that's the
chamber, no roots anywhere on that line", "from the cleanout on down I saw no cracks".
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from extractor.language.clauses import Clause, clause_at
from extractor.language.passage import Passage
from extractor.reading import Tag
from extractor.survey.walk import Scene

TO_THE_CUE = 12  # words from a denial to "on that line"


def give_back(passage: Passage, clauses: Sequence[Clause], scenes: Sequence[Scene]) -> tuple[Scene, ...]:
    """The scenes with each statement about the whole of the last line cut out of the scene of a structure."""
    made: list[Scene] = []
    run: int | None = None
    for scene in scenes:
        if scene.kind == "run":
            run = scene.run
        if scene.kind != "structure" or run is None:
            made.append(scene)
            continue
        at = scene.start
        for start, end in _statements(passage, clauses, scene):
            if start < at:
                continue
            if start > at:
                made.append(replace(scene, start=at, end=start))
            made.append(Scene(start, end, "run", run=run, second=True))
            at = end
        if at < scene.end:
            made.append(replace(scene, start=at))
    return tuple(made)


def _statements(passage: Passage, clauses: Sequence[Clause], scene: Scene) -> Iterator[tuple[int, int]]:
    """Where a denial of something along a whole line stands in the scene, from its first word to its last."""
    for negation in passage.tags_from(scene.start, scene.end, "negation"):
        if negation.id != "denies_next":
            continue
        denied = passage.tags_from(negation.end, negation.end + 3, "condition")
        if not denied or denied[0].end > scene.end:
            continue
        cue = _line_named(passage, denied[0].end, min(scene.end, denied[0].end + TO_THE_CUE))
        if cue is None:
            continue
        opens = passage.tags_from(negation.start, cue.end, "structure", "fixture", "movement", "action")
        opens = [tag for tag in opens if tag.id != "inspect" and tag.start < cue.start]
        if opens or passage.measures_from(negation.start, cue.start):
            continue
        start = max(scene.start, min(negation.start, clause_at(clauses, negation.start).start))
        start = start if not passage.tags_from(start, negation.start, "structure", "condition") else negation.start
        end = cue.end
        while passage.is_class(end, "list", "filler") and end < scene.end:
            more = next((t for t in range(end, end + 3) if passage.cue_at(t, "negation", "denies_next")), None)
            also = passage.tags_from(more + 1, more + 4, "condition") if more is not None else []
            if not also:
                break
            end = also[0].end
        yield start, min(end, scene.end)


def _line_named(passage: Passage, start: int, end: int) -> Tag | None:
    """ "on that line", "over the whole of that length", "the whole way"."""
    for cue in passage.tags_from(start, end, "stretch"):
        if cue.id == "whole" and passage.has_class(cue.start, cue.end, "line_of_a_cue"):
            return cue
    told = whole_told(passage, start, end)
    return told if told is not None and passage.has_class(told.start, told.end, "line_of_a_cue") else None


def whole_told(passage: Passage, start: int, end: int) -> Tag | None:
    """ "the whole of that one", "that entire leg", "every inch of the way", "any of that": all of the line."""
    for token in passage.tokens_of(start, end, ("whole_word",)):
        if passage.covering(token, "extent") is not None:
            continue
        if passage.word(token) == "any" and passage.word(token + 1) != "of":
            continue
        for behind in range(token + 1, min(token + 6, end)):
            if passage.measure_over(behind) is not None or passage.tags_from(behind, behind + 1, "condition"):
                break
            pointing = passage.word(behind) in ("it", "that", "this") and passage.word(behind - 1) == "of"
            if pointing or passage.is_class(behind, "whole_line_word", "whole_way_word"):
                return Tag(token, behind + 1, "stretch", "whole")
            if not passage.is_class(behind, "article", "to") and passage.word(behind) not in ("of", "single", "inch"):
                break
    return None
