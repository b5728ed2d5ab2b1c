"""Checks meet findings: a check is tied to the finding it bears on, and one that falls short alone makes a finding."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from kingpost.listen.naming import place_named
from kingpost.trade.checks import CheckSpec, Finds, phrases
from kingpost.trade.checks import checks as specs
from kingpost.trade.model import LEVELS, Trade
from kingpost.visit.record import Check, Finding, Narrative, Reading

from .findings import capital, digest, menders
from .shown import fill


@dataclass(frozen=True, slots=True)
class Worded:
    """What a reader reads of a finding that no remark told."""

    title: str
    component: str  # id
    matters: str
    do: str
    people: tuple[str, ...]
    when: str
    at_stake: tuple[str, ...]
    saw: str = ""
    cautions: tuple[str, ...] = ()
    effects: tuple[str, ...] = ()


def worded(spec: CheckSpec, finds: Finds, trade: Trade, mender: Mapping[str, str], component: str) -> Worded:
    """The words of the trade's condition; where it has none for this, those of the check, else plain ones."""
    if condition := trade.conditions.get(finds.condition):
        return Worded(
            condition.title, condition.component, condition.matters, condition.do, condition.who, condition.when,
            condition.at_stake, condition.saw, condition.cautions, condition.causes,
        )  # fmt: skip
    shared, part = phrases(), finds.component or component
    people = (mender[part],)
    who = capital(trade.people[people[0]].name)
    title = finds.title or fill(shared["finding_title"], {"title": spec.title})
    do = fill(finds.do or shared["finding_do"], {"Who": who})
    return Worded(title, part, finds.matters or shared["finding_matters"], do, people, finds.when, finds.at_stake)


def _bears_on(check: Check, finding: Finding, trade: Trade, readings: dict[str, Reading]) -> bool:
    if set(check.readings) & set(finding.readings):
        return True
    condition = trade.conditions.get(finding.condition)
    named = bool(condition and check.check in condition.checks)
    spec = specs().get(check.check)
    proves = bool(spec and finding.condition in _conditions(spec))
    if not (named or proves) or not finding.condition:
        return False
    of = {readings[r].place for r in check.readings if r in readings}
    return not of or finding.place in of or any(_same_level(finding, p, trade) for p in of) or (len(of) == 1 and proves)


def _conditions(spec: CheckSpec) -> set[str]:
    """Every condition that the check bears on by itself."""
    return {spec.condition, *(s.condition for s in spec.stateds), *(f.condition for f in spec.findings)} - {""}


def _same_level(finding: Finding, place: str, trade: Trade) -> bool:
    known = next((p for p in trade.places.values() if p.name == place or place.endswith(p.name)), None)
    return known is not None and known.level == finding.level


def _decided(checks: Sequence[Check]) -> list[Check]:
    """Where one of several runs of a check came to a verdict, those that could not tell say nothing more."""
    known = {c.check for c in checks if c.verdict in ("meets", "falls_short")}
    return [c for c in checks if c.verdict != "cannot_tell" or c.check not in known]


def _nearer(checks: Sequence[Check], f: Finding) -> list[Check]:
    """Where a check about this fault takes a reading, one about another fault that cannot tell says nothing of it."""

    def about(c: Check) -> bool:
        spec = specs().get(c.check)
        return spec is not None and f.condition in _conditions(spec)

    taken = {r for c in checks if about(c) for r in c.readings}
    return [c for c in checks if c.verdict != "cannot_tell" or about(c) or not taken & set(c.readings)]


def attach(
    found: Sequence[Finding], checks: Sequence[Check], readings: Sequence[Reading], trade: Trade
) -> list[Finding]:
    """Findings with the checks that bear on them; a requirement younger than the house makes it a recommendation.

    What the inspector said outright about its standing is left as said: only a default gives way.
    """
    by_id = {r.id: r for r in readings}
    out = []
    for f in found:
        mine = _nearer(_decided([c for c in checks if _bears_on(c, f, trade, by_id)]), f)
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
    by_id, mender = {r.id: r for r in readings}, menders(trade)
    spoken = {c for f in found for c in f.checks}
    told = {f.condition for f in found}
    out: dict[str, Finding] = {}
    for check in checks:
        spec = specs().get(check.check)
        if check.verdict != "falls_short" or check.id in spoken or spec is None:
            continue
        mine = [by_id[r] for r in check.readings if r in by_id]
        finds = spec.finds(check.finds) or Finds("", spec.condition)
        if not any(r.row for r in mine):  # a value said aloud was told by someone who would have said that it is wrong
            continue
        if finds.condition in told - {""} or (not finds.condition and check.standing == "information"):
            continue
        name = digest("f", finds.condition or f"{spec.id}.{check.finds}")
        if name in out:
            out[name] = _more(out[name], check, mine)
        else:
            words = worded(spec, finds, trade, mender, _part(spec, mine, trade))
            out[name] = _finding(name, finds.condition, words, check, mine, trade)
    return list(out.values())


def _part(spec: CheckSpec, mine: Sequence[Reading], trade: Trade) -> str:
    """Id of the component that was read, else of one that the check is about."""
    near = [r.component for r in mine] + [c for i in spec.inputs for c in i.components]
    near += [c.id for c in trade.components.values() if c.system == spec.system]
    return next((c for c in near if c in trade.components), next(iter(trade.components)))


def _more(one: Finding, check: Check, mine: Sequence[Reading]) -> Finding:
    """The same at another place."""
    places = [r.place for r in mine if r.place and r.place not in (one.place, *one.also_at)]
    evidence = [e for e in _evidence(mine) if e not in one.evidence]
    return replace(
        one,
        checks=(*one.checks, check.id),
        readings=tuple(dict.fromkeys((*one.readings, *check.readings))),
        evidence=(*one.evidence, *evidence),
        also_at=tuple(dict.fromkeys((*one.also_at, *places))),
    )


def _evidence(mine: Sequence[Reading]) -> list[dict[str, str | None]]:
    return [{"row": r.row} if r.row else {"remark": r.remark} for r in mine if r.row or r.remark]


def _finding(name: str, condition: str, words: Worded, check: Check, mine: Sequence[Reading], trade: Trade) -> Finding:
    component, where = trade.components[words.component], mine[0]
    level = place_named(where.place, trade)[1]
    return Finding(
        id=name,
        condition=condition,
        title=words.title,
        system=component.system,
        component=component.name,
        place=where.place,
        standing=check.standing or "recommendation",
        when=words.when,
        at_stake=words.at_stake,
        narrative=Narrative(
            saw=f"{words.saw} {check.measured}".strip() if words.saw else check.says,
            matters=words.matters,
            do=words.do,
            who=capital(", or ".join(trade.people[p].name for p in words.people)),
            how_we_know="The reading was noted; nothing was said about it on the walk.",
        ),
        readings=check.readings,
        checks=(check.id,),
        evidence=tuple(_evidence(mine)),
        confidence=round(1 - (check.probability or 0.0), 3),
        cautions=words.cautions or ((check.caution,) if check.caution else ()),
        level=level if level in LEVELS else "house",
        people=words.people,
        effects=words.effects,
    )
