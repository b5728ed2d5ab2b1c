"""A draft that says two things, taken apart: some of its remarks go into a finding of their own."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from kingpost.visit.facts import Decision, Trouble
from kingpost.visit.record import Finding, Remark

from .findings import clock, digest, quote

VERB = "split"


def split(
    found: dict[str, Finding], said: Mapping[str, Remark], spoken: Mapping[str, str | None], d: Decision
) -> Trouble | None:
    """Split one finding of `found`, in place; what cannot be split is told, and stays.

    said    remarks by id
    spoken  the remark in which each reading was said, by the reading's id

    The decision names `remarks`, some and not all of those behind its finding, and a `title` for what they say.
    Readings said in them go along; checks stay. What was split off is pencil, under an id that rests on the finding
    and the remarks, so that later decisions about it survive every run.
    """
    one, named = found[d.subject], d.fields.get("remarks")
    chosen = {str(r) for r in named} if isinstance(named, list) else set()
    mine = [str(e["remark"]) for e in one.evidence if "remark" in e]
    gone = [r for r in mine if r in chosen and r in said]
    if not gone or not chosen < set(mine):
        file = d.file or "decisions.jsonl"
        return Trouble(file, d.line, f"split of {d.subject} cannot be made", "name some of its remarks, not all")
    found[one.id], new = _apart(one, gone, mine, said, spoken, str(d.fields.get("title", "")).strip())
    found[new.id] = new
    return None


def _apart(
    one: Finding,
    gone: list[str],
    mine: list[str],
    said: Mapping[str, Remark],
    spoken: Mapping[str, str | None],
    title: str,
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
