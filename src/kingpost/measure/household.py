"""Dryers, and what a carbon monoxide alarm must do."""

from __future__ import annotations

from collections.abc import Sequence

from .limits import within


def dryer_duct_allowed_ft(base_ft: float, bends: Sequence[tuple[int, float]]) -> float:
    """The longest dryer duct, ft: the base less what each bend costs. The hose behind the dryer does not count.

    bends    (how many, ft for each)

    Source    [irc-m1502-length]
    Raises    OutOfRange

    >>> dryer_duct_allowed_ft(35.0, [(2, 5.0), (1, 2.5)])
    22.5
    """
    within("base_ft", base_ft, 1.0, 200.0)
    for count, each in bends:
        within("bends", count, 0, 30)
        within("each_ft", each, 0.0, 20.0)
    return base_ft - sum(count * each for count, each in bends)


def co_alarm_must_sound(
    ppm: float, minutes: float, levels_ppm: Sequence[float], from_min: Sequence[float], to_min: Sequence[float]
) -> str:
    """Whether a listed alarm would have sounded by then: no, may, must.

    levels_ppm   rising; below the first the listing does not ask for a sound
    from_min     before so many minutes it must not sound; after `to_min` it must

    Source    [ul-2034]
    Raises    OutOfRange

    >>> co_alarm_must_sound(40.0, 600.0, [70, 150, 400], [60, 10, 4], [240, 50, 15])
    'no'
    >>> co_alarm_must_sound(150.0, 50.0, [70, 150, 400], [60, 10, 4], [240, 50, 15])
    'must'
    """
    within("ppm", ppm, 0.0, 5000.0)
    within("minutes", minutes, 0.0, 1e5)
    reached = [i for i, level in enumerate(levels_ppm) if ppm >= level]
    if not reached:
        return "no"
    step = reached[-1]
    if minutes >= to_min[step]:
        return "must"
    return "may" if minutes >= from_min[step] else "no"
