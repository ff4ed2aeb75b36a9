"""`rodnote redact`: a job -> a copy without names, phones and addresses."""

from pathlib import Path
from typing import Annotated

import typer


def redact(
    job: Annotated[Path, typer.Argument(help="The job folder; it is not changed.", metavar="JOB")],
    into: Annotated[Path, typer.Option("--into", help="A new folder for the copy.", metavar="FOLDER")],
    words: Annotated[
        list[str] | None,
        typer.Option("--words", help="Spoken words to blank as well; may be given again.", metavar="WORDS"),
    ] = None,
    lexicon: Annotated[
        list[Path] | None,
        typer.Option("--lexicon", help="A folder of your own words; may be given again.", metavar="FOLDER"),
    ] = None,
) -> None:
    """Make a copy of a job that can be shared: no names, phones or addresses.

    What visit.toml says of people and places is left out, and blanked wherever it was said; so are phone numbers,
    e-mail addresses, the phrases of JOB/private.txt (one a line) and those given with --words. Look the copy through
    before you share it: a name that stands in none of these is not known for one.

    \b
    Examples:
        rodnote redact visit-job --into to-share
        rodnote redact visit-job --into to-share --words "mrs fenwick" --words "the corner shop"
    """
    from extractor.archive.redact import redact_job
    from extractor.cli.screen import output_console
    from extractor.cli.visit import read_lexicon
    from extractor.job.folder import open_job

    made = redact_job(open_job(job), into, read_lexicon(lexicon or []), words or [])
    output_console().print(
        f"Copied into {into}: {made.words} spoken words blanked, the record as reviewed. Left behind: the reviewers' "
        "log, reports, file names. Look it through before you share it.",
        soft_wrap=True,
    )
