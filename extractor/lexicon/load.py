"""Folders of TOML -> Lexicon. A file holds one kind: `kind = "condition"` at its top, then `[[entry]]` tables.

A later folder adds to the first: an entry with a known kind and id joins its forms to it, a new one is added. A thing's
phrase that a later folder gives to another id is that id's from then on.
"""

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from importlib import resources
from pathlib import Path

from extractor.errors import LexiconError
from extractor.lexicon.entry import Entry
from extractor.lexicon.file import Placed, read_file
from extractor.lexicon.nearest import nearest

SURVEYED = {"structure", "fixture", "component", "condition", "action"}  # kinds whose ids the record fixes
CLASSES = ("grammar", "neighbour")  # classes of words, looked up by id alone
THINGS = SURVEYED | {"material", "extent"}  # kinds in which a phrase has one meaning

Entries = dict[tuple[str, str], Entry]


@dataclass(frozen=True, eq=False)
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
        """The plain label of a thing, whatever its kind; the id itself where there is none."""
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
    entries: Entries = {}
    digest = hashlib.sha256()
    for number, folder in enumerate((shipped_folder(), *extra)):
        placed: list[Placed] = []
        for path in _files(folder):
            data, added = read_file(path)
            digest.update(data)
            placed.extend(added)
        _check_once(placed)
        if number:
            _check_ids(placed, entries)
        _check_components(placed, entries)
        _add(placed, entries)
    return Lexicon(tuple(entries.values()), digest.hexdigest())


def _files(folder: Path) -> list[Path]:
    if not folder.is_dir():
        raise LexiconError("no such lexicon folder.", where=str(folder), todo="Give a folder of .toml files.")
    files = sorted(path for path in folder.glob("*.toml") if path.is_file())
    if not files and not any((folder / "rules").glob("*.toml")):
        raise LexiconError("holds no .toml file.", where=str(folder), todo="Put your words in one: see README.md.")
    return files


def _check_once(placed: Sequence[Placed]) -> None:
    """In one folder an entry stands once, and a thing's phrase under one id."""
    seen: dict[tuple[str, str], Placed] = {}
    owner: dict[tuple[str, str], Placed] = {}
    for each in placed:
        entry = each.entry
        named = "word class" if entry.kind in CLASSES else entry.kind, entry.id
        if first := seen.get(named):
            raise LexiconError(
                f"{entry.kind} {entry.id!r} stands in {first.place} already.",
                where=each.place,
                todo="Make one entry of the two.",
            )
        seen[named] = each
        if entry.kind not in THINGS:
            continue
        for phrase in _phrases(entry):
            other = owner.setdefault((entry.kind, phrase), each)
            if other is not each:
                raise LexiconError(
                    f"{phrase!r} is said of {other.entry.id!r} already ({other.place}).",
                    where=each.place,
                    todo="Leave it in one of the two.",
                )


def _check_ids(placed: Sequence[Placed], entries: Mapping[tuple[str, str], Entry]) -> None:
    """The record knows a fixed set of things: a user may say them in new ways, not add to them."""
    for each in placed:
        kind, id = each.entry.kind, each.entry.id
        if kind in SURVEYED and (kind, id) not in entries:
            known = [known_id for known_kind, known_id in entries if known_kind == kind]
            raise LexiconError(
                f"{id!r} is no {kind} of the record.", where=each.place, todo=nearest(id, known) or "See lexicon/."
            )


def _check_components(placed: Sequence[Placed], entries: Mapping[tuple[str, str], Entry]) -> None:
    """`on` and `naming` name components."""
    known = {id for kind, id in entries if kind == "component"}
    known.update(each.entry.id for each in placed if each.entry.kind == "component")
    for each in placed:
        if each.entry.kind not in THINGS:
            continue
        named = [*each.entry.naming, *([each.entry.on] if each.entry.on else [])]
        for id in named:
            if id not in known:
                raise LexiconError(f"{id!r} is no component.", where=each.place, todo=nearest(id, sorted(known)))


def _add(placed: Iterable[Placed], entries: Entries) -> None:
    owners = {
        (kind, phrase): id for (kind, id), entry in entries.items() if kind in THINGS for phrase in _phrases(entry)
    }
    for each in placed:
        entry = each.entry
        key = entry.kind, entry.id
        for phrase in _phrases(entry) if owners else ():  # the first folder takes nothing from another
            owner = owners.get((entry.kind, phrase), entry.id)
            if owner != entry.id:
                entries[entry.kind, owner] = _without(entries[entry.kind, owner], phrase)
        known = entries.get(key)
        entries[key] = _joined(known, entry) if known else entry


def _phrases(entry: Entry) -> tuple[str, ...]:
    return (*entry.spoken, *(phrase for phrases in entry.naming.values() for phrase in phrases))


def _without(entry: Entry, phrase: str) -> Entry:
    def left(phrases: Sequence[str]) -> tuple[str, ...]:
        return tuple(each for each in phrases if each != phrase)

    naming = {component: left(phrases) for component, phrases in entry.naming.items()}
    return entry.model_copy(update={"spoken": left(entry.spoken), "naming": naming})


def _joined(known: Entry, added: Entry) -> Entry:
    def union(a: Sequence[str], b: Sequence[str]) -> tuple[str, ...]:
        return tuple(dict.fromkeys((*a, *b)))

    naming = {on: union(known.naming.get(on, ()), added.naming.get(on, ())) for on in {**known.naming, **added.naming}}
    said = {*added.spoken, *(phrase for phrases in added.naming.values() for phrase in phrases)}
    return known.model_copy(
        update={
            "label": added.label,
            "spoken": union(tuple(phrase for phrase in known.spoken if phrase not in added.misheard), added.spoken),
            "misheard": union(tuple(phrase for phrase in known.misheard if phrase not in said), added.misheard),
            "naming": naming,
            "region": union(known.region, added.region),
            "stands_for": union(known.stands_for, added.stands_for),
            "on": added.on or known.on,
            "extent": added.extent or known.extent,
            "graded": known.graded if "graded" not in added.model_fields_set else added.graded,
            "value": known.value if added.value is None else added.value,
        }
    )
