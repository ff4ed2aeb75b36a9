"""`rodnote report`: a job -> what the client gets."""

from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from extractor.report.reviewed import Reviewed
    from extractor.report.view import Extras


class PaperSize(StrEnum):
    a4 = "a4"
    letter = "letter"


class FallCode(StrEnum):
    as_nzs = "AS/NZS 3500.2"
    adh = "ADH"
    ipc = "IPC"


def report(
    job: Annotated[Path, typer.Argument(help="The job folder.", metavar="JOB")],
    paper: Annotated[PaperSize, typer.Option("--paper", help="Paper of the PDF and the DOCX.")] = PaperSize.a4,
    format: Annotated[
        str, typer.Option("--format", help="pdf,html,docx,xlsx,csv,json,svg or all.", metavar="LIST")
    ] = "all",
    recording: Annotated[
        list[Path] | None,
        typer.Option("--recording", help="Sound or video of each narration, in their order.", metavar="FILE"),
    ] = None,
    visit: Annotated[
        Path | None,
        typer.Option("--visit", help="Who, for whom, where, when. Else JOB/visit.toml, if there.", metavar="FILE"),
    ] = None,
    codes: Annotated[bool, typer.Option("--codes", help="Add the codes of EN 13508-2.")] = False,
    code: Annotated[FallCode, typer.Option("--code", help="The code that falls are held against.")] = FallCode.as_nzs,
    lexicon: Annotated[
        list[Path] | None,
        typer.Option("--lexicon", help="A folder of your own words and rules; may be given again.", metavar="FOLDER"),
    ] = None,
) -> None:
    """Make the report, the drawings and the tables of a job, in JOB/reports.

    Until the job is signed off (rodnote review) everything is marked as a draft. Nothing leaves this machine.

    \b
    Examples:
        rodnote report visit-job
        rodnote report visit-job --paper letter --format pdf
        rodnote report visit-job --visit visit.toml --recording visit.mp4
    """
    from extractor.cli.screen import output_console
    from extractor.job.folder import open_job
    from extractor.lexicon.load import load_lexicon
    from extractor.report.make import Wish, make_report, wanted_formats
    from extractor.report.visit import Visit, load_visit
    from extractor.trade.rules import load_rules

    wanted = wanted_formats(format)
    opened = open_job(job)
    visit_file = visit or (job / "visit.toml" if (job / "visit.toml").is_file() else None)
    words = load_lexicon(*(lexicon or []))
    rules = load_rules(*(lexicon or []), lexicon=words)
    wish = Wish(
        formats=wanted,
        paper=paper.value,
        recordings=tuple(recording or ()),
        visit=load_visit(visit_file) if visit_file else Visit(),
        visit_folder=visit_file.parent if visit_file else job,
    )

    def extras(reviewed: "Reviewed") -> "Extras":
        from extractor.report.extras import trade_extras

        return trade_extras(reviewed.record, rules, code=code.value, codes=codes)

    made = make_report(opened, wish, words, extras)
    console = output_console()
    for path in made.paths:
        console.print(f"{path}  {max(1, round(path.stat().st_size / 1000)):,} kB", soft_wrap=True)
    rows, questions = sum(1 for _ in made.view.all_rows()), len(made.view.questions)
    standing = made.view.draft or "Signed off"
    console.print(f"{standing}. {rows} rows, {questions} still to be settled, {len(made.paths)} files.", soft_wrap=True)
