"""A batch goes on after a kill, keeps what was read before, and is stopped by no file."""

import contextlib
import json
import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Iterator, Sequence
from pathlib import Path

import pytest

from extractor.archive import batch as batch_module
from extractor.archive.batch import parted, run_batch
from extractor.archive.dataset import DataSet
from extractor.archive.engine import KILLED_BY, Outcome, on_processes
from extractor.archive.gather import Found, find_visits
from extractor.archive.materials import materials_in
from extractor.archive.read_part import Part, read_part
from extractor.archive.tables import TABLES
from extractor.errors import JobError, RodnoteError, UsageError
from extractor.job.writing import write_atomically
from extractor.lexicon.load import Lexicon
from extractor.record import Record

from .in_process import Counting, in_process
from .made_archive import NOT_READ, READ, YARD, made_archive

duckdb = pytest.importorskip("duckdb")
pytest.importorskip("pyarrow")


@pytest.fixture
def own(tmp_path: Path, lexicon: Lexicon) -> Path:
    return made_archive(tmp_path / "recordings", lexicon)


def visits_in(out: Path) -> list[str]:
    return [row[0] for row in duckdb.sql(f"select visit from '{out}/visits/*.parquet' order by visit").fetchall()]


def files_in(out: Path) -> dict[str, bytes]:
    return {str(path.relative_to(out)): path.read_bytes() for path in sorted(out.rglob("*")) if path.is_file()}


def test_a_second_batch_reads_nothing_again(own: Path, tmp_path: Path) -> None:
    out = tmp_path / "set"
    run_batch(own, out, in_process)
    before, counting = files_in(out), Counting()
    done = run_batch(own, out, counting)
    assert counting.visits == []
    assert (done.read, done.kept) == (0, len(READ))
    assert [each.path for each in done.not_read] == NOT_READ
    assert files_in(out) == before


def test_a_changed_a_new_and_a_removed_recording(own: Path, tmp_path: Path) -> None:
    out = tmp_path / "set"
    run_batch(own, out, in_process)
    (own / "yard.txt").write_bytes(YARD + b"[0:40] four point one roots\n")
    (own / "new.txt").write_bytes(YARD)
    (own / READ[1]).unlink()
    done = run_batch(own, out, in_process)
    assert visits_in(out) == sorted([READ[0], "job", "new.txt", "yard.txt"])
    assert done.read + done.kept == 4


def test_another_lexicon_reads_everything_again(own: Path, tmp_path: Path) -> None:
    out, words = tmp_path / "set", tmp_path / "words"
    run_batch(own, out, in_process)
    words.mkdir()
    (words / "own.toml").write_text(
        'kind = "structure"\n[[entry]]\nid = "gully"\nlabel = "gully"\nspoken = ["dandy hole"]\n', encoding="utf-8"
    )
    counting = Counting()
    done = run_batch(own, out, counting, lexicon_folders=[words])
    assert done.kept == 0
    assert set(READ) <= set(counting.visits)
    assert visits_in(out) == READ


def test_the_same_visits_give_the_same_bytes_in_another_place(own: Path, tmp_path: Path) -> None:
    run_batch(own, tmp_path / "one", in_process)
    shutil.copytree(own, tmp_path / "moved")
    run_batch(tmp_path / "moved", tmp_path / "two", in_process)
    assert files_in(tmp_path / "one") == files_in(tmp_path / "two")


class Killed(BaseException):
    """Stands for the kill: nothing catches it."""


@pytest.mark.parametrize("moment", range(0, 40, 3))
def test_a_kill_at_any_write_loses_and_doubles_nothing(
    moment: int, own: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each part takes one write a table and one for its card; the kill comes before one of all those."""
    from extractor.archive import dataset

    out, writes = tmp_path / "set", 0
    write = write_atomically

    def counted(path: Path, data: bytes) -> None:
        nonlocal writes
        writes += 1
        if writes > moment:
            raise Killed
        write(path, data)

    monkeypatch.setattr(dataset, "write_atomically", counted)
    with contextlib.suppress(Killed):
        run_batch(own, out, in_process)
    monkeypatch.setattr(dataset, "write_atomically", write)
    done = run_batch(own, out, in_process)
    assert visits_in(out) == READ
    assert done.read + done.kept == len(READ)
    cards = {path.stem for path in (out / "parts").iterdir()}
    for name in TABLES:
        assert {path.stem for path in (out / name).iterdir()} == cards


def test_a_killed_command_goes_on(tmp_path: Path) -> None:
    """kill -9 of the real command while it reads; its workers go with it."""
    folder, out = tmp_path / "recordings", tmp_path / "set"
    folder.mkdir()
    for number in range(16):
        (folder / f"{number:02d}.txt").write_bytes(YARD * 40)
    command = [sys.executable, "-m", "extractor", "batch", str(folder), "--out", str(out), "--workers", "2"]
    running = subprocess.Popen(command, stdout=subprocess.DEVNULL, start_new_session=True)
    while running.poll() is None and not list((out / "parts").glob("*.json")):
        time.sleep(0.01)
    running.send_signal(signal.SIGKILL)
    running.wait()
    before = len(list((out / "parts").glob("*.json")))
    assert before
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
    assert visits_in(out) == [f"{number:02d}.txt" for number in range(16)]
    with pytest.raises(ProcessLookupError):  # no worker outlives the command
        for _ in range(200):
            os.killpg(running.pid, 0)
            time.sleep(0.05)


def test_a_recording_that_kills_its_worker_is_listed_and_stops_no_other(
    own: Path, tmp_path: Path, lexicon: Lexicon
) -> None:
    """As when the system runs out of memory: the process is gone without a word."""
    done = run_batch(own, tmp_path / "set", _deadly)
    assert visits_in(tmp_path / "set") == [path for path in READ if path != "yard.txt"]
    assert {each.path: each.error for each in done.not_read}["yard.txt"] == KILLED_BY
    again = run_batch(own, tmp_path / "set", in_process)  # it is tried again
    assert (again.read, [each.path for each in again.not_read]) == (1, NOT_READ)


def _deadly(parts: Sequence[Part]) -> Iterator[Outcome]:
    for part in parts:
        deadly = any(visit.path == "yard.txt" for visit in part.visits)
        yield part, RodnoteError(KILLED_BY) if deadly else read_part(part)


def test_a_killed_process_of_the_pool_costs_no_other_part(own: Path, lexicon: Lexicon, tmp_path: Path) -> None:
    """One process of the real pool is killed in mid-work: every part still comes out once."""
    from extractor.archive.read_part import Words

    for number in range(8):
        (own / f"long-{number}.txt").write_bytes(YARD * 40)
    found, _ = find_visits(own, tmp_path / "set")
    words = Words((), lexicon.fingerprint)
    parts = [Part(f"{number}", str(own), (visit,), words) for number, visit in enumerate(found)]
    outcomes: list[tuple[Part, object]] = []
    for part, outcome in on_processes(parts, workers=2):
        if not outcomes:
            _kill_one_child()
        outcomes.append((part, outcome))
    assert sorted(part.id for part, _ in outcomes) == sorted(part.id for part in parts)
    assert not [outcome for _, outcome in outcomes if isinstance(outcome, Exception)]


def _kill_one_child() -> None:
    import multiprocessing

    children = [child for child in multiprocessing.active_children() if child.pid and "Spawn" in type(child).__name__]
    assert children
    os.kill(children[0].pid or 0, signal.SIGKILL)


def test_a_fault_of_ours_is_told_and_stops_no_other(own: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from extractor.archive import read_part as module

    def at_fault(record: Record, lexicon: Lexicon) -> object:
        return 1 / 0 if record.sources[0].name == "yard.txt" else materials_in(record, lexicon)

    monkeypatch.setattr(module, "materials_in", at_fault)
    done = run_batch(own, tmp_path / "set", in_process)
    faults = {each.path: each.error for each in done.not_read if each.path not in NOT_READ}
    assert faults == {"yard.txt": "fault in rodnote: ZeroDivisionError: division by zero"}
    assert done.read == len(READ) - 1


def test_two_batches_at_once(own: Path, tmp_path: Path) -> None:
    out = tmp_path / "set"

    def second(part: Part) -> None:
        with pytest.raises(JobError, match="another batch is writing there"):
            run_batch(own, out, in_process)

    run_batch(own, out, Counting(before=second))
    assert visits_in(out) == READ


def test_a_folder_with_other_things_is_left_alone(own: Path, tmp_path: Path) -> None:
    out = tmp_path / "papers"
    out.mkdir()
    (out / "letter.txt").write_text("dear", encoding="utf-8")
    with pytest.raises(JobError, match="no data set"):
        run_batch(own, out, in_process)
    assert [path.name for path in out.iterdir()] == ["letter.txt"]


def test_the_data_set_of_a_newer_program_is_refused(own: Path, tmp_path: Path) -> None:
    out = tmp_path / "set"
    run_batch(own, out, in_process)
    (out / "batch.json").write_text(json.dumps({"schema": 99}), encoding="utf-8")
    before = files_in(out)
    with pytest.raises(JobError, match="newer rodnote"):
        run_batch(own, out, in_process)
    assert files_in(out) == before


def test_a_damaged_card_has_its_part_read_again(own: Path, tmp_path: Path) -> None:
    out = tmp_path / "set"
    run_batch(own, out, in_process)
    card = max((out / "parts").iterdir(), key=lambda path: json.loads(path.read_bytes())["words"])
    told = json.loads(card.read_bytes())
    card.write_bytes(card.read_bytes()[:20])
    done = run_batch(own, out, in_process)
    assert visits_in(out) == READ
    assert done.read == len(told["visits"]) - len(told["not_read"]) > 0


def test_the_results_inside_the_recordings_folder_are_not_read(own: Path) -> None:
    run_batch(own, own / "set", in_process)
    counting = Counting()
    run_batch(own, own / "set", counting)
    assert counting.visits == []


def test_links_out_of_the_folder_hidden_files_and_odd_names(tmp_path: Path) -> None:
    folder = tmp_path / "recordings"
    folder.mkdir()
    (tmp_path / "secret.txt").write_bytes(YARD)
    (folder / "link.txt").symlink_to(tmp_path / "secret.txt")
    (folder / "loop").symlink_to(folder)
    (folder / ".hidden.txt").write_bytes(YARD)
    (folder / "=cmd|' :\n\u202e.txt").write_bytes(YARD)
    os.mkfifo(folder / "pipe.txt")
    found, unread = find_visits(folder, tmp_path / "set")
    assert [visit.path for visit in found] == ["=cmd|' :\n\u202e.txt"]
    assert {each.path: each.error for each in unread} == {
        "link.txt": "is a link that leads out of the folder.",
        "pipe.txt": "is no ordinary file.",
    }


def test_a_name_that_is_no_utf_8(tmp_path: Path) -> None:
    folder = tmp_path / "recordings"
    folder.mkdir()
    try:
        (folder / os.fsdecode(b"caf\xe9.txt")).write_bytes(YARD)
    except OSError:
        pytest.skip("this system takes no such name")
    done = run_batch(folder, tmp_path / "set", in_process)
    assert [(each.path, each.error) for each in done.not_read] == [
        ("caf?.txt", "has a name that is no UTF-8; rename it.")
    ]


def test_a_missing_folder_is_told(tmp_path: Path) -> None:
    with pytest.raises(UsageError, match="is no folder"):
        run_batch(tmp_path / "nowhere", tmp_path / "set", in_process)
    assert not (tmp_path / "set").exists()


def test_a_missing_library_is_told_with_the_remedy(own: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(batch_module, "find_spec", lambda name: None)
    with pytest.raises(UsageError, match="needs pyarrow") as caught:
        run_batch(own, tmp_path / "set", in_process)
    assert "rodnote[archive]" in str(caught.value)


@pytest.mark.parametrize(("visits", "workers", "most"), [(1, 8, 1), (10, 2, 2), (1000, 2, 125), (100_000, 4, 256)])
def test_parts_suit_the_workers(visits: int, workers: int, most: int) -> None:
    found = [Found(f"{number:06d}", "0" * 64, 100) for number in range(visits)]
    parts = list(parted(found, workers))
    assert max(map(len, parts)) == most
    assert [visit for part in parts for visit in part] == found


def test_a_large_recording_is_a_part_of_its_own() -> None:
    found = [Found(f"{number}", "0" * 64, size) for number, size in enumerate([10, 60_000_000, 10])]
    assert [len(part) for part in parted(found * 20, 1)][:2] == [1, 1]


def test_a_data_set_never_follows_a_link_out(tmp_path: Path) -> None:
    out, away = tmp_path / "set", tmp_path / "away"
    away.mkdir()
    DataSet(out)
    (out / "rows").rmdir()
    (out / "rows").symlink_to(away)
    with pytest.raises(JobError, match="leads out"):
        DataSet(out)
