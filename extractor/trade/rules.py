"""Folders of rule tables -> Rules. The shipped tables are lexicon/rules/*.toml; a user's folder overrides by name.

A row of the user's with a known name replaces that row where it stood; a new one goes before the shipped ones, so that
it is tried first. Words under a [table] replace the shipped words of that key. `source`, `basis`, `confidence` at the
top of a file hold for its rows that state none.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, TypeVar

import tomli
from pydantic import ValidationError

from extractor.errors import LexiconError
from extractor.lexicon.load import Lexicon, load_lexicon, shipped_folder
from extractor.trade import tables

Row = TypeVar("Row", bound=tables.Sourced)
_DEFAULTS = ("source", "basis", "confidence")
# file -> name of its rows -> what a row is
_ROWS: Mapping[str, Mapping[str, type[tables.Sourced]]] = {
    "priorities": {"rule": tables.PriorityRule},
    "repairs": {"method": tables.RepairMethod},
    "rates": {"rate": tables.Rate},
    "falls": {"minimum": tables.MinimumFall, "nominal": tables.NominalSize},
    "tanks": {"guidance": tables.Guidance},
    "cautions": {"caution": tables.Caution},
    "codes": {"code": tables.MainCode, "mapping": tables.CodeMapping},
    "tolerances": {"tolerance": tables.Tolerance},
    "coverage": {},
    "compare": {},
}


@dataclass(frozen=True)
class Rules:
    """All rule tables: `rows[file, table]` in the order of trying, `words[file][table][key]` word lists."""

    lexicon: Lexicon = field(repr=False)
    rows: Mapping[tuple[str, str], tuple[tables.Sourced, ...]]
    words: Mapping[str, Mapping[str, Mapping[str, tuple[str, ...]]]]
    currency: str = ""

    def of(self, kind: type[Row]) -> tuple[Row, ...]:
        """All rows of one kind, in the order in which they are tried."""
        return tuple(row for rows in self.rows.values() for row in rows if isinstance(row, kind))

    def named(self, kind: type[Row], name: str) -> Row:
        """The row of that kind and name.

        Raises:
            LexiconError: where a table names a row that none defines.
        """
        for row in self.of(kind):
            if row.name == name:
                return row
        raise LexiconError(
            f"no {kind.__name__} is named {name!r}.", where="rule tables", todo="Add it or mend the name."
        )

    def phrases(self, file: str, table: str, key: str) -> tuple[str, ...]:
        return self.words.get(file, {}).get(table, {}).get(key, ())

    def tolerance(self, name: str) -> tables.Tolerance:
        return self.named(tables.Tolerance, name)

    def label(self, id: str | None) -> str:
        return self.lexicon.label(id)


def load_rules(*extra: Path, lexicon: Lexicon | None = None) -> Rules:
    """The shipped rule tables, overridden by FOLDER/rules/*.toml of the user's lexicon folders, in order.

    Raises:
        LexiconError: naming file, line and row of what breaks the rules.
    """
    rows: dict[tuple[str, str], dict[str, tables.Sourced]] = {
        (file, table): {} for file, kinds in _ROWS.items() for table in kinds
    }
    words: dict[str, dict[str, dict[str, tuple[str, ...]]]] = {file: {} for file in _ROWS}
    currency = ""
    for folder in (shipped_folder(), *extra):
        for path in sorted((folder / "rules").glob("*.toml")):
            currency = _add_file(path, rows, words) or currency
    rules = Rules(
        lexicon if lexicon is not None else load_lexicon(*extra),
        {key: tuple(named.values()) for key, named in rows.items()},
        words,
        currency,
    )
    _check(rules)
    return rules


def _add_file(
    path: Path,
    rows: dict[tuple[str, str], dict[str, tables.Sourced]],
    words: dict[str, dict[str, dict[str, tuple[str, ...]]]],
) -> str:
    if path.stem not in _ROWS:
        known = ", ".join(f"{name}.toml" for name in _ROWS)
        raise LexiconError("is no rule table that is known.", where=str(path), todo=f"Name it one of {known}.")
    try:
        text = path.read_text("utf-8")
        content = tomli.loads(text)
    except OSError as error:
        raise LexiconError(f"can't be read: {(error.strerror or str(error)).lower()}.", where=str(path)) from error
    except (ValueError, RecursionError) as error:  # no UTF-8, no TOML, a number or a nesting without end
        raise LexiconError(f"is no valid TOML: {error}.", where=str(path), todo="Mend that place.") from error
    defaults = {key: content.pop(key) for key in _DEFAULTS if key in content}
    currency = str(content.pop("currency", ""))
    for table, value in content.items():
        kind = _ROWS[path.stem].get(table)
        if kind is not None and isinstance(value, list):
            added = {row.name: row for row in _read_rows(path, text, table, kind, value, defaults)}
            rows[path.stem, table] = _overridden(rows[path.stem, table], added)
        elif isinstance(value, dict) and all(_is_words(entry) for entry in value.values()):
            words[path.stem].setdefault(table, {}).update({key: tuple(entry) for key, entry in value.items()})
        else:
            raise LexiconError(
                f"{table!r} is not known here.", where=str(path), todo="See the shipped table of that name."
            )
    return currency


def _is_words(value: object) -> bool:
    return isinstance(value, list) and all(isinstance(entry, str) for entry in value)


def _read_rows(
    path: Path,
    text: str,
    table: str,
    kind: type[tables.Sourced],
    values: Sequence[dict[str, Any]],
    defaults: Mapping[str, Any],
) -> list[tables.Sourced]:
    lines = [number for number, line in enumerate(text.splitlines(), 1) if line.strip() == f"[[{table}]]"]
    found = []
    for number, fields in enumerate(values):
        try:
            found.append(kind.model_validate({**defaults, **fields}))
        except ValidationError as error:
            first = error.errors()[0]
            line = lines[number] if number < len(lines) else "?"
            spot = ".".join(str(part) for part in first["loc"])
            place = f"{path}, line {line}, {table} {fields.get('name', '?')!r}"
            raise LexiconError(f"{spot}: {first['msg']}.", where=place) from error
    return found


def _overridden(known: Mapping[str, tables.Sourced], added: Mapping[str, tables.Sourced]) -> dict[str, tables.Sourced]:
    new = {name: row for name, row in added.items() if name not in known}
    return {**new, **{name: added.get(name, row) for name, row in known.items()}}


def _check(rules: Rules) -> None:
    """Names that one table takes from another must be there."""
    methods = {method.name for method in rules.of(tables.RepairMethod)}
    places = set(rules.words["priorities"].get("places", {}))
    for rule in rules.of(tables.PriorityRule):
        if rule.repair and rule.repair not in methods:
            raise LexiconError(f"repair {rule.repair!r} is not in repairs.toml.", where=f"priority rule {rule.name!r}")
        if unknown := set(rule.places) - places:
            raise LexiconError(f"place {unknown.pop()!r} is not under [places].", where=f"priority rule {rule.name!r}")
    for method in rules.of(tables.RepairMethod):
        if method.becomes and method.becomes not in methods:
            raise LexiconError(
                f"becomes {method.becomes!r}, which is not there.", where=f"repair method {method.name!r}"
            )
    for rate in rules.of(tables.Rate):
        if rate.method not in methods:
            raise LexiconError(f"method {rate.method!r} is not in repairs.toml.", where=f"rate {rate.name!r}")
