"""What is said now is told now: an imminent hazard opens a record of who was told, when and how."""

from __future__ import annotations

from collections.abc import Sequence

from kingpost.judge.findings import digest
from kingpost.visit.owed import ToldNow
from kingpost.visit.record import Finding, Record

from .given import Given
from .words import has


def told_now(record: Record, given: Given) -> list[ToldNow]:
    """One record for each imminent hazard. A `told` decision alone closes it: who, when, how; or why nobody was."""
    text = {r.id: r.text for r in record.remarks}
    out = []
    for f in record.findings:
        words = " ".join(text[str(e["remark"])] for e in f.evidence if e.get("remark") in text)
        for one in given.duties.imminent.values():
            if (f.condition in one.conditions or has(words, one.said)) and not has(words, one.unless):
                out.append(_told(f, one.id, one.name, one.tell, one.to, given))
                break
    return out


def _told(f: Finding, hazard: str, name: str, tell: str, to: Sequence[str], given: Given) -> ToldNow:
    state, who, when, how, why = "open", "", "", "", ""
    evidence: list[dict[str, str]] = [{"finding": f.id}]
    for d in given.of(f.id, "told"):
        who, how, why = (str(d.fields.get(k, "")).strip() for k in ("who", "how", "why"))
        when = str(d.fields.get("when", d.at))
        state = "told" if who else "not_told" if why else "open"
        evidence.append({"decision": d.id})
    return ToldNow(digest("t", hazard, f.id), f.id, name, tell, tuple(to), state, who, when, how, why, tuple(evidence))
