"""Rows and runs as the screen says them: the lexicon's labels, metres, and feet where the visit spoke feet."""

from dataclasses import dataclass
from typing import Any

from extractor.job.naming import Row
from extractor.job.wording import value_words
from extractor.lexicon.load import Lexicon
from extractor.record import Action, Conclusion, Measurement, Observation, Record, Run, SpokenCorrection

FOOT_M = 0.3048  # exact: international yard and pound agreement of 1959
OUTCOMES = {"open": "open", "cleared": "cleared", "partly_cleared": "partly cleared"}
END_REASONS = {
    "reached": "reached",
    "could_not_pass": "could not pass",
    "cable_limit": "out of cable",
    "capped": "capped",
    "stopped": "stopped there",
}
ROLES = {"chainage": "distance", "surface": "over the ground", "other": "amount"}
LEXICON_FIELDS = {"condition", "component", "structure", "action", "target", "end_at", "start.structure"}


@dataclass(frozen=True)
class Told:
    """A row in its parts, each short: kind of row, where, at what distance, what, how sure, how it was left."""

    kind: str
    where: str
    at: str
    what: str
    sure: str
    left: str


class Speaker:
    """Says rows of one record."""

    def __init__(self, record: Record, lexicon: Lexicon) -> None:
        self.record, self.lexicon = record, lexicon
        self.feet = record.spoken_unit == "ft"

    def metres(self, value: float | None) -> str:
        """ "4.2 m", or "4.27 m (14 ft)"."""
        if value is None:
            return ""
        feet = f" ({_number(value / FOOT_M, 1)} ft)" if self.feet else ""
        return f"{_number(value)} m{feet}"

    def distance(self, row: Observation) -> str:
        """ "about 4.2 m", "3 to 4.5 m", "" where none was said."""
        if row.from_m is None:
            return ""
        about = "about " if row.approximate else ""
        if row.to_m is None:
            return about + self.metres(row.from_m)
        return f"{about}{_number(row.from_m)} to {self.metres(row.to_m)}"

    def run(self, run: Run) -> str:
        """ "R1 septic tank, inlet, upstream, to 9.4 m: could not pass"."""
        label = self.lexicon.label(run.start.structure) or "start not said"
        parts = [f"{run.id} {label}" + (f" {run.start.label}" if run.start.label else "")]
        parts += [part for part in (run.start.port, run.direction) if part]
        parts.append(f"to {self.metres(run.end_m)}" if run.end_m is not None else "end not said")
        why = END_REASONS.get(run.end_reason or "", "")
        at = self.lexicon.label(run.end_at)
        tail = f"{why} {at}".strip() if why in ("", "reached") else f"{why} ({at})" if at else why
        return ", ".join(parts) + (f": {tail}" if tail else "")

    def told(self, row: Row) -> Told:
        """The row in its parts."""
        label = self.lexicon.label
        if isinstance(row, Observation):
            where = row.run or " ".join(filter(None, (label(row.structure), row.structure_label)))
            sure = "in doubt" if row.certainty == "tentative" else "certain"
            left = OUTCOMES[row.outcome] if row.condition not in (None, "sound") and row.polarity == "present" else ""
            return Told("seen", where, self.distance(row), self._thing(row), sure, left)
        if isinstance(row, Action):
            result = {"done": "done", "partial": "in part", "failed": "failed"}.get(row.result or "", "")
            reach = f"{self.metres(row.reach_m)} far" if row.reach_m is not None else ""
            what = " ".join(filter(None, (label(row.action), f"({label(row.target)})" if row.target else "")))
            return Told("work", row.run or "", reach, what, "", result)
        if isinstance(row, Measurement):
            where = row.run or label(row.structure)
            return Told("measured", where, "", self._measured(row), "about" if row.approximate else "", "")
        if isinstance(row, Conclusion):
            kind = "main trouble" if row.kind == "main_issue" else "advice"
            return Told(kind, "", "", label(row.condition) or row.quote, "", "")
        if isinstance(row, SpokenCorrection):
            return Told("corrected", "", "", f"{row.withdrawn} → {row.kept or 'nothing'}", "", "")
        return Told("run", row.id, self.metres(row.end_m), self.run(row), "", END_REASONS.get(row.end_reason or "", ""))

    def line(self, row: Row) -> str:
        """The row in one line: "R1, 4.2 m: crack, joint; in doubt; open"."""
        if isinstance(row, Run):
            return self.run(row)
        told = self.told(row)
        where = ", ".join(filter(None, (told.where, told.at)))
        if isinstance(row, Observation) and row.run and row.from_m is None:
            where += ", no distance"
        tail = "; ".join(filter(None, (told.what, told.sure, told.left)))
        if not isinstance(row, Observation):
            tail = f"{told.kind}: {tail}"
        return f"{where}: {tail}" if where else tail

    def value(self, name: str, value: Any) -> str:
        """One field as the form shows it."""
        if value is None:
            return "–"
        if name in LEXICON_FIELDS and isinstance(value, str):
            return self.lexicon.label(value)
        if name.endswith("_m") and isinstance(value, int | float):
            return self.metres(value)
        if name == "run":
            return str(value)
        return value_words(name, value)

    def _thing(self, row: Observation) -> str:
        condition = self.lexicon.label(row.condition)
        on = self.lexicon.label(row.component) if row.component not in (None, "pipe") else ""
        head = condition or on or self.lexicon.label(row.structure) or "pipe"
        if row.polarity == "absent":
            head = f"no {head}"
        elif row.extent and condition:
            head = f"{row.extent} {head}"
        parts = [head]
        if condition and on and on.casefold() not in condition.casefold():
            parts.append(on)
        if row.clock:
            first, last = row.clock
            parts.append(f"{first} o'clock" if first == last else f"{first} to {last} o'clock")
        if row.count is not None:
            parts.append(f"{row.count} of them")
        if row.detail:
            parts.append(row.detail)
        return ", ".join(parts)

    def _measured(self, row: Measurement) -> str:
        role = ROLES.get(row.role, row.role)
        if row.unit == "m":
            small = max(row.low, row.high) < 1 and row.role not in ("chainage", "reach", "surface")
            low, high, unit = (row.low * 1000, row.high * 1000, "mm") if small else (row.low, row.high, "m")
            places = 0 if small else 2
        else:
            low, high, unit, places = row.low, row.high, "" if row.unit == "ratio" else row.unit, 2
        number = _number(low, places) if low == high else f"{_number(low, places)} to {_number(high, places)}"
        return f"{role} {'1 in ' if row.unit == 'ratio' else ''}{number} {unit}".strip()


def clock(seconds: float | None) -> str:
    """A time in the recording: "2:13", "1:02:13"; "" where there is none."""
    if seconds is None:
        return ""
    minutes, left = divmod(max(0, int(seconds)), 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours}:{minutes:02}:{left:02}" if hours else f"{minutes}:{left:02}"


def _number(value: float, places: int = 2) -> str:
    text = f"{value:.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
