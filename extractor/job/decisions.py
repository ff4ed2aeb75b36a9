"""What a reviewer decides, and how one decision stands on one line of decisions.jsonl.

    {"schema":1,"id":"...","when":"2026-05-04T17:31:02.118Z","who":"...","seen":["..."],"kind":"change","row":{...},
     "sets":{"from_m":4.2},"check":"0f3c..."}

`check` is the start of the SHA-256 of the line without it, so that half a line, or one that was altered, is known.
`seen` names the latest decisions its reviewer had before them. Two decisions of which neither had seen the other were
taken apart from each other, and may disagree; one that had seen the other replaces it.
"""

import hashlib
import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from extractor.errors import JobError
from extractor.record import Reason

SCHEMA = 1
LARGEST_LOG_BYTES = 200_000_000

RowKind = Literal["observation", "measurement", "action", "correction", "conclusion", "run"]
Value = float | int | str | bool | tuple[int, int] | None


class _Part(BaseModel):
    # a field of a later program is kept, so that its check still agrees
    model_config = ConfigDict(extra="allow", frozen=True)


class Span(_Part):
    """Characters first to last (half-open) of the narration whose bytes have this SHA-256.

    The times, in seconds, are given where a reviewer marked words that no row rests on yet.
    """

    sha256: str
    first_char: int
    last_char: int
    start_s: float | None = None
    end_s: float | None = None


class RowName(_Part):
    """A row by the words it rests on and what it said when it was named.

    `like` are its fields then; `nth` tells rows apart that are alike in everything. `made_by` is the id of the decision
    that made the row, where the extractor did not.
    """

    kind: RowKind
    spans: tuple[Span, ...] = ()
    quote: str = ""
    like: dict[str, Any] = {}
    nth: int = 0
    made_by: str | None = None


class QueryName(_Part):
    """A query by its reason, the words it rests on and its row."""

    reason: Reason
    about: str = ""
    quote: str = ""
    spans: tuple[Span, ...] = ()
    row: RowName | None = None


class Deed(_Part):
    """What is to be done, before it is signed with a name and a time.

    change   `sets` on `row`; empty leaves it as it is
    reject   `row` goes
    add      a row of kind `row.kind` resting on `row.spans`, with the fields `sets`
    split    `row` stays, a second one with the fields `sets` is made beside it
    merge    `other` goes into `row`
    settle   a query is answered and no row changes
    undo     the decision `target` no longer counts
    sign     `who` stands for the record as it is (`digest`), `left_open` harmful queries open for `because`

    `to_run` is the run a row goes to, `over` the decisions this one rules between or replaces, `answer` the words
    taken.
    """

    kind: Literal["change", "reject", "add", "split", "merge", "settle", "undo", "sign"]
    row: RowName | None = None
    other: RowName | None = None
    sets: dict[str, Value] = {}
    to_run: RowName | None = None
    query: QueryName | None = None
    answer: str = ""
    target: str | None = None
    over: tuple[str, ...] = ()
    digest: str | None = None
    because: str = ""
    left_open: int = 0


class Decision(Deed):
    """A deed with who did it and when (UTC, as their clock had it)."""

    # "schema" is a word that pydantic keeps for itself
    schema_version: int = Field(default=SCHEMA, alias="schema")
    id: str = Field(pattern=r"^[0-9a-f]{16}$")
    when: str
    who: str
    seen: tuple[str, ...] = ()


@dataclass(frozen=True)
class Damage:
    """Bytes of the log that are no decision: `line` counts from 1, `torn` is true for an unfinished last one."""

    line: int
    data: bytes
    torn: bool


@dataclass(frozen=True)
class LogText:
    """What a log holds. `sound_bytes` is where the last whole line ends; `unended`: its line feed is missing."""

    decisions: tuple[Decision, ...] = ()
    damages: tuple[Damage, ...] = ()
    sound_bytes: int = 0
    unended: bool = False


def line_of(decision: Decision) -> bytes:
    """The decision as one line with its check, line feed included."""
    fields = decision.model_dump(mode="json", by_alias=True, exclude_defaults=True)
    fields = {"schema": decision.schema_version, **fields}
    return _canonical({**fields, "check": _check(fields)}) + b"\n"


def read_line(line: bytes) -> Decision:
    """The decision of one line.

    Raises:
        ValueError: where it is no whole and unaltered decision.
        JobError: where a newer program wrote it.
    """
    fields = json.loads(line)
    if not isinstance(fields, dict) or fields.pop("check", None) != _check(fields):
        raise ValueError("the check does not agree")
    if isinstance(version := fields.get("schema"), int) and version > SCHEMA:
        raise JobError(
            f"holds decisions of a newer rodnote (schema {version}; this one reads up to {SCHEMA}).",
            todo="Update rodnote: pip install --upgrade rodnote",
        )
    return Decision.model_validate(fields)


def read_log(path: Path) -> LogText:
    """The log at `path`, in the order written; an absent file is an empty log. Changes nothing on disk.

    Raises:
        JobError: where it can't be read or a newer program wrote it.
    """
    if path.is_symlink():
        raise JobError("is a link: decisions are kept in the job itself.", where=str(path))
    try:
        if path.exists() and path.stat().st_size > LARGEST_LOG_BYTES:
            raise JobError("is larger than 200 MB: no log of decisions is.", where=str(path))
        data = path.read_bytes() if path.exists() else b""
        return parse_log(data)
    except JobError as error:
        raise JobError(error.what, where=str(path), todo=error.todo) from error
    except OSError as error:
        raise JobError(f"can't be read: {(error.strerror or str(error)).lower()}.", where=str(path)) from error


def parse_log(data: bytes) -> LogText:
    """The decisions in the bytes of a log; what is none of them is told, not dropped.

    An unfinished last line that is whole but for its line feed counts as written: its reviewer may have seen it kept.
    """
    decisions: list[Decision] = []
    damages: list[Damage] = []
    sound, unended = 0, False
    known: set[str] = set()
    for number, first, last, ended in _lines(data):
        line = data[first:last]
        if not line.strip():
            sound = last + ended if ended else sound
            continue
        try:
            decision = read_line(line)
        except (ValueError, ValidationError, RecursionError):
            damages.append(Damage(number, line, torn=not ended))
        else:
            unended = not ended
            if decision.id not in known:
                decisions.append(decision)
            known.add(decision.id)
        if ended or unended:
            sound = last + ended
    return LogText(tuple(decisions), tuple(damages), sound, unended)


def _lines(data: bytes) -> Iterator[tuple[int, int, int, int]]:
    """(number, first byte, last byte, 1 where a line feed ends it) of each line."""
    first, number = 0, 1
    while first < len(data):
        end = data.find(b"\n", first)
        last = len(data) if end < 0 else end
        yield number, first, last, int(end >= 0)
        first, number = last + 1, number + 1


def _check(fields: dict[str, Any]) -> str:
    return hashlib.sha256(_canonical(fields)).hexdigest()[:16]


def _canonical(fields: dict[str, Any]) -> bytes:
    text = json.dumps(fields, ensure_ascii=False, separators=(",", ":"), sort_keys=True, allow_nan=False)
    return text.encode("utf-8", "replace")
