"""Engines: what runs `read_part` over many parts. Each yields every part with its result or its failure.

On one machine a pool of processes. On many, dask: it is plain Python, adds no service to be installed first, runs
on one's own machines, on batch systems and on clusters alike, and gives a part whose worker is lost to another one.
"""

import gc
import multiprocessing
import os
import signal
import threading
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from functools import partial
from importlib import import_module
from importlib.util import find_spec
from typing import Any

from extractor.archive.dataset import PartResult
from extractor.archive.read_part import Part, Words, read_part, tools
from extractor.errors import RodnoteError, UsageError

Outcome = tuple[Part, PartResult | Exception]
Engine = Callable[[Sequence[Part]], Iterator[Outcome]]

NAMES = ("processes", "dask")
AHEAD = 2  # parts given out a worker: one in work, one waiting
KILLED_BY = "the process that read it was killed (not enough memory?)."


def engine_of(name: str, workers: int, scheduler: str | None = None) -> Engine:
    """The engine of that name with that many workers; `scheduler` is the address of a dask cluster that runs already.

    Raises:
        UsageError: where its library is not installed.
    """
    if name != "dask":
        return partial(on_processes, workers=workers)
    if find_spec("distributed") is None:
        raise UsageError("the engine dask is not installed.", todo="Install it: pip install 'rodnote[dask]'")
    return partial(on_dask, workers=workers, scheduler=scheduler)


def on_processes(parts: Sequence[Part], workers: int) -> Iterator[Outcome]:
    """Processes of this machine. Where one is killed, the parts in work are read again, one at a time."""
    waiting = deque(parts)
    while waiting:
        suspects: list[Part] = []
        yield from _in_pool(waiting, suspects, workers)
        alone = deque(suspects)
        while alone:
            guilty: list[Part] = []
            yield from _in_pool(alone, guilty, workers=1, ahead=1)
            yield from ((part, RodnoteError(KILLED_BY)) for part in guilty)


def _in_pool(waiting: deque[Part], suspects: list[Part], workers: int, ahead: int = AHEAD) -> Iterator[Outcome]:
    """Read what waits until nothing does or a process is killed; the parts in work then are the suspects."""
    words = waiting[0].words
    pool = ProcessPoolExecutor(
        workers, multiprocessing.get_context("spawn"), initializer=_begin_work, initargs=(words,)
    )
    running: dict[Future[PartResult], Part] = {}
    try:
        while (waiting or running) and not suspects:
            while waiting and len(running) < ahead * workers:
                part = waiting.popleft()
                running[pool.submit(read_part, part)] = part
            done, _ = wait(running, return_when=FIRST_COMPLETED)
            for future in done:
                part = running.pop(future)
                error = future.exception()
                if isinstance(error, BrokenProcessPool):
                    suspects.append(part)
                elif isinstance(error, Exception):
                    yield part, error
                else:
                    yield part, future.result()
    except BrokenProcessPool:  # while a part was given out
        suspects.append(part)
    finally:
        pool.shutdown(wait=not running, cancel_futures=True)
    if suspects:
        suspects += running.values()


def _begin_work(words: Words) -> None:
    """In a new process: load the lexicon, leave Ctrl-C to the one that started it, and end when that one is gone."""
    gc.set_threshold(1_000_000, 50, 100)  # as in the command itself: the work makes many objects and no garbage
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_leave_with_parent, daemon=True).start()
    tools(words)


def _leave_with_parent() -> None:
    if parent := multiprocessing.parent_process():
        parent.join()
        os._exit(1)


def on_dask(parts: Sequence[Part], workers: int, scheduler: str | None = None) -> Iterator[Outcome]:
    """A dask cluster: the one at `scheduler`, or one of this machine's processes, made for the occasion.

    All workers must see the archive's folder and the lexicon under the same paths.
    """
    dask: Any = import_module("distributed")  # no types, and slow to load
    own = None
    if scheduler is None:
        own = dask.LocalCluster(n_workers=workers, threads_per_worker=1, processes=True, dashboard_address=None)
    with dask.Client(scheduler or own, set_as_default=False) as client:
        try:
            waiting = deque(parts)
            running: dict[str, Part] = {}

            def give_out() -> Any:
                part = waiting.popleft()
                running[part.id] = part
                return client.submit(read_part, part, key=part.id, retries=1)

            slots = AHEAD * max(workers, len(client.scheduler_info()["workers"]))
            first = [give_out() for _ in range(min(slots, len(waiting)))]
            finished = dask.as_completed(first, loop=client.loop)
            for future in finished:
                part = running.pop(future.key)
                error = future.exception()
                yield part, error if isinstance(error, Exception) else future.result()
                future.release()
                if waiting:
                    finished.add(give_out())
        finally:
            if own is not None:
                own.close()
