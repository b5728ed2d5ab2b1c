"""Which windows of speech hold a hit, or come just after it: asked for all windows at once."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from .patterns import Hit
from .statements import Layout

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Whole = NDArray[np.intp]


class Windows:
    """Windows (start, end) in words, ordered by start, with the sentences that they begin and end in."""

    def __init__(self, frames: Sequence[tuple[int, int]], plan: Layout) -> None:
        self.a, self.b = (np.array([f[k] for f in frames], np.intp) for k in (0, 1))
        self.lo = np.array([plan.sentence(a)[0] for a, _ in frames], np.intp)
        self.hi = np.array([plan.sentence(b - 1)[1] for _, b in frames], np.intp)
        self._longest = int((self.b - self.a).max(initial=0))
        self._widest = int((self.hi - self.lo).max(initial=0))

    def holding(self, h: Hit[str]) -> Whole:
        """The windows that hold a hit wholly."""
        return _holding(self.a, self.b, h.start, h.end, self._longest)

    def after(self, h: Hit[str], within: int) -> slice:
        """The windows that begin after a hit ends, at most so many words after it began."""
        return slice(int(np.searchsorted(self.a, h.end)), int(np.searchsorted(self.a, h.start + within, "right")))

    def count(self, hits: Sequence[Hit[str]]) -> Whole:
        """How many hits each window holds."""
        out = np.zeros(len(self.a), np.intp)
        for h in hits:
            out[self.holding(h)] += 1
        return out

    def count_around(self, hits: Sequence[Hit[str]]) -> Whole:
        """How many hits the sentences around each window hold."""
        out = np.zeros(len(self.a), np.intp)
        for h in hits:
            out[_holding(self.lo, self.hi, h.start, h.end, self._widest)] += 1
        return out

    def count_before(self, hits: Sequence[Hit[str]], within: int) -> Whole:
        """How many hits lie in so many words before the sentence in which each window begins."""
        out = np.zeros(len(self.a), np.intp)
        for h in hits:
            first, last = np.searchsorted(self.lo, h.end), np.searchsorted(self.lo, h.start + within, "right")
            out[first:last] += 1
        return out

    def count_after(self, hits: Sequence[Hit[str]], within: int) -> Whole:
        """How many hits lie in so many words after each window."""
        out = np.zeros(len(self.a), np.intp)
        for h in hits:
            reach = within + self._longest
            lo = int(np.searchsorted(self.a, h.end - reach))
            hi = int(np.searchsorted(self.a, h.start, "right"))
            out[lo:hi] += (self.b[lo:hi] <= h.start) & (self.b[lo:hi] >= h.end - within)
        return out


def _holding(a: Whole, b: Whole, start: int, end: int, longest: int) -> Whole:
    """Rows with a <= start and end <= b, where `a` rises and no row is longer than `longest`."""
    lo, hi = int(np.searchsorted(a, end - longest)), int(np.searchsorted(a, start, "right"))
    found: Whole = lo + np.flatnonzero(b[lo:hi] >= end)
    return found
