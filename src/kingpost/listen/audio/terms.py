"""The trade words that the recogniser is told to expect: a plain list from our own catalogue, the nearest first.

A plain list, because whole sentences bring punctuation back and lose words. The recogniser takes about 220 pieces of
a list; what no longer fits is cut by whole words, the farthest first. Words that everybody knows need no telling.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable, Iterator, Sequence

from kingpost.trade.model import Component, Trade

from .. import places
from ..ear import pieces
from ..lexicon import COMMON
from ..patterns import Index, longest
from ..sounds import Sounds

VERSION = 1  # of the way in which the list is made
KNOWN = 2500  # pieces of the vocabulary are numbered about by how common they are; below this a word needs no telling
NAMES = 2  # names of each component that are told
FEW = 12  # names of any one group but the first, so that one room does not fill the list


class Terms:
    """Trade words by component, place and sound."""

    def __init__(self, trade: Trade) -> None:
        self._trade = trade
        self._places = places.index(trade)
        self._components: Index[str] = Index()
        for c in trade.components.values():
            self._components.add(c.id, c.said)
        self._names = {c.id: tuple(_telling(c)) for c in trade.components.values()}
        self._sounds = Sounds.of(c.said for c in trade.components.values())

    @property
    def version(self) -> str:
        """Changes with the words and with the way of choosing among them."""
        told = "\n".join(f"{key}: {', '.join(names)}" for key, names in sorted(self._names.items()))
        return hashlib.sha256(f"{VERSION}\n{told}".encode()).hexdigest()[:12]

    def place(self, norms: Sequence[str], here: str) -> str:
        """The place named last in a stretch of words, else the one before it."""
        named = longest(self._places.find(norms))
        return next((h.key for h in reversed(named) if self._trade.places[h.key].kind != "side"), here)

    def near(self, norms: Sequence[str], before: Sequence[str], here: str) -> list[str]:
        """Names for a window, the likeliest first.

        norms   the words of the window as they were heard plainly
        before  the words of the window before it
        here    the place in which the window begins
        """
        named = [h.key for h in longest(self._components.find([*before[-80:], *norms]))]
        rooms = [here, *(h.key for h in longest(self._places.find(norms)))]
        trade = self._trade.components
        systems = {trade[key].system for key in named}
        there = [c.id for room in dict.fromkeys(reversed(rooms)) for c in trade.values() if self._is_in(c, room)]
        kin = [c.id for c in trade.values() if c.system in systems]
        groups: list[Iterable[str]] = [
            self._sounds.like(norms),
            (name for key in dict.fromkeys(named) for name in self._names[key][:1]),
            (name for key in there for name in self._names[key][:1]),
            _spread([self._names[key] for key in (*there, *kin, *sorted(trade))]),
        ]
        return list(dict.fromkeys(name for group in groups for name in group))

    def _is_in(self, component: Component, room: str) -> bool:
        place = self._trade.places.get(room)
        return place is not None and (place.id in component.places or place.within in component.places)


def _telling(component: Component) -> Iterator[str]:
    """Up to NAMES names of a component that hold a word not everybody knows."""
    told = 0
    for name in component.said:
        words = name.replace("|", " ").replace("...", " ").split()
        if told < NAMES and "|" not in name and "..." not in name and any(_rare(w) for w in words):
            told += 1
            yield name


def _rare(word: str) -> bool:
    plain = word.lower().strip("'-")
    return plain not in COMMON and pieces().get(plain, KNOWN) >= KNOWN


def _spread(names: Sequence[tuple[str, ...]]) -> Iterator[str]:
    """First names of all, then second names."""
    for n in range(NAMES):
        yield from (many[n] for many in names if len(many) > n)


def fitted(names: Sequence[str], room: int, count: Callable[[str], int]) -> str:
    """As many names, in order, as fit into `room` pieces of the recogniser's alphabet.

    >>> fitted(["flue", "soffit", "eave"], 3, len)
    'flue'
    """
    said: list[str] = []
    left = room
    for name in names:
        left -= count(f" {name}")
        if left < 0 and said:
            break
        said.append(name)
    return " ".join(said)
