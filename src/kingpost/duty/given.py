"""What the duties of a visit are worked out from: the data, the decisions about them, the clocks."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime

from kingpost.trade.duties import Duties
from kingpost.trade.model import Trade
from kingpost.trade.standards import Standard, Standards
from kingpost.visit.facts import Decision, Trouble
from kingpost.visit.record import AsFound, Limitation, Record

VERBS = ("open", "put_back", "leave", "told", "answer")


@dataclass
class Given:
    """The data of a visit's duties.

    offsets  where time 0 of each walk lies on the visit's clock, in seconds
    beside   remark -> pictures taken with it
    standing remarks whose draft was set aside while the words stand (`evidence.stand`)
    """

    trade: Trade
    standards: Standards
    duties: Duties
    laws: Sequence[Standard] = ()
    decisions: Sequence[Decision] = ()
    offsets: Mapping[str, float] = field(default_factory=dict)
    beside: Mapping[str, Sequence[str]] = field(default_factory=dict)
    standing: frozenset[str] = frozenset()
    trouble: list[Trouble] = field(default_factory=list)

    def of(self, subject: str, *verbs: str) -> list[Decision]:
        """The decisions about one subject, oldest first."""
        mine = [d for d in self.decisions if d.subject == subject and d.verb in verbs]
        return sorted(mine, key=lambda d: (instant(d.at), d.id))

    def about(self, verb: str) -> list[Decision]:
        """All decisions of one verb, oldest first."""
        return sorted((d for d in self.decisions if d.verb == verb), key=lambda d: (instant(d.at), d.id))


def mine(
    decisions: Iterable[Decision], limits: Sequence[Limitation], found: Sequence[AsFound]
) -> tuple[list[Decision], list[Decision]]:
    """Decisions about loops, limits, what was told and what preflight asked; and all others."""
    ids = {x.id for x in limits} | {a.id for a in found}
    ours: list[Decision] = []
    rest: list[Decision] = []
    for d in decisions:
        (ours if d.verb in VERBS or d.subject in ids else rest).append(d)
    return ours, rest


def instant(at: str) -> datetime:
    """A decision's time, comparable with any other."""
    moment = datetime.fromisoformat(at)
    return moment.replace(tzinfo=UTC) if moment.tzinfo is None else moment.astimezone(UTC)


def seconds(at: str, record: Record) -> float | None:
    """A decision's time on the visit's clock; None where the visit has no start."""
    start = record.visit.started
    if start is None:
        return None
    begun = start.replace(tzinfo=UTC) if start.tzinfo is None else start
    return (instant(at) - begun).total_seconds()
