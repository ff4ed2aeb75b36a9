"""Which line of one visit is which line of another: by where the camera went in, and which way it went."""

from collections.abc import Iterator, Sequence

from extractor.record import Record, Run
from extractor.trade.pipes import Pipe
from extractor.trade.rows import run_of


def matched_lines(
    old: Record, new: Record, old_pipes: Sequence[Pipe], new_pipes: Sequence[Pipe]
) -> Iterator[tuple[Pipe, Pipe | None, float | None]]:
    """(old pipe, new pipe or None, length where the new one comes from the other end), for every old pipe.

    The whole opening decides first, then the opening without its label where one is left, then a run from the far end.
    """
    free = list(new_pipes)
    found: dict[str, tuple[Pipe, float | None]] = {}
    for with_label in (True, False):
        for pipe in old_pipes:
            if pipe.id in found:
                continue
            opening = _opening(old, pipe, with_label)
            same = [other for other in free if opening and _opening(new, other, with_label) == opening]
            alike = [each for each in old_pipes if each.id not in found and _opening(old, each, with_label) == opening]
            if len(same) == 1 and len(alike) == 1:
                found[pipe.id] = (same[0], None)
                free.remove(same[0])
    for pipe in old_pipes:
        length = pipe.length_m
        if pipe.id in found or length is None:
            continue
        last = run_of(old, pipe.parts[0].run)
        far = [other for other in free if last and _comes_from(new, other, last)]
        if len(far) == 1:
            found[pipe.id] = (far[0], length)
            free.remove(far[0])
    for pipe in old_pipes:
        other, length = found.get(pipe.id, (None, None))
        yield pipe, other, length


def _opening(record: Record, pipe: Pipe, with_label: bool) -> tuple[str | None, ...] | None:
    run = run_of(record, pipe.parts[0].run)
    if run is None or run.start.structure is None:
        return None
    label = (run.start.label,) if with_label else ()
    return (run.start.structure, run.start.port, run.direction, *label)


def _comes_from(record: Record, pipe: Pipe, old_run: Run) -> bool:
    """True where the new run began where the old one ended, looking back."""
    run = run_of(record, pipe.parts[0].run)
    return (
        run is not None
        and old_run.end_reason == "reached"
        and old_run.end_at is not None
        and run.start.structure == old_run.end_at
        and None not in (run.direction, old_run.direction)
        and run.direction != old_run.direction
    )
