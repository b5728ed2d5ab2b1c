"""Which windows of speech hold a hit, or come just after it: asked for all windows and all hits at once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from .patterns import Hit
from .statements import Layout

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Whole = NDArray[np.intp]
    Floats = NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class Found:
    """Hits as columns, by start: where they begin and end, and the column of a table that each belongs to."""

    start: Whole
    end: Whole
    column: Whole
    worth: Floats

    @classmethod
    def of(
        cls, hits: Sequence[Hit[str]], columns: Mapping[str, int] | None = None, worth: Sequence[float] | None = None
    ) -> Found:
        """From hits in any order; those that begin together stay in theirs."""
        start = np.array([h.start for h in hits], np.intp)
        order = np.argsort(start, kind="stable")
        end = np.array([h.end for h in hits], np.intp)
        column = np.array([columns[h.key] for h in hits] if columns else [0] * len(hits), np.intp)
        return cls(start[order], end[order], column[order], np.array(worth or [0.0] * len(hits), np.float32)[order])

    def between(self, first: Any, last: Any) -> Found:
        """Those that begin at one of the words from `first` to `last`."""
        part = slice(int(np.searchsorted(self.start, first)), int(np.searchsorted(self.start, last, "right")))
        return Found(self.start[part], self.end[part], self.column[part], self.worth[part])


class Windows:
    """Windows (start, end) in words, at least one, ordered by start, with the sentences that they begin and end in."""

    def __init__(self, frames: Sequence[tuple[int, int]], plan: Layout) -> None:
        self.a, self.b = np.array(frames, np.intp).T
        edges = np.array([*plan.begins, plan.cuts[-1]], np.intp)
        self.lo = edges[np.searchsorted(edges[:-1], self.a, "right") - 1]
        self.hi = edges[np.searchsorted(edges[:-1], self.b - 1, "right")]
        self._longest = int((self.b - self.a).max())
        self._widest = int((self.hi - self.lo).max())

    def holding(self, some: Found) -> tuple[Whole, Whole, Floats]:
        """Window, column and worth of each hit in each window that holds it wholly, hit by hit."""
        some = some.between(self.a[0], self.a[-1] + self._longest)
        rows, which = _holding(self.a, self.b, some, self._longest)
        return rows, some.column[which], some.worth[which]

    def after(self, some: Found, within: int, columns: int) -> Any:
        """By window and column, whether a hit ends before the window begins, and began at most so many words before."""
        some = some.between(self.a[0] - within, self.a[-1])
        first, last = np.searchsorted(self.a, some.end), np.searchsorted(self.a, some.start + within, "right")
        return _steps(first, last, some.column, len(self.a), columns) > 0

    def count(self, some: Found) -> Whole:
        """How many hits each window holds."""
        return np.bincount(self.holding(some)[0], minlength=len(self.a))

    def count_around(self, some: Found) -> Whole:
        """How many hits the sentences around each window hold."""
        some = some.between(self.lo[0], self.lo[-1] + self._widest)
        return np.bincount(_holding(self.lo, self.hi, some, self._widest)[0], minlength=len(self.a))

    def count_before(self, some: Found, within: int) -> Whole:
        """How many hits lie in so many words before the sentence in which each window begins."""
        some = some.between(self.lo[0] - within, self.lo[-1])
        first, last = np.searchsorted(self.lo, some.end), np.searchsorted(self.lo, some.start + within, "right")
        return _steps(first, last, np.zeros_like(first), len(self.a), 1)[:, 0]

    def count_after(self, some: Found, within: int) -> Whole:
        """How many hits lie in so many words after each window."""
        some = some.between(self.a[0], self.a[-1] + self._longest + within)
        first = np.searchsorted(self.a, some.end - within - self._longest)
        rows, which = ranges(first, np.searchsorted(self.a, some.start, "right"))
        inside = (self.b[rows] <= some.start[which]) & (self.b[rows] >= some.end[which] - within)
        return np.bincount(rows[inside], minlength=len(self.a))

    def over(self, what: Any, values: Any, skip: int = 0) -> Any:
        """The least or most (`what` is np.minimum or np.maximum) of the values of each window's words after the first
        few; with one value more than there are words, which no window reaches."""
        return what.reduceat(values, np.stack([self.a + skip, self.b], axis=1).reshape(-1))[::2]

    def lowest_quarter(self, values: Any) -> Any:
        """The mean of the lowest quarter of the values of each window's words, of one at least."""
        out, length = np.empty(len(self.a)), self.b - self.a
        for size in np.unique(length).tolist():
            rows = np.flatnonzero(length == size)
            part = np.sort(values[self.a[rows, None] + np.arange(size)], axis=1)
            out[rows] = part[:, : max(1, size // 4)].mean(axis=1)
        return out


def ranges(first: Whole, last: Whole) -> tuple[Whole, Whole]:
    """The members of the ranges from `first` to before `last`, one after the other, and the range of each."""
    size = np.maximum(0, last - first)
    which = np.repeat(np.arange(len(size)), size)
    return np.arange(len(which)) - np.repeat(np.cumsum(size) - size - first, size), which


def _holding(a: Whole, b: Whole, some: Found, longest: int) -> tuple[Whole, Whole]:
    """Rows with a <= start and end <= b, and of which hit; `a` rises and no row is longer than `longest`."""
    rows, which = ranges(np.searchsorted(a, some.end - longest), np.searchsorted(a, some.start, "right"))
    held = b[rows] >= some.end[which]
    return rows[held], which[held]


def _steps(first: Whole, last: Whole, column: Whole, rows: int, columns: int) -> Whole:
    """By row and column, how many of the ranges of rows from `first` to before `last` reach over it."""
    some = first < last
    up = np.bincount(first[some] * columns + column[some], minlength=(rows + 1) * columns)
    down = np.bincount(last[some] * columns + column[some], minlength=(rows + 1) * columns)
    steps: Whole = np.cumsum((up - down).reshape(rows + 1, columns)[:-1], axis=0)
    return steps
