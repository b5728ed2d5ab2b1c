"""What the inspector decided, laid over the drafts. A decision is keyed by the stable id of its subject and never
overwritten by a re-run; one whose subject is no longer drafted is named, and its words are kept."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from kingpost.trade.model import STAKES, STANDINGS, WHENS
from kingpost.visit.facts import Decision, Trouble
from kingpost.visit.record import Finding, Reading, Remark

from . import added, splits

TEXTS = ("title",)
PARTS = ("saw", "matters", "do", "who")
LISTS = {"standing": STANDINGS, "when": WHENS}
NO_REASON = "set aside by the inspector"  # where a decision gives no why


def apply(
    findings: Sequence[Finding],
    remarks: Sequence[Remark],
    decisions: Sequence[Decision],
    readings: Sequence[Reading] = (),
) -> tuple[list[Finding], list[Remark], list[Trouble]]:
    """Findings and remarks as decided, one decision after the other. A finding set aside or merged is gone, and its
    remarks say where to; one that was split off is there from then on."""
    trouble: list[Trouble] = []
    found = {f.id: f for f in findings}
    notes = {r.id: r for r in remarks}
    spoken = {q.id: q.remark for q in readings}
    ever = set(found)
    aside: dict[str, Finding] = {}
    lost: dict[str, Decision] = {}
    for d in sorted(decisions, key=lambda d: d.order):
        if d.verb == splits.VERB and d.subject in found:
            odd = splits.split(found, notes, spoken, d)
            trouble += [odd] if odd else []
            ever |= set(found)
        elif d.verb == "restore" and d.subject in aside:
            found[d.subject] = _back(aside.pop(d.subject), notes)
        elif d.subject in ever:
            if d.verb == "set_aside" and d.subject in found:
                aside[d.subject] = found[d.subject]
            _on_finding(d, found, notes, trouble)
        elif d.verb == added.VERB:
            _drafted(d.subject, found, notes)
        elif d.subject in notes:
            notes[d.subject] = _on_remark(d, notes[d.subject])
        else:
            lost[d.subject] = d
    for d in lost.values():
        trouble.append(
            Trouble(
                d.file or "decisions.jsonl",
                d.line,
                f"{d.verb} is about {d.subject}, which is not drafted any more; its words are kept here",
                "look whether another finding took its place, and decide there",
            )
        )
    return list(found.values()), list(notes.values()), trouble


def _on_finding(d: Decision, found: dict[str, Finding], notes: dict[str, Remark], trouble: list[Trouble]) -> None:
    one = found.get(d.subject)
    if one is None:  # set aside or merged by an earlier line
        return
    if d.verb == "set_aside":
        why = str(d.fields.get("why", NO_REASON))
        _aside(one, notes, why, ())
        del found[d.subject]
        return
    if d.verb == "merge":
        into = str(d.fields.get("into", ""))
        if into not in found or into == d.subject:
            trouble.append(
                Trouble(d.file, d.line, f'merge into "{into}", which is not a finding', "give the id of a finding")
            )
            return
        other = found[into]
        found[into] = replace(
            other,
            evidence=tuple({str(sorted(e.items())): e for e in (*other.evidence, *one.evidence)}.values()),
            readings=tuple(dict.fromkeys((*other.readings, *one.readings))),
            checks=tuple(dict.fromkeys((*other.checks, *one.checks))),
        )
        del found[d.subject]
        return
    if d.verb in ("accept", "reword", "move", "standing"):
        found[d.subject] = _changed(one, d, trouble)


def _changed(one: Finding, d: Decision, trouble: list[Trouble]) -> Finding:
    change: dict[str, Any] = {"state": "ink", "decided": d.verb}
    change |= {k: str(d.fields[k]) for k in (*TEXTS, "place") if k in d.fields}
    for key, allowed in LISTS.items():
        if key in d.fields:
            if d.fields[key] in allowed:
                change[key] = d.fields[key]
            else:
                trouble.append(
                    Trouble(
                        d.file, d.line, f'{key} "{d.fields[key]}" is not known', f"write one of {', '.join(allowed)}"
                    )
                )
    if isinstance(d.fields.get("at_stake"), list):
        change["at_stake"] = tuple(s for s in STAKES if s in d.fields["at_stake"])
    parts = {k: str(d.fields[k]) for k in PARTS if k in d.fields}
    if parts:
        change["narrative"] = replace(one.narrative, **parts)
    return replace(one, **change)


def _aside(one: Finding, notes: dict[str, Remark], why: str, into: tuple[str, ...]) -> None:
    for e in one.evidence:
        name = e.get("remark")
        if name in notes and notes[name].use == "finding":
            notes[name] = replace(notes[name], use="set_aside", why_set_aside=why, into=into)


def _back(one: Finding, notes: dict[str, Remark]) -> Finding:
    """A finding that was set aside, as it was before; its remarks are used again."""
    for e in one.evidence:
        name = e.get("remark")
        if name in notes and notes[name].use == "set_aside":
            notes[name] = replace(notes[name], use="finding", why_set_aside="")
    return one


def _drafted(remark: str, found: dict[str, Finding], notes: dict[str, Remark]) -> None:
    """A finding was made of a remark: what set the remark aside before counts no more."""
    for f in found.values():
        told = [str(e["remark"]) for e in f.evidence if "remark" in e]
        for name in told if remark in told else ():
            if name in notes and notes[name].use == "set_aside":
                notes[name] = replace(notes[name], use="finding", why_set_aside="")


def _on_remark(d: Decision, one: Remark) -> Remark:
    if d.verb == "set_aside":
        return replace(one, use="set_aside", why_set_aside=str(d.fields.get("why", NO_REASON)))
    if d.verb == "use":
        return replace(one, use=str(d.fields.get("use", "information")), why_set_aside="")
    return one
