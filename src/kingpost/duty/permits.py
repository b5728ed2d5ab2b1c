"""Which clause permits leaving something out: the reason that was given, and the lawful ground that fits it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from kingpost.listen.sweeps import Indexes, indexes, place_of
from kingpost.listen.words import norm
from kingpost.trade.duties import LawNumber
from kingpost.trade.model import Trade
from kingpost.trade.standards import Clause, Standard, Standards
from kingpost.visit.facts import Facts
from kingpost.visit.record import Limitation, Reading

from .sizes import small
from .words import has, upper_first

FELL = {"<": lambda a, b: a < b, "<=": lambda a, b: a <= b, ">": lambda a, b: a > b, ">=": lambda a, b: a >= b}
OUTDOORS = "outdoor_temperature"
LANDMARKS = frozenset("past beyond behind over under from above below near beside by".split())
CLOSED = ("roof", "attic", "underfloor", "garage")
TOLD = ("attic", "roof", "underfloor")  # levels that words may name from elsewhere


@dataclass(frozen=True, slots=True)
class Bar:
    """Something that kept a part or a place from being looked at or run.

    how   "seen": could not be looked at; "run": could not be operated
    """

    components: frozenset[str]
    place: str
    place_id: str
    reason: str
    why: str
    how: str
    evidence: tuple[dict[str, str], ...]
    clause: str = ""  # where the law itself names this case


def reason_of(text: str, standards: Standards) -> str:
    """The code of the first reason whose words are in a text; "" where it gives none that we know."""
    return next((r.id for r in standards.reasons.values() if has(text, r.said)), "")


def permit(
    reason: str, components: frozenset[str], place_id: str, laws: Sequence[Standard], standards: Standards
) -> Clause | None:
    """The clause of a lawful ground that fits best: of the part, of the place, then general; read before memory.

    A ground that the law gives under a condition of its own, as for another licence's inspection, permits nothing here.
    """
    if not reason:
        return None
    best: list[tuple[tuple[bool, bool, int, int], Clause]] = []
    order = {law.id: n for n, law in enumerate(laws)}
    for n, c in enumerate(standards.clauses.values()):
        if c.home != "exempts" or c.reason != reason or c.standard not in order or c.only_if:
            continue
        fits = bool(standards.components(c.parts) & components) or (bool(place_id) and place_id in c.places)
        if fits or not c.parts:
            best.append(((c.unverified, not fits, order[c.standard], n), c))
    return min(best, key=lambda b: b[0])[1] if best else None


def is_limit(text: str, standards: Standards) -> bool:
    """Whether words tell a limit at all: a reason, or a denial. A lock is one only where it kept somebody out."""
    denies = has(text, standards.sweeps["denial"].said)
    if has(text, standards.sweeps["locked_up"].said):
        return denies
    return denies or bool(reason_of(text, standards))


def bars(
    limits: Sequence[Limitation], facts: Facts, laws: Sequence[Standard], trade: Trade, standards: Standards
) -> list[Bar]:
    """What was said to be out of reach, and what the facts of the visit kept from being run."""
    index = indexes(trade, standards)
    out = []
    for x in limits:
        if not x.code and not is_limit(x.text, standards):
            continue
        named, place_id = _about(x, trade, index)
        shown = tuple({k: str(v) for k, v in e.items()} for e in x.evidence)
        how = "run" if has(x.text, standards.sweeps["not_run"].said) else "seen"
        out.append(Bar(named, x.place, place_id, reason_of(x.text, standards), x.text, how, shown))
    for name, on in sorted(facts.utilities.items()):
        if not on:
            parts = frozenset(c.id for c in trade.components.values() if c.system in FED[name])
            parts |= standards.components(p for p in FED_PARTS.get(name, ()) if p in standards.parts)
            fact = ({"fact": f"utilities.{name}"},)
            out.append(Bar(parts, "", "", "shut_down", f"The {name} was off.", "run", fact))
    for thing in facts.excluded:
        named = frozenset(h.key for h in index.parts.find([norm(w) for w in thing.replace("-", " ").split()]))
        if named:
            fact = ({"fact": "scope.excluded"},)
            out.append(Bar(named, "", "", "agreed", f"Left out by agreement: {thing}.", "seen", fact))
    return [*out, *_weather(facts, laws, standards)]


def sizes(
    values: Sequence[Reading],
    laws: Sequence[Standard],
    trade: Trade,
    standards: Standards,
    numbers: Mapping[str, LawNumber],
) -> list[Bar]:
    """Places that were measured as too small to be entered, by the numbers of the laws themselves."""
    index, out = indexes(trade, standards), []
    for place in ("crawl", "attic"):
        level = trade.places[place].level
        there = {q.place: place_of(q.place, trade, index.rooms) for q in values}
        mine = [q for q in values if (at := there[q.place]) is None or at.level == level]
        for x in small(place, mine, laws, standards, numbers):
            least = f"{x.clause.measure['value']:g} {x.unit}"
            why = f"{upper_first(x.clause.about)} is {x.amount:g} {x.unit}; the standard lets it go under {least}."
            out.append(Bar(frozenset(), "", place, x.clause.reason, why, "seen", x.evidence, x.clause.key))
    return out


FED: Mapping[str, tuple[str, ...]] = {
    "electric": ("electrical", "hvac", "appliances"),
    "water": ("plumbing", "water_heating"),
    "gas": ("gas",),
}
FED_PARTS = {"water": ("dishwasher",), "gas": ("gas_heat", "water_heater")}


def _weather(facts: Facts, laws: Sequence[Standard], standards: Standards) -> list[Bar]:
    """Equipment that a law lets stay off at the temperature outdoors that was noted."""
    out = []
    outdoors = facts.weather.get("outdoor_f")
    named = {law.id for law in laws}
    for c in standards.clauses.values():
        m = c.measure
        if c.standard not in named or c.home != "exempts" or m.get("quantity") != OUTDOORS or outdoors is None:
            continue
        holds = FELL.get(str(m.get("comparator")))
        if holds is not None and holds(float(outdoors), float(m["value"])):
            why = f"It was {outdoors:g} °F outside."
            fact = ({"fact": "weather.outdoor_f"},)
            out.append(Bar(standards.components(c.parts), "", "", c.reason, why, "run", fact, c.key))
    return out


def with_clauses(
    limits: Sequence[Limitation], laws: Sequence[Standard], trade: Trade, standards: Standards
) -> list[Limitation]:
    """Limitations with the clause that permits each, where one that was read does; a memory clause is never cited."""
    index = indexes(trade, standards)
    out = []
    for x in limits:
        named, place_id = _about(x, trade, index)
        found = permit(reason_of(x.text, standards), named, place_id, laws, standards)
        cited = found is not None and not found.unverified and not x.clause
        out.append(replace(x, clause=found.citation) if found is not None and cited else x)
    return out


def _about(x: Limitation, trade: Trade, index: Indexes) -> tuple[frozenset[str], str]:
    """The components that a limit is about, and its place.

    What only marks a spot ("past the ducts") is not what could not be seen; and of a limit told in an attic, on a roof
    or under a floor only what is met there can be meant. A roof, attic or crawl space that the words themselves name
    counts, wherever it was said.
    """
    words = [norm(w) for w in x.text.replace("-", " ").split()]
    told = next((h.key for h in index.rooms.find(words) if trade.places[h.key].level in TOLD), "")
    place = trade.places[told] if told else place_of(x.place, trade, index.rooms)
    named = {h.key for h in index.parts.find(words) if not LANDMARKS & set(words[max(0, h.start - 2) : h.start])}
    if x.item and not any(h.key == x.item for h in index.parts.find(words)):
        named.add(x.item)

    def met(component: str) -> bool:
        usual = trade.components[component].places if component in trade.components else ()
        levels = {trade.places[p].level for p in usual}
        return place is None or place.level not in CLOSED or not levels or place.level in levels

    return frozenset(c for c in named if met(c)), place.id if place else ""
