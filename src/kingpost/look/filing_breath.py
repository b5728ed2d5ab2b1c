"""Words said in one breath with a finding are about it: "Knee wall. One bay got nothing. Stud to stud, bare board."

Listening makes a finding of the sentence that tells the fault; what leads up to it and what is added stands beside it
without one. A picture taken during these is of the fault all the same.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import exp

from .filing_words import Said

BREATH_S = (
    0.25  # over a pause of so much the words go on about one thing in 37 of 100 cases; our choice (basis: memory)
)
LEAST = 0.01  # chance below which a remark stands alone
JOINS = frozenset({"information", "set_aside", "reading"})  # the rest is a matter of its own, as what is put back


def shares(said: Sequence[Said]) -> list[tuple[int, int, float]]:
    """Remark, the remark with a finding that it is about, and the share of its pictures that are of that finding.

    `said` in order of time.

    >>> lead, fault = Said("a", 0, 2, "attic"), Said("b", 2, 6, "attic", ("f1",))
    >>> shares([lead, fault]), shares([lead, Said("b", 9, 12, "attic", ("f1",))])
    ([(0, 1, 1.0)], [])
    """
    before, after = _run(said, range(len(said)), -1), _run(said, range(len(said) - 1, -1, -1), 1)
    out = []
    for k, sides in enumerate(zip(before, after, strict=True)):
        total, most = sum(c for _, c in sides), max(c for _, c in sides)
        out += [(k, finding, most * c / total) for finding, c in sides if c > LEAST]
    return out


def _run(said: Sequence[Said], order: range, back: int) -> list[tuple[int, float]]:
    """For each remark the nearest one with a finding on one side, and the chance that no breath was drawn between."""
    out, finding, chance = [(0, 0.0)] * len(said), 0, 0.0
    for k in order:
        if 0 <= k + back < len(said):
            first, second = sorted((k, k + back))
            one, other = said[first], said[second]
            together = one.place.partition(",")[0] == other.place.partition(",")[0]
            chance *= exp(-max(0.0, other.start - one.end) / BREATH_S) if together else 0.0
        if said[k].findings:
            finding, chance = k, 1.0
        elif said[k].use in JOINS:
            out[k] = (finding, chance)
        else:
            chance = 0.0
    return out
