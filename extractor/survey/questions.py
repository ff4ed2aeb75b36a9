"""A query in plain words, with the likely answers, best first."""

from extractor.lexicon.load import Lexicon
from extractor.record import Answer, Observation
from extractor.survey.queries import QueryDraft

FOOT_M = 0.3048
INCH_M = 0.0254


def ask(
    query: QueryDraft, lexicon: Lexicon, habit: str, row: Observation | None
) -> tuple[str, str, tuple[Answer, ...]]:
    """What it is about, the question, the answers."""
    thing = lexicon.label(row.condition) if row and row.condition else (lexicon.label(row.component) if row else "")
    place = _place(row.from_m, habit) if row else ""
    if query.reason == "doubt":
        return (
            f"possible {thing}{place}",
            f"The speaker was not sure. Is there {thing}{place}?",
            (
                Answer(label="keep it as doubtful", sets={}),
                Answer(label=f"yes, {thing}", sets={"certainty": "stated"}),
                Answer(label="no, leave it out", sets=None),
            ),
        )
    if query.reason == "no_distance":
        return (
            f"{thing} with no distance",
            f"At what distance is the {thing}?",
            (Answer(label="not known: say so in the report", sets={}), Answer(label="leave the row out", sets=None)),
        )
    if query.reason == "counter":
        before, after = query.values
        return (
            f"{_length(before, habit)}, then {_length(after, habit)}",
            f"The counter went from {_length(before, habit)} back to {_length(after, habit)}. Is {_length(after, habit)} right?",
            (Answer(label=f"{_length(after, habit)} is right", sets={}), Answer(label="leave the row out", sets=None)),
        )
    if query.reason == "unit":
        value = query.values[-1]
        return (
            f"an unlikely value: {_length(value, habit)}",
            f"{_length(value, habit)} was said. Is that right, or was another unit meant?",
            (Answer(label="as it was said", sets={}), *_other_units(value)),
        )
    if query.reason == "conflict" and query.values:
        first, second = query.values
        return (
            f"bore said as {first * 1000:.0f} mm, then as {second * 1000:.0f} mm",
            "Two bores were given for one line. Which is right?",
            (
                Answer(label=f"{first * 1000:.0f} mm", sets={}),
                Answer(label=f"{second * 1000:.0f} mm", sets={}),
                Answer(label="both: it changes", sets={}),
            ),
        )
    if query.reason == "conflict":
        return (
            f"{thing} is denied where it was found",
            f"The words deny {thing} over a stretch in which it was noted. Which stands?",
            (Answer(label="what was found stands: drop the denial", sets=None), Answer(label="keep both", sets={})),
        )
    if query.reason == "which_one":
        return (
            "one of several",
            "Which one was meant?",
            (Answer(label="all of them", sets={}), Answer(label="leave it open", sets={})),
        )
    return ("a word that makes no sense here", "What was seen?", (Answer(label="leave it out", sets={}),))


def _length(metres: float, habit: str) -> str:
    if habit == "ft":
        inches = round(metres / INCH_M)
        return f"{inches // 12} ft {inches % 12} in" if inches % 12 else f"{inches // 12} ft"
    return f"{metres:.2f} m"


def _place(metres: float | None, habit: str) -> str:
    return "" if metres is None else f" at {_length(metres, habit)}"


def _other_units(metres: float) -> tuple[Answer, ...]:
    """The same number in a smaller unit: 15 m said for 15 mm, 14 ft for 14 in."""
    feet = metres / FOOT_M
    if abs(feet - round(feet)) < 0.01:
        return (Answer(label=f"{round(feet)} inches", sets={}),)
    return (Answer(label=f"{metres:g} mm", sets={}), Answer(label=f"{metres:g} cm", sets={}))
