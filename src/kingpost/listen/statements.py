"""Where statements begin and end in a stream of speech, with or without punctuation.

An atom is the smallest stretch that can say something of its own; a window is a run of atoms that may hold one
statement. Windows are candidates only: which of them are remarks is decided in `mentions.py`.
"""

from __future__ import annotations

import bisect
from collections.abc import Sequence
from dataclasses import dataclass, field

from .lexicon import STARTERS, TIED
from .words import Word

PAUSE_S = 1.2  # silence that ends a statement
SHORT_PAUSE_S = 0.25  # so does this one, where the recogniser gives no punctuation
SURE, MAYBE = 0.5, 0.1  # chance of a beginning from which it ends a sentence, or may
SILENT_S = 8.0  # silence over which nothing is carried


@dataclass(frozen=True, slots=True)
class Layout:
    """Atom boundaries of one stream: `cuts` are word positions, `hard` those where a sentence begins."""

    cuts: tuple[int, ...]  # starts with 0 and ends with the number of words
    hard: frozenset[int]
    punctuated: bool

    begins: tuple[int, ...] = field(init=False)  # `hard` in order

    def __post_init__(self) -> None:
        object.__setattr__(self, "begins", tuple(sorted(self.hard)))

    def sentence(self, at: int) -> tuple[int, int]:
        """The sentence that holds the word at `at`."""
        k = bisect.bisect_right(self.begins, at)
        return self.begins[k - 1] if k else 0, self.begins[k] if k < len(self.begins) else self.cuts[-1]

    def begun(self, at: int, most: int) -> tuple[int, ...]:
        """Where the last sentences begin that have begun at the word at `at`, at most so many."""
        k = bisect.bisect_right(self.begins, at)
        return self.begins[max(0, k - most) : k]


def is_punctuated(words: Sequence[Word]) -> bool:
    """Whether the recogniser gave full stops: at least one in thirty words."""
    stops = sum(w.stop[:1] in ".?!…" and w.stop != "" for w in words)
    return stops * 30 >= len(words)


def layout(words: Sequence[Word], nouns: frozenset[int] = frozenset(), begins: Sequence[float] | None = None) -> Layout:
    """Atoms of a stream.

    nouns   positions where the name of a component begins: without punctuation a statement often begins there
    begins  by word, the chance that a statement begins there, where an ear heard it
    """
    if not words:
        return Layout((0,), frozenset({0}), True)
    full = is_punctuated(words)
    cuts, hard, last = {0, len(words)}, {0}, 0
    for at in range(1, len(words)):
        if _ends(words, at, full) or (begins is not None and not full and begins[at] >= SURE):
            hard.add(at)
            cuts.add(at)
        elif begins is not None:
            if begins[at] >= (MAYBE if not words[at - 1].stop else MAYBE / 3):
                cuts.add(at)
        elif words[at - 1].stop or (at - last >= 4 and _may_open(words, at, full, nouns)):
            cuts.add(at)
        if at in cuts:
            last = at
    if full:  # a cut one word before a full stop is a slip of the ear, not a statement of one word
        cuts -= {k for k in cuts if k not in hard and k + 1 in hard}
    return Layout(tuple(sorted(cuts)), frozenset(hard), full)


def _ends(words: Sequence[Word], at: int, full: bool) -> bool:
    """Whether something other than words says that a statement ended: a full stop, another speaker, a silence."""
    before, word = words[at - 1], words[at]
    stop = before.stop[:1]
    pause = word.gap >= (PAUSE_S if full else SHORT_PAUSE_S)
    return bool(stop and stop in ".?!…") or word.speaker != before.speaker or pause


def _may_open(words: Sequence[Word], at: int, full: bool, nouns: frozenset[int]) -> bool:
    word, before = words[at].norm, words[at - 1].norm
    if full:
        return word in ("and", "but", "so", "because", "which", "then")
    return before not in TIED and (word in STARTERS or at in nouns)


def windows(words: Sequence[Word], plan: Layout, longest: int = 48, most: int = 7) -> list[tuple[int, int]]:
    """Candidate windows (start, end) in words: runs of at most `most` atoms, of one speaker, without a long silence."""
    out, cuts = [], plan.cuts
    silent = [k for k, word in enumerate(words) if word.gap > SILENT_S]
    for i, start in enumerate(cuts[:-1]):
        sentences = 0
        hushed = bisect.bisect_right(silent, start)  # the first silence after it
        talked = silent[hushed] if hushed < len(silent) else len(words)
        for n, end in enumerate(cuts[i + 1 : i + 1 + most]):
            if n and end - start > longest:
                break
            if words[end - 1].speaker != words[start].speaker:
                break
            if talked < end:
                break
            if end - start >= 2:
                out.append((start, end))
            sentences += end in plan.hard
            if sentences >= 4:
                break
    return out
