"""Where the speaker is: said outright, implied by what is looked at, carried on, corrected."""

from __future__ import annotations

import bisect
from collections.abc import Sequence
from dataclasses import dataclass, replace

from kingpost.trade.model import Place, Trade

from .lexicon import COLORS, NUMBERED, ORDINALS, PASSING, SIDES, WITHIN
from .patterns import Hit, Index

FLOORS = ("upper", "main", "lower")
OUTDOORS = frozenset("outside exterior house elevation yard gable outdoors".split())


@dataclass(frozen=True, slots=True)
class Where:
    """A place at a stretch of speech, the name under which the report shows it, and its level."""

    place: Place | None
    label: str
    level: str = "house"
    told: bool = False  # said of this very stretch, not carried on from before


NOWHERE = Where(None, "")


def area(level: str) -> str:
    """Levels among which one passes by turning one's head: floors of the house, and everything outdoors."""
    return "floors" if level in FLOORS else "outdoors" if level in ("grounds", "roof") else level


def index(trade: Trade) -> Index[str]:
    """All ways in which places are named."""
    out: Index[str] = Index()
    for place in trade.places.values():
        out.add(place.id, place.said, plain=True)
    return out


def label(
    place: Place | None,
    trade: Trade,
    words: Sequence[str] = (),
    hit: Hit[str] | None = None,
    starts: frozenset[int] = frozenset(),
) -> str:
    """A place with the one it is part of, and the word that tells it from its like: "northeast bedroom"."""
    if place is None:
        return ""
    name = place.name
    if hit is not None and place.kind == "room":
        own = [] if hit.start in starts else list(words[max(0, hit.start - 1) : hit.start])
        inner = words[hit.start : hit.end]
        own += [w for w in inner if w in COLORS and w not in name]
        before = [w for w in own if w in SIDES or w in ORDINALS]
        after = [w for w in [*inner[-1:], *words[hit.end : hit.end + 1]] if w in NUMBERED]
        after = [] if place.id not in ("bedroom", "bathroom") else after[:1]
        name = " ".join([*before, name, *after])
    outer = trade.places.get(place.within)
    if outer is not None and outer.name not in name:
        name = f"{outer.name}, {name}"
    return name


def inside(norms: Sequence[str], named: Sequence[tuple[Hit[str], Where]], start: int, end: int, here: Where) -> Where:
    """The place of a stretch of speech: one named in it with "in", "at" or "on", else where the speaker is.

    Of several the last: "the fan is dead, that's in the hall bath".
    """
    if here.told:
        return here
    out = here
    for hit, where in named[bisect.bisect_left(named, start, key=lambda n: n[0].start) :]:
        if hit.start >= end:
            break
        inner = start <= hit.start and hit.end <= end and where.place is not None
        if inner and _of_this(norms, hit, where, (start, end), here):
            out = replace(where, told=True)
    return out


def _of_this(norms: Sequence[str], hit: Hit[str], where: Where, span: tuple[int, int], here: Where) -> bool:
    """Whether a place named in a stretch of speech is that of what is told."""
    assert where.place is not None
    kind, start = where.place.kind, span[0]
    if kind == "side" and here.level not in ("grounds", "roof", "house"):
        return bool(set(norms[hit.start : hit.end + 4]) & OUTDOORS)
    at = hit.start
    while at > start and (norms[at - 1] in SIDES or norms[at - 1] in ORDINALS or norms[at - 1] in ("the", "a", "this")):
        at -= 1
    if at and norms[at - 1] in PASSING:
        return False
    if at == start:
        return hit.start == start and kind in ("room", "side")
    if norms[at - 1] not in WITHIN or (at - 1 > start and norms[at - 2] in PASSING):
        return False
    return kind in ("room", "side") or where.level == "house" or (kind != "part" and hit.end >= span[1] - 1)


def usual(component: str, trade: Trade) -> list[Place]:
    """The places that a part tells, else those where it is usually met."""
    held = [p for p in trade.places.values() if component in p.holds]
    known = trade.components.get(component)
    return held or [trade.places[p] for p in (known.places if known else ())]


def settle(
    component: str, where: Where, trade: Trade, named: Sequence[tuple[Hit[str], Where]], span: tuple[int, int]
) -> Where:
    """The place of a finding: where the speaker is, unless the part is never met there and its own place is known.

    named  every place that the walk names: only these does the house surely have
    """
    met = usual(component, trade)
    if not met or where.told or _may_be(component, met, where, trade):
        return where
    here = [w for h, w in named if span[0] <= h.start and h.end <= span[1] and w.place in met]
    if here:
        return here[-1]
    has = {w.level for _, w in named} | {"grounds", "roof", "main", "upper"}
    first = next((p for p in met if p.level in has), None if where.place else met[0])
    if first is None:
        return where
    seen = [w for _, w in named if w.place == first]
    return seen[-1] if seen else Where(first, label(first, trade), first.level)


BELOW = ("lower", "underfloor")


def _may_be(component: str, met: Sequence[Place], where: Where, trade: Trade) -> bool:
    """Whether a part may well be where the speaker is."""
    if where.place is None:
        return False
    levels = {p.level for p in met}
    areas = {"below" if x in BELOW else area(x) for x in levels}
    if where.level in levels or "house" in levels or area(where.level) in {area(x) for x in levels}:
        return where.level != "grounds" or levels != {"roof"}
    if len(areas) > 1:
        return True
    if where.place.kind == "outside" or where.place.id == "carport":
        return areas == {"below"}  # decks, porches and sheds have posts and joists of their own
    if areas == {"floors"}:
        return where.level not in ("grounds", "roof")
    told = any(component in p.holds for p in trade.places.values())
    return areas == {"outdoors"} and not told and all(p.id == "exterior" for p in met)
