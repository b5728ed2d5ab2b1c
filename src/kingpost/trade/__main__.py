"""`python -m kingpost.trade`: check the trade data and count it."""

import sys
from collections import Counter
from pathlib import Path

from .load import load
from .reading import TradeError
from .standards import load_standards

try:
    t = load(*map(Path, sys.argv[1:]))
    s = load_standards(*map(Path, sys.argv[1:]), trade=t)
except TradeError as err:
    print(err)
    print(f"{len(err.faults)} faults")
    sys.exit(2)
by = Counter(t.components[c.component].system for c in t.conditions.values())
for one in sorted(t.systems.values(), key=lambda x: x.order):
    n = sum(c.system == one.id for c in t.components.values())
    print(f"{one.name:34} {n:4} components {by[one.id]:4} conditions")
print(
    f"{len(t.components)} components, {len(t.conditions)} conditions, {len(t.places)} places, {len(t.sources)} sources"
)
print(f"{len(s.laws)} standards of practice, {len(s.clauses)} clauses")
