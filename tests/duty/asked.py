"""What preflight asks of findings that listening missed, on the labelled narrations: python -m tests.duty.asked

A remark with an end is asked no more; this counts that no missed finding is silenced with it. Counts alone are printed,
so that the kept sets stay unread.
"""

from __future__ import annotations

from collections import Counter
from typing import Any

from bench.listening import NARRATIONS, SETS, Told, told

from tests.narrations import SCORER


def counts(some: list[Told]) -> Counter[str]:
    """How many missed findings are asked, and how many questions lie on a labelled finding."""
    out: Counter[str] = Counter()
    for t in some:
        asked, talk = _remarks(t.record, "loose"), _remarks(t.record, "talk")
        rec: Any = SCORER.Record(t.record, t.gold["narration"])
        made = [(f, rec.spans(f), rec.own_words(f)) for f in t.record["findings"]]
        for g in t.gold["findings"]:
            if any(s and SCORER.could_match(rec, f, s, o, g) for f, s, o in made):
                continue
            near = [_over(r, g["spans"]) for r in asked]
            end = "asked by itself" if any(near) else "in the list of talk" if _any(talk, g) else "not asked"
            out[f"missed, {end}"] += 1
        for kind, some_remarks in (("loose", asked), ("talk", talk)):
            for r in some_remarks:
                on = any(_over(r, g["spans"]) for g in t.gold["findings"])
                out[f"{kind} remark, {'on a finding' if on else 'on none'}"] += 1
    return out


def _remarks(record: dict[str, Any], kind: str) -> list[dict[str, Any]]:
    ids = {e["remark"] for m in record["owed"]["matters"] if m["kind"] == kind for e in m["evidence"] if "remark" in e}
    return [r for r in record["remarks"] if r["id"] in ids]


def _over(r: dict[str, Any], spans: list[list[float]]) -> bool:
    return any(r["start"] < e and s < r["end"] for s, e in spans)


def _any(some: list[dict[str, Any]], g: dict[str, Any]) -> bool:
    return any(_over(r, g["spans"]) for r in some)


if __name__ == "__main__":
    for name in SETS:
        print(name, *(f"{k}: {n}" for k, n in sorted(counts(told(NARRATIONS / name)).items())), sep="\n    ")
