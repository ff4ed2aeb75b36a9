"""`rodnote extract`: narrations of one visit -> table, JSON, CSV or a job folder."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from extractor.cli.visit import Visit
    from extractor.lexicon.load import Lexicon
    from extractor.record import Record

MUCH_TO_DO_WORDS = 20_000  # below this the answer is there before a progress line could be read


def extract(
    narrations: Annotated[
        list[Path],
        typer.Argument(
            help="Transcripts of one visit: .txt, .srt, .vtt or .json; - is standard input.", metavar="NARRATION..."
        ),
    ],
    json: Annotated[bool, typer.Option("--json", help="Print the record as JSON.")] = False,
    csv: Annotated[bool, typer.Option("--csv", help="Print the rows as CSV.")] = False,
    into: Annotated[
        Path | None, typer.Option("--into", help="Keep narrations and record in this job folder.", metavar="FOLDER")
    ] = None,
    lexicon: Annotated[
        list[Path] | None,
        typer.Option("--lexicon", help="A folder of your own words; may be given again.", metavar="FOLDER"),
    ] = None,
) -> None:
    """Turn what was said while the camera was in the pipe into an observation table.

    Several narrations of one visit make one record. Nothing leaves this machine.

    \b
    Examples:
        rodnote extract visit.srt
        rodnote extract morning.srt afternoon.srt --into visit-job
        rodnote extract visit.srt --json > visit.json
        rodnote extract visit.srt --csv > rows.csv
        cat visit.txt | rodnote extract -
    """
    from extractor.cli.visit import read_lexicon, read_visit
    from extractor.errors import UsageError

    if json and csv:
        raise UsageError("--json and --csv exclude each other.", todo="Ask for one of them.")
    words = read_lexicon(lexicon or [])
    visit = read_visit(narrations)
    record = _extract(visit, words)
    if into is not None:
        from extractor.job.folder import create_job

        create_job(into, visit.sources(), record)
    if json:
        from extractor.cli.screen import put_bytes
        from extractor.job.folder import record_bytes

        put_bytes(record_bytes(record))
    elif csv:
        from extractor.cli.screen import put_bytes
        from extractor.report.rows_csv import rows_csv

        put_bytes(rows_csv(record))
    else:
        _print_table(record, words, into)


def _extract(visit: "Visit", lexicon: "Lexicon") -> "Record":
    from extractor.pipeline import extract as make_record

    amount = sum(len(narration.words) for narration in visit.narrations)
    if amount < MUCH_TO_DO_WORDS:
        return make_record(visit.narrations, lexicon)
    from extractor.cli.screen import status_console

    with status_console().status(f"Reading {amount:,} words …"):
        return make_record(visit.narrations, lexicon)


def _print_table(record: "Record", lexicon: "Lexicon", into: Path | None) -> None:
    from extractor.cli.screen import output_console, print_on
    from extractor.report.table import record_table

    console = output_console()
    print_on(console, record_table(record, lexicon, console.width))
    if into is not None:
        print_on(console, f"Kept in {into}: job.json, record.json, narrations/")
