"""Where the speaker is: said outright, implied by what is looked at, carried on, corrected."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from kingpost.trade.model import Place, Trade

from .lexicon import FROM, MOVES, ORDINALS, SIDES
from .patterns import Hit, Index, longest
from .words import Word


@dataclass(frozen=True, slots=True)
class Where:
    """A place at a stretch of speech, and the name under which the report shows it."""

    place: Place | None
    label: str


def index(trade: Trade) -> Index[str]:
    """All ways in which places are named."""
    out: Index[str] = Index()
    for place in trade.places.values():
        out.add(place.id, place.said)
    return out


def label(place: Place | None, trade: Trade, words: Sequence[str] = (), hit: Hit[str] | None = None) -> str:
    """A place with the one it is part of, and the word that tells it from its like: "northeast bedroom"."""
    if place is None:
        return ""
    name = place.name
    if hit is not None and place.kind == "room":
        before = [w for w in words[max(0, hit.start - 2) : hit.start] if w in SIDES or w in ORDINALS]
        after = [w for w in words[hit.end : hit.end + 1] if w in ("one", "two", "three", "four", "1", "2", "3", "4")]
        parts = [*before[-1:], name, *after]
        name = " ".join(parts) if before or after else name
    outer = trade.places.get(place.within)
    if outer is not None and outer.name not in name:
        name = f"{outer.name}, {name}"
    return name


def track(
    words: Sequence[Word], norms: Sequence[str], starts: frozenset[int], trade: Trade, found: Sequence[Hit[str]]
) -> list[Where]:
    """For each word the place in which it is said.

    A place moves the speaker when it opens a statement ("kitchen. the faucet ..."), follows a word of moving
    ("going into the attic") or is the first one named; named in passing ("feeds the garage") it does not.
    """
    here = Where(None, "")
    out: list[Where] = [here] * len(words)
    moves: dict[int, Where] = {}
    for hit in longest(found):
        place = trade.places[hit.key]
        before = [norms[k] for k in range(max(0, hit.start - 4), hit.start)]
        near_start = any(hit.start - k in starts for k in range(4) if hit.start - k >= 0)
        passing = bool(before) and (
            before[-1] in FROM or (len(before) > 1 and before[-1] in ("the", "a") and before[-2] in FROM)
        )
        moving = any(b in MOVES for b in before[-3:])
        if (near_start and not passing) or moving or (here.place is None and not passing):
            here = Where(place, label(place, trade, norms, hit))
            start = max((s for s in starts if s <= hit.start), default=0)
            moves[start if near_start else hit.start] = here
    here = Where(None, "")
    for at in range(len(words)):
        here = moves.get(at, here)
        out[at] = here
    return out
