"""The report's own fonts: which characters they hold, and how wide words are in the drawings.

The files are read by fontTools; widths are the fonts' advance widths, so that labels can be laid out without overlap.
"""

from collections.abc import Sequence
from functools import lru_cache
from importlib import resources
from pathlib import Path

from fontTools.ttLib import TTFont, TTLibError  # type: ignore[import-untyped]

from extractor.errors import ReportError

FAMILIES = ("Noto Sans", "Noto Sans Hebrew", "Noto Sans Arabic")
_FILES = ("NotoSans-Regular.ttf", "NotoSansHebrew-Regular.ttf", "NotoSansArabic-Regular.ttf")
# Browsers without Noto Sans fall back to fonts up to about this much wider (DejaVu Sans against Noto Sans, measured).
SAFETY = 1.12
UNSHOWN = "\ufffd"


def font_folder() -> Path:
    return Path(str(resources.files("extractor.report"))) / "fonts"


def text_width(text: str, size: float) -> float:
    """An upper bound of the width of `text` in a sans-serif font of `size`, in the unit of `size`."""
    widths, units = _widths()
    wide = max(widths.get(ord("W"), units), units)
    return sum(widths.get(ord(mark), wide) for mark in text) * size / units * SAFETY


def fitting(text: str, size: float, room: float) -> str:
    """The text, shortened with an ellipsis to fit into `room`."""
    if text_width(text, size) <= room:
        return text
    while text and text_width(text + "…", size) > room:
        text = text[:-1]
    return text.rstrip() + "…" if text else ""


def showable(text: str, extra_folders: Sequence[Path] = ()) -> str:
    """The text with a box for each character that none of the fonts holds.

    A tagged PDF must not hold characters without a picture (PDF/UA-1, ISO 14289-1, 7.21.8: no .notdef).
    """
    held = characters(tuple(extra_folders))
    return "".join(mark if ord(mark) in held or mark in "\n\u200b" else UNSHOWN for mark in text)


def families(extra_folders: Sequence[Path] = ()) -> tuple[str, ...]:
    """Names of the fonts, the report's own first."""
    names = dict.fromkeys(FAMILIES)
    for path in _font_files(tuple(extra_folders)):
        with _opened(path) as font:
            names[font["name"].getBestFamilyName()] = None
    return tuple(name for name in names if name)


def _font_files(folders: tuple[Path, ...]) -> list[Path]:
    return sorted(path for folder in folders for path in folder.rglob("*") if path.suffix.lower() in (".ttf", ".otf"))


def _opened(path: Path) -> TTFont:
    """A font file.

    Raises:
        ReportError: where it is none.
    """
    try:
        return TTFont(path, lazy=True)
    except (TTLibError, OSError) as error:
        raise ReportError(
            "can't be read as a font.", where=str(path), todo="Take it out of the fonts folder."
        ) from error


@lru_cache(maxsize=4)
def characters(extra_folders: tuple[Path, ...] = ()) -> frozenset[int]:
    """All characters that the fonts together hold."""
    held: set[int] = set()
    for path in (*(font_folder() / name for name in _FILES), *_font_files(extra_folders)):
        with _opened(path) as font:
            held.update(font.getBestCmap() or {})
    return frozenset(held)


@lru_cache(maxsize=1)
def _widths() -> tuple[dict[int, int], int]:
    widths: dict[int, int] = {}
    for name in reversed(_FILES):
        with TTFont(font_folder() / name, lazy=True) as font:
            advance = font["hmtx"].metrics
            widths.update({mark: advance[glyph][0] for mark, glyph in font.getBestCmap().items()})
            units = font["head"].unitsPerEm
    return widths, units
