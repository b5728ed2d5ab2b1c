"""`python -m kingpost.listen.prepare`: compute the vectors of all catalogue phrases and keep them in the package."""

from __future__ import annotations

import sys

import numpy as np

from kingpost.trade.load import load

from .catalogue import KEPT, digest, phrases
from .likeness import MISSING, likeness


def main() -> int:
    """Write vectors.npz; with --check only say whether it is fresh."""
    wanted = sorted({digest(text): text for _, text in phrases(load())}.items())
    if "--check" in sys.argv:
        with np.load(KEPT) as file:
            fresh = set(file["names"].tolist()) == {name for name, _ in wanted}
        print("fresh" if fresh else "stale: run python -m kingpost.listen.prepare")
        return 0 if fresh else 1
    model = likeness()
    if model is None:
        print(MISSING)
        return 2
    rows = model.vectors([text for _, text in wanted]).astype(np.float16)
    np.savez_compressed(KEPT, names=np.array([name for name, _ in wanted]), vectors=rows)
    print(f"{len(wanted)} phrases, {KEPT.stat().st_size} bytes")
    return 0


if __name__ == "__main__":
    sys.exit(main())
