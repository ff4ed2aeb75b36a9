"""`rodnote compare`: the same lines at two visits."""

from pathlib import Path
from typing import Annotated

import typer


def compare(
    old_job: Annotated[Path, typer.Argument(help="The job of the visit before.", metavar="OLD_JOB")],
    new_job: Annotated[Path, typer.Argument(help="The job of the visit after.", metavar="NEW_JOB")],
    lexicon: Annotated[
        list[Path] | None,
        typer.Option("--lexicon", help="A folder of your own words and rules; may be given again.", metavar="FOLDER"),
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print the changes as JSON.")] = False,
) -> None:
    """Show what is gone, what remains, has grown or is new since an earlier visit, and what was not looked at again.

    Lines are matched by where the camera went in. Nothing is called gone unless the later visit said that it is clear.

    \b
    Example:
        rodnote compare spring-visit autumn-visit
    """
    from dataclasses import asdict

    from extractor.cli.screen import output_console, print_on, put_bytes
    from extractor.job.apply import reviewed_record
    from extractor.job.folder import open_job
    from extractor.trade.compare import compare as compare_records
    from extractor.trade.comparison_section import comparison_section
    from extractor.trade.rules import load_rules

    rules = load_rules(*(lexicon or ()))
    old, new = (reviewed_record(open_job(folder)).record for folder in (old_job, new_job))
    found = compare_records(old, new, rules=rules)
    if as_json:
        import json

        put_bytes(json.dumps(asdict(found), indent=2, ensure_ascii=False).encode() + b"\n")
        return
    from rich.table import Table
    from rich.text import Text

    section = comparison_section(found, old, rules)
    console = output_console()
    assert section.table is not None, "a comparison always has its table"
    table = Table(*section.table.header, box=None, pad_edge=False)
    for cells in section.table.rows:
        table.add_row(*(Text(cell) for cell in cells))
    if section.table.rows:
        print_on(console, table)
    for paragraph in (*section.paragraphs, *section.notes):
        print_on(console, Text(paragraph))
