"""How much likelier two pictures show one place than two, from what they look like, on the scale of this house.

In a house where every room is white all pictures are alike, and likeness says little; so it is measured against pairs
that lie far apart in the walk.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from .filing_words import Numbers
from .quality import LUMA, Seen

LEAST = 8  # pictures from which a scale can be made
UNLIKE, ALIKE = -0.4, 2.0  # logs: a close view differs from the room it is in, so unlike says little
SAME_BITS = 8  # of 64: nearly the same picture, the same thing


def matrix(ids: Sequence[str], seen: Mapping[str, Seen]) -> Numbers:
    """For each pair of pictures, in this order (time), the log of how much likelier they show one place; 0 unknown."""
    count = len(ids)
    out = np.zeros((count, count))
    known = [n for n, name in enumerate(ids) if name in seen]
    if len(known) < LEAST:
        return out
    like = _likeness([seen[ids[n]] for n in known])
    far = np.abs(np.subtract.outer(np.arange(len(known)), np.arange(len(known)))) > max(3, len(known) // 4)
    usual, rare = (float(np.percentile(like[far], q)) for q in (50, 95))
    steps = (like - usual) / max(rare - usual, 0.02)
    logs = np.clip(1.2 * (2 * steps - 1), UNLIKE, ALIKE)
    np.fill_diagonal(logs, 0.0)
    out[np.ix_(known, known)] = np.round(logs, 3)
    return out


def same_thing(ids: Sequence[str], seen: Mapping[str, Seen]) -> NDArray[np.bool_]:
    """Which pairs are nearly one picture: their hashes and their colours agree."""
    out = np.zeros((len(ids), len(ids)), dtype=bool)
    known = [n for n, name in enumerate(ids) if name in seen]
    if len(known) < 2:
        return out
    like = _likeness([seen[ids[n]] for n in known])
    for a, n in enumerate(known):
        for b in range(a):
            m = known[b]
            if like[a, b] > 0.9:
                bits = (int(seen[ids[n]].hash, 16) ^ int(seen[ids[m]].hash, 16)).bit_count()
                out[n, m] = out[m, n] = bits <= SAME_BITS
    return out


def _likeness(seen: Sequence[Seen]) -> Numbers:
    """`quality.likeness` of every pair at once."""
    tones = np.array([s.tones for s in seen], dtype=np.int32)
    fields = np.array([s.fields for s in seen], dtype=np.int32)
    out = np.empty((len(seen), len(seen)))
    for n in range(len(seen)):
        least = np.minimum(tones[n], tones)
        light, colour = least[:, :LUMA].sum(axis=1) / 1000, least[:, LUMA:].sum(axis=1) / 1000
        layout = np.abs(fields[n] - fields).sum(axis=1) / fields.shape[1]
        out[n] = np.round(0.35 * light + 0.35 * colour + 0.3 * np.maximum(0.0, 1 - layout / 40), 4)
    return out
