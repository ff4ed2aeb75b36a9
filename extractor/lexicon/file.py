"""One file of the lexicon -> its entries, each with its place; or an error that names file, line and entry."""

import re
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NoReturn, get_args

import tomli
from pydantic import ValidationError

from extractor.errors import LexiconError
from extractor.lexicon.entry import Entry, Kind
from extractor.lexicon.nearest import nearest
from extractor.lexicon.patterns import Sets, spelled_out

MOST_BYTES = 4 * 1024 * 1024  # a hundred times the largest file that is shipped
KEYS = ("kind", "sets", "entry")
BYTE_ORDER_MARK = b"\xef\xbb\xbf"
_HEADER = re.compile(r"^\s*\[\[\s*entry\s*\]\]")
_ID = re.compile(r"^\s*id\s*=\s*[\"']([^\"']*)")
_LINE = re.compile(r"at line (\d+)")


@dataclass(frozen=True, slots=True)
class Placed:
    """An entry and where it stands, its line counted only when asked for."""

    entry: Entry
    path: Path
    number: int
    text: str

    @property
    def place(self) -> str:
        return _place(self.path, self.text, self.number, self.entry.id)


def read_file(path: Path) -> tuple[bytes, list[Placed]]:
    """The bytes of the file and its entries.

    Raises:
        LexiconError: naming file, line and entry of what breaks the rules.
    """
    data = _bytes(path)
    text = _text(path, data)
    try:
        table = tomli.loads(text)
    except tomli.TOMLDecodeError as error:
        _tell_syntax(path, text, error)
    except (ValueError, RecursionError) as error:  # a number of thousands of digits; brackets within brackets
        raise LexiconError(
            "is no valid TOML: a number is too long, or too much is nested.", where=str(path), todo="Mend that place."
        ) from error
    kind, sets = _kind(path, table), _sets(path, table)
    placed = []
    for number, fields in enumerate(_entries(path, table)):
        try:
            entry = Entry.model_validate({**spelled_out(fields, sets), "kind": kind})
        except ValidationError as error:
            _tell_entry(path, text, number, fields, error)
        except ValueError as error:
            where = _place(path, text, number, str(fields.get("id", "?")))
            raise LexiconError(f"{error}.", where=where, todo="Look at [sets] at the top of the file.") from error
        placed.append(Placed(entry, path, number, text))
    return data, placed


def _bytes(path: Path) -> bytes:
    try:
        size = path.stat().st_size
        if size > MOST_BYTES:
            raise LexiconError(
                f"has {size / 1_048_576:.0f} MB, which is no list of words.",
                where=str(path),
                todo="Split it, or leave it out.",
            )
        return path.read_bytes()
    except OSError as error:
        raise LexiconError(f"can't be read: {error.strerror}.", where=str(path), todo="Look at its rights.") from error


def _text(path: Path, data: bytes) -> str:
    try:
        return data.removeprefix(BYTE_ORDER_MARK).decode("utf-8").replace("\r\n", "\n")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise LexiconError(
            f"is not UTF-8 (byte 0x{data[error.start]:02x}).", where=f"{path}, line {line}", todo="Save it as UTF-8."
        ) from error


def _kind(path: Path, table: dict[str, Any]) -> Kind:
    kinds: tuple[Kind, ...] = get_args(Kind)
    for key in table:
        if key not in KEYS:
            raise LexiconError(
                f"{key!r} is not known here; a file holds `kind`, `[sets]` and `[[entry]]` tables.",
                where=str(path),
                todo=nearest(key, KEYS),
            )
    kind = table.get("kind")
    if kind is None:
        raise LexiconError(
            "has no kind.", where=str(path), todo=f'Put kind = "..." at its top, one of {", ".join(kinds)}.'
        )
    if kind not in kinds:
        raise LexiconError(
            f"kind {kind!r} is not known.",
            where=str(path),
            todo=nearest(str(kind), kinds) or f"It is one of {', '.join(kinds)}.",
        )
    return kind  # type: ignore[no-any-return]


def _sets(path: Path, table: dict[str, Any]) -> Sets:
    sets = table.get("sets", {})
    words = sets.values() if isinstance(sets, dict) else ()
    if not isinstance(sets, dict) or not all(
        isinstance(each, list) and each and all(isinstance(word, str) for word in each) for each in words
    ):
        raise LexiconError(
            "`sets` is no table of lists of words.", where=str(path), todo='Write [sets], then name = ["word", ...].'
        )
    return sets


def _entries(path: Path, table: dict[str, Any]) -> list[dict[str, Any]]:
    entries = table.get("entry", [])
    if not isinstance(entries, list) or not all(isinstance(fields, dict) for fields in entries):
        raise LexiconError("`entry` is no list of tables.", where=str(path), todo="Begin each entry with [[entry]].")
    return entries


def _tell_syntax(path: Path, text: str, error: tomli.TOMLDecodeError) -> NoReturn:
    found = _LINE.search(str(error))
    line = int(found[1]) if found else text.count("\n") + 1
    number = sum(1 for each in text.split("\n")[:line] if _HEADER.match(each)) - 1
    what = str(error).split(" (at ")[0]
    where = f"{path}, line {line}"
    if number >= 0 and (id := _id_of(text, number)):
        where += f", entry {id!r}"
    raise LexiconError(f"is no valid TOML: {what}.", where=where, todo="Mend that place.") from error


def _tell_entry(path: Path, text: str, number: int, fields: dict[str, Any], error: ValidationError) -> NoReturn:
    first = error.errors()[0]
    spot = ".".join(str(part) for part in first["loc"])
    todo = ""
    if first["type"] == "extra_forbidden":
        what = f"{spot!r} is no field of an entry."
        todo = nearest(spot, [name for name in Entry.model_fields if name != "kind"])
    else:
        message = first["msg"].removeprefix("Value error, ")
        what = f"{spot}: {message}." if spot else f"{message}."
    where = _place(path, text, number, str(fields.get("id", "?")))
    raise LexiconError(what, where=where, todo=todo) from error


def _place(path: Path, text: str, number: int, id: str) -> str:
    lines = _header_lines(text)
    line = f", line {lines[number]}" if number < len(lines) else ""
    return f"{path}{line}, entry {id!r}"


def _header_lines(text: str) -> list[int]:
    return [number for number, line in enumerate(text.split("\n"), 1) if _HEADER.match(line)]


def _id_of(text: str, number: int) -> str:
    """The id of the entry that begins at the numbered header, as far as it can be made out in a broken file."""
    for line in text.split("\n")[_header_lines(text)[number] :]:
        if _HEADER.match(line):
            break
        if found := _ID.match(line):
            return found[1]
    return ""
