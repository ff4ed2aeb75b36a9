"""`rodnote lexicon add`: put a word that reviewers taught, or one of your own, into your lexicon folder."""

from pathlib import Path
from typing import Annotated

import typer


def add(
    words: Annotated[
        list[str] | None, typer.Argument(help="The words, as they were heard.", metavar="[WORDS...]")
    ] = None,
    to: Annotated[
        Path, typer.Option("--to", help="Your lexicon folder; made where it is missing.", metavar="FOLDER")
    ] = Path("my-words"),
    meant: Annotated[
        str | None,
        typer.Option("--as", help="What they stand for: an id of the lexicon.", metavar="ID", show_default=False),
    ] = None,
    taught: Annotated[
        list[Path] | None,
        typer.Option("--from", help="Offer what was answered twice the same way in these jobs.", metavar="JOB"),
    ] = None,
    yes: Annotated[bool, typer.Option("--yes", help="With --from: add all that is offered.")] = False,
    spoken: Annotated[
        bool, typer.Option("--spoken", help="People say it so; else it is what a recogniser makes of it.")
    ] = False,
    remove: Annotated[bool, typer.Option("--remove", help="Take the words out of your folder again.")] = False,
) -> None:
    """Add words to your own lexicon folder, as lines of TOML that you can read, change and delete.

    \b
    Examples:
        rodnote lexicon add candy hole --as inspection_opening --to my-words
        rodnote lexicon add candy hole --as inspection_opening --to my-words --remove
        rodnote lexicon add --from visit-job --from other-job --to my-words
        rodnote lexicon add --from visit-job --to my-words --yes
    """
    from extractor.errors import UsageError
    from extractor.lexicon.load import load_lexicon
    from extractor.review.teaching import find_entry, teach, unteach

    has_words = to.is_dir() and any(to.glob("*.toml"))
    lexicon = load_lexicon(to) if has_words else load_lexicon()
    if taught:
        if words or meant or remove:
            raise UsageError("--from takes the words from the jobs; give no others.")
        _offer(taught, to, yes)
        return
    if not words or meant is None:
        raise UsageError("give the words and --as ID, or --from JOB.", todo="See rodnote lexicon add --help.")
    phrase, entry = " ".join(words), find_entry(meant, lexicon)
    if remove:
        print(f"taken out of {unteach(to, phrase, entry)}")
        return
    path = teach(to, phrase, entry, form="spoken" if spoken else "misheard")
    print(f"{phrase} is {entry.label} now: {path}")


def _offer(jobs: list[Path], to: Path, yes: bool) -> None:
    from extractor.job.apply import reviewed_record
    from extractor.job.folder import open_job
    from extractor.lexicon.load import load_lexicon
    from extractor.review.teaching import lessons, teach

    has_words = to.is_dir() and any(to.glob("*.toml"))
    lexicon = load_lexicon(to) if has_words else load_lexicon()
    decisions = [each for job in jobs for each in reviewed_record(open_job(job)).standing]
    found = lessons(decisions, lexicon)
    if not found:
        print("nothing was answered twice the same way.")
    for lesson in found:
        why = f'"{lesson.heard}" was answered as "{lesson.entry.label}" {lesson.times} times'
        if yes or typer.confirm(f"{why}. Add it?"):
            print(f"added to {teach(to, lesson.heard, lesson.entry, why=why)}")
