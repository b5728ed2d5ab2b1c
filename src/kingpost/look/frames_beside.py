"""Which photo was taken with a thermal frame."""

from __future__ import annotations

from collections.abc import Sequence

from kingpost.visit.facts import Frame, Photo

NEAR_S = 15.0  # our choice: a person takes both without moving


def beside(frame: Frame, photos: Sequence[Photo]) -> str:
    """The id of the photo that the frame's TOML names (`photo`), else of the one taken nearest, within 15 s; or ""."""
    named = str(frame.about.get("photo", ""))
    for photo in photos:
        if named and named in (photo.file, photo.file.rpartition("/")[2]):
            return photo.id
    if frame.taken is None:
        return ""
    apart = [(abs((p.taken - frame.taken).total_seconds()), p.file, p.id) for p in photos if p.taken is not None]
    best = min(apart, default=(NEAR_S + 1, "", ""))
    return best[2] if best[0] <= NEAR_S else ""
