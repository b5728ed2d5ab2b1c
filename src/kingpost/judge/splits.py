"""A draft that says two things, taken apart: some of its remarks go into a finding of their own."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from kingpost.visit.facts import Decision, Trouble
from kingpost.visit.record import Finding, Reading, Remark

from .findings import clock, digest, quote

VERB = "split"


def split(
    findings: Sequence[Finding], remarks: Sequence[Remark], readings: Sequence[Reading], decisions: Sequence[Decision]
) -> tuple[list[Finding], list[Decision], list[Trouble]]:
    """Findings with those that were split off, the decisions that are no split, and splits that cannot be made.

    A split names `remarks`, some and not all of those behind its finding, and a `title` for what they say. Readings
    said in these remarks go along; checks stay. What was split off is pencil, under an id that rests on the finding
    and the remarks, so that later decisions about it survive every run. Of what a finding was split into first, more
    can be split off in turn.
    """
    found = {f.id: f for f in findings}
    said = {r.id: r for r in remarks}
    spoken = {q.id: q.remark for q in readings}
    rest: list[Decision] = []
    odd: list[Trouble] = []
    for d in sorted(decisions, key=lambda d: d.order):
        if d.verb != VERB:
            rest.append(d)
            continue
        one, named = found.get(d.subject), d.fields.get("remarks")
        chosen = {str(r) for r in named} if isinstance(named, list) else set()
        mine = [str(e["remark"]) for e in one.evidence if "remark" in e] if one else []
        if one is None or not chosen or not chosen < set(mine):
            what = "some of its remarks, not none and not all" if one else "a finding that is drafted"
            odd.append(
                Trouble(d.file or "decisions.jsonl", d.line, f"split of {d.subject} cannot be made", f"name {what}")
            )
            continue
        gone = [r for r in mine if r in chosen and r in said]
        found[one.id], new = _apart(one, gone, mine, said, spoken, str(d.fields.get("title", "")).strip())
        found[new.id] = new
    return list(found.values()), rest, odd


def _apart(
    one: Finding, gone: list[str], mine: list[str], said: dict[str, Remark], spoken: dict[str, str | None], title: str
) -> tuple[Finding, Finding]:
    left = [r for r in mine if r not in gone]
    new = replace(
        one,
        id=digest("f", VERB, one.id, *sorted(gone)),
        condition="",
        title=title or one.title,
        place=said[gone[0]].place or one.place,
        narrative=replace(
            one.narrative, saw=" ".join(said[r].text for r in gone), how_we_know=_how([said[r] for r in gone])
        ),
        readings=tuple(q for q in one.readings if spoken.get(q) in gone),
        checks=(),
        evidence=tuple({"remark": r} for r in gone),
        state="pencil",
        also_at=(),
        doubt=f"Split from “{one.title}”: see whether why it matters and what to do still fit.",
        effects=(),
        decided=VERB,
    )
    old = replace(
        one,
        evidence=tuple(e for e in one.evidence if e.get("remark") not in gone),
        readings=tuple(q for q in one.readings if q not in new.readings),
        narrative=replace(one.narrative, how_we_know=_how([said[r] for r in left if r in said])),
    )
    return old, new


def _how(remarks: Sequence[Remark]) -> str:
    told = (
        f"At {clock(r.start)}{f' ({r.place})' if r.place else ''} the inspector said: “{quote(r.text)}”"
        for r in remarks
    )
    return " ".join(told)
