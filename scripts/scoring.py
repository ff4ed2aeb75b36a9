"""How well the extractor reads recordings that you have annotated yourself.

    scripts/score FOLDER            figures over all of FOLDER
    scripts/score FOLDER --misses   and every row that differs

FOLDER holds narrations (NAME.srt, .vtt, .txt or .json) and beside each, as NAME.gold.json, the record that a careful
reader would make of it: the fields of `extractor/record.py` that are the contract's, nothing more.

Two distances agree within a centimetre, or two thousandths of the distance. Rows are paired one to one, the likeliest
pairs first; a pair needs the same condition and polarity (rows.what), then the same run or structure, component and
distance (rows.core), then the rest (rows.full). `silent_wrong` are rows that are wrong with no query on their words,
`silent_missed` defects that are missed so; of these two, 0 is best.
"""

import argparse
import json
import re
import sys
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from extractor import extract, load_lexicon, read_narration

Part = Mapping[str, Any]
Pairs = list[tuple[int, int]]

NEAR_M, NEAR_SHARE = 0.011, 0.002
NEAR_VALUE = 0.006  # a measured value as said, inches rounded
DETAILS = ("certainty", "outcome", "extent", "clock", "count", "approximate")
LISTS = ("runs", "observations", "measurements", "actions", "corrections", "conclusions", "queries")
NO_DEFECT = (None, "sound", "flowing", "live")
READABLE = (".srt", ".vtt", ".txt", ".json")


@dataclass
class Score:
    """Counts by figure, and in words what differed."""

    right: Counter[str] = field(default_factory=Counter)
    found: Counter[str] = field(default_factory=Counter)
    wanted: Counter[str] = field(default_factory=Counter)
    misses: list[str] = field(default_factory=list)

    def count(self, figure: str, right: int, found: int, wanted: int) -> None:
        self.right[figure] += right
        self.found[figure] += found
        self.wanted[figure] += wanted

    def add(self, other: "Score") -> None:
        for figure in other.wanted:
            self.count(figure, other.right[figure], other.found[figure], other.wanted[figure])

    def precision_recall_f1(self, figure: str) -> tuple[float, float, float]:
        precision = self.right[figure] / self.found[figure] if self.found[figure] else 1.0
        recall = self.right[figure] / self.wanted[figure] if self.wanted[figure] else 1.0
        return precision, recall, 2 * precision * recall / (precision + recall) if precision + recall else 0.0


def score_record(text: str, gold: Part, record: Part) -> Score:
    """`text` is the narration's words on one line; `gold` and `record` hold the contract's lists."""
    score = Score()
    runs = _align_runs(gold["runs"], record["runs"])
    _score_runs(score, runs, gold["runs"], record["runs"])
    _score_rows(score, text, runs, gold["observations"], record)
    _score_values(score, text, gold["measurements"], record["measurements"])
    _score_rest(score, text, gold, record)
    quotes = [part.get("quote") for name in LISTS[1:] for part in record[name]]
    score.count("quotes_in_words", sum(bool(_places(text, quote)) for quote in quotes), len(quotes), len(quotes))
    return score


def _score_runs(score: Score, runs: Mapping[str, str], gold: Sequence[Part], found: Sequence[Part]) -> None:
    wanted = {run["id"]: run for run in gold}
    score.count("runs", len(runs), len(found), len(gold))
    agree: Counter[str] = Counter()
    for run in found:
        if run["id"] not in runs:
            score.misses.append(f"run too many: {run}")
            continue
        match = wanted[runs[run["id"]]]
        same = {
            "start": _start(match) == _start(run),
            "direction": match.get("direction") == run.get("direction"),
            "end": _near(match.get("end_m"), run.get("end_m")),
            "end_reason": match.get("end_reason") == run.get("end_reason"),
        }
        agree.update(name for name, holds in same.items() if holds)
        if not all(same.values()):
            score.misses.append(f"run differs: {match} <> {run}")
    score.misses += [f"run missed: {run}" for run in gold if run["id"] not in runs.values()]
    for name in ("start", "direction", "end", "end_reason"):
        score.count(f"runs.{name}", agree[name], len(found), len(gold))


def _score_rows(score: Score, text: str, runs: Mapping[str, str], gold: Sequence[Part], record: Part) -> None:
    found = record["observations"]
    asked = [query.get("quote") for query in record["queries"]]

    def is_asked(row: Part) -> bool:
        return any(_overlap(text, row.get("quote"), quote) for quote in asked)

    def same_what(g: Part, f: Part) -> bool:
        if (g.get("condition"), g.get("polarity")) != (f.get("condition"), f.get("polarity")):
            return False
        return g.get("condition") is not None or _component(g) == _component(f)

    def same_place(g: Part, f: Part) -> bool:
        if g.get("run"):
            return bool(g["run"] == runs.get(f.get("run") or ""))
        return bool(g.get("structure") == f.get("structure"))

    def same_spot(g: Part, f: Part) -> bool:
        return _near(g.get("from_m"), f.get("from_m")) and _near(g.get("to_m"), f.get("to_m"))

    def same_component(g: Part, f: Part) -> bool:
        return _component(g) == _component(f)

    def likeness(g: Part, f: Part) -> float:
        if not same_what(g, f):
            return 0
        quoted = _overlap(text, g.get("quote"), f.get("quote"))
        return 1 + 3 * same_place(g, f) + 3 * same_spot(g, f) + 2 * same_component(g, f) + quoted

    pairs = _pair(gold, found, likeness)
    agree: Counter[str] = Counter()
    wrong = [row for j, row in enumerate(found) if j not in {j for _, j in pairs}]
    score.misses += [f"row too many: {row}" for row in wrong]
    for i, j in pairs:
        g, f = gold[i], found[j]
        core = same_place(g, f) and same_spot(g, f) and same_component(g, f)
        details = [name for name in DETAILS if _detail(g, name) == _detail(f, name)]
        agree.update(details)
        agree["core"] += core
        agree["full"] += core and len(details) == len(DETAILS)
        if not core:
            wrong.append(f)
        if not core or len(details) < len(DETAILS):
            score.misses.append(f"row differs: {g} <> {f}")
    paired = {i for i, _ in pairs}
    missed = [row for i, row in enumerate(gold) if i not in paired]
    score.misses += [f"row missed: {row}" for row in missed]
    score.count("rows.what", len(pairs), len(found), len(gold))
    score.count("rows.core", agree["core"], len(found), len(gold))
    score.count("rows.full", agree["full"], len(found), len(gold))
    for name in DETAILS:
        score.count(f"rows.{name}", agree[name], len(pairs), len(pairs))
    defects = sum(map(_is_defect, gold))
    score.count("silent_wrong", sum(not is_asked(row) for row in wrong), len(found), len(found))
    silent = sum(_is_defect(row) and not is_asked(row) for row in missed)
    score.count("silent_missed", silent, defects, defects)


def _score_values(score: Score, text: str, gold: Sequence[Part], found: Sequence[Part]) -> None:
    def likeness(g: Part, f: Part) -> float:
        near = all(_near(g[end], f.get(end), NEAR_VALUE) for end in ("low", "high"))
        if g.get("unit") != f.get("unit") or not near:
            return 0
        return 1 + 2 * _overlap(text, g.get("quote"), f.get("quote")) + (g.get("role") == f.get("role"))

    pairs = _pair(gold, found, likeness)
    score.count("values", len(pairs), len(found), len(gold))
    roles = sum(gold[i].get("role") == found[j].get("role") for i, j in pairs)
    score.count("values.role", roles, len(found), len(gold))


def _score_rest(score: Score, text: str, gold: Part, record: Part) -> None:
    def quoted(g: Part, f: Part) -> bool:
        return _overlap(text, g.get("quote"), f.get("quote"))

    def action(g: Part, f: Part) -> float:
        same = g["action"] == f.get("action")
        return 1 + (g.get("target") == f.get("target")) + quoted(g, f) if same else 0

    def correction(g: Part, f: Part) -> float:
        kept, read = _bare(g.get("kept")), _bare(f.get("kept"))
        return quoted(g, f) and (kept in read or read in kept)

    def conclusion(g: Part, f: Part) -> float:
        return (g["kind"], g.get("condition")) == (f.get("kind"), f.get("condition"))

    likenesses: dict[str, Callable[[Part, Part], float]] = {
        "actions": action,
        "corrections": correction,
        "conclusions": conclusion,
        "queries": quoted,
    }
    for name, likeness in likenesses.items():
        pairs = _pair(gold[name], record[name], likeness)
        score.count(name, len(pairs), len(record[name]), len(gold[name]))
        paired_gold, paired_found = {i for i, _ in pairs}, {j for _, j in pairs}
        score.misses += [f"{name} missed: {part}" for i, part in enumerate(gold[name]) if i not in paired_gold]
        if name != "queries":  # one query more is a matter of taste, not an error
            score.misses += [f"{name} too many: {part}" for j, part in enumerate(record[name]) if j not in paired_found]


def _align_runs(gold: Sequence[Part], found: Sequence[Part]) -> dict[str, str]:
    """Found run -> gold run, in order on both sides, so that the sum of likenesses is the greatest."""

    def likeness(g: Part, f: Part) -> float:
        (structure, port), (found_structure, found_port) = _start(g), _start(f)
        return (
            0.5  # two runs of nothing alike are still two runs
            + 3 * (structure == found_structure)
            + (port == found_port)
            + (g.get("direction") == f.get("direction"))
            + 3 * _near(g.get("end_m"), f.get("end_m"))
        )

    row: list[tuple[float, Pairs]] = [(0.0, [])] * (len(found) + 1)
    for i, g in enumerate(gold):
        above, row = row, [(0.0, [])]
        for j, f in enumerate(found):
            total, pairs = above[j]
            options = [above[j + 1], row[j], (total + likeness(g, f), [*pairs, (i, j)])]
            row.append(max(options, key=lambda option: option[0]))
    return {found[j]["id"]: gold[i]["id"] for i, j in row[-1][1]}


def _pair(gold: Sequence[Part], found: Sequence[Part], likeness: Callable[[Part, Part], float]) -> Pairs:
    """One-to-one pairs of what is alike at all, the likeliest first; earlier ones first where equally likely."""
    candidates = [(-likeness(g, f), i, j) for i, g in enumerate(gold) for j, f in enumerate(found)]
    pairs: Pairs = []
    free_gold, free_found = set(range(len(gold))), set(range(len(found)))
    for unlikeness, i, j in sorted(candidates):
        if unlikeness < 0 and i in free_gold and j in free_found:
            free_gold.remove(i)
            free_found.remove(j)
            pairs.append((i, j))
    return pairs


def _start(run: Part) -> tuple[str | None, str | None]:
    start = run.get("start") or {}
    return start.get("structure"), start.get("port")


def _component(row: Part) -> str:
    return row.get("component") or "pipe"


def _detail(row: Part, name: str) -> object:
    value = row.get(name)
    if name == "approximate":
        return bool(value)
    return list(value) if name == "clock" and value is not None else value


def _is_defect(row: Part) -> bool:
    return row.get("polarity") == "present" and row.get("condition") not in NO_DEFECT


def _near(a: float | None, b: float | None, tolerance: float = NEAR_M) -> bool:
    if a is None or b is None:
        return a is None and b is None
    return abs(a - b) <= max(tolerance, NEAR_SHARE * max(abs(a), abs(b)))


def _bare(words: str | None) -> str:
    return " ".join(re.findall(r"[a-z0-9.]+", (words or "").lower()))


def _places(text: str, quote: str | None) -> list[tuple[int, int]]:
    """Where the quote stands in the text, as (first, last) characters; nowhere where there is no quote."""
    words = " ".join((quote or "").split())
    return [(m.start(), m.start() + len(words)) for m in re.finditer(f"(?={re.escape(words)})", text)] if words else []


def _overlap(text: str, a: str | None, b: str | None) -> bool:
    return any(s < y and x < e for s, e in _places(text, a) for x, y in _places(text, b))


def _cases(folder: Path) -> Iterator[tuple[Path, Path]]:
    """(narration, gold) of each annotated recording."""
    for gold in sorted(folder.glob("*.gold.json")):
        name = gold.name.removesuffix(".gold.json")
        narration = next((gold.with_name(name + end) for end in READABLE if gold.with_name(name + end).is_file()), None)
        if narration is None:
            print(f"{gold}: there is no narration beside it", file=sys.stderr)
        else:
            yield narration, gold


def main() -> int:
    parser = argparse.ArgumentParser(
        prog="scripts/score", description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("folder", type=Path, metavar="FOLDER")
    parser.add_argument("--lexicon", type=Path, action="append", default=[], help="a folder of your own words")
    parser.add_argument("--misses", action="store_true", help="print every row that differs")
    asked = parser.parse_args()
    lexicon = load_lexicon(*asked.lexicon)
    total, cases = Score(), 0
    for path, gold in _cases(asked.folder):
        narration = read_narration(path)
        record = extract(narration, lexicon).model_dump(mode="json")
        score = score_record(narration.text, json.loads(gold.read_text(encoding="utf-8")), record)
        total.add(score)
        cases += 1
        rows = "  ".join(
            f"{name} {score.precision_recall_f1(f'rows.{name}')[2]:.2f}" for name in ("what", "core", "full")
        )
        print(f"{path.name:40} {rows}")
        if asked.misses:
            print(*(f"    {miss}" for miss in score.misses), sep="\n")
    if not cases:
        print(f"{asked.folder}: no NAME.gold.json with its narration beside it", file=sys.stderr)
        return 1
    print(f"\n{'':16} {'right':>6} {'found':>6} {'wanted':>6}  {'precision':>9} {'recall':>7} {'f1':>6}")
    for figure in total.wanted:
        precision, recall, f1 = total.precision_recall_f1(figure)
        counts = f"{total.right[figure]:6} {total.found[figure]:6} {total.wanted[figure]:6}"
        print(f"{figure:16} {counts}  {precision:9.3f} {recall:7.3f} {f1:6.3f}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
