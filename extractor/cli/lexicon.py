"""`rodnote lexicon`: is a folder of words sound, and what does the lexicon make of some words?"""

from collections.abc import Sized
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from extractor.lexicon.entry import Entry

app = typer.Typer(
    name="lexicon",
    help="Check a folder of your own words, or look words up.",
    no_args_is_help=True,
    rich_markup_mode=None,
)

MOST_SHOWN = 12
LEAST_LIKENESS = 75  # of 100; below this a find is chance


@app.command("check")
def check(
    folder: Annotated[Path, typer.Argument(help="A folder of .toml files.", metavar="FOLDER")],
) -> None:
    """Read a lexicon folder as `extract --lexicon` would, and name the first place that breaks its rules.

    So it does with the rule tables and rates in FOLDER/rules, as `report --lexicon` reads them.

    \b
    Example:
        rodnote lexicon check my-words
    """
    from extractor.errors import LexiconError
    from extractor.lexicon.load import load_lexicon
    from extractor.trade.rules import load_rules

    shipped = {(entry.kind, entry.id): entry for entry in load_lexicon().entries}
    lexicon = load_lexicon(folder)
    both = lexicon.entries
    files, tables = sorted(folder.glob("*.toml")), sorted((folder / "rules").glob("*.toml"))
    load_rules(folder, lexicon=lexicon)
    if not files and not tables:
        raise LexiconError("holds no .toml file.", where=str(folder), todo="Put your words in one: see README.md.")
    new = [entry for entry in both if (entry.kind, entry.id) not in shipped]
    grown = [entry for entry in both if (known := shipped.get((entry.kind, entry.id))) and known != entry]
    print(
        f"{folder} is sound: {_counted(files, 'file', 'files')}, {_counted(new, 'new entry', 'new entries')}, "
        f"{_counted(grown, 'entry added to', 'entries added to')}"
        f"{', ' + _counted(tables, 'rule table', 'rule tables') if tables else ''}."
    )


@app.command("find")
def find(
    words: Annotated[list[str], typer.Argument(help="Words as a technician says them.", metavar="WORDS...")],
    lexicon: Annotated[
        list[Path] | None,
        typer.Option("--lexicon", help="A folder of your own words; may be given again.", metavar="FOLDER"),
    ] = None,
) -> None:
    """Show what the lexicon takes words for, near misses too.

    \b
    Example:
        rodnote lexicon find rodding eye
    """
    from rapidfuzz import fuzz, process

    from extractor.cli.visit import read_lexicon

    phrases: dict[str, list[Entry]] = {}
    for entry in read_lexicon(lexicon or []).entries:
        for phrase in (*entry.spoken, *entry.misheard):
            phrases.setdefault(phrase, []).append(entry)
    wanted = " ".join(words).lower()
    likeness = fuzz.token_sort_ratio
    found = process.extract(wanted, list(phrases), scorer=likeness, limit=MOST_SHOWN, score_cutoff=LEAST_LIKENESS)
    if not found:
        print(f"nothing in the lexicon is like {wanted!r}.")
        raise typer.Exit(1)
    for phrase, _, _ in sorted(found, key=lambda match: (match[0] != wanted, -match[1], match[0])):
        for entry in phrases[phrase]:
            note = "" if phrase in entry.spoken else " (a mishearing)"
            print(f"{phrase}: {entry.kind} {entry.id}, {entry.label}{note}")


def _counted(things: Sized, one: str, many: str) -> str:
    return f"{len(things)} {one if len(things) == 1 else many}"
