"""Which decisions count, in which order, and which of them disagree.

Decisions form a graph: each names the latest ones its reviewer had seen. One comes after all it has seen; of two that
had not seen each other and set the same thing differently, none is preferred: a person must say.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from heapq import heapify, heappop, heappush

from extractor.job.decisions import Decision


@dataclass(frozen=True)
class History:
    """The decisions in an order in which each comes after what it has seen; ties by time, then id.

    `_past[i]` has bit j set where decision i had seen decision j.
    """

    decisions: tuple[Decision, ...]
    _places: Mapping[str, int]
    _past: tuple[int, ...]

    def had_seen(self, later: str, earlier: str) -> bool:
        """True where the reviewer of `later` knew of `earlier`."""
        return bool(self._past[self._places[later]] >> self._places[earlier] & 1)

    @property
    def in_line(self) -> bool:
        """True where everybody had seen everything: no two can disagree."""
        return all(self._past[place] == (1 << place) - 1 for place in range(len(self.decisions)))


def history(decisions: Sequence[Decision]) -> History:
    """Order the entries of a log, or of several put together."""
    by_id = {decision.id: decision for decision in decisions}
    waits = {id: {seen for seen in decision.seen if seen in by_id and seen != id} for id, decision in by_id.items()}
    followers: dict[str, list[str]] = defaultdict(list)
    for id, needed in waits.items():
        for earlier in needed:
            followers[earlier].append(id)
    ready = [(by_id[id].when, id) for id, needed in waits.items() if not needed]
    heapify(ready)
    order: list[Decision] = []
    places: dict[str, int] = {}
    past: list[int] = []
    while len(order) < len(by_id):
        if not ready:  # entries that claim to have seen each other: no honest log has them
            ready.append(min((by_id[id].when, id) for id in waits if id not in places))
            waits[ready[0][1]].clear()
        _, id = heappop(ready)
        places[id] = len(order)
        order.append(by_id[id])
        mask = 0
        for earlier in by_id[id].seen:
            if earlier in places and earlier != id:
                mask |= past[places[earlier]] | 1 << places[earlier]
        past.append(mask)
        for follower in followers[id]:
            waits[follower].discard(id)
            if not waits[follower] and follower not in places:
                heappush(ready, (by_id[follower].when, follower))
    return History(tuple(order), places, tuple(past))


def standing(known: History) -> tuple[Decision, ...]:
    """Decisions that count: neither undone nor replaced by one that counts itself. Undos and sign-offs are left out.

    Read from the last to the first, since an undo can be undone.
    """
    void: set[str] = set()
    kept: list[Decision] = []
    for decision in reversed(known.decisions):
        if decision.id in void:
            continue
        if decision.kind == "undo" and decision.target:
            void.add(decision.target)
        void.update(decision.over)
        if decision.kind not in ("undo", "sign"):
            kept.append(decision)
    return tuple(reversed(kept))


Claims = Mapping[str, Mapping[tuple[str, str], str]]  # decision id -> (row, field) -> what it makes of it


def disagreements(known: History, claims: Claims) -> tuple[tuple[str, ...], ...]:
    """Groups of decisions, ids in order, that claim different things of one field without having seen each other."""
    if known.in_line:
        return ()
    writers: dict[tuple[str, str], list[str]] = defaultdict(list)
    for id, fields in claims.items():
        for field in fields:
            writers[field].append(id)
    groups: list[set[str]] = []
    for field, ids in writers.items():
        last = [id for id in ids if not any(known.had_seen(other, id) for other in ids if other != id)]
        if len({claims[id][field] for id in last}) > 1:
            joined = set(last).union(*(group for group in groups if group & set(last)))
            groups = [group for group in groups if not group & joined] + [joined]
    places = {decision.id: place for place, decision in enumerate(known.decisions)}
    return tuple(tuple(sorted(group, key=places.__getitem__)) for group in groups)
