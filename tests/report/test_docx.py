"""The DOCX read back: the same words and numbers as the record, headings in order, pictures described."""

import io
import itertools
import re
import zipfile

import pytest
from docx import Document
from docx.oxml.ns import qn

from extractor.errors import ReportError
from extractor.report.document import document_blocks
from extractor.report.docx import docx_bytes
from extractor.report.visit import Logo
from tests.report.made_records import hostile_record, one_pixel, record_of, view_of, visit_record


def _cells(data: bytes) -> list[list[str]]:
    return [
        [cell.text.replace("\u00a0", " ") for cell in row.cells]
        for table in Document(io.BytesIO(data)).tables
        for row in table.rows
    ]


@pytest.mark.parametrize("many", [3, 30])
def test_every_row_is_a_line_of_a_table(many: int) -> None:
    view = view_of(record_of(many, runs=2))
    lines = _cells(docx_bytes(view, document_blocks(view)))
    for row in view.all_rows():
        line = next(line for line in lines if line[0] == row.number and len(line) > 3)
        assert line[1] == row.place and line[2].startswith(row.sentence)
        assert line[3:] == [row.sure, row.left, row.moment.text]


def test_headings_are_in_order_and_paragraphs_told() -> None:
    view = view_of(visit_record())
    document = Document(io.BytesIO(docx_bytes(view, document_blocks(view))))
    levels = [int(p.style.name[-1]) for p in document.paragraphs if re.match(r"Heading \d", p.style.name)]
    assert levels[0] == 1 and all(after <= before + 1 for before, after in itertools.pairwise(levels))
    text = "\n".join(paragraph.text for paragraph in document.paragraphs).replace("\u00a0", " ")
    for words in (*view.limits, *view.answer.done, *view.answer.remains, *(run.title for run in view.runs)):
        assert words in text


def test_every_picture_is_described_and_every_table_has_a_header_row() -> None:
    view = view_of(visit_record())
    document = Document(io.BytesIO(docx_bytes(view, document_blocks(view))))
    pictures = list(document.element.body.iter(qn("wp:docPr")))
    assert len(pictures) == 3 and all(picture.get("descr") for picture in pictures)
    for table in document.tables[1:]:  # the first holds the facts, label beside value
        assert table.rows[0]._tr.trPr.find(qn("w:tblHeader")) is not None


@pytest.mark.parametrize(("paper", "mm"), [("a4", (210, 297)), ("letter", (215.9, 279.4))])
def test_paper(paper: str, mm: tuple[float, float]) -> None:
    view = view_of(record_of(3))
    section = Document(io.BytesIO(docx_bytes(view, document_blocks(view), paper))).sections[0]  # type: ignore[arg-type]
    assert (section.page_width.mm, section.page_height.mm) == pytest.approx(mm, abs=0.05)


def test_a_logo_stands_at_the_top_and_one_that_is_no_picture_is_told() -> None:
    view = view_of(visit_record())
    data = docx_bytes(view, document_blocks(view), "a4", Logo(one_pixel(), ".png"))
    first = next(Document(io.BytesIO(data)).element.body.iter(qn("wp:docPr")))
    assert first.get("descr") == f"Logo of {view.firm}"
    with pytest.raises(ReportError, match="logo"):
        docx_bytes(view, document_blocks(view), "a4", Logo(b"\xff\xd8\xff\xdb", ".jpg"))


def test_the_same_view_makes_the_same_bytes() -> None:
    view = view_of(visit_record())
    first, second = (docx_bytes(view, document_blocks(view)) for _ in range(2))
    assert first == second
    with zipfile.ZipFile(io.BytesIO(first)) as file:
        assert {entry.date_time for entry in file.infolist()} == {(1980, 1, 1, 0, 0, 0)}


def test_hostile_words_stay_words() -> None:
    view = view_of(hostile_record())
    data = docx_bytes(view, document_blocks(view))
    assert "<script>alert(1)</script>" in str(_cells(data))
    with zipfile.ZipFile(io.BytesIO(data)) as file:
        assert b"fldSimple" not in file.read("word/document.xml") and b"instrText" not in file.read("word/document.xml")
