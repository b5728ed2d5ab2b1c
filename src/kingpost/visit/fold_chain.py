"""Gaps, broken chains, forks and wrong clocks in journals: named, and nothing is lost over them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from .errors import Troubles
from .journal_clock import FAR_MS, from_at, ms_of
from .journal_form import Event

SYNC = "sync the device that wrote it; both sides are used"


def by_device(events: Sequence[Event]) -> dict[str, dict[int, list[Event]]]:
    """device -> number -> the events of that number; more than one where the journal forked."""
    out: dict[str, dict[int, list[Event]]] = {}
    for e in events:
        out.setdefault(e.device, {}).setdefault(e.seq, []).append(e)
    return dict(sorted(out.items()))


def gaps(numbers: Sequence[int] | set[int]) -> Iterator[tuple[int, int]]:
    """The runs of numbers from 1 that are missing before the largest.

    >>> list(gaps({3, 4, 7}))
    [(1, 2), (5, 6)]
    """
    last = 0
    for n in sorted(numbers):
        if n > last + 1:
            yield last + 1, n - 1
        last = n


def chained(events: Sequence[Event], told: Troubles) -> None:
    """Names whatever is odd about the chains of a union of events."""
    for device, mine in by_device(events).items():
        for first, last in gaps(set(mine)):
            after = mine[last + 1][0]
            many = f"{last - first + 1} events" if last > first else "an event"
            have = "have" if last > first else "has"
            told.add(after.file or device, after.line, f"{many} of {device} {have} not come ({first} to {last})",
                     SYNC, "gaps")  # fmt: skip
        for seq, them in sorted(mine.items()):
            if len(them) > 1:
                told.add(them[1].file or device, them[1].line, f"{them[0].id} stands with {len(them)} contents",
                         "all are used; give a copied device a journal of its own", "forks")  # fmt: skip
            before = {e.digest for e in mine.get(seq - 1, ())} if seq > 1 else {""}
            for e in them:
                if before and e.prev not in before:
                    told.add(e.file or device, e.line, f"{e.id} does not follow from the event before it",
                             "both are used; the journal was edited or lost a part", "broken chains")  # fmt: skip
                if abs(ms_of(e.hlc) - ms_of(from_at(e.at))) > FAR_MS:
                    told.add(e.file or device, e.line, f"{e.id} has a hybrid clock more than 24 h from its time",
                             "check the clock of the device", "far clocks")  # fmt: skip
