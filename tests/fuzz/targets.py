"""What is fuzzed: for each kind of file, real ones to start from and the code that has to bear what becomes of them.

A target raises nothing but our own errors (`RodnoteError`), and what it gives back keeps its promises. The tests spend
a small budget on each; `scripts/fuzz` spends as much as it is given.
"""

import json
import random
import shutil
import tempfile
from collections.abc import Callable
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

from extractor.errors import RodnoteError
from extractor.job.answers import change_deed, reject_deed, undo_deed
from extractor.job.apply import apply_decisions
from extractor.job.decision_log import DecisionLog
from extractor.job.decisions import _check, parse_log
from extractor.job.folder import Job, create_job, open_job
from extractor.lexicon.file import read_file
from extractor.lexicon.load import Lexicon, load_lexicon, shipped_folder
from extractor.narration.choose import read_bytes
from extractor.pipeline import extract
from extractor.record import Record
from extractor.report.visit import load_visit

ROOT = Path(__file__).parents[2]
NAMES = ("visit.txt", "visit.srt", "visit.vtt", "visit.json", "visit", "=1+1.txt", "../up.srt")
MOST_WORDS_EXTRACTED = 400  # whatever is fuzzed, each input is small


@dataclass(frozen=True)
class Target:
    """`seeds` are files to start from; `run` bears one input, with `chance` for what else it varies."""

    name: str
    seeds: Callable[[], tuple[bytes, ...]]
    run: Callable[[bytes, random.Random], None]


@cache
def lexicon() -> Lexicon:
    return load_lexicon()


@cache
def demo_job() -> Job:
    """A job of the demo visit with some decisions, in a folder of its own."""
    folder = Path(tempfile.mkdtemp(prefix="rodnote-fuzz.")) / "job"
    paths = sorted((ROOT / "fixtures" / "demo").iterdir())
    sources = [(path.name, path.read_bytes()) for path in paths]
    record = extract([read_bytes(data, name) for name, data in sources], lexicon())
    job = create_job(folder, sources, record)
    rows = [row.id for row in record.observations if row.run is not None]
    with DecisionLog(job, "Zoë") as log:
        for number, row in enumerate(rows[:8]):
            reviewed = apply_decisions(record, log.decisions)
            kinds = (
                lambda row=row, reviewed=reviewed: change_deed(row, reviewed, {"extent": "severe", "detail": "=1"}),
                lambda row=row, reviewed=reviewed: reject_deed(row, reviewed),
                lambda row=row, reviewed=reviewed: undo_deed(log.decisions[-1].id),
            )
            log.take(kinds[number % 3]())
    return job


def narration_seeds() -> tuple[bytes, ...]:
    folders = ("demo", "reading", "review", "trade")
    return tuple(
        path.read_bytes()
        for folder in folders
        for path in sorted((ROOT / "fixtures" / folder).iterdir())
        if path.is_file()
    )


def run_narration(data: bytes, chance: random.Random) -> None:
    """Any bytes under any name: a narration whose words lie where they say."""
    narration = read_bytes(data, chance.choice(NAMES))
    for word in narration.words:
        assert narration.text[word.first_char : word.last_char] == word.text


def run_extract(data: bytes, chance: random.Random) -> None:
    """The main job on what the bytes say: quotes are words of the narration, and the record is read back as it was."""
    narration = read_bytes(data[:4000], "visit.txt")
    if len(narration.words) > MOST_WORDS_EXTRACTED:
        return
    record = extract(narration, lexicon())
    check_record(record)


def check_record(record: Record) -> None:
    texts = [source.text for source in record.sources]
    for rows in (record.runs, record.observations, record.measurements, record.actions, record.queries):
        for row in rows:
            assert any(row.quote in text for text in texts), row.quote
            for piece in row.evidence:
                assert 0 <= piece.first_char < piece.last_char <= len(texts[piece.source])
    runs = {run.id for run in record.runs}
    assert all(row.run in runs for row in record.observations if row.run is not None)
    ids = [row.id for row in (*record.observations, *record.measurements, *record.actions, *record.queries)]
    assert len(ids) == len(set(ids))
    assert Record.model_validate_json(record.model_dump_json()) == record


@lru_cache(maxsize=1)
def talk_seeds() -> tuple[bytes, ...]:
    """Talk of the lexicon's own phrases and numbers in any order: more rules meet than in any real recording."""
    chance = random.Random(7)
    phrases = [phrase for entry in lexicon().entries for phrase in (*entry.spoken, *entry.misheard)]
    numbers = ["2.5", "14.2", "1,200", "3/4", "-1", "1e9", "0", "999999", "twelve", "point", "½", "6'", '4"', "%", "$5"]
    talks = []
    for _ in range(300):
        words = [chance.choice(phrases) if chance.random() < 0.7 else chance.choice(numbers) for _ in range(60)]
        talks.append(f"[0:00] {' '.join(words)}".encode())
    return tuple(talks)


def lexicon_seeds() -> tuple[bytes, ...]:
    return tuple(path.read_bytes() for path in sorted(shipped_folder().glob("*.toml")))


def run_lexicon_file(data: bytes, chance: random.Random) -> None:
    """A file of the lexicon: its entries, or an error that names the file."""
    with folder() as place:
        path = place / "words.toml"
        path.write_bytes(data)
        try:
            read_file(path)
        except RodnoteError as error:
            assert str(path) in str(error)
            raise


@cache
def small_lexicon_seeds() -> tuple[bytes, ...]:
    """Files short enough that the whole lexicon can be loaded with each."""
    return (
        b'kind = "structure"\n[[entry]]\nid = "gully"\nlabel = "gully"\nspoken = ["dandy hole"]\n'
        b'misheard = ["candy"]\n',
        b'kind = "condition"\n[[entry]]\nid = "crack"\nlabel = "crack"\nspoken = ["hair line"]\non = "joint"\n'
        b'extent = "slight"\nnaming = {joint = ["joint is cracked"]}\n',
        b'kind = "unit"\n[[entry]]\nid = "rod"\nlabel = "rod"\nspoken = ["rod"]\nvalue = 1.5\n',
        b'kind = "number"\n[[entry]]\nid = "eleventy"\nlabel = "x"\nspoken = ["eleventy"]\nvalue = 110\n',
    )


def run_whole_lexicon(data: bytes, chance: random.Random) -> None:
    """A user's folder of words, loaded and used."""
    with folder() as place:
        (place / "words.toml").write_bytes(data)
        words = load_lexicon(place)
    check_record(
        extract(read_bytes(b"[0:00] camera in the dandy hole eleventy rods 3.2 hair line crack", "v.txt"), words)
    )


def log_seeds() -> tuple[bytes, ...]:
    return (demo_job().decisions.read_bytes(),)


def run_log_bytes(data: bytes, chance: random.Random) -> None:
    """Any bytes in the place of the log: decisions or damage, and the record with those that are left."""
    text = parse_log(data)
    apply_decisions(demo_job().record, text.decisions)


def run_log_values(data: bytes, chance: random.Random) -> None:
    """Lines that are whole and signed, and say what no program of ours would: applied, asked about, or damage."""
    lines = []
    for line in demo_job().decisions.read_bytes().splitlines():
        fields = changed_value(json.loads(line), chance, data)
        if isinstance(fields, dict):
            fields.pop("check", None)
            lines.append(json.dumps({**fields, "check": _check(fields)}, ensure_ascii=False).encode("utf-8", "replace"))
    chance.shuffle(lines)
    text = parse_log(b"\n".join(lines) + b"\n")
    reviewed = apply_decisions(demo_job().record, text.decisions)
    assert Record.model_validate_json(reviewed.record.model_dump_json()) == reviewed.record


def visit_seeds() -> tuple[bytes, ...]:
    return (
        b'firm = "Bright Drains"\nclient = "the owner"\naddress = "1 Quay Lane"\ndate = 2026-03-12\nstill_lag_s = 1.5\n'
        b'logo = "logo.png"\nrecording = "a.mp4"\n',
        b"date = 2026-03-12T10:00:00Z\npurpose = '''two\nlines'''\n",
    )


def run_visit(data: bytes, chance: random.Random) -> None:
    with folder() as place:
        (place / "visit.toml").write_bytes(data)
        visit = load_visit(place / "visit.toml")
        assert visit.day == "" or visit.date is not None


def job_seeds() -> tuple[bytes, ...]:
    return ((demo_job().folder / "record.json").read_bytes(), (demo_job().folder / "job.json").read_bytes())


def run_job(data: bytes, chance: random.Random) -> None:
    """A job whose card or record was changed: it opens or is refused, and nothing is read from outside of it."""
    name = "job.json" if b'"schema"' in data[:200] else "record.json"
    with folder() as place:
        job = place / "job"
        shutil.copytree(demo_job().folder, job)
        (job / name).write_bytes(data)
        opened = open_job(job)
        for number in range(len(opened.card.narrations)):
            opened.narration_bytes(number)


TARGETS = (
    Target("narration", narration_seeds, run_narration),
    Target("extract", talk_seeds, run_extract),
    Target("lexicon file", lexicon_seeds, run_lexicon_file),
    Target("lexicon", small_lexicon_seeds, run_whole_lexicon),
    Target("decisions", log_seeds, run_log_bytes),
    Target("decisions' values", log_seeds, run_log_values),
    Target("visit.toml", visit_seeds, run_visit),
    Target("job", job_seeds, run_job),
)


@contextmanager
def folder() -> Any:
    place = Path(tempfile.mkdtemp(prefix="rodnote-fuzz."))
    try:
        yield place
    finally:
        shutil.rmtree(place, ignore_errors=True)


ODD_VALUES: tuple[Any, ...] = (
    *(None, True, -1, 0, 2**63, -(10**30), 1e308, 0.1, "", "\x00", "\ud800", "=1+1", "R1", "O1", "a" * 2000),
    *([], {}, [[]], {"": ""}, ["O1"] * 50, "0" * 16, "f" * 16, "observation", "run", "add", "split", "merge", "sign"),
)


def changed_value(value: Any, chance: random.Random, data: bytes) -> Any:
    """A JSON value with one of its parts put in the place of another, gone, or of another kind."""
    if isinstance(value, dict) and value and chance.random() < 0.8:
        key = chance.choice(sorted(value))
        out = dict(value)
        if chance.random() < 0.1:
            del out[key]
        elif chance.random() < 0.1:
            out[chance.choice(["structure", "from_m", "id", "kind", "seen", "target", "nth"])] = out[key]
        else:
            out[key] = changed_value(out[key], chance, data)
        return out
    if isinstance(value, list) and value and chance.random() < 0.8:
        at = chance.randrange(len(value))
        return [*value[:at], changed_value(value[at], chance, data), *value[at + 1 :]]
    if chance.random() < 0.2:
        return data[:40].decode("utf-8", "replace")
    return chance.choice(ODD_VALUES)
