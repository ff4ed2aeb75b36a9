"""Two visits to the same lines: what is gone, remains, has grown, is new, and what was not looked at again.

    old: roots at 4.0 m, open; new: "no roots at all, clear to nine"   ->  gone
    old: roots at 4.0 m, slight; new: roots at 4.2 m, severe            ->  grown

Lines are matched by where the camera went in; distances agree within a tolerance that grows with the distance. Nothing
is called gone because nobody spoke of it: a place that the camera passed again in silence is "not mentioned".
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from extractor.record import Observation, Record
from extractor.trade.changes import Change, Status, no_worse, one_kind, worse
from extractor.trade.pipes import Feature, Pipe, find_features, find_pipes
from extractor.trade.rows import furthest_m, is_trouble, keyed, named, run_of
from extractor.trade.rules import Rules
from extractor.trade.same_lines import matched_lines

Axis = Callable[[float], float]  # a place on the new pipe's axis -> the same place on the old one's, metres


@dataclass(frozen=True, slots=True)
class Line:
    """A line of both visits. `turned` where the new visit came from the other end; `length_m` then places it."""

    old: tuple[str, ...]
    new: tuple[str, ...]
    turned: bool = False
    length_m: float | None = None


@dataclass(frozen=True, slots=True)
class Comparison:
    """All changes: each finding of the old visit in exactly one of them, each of the new one too."""

    lines: tuple[Line, ...]
    changes: tuple[Change, ...]
    old_only: tuple[str, ...] = ()
    new_only: tuple[str, ...] = ()

    def count(self, status: Status) -> int:
        return sum(change.status == status for change in self.changes)


def compare(old: Record, new: Record, *, rules: Rules) -> Comparison:
    """The changes from the old visit to the new one, line by line in the order of the old narration, then places."""
    old_pipes, new_pipes = find_pipes(old, rules)[0], find_pipes(new, rules)[0]
    pairs = list(matched_lines(old, new, old_pipes, new_pipes))
    changes: list[Change] = []
    lines: list[Line] = []
    taken: set[str] = set()
    for old_pipe, new_pipe, length in pairs:
        runs = tuple(part.run for part in old_pipe.parts)
        if new_pipe is None:
            changes += _all_of(old, old_pipe, rules, "not_looked_at", "the line was not looked at again")
            continue
        taken.add(new_pipe.id)
        lines.append(Line(runs, tuple(part.run for part in new_pipe.parts), length is not None, length))
        changes += _line_changes(old, new, old_pipe, new_pipe, length, rules)
    for pipe in new_pipes:
        if pipe.id not in taken:
            changes += _all_of(new, pipe, rules, "new", "the line was not looked at before")
    changes += _unplaced_and_places(old, new, pairs, rules)
    matched_old = {run for line in lines for run in line.old}
    matched_new = {run for line in lines for run in line.new}
    return Comparison(
        tuple(lines),
        tuple(changes),
        tuple(run.id for run in old.runs if run.id not in matched_old),
        tuple(run.id for run in new.runs if run.id not in matched_new),
    )


def _line_changes(
    old: Record, new: Record, old_pipe: Pipe, new_pipe: Pipe, length: float | None, rules: Rules
) -> Iterator[Change]:
    def on_old_axis(at: float) -> float:
        return at if length is None else length - at

    before = [each for each in find_features(old, old_pipe, rules) if _trouble(each, rules)]
    after = [each for each in find_features(new, new_pipe, rules) if _trouble(each, rules)]
    tolerance = rules.tolerance("two visits")
    near: list[tuple[float, int, int, float]] = []
    for i, one in enumerate(before):
        for j, other in enumerate(after):
            low, high = sorted((on_old_axis(other.from_m), on_old_axis(other.to_m)))
            gap = _gap(one.from_m, one.to_m, low, high)
            hedged = any(row.approximate for row in (*one.rows, *other.rows))
            allowed = tolerance.at(max(one.to_m, high), approximate=hedged)
            if gap <= allowed and one_kind(one.rows[-1], other.rows[-1], rules):
                near.append((gap, i, j, allowed))
    partner: dict[int, tuple[int, float]] = {}
    used: set[int] = set()
    for _, i, j, allowed in sorted(near):
        if i not in partner and j not in used:
            partner[i] = (j, allowed)
            used.add(j)
    line = " and ".join(part.run for part in old_pipe.parts)
    for i, one in enumerate(before):
        if i in partner:
            j, allowed = partner[i]
            at = min(on_old_axis(after[j].from_m), on_old_axis(after[j].to_m))
            yield _again(one, after[j], line, at, allowed, rules)
        else:
            yield _no_longer(new, new_pipe, one, line, on_old_axis, rules)
    for j, other in enumerate(after):
        if j not in used:
            at = min(on_old_axis(other.from_m), on_old_axis(other.to_m))
            yield Change(
                "new", line, named(other.rows[-1], rules), (), other.keys, None, at, "not there at the first visit"
            )


def _gap(low: float, high: float, low_2: float, high_2: float) -> float:
    """Metres between two stretches; 0 where they overlap."""
    return max(low_2 - high, low - high_2, 0.0)


def _trouble(feature: Feature, rules: Rules) -> bool:
    return is_trouble(feature.rows[-1], rules)


def _again(old: Feature, new: Feature, line: str, at: float, allowed: float, rules: Rules) -> Change:
    before, after = old.rows[-1], new.rows[-1]
    what = named(after, rules)
    got_worse = worse(before, after, rules)
    old_length, new_length = old.to_m - old.from_m, new.to_m - new.from_m
    if not got_worse and new_length > old_length + allowed:
        got_worse = f"was {old_length:.2f} m long, is {new_length:.2f} m"
    if before.outcome == "cleared":
        status: Status = "new"
        note = "cleared at the first visit, and back again"
    elif got_worse:
        status, note = "grown", got_worse
    else:
        status, note = "remains", no_worse(before, after, rules)
    if after.outcome == "cleared":
        note += "; cleared at the second visit"
    return Change(status, line, what, old.keys, new.keys, old.from_m, at, note, allowed)


def _no_longer(new: Record, pipe: Pipe, one: Feature, line: str, on_old_axis: Axis, rules: Rules) -> Change:
    row = one.rows[-1]
    what = named(row, rules)
    tolerance = rules.tolerance("two visits")
    cleared = row.outcome == "cleared"
    passed = False
    for part in pipe.parts:
        run = run_of(new, part.run)
        end = furthest_m(new, run) if run else None
        if end is not None:
            low, high = sorted(on_old_axis(place) for place in pipe.span(part.run, 0.0, end))
            passed = passed or (low - tolerance.at(low) <= one.from_m and one.to_m <= high + tolerance.at(high))
    if not passed:
        note = "the camera did not get there again"
        if cleared:
            note = f"cleared at the first visit; {note}"
        return Change("not_looked_at", line, what, one.keys, (), one.from_m, None, note)
    denial = _denied(new, pipe, row, one, on_old_axis, rules)
    if denial:
        return Change("gone", line, what, one.keys, (denial,), one.from_m, None, "said to be clear at the second visit")
    note = "the camera passed the place and nothing was said of it"
    if cleared:
        note = f"cleared at the first visit; {note}"
    return Change("not_mentioned", line, what, one.keys, (), one.from_m, None, note)


def _denied(new: Record, pipe: Pipe, row: Observation, one: Feature, on_old_axis: Axis, rules: Rules) -> str | None:
    own = {part.run for part in pipe.parts}
    fine = rules.phrases("coverage", "conditions", "fine")
    for key, other in keyed(new):
        if other.run not in own or other.from_m is None:
            continue
        denies = other.polarity == "absent" and other.condition == row.condition
        praises = (
            other.polarity == "present"
            and other.condition == fine[0]
            and other.component in (None, "pipe", row.component)
        )
        if not denies and not praises:
            continue
        low, high = sorted(on_old_axis(place) for place in pipe.span(str(other.run), other.from_m, other.to_m))
        allowed = rules.tolerance("two visits").at(one.to_m, approximate=other.approximate or row.approximate)
        if low - allowed <= one.from_m and one.to_m <= high + allowed:
            return key
    return None


def _all_of(record: Record, pipe: Pipe, rules: Rules, status: Status, note: str) -> Iterator[Change]:
    line = " and ".join(part.run for part in pipe.parts)
    for each in find_features(record, pipe, rules):
        if _trouble(each, rules):
            what = named(each.rows[-1], rules)
            if status == "new":
                yield Change(status, line, what, (), each.keys, None, each.from_m, note)
            else:
                yield Change(status, line, what, each.keys, (), each.from_m, None, note)


def _unplaced_and_places(
    old: Record, new: Record, pairs: Sequence[tuple[Pipe, Pipe | None, float | None]], rules: Rules
) -> Iterator[Change]:
    """Findings with no distance, and findings at tanks, boxes and chambers: matched by place, part and condition."""
    line_of_old = {part.run: number for number, (pipe, _, _) in enumerate(pairs) for part in pipe.parts}
    line_of_new = {part.run: number for number, (_, pipe, _) in enumerate(pairs) if pipe for part in pipe.parts}

    def place(row: Observation, lines: dict[str, int], visit: str) -> tuple[object, ...]:
        if row.run is not None:
            return "line", lines.get(row.run, f"{visit} {row.run}")
        return "place", row.structure, row.structure_label

    def loose(record: Record) -> list[tuple[str, Observation]]:
        return [
            (key, row)
            for key, row in keyed(record)
            if is_trouble(row, rules) and (row.run is None or row.from_m is None)
        ]

    left = loose(new)
    looked_at = {row.structure for row in new.observations} | {action.target for action in new.actions}
    for key, row in loose(old):
        where = place(row, line_of_old, "old")
        name = row.run or rules.label(row.structure)
        same = [
            (other_key, other)
            for other_key, other in left
            if place(other, line_of_new, "new") == where
            and (other.component, other.condition) == (row.component, row.condition)
        ]
        if same:
            other_key, other = same[0]
            left.remove(same[0])
            got_worse = worse(row, other, rules)
            back = row.outcome == "cleared"
            status: Status = "new" if back else "grown" if got_worse else "remains"
            note = "cleared at the first visit, and back again" if back else got_worse or no_worse(row, other, rules)
            yield Change(status, name, named(row, rules), (key,), (other_key,), None, None, note)
            continue
        denial = next(
            (
                other_key
                for other_key, other in keyed(new)
                if place(other, line_of_new, "new") == where
                and other.component == row.component
                and (
                    (other.polarity == "absent" and other.condition == row.condition)
                    or (other.polarity == "present" and other.condition == "sound")
                )
            ),
            None,
        )
        if denial:
            yield Change("gone", name, named(row, rules), (key,), (denial,), None, None, "said to be in order now")
        elif (row.run is None and row.structure in looked_at) or where[1] in line_of_new.values():
            note = "nothing was said of it at the second visit"
            yield Change("not_mentioned", name, named(row, rules), (key,), (), None, None, note)
        else:
            note = "it was not looked at again"
            yield Change("not_looked_at", name, named(row, rules), (key,), (), None, None, note)
    for key, row in left:
        name = row.run or rules.label(row.structure)
        yield Change("new", name, named(row, rules), (), (key,), None, None, "not there at the first visit")
