"""Small windows over the full screen: a value typed, a thing found in the lexicon, one of several, a reason, help."""

from collections.abc import Callable, Sequence
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from extractor.errors import DecisionError
from extractor.lexicon.load import Lexicon
from extractor.review.lexicon_search import Found
from extractor.review.other_value import search
from extractor.review.shown import shown


class TypedDialog(ModalScreen[str | None]):
    """A line of text. `read` says what it would become, or raises what is wrong; both are shown while typing."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "dismiss(None)", "back")]

    def __init__(self, title: str, hint: str, read: Callable[[str], str], text: str = "") -> None:
        super().__init__()
        self._title, self._hint, self._read, self._text = title, hint, read, text

    def compose(self) -> ComposeResult:
        with Vertical(classes="box"):
            yield Static(Content(shown(self._title)), classes="title")
            if self._hint:
                yield Static(Content(self._hint), classes="note")
            yield Input(value=self._text, select_on_focus=False)
            yield Static(classes="note", id="becomes")
            yield Static(Content("Enter takes it, Esc goes back."), classes="note")

    def on_mount(self) -> None:
        self._preview(self._text)

    @on(Input.Changed)
    def _changed(self, event: Input.Changed) -> None:
        self._preview(event.value)

    @on(Input.Submitted)
    def _submitted(self, event: Input.Submitted) -> None:
        try:
            self._read(event.value)
        except DecisionError:
            self._preview(event.value, complain=True)
            return
        self.dismiss(event.value)

    def _preview(self, text: str, complain: bool = False) -> None:
        becomes = self.query_one("#becomes", Static)
        refused = False
        try:
            words = self._read(text) if text.strip() or complain else ""
        except DecisionError as error:
            words, refused = f"✗ {error}", True
        becomes.set_class(refused, "refused")
        becomes.set_class(not refused, "note")
        becomes.update(Content(shown(words) if refused or not words else f"→ {shown(words)}"))


class SearchLine(Input):
    """A line of words that leaves digits to the numbered list under it: no word that is said has a digit in it."""

    def check_consume_key(self, key: str, character: str | None) -> bool:
        return not (character and character.isdecimal()) and super().check_consume_key(key, character)


class LexiconDialog(ModalScreen[Found | None]):
    """A thing of the lexicon, found by typing part of a spoken form. 1 to 9 or Enter take one."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "dismiss(None)", "back"),
        *(Binding(str(number), f"take({number - 1})", show=False, priority=True) for number in range(1, 10)),
        Binding("0", "empty", show=False, priority=True),
        Binding("down", "step(1)", show=False, priority=True),
        Binding("up", "step(-1)", show=False, priority=True),
    ]

    def __init__(self, title: str, lexicon: Lexicon, kinds: Sequence[str], may_be_none: bool = False) -> None:
        super().__init__()
        self._title, self._lexicon, self._kinds, self._may_be_none = title, lexicon, tuple(kinds), may_be_none
        self._found: tuple[Found, ...] = ()

    def compose(self) -> ComposeResult:
        with Vertical(classes="box"):
            yield Static(Content(shown(self._title)), classes="title")
            yield SearchLine(placeholder="part of a word, as it is said")
            yield OptionList()
            none = "  0 empties it." if self._may_be_none else ""
            yield Static(Content(f"A number or Enter takes one, ↑ ↓ move, Esc goes back.{none}"), classes="note")

    def on_mount(self) -> None:
        self._search("")

    @on(Input.Changed)
    def _typed(self, event: Input.Changed) -> None:
        self._search(event.value)

    def _search(self, typed: str) -> None:
        self._found = search(typed, self._lexicon, self._kinds)
        options = self.query_one(OptionList)
        options.clear_options()
        for number, found in enumerate(self._found, 1):
            said = f"  “{found.form}”" if found.form and found.form != found.entry.label.lower() else ""
            key = f" {number} " if number <= 9 else "   "
            options.add_option(
                Option(Content.assemble((key, "bold"), f" {shown(found.entry.label)}", (shown(said), "italic")))
            )
        options.highlighted = 0 if self._found else None

    def action_take(self, place: int) -> None:
        if place < len(self._found):
            self.dismiss(self._found[place])

    def action_empty(self) -> None:
        if self._may_be_none:
            self.dismiss(NOTHING)

    def action_step(self, by: int) -> None:
        options = self.query_one(OptionList)
        options.action_cursor_down() if by > 0 else options.action_cursor_up()

    @on(Input.Submitted)
    def _entered(self) -> None:
        self.action_take(self.query_one(OptionList).highlighted or 0)

    @on(OptionList.OptionSelected)
    def _picked(self, event: OptionList.OptionSelected) -> None:
        self.action_take(event.option_index)


NOTHING = Found(None)  # type: ignore[arg-type]  # chosen on purpose: the field is to be empty


class PickDialog(ModalScreen[int | None]):
    """One of several, by number, Enter or the mouse; its place in the list."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "dismiss(None)", "back"),
        *(Binding(str(number), f"take({number - 1})", show=False) for number in range(1, 10)),
    ]

    def __init__(self, title: str, options: Sequence[str], note: str = "") -> None:
        super().__init__()
        self._title, self._options, self._note = title, tuple(options), note

    def compose(self) -> ComposeResult:
        with Vertical(classes="box"):
            yield Static(Content(shown(self._title)), classes="title")
            yield OptionList(
                *(
                    Option(Content.assemble((f" {number} " if number <= 9 else "   ", "bold"), f" {shown(words)}"))
                    for number, words in enumerate(self._options, 1)
                )
            )
            yield Static(Content(self._note or "A number or Enter takes one, Esc goes back."), classes="note")

    def on_mount(self) -> None:
        self.query_one(OptionList).highlighted = 0 if self._options else None

    def action_take(self, place: int) -> None:
        if place < len(self._options):
            self.dismiss(place)

    @on(OptionList.OptionSelected)
    def _picked(self, event: OptionList.OptionSelected) -> None:
        self.dismiss(event.option_index)


class SignDialog(ModalScreen[str | None]):
    """Sign off, or not: with harmful queries open a reason must be typed. "" is a sign-off without a reason."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "dismiss(None)", "back"),
        Binding("enter", "sign", "sign off"),
    ]

    def __init__(self, who: str, rows: int, decisions: int, harmful: int, open_queries: int) -> None:
        super().__init__()
        self._who, self._rows, self._decisions = who, rows, decisions
        self._harmful, self._open = harmful, open_queries

    def compose(self) -> ComposeResult:
        with Vertical(classes="box"):
            yield Static(Content(f"Sign off as {shown(self._who)}?"), classes="title")
            yield Static(
                Content(f"{self._rows} rows, {self._decisions} decisions, {self._open} queries open. "
                        "You stand for the record as it is now; any later change makes it void."),
                classes="note",
            )  # fmt: skip
            if self._harmful:
                yield Static(
                    Content(f"▲ {self._harmful} of them harmful. Give the reason why it is signed off all the same; "
                            "the report shows it."),
                    classes="refused",
                )  # fmt: skip
                yield Input(placeholder="reason")
            yield Static(Content("Enter signs off, Esc goes back."), classes="note")

    @on(Input.Submitted)
    def _reasoned(self, event: Input.Submitted) -> None:
        if event.value.strip():
            self.dismiss(event.value)

    def action_sign(self) -> None:
        if not self._harmful:
            self.dismiss("")


class HelpDialog(ModalScreen[None]):
    """What every key does."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "dismiss(None)", "back"),
        Binding("question_mark", "dismiss(None)", "back"),
        Binding("enter", "dismiss(None)", "back"),
    ]

    def __init__(self, parts: Sequence[tuple[str, Sequence[tuple[str, str]]]]) -> None:
        super().__init__()
        self._parts = parts

    def compose(self) -> ComposeResult:
        with Vertical(classes="box"):
            with VerticalScroll():
                for title, keys in self._parts:
                    yield Static(Content(title), classes="title")
                    lines = [Content.assemble((f"  {key:<10}", "bold"), words) for key, words in keys]
                    yield Static(Content("\n").join(lines))
            yield Static(Content("↑ ↓ scroll, Esc goes back."), classes="note")
