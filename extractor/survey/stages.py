"""What every stage made of one narration: the value that `explain` shows and the record is written from."""

from dataclasses import dataclass

from extractor.language.clauses import Clause
from extractor.language.context import Context
from extractor.language.passage import Passage
from extractor.reading import Measure, Narration, Speech, Tag
from extractor.survey.conclusions import ConclusionDraft
from extractor.survey.confidence import Rated
from extractor.survey.openings import Opening
from extractor.survey.rows import Draft, Place, QueryDraft
from extractor.survey.run_draft import RunDraft
from extractor.survey.scenes import Scene, Start
from extractor.survey.work import ActionDraft


@dataclass(frozen=True)
class Reading:
    """What every stage made of one narration, in the order of the stages."""

    narration: Narration
    speech: Speech
    heard: Passage  # all tags and measures, misheard ones not yet judged
    mended: Passage
    passage: Passage  # corrections taken out
    clauses: tuple[Clause, ...]
    contexts: dict[Tag, Context]
    starts: tuple[Start, ...]
    scenes: tuple[Scene, ...]
    openings: tuple[Opening, ...]
    roles: dict[Measure, str | None]
    places: dict[Tag, Place]
    runs: list[RunDraft]
    rows: list[Draft]
    actions: list[ActionDraft]
    conclusions: list[ConclusionDraft]
    queries: list[QueryDraft]
    habit: str
    rated: list[Rated]
    unread: list[tuple[int, int]]  # tokens of content words that led to nothing
