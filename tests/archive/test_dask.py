"""The engine dask on a cluster of two local workers, one of them killed in mid-run: nothing lost, nothing doubled."""

import os
import signal
from collections.abc import Iterator, Sequence
from pathlib import Path

import pytest

from extractor.archive import engine as engine_module
from extractor.archive.batch import run_batch
from extractor.archive.engine import Outcome, engine_of, on_dask
from extractor.archive.read_part import Part
from extractor.errors import UsageError
from extractor.lexicon.load import Lexicon

from .in_process import in_process
from .made_archive import NOT_READ, READ, YARD, made_archive

duckdb = pytest.importorskip("duckdb")
distributed = pytest.importorskip("distributed")


def test_a_killed_worker_loses_and_doubles_nothing(tmp_path: Path, lexicon: Lexicon) -> None:
    own = made_archive(tmp_path / "recordings", lexicon)
    for number in range(12):
        (own / f"long-{number:02d}.txt").write_bytes(YARD * 60)
    killed: list[int] = []
    with distributed.LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as cluster:

        def engine(parts: Sequence[Part]) -> Iterator[Outcome]:
            for outcome in on_dask(parts, workers=2, scheduler=cluster.scheduler_address):
                if not killed:  # after the first part, while the others are in work
                    killed.append(next(iter(cluster.workers.values())).pid)
                    os.kill(killed[0], signal.SIGKILL)
                yield outcome

        done = run_batch(own, tmp_path / "set", engine, workers=2)
    assert killed
    longs = [f"long-{number:02d}.txt" for number in range(12)]
    for table in ("visits", "runs"):
        visits = duckdb.sql(f"select distinct visit from '{tmp_path}/set/{table}/*.parquet' order by visit").fetchall()
        assert [visit for (visit,) in visits] == sorted([*READ, *longs])
    assert duckdb.sql(f"select count(*) from '{tmp_path}/set/visits/*.parquet'").fetchall() == [(16,)]
    assert [each.path for each in done.not_read] == NOT_READ
    run_batch(own, tmp_path / "here", in_process, workers=2)  # and what was read is what one process reads
    both = [
        duckdb.sql(f"select * from '{tmp_path}/{name}/rows/*.parquet' order by all").fetchall()
        for name in ("set", "here")
    ]
    assert both[0] == both[1]


def test_without_the_library_the_remedy_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(engine_module, "find_spec", lambda name: None)
    with pytest.raises(UsageError, match="dask is not installed") as caught:
        engine_of("dask", 2)
    assert "rodnote[dask]" in str(caught.value)
