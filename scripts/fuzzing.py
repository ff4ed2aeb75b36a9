"""Fuzz every kind of file that rodnote reads (tests/fuzz/targets.py) with mutations of real ones.

    scripts/fuzz                 100,000 inputs over all targets, on all cores
    scripts/fuzz 20000 --only extract --seed 7

An input that raises anything but our own errors, that breaks a promise, takes over ten seconds or over two gigabytes is
kept in fuzz-found/ with what it did; the exit status is then 1. The same seed gives the same inputs.
"""

import argparse
import multiprocessing
import os
import random
import resource
import signal
import sys
import time
import traceback
from collections import Counter
from contextlib import suppress
from dataclasses import dataclass, field
from hashlib import sha256
from pathlib import Path
from types import FrameType

ROOT = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT))

from extractor.errors import RodnoteError  # noqa: E402
from tests.fuzz.mutations import mutated  # noqa: E402
from tests.fuzz.targets import TARGETS  # noqa: E402

FOUND = ROOT / "fuzz-found"
LONGEST_S = 10
MOST_BYTES = 2 * 1024**3
SHARES = {"lexicon": 0.02, "job": 0.05, "extract": 0.25}  # of all inputs; the others share the rest evenly
BATCH = 500


@dataclass
class Tally:
    """What came of a batch: inputs borne, refused with our own errors, the slowest one in seconds, what was found."""

    target: str
    borne: int = 0
    refused: int = 0
    slowest_s: float = 0.0
    found: list[tuple[bytes, str]] = field(default_factory=list)


def batch(job: tuple[int, int, int]) -> Tally:
    """A batch of inputs for one target: (number of the target, seed, how many)."""
    number, seed, count = job
    target = TARGETS[number]
    chance = random.Random(f"{target.name} {seed}")
    seeds = target.seeds()
    tally = Tally(target.name)
    with suppress(RodnoteError):
        target.run(seeds[0], chance)  # what is loaded once is no part of an input's time
    for _ in range(count):
        data = mutated(seeds, chance)
        began = time.perf_counter()
        signal.alarm(LONGEST_S)
        try:
            target.run(data, chance)
            tally.borne += 1
        except RodnoteError:
            tally.refused += 1
        except BaseException:
            tally.found.append((data, traceback.format_exc()))
        finally:
            signal.alarm(0)
        tally.slowest_s = max(tally.slowest_s, time.perf_counter() - began)
    return tally


def _begin() -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGALRM, _stop)
    resource.setrlimit(resource.RLIMIT_AS, (MOST_BYTES, MOST_BYTES))


def _stop(number: int, frame: FrameType | None) -> None:
    raise TimeoutError(f"still at it after {LONGEST_S} s")


def jobs(inputs: int, seed: int, only: str | None) -> list[tuple[int, int, int]]:
    """Batches for all targets, mixed."""
    wanted = [number for number, target in enumerate(TARGETS) if only in (None, target.name)]
    shared = [number for number in wanted if TARGETS[number].name not in SHARES]
    rest = 1 - sum(SHARES[TARGETS[number].name] for number in wanted if TARGETS[number].name in SHARES)
    out = []
    for number in wanted:
        share = 1.0 if only else SHARES.get(TARGETS[number].name, rest / max(1, len(shared)))
        left, at = round(inputs * share), 0
        while left > 0:
            out.append((number, seed * 1_000_000 + at, min(BATCH, left)))
            left, at = left - BATCH, at + 1
    random.Random(seed).shuffle(out)
    return out


def keep(tally: Tally) -> None:
    FOUND.mkdir(exist_ok=True)
    for data, told in tally.found:
        name = f"{tally.target.replace(' ', '-')}-{sha256(data).hexdigest()[:10]}"
        (FOUND / f"{name}.bin").write_bytes(data)
        (FOUND / f"{name}.txt").write_text(told, encoding="utf-8", errors="replace")


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("inputs", nargs="?", type=int, default=100_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", choices=[target.name for target in TARGETS])
    options = parser.parse_args()
    began, total = time.perf_counter(), Tally("all")
    counts: Counter[str] = Counter()
    slowest: dict[str, float] = {}
    kinds: Counter[str] = Counter()
    with multiprocessing.get_context("spawn").Pool(os.cpu_count(), _begin) as pool:
        for tally in pool.imap_unordered(batch, jobs(options.inputs, options.seed, options.only)):
            keep(tally) if tally.found else None
            total.borne, total.refused = total.borne + tally.borne, total.refused + tally.refused
            counts[tally.target] += tally.borne + tally.refused + len(tally.found)
            slowest[tally.target] = max(slowest.get(tally.target, 0), tally.slowest_s)
            kinds.update(f"{tally.target}: {told.strip().splitlines()[-1][:150]}" for _, told in tally.found)
            print(
                f"\r{sum(counts.values()):,} inputs, {sum(kinds.values())} found", end="", file=sys.stderr, flush=True
            )
    print(file=sys.stderr)
    for name, count in sorted(counts.items()):
        print(f"{name:18} {count:8,} inputs, slowest {slowest[name]:.2f} s")
    print(f"{sum(counts.values()):,} inputs in {time.perf_counter() - began:.0f} s: {total.borne:,} borne, ", end="")
    print(f"{total.refused:,} refused with our own errors, {sum(kinds.values())} found")
    for kind, count in kinds.most_common():
        print(f"  {count} x {kind}")
    return 1 if kinds else 0


if __name__ == "__main__":
    sys.exit(main())
