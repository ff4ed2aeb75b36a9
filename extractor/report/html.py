"""The report as one HTML file: works from a file, offline, without script unless a recording is given.

Text is escaped by MarkupSafe wherever it enters. A content policy in the page admits this page's own style and script
by their digests and nothing from outside. Structure follows WCAG 2.2 AA: one h1, headings in order, named regions,
tables with headers, links of at least 24 px, focus visible and never under the player.
"""

import base64
import hashlib
import json
import mimetypes
from collections.abc import Sequence
from dataclasses import dataclass
from importlib import resources

from markupsafe import Markup, escape

from extractor.report import palette
from extractor.report.document import Block, Cell, Facts, Figure, Grid, Heading, Panel, Paragraph, Points
from extractor.report.safe_text import clean, units_kept
from extractor.report.svg import FONT_STACK
from extractor.report.view import Moment, ReportView
from extractor.report.visit import Logo

EMBED_BYTES = 20_000_000  # a larger recording stays beside the page


@dataclass(frozen=True)
class Recording:
    """What can be played: `name` is the file beside the page, `data` its bytes where it goes into the page."""

    name: str
    data: bytes | None
    words: tuple[tuple[float, str], ...] = ()  # start in seconds, word

    @property
    def type(self) -> str:
        return mimetypes.guess_type(self.name)[0] or "audio/mpeg"


def html_bytes(
    view: ReportView, blocks: Sequence[Block], logo: Logo | None = None, recordings: Sequence[Recording] = ()
) -> bytes:
    """The whole page, UTF-8."""
    style = _style()
    script = Markup(_own("page.js")) if recordings else Markup("")
    page = _Page(bool(recordings), len(recordings))
    parts = [
        Markup('<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'),
        Markup('<meta http-equiv="Content-Security-Policy" content="{}">\n').format(_policy(style, script)),
        Markup('<meta name="viewport" content="width=device-width, initial-scale=1">\n'),
        Markup("<title>{}</title>\n").format(" – ".join(part for part in (view.title, view.subtitle) if part)),
        Markup("<style>{}</style>\n</head>\n").format(Markup(style)),
        Markup('<body class="{}">\n').format(
            " ".join(name for name, on in (("draft", view.draft), ("with-player", recordings)) if on)
        ),
        Markup('<a class="skip" href="#report">Skip to the report</a>\n'),
        _header(view, logo),
        _contents(blocks),
        Markup('<main id="report">\n{}</main>\n').format(page.blocks(blocks)),
        _footer(view),
        _player(recordings),
        Markup("<script>{}</script>\n").format(script) if recordings else "",
        Markup("</body>\n</html>\n"),
    ]
    return str(Markup("").join(parts)).encode("utf-8", "replace")


class _Page:
    """Blocks as HTML. `playable`: whether times lead to the recording; else they lead to the words."""

    def __init__(self, playable: bool, recordings: int) -> None:
        self.playable, self.recordings = playable, recordings

    def blocks(self, blocks: Sequence[Block]) -> Markup:
        return Markup("").join(self.block(block) + Markup("\n") for block in blocks)

    def block(self, block: Block) -> Markup:
        if isinstance(block, Heading):
            return Markup('<h{0} id="{1}">{2}</h{0}>').format(block.level + 1, block.key, _shown(block.text))
        if isinstance(block, Paragraph):
            style = Markup(' class="{}"').format(block.kind) if block.kind != "body" else Markup("")
            return Markup("<p{}>{}</p>").format(style, _shown(block.text))
        if isinstance(block, Facts):
            return _facts(block)
        if isinstance(block, Points):
            return self.list(block.items)
        if isinstance(block, Panel):
            parts = (Markup("<h3>{}</h3>{}").format(title, self.list(cells)) for title, cells in block.parts)
            return Markup('<div class="panel">{}</div>').format(Markup("").join(parts))
        if isinstance(block, Figure):
            name = block.drawing.alt.split(".")[0]
            kind = "wide plan" if block.key == "plan" else "wide"
            return Markup('<div class="{}" role="region" tabindex="0" aria-label="{}">{}</div>').format(
                kind, f"Drawing: {name}", Markup(block.drawing.svg)
            )
        return self.grid(block)

    def list(self, cells: Sequence[Cell]) -> Markup:
        return Markup("<ul>{}</ul>").format(
            Markup("").join(Markup("<li>{}</li>").format(self.item(cell)) for cell in cells)
        )

    def item(self, cell: Cell) -> Markup:
        parts = [_shown(cell.text)] if cell.text else []
        if cell.quote:
            parts.append(Markup("<q>{}</q>").format(_shown(cell.quote)))
        said = Markup(": ").join(parts)
        return Markup("{} ({})").format(said, self.time(cell.moment, "")) if cell.moment.text else said

    def grid(self, block: Grid) -> Markup:
        head = Markup("").join(Markup('<th scope="col">{}</th>').format(column.title) for column in block.columns)
        keys = block.keys or ("",) * len(block.rows)
        body = Markup("").join(self.row(row, key, block) for row, key in zip(block.rows, keys, strict=True))
        caption = Markup("<caption>{}</caption>").format(
            block.caption if block.captioned else Markup('<span class="hidden">{}</span>').format(block.caption)
        )
        return Markup(
            '<div class="wide" role="region" tabindex="0" aria-label="{}"><table>{}<thead><tr>{}</tr></thead>'
            "<tbody>{}</tbody></table></div>"
        ).format(f"Table: {block.caption}", caption, head, body)

    def row(self, row: Sequence[Cell], key: str, block: Grid) -> Markup:
        first = row[0]
        opening = Markup('<tr id="{}">').format(key) if key else Markup("<tr>")
        name = f"row {first.text}" if key or block.columns[0].title in ("Row", "No.") else ""
        heads = bool(first.text) and block.columns[0].share == 0
        lead = Markup('<th scope="row">{}</th>' if heads else "<td>{}</td>").format(self.cell(first, name))
        rest = Markup("").join(Markup("<td>{}</td>").format(self.cell(cell, name)) for cell in row[1:])
        return opening + lead + rest + Markup("</tr>\n")

    def cell(self, cell: Cell, row: str) -> Markup:
        if cell.picture:
            image = base64.b64encode(cell.picture.jpeg).decode()
            return Markup('<img src="data:image/jpeg;base64,{}" alt="{}">').format(image, cell.picture.alt)
        if cell.moment.text and cell.text == cell.moment.text:
            return self.time(cell.moment, row)
        parts = []
        if cell.text:
            parts.append(Markup("<strong>{}</strong>" if cell.strong else "{}").format(_shown(cell.text)))
        if cell.quote:
            parts.append(Markup("<q>{}</q>").format(_shown(cell.quote)))
        if cell.remark:
            parts.append(Markup('<span class="ask">? {}</span>').format(_shown(cell.remark)))
        return Markup(" ").join(parts)

    def time(self, moment: Moment, row: str) -> Markup:
        """A time as a link: to the recording where it is given, else to the words of its row."""
        if self.playable and moment.start_s is not None and moment.source < self.recordings:
            name = f"{moment.text}, play the words{' of ' + row if row else ''}"
            return Markup(
                '<a class="time" href="#player" data-start="{}" data-source="{}" aria-label="{}">{}</a>'
            ).format(f"{moment.start_s:.2f}", moment.source, name, moment.text)
        if row:
            name = f"{moment.text}, the words of {row}"
            return Markup('<a class="time" href="#words-of-{}" aria-label="{}">{}</a>').format(
                row.removeprefix("row "), name, moment.text
            )
        return escape(moment.text)


def _shown(text: str) -> Markup:
    return escape(units_kept(text))


def _facts(block: Facts) -> Markup:
    lines = (
        Markup("<dt>{}</dt><dd{}>{}</dd>").format(
            fact.label, Markup(' class="missing"') if fact.missing else "", _shown(fact.value)
        )
        for fact in block.facts
    )
    return Markup('<dl class="facts">{}</dl>').format(Markup("").join(lines))


def _header(view: ReportView, logo: Logo | None) -> Markup:
    picture = Markup("")
    if logo:
        kind = "png" if logo.ending == ".png" else "jpeg"
        picture = Markup('<img src="data:image/{};base64,{}" alt="{}">').format(
            kind, base64.b64encode(logo.data).decode(), f"Logo of {view.firm or 'the firm'}"
        )
    firm = Markup('<p class="firm">{}</p>').format(view.firm) if view.firm else Markup("")
    return Markup("<header><div>{}<h1>{}</h1></div>{}</header>\n").format(firm, view.title, picture)


def _contents(blocks: Sequence[Block]) -> Markup:
    links = Markup("").join(
        Markup('<li><a href="#{}">{}</a></li>').format(block.key, block.text)
        for block in blocks
        if isinstance(block, Heading) and block.level == 1
    )
    return Markup('<nav aria-label="Contents"><ol>{}</ol></nav>\n').format(links)


def _footer(view: ReportView) -> Markup:
    told = " · ".join(part for part in (view.firm, view.day, view.draft) if part)
    return Markup("<footer><p>{}</p></footer>\n").format(told) if told else Markup("")


def _player(recordings: Sequence[Recording]) -> Markup:
    if not recordings:
        return Markup("")
    parts = [Markup('<section class="player" id="player" aria-label="Recording">')]
    for number, each in enumerate(recordings):
        tag = "video" if each.type.startswith("video/") else "audio"
        source = Markup("") if each.data is not None else Markup(' src="{}"').format(each.name)
        parts.append(
            Markup('<{0} controls preload="metadata" data-source="{1}" aria-label="{2}"{3}></{0}>').format(
                tag, number, f"Recording {number + 1}: {each.name}", source
            )
        )
    parts.append(Markup('<p id="words-now"></p></section>\n'))
    for number, each in enumerate(recordings):
        if each.data is not None:
            parts.append(
                Markup('<script type="text/plain" id="recording-data-{}" data-type="{}">{}</script>\n').format(
                    number, each.type, base64.b64encode(each.data).decode()
                )
            )
    spoken = {
        str(at): [[round(start, 2), clean(word)] for start, word in each.words] for at, each in enumerate(recordings)
    }
    # a "<" inside a script element could end it; JSON may write it as an escape
    data = Markup(json.dumps(spoken).replace("<", "\\u003c"))
    parts.append(Markup('<script type="application/json" id="words-data">{}</script>\n').format(data))
    return Markup("").join(parts)


def _style() -> str:
    text = _own("page.css").replace("@FONTS", FONT_STACK)
    for name in sorted((name for name in dir(palette) if name.isupper()), key=len, reverse=True):
        value = getattr(palette, name)
        if isinstance(value, str):
            text = text.replace(f"@{name}", value)
    return text


def _policy(style: str, script: str) -> str:
    """Only this page's own style and script, known by digest; pictures inside the page; the recording."""
    scripts = f"'sha256-{_digest(script)}'" if script else "'none'"
    media = "blob: 'self' file:" if script else "'none'"
    return (
        f"default-src 'none'; style-src 'sha256-{_digest(style)}'; script-src {scripts}; img-src data:; "
        f"media-src {media}; base-uri 'none'; form-action 'none'"
    )


def _digest(text: str) -> str:
    return base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()


def _own(name: str) -> str:
    return (resources.files("extractor.report") / name).read_text(encoding="utf-8").replace("\r\n", "\n")
