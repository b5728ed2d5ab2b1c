"""How late this person takes pictures: learned from the walk itself, from what the usual habit makes of it first.

The usual lateness (`filing_words.lag`) is our guess. A walk of some hundred pictures tells it better: each picture is
of some words, with the chances of a first pass, and how late it came after them is counted. A short walk keeps the
usual lateness. (Expectation and maximisation. How many pictures words draw was learned in this way too, and made the
filing worse: it was left out.)
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from .filing_breath import shares
from .filing_words import BEFORE_S, REACH_S, Numbers, Said, lag

PICTURES = 20.0  # pictures that must speak before the walk counts as much as the usual lateness; our choice
LEAST = 0.01  # chance below which a picture says nothing about words
SMOOTH_S = 1.5  # a learned lateness is blurred by so much
FIRST_S, LAST_S, STEP_S = -40.0, 60.0, 0.5


@dataclass(frozen=True, slots=True)
class Habits:
    """Lateness after the first word as a density per second on a grid, and how much of it is learned, 0 to 1."""

    late: Numbers = field(default_factory=lambda: np.zeros(1))
    share: float = 0.0

    def drawn(self, at: Numbers, one: Said) -> Numbers:
        """Pictures a second that one remark draws at these times."""
        density = lag(at, one.start, one.end)
        if self.share:
            place = (at - one.start - FIRST_S) / STEP_S
            own = np.interp(place, np.arange(len(self.late)), self.late, 0.0, 0.0)
            density = (1 - self.share) * density + self.share * own
        drawn: Numbers = one.pull * density
        return drawn

    def rates(self, at: Numbers, said: Sequence[Said]) -> Numbers:
        """Pictures a second that each remark (column) lets expect at each time (row)."""
        out = np.zeros((len(at), len(said)))
        for k, one in enumerate(said):
            near = (at >= one.start - 10 * BEFORE_S) & (at <= one.end + REACH_S)
            out[near, k] = self.drawn(at[near], one)
        alone = out.copy()
        for k, finding, share in shares(said):
            out[:, finding] += share * alone[:, k]
            out[:, k] -= share * alone[:, k]
        return np.maximum(out, 0.0)


def learn(at: Numbers, said: Sequence[Said], words: Numbers) -> Habits:
    """The habits of a walk. `words`: the chance that a picture (row, taken `at`) is of a remark (column)."""
    grid = np.arange(FIRST_S, LAST_S + STEP_S, STEP_S)
    known = words > LEAST
    late, weight = (at[:, None] - np.array([s.start for s in said])[None, :])[known], words[known]
    shape = np.zeros(len(grid))
    for away, much in zip(late, weight, strict=True):
        shape += much * np.exp(-0.5 * ((grid - away) / SMOOTH_S) ** 2)
    total = float(shape.sum()) * STEP_S
    if total <= 0:
        return Habits()
    return Habits(shape / total, float(weight.sum()) / (float(weight.sum()) + PICTURES))
