"""Where the walk was at each remark: the places as heard, made into the likeliest way through the house.

A forward-backward pass over a hidden Markov model: the place stays or changes from remark to remark; a place named
afresh, a place carried on, and the place where a finding's part is met are uncertain signs of it.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import numpy as np

from .filing_words import Numbers, Said

# Our choice (basis: memory): how much more likely a sign is in its own place than in another.
NAMED = 200.0  # named afresh
CARRIED, RUN, LATER = 1.8, 6, 1.1  # carried on: so much for the first remarks after it was named, less for later ones
HERE = 2.0  # a finding whose part is met here
MET, MET_NEAR = 12.0, 4.0  # its part is not met where the speaker was heard, but here; or in another part of here
MOVE, MOVE_PAUSE, PAUSE_S = 0.03, 0.35, 60.0  # chance of another place at the next remark: at once, after a pause


def way(said: Sequence[Said]) -> tuple[list[str], Numbers]:
    """All places, and for each remark (a row) the chance of each place (a column). `said` is in order of time."""
    names = sorted({s.place for s in said} | {s.about for s in said if s.about}) or [""]
    signs = np.ones((len(said), len(names)))
    column = {name: n for n, name in enumerate(names)}
    before, run = None, 0
    for row, one in enumerate(said):
        run = run + 1 if one.place == before else 0
        signs[row, column[one.place]] *= NAMED if not run else CARRIED if run <= RUN else LATER
        before = one.place
        if one.about == one.place:
            signs[row, column[one.place]] *= HERE if one.about else 1.0
        elif one.about:
            for name, n in column.items():
                if name == one.about:
                    signs[row, n] *= MET
                elif _outer(name) == _outer(one.about):
                    signs[row, n] *= MET_NEAR
    return names, _smooth(said, signs)


def _outer(place: str) -> str:
    return place.partition(",")[0]


def _smooth(said: Sequence[Said], signs: Numbers) -> Numbers:
    count, places = signs.shape
    if not count:
        return signs
    moves = [_move(b.start - a.end) for a, b in itertools.pairwise(said)]
    ahead = np.empty_like(signs)
    ahead[0] = signs[0] / signs[0].sum()
    for n in range(1, count):
        step = _step(ahead[n - 1], moves[n - 1], places) * signs[n]
        ahead[n] = step / step.sum()
    behind = np.ones(places)
    out = np.empty_like(signs)
    out[-1] = ahead[-1]
    for n in range(count - 2, -1, -1):
        behind = _step(behind * signs[n + 1], moves[n], places)
        behind /= behind.sum()
        both = ahead[n] * behind
        out[n] = both / both.sum()
    return out


def _move(pause: float) -> float:
    return MOVE + (MOVE_PAUSE - MOVE) * (1 - float(np.exp(-max(0.0, pause) / PAUSE_S)))


def _step(chance: Numbers, move: float, places: int) -> Numbers:
    stepped: Numbers = (1 - move) * chance + move * chance.sum() / places
    return stepped
