"""The data set on disk: rows as Parquet bytes, and a folder of parts that is whole at every moment.

    DIR/
      batch.json              schema version of the data set
      visits/ID.parquet       one file a part and table; runs/, rows/, measurements/, work/, queries/ likewise
      parts/ID.json           which visits the part holds, which of them could not be read; written last
      not-read.jsonl          all visits that could not be read, and why; written at the end

A part's ID is the digest of what it was made from (visits' digests, lexicon, program), so that making it twice gives
the same files. A table's file without its parts/ID.json is left over from a kill, and is removed.
"""

import hashlib
import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from extractor.archive.gather import Found, NotRead
from extractor.archive.tables import TABLES, Row
from extractor.errors import JobError
from extractor.job.writing import sync_folder, unwritable, write_atomically

SCHEMA = 1
LOCK = ".batch.lock"
NOT_READ = "not-read.jsonl"
_TOO_LARGE = 2**63


class PartCard(BaseModel):
    """parts/ID.json. `visits` are (path, SHA-256) of all its visits, `not_read` (path, error) of some of them."""

    model_config = ConfigDict(extra="ignore", frozen=True)

    schema_version: int = Field(alias="schema", ge=1)
    program: str
    lexicon: str
    visits: tuple[tuple[str, str], ...]
    not_read: tuple[tuple[str, str], ...] = ()
    words: int = 0


@dataclass(frozen=True)
class PartResult:
    """What reading a part gives: Parquet bytes a table, and the visits that could not be read."""

    id: str
    tables: Mapping[str, bytes]
    not_read: tuple[NotRead, ...]
    words: int
    visits: int


def part_id(visits: Iterable[Found], lexicon: str, program: str) -> str:
    """Sixteen hexadecimal digits that stand for what the part is made from."""
    made_from = json.dumps([SCHEMA, lexicon, program, sorted((visit.path, visit.sha256) for visit in visits)])
    return hashlib.sha256(made_from.encode()).hexdigest()[:16]


def parquet_bytes(name: str, rows: Sequence[Row]) -> bytes:
    """The rows of a table as one Parquet file; a table without rows has its columns all the same."""
    pa, pq = import_module("pyarrow"), import_module("pyarrow.parquet")  # no types, and slow to load
    types = {
        "text": pa.string(),
        "number": pa.float64(),
        "whole": pa.int64(),
        "yes_no": pa.bool_(),
        "date": pa.date32(),
    }
    columns = []
    for column, kind in TABLES[name]:
        values = [row.get(column) for row in rows]
        if kind == "whole":  # a number that was said may be of any length
            values = [value if value is None or abs(value) < _TOO_LARGE else None for value in values]
        array = pa.array(values, pa.string()).cast(pa.date32()) if kind == "date" else pa.array(values, types[kind])
        columns.append(array)
    table = pa.table(dict(zip((column for column, _ in TABLES[name]), columns, strict=True)))
    sink = pa.BufferOutputStream()
    pq.write_table(table, sink, compression="zstd")
    return bytes(sink.getvalue().to_pybytes())


class DataSet:
    """The folder of a data set. `cards` are the parts it holds."""

    def __init__(self, folder: Path) -> None:
        """Open the data set in `folder`, or begin one in a folder that is new or empty.

        Raises:
            JobError: where the folder holds something else, was made by a newer program, or can't be written.
        """
        self.folder = folder
        check_folder(folder)
        _begin(folder)
        self.cards: dict[str, PartCard] = {}
        for path in sorted((folder / "parts").glob("*.json")):
            if card := _read_card(path):
                self.cards[path.stem] = card

    def keep_only(self, ids: Iterable[str]) -> None:
        """Remove every other part, and whatever a kill has left over."""
        wanted = set(ids)
        for id in set(self.cards) - wanted:
            self._remove(self.folder / "parts" / f"{id}.json")
            del self.cards[id]
        for name in ("parts", *TABLES):
            for path in (self.folder / name).iterdir():
                if path.stem not in self.cards:
                    self._remove(path)

    def has_tables(self, id: str) -> bool:
        """Whether every table's file of a part is there."""
        return all((self.folder / name / f"{id}.parquet").is_file() for name in TABLES)

    def add(self, result: PartResult, visits: Iterable[Found], lexicon: str, program: str) -> None:
        """Put a part there: its tables, then the card that makes them count.

        Raises:
            JobError: where it can't be written; the data set is then without that part.
        """
        card = PartCard(
            schema=SCHEMA,
            program=program,
            lexicon=lexicon,
            visits=tuple(sorted((visit.path, visit.sha256) for visit in visits)),
            not_read=tuple((each.path, each.error) for each in sorted(result.not_read)),
            words=result.words,
        )
        for name, data in result.tables.items():
            write_atomically(self.folder / name / f"{result.id}.parquet", data)
        text = json.dumps(card.model_dump(by_alias=True), ensure_ascii=False)
        write_atomically(self.folder / "parts" / f"{result.id}.json", text.encode() + b"\n")
        self.cards[result.id] = card

    def write_not_read(self, unread: Sequence[NotRead]) -> Path:
        """Write the list of what could not be read, one JSON object a line; empty where everything could."""
        path = self.folder / NOT_READ
        lines = [json.dumps({"visit": each.path, "error": each.error}, ensure_ascii=False) for each in unread]
        write_atomically(path, "".join(f"{line}\n" for line in lines).encode())
        return path

    def _remove(self, path: Path) -> None:
        try:
            path.unlink()
        except OSError as error:
            raise unwritable(path, error) from error


def check_folder(folder: Path) -> None:
    """Do nothing where a data set is or can begin in `folder`.

    Raises:
        JobError: where it holds something else, or the data set of a newer program.
    """
    try:
        if folder.exists() and not folder.is_dir():
            raise JobError("is a file, not a folder.", where=str(folder), todo="Choose another name for the data set.")
        if (folder / "batch.json").is_file():
            _check_version(folder / "batch.json")
        elif folder.is_dir() and any(path.name != LOCK for path in folder.iterdir()):
            raise JobError(
                "holds other things and is no data set.", where=str(folder), todo="Choose a new or an empty folder."
            )
    except OSError as error:
        raise unwritable(folder, error) from error


def _begin(folder: Path) -> None:
    """Lay the folders out; batch.json first, so that what a kill leaves is known for a data set."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
        if not (folder / "batch.json").is_file():
            write_atomically(folder / "batch.json", json.dumps({"schema": SCHEMA}).encode() + b"\n")
        for name in ("parts", *TABLES):
            (folder / name).mkdir(exist_ok=True)
            if not (folder / name).resolve().is_relative_to(folder.resolve()):
                raise JobError("is a link that leads out of the data set.", where=str(folder / name))
        sync_folder(folder)
    except OSError as error:
        raise unwritable(folder, error) from error


def _check_version(card: Path) -> None:
    try:
        fields: Any = json.loads(card.read_bytes())
        version = int(fields["schema"])
    except (ValueError, KeyError, TypeError, RecursionError) as error:
        raise JobError("is damaged: it can't be read.", where=str(card), todo="Choose a new folder.") from error
    if version > SCHEMA:
        raise JobError(
            f"was made by a newer rodnote (data set schema {version}; this one writes {SCHEMA}).",
            where=str(card.parent),
            todo="Update rodnote, or choose a new folder.",
        )


def _read_card(path: Path) -> PartCard | None:
    """The card of a part; None where it is damaged or of another schema, so that the part is made again."""
    try:
        card = PartCard.model_validate_json(path.read_bytes())
    except (OSError, ValidationError, ValueError):
        return None
    return card if card.schema_version == SCHEMA else None
