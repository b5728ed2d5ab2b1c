"""How words sound, roughly, and an index that finds trade names by their sound.

No list of known slips: whatever is heard is written as it sounds and held against every name of the catalogue.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

from .lexicon import COMMON

SPELT = (  # spelling, and how it sounds
    *(
        ("ph", "f"),
        ("ght", "t"),
        ("gh", ""),
        ("ck", "k"),
        ("dge", "j"),
        ("sch", "sk"),
        ("s?c(?=[eiy])", "s"),
        ("c", "k"),
    ),
    *(("q", "k"), ("x", "ks"), ("z", "s"), ("^wh", "w"), ("^kn", "n"), ("^wr", "r"), ("mb$", "m"), ("y", "i")),
    *(("(.)\\1", "\\1"), ("ea|ee|ie|ei", "e"), ("oa|ow", "o"), ("ai|ae", "a"), ("oo|ue|ou|ew", "u"), ("au|aw", "o")),
    ("(?<=..)e$", ""),
)
KIN = {frozenset(p) for p in ("kg", "td", "pb", "fv", "sj", "ei", "ae", "ou", "mn", "th", "st", "ts")}
FIRSTS = {c: frozenset[str]().union(*(p for p in KIN if c in p)) for p in KIN for c in p}  # letters that begin alike
LETTERS = dict(zip("bcdgptvjk", "be se de je pe te ve ja ka".split(), strict=True))  # "P-trap" is heard as "pee trap"
LONGEST = 3  # words of one name, or of what was heard for it


HEARD = tuple((re.compile(spelt), by) for spelt, by in SPELT)
TWICE = re.compile(r"(.)\1")


@lru_cache(maxsize=65536)
def sound(word: str) -> str:
    """A word roughly as it sounds.

    >>> sound("flue") == sound("flu"), sound("eave") == sound("eve"), sound("sophet")
    (True, True, 'sofet')
    """
    if word in LETTERS:
        return LETTERS[word]
    for spelt, by in HEARD:
        word = spelt.sub(by, word)
    return word


@lru_cache(maxsize=65536)
def sounds(words: tuple[str, ...]) -> str:
    """Words said in one breath; a sound that ends one and begins the next is heard once.

    >>> sounds(("saw", "fit")) == sound("soffit")
    True
    """
    return TWICE.sub(r"\1", "".join(map(sound, words)))


@lru_cache(maxsize=65536)
def apart(one: str, other: str, most: float = 99.0) -> float:
    """How far two sounds lie apart: a letter put in, left out or changed costs 1, changed for one of its kin 0.5.

    most  beyond it nobody asks how far

    >>> apart(sound("cutter"), sound("gutter")), apart(sound("joyces"), sound("joists"))
    (0.5, 1.0)
    """
    row = [float(k) for k in range(len(other) + 1)]
    for i, a in enumerate(one, 1):
        if min(row) > most:
            return most + 1.0
        last, row[0] = row[0], float(i)
        for j, b in enumerate(other, 1):
            change = 0.0 if a == b else 0.5 if b in FIRSTS.get(a, ()) else 1.0
            last, row[j] = row[j], min(row[j] + 1, row[j - 1] + 1, last + change)
    return row[-1]


def _letters(text: str) -> int:
    """Which letters a sound holds, as bits: two sounds that share few cannot be near."""
    bits = 0
    for c in text:
        bits |= 1 << (ord(c) & 31)
    return bits


@dataclass(frozen=True, slots=True)
class Name:
    """A trade name as it is written and as it sounds."""

    words: tuple[str, ...]
    sound: str
    letters: int


class Sounds:
    """Trade names by how they sound."""

    def __init__(self, names: Iterable[tuple[str, ...]], by: Callable[[tuple[str, ...]], str] = sounds) -> None:
        self._by: dict[tuple[str, int], list[Name]] = defaultdict(list)
        self._names = frozenset(names)
        self._memo: dict[tuple[tuple[str, ...], float], tuple[tuple[float, Name], ...]] = {}
        for words in sorted(self._names):
            heard = by(words)
            self._by[heard[:1], len(heard)].append(Name(words, heard, _letters(heard)))
        self._same: dict[str, tuple[Name, ...]] = {}
        for many in self._by.values():
            for name in many:
                self._same[name.sound] = (*self._same.get(name.sound, ()), name)

    @classmethod
    def of(cls, patterns: Iterable[Iterable[str]]) -> Sounds:
        """From the patterns of the trade data; those with choices or gaps name nothing that can be said."""
        plain = (tuple(p.lower().replace("'", "").replace("-", " ").split()) for many in patterns for p in many)
        return cls({w for w in plain if len(w) <= LONGEST and all(x.isalpha() for x in w) and len("".join(w)) > 3})

    @classmethod
    def of_words(cls, words: Iterable[str]) -> Sounds:
        """From single words, each as it sounds by itself."""
        return cls(((w,) for w in words), lambda one: sound(one[0]))

    def same(self, words: tuple[str, ...]) -> tuple[tuple[float, Name], ...]:
        """Names that sound just like the words; one look, so that it may be asked of every word."""
        return tuple((0.0, name) for name in self._same.get(sounds(words), ()) if name.words != words)

    def near(self, words: tuple[str, ...], most: float) -> tuple[tuple[float, Name], ...]:
        """Names within `most` of how the words sound, nearest first; never the words themselves."""
        known = self._memo.get((words, most))
        if known is None:
            known = self._memo[words, most] = self._near(words, most)
        return known

    def _near(self, words: tuple[str, ...], most: float) -> tuple[tuple[float, Name], ...]:
        heard = sounds(words)
        found = [(far, name) for far, name in self.within(heard, most, int(2 * most) + 1) if name.words != words]
        return tuple(sorted(found, key=lambda f: (f[0], len(f[1].words), f[1].words)))

    def within(self, heard: str, most: float, room: int) -> Iterator[tuple[float, Name]]:
        """Names within `most` of a sound that begin like it, and how far off; at most `room` letters not in both."""
        bits = _letters(heard)
        for first in sorted({heard[:1], *FIRSTS.get(heard[:1], ())}):
            for length in range(max(1, len(heard) - int(most)), len(heard) + int(most) + 1):
                for name in self._by.get((first, length), ()):
                    if (bits ^ name.letters).bit_count() <= room and (far := apart(heard, name.sound, most)) <= most:
                        yield far, name

    def like(self, norms: Sequence[str], most: int = 24) -> list[str]:
        """Names that stretches of heard words may have been, nearest first: what to listen for a second time."""
        found: list[tuple[float, int, tuple[str, ...]]] = []
        for at in range(len(norms)):
            for n in range(1, LONGEST + 1):
                words = tuple(norms[at : at + n])
                if len(words) < n or not all(w.isalpha() for w in words):
                    break
                if all(w in COMMON for w in words) or words in self._names or words[0] in COMMON:
                    continue
                length = len(sounds(words))
                if length < 3:
                    continue
                near = self.near(words, 0.5 if length < 4 else 1.0 if length < 6 else 1.5 if length < 8 else 2.0)
                found += [(far / length, at, name.words) for far, name in near[:2]]
        return [" ".join(w) for w in dict.fromkeys(words for _, _, words in sorted(found))][:most]
