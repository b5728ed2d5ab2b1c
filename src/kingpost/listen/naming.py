"""Names of places and components as people write them, in a table or a caption, found in the trade data."""

from __future__ import annotations

from kingpost.trade.model import Trade

from . import places
from .catalogue import catalogue
from .patterns import longest
from .words import norm


def _norms(text: str) -> list[str]:
    return [n for w in text.replace("-", " ").replace("/", " ").replace(",", " ").split() if (n := norm(w))]


def place_named(text: str, trade: Trade) -> tuple[str, str, str]:
    """Label, level and id of a place written by hand; the text itself where it is no place we know.

    Of several names the last and most exact wins: "exterior front left corner" is the front of the exterior.
    """
    words = _norms(text)
    hits = longest(catalogue(trade).place_index.find(words))
    if not hits:
        return text, "house", ""
    kinds = {"level": 0, "outside": 1, "side": 2, "room": 2, "part": 3}
    best = max(hits, key=lambda h: (kinds.get(trade.places[h.key].kind, 0), h.end - h.start, -h.start))
    place = trade.places[best.key]
    label = places.label(place, trade, words, best)
    extra = text if len(text.split()) > 1 and text.lower() not in label.lower() else ""
    return (extra or label), place.level, place.id


def component_named(text: str, trade: Trade) -> str:
    """Id of a component written by hand, or "" where none is known by that name."""
    key = "_".join(_norms(text))
    if key in trade.components:
        return key
    by_name = {c.name.lower(): c.id for c in trade.components.values()}
    if text.lower() in by_name:
        return by_name[text.lower()]
    hits = longest(catalogue(trade).component_index.find(_norms(text)))
    return max(hits, key=lambda h: (h.end - h.start, h.start)).key if hits else ""
