"""What the terminal's table says of a row, a run and a record: short words for a narrow place."""

from extractor.lexicon.load import Lexicon
from extractor.record import Evidence, Observation, Record, Run
from extractor.report.amounts import FOOT_M, clock_time, o_clock, plain

END_REASONS = {
    "reached": "reached",
    "could_not_pass": "could not pass",
    "cable_limit": "no more cable",
    "capped": "capped end",
    "stopped": "stopped there by choice",
}
CERTAINTIES = {"stated": "stated", "tentative": "in doubt"}
OUTCOMES = {"open": "open", "cleared": "cleared", "partly_cleared": "partly cleared"}
REASONS = {
    "no_distance": "no distance",
    "unclear_word": "unclear word",
    "conflict": "two statements",
    "counter": "counter",
    "which_one": "which one",
    "unit": "unit",
    "doubt": "in doubt",
}


def distance_words(row: Observation, feet: bool = False) -> str:
    """Where a row lies along its run, without the unit: "4.2", "about 4.2", "0 to 9.4", or "" where nothing is said."""

    def said(value_m: float) -> str:
        return plain(value_m / FOOT_M, 1) if feet else plain(value_m)

    if row.from_m is None:
        return ""
    words = said(row.from_m) if row.to_m is None else f"{said(row.from_m)} to {said(row.to_m)}"
    return f"about {words}" if row.approximate else words


def heard_at(evidence: tuple[Evidence, ...], record: Record) -> str:
    """When the words were said, with the narration's number before it where the visit has several."""
    if not evidence:
        return ""
    words = clock_time(evidence[0].start_s)
    return f"[{evidence[0].source + 1}] {words}".rstrip() if len(record.sources) > 1 else words


def thing_words(row: Observation, lexicon: Lexicon) -> str:
    """What was seen, in the lexicon's labels: "severe root intrusion, joint, at 9 o'clock"; "no crack"."""
    condition = lexicon.label(row.condition)
    on = lexicon.label(row.component) if row.component not in (None, "pipe") else ""
    if not condition and row.count is not None:
        on = f"{row.count} × {on or 'pipe'}"
    head = condition or on or "pipe"
    if row.polarity == "absent":
        head = f"no {head}"
    elif row.extent and condition:
        head = f"{row.extent} {condition}"
    parts = [head, o_clock(row.clock)]
    if condition and on and on.casefold() not in condition.casefold():
        parts.insert(1, on)
    if condition and row.count is not None:
        parts.append(f"{row.count} of them")
    return ", ".join(part for part in parts if part)


def run_words(run: Run, lexicon: Lexicon, feet: bool = False) -> str:
    """One line for a run: "septic tank, inlet, upstream, to 9.4 m: could not pass (bend)"."""
    start = lexicon.label(run.start.structure) or "start not said"
    parts = [" ".join(filter(None, (start, run.start.label))), run.start.port, run.direction or "direction not said"]
    if run.end_m is None:
        parts.append("end not said")
    else:
        parts.append(f"to {plain(run.end_m)} m" + (f" ({plain(run.end_m / FOOT_M, 1)} ft)" if feet else ""))
    reason, at = END_REASONS.get(run.end_reason or "", ""), lexicon.label(run.end_at)
    stop = f"{reason} ({at})" if at and reason not in ("", "reached") else f"{reason} {at}".strip()
    return ", ".join(filter(None, parts)) + (f": {stop}" if stop else "")


def place_words(row: Observation, lexicon: Lexicon) -> str:
    """The structure of a row that lies off the pipe, with its label where there are several."""
    return " ".join(filter(None, (lexicon.label(row.structure), row.structure_label)))


def unread_words(record: Record) -> int:
    """How many words of the narrations led to nothing."""
    return sum(
        len(record.sources[piece.source].text[piece.first_char : piece.last_char].split())
        for piece in record.unread
        if piece.source < len(record.sources)
    )


def closing_line(record: Record) -> str:
    """What was made, in one line: rows, queries, words not understood."""

    def counted(number: int, one: str, many: str) -> str:
        return f"{number} {one if number == 1 else many}"

    return (
        f"{counted(len(record.observations), 'row', 'rows')} in {counted(len(record.runs), 'run', 'runs')}, "
        f"{counted(len(record.queries), 'query', 'queries')} to answer, "
        f"{counted(unread_words(record), 'word', 'words')} not understood."
    )
