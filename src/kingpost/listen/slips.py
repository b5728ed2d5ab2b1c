"""Trade words that a recogniser misheard: found by sound, believed only where the context bears them out.

There is no list of known slips. The words by which the trade data names components are written as they sound; a heard
word that is no trade word and sounds nearly like one may have been that one. A rare word is taken so at once; a common
word ("flu", "eve") only where the component it would name belongs to the place or to the system that is being talked
about; the commonest never. The word as heard is always kept, and the mend is shown.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from .catalogue import Catalogue
from .ear import pieces
from .lexicon import COMMON
from .patterns import Hit, longest
from .places import Where

COMMONEST, FREQUENT = 3000, 12000  # pieces are numbered about by how common they are, from 1996 on
SHORTEST = 3
NEAR = 14  # words on either side that make a context
SPELT = (  # spelling, and how it sounds
    *(("ph", "f"), ("ght", "t"), ("gh", ""), ("ck", "k"), ("dge", "j"), ("sch", "sk"), ("c(?=[eiy])", "s"), ("c", "k")),
    *(("q", "k"), ("x", "ks"), ("z", "s"), ("^wh", "w"), ("^kn", "n"), ("^wr", "r"), ("mb$", "m"), ("y", "i")),
    *(("(.)\\1", "\\1"), ("ea|ee|ie|ei", "e"), ("oa|ow", "o"), ("ai|ae", "a"), ("oo|ue|ou|ew", "u"), ("au|aw", "o")),
    ("(?<=..)e$", ""),
)
KIN = {frozenset(p) for p in ("kg", "td", "pb", "fv", "sj", "ei", "ae", "ou", "mn", "th", "st", "ts")}


@dataclass(frozen=True, slots=True)
class Slip:
    """A word at a position that was probably another one."""

    at: int
    heard: str
    meant: str


@lru_cache(maxsize=65536)
def sound(word: str) -> str:
    """A word roughly as it sounds.

    >>> sound("flue") == sound("flu"), sound("eave") == sound("eve"), sound("sophet")
    (True, True, 'sofet')
    """
    for pattern, by in SPELT:
        word = re.sub(pattern, by, word)
    return word


@lru_cache(maxsize=65536)
def apart(one: str, other: str) -> float:
    """How far two sounds lie apart: a letter put in, left out or changed costs 1, changed for one of its kin 0.5.

    >>> apart(sound("cutter"), sound("gutter")), apart(sound("joyces"), sound("joists"))
    (0.5, 1.0)
    """
    row = [float(k) for k in range(len(other) + 1)]
    for i, a in enumerate(one, 1):
        last, row[0] = row[0], float(i)
        for j, b in enumerate(other, 1):
            change = 0.0 if a == b else 0.5 if frozenset((a, b)) in KIN else 1.0
            last, row[j] = row[j], min(row[j] + 1, row[j - 1] + 1, last + change)
    return row[-1]


def index(cat: Catalogue) -> dict[str, tuple[str, ...]]:
    """Trade words by the first letter of their sound."""
    table: dict[str, set[str]] = defaultdict(set)
    for word in cat.names:
        if word.isalpha() and len(word) > SHORTEST and word not in COMMON:
            table[sound(word)[:1]].add(word)
    return {k: tuple(sorted(v)) for k, v in table.items()}


def _rank(word: str) -> int:
    return pieces().get(word, 99999)


def _like(word: str, table: dict[str, tuple[str, ...]]) -> tuple[str, ...]:
    """Trade words that a heard word may have been, nearest first."""
    own, rank = sound(word), _rank(word)
    if rank < FREQUENT:
        most = 1.0 if len(word) >= 7 else 0.5
    else:
        most = 0.5 if len(own) < 4 else 1.0 if len(own) <= 7 else 1.5
    firsts = {own[:1]} | {o for o in table if frozenset((o, own[:1])) in KIN}
    near = [
        (d, o)
        for f in sorted(firsts)
        for o in table.get(f, ())
        if abs(len(o) - len(word)) <= 2
        and (d := apart(own, sound(o))) <= most
        and (rank >= FREQUENT or d < 1 or (o[0], o[-1]) == (word[0], word[-1]))
    ]
    return tuple(o for d, o in sorted(near) if d == min(near)[0])[:3]


def slips(norms: Sequence[str], where: Sequence[Where], cat: Catalogue) -> list[Slip]:
    """Every word that was probably a trade word."""
    table = index(cat)
    tried: dict[int, tuple[str, ...]] = {}
    maybe: list[str | frozenset[str]] = []
    memo: dict[str, tuple[str, ...]] = {}
    for at, word in enumerate(norms):
        options: tuple[str, ...] = ()
        known = word in cat.vocabulary or word in COMMON or _rank(word) < COMMONEST
        if word.isalpha() and len(word) >= SHORTEST and not known:
            if word not in memo:
                memo[word] = _like(word, table)
            options = memo[word]
        if options:
            tried[at] = options
        maybe.append(frozenset((word, *options)) if options else word)
    out: dict[int, Slip] = {}
    hits = longest(cat.component_index.find(maybe)) if tried else []
    for hit in hits:
        new = [k for k in range(hit.start, hit.end) if k in tried]
        rare = all(_rank(norms[k]) >= FREQUENT for k in new)
        if new and (rare or hit.end - hit.start > len(new) or _fits(hit, hits, where, cat)):
            for k in new:
                meant = next((o for o in tried[k] if _names(hit, k, o, norms, cat)), tried[k][0])
                out.setdefault(k, Slip(k, norms[k], meant))
    return [out[k] for k in sorted(out)]


def _names(hit: Hit[str], at: int, option: str, norms: Sequence[str], cat: Catalogue) -> bool:
    words = [option if k == at else norms[k] for k in range(hit.start, hit.end)]
    return any(h.key == hit.key for h in cat.component_index.find(words))


def _fits(hit: Hit[str], hits: Sequence[Hit[str]], where: Sequence[Where], cat: Catalogue) -> bool:
    component = cat.trade.components[hit.key]
    place = where[hit.start].place
    if place is not None and component.places and (place.id in component.places or place.within in component.places):
        return True
    near = [h for h in hits if h.start < hit.end + NEAR and hit.start - NEAR < h.end and h.start != hit.start]
    return component.system in {cat.trade.components[h.key].system for h in near}
