"""What became of each phrase of a narration: the line that stands under the words, as linguists gloss a text.

Where phrases overlap, the shorter one is shown: the longer one goes on round it. Words of no phrase led to nothing.
"""

from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from extractor.job.apply import ReviewedRecord
from extractor.job.naming import Row
from extractor.lexicon.load import Lexicon
from extractor.reading import Word
from extractor.record import Evidence, Observation
from extractor.review.row_words import Speaker

Became = Literal[
    "asked", "row", "run", "work", "measured", "said", "corrected", "mended", "rejected", "unread"
]  # said: a conclusion
MARKS: dict[Became, str] = {
    "asked": "?",
    "row": "=",
    "run": ">",
    "work": "+",
    "measured": "#",
    "said": "!",
    "corrected": "~",
    "mended": "^",
    "rejected": "x",
    "unread": ".",
}
LEGEND: dict[Became, str] = {
    "row": "row",
    "asked": "question",
    "run": "camera",
    "work": "work",
    "measured": "measured",
    "said": "summing up",
    "corrected": "taken back",
    "mended": "misheard, mended",
    "rejected": "row taken out",
    "unread": "led to nothing",
}
FEWEST_UNREAD = 4  # shorter stretches between phrases are how people talk


@dataclass(frozen=True)
class Phrase:
    """Characters first to last of the narration: what became of them, a word or two on it, the row it is in."""

    first_char: int
    last_char: int
    became: Became
    label: str
    row: str = ""


def phrases(reviewed: ReviewedRecord, source: int, lexicon: Lexicon, words: Sequence[Word]) -> tuple[Phrase, ...]:
    """All phrases of one narration, in order; longer ones before shorter ones that begin with them."""
    record, speaker = reviewed.record, Speaker(reviewed.record, lexicon)
    found: list[Phrase] = []

    def add(evidence: Iterable[Evidence], became: Became, label: str, row: str = "") -> None:
        found.extend(
            Phrase(piece.first_char, piece.last_char, became, label, row)
            for piece in evidence
            if piece.source == source
        )

    for query in record.queries:
        add(query.evidence, "asked", query.about, query.row or "")
    for run in record.runs:
        add(run.evidence, "run", speaker.run(run), run.id)
    lists: tuple[tuple[Became, Sequence[Row]], ...] = (
        ("row", record.observations),
        ("work", record.actions),
        ("measured", record.measurements),
        ("said", record.conclusions),
        ("corrected", record.corrections),
        ("rejected", reviewed.rejected),
    )
    for became, rows in lists:
        for row in rows:
            add(row.evidence, became, _label(row, speaker), row.id)
    for mending in record.mendings:
        add(mending.evidence, "mended", mending.read_as)
    for piece in _led_to_nothing(record.unread, source, found, words):
        found.append(piece)
    return tuple(sorted(found, key=lambda phrase: (phrase.first_char, -phrase.last_char)))


def phrase_of_words(found: Sequence[Phrase], words: Sequence[Word]) -> tuple[Phrase | None, ...]:
    """For each word the phrase that is shown under it."""
    shown: list[Phrase | None] = [None] * len(words)
    firsts = [word.first_char for word in words]
    # longest first, so that the shortest is written last and stands
    for phrase in sorted(found, key=lambda phrase: (phrase.first_char - phrase.last_char, _weight(phrase))):
        for place in _places(phrase, firsts, words):
            shown[place] = phrase
    return tuple(shown)


def _weight(phrase: Phrase) -> int:
    """Of two phrases on the very same words the question is shown, then the row."""
    order: tuple[Became, ...] = (
        "unread",
        "rejected",
        "run",
        "said",
        "measured",
        "work",
        "row",
        "corrected",
        "mended",
        "asked",
    )
    return order.index(phrase.became)


def _places(phrase: Phrase | Evidence, firsts: Sequence[int], words: Sequence[Word]) -> range:
    start = bisect_left(firsts, phrase.first_char)
    end = bisect_left(firsts, phrase.last_char)
    if start and words[start - 1].last_char > phrase.first_char:
        start -= 1
    return range(start, end)


def _led_to_nothing(
    unread: Iterable[Evidence], source: int, found: Sequence[Phrase], words: Sequence[Word]
) -> Iterator[Phrase]:
    """Stretches of words that no phrase holds: long ones, and those with a word that the record itself calls unread."""
    pieces = [piece for piece in unread if piece.source == source]
    firsts = [word.first_char for word in words]
    given = {place for piece in pieces for place in _places(piece, firsts, words)}
    taken = phrase_of_words(found, words)
    start = 0
    for place in range(len(words) + 1):
        if place < len(words) and taken[place] is None:
            continue
        if place - start >= FEWEST_UNREAD or any(word in given for word in range(start, place)):
            yield Phrase(words[start].first_char, words[place - 1].last_char, "unread", "")
        start = place + 1


def _label(row: Row, speaker: Speaker) -> str:
    told = speaker.told(row)
    if told.kind == "corrected":
        return told.what
    if told.kind in ("main trouble", "advice"):
        return f"{row.id} {told.kind}"
    return f"{row.id} {told.what}" + (f", {told.at}" if isinstance(row, Observation) and told.at else "")
