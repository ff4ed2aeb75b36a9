"""Fit the confidence of rows to recordings that you have annotated, and say how well it holds.

    scripts/calibrate FOLDER...            table of promised and observed correctness, by cross-validation
    scripts/calibrate FOLDER... --write    and keep the weights fitted to all of them (extractor/survey/confidence.toml)
    scripts/calibrate FOLDER... --keep F   write each row's signs, and whether it was right, to F
    scripts/calibrate FOLDER... --from F   fit to what was kept in F, not to the folders

Rows of narrations that somebody has read to mend the grammar are nearly all right, and tell little of a voice that is
new. Keep what was made of new narrations before anybody read them, and fit to that:
fixtures/annotated/first_sight.jsonl.

FOLDER is what scripts/score takes. A row is right where condition, polarity, run or structure, component and distance
agree with a row of the annotation (rows.core of scripts/score). Narrations are kept whole: each is judged by weights
that were fitted without it. The weights are those of a logistic regression with a ridge, found by Newton's method.

The threshold under which a row is asked about is the least that leaves no more than --share of the rows wrong in
silence, or the highest that keeps the queries to --most of the rows on clean narrations (one row wrong at most).
"""

import argparse
import json
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import scoring

from extractor import load_lexicon, read_narration
from extractor.lexicon.load import Lexicon
from extractor.pipeline import read
from extractor.survey.confidence import Rated, Weights, ask_about
from extractor.survey.rows import QueryDraft
from extractor.survey.stages import Reading
from extractor.survey.writing import write_record

WEIGHTS = Path(__file__).parents[1] / "extractor" / "survey" / "confidence.toml"
RIDGE = 2.0
PARTS = 12  # of the cross-validation
FEWEST = 6  # rows that must show a sign before it is weighed
BINS = (0.0, 0.5, 0.7, 0.8, 0.9, 0.95, 0.98, 1.001)
STEPS = 25
WRONG_IN_CLEAN = 1


@dataclass(frozen=True)
class Judged:
    """One narration as read, and whether each row was right. Two of one name tell of one visit, and stay together."""

    name: str
    reading: Reading
    right: tuple[bool, ...]

    @property
    def signs(self) -> list[tuple[str, ...]]:
        return [rated.signs for rated in self.reading.rated]


@dataclass(frozen=True)
class Kept:
    """What was kept of one narration: the signs of its rows, and whether each was right."""

    name: str
    signs: Sequence[tuple[str, ...]]
    right: Sequence[bool]


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("folders", nargs="+", type=Path)
    parser.add_argument("--write", action="store_true", help="keep the weights fitted to all")
    parser.add_argument("--keep", type=Path, metavar="F", help="write the signs of the rows to this file")
    parser.add_argument("--from", type=Path, metavar="F", dest="kept", help="fit to the signs kept in this file")
    parser.add_argument("--share", type=float, default=0.03, help="rows that may be wrong with nobody asked (0.03)")
    parser.add_argument("--most", type=float, default=1 / 6, help="queries on clean narrations, of the rows (1/6)")
    args = parser.parse_args()
    lexicon = load_lexicon()
    judged = [each for folder in args.folders for each in judged_folder(folder, lexicon)]
    if args.keep:
        args.keep.write_text(kept_of(judged), encoding="utf-8")
        print(f"written: {args.keep}")
    fitted_to: Sequence[Judged | Kept] = read_kept(args.kept) if args.kept else judged
    if args.kept:
        print(f"{args.kept}:\n{table(fitted_to, cross_promised(fitted_to, fitted_to))}\n\nthe folders:")
    promised = cross_validated(judged, fitted_to)
    print(table(judged, [[rated.confidence for rated in each] for each in promised]))
    clean = [at for at, each in enumerate(judged) if each.right.count(False) <= WRONG_IN_CLEAN]
    outcomes = {
        below / 100: (
            outcome(judged, promised, below / 100),
            outcome([judged[at] for at in clean], [promised[at] for at in clean], below / 100),
        )
        for below in range(0, 96)
    }
    chosen = choose(outcomes, args.share, args.most)
    print("asking below  all narrations | clean ones")
    for below in sorted({0.0, 0.5, 0.6, 0.7, 0.8, 0.9, chosen}):
        print(f"{'*' if below == chosen else ' '} {below:.2f}  {outcomes[below][0]} | {outcomes[below][1]}")
    if args.write:
        WEIGHTS.write_text(written(fit(fitted_to), chosen), encoding="utf-8")
        print(f"written: {WEIGHTS}")
    return 0


def judged_folder(folder: Path, lexicon: Lexicon) -> Iterable[Judged]:
    """Every annotated narration of the folder, its rows judged."""
    for path, annotation in scoring._cases(folder):
        narration = read_narration(path)
        gold = json.loads(annotation.read_text("utf-8"))
        reading = read(narration, lexicon)
        record = write_record([reading], lexicon).model_dump()
        runs = scoring._align_runs(gold["runs"], record["runs"])
        right = _right(narration.text, gold["observations"], record["observations"], runs)
        yield Judged(path.name.split(".")[0], reading, tuple(at in right for at in range(len(reading.rows))))


def _right(text: str, gold: Sequence[Any], found: Sequence[Any], runs: Any) -> set[int]:
    """Which of the rows found agree with the annotation."""

    def same(g: Any, f: Any) -> tuple[bool, bool, bool, bool]:
        what = (g.get("condition"), g.get("polarity")) == (f.get("condition"), f.get("polarity"))
        part = scoring._component(g) == scoring._component(f)
        place = g["run"] == runs.get(f.get("run") or "") if g.get("run") else g.get("structure") == f.get("structure")
        spot = scoring._near(g.get("from_m"), f.get("from_m")) and scoring._near(g.get("to_m"), f.get("to_m"))
        return what and (g.get("condition") is not None or part), part, bool(place), spot

    def likeness(g: Any, f: Any) -> float:
        what, part, place, spot = same(g, f)
        return (1 + 3 * place + 3 * spot + 2 * part + scoring._overlap(text, g["quote"], f["quote"])) if what else 0

    return {j for i, j in scoring._pair(gold, found, likeness) if all(same(gold[i], found[j]))}


def kept_of(judged: Sequence[Judged]) -> str:
    """One narration a line: its name and its rows, each its signs and whether it was right."""
    lines = (
        json.dumps({"name": each.name, "rows": [list(row) for row in zip(each.signs, each.right, strict=True)]})
        for each in judged
    )
    return "\n".join(lines) + "\n"


def read_kept(path: Path) -> list[Kept]:
    kept = (json.loads(line) for line in path.read_text("utf-8").splitlines())
    return [
        Kept(one["name"], [tuple(signs) for signs, _ in one["rows"]], [right for _, right in one["rows"]])
        for one in kept
    ]


def fit(judged: Sequence[Judged | Kept]) -> Weights:
    """Logistic regression with a ridge on the signs that enough rows show."""
    rows = [row for each in judged for row in zip(each.signs, each.right, strict=True)]
    seen = Counter(sign for signs, _ in rows for sign in set(signs))
    names = sorted(sign for sign, times in seen.items() if times >= FEWEST)
    x = np.array([[1.0, *(float(name in signs) for name in names)] for signs, _ in rows])
    y = np.array([float(right) for _, right in rows])
    ridge = np.diag([0.01, *([RIDGE] * len(names))])
    weights = np.zeros(len(names) + 1)
    for _ in range(STEPS):
        p = 1 / (1 + np.exp(-x @ weights))
        gradient = x.T @ (y - p) - ridge @ weights
        curve = (x * (p * (1 - p))[:, None]).T @ x + ridge
        weights += np.linalg.solve(curve, gradient)
    signs = {name: round(float(weight), 2) for name, weight in zip(names, weights[1:], strict=True)}
    return Weights(round(float(weights[0]), 2), signs, 0.0)


def cross_promised(judged: Sequence[Judged | Kept], fitted_to: Sequence[Judged | Kept]) -> list[list[float]]:
    """The confidence of each narration's rows, by weights fitted without it."""
    names = sorted({each.name for each in (*judged, *fitted_to)})
    part_of = {name: at % PARTS for at, name in enumerate(names)}
    fitted = {part: fit([each for each in fitted_to if part_of[each.name] != part]) for part in range(PARTS)}
    return [[fitted[part_of[each.name]].confidence(signs) for signs in each.signs] for each in judged]


def cross_validated(judged: Sequence[Judged], fitted_to: Sequence[Judged | Kept]) -> list[list[Rated]]:
    """Each narration's rows, rated by weights fitted without it."""
    return [
        [replace(rated, confidence=promised) for rated, promised in zip(each.reading.rated, row, strict=True)]
        for each, row in zip(judged, cross_promised(judged, fitted_to), strict=True)
    ]


def table(judged: Sequence[Judged | Kept], promised: Sequence[Sequence[float]]) -> str:
    """Promised and observed correctness by bands of confidence."""
    rows = [
        (confidence, right)
        for each, rating in zip(judged, promised, strict=True)
        for confidence, right in zip(rating, each.right, strict=True)
    ]
    lines = ["confidence      rows  promised  observed"]
    for low, high in pairwise(BINS):
        inside = [(p, right) for p, right in rows if low <= p < high]
        if inside:
            mean, share = (sum(column) / len(inside) for column in zip(*inside, strict=True))
            lines.append(f"{low:.2f} to {min(high, 1):.2f} {len(inside):7} {mean:9.3f} {share:9.3f}")
    brier = sum((p - right) ** 2 for p, right in rows) / len(rows)
    base = sum(right for _, right in rows) / len(rows)
    lines.append(
        f"{len(rows)} rows, Brier score {brier:.4f}; {base * (1 - base):.4f} if every row were given {base:.3f}"
    )
    return "\n".join(lines)


@dataclass(frozen=True)
class Outcome:
    """What asking below a threshold comes to, all narrations together."""

    rows: int
    queries: int
    silent: int

    def __str__(self) -> str:
        return (
            f"{self.queries:4} queries, {self.rows} rows ({self.queries / max(1, self.rows):.3f}), "
            f"{self.silent:3} wrong in silence ({self.silent / max(1, self.rows):.3f})"
        )


def outcome(judged: Sequence[Judged], promised: Sequence[Sequence[Rated]], below: float) -> Outcome:
    rows = queries = silent = 0
    for each, rating in zip(judged, promised, strict=True):
        reading = each.reading
        told = [query for query in reading.queries if not query.by_confidence]
        asked = [*told, *ask_about(rating, reading.clauses, told, below)]
        rows += len(rating)
        queries += len(asked)
        silent += sum(not right and not _asked(rated, asked) for rated, right in zip(rating, each.right, strict=True))
    return Outcome(rows, queries, silent)


def _asked(rated: Rated, asked: Iterable[QueryDraft]) -> bool:
    return any(query.start < rated.row.end and rated.row.start < query.end for query in asked)


def choose(outcomes: dict[float, tuple[Outcome, Outcome]], share: float, most: float) -> float:
    """The least threshold with no more than `share` wrong in silence, or the highest that asks no more than `most`."""
    enough = [below for below, (found, _) in outcomes.items() if found.silent <= share * found.rows]
    spared = [below for below, (_, clean) in outcomes.items() if clean.queries <= most * clean.rows]
    return min(min(enough, default=1.0), max(spared, default=0.0))


def written(weights: Weights, ask_below: float) -> str:
    lines = [
        "# Weights of the signs of confidence.py, fitted by scripts/calibrate; made by machine, not to be edited.",
        f"start = {weights.start}",
        f"ask_below = {ask_below}",
        "",
        "[signs]",
        *(f'"{name}" = {weight}' for name, weight in sorted(weights.signs.items())),
    ]
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    raise SystemExit(main())
