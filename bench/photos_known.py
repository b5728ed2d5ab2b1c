"""How short a list of doubts can be: the invented walks filed by one who knows how they were made.

The habits are those of tests/look/invented_walk.py (how late, how often, when wide views are taken) and the clocks are
the true ones; the rest is look/filing as it is. What this still gets wrong, neither times nor places tell.

python -m bench.photos_known
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import erf, sqrt
from typing import Any
from unittest.mock import patch

import numpy as np
from tests.look.invented_walk import CAMERAS

from kingpost.look import filing, filing_chain
from kingpost.look.filing_words import Numbers, Said

from .photos import invented

SPARE, ARRIVING, ARRIVE_S = 0.002, 0.077, 14.0  # pictures a second of no words: at any time, on arriving; for so long
OFFSETS = dict(zip(CAMERAS, (-3600.0, 40.0), strict=True))


def late(at: Numbers, one: Said) -> Numbers:
    """Density per second of a picture of these words, as the walks draw it."""
    after, most = at - one.start, one.end - one.start + 6
    bell = np.exp(-0.5 * ((after - 5) / 2.5) ** 2) / (2.5 * 2.5066) * (after <= most)
    share = 0.5 * (1 - erf((most - 5) / 2.5 / sqrt(2)))  # all that would be later lies there
    rest = share * np.exp(-0.5 * ((after - most) / 0.3) ** 2) / (0.3 * 2.5066)
    density: Numbers = 0.85 * (bell + rest) + 0.15 * ((after < -1) & (after > -7)) / 6
    return density


@dataclass(frozen=True)
class Known:
    """The habits of the walks, in place of those that filing assumes and learns."""

    def rates(self, at: Numbers, said: Sequence[Said]) -> Numbers:
        """Pictures a second that each remark (column) lets expect at each time (row)."""
        often = [
            (2.2 if "look at this" in s.text else 1.3) if s.findings else 0.25 if s.use != "set_aside" else 0.05
            for s in said
        ]
        return np.stack([m * late(at, s) + 1e-9 for m, s in zip(often, said, strict=True)], axis=1)


def main() -> int:
    """Print the same table as bench.photos, for who knows."""
    clocks = filing._clocks

    def true(*given: Any) -> Any:
        made = clocks(*given)
        right = tuple(replace(c, offset_s=OFFSETS[c.device], source="estimated") for c in made.devices)
        return replace(made, devices=right, habit_s=0.0)

    told: dict[str, Any] = {"Habits": Known, "learn": lambda *_: Known(), "PASSES": 1, "SPARE": SPARE}
    told |= {"ARRIVE_S": ARRIVE_S, "WIDE_VIEWS": ARRIVING / SPARE}
    with patch.multiple(filing_chain, **told), patch.object(filing, "_clocks", true):
        invented()
    return 0


if __name__ == "__main__":
    sys.exit(main())
