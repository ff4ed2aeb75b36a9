"""Drafts -> Record: ids, quotes, times, questions. Several narrations of one visit make one record."""

# The drafts hold plain words; pydantic holds them against the vocabulary of the contract when the record is made.
# mypy: disable-error-code="arg-type"

from collections.abc import Callable, Sequence
from functools import cache

from extractor.lexicon.load import Lexicon
from extractor.reading import Measure, Narration, Speech
from extractor.record import (
    Action,
    Conclusion,
    Evidence,
    Measurement,
    Mending,
    Observation,
    Query,
    Record,
    Run,
    RunStart,
    Source,
    SpokenCorrection,
)
from extractor.survey.distances import length_of
from extractor.survey.questions import ask
from extractor.survey.rows import Draft
from extractor.survey.scenes import scene_at
from extractor.survey.stages import Reading

DECIMALS = 3


def write_record(readings: Sequence[Reading], lexicon: Lexicon) -> Record:
    """The record of all readings; runs are numbered through, R1, R2, ... in order of narration."""
    parts = _Parts(lexicon)
    for number, reading in enumerate(readings):
        parts.add(reading, number)
    return Record(
        runs=tuple(parts.runs),
        observations=tuple(parts.observations),
        measurements=tuple(parts.measurements),
        actions=tuple(parts.actions),
        corrections=tuple(parts.corrections),
        conclusions=tuple(parts.conclusions),
        queries=tuple(parts.queries),
        mendings=tuple(parts.mendings),
        unread=tuple(parts.unread),
        spoken_unit="ft" if any(reading.habit == "ft" for reading in readings) else "m",
        sources=tuple(_source(reading.narration) for reading in readings),
        lexicon=lexicon.fingerprint,
        program=_program(),
    )


@cache
def _program() -> str:
    from importlib.metadata import PackageNotFoundError, version

    try:
        return f"rodnote {version('rodnote')}"
    except PackageNotFoundError:
        return "rodnote"


def _source(narration: Narration) -> Source:
    ends = [word.end_s for word in narration.words if word.end_s is not None]
    return Source(
        name=narration.source,
        sha256=narration.sha256,
        encoding=narration.encoding,
        encoding_guessed=narration.encoding_guessed,
        text=narration.text,
        duration_s=max(ends) if ends else None,
        notes=narration.notes,
    )


class _Parts:
    """The record's lists as they grow, one reading after another."""

    def __init__(self, lexicon: Lexicon) -> None:
        self.lexicon = lexicon
        self.runs: list[Run] = []
        self.observations: list[Observation] = []
        self.measurements: list[Measurement] = []
        self.actions: list[Action] = []
        self.corrections: list[SpokenCorrection] = []
        self.conclusions: list[Conclusion] = []
        self.queries: list[Query] = []
        self.mendings: list[Mending] = []
        self.unread: list[Evidence] = []
        self.pieces: dict[tuple[int, int, int], Evidence] = {}

    def add(self, reading: Reading, number: int) -> None:
        speech = reading.speech
        offset = len(self.runs)

        def run_id(index: int | None) -> str | None:
            return None if index is None else f"R{offset + index + 1}"

        for index, run in enumerate(reading.runs):
            start = run.start
            self.runs.append(
                Run(
                    id=f"R{offset + index + 1}",
                    start=RunStart(structure=start.structure, port=start.port, label=start.label),
                    direction=start.direction,
                    end_m=_round(run.end_m),
                    end_reason=run.end_reason,
                    end_at=run.end_at,
                    quote=speech.quote(*run.spans[0]),
                    evidence=self._evidence(speech, number, *run.spans),
                    rules=tuple(run.rules),
                )
            )
        ids: dict[int, str] = {}
        confidences = {id(rated.row): rated.confidence for rated in reading.rated}
        for row in reading.rows:
            observation = self._observation(reading, number, row, run_id(row.run), confidences.get(id(row)))
            ids[id(row)] = observation.id
            self.observations.append(observation)
        for measure, role in reading.roles.items():
            if role is not None:
                self.measurements.append(self._measurement(reading, number, measure, role, run_id))
        for action in reading.actions:
            self.actions.append(
                Action(
                    id=f"A{len(self.actions) + 1}",
                    action=action.action,
                    target=action.target,
                    run=run_id(action.run),
                    reach_m=_round(action.reach_m),
                    result=action.result,
                    quote=speech.quote(action.start, action.end),
                    evidence=self._evidence(speech, number, (action.start, action.end)),
                )
            )
        for correction in reading.passage.corrections:
            spans = (correction.withdrawn, correction.cue, correction.kept)
            said = [span for span in spans if span[1] > span[0]]
            near = correction.cue[0] - correction.withdrawn[1] < 15
            first = min(span[0] for span in said) if near else min(correction.cue[0], correction.kept[0])
            last = max(span[1] for span in said)
            self.corrections.append(
                SpokenCorrection(
                    id=f"C{len(self.corrections) + 1}",
                    withdrawn=speech.quote(*correction.withdrawn),
                    kept=speech.quote(*correction.kept),
                    quote=speech.quote(first, last),
                    evidence=self._evidence(speech, number, (first, last)),
                    rules=(correction.rule,),
                )
            )
        for conclusion in reading.conclusions:
            self.conclusions.append(
                Conclusion(
                    id=f"K{len(self.conclusions) + 1}",
                    kind=conclusion.kind,
                    condition=conclusion.condition,
                    quote=speech.quote(conclusion.start, conclusion.end),
                    evidence=self._evidence(speech, number, (conclusion.start, conclusion.end)),
                )
            )
        for query in reading.queries:
            row_id = ids.get(id(query.row)) if query.row is not None else None
            about, question, answers = ask(query, self.lexicon, reading.habit, self._by_id(row_id))
            self.queries.append(
                Query(
                    id=f"Q{len(self.queries) + 1}",
                    about=about,
                    reason=query.reason,
                    question=question,
                    answers=answers,
                    row=row_id,
                    rules=query.signs,
                    quote=speech.quote(query.start, query.end),
                    evidence=self._evidence(speech, number, (query.start, query.end)),
                )
            )
        self.unread += self._evidence(speech, number, *reading.unread)
        for tag in reading.passage.tags:
            if tag.heard is not None:
                self.mendings.append(
                    Mending(
                        heard=tag.heard,
                        read_as=self.lexicon.label(tag.id),
                        certain=tag.certain,
                        evidence=self._evidence(speech, number, (tag.start, tag.end)),
                    )
                )

    def _by_id(self, row_id: str | None) -> Observation | None:
        return self.observations[int(row_id[1:]) - 1] if row_id else None  # they are numbered through

    def _observation(
        self, reading: Reading, number: int, row: Draft, run: str | None, confidence: float | None
    ) -> Observation:
        speech = reading.speech
        return Observation(
            id=f"O{len(self.observations) + 1}",
            run=run,
            structure=row.structure if run is None else None,
            structure_label=row.label if run is None else None,
            component=row.component,
            condition=row.condition,
            from_m=_round(row.place.from_m),
            to_m=_round(row.place.to_m),
            approximate=row.place.approximate,
            polarity=row.polarity,
            certainty=row.certainty,
            outcome=row.outcome,
            extent=row.extent,
            clock=row.clock,
            count=row.count,
            confidence=confidence,
            quote=speech.quote(row.start, row.end),
            evidence=self._evidence(speech, number, (row.start, row.end), *row.spans),
            rules=tuple(row.rules),
        )

    def _measurement(
        self, reading: Reading, number: int, measure: Measure, role: str, run_id: Callable[[int | None], str | None]
    ) -> Measurement:
        speech = reading.speech
        low, high = length_of(measure) if measure.unit is None else (measure.low, measure.high)
        scene = scene_at(reading.scenes, measure.start)
        return Measurement(
            id=f"M{len(self.measurements) + 1}",
            low=_round(low),
            high=_round(high),
            unit=measure.unit or "m",
            role=role,
            approximate=measure.approximate,
            spoken_unit=measure.spoken_unit,
            run=run_id(scene.run) if scene and scene.kind == "run" else None,
            structure=scene.structure if scene and scene.kind == "structure" else None,
            quote=speech.quote(measure.start, measure.end),
            evidence=self._evidence(speech, number, (measure.start, measure.end)),
        )

    def _evidence(self, speech: Speech, number: int, *spans: tuple[int, int]) -> tuple[Evidence, ...]:
        """Characters and times of token spans, whole words, in order and without repeats."""
        if len(spans) == 1:
            return (self._piece(speech, number, spans[0]),) if spans[0][1] > spans[0][0] else ()
        return tuple([self._piece(speech, number, span) for span in dict.fromkeys(spans) if span[1] > span[0]])

    def _piece(self, speech: Speech, number: int, span: tuple[int, int]) -> Evidence:
        """The evidence of one span; the same one for every row that rests on it."""
        key = number, *span
        piece = self.pieces.get(key)
        if piece is None:
            words = speech.narration.words
            first, last = words[speech.word_of[span[0]]], words[speech.word_of[min(span[1], len(speech)) - 1]]
            piece = self.pieces[key] = Evidence(
                source=number,
                first_char=first.first_char,
                last_char=last.last_char,
                start_s=first.start_s,
                end_s=last.end_s,
            )
        return piece


def _round(value: float | None) -> float | None:
    return None if value is None else round(value, DECIMALS)
