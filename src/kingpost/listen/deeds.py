"""Words of handling: which things are handled on a visit, and which words change them or put them back."""

from __future__ import annotations

from dataclasses import dataclass, field

from kingpost.trade.model import HandledThing, Trade


def singular(word: str) -> str:
    """A word without a plural or contracted s.

    >>> singular("covers"), singular("plugs"), singular("gas"), singular("switches")
    ('cover', 'plug', 'gas', 'switch')
    """
    if word.endswith(("ches", "shes", "xes")):
        return word[:-2]
    return word[:-1] if len(word) > 3 and word.endswith("s") and not word.endswith("ss") else word


@dataclass(frozen=True, slots=True)
class Deeds:
    """The handled things by the words for them, and single words of changing, restoring and leaving."""

    things: dict[str, HandledThing] = field(default_factory=dict)  # by id
    by_word: dict[str, str] = field(default_factory=dict)
    changes: frozenset[str] = frozenset()
    restores: frozenset[str] = frozenset()
    stays: frozenset[str] = frozenset()
    toggles: frozenset[str] = frozenset()

    def thing(self, word: str) -> str:
        """The id of the thing that a word names, or ""."""
        return self.by_word.get(word) or self.by_word.get(singular(word), "")

    def same(self, one: str, other: str) -> bool:
        """Whether two things may be the same one, called by another name."""
        return one == other or other in self.things[one].kin or one in self.things[other].kin


def deeds(trade: Trade) -> Deeds:
    """The words of handling in a set of trade data."""
    words = {h.id: frozenset(h.patterns) for h in trade.handling.values()}
    toggles = {w for t in trade.handled.values() for w in (*t.opens, *t.closes)}
    return Deeds(
        dict(trade.handled),
        {w: t.id for t in trade.handled.values() for w in t.said},
        words.get("changes", frozenset()),
        words.get("restores", frozenset()),
        words.get("stays", frozenset()),
        frozenset(toggles),
    )
