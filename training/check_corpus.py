"""Checks a corpus file: known labels, no line twice, and how many utterances each condition has.

python training/check_corpus.py training/corpus/*.tsv
"""

from __future__ import annotations

import sys
from collections import Counter
from pathlib import Path

from kingpost.trade.load import load

ACTS = frozenset(
    (
        "praise description tip hypothetical other_house safety_talk banter correction limitation handling question"
    ).split()
)


def rows(path: Path) -> list[tuple[int, str, str]]:
    """Line number, label and text of every utterance."""
    out = []
    for number, line in enumerate(path.read_text("utf-8").splitlines(), 1):
        if line.strip() and not line.startswith("#"):
            label, _, text = line.partition("\t")
            out.append((number, label.strip(), text.strip()))
    return out


def faults(path: Path, conditions: set[str]) -> list[str]:
    """Everything wrong in one file."""
    out, seen = [], set()
    for number, label, text in rows(path):
        act = label.partition(":")[0]
        if not text:
            out.append(f"{path}:{number}: no utterance; write label, TAB, words")
        if label not in conditions and act not in ACTS:
            out.append(f"{path}:{number}: label {label!r} is not known; write a condition id or act:component")
        if text.lower() in seen:
            out.append(f"{path}:{number}: stands twice; write another")
        seen.add(text.lower())
    return out


def main() -> int:
    """Check the files named; say what is thin."""
    conditions = set(load().conditions)
    bad, count = [], Counter[str]()
    for name in sys.argv[1:]:
        bad += faults(Path(name), conditions)
        count.update(label if label in conditions else label.partition(":")[0] for _, label, _ in rows(Path(name)))
    print("\n".join(bad))
    print(
        f"{sum(count.values())} utterances, {len(bad)} faults, "
        f"acts: { ({k: v for k, v in count.items() if k in ACTS}) }"
    )
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
