"""The hybrid clock of events: it follows the device's clock, and never goes back behind what the device has seen.

Source: Kulkarni, Demirbas, Madeppa, Avva, Leone, "Logical Physical Clocks and Consistent Snapshots in Globally
Distributed Databases", 2014 (from memory). Written as text, so that the order of text is the order of clocks.
"""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from typing import Any

MOST_MS, MOST_COUNT = 10**15 - 1, 99_999
FAR_MS = 24 * 3600 * 1000  # a clock further ahead than this is not followed
EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
ZERO = "000000000000000-00000"
_FORM = re.compile(r"[0-9]{15}-[0-9]{5}", re.ASCII)


def is_clock(text: Any) -> bool:
    """Is it a hybrid clock?"""
    return isinstance(text, str) and _FORM.fullmatch(text) is not None


def written(ms: int, count: int = 0) -> str:
    """Milliseconds since 1970 and a counter as a hybrid clock.

    >>> written(1778594400000, 3)
    '001778594400000-00003'
    """
    return f"{min(max(ms, 0), MOST_MS):015d}-{count:05d}"


def ms_of(clock: str) -> int:
    return int(clock.partition("-")[0])


def after(last: str, now_ms: int) -> str:
    """The clock of the next event of a device.

    >>> after("001778594400000-00003", 1778594400000), after("001778594400000-00003", 1778594400001)
    ('001778594400000-00004', '001778594400001-00000')
    >>> after("001778594400000-99999", 0)
    '001778594400001-00000'
    """
    ms, count = ms_of(last), int(last.partition("-")[2])
    if now_ms > ms:
        return written(now_ms)
    return written(ms, count + 1) if count < MOST_COUNT else written(ms + 1)


def seen(last: str, other: str, now_ms: int) -> str:
    """The device's clock after an event of another device came in; one that is far ahead is not followed."""
    return max(last, other) if ms_of(other) - now_ms <= FAR_MS else last


def from_at(at: str) -> str:
    """The clock of a line that has only a time, UTC unless it says otherwise. Raises ValueError, OverflowError.

    >>> from_at("2026-05-12T09:00:00.0005-05:00")
    '001778594400000-00500'
    """
    when = datetime.fromisoformat(at)
    since = (when.replace(tzinfo=UTC) if when.tzinfo is None else when.astimezone(UTC)) - EPOCH
    ms, rest = divmod(since, timedelta(milliseconds=1))
    return written(ms, rest // timedelta(microseconds=1))
