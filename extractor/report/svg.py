"""A drawing as SVG 1.1, built as a tree so that no text can become markup, with a title and a description.

The numbers are written with at most two decimals, so that the same record makes the same bytes.
"""

from dataclasses import dataclass
from xml.etree.ElementTree import Element, SubElement, tostring

from extractor.report.amounts import plain
from extractor.report.palette import INK

FONT_STACK = "'Noto Sans', 'Segoe UI', 'Helvetica Neue', Arial, sans-serif"


@dataclass(frozen=True)
class Drawing:
    """A finished drawing. `alt` says in words what it shows; `width` and `height` are in its own units."""

    svg: str
    alt: str
    width: float
    height: float


class Canvas:
    """A drawing in the making. `prefix` keeps ids apart where several drawings stand in one page."""

    def __init__(self, prefix: str, title: str, description: str) -> None:
        self.prefix = prefix
        self.root = Element("svg", {"xmlns": "http://www.w3.org/2000/svg", "role": "img"})
        self.root.set("aria-labelledby", f"{prefix}-title {prefix}-desc")
        self.root.set("font-family", FONT_STACK)
        SubElement(self.root, "title", {"id": f"{prefix}-title"}).text = title
        SubElement(self.root, "desc", {"id": f"{prefix}-desc"}).text = description
        self.definitions = SubElement(self.root, "defs")
        self.alt = f"{title}. {description}"

    def add(self, tag: str, **attributes: str | float) -> Element:
        """Add a shape; `_` in an attribute's name stands for "-"."""
        return SubElement(self.root, tag, {name.replace("_", "-"): _value(value) for name, value in attributes.items()})

    def text(
        self, x: float, y: float, words: str, size: float, *, anchor: str = "start", bold: bool = False, fill: str = INK
    ) -> None:
        element = self.add("text", x=x, y=y, font_size=size, fill=fill)
        if anchor != "start":
            element.set("text-anchor", anchor)
        if bold:
            element.set("font-weight", "bold")
        element.text = words

    def line(self, *points: tuple[float, float], stroke: str, width: float = 0.7, dashes: str = "") -> None:
        path = " ".join(f"{_value(x)},{_value(y)}" for x, y in points)
        element = self.add("polyline", points=path, fill="none", stroke=stroke, stroke_width=width)
        if dashes:
            element.set("stroke-dasharray", dashes)

    def pattern(self, name: str, size: float, background: str) -> Element:
        """A fill pattern; add lines to what is returned, and fill with `self.fill(name)`."""
        pattern = SubElement(
            self.definitions,
            "pattern",
            {
                "id": f"{self.prefix}-{name}",
                "width": _value(size),
                "height": _value(size),
                "patternUnits": "userSpaceOnUse",
            },
        )
        SubElement(pattern, "rect", {"width": _value(size), "height": _value(size), "fill": background})
        return pattern

    def fill(self, name: str) -> str:
        return f"url(#{self.prefix}-{name})"

    def finished(self, width: float, height: float) -> Drawing:
        self.root.set("viewBox", f"0 0 {_value(width)} {_value(height)}")
        self.root.set("width", _value(width))
        self.root.set("height", _value(height))
        return Drawing(tostring(self.root, encoding="unicode"), self.alt, width, height)


def _value(value: str | float) -> str:
    return value if isinstance(value, str) else plain(value)
