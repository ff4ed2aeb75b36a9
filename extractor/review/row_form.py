"""A row opened: its fields, each with a letter. Changes are gathered and become one decision when they are kept."""

from collections.abc import Callable
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.events import Key
from textual.screen import ModalScreen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from extractor.errors import DecisionError
from extractor.job.decisions import Value
from extractor.job.naming import Row, kind_of
from extractor.job.wording import sets_words
from extractor.language.measures import MeasureGrammar
from extractor.record import Measurement, Observation
from extractor.review.dialogs import NOTHING, LexiconDialog, PickDialog, TypedDialog
from extractor.review.fields import FIELDS, Field
from extractor.review.lexicon_search import Found
from extractor.review.other_value import value_of
from extractor.review.session import Session
from extractor.review.shown import shown

HINTS = {
    "place": "like “4.2”, “four point two”, “14 ft 2”, “about 5”, “3 to 4.5”; nothing for no distance",
    "metres": "like “4.2”, “four point two”, “14 ft 2”",
    "value": "like “400 mm”, “four hundred mil”, “20 percent”",
    "clock": "like “3” or “9 to 3”",
    "count": "a whole number",
    "text": "a few words",
}


class RowForm(ModalScreen[dict[str, Value] | None]):
    """The fields of one row. The result is what was changed; None where it was left.

    `check` raises what is wrong with the changes; the form stays open then.
    `given` are fields already filled in, for a row that does not exist yet; `may_be_same` lets it be kept unchanged.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "dismiss(None)", "leave"),
        Binding("s", "keep", "keep"),
        Binding("ctrl+s", "keep", "keep", show=False),
        Binding("backspace", "forget", "as it was"),
    ]

    def __init__(
        self,
        title: str,
        row: Row,
        session: Session,
        grammar: MeasureGrammar,
        *,
        check: Callable[[dict[str, Value]], object],
        given: dict[str, Value] | None = None,
        may_be_same: bool = False,
    ) -> None:
        super().__init__()
        self._check = check
        self._title, self._row, self._session, self._grammar = title, row, session, grammar
        self._sets: dict[str, Value] = dict(given or {})
        self._may_be_same = may_be_same or bool(given)
        self._fields = FIELDS[kind_of(row)]

    def compose(self) -> ComposeResult:
        with Vertical(classes="box"):
            yield Static(Content(shown(self._title)), classes="title")
            yield Static(Content.assemble("« ", (shown(self._row.quote)[:200], "italic"), " »"), classes="note")
            yield OptionList(id="fields")
            yield Static(id="refusal", classes="refused")
            yield Static(
                Content("A letter or Enter changes a field, s keeps all changes, Backspace drops them, Esc leaves."),
                classes="note",
            )

    def on_mount(self) -> None:
        self.query_one("#refusal").display = False
        self._draw()
        self.query_one(OptionList).highlighted = 0 if self._fields else None

    def on_key(self, event: Key) -> None:
        for field in self._fields:
            if event.character == field.key:
                event.stop()
                event.prevent_default()
                self._ask(field)
                return

    @on(OptionList.OptionSelected)
    def _picked(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        self._ask(self._fields[event.option_index])

    def action_keep(self) -> None:
        if not self._sets and not self._may_be_same:
            self._refuse("Nothing was changed. Esc leaves.")
            return
        try:
            self._check(dict(self._sets))
        except DecisionError as error:
            self._refuse(str(error))
            return
        self.dismiss(dict(self._sets))

    def action_forget(self) -> None:
        self._sets.clear()
        self._draw()

    # ---- one field --------------------------------------------------------------------------------------------------

    def _ask(self, field: Field) -> None:
        title = f"{field.label}: {self._value(field)}"
        if field.asked == "lexicon":
            self.app.push_screen(
                LexiconDialog(title, self._session.lexicon, field.kinds, field.may_be_none),
                lambda found: self._found(field, found),
            )
        elif field.asked in ("one_of", "run"):
            options = self._options(field)
            self.app.push_screen(
                PickDialog(title, [words for _, words in options]),
                lambda place: self._set({field.name: options[place][0]}) if place is not None else None,
            )
        else:
            self.app.push_screen(
                TypedDialog(title, HINTS.get(field.asked, ""), lambda text: self._read(field, text)),
                lambda text: self._set(self._typed(field, text)) if text is not None else None,
            )

    def _options(self, field: Field) -> list[tuple[str | None, str]]:
        options: list[tuple[str | None, str]] = list(field.options)
        if field.asked == "run":
            options = [(run.id, self._session.speaker.run(run)) for run in self._session.reviewed.record.runs]
        return [*options, (None, "none")] if field.may_be_none else options

    def _found(self, field: Field, found: Found | None) -> None:
        if found is not None:
            self._set({field.name: None if found is NOTHING else found.entry.id})

    def _typed(self, field: Field, text: str) -> dict[str, Value]:
        return value_of(field, text, self._row, self._session.reviewed.record.spoken_unit, self._grammar)

    def _read(self, field: Field, text: str) -> str:
        return sets_words(self._typed(field, text))

    def _set(self, sets: dict[str, Value]) -> None:
        self._sets.update(sets)
        self.query_one("#refusal").display = False
        self._draw()

    def _refuse(self, words: str) -> None:
        refusal = self.query_one("#refusal", Static)
        refusal.display = True
        refusal.update(Content(f"✗ {shown(words)}"))

    # ---- what it looks like -----------------------------------------------------------------------------------------

    def _draw(self) -> None:
        fields = self.query_one(OptionList)
        here = fields.highlighted
        fields.clear_options()
        for field in self._fields:
            changed = field.name in self._sets
            fields.add_option(
                Option(
                    Content.assemble(
                        (f" {field.key} ", "bold"),
                        f" {field.label:<14}",
                        (shown(self._value(field)), "bold" if changed else ""),
                        ("  * changed" if changed else "", "italic"),
                    )
                )
            )
        fields.highlighted = here

    def _value(self, field: Field) -> str:
        """What the field says now, with the changes made so far."""
        speaker, row = self._session.speaker, self._row
        try:
            now = row.model_copy(update={name: value for name, value in self._sets.items() if "." not in name})
            if field.asked == "place" and isinstance(now, Observation):
                return speaker.distance(now) or "–"
            if field.asked == "value" and isinstance(now, Measurement):
                return speaker.told(now).what
        except (DecisionError, ValueError, TypeError):
            return "–"
        if field.name in self._sets:
            value: object = self._sets[field.name]
        else:
            value = row
            for part in field.name.split("."):
                value = getattr(value, part)
        for option, words in field.options:
            if option == value:
                return words
        return speaker.value(field.name, value)
