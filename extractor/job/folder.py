"""A job on disk: one visit's narrations as received, the record made of them, and what a reviewer decided.

    JOB/
      job.json          schema version, program, the narrations' names and SHA-256, the lexicon's fingerprint
      narrations/NAME   byte for byte as received
      record.json       can be made again from the narrations
      decisions.jsonl   the reviewer's, append only: nothing in this module writes it
      reports/          what was made for the client

The same narrations and lexicon make the same bytes: no clock and no path of this machine goes into a file.
"""

import hashlib
import json
import shutil
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from extractor.errors import JobError
from extractor.job.names import distinct_names, safe_name
from extractor.job.writing import sync_folder, unwritable, write_atomically, write_together
from extractor.record import Record

SCHEMA = 1
LARGEST_RECORD_BYTES = 1_000_000_000
_MAKE_AGAIN = "Make it again: rodnote extract JOB/narrations/* --into JOB"


class StoredNarration(BaseModel):
    """A narration of the job: its file name under narrations/ and the SHA-256 of its bytes."""

    model_config = ConfigDict(extra="ignore", frozen=True)

    name: str = Field(min_length=1)
    sha256: str = Field(pattern=r"^[0-9a-f]{64}$")


class Card(BaseModel):
    """What job.json says."""

    model_config = ConfigDict(extra="ignore", frozen=True)

    # "schema" is a word that pydantic keeps for itself
    schema_version: int = Field(alias="schema", ge=1)
    program: str = ""
    lexicon: str = ""
    narrations: tuple[StoredNarration, ...]


@dataclass(frozen=True)
class Job:
    """An open job. `record` is as extracted: decisions are applied elsewhere."""

    folder: Path
    card: Card
    record: Record

    @property
    def decisions(self) -> Path:
        return self.folder / "decisions.jsonl"

    @property
    def reports(self) -> Path:
        return self.folder / "reports"

    @property
    def narrations(self) -> tuple[Path, ...]:
        """The stored files, in the order they were given."""
        return tuple(self.folder / "narrations" / stored.name for stored in self.card.narrations)

    def narration_bytes(self, index: int) -> bytes:
        """The narration as received.

        Raises:
            JobError: where the file is gone, leads out of the folder, or is no longer what was received.
        """
        stored, path = self.card.narrations[index], self.narrations[index]
        data = _bytes_inside(self.folder, path)
        if hashlib.sha256(data).hexdigest() != stored.sha256:
            raise JobError(
                "is not what was received: its SHA-256 differs from the one in job.json.",
                where=str(path),
                todo="Put the original file back.",
            )
        return data


def create_job(folder: Path, sources: Sequence[tuple[str, bytes]], record: Record) -> Job:
    """Store a visit in `folder`, or store it again: the record is replaced, narrations and decisions stay.

    `sources` are (name, bytes as received), in the record's order. A folder that does not exist appears all at once.

    Raises:
        JobError: where the folder holds something else or other narrations, or can't be written.
    """
    if not sources:
        raise JobError("a job needs at least one narration.", where=str(folder))
    if not folder.exists() and not folder.is_symlink():
        return _create_new(folder, sources, record)
    if not folder.is_dir():
        raise JobError("is a file, not a folder.", where=str(folder), todo="Choose another name for the job.")
    if (folder / "job.json").is_file():
        return _create_again(folder, sources, record)
    if any(folder.iterdir()):
        raise JobError(
            "holds other things and is no job.", where=str(folder), todo="Choose a new or an empty folder for the job."
        )
    return _write(folder, _named(sources, ()), record)


def open_job(folder: Path) -> Job:
    """The job in `folder`.

    Raises:
        JobError: where it is no job, a newer program made it, or its record is missing, damaged or of other narrations.
    """
    card = _read_card(folder)
    path = folder / "record.json"
    if not path.is_file():
        raise JobError("has no record.json.", where=str(folder), todo=_MAKE_AGAIN.replace("JOB", str(folder)))
    try:
        record = Record.model_validate_json(_bytes_inside(folder, path))
    except ValidationError as error:
        first = error.errors()[0]
        spot = ".".join(str(part) for part in first["loc"])
        raise JobError(
            f"is no record that this program reads ({spot}: {first['msg']}).",
            where=str(path),
            todo=_MAKE_AGAIN.replace("JOB", str(folder)),
        ) from error
    if [source.sha256 for source in record.sources] != [stored.sha256 for stored in card.narrations]:
        raise JobError(
            "was made from other narrations than the job holds.",
            where=str(path),
            todo=_MAKE_AGAIN.replace("JOB", str(folder)),
        )
    return Job(folder, card, record)


def record_bytes(record: Record) -> bytes:
    """The record as stored and as `rodnote extract --json` prints it: UTF-8, indented, one line feed at the end."""
    return record.model_dump_json(indent=2).encode() + b"\n"


def _create_new(folder: Path, sources: Sequence[tuple[str, bytes]], record: Record) -> Job:
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        unfinished = Path(tempfile.mkdtemp(prefix=f".{folder.name[:40]}.", suffix=".unfinished", dir=folder.parent))
    except OSError as error:
        raise unwritable(folder, error) from error
    try:
        job = _write(unfinished, _named(sources, ()), record)
        unfinished.chmod(0o755)
        unfinished.rename(folder)
        sync_folder(folder.parent)
    except OSError as error:
        raise unwritable(folder, error) from error
    finally:
        shutil.rmtree(unfinished, ignore_errors=True)
    return Job(folder, job.card, record)


def _create_again(folder: Path, sources: Sequence[tuple[str, bytes]], record: Record) -> Job:
    known = _read_card(folder).narrations
    named = _named(sources, known)
    missing = {stored.name for stored in known} - {name for name, _ in named}
    if missing:
        raise JobError(
            f"holds narrations that were not given this time: {', '.join(sorted(missing))}.",
            where=str(folder),
            todo="Give all narrations of the visit, or choose another folder.",
        )
    return _write(folder, named, record)


def _named(sources: Sequence[tuple[str, bytes]], known: Sequence[StoredNarration]) -> list[tuple[str, bytes]]:
    """Each source with the name it has in the job: the same bytes keep their name, new ones get one not yet taken."""
    stored_as = {stored.sha256: stored.name for stored in known}
    digests = [hashlib.sha256(data).hexdigest() for _, data in sources]
    wanted = [stored_as.get(digest, safe_name(name)) for digest, (name, _) in zip(digests, sources, strict=True)]
    new = [name for name, digest in zip(wanted, digests, strict=True) if digest not in stored_as]
    # known names come first, so that a new file of a known name is the one that is numbered
    fresh = iter(distinct_names([*stored_as.values(), *new])[len(stored_as) :])
    names = [name if digest in stored_as else next(fresh) for name, digest in zip(wanted, digests, strict=True)]
    return [(name, data) for name, (_, data) in zip(names, sources, strict=True)]


def _write(folder: Path, named: Sequence[tuple[str, bytes]], record: Record) -> Job:
    card = Card(
        schema=SCHEMA,
        program=record.program,
        lexicon=record.lexicon,
        narrations=tuple(StoredNarration(name=name, sha256=hashlib.sha256(data).hexdigest()) for name, data in named),
    )
    for name in ("narrations", "reports"):
        _own_folder(folder, folder / name)
    for name, data in named:
        if not _holds(folder / "narrations" / name, data):
            write_atomically(folder / "narrations" / name, data)
    # together, since a card without its record makes a job that does not open
    write_together([(folder / "job.json", _card_bytes(card)), (folder / "record.json", record_bytes(record))])
    return Job(folder, card, record)


def _card_bytes(card: Card) -> bytes:
    return json.dumps(card.model_dump(by_alias=True), indent=2, ensure_ascii=False).encode() + b"\n"


def _read_card(folder: Path) -> Card:
    path = folder / "job.json"
    if not folder.is_dir() or not path.is_file():
        raise JobError(
            "is no job folder: there is no job.json in it.",
            where=str(folder),
            todo="Make one: rodnote extract NARRATION --into FOLDER",
        )
    try:
        fields = json.loads(_bytes_inside(folder, path))
        if isinstance(fields, dict) and isinstance(version := fields.get("schema"), int) and version > SCHEMA:
            raise JobError(
                f"was made by a newer rodnote (job schema {version}; this one reads up to {SCHEMA}).",
                where=str(folder),
                todo="Update rodnote: pip install --upgrade rodnote",
            )
        card = Card.model_validate(fields)
    except (ValueError, RecursionError) as error:
        raise JobError("is damaged: it can't be read.", where=str(path), todo="Bring it back from a copy.") from error
    for stored in card.narrations:
        if safe_name(stored.name) != stored.name:
            raise JobError(f"names a narration that leads elsewhere: {stored.name!r}.", where=str(path))
    return card


def _own_folder(job: Path, folder: Path) -> None:
    """Make a folder of the job; one that is a link to somewhere else is refused."""
    try:
        folder.mkdir(exist_ok=True)
    except OSError as error:
        raise unwritable(folder, error) from error
    _refuse_outside(job, folder)


def _bytes_inside(job: Path, path: Path) -> bytes:
    _refuse_outside(job, path)
    try:
        if path.stat().st_size > LARGEST_RECORD_BYTES:
            raise JobError("is larger than a gigabyte: no job has such a file.", where=str(path))
        return path.read_bytes()
    except OSError as error:
        raise JobError(f"can't be read: {(error.strerror or str(error)).lower()}.", where=str(path)) from error


def _refuse_outside(job: Path, path: Path) -> None:
    if not path.resolve().is_relative_to(job.resolve()):
        raise JobError(
            "is a link that leads out of the job folder.", where=str(path), todo="Put the file itself there."
        )


def _holds(path: Path, data: bytes) -> bool:
    return not path.is_symlink() and path.is_file() and path.stat().st_size == len(data) and path.read_bytes() == data
