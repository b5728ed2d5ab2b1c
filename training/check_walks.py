"""Checks training walks: known labels, no stray brace, enough of everything.

python training/check_walks.py training/walks/*.txt
"""

from __future__ import annotations

import sys
from collections import Counter
from pathlib import Path

from walks import read

from kingpost.trade.load import load


def main() -> int:
    """Print what is wrong; 1 if anything is."""
    known, wrong, used = set(load().conditions), 0, Counter[str]()
    for name in sys.argv[1:]:
        walk, path = read(Path(name)), Path(name)
        text = path.read_text("utf-8")
        faults = [f"condition {c!r} is not known" for s in walk.stretches for c in s.conditions if c not in known]
        faults += [f"stray brace near {s.text[:40]!r}" for s in walk.stretches if set(s.text) & set("{}")]
        if "{" in text and not walk.stretches:
            faults.append("no stretch could be read")
        words = sum(len(s.text.split()) for s in walk.stretches)
        findings = [s for s in walk.stretches if s.act == "finding"]
        used.update(c for s in findings for c in s.conditions)
        print(
            f"{path.name}: {words} words, {len(findings)} findings, "
            f"{len({c for s in findings for c in s.conditions})} conditions"
        )
        for fault in faults:
            print(f"  {path.name}: {fault}")
        wrong += len(faults)
    print(f"{len(used)} of {len(known)} conditions used")
    return bool(wrong)


if __name__ == "__main__":
    sys.exit(main())
