"""What the inspector owes, as the record holds it: loops, cards, the watch list, what was told, what is open."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

Evidence = tuple[dict[str, Any], ...]


@dataclass(frozen=True, slots=True)
class Loop:
    """Something to be put back, or to be seen running again. Times are seconds on the visit's clock."""

    id: str
    thing: str
    kind: str  # said, ticked, implied
    says: str
    place: str
    state: str  # open, closed, left (with a reason), asked (nothing shows that the house has one)
    opened_at: float | None = None
    closed_at: float | None = None
    due_at: float | None = None  # when the app asks for it
    minutes: float | None = None  # how long it stood open
    late: bool = False  # it was closed after it fell due, or never
    risk: str = ""  # water, heat, power, live, way
    back: str = ""  # how it is put back
    why: str = ""  # why it was left
    implied_by: tuple[str, ...] = ()
    before: tuple[str, ...] = ()  # pictures near the opening
    after: tuple[str, ...] = ()  # and near the closing
    evidence: Evidence = ()


@dataclass(frozen=True, slots=True)
class StayOut:
    """One reason to stay out that applies by the facts noted."""

    id: str
    says: str
    limit: str  # the text of the limit, should he stay out
    reason: str
    source: str
    basis: str
    evidence: Evidence = ()
    clause: str = ""  # citation, where a law that was read gives the number
    unverified: bool = False


@dataclass(frozen=True, slots=True)
class SafetyCard:
    """A place that can hurt. It never says that going in is all right; the person decides."""

    id: str
    name: str
    says: str
    reasons: tuple[StayOut, ...]
    not_known: tuple[str, ...]
    minutes: float  # countdown; the person outside is told when it ends
    out: str
    limited: tuple[str, ...] = ()  # limitations told of this place


@dataclass(frozen=True, slots=True)
class Watched:
    """One thing to ask of a house of this age and kind."""

    id: str
    name: str
    state: str  # asked, found, ruled_out
    ask: str
    why: str
    places: tuple[str, ...]
    sources: tuple[dict[str, str], ...] = ()
    evidence: Evidence = ()


@dataclass(frozen=True, slots=True)
class ToldNow:
    """An imminent hazard, and who was told of it."""

    id: str
    finding: str
    hazard: str
    tell: str
    to: tuple[str, ...]
    state: str  # open, told, not_told (with a reason)
    who: str = ""
    when: str = ""
    how: str = ""
    why: str = ""
    evidence: Evidence = ()


@dataclass(frozen=True, slots=True)
class Matter:
    """Something open before delivery: what, where, how to mend it; or how it was answered."""

    id: str
    kind: str
    blocks: bool
    says: str
    mend: str
    place: str = ""
    subject: str = ""  # what a decision would be about: a finding, a remark, a loop
    evidence: Evidence = ()
    clause: str = ""  # citation of a clause that was read
    unverified: bool = False
    answer: str = ""


@dataclass(frozen=True, slots=True)
class Owed:
    """All of it."""

    loops: tuple[Loop, ...] = ()
    safety: tuple[SafetyCard, ...] = ()
    watch: tuple[Watched, ...] = ()
    told: tuple[ToldNow, ...] = ()
    matters: tuple[Matter, ...] = ()
    fates: dict[str, dict[str, int]] = field(default_factory=dict)
