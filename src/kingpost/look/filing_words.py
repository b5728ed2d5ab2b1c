"""Speech as filing sees it: where and when something was said, and how many pictures such words draw.

The habits below are our own choice (basis: memory; no log of a real walk was at hand). They are to be set against real
logs; bench/photos.py says how well they do on an invented walk that was made with other numbers.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Numbers = NDArray[np.float64]

# Pictures that one remark draws, on average.
PULL = {
    "finding": 1.6,
    "reading": 0.8,
    "as_found": 0.6,
    "limitation": 0.5,
    "safety": 0.2,
    "information": 0.35,
    "set_aside": 0.15,
}
POINTED = 1.8  # times as many where the words point: "look at this"
SPARE = 1 / 150  # pictures a second that belong to no words: wide views, plates, the way
OUTSIDE = 1 / 3000  # the same long before the first words and after the last
RAISE_S, RISE = 4.0, 0.7  # said first, then the camera is raised: rarer at the first word, by so much
HOLD_S, LEAST_S, AFTER_S = 3.0, 7.0, 6.0  # taken just after the words, at least so long after their start; then rarer
BEFORE_S = 4.0  # taken shortly before the words
WIDE_S, WIDE = 45.0, 0.05  # a few much later
REACH_S = 240.0  # beyond this no picture is of those words

POINTING = re.compile(
    r"\b(this (one|here|is|corner|spot|crack|thing)|that one|right here|over here|here'?s|here is|there'?s the"
    r"|look(ing)? at (this|that|these)|see (this|that|here|how)|these (two|here)|picture|photo|shot|camera)\b",
    re.I,
)


@dataclass(frozen=True, slots=True)
class Said:
    """One remark on the visit's clock, seconds since the visit started."""

    id: str
    start: float
    end: float
    place: str  # where the speaker was, as far as he was heard
    findings: tuple[str, ...] = ()
    about: str = ""  # the place of its finding, where it has one
    use: str = "information"
    text: str = ""

    @property
    def pull(self) -> float:
        """How many pictures such words draw.

        >>> round(Said("r", 0, 4, "attic", ("f1",), use="finding", text="look at this").pull, 2)
        2.88
        """
        drawn = PULL["finding"] if self.findings else PULL.get(self.use, PULL["set_aside"])
        return drawn * (POINTED if POINTING.search(self.text) else 1.0)


def ordered(said: Sequence[Said]) -> list[Said]:
    """In order of time, the same whatever order they came in."""
    return sorted(said, key=lambda s: (s.start, s.end, s.id))


def lag(at: Numbers, start: float, end: float) -> Numbers:
    """Density, per second, of a picture at times `at` of words from `start` to `end`; its integral over time is 1."""
    full = max(end + HOLD_S, start + LEAST_S)
    core = np.interp(at, (start, start + RAISE_S), (RISE, 1.0))
    core = np.where(at > full, np.exp(-np.maximum(at - full, 0) / AFTER_S), core)
    core = np.where(at < start, RISE * np.exp(-np.maximum(start - at, 0) / BEFORE_S), core)
    area = full - start - RAISE_S * (1 - RISE) / 2 + AFTER_S + RISE * BEFORE_S
    far = np.where(at > start, np.exp(-np.maximum(at - start, 0) / WIDE_S), 0.0)
    density: Numbers = (1 - WIDE) * core / area + WIDE * far / WIDE_S
    return density


def supposed(at: Numbers, one: Said) -> Numbers:
    """Pictures a second that one remark draws, by our guess."""
    drawn: Numbers = one.pull * lag(at, one.start, one.end)
    return drawn


class Rate:
    """Pictures a second that the words of a walk let expect, on a grid of times.

    drawn  pictures a second that one remark draws at these times; as supposed, where none is given
    """

    def __init__(
        self,
        said: Sequence[Said],
        drawn: Callable[[Numbers, Said], Numbers] | None = None,
        step_s: float = 0.5,
        margin_s: float = 600.0,
    ) -> None:
        self.step = step_s
        self.first = min((s.start for s in said), default=0.0) - margin_s
        last = max((s.end for s in said), default=0.0) + margin_s
        times = np.arange(self.first, last, step_s)
        inside = (times > self.first + margin_s - 120) & (times < last - margin_s + 120)
        rate = np.where(inside, SPARE, OUTSIDE)
        for one in said:
            a = max(0, int((one.start - 10 * BEFORE_S - self.first) / step_s))
            b = int((one.end + REACH_S - self.first) / step_s)
            rate[a:b] += (drawn or supposed)(times[a:b], one)
        self.log = np.log(rate)

    def at(self, times: Numbers) -> Numbers:
        """Log of the rate at these times."""
        where = np.rint((times - self.first) / self.step).astype(np.int64)
        good = (where >= 0) & (where < len(self.log))
        found: Numbers = np.where(good, self.log[np.clip(where, 0, len(self.log) - 1)], np.log(OUTSIDE))
        return found
