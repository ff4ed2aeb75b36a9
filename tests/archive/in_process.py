"""An engine for tests of what stands round it: it reads in this process, and can be told to fail."""

from collections.abc import Callable, Iterator, Sequence

from extractor.archive.engine import Outcome
from extractor.archive.read_part import Part, read_part


def in_process(parts: Sequence[Part]) -> Iterator[Outcome]:
    for part in parts:
        yield part, read_part(part)


class Counting:
    """Counts the visits that are given to be read; before each part `before` is called."""

    def __init__(self, before: Callable[[Part], None] = lambda part: None) -> None:
        self.visits: list[str] = []
        self._before = before

    def __call__(self, parts: Sequence[Part]) -> Iterator[Outcome]:
        for part in parts:
            self._before(part)
            self.visits += [visit.path for visit in part.visits]
            yield part, read_part(part)
