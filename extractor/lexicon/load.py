"""Folders of TOML -> Lexicon. A file holds one kind: `kind = "condition"` at its top, then `[[entry]]` tables.

A later folder adds to the first: an entry with a known kind and id joins its forms to it, a new one is added.
"""

import hashlib
import tomllib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from importlib import resources
from pathlib import Path

from pydantic import ValidationError

from extractor.errors import LexiconError
from extractor.lexicon.entry import Entry


@dataclass(frozen=True)
class Lexicon:
    """All entries, in the order of the files. `fingerprint` is the SHA-256 of what was read."""

    entries: tuple[Entry, ...]
    fingerprint: str

    def of_kind(self, *kinds: str) -> tuple[Entry, ...]:
        return tuple(entry for entry in self.entries if entry.kind in kinds)

    @cached_property
    def _index(self) -> dict[tuple[str, str], Entry]:
        return {(entry.kind, entry.id): entry for entry in self.entries}

    def entry(self, kind: str, id: str) -> Entry | None:
        return self._index.get((kind, id))

    def label(self, id: str | None) -> str:
        """The plain label of a structure, fixture, component, condition or action; the id itself where there is none."""
        for kind in ("condition", "component", "structure", "fixture", "action", "material"):
            if id is not None and (entry := self.entry(kind, id)):
                return entry.label
        return (id or "").replace("_", " ")


def shipped_folder() -> Path:
    """The lexicon that comes with the program: in the installed package, or beside it in a checkout."""
    packed = Path(str(resources.files("extractor"))) / "lexicon" / "words"
    return packed if packed.is_dir() else Path(str(resources.files("extractor"))).parent / "lexicon"


def load_lexicon(*extra: Path) -> Lexicon:
    """The shipped lexicon with the user's folders added, in order.

    Raises:
        LexiconError: naming file, line and entry of what breaks the rules.
    """
    entries: dict[tuple[str, str], Entry] = {}
    digest = hashlib.sha256()
    for folder in (shipped_folder(), *extra):
        if not folder.is_dir():
            raise LexiconError("no such lexicon folder.", where=str(folder), todo="Give a folder of .toml files.")
        for path in sorted(folder.glob("*.toml")):
            data = path.read_bytes()
            digest.update(data)
            for entry in _read_file(path, data):
                known = entries.get((entry.kind, entry.id))
                entries[entry.kind, entry.id] = _joined(known, entry) if known else entry
    return Lexicon(tuple(entries.values()), digest.hexdigest())


def _read_file(path: Path, data: bytes) -> Iterable[Entry]:
    try:
        text = data.decode("utf-8")
        table = tomllib.loads(text)
    except (UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise LexiconError(f"is no valid TOML: {error}.", where=str(path), todo="Mend that place.") from error
    lines = [number for number, line in enumerate(text.splitlines(), 1) if line.strip() == "[[entry]]"]
    for number, fields in enumerate(table.get("entry", [])):
        try:
            yield Entry.model_validate({"kind": table.get("kind"), **fields})
        except ValidationError as error:
            first = error.errors()[0]
            place = f"{path}, line {lines[number] if number < len(lines) else '?'}, entry {fields.get('id', '?')!r}"
            spot = ".".join(str(part) for part in first["loc"])
            raise LexiconError(f"{spot}: {first['msg']}.", where=place) from error


def _joined(known: Entry, added: Entry) -> Entry:
    def union(a: Sequence[str], b: Sequence[str]) -> tuple[str, ...]:
        return tuple(dict.fromkeys((*a, *b)))

    return known.model_copy(
        update={
            "label": added.label,
            "spoken": union(known.spoken, added.spoken),
            "misheard": union(known.misheard, added.misheard),
            "region": union(known.region, added.region),
            "on": added.on or known.on,
            "extent": added.extent or known.extent,
        }
    )
