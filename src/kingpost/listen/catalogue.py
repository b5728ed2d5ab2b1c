"""The trade data made ready for listening: pattern indexes, word weights, and the ear with its prototypes."""

from __future__ import annotations

import gc
import math
import re
from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from kingpost.trade.model import Component, Condition, Place, Trade

from . import places
from .deeds import Deeds, deeds
from .ear import Ear, ear
from .lexicon import COMMON
from .patterns import Index, forms
from .sounds import Sounds

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float32]
    Whole = NDArray[np.intp]

NO_WORD = re.compile(r"[\W_]+")
SHORT_NAME = 3  # letters; a trade word as short is not taken for one that was misheard


def stem(word: str) -> str:
    """A word without its regular ending, so that leaks, leaked and leaking are one.

    >>> stem("leaking"), stem("stains"), stem("corroded"), stem("sagged")
    ('leak', 'stain', 'corrod', 'sag')
    """
    for end in ("ing", "ed", "es", "s"):
        if word.endswith(end) and len(word) - len(end) >= 3 and not word.endswith("ss"):
            word = word[: -len(end)]
            if len(word) > 3 and word[-1] == word[-2] and word[-1] not in "aeiouls":
                word = word[:-1]
            break
    return word[:-1] if word.endswith("e") and len(word) > 3 else word


def stems(text: str) -> list[str]:
    """The telling words of a text, by stem."""
    bare = text.lower().replace("'", "").replace("’", "").replace("-", " ")
    words = NO_WORD.sub(" ", bare).split()
    return [stem(w) for w in words if w not in COMMON]


@dataclass
class Catalogue:
    """Everything that is looked up while listening."""

    trade: Trade
    ear: Ear | None
    conditions: list[Condition]
    component_index: Index[str] = field(default_factory=Index)
    weak_component_index: Index[str] = field(default_factory=Index)
    sign_index: Index[str] = field(default_factory=Index)
    unless_index: Index[str] = field(default_factory=Index)
    fault_index: Index[str] = field(default_factory=Index)
    weak_fault_index: Index[str] = field(default_factory=Index)
    act_index: Index[str] = field(default_factory=Index)
    weak_act_index: Index[str] = field(default_factory=Index)
    place_index: Index[str] = field(default_factory=Index)
    handling_index: Index[str] = field(default_factory=Index)
    standing_index: Index[str] = field(default_factory=Index)
    deeds: Deeds = field(default_factory=Deeds)
    prototypes: Floats | None = None  # one row per condition
    idf: dict[str, float] = field(default_factory=dict)
    postings: dict[str, tuple[Whole, NDArray[np.float64]]] = field(default_factory=dict)  # stem -> phrases, worth
    phrases: int = 0  # the most phrases of one condition
    number: dict[str, int] = field(default_factory=dict)
    component_at: dict[str, int] = field(default_factory=dict)  # column in `of_component`
    fault_at: dict[str, int] = field(default_factory=dict)
    of_component: Floats = field(default_factory=lambda: np.zeros((0, 0), np.float32))  # 1: a condition may be of it
    of_fault: Floats = field(default_factory=lambda: np.zeros((0, 0), np.float32))
    components_of: Whole = field(default_factory=lambda: np.zeros((0, 1), np.intp))  # by condition
    main_component: Whole = field(default_factory=lambda: np.zeros(0, np.intp))  # by condition
    main_fault: Whole = field(default_factory=lambda: np.zeros(0, np.intp))
    rows: list[tuple[str, str, str]] = field(default_factory=list)  # condition, component and fault, by condition
    sounds: Sounds = field(default_factory=lambda: Sounds(()))  # names of components by how they sound
    words: Sounds = field(default_factory=lambda: Sounds(()))  # telling words of those names, one by one
    names: frozenset[str] = frozenset()  # words of component names
    vocabulary: frozenset[str] = frozenset()  # those and the words of signs and faults, in all their forms
    _named_by: dict[tuple[str, ...], tuple[Component, ...]] = field(default_factory=dict)
    _fits: dict[str, Floats] = field(default_factory=dict)

    def no_scores(self) -> NDArray[np.float64]:
        """Zero for each phrase, one row for the first of each condition, one for the second ...; see `postings`."""
        return np.zeros((self.phrases, len(self.conditions)))

    def named_by(self, words: tuple[str, ...]) -> tuple[Component, ...]:
        """The components that a few words name."""
        if words not in self._named_by:
            hits = self.component_index.find(words)
            self._named_by[words] = tuple(self.trade.components[h.key] for h in hits)
        return self._named_by[words]

    def fits(self, place: str) -> Floats:
        """By component: +1 where it is usually met at this place, 0.5 on its level, -1 elsewhere, 0 where unknown."""
        if place not in self._fits:
            here = self.trade.places.get(place)
            usual = [c.places for c in self.trade.components.values()]
            self._fits[place] = np.array([fit(u, here, self.trade) if here else 0.0 for u in usual], np.float32)
        return self._fits[place]


def _words(text: str) -> list[str]:
    return text.lower().replace("'", "").replace("|", " ").replace("-", " ").replace(",", " ").split()


def _weigh(cat: Catalogue) -> None:
    """Term weights: a word that few phrases hold says more."""
    docs = [[set(stems(text)) for text in (*c.said, c.title)] for c in cat.conditions]
    count: Counter[str] = Counter(s for per in docs for s in set().union(*per))
    total = max(1, len(cat.conditions))
    cat.idf = {s: math.log(1 + total / n) for s, n in count.items()}
    cat.phrases = max(map(len, docs), default=0)
    postings: dict[str, tuple[list[int], list[float]]] = defaultdict(lambda: ([], []))
    for number, per in enumerate(docs):
        for nth, words in enumerate(per):
            norm = math.sqrt(sum(cat.idf[s] ** 2 for s in words)) or 1.0
            for s in sorted(words):
                postings[s][0].append(nth * len(docs) + number)
                postings[s][1].append(cat.idf[s] / norm)
    cat.postings = {s: (np.array(which), np.array(weight) * cat.idf[s]) for s, (which, weight) in postings.items()}


def _membership(cat: Catalogue) -> None:
    """Which conditions belong to which component and family, so that chances can be added up for many at a time."""
    cat.component_at = {c: k for k, c in enumerate(cat.trade.components)}
    cat.fault_at = {f: k for k, f in enumerate(cat.trade.fault_kinds)}
    cat.of_component = np.zeros((len(cat.conditions), len(cat.component_at)), np.float32)
    cat.of_fault = np.zeros((len(cat.conditions), len(cat.fault_at)), np.float32)
    for number, d in enumerate(cat.conditions):
        for component in (d.component, *d.also):
            cat.of_component[number, cat.component_at[component]] = 1
        cat.of_fault[number, cat.fault_at[d.fault]] = 1
    most = max((1 + len(d.also) for d in cat.conditions), default=1)
    all_of = [(*d.also, *[d.component] * (most - len(d.also))) for d in cat.conditions]
    cat.components_of = np.array([[cat.component_at[c] for c in some] for some in all_of], np.intp).reshape(-1, most)
    cat.main_component = np.array([cat.component_at[d.component] for d in cat.conditions], np.intp)
    cat.main_fault = np.array([cat.fault_at[d.fault] for d in cat.conditions], np.intp)
    cat.rows = [(d.id, d.component, d.fault) for d in cat.conditions]


def fit(usual: Sequence[str], place: Place, trade: Trade) -> float:
    """+1 where a component is usually met at this place, 0.5 on this level, -1 where it is met elsewhere, 0 unknown."""
    if not usual:
        return 0.0
    if place.id in usual or place.within in usual:
        return 1.0
    return 0.5 if place.level in {trade.places[p].level for p in usual} else -1.0


def build(trade: Trade, model: Ear | None) -> Catalogue:
    """The catalogue of a set of trade data."""
    cat = Catalogue(trade, model, list(trade.conditions.values()))
    for c in trade.components.values():
        cat.component_index.add(c.id, c.said)
        cat.weak_component_index.add(c.id, c.weak)
    for number, d in enumerate(cat.conditions):
        cat.sign_index.add(d.id, d.signs)
        cat.unless_index.add(d.id, d.unless)
        cat.number[d.id] = number
    _membership(cat)
    for f in trade.fault_kinds.values():
        cat.fault_index.add(f.id, f.words)
        cat.weak_fault_index.add(f.id, f.weak)
    for a in trade.acts.values():
        cat.act_index.add(a.id, a.strong)
        cat.weak_act_index.add(a.id, a.weak)
    for h in trade.handling.values():
        if h.id in ("opens", "closes"):
            cat.handling_index.add(h.id, h.patterns)
    cat.deeds = deeds(trade)
    for w in trade.standing_words.values():
        cat.standing_index.add(w.id, w.patterns)
    cat.place_index = places.index(trade)
    _weigh(cat)
    names = {w for c in trade.components.values() for s in (*c.said, c.name) for w in _words(s)}
    told = {w for d in cat.conditions for s in (*d.signs, *d.said) for w in _words(s)}
    told |= {w for f in trade.fault_kinds.values() for s in (*f.words, *f.weak) for w in _words(s)}
    cat.names = frozenset(names | {w + "s" for w in names if not w.endswith("s")})
    cat.vocabulary = frozenset[str]().union(*(forms(w) for w in names | told))
    cat.sounds = Sounds.of(c.said for c in trade.components.values())
    cat.words = Sounds.of_words(w for w in cat.names if w.isalpha() and len(w) > SHORT_NAME and w not in COMMON)
    if model is not None:
        cat.prototypes = model.prototypes(cat.conditions)
    return cat


_BUILT: dict[int, tuple[Trade, Catalogue]] = {}


def catalogue(trade: Trade) -> Catalogue:
    """`build`, kept for as long as the trade data lives."""
    known = _BUILT.get(id(trade))
    if known is None or known[0] is not trade:
        _BUILT.clear()
        sweeping = gc.isenabled()
        gc.disable()  # all made here stays; to look it through for waste again and again takes a third of the time
        try:
            _BUILT[id(trade)] = known = (trade, build(trade, ear()))
        finally:
            if sweeping:
                gc.enable()
    return known[1]
