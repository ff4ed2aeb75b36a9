"""The full screen, driven by keys and mouse, and looked at: what is read here is drawn, not what widgets hold."""

import re
from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import asynccontextmanager
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from textual.color import Color
from textual.events import MouseMove
from textual.pilot import Pilot

from extractor.job.apply import reviewed_record
from extractor.job.decisions import read_log
from extractor.job.folder import Job, create_job, open_job
from extractor.lexicon.load import Lexicon, load_lexicon
from extractor.narration.choose import read_narration
from extractor.review.look import DARK, LIGHT
from extractor.review.screen import ReviewScreen
from extractor.review.session import Session
from tests.review.made_visit import made_job, made_record
from tests.review.seen import seen

ROOT = Path(__file__).parents[2]
NARROW, WIDE = (80, 24), (200, 60)


@cache
def lexicon() -> Lexicon:
    return load_lexicon()


@asynccontextmanager
async def review(
    job: Job, size: tuple[int, int] = NARROW, who: str = "Zoë Ågren", **options: Any
) -> AsyncIterator[tuple[Pilot[None], ReviewScreen]]:
    with Session(job, lexicon(), who) as session:
        app = ReviewScreen(session, **options)
        async with app.run_test(size=size) as pilot:
            await pilot.pause()
            yield pilot, app


@pytest.fixture
def job(tmp_path: Path) -> Job:
    return made_job(tmp_path / "Fährhaus 検査")


def run(scene: Callable[[], Awaitable[None]]) -> None:
    import asyncio

    asyncio.run(scene())  # type: ignore[arg-type]


# ---- what is seen -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("size", [NARROW, WIDE], ids=["80x24", "200x60"])
def test_the_queue_shows_question_words_record_answers_and_keys(job: Job, size: tuple[int, int]) -> None:
    async def scene() -> None:
        async with review(job, size) as (_, app):
            text = seen(app)
            for part in (
                "Fährhaus 検査",
                "Zoë Ågren",
                "not signed off",
                "▲ harmful",
                "two statements that can't both stand",
                "The words deny cracks",
                "«no cracks",
                "1:1",
                "O7  R1, 0 to 8.5 m: no crack; certain",
                "1  what was found stands: drop the denial",
                "2  keep both",
                "1–2 take that answer",
                "x take row out",
                "? help",
            ):
                assert part in text, f"{part!r} is not to be seen in\n{text}"
            assert max(map(len, text.splitlines())) <= size[0]

    run(scene)


@pytest.mark.parametrize("size", [NARROW, WIDE], ids=["80x24", "200x60"])
def test_the_table_shows_runs_and_rows(job: Job, size: tuple[int, int]) -> None:
    async def scene() -> None:
        async with review(job, size) as (pilot, app):
            await pilot.press("t")
            text = seen(app)
            for part in (
                "R1",
                "septic tank, inlet, upstream",
                "O2",
                "3.2 m",
                "displaced joint",
                "O10",
                "advice",
                "cleared",
            ):
                assert part in text, f"{part!r} is not to be seen in\n{text}"
            assert ("sultan" in text) == (size == WIDE), "the words stand where there is room"

    run(scene)


@pytest.mark.parametrize("size", [NARROW, WIDE], ids=["80x24", "200x60"])
def test_the_narration_is_verbatim_with_a_gloss_under_the_words(job: Job, size: tuple[int, int]) -> None:
    async def scene() -> None:
        async with review(job, size) as (pilot, app):
            await pilot.press("n")
            lines = seen(app).splitlines()
            said = next(number for number, line in enumerate(lines) if "morning this is" in line)
            assert lines[said].strip().startswith("0:00 morning this is the ferry house")
            assert ".........." in lines[said + 1]
            glosses = "\n".join(lines)
            for part in (
                "?sludge of 0.4",
                ">R1 sep",
                "=O1 sound",
                "+A1 jetting",
                "~thre",
                "^roots",
                ".. led to nothing",
            ):
                assert part in glosses, f"{part!r} is not to be seen in\n{glosses}"

    run(scene)


def test_every_word_of_the_narration_can_be_scrolled_to(job: Job) -> None:
    async def scene() -> None:
        async with review(job) as (pilot, app):
            await pilot.press("n")
            read = seen(app)
            for _ in range(12):
                await pilot.press("pagedown")
                read += seen(app)
            missing = [word.text for word in app.session.narration(0).words if word.text not in read]
            assert not missing

    run(scene)


def test_a_resize_while_open_lays_everything_out_anew(job: Job) -> None:
    async def scene() -> None:
        async with review(job, WIDE) as (pilot, app):
            for view, part in (("q", "1  what was found stands"), ("t", "displaced"), ("n", "morning this is")):
                await pilot.press(view)
                for size in (NARROW, WIDE, (60, 16), NARROW):
                    await pilot.resize_terminal(*size)
                    await pilot.pause()
                    await pilot.pause()
                    text = seen(app)
                    assert part in text, f"{view} at {size}:\n{text}"
                    assert max(map(len, text.splitlines())) <= size[0]

    run(scene)


def test_no_colour_is_needed(job: Job, monkeypatch: pytest.MonkeyPatch) -> None:
    """https://no-color.org: where NO_COLOR is set nothing may be coloured; marks and words must do."""
    monkeypatch.setenv("NO_COLOR", "1")

    async def scene() -> None:
        async with review(job) as (pilot, app):
            text = seen(app)
            assert "▲ harmful" in text and "«no cracks on the whole line»" in text
            colours = {match.lower() for match in re.findall(r"fill: (#[0-9a-fA-F]{6})", app.export_screenshot())}
            grey = [colour for colour in colours if len({colour[1:3], colour[3:5], colour[5:7]}) == 1]
            own = colours - {"#ff5f57", "#febc2e", "#28c840"}  # the picture's frame
            assert own <= set(grey) | {"#c5c8c6"}, own
            await pilot.press("t")
            assert "?" in seen(app)

    run(scene)


@pytest.mark.parametrize("theme", [DARK, LIGHT], ids=lambda theme: theme.name)
def test_contrast_is_wcag_aa(theme: Any) -> None:
    """WCAG 2.2, 1.4.3: text at least 4.5 to 1 on what is behind it (formula of its glossary, recalled from memory)."""

    def luminance(colour: str) -> float:
        parts = [value / 255 for value in Color.parse(colour).rgb]
        linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    behind = (theme.background, theme.surface, theme.panel)
    before = ("foreground", "primary", "secondary", "accent", "warning", "error", "success")
    for name in before:
        for back in behind:
            high, low = sorted((luminance(getattr(theme, name)), luminance(back)), reverse=True)
            assert (high + 0.05) / (low + 0.05) >= 4.5, (name, back)


@pytest.mark.parametrize(("wanted", "background", "theme"), [
    ("light", "", LIGHT), ("dark", "", DARK), ("auto", "0;15", LIGHT), ("auto", "15;0", DARK), ("auto", "", DARK),
])  # fmt: skip
def test_light_and_dark(job: Job, monkeypatch: pytest.MonkeyPatch, wanted: str, background: str, theme: Any) -> None:
    monkeypatch.setenv("COLORFGBG", background)

    async def scene() -> None:
        async with review(job, theme=wanted) as (pilot, app):
            assert app.theme == theme.name
            await pilot.press("d")
            assert app.theme != theme.name

    run(scene)


def test_hostile_words_and_names_are_shown_as_text(tmp_path: Path) -> None:
    record = made_record()
    query = record.queries[4].model_copy(
        update={"question": "[bold]a\x1b[31mb\u202ec[/] $primary {x}", "about": "[link=x]\x07"}
    )
    hostile = made_job(tmp_path / "job", queries=(query,))

    async def scene() -> None:
        async with review(hostile, WIDE, who="[red]\x1b[31mEve\u202e") as (pilot, app):
            text = seen(app)
            assert "[bold]a·[31mb·c[/] $primary {x}" in text
            assert "[red] [31mEve" in text
            assert "\x1b" not in text and "\u202e" not in text
            await pilot.press("t", "n", "q")

    run(scene)


# ---- the queue ------------------------------------------------------------------------------------------------------


def test_one_key_takes_an_answer_and_it_is_on_disk_before_the_next_question(job: Job) -> None:
    async def scene() -> None:
        async with review(job) as (pilot, app):
            await pilot.press("1")
            assert len(read_log(job.decisions).decisions) == 1
            text = seen(app)
            assert "Is there a displaced joint at 3.2 m?" in text
            assert "Kept: no crack" in text and "1 kept" in text

    run(scene)


def test_a_number_without_an_answer_changes_nothing(job: Job) -> None:
    async def scene() -> None:
        async with review(job) as (pilot, app):
            await pilot.press("7")
            assert "no answer 7" in seen(app)
            assert not read_log(job.decisions).decisions

    run(scene)


def test_arrows_and_enter_take_an_answer_too(job: Job) -> None:
    async def scene() -> None:
        async with review(job) as (pilot, app):
            await pilot.press("down", "down", "enter")
            assert app.session.reviewed.changes[0].what.endswith("left as it is")

    run(scene)


def test_the_mouse_takes_an_answer_and_changes_the_view(job: Job) -> None:
    async def scene() -> None:
        async with review(job) as (pilot, app):
            lines = seen(app).splitlines()
            row = next(number for number, line in enumerate(lines) if "keep both" in line)
            await pilot.click(offset=(8, row))
            assert len(app.session.reviewed.changes) == 1
            await pilot.click("#tab-table")
            assert "displaced joint" in seen(app) and "along the run" in seen(app)

    run(scene)


@pytest.mark.parametrize(("typed", "metres"), [("4.2", 4.2), ("four point two", 4.2), ("14 ft 2", 4.318)])
def test_another_distance_is_typed_in_any_form(job: Job, typed: str, metres: float) -> None:
    async def scene() -> None:
        async with review(job) as (pilot, app):
            await pilot.press("1", "1", "2", "o")
            assert "At what distance is the crack?" in seen(app)
            await pilot.press(*keys_of(typed))
            assert "→ distance 4." in seen(app)
            await pilot.press("enter")
            row: Any = app.session.rows["O3"]
            assert row.from_m == pytest.approx(metres)

    run(scene)


def test_a_distance_past_the_runs_end_is_refused_with_the_reason_while_it_is_typed(job: Job) -> None:
    async def scene() -> None:
        async with review(job) as (pilot, app):
            await pilot.press("1", "1", "2", "o", *keys_of("12"))
            assert "R1 ended at 8.5 m" in seen(app)
            await pilot.press("enter")
            assert "R1 ended at 8.5 m" in seen(app), "the window stays"
            await pilot.press("escape")
            assert len(app.session.reviewed.changes) == 3

    run(scene)


def test_another_thing_is_found_by_part_of_its_name(job: Job) -> None:
    async def scene() -> None:
        async with review(job) as (pilot, app):
            await pilot.press("1", "o", *keys_of("fractu"))
            assert "1  fracture" in seen(app)
            await pilot.press("1")
            row: Any = app.session.rows["O2"]
            assert (row.condition, row.certainty) == ("fracture", "stated")

    run(scene)


def test_later_asks_it_again_after_the_others(job: Job) -> None:
    async def scene() -> None:
        async with review(job) as (pilot, app):
            await pilot.press("l")
            assert "displaced joint at 3.2 m?" in seen(app)
            assert not read_log(job.decisions).decisions
            for _ in range(8):
                await pilot.press("1")
            assert "The words deny cracks" in seen(app) and "left for later before" in seen(app)

    run(scene)


def test_undo_asks_the_question_again(job: Job) -> None:
    async def scene() -> None:
        async with review(job) as (pilot, app):
            await pilot.press("1", "u")
            assert "The words deny cracks" in seen(app) and "Undone: no crack" in seen(app)
            assert [each.kind for each in read_log(job.decisions).decisions] == ["reject", "undo"]
            await pilot.press("u")
            assert "no decision of yours" in seen(app)

    run(scene)


def test_rejecting_takes_the_row_out(job: Job) -> None:
    async def scene() -> None:
        async with review(job) as (pilot, app):
            await pilot.press("1", "x")
            assert "O2" not in app.session.rows

    run(scene)


def test_from_a_query_to_its_row_and_to_its_words(job: Job) -> None:
    async def scene() -> None:
        async with review(job) as (pilot, app):
            await pilot.press("g")
            assert app._here == "table"
            assert app.query_one("TableView").here.id == "O7"  # type: ignore[attr-defined]
            await pilot.press("q", "w")
            await pilot.pause()
            spoken = app.query_one("NarrationView").spoken  # type: ignore[attr-defined]
            assert app.session.narration(0).words[spoken.cursor].text == "no"
            assert "led to nothing" in seen(app) and "cracks" in seen(app)

    run(scene)


def test_a_query_picked_from_the_list_is_asked_now(job: Job) -> None:
    async def scene() -> None:
        async with review(job, WIDE) as (pilot, app):
            lines = seen(app).splitlines()
            row = next(number for number, line in enumerate(lines) if "2.2 m, then 1.9 m" in line)
            await pilot.click(offset=(10, row))
            await pilot.pause()
            assert "Is 1.9 m right?" in seen(app)
            assert not read_log(job.decisions).decisions

    run(scene)


def test_help_names_the_keys(job: Job) -> None:
    async def scene() -> None:
        async with review(job, WIDE) as (pilot, app):
            await pilot.press("question_mark")
            for part in ("Everywhere", "Queue", "Table", "Narration", "merge another row into it"):
                assert part in seen(app)
            await pilot.press("escape")
            assert "Everywhere" not in seen(app)

    run(scene)


# ---- the table ------------------------------------------------------------------------------------------------------


async def to_row(pilot: Pilot[None], app: ReviewScreen, row: str) -> None:
    await pilot.press("t")
    app.go_to_row(row)
    await pilot.pause()


def test_a_row_is_opened_and_changed_as_one_decision(job: Job) -> None:
    async def scene() -> None:
        async with review(job) as (pilot, app):
            await to_row(pilot, app, "O4")
            await pilot.press("enter", "d", *["backspace"] * 9, *keys_of("6.3"), "enter", "e", "2", "s")
            row: Any = app.session.rows["O4"]
            assert (row.from_m, row.extent) == (6.3, "moderate")
            assert len(read_log(job.decisions).decisions) == 1
            assert "* " in seen(app)

    run(scene)


def test_a_form_that_contradicts_the_record_stays_open_with_the_reason(job: Job) -> None:
    async def scene() -> None:
        async with review(job) as (pilot, app):
            await to_row(pilot, app, "O4")
            await pilot.press("enter", "d", *keys_of("12"), "enter", "s")
            assert "R1 ended at 8.5 m" in seen(app)
            await pilot.press("escape")
            assert not read_log(job.decisions).decisions

    run(scene)


def test_a_row_is_taken_out_and_brought_back(job: Job) -> None:
    async def scene() -> None:
        async with review(job) as (pilot, app):
            await to_row(pilot, app, "O4")
            await pilot.press("x")
            assert "O4" not in app.session.rows
            app.go_to_row("O4")
            await pilot.pause()
            assert "1 row: taken out" in seen(app)
            await pilot.press("x")
            assert "O4" in app.session.rows

    run(scene)


def test_a_row_is_split_merged_and_moved(job: Job) -> None:
    async def scene() -> None:
        async with review(job) as (pilot, app):
            await to_row(pilot, app, "O2")
            await pilot.press("p", "w", *keys_of("crack"), "1", "s")
            (made,) = app.session.reviewed.made
            assert made in app.session.rows
            app.go_to_row("O2")
            await pilot.pause()
            await pilot.press("r", "1")
            moved: Any = app.session.rows["O2"]
            assert moved.run == "R2"
            app.go_to_row("O3")
            await pilot.pause()
            await pilot.press("m")
            assert "Which row goes into this one?" in seen(app)
            await pilot.press("1")
            assert [each.kind for each in read_log(job.decisions).decisions] == ["split", "change", "merge"]

    run(scene)


def test_a_move_past_the_other_runs_end_is_refused(job: Job) -> None:
    async def scene() -> None:
        async with review(job) as (pilot, app):
            await to_row(pilot, app, "O4")
            await pilot.press("r", "1")
            assert "R2 ended at 3.7 m" in seen(app)
            assert not read_log(job.decisions).decisions

    run(scene)


def test_rows_are_filtered_and_ordered(job: Job) -> None:
    async def scene() -> None:
        async with review(job) as (pilot, app):
            await pilot.press("t", "slash", *keys_of("crack"), "enter")
            text = seen(app)
            assert "O5" in text and "O4" not in text and "with “crack”" in text
            await pilot.press("escape", "f", "f")
            assert "asked" in seen(app).splitlines()[2] and "O1 " not in seen(app)
            await pilot.press("f", "f", "f", "f", "f", "o")
            lines = seen(app)
            assert "as spoken" in lines and lines.index("M1") < lines.index("O1") < lines.index("O10")

    run(scene)


# ---- the narration ------------------------------------------------------------------------------------------------


def test_words_that_led_to_nothing_are_gone_to_one_after_the_other(job: Job) -> None:
    async def scene() -> None:
        async with review(job) as (pilot, app):
            await pilot.press("n")
            spoken = app.query_one("NarrationView").spoken  # type: ignore[attr-defined]
            words = app.session.narration(0).words
            met = []
            for _ in range(5):
                await pilot.press("j")
                met.append(words[spoken.cursor].text)
            assert met == ["eight", "and", "and", "morning", "eight"]
            await pilot.press("k")
            assert words[spoken.cursor].text == "morning"

    run(scene)


def test_a_missing_row_is_added_by_marking_its_words(job: Job) -> None:
    async def scene() -> None:
        async with review(job) as (pilot, app):
            await pilot.press("n")
            app.go_to_words(0, app.session.narration(0).text.index("one point four"))
            await pilot.pause()
            await pilot.press("space", *["right"] * 6)
            await pilot.press("a")
            text = seen(app)
            assert "one point four junction on the left" in text
            assert "junction" in text and "1.4 m" in text, "what the words say is filled in"
            await pilot.press("w", *keys_of("crack"), "1", "s")
            (made,) = app.session.reviewed.made
            row: Any = app.session.rows[made]
            assert (row.condition, row.component, row.from_m, row.run) == ("crack", "junction", 1.4, "R1")
            assert row.quote == "one point four junction on the left"

    run(scene)


def test_the_mouse_marks_words(job: Job) -> None:
    async def scene() -> None:
        async with review(job) as (pilot, app):
            await pilot.press("n")
            spoken = app.query_one("NarrationView").spoken  # type: ignore[attr-defined]
            await pilot.click(spoken, offset=(17, 0))
            assert app.session.narration(0).words[spoken.cursor].text == "this"
            await pilot.mouse_down(spoken, offset=(9, 0))
            spoken.post_message(
                MouseMove(spoken, 26, 0, 0, 0, 1, shift=False, meta=False, ctrl=False, screen_x=26, screen_y=4)
            )
            await pilot.mouse_up(spoken, offset=(26, 0))
            first, last = spoken.marked()
            assert [word.text for word in app.session.narration(0).words[first:last]] == [
                "morning",
                "this",
                "is",
                "the",
            ]

    run(scene)


def test_a_row_without_anything_seen_is_refused(job: Job) -> None:
    async def scene() -> None:
        async with review(job) as (pilot, app):
            await pilot.press("n")
            app.go_to_words(0, app.session.narration(0).text.index("fellow"))
            await pilot.pause()
            await pilot.press("a", "s")
            assert "says nothing" in seen(app)

    run(scene)


# ---- sign-off, teaching, the whole way ------------------------------------------------------------------------------


def test_with_harmful_queries_open_a_reason_must_be_typed(job: Job) -> None:
    async def scene() -> None:
        async with review(job) as (pilot, app):
            await pilot.press("s")
            assert "9 of them harmful" in seen(app)
            await pilot.press("enter")
            assert app.session.reviewed.sign_off is None
            await pilot.press(*keys_of("client waits"), "enter")
            signed = app.session.reviewed.sign_off
            assert signed is not None and (signed.because, signed.left_open) == ("client waits", 9)
            assert "✓ signed off by Zoë Ågren" in seen(app)
            await pilot.press("1")
            assert "sign-off void" in seen(app)

    run(scene)


def test_a_word_answered_twice_is_offered_and_kept_in_the_users_folder(job: Job, tmp_path: Path) -> None:
    mine = tmp_path / "mine"

    async def scene() -> None:
        async with review(job, taught=mine) as (pilot, app):
            await pilot.press(*"111111111")
            assert "“sultan”" in seen(app) and "y keeps it" in seen(app)
            await pilot.press("y")
            assert "sultan" in seen(app)
            await pilot.press("1")
            assert 'misheard = ["sultan"]' in (mine / "taught-condition.toml").read_text(encoding="utf-8")

    run(scene)


def test_the_screen_tells_of_a_torn_line(job: Job) -> None:
    job.decisions.write_bytes(b'{"half')

    async def scene() -> None:
        async with review(job) as (_, app):
            assert "was unfinished" in seen(app)

    run(scene)


async def keystrokes_to_sign_off(job: Job) -> int:
    """Keys pressed from the open screen to the sign-off, taking the first answer of each query."""
    count = 0
    async with review(job) as (pilot, app):
        while app.session.queue():
            await pilot.press("1")
            count += 1
        for key in ("s", "enter"):
            await pilot.press(key)
            count += 1
        assert app.session.reviewed.sign_off is not None
        assert "✓ signed off by" in seen(app)
    return count


def test_nine_queries_take_eleven_keystrokes(job: Job) -> None:
    async def scene() -> None:
        assert await keystrokes_to_sign_off(job) == 11

    run(scene)
    assert reviewed_record(open_job(job.folder)).sign_off is not None


def test_the_demo_job_takes_as_many_keystrokes_as_the_readme_says(tmp_path: Path) -> None:
    from extractor.pipeline import extract

    paths = sorted((ROOT / "fixtures" / "demo").iterdir())
    narrations = [read_narration(path) for path in paths]
    record = extract(narrations, lexicon())
    demo = create_job(tmp_path / "demo", [(path.name, path.read_bytes()) for path in paths], record)

    async def scene() -> None:
        count = await keystrokes_to_sign_off(demo)
        assert count == len(record.queries) + 2, "one key a query, two to sign off"
        stated = re.search(r"demo visit takes (\d+) keystrokes", (ROOT / "README.md").read_text(encoding="utf-8"))
        assert stated is not None, f"the README does not state the {count} keystrokes of the demo visit"
        assert int(stated[1]) == count

    run(scene)


def keys_of(text: str) -> list[str]:
    """The keys that type a text."""
    names = {" ": "space", ".": "full_stop", "'": "apostrophe"}
    return [names.get(mark, mark) for mark in text]
