"""The command `rodnote`: its list of subcommands, and what happens when one of them fails.

A subcommand is one thin module with one function. Its imports of anything heavy stand inside that function, so that
`rodnote --help` answers at once.
"""

import sys
from collections.abc import Sequence
from typing import Annotated

import typer

from extractor import __version__
from extractor.cli import explain, extract, lexicon
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


def main() -> None:
    """The entry point: run the command and leave with its exit status."""
    sys.exit(run())


def run(arguments: Sequence[str] | None = None) -> int:
    """Run the command on `arguments` (the process's own when None) and return its exit status."""
    try:
        status = _run(arguments)
        sys.stdout.flush()
    except BrokenPipeError:
        abandon_output()
        return BROKEN_PIPE
    except KeyboardInterrupt:
        return INTERRUPTED
    return status


def _run(arguments: Sequence[str] | None) -> int:
    try:
        app(list(arguments) if arguments is not None else None, prog_name="rodnote")
    except RodnoteError as error:
        print(f"rodnote: {_one_line(str(error))}", file=sys.stderr)
        return error.exit_status
    except SystemExit as leaving:
        return leaving.code if isinstance(leaving.code, int) else 1
    return 0


def _one_line(message: str) -> str:
    """A file's name may hold anything: what would move the cursor or turn the reading direction is taken out."""
    return " ".join("".join(mark if mark.isprintable() else " " for mark in message).split())
