"""A cause as a sheet of its own: the story, the path on the section, what leads to what, the order to mend it in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from kingpost.visit.record import Cause, Finding

from .findings import SHARED
from .graph import Edge, Node, graph
from .index import Index
from .words import capital, counted, listed, sentence, tidy, without_first


@dataclass(frozen=True, slots=True)
class Lead:
    """One line of "what leads to what"."""

    of: Finding
    to: tuple[Finding, ...]
    how: str  # the effects that tie them
    measured: bool  # both ends rest on a reading


@dataclass(frozen=True, slots=True)
class Step:
    """One step of "mend in this order": findings that one trade mends together."""

    findings: tuple[Finding, ...]
    what: str
    who: str


@dataclass(frozen=True, slots=True)
class CauseView:
    """One cause, ready to print."""

    id: str
    heading: str
    story: str
    findings: tuple[Finding, ...]
    leads: tuple[Lead, ...]
    steps: tuple[Step, ...]
    svg: str
    alt: str


def cause_views(index: Index, theme: str = "light") -> list[CauseView]:
    """The causes that several findings share, as sheets."""
    return [
        _view(index, cause, found, theme)
        for cause in index.record.causes
        if len(found := [index.by_id[f] for f in cause.findings if f in index.by_id]) >= SHARED
    ]


def _view(index: Index, cause: Cause, found: list[Finding], theme: str) -> CauseView:
    found = sorted(found, key=lambda f: index.number[f.id])
    leads = _leads(index, cause)
    ties = [(lead.of.id, to.id, lead.measured) for lead in leads for to in lead.to]
    order = _order([f.id for f in found], [(a, b) for a, b, _ in ties])
    column = {f: depth for depth, ids in enumerate(order) for f in ids}
    nodes = [
        Node(f.id, index.number[f.id], f.standing, capital(index.component(f.component)), column[f.id]) for f in found
    ]
    drawn = graph(nodes, [Edge(*tie) for tie in ties], theme)
    return CauseView(
        id=cause.id,
        heading=f"One cause, {counted(len(found), 'finding')}",
        story=tidy(sentence(cause.story)),
        findings=tuple(found),
        leads=leads,
        steps=tuple(_steps(index, order)),
        svg=drawn.svg,
        alt=drawn.alt,
    )


def _leads(index: Index, cause: Cause) -> tuple[Lead, ...]:
    """The links, those between the same two findings as one."""
    ties: dict[tuple[str, str], list[str]] = {}
    for a, b, effect in cause.links:
        if a in index.by_id and b in index.by_id:
            known = index.trade.effects.get(effect)
            ties.setdefault((a, b), []).append(known.name if known else effect.replace("_", " "))
    rows: dict[tuple[str, str, bool], list[str]] = {}
    for (a, b), names in sorted(ties.items(), key=lambda tie: (index.number[tie[0][0]], index.number[tie[0][1]])):
        measured = bool(index.by_id[a].readings and index.by_id[b].readings)
        rows.setdefault((a, tidy(listed(list(dict.fromkeys(names)))), measured), []).append(b)
    return tuple(
        Lead(index.by_id[a], tuple(index.by_id[b] for b in to), how, measured)
        for (a, how, measured), to in rows.items()
    )


def _order(ids: Sequence[str], ties: Sequence[tuple[str, str]]) -> list[list[str]]:
    """The findings in steps, each after all that lead to it; a ring of causes is broken at its first finding."""
    left, out = list(ids), list[list[str]]()
    while left:
        free = [f for f in left if not any(b == f and a in left and a != f for a, b in ties)] or left[:1]
        out.append(free)
        left = [f for f in left if f not in free]
    return out


def _steps(index: Index, order: Sequence[Sequence[str]]) -> list[Step]:
    """Causes first; what one trade mends in one step stands together."""
    out = []
    for ids in order:
        trades: dict[str, list[Finding]] = {}
        for f in (index.by_id[i] for i in ids):
            who = next(iter(index.people(f)), "")
            trades.setdefault(who, []).append(f)
        for who, findings in trades.items():
            what = [first_step(f) for f in findings]
            out.append(Step(tuple(findings), tidy(" ".join(dict.fromkeys(w for w in what if w))), capital(who)))
    return out


def first_step(finding: Finding) -> str:
    """What to do, its first sentence; the rest stands with the finding."""
    told = finding.narrative.do.strip()
    rest = without_first(told)
    return sentence(told[: len(told) - len(rest)].strip()) if told else ""
