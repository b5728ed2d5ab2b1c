"""Finding patterns of the duty data in what was said and written."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from functools import lru_cache

from kingpost.listen.patterns import Index
from kingpost.listen.words import norm

STOP = re.compile(r"(?<=[.!?;])\s+")


def normed(text: str) -> list[str]:
    """The words of a text as patterns compare them."""
    return list(_normed(text))


@lru_cache(maxsize=16_384)  # the same few hundred texts are held against every pattern
def _normed(text: str) -> tuple[str, ...]:
    return tuple(w for part in text.replace("-", " ").replace("–", " ").split() if (w := norm(part)))


def sentences(text: str) -> list[str]:
    """The sentences of a text."""
    return [s for s in STOP.split(text) if s.strip()]


@lru_cache(maxsize=512)
def _index(patterns: tuple[str, ...]) -> Index[int]:
    index: Index[int] = Index()
    for n, one in enumerate(patterns):
        index.add(n, [one])
    return index


def has(text: str, patterns: Iterable[str]) -> bool:
    """Whether one of some patterns stands in a text."""
    return bool(first(text, patterns))


def first(text: str, patterns: Iterable[str]) -> str:
    """The words of the text that fit the first pattern found; "" where none does."""
    wanted = tuple(patterns)
    return _first(text, wanted) if wanted else ""


@lru_cache(maxsize=65_536)  # a visit is judged again after each decision, and most of its texts are the same
def _first(text: str, wanted: tuple[str, ...]) -> str:
    words = _normed(text)
    hit = next(iter(_index(wanted).find(words)), None)
    return " ".join(words[hit.start : hit.end]) if hit else ""


def listed(parts: Sequence[str]) -> str:
    """ "a, b and c"."""
    return parts[0] if len(parts) == 1 else ", ".join(parts[:-1]) + " and " + parts[-1] if parts else ""


def lower_first(text: str) -> str:
    """The text with a small letter at its start."""
    return text[:1].lower() + text[1:]


def upper_first(text: str) -> str:
    """The text with a capital letter at its start."""
    return text[:1].upper() + text[1:]
