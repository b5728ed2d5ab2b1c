"""Where statements begin and end in a stream of speech, with or without punctuation.

An atom is the smallest stretch that can say something of its own; a window is a run of atoms that may hold one
statement. Windows are candidates only: which of them are remarks is decided in `mentions.py`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from .lexicon import STARTERS, TIED
from .words import Word

PAUSE_S = 1.2  # silence that ends a statement
SILENT_S = 8.0  # silence over which nothing is carried


@dataclass(frozen=True, slots=True)
class Layout:
    """Atom boundaries of one stream: `cuts` are word positions, `hard` those where a sentence begins."""

    cuts: tuple[int, ...]  # starts with 0 and ends with the number of words
    hard: frozenset[int]
    punctuated: bool

    def sentence(self, at: int) -> tuple[int, int]:
        """The sentence that holds the word at `at`."""
        start = max((h for h in self.hard if h <= at), default=0)
        end = min((h for h in self.hard if h > at), default=self.cuts[-1])
        return start, end


def is_punctuated(words: Sequence[Word]) -> bool:
    """Whether the recogniser gave full stops: at least one in thirty words."""
    stops = sum(w.stop[:1] in ".?!…" and w.stop != "" for w in words)
    return stops * 30 >= len(words)


def layout(words: Sequence[Word], noun_starts: frozenset[int] = frozenset()) -> Layout:
    """Atoms of a stream. `noun_starts` are positions where the name of a component begins: in speech without
    punctuation a new statement often begins there."""
    if not words:
        return Layout((0,), frozenset({0}), True)
    full = is_punctuated(words)
    cuts, hard, last = {0, len(words)}, {0}, 0
    for at in range(1, len(words)):
        before, word = words[at - 1], words[at]
        stop = before.stop[:1]
        if (
            (stop and stop in ".?!…")
            or word.speaker != before.speaker
            or word.gap >= PAUSE_S
            or (not full and word.gap >= 0.25)
        ):
            hard.add(at)
            cuts.add(at)
        elif stop or (
            at - last >= 4
            and (
                (full and word.norm in ("and", "but", "so", "because", "which", "then"))
                or (not full and _opens(words, at, noun_starts))
            )
        ):
            cuts.add(at)
        if at in cuts:
            last = at
    return Layout(tuple(sorted(cuts)), frozenset(hard), full)


def _opens(words: Sequence[Word], at: int, noun_starts: frozenset[int]) -> bool:
    word, before = words[at].norm, words[at - 1].norm
    if word in STARTERS and before not in TIED:
        return True
    return at in noun_starts and before not in TIED


def windows(words: Sequence[Word], plan: Layout, longest: int = 40) -> list[tuple[int, int]]:
    """Candidate windows (start, end) in words."""
    out, cuts = [], plan.cuts
    for i, start in enumerate(cuts[:-1]):
        sentences = 0
        for end in cuts[i + 1 :]:
            last = end - 1
            if end - start > longest and (start, end) != (cuts[i], cuts[i + 1]):
                break
            if any(words[k].speaker != words[start].speaker for k in (last,)):
                break
            if last > start and any(words[k].gap > SILENT_S for k in range(start + 1, end)):
                break
            if end - start >= 2:
                out.append((start, end))
            sentences += end in plan.hard
            if sentences >= 3:
                break
    return out
