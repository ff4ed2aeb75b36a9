"""`rodnote batch`: a folder of recordings and jobs -> a Parquet data set."""

import os
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from extractor.errors import NarrationError

if TYPE_CHECKING:
    from extractor.archive.batch import Done, Progress

MOST_LISTED = 20


class EngineName(StrEnum):
    processes = "processes"
    dask = "dask"


def batch(
    folder: Annotated[Path, typer.Argument(help="The folder with the recordings' texts and jobs.", metavar="FOLDER")],
    out: Annotated[Path, typer.Option("--out", help="The data set's folder.", metavar="DIR")],
    engine: Annotated[
        EngineName, typer.Option("--engine", help="What runs it: this machine's processes, or dask.")
    ] = EngineName.processes,
    workers: Annotated[int, typer.Option("--workers", help="How many processes; 0 is one for each core.", min=0)] = 0,
    scheduler: Annotated[
        str | None,
        typer.Option("--scheduler", help="The dask cluster to use, else one is made here.", metavar="ADDRESS"),
    ] = None,
    lexicon: Annotated[
        list[Path] | None,
        typer.Option("--lexicon", help="A folder of your own words; may be given again.", metavar="FOLDER"),
    ] = None,
) -> None:
    """Read a whole folder of recordings and jobs into tables for DuckDB, Polars or Spark.

    Each text file is a visit, each job folder is one, as reviewed. Run it again after a kill or when there are new
    recordings: what was read before is kept. What can't be read is listed and stops nothing; the exit status is then 3.

    \b
    Examples:
        rodnote batch recordings --out archive
        rodnote batch recordings --out archive --engine dask --scheduler tcp://10.0.0.5:8786
    """
    from extractor.archive.batch import run_batch
    from extractor.archive.engine import engine_of

    count = workers or os.cpu_count() or 1
    chosen = engine_of(engine.value, count, scheduler)
    with _Bar() as bar:
        done = run_batch(folder, out, chosen, workers=count, lexicon_folders=lexicon or [], on_progress=bar.show)
    _tell(done, bar.seconds)
    if done.not_read:
        raise typer.Exit(NarrationError.exit_status)


class _Bar:
    """A progress bar with rate and time left on standard error; silent where that is no terminal."""

    def __enter__(self) -> "_Bar":
        from time import monotonic

        from rich.progress import BarColumn, MofNCompleteColumn, TextColumn, TimeElapsedColumn, TimeRemainingColumn
        from rich.progress import Progress as RichProgress

        from extractor.cli.screen import status_console

        self._clock, self._began = monotonic, monotonic()
        self._bar = RichProgress(
            TextColumn("visits"),
            BarColumn(),
            MofNCompleteColumn(),
            TextColumn("{task.fields[rate]}"),
            TimeElapsedColumn(),
            TextColumn("gone,"),
            TimeRemainingColumn(),
            TextColumn("left"),
            console=status_console(),
        )
        self._task = self._bar.add_task("", total=None, rate="")
        self._bar.start()
        return self

    def show(self, progress: "Progress") -> None:
        words_a_second = progress.words / max(self.seconds, 0.001)
        rate = f"{words_a_second:,.0f} words/s" if progress.words else ""
        self._bar.update(self._task, total=progress.of, completed=progress.visits, rate=rate)

    @property
    def seconds(self) -> float:
        return self._clock() - self._began

    def __exit__(self, *_: object) -> None:
        self._bar.stop()


def _tell(done: "Done", seconds: float) -> None:
    from extractor.cli.screen import output_console

    console = output_console()
    told = [f"{done.read:,} visits read, {done.kept:,} kept from before"]
    if done.not_read:
        told.append(f"{len(done.not_read):,} not read")
    console.print(f"{', '.join(told)}. {done.words:,} words in {seconds:.1f} s.", soft_wrap=True)
    for each in done.not_read[:MOST_LISTED]:
        console.print(f"  {_shown(each.path)}: {_shown(each.error)}", soft_wrap=True)
    if len(done.not_read) > MOST_LISTED:
        console.print(f"  and {len(done.not_read) - MOST_LISTED:,} more, all in {done.list}", soft_wrap=True)


def _shown(text: str) -> str:
    """A file's name may hold anything: what would move the cursor or turn the text is left out."""
    return "".join(mark if mark.isprintable() else " " for mark in text)
