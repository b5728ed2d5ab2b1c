"""`python -m kingpost.trade`: check the trade data and count it."""

import sys
from collections import Counter
from pathlib import Path

from .load import load
from .reading import TradeError

try:
    t = load(*map(Path, sys.argv[1:]))
except TradeError as err:
    print(err)
    print(f"{len(err.faults)} faults")
    sys.exit(2)
by = Counter(t.components[c.component].system for c in t.conditions.values())
for s in sorted(t.systems.values(), key=lambda s: s.order):
    n = sum(c.system == s.id for c in t.components.values())
    print(f"{s.name:34} {n:4} components {by[s.id]:4} conditions")
print(
    f"{len(t.components)} components, {len(t.conditions)} conditions, {len(t.places)} places, {len(t.sources)} sources"
)
