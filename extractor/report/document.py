"""ReportView -> the report's blocks in their order: written once, set by pdf.py, html.py and docx.py alike."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from extractor.report.band import draw_band
from extractor.report.plan import draw_plan
from extractor.report.svg import Drawing
from extractor.report.view import NO_MOMENT, Answer, Fact, Moment, PlacePart, ReportView, Row, RunPart, Statement, Table


@dataclass(frozen=True)
class Picture:
    """A still from the recording, as JPEG, with what it shows in words."""

    jpeg: bytes
    alt: str


@dataclass(frozen=True)
class Cell:
    """One cell or list item: text, the words it rests on, a remark, a time in the recording, a picture."""

    text: str = ""
    quote: str = ""
    remark: str = ""
    moment: Moment = NO_MOMENT
    picture: Picture | None = None
    strong: bool = False


@dataclass(frozen=True)
class Column:
    """`share` of the width left over when the others have what they need; 0: as wide as its words."""

    title: str
    share: float = 0.0


@dataclass(frozen=True)
class Heading:
    level: int  # 1 under the title, 2 under that
    text: str
    key: str


@dataclass(frozen=True)
class Paragraph:
    text: str
    kind: str = "body"  # body, note, warning


@dataclass(frozen=True)
class Facts:
    facts: tuple[Fact, ...]


@dataclass(frozen=True)
class Points:
    """A list of short statements."""

    items: tuple[Cell, ...]


@dataclass(frozen=True)
class Panel:
    """The front page's answer: titled lists that belong together."""

    parts: tuple[tuple[str, tuple[Cell, ...]], ...]


@dataclass(frozen=True)
class Figure:
    drawing: Drawing
    key: str


@dataclass(frozen=True)
class Grid:
    """A table with a header row. `keys` name its rows, for links ("row-2.3")."""

    caption: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    keys: tuple[str, ...] = ()
    captioned: bool = False  # whether the caption is shown; else it is for those who can't see the table


Block = Heading | Paragraph | Facts | Points | Panel | Figure | Grid
NARROW = 13  # characters: a column with no longer cell is set as wide as its words
Stills = Mapping[str, Picture]  # by the row's number in the report


def document_blocks(view: ReportView, stills: Stills | None = None) -> tuple[Block, ...]:
    """The whole report below its title, in the order in which it is read."""
    stills = stills or {}
    return tuple(
        block
        for part in (
            _head(view),
            _plan(view),
            _runs(view, stills),
            _not_seen(view),
            _work(view),
            _places(view, stills),
            _extras(view),
            _questions(view),
            _limits(view),
            _appendix(view),
        )
        for block in part
    )


def _head(view: ReportView) -> Iterator[Block]:
    yield Facts(view.facts)
    if view.draft:
        yield Paragraph(f"{view.draft}. It may change when a person has checked what is uncertain.", "warning")
    yield from (Paragraph(note, "warning") for note in view.notes)
    if view.sign_off:
        yield Paragraph(f"Signed off by {view.sign_off.by}{', ' + view.sign_off.when if view.sign_off.when else ''}.")
        if view.sign_off.reason:
            many = f"{view.sign_off.left_open} " if view.sign_off.left_open else ""
            yield Paragraph(f"Signed off with {many}questions open, because: {view.sign_off.reason}", "warning")
    yield Heading(1, "In short", "in-short")
    yield Panel(_answer(view.answer, bool(view.runs)))


def _answer(answer: Answer, any_run: bool) -> tuple[tuple[str, tuple[Cell, ...]], ...]:
    followed = "Every line told of was followed to its end." if any_run else "No line was looked at with the camera."
    more = f"And {answer.remains_more} more, told line by line below."
    remains = tuple(Cell(text) for text in answer.remains) + ((Cell(more),) if answer.remains_more else ())
    return (
        ("Main trouble, as the technician said it", _said(answer.trouble, "The recording does not say.")),
        ("What was done about it", _told(answer.done, "No work was told of in the recording.")),
        ("What remains", remains or (Cell("No trouble was told of that was left as found."),)),
        ("What to do next", _said(answer.next_steps, "The recording does not say.")),
        ("What was not seen", _told(answer.unseen, followed)),
    )


def _said(statements: Sequence[Statement], otherwise: str) -> tuple[Cell, ...]:
    return tuple(Cell(each.text, each.quote, moment=each.moment) for each in statements) or (Cell(otherwise),)


def _told(texts: Sequence[str], otherwise: str) -> tuple[Cell, ...]:
    return tuple(Cell(text) for text in texts) or (Cell(otherwise),)


def _plan(view: ReportView) -> Iterator[Block]:
    drawing = draw_plan(view.runs, view.places)
    if drawing:
        yield Heading(1, "Plan of the visit", "plan-of-the-visit")
        yield Figure(drawing, "plan")


def _runs(view: ReportView, stills: Stills) -> Iterator[Block]:
    if not view.runs:
        return
    yield Heading(1, "Line by line", "line-by-line")
    for run in view.runs:
        yield from _run(run, stills)


def _run(run: RunPart, stills: Stills) -> Iterator[Block]:
    yield Heading(2, run.title, f"run-{run.number}")
    yield Paragraph(" ".join(part for part in (*run.summary, run.unseen) if part))
    for number, drawing in enumerate(draw_band(run, f"band-{run.number}"), 1):
        yield Figure(drawing, f"band-{run.number}-{number}")
    if run.rows:
        yield _rows_grid(f"What was seen in run {run.number}", run.rows, stills)
    else:
        yield Paragraph("Nothing was said of this line apart from how far the camera went.")
    if run.measures:
        yield Paragraph(f"Also measured: {'; '.join(run.measures)}.")


def _rows_grid(caption: str, rows: Sequence[Row], stills: Stills) -> Grid:
    placed = any(row.observation.run for row in rows)
    columns = [Column("No."), *([Column("Distance", 1.35)] if placed else []), Column("What was seen", 2.6)]
    columns += [Column("How sure", 0.9), Column("How left", 1.1), Column("Time")]
    pictured = any(row.number in stills for row in rows)
    if pictured:
        columns.append(Column("Picture", 1.3))
    made = []
    for row in rows:
        remark = " ".join(f"To be settled: {question}" for question in row.questions)
        remark += " Changed in review." if row.changed else ""
        cells = [
            Cell(row.number),
            *([Cell(row.place)] if placed else []),
            Cell(row.sentence, remark=remark.strip(), strong=row.trouble and row.observation.outcome != "cleared"),
        ]
        cells += [Cell(row.sure), Cell(row.left), Cell(row.moment.text, moment=row.moment)]
        made.append((*cells, Cell(picture=stills.get(row.number))) if pictured else tuple(cells))
    return Grid(caption, tuple(columns), tuple(made), tuple(f"row-{row.number}" for row in rows))


def _not_seen(view: ReportView) -> Iterator[Block]:
    yield Heading(1, "What was not seen", "not-seen")
    items = [Cell(text) for text in view.answer.unseen]
    items.append(Cell("Lines and places that this report does not name were not looked at."))
    nothing_said = [run for run in view.runs if not run.rows]
    items += [
        Cell(f"Run {run.number}: the camera passed, but nothing was said of what it showed.") for run in nothing_said
    ]
    yield Points(tuple(items))


def _work(view: ReportView) -> Iterator[Block]:
    if view.work:
        yield Heading(1, "Work done", "work-done")
        yield Grid(
            "Work done in the visit",
            (Column("What", 2.6), Column("Where", 1.0), Column("Result", 1.0), Column("Time")),
            tuple(
                (
                    Cell(each.sentence),
                    Cell(each.where or "–"),
                    Cell(each.result),
                    Cell(each.moment.text, moment=each.moment),
                )
                for each in view.work
            ),
        )
    if view.before_after:
        yield Heading(1, "Before and after", "before-and-after")
        yield Grid(
            "What was found, what was done, how it was left",
            (Column("Where", 1.2), Column("As found", 2.0), Column("Work in that line", 2.0), Column("As left", 1.0)),
            tuple((Cell(each.where), Cell(each.found), Cell(each.done), Cell(each.left)) for each in view.before_after),
        )


def _places(view: ReportView, stills: Stills) -> Iterator[Block]:
    if not view.places:
        return
    yield Heading(1, "Tanks, boxes and other places", "places")
    for number, place in enumerate(view.places, 1):
        yield from _place(place, number, stills)


def _place(place: PlacePart, number: int, stills: Stills) -> Iterator[Block]:
    yield Heading(2, place.title, f"place-{number}")
    if place.rows:
        yield _rows_grid(f"What was seen: {place.title}", place.rows, stills)
    if place.measures:
        yield Paragraph(f"Measured: {'; '.join(place.measures)}.")


def _extras(view: ReportView) -> Iterator[Block]:
    for group, title in (("next", "What to do next"), ("figures", "Figures worked out from the words")):
        blocks = tuple(_sections(view, group))
        if blocks:
            yield Heading(1, title, f"part-{group}")
            yield from blocks


def _sections(view: ReportView, group: str) -> Iterator[Block]:
    for number, section in enumerate(view.extras.sections, 1):
        if section.group == group:
            yield Heading(2, section.title, f"section-{number}")
            yield from (Paragraph(text) for text in section.paragraphs)
            yield from (_text_grid(table, section.title) for table in section.tables)
            yield from (Paragraph(text, "note") for text in section.notes)


def _text_grid(table: Table, title: str) -> Grid:
    """A table made elsewhere: short columns as wide as their words, the others by how much they hold."""
    longest = [
        max(len(text) for text in (column, *texts)) for column, *texts in zip(table.columns, *table.rows, strict=True)
    ]
    columns = tuple(
        Column(column, 0.0 if size <= NARROW else float(min(60, size)))
        for column, size in zip(table.columns, longest, strict=True)
    )
    rows = tuple(tuple(Cell(text) for text in row) for row in table.rows)
    return Grid(table.caption, columns, rows, captioned=bool(table.caption) and table.caption != title)


def _questions(view: ReportView) -> Iterator[Block]:
    if not view.questions:
        return
    yield Heading(1, "Still to be settled", "to-be-settled")
    yield Paragraph(
        "These were not certain from the words alone. Until a person settles them, read the rows with care."
    )
    yield Grid(
        "Questions that are open",
        (Column("Row"), Column("Why", 1.2), Column("Question", 2.4), Column("Words", 2.2), Column("Time")),
        tuple(
            (
                Cell(each.row or "–"),
                Cell(each.reason),
                Cell(each.text),
                Cell(quote=each.quote),
                Cell(each.moment.text, moment=each.moment),
            )
            for each in view.questions
        ),
    )


def _limits(view: ReportView) -> Iterator[Block]:
    yield Heading(1, "Limits and cautions", "limits")
    yield Points(tuple(Cell(text) for text in view.limits))
    yield from _sections(view, "cautions")


def _appendix(view: ReportView) -> Iterator[Block]:
    yield Heading(1, "Appendix: what this report rests on", "appendix")
    if view.changes:
        yield Heading(2, "Changes made in review", "changes")
        yield Grid(
            "Changes made in review",
            (Column("Change", 2.4), Column("By", 0.8), Column("When", 1.0), Column("Words", 2.0)),
            tuple((Cell(each.what), Cell(each.who), Cell(each.when), Cell(quote=each.quote)) for each in view.changes),
        )
    if view.corrections:
        yield Heading(2, "Words the speaker took back", "corrections")
        yield Grid(
            "Words the speaker took back",
            (Column("Taken back", 1.0), Column("Put in its place", 1.0), Column("Words", 2.4), Column("Time")),
            tuple(
                (
                    Cell(each.withdrawn),
                    Cell(each.kept or "nothing"),
                    Cell(quote=each.quote),
                    Cell(each.moment.text, moment=each.moment),
                )
                for each in view.corrections
            ),
        )
    if view.mendings:
        yield Heading(2, "Words read as others", "mendings")
        yield Points(tuple(Cell(text) for text in view.mendings))
    yield from _evidence(view)


def _evidence(view: ReportView) -> Iterator[Block]:
    rows = tuple(view.all_rows())
    if rows:
        yield Heading(2, "The words behind each row", "words")
        yield Grid(
            "The words behind each row",
            (Column("Row"), Column("Words", 1.0), Column("Time")),
            tuple((Cell(row.number), Cell(quote=row.quote), Cell(row.moment.text, moment=row.moment)) for row in rows),
            tuple(f"words-of-{row.number}" for row in rows),
        )
    if view.readings:
        yield Heading(2, "Everything measured", "measured")
        yield Grid(
            "Everything measured",
            (Column("Value", 1.2), Column("Of what", 1.0), Column("Where", 1.0), Column("Words", 2.2), Column("Time")),
            tuple(
                (
                    Cell(each.text),
                    Cell(each.what),
                    Cell(each.where or "–"),
                    Cell(quote=each.quote),
                    Cell(each.moment.text, moment=each.moment),
                )
                for each in view.readings
            ),
        )
    yield Heading(2, "Recordings", "recordings")
    if view.sign_off and view.sign_off.digest:
        yield Paragraph(f"SHA-256 of the record and decisions signed off: {view.sign_off.digest}")
    for number, each in enumerate(view.recordings, 1):
        length = f", {each.length} long" if each.length else ""
        made_by = f". Read by {view.made_by}" if view.made_by else ""
        yield Paragraph(f"{number}. {each.name}{length}; SHA-256 of the text as received: {each.sha256}{made_by}.")
