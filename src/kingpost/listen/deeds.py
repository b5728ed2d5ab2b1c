"""Words of handling: which things are handled on a visit, and which words change them or put them back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from kingpost.trade.model import HandledThing, Trade

MEANS = "means_"  # how the ids of handling.toml begin that hold deeds meaning one little word


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
    means: dict[str, str] = field(default_factory=dict)  # deed -> the little word that it comes to: "killed" -> "off"
    by_verb: dict[str, tuple[str, ...]] = field(default_factory=dict)  # deed -> the things that it may mean by itself

    def at(self, norms: Sequence[str], k: int) -> str:
        """The id of the thing named by word k, by itself or as the end of a name of two: "ground fault"."""
        if k and (pair := self.thing(f"{norms[k - 1]} {norms[k]}")):
            return pair
        return self.thing(norms[k])

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
    verbs: dict[str, tuple[str, ...]] = {}
    for t in sorted(trade.handled.values(), key=lambda t: -len(t.verbs)):  # the one most told of so comes first
        for v in t.verbs:
            verbs[v] = (*verbs.get(v, ()), t.id)
    return Deeds(
        dict(trade.handled),
        {w: t.id for t in trade.handled.values() for w in t.said},
        words.get("changes", frozenset()),
        words.get("restores", frozenset()),
        words.get("stays", frozenset()),
        frozenset(toggles),
        {w: h.id.removeprefix(MEANS) for h in trade.handling.values() if h.id.startswith(MEANS) for w in h.patterns},
        verbs,
    )
