"""The full screen: queue, table and narration of one job, keys shown where they apply, each decision on disk first."""

from functools import cached_property
from pathlib import Path
from typing import ClassVar

from textual import on
from textual.app import App, ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal
from textual.content import Content
from textual.events import Click
from textual.message import Message
from textual.widgets import ContentSwitcher, Static

from extractor.errors import RodnoteError
from extractor.job.answers import change_deed
from extractor.job.decisions import Deed, Value
from extractor.job.naming import Row, kind_of
from extractor.job.refusals import refuse
from extractor.job.wording import sets_words
from extractor.language.measures import MeasureGrammar, measure_grammar
from extractor.lexicon.load import load_lexicon
from extractor.review.dialogs import HelpDialog, PickDialog, SignDialog
from extractor.review.fields import FIELDS
from extractor.review.look import CSS, DARK, LIGHT, in_lines, theme_name
from extractor.review.narration_view import NarrationView
from extractor.review.queue_view import QueueView
from extractor.review.row_form import RowForm
from extractor.review.session import Session
from extractor.review.shown import shown
from extractor.review.table_view import TableView
from extractor.review.teaching import Lesson, fresh_lessons, teach

VIEWS = (("queue", "q", "Queue"), ("table", "t", "Table"), ("narration", "n", "Narration"))

HELP = (
    ("Everywhere", (
        ("q t n", "queue, table, narration; Tab goes round"),
        ("u", "undo your last decision; it is kept as an entry of its own"),
        ("s", "sign off; with harmful queries open it asks for the reason"),
        ("d", "dark or light"),
        ("?", "this help"),
        ("ctrl+q", "leave; everything decided is on disk"),
    )),
    ("Queue", (
        ("1 to 9", "take that answer; arrows and Enter, or a click, do too"),
        ("o", "another value: a distance in any form, or a thing found by part of its name"),
        ("x", "take the row out"),
        ("l", "leave it for later: it is asked again after the others"),
        ("g", "go to its row in the table"),
        ("w", "go to its words in the narration"),
        ("y", "keep a word that was answered twice the same way in your lexicon"),
    )),
    ("Table", (
        ("Enter, e", "open the row and change it"),
        ("x", "take the row out; once more brings it back"),
        ("r", "move it to another run"),
        ("p", "split it: a second row on the same words"),
        ("m", "merge another row into it"),
        ("f  o  /", "which rows, in which order, with which words"),
        ("w", "go to its words"),
    )),
    ("Narration", (
        ("arrows", "move from word to word, line to line; the mouse does too"),
        ("j  k", "to the next stretch that led to nothing, and back"),
        ("Space", "begin to mark words; dragging the mouse marks too"),
        ("a", "add a row on the marked words"),
        ("Enter", "go to the row that rests on the words"),
    )),
)  # fmt: skip


class Tab(Static):
    """The name of a view; a click goes there."""

    class Wanted(Message):
        def __init__(self, view: str) -> None:
            super().__init__()
            self.view = view

    def __init__(self, view: str) -> None:
        super().__init__(id=f"tab-{view}", classes="tab")
        self._view = view

    def on_click(self, event: Click) -> None:
        self.post_message(self.Wanted(self._view))


class ReviewScreen(App[None]):
    """One reviewer at one job."""

    TITLE = "rodnote review"
    CSS = CSS
    ENABLE_COMMAND_PALETTE = False
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("q", "view('queue')", "queue"),
        Binding("t", "view('table')", "table"),
        Binding("n", "view('narration')", "narration"),
        Binding("tab", "next_view(1)", "next view", priority=False),
        Binding("shift+tab", "next_view(-1)", show=False),
        Binding("u", "undo", "undo"),
        Binding("s", "sign", "sign off"),
        Binding("y", "teach", "keep the word"),
        Binding("d", "theme", "dark or light"),
        Binding("question_mark", "help", "help"),
        Binding("ctrl+q", "quit", "leave"),
    ]

    def __init__(self, session: Session, *, theme: str = "auto", taught: Path | None = None) -> None:
        super().__init__()
        self.session, self.taught = session, taught
        self._theme_wanted = theme
        self._lessons_told: set[str] = set()

    @cached_property
    def grammar(self) -> MeasureGrammar:
        return measure_grammar(self.session.lexicon)

    def compose(self) -> ComposeResult:
        yield Static(id="head")
        with Horizontal(id="tabs"):
            for view, _, _ in VIEWS:
                yield Tab(view)
        with ContentSwitcher(id="views", initial="queue"):
            yield _with_id(QueueView(), "queue")
            yield _with_id(TableView(), "table")
            yield _with_id(NarrationView(), "narration")
        yield Static(id="said")
        yield Static(id="keys")

    def on_mount(self) -> None:
        self.register_theme(DARK)
        self.register_theme(LIGHT)
        self.theme = theme_name(self._theme_wanted)
        self.show_all()
        self._view().take_focus()
        if self.session.reports:
            self.refuse(self.session.reports[0])

    def on_resize(self) -> None:
        self.call_after_refresh(self.show_keys)

    # ---- what the views ask for -------------------------------------------------------------------------------------

    def take(self, deed: Deed) -> bool:
        """Take a decision; what is shown afterwards is on disk. False where it was refused, with the reason shown."""
        try:
            decision = self.session.take(deed)
        except RodnoteError as error:
            self.refuse(str(error))
            return False
        change = next((each for each in self.session.reviewed.changes if each.decision == decision.id), None)
        self.say(f"Kept: {change.what if change else 'done'}")
        self._offer_lesson()
        self.show_all()
        return True

    def check(self, deed: Deed) -> None:
        """Do nothing where the deed could be taken.

        Raises:
            DecisionError: saying what is wrong with it.
        """
        refuse(self.session.reviewed, deed, self.session.lexicon)

    def preview(self, deed: Deed) -> str:
        """What a deed would set, in words.

        Raises:
            DecisionError: where it would be refused.
        """
        self.check(deed)
        return sets_words(
            {name: value for name, value in deed.sets.items() if value is not None and value is not False}
        )

    def say(self, words: str) -> None:
        """A line about what was just done."""
        said = self.query_one("#said", Static)
        said.remove_class("-refused")
        said.update(Content(shown(words)))

    def refuse(self, words: str) -> None:
        """A line about why something was not done."""
        said = self.query_one("#said", Static)
        said.add_class("-refused")
        said.update(Content(f"✗ {shown(words)}"))

    def open_row(self, row: Row) -> None:
        """The row's form; what is kept in it is one decision."""
        if not FIELDS[kind_of(row)]:
            self.refuse("What was taken back is told as it was said; there is nothing to change.")
            return

        def filled(sets: dict[str, Value] | None) -> None:
            if sets is not None:
                self.take(change_deed(row.id, self.session.reviewed, sets))

        def check(sets: dict[str, Value]) -> None:
            self.check(change_deed(row.id, self.session.reviewed, sets))

        title = f"{row.id}: {self.session.speaker.line(row)}"
        self.push_screen(RowForm(title, row, self.session, self.grammar, check=check), filled)

    def go_to_row(self, row: str) -> None:
        self.action_view("table")
        self.query_one(TableView).go_to(row)

    def go_to_words(self, source: int, first_char: int) -> None:
        self.action_view("narration")
        view = self.query_one(NarrationView)
        self.call_after_refresh(lambda: view.spoken.put_cursor(source, first_char))

    # ---- keys of every view -----------------------------------------------------------------------------------------

    def action_view(self, view: str) -> None:
        self.query_one(ContentSwitcher).current = view
        self.show_all()
        self._view().take_focus()

    @on(Tab.Wanted)
    def _tab(self, event: Tab.Wanted) -> None:
        self.action_view(event.view)

    def action_next_view(self, by: int) -> None:
        names = [view for view, _, _ in VIEWS]
        self.action_view(names[(names.index(self._here) + by) % len(names)])

    def action_undo(self) -> None:
        try:
            words = self.session.undo()
        except RodnoteError as error:
            self.refuse(str(error))
            return
        self.say(f"Undone: {words}")
        self.show_all()

    def action_sign(self) -> None:
        session = self.session
        if session.reviewed.sign_off:
            self.refuse(f"It is signed off already, by {session.reviewed.sign_off.by}; nothing has changed since.")
            return

        def signed(because: str | None) -> None:
            if because is None:
                return
            try:
                session.sign(because)
            except RodnoteError as error:
                self.refuse(str(error))
                return
            self.say(f"Signed off by {session.who}. ctrl+q leaves.")
            self.show_all()

        record = session.reviewed.record
        self.push_screen(
            SignDialog(
                session.who,
                len(record.observations),
                len(session.reviewed.changes),
                session.harmful_open(),
                len(record.queries),
            ),
            signed,
        )

    def action_teach(self) -> None:
        lessons = fresh_lessons(self.session.reviewed, self.session.lexicon)
        if not lessons:
            self.refuse("No word was answered twice the same way.")
            return

        def picked(place: int | None) -> None:
            if place is not None:
                self._teach(lessons[place])

        words = [f"“{each.heard}” is “{each.entry.label}” ({each.times} times)" for each in lessons]
        note = f"It goes into {self.taught}, where you can change or delete it." if self.taught else ""
        self.push_screen(PickDialog("Keep which word for later jobs?", words, note), picked)

    def action_theme(self) -> None:
        self.theme = LIGHT.name if self.theme == DARK.name else DARK.name
        self.show_all()

    def action_help(self) -> None:
        self.push_screen(HelpDialog(HELP))

    # ---- what it looks like -----------------------------------------------------------------------------------------

    def show_all(self) -> None:
        """Draw the view that is up, and the lines round it."""
        self._view().show()
        if self.focused is None:  # what had the keys is hidden now, or back again
            self._view().take_focus()
        self.show_head()
        self.show_keys()

    def show_head(self) -> None:
        session = self.session
        signed = session.reviewed.sign_off
        mark = "✓ " if signed else "✗ " if session.reviewed.voided else ""
        self.query_one("#head", Static).update(
            Content.assemble(
                (shown(session.job.folder.resolve().name), "bold"),
                f"   {shown(session.who)}   {session.taken_here} kept   ",
                (f"{mark}{shown(session.status())}", "bold" if signed or session.reviewed.voided else ""),
            )
        )
        counts = {"queue": f" {len(session.queue())}", "table": f" {len(session.reviewed.record.observations)}"}
        for view, key, name in VIEWS:
            tab = self.query_one(f"#tab-{view}", Tab)
            tab.set_class(view == self._here, "-here")
            tab.update(Content(f"{key} {name}{counts.get(view, '')}"))

    def show_keys(self) -> None:
        keys = [*self._view().keys(), ("?", "help")]
        parts = [Content.assemble((key, "bold $primary"), f" {words}") for key, words in keys]
        self.query_one("#keys", Static).update(in_lines(parts, self.size.width - 2))

    @property
    def _here(self) -> str:
        return self.query_one(ContentSwitcher).current or "queue"

    def _view(self) -> QueueView | TableView | NarrationView:
        return self.query_one(f"#{self._here}")  # type: ignore[return-value]

    def _offer_lesson(self) -> None:
        for lesson in fresh_lessons(self.session.reviewed, self.session.lexicon):
            if lesson.heard not in self._lessons_told:
                self._lessons_told.add(lesson.heard)
                self.say(
                    f"“{lesson.heard}” was “{lesson.entry.label}” {lesson.times} times: y keeps it for later jobs."
                )

    def _teach(self, lesson: Lesson) -> None:
        if self.taught is None:
            command = f"rodnote lexicon add {lesson.heard} --as {lesson.entry.kind}/{lesson.entry.id} --to my-words"
            self.say(f"No folder of your own was given. Type later: {command}")
            return
        why = f'"{lesson.heard}" was answered as "{lesson.entry.label}" {lesson.times} times'
        try:
            path = teach(self.taught, lesson.heard, lesson.entry, why=why)
            self.session.lexicon = load_lexicon(self.taught)
        except RodnoteError as error:
            self.refuse(str(error))
            return
        self.say(f"“{lesson.heard}” is in {path} now; delete it there to undo.")


def _with_id(view: "QueueView | TableView | NarrationView", id: str) -> "QueueView | TableView | NarrationView":
    view.id = id
    return view
