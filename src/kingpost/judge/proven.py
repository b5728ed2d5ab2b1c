"""Checks meet findings: a check is tied to the finding it bears on, and one that falls short alone makes a finding."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from kingpost.listen.naming import place_named
from kingpost.trade.checks import checks as specs
from kingpost.trade.model import LEVELS, Trade
from kingpost.visit.record import Check, Finding, Narrative, Reading

from .findings import capital, digest


def _bears_on(check: Check, finding: Finding, trade: Trade, readings: dict[str, Reading]) -> bool:
    if set(check.readings) & set(finding.readings):
        return True
    condition = trade.conditions.get(finding.condition)
    named = bool(condition and check.check in condition.checks)
    spec = specs().get(check.check)
    proves = bool(
        spec and (spec.condition == finding.condition or any(s.condition == finding.condition for s in spec.stateds))
    )
    if not (named or proves) or not finding.condition:
        return False
    of = {readings[r].place for r in check.readings if r in readings}
    return not of or finding.place in of or any(_same_level(finding, p, trade) for p in of) or (len(of) == 1 and proves)


def _same_level(finding: Finding, place: str, trade: Trade) -> bool:
    known = next((p for p in trade.places.values() if p.name == place or place.endswith(p.name)), None)
    return known is not None and known.level == finding.level


def _decided(checks: Sequence[Check]) -> list[Check]:
    """Where one of several runs of a check came to a verdict, those that could not tell say nothing more."""
    known = {c.check for c in checks if c.verdict in ("meets", "falls_short")}
    return [c for c in checks if c.verdict != "cannot_tell" or c.check not in known]


def attach(
    found: Sequence[Finding], checks: Sequence[Check], readings: Sequence[Reading], trade: Trade
) -> list[Finding]:
    """Findings with the checks that bear on them; a requirement younger than the house makes it a recommendation.

    What the inspector said outright about its standing is left as said: only a default gives way.
    """
    by_id = {r.id: r for r in readings}
    out = []
    for f in found:
        mine = _decided([c for c in checks if _bears_on(c, f, trade, by_id)])
        if not mine:
            out.append(f)
            continue
        more = [r for c in mine for r in c.readings]
        condition = trade.conditions.get(f.condition)
        short = [c for c in mine if c.verdict == "falls_short"]
        lawful = bool(short) and all(c.standing == "recommendation" and c.in_force_when_built == "no" for c in short)
        gives_way = lawful and condition is not None and f.standing == "deficiency"
        out.append(
            replace(
                f,
                checks=tuple(dict.fromkeys((*f.checks, *(c.id for c in mine)))),
                readings=tuple(dict.fromkeys((*f.readings, *more))),
                evidence=(*f.evidence, *_rows(more, by_id, f)),
                standing="recommendation" if gives_way else f.standing,
            )
        )
    return out


def _rows(ids: Sequence[str], by_id: dict[str, Reading], f: Finding) -> list[dict[str, str]]:
    known = {str(e) for e in f.evidence}
    new = [{"row": row} for i in dict.fromkeys(ids) if i in by_id and (row := by_id[i].row)]
    return [e for e in new if str(e) not in known]


def from_checks(
    found: Sequence[Finding], checks: Sequence[Check], readings: Sequence[Reading], trade: Trade
) -> list[Finding]:
    """A finding for each requirement that a reading misses and that nobody spoke of."""
    by_id = {r.id: r for r in readings}
    spoken = {c for f in found for c in f.checks}
    out: dict[str, Finding] = {}
    for check in checks:
        spec = specs().get(check.check)
        if check.verdict != "falls_short" or check.id in spoken or spec is None or check.standing == "":
            continue
        condition = trade.conditions.get(spec.condition)
        mine = [by_id[r] for r in check.readings if r in by_id]
        if condition is None or not mine or any(f.condition == condition.id for f in found):
            continue
        if not any(r.row for r in mine):  # a value said aloud was told by someone who would have said that it is wrong
            continue
        where = mine[0]
        component = trade.components[condition.component]
        _, level, _ = place_named(where.place, trade)
        standing = (
            check.standing if check.standing in ("deficiency", "recommendation", "information") else condition.standing
        )
        name = digest("f", condition.id)
        if name in out:
            out[name] = replace(
                out[name], checks=(*out[name].checks, check.id), readings=(*out[name].readings, *check.readings)
            )
            continue
        people = condition.who
        evidence = [{"row": r.row} if r.row else {"remark": r.remark} for r in mine]
        out[name] = Finding(
            id=name,
            condition=condition.id,
            title=condition.title,
            system=component.system,
            component=component.name,
            place=where.place,
            standing=standing,
            when=condition.when,
            at_stake=condition.at_stake,
            narrative=Narrative(
                saw=f"{condition.saw} {check.measured}".strip(),
                matters=condition.matters,
                do=condition.do,
                who=capital(", or ".join(trade.people[p].name for p in people)),
                how_we_know="The reading was noted; nothing was said about it on the walk.",
            ),
            readings=check.readings,
            checks=(check.id,),
            evidence=tuple(evidence),
            confidence=round(1 - (check.probability or 0.0), 3),
            cautions=condition.cautions,
            level=level if level in LEVELS else "house",
            people=people,
            effects=condition.causes,
        )
    return list(out.values())
