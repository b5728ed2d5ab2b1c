"""A record as the report walks through it: ridge to ground, everything by its id, every name in plain words."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from kingpost.trade.model import LEVELS, STAKES, STANDINGS, WHENS, Trade
from kingpost.visit.record import Check, Finding, FrameRef, PhotoRef, Reading, Record, Remark

from .proof import numbered
from .words import capital, counted, listed


@dataclass(frozen=True, slots=True)
class LevelSheet:
    """One level of the house as a sheet of the report."""

    id: str
    name: str
    holds: str  # what is looked at there
    levels: tuple[str, ...]  # of trade.model.LEVELS


LEVEL_SHEETS = (
    LevelSheet("roof", "Roof", "coverings, flashing, gutters, chimney", ("roof",)),
    LevelSheet("attic", "Attic", "framing, insulation, air, wiring", ("attic",)),
    LevelSheet("rooms", "Rooms", "walls, floors, windows, kitchen, baths, equipment", ("upper", "main", "lower")),
    LevelSheet("underfloor", "Underfloor", "foundation, posts, joists, ground", ("underfloor",)),
    LevelSheet("garage", "Garage", "doors, walls, the way into the house", ("garage",)),
    LevelSheet("grounds", "Grounds", "grading, decks, steps, outside walls", ("grounds",)),
    LevelSheet("house", "The whole house", "what belongs to no one level", ("house",)),
)


def _at(one: str, among: tuple[str, ...]) -> int:
    return among.index(one) if one in among else len(among)


class Index:
    """One record, indexed. `trade` gives places, trades and quantities their names."""

    def __init__(self, record: Record, trade: Trade) -> None:
        self.record, self.trade = record, trade
        self.remarks: dict[str, Remark] = {r.id: r for r in record.remarks}
        self.readings: dict[str, Reading] = {r.id: r for r in record.readings}
        self.checks: dict[str, Check] = {c.id: c for c in record.checks}
        self.photos: dict[str, PhotoRef] = {p.id: p for p in record.photos}
        self.frames: dict[str, FrameRef] = {t.id: t for t in record.thermal}
        self.frame_number = {t.id: n for n, t in enumerate(record.thermal, 1)}
        self.photo_number = {p.id: n for n, p in enumerate(record.photos, 1)}
        ordered = sorted(record.findings, key=lambda f: _at(self.level(f), LEVELS))
        given = [f.number for f in ordered]
        if 0 in given or len(set(given)) < len(given):  # numbers are given all at once or not at all
            given = list(range(1, len(ordered) + 1))
        self.number = {f.id: n for f, n in zip(ordered, given, strict=True)}
        self.findings: tuple[Finding, ...] = tuple(sorted(ordered, key=lambda f: self.number[f.id]))
        self.by_id = {f.id: f for f in self.findings}
        self.sources = numbered(record.checks)
        self.pencil = sum(f.state != "ink" for f in self.findings)

    def level(self, finding: Finding) -> str:
        """The level of a finding: as given, else its place's, else the whole house."""
        place = self.trade.places.get(finding.place)
        level = finding.level or (place.level if place else "")
        return level if level in LEVELS else "house"

    def by_level(self) -> list[tuple[LevelSheet, list[Finding]]]:
        """The level sheets that have findings, ridge to ground."""
        found = [(s, [f for f in self.findings if self.level(f) in s.levels]) for s in LEVEL_SHEETS]
        return [(sheet, findings) for sheet, findings in found if findings]

    def weight(self, finding: Finding) -> tuple[int, int, int, int]:
        """Sorts worst first: how soon, how firm, what is at stake, then ridge to ground."""
        stake = min((_at(s, STAKES) for s in finding.at_stake), default=len(STAKES))
        standing = _at(finding.standing, STANDINGS)
        return _at(finding.when, WHENS), standing, stake, self.number[finding.id]

    def place(self, place: str) -> str:
        """The name of a place; an id that the trade data lacks is read as words. A room is plainly inside."""
        known = self.trade.places.get(place)
        return known.name if known else place.replace("_", " ").removeprefix("interior, ")

    def places(self, *findings: Finding) -> str:
        """Where findings of one fault are, all places of them: "In three places: kitchen, hall and laundry"."""
        places = list(dict.fromkeys(self.place(p) for f in findings for p in (f.place, *f.also_at)))
        return f"In {counted(len(places), 'place')}: {listed(places)}" if len(places) > 1 else capital(places[0])

    def component(self, component: str) -> str:
        """The name of a component, as places."""
        known = self.trade.components.get(component)
        return known.name if known else component.replace("_", " ")

    def quantity(self, quantity: str) -> str:
        """The name of a quantity, as places."""
        known = self.trade.quantities.get(quantity)
        return known.name if known else quantity.replace("_", " ")

    def people(self, finding: Finding) -> list[str]:
        """Who mends it: "a licensed electrician"."""
        named = [self.trade.people[p].name if p in self.trade.people else p.replace("_", " ") for p in finding.people]
        return named or ([finding.narrative.who] if finding.narrative.who else [])

    def moment(self, seconds: float | None) -> datetime | None:
        """The time of day so many seconds into the visit, where the visit has a start."""
        started = self.record.visit.started
        return started + timedelta(seconds=seconds) if started and seconds is not None else None

    def taken(self, photo: PhotoRef) -> datetime | None:
        """When a photograph was taken."""
        if photo.taken:
            try:
                return datetime.fromisoformat(photo.taken)
            except ValueError:
                return None
        return self.moment(photo.seconds)

    def evidence(self, evidence: Iterable[dict[str, object]], kind: str) -> list[str]:
        """Ids of one kind of evidence, in order, once each."""
        return list(dict.fromkeys(str(e[kind]) for e in evidence if e.get(kind)))
