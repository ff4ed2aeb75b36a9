"""The command `rodnote`: its list of subcommands, and what happens when one of them fails.

A subcommand is one thin module with one function. Its imports of anything heavy stand inside that function, so that
`rodnote --help` answers at once.
"""

import gc
import os
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Annotated, NoReturn

import typer

from extractor import __version__
from extractor.cli import batch, compare, decide, explain, extract, lexicon, lexicon_add, redact, report, review
from extractor.cli.screen import BROKEN_PIPE, abandon_output
from extractor.errors import RodnoteError

INTERRUPTED = 130  # 128 + SIGINT

app = typer.Typer(
    name="rodnote",
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)

# Each subcommand in the order of a day's work; add a line here for a new one.
app.command("extract")(extract.extract)
app.command("explain")(explain.explain)
app.command("review")(review.review)
app.command("decide")(decide.decide)
app.command("report")(report.report)
app.command("compare")(compare.compare)
app.command("batch")(batch.batch)
app.command("redact")(redact.redact)
lexicon.app.command("add")(lexicon_add.add)
app.add_typer(lexicon.app, name="lexicon")


def _print_version(wanted: bool) -> None:
    if wanted:
        print(f"rodnote {__version__}")
        raise typer.Exit


@app.callback()
def rodnote(
    version: Annotated[
        bool, typer.Option("--version", help="Print the version and leave.", is_eager=True, callback=_print_version)
    ] = False,
) -> None:
    """From what a drain technician says while the camera is in the pipe to a checked observation table.

    \b
    See what a recording's transcript holds:
        rodnote extract visit.srt
    Keep it as a job that can be reviewed and reported:
        rodnote extract visit.srt --into visit-job
    Ask why a row came out as it did:
        rodnote explain visit.srt --at 1:30-2:00
    """


def main() -> NoReturn:
    """The entry point: run the command and leave with its exit status, as fast as can be on both ends.

    Loading the language library makes many objects and no garbage, so that looking for some is time lost; and taking
    everything apart again at the end takes a fifth of the time that loading took. Files are closed and synced by then.
    """
    gc.set_threshold(1_000_000, 50, 100)
    for name in ("stdout", "stderr"):
        if getattr(sys, name) is None:  # closed by who called: nobody wants to read it
            setattr(sys, name, Path(os.devnull).open("w"))  # noqa: SIM115  # it stays open to the end
    status = run()
    sys.stderr.flush()
    os._exit(status)


def run(arguments: Sequence[str] | None = None) -> int:
    """Run the command on `arguments` (the process's own when None) and return its exit status."""
    try:
        status = _status_of(arguments)
        sys.stdout.flush()
    except RodnoteError as error:
        return _told(str(error), error.exit_status)
    except BrokenPipeError:
        abandon_output()
        return BROKEN_PIPE
    except OSError as error:  # the disk that standard output goes to is full, or the like
        abandon_output()
        return _told(f"{error.filename or 'standard output'}: {(error.strerror or str(error)).lower()}.", 1)
    except KeyboardInterrupt:
        return INTERRUPTED
    return status


def _status_of(arguments: Sequence[str] | None) -> int:
    try:
        app(list(arguments) if arguments is not None else None, prog_name="rodnote")
    except SystemExit as leaving:
        return leaving.code if isinstance(leaving.code, int) else 1
    return 0


def _told(message: str, status: int) -> int:
    """Tell it in one line. A file's name may hold anything: what would move the cursor or turn the text is left out."""
    line = " ".join("".join(mark if mark.isprintable() else " " for mark in message).split())
    print(f"rodnote: {line}", file=sys.stderr)
    return status
