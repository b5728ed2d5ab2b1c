"""The pattern language of the trade data, and an index that finds all patterns of a text in one pass.

A pattern is words in order: `double tap`, `pulled|pulling ... wall`. `a|b` are alternatives for one word,
`...` allows up to six words between. A word also matches with a regular ending: `leak` finds leaks, leaked
and leaking. Apostrophes do not count: `wont open` finds "won't open".
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Generic, TypeVar

K = TypeVar("K", bound=Hashable)
GAP = 6
VOWELS = "aeiou"
NO_LETTER = re.compile(r"[^a-z0-9/%.]")


@lru_cache(maxsize=65536)
def forms(word: str) -> frozenset[str]:
    """A word and its regular endings.

    >>> sorted(forms("sag")), sorted(forms("rusty"))
    (['sag', 'sages', 'sagged', 'sagging', 'sags'], ['rusty', 'rustyed', 'rustying', 'rustys'])
    >>> "dripping" in forms("drip"), "snapped" in forms("snap"), "cracked" in forms("crack")
    (True, True, True)
    >>> "corroding" in forms("corrode"), "caries" in forms("cary"), "stopped" in forms("stopped")
    (True, True, True)
    """
    out = {word}
    if len(word) < 3 or not word.isalpha():
        return frozenset(out)
    out |= {word + "s", word + "ing", word + "ed"}
    if word.endswith(("s", "x", "z", "ch", "sh", "g")):
        out.add(word + "es")
    if word.endswith("e"):
        out |= {word + "d", word[:-1] + "ing"}
        out.discard(word + "ed")
    elif len(word) == 3 and word[-1] not in VOWELS + "wxy" and word[-2] in VOWELS and word[-3] not in VOWELS:
        out |= {word + word[-1] + "ing", word + word[-1] + "ed"}
        out -= {word + "ing", word + "ed"}
    elif re.fullmatch(r"[^aeiou]{2,}[aeiou][^aeiouwxy]", word):  # "drip": dripping, dripped
        out |= {word + word[-1] + "ing", word + word[-1] + "ed"}
    if word.endswith("y") and len(word) > 3 and word[-2] not in VOWELS and not word.endswith("ty"):
        out |= {word[:-1] + "ies", word[:-1] + "ied"}
    return frozenset(out)


@dataclass(frozen=True, slots=True)
class Pattern:
    """A compiled pattern: for each place the accepted word forms, and how many words may stand before it."""

    text: str
    steps: tuple[tuple[frozenset[str], int], ...]

    @property
    def weight(self) -> int:
        """Number of words: longer patterns say more."""
        return len(self.steps)


@lru_cache(maxsize=65536)
def compile_pattern(text: str, plain: bool = False) -> Pattern:
    """Compile one pattern; `plain` takes a word and its plural only (a crawl space is no crawling).

    Raises ValueError if it holds no word.
    """
    steps: list[tuple[frozenset[str], int]] = []
    gap = 0
    for part in text.lower().replace("’", "'").replace("'", "").replace("-", " ").split():
        if part in ("...", "…"):
            gap = GAP
            continue
        words = [NO_LETTER.sub("", w).strip(".") for w in part.split("|")]
        each = [frozenset((w, w + "s")) if plain else forms(w) for w in words if w]
        options = each[0] if len(each) == 1 else frozenset[str]().union(*each)
        if options:
            steps.append((options, gap))
            gap = 0
    if not steps:
        raise ValueError(f'pattern "{text}" holds no word')
    return Pattern(text, tuple(steps))


@dataclass(frozen=True, slots=True)
class Hit(Generic[K]):
    """A pattern found: whose it is, and which words it covers (end is exclusive)."""

    key: K
    pattern: Pattern
    start: int
    end: int


@dataclass(slots=True)
class _Begun(Generic[K]):
    """The patterns that a word may begin, in the order in which they were added, by what must come next."""

    all: list[tuple[K, Pattern]]
    alone: list[int] = field(default_factory=list)  # numbers in `all` of those that are one word
    next: dict[str, list[int]] = field(default_factory=lambda: defaultdict(list))  # by the word right after
    later: dict[str, list[int]] = field(default_factory=lambda: defaultdict(list))  # by one that may be further on

    def __post_init__(self) -> None:
        for number, (_, pattern) in enumerate(self.all):
            if len(pattern.steps) == 1:
                self.alone.append(number)
                continue
            options, gap = pattern.steps[1]
            for form in options:
                (self.later if gap else self.next)[form].append(number)

    def likely(self, words: Sequence[str | frozenset[str]], at: int) -> Sequence[int]:
        """Those whose second word, where they have one, stands where it may; `at` is the place of the first."""
        found = self.alone
        if self.next and at + 1 < len(words):
            found = found + [n for word in _options(words[at + 1]) for n in self.next.get(word, ())]
        if self.later:
            far = (word for one in words[at + 1 : at + 2 + GAP] for word in _options(one))
            found = found + [n for word in far for n in self.later.get(word, ())]
        return found if found is self.alone else sorted(set(found))


@dataclass
class Index(Generic[K]):
    """Many patterns with their owners; `find` meets each word of the text once.

    Which patterns a word may begin is worked out when it is first met: most words of the trade are not said in a walk.
    """

    _added: list[tuple[K, Pattern]] = field(default_factory=list)
    _by_form: dict[str, list[int]] = field(default_factory=lambda: defaultdict(list))  # numbers in `_added`
    _begun: dict[str, _Begun[K] | None] = field(default_factory=dict)

    def add(self, key: K, patterns: Iterable[str], plain: bool = False) -> None:
        """Add patterns that mean `key`."""
        self._begun.clear()
        for text in patterns:
            pattern = compile_pattern(text, plain)
            for form in pattern.steps[0][0]:
                self._by_form[form].append(len(self._added))
            self._added.append((key, pattern))

    def _of(self, word: str) -> _Begun[K] | None:
        if word not in self._begun:
            numbers = self._by_form.get(word)
            self._begun[word] = _Begun([self._added[n] for n in numbers]) if numbers else None
        return self._begun[word]

    def find(self, words: Sequence[str | frozenset[str]]) -> Iterator[Hit[K]]:
        """All hits, by start. A word may be a set: itself and what it may have been misheard for."""
        for at, word in enumerate(words):
            for option in _options(word):
                begun = self._of(option)
                if begun is None:
                    continue
                for number in begun.likely(words, at):
                    key, pattern = begun.all[number]
                    end = _match(pattern.steps, words, at)
                    if end:
                        yield Hit(key, pattern, at, end)


def _options(word: str | frozenset[str]) -> Sequence[str]:
    return (word,) if isinstance(word, str) else sorted(word)


def _is(word: str | frozenset[str], options: frozenset[str]) -> bool:
    return word in options if isinstance(word, str) else bool(word & options)


def _match(steps: tuple[tuple[frozenset[str], int], ...], words: Sequence[str | frozenset[str]], at: int) -> int:
    here = at + 1
    for options, gap in steps[1:]:
        for skip in range(gap + 1):
            if here + skip < len(words) and _is(words[here + skip], options):
                here += skip + 1
                break
        else:
            return 0
    return here


def longest(hits: Iterable[Hit[K]]) -> list[Hit[K]]:
    """Of hits that overlap, the longest: "deck ledger" wins over "deck"; equal spans all stay."""
    kept: list[Hit[K]] = []
    taken: dict[int, tuple[int, int]] = {}  # word -> the span that holds it
    for hit in sorted(hits, key=lambda h: (h.start - h.end, h.start, str(h.key))):
        span = (hit.start, hit.end)
        if all(taken.get(k, span) == span for k in range(*span)):
            kept.append(hit)
            taken |= dict.fromkeys(range(*span), span)
    return sorted(kept, key=lambda h: (h.start, h.end, str(h.key)))
