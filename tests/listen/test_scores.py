"""How well it hears houses that it never learned from: the narrations kept back, by the scorer of the narrations.

The bounds are well below what was measured (docs/listening.md), so that only a real loss fails here. They are no goal.
"""

from __future__ import annotations

import json
from collections import Counter
from functools import lru_cache
from pathlib import Path

from kingpost.inspection import inspect
from kingpost.visit import walks
from kingpost.visit.errors import Troubles
from kingpost.visit.facts import Facts, Visit
from kingpost.visit.record import plain
from tests.narrations import SCORER

HERE = Path(__file__).parents[1] / "narrations"


@lru_cache(maxsize=2)
def pooled(folder: str) -> dict[str, float]:
    """The scorer's figures over all narrations of a folder."""
    total: Counter[str] = Counter()
    for gold in sorted((HERE / folder).glob("*.gold.json")):
        label = json.loads(gold.read_text("utf-8"))
        walk = walks.one(gold.with_name(label["narration"]), label["narration"], Troubles())
        assert walk is not None
        record = plain(inspect(Visit(Path(), Facts(), walks=(walk,))))
        counts, _ = SCORER.score(record, label)
        total.update(counts)
    figures: dict[str, float] = SCORER.figures(total)
    return figures


def test_houses_kept_back_are_heard() -> None:
    got = pooled("kept")
    assert got["f1"] >= 0.60, got
    assert got["precision"] >= 0.70, got
    assert got["standing"] >= 0.85, got


def test_hardly_a_tip_or_praise_becomes_a_finding() -> None:
    assert pooled("kept")["false_in_not_findings"] <= 10
