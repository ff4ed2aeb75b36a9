"""visit.toml: what is missing shows, what is wrong is told with its file and field."""

import datetime
import shutil
from pathlib import Path

import pytest

from extractor.errors import ReportError
from extractor.report.fonts import FAMILIES, families, font_folder
from extractor.report.visit import Visit, font_folders, load_logo, load_visit
from tests.report.made_records import HOSTILE, view_of, visit_record

PNG = b"\x89PNG\r\n\x1a\n" + b"\0" * 20


def _written(tmp_path: Path, text: str) -> Path:
    path = tmp_path / "visit.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_a_date_is_told_with_its_month_in_words(tmp_path: Path) -> None:
    visit = load_visit(_written(tmp_path, 'firm = "A"\ndate = 2026-03-04\n'))
    assert visit.date == datetime.date(2026, 3, 4) and visit.day == "4 March 2026"


def test_a_date_with_a_time_is_a_date(tmp_path: Path) -> None:
    assert load_visit(_written(tmp_path, "date = 2026-03-04T10:00:00\n")).day == "4 March 2026"


def test_what_is_missing_shows_as_a_placeholder() -> None:
    missing = {fact.label: fact.value for fact in view_of(visit_record(), Visit()).facts if fact.missing}
    assert missing == {
        "Client": "[client: not given]",
        "Address": "[address: not given]",
        "Date of visit": "[date of visit: not given]",
        "What was asked": "[what was asked: not given]",
        "Report for": "[report for: not given]",
        "Firm": "[firm: not given]",
        "Licence number": "[licence number: not given]",
    }


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ('frim = "A"', "has no use for 'frim'"),
        ("date = 12", "date"),
        ("firm = ", "no valid TOML"),
        ("still_lag_s = 999", "still_lag_s"),
        ("firm = 3", "firm"),
    ],
)
def test_what_is_wrong_is_named(tmp_path: Path, text: str, told: str) -> None:
    path = _written(tmp_path, text)
    with pytest.raises(ReportError, match=r"visit\.toml") as caught:
        load_visit(path)
    assert told in str(caught.value)


def test_a_missing_file_is_told(tmp_path: Path) -> None:
    with pytest.raises(ReportError, match="can't be read"):
        load_visit(tmp_path / "none.toml")


def test_hostile_values_are_made_harmless() -> None:
    told = Visit(firm=HOSTILE, client="a\x00b\u202ec").firm
    assert not set(told) & set("\x00\x07\x1b\u202e\u202c\ufffe\ud800")
    assert Visit(client="a\x00b\u202ec").client == "a bc"


@pytest.mark.parametrize("name", ["logo.svg", "missing.png", "text.png", "bad\0name.png"])
def test_a_logo_that_is_no_picture_is_refused(tmp_path: Path, name: str) -> None:
    (tmp_path / "text.png").write_text("no picture")
    (tmp_path / "logo.svg").write_text("<svg/>")
    with pytest.raises(ReportError, match="logo"):
        load_logo(Visit(logo=name), tmp_path)


@pytest.mark.parametrize("name", ["none", "bad\0name"])
def test_a_folder_of_fonts_that_is_not_there_is_told(tmp_path: Path, name: str) -> None:
    with pytest.raises(ReportError, match="folder of fonts"):
        font_folders(Visit(fonts=name), tmp_path)


def test_more_fonts_show_more_characters_and_a_broken_one_is_told(tmp_path: Path) -> None:
    shutil.copy(font_folder() / "NotoSans-Bold.ttf", tmp_path / "more.ttf")
    assert families(font_folders(Visit(fonts="."), tmp_path))[:3] == FAMILIES
    (tmp_path / "broken.ttf").write_bytes(b"no font")
    with pytest.raises(ReportError, match=r"broken\.ttf"):
        families((tmp_path,))


def test_a_logo_is_known_by_its_bytes(tmp_path: Path) -> None:
    (tmp_path / "logo.jpeg").write_bytes(PNG)
    with pytest.raises(ReportError, match="PNG or JPEG"):
        load_logo(Visit(logo="logo.jpeg"), tmp_path)
    (tmp_path / "logo.png").write_bytes(PNG)
    found = load_logo(Visit(logo="logo.png"), tmp_path)
    assert found is not None and found.ending == ".png"
