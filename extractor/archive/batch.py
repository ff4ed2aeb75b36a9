"""A folder of recordings and jobs -> the data set: plan the parts, have them read, keep what was read before.

What is there already is told by content: a part counts where each of its visits still has the same bytes, and lexicon
and program are the same. So a batch that was killed goes on where it was, and a new recording costs only itself.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path

from filelock import FileLock, Timeout

from extractor import __version__
from extractor.archive.dataset import LOCK, DataSet, PartResult, check_folder, part_id
from extractor.archive.engine import Engine, Outcome
from extractor.archive.gather import Found, NotRead, find_visits
from extractor.archive.read_part import Part, Words, tools
from extractor.errors import JobError, RodnoteError, UsageError
from extractor.job.writing import unwritable
from extractor.lexicon.load import load_lexicon

MOST_VISITS = 256  # a part; what a kill costs at most, for each worker
MOST_BYTES = 8 * 1024 * 1024
PARTS_A_WORKER = 4  # so that the last part does not keep one worker busy alone
PROGRAM = f"rodnote {__version__}"


@dataclass(frozen=True)
class Progress:
    """Where a batch is: visits and words read in this call, and how many visits there are to read in it."""

    visits: int
    words: int
    of: int


@dataclass(frozen=True)
class Done:
    """What a batch came to: visits read by it, visits kept from an earlier one, and those not read, all in `list`."""

    read: int
    kept: int
    words: int
    not_read: tuple[NotRead, ...]
    list: Path


def run_batch(
    folder: Path,
    out: Path,
    engine: Engine,
    *,
    workers: int = 1,
    lexicon_folders: Sequence[Path] = (),
    on_progress: Callable[[Progress], None] = lambda progress: None,
) -> Done:
    """Bring the data set in `out` up to what `folder` holds.

    Raises:
        RodnoteError: where the folder, the lexicon or `out` can't be used, or another batch writes there.
    """
    _check_library()
    if not folder.is_dir():
        raise UsageError(f"{folder} is no folder.", todo="Name the folder that holds the recordings.")
    words = Words(tuple(str(path.resolve()) for path in lexicon_folders), load_lexicon(*lexicon_folders).fingerprint)
    tools(words)  # what is wrong with the lexicon or the rules is told now, not by every worker
    check_folder(out)
    with _locked(out):
        found, unread = find_visits(folder, out)
        batch = _Batch(str(folder.resolve()), words, DataSet(out), engine, on_progress, list(unread))
        kept = batch.still_good(found)
        batch.data_set.keep_only(kept)
        known = {path for id in kept for path, _ in batch.data_set.cards[id].visits}
        batch.read_all([visit for visit in found if visit.path not in known], workers)
        listed = [NotRead(path, error) for card in batch.data_set.cards.values() for path, error in card.not_read]
        everything = sorted({*batch.unread, *listed})
        path = batch.data_set.write_not_read(everything)
    kept_visits = len(known) - sum(len(batch.data_set.cards[id].not_read) for id in kept)
    return Done(batch.read, kept_visits, batch.words_read, tuple(everything), path)


@dataclass
class _Batch:
    """A batch under way. `unread` grows by what can't be read and is to be tried again by the next batch."""

    folder: str
    words: Words
    data_set: DataSet
    engine: Engine
    on_progress: Callable[[Progress], None]
    unread: list[NotRead]
    read: int = 0
    words_read: int = 0

    def still_good(self, found: Sequence[Found]) -> set[str]:
        """Ids of the parts that need not be read again: their visits are as they were, and their tables are there."""
        there = {(visit.path, visit.sha256) for visit in found}
        return {
            id
            for id, card in self.data_set.cards.items()
            if (card.lexicon, card.program) == (self.words.fingerprint, PROGRAM)
            and there.issuperset(card.visits)
            and self.data_set.has_tables(id)
        }

    def read_all(self, visits: Sequence[Found], workers: int) -> None:
        """Have the visits read and keep what comes. A part that fails is read again, visit by visit."""
        done = 0
        self.on_progress(Progress(0, 0, len(visits)))
        again: list[Found] = []
        for part, outcome in self._outcomes(parted(visits, workers)):
            if isinstance(outcome, Exception) and len(part.visits) > 1:
                again += part.visits
                continue
            self._keep(part, outcome)
            done += len(part.visits)
            self.on_progress(Progress(done, self.words_read, len(visits)))
        for part, outcome in self._outcomes([visit] for visit in again):
            self._keep(part, outcome)
            done += 1
            self.on_progress(Progress(done, self.words_read, len(visits)))

    def _outcomes(self, parts: Iterable[Sequence[Found]]) -> Iterator[Outcome]:
        def named(part: Sequence[Found]) -> Part:
            return Part(part_id(part, self.words.fingerprint, PROGRAM), self.folder, tuple(part), self.words)

        return self.engine([named(part) for part in parts])

    def _keep(self, part: Part, outcome: PartResult | Exception) -> None:
        if isinstance(outcome, Exception):
            why = outcome.what if isinstance(outcome, RodnoteError) else f"{type(outcome).__name__}: {outcome}"
            self.unread += [NotRead(visit.path, why[:200]) for visit in part.visits]
            return
        self.data_set.add(outcome, part.visits, self.words.fingerprint, PROGRAM)
        self.read += len(part.visits) - len(outcome.not_read)
        self.words_read += outcome.words


def parted(visits: Sequence[Found], workers: int) -> Iterator[list[Found]]:
    """The visits in parts of a size that suits so many workers."""
    most = max(1, min(MOST_VISITS, -(-len(visits) // (PARTS_A_WORKER * max(1, workers)))))
    part: list[Found] = []
    size = 0
    for visit in visits:
        if part and (len(part) >= most or size + visit.size > MOST_BYTES):
            yield part
            part, size = [], 0
        part.append(visit)
        size += visit.size
    if part:
        yield part


def _check_library() -> None:
    if find_spec("pyarrow") is None:
        raise UsageError("a data set needs pyarrow.", todo="Install it: pip install 'rodnote[archive]'")


@contextmanager
def _locked(out: Path) -> Iterator[None]:
    """The data set's folder, made where it is not there, for one batch at a time."""
    try:
        out.mkdir(parents=True, exist_ok=True)
        lock = FileLock(out / LOCK)
        lock.acquire(timeout=0)
    except Timeout as error:
        raise JobError(
            "another batch is writing there.", where=str(out), todo="Wait for it, or choose another folder."
        ) from error
    except OSError as error:
        raise unwritable(out, error) from error
    try:
        yield
    finally:
        lock.release()
