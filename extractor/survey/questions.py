"""A query in plain words, with the likely answers, best first.

An answer's `sets` are fields of the row that it would change: {} leaves the row as it is, None leaves it out.
"""

from collections.abc import Callable, Sequence

from extractor.lexicon.load import Lexicon
from extractor.record import Answer, Observation
from extractor.survey.rows import QueryDraft

FOOT_M = 0.3048
INCH_M = 0.0254
# What a sign against a row (signs.py) tells a person; the first that is there is told
WHY = {
    "twin": "another row stands at the same place",
    "component behind, in it": "another part is named beside it",
    "component in front": "another part is named beside it",
    "component behind": "another part is named beside it",
    "other tag on the words": "the words have two meanings",
    "verdict before a thing": "it may belong to what follows",
    "told with another distance": "it was told with another distance too",
    "no distance": "no distance was told",
    "whole of a run not ended": "where the run ended was not told",
    "run with no reason to end": "why the run ended was not told",
    "run never opened": "where the camera went in was not told",
    "past the end": "it lies past the end of the run",
    "other distance nearer": "another distance was told nearer to it",
    "many words unread": "not all of the words were understood",
    "unread word beside": "the word beside it was not understood",
}
LEAVE_OUT = Answer(label="leave it out", sets=None)

Asked = tuple[str, str, tuple[Answer, ...]]


def ask(query: QueryDraft, lexicon: Lexicon, habit: str, row: Observation | None) -> Asked:
    """What it is about, the question, the answers."""
    named = (row.condition or row.component) if row else None
    thing = lexicon.label(named) if named else "what was seen"
    words = _Words(lexicon, habit)
    if query.by_confidence and row is not None:
        return _unsure(query, words, row, thing)
    return ASKED[query.reason](query, words, row, thing)


class _Words:
    """How things and lengths are said in this visit."""

    def __init__(self, lexicon: Lexicon, habit: str) -> None:
        self.label = lexicon.label
        self.habit = habit

    def length(self, metres: float) -> str:
        if self.habit != "ft":
            return f"{metres:.2f} m"
        inches = round(metres / INCH_M)
        return f"{inches // 12} ft {inches % 12} in" if inches % 12 else f"{inches // 12} ft"

    def place(self, metres: float | None) -> str:
        return "" if metres is None else f" at {self.length(metres)}"


def _unsure(query: QueryDraft, words: _Words, row: Observation, thing: str) -> Asked:
    """A row that several signs speak against: what is doubtful about it, the row as it stands first."""
    what = f"no {thing}" if row.polarity == "absent" else thing
    here = words.length(row.from_m) if row.from_m is not None else ""
    if row.to_m is not None and here:
        here = f"{here} to {words.length(row.to_m)}"
    stands = Answer(label=f"yes: {what}{f' at {here}' if here else ''}", sets={})
    if query.about in ("place carried", "doubtful distance"):
        others = tuple(Answer(label=f"at {words.length(m)}", sets={"from_m": m, "to_m": None}) for m in query.values)
        nowhere = Answer(label="its distance is not known", sets={"from_m": None, "to_m": None})
        return f"{what}: where?", f"{what}: is {here or 'no distance'} right?", (stands, *others, nowhere, LEAVE_OUT)
    parts: tuple[Answer, ...] = ()
    if any(sign in query.signs for sign in ("component in front", "component behind", "component behind, in it")):
        parts = tuple(Answer(label=f"on the {words.label(id)}", sets={"component": id}) for id in query.likely)
    why = next((told for sign, told in WHY.items() if sign in query.signs), "the words may mean another thing")
    place = f" at {here}" if here else ""
    return f"{what}{place}: is this right?", f"{what}{place}: is that right? ({why})", (stands, *parts, LEAVE_OUT)


def _doubt(query: QueryDraft, words: _Words, row: Observation | None, thing: str) -> Asked:
    place = words.place(row.from_m) if row else ""
    if row is not None and row.polarity == "absent":
        return (
            f"{thing}{place} denied with doubt",
            f"The speaker did not think it was {thing}, and was not sure. What should the report say?",
            (
                Answer(label=f"doubtful: no {thing}", sets={}),
                Answer(label=f"no {thing}", sets={"certainty": "stated"}),
                Answer(label=f"possible {thing}", sets={"polarity": "present"}),
                LEAVE_OUT,
            ),
        )
    return (
        f"possible {thing}{place}",
        f"The speaker was not sure. Is there {thing}{place}?",
        (
            Answer(label="keep it as doubtful", sets={}),
            Answer(label=f"yes, {thing}", sets={"certainty": "stated"}),
            Answer(label="no, leave it out", sets=None),
        ),
    )


def _no_distance(query: QueryDraft, words: _Words, row: Observation | None, thing: str) -> Asked:
    unknown = Answer(label="not known: say so in the report", sets={})
    if row is not None and row.from_m is not None:
        here = words.length(row.from_m)
        none: dict[str, float | int | str | bool | tuple[int, int] | None] = {"from_m": None, "to_m": None}
        return (
            f"{thing}: at {here}, or not known",
            f"The words say that the distance of the {thing} was not noted. Is it at {here}?",
            (
                Answer(label="not known: say so in the report", sets={**none, "approximate": False}),
                Answer(label=f"yes, at {here}", sets={}),
                LEAVE_OUT,
            ),
        )
    return f"{thing} with no distance", f"At what distance is the {thing}?", (unknown, LEAVE_OUT)


def _counter(query: QueryDraft, words: _Words, row: Observation | None, thing: str) -> Asked:
    before, after = (words.length(metres) for metres in query.values)
    how = "jumped" if query.about == "counter jumps" else "went"
    way = "on to" if query.about == "counter jumps" else "back to"
    answers = [Answer(label=f"{after} is right", sets={})]
    if row is not None:
        answers += [
            Answer(label=f"not known: {thing} with no distance", sets={"from_m": None, "to_m": None}),
            LEAVE_OUT,
        ]
    return (
        f"{before}, then {after}",
        f"The counter {how} from {before} {way} {after}. Is {after} right?",
        tuple(answers),
    )


def _unit(query: QueryDraft, words: _Words, row: Observation | None, thing: str) -> Asked:
    value = query.values[-1]
    said = words.length(value)
    return (
        f"an unlikely value: {said}",
        f"{said} was said. Is that right, or was another unit meant?",
        (Answer(label="as it was said", sets={}), *_other_units(value)),
    )


def _conflict(query: QueryDraft, words: _Words, row: Observation | None, thing: str) -> Asked:
    both = Answer(label="both stand", sets={})
    if query.about == "two bores":
        first, second = (f"{metres * 1000:.0f} mm" for metres in query.values)
        return (
            f"bore said as {first}, then as {second}",
            "Two bores were given for one line. Which is right?",
            (Answer(label=first, sets={}), Answer(label=second, sets={}), Answer(label="both: it changes", sets={})),
        )
    if query.about == "two depths":
        first, second = (words.length(metres) for metres in query.values)
        return (
            f"depth said as {first}, then as {second}",
            "Two depths were given for one structure. Which is right?",
            (Answer(label=second, sets={}), Answer(label=first, sets={}), both),
        )
    if query.about == "two levels":
        first, second = (f"{round(value)}%" for value in query.values)
        return (
            f"level said as {first}, then as {second}",
            "Two levels were given for one tank. Which is right?",
            (Answer(label=second, sets={}), Answer(label=first, sets={}), both),
        )
    if query.about == "more than counted":
        counted, seen = (round(value) for value in query.values)
        return (
            f"{counted} {thing}s counted, more spoken of",
            f"{counted} was the count of {thing}s, but the camera went into more. How many are there?",
            (
                Answer(label=str(max(seen, counted + 1)), sets={"count": max(seen, counted + 1)}),
                Answer(label=str(counted), sets={}),
            ),
        )
    if query.about == "past the end":
        place, end = query.values
        return (
            f"{thing} at {words.length(place)}, past the end at {words.length(end)}",
            f"{words.length(place)} lies past the end of the run at {words.length(end)}. Which is right?",
            (Answer(label=f"up to {words.length(end)} only", sets=_cut(row, end)), both, LEAVE_OUT),
        )
    return (
        f"{thing} is denied where it was found",
        f"The words deny {thing} over a stretch in which it was noted. Which stands?",
        (Answer(label="what was found stands: drop the denial", sets=None), Answer(label="keep both", sets={})),
    )


def _cut(row: Observation | None, end: float) -> dict[str, float | int | str | bool | tuple[int, int] | None]:
    return {"to_m": end} if row is not None and row.to_m is not None else {"from_m": end}


def _which_one(query: QueryDraft, words: _Words, row: Observation | None, thing: str) -> Asked:
    placed = [f"the one at {words.length(metres)}" for metres in sorted(query.values)]
    placed += [f"the one at the {words.label(structure)}" for structure in query.likely]
    return (
        "one of several",
        "Which one was meant?",
        (
            *(Answer(label=label, sets={}) for label in placed),
            Answer(label="all of them", sets={}),
            Answer(label="leave it open", sets={}),
        ),
    )


def _unclear_word(query: QueryDraft, words: _Words, row: Observation | None, thing: str) -> Asked:
    likely = tuple(Answer(label=words.label(id), sets={}) for id in query.likely)
    return f"what {query.about!r} means", f"What was seen? {query.about!r} makes no sense here.", (*likely, LEAVE_OUT)


ASKED: dict[str, Callable[[QueryDraft, _Words, Observation | None, str], Asked]] = {
    "doubt": _doubt,
    "no_distance": _no_distance,
    "counter": _counter,
    "unit": _unit,
    "conflict": _conflict,
    "which_one": _which_one,
    "unclear_word": _unclear_word,
}


def _other_units(metres: float) -> Sequence[Answer]:
    """The same number in a smaller unit: 15 m said for 15 mm, 14 ft for 14 in."""
    feet = metres / FOOT_M
    if abs(feet - round(feet)) < 0.01 and round(feet):
        return (_value(f"{round(feet)} inches", round(feet) * INCH_M),)
    return (_value(f"{metres:g} mm", metres / 1000), _value(f"{metres:g} cm", metres / 100))


def _value(label: str, metres: float) -> Answer:
    """An answer that sets the measured value the words are about."""
    return Answer(label=label, sets={"low": round(metres, 4), "high": round(metres, 4)})
