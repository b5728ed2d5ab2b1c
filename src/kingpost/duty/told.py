"""What is said now is told now: an imminent hazard opens a record of who was told, when and how.

A `told` decision closes it; so do the inspector's own words, where they name whom he told and of what.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta

from kingpost.judge.findings import digest
from kingpost.trade.duties import Imminent
from kingpost.visit.owed import ToldNow
from kingpost.visit.record import Finding, Record, Remark

from .given import Given
from .words import first, has, normed

RUN = 3  # remarks that may hold one telling: "I rang the agency," "told her about the deck."
NOT_SPOKEN = ("a question", "a tip", "what would", "about another")


@dataclass(frozen=True, slots=True)
class _Telling:
    """Somebody was told something, by words."""

    at: float  # seconds on the visit's clock
    who: str
    how: str
    text: str
    remarks: tuple[str, ...]


def told_now(record: Record, given: Given) -> list[ToldNow]:
    """One record for each imminent hazard: told by a decision or by words, or open."""
    spoken = tellings(record, given)
    text = {r.id: r for r in record.remarks}
    out = []
    for f in record.findings:
        mine = [text[str(e["remark"])] for e in f.evidence if e.get("remark") in text]
        words = " ".join(r.text for r in mine)
        begun = min((_at(r, given) for r in mine), default=0.0)
        for one in given.duties.imminent.values():
            if (f.condition in one.conditions or has(words, one.said)) and not has(words, one.unless):
                fit = [t for t in spoken if t.at >= begun and has(t.text, one.about)]
                out.append(_told(f, one, fit, record, given))
                break
    return out


def tellings(record: Record, given: Given) -> list[_Telling]:
    """Every telling in the inspector's words that names the person who was told."""
    out = []
    remarks = sorted(record.remarks, key=lambda r: (r.source, r.start, r.end, r.id))
    for n, r in enumerate(remarks):
        ways = [w for w in given.duties.tellings.values() if tells(r, given, w.id)]
        if not ways:
            continue
        run = [x for x in remarks[n : n + RUN] if x.source == r.source and x.place == r.place]
        texts = [" ".join(x.text for x in run[:k]) for k in range(1, len(run) + 1)]
        who = next((w for text in texts if (w := _who(text, record, given))), "")
        if who:
            text = texts[-1]
            out.append(_Telling(_at(r, given), who, ways[0].how, text, (r.id,)))
    return sorted(out, key=lambda t: (t.at, t.remarks))


def tells(r: Remark, given: Given, way: str = "") -> bool:
    """Whether a remark says that somebody was told; the client's own words, a tip or a question do not."""
    if r.why_set_aside.startswith(NOT_SPOKEN) or r.speaker.lower() == "client":
        return False
    ways = [w for w in given.duties.tellings.values() if not way or w.id == way]
    return any(has(r.text, w.said) and not has(r.text, w.unless) for w in ways)


def _who(text: str, record: Record, given: Given) -> str:
    """Who was told: a person of listeners.toml with the word that was said, or the client by name."""
    for one in given.duties.listeners.values():
        if said := first(text, one.said):
            return one.name if said in one.name else f"{one.name} ({said})"
    names = [*record.visit.client.split()[:1], *(w for p in record.visit.present for w in p.split()[:1])]
    words = set(normed(text))
    called = [n for n in names if len(n) > 2 and n.lower() in words and n.lower() != "the"]
    return f"the client ({called[0]})" if called else ""


def _at(r: Remark, given: Given) -> float:
    return r.start + given.offsets.get(r.source, 0.0)


def _told(f: Finding, one: Imminent, spoken: Sequence[_Telling], record: Record, given: Given) -> ToldNow:
    state, who, when, how, why = "open", "", "", "", ""
    evidence: list[dict[str, str]] = [{"finding": f.id}]
    for t in spoken[:1]:
        begun = record.visit.started
        state, who, how = "told", t.who, t.how
        when = (begun + timedelta(seconds=round(t.at))).isoformat() if begun else ""
        evidence += [{"remark": r} for r in t.remarks]
    for d in given.of(f.id, "told"):
        who, how, why = (str(d.fields.get(k, "")).strip() for k in ("who", "how", "why"))
        when = str(d.fields.get("when", d.at))
        state = "told" if who else "not_told" if why else "open"
        evidence.append({"decision": d.id})
    return ToldNow(
        digest("t", one.id, f.id), f.id, one.name, one.tell, one.to, state, who, when, how, why, tuple(evidence)
    )  # fmt: skip
