"""What a worker does: a part's visits, one after another -> its tables. A pure function of files, lexicon and program.

Nothing is written here, so that a part whose worker was killed can be given to another one.
"""

import datetime
from collections import defaultdict
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import tomli

from extractor.archive.dataset import PartResult, parquet_bytes
from extractor.archive.gather import LARGEST_NARRATION_BYTES, Found, NotRead, date_in, file_digest, job_digest
from extractor.archive.materials import materials_in
from extractor.archive.tables import TABLES, Row, Visit, table_rows
from extractor.errors import RodnoteError
from extractor.lexicon.load import Lexicon, load_lexicon
from extractor.record import Record

_SAID_ERRORS = 200  # characters of an error that are kept


@dataclass(frozen=True, slots=True)
class Words:
    """The folders of the user's lexicon, and the fingerprint that all of it must have."""

    folders: tuple[str, ...]
    fingerprint: str


@dataclass(frozen=True, slots=True)
class Part:
    """Visits that are read in one go."""

    id: str
    folder: str
    visits: tuple[Found, ...]
    words: Words


def read_part(part: Part) -> PartResult:
    """Read the visits of a part. A visit that can't be read is listed and stops no other.

    Raises:
        RodnoteError: where the worker does not have the lexicon that the part is to be read with.
    """
    lexicon, harmless = tools(part.words)
    tables: dict[str, list[Row]] = defaultdict(list)
    unread: list[NotRead] = []
    words = 0
    for visit in part.visits:
        try:
            rows = _read_visit(Path(part.folder), visit, lexicon, harmless)
        except RodnoteError as error:
            unread.append(NotRead(visit.path, error.what))
        except OSError as error:
            unread.append(NotRead(visit.path, f"can't be read: {(error.strerror or str(error)).lower()}."))
        except Exception as error:  # a fault of ours must not stop the other visits, nor be hidden
            unread.append(NotRead(visit.path, f"fault in rodnote: {type(error).__name__}: {error}"[:_SAID_ERRORS]))
        else:
            words += sum(row["words"] for row in rows["visits"])
            for name, own in rows.items():
                tables[name] += own
    made = {name: parquet_bytes(name, tables[name]) for name in TABLES}
    return PartResult(part.id, made, tuple(unread), words, len(part.visits))


@lru_cache(maxsize=2)
def tools(words: Words) -> tuple[Lexicon, frozenset[str]]:
    """The lexicon, and the conditions that are no trouble; loaded once a worker.

    Raises:
        RodnoteError: where it is another lexicon than the one that was asked for.
    """
    from extractor.trade.rules import load_rules

    folders = [Path(folder) for folder in words.folders]
    lexicon = load_lexicon(*folders)
    if lexicon.fingerprint != words.fingerprint:
        raise RodnoteError("the worker has another lexicon.", todo="Install the same rodnote on all machines.")
    rules = load_rules(*folders, lexicon=lexicon)
    fine, noted = (rules.phrases("coverage", "conditions", key) for key in ("fine", "noted"))
    return lexicon, frozenset((*fine, *noted))


def _read_visit(folder: Path, visit: Found, lexicon: Lexicon, harmless: frozenset[str]) -> dict[str, list[Row]]:
    path = folder / visit.path
    if visit.is_job:
        record, signed_off, date = _job(path)
    else:
        record, signed_off, date = _narration(path, lexicon), False, None
    digest, _ = job_digest(path) if visit.is_job else file_digest(path, LARGEST_NARRATION_BYTES)
    if digest != visit.sha256:
        raise RodnoteError("changed while the batch ran; run it again.")
    about = Visit(
        path=visit.path,
        date=date or date_in(visit.path),
        sha256=visit.sha256,
        is_job=visit.is_job,
        signed_off=signed_off,
        materials=materials_in(record, lexicon),
        harmless=harmless,
    )
    return table_rows(record, about)


def _narration(path: Path, lexicon: Lexicon) -> Record:
    from extractor.narration.choose import read_narration
    from extractor.pipeline import extract

    return extract(read_narration(path), lexicon)


def _job(path: Path) -> tuple[Record, bool, str | None]:
    from extractor.job.apply import reviewed_record
    from extractor.job.folder import open_job

    reviewed = reviewed_record(open_job(path))
    return reviewed.record, reviewed.sign_off is not None, _visit_date(path / "visit.toml")


def _visit_date(path: Path) -> str | None:
    """The date that visit.toml gives, where there is a file that gives one."""
    try:
        date = tomli.loads(path.read_text(encoding="utf-8-sig")).get("date")
    except (OSError, ValueError, RecursionError):
        return None
    if isinstance(date, datetime.datetime):
        date = date.date()
    return date.isoformat() if isinstance(date, datetime.date) else date_in(date) if isinstance(date, str) else None
