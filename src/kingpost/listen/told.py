"""What the word rules found in one walk, made ready to be held against many windows at once."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from .catalogue import Catalogue
from .heard import Heard, negated
from .inside import Found

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Whole = NDArray[np.intp]
    Floats = NDArray[np.float32]

SIDE_ACTS = ("tip", "hypothetical", "other_house", "safety_talk", "banter")
UNLESS = 1.5  # what a word that speaks against a condition is worth, of 1 for one of its signs denied
FURTHER = 0.3  # what a further sign of a condition adds to the one that says most


@dataclass(frozen=True, slots=True)
class Told:
    """Hits of one walk as columns, by what they tell."""

    components: Found
    signs: Found  # worth more the more words they have
    against: Found  # signs denied, and words that speak against a condition
    faults: Found
    weak_faults: Found
    fault_words: Found  # one at each word where a fault is told
    faults_denied: Found
    standing: Found
    acts: dict[str, Found]
    weak_acts: dict[str, Found]

    @classmethod
    def of(cls, heard: Heard, cat: Catalogue) -> Told:
        """What a walk tells."""
        signs = [(h, negated(heard.norms, h)) for h in heard.signs]
        plain, denied = [h for h, no in signs if not no], [h for h, no in signs if no]
        faults = [h for h in heard.faults if not negated(heard.norms, h)]
        weak = [h for h in heard.weak_faults if not negated(heard.norms, h)]
        acts = (*SIDE_ACTS, "praise", "limitation", "correction")
        return cls(
            components=Found.of(heard.components, cat.component_at),
            signs=Found.of(plain, cat.number, [0.5 + 0.5 * min(3, h.pattern.weight) for h in plain]),
            against=Found.of([*denied, *heard.unless], cat.number, [1.0] * len(denied) + [UNLESS] * len(heard.unless)),
            faults=Found.of(faults, cat.fault_at),
            weak_faults=Found.of(weak, cat.fault_at),
            fault_words=Found.of(list({h.start: h for h in faults}.values())),
            faults_denied=Found.of([h for h in heard.faults if negated(heard.norms, h)]),
            standing=Found.of(heard.standing),
            acts={act: Found.of([h for h in heard.acts if h.key == act]) for act in acts},
            weak_acts={
                act: Found.of([h for h in heard.weak_acts if h.key == act]) for act in ("praise", "hypothetical")
            },
        )


def best_signs(rows: Whole, columns: Whole, worth: Floats, shape: tuple[int, int]) -> Floats:
    """By window and condition, the worth of the sign that says most, and a little for each further one, as they come.

    >>> best_signs(np.array([0, 0, 1]), np.array([1, 1, 0]), np.array([1, 2, 1], np.float32), (2, 2)).tolist()
    [[0.0, 2.299999952316284], [1.0, 0.0]]
    """
    out = np.zeros(shape, np.float32)
    cells = rows * shape[1] + columns
    order = np.argsort(cells, kind="stable")
    first = np.searchsorted(cells[order], cells[order])
    turn = np.empty_like(order)
    turn[order] = np.arange(len(order)) - first  # the how manieth of its cell
    for k in range(int(turn.max(initial=-1)) + 1):
        r, c = rows[turn == k], columns[turn == k]
        before = out[r, c]
        out[r, c] = np.maximum(before, worth[turn == k]) + np.where(before > 0, FURTHER, 0.0)
    return out
