"""How well conditions are told apart: phrases that nothing was trained on (phrases.tsv), and what they are taken for.

python -m bench.phrases            the share named right, first and among three, by system, and the commonest confusions
python -m bench.phrases --matrix   the confusion matrix of one system after the other
"""

from __future__ import annotations

import sys
from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from kingpost.listen.catalogue import Catalogue, build
from kingpost.listen.ear import ear
from kingpost.trade.load import load

PHRASES = Path(__file__).parent / "phrases.tsv"
SHOWN = 25  # confusions that are listed


@dataclass(frozen=True)
class Heard:
    """One phrase: what it tells, and the conditions it is most like, nearest first."""

    meant: str
    text: str
    nearest: tuple[str, ...]


def phrases(path: Path = PHRASES) -> list[tuple[str, str]]:
    """Condition and phrase, a line each."""
    lines = path.read_text("utf-8").splitlines()
    return [(a, b) for a, _, b in (line.partition("\t") for line in lines if line and not line.startswith("#"))]


def hear(cat: Catalogue, told: Sequence[tuple[str, str]], most: int = 3) -> list[Heard]:
    """Each phrase by itself, by the ear alone."""
    assert cat.ear is not None and cat.prototypes is not None
    out = []
    for meant, text in told:
        order = np.argsort(-(cat.prototypes @ cat.ear.alone(text)), kind="stable")[:most]
        out.append(Heard(meant, text, tuple(cat.conditions[k].id for k in order.tolist())))
    return out


def by_system(cat: Catalogue, heard: Sequence[Heard]) -> dict[str, list[Heard]]:
    """The phrases of each system of the house."""
    out: dict[str, list[Heard]] = defaultdict(list)
    for h in heard:
        out[cat.trade.components[cat.trade.conditions[h.meant].component].system].append(h)
    return dict(sorted(out.items()))


def shares(heard: Sequence[Heard]) -> tuple[float, float]:
    """Named right first, and among those kept."""
    first = sum(h.nearest[0] == h.meant for h in heard)
    return first / len(heard), sum(h.meant in h.nearest for h in heard) / len(heard)


def confusions(heard: Sequence[Heard]) -> list[tuple[str, str, int]]:
    """Pairs of conditions, meant and taken for, with how often."""
    pairs = Counter((h.meant, h.nearest[0]) for h in heard if h.nearest[0] != h.meant)
    return [(a, b, n) for (a, b), n in sorted(pairs.items(), key=lambda kv: (-kv[1], kv[0]))]


def matrix(heard: Sequence[Heard]) -> list[str]:
    """The confusion matrix of some phrases as lines: what is meant, how often right, and what else it is taken for."""
    rows: dict[str, Counter[str]] = defaultdict(Counter)
    for h in heard:
        rows[h.meant][h.nearest[0]] += 1
    lines = []
    for meant, taken in sorted(rows.items()):
        others = ", ".join(f"{k} {n}" for k, n in sorted(taken.items()) if k != meant)
        lines.append(f"{meant:44} {taken[meant]}/{taken.total()}  {others}")
    return lines


def main(argv: Sequence[str]) -> int:
    """Measure and print."""
    cat = build(load(), ear())
    if cat.ear is None:
        print("the ear is not installed: pip install 'kingpost[listen]'")
        return 2
    heard = hear(cat, phrases())
    for system, some in by_system(cat, heard).items():
        first, three = shares(some)
        print(f"{system:16} {len(some):5} phrases  right {first:.2f}  among three {three:.2f}")
        if "--matrix" in argv:
            print("\n".join(matrix(some)))
    first, three = shares(heard)
    print(f"{'all':16} {len(heard):5} phrases  right {first:.3f}  among three {three:.3f}")
    kin = sum(
        cat.trade.conditions[h.nearest[0]].component == cat.trade.conditions[h.meant].component for h in heard
    ) / len(heard)
    print(f"the right part: {kin:.3f}")
    print("taken for one another:")
    both: Counter[frozenset[str]] = Counter()
    for a, b, n in confusions(heard):
        both[frozenset((a, b))] += n
    for pair, n in sorted(both.items(), key=lambda kv: (-kv[1], sorted(kv[0])))[:SHOWN]:
        print(f"   {n}  {' / '.join(sorted(pair))}")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
