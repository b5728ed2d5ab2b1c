"""What leads to what: findings tied where one brings about what another suffers from.

The trade data says which effects a condition causes and is caused by (effects.toml). Two findings are tied only where
such an effect can run between their places: water and loads go down, warm damp air goes up.
"""

from __future__ import annotations

from collections.abc import Sequence

from kingpost.judge.findings import digest
from kingpost.trade.model import LEVELS, Trade
from kingpost.visit.record import Cause, Finding

CARRIES = {  # which way an effect runs through a house
    "down": frozenset(
        """
        roof_leak water_in_wall water_in_ceiling water_on_floor gutter_overflow plumbing_leak supply_leak
        water_at_foundation soil_wet surface_drainage ice_dam
        """.split()
    ),
    "near": frozenset(
        """
        basement_damp attic_damp condensation wood_decay floor_movement wall_movement frame_overload
        poor_draft exhaust_indoors drain_backup poor_airflow overheated_wiring electrical_overload
        high_pressure paint_failure mould
        """.split()
    ),
    "up": frozenset(
        """
        underfloor_damp foundation_movement heat_loss
        """.split()
    ),
}
CARRY = {effect: way for way, effects in CARRIES.items() for effect in effects}
WET_GROUND = {"grounds", "lower", "underfloor", "roof", "garage"}


def _can(kind: str, one: Finding, other: Finding) -> bool:
    a, b = LEVELS.index(one.level), LEVELS.index(other.level)
    if kind == "down":
        return a <= b or {one.level, other.level} <= WET_GROUND
    if kind == "up":
        return a >= b or {one.level, other.level} <= WET_GROUND
    return one.level == other.level or {one.level, other.level} <= {"upper", "main", "lower", "house"}


def links(findings: Sequence[Finding], trade: Trade) -> list[tuple[str, str, str]]:
    """Every (from, to, effect) that the trade data and the places allow."""
    out = []
    for one in findings:
        c = trade.conditions.get(one.condition)
        for effect in c.causes if c else ():
            for other in findings:
                d = trade.conditions.get(other.condition)
                if (
                    d
                    and other.id != one.id
                    and effect in d.caused_by
                    and effect in CARRY
                    and _can(CARRY[effect], one, other)
                ):
                    out.append((one.id, other.id, effect))
    return sorted(set(out))


def causes(findings: Sequence[Finding], trade: Trade) -> tuple[Cause, ...]:
    """Stories of three or more findings, each from one root: the finding that leads to most and follows from none."""
    tied = links(findings, trade)
    by_id = {f.id: f for f in findings}
    leads: dict[str, set[str]] = {f.id: set() for f in findings}
    for a, b, _ in tied:
        leads[a].add(b)
    used: set[str] = set()
    out = []
    for root in sorted(by_id, key=lambda k: (-len(_reach(k, leads)), k)):
        chain = _reach(root, leads) - used
        if root in used or len(chain) < 2:
            continue
        members = [f.id for f in findings if f.id in chain or f.id == root]
        mine = tuple(t for t in tied if t[0] in members and t[1] in members)
        used |= set(members)
        out.append(
            Cause(
                digest("k", *sorted(members)),
                _story(by_id[root], [by_id[m] for m in members], mine, trade),
                tuple(members),
                mine,
            )
        )
    return tuple(out)


def _reach(root: str, leads: dict[str, set[str]]) -> set[str]:
    seen: set[str] = set()
    open_ = [root]
    while open_:
        for nxt in leads[open_.pop()] - seen - {root}:
            seen.add(nxt)
            open_.append(nxt)
    return seen


def _story(root: Finding, members: Sequence[Finding], tied: Sequence[tuple[str, str, str]], trade: Trade) -> str:
    effects = list(dict.fromkeys(e for a, _, e in tied if a == root.id)) or [tied[0][2]]
    names = [trade.effects[e].name for e in effects[:2]]
    rest = [f.title[:1].lower() + f.title[1:] for f in members if f.id != root.id][:3]
    told = f"{root.title}. From there {' and '.join(names)}. This may be why {'; '.join(rest)}."
    return f"{told} The order is our reading, not a measurement."
