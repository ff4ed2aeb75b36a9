"""The page read back with html5lib (the WHATWG parsing algorithm): the record's words and numbers, structure, contrast.

WCAG 2.2 (W3C, 2023) is named by success criterion where a check stands for one. These checks need no browser;
test_page_in_browser.py runs an accessibility checker in one.
"""

import base64
import hashlib
import itertools
import json
import re
from collections import Counter
from functools import cache

import pytest
from bs4 import BeautifulSoup, Tag

from extractor.report import palette
from extractor.report.document import Picture, document_blocks
from extractor.report.html import Recording, html_bytes
from extractor.report.view import ReportView
from extractor.report.visit import Logo
from tests.report.made_records import HOSTILE, hostile_record, one_pixel, record_of, view_of, visit_record

RECORDS = {
    "3": record_of(3),
    "150": record_of(150, runs=4, feet=True),
    "visit": visit_record(),
    "hostile": hostile_record(),
}
PLAYABLE = (Recording("recording-1.wav", b"RIFF</script><script>alert(1)", ((0.0, "</script>"), (12.0, "junction"))),)


@cache
def _view(name: str) -> ReportView:
    return view_of(RECORDS[name])


@cache
def _read(name: str, playable: bool) -> BeautifulSoup:
    """A page that no test changes."""
    return _page(_view(name), PLAYABLE if playable else ())


def _page(view: ReportView, recordings: tuple[Recording, ...] = ()) -> BeautifulSoup:
    return BeautifulSoup(html_bytes(view, document_blocks(view), None, recordings), "html5lib")


def _words(element: Tag | BeautifulSoup) -> str:
    return " ".join(element.get_text(" ").replace("\u00a0", " ").split())


def _one(page: BeautifulSoup, selector: str) -> Tag:
    found = page.select_one(selector)
    assert found is not None, selector
    return found


@pytest.mark.parametrize("name", RECORDS)
def test_every_row_is_a_table_row_with_the_records_numbers(name: str) -> None:
    view = _view(name)
    page = _read(name, False)
    for row in view.all_rows():
        cells = [_words(cell) for cell in _one(page, f'tr[id="row-{row.number}"]').find_all(["th", "td"])]
        assert cells[0] == row.number and cells[-3:] == [row.sure, row.left, row.moment.text]
        assert not row.observation.run or cells[1] == row.place
        assert " ".join(row.sentence.split()) in cells[-4]
        words = _words(_one(page, f'tr[id="words-of-{row.number}"]'))
        assert " ".join(row.quote.split()) in words


def test_the_front_page_answers_before_anything_else() -> None:
    page = _page(view_of(visit_record()))
    panel = _one(page, ".panel")
    assert [_words(head) for head in panel.find_all("h3")][:2] == [
        "Main trouble, as the technician said it",
        "What was done about it",
    ]
    assert panel.find_previous("table") is None
    assert "The joint may be open." in _words(panel)


@pytest.mark.parametrize("name", RECORDS)
def test_headings_are_in_order(name: str) -> None:
    # WCAG 1.3.1, 2.4.6: one h1, no level left out
    levels = [int(head.name[1]) for head in _read(name, False).find_all(re.compile(r"^h[1-6]$"))]
    assert levels.count(1) == 1 and levels[0] == 1
    assert all(after <= before + 1 for before, after in itertools.pairwise(levels))


@pytest.mark.parametrize("name", RECORDS)
@pytest.mark.parametrize("playable", [False, True])
def test_ids_are_unique_and_links_lead_somewhere(name: str, playable: bool) -> None:
    page = _read(name, playable)
    ids = Counter(element["id"] for element in page.select("[id]"))
    assert not [id for id, many in ids.items() if many > 1]
    for link in page.select("a[href]"):
        assert str(link["href"]).startswith("#") and str(link["href"])[1:] in ids
    for element in page.select("[aria-labelledby]"):
        assert set(str(element["aria-labelledby"]).split()) <= set(ids)


def test_pictures_drawings_tables_and_regions_have_names() -> None:
    # WCAG 1.1.1, 1.3.1, 4.1.2
    view = view_of(visit_record())
    stills = {
        row.number: Picture(b"\xff\xd8\xff", f"Picture of row {row.number}") for row in view.all_rows() if row.trouble
    }
    blocks = document_blocks(view, stills)
    page = BeautifulSoup(html_bytes(view, blocks, Logo(one_pixel(), ".png"), PLAYABLE), "html5lib")
    assert len(page.select("td img")) == len(stills)
    assert all(image.get("alt") for image in page.select("img"))
    assert all(svg.find("title") and svg.find("desc") for svg in page.select("svg"))
    for table in page.select("table"):
        assert _words(_one_in(table, "caption")) and all(head["scope"] == "col" for head in table.select("thead th"))
    assert all(region.get("aria-label") and region.get("tabindex") == "0" for region in page.select(".wide"))
    assert _one(page, "html")["lang"] == "en" and _one(page, "title").get_text()
    assert all(player.get("aria-label") for player in page.select("audio, video"))


def test_a_link_is_named_by_what_it_shows_and_does() -> None:
    # WCAG 2.4.4 and 2.5.3: the visible words are part of the name
    for recordings in ((), PLAYABLE):
        for link in _page(view_of(visit_record()), recordings).select("a.time"):
            assert str(link["aria-label"]).startswith(link.get_text())


def test_a_time_leads_to_the_words_and_with_a_recording_plays_it() -> None:
    view = view_of(visit_record())
    row = next(row for row in view.all_rows() if row.observation.id == "o2")
    link = _one(_page(view), f'tr[id="row-{row.number}"] a')
    assert link["href"] == f"#words-of-{row.number}"
    played = _one(_page(view, PLAYABLE), f'tr[id="row-{row.number}"] a')
    assert (played["data-start"], played["data-source"]) == ("21.00", "0")


@pytest.mark.parametrize("recordings", [(), PLAYABLE])
def test_the_policy_admits_this_pages_style_and_script_and_nothing_else(recordings: tuple[Recording, ...]) -> None:
    page = _page(view_of(hostile_record()), recordings)
    policy = str(_one(page, 'meta[http-equiv="Content-Security-Policy"]')["content"])
    rules = {rule.split()[0]: rule.split()[1:] for rule in policy.split("; ")}
    assert rules["default-src"] == ["'none'"] and rules["base-uri"] == ["'none'"] and rules["form-action"] == ["'none'"]

    def digest(text: str) -> str:
        return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"

    assert rules["style-src"] == [digest(style.string or "") for style in page.select("style")]
    scripts = [digest(script.string or "") for script in page.select("script:not([type])")]
    assert rules["script-src"] == (scripts or ["'none'"]) and len(scripts) == len(recordings)
    assert not page.select("[style]") and not page.select("[onclick], [onload], [onerror]")


@pytest.mark.parametrize("name", RECORDS)
def test_nothing_comes_from_outside(name: str) -> None:
    page = _read(name, True)
    for attribute in ("src", "srcset", "data", "action", "poster", "xlink:href"):
        assert all(
            str(element[attribute]).startswith("data:") for element in page.select(f"[{attribute.replace(':', '|')}]")
        )
    assert not page.select("link, iframe, object, embed, base, form")
    assert "url(http" not in str(page) and "@import" not in str(page)


def test_hostile_words_are_shown_and_do_nothing() -> None:
    page = _page(view_of(hostile_record()), PLAYABLE)
    assert "<script>alert(1)</script>" in _words(_one(page, "main"))
    known = {
        "html",
        "head",
        "meta",
        "title",
        "style",
        "body",
        "a",
        "header",
        "div",
        "p",
        "h1",
        "nav",
        "ol",
        "li",
        "main",
    }
    known |= {"dl", "dt", "dd", "h2", "h3", "ul", "q", "table", "caption", "span", "thead", "tbody", "tr", "th", "td"}
    known |= {"svg", "desc", "defs", "pattern", "rect", "path", "circle", "polyline", "text", "strong", "footer"}
    assert {element.name for element in page.find_all(True)} - known <= {"section", "audio", "script"}
    data = _one(page, "script#words-data").string or ""
    assert "<" not in data and json.loads(data)["0"][0] == [0.0, "</script>"]
    assert HOSTILE.split()[0] in _words(_one(page, "main"))


@pytest.mark.parametrize(("front", "back"), palette.TEXT_PAIRS)
def test_words_stand_out_from_their_ground(front: str, back: str) -> None:
    assert _contrast(front, back) >= 4.5  # WCAG 1.4.3


@pytest.mark.parametrize(("front", "back"), palette.LINE_PAIRS)
def test_lines_that_mean_something_stand_out(front: str, back: str) -> None:
    assert _contrast(front, back) >= 3  # WCAG 1.4.11


def test_the_contrast_formula_gives_the_standards_ends() -> None:
    assert _contrast("#000000", "#ffffff") == pytest.approx(21) and _contrast("#777777", "#777777") == 1


def test_the_style_leaves_no_colour_name_unresolved_and_prints() -> None:
    style = _one(_page(view_of(visit_record())), "style").string or ""
    assert not re.findall(r"@(?!media|page)[A-Z_]+", style) and "@media print" in style and "focus-visible" in style


def test_a_draft_is_marked_in_the_page_and_on_paper() -> None:
    page = _page(view_of(visit_record()))
    assert "draft" in _one(page, "body")["class"] and "Draft: not signed off" in _words(_one(page, "main"))


def test_the_same_view_makes_the_same_bytes() -> None:
    first, second = (html_bytes(view_of(visit_record()), document_blocks(view_of(visit_record()))) for _ in range(2))
    assert first == second


def _one_in(element: Tag, selector: str) -> Tag:
    found = element.select_one(selector)
    assert found is not None
    return found


def _contrast(front: str, back: str) -> float:
    """WCAG 2.2, definition of contrast ratio, with its definition of relative luminance."""

    def luminance(colour: str) -> float:
        parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
        red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
        return 0.2126 * red + 0.7152 * green + 0.0722 * blue

    low, high = sorted((luminance(front), luminance(back)))
    return (high + 0.05) / (low + 0.05)
