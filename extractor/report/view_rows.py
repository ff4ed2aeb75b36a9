"""Rows, runs and places of the record -> parts of the view, in sentences."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from extractor.record import Evidence, Measurement, Observation, Query, Record, Run
from extractor.report.amounts import clock_time, measured, metres, place
from extractor.report.safe_text import clean
from extractor.report.sentences import Words, finding_sentence, opening_name, thing_name
from extractor.report.view import Moment, PlacePart, Reading, Row, RunPart

NOT_SAID = "not said"
_SMALL_ROLES = {"diameter", "size"}
_ROLES = {
    "chainage": "counter reading",
    "depth": "depth",
    "diameter": "diameter",
    "reach": "reach of jet or rod",
    "surface": "distance over the ground",
    "length": "length",
    "size": "size",
    "level": "level",
    "fall": "fall",
    "duration": "time taken",
    "other": "other value",
}


@dataclass(frozen=True)
class Told:
    """What every part needs to be told: the record, the client's words, which rows a reviewer changed."""

    record: Record
    words: Words
    changed: frozenset[str] = frozenset()

    @property
    def feet(self) -> bool:
        return self.record.spoken_unit == "ft"

    def moment(self, evidence: Sequence[Evidence]) -> Moment:
        """The time of the first words that a row rests on."""
        if not evidence:
            return Moment()
        first = evidence[0]
        text = clock_time(first.start_s)
        if text and len(self.record.sources) > 1:
            text = f"rec. {first.source + 1}, {text}"
        return Moment(text, first.start_s, first.end_s, first.source)


def run_parts(told: Told) -> tuple[RunPart, ...]:
    rows = defaultdict(list)
    for observation in told.record.observations:
        rows[observation.run].append(observation)
    questions = _questions_by_row(told.record.queries)
    return tuple(
        _run_part(run, number, _in_order_of_distance(rows[run.id]), questions, told)
        for number, run in enumerate(told.record.runs, 1)
    )


def place_parts(told: Told, first_number: int) -> tuple[PlacePart, ...]:
    """Places off the pipe, in order of first mention, each with what was measured there."""
    known = {run.id for run in told.record.runs}
    rows: dict[tuple[str | None, str | None], list[Observation]] = defaultdict(list)
    for observation in told.record.observations:
        if observation.run not in known:
            rows[observation.structure, observation.structure_label].append(observation)
    for measurement in told.record.measurements:
        told_of = {structure for structure, _ in rows}
        if measurement.structure and measurement.run is None and measurement.structure not in told_of:
            rows[measurement.structure, None] = []
    questions = _questions_by_row(told.record.queries)
    parts = []
    measured_at: set[str] = set()
    for number, ((structure, label), observations) in enumerate(rows.items(), first_number):
        title = thing_name(structure, label, told.words) if structure else "place not named"
        made = tuple(
            make_row(each, f"{number}.{index}", title, questions, told) for index, each in enumerate(observations, 1)
        )
        measures = () if structure is None or structure in measured_at else _measures(told, structure=structure)
        measured_at.add(structure or "")
        parts.append(PlacePart(_capital(title), made, measures))
    return tuple(parts)


def make_row(
    observation: Observation, number: str, where: str, questions: Mapping[str, Sequence[str]], told: Told
) -> Row:
    words = told.words
    trouble = words.is_trouble(observation)
    at = place(observation.from_m, observation.to_m, observation.approximate, told.feet)
    return Row(
        observation=observation,
        number=number,
        where=where,
        place=at or (f"distance {NOT_SAID}" if observation.run else "–"),
        sentence=finding_sentence(observation, words),
        sure="Speaker not sure" if observation.certainty == "tentative" else "Stated",
        left=_left(observation, trouble),
        moment=told.moment(observation.evidence),
        quote=clean(observation.quote),
        group=words.group(observation),
        label=words.short(observation),
        trouble=trouble,
        questions=tuple(questions.get(observation.id, ())) if observation.id else (),
        changed=observation.id in told.changed,
    )


def readings(told: Told) -> tuple[Reading, ...]:
    titles = {run.id: f"run {number}" for number, run in enumerate(told.record.runs, 1)}
    return tuple(
        Reading(
            measurement=each,
            text=measurement_text(each, told.feet),
            what=_ROLES[each.role],
            where=titles.get(each.run or "") or (told.words.name(each.structure) if each.structure else ""),
            moment=told.moment(each.evidence),
            quote=clean(each.quote),
        )
        for each in told.record.measurements
    )


def measurement_text(each: Measurement, feet: bool) -> str:
    text = measured(each.low, each.high, each.unit, small=each.role in _SMALL_ROLES, feet=feet)
    return f"about {text}" if each.approximate else text


def _run_part(
    run: Run, number: int, observations: Sequence[Observation], questions: Mapping[str, Sequence[str]], told: Told
) -> RunPart:
    opening = opening_name(run.start, told.words)
    way = {"upstream": "upstream", "downstream": "downstream", None: "direction not said"}[run.direction]
    reached = metres(run.end_m, told.feet) if run.end_m is not None else f"length {NOT_SAID}"
    where = f"run {number}"
    return RunPart(
        run=run,
        number=number,
        title=f"Run {number}: from the {opening}, {way}, {reached}",
        opening=opening,
        summary=_summary(run, opening, told),
        ending=_ending(run, told),
        unseen=_unseen(run, number, told),
        rows=tuple(
            make_row(each, f"{number}.{index}", where, questions, told) for index, each in enumerate(observations, 1)
        ),
        measures=_measures(told, run=run.id),
        feet=told.feet,
        moment=told.moment(run.evidence),
    )


def _summary(run: Run, opening: str, told: Told) -> tuple[str, ...]:
    way = {
        "upstream": "was pushed against the flow (upstream)",
        "downstream": "was pushed with the flow (downstream)",
        None: "was pushed along the line; whether with or against the flow was not said",
    }[run.direction]
    far = f"It reached {metres(run.end_m, told.feet)}." if run.end_m is not None else "How far it got was not said."
    return (f"The camera went in at the {opening} and {way}.", f"{far} {_why(run, told)}")


def _why(run: Run, told: Told) -> str:
    at = told.words.name(run.end_at) if run.end_at else ""
    if run.end_reason == "reached":
        return f"There it came to the {at}." if at else "There it came to the end of this line."
    if run.end_reason == "could_not_pass":
        return f"It could not get past that point{f' (at the {at})' if at else ''}."
    if run.end_reason == "cable_limit":
        return f"That was as far as the cable would go{f', at the {at}' if at else ''}."
    if run.end_reason == "capped":
        return "The line is capped there."
    if run.end_reason == "stopped":
        return f"The technician chose to stop there{f', at the {at}' if at else ''}."
    return "Why it stopped there was not said."


def _ending(run: Run, told: Told) -> str:
    """A few words for the end of the drawing."""
    at = told.words.name(run.end_at) if run.end_at else ""
    reason = {
        "reached": at or "end of the line",
        "could_not_pass": "could not pass" + (f": {at}" if at else ""),
        "cable_limit": "end of cable",
        "capped": "capped",
        "stopped": "stopped by choice",
        None: at or "reason not said",
    }[run.end_reason]
    return reason


def _unseen(run: Run, number: int, told: Told) -> str:
    """What was not seen of this line, as plainly as what was; "" where the camera reached what it was sent to."""
    if run.end_m is None:
        return f"Run {number}: how much of the line was seen can't be told, as no distance was said for its end."
    end = metres(run.end_m, told.feet)
    if run.end_reason == "reached":
        return ""
    if run.end_reason == "capped":
        return f"Run {number}: the line is capped at {end}; what lies behind the cap was not seen."
    if run.end_reason is None:
        return f"Run {number}: the last distance said is {end}; anything beyond it is not known to have been seen."
    return f"Run {number}: nothing beyond {end} was seen."


def _left(observation: Observation, trouble: bool) -> str:
    if observation.outcome == "cleared":
        return "Cleared on the day"
    if observation.outcome == "partly_cleared":
        return "Partly cleared"
    return "Left as found" if trouble else "–"


def _measures(told: Told, run: str | None = None, structure: str | None = None) -> tuple[str, ...]:
    """What else was measured, counter readings left out: "diameter: 100 mm"."""
    return tuple(
        f"{_ROLES[each.role]}: {measurement_text(each, told.feet)}"
        for each in told.record.measurements
        if each.role != "chainage"
        and (
            (run is not None and each.run == run)
            or (structure is not None and each.structure == structure and not each.run)
        )
    )


def _in_order_of_distance(observations: Iterable[Observation]) -> list[Observation]:
    """Along the run; what has no distance comes last, in the order of the words."""
    return sorted(observations, key=lambda each: (each.from_m is None, each.from_m or 0.0))


def _questions_by_row(queries: Iterable[Query]) -> dict[str, list[str]]:
    found: dict[str, list[str]] = defaultdict(list)
    for query in queries:
        if query.row:
            found[query.row].append(clean(query.question or query.about))
    return found


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
