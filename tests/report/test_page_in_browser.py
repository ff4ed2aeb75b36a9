"""The page in a real browser: an accessibility checker (axe-core, rules of WCAG 2.0 to 2.2 A and AA), keyboard, player.

Needs a Chromium on the machine and playwright; without them the checks of test_html.py still hold the structure.
"""

import math
import shutil
import struct
import wave
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

sync_api = pytest.importorskip("playwright.sync_api", reason="needs playwright: pip install playwright")
axe = pytest.importorskip("axe_playwright_python", reason="needs axe-playwright-python")

from extractor.report.document import document_blocks  # noqa: E402
from extractor.report.html import Recording, html_bytes  # noqa: E402
from tests.report.made_records import hostile_record, record_of, view_of, visit_record  # noqa: E402

CHROMIUM = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)

RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
PHONE, DESK = {"width": 390, "height": 844}, {"width": 1280, "height": 900}
WORDS = tuple((float(second), f"word{second}") for second in range(40))


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    with sync_api.sync_playwright() as playwright:
        try:  # without one on the path, the one that `playwright install chromium` fetched
            running = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        except sync_api.Error:
            if CHROMIUM:
                raise
            pytest.skip("no Chromium on this machine: playwright install chromium")
        yield running
        running.close()


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("pages")
    sound = _sound(folder / "recording-1.wav")
    for name, record in (
        ("visit", visit_record()),
        ("30", record_of(30, runs=3)),
        ("150", record_of(150, runs=4, feet=True)),
        ("hostile", hostile_record()),
    ):
        view = view_of(record)
        blocks = document_blocks(view)
        (folder / f"{name}.html").write_bytes(html_bytes(view, blocks))
        for kind, data in (("inside", sound.read_bytes()), ("beside", None)):
            recording = Recording(sound.name, data, WORDS)
            (folder / f"{name}-{kind}.html").write_bytes(html_bytes(view, blocks, None, (recording,)))
    return folder


def _sound(path: Path) -> Path:
    with wave.open(str(path), "wb") as file:
        file.setparams((1, 2, 4000, 0, "NONE", ""))
        file.writeframes(b"".join(struct.pack("<h", int(900 * math.sin(at / 5))) for at in range(4000 * 40)))
    return path


def _until(page: Any, condition: str) -> None:
    """Wait for a condition; asked from outside, since the page's policy lets no text be run as a script."""
    for _ in range(200):
        if page.evaluate(condition):
            return
        page.wait_for_timeout(50)
    raise AssertionError(f"never came true: {condition}")


@pytest.fixture
def opened(browser: Any, pages: Path) -> Iterator[Any]:
    """Open a page by name; a message of the browser's console (a breach of the page's policy, say) fails the test."""
    contexts, complaints = [], []

    def open_page(name: str, size: dict[str, int] = DESK) -> Any:
        context = browser.new_context(viewport=size, offline=True)
        contexts.append(context)
        page = context.new_page()
        page.on("console", lambda message: complaints.append(message.text))
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.on("dialog", lambda dialog: complaints.append(f"a dialog: {dialog.message}"))
        page.goto((pages / f"{name}.html").as_uri())
        return page

    yield open_page
    for context in contexts:
        context.close()
    assert not complaints


@pytest.mark.parametrize("size", [PHONE, DESK])
@pytest.mark.parametrize("name", ["visit", "hostile", "visit-inside", "30"])
def test_the_checker_finds_nothing(opened: Any, name: str, size: dict[str, int]) -> None:
    page = opened(name, size)
    script = (Path(axe.__file__).parent / "axe.min.js").read_text("utf-8")
    page.evaluate(script)  # by the debugger, since the page's own policy lets no other script in
    found = page.evaluate("(rules) => axe.run(document, {runOnly: rules})", RULES)
    told = [(each["id"], each["nodes"][0]["html"][:200]) for each in found["violations"]]
    assert not told
    assert len(found["passes"]) > 20


@pytest.mark.parametrize("size", [PHONE, DESK, {"width": 320, "height": 640}])
@pytest.mark.parametrize("name", ["visit", "hostile", "150"])
def test_the_page_needs_no_scrolling_sideways(opened: Any, name: str, size: dict[str, int]) -> None:
    # WCAG 1.4.10: at 320 px wide; tables and drawings scroll within themselves
    assert opened(name, size).evaluate("document.documentElement.scrollWidth") <= size["width"]


def test_every_stop_of_the_tab_key_can_be_seen_and_none_is_under_the_player(opened: Any) -> None:
    # WCAG 2.1.1, 2.4.7, 2.4.11
    page = opened("visit-inside")
    page.emulate_media(reduced_motion="reduce")  # else the page is still gliding when it is looked at
    stops = page.evaluate("document.querySelectorAll('a[href], [tabindex=\"0\"]').length")
    assert stops > 30
    for _ in range(stops):
        page.keyboard.press("Tab")
        state = page.evaluate(
            """() => { const it = document.activeElement, box = it.getBoundingClientRect();
                const top = document.querySelector('.player').getBoundingClientRect().top;
                return {tag: it.tagName, inside: !!it.closest('.player'), hidden: box.top >= top,
                        outline: getComputedStyle(it).outlineStyle, width: box.width, height: box.height}; }"""
        )
        if state["tag"] == "BODY" or state["inside"]:
            continue
        assert state["outline"] != "none" and not state["hidden"], state


@pytest.mark.parametrize("name", ["visit-inside", "visit-beside"])
def test_a_time_plays_from_a_second_before_and_shows_the_words(opened: Any, name: str) -> None:
    page = opened(name)
    _until(page, "document.querySelector('audio').readyState >= 1")
    page.click('tr[id="row-1.3"] a.time')  # said at 0:21
    _until(page, "document.querySelector('audio').currentTime > 20.2")
    at = page.evaluate("document.querySelector('audio').currentTime")
    assert 20 <= at < 24
    shown = page.inner_text("#words-now")
    assert "word20" in shown and "word40" not in shown
    assert page.inner_text("#words-now mark") in {"word20", "word21", "word22", "word23", "word24"}
    assert "playing" in page.get_attribute('tr[id="row-1.3"]', "class")


def test_a_time_plays_by_keyboard(opened: Any) -> None:
    page = opened("visit-inside")
    _until(page, "document.querySelector('audio').readyState >= 1")
    page.focus('tr[id="row-1.2"] a.time')
    page.keyboard.press("Enter")
    _until(page, "!document.querySelector('audio').paused")


def test_a_time_without_a_recording_leads_to_the_words(opened: Any) -> None:
    page = opened("visit")
    page.click('tr[id="row-1.3"] a.time')
    assert page.url.endswith("#words-of-1.3")
    assert page.evaluate("document.querySelector(':target').textContent").startswith("1.3")


def test_links_of_times_are_large_enough_to_hit(opened: Any) -> None:
    # WCAG 2.5.8: 24 by 24 CSS pixels
    boxes = opened("visit", PHONE).evaluate(
        "[...document.querySelectorAll('a.time')].map(a => a.getBoundingClientRect()).map(b => [b.width, b.height])"
    )
    assert boxes and all(width >= 24 and height >= 24 for width, height in boxes)


@pytest.mark.parametrize("name", ["visit", "150"])
def test_words_of_the_drawings_do_not_meet_in_the_browsers_own_font(opened: Any, name: str) -> None:
    overlaps = opened(name).evaluate(
        """() => [...document.querySelectorAll('svg')].flatMap(svg => {
            const boxes = [...svg.querySelectorAll('text')].map(t => [t.textContent, t.getBBox()]);
            return boxes.flatMap(([one, a], i) => boxes.slice(i + 1).filter(([, b]) =>
                a.x < b.x + b.width - 0.5 && b.x < a.x + a.width - 0.5 &&
                a.y + 2 < b.y + b.height - 2 && b.y + 2 < a.y + a.height - 2).map(([two]) => [one, two])); })"""
    )
    assert overlaps == []


def test_it_prints_without_player_and_contents(opened: Any) -> None:
    page = opened("visit-inside")
    page.emulate_media(media="print")
    for selector in ("nav", ".player", ".skip"):
        assert page.evaluate(f"getComputedStyle(document.querySelector('{selector}')).display") == "none"
