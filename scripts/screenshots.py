"""Run the review on a made visit and save what each view looks like, as SVG: scripts/screenshots [FOLDER]."""

import asyncio
import re
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT))

from extractor.lexicon.load import load_lexicon  # noqa: E402
from extractor.review.screen import ReviewScreen  # noqa: E402
from extractor.review.session import Session  # noqa: E402
from tests.review.made_visit import made_job  # noqa: E402

# name, size, theme, keys pressed before the picture is taken
PICTURES: tuple[tuple[str, tuple[int, int], str, tuple[str, ...]], ...] = (
    ("queue", (100, 26), "dark", ("1",)),
    ("queue-narrow", (80, 24), "light", ("1",)),
    ("queue-wide", (200, 60), "dark", ("1",)),
    ("distance", (100, 26), "light", ("1", "1", "2", "o", *"four point two")),
    ("table", (100, 26), "dark", ("1", "1", "t")),
    ("table-wide", (200, 60), "light", ("1", "1", "t")),
    ("row", (100, 26), "light", ("t", "down", "down", "down", "down", "enter")),
    ("narration", (100, 26), "dark", ("n", "j")),
    ("narration-wide", (200, 60), "light", ("n", "j")),
)


async def take_picture(folder: Path, name: str, size: tuple[int, int], theme: str, keys: tuple[str, ...]) -> Path:
    """One picture; the job it shows is thrown away."""
    with tempfile.TemporaryDirectory() as scratch:
        job = made_job(Path(scratch) / "ferry-house")
        with Session(job, load_lexicon(), "Zoë") as session:
            app = ReviewScreen(session, theme=theme)
            async with app.run_test(size=size) as pilot:
                await pilot.pause()
                await pilot.press(*keys)
                await pilot.pause()
                drawn = app.export_screenshot(title=f"rodnote review: {name}")
    path = folder / f"{name}.svg"
    drawn = re.sub(r"@font-face\s*\{[^}]*\}", "", drawn)  # it names a font on the network; any monospaced one will do
    # a name that changes with every run would make every picture look changed
    path.write_text(re.sub(r"terminal-\d+", "terminal", drawn), encoding="utf-8")
    return path


def main() -> None:
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT / "fixtures" / "screens"
    folder.mkdir(parents=True, exist_ok=True)
    for name, size, theme, keys in PICTURES:
        print(asyncio.run(take_picture(folder, name, size, theme, keys)))


if __name__ == "__main__":
    main()
