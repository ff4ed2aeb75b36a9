"""The record as a table for the terminal: runs with their rows, places off the pipe, work done, what to answer.

Wide terminals get a column for each matter; narrow ones (under WIDE columns) say certainty and outcome in words, and
only where they are not the plain case. Meaning never rests on colour: a row with a query carries a mark and a word.
"""

from collections import defaultdict
from collections.abc import Iterator, Sequence

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

WIDE = 110
MARK = "? ask"  # shape and word: readable without colour, in every encoding; the query's number follows
INDENT = (0, 0, 0, 4)


def record_table(record: Record, lexicon: Lexicon, width: int) -> RenderableType:
    """Everything a technician checks at a glance, ending in the closing line. `width` is the terminal's, in columns."""
    parts = [*_sources(record), *_conclusions(record, lexicon)]
    asked = _query_numbers(record)
    for run in record.runs:
        rows = [row for row in record.observations if row.run == run.id]
        head = Text.assemble(
            (f"{run.id}  ", "bold"), (run_words(run, lexicon, feet=record.spoken_unit == "ft"), "bold")
        )
        if run.evidence and (heard := heard_at(run.evidence, record)):
            head.append(f"  ({heard})", "not bold dim")
        parts += [Text(), head, _rows_table(_along(rows), record, lexicon, asked, width)]
    off_the_pipe = [row for row in record.observations if row.run is None]
    if off_the_pipe:
        heading = Text("Off the pipe", "bold")
        parts += [Text(), heading, _rows_table(off_the_pipe, record, lexicon, asked, width)]
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


def _rows_table(
    rows: Sequence[Observation], record: Record, lexicon: Lexicon, asked: dict[str, list[int]], width: int
) -> RenderableType:
    if not rows:
        return Padding(Text("nothing noted", "dim"), INDENT, expand=False)
    wide, feet = width >= WIDE, record.spoken_unit == "ft"
    table = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False, show_edge=False, header_style="dim", expand=wide)
    in_pipe = rows[0].run is not None
    table.add_column("heard", justify="right", no_wrap=True, min_width=5)
    if in_pipe:
        table.add_column("metres", justify="right", min_width=6)
        if feet:
            table.add_column("feet", justify="right", min_width=6)
    else:
        table.add_column("where", max_width=24)
    table.add_column("seen", ratio=3 if wide else None, min_width=20)
    if wide:
        table.add_column("how sure", no_wrap=True)
        table.add_column("left", no_wrap=True)
        table.add_column("words", ratio=4, style="dim")
    table.add_column("", no_wrap=True)
    for row in rows:
        cells: list[str | Text] = [heard_at(row.evidence, record)]
        if in_pipe:
            cells.append(distance_words(row) or "–")
            if feet:
                cells.append(distance_words(row, feet=True) or "–")
        else:
            cells.append(clean(place_words(row, lexicon)))
        seen = thing_words(row, lexicon)
        if wide:
            cells += [seen, CERTAINTIES[row.certainty], OUTCOMES[row.outcome], f"“{clean(row.quote)}”"]
        else:
            plain = [CERTAINTIES[row.certainty]] * (row.certainty != "stated") + [OUTCOMES[row.outcome]] * (
                row.outcome != "open"
            )
            cells.append(seen + (f" ({', '.join(plain)})" if plain else ""))
        numbers = ", ".join(map(str, asked.get(row.id, ())))
        cells.append(Text(f"{MARK} {numbers}", "bold yellow") if numbers else "")
        table.add_row(*cells)
    return Padding(table, INDENT, expand=False)


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
