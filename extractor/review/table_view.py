"""The table: all runs and rows, sorted and filtered; any row opened, changed, taken out, split, merged, moved."""

from typing import TYPE_CHECKING, ClassVar, cast

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.events import Key, Resize
from textual.widgets import DataTable, Input, Static

from extractor.job.answers import change_deed, merge_deed, reject_deed, split_deed
from extractor.job.decisions import Value
from extractor.job.naming import Row, kind_of
from extractor.record import Run
from extractor.review.dialogs import PickDialog
from extractor.review.row_form import RowForm
from extractor.review.row_list import ORDERS, SHOWS, Listed, listed_rows
from extractor.review.shown import shown

if TYPE_CHECKING:
    from extractor.review.screen import ReviewScreen

CRAMPED = 74  # below this every column gives way
WIDE = 116  # from here on the words and their time have room


class TableView(Vertical):
    """Rows under their runs. What is done to one is a decision like an answer."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("e", "edit", "change"),
        Binding("x", "reject", "take out or bring back"),
        Binding("r", "move", "to another run"),
        Binding("p", "split", "split in two"),
        Binding("m", "merge", "merge"),
        Binding("w", "words", "its words"),
        Binding("f", "show", "which rows"),
        Binding("o", "order", "order"),
        Binding("slash", "filter", "filter"),
    ]

    def __init__(self) -> None:
        super().__init__()
        self._show, self._order, self._wanted = 0, 0, ""
        self._listed: tuple[Listed, ...] = ()

    def compose(self) -> ComposeResult:
        yield Static(id="how")
        yield Input(id="filter", placeholder="words that a row must have; Enter keeps them, Esc drops them")
        yield DataTable(id="rows", cursor_type="row", zebra_stripes=False)

    @property
    def screen_of(self) -> "ReviewScreen":
        return cast("ReviewScreen", self.app)

    @property
    def table(self) -> "DataTable[Text]":
        return cast("DataTable[Text]", self.query_one("#rows", DataTable))

    @property
    def here(self) -> Row | None:
        """The row under the cursor."""
        place = self.table.cursor_row
        return self._listed[place].row if 0 <= place < len(self._listed) else None

    def keys(self) -> list[tuple[str, str]]:
        return [
            ("Enter", "change"), ("x", "take out"), ("r", "other run"), ("p", "split"), ("m", "merge"),
            ("w", "its words"), ("f", "which"), ("o", "order"), ("/", "filter"), ("u", "undo"),
        ]  # fmt: skip

    def show(self) -> None:
        """Draw the rows as they are now; the cursor stays on its row."""
        here = self.here.id if self.here else None
        show, order = SHOWS[self._show], ORDERS[self._order]
        self._listed = listed_rows(self.screen_of.session, show, order, self._wanted)
        count = sum(not each.heading for each in self._listed)
        rows = f"{count} {'row' if count == 1 else 'rows'}: {show}, {order}"
        words = f"  with “{shown(self._wanted)}”" if self._wanted else ""
        self.query_one("#how", Static).update(Content(f"{rows}{words}     ? asked  * changed  + made  x taken out"))
        table = self.table
        table.clear(columns=True)
        for name, width in self._columns():
            table.add_column(Text(name), width=width)
        for each in self._listed:
            table.add_row(*self._cells(each), key=each.row.id)
        if here is not None:
            self.put_cursor(here)

    def put_cursor(self, row: str) -> bool:
        """Move the cursor to the row with this id; False where it is not among those shown."""
        for place, each in enumerate(self._listed):
            if each.row.id == row:
                self.table.move_cursor(row=place, animate=False)
                return True
        return False

    def go_to(self, row: str) -> None:
        """Show the row, whatever was filtered."""
        if not self.put_cursor(row):
            gone = row in {each.id for each in self.screen_of.session.reviewed.rejected}
            self._show, self._wanted = SHOWS.index("taken out") if gone else 0, ""
            self.show()
            self.put_cursor(row)

    def take_focus(self) -> None:
        self.table.focus()

    def on_resize(self, event: Resize) -> None:
        self.call_after_refresh(self.show)

    # ---- what the keys do -------------------------------------------------------------------------------------------

    @on(DataTable.RowSelected)
    def _opened(self, event: "DataTable.RowSelected") -> None:
        event.stop()
        self.action_edit()

    def action_edit(self) -> None:
        if row := self.here:
            self.screen_of.open_row(row)

    def action_reject(self) -> None:
        row, screen = self.here, self.screen_of
        if row is None:
            return
        if row.id in {each.id for each in screen.session.reviewed.rejected}:
            screen.take(change_deed(row.id, screen.session.reviewed, {}))
        else:
            screen.take(reject_deed(row.id, screen.session.reviewed))

    def action_move(self) -> None:
        row, screen = self.here, self.screen_of
        if row is None or not hasattr(row, "run"):
            screen.refuse("Only a row that lies in a run can go to another one.")
            return
        runs = [run for run in screen.session.reviewed.record.runs if run.id != row.run]
        if not runs:
            screen.refuse("There is no other run.")
            return

        def picked(place: int | None) -> None:
            if place is not None and row is not None:
                screen.take(change_deed(row.id, screen.session.reviewed, {"run": runs[place].id}))

        speaker = screen.session.speaker
        screen.push_screen(
            PickDialog(f"Move to which run?  {speaker.line(row)}", [speaker.run(run) for run in runs]), picked
        )

    def action_split(self) -> None:
        row, screen = self.here, self.screen_of
        if row is None or isinstance(row, Run):
            screen.refuse("Only a row can be split.")
            return

        def filled(sets: dict[str, Value] | None) -> None:
            if sets is not None and row is not None:
                screen.take(split_deed(row.id, screen.session.reviewed, sets))

        def check(sets: dict[str, Value]) -> None:
            screen.check(split_deed(row.id, screen.session.reviewed, sets))

        title = "The second row, on the same words"
        screen.push_screen(RowForm(title, row, screen.session, screen.grammar, check=check, may_be_same=True), filled)

    def action_merge(self) -> None:
        row, screen = self.here, self.screen_of
        if row is None or isinstance(row, Run):
            screen.refuse("Only rows can be merged.")
            return
        session = screen.session
        others = [
            other
            for other in session.rows.values()
            if other.id != row.id
            and kind_of(other) == kind_of(row)
            and getattr(other, "run", None) == getattr(row, "run", None)
        ]
        others.sort(key=lambda other: getattr(other, "condition", None) != getattr(row, "condition", None))
        if not others:
            screen.refuse("There is no other row of this kind in the same place.")
            return

        def picked(place: int | None) -> None:
            if place is not None and row is not None:
                screen.take(merge_deed(row.id, others[place].id, session.reviewed))

        speaker = session.speaker
        screen.push_screen(
            PickDialog(
                f"Which row goes into this one?  {speaker.line(row)}",
                [f"{other.id} {speaker.line(other)}" for other in others],
                "It keeps what it says and takes on what it does not say. A number or Enter takes one, Esc goes back.",
            ),
            picked,
        )

    def action_words(self) -> None:
        if (row := self.here) and row.evidence:
            self.screen_of.go_to_words(row.evidence[0].source, row.evidence[0].first_char)

    def action_show(self) -> None:
        self._show = (self._show + 1) % len(SHOWS)
        self.show()

    def action_order(self) -> None:
        self._order = (self._order + 1) % len(ORDERS)
        self.show()

    def action_filter(self) -> None:
        line = self.query_one("#filter", Input)
        line.add_class("-open")
        line.value = self._wanted
        line.focus()

    @on(Input.Changed, "#filter")
    def _filtering(self, event: Input.Changed) -> None:
        event.stop()
        self._wanted = " ".join(event.value.split())
        self.show()

    @on(Input.Submitted, "#filter")
    def _filtered(self, event: Input.Submitted) -> None:
        event.stop()
        event.input.remove_class("-open")
        self.take_focus()

    def on_key(self, event: Key) -> None:
        line = self.query_one("#filter", Input)
        if event.key == "escape" and (line.has_focus or self._wanted):
            event.stop()
            line.remove_class("-open")
            self._wanted = ""
            self.show()
            self.take_focus()

    # ---- what it looks like -----------------------------------------------------------------------------------------

    def _columns(self) -> list[tuple[str, int | None]]:
        """Names and widths: fixed ones, so that every row keeps its place when another changes."""
        width = self.size.width or 80
        feet = self.screen_of.session.speaker.feet
        fixed = [("", 2), ("row", 8), ("at", 22 if feet else 13)]
        tail = [("how sure", 8), ("left", 14)]
        if width < WIDE:
            tail = [("sure", 6), ("left", 8)]
        if width < CRAMPED:
            fixed, tail = [("", 2), ("row", 5), ("at", 10)], [("sure", 5), ("left", 7)]
        used = sum(columns + 2 for _, columns in (*fixed, *tail))
        rest = max(12, width - used - 2 - 2)
        if width < WIDE:
            return [*fixed, ("what", rest), *tail]
        what = min(40, rest // 2)
        return [*fixed, ("what", what), *tail, ("time", 8), ("words", max(12, rest - what - 8 - 4))]

    def _cells(self, each: Listed) -> list[Text]:
        widths = dict(self._columns())
        wide = "words" in widths
        style = "bold" if each.heading else "strike" if "x" in each.marks else ""
        told = each.told
        if each.heading:
            what = told.what.partition(" ")[2]
            parts = [each.marks, each.row.id, told.at, what, "", told.left]
        else:
            where = "" if _in_run(each.row) else f"{told.where}: " if told.where else ""
            kind = f"{told.kind}: " if told.kind != "seen" else ""
            sure = {"certain": "", "in doubt": "doubt" if not wide else "in doubt"}.get(told.sure, told.sure)
            left = {"partly cleared": "partly" if not wide else "partly cleared"}.get(told.left, told.left)
            no_distance = "–" if not told.at and _in_run(each.row) and told.kind == "seen" else told.at
            parts = [each.marks, f" {each.row.id}", no_distance, f"{where}{kind}{told.what}", sure, left]
        if wide:
            parts += [each.time, each.quote]
        return [
            Text(_cut(shown(part), width or 12), style=f"{style} bold" if place == 0 else style, no_wrap=True)
            for place, (part, width) in enumerate(zip(parts, widths.values(), strict=True))
        ]


def _in_run(row: Row) -> bool:
    return getattr(row, "run", None) is not None


def _cut(text: str, width: int) -> str:
    cut = Text(text)
    cut.truncate(width, overflow="ellipsis")
    return cut.plain
