"""The report as PDF: tagged (PDF/UA-1), fonts embedded, A4 or US Letter. Set by typst from report.typ and data alone.

All text goes to the template as JSON and is shown, never read as markup. The bytes depend on the view only: the date
is the visit's, no clock is read.
"""

import json
import tempfile
from collections.abc import Sequence
from importlib import resources
from pathlib import Path
from typing import Any, Literal

from extractor.errors import ReportError
from extractor.report import palette
from extractor.report.document import Block, Cell, Facts, Figure, Grid, Heading, Panel, Paragraph, Points
from extractor.report.fonts import families, font_folder, showable
from extractor.report.safe_text import breakable, units_kept
from extractor.report.svg import Drawing
from extractor.report.view import ReportView
from extractor.report.visit import Logo

Paper = Literal["a4", "letter"]
_TEXT_POINTS = {"a4": 482.0, "letter": 498.6}  # page width less the margins of 20 mm
_HIGHEST_POINTS = 590.0  # a drawing with its heading and a line of text stays on one page
_LONG_CELL = 500  # characters; a longer cell may be cut by the end of the page


def pdf_bytes(
    view: ReportView,
    blocks: Sequence[Block],
    paper: Paper = "a4",
    logo: Logo | None = None,
    more_fonts: Sequence[Path] = (),
) -> bytes:
    """The report as a PDF file.

    Raises:
        ReportError: where typst is not installed or refuses the page.
    """
    with tempfile.TemporaryDirectory(prefix="rodnote-") as name:
        folder = Path(name)
        data = _Data(folder, paper, tuple(more_fonts)).of(view, blocks, logo)
        (folder / "data.json").write_text(json.dumps(data), encoding="utf-8")
        (folder / "report.typ").write_bytes((resources.files("extractor.report") / "report.typ").read_bytes())
        made = _compile(folder / "report.typ", more_fonts, {"format": "pdf", "pdf_standards": ["ua-1"]})
    return made


def png_of(drawing: Drawing, width_pixels: int) -> bytes:
    """A drawing as PNG, for documents that can't hold SVG."""
    page = f"#set page(width: {drawing.width:.2f}pt, height: {drawing.height:.2f}pt, margin: 0pt)\n"
    with tempfile.TemporaryDirectory(prefix="rodnote-") as name:
        folder = Path(name)
        (folder / "drawing.svg").write_text(showable(drawing.svg), encoding="utf-8")
        (folder / "page.typ").write_text(page + '#image("drawing.svg", width: 100%)', encoding="utf-8")
        return _compile(folder / "page.typ", (), {"format": "png", "ppi": width_pixels / drawing.width * 72})


def _compile(page: Path, more_fonts: Sequence[Path], how: dict[str, Any]) -> bytes:
    try:
        import typst
    except ImportError as error:
        raise ReportError("a PDF needs the package typst.", todo="Install it: pip install typst") from error
    fonts = typst.Fonts(
        include_system_fonts=False,
        include_embedded_fonts=False,
        font_paths=[str(font_folder()), *(str(folder) for folder in more_fonts)],
    )
    try:
        made = typst.Compiler(str(page), root=str(page.parent), font_paths=fonts).compile(**how)
    except typst.TypstError as error:
        raise ReportError(f"the page could not be set: {error.message}.") from error
    if not isinstance(made, bytes):
        raise ReportError("the page could not be set: more than one picture came of one drawing.")
    return made


def _kept(blocks: Sequence[Block]) -> list[bool]:
    """Whether a block must stay on the page of the next: a paragraph that leads to a drawing or a table."""
    following = [*blocks[1:], None]
    return [
        isinstance(block, Paragraph) and isinstance(after, Figure | Grid)
        for block, after in zip(blocks, following, strict=True)
    ]


def _is_long(row: Sequence[Cell]) -> bool:
    return any(len(cell.text) + len(cell.quote) + len(cell.remark) > _LONG_CELL for cell in row)


class _Data:
    """The view and blocks as JSON for the template; pictures are put beside it as files."""

    def __init__(self, folder: Path, paper: Paper, more_fonts: tuple[Path, ...]) -> None:
        self.folder, self.paper, self.more_fonts, self.files = folder, paper, more_fonts, 0

    def of(self, view: ReportView, blocks: Sequence[Block], logo: Logo | None) -> dict[str, Any]:
        return {
            "title": self.text(view.title),
            "author": self.text(view.firm),
            "firm": self.text(view.firm),
            "running": self.text(" · ".join(part for part in (view.firm, view.title, view.subtitle) if part)),
            "foot": self.text(view.day),
            "date": [int(part) for part in view.date_iso.split("-")] if view.date_iso else None,
            "draft": view.draft,
            "paper": {"a4": "a4", "letter": "us-letter"}[self.paper],
            "fonts": list(families(self.more_fonts)),
            "colours": {
                name.lower(): getattr(palette, name)
                for name in ("INK", "QUIET", "LINE", "FAINT", "SHADE", "ACCENT", "ASK", "ASK_FILL")
            },
            "logo": self.file(logo.data, logo.ending) if logo else "",
            "logo_alt": f"Logo of {self.text(view.firm) or 'the firm'}",
            "blocks": [{**self.block(block), "keep": keep} for block, keep in zip(blocks, _kept(blocks), strict=True)],
        }

    def block(self, block: Block) -> dict[str, Any]:
        if isinstance(block, Heading):
            return {"kind": "heading", "level": block.level, "text": self.text(block.text)}
        if isinstance(block, Paragraph):
            return {"kind": "paragraph", "style": block.kind, "text": self.text(block.text)}
        if isinstance(block, Facts):
            facts = [
                {"label": fact.label, "value": self.text(fact.value), "missing": fact.missing} for fact in block.facts
            ]
            return {"kind": "facts", "facts": facts}
        if isinstance(block, Points):
            return {"kind": "points", "items": [self.cell(cell) for cell in block.items]}
        if isinstance(block, Panel):
            parts = [{"title": title, "items": [self.cell(cell) for cell in cells]} for title, cells in block.parts]
            return {"kind": "panel", "parts": parts}
        if isinstance(block, Figure):
            return self.figure(block.drawing)
        return self.grid(block)

    def grid(self, block: Grid) -> dict[str, Any]:
        return {
            "kind": "grid",
            "caption": self.text(block.caption),
            "columns": [{"title": self.text(column.title), "share": column.share} for column in block.columns],
            "rows": [[self.cell(cell, _is_long(row)) for cell in row] for row in block.rows],
            "captioned": block.captioned,
        }

    def figure(self, drawing: Drawing) -> dict[str, Any]:
        width = _TEXT_POINTS[self.paper]
        share = min(1.0, _HIGHEST_POINTS / (drawing.height * width / drawing.width))
        svg = showable(drawing.svg, self.more_fonts).encode()
        return {"kind": "figure", "file": self.file(svg, ".svg"), "alt": self.text(drawing.alt), "share": share}

    def cell(self, cell: Cell, long: bool = False) -> dict[str, Any]:
        return {
            "text": self.text(cell.text),
            "quote": self.text(cell.quote),
            "remark": self.text(cell.remark),
            "moment": cell.moment.text,
            "strong": cell.strong,
            "long": long,
            "picture": self.file(cell.picture.jpeg, ".jpg") if cell.picture else "",
            "alt": self.text(cell.picture.alt) if cell.picture else "",
        }

    def text(self, words: str) -> str:
        return showable(units_kept(breakable(words)), self.more_fonts)

    def file(self, data: bytes, ending: str) -> str:
        self.files += 1
        name = f"file{self.files}{ending}"
        (self.folder / name).write_bytes(data)
        return name
