"""Which findings a thermal frame is shown with: those of the same place that one of its causes bears on.

A frame makes no finding and changes none: it is only put beside what was found in another way.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from kingpost.trade.looking import table
from kingpost.visit.record import Finding, FrameRef

CAUSES = 2  # of a patch, the likeliest; those further down speak of anything
COUNTED = {w: str(n) for n, w in enumerate("one two three four five six seven eight nine".split(), 1)}


def beside(frame: FrameRef, findings: Sequence[Finding], over: Sequence[Path] = ()) -> FrameRef:
    """The frame with the ids of the findings that it is shown with, in their order."""
    named = {c.id for s in frame.spots for c in s.causes[:CAUSES]}
    words = {
        w for cause in table("heat.toml", *over)["cause"] if cause["id"] in named for w in cause.get("bears_on", ())
    }
    at = _words(frame.place)
    mine = [
        f.id
        for f in findings
        if words & set((f.condition or "").split("_")) and any(_within(place, at) for place in (f.place, *f.also_at))
    ]
    return replace(frame, findings=tuple(mine))


def evidence(finding: Finding, frames: Sequence[FrameRef]) -> Finding:
    """The finding with the frames that are shown with it among its evidence."""
    known = {e.get("thermal") for e in finding.evidence}
    more = [{"thermal": f.id} for f in frames if finding.id in f.findings and f.id not in known]
    return replace(finding, evidence=(*finding.evidence, *more)) if more else finding


def _within(place: str, said: list[str]) -> bool:
    """Do the words of a place, without the part of the house before the comma, stand together in what was said?

    >>> _within("interior, bedroom two", _words("bedroom 2, north wall")), _within("roof", _words("hall"))
    (True, False)
    """
    want = _words(place.rpartition(",")[2])
    return bool(want) and any(said[n : n + len(want)] == want for n in range(len(said)))


def _words(text: str) -> list[str]:
    return [COUNTED.get(w, w) for w in re.findall(r"[a-z0-9]+", text.lower())]
