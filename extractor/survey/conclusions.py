"""Conclusions: the main trouble as the speaker puts it, and what should be done next, each with the condition it is about.

Where the words name no condition, the thing they name leads to the row it was found on ("a new outlet tee" -> the missing one).
"""

from collections.abc import Sequence
from dataclasses import dataclass

from extractor.language.clauses import Clause
from extractor.language.passage import Passage
from extractor.survey.rows import Draft

STILL = ("sound", "flowing", "live", "dry")


@dataclass
class ConclusionDraft:
    """Tokens start to end, the kind, the condition, and whether "the" one of several rows was meant."""

    start: int
    end: int
    kind: str
    condition: str | None
    definite: bool = False


def read_conclusions(passage: Passage, clauses: Sequence[Clause], rows: Sequence[Draft]) -> list[ConclusionDraft]:
    """In order of the words; one main issue, and each thing to do on its own."""
    found: list[ConclusionDraft] = []
    main: str | None = None
    for index, clause in enumerate(clauses):
        if clause.act == "main_issue" and any(
            tag.id == "main_issue" for tag in passage.tags_from(clause.start, clause.end, "speech_act")
        ):
            if any(c.kind == "main_issue" and c.condition for c in found):
                continue
            start, end = _stretch(passage, clauses, index, "main_issue")
            condition = _condition(passage, start, end, rows)
            if condition is None and index:
                condition = _condition(passage, clauses[index - 1].start, clause.start, rows)
                start = clauses[index - 1].start if condition else start
            found = [c for c in found if c.kind != "main_issue"]
            found.append(ConclusionDraft(start, end, "main_issue", condition, False))
            main = condition
        elif clause.act == "recommendation":
            start, end = _stretch(passage, clauses, index, "recommendation")
            named = any(tag.id == "recommendation" for tag in passage.tags_from(clause.start, clause.end, "speech_act"))
            ordered = _orders(passage, clause)
            if not named and not ordered:
                continue
            last = found[-1] if found else None
            near = last is not None and last.kind == "recommendation" and start - last.end <= 3
            if (
                near
                and last
                and (
                    _only_confirms(passage, clause, rows)
                    or (
                        not ordered
                        and not passage.tags_from(last.start, last.end, "condition", "component", "structure")
                    )
                )
            ):
                last.end = end
                last.condition = last.condition or _condition(passage, start, end, rows)
                continue
            condition = _condition(passage, start, end, rows)
            if condition is None and _points_there(passage, start, end):
                condition = main
            found.append(ConclusionDraft(start, end, "recommendation", condition, False))
    return found


def _orders(passage: Passage, clause: Clause) -> bool:
    """ "and put a new outlet baffle in": begins with a thing to do."""
    start = clause.start
    while passage.is_class(start, "list", "filler"):
        start += 1
    return passage.cue_at(start, "speech_act", "to_do") is not None


def _stretch(passage: Passage, clauses: Sequence[Clause], index: int, act: str) -> tuple[int, int]:
    start, end = clauses[index].start, clauses[index].end
    following = index + 1
    while (
        following < len(clauses)
        and clauses[following].act == act
        and clauses[following].opener == "boundary"
        and end - start < 30
    ):
        cue = passage.covering(clauses[following].start, "boundary")
        if cue is None or cue.id not in ("because", "where"):
            break
        end = clauses[following].end
        following += 1
    return start, end


def _condition(passage: Passage, start: int, end: int, rows: Sequence[Draft]) -> str | None:
    conditions = [tag for tag in passage.tags_from(start, end, "condition") if tag.id not in STILL]
    if conditions:
        return conditions[0].id
    for tag in passage.tags_from(start, end, "component"):
        on_it = [
            row
            for row in rows
            if row.component == tag.id and row.condition not in (None, *STILL) and row.polarity == "present"
        ]
        if on_it and tag.id not in ("pipe", "joint", "outlet", "inlet"):
            return on_it[-1].condition
    return None


def _points_there(passage: Passage, start: int, end: int) -> bool:
    return "there" in passage.speech.words[start:end]


def _only_confirms(passage: Passage, clause: Clause, rows: Sequence[Draft]) -> bool:
    """ "that'd be my recommendation": says that what was just said is the advice."""
    return not passage.things_from(clause.start, clause.end) and not _orders(passage, clause)
