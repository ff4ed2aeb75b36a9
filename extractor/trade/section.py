"""A section of a report as the trade's arithmetic hands it over: title, paragraphs, a small table, notes of sources."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Table:
    """Every row has as many cells as the header."""

    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class Section:
    """`notes` name the sources of the figures, and what was recalled rather than read. `name` is stable, for links."""

    name: str
    title: str
    paragraphs: tuple[str, ...] = ()
    table: Table | None = None
    notes: tuple[str, ...] = ()
