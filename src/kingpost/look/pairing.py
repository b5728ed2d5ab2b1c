"""Which picture belongs to which words, by the clock."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from kingpost.visit.facts import Photo

# Habits of a narrated walk, our choice, to be set against a real log when there is one: people say it, then take it.
AFTER_S = 45.0  # a picture so long after the words may still be of them
BEFORE_S = 15.0  # taken first, then spoken of
EARLY = 3.0  # a second before the words counts as so many after them
TIE_S = 0.001  # nearer than the clocks can tell


@dataclass(frozen=True, slots=True)
class Moment:
    """A stretch of speech on the visit's clock, in seconds since the visit started."""

    id: str
    start: float
    end: float


def by_time(
    photos: Iterable[Photo], moments: Sequence[Moment], *, after_s: float = AFTER_S, before_s: float = BEFORE_S
) -> dict[str, tuple[str, ...]]:
    """Photo ids for each moment that has any, the nearest first.

    photos    pictures; one without a time belongs to no moment
    moments   stretches of speech, in any order; they may overlap
    after_s   longest time from the end of the words to the picture, s
    before_s  longest time from the picture to the start of the words, s

    A picture goes to the moment it lies nearest to, and to more than one only where it lies equally near to them:
    inside the words counts as 0 s, after them by the time gone by, before them three times as far. The same answer
    whatever the order of photos and moments.

    >>> shot = Photo("p1", "photos/a.jpg", "", None, 12.0, 4, 3)
    >>> by_time([shot], [Moment("r1", 0.0, 9.5), Moment("r2", 13.0, 20.0)])
    {'r1': ('p1',)}
    """
    chosen: dict[str, list[tuple[float, float, str]]] = {}
    for photo in photos:
        if photo.seconds is None:
            continue
        near = [(away, m.id) for m in moments if (away := _away(photo.seconds, m, after_s, before_s)) is not None]
        if near:
            least = min(near)[0]
            for away, moment in near:
                if away - least < TIE_S:
                    chosen.setdefault(moment, []).append((away, photo.seconds, photo.id))
    return {moment: tuple(dict.fromkeys(p for _, _, p in sorted(chosen[moment]))) for moment in sorted(chosen)}


def _away(at: float, moment: Moment, after_s: float, before_s: float) -> float | None:
    """How far a picture lies from the words; None where it is too far."""
    if at > moment.end:
        late = at - moment.end
        return late if late <= after_s else None
    if at < moment.start:
        early = moment.start - at
        return EARLY * early if early <= before_s else None
    return 0.0
