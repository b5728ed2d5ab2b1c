"""Computed walls with truth: what is found, how large it is told to be, false alarms, and too small a difference.

python -m bench.thermal            40 walls of each kind
python -m bench.thermal --walls 10
"""

from __future__ import annotations

import argparse
import sys

import numpy as np
from tests.look.walls import wall

from kingpost.judge import heat_pictures
from kingpost.look.frames_spots import spots
from kingpost.visit.facts import Facts, Frame

KINDS = {"bay": "missing_insulation", "blot": "damp", "register": "hidden_register", "": ""}


def main() -> int:
    """Print the table."""
    parser = argparse.ArgumentParser(prog="python -m bench.thermal")
    parser.add_argument("--walls", type=int, default=40)
    count = parser.parse_args().walls
    for delta in (20.0, 12.0, 1.4):
        about = {"indoor_c": 21.0, "outdoor_c": 21.0 - delta, "place": "wall", "note": "furnace running"}
        frame = Frame("t", "", "", about)
        state, _, _ = heat_pictures.conditions(frame, Facts())
        for flaw, kind in KINDS.items():
            hits, first, area, alarms = 0, 0, [], 0
            for seed in range(1000, 1000 + count):
                t, truth = wall(seed, flaw, delta)
                found = heat_pictures.judged(spots(t), frame, Facts(), state)
                mine = [s for s in found if flaw and _over(s.box, truth["box"]) > 0.5]
                hits += bool(mine)
                first += bool(mine and mine[0].causes and mine[0].causes[0].id == kind)
                area += [mine[0].area / truth["area"] - 1] if mine else []
                alarms += any(s.causes and s.causes[0].id != "framing" for s in found if s not in mine)
            told = (
                f"area off by {np.median(np.abs(area)):.1%} (median), {np.max(np.abs(area)):.1%} (most)" if area else ""
            )
            what = f"found {hits}/{count}, named first {first}/{count}, {told}" if flaw else "nothing there"
            print(
                f"difference {delta:4.1f} C ({state}), {flaw or 'normal wall'}: {what}; other patches named in {alarms}"
            )
    return 0


def _over(a: tuple[float, ...], b: tuple[float, ...]) -> float:
    """Overlap of two boxes to their union."""
    wide = max(0.0, min(a[0] + a[2], b[0] + b[2]) - max(a[0], b[0]))
    high = max(0.0, min(a[1] + a[3], b[1] + b[3]) - max(a[1], b[1]))
    return wide * high / (a[2] * a[3] + b[2] * b[3] - wide * high)


if __name__ == "__main__":
    sys.exit(main())
