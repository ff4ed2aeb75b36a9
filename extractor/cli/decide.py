"""`rodnote decide`: one decision on a job, from a script."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from extractor.job.decisions import Deed, Value
    from extractor.review.session import Session


def decide(
    job: Annotated[Path, typer.Argument(help="The job folder.", metavar="JOB")],
    who: Annotated[
        str | None,
        typer.Option(
            "--who", help="Your name; else RODNOTE_REVIEWER or your login.", metavar="NAME", show_default=False
        ),
    ] = None,
    show: Annotated[bool, typer.Option("--show", help="Print open queries, answers and rows as JSON.")] = False,
    query: Annotated[str | None, typer.Option("--query", help="The query to answer.", metavar="ID")] = None,
    answer: Annotated[
        int | None, typer.Option("--answer", help="The number of the answer, from 1.", metavar="N")
    ] = None,
    value: Annotated[
        str | None,
        typer.Option("--value", help="Another value: a distance or amount as spoken or written.", metavar="TEXT"),
    ] = None,
    row: Annotated[str | None, typer.Option("--row", help="The row to decide on.", metavar="ID")] = None,
    sets: Annotated[
        list[str] | None,
        typer.Option("--set", help="A field to set, FIELD=VALUE; may be given again.", metavar="FIELD=VALUE"),
    ] = None,
    reject: Annotated[bool, typer.Option("--reject", help="Take the row out.")] = False,
    split: Annotated[bool, typer.Option("--split", help="Make a second row with what --set says.")] = False,
    merge: Annotated[str | None, typer.Option("--merge", help="The row that goes into --row.", metavar="ID")] = None,
    add: Annotated[
        str | None, typer.Option("--add", help="A new row on these words of the narration.", metavar="WORDS")
    ] = None,
    undo: Annotated[bool, typer.Option("--undo", help="Undo your last decision.")] = False,
    sign: Annotated[bool, typer.Option("--sign-off", help="Sign the record off.")] = False,
    because: Annotated[
        str, typer.Option("--because", help="Why, with harmful queries open; the report shows it.", metavar="REASON")
    ] = "",
    take_in: Annotated[
        Path | None,
        typer.Option("--take-in", help="Merge another reviewer's log, or job, of this visit.", metavar="PATH"),
    ] = None,
    lexicon: Annotated[
        list[Path] | None,
        typer.Option("--lexicon", help="A folder of your own words; may be given again.", metavar="FOLDER"),
    ] = None,
) -> None:
    """Take one decision on a job without a screen. It is on disk when the command returns.

    \b
    Examples:
        rodnote decide visit-job --show
        rodnote decide visit-job --query Q2 --answer 1
        rodnote decide visit-job --query Q3 --value "14 ft 2"
        rodnote decide visit-job --row O7 --set condition=crack --set "from_m=four point two"
        rodnote decide visit-job --row O7 --reject
        rodnote decide visit-job --row O7 --set run=R2
        rodnote decide visit-job --row O7 --split --set "from_m=6.3"
        rodnote decide visit-job --row O7 --merge O9
        rodnote decide visit-job --add "bit of a crack there" --set condition=crack --set run=R1
        rodnote decide visit-job --undo
        rodnote decide visit-job --take-in other/decisions.jsonl
        rodnote decide visit-job --sign-off --because "second visit on Monday"
    """
    from extractor.cli.visit import read_lexicon
    from extractor.errors import UsageError
    from extractor.job.decision_log import own_name
    from extractor.job.folder import open_job
    from extractor.review.session import open_session

    wanted = {
        "--show": show,
        "--query": query is not None,
        "--row": row is not None,
        "--add": add is not None,
        "--undo": undo,
        "--sign-off": sign,
        "--take-in": take_in is not None,
    }
    if sum(wanted.values()) != 1:
        raise UsageError(f"give one of {', '.join(wanted)}.", todo="See rodnote decide --help.")
    opened = open_job(job)
    if show:
        _show(opened.folder)
        return
    with open_session(opened, read_lexicon(lexicon or []), who or own_name()) as session:
        for report in session.reports:
            print(report)
        if undo:
            print(f"undone: {session.undo()}")
        elif sign:
            session.sign(because)
            print(session.status())
        elif take_in is not None:
            _take_in(session, take_in)
        else:
            if query is not None:
                deed = _answer(session, query, answer, value)
            elif add is not None:
                deed = _add(session, add, sets or [])
            else:
                deed = _change(session, row or "", sets or [], reject=reject, split=split, merge=merge)
            decision = session.take(deed)
            change = next(each for each in session.reviewed.changes if each.decision == decision.id)
            print(f"{decision.id}: {change.what}")


def _show(folder: Path) -> None:
    """Reading needs no lock and changes nothing."""
    import json

    from extractor.cli.screen import put_bytes
    from extractor.job.answers import choices_of
    from extractor.job.apply import reviewed_record
    from extractor.job.folder import open_job
    from extractor.job.harm import harm_of, most_harmful_first

    reviewed = reviewed_record(open_job(folder))
    record = reviewed.record
    queries = [
        {
            "id": query.id,
            "reason": query.reason,
            "harmful": harm_of(query, record).harmful,
            "question": query.question,
            "row": query.row,
            "quote": query.quote,
            "answers": [choice.label for choice in choices_of(query, reviewed)],
        }
        for query in most_harmful_first(record.queries, record)
    ]
    kinds = ("runs", "observations", "measurements", "actions", "conclusions")
    signed = vars(reviewed.sign_off) if reviewed.sign_off else None
    shown = {
        "queries": queries,
        "rows": [row.model_dump(mode="json", exclude_none=True) for kind in kinds for row in getattr(record, kind)],
        "sign_off": signed,
        "digest": reviewed.digest,
        "reports": reviewed.reports,
    }
    put_bytes(json.dumps(shown, indent=2, ensure_ascii=False).encode("utf-8", "replace") + b"\n")


def _answer(session: "Session", id: str, number: int | None, value: str | None) -> "Deed":
    from extractor.errors import DecisionError, UsageError
    from extractor.language.measures import measure_grammar
    from extractor.review.other_value import found_deed, search, typed_deed, wanted_of

    query = next((query for query in session.queue() if query.id == id), None)
    if query is None:
        raise DecisionError(f"there is no open query {id}.", todo="rodnote decide JOB --show lists them.")
    if (number is None) == (value is None):
        raise UsageError("--query needs --answer N or --value TEXT.")
    if number is not None:
        choices = session.choices(query)
        if not 1 <= number <= len(choices):
            raise DecisionError(f"query {id} has the answers 1 to {len(choices)}.")
        return choices[number - 1].deed
    wanted = wanted_of(query, session.reviewed)
    if wanted is None:
        raise DecisionError(f"query {id} has no other value.")
    if not wanted.kinds:
        return typed_deed(query, value or "", session.reviewed, measure_grammar(session.lexicon))
    found = [each for each in search(value or "", session.lexicon, wanted.kinds) if value in (each.entry.id, each.form)]
    if not found:
        raise DecisionError(f"{value!r} is no word of the lexicon.", todo=f"Look it up: rodnote lexicon find {value}")
    return found_deed(query, found[0], session.reviewed)


def _change(session: "Session", row: str, sets: list[str], *, reject: bool, split: bool, merge: str | None) -> "Deed":
    from extractor.errors import DecisionError, UsageError
    from extractor.job.answers import change_deed, merge_deed, reject_deed, split_deed

    gone = {each.id for each in session.reviewed.rejected}
    for id in (row, merge):
        if id is not None and id not in session.rows and id not in gone:
            raise DecisionError(f"there is no row {id}.", todo="rodnote decide JOB --show lists them.")
    if reject + split + (merge is not None) > 1 or ((reject or merge) and sets) or not (reject or merge or sets):
        raise UsageError("--row needs one of --set (with --split or without), --reject, --merge.")
    try:
        if reject:
            return reject_deed(row, session.reviewed)
        if merge is not None:
            return merge_deed(row, merge, session.reviewed)
        fields = _fields(session, row, sets)
        return (split_deed if split else change_deed)(row, session.reviewed, fields)
    except KeyError as error:
        raise DecisionError(f"{error.args[0]}.") from error


def _add(session: "Session", quote: str, sets: list[str]) -> "Deed":
    from extractor.errors import DecisionError
    from extractor.job.answers import add_deed
    from extractor.review.marking import name_words, spot_of

    wanted = " ".join(quote.split())
    spots = [
        (source, first)
        for source in range(len(session.reviewed.record.sources))
        for first in spot_of(wanted, session.narration(source).text)
    ]
    if len(spots) != 1:
        times = "not" if not spots else f"{len(spots)} times"
        raise DecisionError(
            f"“{wanted}” was {times} said.", todo="Give words that were said once, as they are written."
        )
    source, first = spots[0]
    name = name_words(session, source, first, first + len(wanted))
    try:
        return add_deed(name, session.reviewed, _fields(session, "", sets))
    except KeyError as error:
        raise DecisionError(f"{error.args[0]}.") from error


def _fields(session: "Session", id: str, sets: list[str]) -> dict[str, "Value"]:
    """FIELD=VALUE as fields of the row: an id or a word of a choice as it is, a quantity in any form."""
    from extractor.errors import DecisionError, UsageError
    from extractor.job.naming import kind_of
    from extractor.language.measures import measure_grammar
    from extractor.review.fields import FIELDS
    from extractor.review.other_value import value_of

    gone = {each.id: each for each in session.reviewed.rejected}
    row = session.rows.get(id) or gone.get(id)
    kind = kind_of(row) if row is not None else "observation"
    known = {field.name: field for field in FIELDS[kind]}
    grammar = measure_grammar(session.lexicon)
    out: dict[str, Value] = {}
    for pair in sets:
        name, equals, text = pair.partition("=")
        if not equals:
            raise UsageError(f"{pair!r} is no FIELD=VALUE.")
        field = known.get(name)
        if field is None:
            raise DecisionError(f"a {kind} has no field {name!r}.", todo=f"It has {', '.join(known)}.")
        if field.asked in ("lexicon", "run", "one_of"):
            if not text and not field.may_be_none:
                raise DecisionError(f"{name} can't be empty.")
            out[name] = text or None
        else:
            out.update(value_of(field, text, row, session.reviewed.record.spoken_unit, grammar))
    return out


def _take_in(session: "Session", path: Path) -> None:
    merged = session.take_in(path)
    print(f"{len(merged.new)} decisions taken in, {merged.known} known already.")
    for line in merged.unread:
        print(f"line {line} of {path} can't be read and was left out.")
    if session.reviewed.raised:
        print(f"{len(session.reviewed.raised)} queries came of it: rodnote review {session.job.folder}")
