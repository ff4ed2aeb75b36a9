"""What each stage made of a stretch of the narration, clause by clause, and the rows that rest on those words.

1:12.4  report, opened by movement
        camera going in the inlet of the tank
          going in       movement  go_in
          inlet          component  inlet
          tank           structure  septic tank (septic_tank)
"""

from collections.abc import Iterator, Sequence

from rich.console import Group, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from extractor.language.clauses import Clause
from extractor.language.passage import Passage
from extractor.lexicon.load import Lexicon
from extractor.reading import Measure, Speech, Tag
from extractor.record import Evidence, Record
from extractor.report.amounts import clock_time, plain
from extractor.report.safe_text import clean
from extractor.report.table_words import distance_words, place_words, run_words, thing_words
from extractor.survey.rows import NOWHERE, Place
from extractor.survey.scenes import Scene
from extractor.survey.stages import Reading


def stretch_at(speech: Speech, start_s: float, end_s: float) -> tuple[int, int] | None:
    """Tokens of the words that sound between two times; None where none do, or where the narration has no times."""
    words = speech.narration.words
    within = [
        token
        for token, word in enumerate(speech.word_of)
        if (begin := words[word].start_s) is not None and begin < end_s and (words[word].end_s or begin) >= start_s
    ]
    return (within[0], within[-1] + 1) if within else None


def stretches_of(speech: Speech, forms: Sequence[str]) -> list[tuple[int, int]]:
    """Everywhere that the words (in normal form) are said one after the other, as token ranges."""
    length, wanted = len(forms), tuple(forms)
    if not wanted:
        return []
    starts = [token for token, form in enumerate(speech.words) if form == wanted[0]]
    return [(start, start + length) for start in starts if speech.words[start : start + length] == wanted]


def explained(reading: Reading, record: Record, lexicon: Lexicon, stretch: tuple[int, int]) -> RenderableType:
    """The clauses that the stretch touches, each stage by stage, then what the record (of this narration) claims."""
    clauses = [clause for clause in reading.clauses if clause.start < stretch[1] and stretch[0] < clause.end]
    parts: list[RenderableType] = []
    for clause in clauses:
        parts += [*_clause(reading, clause, lexicon), Text()]
    if clauses:
        first, last = _characters(reading.passage.speech, clauses[0].start, clauses[-1].end)
        parts += _claims(record, lexicon, first, last)
    return Group(*parts)


def _clause(reading: Reading, clause: Clause, lexicon: Lexicon) -> Iterator[RenderableType]:
    passage = reading.passage
    speech = passage.speech
    word = speech.narration.words[speech.word_of[clause.start]]
    time = clock_time(word.start_s) + (" (spread over its block)" if word.interpolated else "")
    opener = f"  clause: {clause.act}, opened by {clause.opener.replace('_', ' ')}"
    scenes = [
        _scene_words(scene, lexicon) for scene in reading.scenes if scene.start < clause.end > clause.start < scene.end
    ]
    yield Text.assemble((time or "no time", "bold"), opener, f"; {' | '.join(scenes)}" if scenes else "")
    yield Padding(_spoken(passage, clause), (0, 0, 0, 4), expand=False)
    table = Table(box=None, show_header=False, padding=(0, 2, 0, 0), pad_edge=False)
    for start, end, stage, made in sorted(_findings(reading, clause, lexicon), key=lambda found: found[:2]):
        table.add_row(clean(speech.quote(start, end)), Text(stage, "dim"), made)
    if table.row_count:
        yield Padding(table, (0, 0, 0, 6), expand=False)


def _spoken(passage: Passage, clause: Clause) -> Text:
    """The clause's words; what a correction withdrew between square brackets, struck through where that shows."""
    text = Text()
    for token in range(clause.start, clause.end):
        if token > clause.start and passage.speech.word_of[token] == passage.speech.word_of[token - 1]:
            continue  # one word, several tokens
        word, withdrawn = clean(passage.speech.quote(token, token + 1)), token in passage.masked
        text.append(f"[{word}]" if withdrawn else word, "strike" if withdrawn else "")
        text.append(" ")
    text.rstrip()
    return text


def _findings(reading: Reading, clause: Clause, lexicon: Lexicon) -> Iterator[tuple[int, int, str, str]]:
    """(first token, last, stage, what it made) of everything found in the clause."""
    passage = reading.passage
    for measure in passage.measures_from(clause.start, clause.end):
        role = reading.roles.get(measure)
        yield measure.start, measure.end, "measure", _measure_words(measure) + (f"; {role}" if role else "; no role")
    for tag in passage.tags_from(clause.start, clause.end):
        yield tag.start, tag.end, tag.kind.replace("_", " "), _tag_words(tag, reading, lexicon)
    taken = set(reading.mended.tags_from(clause.start, clause.end))
    spans = {(tag.start, tag.end) for tag in taken if tag.heard is not None}
    for tag in reading.heard.tags_from(clause.start, clause.end):
        if tag.heard is not None and (tag.start, tag.end) not in spans:
            yield (
                tag.start,
                tag.end,
                "as it stands",
                f"could be {_label(tag, lexicon)} misheard; nothing here wants that",
            )
    for correction in passage.corrections:
        start, end = correction.withdrawn
        if clause.start <= start < clause.end:
            kept = clean(passage.speech.quote(*correction.kept))
            yield start, end, "withdrawn", (f"for “{kept}” " if kept else "") + f"(rule: {correction.rule})"


def _measure_words(measure: Measure) -> str:
    value = _range_words(measure.low, measure.high)
    words = f"about {value}" if measure.approximate else value
    words += f" {measure.unit}" if measure.unit else " (no unit said)"
    return f"{words} (rule: {measure.rule})" if measure.rule else words


def _scene_words(scene: Scene, lexicon: Lexicon) -> str:
    if scene.run is not None:
        return f"R{scene.run + 1}" + (", another look" if scene.second else "")
    return lexicon.label(scene.structure) or {"open": "before any run"}.get(scene.kind, scene.kind)


def _label(tag: Tag, lexicon: Lexicon) -> str:
    entry = lexicon.entry(tag.kind, tag.id)
    return f"{entry.label} ({tag.id})" if entry else tag.id


def _tag_words(tag: Tag, reading: Reading, lexicon: Lexicon) -> str:
    words, context = _label(tag, lexicon), reading.contexts.get(tag)
    if tag.heard:
        words += f"; heard as “{clean(tag.heard)}”" + ("" if tag.certain else ", not certain")
    if context:
        for value, plain_value, cue in (
            (context.polarity, "present", context.negation),
            (context.certainty, "stated", context.doubt),
            (context.extent, None, context.extent_cue),
        ):
            if value is not None and value != plain_value:
                words += f"; {value}" + (f" by “{clean(reading.speech.quote(cue.start, cue.end))}”" if cue else "")
    place = reading.places.get(tag, NOWHERE)
    return words if place.from_m is None else f"{words}; at {_place_words(place)}"


def _place_words(place: Place) -> str:
    words = "" if place.from_m is None else plain(place.from_m)
    if place.to_m is not None:
        words += " to the run's end" if place.to_m < 0 else f" to {plain(place.to_m)}"
    return f"{words} m ({place.how})"


def _claims(record: Record, lexicon: Lexicon, first: int, last: int) -> Iterator[RenderableType]:
    """Runs, rows, measurements, work, corrections, conclusions and queries whose evidence lies in the characters."""

    def rests(evidence: tuple[Evidence, ...]) -> bool:
        return any(piece.first_char < last and first < piece.last_char for piece in evidence)

    table = Table(box=None, show_header=False, padding=(0, 2, 0, 0), pad_edge=False)

    def add(kind: str, words: str, rules: tuple[str, ...] = ()) -> None:
        table.add_row(kind, words + (f" (rules: {', '.join(rules)})" if rules else ""))

    for run in record.runs:
        if rests(run.evidence):
            add(f"run {run.id}", run_words(run, lexicon), run.rules)
    for row in record.observations:
        if rests(row.evidence):
            place = f"{row.run} {distance_words(row) or 'no distance'}" if row.run else place_words(row, lexicon)
            told = f"{place}: {thing_words(row, lexicon)}, {row.certainty}, {row.outcome.replace('_', ' ')}"
            add(f"row {row.id}", clean(told), row.rules)
    for measurement in record.measurements:
        if rests(measurement.evidence):
            value = _range_words(measurement.low, measurement.high)
            add(f"measurement {measurement.id}", f"{value} {measurement.unit}, {measurement.role}", measurement.rules)
    for action in record.actions:
        if rests(action.evidence):
            done = ": ".join(filter(None, (lexicon.label(action.action), lexicon.label(action.target))))
            add(f"work {action.id}", f"{done}, {action.result or 'result not said'}", action.rules)
    for conclusion in record.conclusions:
        if rests(conclusion.evidence):
            told = f"{conclusion.kind.replace('_', ' ')}: {lexicon.label(conclusion.condition) or 'of nothing named'}"
            add(f"conclusion {conclusion.id}", told, conclusion.rules)
    for query in record.queries:
        if rests(query.evidence):
            on = f" on {query.row}" if query.row else ""
            add(f"query {query.id}", clean(f"{query.reason}{on}: {query.question or query.about}"), query.rules)
    yield Text("What the record claims from these words", "bold")
    yield Padding(table if table.row_count else Text("nothing"), (0, 0, 0, 4), expand=False)


def _range_words(low: float, high: float) -> str:
    return plain(low, 3) if low == high else f"{plain(low, 3)} to {plain(high, 3)}"


def _characters(speech: Speech, start: int, end: int) -> tuple[int, int]:
    words = speech.narration.words
    return words[speech.word_of[start]].first_char, words[speech.word_of[end - 1]].last_char
