"""The reviewed record and visit.toml -> ReportView: what the report says, in the order in which it is read."""

from collections.abc import Iterable, Sequence

from extractor.record import Conclusion, Observation
from extractor.report.amounts import clock_time, metres
from extractor.report.reviewed import Reviewed
from extractor.report.safe_text import clean, shortened
from extractor.report.sentences import Label, Words, result_words, shipped_sentences, work_sentence
from extractor.report.view import (
    Answer,
    BeforeAfter,
    Correction,
    Extras,
    Fact,
    PlacePart,
    Question,
    RecordingFact,
    ReportView,
    Row,
    RunPart,
    Statement,
    Work,
)
from extractor.report.view_rows import Told, place_parts, readings, run_parts
from extractor.report.visit import Visit

MOST_REMAINING = 6  # on the front page; the rest is counted there and told by run
MOST_DONE = 6
REASONS = {
    "no_distance": "No distance",
    "unclear_word": "Unclear word",
    "conflict": "Two statements that can't both stand",
    "counter": "Distance that doesn't fit",
    "which_one": "Which one is meant",
    "unit": "Number without a unit, or unlikely",
    "doubt": "The speaker was not sure",
}


def build_view(reviewed: Reviewed, visit: Visit, label: Label, extras: Extras | None = None) -> ReportView:
    """Everything that any output says. `label` gives the plain label of an id (Lexicon.label)."""
    record = reviewed.record
    words = Words(label, shipped_sentences())
    told = Told(record, words, frozenset(change.row for change in reviewed.changes if change.row and change.changed))
    runs = run_parts(told)
    places = place_parts(told, len(runs) + 1)
    work = _work(told, runs)
    extras = extras or Extras()
    return ReportView(
        title="Drain camera report",
        subtitle=_one_line(visit.address, visit.day),
        draft="" if reviewed.sign_off else "Draft: not signed off",
        sign_off=reviewed.sign_off,
        facts=_facts(visit),
        answer=_answer(told, runs, places, work, extras),
        runs=runs,
        places=places,
        work=work,
        before_after=_before_after(runs, places, work),
        readings=readings(told),
        questions=_questions(told, runs, places),
        corrections=tuple(
            Correction(clean(each.withdrawn), clean(each.kept), told.moment(each.evidence), clean(each.quote))
            for each in record.corrections
        ),
        mendings=tuple(
            f"“{clean(each.heard)}” was read as “{clean(each.read_as)}”{'' if each.certain else ' (not certain)'}"
            for each in record.mendings
        ),
        changes=reviewed.changes,
        notes=reviewed.notes,
        limits=words.sentences.limits,
        extras=extras,
        recordings=tuple(
            RecordingFact(clean(each.name), clock_time(each.duration_s), each.sha256) for each in record.sources
        ),
        feet=told.feet,
        made_by=clean(record.program),
        firm=visit.firm,
        day=visit.day,
        date_iso=visit.date.isoformat() if visit.date else "",
    )


def _facts(visit: Visit) -> tuple[Fact, ...]:
    lines = (
        ("Client", visit.client),
        ("Address", visit.address),
        ("Date of visit", visit.day),
        ("What was asked", visit.purpose),
        ("Report for", visit.recipient),
        ("Firm", visit.firm),
        ("Licence number", visit.licence),
        ("Contact", visit.contact),
        ("Technician", visit.technician),
        ("Reference", visit.reference),
        ("Recording", visit.recording),
    )
    optional = {"Contact", "Technician", "Reference", "Recording"}
    return tuple(
        Fact(name, value or f"[{name.lower()}: not given]", not value)
        for name, value in lines
        if value or name not in optional
    )


def _answer(
    told: Told, runs: Sequence[RunPart], places: Sequence[PlacePart], work: Sequence[Work], extras: Extras
) -> Answer:
    remaining = [row for row in _rows(runs, places) if row.trouble and row.observation.outcome != "cleared"]
    weight = {"severe": 0, "moderate": 1, None: 1, "slight": 2}
    told_first = sorted(
        remaining, key=lambda row: (weight[row.observation.extent], row.observation.certainty == "tentative")
    )
    done = [f"{each.sentence[:-1]} ({each.where})." if each.where else each.sentence for each in work] + [
        _row_line(row) + " Cleared on the day." for row in _rows(runs, places) if row.observation.outcome == "cleared"
    ]
    return Answer(
        trouble=_conclusions(told, "main_issue"),
        done=tuple(done[:MOST_DONE])
        + ((f"And {len(done) - MOST_DONE} more, told further on.",) if len(done) > MOST_DONE else ()),
        remains=tuple(
            _row_line(row) + (" Partly cleared." if row.observation.outcome == "partly_cleared" else "")
            for row in told_first[:MOST_REMAINING]
        ),
        remains_more=max(0, len(remaining) - MOST_REMAINING),
        unseen=tuple(run.unseen for run in runs if run.unseen),
        next_steps=(*_conclusions(told, "recommendation"), *extras.next_steps),
    )


def _conclusions(told: Told, kind: str) -> tuple[Statement, ...]:
    return tuple(
        Statement(_about(each, told), clean(each.quote), told.moment(each.evidence))
        for each in told.record.conclusions
        if each.kind == kind
    )


def _about(conclusion: Conclusion, told: Told) -> str:
    """What a conclusion is about, in the client's words; the speaker's own words stand beside it."""
    if conclusion.condition is None:
        return ""
    known = told.words.condition(conclusion.condition)
    name = known.noun or known.be
    return name[:1].upper() + name[1:]


def _work(told: Told, runs: Sequence[RunPart]) -> tuple[Work, ...]:
    numbers = {part.run.id: part.number for part in runs}
    return tuple(
        Work(
            action=each,
            sentence=work_sentence(
                each, told.words, metres(each.reach_m, told.feet) if each.reach_m is not None else ""
            ),
            where=f"run {numbers[each.run]}" if each.run in numbers else "",
            result=result_words(each),
            moment=told.moment(each.evidence),
            quote=clean(each.quote),
        )
        for each in told.record.actions
    )


def _before_after(
    runs: Sequence[RunPart], places: Sequence[PlacePart], work: Sequence[Work]
) -> tuple[BeforeAfter, ...]:
    """Rows that changed in the visit. Work is named beside a row only where it was done in the row's own run."""
    changed = []
    for row in _rows(runs, places):
        if row.observation.outcome == "open":
            continue
        done = [each.sentence for each in work if each.action.run and each.action.run == row.observation.run]
        changed.append(
            BeforeAfter(
                _where(row),
                row.sentence,
                " ".join(done) or ("Not said with this row; see “Work done”." if work else "Not said."),
                row.left,
            )
        )
    return tuple(changed)


def _questions(told: Told, runs: Sequence[RunPart], places: Sequence[PlacePart]) -> tuple[Question, ...]:
    numbers = {row.observation.id: row.number for row in _rows(runs, places) if row.observation.id}
    return tuple(
        Question(
            query=each,
            reason=REASONS[each.reason],
            text=clean(each.question or each.about),
            row=numbers.get(each.row or "", ""),
            moment=told.moment(each.evidence),
            quote=clean(each.quote),
        )
        for each in told.record.queries
    )


def _rows(runs: Sequence[RunPart], places: Sequence[PlacePart]) -> Iterable[Row]:
    for run in runs:
        yield from run.rows
    for place in places:
        yield from place.rows


def _row_line(row: Row) -> str:
    where = _where(row)
    return row.sentence if row.sentence.lower().startswith(f"the {where.lower()} ") else f"{where}: {row.sentence}"


def _where(row: Row) -> str:
    """ "Run 2, about 4.2 m" or the place's name."""
    observation: Observation = row.observation
    text = f"{row.where}, {row.place}" if observation.run else row.where
    return text[:1].upper() + text[1:]


def _one_line(*parts: str) -> str:
    return shortened(", ".join(part for part in parts if part), 160)
