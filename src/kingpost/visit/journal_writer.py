"""Writes the journal of one device: numbers, clocks and chains its events. No clock here: the time is handed in."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from .journal_clock import ZERO, after, seen
from .journal_form import VERSION, Event, event


@dataclass(slots=True)
class Writer:
    """The pen of one journal. Begin a new device wherever its last event is not surely known."""

    device: str
    seq: int = 0
    last: str = ""  # digest of the newest event
    clock: str = ZERO

    @classmethod
    def goes_on(cls, device: str, events: Iterable[Event]) -> Writer:
        """The pen after the newest of a device's own events."""
        newest = max((e for e in events if e.device == device), key=lambda e: e.seq, default=None)
        return cls(device) if newest is None else cls(device, newest.seq, newest.digest, newest.hlc)

    def write(self, now_ms: int, kind: str, at: str = "", **body: Any) -> Event:
        """The next event. Raises NoEvent where the body cannot be written.

        now_ms  the device's clock, ms since 1970
        at      the same as written time; in UTC where it is not given
        """
        clock, seq = after(self.clock, now_ms), self.seq + 1
        at = at or datetime.fromtimestamp(now_ms / 1000, UTC).isoformat(timespec="milliseconds")
        envelope = {"v": VERSION, "device": self.device, "seq": seq, "id": f"{self.device}.{seq}", "prev": self.last}
        made = event({**body, **envelope, "hlc": clock, "at": at, "kind": kind})
        self.seq, self.last, self.clock = seq, made.digest, clock
        return made

    def saw(self, other: str, now_ms: int) -> None:
        """An event of another device came in with this hybrid clock."""
        self.clock = seen(self.clock, other, now_ms)
