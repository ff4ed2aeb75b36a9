"""`rodnote review`: a person settles what is uncertain in a job, and signs it off."""

from pathlib import Path
from typing import Annotated, Literal

import typer


def review(
    job: Annotated[Path, typer.Argument(help="The job folder.", metavar="JOB")],
    who: Annotated[
        str | None,
        typer.Option(
            "--who", help="Your name; else RODNOTE_REVIEWER or your login.", metavar="NAME", show_default=False
        ),
    ] = None,
    plain: Annotated[bool, typer.Option("--plain", help="Ask line by line, without a full screen.")] = False,
    lexicon: Annotated[
        list[Path] | None,
        typer.Option(
            "--lexicon",
            help="A folder of your own words; may be given again. The last one is taught.",
            metavar="FOLDER",
        ),
    ] = None,
    theme: Annotated[
        Literal["dark", "light", "auto"], typer.Option("--theme", help="Colours of the full screen.")
    ] = "auto",
) -> None:
    """Settle the queries of a job in the terminal, most harmful first, and sign it off.

    Each decision is on disk before the screen moves on, and holds when the job is extracted again.

    \b
    Examples:
        rodnote review visit-job
        rodnote review visit-job --who "Zoë" --lexicon my-words
        rodnote review visit-job --plain
    """
    import sys

    from extractor.cli.visit import read_lexicon
    from extractor.job.decision_log import own_name
    from extractor.job.folder import open_job
    from extractor.review.session import open_session

    opened = open_job(job)
    words = read_lexicon(lexicon or [])
    with open_session(opened, words, who or own_name()) as session:
        if plain:
            from extractor.language.measures import measure_grammar
            from extractor.review.plain import review_plain

            for stream in (sys.stdin, sys.stdout):
                if hasattr(stream, "reconfigure"):
                    stream.reconfigure(errors="replace")
            review_plain(session, measure_grammar(words), sys.stdin, sys.stdout)
            return
        if not all(stream.isatty() for stream in (sys.stdin, sys.stdout, sys.stderr)):
            from extractor.errors import UsageError

            raise UsageError(
                "the full screen needs a terminal.", todo="Ask line by line instead: rodnote review JOB --plain"
            )
        from extractor.review.screen import ReviewScreen

        ReviewScreen(session, theme=theme, taught=lexicon[-1] if lexicon else None).run()
    print(f"{job}: {session.status()}, {len(session.queue())} open, {session.taken_here} decisions kept this time.")
