"""`rodnote explain`: why a row is there, or why it is not."""

import re
from pathlib import Path
from typing import Annotated

import typer

_TIME = re.compile(r"^(?:(\d+):)?(\d+):(\d{2}(?:\.\d+)?)$|^(\d+(?:\.\d+)?)$")


def explain(
    narration: Annotated[Path, typer.Argument(help="A transcript; - for standard input.", metavar="NARRATION")],
    at: Annotated[
        str, typer.Option("--at", help="From one time of the recording to another, as m:ss.", metavar="TIME-TIME")
    ] = "",
    words: Annotated[str, typer.Option("--words", help="Words as they were said.", metavar="WORDS")] = "",
    lexicon: Annotated[
        list[Path] | None,
        typer.Option("--lexicon", help="A folder of your own words; may be given again.", metavar="FOLDER"),
    ] = None,
) -> None:
    """Show what each stage made of a stretch of the narration, or of all of it.

    For each clause: the words with their time, what was measured, recognised, mended, withdrawn, and denied or doubted
    by which words; then the runs, rows and queries that rest on them, with the rules that made them.

    \b
    Examples:
        rodnote explain visit.srt --at 1:30-2:00
        rodnote explain visit.srt --words "junction on the left"
    """
    from extractor.cli.screen import output_console, print_on
    from extractor.cli.visit import read_lexicon, read_visit
    from extractor.language.tokens import normal_forms
    from extractor.pipeline import extract, read
    from extractor.report.explanation import explained, stretch_at, stretches_of

    known = read_lexicon(lexicon or [])
    (spoken,) = read_visit([narration]).narrations
    reading, record = read(spoken, known), extract(spoken, known)
    speech = reading.speech
    stretches = [(0, len(speech))]
    if at:
        stretch = stretch_at(speech, *read_times(at))
        stretches = [stretch] if stretch else []
    if words:
        within = stretches
        found = stretches_of(speech, normal_forms(words.lower()))
        stretches = [
            (start, end) for start, end in found if any(start < last and first < end for first, last in within)
        ]
    console = output_console()
    if not stretches:
        from extractor.errors import UsageError

        raise UsageError("nothing is said there.", where=str(narration), todo="Check the times and the words.")
    for stretch in stretches:
        print_on(console, explained(reading, record, known, stretch))


def read_times(text: str) -> tuple[float, float]:
    """ "1:30-2:00" or "90-120" -> (90.0, 120.0), seconds; one time alone is the ten seconds round it.

    Raises:
        UsageError: where it is no such thing, or ends before it starts.
    """
    from extractor.errors import UsageError

    parts = [part.strip() for part in re.split(r"[-–]", text)]
    found = [_TIME.match(part) for part in parts]
    if len(parts) > 2 or not all(found):
        raise UsageError(f"{text!r} is no stretch of time.", where="--at", todo="Write it as 1:30-2:00.")
    seconds = [_seconds(match) for match in found if match]
    start, end = seconds if len(seconds) == 2 else (seconds[0] - 5, seconds[0] + 5)
    if end < start:
        raise UsageError(f"{text!r} ends before it starts.", where="--at", todo="Write it as 1:30-2:00.")
    return start, end


def _seconds(match: re.Match[str]) -> float:
    hours, minutes, rest, plain = match.groups()
    if plain is not None:
        return float(plain)
    return int(hours or 0) * 3600 + int(minutes) * 60 + float(rest)
