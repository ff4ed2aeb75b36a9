"""The narration, word for word, and under the words what became of them; words are marked here for a missing row."""

from typing import TYPE_CHECKING, ClassVar, cast

from rich.segment import Segment
from rich.style import Style
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.color import Color
from textual.containers import Vertical
from textual.content import Content
from textual.events import MouseDown, MouseMove, MouseUp, Resize
from textual.geometry import Region, Size
from textual.scroll_view import ScrollView
from textual.strip import Strip
from textual.widgets import Static

from extractor.job.answers import add_deed
from extractor.job.decisions import Value
from extractor.record import Observation
from extractor.review.gloss import LEGEND, MARKS, Became, Phrase, phrase_of_words, phrases
from extractor.review.look import in_lines
from extractor.review.marking import name_words, seems_to_say
from extractor.review.row_form import RowForm
from extractor.review.row_words import clock
from extractor.review.spoken_lines import TIME, Layout, gloss_line, lay_out

if TYPE_CHECKING:
    from extractor.review.screen import ReviewScreen

BESIDE = 3  # columns for the bar that scrolls, whether it is there yet or not
WIDEST = 112  # a longer line is hard to follow across

# colour says again what the gloss's mark says; weight and underline do so where there is no colour
LOOKS: dict[Became, tuple[str, bool, bool]] = {  # theme colour, bold, underline
    "row": ("success", True, False),
    "asked": ("warning", True, True),
    "run": ("primary", False, False),
    "work": ("primary", True, False),
    "measured": ("secondary", False, False),
    "said": ("secondary", True, False),
    "corrected": ("error", False, False),
    "mended": ("accent", False, True),
    "rejected": ("error", False, False),
    "unread": ("foreground", False, False),
}


class Spoken(ScrollView, can_focus=True):
    """All narrations of the job. Each line of words takes two rows of the screen: words, gloss."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("right", "step(1)", show=False),
        Binding("left", "step(-1)", show=False),
        Binding("down", "line(1)", show=False),
        Binding("up", "line(-1)", show=False),
        Binding("pagedown", "page(1)", show=False),
        Binding("pageup", "page(-1)", show=False),
        Binding("home,ctrl+home", "to_end(-1)", show=False),
        Binding("end,ctrl+end", "to_end(1)", show=False),
        Binding("j", "unread(1)", "next that led to nothing"),
        Binding("k", "unread(-1)", "the one before"),
        Binding("space", "mark", "mark"),
        Binding("escape", "unmark", "unmark"),
        Binding("a", "add", "add a row"),
        Binding("enter,g", "row", "go to row"),
    ]

    def __init__(self) -> None:
        super().__init__(id="spoken")
        self.cursor = 0
        self.marked_from: int | None = None
        self._layout_now = Layout((), (), ())
        self._phrases: tuple[Phrase | None, ...] = ()
        self._rows: list[tuple[int, bool]] = []  # row of the screen -> (line, is it the gloss)
        self._starts: list[int] = []  # number of the first word of each narration

    @property
    def screen_of(self) -> "ReviewScreen":
        return cast("ReviewScreen", self.app)

    def show(self) -> None:
        """Lay the words out for the present width and gloss them as the record stands."""
        session = self.screen_of.session
        sources = session.reviewed.record.sources
        narrations = [session.narration(number) for number in range(len(sources))]
        width = max(30, min(WIDEST, self.outer_size.width - BESIDE))
        self._layout_now = lay_out([(each.source, each.words) for each in narrations], width)
        found: list[Phrase | None] = []
        self._starts = []
        for number, narration in enumerate(narrations):
            self._starts.append(len(found))
            of_one = phrases(session.reviewed, number, session.lexicon, narration.words)
            found += phrase_of_words(of_one, narration.words)
        self._phrases = tuple(found)
        self._rows = []
        for number, line in enumerate(self._layout_now.lines):
            self._rows.append((number, False))
            if not line.heading:
                self._rows.append((number, True))
        self.virtual_size = Size(width, len(self._rows))
        self.cursor = min(self.cursor, max(0, len(self._phrases) - 1))
        self.refresh()

    def put_cursor(self, source: int, first_char: int) -> None:
        """Put the cursor on the word at this character of a narration."""
        words = self.screen_of.session.narration(source).words
        place = next((number for number, word in enumerate(words) if word.last_char > first_char), 0)
        self._move(self._starts[source] + place if source < len(self._starts) else 0)

    def marked(self) -> tuple[int, int] | None:
        """First and last word (half-open) of what is marked."""
        if self.marked_from is None:
            return None
        return min(self.marked_from, self.cursor), max(self.marked_from, self.cursor) + 1

    def here(self) -> Phrase | None:
        return self._phrases[self.cursor] if self.cursor < len(self._phrases) else None

    # ---- what the keys do -------------------------------------------------------------------------------------------

    def action_step(self, by: int) -> None:
        self._move(self.cursor + by)

    def action_line(self, by: int) -> None:
        places, lines = self._layout_now.places, self._layout_now.lines
        if not places:
            return
        here = places[self.cursor]
        target = here.line + by
        while 0 <= target < len(lines) and lines[target].heading:
            target += by
        if 0 <= target < len(lines):
            on_it = range(lines[target].first, lines[target].last)
            self._move(min(on_it, key=lambda word: abs(places[word].column - here.column)))

    def action_page(self, by: int) -> None:
        for _ in range(max(1, self.size.height // 2 - 1)):
            self.action_line(by)

    def action_to_end(self, by: int) -> None:
        self._move(0 if by < 0 else len(self._phrases) - 1)

    def action_unread(self, by: int) -> None:
        """To the next stretch that led to nothing; round again at the end."""
        starts = [
            number
            for number, phrase in enumerate(self._phrases)
            if phrase and phrase.became == "unread" and (number == 0 or self._phrases[number - 1] is not phrase)
        ]
        if not starts:
            self.screen_of.say("Every phrase led to something.")
            return
        ahead = [place for place in starts if (place > self.cursor if by > 0 else place < self.cursor)]
        self._move((ahead or starts)[0 if by > 0 else -1])

    def action_mark(self) -> None:
        self.marked_from = self.cursor
        self.screen_of.say("Marking from here: move, then a adds a row on these words. Esc unmarks.")
        self.refresh()

    def action_unmark(self) -> None:
        self.marked_from = None
        self.refresh()

    def action_row(self) -> None:
        phrase = self.here()
        if phrase and phrase.row:
            self.screen_of.go_to_row(phrase.row)
        else:
            self.screen_of.say("No row rests on these words. Space marks them, a adds a row.")

    def action_add(self) -> None:
        span = self.marked() or self._phrase_here()
        if span is None:
            return
        source = max(number for number, start in enumerate(self._starts) if start <= span[0])
        session, screen = self.screen_of.session, self.screen_of
        words = session.narration(source).words
        offset = self._starts[source]
        last = min(span[1] - offset, len(words))
        first_char, last_char = words[span[0] - offset].first_char, words[last - 1].last_char
        name = name_words(session, source, first_char, last_char)
        given = seems_to_say(session, source, first_char, last_char)
        row = Observation(id="new", quote=name.quote)

        def filled(sets: dict[str, Value] | None) -> None:
            if sets is not None and screen.take(add_deed(name, session.reviewed, sets)):
                self.marked_from = None

        def check(sets: dict[str, Value]) -> None:
            screen.check(add_deed(name, session.reviewed, sets))

        title = "A row on these words"
        screen.push_screen(RowForm(title, row, session, screen.grammar, check=check, given=given), filled)

    def _phrase_here(self) -> tuple[int, int] | None:
        """The whole stretch under the cursor, where nothing is marked."""
        if not self._phrases:
            return None
        phrase, first, last = self.here(), self.cursor, self.cursor + 1
        while first and self._phrases[first - 1] is phrase and phrase is not None:
            first -= 1
        while last < len(self._phrases) and self._phrases[last] is phrase and phrase is not None:
            last += 1
        return first, last

    # ---- the mouse --------------------------------------------------------------------------------------------------

    def on_mouse_down(self, event: MouseDown) -> None:
        if (word := self._word_at(event.x, event.y)) is not None:
            self.marked_from = None
            self._move(word)
            self.capture_mouse()

    def on_mouse_move(self, event: MouseMove) -> None:
        if event.button and self.app.mouse_captured is self and (word := self._word_at(event.x, event.y)) is not None:
            if word != self.cursor and self.marked_from is None:
                self.marked_from = self.cursor
            self._move(word)

    def on_mouse_up(self, event: MouseUp) -> None:
        self.release_mouse()

    def _word_at(self, x: int, y: int) -> int | None:
        row, column = y + self.scroll_offset.y, x + self.scroll_offset.x
        if not 0 <= row < len(self._rows):
            return None
        line = self._layout_now.lines[self._rows[row][0]]
        on_it = [word for word in range(line.first, line.last) if self._layout_now.places[word].column <= column]
        return on_it[-1] if on_it else (line.first if line.last > line.first else None)

    # ---- what it looks like -----------------------------------------------------------------------------------------

    def _move(self, word: int) -> None:
        self.cursor = max(0, min(word, len(self._phrases) - 1))
        if self._layout_now.places:
            line = self._layout_now.places[self.cursor].line
            row = next((at for at, (number, _) in enumerate(self._rows) if number == line), 0)
            self.scroll_to_region(Region(0, max(0, row - 1), 1, 4), animate=False, force=True)
        self.refresh()
        self.screen_of.show_keys()

    def render_line(self, y: int) -> Strip:
        row = y + self.scroll_offset.y
        width = self.size.width
        base = self.rich_style
        if not 0 <= row < len(self._rows):
            return Strip.blank(width, base)
        number, is_gloss = self._rows[row]
        line = self._layout_now.lines[number]
        if line.heading:
            return Strip([Segment(f" {line.heading} ", base + Style(bold=True, underline=True))]).extend_cell_length(
                width, base
            )
        segments = self._gloss(number, base) if is_gloss else self._words(number, base)
        return Strip(segments).extend_cell_length(width, base).crop(0, width)

    def _words(self, number: int, base: Style) -> list[Segment]:
        line, layout = self._layout_now.lines[number], self._layout_now
        marked = self.marked() or (-1, -1)
        segments = [Segment(f"{clock(line.start_s):>{TIME - 1}} ", base + self._style("secondary"))]
        for word in range(line.first, line.last):
            phrase = self._phrases[word]
            style = base + self._look(phrase)
            if word == self.cursor and self.has_focus:
                style += Style(reverse=True, bold=True)
            elif marked[0] <= word < marked[1]:
                style += Style(reverse=True)
            segments.append(Segment(layout.texts[word], style))
            between = marked[0] <= word < marked[1] - 1
            segments.append(Segment(" ", base + Style(reverse=True) if between else base))
        return segments

    def _gloss(self, number: int, base: Style) -> list[Segment]:
        line = self._layout_now.lines[number]
        segments: list[Segment] = []
        column = 0
        for gloss in gloss_line(self._layout_now, line, self._phrases):
            if gloss.column > column:
                segments.append(Segment(" " * (gloss.column - column), base))
            style = self._style(LOOKS[gloss.phrase.became][0]) + Style(bold=gloss.phrase.became == "asked")
            segments.append(Segment(gloss.text, base + style))
            column = gloss.column + Segment(gloss.text).cell_length
        return segments

    def _look(self, phrase: Phrase | None) -> Style:
        if phrase is None:
            return Style()
        _, bold, underline = LOOKS[phrase.became]
        return Style(bold=bold, underline=underline, strike=phrase.became in ("corrected", "rejected"))

    def _style(self, name: str) -> Style:
        """A colour of the theme."""
        value = self.app.theme_variables.get(name, "")
        try:
            return Style(color=Color.parse(value).rich_color)
        except Exception:  # the theme of a terminal without colours of its own
            return Style()


class NarrationView(Vertical):
    """The narration with its legend."""

    def compose(self) -> ComposeResult:
        yield Static(id="legend")
        yield Spoken()

    @property
    def spoken(self) -> Spoken:
        return self.query_one(Spoken)

    def keys(self) -> list[tuple[str, str]]:
        spoken = self.spoken
        keys = [("arrows", "move"), ("j k", "next, last that led to nothing"), ("Space", "mark")]
        keys.append(("a", "add a row on the marked words" if spoken.marked_from is not None else "add a row"))
        phrase = spoken.here()
        if phrase and phrase.row:
            keys.append(("Enter", f"go to {phrase.row}"))
        return [*keys, ("u", "undo")]

    def show(self) -> None:
        marks = [Content(f"{2 * MARKS[became]} {words}") for became, words in LEGEND.items()]
        self.query_one("#legend", Static).update(in_lines(marks, self.size.width - 2))
        self.spoken.show()

    def take_focus(self) -> None:
        self.spoken.focus()

    def on_resize(self, event: Resize) -> None:
        self.call_after_refresh(self.show)
