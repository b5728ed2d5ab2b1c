"""Drafts from speech become findings: merged where they tell the same thing, worded from the trade data, tied to
their evidence. Nothing is claimed that no remark, photo, reading or check shows."""

from __future__ import annotations

import hashlib
import math
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from kingpost.listen.hear import Draft, Hearing
from kingpost.trade.model import LEVELS, Component, Condition, FaultKind, Trade
from kingpost.visit.record import AsFound, Finding, Limitation, Narrative, Reading

CLAUSE = 40  # words of a quote that are shown; the rest stays in the remark
DOUBTFUL = 0.6  # below this chance a draft is marked doubtful


@dataclass
class Group:
    """All drafts that tell one condition of one component."""

    condition: str
    component: str
    fault: str
    drafts: list[Draft] = field(default_factory=list)

    @property
    def id(self) -> str:
        """Stable over re-runs and reordering: it rests on what is found, not on where in the file."""
        name = self.condition or f"{self.component}.{self.fault}"
        return "f" + hashlib.sha256(name.encode()).hexdigest()[:10]


def digest(letter: str, *parts: Any) -> str:
    """A short stable id from content."""
    return letter + hashlib.sha256("|".join(map(str, parts)).encode()).hexdigest()[:10]


def merge(drafts: Sequence[Draft], trade: Trade) -> list[Group]:
    """Two mentions of one thing become one group; a mention that names only part and fault joins the condition that
    already says so."""
    groups: dict[tuple[str, str], Group] = {}
    for d in drafts:
        if d.condition:
            c = trade.conditions[d.condition]
            groups.setdefault((d.condition, ""), Group(c.id, c.component, c.fault)).drafts.append(d)
    for d in drafts:
        if d.condition:
            continue
        home = next((g for g in groups.values() if g.condition and _says(g, d, trade)), None)
        if home is None:
            home = groups.setdefault((d.component, d.fault), Group("", d.component, d.fault))
        home.drafts.append(d)
    return [g for g in groups.values() if g.drafts]


def _says(group: Group, draft: Draft, trade: Trade) -> bool:
    c = trade.conditions[group.condition]
    return draft.component in (c.component, *c.also) and draft.fault == c.fault


def menders(trade: Trade) -> dict[str, str]:
    """For each component the trade that mends most of its conditions, else most of its system's."""
    per: dict[str, Counter[str]] = defaultdict(Counter)
    for c in trade.conditions.values():
        for who in c.who[:1]:
            per[c.component][who] += 1
            per["system:" + trade.components[c.component].system][who] += 1
    out = {}
    for component in trade.components.values():
        count = per.get(component.id) or per.get("system:" + component.system) or Counter({"handyman": 1})
        out[component.id] = min(count, key=lambda k: (-count[k], k))
    return out


def capital(text: str) -> str:
    """The text with a capital letter at its start."""
    return text[:1].upper() + text[1:]


def _worded(template: str, component: Component, who: str) -> str:
    name = component.name
    return template.format(
        part=name, Part=capital(name), component=name, Component=capital(name), who=who, Who=capital(who)
    )


def quote(text: str, words: int = CLAUSE) -> str:
    """What was said, shortened for the page; the whole stands in the remark."""
    parts = text.split()
    return " ".join(parts) if len(parts) <= words else " ".join(parts[:words]) + " ..."


def clock(seconds: float) -> str:
    """Seconds on the walk's clock as words on the page.

    >>> clock(3725.4)
    '1:02:05'
    """
    whole = int(seconds)
    return (
        f"{whole // 3600}:{whole // 60 % 60:02}:{whole % 60:02}" if whole >= 3600 else f"{whole // 60}:{whole % 60:02}"
    )


def finding(group: Group, trade: Trade, readings: Sequence[Reading], mender: Mapping[str, str]) -> Finding:
    """One finding from one group of drafts."""
    drafts = sorted(group.drafts, key=lambda d: (d.source, d.start))
    best = max(drafts, key=lambda d: (d.score, -d.start))
    component = trade.components[group.component]
    condition = trade.conditions.get(group.condition)
    kind = trade.fault_kinds[group.fault]
    standing, when, stake = _standing(drafts, condition, kind)
    people = condition.who if condition else (mender[component.id],)
    names = ", or ".join(trade.people[p].name for p in people)
    mine = [r for r in readings if r.remark and any(r.remark in d.remarks for d in drafts)]
    places = list(dict.fromkeys(d.place for d in drafts if d.place))
    doubt = _doubt(best, trade)
    return Finding(
        id=group.id,
        condition=group.condition,
        title=condition.title if condition else capital(_worded(kind.title, component, names)),
        system=component.system,
        component=component.name,
        place=places[0] if places else "",
        standing=standing,
        when=when,
        at_stake=stake,
        narrative=Narrative(
            saw=_saw(condition, kind, component, names, mine, trade),
            matters=condition.matters if condition else _worded(kind.matters, component, names),
            do=condition.do if condition else _worded(kind.do, component, names),
            who=capital(names),
            how_we_know=_how(drafts),
        ),
        readings=tuple(dict.fromkeys(r.id for r in mine)),
        evidence=tuple({"remark": r} for r in dict.fromkeys(r for d in drafts for r in d.remarks)),
        confidence=round(1 / (1 + math.exp(-best.score)), 3),
        cautions=condition.cautions if condition else (),
        level=best.level if best.level in LEVELS else "house",
        also_at=tuple(places[1:]),
        doubt=doubt,
        people=people,
        effects=condition.causes if condition else (),
    )


def _standing(
    drafts: Sequence[Draft], condition: Condition | None, kind: FaultKind
) -> tuple[str, str, tuple[str, ...]]:
    said = [d.standing for d in drafts if d.standing]
    standing = condition.standing if condition else kind.standing
    if standing == "recommendation" and "recommendation" not in said:
        standing = "deficiency"  # he told it as a fault; whether it was lawful when built, a check says (proven.attach)
    when = condition.when if condition else kind.when
    stake = condition.at_stake if condition else kind.at_stake
    if any(d.people for d in drafts) and "people" not in stake:
        stake = ("people", *stake)
    spoken = "deficiency" if "deficiency" in said else said[0] if said else ""
    if spoken and spoken != standing:
        standing = spoken
        if spoken == "recommendation" and when == "before_moving_in" and "people" not in stake:
            when = "this_year"
        if spoken == "information":
            when = "keep_an_eye_on"
        if spoken == "deficiency" and when == "keep_an_eye_on":
            when = "this_season"
    return standing, when, tuple(stake)


def _saw(
    condition: Condition | None,
    kind: FaultKind,
    component: Component,
    who: str,
    readings: Sequence[Reading],
    trade: Trade,
) -> str:
    text = condition.saw if condition else _worded(kind.saw, component, who)
    values = []
    for r in readings:
        q = trade.quantities.get(r.quantity)
        values.append(
            f"{q.name if q else r.quantity.replace('_', ' ')} {r.value:g} {r.unit}"
            if isinstance(r.value, float)
            else ""
        )
    listed = "; ".join(dict.fromkeys(v for v in values if v))
    return f"{text} Measured or read here: {listed}." if listed else text


def _how(drafts: Sequence[Draft]) -> str:
    said = [
        f"At {clock(d.start)}{f' ({d.place})' if d.place else ''} the inspector said: “{quote(d.text)}”" for d in drafts
    ]
    return " ".join(s if s.endswith(("”", ".")) else s + "." for s in said)


def _doubt(best: Draft, trade: Trade) -> str:
    shaky = ", ".join(f"“{word}”" for word in best.unsure)
    heard = f"May be misheard: {shaky}." if shaky else ""
    if best.confidence >= DOUBTFUL:
        return heard
    other = trade.conditions.get(best.runner_up)
    near = f"; it may also mean: {other.title}" if other else ""
    return f"The words leave room for another reading{near}. {heard}".strip()


def order(findings: Sequence[Finding], trade: Trade) -> list[Finding]:
    """Ridge to ground: by level, then system, then the time of its first word."""
    system = {s.id: s.order for s in trade.systems.values()}
    return sorted(findings, key=lambda f: (LEVELS.index(f.level), system.get(f.system, 0), f.title, f.id))


def limitations(hearing: Hearing) -> list[Limitation]:
    """What could not be seen, in the speaker's words; the clause that permits it belongs to a later room."""
    out: dict[str, Limitation] = {}
    for x in hearing.limits:
        name = digest("l", x.text)
        evidence = tuple({"remark": r} for r in x.remarks)
        out.setdefault(name, Limitation(name, x.text, "", evidence, x.component, x.text, x.place))
    return list(out.values())


def as_found(hearing: Hearing) -> list[AsFound]:
    """What was changed for the visit, and when it was put back."""
    out: dict[str, AsFound] = {}
    for h in hearing.handled:
        name = digest("a", h.thing, h.text)
        evidence = tuple({"remark": r} for r in h.remarks)
        out[name] = AsFound(name, h.text, h.opened_at, h.closed_at, h.closed_at is not None, evidence, h.place, h.thing)
    return list(out.values())


def spoken_readings(hearing: Hearing, trade: Trade) -> list[Reading]:
    """Readings from speech; the same value of the same thing said again is one reading."""
    out: dict[str, Reading] = {}
    for s in hearing.readings:
        q = trade.quantities.get(s.quantity)
        name = digest("q", s.quantity, s.value, s.unit, s.component)
        if name in out:
            continue
        given = s.spread / math.sqrt(3) if s.spread else None
        default = q.uncertainty if q and q.unit == s.unit else None
        out[name] = Reading(
            id=name,
            quantity=s.quantity,
            value=s.value,
            unit=s.unit,
            uncertainty=given if given is not None else default,
            place=s.place,
            component=s.component,
            remark=s.remark,
            start=round(s.start, 3),
            default_uncertainty=given is None,
            note="said as about" if s.rough else "",
        )
    return list(out.values())
