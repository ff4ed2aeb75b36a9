"""The review line by line, for pipes, screen readers and slow links: one question, one line in answer."""

from collections.abc import Callable
from typing import TextIO

from extractor.errors import DecisionError
from extractor.job.answers import reject_deed, subject_of
from extractor.job.harm import harm_of
from extractor.language.measures import MeasureGrammar
from extractor.record import Query
from extractor.review.context_lines import surroundings
from extractor.review.lexicon_search import Found
from extractor.review.other_value import found_deed, search, typed_deed, wanted_of
from extractor.review.row_words import clock
from extractor.review.session import Session
from extractor.review.shown import shown
from extractor.review.teaching import fresh_lessons

WIDTH = 72

HELP = """\
A number takes that answer. Other lines:
  = 4.2      another value: a distance or an amount in any spoken or written form
  = crack    another thing: part of a word of the lexicon; choose by number from what is found
  x          take the row out
  l          leave it for later
  u          undo your last decision
  s          sign off; s REASON signs off with harmful queries open
  q          leave; everything decided is kept
  ?          this help"""


def review_plain(session: Session, grammar: MeasureGrammar, source: TextIO, sink: TextIO) -> bool:
    """Ask every open query, then for the sign-off. True where the record is signed off at the end.

    `source` gives one answer a line; its end leaves the review as `q` does.
    """

    def say(text: str = "") -> None:
        print("\n".join(map(shown, text.split("\n"))), file=sink, flush=True)

    for report in session.reports:
        say(report)
    say(f"{session.job.folder.name}: {len(session.queue())} queries, {session.status()}. Type ? for help.")
    while queue := session.queue():
        _ask(session, queue[0], say)
        if not _answered(session, queue[0], grammar, source, say):
            return session.reviewed.sign_off is not None
    for lesson in fresh_lessons(session.reviewed, session.lexicon):
        say(
            f"“{lesson.heard}” was answered as “{lesson.entry.label}” {lesson.times} times. To keep it for other jobs: "
            f"rodnote lexicon add “{lesson.heard}” --as {lesson.entry.kind}/{lesson.entry.id} --to FOLDER"
        )
    while session.reviewed.sign_off is None:
        say("No query is open. Sign off? s signs off, u undoes, q leaves.")
        line = _line(source)
        if line in (None, "q"):
            break
        if _command(session, line or "", say) is False:
            return review_plain(session, grammar, source, sink)
    say(f"{session.job.folder.name}: {session.status()}.")
    return session.reviewed.sign_off is not None


def _ask(session: Session, query: Query, say: Callable[[str], None]) -> None:
    queue = session.queue()
    harm = harm_of(query, session.reviewed.record)
    say("")
    say(f"{len(queue)} open. {'HARMFUL: ' if harm.harmful else ''}{harm.why}.")
    say(query.question or query.about)
    for source in dict.fromkeys(piece.source for piece in query.evidence):
        pieces = [piece for piece in query.evidence if piece.source == source]
        for line in surroundings(session.narration(source).words, pieces, WIDTH):
            say(f"  {clock(line.start_s):>7}  {line.text}".rstrip())
    if row := session.rows.get(subject_of(query, session.reviewed) or ""):
        say(f"  Record: {session.speaker.line(row)}")
    for number, choice in enumerate(session.choices(query), 1):
        say(f"  {number}  {choice.label}")
    if wanted := wanted_of(query, session.reviewed):
        say(f"  =  another: {wanted.prompt}{f' ({wanted.hint})' if wanted.hint else ''}")


def _answered(
    session: Session, query: Query, grammar: MeasureGrammar, source: TextIO, say: Callable[[str], None]
) -> bool:
    """Read lines until the query is answered or put off; False where the reviewer leaves."""
    while True:
        line = _line(source)
        if line is None or line == "q":
            say(f"Left; {session.taken_here} decisions kept. {session.status().capitalize()}.")
            return False
        try:
            if line == "l":
                session.later(query)
                say("For later.")
                return True
            if line.isdecimal():
                choices = session.choices(query)
                if not 1 <= int(line) <= len(choices):
                    raise DecisionError(f"there is no answer {line}; there are {len(choices)}.")
                session.take(choices[int(line) - 1].deed)
                say(f"Kept: {choices[int(line) - 1].label}.")
                return True
            if line == "x":
                row = subject_of(query, session.reviewed)
                if row is None:
                    raise DecisionError("there is no row to take out.")
                session.take(reject_deed(row, session.reviewed))
                say("Kept: row taken out.")
                return True
            if line.startswith("="):
                if _other(session, query, line[1:].strip(), grammar, source, say):
                    return True
                continue
            if _command(session, line, say) is False:
                return True
        except DecisionError as error:
            say(f"Not done: {error}")


def _other(
    session: Session,
    query: Query,
    text: str,
    grammar: MeasureGrammar,
    source: TextIO,
    say: Callable[[str], None],
) -> bool:
    wanted = wanted_of(query, session.reviewed)
    if wanted is None:
        raise DecisionError("this query has no other value.")
    if not wanted.kinds:
        decision = session.take(typed_deed(query, text, session.reviewed, grammar))
        say(f"Kept: {_what(session, decision.id)}.")
        return True
    found = search(text, session.lexicon, wanted.kinds)
    if not found:
        raise DecisionError(f"nothing in the lexicon is like {text!r}.")
    for number, each in enumerate(found, 1):
        say(f"  {number}  {_entry(each)}")
    say("Which number? (an empty line goes back)")
    line = _line(source) or ""
    if not (line.isdecimal() and 1 <= int(line) <= len(found)):
        return False
    decision = session.take(found_deed(query, found[int(line) - 1], session.reviewed))
    say(f"Kept: {_what(session, decision.id)}.")
    return True


def _command(session: Session, line: str, say: Callable[[str], None]) -> bool | None:
    """What may be typed anywhere; False where the queue has changed under the question."""
    try:
        if line == "u":
            say(f"Undone: {session.undo()}.")
            return False
        if line == "s" or line.startswith("s "):
            session.sign(line[2:])
            say(f"Kept: {session.status()}.")
            return None
    except DecisionError as error:
        say(f"Not done: {error}")
        return None
    say(HELP if line == "?" else f"“{line}” means nothing here. Type ? for help.")
    return None


def _what(session: Session, decision: str) -> str:
    return next((change.what for change in session.reviewed.changes if change.decision == decision), "done")


def _entry(found: Found) -> str:
    said = f" (“{found.form}”)" if found.form and found.form != found.entry.label else ""
    return f"{found.entry.label}{said}"


def _line(source: TextIO) -> str | None:
    """The next line, without the space round it; None at the end."""
    line = source.readline()
    return line.strip() if line else None
