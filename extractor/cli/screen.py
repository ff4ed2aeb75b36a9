"""Where the command's words go: tables to a console that suits the terminal, data to standard output as bytes.

NO_COLOR and TERM=dumb are honoured by rich; nothing is coloured when the output is no terminal.
"""

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rich.console import Console, RenderableType

WIDEST = 160  # a longer line is hard to follow across
BROKEN_PIPE = 141  # 128 + SIGPIPE: what a shell reports of a program whose reader went away


def output_console() -> "Console":
    """A console on standard output. Characters that its encoding lacks are replaced, never an error."""
    from rich.console import Console

    if hasattr(sys.stdout, "reconfigure"):
        sys.stdout.reconfigure(errors="replace")
    console = Console(highlight=False, markup=False, emoji=False, soft_wrap=False)
    if console.width > WIDEST:
        console.width = WIDEST
    console.on_broken_pipe = _broken_pipe  # type: ignore[method-assign]  # rich would leave with status 1
    return console


def status_console() -> "Console":
    """A console on standard error, for progress: silent where standard error is no terminal."""
    from rich.console import Console

    console = Console(stderr=True, highlight=False)
    console.quiet = not console.is_terminal
    return console


def print_on(console: "Console", thing: "RenderableType") -> None:
    """Print; where the output is no terminal, without the spaces that fill lines up."""
    with reader_may_leave():
        if console.is_terminal:
            console.print(thing)
            return
        with console.capture() as captured:
            console.print(thing)
        for line in captured.get().splitlines():
            print(line.rstrip(), file=console.file)


def put_bytes(data: bytes) -> None:
    """Data on standard output exactly as given, whatever the locale and the system's line ends."""
    with reader_may_leave():
        sys.stdout.flush()
        sys.stdout.buffer.write(data)
        sys.stdout.buffer.flush()


@contextmanager
def reader_may_leave() -> Iterator[None]:
    """Leave quietly, with the status of a broken pipe, when nobody reads the output any more (`... | head`)."""
    import typer

    try:
        yield
    except BrokenPipeError as error:
        abandon_output()
        raise typer.Exit(BROKEN_PIPE) from error  # typer itself would leave with 1, as for an error


def abandon_output() -> None:
    """Keep the interpreter from complaining when it flushes at exit what nobody reads."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _broken_pipe() -> None:
    raise BrokenPipeError
