"""Two hearings of one window joined, so that no word of either is lost.

The hearing with trade words in mind is better on them, but now and then leaves words out, or puts an expected one in.
Where the two agree, the words stand. Where they differ word for word, the careful one stands and the plain one is kept
beside. Where the careful one says clearly less, the plain words stand, marked as doubtful, so that what was said stays.
"""

from __future__ import annotations

from collections.abc import Sequence
from difflib import SequenceMatcher

from ..words import norm
from .speech import HeardWord

DOUBTFUL = 0.35  # the most that a word counts which only one hearing has
PUT_IN = 0.05  # chance below which a word is taken for one of those expected, not one said
LESS = 0.55  # share of letters under which one hearing says clearly less than the other

STOPS = ".,;:!?"

Joined = tuple[HeardWord, str]  # a word, and what the other hearing made of it


def joined(plain: Sequence[HeardWord], careful: Sequence[HeardWord]) -> list[Joined]:
    """The words of both hearings in order of time."""
    a, b = [norm(w.text) for w in plain], [norm(w.text) for w in careful]
    out: list[Joined] = []
    for kind, i, j, k, m in SequenceMatcher(None, a, b, autojunk=False).get_opcodes():
        first, second = plain[i:j], careful[k:m]
        if kind == "equal":
            out += [(_surer(one, two), "") for one, two in zip(first, second, strict=True)]
        elif kind == "delete":
            out += [(_doubted(w), "") for w in first]
        elif kind == "insert":
            out += [(_doubted(w) if w.sure < PUT_IN or k == len(a) else w, "") for w in second]
        elif _letters(second) < LESS * _letters(first):
            out += _beside([_doubted(w) for w in first], second)
        else:
            out += _beside(list(second), first)
    return in_order(out)


def _surer(one: HeardWord, two: HeardWord) -> HeardWord:
    """A word that both hearings have: as the careful one times it, as sure as the surer.

    A stop stands only where both have it: the careful hearing of a person puts some in the middle of a clause.
    """
    text = two.text if one.text[-1] in STOPS else two.text.rstrip(STOPS) or two.text
    return HeardWord(text, two.start, two.end, max(one.sure, two.sure))


def _doubted(word: HeardWord) -> HeardWord:
    """A word that one hearing alone has. Its stops go: the careful hearing has none, and half of them mislead."""
    return HeardWord(word.text.strip(STOPS) or word.text, word.start, word.end, min(word.sure, DOUBTFUL))


def _letters(words: Sequence[HeardWord]) -> int:
    return sum(len(norm(w.text)) for w in words)


def _beside(words: Sequence[HeardWord], others: Sequence[HeardWord]) -> list[Joined]:
    """Words with what the other hearing has in their place: word for word where the counts fit, else at the first."""
    if len(words) == len(others):
        return [(w, o.text) for w, o in zip(words, others, strict=True)]
    other = " ".join(o.text for o in others)
    return [(w, other if n == 0 else "") for n, w in enumerate(words)]


def in_order(words: Sequence[Joined]) -> list[Joined]:
    """Words whose times never run backwards; their order is that of the hearings."""
    out: list[Joined] = []
    latest = 0.0
    for word, other in words:
        start = max(latest, word.start)
        end = max(start, word.end)
        out.append((HeardWord(word.text, start, end, word.sure), other))
        latest = start
    return out
