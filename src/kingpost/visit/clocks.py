"""The clocks of a visit: when a picture was taken, and how far that is from the start."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from datetime import UTC, datetime, timedelta, timezone

from .facts import Device

BEFORE_H, AFTER_H = 1.0, 14.0  # a clock time so far from the start of the visit is no clock time of it

_EXIF = re.compile(r"^(\d{4}):(\d\d):(\d\d)[ T](\d\d):(\d\d):(\d\d)")
_OFFSET = re.compile(r"^([+-])(\d\d):?(\d\d)$|^Z$")
_IN_NAME = re.compile(
    r"(?<!\d)((?:19|20)\d\d)[-_.:]?(\d\d)[-_.:]?(\d\d)[-_ T.at]{1,4}"
    r"(\d\d)[-_.:h]?(\d\d)[-_.:m]?(\d\d)(?:[-_.,]?(\d{3}))?(?!\d)"
)


def since_start(clock_s: float, started: datetime | None) -> float:
    """Seconds since the start from h:mm:ss, which is the time of day where that fits the visit, else the time gone by.

    >>> nine = datetime(2026, 5, 12, 9, 0)
    >>> since_start(9 * 3600 + 14 * 60, nine), since_start(12 * 60 + 30, nine)
    (840.0, 750.0)
    """
    if started is not None:
        since = clock_s - (started.hour * 3600 + started.minute * 60 + started.second)
        if -BEFORE_H * 3600 <= since <= AFTER_H * 3600:
            return float(since)
    return float(clock_s)


def on_clock_of(moment: datetime, other: datetime) -> datetime:
    """A moment that can be compared with the other: both with an offset, or both without."""
    return moment if (moment.tzinfo is None) == (other.tzinfo is None) else moment.replace(tzinfo=other.tzinfo)


def between(started: datetime | None, moment: datetime | None) -> float | None:
    """Seconds from one moment to the other; a moment without an offset is on the clock of the other."""
    if started is None or moment is None:
        return None
    return round((on_clock_of(moment, started) - started) / timedelta(seconds=1), 3)


def exif_moment(original: str, subsec: str, offset: str) -> datetime | None:
    """The moment of EXIF DateTimeOriginal, SubSecTimeOriginal and OffsetTimeOriginal; None where it is none.

    Source: CIPA DC-008 (Exif 2.32), tags 36867, 37521, 36881 (from memory, not looked up)

    >>> exif_moment("2026:05:12 09:44:10", "25", "-05:00").isoformat()
    '2026-05-12T09:44:10.250000-05:00'
    >>> exif_moment("0000:00:00 00:00:00", "", "") is None
    True
    """
    if not (found := _EXIF.match(original.strip())):
        return None
    digits = subsec.strip()
    part = int((digits + "000000")[:6]) if digits.isascii() and digits.isdigit() else 0
    return _moment([int(g) for g in found.groups()], part, _zone(offset.strip()))


def name_moment(name: str) -> datetime | None:
    """The moment in a file name, without an offset.

    >>> name_moment("IMG_20260512_094410.jpg").isoformat(), name_moment("2026-05-12 09.44.10.jpg").isoformat()
    ('2026-05-12T09:44:10', '2026-05-12T09:44:10')
    >>> name_moment("IMG_0031.heic") is None
    True
    """
    if not (found := _IN_NAME.search(name)):
        return None
    return _moment([int(g) for g in found.groups()[:6]], int(found[7] or 0) * 1000, None)


def _moment(parts: Sequence[int], microsecond: int, zone: timezone | None) -> datetime | None:
    try:
        return datetime(*parts, microsecond, tzinfo=zone)  # type: ignore[misc,arg-type]
    except ValueError:
        return None


def _zone(offset: str) -> timezone | None:
    if not (found := _OFFSET.match(offset)):
        return None
    if not found[1]:
        return UTC
    ahead = timedelta(hours=int(found[2]), minutes=int(found[3]))
    return timezone(ahead if found[1] == "+" else -ahead) if ahead < timedelta(hours=24) else None


def set_right(moment: datetime, device: str, devices: Sequence[Device], started: datetime | None) -> datetime:
    """A device's time on the visit's clock: its clock error taken off, the visit's offset given where it has none."""
    if started is not None:
        moment = on_clock_of(moment, started)
    return moment - timedelta(seconds=ahead_s(device, devices))


def ahead_s(device: str, devices: Sequence[Device]) -> float:
    """How far the clock of a camera, named as EXIF names it, runs ahead; 0 where visit.toml does not say.

    >>> ahead_s("Northlamp Torchcam 1", [Device("torchcam 1", 40.0)]), ahead_s("Other", [Device("torchcam 1", 40.0)])
    (40.0, 0.0)
    """
    return given_s(device, devices) or 0.0


def given_s(device: str, devices: Sequence[Device]) -> float | None:
    """The same; None where visit.toml does not name the camera."""
    own = " ".join(device.lower().split())
    names: Mapping[str, float] = {" ".join(d.name.lower().split()): d.clock_offset_s for d in devices}
    if own in names:
        return names[own]
    near = [name for name in names if name and own and (name in own or own in name)]
    return names[max(near, key=lambda n: (len(n), n))] if near else None
