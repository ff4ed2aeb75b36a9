"""The PDF read back with pypdf and pikepdf: it says what the record says, is tagged, and has its fonts inside.

PDF/UA-1 is ISO 14289-1; what is looked at here are its rules on tags, title, language and alternative text, as far as
they show in the file. No validator was run.
"""

import io
import itertools
import re
from functools import cache

import pikepdf
import pypdf
import pytest

from extractor.errors import ReportError
from extractor.record import Record
from extractor.report.document import document_blocks
from extractor.report.pdf import Paper, pdf_bytes
from extractor.report.view import ReportView
from extractor.report.visit import Logo, Visit
from tests.report.made_records import hostile_record, one_pixel, record_of, view_of, visit_record

RECORDS = {
    "3": record_of(3),
    "30": record_of(30, runs=2),
    "150": record_of(150, runs=4, feet=True),
    "visit": visit_record(),
}


def _made(record: Record, paper: Paper = "a4", visit: Visit | None = None) -> tuple[ReportView, bytes]:
    view = view_of(record) if visit is None else view_of(record, visit)
    return view, pdf_bytes(view, document_blocks(view), paper)


@cache
def _pages(data: bytes) -> list[str]:
    return [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(data)).pages]


def _text(data: bytes) -> str:
    return _plain(" ".join(_pages(data)))


def _plain(text: str) -> str:
    return re.sub(r"\s+", "", text.replace("\u200b", "").replace("\u00a0", ""))


@pytest.mark.parametrize("name", RECORDS)
def test_every_row_is_in_the_text_number_by_number(name: str) -> None:
    view, data = _made(RECORDS[name])
    text = _text(data)
    for row in view.all_rows():
        line = _plain(row.number + row.place * bool(row.observation.run) + row.sentence)
        assert line in text or (_plain(row.sentence) in text and _plain(row.place) in text), row
        assert _plain(row.quote) in text and row.moment.text in text
    for run in view.runs:
        assert _plain(run.title) in text and (not run.unseen or _plain(run.unseen) in text)


def test_the_whole_visit_is_in_the_text() -> None:
    view, data = _made(visit_record())
    text = _text(data)
    told = [work.sentence for work in view.work] + [reading.text for reading in view.readings]
    told += [question.text for question in view.questions] + list(view.limits) + list(view.mendings)
    told += [each.value for each in view.facts] + [each.quote for each in view.corrections]
    told += [each.sha256 for each in view.recordings] + [view.title, view.draft]
    for words in told:
        assert _plain(words) in text, words


@pytest.mark.parametrize(("paper", "points"), [("a4", (595.28, 841.89)), ("letter", (612.0, 792.0))])
@pytest.mark.parametrize("name", ["3", "150"])
def test_pages_have_the_size_asked_for(paper: Paper, points: tuple[float, float], name: str) -> None:
    # ISO 216: A4 is 210 mm x 297 mm; ANSI Y14.1: size A (Letter) is 8.5 in x 11 in
    _, data = _made(RECORDS[name], paper)
    for page in pypdf.PdfReader(io.BytesIO(data)).pages:
        assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx(points, abs=0.05)


def test_it_is_tagged_with_title_language_and_alternative_text() -> None:
    view, data = _made(visit_record())
    with pikepdf.open(io.BytesIO(data)) as pdf:
        root = pdf.Root
        assert bool(root.MarkInfo.Marked) and str(root.Lang).startswith("en")
        assert bool(root.ViewerPreferences.DisplayDocTitle)
        with pdf.open_metadata() as metadata:
            assert metadata["pdfuaid:part"] == "1"
            assert view.title in str(metadata["dc:title"])
        tags = list(_tags(root.StructTreeRoot.K))
    kinds = [kind for kind, _ in tags]
    assert {"/H1", "/H2", "/Table", "/TH", "/TD", "/TR", "/L", "/LI", "/Figure", "/P"} <= set(kinds)
    figures = [element for kind, element in tags if kind == "/Figure"]
    assert len(figures) == 3 and all("/Alt" in element for element in figures)
    headings = [int(kind[2]) for kind in kinds if re.fullmatch(r"/H[1-6]", kind)]
    assert headings[0] == 1 and all(after <= before + 1 for before, after in itertools.pairwise(headings))


def test_all_fonts_are_inside() -> None:
    _, data = _made(hostile_record())
    with pikepdf.open(io.BytesIO(data)) as pdf:
        fonts = [
            obj for obj in pdf.objects if isinstance(obj, pikepdf.Dictionary) and obj.get("/Type") == "/FontDescriptor"
        ]
        names = {str(font.FontName) for font in fonts}
        assert fonts and all("/FontFile2" in font or "/FontFile3" in font for font in fonts)
    assert any("NotoSans" in name for name in names) and any("Hebrew" in name for name in names)


def test_a_draft_says_so_on_every_page() -> None:
    _, data = _made(record_of(30))
    for page in _pages(data):
        assert "Draft: not signed off" in page.replace("\u00a0", " ")


def test_the_same_view_makes_the_same_bytes() -> None:
    assert _made(visit_record())[1] == _made(visit_record())[1]


def test_the_date_is_the_visits() -> None:
    meta = pypdf.PdfReader(io.BytesIO(_made(visit_record())[1])).metadata
    assert meta is not None and str(meta.get("/CreationDate")).startswith("D:20260312")
    undated = pypdf.PdfReader(io.BytesIO(_made(visit_record(), visit=Visit())[1])).metadata
    assert undated is not None and "/CreationDate" not in undated


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_hostile_words_are_shown_and_do_nothing(paper: Paper) -> None:
    _, data = _made(hostile_record(), paper)
    text = _text(data)
    assert _plain("#let x = panic()") in text and _plain("<script>alert(1)</script>") in text
    with pikepdf.open(io.BytesIO(data)) as pdf:
        assert "/OpenAction" not in pdf.Root and "/AA" not in pdf.Root
        for page in pdf.pages:
            assert all("/A" not in note for note in page.get("/Annots", []))
            assert _inside(page)


@pytest.mark.parametrize("name", RECORDS)
def test_no_heading_stands_alone_at_the_foot_of_a_page(name: str) -> None:
    view, data = _made(RECORDS[name])
    titles = {
        _plain(title)
        for title in (
            *(run.title for run in view.runs),
            "Work done",
            "In short",
            "Line by line",
            "Appendix: what this report rests on",
        )
    }
    for page in _pages(data):
        lines = [_plain(line) for line in page.splitlines() if line.strip()]
        body = [
            line for line in lines if not re.fullmatch(r"12March2026|Page\d+of\d+|12March2026Page\d+of\d+|DRAFT", line)
        ]
        assert body[-1] not in titles


def test_a_logo_and_a_picture_have_alternative_text() -> None:
    view = view_of(visit_record())
    data = pdf_bytes(view, document_blocks(view), "a4", Logo(one_pixel(), ".png"))
    with pikepdf.open(io.BytesIO(data)) as pdf:
        figures = [str(element.Alt) for kind, element in _tags(pdf.Root.StructTreeRoot.K) if kind == "/Figure"]
    assert f"Logo of {view.firm}" in figures


def test_a_logo_that_is_damaged_is_told() -> None:
    view = view_of(visit_record())
    with pytest.raises(ReportError, match="could not be set"):
        pdf_bytes(view, document_blocks(view), "a4", Logo(one_pixel()[:30], ".png"))


def test_an_empty_record_makes_a_report() -> None:
    assert _plain("No line was looked at with the camera.") in _text(_made(Record())[1])


def _inside(page: pikepdf.Page) -> bool:
    """No text starts outside the page."""
    width, height = float(page.mediabox[2]), float(page.mediabox[3])
    places: list[tuple[float, float]] = []

    def visit(text: str, _cm: object, tm: list[float], *_: object) -> None:
        if text.strip():
            places.append((tm[4], tm[5]))

    buffer = io.BytesIO()
    one = pikepdf.new()
    one.pages.append(page)
    one.save(buffer)
    pypdf.PdfReader(buffer).pages[0].extract_text(visitor_text=visit)
    return all(-1 <= abs(x) <= width + 1 and abs(y) <= height + 1 for x, y in places)


def _tags(kids: object) -> "list[tuple[str, pikepdf.Dictionary]]":
    found: list[tuple[str, pikepdf.Dictionary]] = []
    for kid in kids if isinstance(kids, pikepdf.Array) else [kids]:
        if isinstance(kid, pikepdf.Dictionary) and "/S" in kid:
            found.append((str(kid.S), kid))
            if "/K" in kid:
                found += _tags(kid.K)
    return found
