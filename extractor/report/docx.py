"""The report as an editable document (DOCX): the same blocks as the PDF, with the word processor's own styles."""

import datetime
import io
from collections.abc import Sequence

from docx import Document
from docx.document import Document as DocxDocument
from docx.enum.table import WD_TABLE_ALIGNMENT
from docx.image.exceptions import InvalidImageStreamError, UnexpectedEndOfFileError, UnrecognizedImageError
from docx.oxml import OxmlElement
from docx.oxml.ns import qn
from docx.shared import Mm, Pt, RGBColor
from docx.table import Table, _Cell
from docx.text.paragraph import Paragraph as DocxParagraph

from extractor.errors import ReportError
from extractor.report import palette
from extractor.report.document import Block, Cell, Facts, Figure, Grid, Heading, Panel, Paragraph, Points
from extractor.report.pdf import Paper, png_of
from extractor.report.safe_text import units_kept
from extractor.report.view import ReportView
from extractor.report.visit import Logo
from extractor.report.zip_dates import with_fixed_dates

_PAGES = {"a4": (Mm(210), Mm(297)), "letter": (Mm(215.9), Mm(279.4))}
_MARGIN = Mm(20)
_DRAWING_PIXELS = 1500
_HIGHEST = Mm(215)


def docx_bytes(view: ReportView, blocks: Sequence[Block], paper: Paper = "a4", logo: Logo | None = None) -> bytes:
    """The document. Its dates are the visit's."""
    document = Document()
    _set_up(document, view, paper)
    if logo:
        _add_logo(document, logo)
        _describe(document.paragraphs[-1], f"Logo of {view.firm or 'the firm'}")
    if view.firm:
        document.add_paragraph(view.firm)
    document.add_paragraph(view.title, style="Title")
    setter = _Setter(document, _PAGES[paper][0] - 2 * _MARGIN)
    for block, after in zip(blocks, [*blocks[1:], None], strict=True):
        setter.add(block)
        if isinstance(block, Paragraph) and isinstance(after, Figure | Grid):
            document.paragraphs[-1].paragraph_format.keep_with_next = True
    made = io.BytesIO()
    document.save(made)
    return with_fixed_dates(made.getvalue())


def _add_logo(document: DocxDocument, logo: Logo) -> None:
    try:
        document.add_picture(io.BytesIO(logo.data), height=Mm(18))
    except (UnrecognizedImageError, InvalidImageStreamError, UnexpectedEndOfFileError, ZeroDivisionError) as error:
        raise ReportError(
            "the logo is a picture that a DOCX can't hold.", todo="Save it again as PNG, or take the line out."
        ) from error


def _set_up(document: DocxDocument, view: ReportView, paper: Paper) -> None:
    section = document.sections[0]
    section.page_width, section.page_height = _PAGES[paper]
    section.left_margin = section.right_margin = section.top_margin = section.bottom_margin = _MARGIN
    normal = document.styles["Normal"]
    normal.font.name, normal.font.size = "Arial", Pt(10)
    normal.paragraph_format.space_after = Pt(4)
    for name, size, colour in (
        ("Title", 22, palette.ACCENT),
        ("Heading 1", 14, palette.ACCENT),
        ("Heading 2", 11, palette.INK),
        ("Heading 3", 10, palette.INK),
    ):
        style = document.styles[name]
        style.font.size, style.font.bold, style.font.color.rgb = Pt(size), True, _rgb(colour)
        fonts = style.element.get_or_add_rPr().get_or_add_rFonts()
        for key in list(fonts.attrib):
            del fonts.attrib[key]
        style.font.name = "Arial"
    head = " · ".join(part for part in (view.firm, view.title, view.day, view.draft) if part)
    section.header.paragraphs[0].text = head
    section.footer.paragraphs[0].text = view.day
    properties = document.core_properties
    properties.title, properties.author, properties.language = view.title, view.firm, "en"
    properties.comments = properties.last_modified_by = ""
    year, month, day = (int(part) for part in view.date_iso.split("-")) if view.date_iso else (1980, 1, 1)
    properties.created = properties.modified = datetime.datetime(year, month, day)


class _Setter:
    def __init__(self, document: DocxDocument, width: int) -> None:
        self.document, self.width, self.drawings = document, width, 0

    def add(self, block: Block) -> None:
        if isinstance(block, Heading):
            self.document.add_heading(_text(block.text), level=block.level)
        elif isinstance(block, Paragraph):
            paragraph = self.document.add_paragraph()
            run = paragraph.add_run(_text(block.text))
            run.bold = block.kind == "warning"
            if block.kind == "warning":
                run.font.color.rgb = _rgb(palette.ASK)
        elif isinstance(block, Facts):
            self.facts(block)
        elif isinstance(block, Points):
            for cell in block.items:
                self.item(cell)
        elif isinstance(block, Panel):
            for title, cells in block.parts:
                self.document.add_heading(title, level=2)
                for cell in cells:
                    self.item(cell)
        elif isinstance(block, Figure):
            self.figure(block)
        else:
            self.grid(block)

    def facts(self, block: Facts) -> None:
        table = self.document.add_table(rows=0, cols=2)
        table.autofit = False
        table.columns[0].width, table.columns[1].width = Mm(38), self.width - Mm(38)
        for fact in block.facts:
            label, value = table.add_row().cells
            label.width, value.width = Mm(38), self.width - Mm(38)
            label.text = fact.label
            for cell in (label, value):
                cell.paragraphs[0].paragraph_format.space_after = Pt(0)
            run = value.paragraphs[0].add_run(_text(fact.value))
            if fact.missing:
                run.italic, run.font.color.rgb = True, _rgb(palette.ASK)

    def item(self, cell: Cell) -> None:
        paragraph = self.document.add_paragraph(style="List Bullet")
        if cell.text:
            paragraph.add_run(_text(cell.text + (": " if cell.quote else "")))
        if cell.quote:
            paragraph.add_run(f"“{_text(cell.quote)}”").italic = True
            if cell.moment.text:
                paragraph.add_run(f" ({cell.moment.text})")

    def figure(self, block: Figure) -> None:
        drawing = block.drawing
        width = min(self.width, int(_HIGHEST * drawing.width / drawing.height))
        self.document.add_picture(io.BytesIO(png_of(drawing, _DRAWING_PIXELS)), width=width)
        _describe(self.document.paragraphs[-1], drawing.alt)

    def grid(self, block: Grid) -> None:
        if block.captioned:
            paragraph = self.document.add_paragraph()
            paragraph.add_run(_text(block.caption)).bold = True
            paragraph.paragraph_format.keep_with_next = True
        table = self.document.add_table(rows=1, cols=len(block.columns))
        table.alignment, table.autofit = WD_TABLE_ALIGNMENT.LEFT, False
        _summarise(table, block.caption)
        _rule(table)
        widths = _widths(block, self.width)
        for column, width in zip(table.columns, widths, strict=True):
            column.width = width
        for cell, column, width in zip(table.rows[0].cells, block.columns, widths, strict=True):
            cell.width = width
            run = cell.paragraphs[0].add_run(_text(column.title))
            run.bold, run.font.size = True, Pt(9)
            cell.paragraphs[0].paragraph_format.space_after = Pt(0)
            cell.paragraphs[0].paragraph_format.keep_with_next = True
        _repeat_header(table)
        for row in block.rows:
            cells = table.add_row().cells
            _keep_whole(table)
            for target, cell, width in zip(cells, row, widths, strict=True):
                target.width = width
                _fill(target, cell, width)
        gap = self.document.add_paragraph()
        gap.paragraph_format.space_after = Pt(0)
        gap.paragraph_format.line_spacing = Pt(8)


def _fill(target: _Cell, cell: Cell, width: int) -> None:
    paragraph = target.paragraphs[0]
    paragraph.paragraph_format.space_after = Pt(0)
    if cell.picture:
        paragraph.add_run().add_picture(io.BytesIO(cell.picture.jpeg), width=width - Mm(4))
        _describe(paragraph, cell.picture.alt)
    run = paragraph.add_run(_text(cell.text))
    run.bold, run.font.size = cell.strong, Pt(9)
    if cell.quote:
        run = paragraph.add_run((" " if cell.text else "") + f"“{_text(cell.quote)}”")
        run.bold, run.italic, run.font.size = False, True, Pt(9)
    if cell.remark:
        run = target.add_paragraph().add_run(f"? {_text(cell.remark)}")
        run.bold, run.font.size, run.font.color.rgb = False, Pt(8.5), _rgb(palette.ASK)


def _widths(block: Grid, width: int) -> list[int]:
    """Each column's width: those without a share as wide as their longest cell, the rest by share."""
    texts = list(zip(*((cell.text for cell in row) for row in block.rows), strict=True)) or [()] * len(block.columns)
    narrow = [
        0 if column.share else Mm(5 + 1.9 * max(len(text) for text in (column.title, *cells)))
        for column, cells in zip(block.columns, texts, strict=True)
    ]
    shares = sum(column.share for column in block.columns) or 1.0
    left = max(0, width - sum(narrow))
    return [
        int(left * column.share / shares) if column.share else int(own)
        for column, own in zip(block.columns, narrow, strict=True)
    ]


def _rule(table: Table) -> None:
    """Thin lines between rows and a thicker one over and under the table; no upright lines."""
    borders = OxmlElement("w:tblBorders")
    for side, size, colour in (("top", 12, palette.INK), ("bottom", 6, palette.LINE), ("insideH", 4, palette.FAINT)):
        line = OxmlElement(f"w:{side}")
        for name, value in (("val", "single"), ("sz", str(size)), ("space", "0"), ("color", colour[1:].upper())):
            line.set(qn(f"w:{name}"), value)
        borders.append(line)
    table._tbl.tblPr.append(borders)


def _describe(paragraph: DocxParagraph, alt: str) -> None:
    """Alternative text for the last picture of a paragraph."""
    for properties in paragraph._p.iter(qn("wp:docPr")):
        properties.set("descr", alt)
        properties.set("name", alt[:40])


def _summarise(table: Table, caption: str) -> None:
    properties = table._tbl.tblPr
    element = OxmlElement("w:tblCaption")
    element.set(qn("w:val"), _text(caption))
    properties.append(element)


def _repeat_header(table: Table) -> None:
    properties = table.rows[0]._tr.get_or_add_trPr()
    element = OxmlElement("w:tblHeader")
    element.set(qn("w:val"), "true")
    properties.append(element)


def _keep_whole(table: Table) -> None:
    """Keep the last row on one page."""
    properties = table.rows[-1]._tr.get_or_add_trPr()
    properties.append(OxmlElement("w:cantSplit"))


def _text(text: str) -> str:
    return units_kept(text)


def _rgb(colour: str) -> RGBColor:
    return RGBColor.from_string(colour.removeprefix("#").upper())
