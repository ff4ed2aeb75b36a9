"""Words that a reviewer marks in a narration: their name in the log, and what they seem to say."""

from collections.abc import Iterator

from extractor.job.decisions import RowName, Span, Value
from extractor.language.measures import find_measures, measure_grammar
from extractor.language.tokens import tokenise
from extractor.lexicon.match import find_tags, phrase_table
from extractor.reading import Narration
from extractor.review.session import Session


def spot_of(words: str, text: str) -> Iterator[int]:
    """Where the words stand in a narration's text, whole words only."""
    first = text.find(words)
    while first >= 0 and words:
        last = first + len(words)
        if not (first and text[first - 1].isalnum()) and not (last < len(text) and text[last].isalnum()):
            yield first
        first = text.find(words, first + 1)


def name_words(session: Session, source: int, first_char: int, last_char: int) -> RowName:
    """The name of a row that would rest on these characters of a narration."""
    narration = session.narration(source)
    inside = [word for word in narration.words if word.first_char < last_char and first_char < word.last_char]
    span = Span(
        sha256=session.reviewed.record.sources[source].sha256,
        first_char=first_char,
        last_char=last_char,
        start_s=inside[0].start_s if inside else None,
        end_s=inside[-1].end_s if inside else None,
    )
    return RowName(kind="observation", spans=(span,), quote=narration.text[first_char:last_char])


def seems_to_say(session: Session, source: int, first_char: int, last_char: int) -> dict[str, Value]:
    """A first guess at the fields of a row on these words, for the reviewer to look at: thing, part, distance, run."""
    narration = session.narration(source)
    words = tuple(word for word in narration.words if word.first_char < last_char and first_char < word.last_char)
    text = narration.text[first_char:last_char]
    moved = tuple(
        word.__class__(word.text, word.first_char - first_char, word.last_char - first_char, word.start_s, word.end_s)
        for word in words
    )
    speech = tokenise(Narration(text, moved, narration.source))
    sets: dict[str, Value] = {"run": _run_before(session, source, first_char)}
    for tag in find_tags(speech, phrase_table(session.lexicon)):
        if tag.kind in ("condition", "component") and tag.certain and not sets.get(tag.kind):
            sets[tag.kind] = tag.id
            if tag.on and not sets.get("component"):
                sets["component"] = tag.on
            if tag.extent and tag.kind == "condition":
                sets["extent"] = tag.extent
    habit = session.reviewed.record.spoken_unit
    for measure in find_measures(speech, measure_grammar(session.lexicon), habit=habit):
        place = measure.length_m or ((measure.low, measure.high) if measure.unit == "m" else None)
        if place and sets["run"]:
            sets.update(
                {"from_m": round(sum(place) / 2, 3), "approximate": measure.approximate or place[0] != place[1]}
            )
            break
    return {name: value for name, value in sets.items() if value is not None}


def _run_before(session: Session, source: int, first_char: int) -> str | None:
    """The run whose words were said last before these."""
    before = [
        (piece.first_char, run.id)
        for run in session.reviewed.record.runs
        for piece in run.evidence
        if piece.source == source and piece.first_char <= first_char
    ]
    return max(before)[1] if before else None
