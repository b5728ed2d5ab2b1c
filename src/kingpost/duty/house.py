"""The house that a visit owes looking to: its rooms, sides and levels, what is counted in them, what is not there.

visit.toml says it where it can (`[rooms]`, `[house]`); what it leaves out is taken from what is heard. A list of rooms
in visit.toml is taken as whole: a place heard beside it is a stray, and makes no duty.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from kingpost.listen.patterns import Index, longest
from kingpost.listen.sweeps import Swept, indexes, place_of
from kingpost.listen.words import norm
from kingpost.trade.model import LEVELS, Place, Trade
from kingpost.trade.standards import Standards
from kingpost.visit.facts import Facts, Trouble
from kingpost.visit.record import Remark

COUNTS = {  # key in visit.toml -> what a clause counts
    "windows": "window",
    "doors": "interior_door",
    "outside_doors": "exterior_door",
    "receptacles": "receptacle",
    "faucets": "faucet",
    "gfcis": "gfci",
    "lights": "light",
    "switches": "switch",
    "smoke_alarms": "smoke_alarm",
    "co_alarms": "co_alarm",
}
SIDES = ("front", "rear", "left", "right")
TURNS = {
    "south": "west",
    "west": "north",
    "north": "east",
    "east": "south",
}  # front faces -> left, seen from the street
OPPOSITE = {"south": "north", "north": "south", "west": "east", "east": "west"}
ATTACHED = ("row", "townhouse", "town house", "terrace")
LIVED = ("upper", "main", "lower", "attic", "garage")
Evidence = dict[str, str]


@dataclass(frozen=True, slots=True)
class Spot:
    """A stretch of the house that a duty may be owed in: a room, a side, a level, or the whole house."""

    kind: str  # house, room, side, level
    key: str
    label: str
    place_id: str = ""
    level: str = "house"
    has: frozenset[str] = frozenset()
    counts: Mapping[str, int] = field(default_factory=dict)
    joins: tuple[str, ...] = ()
    from_facts: bool = False


WHOLE = Spot("house", "", "the house")


@dataclass
class House:
    """What there is, by facts and by what was heard."""

    rooms: list[Spot] = field(default_factory=list)
    sides: list[Spot] = field(default_factory=list)
    counts: dict[str, int] = field(default_factory=dict)
    absent: dict[str, list[Evidence]] = field(default_factory=dict)  # component or part:ID
    absent_places: dict[str, list[Evidence]] = field(default_factory=dict)
    strays: list[str] = field(default_factory=list)
    facing: str = ""
    trouble: list[Trouble] = field(default_factory=list)
    aliases: dict[str, str] = field(default_factory=dict)  # label of a remark -> key of a room or side

    def spots(self, per: str, needs: str) -> list[Spot]:
        """The stretches over which a duty is counted."""
        if per == "room":
            return [r for r in self.rooms if not needs or needs in r.has]
        if per == "side":
            return self.sides
        if per == "level":
            seen = dict.fromkeys(r.level for r in self.rooms)
            return [Spot("level", level, f"{level} level", level=level) for level in LEVELS if level in seen]
        return [WHOLE]

    def key(self, label: str) -> str:
        """The room or side that a place of a remark stands for; "" where it is neither."""
        return self.aliases.get(label, "")

    def count(self, spot: Spot, what: str) -> int | None:
        """How many of a thing there are in a spot, where a count was given."""
        if spot.kind == "house":
            if what in self.counts:
                return self.counts[what]
            given = [r.counts[what] for r in self.rooms if what in r.counts]
            return sum(given) if given and all(what in r.counts for r in self.rooms if what in r.has) else None
        return spot.counts.get(what)


def house(facts: Facts, remarks: Sequence[Remark], swept: Swept, trade: Trade, standards: Standards) -> House:
    """The house of a visit. `[house]` and `[rooms]` of visit.toml win over what is heard."""
    made = House()
    more = facts.more.get("house", {})
    more = more if isinstance(more, dict) else {}
    index = indexes(trade, standards)
    made.facing = str(more.get("faces", "") or swept.facing).lower()
    _counts(more, made.counts, "house", made)
    given = facts.more.get("rooms")
    if isinstance(given, dict):
        for name, table in given.items():
            made.rooms.append(_given(str(name), table, trade, standards, index.rooms, made))
    labels = dict.fromkeys(r.place for r in remarks if r.place)
    heard = {label: p for label in labels if (p := place_of(label, trade, index.rooms)) is not None}
    _rooms(made, heard, trade, standards, bool(given))
    _sides(made, heard, facts, more)
    _absent(made, facts, more, swept, standards, index.parts, trade)
    made.rooms = [r for r in made.rooms if r.place_id not in made.absent_places]
    if facts.storeys == 1:
        made.rooms = [replace(r, level="main") if r.level == "upper" else r for r in made.rooms]
    made.rooms.sort(key=lambda r: (LEVELS.index(r.level), r.key))
    return made


def _counts(table: Mapping[str, Any], into: dict[str, int], owner: str, made: House) -> None:
    for key, what in COUNTS.items():
        value = table.get(key)
        if value is None:
            continue
        if isinstance(value, int) and not isinstance(value, bool) and value >= 0:
            into[what] = value
        else:
            made.trouble.append(
                Trouble("visit.toml", None, f"{key} of {owner} is {value!r}, no count", f"write {key} = a whole number")
            )


def _given(name: str, table: Any, trade: Trade, standards: Standards, rooms: Index[str], made: House) -> Spot:
    """One room of `[rooms]`: `kitchen = { windows = 2, receptacles = 6 }`."""
    if not isinstance(table, dict):
        made.trouble.append(
            Trouble(
                "visit.toml", None, f"room {name} is {table!r}", f'write "{name}" = {{ windows = 2 }} under [rooms]'
            )
        )
        table = {}
    place = place_of(str(table.get("place", name)).replace("_", " "), trade, rooms)
    counts: dict[str, int] = {}
    _counts(table, counts, name, made)
    level = str(table.get("level", place.level if place else "main"))
    if level not in LEVELS:
        made.trouble.append(
            Trouble("visit.toml", None, f'level "{level}" of {name} is not known', "write one of " + ", ".join(LEVELS))
        )
        level = place.level if place else "main"
    joins = table.get("joins", [])
    joins = tuple(str(j) for j in joins) if isinstance(joins, list) else (str(joins),)
    usual = standards.rooms[place.id].has if place and place.id in standards.rooms else ()
    has = {u for u in usual if counts.get(u, 1)} | {what for what, n in counts.items() if n}
    key = name.replace("_", " ")
    return Spot("room", key, key, place.id if place else "", level, frozenset(has), counts, joins, True)


def _last(label: str) -> str:
    return label.rpartition(", ")[2]


def _rooms(made: House, heard: Mapping[str, Place], trade: Trade, standards: Standards, closed: bool) -> None:
    """Rooms heard of: tied to those given, or, where none were given, rooms of their own."""
    rooms = {label: p for label, p in heard.items() if p.level in LIVED and (p.kind == "room" or p.id == "garage")}
    known = {r.key: r for r in made.rooms}
    bare: dict[str, str] = {}
    for label, place in rooms.items():
        name = _last(label)
        if closed:
            same = [r for r in made.rooms if r.place_id and r.place_id == place.id]
            key = name if name in known else (same[0].key if len(same) == 1 else "")
            made.aliases[label] = key
            if not key and place.id in standards.rooms:
                made.strays.append(name)
        elif place.id in standards.rooms:
            if name == place.name and place.id in ("bedroom", "bathroom"):
                bare[label] = place.id
                continue
            if name not in known:
                has = frozenset(standards.rooms[place.id].has)
                known[name] = Spot("room", name, name, place.id, place.level, has)
            made.aliases[label] = name
    for label, family in bare.items():
        like = sorted(k for k, r in known.items() if r.place_id.split("_")[0] == family)
        if not like:
            place = trade.places[family]
            known[place.name] = Spot(
                "room", place.name, place.name, family, place.level, frozenset(standards.rooms[family].has)
            )
            like = [place.name]
        made.aliases[label] = like[0] if len(like) == 1 else ""
    if not closed:
        made.rooms = list(known.values())


def _sides(made: House, heard: Mapping[str, Place], facts: Facts, more: Mapping[str, Any]) -> None:
    """Four sides; of a house in a row two. A side named by the compass is tied where the facing is known."""
    own = more.get("sides")
    sides = [s for s in SIDES if s in own] if isinstance(own, list) else list(SIDES)
    if not isinstance(own, list) and any(w in facts.form.lower() for w in ATTACHED):
        sides = ["front", "rear"]
    made.sides = [Spot("side", s, f"{s} side", f"exterior_{s}", "grounds", frozenset({"window"})) for s in sides]
    turn: dict[str, str] = {}
    if made.facing in TURNS:
        left = TURNS[made.facing]
        turn = {made.facing: "front", OPPOSITE[made.facing]: "rear", left: "left", OPPOSITE[left]: "right"}
    for label, place in heard.items():
        if place.kind == "side":
            side = place.id.removeprefix("exterior_")
            side = turn.get(side, side)
            made.aliases[label] = side if side in sides else ""


def _absent(
    made: House,
    facts: Facts,
    more: Mapping[str, Any],
    swept: Swept,
    standards: Standards,
    parts: Index[str],
    trade: Trade,
) -> None:
    def away(ids: Iterable[str], evidence: Evidence) -> None:
        for one in ids:
            made.absent.setdefault(one, []).append(evidence)

    for a in standards.absences.values():
        value = getattr(facts, a.fact, None) or more.get(a.fact) or ""
        words = [norm(w) for w in str(" ".join(value) if isinstance(value, list) else value).split()]
        if _any(words, a.said) and not _any(words, a.unless):
            fact = {"fact": f"house.{a.fact}"}
            away((f"part:{p}" for p in a.parts), fact)
            for place in a.places:
                made.absent_places.setdefault(place, []).append(fact)
    without = more.get("without", [])
    for name in without if isinstance(without, list) else [without]:
        words = [norm(w) for w in str(name).replace("_", " ").split()]
        found = {h.key for h in longest(parts.find(words))} | {
            p.id for p in standards.parts.values() if p.id == str(name)
        }
        places = [p.id for p in trade.places.values() if p.name == str(name).replace("_", " ")]
        fact = {"fact": "house.without"}
        away(_whole(found, standards), fact)
        for place in places:
            made.absent_places.setdefault(place, []).append(fact)
        told = any(a.fact == "without" and _any(words, a.said) for a in standards.absences.values())
        if not found and not places and not told:
            made.trouble.append(
                Trouble("visit.toml", None, f'without "{name}" names no part we know', "name it as on site: sump pump")
            )
    optional = {c for p in standards.parts.values() if p.optional for c in standards.components([p.id])}
    for look in swept.absent:
        if look.component in optional:
            away(_whole({look.component}, standards), {"remark": look.remark})


def _whole(found: Iterable[str], standards: Standards) -> set[str]:
    """What is denied, and the optional parts that stand or fall with it: no fireplace, no hearth of it."""
    out = set(found)
    for p in standards.parts.values():
        if p.optional and (p.id in out or out & set(p.stands_on or p.components[:1])):
            out.add(f"part:{p.id}")
    return out


def _any(words: Sequence[str], patterns: Iterable[str]) -> bool:
    index: Index[str] = Index()
    index.add("", patterns)
    return any(True for _ in index.find(words))
