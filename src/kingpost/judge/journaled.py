"""What was tapped on a device rather than said: limits, refused ways in, and what was opened and put back."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from kingpost.visit.facts import Photo, Visit
from kingpost.visit.fold import Loop, Noted
from kingpost.visit.record import AsFound, Limitation

from .findings import digest

GATES = {"crawl_space": "crawl space"}


def limitations(visit: Visit) -> list[Limitation]:
    """What could not be seen or run, as it was tapped, and each way in that was refused."""
    if visit.journal is None:
        return []
    out = []
    for n in (*visit.journal.of("limit"), *visit.journal.of("gate")):
        if n.kind == "gate" and n.body["go"]:
            continue
        why = str(n.body.get("why") or n.body.get("note") or "no reason was given")
        gate = str(n.body.get("gate", ""))
        item = GATES.get(gate, gate.replace("_", " "))
        what = str(n.body["text"]) if n.kind == "limit" else f"The {item} was not entered"
        thing = str(n.body.get("component", "")) if n.kind == "limit" else item
        text = f"{what.strip().rstrip('.')}: {why}"
        out.append(Limitation(digest("l", n.id, text), text, "", (_row(n),), thing, why, n.place or item))
    return out


def as_found(visit: Visit) -> list[AsFound]:
    """The loops of the devices. One that is still open is not put back."""
    if visit.journal is None:
        return []
    return [_loop(loop, visit) for loop in visit.journal.loops]


def _loop(loop: Loop, visit: Visit) -> AsFound:
    assert visit.journal is not None
    where = {e.id: f"{e.file}:{e.line}" for e in visit.journal.events}
    shots = [s for s in visit.journal.shots if s.loop == loop.id]
    return AsFound(
        id=digest("a", loop.id),
        text=loop.text or loop.thing,
        opened_at=_since(loop.opened, visit),
        closed_at=_since(loop.closed, visit) if loop.closed else None,
        put_back=loop.closed is not None and loop.put_back,
        evidence=({"row": where[loop.id]},),
        place=loop.place,
        thing=loop.thing,
        why=loop.why,
        before=_pictures([s.media for s in shots if s.role != "as_left"], visit.photos),
        after=_pictures([s.media for s in shots if s.role == "as_left"], visit.photos),
    )


def _row(n: Noted) -> dict[str, str]:
    return {"row": f"{n.file}:{n.line}"}


def _since(when: datetime, visit: Visit) -> float | None:
    start = visit.facts.started
    if start is None:
        return None
    return round((when - (start if start.tzinfo else start.replace(tzinfo=when.tzinfo))).total_seconds(), 1)


def _pictures(media: Sequence[str], photos: Sequence[Photo]) -> tuple[str, ...]:
    return tuple(p.id for p in photos if p.digest in media)
