"""A job -> a copy to share: names, phones and addresses blanked in visit.toml, in what was said and in the record.

Blanked words become as many "x": every offset and time stays as it was. The copy holds only what is made here, so that
nothing slips through that nobody thought of: narrations written anew from their words (a caption file's remarks and
speakers' names are gone), the record as reviewed, and of visit.toml what names nobody. The reviewers' log and the
reports stay behind; file names are numbers.

Blanked are: phrases that are given (or stand in JOB/private.txt, one a line), what visit.toml says of people and places
and each word of it that the lexicon does not need, written e-mail addresses, and what sounds like a phone number.
"""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import tomli
from spacy.lang.en.stop_words import STOP_WORDS

from extractor.archive.blanks import Blanks, plain_words, spoken_digits
from extractor.errors import JobError
from extractor.job.apply import reviewed_record
from extractor.job.folder import Job, create_job
from extractor.job.writing import write_atomically
from extractor.lexicon.load import Lexicon
from extractor.narration.choose import read_bytes
from extractor.reading import Narration, Word
from extractor.record import Record

PRIVATE = "private.txt"
KEPT_FIELDS = ("date", "still_lag_s")  # all else that visit.toml may hold can name someone
SHORTEST_NAME = 3
LARGEST_BYTES = 1_000_000
TEXT_FIELDS = frozenset(
    "quote text about question label withdrawn kept heard read_as detail structure_label notes".split()
)


@dataclass(frozen=True)
class Redacted:
    """The copy, and how many spoken words were blanked in it."""

    job: Job
    words: int


def redact_job(job: Job, into: Path, lexicon: Lexicon, phrases: Sequence[str] = ()) -> Redacted:
    """Write a copy of `job` that can be shared to `into`, which is new or empty. The job itself is not touched.

    Raises:
        JobError: where `into` holds something, or private.txt or visit.toml can't be read.
    """
    if into.exists() and (not into.is_dir() or any(into.iterdir())):
        raise JobError("holds something already.", where=str(into), todo="Choose a new folder for the copy.")
    visit = _visit(job.folder / "visit.toml")
    private = [*phrases, *_private(job.folder / PRIVATE), *_personal(visit, lexicon)]
    blank = Blanks(private, spoken_digits(lexicon))
    sources: list[tuple[str, bytes]] = []
    pairs: list[_Pair] = []
    for number, stored in enumerate(job.card.narrations):
        told = read_bytes(job.narration_bytes(number), stored.name)
        name = f"narration-{number + 1}.json"
        data = _as_json(blank.words(told.words))
        pairs.append(_Pair(told, read_bytes(data, name)))
        sources.append((name, data))
    copy = create_job(into, sources, _record(reviewed_record(job).record, pairs, blank, _needed(lexicon)))
    write_atomically(into / "visit.toml", _visit_bytes(visit))
    return Redacted(copy, sum(len(pair.blanked()) for pair in pairs))


@dataclass(frozen=True)
class _Pair:
    """A narration as told and as it may be shared: the same words at the same places."""

    told: Narration
    shared: Narration

    def blanked(self) -> list[str]:
        """The words that were blanked, as told."""
        both = zip(self.told.words, self.shared.words, strict=True)
        return [told.text for told, shared in both if told.text != shared.text]


def _personal(visit: Mapping[str, Any], lexicon: Lexicon) -> list[str]:
    """What visit.toml says of people and places, whole and word by word, without words that the survey needs."""
    values = [value for key, value in visit.items() if key not in KEPT_FIELDS and isinstance(value, str)]
    phrases = [part for value in values for part in (value, *value.split(","))]
    words = {
        word for value in values for word in plain_words(value) if len(word) >= SHORTEST_NAME and not word.isdigit()
    }
    return [*phrases, *sorted(words - _needed(lexicon))]


def _needed(lexicon: Lexicon) -> frozenset[str]:
    """Words that the survey can't do without, and those that say nothing of anyone."""
    said = (word for entry in lexicon.entries for phrase in (entry.id, *entry.spoken) for word in phrase.split())
    return frozenset(said) | STOP_WORDS


def _private(path: Path) -> list[str]:
    if not path.is_file():
        return []
    return [line.strip() for line in _text(path).splitlines() if line.strip()]


def _visit(path: Path) -> dict[str, Any]:
    if not path.is_file():
        return {}
    try:
        return tomli.loads(_text(path))
    except (ValueError, RecursionError) as error:
        raise JobError(f"is no valid TOML: {error}.", where=str(path), todo="Mend that place.") from error


def _text(path: Path) -> str:
    try:
        if path.stat().st_size > LARGEST_BYTES:
            raise JobError("is larger than a megabyte.", where=str(path), todo="Look at what it holds.")
        return path.read_text(encoding="utf-8-sig")
    except OSError as error:
        raise JobError(f"can't be read: {(error.strerror or str(error)).lower()}.", where=str(path)) from error
    except UnicodeDecodeError as error:
        raise JobError("is not UTF-8.", where=str(path), todo="Save it as UTF-8.") from error


def _visit_bytes(visit: Mapping[str, Any]) -> bytes:
    """What names nobody, as TOML; a date's time of day is left out."""
    lines = ["# shared copy: names, phones and addresses were left out"]
    for key in KEPT_FIELDS:
        value = visit.get(key)
        if key == "date" and (day := getattr(value, "isoformat", None)):
            lines.append(f"date = {day()[:10]}")
        elif isinstance(value, int | float) and not isinstance(value, bool):
            lines.append(f"{key} = {float(value)!r}")
    return "".join(f"{line}\n" for line in lines).encode()


def _as_json(words: Sequence[Word]) -> bytes:
    """A recogniser's JSON of the words with their times."""
    out: list[dict[str, str | float]] = []
    for word in words:
        item: dict[str, str | float] = {"word": word.text}
        if word.start_s is not None:
            item["start"] = word.start_s
        if word.end_s is not None:
            item["end"] = word.end_s
        if word.probability is not None:
            item["probability"] = word.probability
        out.append(item)
    return json.dumps({"words": out}, ensure_ascii=False).encode() + b"\n"


def _record(record: Record, pairs: Sequence[_Pair], blank: Blanks, needed: frozenset[str]) -> Record:
    """The record with the shared narrations under it, and every text in it blanked."""
    for source, pair in zip(record.sources, pairs, strict=True):
        if source.text != pair.told.text or len(pair.told.text) != len(pair.shared.text):
            raise JobError(
                "can't be shared: its record is not of these words.",
                where=source.name,
                todo="Extract the job again first.",
            )
    words = {part for pair in pairs for word in pair.blanked() for part in plain_words(word)}
    thorough = blank.more(word for word in words - needed if not word.isdigit())
    fields = _blanked_fields(record.model_dump(mode="json", exclude={"sources"}), pairs, thorough)
    fields["sources"] = [
        source.model_copy(
            update={
                "name": pair.shared.source,
                "sha256": pair.shared.sha256,
                "encoding": pair.shared.encoding,
                "encoding_guessed": False,
                "text": pair.shared.text,
                "notes": (),
            }
        ).model_dump(mode="json")
        for source, pair in zip(record.sources, pairs, strict=True)
    ]
    return Record.model_validate(fields)


def _blanked_fields(fields: dict[str, Any], pairs: Sequence[_Pair], blank: Blanks) -> dict[str, Any]:
    """The fields with their texts blanked; a quote as its words stand in the shared narration."""
    out: dict[str, Any] = {}
    for key, value in fields.items():
        if key == "quote" and (shared := _shared_quote(value, fields.get("evidence", ()), pairs)) is not None:
            out[key] = shared
        elif isinstance(value, dict):
            out[key] = _blanked_fields(value, pairs, blank)
        elif isinstance(value, list):
            out[key] = [_blanked_fields(each, pairs, blank) if isinstance(each, dict) else each for each in value]
        else:
            out[key] = blank.text(value) if key in TEXT_FIELDS and isinstance(value, str) else value
    return out


def _shared_quote(quote: str, evidence: Sequence[Mapping[str, int]], pairs: Sequence[_Pair]) -> str | None:
    for piece in evidence:
        if piece["source"] < len(pairs):
            pair, first = pairs[piece["source"]], piece["first_char"]
            if pair.told.text.startswith(quote, first):
                return pair.shared.text[first : first + len(quote)]
    return None
