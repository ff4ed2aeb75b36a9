"""The record as a table for the terminal: runs with their rows, places off the pipe, work done, what to answer.

Wide terminals get a column for each matter; narrow ones (under WIDE columns) say certainty and outcome in words, and
only where they are not the plain case. Meaning never rests on colour: a row with a query carries a mark and a word.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from rich.console import Group, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from extractor.lexicon.load import Lexicon
from extractor.record import Action, Observation, Record
from extractor.report.amounts import metres
from extractor.report.safe_text import clean
from extractor.report.table_words import (
    CERTAINTIES,
    OUTCOMES,
    REASONS,
    closing_line,
    distance_words,
    heard_at,
    place_words,
    run_words,
    thing_words,
)

WIDE = 120
MARK = "? ask"  # shape and word: readable without colour, in every encoding; the query's number follows
INDENT = (0, 0, 0, 4)


def record_table(record: Record, lexicon: Lexicon, width: int) -> RenderableType:
    """Everything a technician checks at a glance, ending in the closing line. `width` is the terminal's, in columns."""
    parts = [*_sources(record), *_conclusions(record, lexicon)]
    asked = _query_numbers(record)
    widths = _widths(record, asked, width)
    for run in record.runs:
        rows = [row for row in record.observations if row.run == run.id]
        head = Text.assemble(
            (f"{run.id}  ", "bold"), (run_words(run, lexicon, feet=record.spoken_unit == "ft"), "bold")
        )
        if run.evidence and (heard := heard_at(run.evidence, record)):
            head.append(f"  ({heard})", "not bold dim")
        parts += [Text(), head, _rows_table(_along(rows), record, lexicon, asked, widths)]
    off_the_pipe = [row for row in record.observations if row.run is None]
    if off_the_pipe:
        heading = Text("Off the pipe", "bold")
        parts += [Text(), heading, _rows_table(off_the_pipe, record, lexicon, asked, widths)]
    parts += [*_work(record, lexicon), *_queries(record), Text(), Text(closing_line(record), "bold")]
    return Group(*parts)


def _sources(record: Record) -> Iterator[RenderableType]:
    for number, source in enumerate(record.sources, 1):
        told = [f"{len(source.text.split())} words"]
        if source.duration_s is None:
            told.append("no times")
        if source.encoding_guessed:
            told.append(f"read as {source.encoding}, a guess")
        yield Text.assemble(
            f"[{number}] " if len(record.sources) > 1 else "", source.name, (f"  {', '.join(told)}", "dim")
        )
        for note in source.notes:
            yield Padding(Text(f"note: {clean(note)}"), INDENT, expand=False)


def _conclusions(record: Record, lexicon: Lexicon) -> Iterator[RenderableType]:
    for kind, heading in (("main_issue", "Main trouble"), ("recommendation", "To do next")):
        found = [conclusion for conclusion in record.conclusions if conclusion.kind == kind]
        if found:
            yield Text()
            yield Text(f"{heading}, as said", "bold")
        for conclusion in found:
            yield Padding(Text(f"“{clean(conclusion.quote)}”"), INDENT, expand=False)


@dataclass(frozen=True)
class Widths:
    """Columns of each column of rows, the same under every run so that they line up; 0 where there is none."""

    heard: int
    metres: int
    feet: int
    seen: int
    sure: int
    left: int
    words: int
    mark: int


def _widths(record: Record, asked: dict[str, list[int]], width: int) -> Widths:
    rows, wide, gap = record.observations, width >= WIDE, 2

    def longest(texts: Iterable[str], least: int, most: int) -> int:
        return min(most, max([least, *map(len, texts)]))

    most = 20 if wide else 13  # "about 4.25 to 12.35" goes on two lines in a narrow place
    fixed = {
        "heard": longest((heard_at(row.evidence, record) for row in rows), 5, 12),
        "metres": longest(map(distance_words, rows), 12, most),
        "feet": longest((distance_words(row, feet=True) for row in rows), 6, most) if record.spoken_unit == "ft" else 0,
        "sure": longest(CERTAINTIES.values(), 8, 8) if wide else 0,
        "left": longest(OUTCOMES.values(), 4, 14) if wide else 0,
        "mark": longest((_mark(row, asked) for row in rows), 0, 16),
    }
    rest = width - INDENT[3] - sum(size + gap for size in fixed.values() if size)
    words = (rest - 2 * gap) // 2 if wide else 0
    return Widths(**fixed, words=words, seen=max(12, rest - gap - (words + gap if words else 0)))


def _rows_table(
    rows: Sequence[Observation], record: Record, lexicon: Lexicon, asked: dict[str, list[int]], widths: Widths
) -> RenderableType:
    if not rows:
        return Padding(Text("nothing noted", "dim"), INDENT, expand=False)
    in_pipe = rows[0].run is not None
    table = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False, show_edge=False, header_style="dim")

    def column(head: str, size: int, right: bool = False, style: str = "") -> None:
        if size:
            table.add_column(head, width=size, justify="right" if right else "left", style=style)

    column("heard", widths.heard, right=True)
    if in_pipe:
        column("metres", widths.metres, right=True)
        column("feet", widths.feet, right=True)
    else:
        column("where", widths.metres + (widths.feet + 2 if widths.feet else 0))
    column("seen", widths.seen)
    column("how sure", widths.sure)
    column("left", widths.left)
    column("words", widths.words, style="dim")
    column("", widths.mark)
    for row in rows:
        cells: list[str | Text] = [heard_at(row.evidence, record)]
        if in_pipe:
            cells.append(distance_words(row) or "–")
            if widths.feet:
                cells.append(distance_words(row, feet=True) or "–")
        else:
            cells.append(clean(place_words(row, lexicon)))
        seen = thing_words(row, lexicon)
        if widths.words:
            cells += [seen, CERTAINTIES[row.certainty], OUTCOMES[row.outcome], f"“{clean(row.quote)}”"]
        else:
            cells.append(seen + _in_brackets(row))
        if widths.mark:
            cells.append(Text(_mark(row, asked), "bold yellow"))
        table.add_row(*cells)
    return Padding(table, INDENT, expand=False)


def _in_brackets(row: Observation) -> str:
    """Certainty and outcome where they are not the plain case: " (in doubt, cleared)"."""
    told = [CERTAINTIES[row.certainty]] if row.certainty != "stated" else []
    told += [OUTCOMES[row.outcome]] if row.outcome != "open" else []
    return f" ({', '.join(told)})" if told else ""


def _mark(row: Observation, asked: dict[str, list[int]]) -> str:
    numbers = ", ".join(map(str, asked.get(row.id, ())))
    return f"{MARK} {numbers}" if numbers else ""


def _work(record: Record, lexicon: Lexicon) -> Iterator[RenderableType]:
    if not record.actions:
        return
    yield Text()
    yield Text("Work done", "bold")
    for action in record.actions:
        yield Padding(Text(_action_words(action, record, lexicon)), INDENT, expand=False)


def _action_words(action: Action, record: Record, lexicon: Lexicon) -> str:
    words = lexicon.label(action.action)
    if action.target:
        words += f": {lexicon.label(action.target)}"
    if action.run:
        words += f", {action.run}"
    if action.reach_m is not None:
        words += f", {metres(action.reach_m, feet=record.spoken_unit == 'ft')}"
    if action.result in ("partial", "failed"):
        words += ", in part" if action.result == "partial" else ", without success"
    heard = heard_at(action.evidence, record)
    return f"{words}  ({heard})" if heard else words


def _queries(record: Record) -> Iterator[RenderableType]:
    if not record.queries:
        return
    yield Text()
    yield Text("To answer", "bold")
    for number, query in enumerate(record.queries, 1):
        heard = heard_at(query.evidence, record)
        words = f"“{clean(query.quote)}”" + (f" ({heard})" if heard else "")
        line = Text.assemble(
            (f"{number}. ", "bold"),
            (f"? {REASONS[query.reason]}: ", "bold yellow"),
            clean(query.question or query.about),
            ("  " + words, "dim"),
        )
        likely = " / ".join(clean(answer.label) for answer in query.answers)
        yield Padding(Group(line, Text(f"   likely: {likely}")) if likely else line, INDENT, expand=False)


def _query_numbers(record: Record) -> dict[str, list[int]]:
    """The numbers of the queries on each row, as `_queries` counts them."""
    by_row: dict[str, list[int]] = defaultdict(list)
    for number, query in enumerate(record.queries, 1):
        if query.row is not None:
            by_row[query.row].append(number)
    return by_row


def _along(rows: Sequence[Observation]) -> list[Observation]:
    """Rows in order of distance; one without any comes after the one that was said before it."""
    keyed, last_m = [], 0.0
    for row in rows:
        if row.from_m is not None and row.to_m is None:
            last_m = row.from_m
        keyed.append((last_m if row.from_m is None else row.from_m, row))
    return [row for _, row in sorted(keyed, key=lambda pair: pair[0])]
