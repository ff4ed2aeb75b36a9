"""What a person would see: the text of the screen, read from the picture of it, so that nothing invisible passes."""

import html
import re

from textual.app import App

_TEXT = re.compile(r'<text[^>]* x="([\d.]+)" y="([\d.]+)" textLength="([\d.]+)"[^>]*>(.*?)</text>', re.DOTALL)
COLUMN = 12.2  # a column's width and a line's height in the picture
LINE = 24.4


def seen(app: App[None]) -> str:
    """The lines of the screen, from top to bottom; no-break spaces are spaces."""
    drawn = app.export_screenshot()
    width, height = app.size
    lines = [[" "] * width for _ in range(height)]
    for x, y, _, text in _TEXT.findall(drawn[drawn.index("-matrix") :]):
        words = html.unescape(text).replace("\u00a0", " ").rstrip("\n")
        column, line = round(float(x) / COLUMN), round((float(y) - 20) / LINE)
        if 0 <= line < height:
            lines[line][column : column + len(words)] = list(words)
    return "\n".join("".join(line).rstrip() for line in lines)
