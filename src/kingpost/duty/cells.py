"""One duty in one stretch of the house: done, limited, not present, or a silent gap. Looking is never assumed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from kingpost.trade.model import Trade
from kingpost.trade.standards import Clause, Standard, Standards
from kingpost.visit.facts import Facts

from .evidence import STATES, Sight, Tick
from .house import Evidence, House, Spot
from .permits import Bar, permit

WHOLE_PLACES = ("entered", "method", "walked")  # wordings of a place gone into as such
MISSING = "missing"  # the family of faults of what is not there
DECAY = ("decayed",)  # families of faults that make probing fall due
RUN = ("operate", "measure")
AWAY = ("agreed", "needs_key_or_code", "access_size", "in_use")  # what keeps from looking and from running alike
SHOWN = 6  # pieces of evidence that one cell lists
LIVED = ("upper", "main", "lower")
OUTDOORS = {"grounds": "outside", "roof": "roof"}  # levels out of doors, and how they are called


@dataclass(frozen=True, slots=True)
class Cell:
    """One duty, one stretch of the house, one part where each counts by itself."""

    clause: Clause
    spot: Spot
    parts: tuple[str, ...]
    state: str
    evidence: tuple[Evidence, ...] = ()
    why: str = ""
    permits: str = ""  # key of the clause that lets it be left out
    seen: int = 0
    of: int | None = None
    asks: bool = False  # nothing says whether there is one


@dataclass
class Ground:
    """All that cells are judged by."""

    trade: Trade
    standards: Standards
    laws: Sequence[Standard]
    facts: Facts
    house: House
    sights: Sequence[Sight]
    rests: Sequence[Sight]
    bars: Sequence[Bar]
    sizes: Sequence[Bar]  # what was measured as too small to be entered
    ticks: Sequence[Tick]
    passes: dict[str, list[Evidence]] = field(default_factory=dict)
    by_part: dict[str, list[Sight]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for s in (*self.sights, *self.rests):
            self.by_part.setdefault(s.component, []).append(s)


def cells(clause: Clause, ground: Ground) -> list[Cell]:
    """The cells of one clause about the house."""
    groups = [(p,) for p in clause.parts] if clause.all_parts else [clause.parts]
    pers = [str(clause.spread.get(g[0], clause.per)) if g else clause.per for g in groups]
    at = {per: _spots(clause, per, ground) for per in dict.fromkeys(pers)}
    rows = [(n, parts, spot) for parts, per in zip(groups, pers, strict=True) for n, spot in enumerate(at[per])]
    return [_cell(clause, spot, parts, ground) for _, parts, spot in sorted(rows, key=lambda row: row[0])]


def _spots(clause: Clause, per: str, g: Ground) -> list[Spot]:
    spots = g.house.spots(per, clause.needs)
    law = g.standards.laws[clause.standard]
    if clause.amount == "sample" and per == "room" and law.sample != "room":
        spots = _pooled(spots, law.sample)
    return [
        *spots,
        *(Spot("level", level, OUTDOORS.get(level, f"{level} level"), level=level) for level in clause.also),
    ]


def _pooled(spots: Sequence[Spot], sample: str) -> list[Spot]:
    """One stretch per level, or one for the house, where a law counts its representative number so."""
    out: dict[str, Spot] = {}
    for s in spots:
        key = s.level if sample == "level" else ""
        out.setdefault(
            key, Spot("level" if key else "house", key, f"{key} level" if key else "the house", level=s.level)
        )
    return list(out.values())


def _cell(clause: Clause, spot: Spot, parts: tuple[str, ...], g: Ground) -> Cell:
    if clause.duty == "second_pass":
        return _second_pass(clause, spot, parts, g)
    comps = g.standards.components(parts) if parts else frozenset()
    tick = _tick(clause, spot, comps, g)
    if tick is not None and tick.state == "done":
        return Cell(clause, spot, parts, "done", ({"tick": tick.id},), tick.why)
    looks = _looks(clause, spot, parts, g)
    good = [s for s in looks if _shows(clause, s)]
    of = _many(clause, spot, g) if clause.amount == "every" else None
    seen = max(sum(s.count for s in good), int(bool(good)))
    evidence = _evidence(good or looks)
    enough = _enough(clause, spot, good, seen, of, g)
    bar = _bar(clause, spot, comps, g.bars, g) or (None if enough else _bar(clause, spot, comps, g.sizes, g))
    if enough and (bar is None or (clause.duty == "describe" and clause.words not in WHOLE_PLACES)):
        return Cell(clause, spot, parts, "done", evidence, "", "", seen, of)
    if bar is not None or (tick is not None and tick.state == "limited"):
        return _limited(clause, spot, parts, comps, evidence, bar, tick, seen, of, g)
    if fact := _fact(clause, g):
        return Cell(clause, spot, parts, "done", (fact,))
    gone = _gone(clause, spot, parts, tick, g)
    if gone is not None and not looks:
        return Cell(clause, spot, parts, "not_present", tuple(gone[0]), gone[1])
    if clause.when and not _due(comps, g):
        return Cell(clause, spot, parts, "not_present", (), f"Falls due only when {clause.when}; nothing said so.")
    why = _why(clause, looks, good, seen, of, g)
    asks = not looks and bool(parts) and all(_may_lack(p, g) for p in parts) and spot.kind == "house"
    return Cell(clause, spot, parts, "not_done", evidence, why, "", seen, of, asks)


def _looks(clause: Clause, spot: Spot, parts: tuple[str, ...], g: Ground) -> list[Sight]:
    """What was seen of these parts in this stretch, in whatever way; and readings that the law asks for by name."""
    wide = not parts or (set(clause.words.split()) & set(WHOLE_PLACES) and clause.places)
    found = list(g.by_part.get("", ())) if wide else []
    for p in parts:
        where = g.standards.parts[p].found
        keys = sorted(g.standards.components((p,)))
        found += [s for k in keys for s in g.by_part.get(k, ()) if met(where, s, g)]
    found += [s for s in g.sights if s.quantity and s.quantity in clause.quantities]
    return [s for s in {id(s): s for s in found}.values() if _there(clause, spot, s, g)]


def evident(clause: Clause, spot: Spot, parts: tuple[str, ...], g: Ground) -> list[Sight]:
    """The looks that show a duty done in one stretch."""
    return [s for s in _looks(clause, spot, parts, g) if _shows(clause, s)]


def met(where: str, s: Sight, g: Ground) -> bool:
    """Whether a part found only inside, or outside, can be meant: balusters of the deck show no stairs of the house."""
    place = g.trade.places.get(s.place_id)
    if not where or place is None or place.level == "house":
        return True
    if where in g.trade.places:
        return place.kind != "room" or _within(place.id, (where,), g.trade)
    return (place.level in OUTDOORS) == (where == "outside")


def _there(clause: Clause, spot: Spot, s: Sight, g: Ground) -> bool:
    if spot.kind in ("room", "side"):
        key = g.house.key(s.place)
        if key:
            return key == spot.key or (s.every and _reaches(s, spot, g))
        return s.every and _reaches(s, spot, g)
    if spot.kind == "level":
        place = g.trade.places.get(s.place_id)
        return place is not None and (place.level == spot.level or s.extent == "house")
    return not clause.places or _within(s.place_id, clause.places, g.trade)


def _reaches(s: Sight, spot: Spot, g: Ground) -> bool:
    """Whether "all the windows" reaches another room: said of the house, or of its level."""
    place = g.trade.places.get(s.place_id)
    if s.extent == "house":
        return spot.kind == "room" or (place is not None and place.level == "grounds") or not s.place_id
    if s.extent == "level":
        return place is not None and place.level == spot.level
    if spot.kind == "side":  # "all the trim" while walking round
        return s.extent != "here" and place is not None and place.id == "exterior"
    return False


def _within(place_id: str, places: Sequence[str], trade: Trade) -> bool:
    seen = place_id
    while seen:
        if seen in places or any(seen.split("_")[0] == p for p in places):
            return True
        seen = trade.places[seen].within if seen in trade.places else ""
    at = trade.places.get(place_id)
    return at is not None and any(trade.places[p].kind == "level" and trade.places[p].level == at.level for p in places)


def _shows(clause: Clause, s: Sight) -> bool:
    if s.ways is None:
        return True
    if clause.quantities:
        return s.quantity in clause.quantities or (bool(clause.words) and clause.words in s.ways)
    return not clause.words or clause.words in s.ways


def _enough(clause: Clause, spot: Spot, good: Sequence[Sight], seen: int, of: int | None, g: Ground) -> bool:
    if not good:
        return False
    if clause.amount != "every":
        return True
    if spot.kind == "room" and any(s.fault == MISSING for s in good):
        return True  # what was found missing cannot be tried
    if any(s.every and (spot.kind != "house" or s.extent in ("", "house")) for s in good):
        return True
    return of is not None and seen >= of


def _fact(clause: Clause, g: Ground) -> Evidence | None:
    more = g.facts.more.get("house", {})
    value = getattr(g.facts, clause.fact, None) or (more.get(clause.fact) if isinstance(more, dict) else None)
    return {"fact": f"house.{clause.fact}"} if clause.fact and value else None


def _evidence(sights: Sequence[Sight]) -> tuple[Evidence, ...]:
    flat = {str(sorted(e.items())): e for s in sights for e in s.evidence}
    return tuple(flat[k] for k in sorted(flat))[:SHOWN]


def _tick(clause: Clause, spot: Spot, comps: frozenset[str], g: Ground) -> Tick | None:
    """The tick that counts here: one with a place before one without, then the one that tells of most looking."""
    fit = []
    for t in g.ticks:
        about = t.clause == clause.key or (bool(t.components) and bool(comps) and t.components >= _real(comps, t))
        where = not t.place or t.place in (spot.key, spot.place_id) or g.house.key(t.place) == spot.key != ""
        if about and where:
            fit.append(t)
    return min(fit, key=lambda t: (not t.place, STATES.index(t.state), t.id)) if fit else None


def _real(comps: frozenset[str], t: Tick) -> frozenset[str]:
    """A tick of one component of a group vouches for the group's cell, a tick of another thing does not."""
    return comps & t.components or comps


def _bar(clause: Clause, spot: Spot, comps: frozenset[str], bars: Sequence[Bar], g: Ground) -> Bar | None:
    for b in bars:
        if b.how == "run" and clause.duty not in RUN:
            continue
        if b.how != "run" and clause.duty in RUN and b.reason not in AWAY:
            continue
        if b.components & comps and _bar_there(clause, spot, b, g):
            return b
        if b.how == "run":
            continue
        whole = not comps or clause.words in WHOLE_PLACES
        if clause.places and whole and b.place_id and _within(b.place_id, clause.places, g.trade):
            return b
    return None


def _bar_there(clause: Clause, spot: Spot, b: Bar, g: Ground) -> bool:
    if not b.place:  # a fact of the whole visit
        return True
    if spot.kind in ("room", "side"):
        return g.house.key(b.place) == spot.key
    return not clause.places or not b.place_id or _within(b.place_id, clause.places, g.trade)


def _limited(
    clause: Clause,
    spot: Spot,
    parts: tuple[str, ...],
    comps: frozenset[str],
    evidence: tuple[Evidence, ...],
    bar: Bar | None,
    tick: Tick | None,
    seen: int,
    of: int | None,
    g: Ground,
) -> Cell:
    reason = bar.reason if bar else ""
    place = bar.place_id if bar else spot.place_id
    about = (comps & bar.components if bar else comps) or comps
    found = permit(reason, about, place, g.laws, g.standards)
    shown = (*(bar.evidence if bar else ({"tick": tick.id},) if tick else ()), *evidence)[:SHOWN]
    why = bar.why if bar else (tick.why if tick and tick.why else "Ticked as limited; no reason was given.")
    key = (bar.clause if bar else "") or (found.key if found else "")
    return Cell(clause, spot, parts, "limited", shown, why, key, seen, of)


def _part_gone(part: str, g: Ground) -> list[Evidence]:
    """Evidence that a part is not in this house: denied as such, or each of its components."""
    if mark := g.house.absent.get(f"part:{part}"):
        return mark
    parts = g.standards.parts[part].components
    found = [g.house.absent.get(c, []) for c in parts]
    return found[0] if found and all(found) else []


def _gone(
    clause: Clause, spot: Spot, parts: tuple[str, ...], tick: Tick | None, g: Ground
) -> tuple[list[Evidence], str] | None:
    """Evidence that what the duty is about is not in this house."""
    if tick is not None and tick.state == "not_present":
        return [{"tick": tick.id}], tick.why or "Ticked as not in this house."
    if clause.places and all(p in g.house.absent_places for p in clause.places):
        return g.house.absent_places[clause.places[0]], "Not in this house."
    away = [_part_gone(p, g) for p in parts]
    if away and all(away):
        return away[0][:1], "Not in this house."
    if clause.counts and g.house.count(spot, clause.counts) == 0:
        return [{"fact": f"rooms.{spot.key}" if spot.key else "house"}], "None of them here, by the counts given."
    return None


def _many(clause: Clause, spot: Spot, g: Ground) -> int | None:
    """How many there are: as counted, else as such a room usually has."""
    told = g.house.count(spot, clause.counts)
    room = g.standards.rooms.get(spot.place_id)
    usual = room.usual.get(clause.counts) if room else None
    return told if told is not None else usual if isinstance(usual, int) else None


def _may_lack(part: str, g: Ground) -> bool:
    """Whether it is a question if there is one: not of stairs between floors, nor of a garage's door."""
    p = g.standards.parts[part]
    floors = {r.level for r in g.house.rooms if r.level in LIVED}
    rooms = {r.place_id for r in g.house.rooms}
    return p.optional and not (p.floors and len(floors) >= p.floors) and not rooms & set(p.there_with)


def _due(comps: frozenset[str], g: Ground) -> bool:
    """Whether decay was found in one of these parts, so that probing falls due."""
    return any(s.fault in DECAY and s.component in comps for s in g.sights)


def _why(clause: Clause, looks: Sequence[Sight], good: Sequence[Sight], seen: int, of: int | None, g: Ground) -> str:
    if clause.amount == "every" and good:
        told = f"{seen} of {of}" if of is not None else f"{seen}, and how many there are is not known"
        return f"Shown for {told}."
    if looks and not good:
        if not clause.words:
            return "Named, but no reading was taken."
        return f"Named, but nothing shows it {DONE.get(clause.words, 'told by its kind')}."
    return "Nothing shows it."


DONE = {
    "operated": "tried",
    "ran": "run",
    "cooled": "run to cool",
    "tested": "tested",
    "opened_closed": "opened and closed",
    "ran_water": "run with water",
    "flowed": "run for its flow",
    "drained": "drained",
    "probed": "probed",
    "entered": "gone into",
    "method": "told how it was looked at",
    "walked": "walked on",
    "opened": "opened",
    "located": "told where it is",
    "reversed": "tried for reversing",
    "moved": "moved aside",
    "amps": "told with its rating",
    "metal": "told by its metal",
    "overhead": "told as overhead or underground",
}


def _second_pass(clause: Clause, spot: Spot, parts: tuple[str, ...], g: Ground) -> Cell:
    stays = [e for label, found in sorted(g.passes.items()) if g.house.key(label) == spot.key for e in found]
    tick = _tick(clause, spot, frozenset(), g)
    if tick is not None and tick.state == "done":
        return Cell(clause, spot, parts, "done", ({"tick": tick.id},), tick.why)
    if len(stays) > 1:
        return Cell(clause, spot, parts, "done", tuple(stays[:SHOWN]))
    why = "Gone through once." if stays else "Not gone through."
    return Cell(clause, spot, parts, "not_done", tuple(stays), why, "", len(stays), 2)
