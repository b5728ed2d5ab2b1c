"""Everything that shows looking: remarks, findings, readings, photographs beside them, and explicit ticks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from kingpost.judge.decisions import NO_REASON
from kingpost.listen.sweeps import Indexes, Look, Swept, indexes, place_of
from kingpost.trade.model import Trade
from kingpost.trade.standards import Standards
from kingpost.visit.facts import Decision, Trouble
from kingpost.visit.record import Finding, PhotoRef, Reading, Remark

from .house import Evidence
from .words import normed, sentences

ELSEWHERE = (
    "not about",
    "about another",
    "for someone else",
    "to myself",
    "a tip",
    "a question",
    "what would be",
)
STATES = ("done", "limited", "not_present")
OTHERS = frozenset("somebody somebodys someone someones whoever".split())  # what they did shows no looking of his
MINE = "tick"  # the verb of a decision that says: looked at


@dataclass(frozen=True, slots=True)
class Sight:
    """One look with what proves it. `ways` None: a tick, which vouches for the way too."""

    component: str
    place: str
    place_id: str
    evidence: tuple[Evidence, ...]
    ways: frozenset[str] | None = frozenset()
    every: bool = False
    extent: str = ""
    count: int = 1
    quantity: str = ""
    fault: str = ""


@dataclass(frozen=True, slots=True)
class Tick:
    """What the inspector ticked by hand: a clause or a part, at a place or everywhere."""

    id: str
    clause: str
    components: frozenset[str]
    place: str
    state: str
    why: str
    count: int = 0


def sights(
    swept: Swept,
    findings: Sequence[Finding],
    readings: Sequence[Reading],
    photos: Sequence[PhotoRef],
    remarks: Sequence[Remark],
    beside: Mapping[str, Sequence[str]],
    trade: Trade,
    standards: Standards,
) -> list[Sight]:
    """All looks of a visit.

    photos   pictures as the record lists them; one that shows no finding still shows its place
    beside   remark id -> ids of the pictures taken with it
    """
    index = indexes(trade, standards)
    text = {r.id: r for r in remarks}
    names = {c.name: c.id for c in trade.components.values()}  # a finding holds the name, as the report says it

    def ways(ids: Sequence[str]) -> frozenset[str]:
        return _ways([s for i in ids if i in text for s in sentences(text[i].text) if not _others(s)], index)

    def at(label: str) -> str:
        place = place_of(label, trade, index.rooms)
        return place.id if place else ""

    proves: dict[str, frozenset[str]] = {}
    for w in standards.wordings.values():
        proves |= {q: proves.get(q, frozenset()) | {w.id} for q in w.quantities}
    theirs = {r.id: _ways([s for s in sentences(r.text) if _others(s)], index) - ways([r.id]) for r in remarks}
    out = [_of(replace(k, ways=k.ways - theirs.get(k.remark, frozenset())), beside) for k in swept.looks]
    for f in findings:
        said = [str(e["remark"]) for e in f.evidence if "remark" in e]
        fault = trade.conditions[f.condition].fault if f.condition in trade.conditions else ""
        shown = tuple({k: str(v) for k, v in e.items()} for e in f.evidence)
        for place in (f.place, *f.also_at):
            part = names.get(f.component, f.component)
            out.append(Sight(part, place, at(place), ({"finding": f.id}, *shown), ways(said), fault=fault))
    for q in readings:
        said = [q.remark] if q.remark else []
        out.append(
            Sight(
                names.get(q.component, q.component),
                q.place,
                at(q.place),
                ({"reading": q.id},),
                ways(said) | {"tested"} | proves.get(q.quantity, frozenset()),
                quantity=q.quantity,
            )
        )
    for p in photos:
        if p.place and not p.findings:
            out.append(Sight("", p.place, at(p.place), ({"photo": p.id},)))
    return sorted(out, key=_order)


def _others(text: str) -> bool:
    return bool(OTHERS & set(normed(text)))


def _ways(texts: Sequence[str], index: Indexes) -> frozenset[str]:
    return frozenset(h.key for t in texts for h in index.ways.find(normed(t)))


def _order(s: Sight) -> tuple[str, str, str, bool, str, int]:
    return (s.component, s.place, str(s.evidence), s.every, str(sorted(s.ways or ())), s.count)


def _of(look: Look, beside: Mapping[str, Sequence[str]]) -> Sight:
    shown = ({"remark": look.remark}, *({"photo": p} for p in beside.get(look.remark, ())))
    return Sight(look.component, look.place, look.place_id, shown, look.ways, look.every, look.extent, look.count)


def stand(remarks: Sequence[Remark], decisions: Sequence[Decision]) -> frozenset[str]:
    """Remarks whose draft was set aside and that were not: what was drafted was wrong, the words still were said.

    "Sump pump ran when I lifted the float" shows that a pump was tried, also when a draft that it is dead is set aside.
    A reason by which the words were not of this house takes them away too.
    """
    ids = {r.id for r in remarks}
    aside = [d for d in decisions if d.verb == "set_aside"]
    own = {d.subject for d in aside if d.subject in ids}
    why = {str(d.fields.get("why", NO_REASON)) for d in aside if d.subject not in ids}
    why = {w for w in why if not any(n in w.lower() for n in ELSEWHERE)}
    return frozenset(r.id for r in remarks if r.use == "set_aside" and r.id not in own and r.why_set_aside in why)


def as_said(remarks: Sequence[Remark], standing: frozenset[str]) -> list[Remark]:
    """The remarks as they tell of the house: those that still stand are information."""
    return [replace(r, use="information", why_set_aside="") if r.id in standing else r for r in remarks]


def rests(swept: Swept, beside: Mapping[str, Sequence[str]], standards: Standards) -> list[Sight]:
    """ "Everything else in here looks good": what such words cover, seen and no more than seen."""
    covers = standards.components(standards.sweeps["rest"].covers) if "rest" in standards.sweeps else frozenset()
    return [replace(_of(look, beside), component=c, ways=frozenset()) for look in swept.rests for c in sorted(covers)]


def passes(remarks: Sequence[Remark]) -> dict[str, list[Evidence]]:
    """How often a place was come to: the first remark of each stay, per place label."""
    out: dict[str, list[Evidence]] = {}
    for source in sorted({r.source for r in remarks}):
        walk = sorted((r for r in remarks if r.source == source), key=lambda r: (r.start, r.end, r.id))
        for place, stay in groupby(walk, key=lambda r: r.place):
            if place:
                out.setdefault(place, []).append({"remark": next(stay).id})
    return out


def ticks(
    decisions: Sequence[Decision], trade: Trade, standards: Standards
) -> tuple[list[Tick], list[Decision], list[Trouble]]:
    """Ticks among the decisions, the other decisions, and ticks that name nothing we know.

    A tick's subject is a clause (`nc.1108.a.2`) or a part (`roof_drainage`, `water_heater`), alone or with a place
    after an at sign (`windows@north bedroom`). Of two ticks about the same, the later counts.
    """
    mine: dict[str, Tick] = {}
    rest: list[Decision] = []
    trouble: list[Trouble] = []
    for d in sorted(decisions, key=lambda d: d.order):
        if d.verb != MINE:
            rest.append(d)
            continue
        what, _, place = d.subject.partition("@")
        state = str(d.fields.get("state", "done"))
        parts = standards.components([what]) if what in standards.parts else frozenset()
        parts = parts or (frozenset({what}) if what in trade.components else frozenset())
        if state not in STATES:
            mend = "write one of " + ", ".join(STATES)
            trouble.append(Trouble(d.file or "decisions.jsonl", d.line, f'tick state "{state}" is not known', mend))
        elif what not in standards.clauses and not parts:
            mend = "tick a clause, a part of standards/parts.toml or a component"
            trouble.append(Trouble(d.file or "decisions.jsonl", d.line, f'tick of "{what}", which is not known', mend))
        else:
            clause = what if what in standards.clauses else ""
            count = d.fields.get("count", 0)
            number = count if isinstance(count, int) and not isinstance(count, bool) else 0
            mine[d.subject] = Tick(d.id, clause, parts, place, state, str(d.fields.get("why", "")), number)
    return [mine[k] for k in sorted(mine)], rest, trouble
