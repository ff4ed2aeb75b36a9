"""Speed and memory of the extractor, beside general-purpose libraries on the same words in the same run.

    scripts/bench            prints the tables
    scripts/bench --write    and puts them into DEVELOPERS.md, between its two marks

The words are made (`scripts/made_talk.py`), at 140 a minute. Each figure is the best of several runs, since other work
on the machine can only slow one down; what is compared is measured in turn. Memory is the process's peak (resident).
"""

import argparse
import gc
import json
import os
import platform
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from compileall import compile_dir
from importlib import import_module
from importlib.metadata import version
from pathlib import Path

from made_talk import made_talk

ROOT = Path(__file__).parents[1]
DEVELOPERS = ROOT / "DEVELOPERS.md"
MARKS = ("<!-- made by scripts/bench --write -->", "<!-- end of what scripts/bench made -->")
LENGTHS_MIN = (1, 10, 100, 1000)
TEN_TIMES = 10
TALKS = 5  # different ones, so that no cache of the same words helps

Table = list[tuple[str, ...]]


def best(run: Callable[[], object], times: int = 5) -> float:
    """Seconds of the fastest of several runs."""
    fastest = float("inf")
    for _ in range(times):
        began = time.perf_counter()
        run()
        fastest = min(fastest, time.perf_counter() - began)
    return fastest


def warm(minutes: float, repeats: int) -> dict[str, float]:
    """Words a second of extract and of its peers on ten-minute talks, in one process."""
    from extractor import extract, load_lexicon
    from extractor.language.tokens import english_tokeniser
    from extractor.narration import read_bytes

    lexicon = load_lexicon()
    narrations = [read_bytes(made_talk(minutes, seed).encode(), "talk.txt") for seed in range(TALKS)]
    texts = [narration.text for narration in narrations]
    words = sum(len(narration.words) for narration in narrations)
    tokeniser = english_tokeniser()
    runs: dict[str, Callable[[], object]] = {
        "extract": lambda: [extract(narration, lexicon) for narration in narrations],
        "tokeniser": lambda: [tokeniser(text) for text in texts],
        "phrases": phrase_matcher(texts, lexicon_phrases()),
        "quantities": quantities(texts),
        "negation": negation(texts),
    }
    for run in runs.values():
        run()
    fastest = dict.fromkeys(runs, float("inf"))
    for _ in range(repeats):
        for name, run in runs.items():
            fastest[name] = min(fastest[name], best(run, 1))
    fastest["quantities and negation"] = fastest["quantities"] + fastest["negation"]
    return {**{name: words / seconds for name, seconds in fastest.items()}, "ten_minutes_s": fastest["extract"] / TALKS}


def lexicon_phrases() -> dict[str, list[str]]:
    """The phrases of the lexicon's things, by kind."""
    from extractor import load_lexicon

    kinds = ("structure", "fixture", "component", "condition", "material", "action")
    return {
        kind: [phrase for entry in load_lexicon().of_kind(kind) for phrase in (*entry.spoken, *entry.misheard)]
        for kind in kinds
    }


def phrase_matcher(texts: Sequence[str], phrases: dict[str, list[str]]) -> Callable[[], object]:
    """spaCy's PhraseMatcher with the same phrases, on spaCy's tokens."""
    import spacy
    from spacy.matcher import PhraseMatcher

    nlp = spacy.blank("en")
    matcher = PhraseMatcher(nlp.vocab, attr="LOWER")
    for kind, listed in phrases.items():
        matcher.add(kind, [nlp.make_doc(phrase) for phrase in listed])
    return lambda: [matcher(nlp.make_doc(text)) for text in texts]


def quantities(texts: Sequence[str]) -> Callable[[], object]:
    """quantulum3: quantities and units in any text. A minute at a time, which suits it better than the whole."""
    parse = import_module("quantulum3.parser").parse  # no types
    pieces = [piece for text in texts for piece in _minutes(text)]
    return lambda: [parse(piece) for piece in pieces]


def negation(texts: Sequence[str]) -> Callable[[], object]:
    """negspacy over spaCy's entity ruler with the lexicon's conditions, a minute at a time."""
    import negspacy.negation  # noqa: F401  # registers the component
    import spacy

    nlp = spacy.blank("en")
    ruler = nlp.add_pipe("entity_ruler", config={"phrase_matcher_attr": "LOWER"})
    patterns = [{"label": kind, "pattern": phrase} for kind, listed in lexicon_phrases().items() for phrase in listed]
    ruler.add_patterns(patterns)  # type: ignore[attr-defined]
    nlp.add_pipe("sentencizer")
    nlp.add_pipe("negex", config={"ent_types": list(lexicon_phrases())})
    pieces = [piece for text in texts for piece in _minutes(text)]
    return lambda: [nlp(piece) for piece in pieces]


def _minutes(text: str) -> Iterator[str]:
    words = text.split()
    for start in range(0, len(words), 140):
        yield " ".join(words[start : start + 140])


def one_length(minutes: int, repeats: int) -> dict[str, float]:
    """One narration of so many minutes: seconds a word and peak memory of the process. To be run in one of its own."""
    from extractor import extract, load_lexicon
    from extractor.narration import read_bytes

    lexicon = load_lexicon()
    extract(read_bytes(made_talk(1, 99).encode(), "warm.txt"), lexicon)
    narration = read_bytes(made_talk(minutes, 1).encode(), "talk.txt")
    seconds = best(lambda: extract(narration, lexicon), repeats)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * (1 if sys.platform == "darwin" else 1024)
    return {"words": len(narration.words), "seconds": seconds, "peak_mb": peak / 1_000_000}


def lexicon_size(times: int, repeats: int) -> dict[str, float]:
    """Loading, preparing and reading with a lexicon of so many times the phrases."""
    from extractor import extract, load_lexicon
    from extractor.narration import read_bytes
    from extractor.pipeline import prepare

    with tempfile.TemporaryDirectory() as folder:
        phrases = _grow(Path(folder), times)
        folders = [Path(folder)] if times > 1 else []
        load_s = best(lambda: load_lexicon(*folders), 3)
        lexicon = load_lexicon(*folders)
    began = time.perf_counter()
    prepare(lexicon)
    prepare_s = time.perf_counter() - began
    narrations = [read_bytes(made_talk(10, seed).encode(), "talk.txt") for seed in range(TALKS)]
    words = sum(len(narration.words) for narration in narrations)
    seconds = best(lambda: [extract(narration, lexicon) for narration in narrations], repeats)
    return {"phrases": phrases, "load_s": load_s, "prepare_s": prepare_s, "words_s": words / seconds}


def _grow(folder: Path, times: int) -> int:
    """Files in `folder` with the lexicon's things over again, each phrase with a made word in it; how many in all."""
    from extractor import load_lexicon

    total = 0
    for kind in ("structure", "fixture", "component", "condition", "action"):
        lines = [f'kind = "{kind}"']
        for entry in load_lexicon().of_kind(kind):
            more = [f"{phrase} zq{number}" for number in range(1, times) for phrase in entry.spoken]
            total += len(entry.spoken) + len(more)
            lines.append(f'[[entry]]\nid = "{entry.id}"\nlabel = "{entry.label}"\nspoken = {json.dumps(more)}')
        if times > 1:
            (folder / f"{kind}.toml").write_text("\n".join(lines), encoding="utf-8")
    return total


def cold(repeats: int) -> dict[str, float]:
    """Seconds of whole commands, each in a new process, in turn.

    Our modules are compiled first, as installing compiles them and those of the libraries.
    """
    compile_dir(ROOT / "extractor", quiet=1)
    with tempfile.TemporaryDirectory() as folder:
        talk = Path(folder) / "talk.txt"
        talk.write_text(made_talk(10, 1), encoding="utf-8")
        commands = {
            "import spacy": [sys.executable, "-c", "import spacy"],
            "rodnote extract": [sys.executable, "-m", "extractor", "extract", str(talk)],
            "rodnote --help": [sys.executable, "-m", "extractor", "--help"],
        }
        fastest = dict.fromkeys(commands, float("inf"))
        for _ in range(repeats):
            for name, command in commands.items():

                def run(command: list[str] = command) -> None:
                    subprocess.run(command, check=True, stdout=subprocess.DEVNULL, cwd=ROOT)

                fastest[name] = min(fastest[name], best(run, 1))
    return fastest


def many(visits: int) -> dict[str, float]:
    """`rodnote batch` over a folder of talks of 5 to 24 minutes, on all cores: seconds and words, start included."""
    with tempfile.TemporaryDirectory() as folder:
        recordings = Path(folder) / "recordings"
        recordings.mkdir()
        words = 0
        for number in range(visits):
            text = made_talk(5 + number % 20, number)
            words += len(text.split()) - text.count("[")
            (recordings / f"{number:04d}.txt").write_text(text, encoding="utf-8")
        command = [sys.executable, "-m", "extractor", "batch", str(recordings), "--out", f"{folder}/set"]
        seconds = best(lambda: subprocess.run(command, check=True, stdout=subprocess.DEVNULL, cwd=ROOT), 1)
    return {"visits": visits, "words": words, "seconds": seconds, "cores": os.cpu_count() or 1}


def alone(part: str, *arguments: object) -> dict[str, float]:
    """A measurement in a process of its own, so that memory and caches are its own."""
    command = [sys.executable, "-W", "ignore", __file__, "--part", json.dumps([part, *arguments])]
    done = subprocess.run(command, check=True, capture_output=True, text=True, cwd=ROOT)
    result: dict[str, float] = json.loads(done.stdout.splitlines()[-1])
    return result


PARTS: dict[str, Callable[..., dict[str, float]]] = {
    "warm": warm,
    "one_length": one_length,
    "lexicon_size": lexicon_size,
}


def measured(quick: bool) -> str:
    """Everything, as Markdown."""
    repeats = 2 if quick else 7
    lengths = LENGTHS_MIN[:3] if quick else LENGTHS_MIN
    out = [
        f"Python {platform.python_version()}, spaCy {version('spacy')}, {platform.system()} {platform.machine()}, "
        f"{os.cpu_count()} cores; best of several runs in turn; made talk at 140 words a minute.",
        "",
        *_lines(_speed_table(alone("warm", 10, repeats))),
        "",
        *_lines(_cold_table(cold(repeats))),
        "",
        *_lines(
            _length_table([(minutes, alone("one_length", minutes, 3 if minutes < 1000 else 1)) for minutes in lengths])
        ),
        "",
        *_lines(_lexicon_table([(times, alone("lexicon_size", times, 3)) for times in (1, TEN_TIMES)])),
    ]
    archive = many(20 if quick else 300)
    out += [
        "",
        f"`rodnote batch`, {archive['cores']:.0f} processes, start included: {archive['visits']:.0f} visits, "
        f"{archive['words']:,.0f} words in {archive['seconds']:.1f} s, {archive['words'] / archive['seconds']:,.0f} "
        "words/s.",
    ]
    return "\n".join(out)


def _speed_table(speed: dict[str, float]) -> Table:
    both = speed["quantities and negation"]
    quantulum, negspacy = f"quantulum3 {version('quantulum3')}", f"negspacy {version('negspacy')}"
    rows = [
        ("spaCy's tokeniser alone (the floor)", speed["tokeniser"]),
        ("spaCy's PhraseMatcher, same phrases", speed["phrases"]),
        (f"{negspacy} on an entity ruler, same phrases", speed["negation"]),
        (f"{quantulum}, quantities", speed["quantities"]),
        ("these two wired together", both),
        ("**rodnote: extract, all of it**", speed["extract"]),
    ]
    return [
        ("warm, one core, ten-minute talks", "words/s", "of the two wired together"),
        *((name, f"{words_s:,.0f}", f"{words_s / both:.1f} ×") for name, words_s in rows),
        ("one ten-minute narration, warm", f"{speed['ten_minutes_s'] * 1000:.0f} ms", ""),
    ]


def _cold_table(seconds: dict[str, float]) -> Table:
    floor = seconds["import spacy"]
    return [
        ("cold, whole process", "s", "of importing spaCy"),
        ('python -c "import spacy"', f"{floor:.2f}", "1.00 ×"),
        *(
            (name, f"{seconds[key]:.2f}", f"{seconds[key] / floor:.2f} ×")
            for name, key in (
                ("rodnote extract, ten-minute narration, to the table", "rodnote extract"),
                ("rodnote --help", "rodnote --help"),
            )
        ),
    ]


def _length_table(lengths: Sequence[tuple[int, dict[str, float]]]) -> Table:
    return [
        ("one narration of", "words", "s", "µs a word", "words/s", "peak memory, MB"),
        *(
            (
                f"{minutes:,} min",
                f"{run['words']:,.0f}",
                f"{run['seconds']:.3f}",
                f"{run['seconds'] / run['words'] * 1e6:.1f}",
                f"{run['words'] / run['seconds']:,.0f}",
                f"{run['peak_mb']:.0f}",
            )
            for minutes, run in lengths
        ),
    ]


def _lexicon_table(sizes: Sequence[tuple[int, dict[str, float]]]) -> Table:
    return [
        ("lexicon", "phrases of things", "load, ms", "make ready, ms", "words/s"),
        *(
            (
                f"{times} ×",
                f"{run['phrases']:,.0f}",
                f"{run['load_s'] * 1000:.0f}",
                f"{run['prepare_s'] * 1000:.0f}",
                f"{run['words_s']:,.0f}",
            )
            for times, run in sizes
        ),
    ]


def _lines(table: Table) -> Iterator[str]:
    head, *rows = table
    yield f"| {' | '.join(head)} |"
    yield f"|---|{'---:|' * (len(head) - 1)}"
    for row in rows:
        yield f"| {' | '.join(row)} |"


def write(markdown: str) -> None:
    """Put the tables between the marks in DEVELOPERS.md; at its end where there are no marks."""
    text = DEVELOPERS.read_text(encoding="utf-8")
    first, last = MARKS
    if first not in text:
        text += f"\n## How fast it is\n\n`scripts/bench --write` measures it again.\n\n{first}\n{last}\n"
    before, _, rest = text.partition(first)
    after = rest.partition(last)[2]
    DEVELOPERS.write_text(f"{before}{first}\n\n{markdown}\n\n{last}{after}", encoding="utf-8")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--write", action="store_true", help="put the tables into DEVELOPERS.md")
    parser.add_argument("--quick", action="store_true", help="fewer runs, no thousand minutes")
    parser.add_argument("--part", help=argparse.SUPPRESS)
    options = parser.parse_args()
    if options.part:
        gc.set_threshold(1_000_000, 50, 100)  # as the command does
        name, *arguments = json.loads(options.part)
        print(json.dumps(PARTS[name](*arguments)))
        return
    markdown = measured(options.quick)
    print(markdown)
    if options.write:
        write(markdown)


if __name__ == "__main__":
    main()
