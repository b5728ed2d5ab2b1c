"""A stream of timed words cut into cues where the speaker pauses: with trade words in mind no punctuation comes."""

from __future__ import annotations

from collections.abc import Sequence

from kingpost.visit.facts import Cue, Said

PAUSE_S = 0.5  # silence that ends a cue
LONGEST = 30  # words after which a cue ends at its longest pause
LEAST = 6  # words that a cue keeps on either side of such a cut


def cues(words: Sequence[tuple[str, Said]], source: str) -> tuple[Cue, ...]:
    """Every word in one cue, none twice.

    >>> one = [("sill", Said(0, 1, 1)), ("rotten", Said(1, 2, 1)), ("attic", Said(4, 5, 1))]
    >>> [c.text for c in cues(one, "walk/a.wav")]
    ['sill rotten', 'attic']
    """
    groups: list[list[tuple[str, Said]]] = []
    for text, word in words:
        if not groups or word.start - groups[-1][-1][1].end >= PAUSE_S:
            groups.append([])
        groups[-1].append((text, word))
    short = [part for group in groups for part in _cut(group)]
    return tuple(
        Cue(source, n, g[0][1].start, max(w.end for _, w in g), " ".join(t for t, _ in g), words=tuple(w for _, w in g))
        for n, g in enumerate(short)
    )


def _cut(group: list[tuple[str, Said]]) -> list[list[tuple[str, Said]]]:
    if len(group) <= LONGEST:
        return [group]
    gap = {k: group[k][1].start - group[k - 1][1].end for k in range(LEAST, len(group) - LEAST)}
    at = max(gap, key=lambda k: (gap[k], -abs(2 * k - len(group))))
    return [*_cut(group[:at]), *_cut(group[at:])]
