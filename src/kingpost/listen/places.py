"""Where the speaker is: said outright, implied by what is looked at, carried on, corrected."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from kingpost.trade.model import Place, Trade

from .lexicon import LEADS, MOVES, ORDINALS, SIDES, WITHIN
from .patterns import Hit, Index, longest

FLOORS = ("upper", "main", "lower")
OUTDOORS = frozenset("outside exterior house elevation yard gable outdoors".split())


@dataclass(frozen=True, slots=True)
class Where:
    """A place at a stretch of speech, the name under which the report shows it, and its level."""

    place: Place | None
    label: str
    level: str = "house"


NOWHERE = Where(None, "")


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
        own = [] if hit.start in starts else words[max(0, hit.start - 1) : hit.start]
        before = [w for w in own if w in SIDES or w in ORDINALS]
        after = [w for w in words[hit.end : hit.end + 1] if w in ("one", "two", "three", "four", "1", "2", "3", "4")]
        after = [] if place.id not in ("bedroom", "bathroom") else after
        name = " ".join([*before, name, *after])
    outer = trade.places.get(place.within)
    if outer is not None and outer.name not in name:
        name = f"{outer.name}, {name}"
    return name


def _announced(norms: Sequence[str], hit: Hit[str], starts: frozenset[int]) -> bool:
    """Whether a place opens its statement ("kitchen.", "now the attic") or follows a word of moving."""
    at = hit.start
    for back in range(7):
        here = at - back
        if here in starts or here <= 0:
            return all(w in LEADS or w in SIDES or w in ORDINALS for w in norms[max(0, here) : at])
    return False


def _moving(norms: Sequence[str], hit: Hit[str]) -> bool:
    return any(w in MOVES for w in norms[max(0, hit.start - 4) : hit.start])


def _side_of_something(place: Place, here: Where, norms: Sequence[str], hit: Hit[str]) -> bool:
    """Whether "left side", said indoors, is the side of what is looked at, not of the house."""
    indoors = here.place is not None and here.level not in ("grounds", "roof", "garage", "house")
    return place.kind == "side" and indoors and not set(norms[hit.start : hit.end + 4]) & OUTDOORS


def track(
    norms: Sequence[str], starts: frozenset[int], trade: Trade, found: Sequence[Hit[str]]
) -> tuple[list[Where], list[tuple[Hit[str], Where]]]:
    """For each word the place in which it is said, and every naming of a place with what it names.

    starts  positions where a statement begins

    A place moves the speaker when it opens a statement, follows a word of moving ("going into the attic") or is the
    first named; named in passing ("feeds the garage") it does not. A room lies on the floor named last.
    """
    floor, here = "", NOWHERE
    moves: dict[int, Where] = {}
    named: list[tuple[Hit[str], Where]] = []
    for hit in longest(found):
        place = trade.places[hit.key]
        stands = place.level in FLOORS
        level = floor if floor and stands and place.kind == "room" else place.level
        one = Where(place, label(place, trade, norms, hit, starts), level)
        named.append((hit, one))
        if _side_of_something(place, here, norms, hit):
            continue
        if _announced(norms, hit, starts) or _moving(norms, hit) or here.place is None:
            here = one
            if place.kind == "level" and stands:
                floor = place.level
            start = max((s for s in starts if s <= hit.start), default=0)
            moves[start if hit.start - start <= 6 else hit.start] = one
    here, out = NOWHERE, list[Where]()
    for at in range(len(norms)):
        here = moves.get(at, here)
        out.append(here)
    return out, named


def inside(norms: Sequence[str], named: Sequence[tuple[Hit[str], Where]], start: int, end: int, here: Where) -> Where:
    """The place of a stretch of speech: one named in it with "in", "at" or "on", else where the speaker is."""
    for hit, where in named:
        if start <= hit.start and hit.end <= end and where.place is not None and where.place.kind in ("room", "side"):
            before = norms[max(0, hit.start - 3) : hit.start]
            if any(w in WITHIN for w in before) or hit.start == start:
                return where
    return here
