"""Findings that the inspector makes from what he said and that was drafted as none: the verb `draft` about a remark.

They go the way of every draft, so that readings, checks, pictures and causes join them, and their ids are those that
listening would have given them.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

from kingpost.listen.hear import Draft, Hearing
from kingpost.trade.model import Trade
from kingpost.visit.facts import Decision, Trouble
from kingpost.visit.record import Finding, Remark

VERB = "draft"
SURE = math.inf  # log-odds of a draft that a person made


def added(heard: Hearing, decisions: Sequence[Decision], trade: Trade) -> tuple[Hearing, list[Draft], list[Trouble]]:
    """What was heard with the drafts that decisions add, those drafts, and what cannot be used."""
    said = {r.id: r for r in heard.remarks}
    latest = {d.subject: d for d in sorted(decisions, key=lambda d: d.order) if d.verb == VERB}
    made, odd = list[Draft](), list[Trouble]()
    for d in latest.values():
        told = [said[r] for r in (d.subject, *_more(d)) if r in said]
        condition = trade.conditions.get(str(d.fields.get("condition", "")))
        if d.subject not in said or condition is None:
            what = "a remark of this visit" if d.subject not in said else "a condition of the catalogue"
            problem = f"draft about {d.subject} names no {what.removeprefix('a ')}"
            odd.append(Trouble(d.file or "decisions.jsonl", d.line, problem, f"give the id of {what}"))
            continue
        made.append(_draft(d, condition.id, told, heard, trade))
    if not made:
        return heard, made, odd
    used = {r for draft in made for r in draft.remarks}
    remarks = [replace(r, use="finding", why_set_aside="") if r.id in used else r for r in heard.remarks]
    return replace(heard, drafts=[*heard.drafts, *made], remarks=remarks), made, odd


def _more(d: Decision) -> Sequence[str]:
    named = d.fields.get("remarks", ())
    return [str(r) for r in named] if isinstance(named, list | tuple) else []


def _draft(d: Decision, condition: str, told: Sequence[Remark], heard: Hearing, trade: Trade) -> Draft:
    c = trade.conditions[condition]
    place, level, place_id = _place(str(d.fields.get("place", "")) or told[0].place, c.component, heard, trade)
    return Draft(
        condition,
        c.component,
        c.fault,
        place,
        level,
        SURE,
        tuple(dict.fromkeys(r.id for r in told)),
        min(r.start for r in told),
        max(r.end for r in told),
        told[0].source,
        " ".join(r.text for r in told),
        place_id=place_id,
    )


def _place(label: str, component: str, heard: Hearing, trade: Trade) -> tuple[str, str, str]:
    """Label, level and id of a place by its label, as it was heard elsewhere, or named in the catalogue, or usual."""
    known: Mapping[str, tuple[str, str]] = {d.place: (d.level, d.place_id) for d in heard.drafts}
    if label in known:
        return label, *known[label]
    for place in trade.places.values():
        if place.name == label.rpartition(", ")[2]:
            return label, place.level, place.id
    usual = trade.components[component].places
    return (label, trade.places[usual[0]].level, usual[0]) if usual else (label, "house", "")


def inked(found: Sequence[Finding], made: Sequence[Draft]) -> list[Finding]:
    """Findings with those in ink that a person made."""
    mine = [(d.condition, d.remarks[0]) for d in made]

    def by_hand(f: Finding) -> bool:
        told = {e.get("remark") for e in f.evidence}
        return any(f.condition == condition and remark in told for condition, remark in mine)

    return [replace(f, state="ink", decided=VERB) if by_hand(f) else f for f in found]
