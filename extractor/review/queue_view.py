"""The queue: one query at a time, most harmful first, with the words it rests on and its answers numbered."""

from typing import TYPE_CHECKING, ClassVar, cast

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.content import Content
from textual.events import Resize
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from extractor.job.answers import reject_deed, subject_of
from extractor.job.harm import harm_of
from extractor.record import Query
from extractor.review.context_lines import WORDS_AFTER, WORDS_BEFORE, surroundings
from extractor.review.dialogs import LexiconDialog, TypedDialog
from extractor.review.lexicon_search import Found
from extractor.review.other_value import found_deed, typed_deed, wanted_of
from extractor.review.row_words import clock
from extractor.review.shown import shown

if TYPE_CHECKING:
    from extractor.review.screen import ReviewScreen

LIST_WIDTH = 40
WIDE = 116  # from here on the list of all queries has room beside the card
TALL = 32  # from here on more of the words before and after has room
WIDEST = 112  # a longer line is hard to follow across
TIMES = 8  # columns of the time before a line


class QueueView(Horizontal):
    """What is asked, and one key for each answer."""

    BINDINGS: ClassVar[list[BindingType]] = [
        *(Binding(str(number), f"answer({number})", show=False) for number in range(1, 10)),
        Binding("o", "other", "other value"),
        Binding("x", "reject", "take row out"),
        Binding("l", "later", "later"),
        Binding("g", "row", "go to row"),
        Binding("w", "words", "its words"),
        Binding("space", "more", "more of the words"),
    ]

    def compose(self) -> ComposeResult:
        yield OptionList(id="list")
        with Vertical(id="card"):
            with VerticalScroll(id="asked", can_focus=False):
                yield Static(id="question")
            yield OptionList(id="answers")

    @property
    def screen_of(self) -> "ReviewScreen":
        return cast("ReviewScreen", self.app)

    @property
    def query_here(self) -> Query | None:
        queue = self.screen_of.session.queue()
        return queue[0] if queue else None

    def keys(self) -> list[tuple[str, str]]:
        """The keys that do something here now."""
        query, session = self.query_here, self.screen_of.session
        if query is None:
            return [("s", "sign off"), ("u", "undo"), ("t", "table"), ("n", "narration")]
        keys = []
        count = len(session.choices(query))
        if count:
            keys.append(("1" if count == 1 else f"1–{min(count, 9)}", "take that answer"))
        if wanted_of(query, session.reviewed):
            keys.append(("o", "other value"))
        if subject_of(query, session.reviewed):
            keys += [("x", "take row out"), ("g", "go to row")]
        if self.query_one("#asked", VerticalScroll).max_scroll_y > 0:
            keys.append(("Space", "more"))
        return [*keys, ("l", "later"), ("w", "its words"), ("u", "undo"), ("s", "sign off")]

    def show(self) -> None:
        """Draw what is asked now."""
        query = self.query_here
        question = self.query_one("#question", Static)
        answers = self.query_one("#answers", OptionList)
        answers.clear_options()
        if query is None:
            question.update(self._nothing_open())
            answers.display = False
        else:
            question.update(self._card(query))
            answers.display = True
            answers.add_options(
                Option(Content.assemble((f" {number} ", "bold"), " ", shown(choice.label)), id=str(number))
                for number, choice in enumerate(self.screen_of.session.choices(query)[:9], 1)
            )
            answers.highlighted = None
            room = self.query_one("#card").size.height
            self.query_one("#asked").styles.max_height = max(3, room - min(answers.option_count, 9) - 1)
        self.query_one("#asked").scroll_home(animate=False)
        self._list(query)
        self.call_after_refresh(self.screen_of.show_keys)  # whether there is more to scroll to is known only then

    def take_focus(self) -> None:
        self.query_one("#answers", OptionList).focus()

    def on_resize(self, event: Resize) -> None:
        self.set_class(event.size.width >= WIDE, "-wide")
        self.call_after_refresh(self.show)

    # ---- what the keys do -------------------------------------------------------------------------------------------

    def action_answer(self, number: int) -> None:
        query = self.query_here
        if query is None:
            return
        choices = self.screen_of.session.choices(query)
        if number <= len(choices):
            self.screen_of.take(choices[number - 1].deed)
        else:
            self.screen_of.refuse(f"There is no answer {number} here.")

    @on(OptionList.OptionSelected, "#answers")
    def _chosen(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        self.action_answer(int(event.option.id or 0))

    @on(OptionList.OptionSelected, "#list")
    def _asked_for(self, event: OptionList.OptionSelected) -> None:
        """A query picked from the list is asked now: all before it are put off."""
        event.stop()
        session = self.screen_of.session
        queue = session.queue()
        for query in queue[: event.option_index]:
            session.later(query)
        self.show()
        self.take_focus()
        self.screen_of.show_keys()

    def action_other(self) -> None:
        query, screen = self.query_here, self.screen_of
        wanted = wanted_of(query, screen.session.reviewed) if query else None
        if query is None or wanted is None:
            screen.refuse("This query has no other value.")
            return
        about = query.question or query.about
        if wanted.kinds:

            def found(entry: Found | None) -> None:
                if entry is not None and query is not None:
                    screen.take(found_deed(query, entry, screen.session.reviewed))

            screen.push_screen(LexiconDialog(about, screen.session.lexicon, wanted.kinds), found)
            return

        def read(text: str) -> str:
            """The typed value as the record would say it; raises what is wrong with it."""
            assert query is not None
            return screen.preview(typed_deed(query, text, screen.session.reviewed, screen.grammar))

        def typed(text: str | None) -> None:
            if text is not None and query is not None:
                screen.take(typed_deed(query, text, screen.session.reviewed, screen.grammar))

        screen.push_screen(TypedDialog(about, wanted.hint, read), typed)

    def action_reject(self) -> None:
        query, session = self.query_here, self.screen_of.session
        row = subject_of(query, session.reviewed) if query else None
        if row is None:
            self.screen_of.refuse("There is no row to take out.")
        else:
            self.screen_of.take(reject_deed(row, session.reviewed))

    def action_later(self) -> None:
        if query := self.query_here:
            self.screen_of.session.later(query)
            self.screen_of.say("Left for later: it is asked again at the end.")
            self.screen_of.show_all()

    def action_row(self) -> None:
        query, session = self.query_here, self.screen_of.session
        if query and (row := subject_of(query, session.reviewed)):
            self.screen_of.go_to_row(row)

    def action_words(self) -> None:
        query = self.query_here
        if query and query.evidence:
            self.screen_of.go_to_words(query.evidence[0].source, query.evidence[0].first_char)

    def action_more(self) -> None:
        """Down through words that are too many for the screen, then up again."""
        asked = self.query_one("#asked", VerticalScroll)
        if asked.scroll_y >= asked.max_scroll_y:
            asked.scroll_home(animate=False)
        else:
            asked.scroll_page_down(animate=False)

    # ---- what it looks like -----------------------------------------------------------------------------------------

    def _card(self, query: Query) -> Content:
        screen = self.screen_of
        session = screen.session
        queue = session.queue()
        harm = harm_of(query, session.reviewed.record)
        lines: list[Content] = [
            Content.assemble(
                (
                    f" {'▲ harmful' if harm.harmful else '△ lesser'} ",
                    "bold reverse $warning" if harm.harmful else "reverse",
                ),
                f" {shown(harm.why)}",
                (" · left for later before" if session.is_later(query) else "", "italic"),
                (f"  ({len(queue)} open)", "$secondary"),
            ),
            Content.assemble((shown(query.question or query.about), "bold")),
            Content(""),
            *self._said_around(query),
            Content(""),
        ]
        row = session.rows.get(subject_of(query, session.reviewed) or "")
        if row is not None:
            lines.append(
                Content.assemble(("record  ", "$secondary"), (f"{row.id}  ", "bold"), shown(session.speaker.line(row)))
            )
        else:
            lines.append(Content.assemble(("record  ", "$secondary"), "no row of its own"))
        return Content("\n").join(lines)

    def _said_around(self, query: Query) -> list[Content]:
        """The words in question with as many before and after as leave everything in sight."""
        card = self.query_one("#card").size
        room = card.height - min(9, len(query.answers)) - 7  # the other lines of the card
        far = 3 if card.height >= TALL else 1
        lines: list[Content] = []
        for part in (far, 0.5, 0.2, 0.1):
            lines = self._words_around(query, round(part * WORDS_BEFORE), round(part * WORDS_AFTER))
            if len(lines) <= room:
                break
        return lines

    def _words_around(self, query: Query, before: int, after: int) -> list[Content]:
        session = self.screen_of.session
        width = max(30, min(self.query_one("#card").size.width, WIDEST) - TIMES - 3)
        lines: list[Content] = []
        for source in dict.fromkeys(piece.source for piece in query.evidence):
            if len(session.reviewed.record.sources) > 1:
                name = shown(session.reviewed.record.sources[source].name)
                lines.append(Content.assemble((" " * TIMES + name, "$secondary")))
            pieces = [piece for piece in query.evidence if piece.source == source]
            for line in surroundings(session.narration(source).words, pieces, width, before, after):
                marked = (
                    (shown(piece.text), "bold underline $accent" if piece.marked else "") for piece in line.pieces
                )
                lines.append(Content.assemble((f"{clock(line.start_s):>{TIMES - 1}} ", "$secondary"), *marked))
        return lines

    def _nothing_open(self) -> Content:
        session = self.screen_of.session
        signed = session.reviewed.sign_off
        return Content("\n").join(
            [
                Content.assemble((" ✓ no query is open ", "bold reverse $success")),
                Content(""),
                Content(
                    f"{len(session.reviewed.changes)} decisions, {len(session.reviewed.record.observations)} rows seen."
                ),
                Content.assemble(
                    f"Signed off by {shown(signed.by)}. Any change makes it void."
                    if signed
                    else "Press s to sign the record off, t to look through the table, n to read the narration."
                ),
            ]
        )

    def _list(self, here: Query | None) -> None:
        listed = self.query_one("#list", OptionList)
        listed.clear_options()
        session = self.screen_of.session
        for number, query in enumerate(session.queue(), 1):
            harm = harm_of(query, session.reviewed.record)
            mark = "▲" if harm.harmful else "△"
            late = "(later) " if session.is_later(query) else ""
            words = Content.assemble(
                (f"{number:>3} {mark} ", "bold" if query is here else "$secondary"),
                (shown(f"{late}{query.about}"), "bold" if query is here else ""),
            )
            listed.add_option(Option(words.truncate(LIST_WIDTH - 3, ellipsis=True)))
