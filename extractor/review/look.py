"""The full screen's colours, dark and light. A word or a mark always says the same as a colour does."""

import os
from collections.abc import Sequence

from textual.content import Content
from textual.theme import Theme

DARK = Theme(
    name="rodnote-dark",
    dark=True,
    primary="#6fc3b4",
    secondary="#9fb4c7",
    accent="#f0c36a",
    warning="#f0c36a",
    error="#ff9d80",
    success="#9bd59a",
    foreground="#e4eaea",
    background="#101719",
    surface="#172124",
    panel="#213035",
    variables={"border": "#4d6a70", "block-cursor-foreground": "#101719", "block-cursor-background": "#6fc3b4"},
)
LIGHT = Theme(
    name="rodnote-light",
    dark=False,
    primary="#0b5a55",
    secondary="#3c5363",
    accent="#6f4700",
    warning="#6f4700",
    error="#8f3310",
    success="#1f5d2a",
    foreground="#182629",
    background="#fbfaf6",
    surface="#f2f1ea",
    panel="#e2e4dd",
    variables={"border": "#6d8085", "block-cursor-foreground": "#fbfaf6", "block-cursor-background": "#0b5a55"},
)

CSS = """
Screen { layout: vertical; background: $background; color: $foreground; }
#head { height: 1; background: $panel; color: $foreground; padding: 0 1; }
#tabs { height: 1; background: $surface; }
#tabs .tab { width: auto; padding: 0 2; color: $secondary; }
#tabs .tab.-here { color: $primary; text-style: bold reverse; }
#views { height: 1fr; }
#said { height: auto; min-height: 1; max-height: 2; padding: 0 1; background: $surface; color: $foreground; }
#said.-refused { color: $error; text-style: bold; }
#keys { height: auto; max-height: 3; padding: 0 1; background: $panel; color: $foreground; }

QueueView { layout: horizontal; height: 1fr; }
#list { width: 40; display: none; border: none; border-right: solid $border; background: $surface; padding: 0; }
QueueView.-wide #list { display: block; }
#card { width: 1fr; height: 1fr; padding: 0 1; }
#asked { height: auto; min-height: 3; }
#answers { height: auto; max-height: 12; border: none; border-top: solid $border; background: $background; padding: 0; }

TableView { layout: vertical; height: 1fr; }
#rows { height: 1fr; min-height: 3; background: $background; }
#how { height: 1; padding: 0 1; color: $secondary; }
#filter { height: 1; border: none; padding: 0 1; display: none; background: $surface; }
#filter.-open { display: block; }

NarrationView { height: 1fr; background: $background; }
#legend { height: auto; max-height: 2; padding: 0 1; color: $secondary; }
#spoken { height: 1fr; min-height: 3; }

OptionList > .option-list--option-highlighted { text-style: bold reverse; }
OptionList:focus > .option-list--option-highlighted { text-style: bold reverse; }
DataTable > .datatable--cursor { text-style: bold reverse; color: $foreground; background: $background; }
DataTable > .datatable--header { text-style: bold underline; background: $surface; color: $foreground; }

ModalScreen { align: center middle; background: $background 60%; }
.box { width: 76; max-width: 96%; height: auto; max-height: 94%; border: solid $primary; background: $surface;
       padding: 0 1; }
.box Input { border: none; height: 1; padding: 0 1; background: $panel; margin: 1 0 0 0; }
.box OptionList { height: auto; max-height: 14; border: none; background: $surface; margin: 1 0 0 0; padding: 0; }
.box .note { height: auto; color: $secondary; }
.box .refused { height: auto; color: $error; text-style: bold; }
.box .title { height: auto; text-style: bold; }
.box VerticalScroll { height: auto; max-height: 78vh; }
"""


def in_lines(parts: Sequence[Content], width: int) -> Content:
    """Parts side by side in lines of at most `width` columns; no part is broken by a line's end."""
    lines: list[list[Content]] = [[]]
    used = 0
    for part in parts:
        if lines[-1] and used + part.cell_length > width:
            lines.append([])
            used = 0
        lines[-1].append(part)
        used += part.cell_length + 3
    return Content("\n").join(Content("   ").join(line) for line in lines)


def theme_name(wanted: str) -> str:
    """The theme to begin with. "auto" believes COLORFGBG, the one thing some terminals tell of their background."""
    if wanted == "auto":
        background = os.environ.get("COLORFGBG", "").split(";")[-1]
        wanted = "light" if background in ("7", "15") else "dark"
    return LIGHT.name if wanted == "light" else DARK.name
