"""What reviewers teach: a word answered twice the same way is offered for the user's own lexicon folder.

Nothing is added by itself. What is added is a line of TOML that a person can read, change and delete:

    # rodnote lexicon add: "sultan" was answered as "settled deposit" 2 times
    [[entry]]
    id = "settled_deposit"
    label = "settled deposit"
    misheard = ["sultan"]
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT, Array, Table

from extractor.errors import JobError, LexiconError, RodnoteError
from extractor.job.apply import ReviewedRecord
from extractor.job.decisions import Decision
from extractor.job.writing import write_atomically
from extractor.lexicon.entry import Entry
from extractor.lexicon.load import Lexicon, load_lexicon

TIMES = 2
MOST_WORDS = 3  # longer than this is a sentence, not a word that was misheard
KINDS = ("condition", "component", "structure", "fixture", "action", "material")
_FIELDS = {
    "condition": ("condition",),
    "component": ("component", "fixture"),
    "structure": ("structure", "fixture"),
    "action": ("action",),
    "target": ("structure", "component", "fixture"),
}
Form = Literal["misheard", "spoken"]


@dataclass(frozen=True)
class Lesson:
    """Words that were heard, the entry they were taken for each time, and how often."""

    heard: str
    entry: Entry
    times: int


def lessons(decisions: Iterable[Decision], lexicon: Lexicon) -> tuple[Lesson, ...]:
    """What decisions that count, of one job or of several, answered often enough and always in one way."""
    answers: dict[str, list[Entry]] = defaultdict(list)
    for decision in decisions:
        heard = heard_words(decision)
        if heard and (entry := _taken_for(decision, lexicon)):
            answers[heard].append(entry)
    return tuple(
        Lesson(heard, entries[0], len(entries))
        for heard, entries in answers.items()
        if len(entries) >= TIMES and len({(entry.kind, entry.id) for entry in entries}) == 1
        if heard not in entries[0].misheard and heard not in entries[0].spoken
    )


def fresh_lessons(reviewed: ReviewedRecord, lexicon: Lexicon) -> tuple[Lesson, ...]:
    """The lessons of one job."""
    return lessons(reviewed.standing, lexicon)


def heard_words(decision: Decision) -> str:
    """The unclear word that the decision answered, in lower case; "" where it answered none."""
    query = decision.query
    if query is None or query.reason != "unclear_word" or decision.kind != "change":
        return ""
    heard = " ".join(query.quote.lower().split()).strip(".,!?;:")
    return heard if 0 < len(heard.split()) <= MOST_WORDS else ""


def _taken_for(decision: Decision, lexicon: Lexicon) -> Entry | None:
    """The entry that the answer named; where it left the row as read, what the row says."""
    said = dict(decision.sets) or (decision.row.like if decision.row else {})
    for name, kinds in _FIELDS.items():
        value = said.get(name)
        for kind in kinds if isinstance(value, str) else ():
            if entry := lexicon.entry(kind, str(value)):
                return entry
    return None


def find_entry(name: str, lexicon: Lexicon) -> Entry:
    """The thing with this id, or with this kind and id ("component/joint").

    Raises:
        LexiconError: where there is none, or several.
    """
    kind, slash, id = name.rpartition("/")
    found = [entry for entry in lexicon.of_kind(*KINDS) if entry.id == id and (not slash or entry.kind == kind)]
    if len(found) == 1:
        return found[0]
    if not found:
        raise LexiconError(f"{name!r} is no thing of the lexicon.", todo=f"Look it up: rodnote lexicon find {id}")
    several = " or ".join(f"{entry.kind}/{entry.id}" for entry in found)
    raise LexiconError(f"{name!r} may be several things.", todo=f"Say which: {several}.")


def teach(folder: Path, words: str, entry: Entry, *, form: Form = "misheard", why: str = "") -> Path:
    """Add words to an entry in the user's folder; the file that now holds them.

    Raises:
        LexiconError: where the words break the lexicon's rules, or a file can't be read; the folder is then as it was.
        JobError: where it can't be written.
    """
    phrase = " ".join(words.lower().split())
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise JobError(f"can't be made: {(error.strerror or str(error)).lower()}.", where=str(folder)) from error
    path, document = _document_with(folder, entry)
    table = _table_of(document, entry)
    if table is None:
        table = tomlkit.table()
        if why:
            table.add(tomlkit.comment(f"rodnote lexicon add: {_one_line(why)}"))
        table.add("id", entry.id)
        table.add("label", entry.label)
        entries = document.setdefault("entry", tomlkit.aot())
        if not isinstance(entries, AoT):
            raise LexiconError("`entry` is no list of tables.", where=str(path))
        entries.append(table)
    forms = table.setdefault(form, tomlkit.array())
    if isinstance(forms, Array) and phrase not in forms:
        forms.append(phrase)
    _replace(folder, path, document)
    return path


def unteach(folder: Path, words: str, entry: Entry) -> Path:
    """Take words out of an entry of the user's folder; an entry without words goes too.

    Raises:
        LexiconError: where they are not there.
    """
    phrase = " ".join(words.lower().split())
    path, document = _document_with(folder, entry)
    table = _table_of(document, entry)
    held = [form for form in ("misheard", "spoken") if table is not None and phrase in (table.get(form) or ())]
    if table is None or not held:
        raise LexiconError(f"{phrase!r} is not among the words of {entry.id!r}.", where=str(folder))
    for form in held:
        table[form].remove(phrase)
        if not table[form]:
            del table[form]
    if not table.get("misheard") and not table.get("spoken"):
        entries = document["entry"]
        entries.remove(table)
        if not entries:
            del document["entry"]
        if not entries and path.name == _own_file(entry):
            path.unlink()
            return path
    _replace(folder, path, document)
    return path


def _document_with(folder: Path, entry: Entry) -> tuple[Path, tomlkit.TOMLDocument]:
    """The file of the folder that has the entry, or the one that it would be put into."""
    for path in sorted(folder.glob("*.toml")):
        document = _read(path)
        if document.get("kind") == entry.kind and _table_of(document, entry) is not None:
            return path, document
    path = folder / _own_file(entry)
    if path.exists():
        return path, _read(path)
    document = tomlkit.document()
    document.add(
        tomlkit.comment("Words that reviewers taught. Delete an entry to undo it; rodnote lexicon check reads it.")
    )
    document.add("kind", tomlkit.item(entry.kind))
    document.add(tomlkit.nl())
    return path, document


def _own_file(entry: Entry) -> str:
    return f"taught-{entry.kind}.toml"


def _read(path: Path) -> tomlkit.TOMLDocument:
    try:
        return tomlkit.parse(path.read_bytes().decode("utf-8-sig"))
    except (OSError, UnicodeDecodeError, TOMLKitError) as error:
        raise LexiconError(
            f"can't be read: {error}.", where=str(path), todo="rodnote lexicon check tells the line."
        ) from error


def _table_of(document: tomlkit.TOMLDocument, entry: Entry) -> Table | None:
    entries = document.get("entry")
    if not isinstance(entries, AoT):
        return None
    return next((table for table in entries if table.get("id") == entry.id), None)


def _replace(folder: Path, path: Path, document: tomlkit.TOMLDocument) -> None:
    """Write the file; where the folder then breaks the lexicon's rules, what stood there stands again."""
    before = path.read_bytes() if path.exists() else None
    write_atomically(path, tomlkit.dumps(document).encode())
    try:
        load_lexicon(folder)
    except RodnoteError:
        if before is None:
            path.unlink()
        else:
            write_atomically(path, before)
        raise


def _one_line(text: str) -> str:
    return " ".join("".join(mark if mark.isprintable() else " " for mark in text).split())
