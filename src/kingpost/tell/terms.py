"""Words of the trade, explained once: beside the first finding that uses them, unless the text does so itself."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable
from functools import cache
from pathlib import Path

GLOSSARY = Path(__file__).parent / "glossary.toml"
MOST = 3  # beside one finding; more words wait for the next that uses them
SAYS_SO = (
    r"(?:,| \(|:) ?(?:an?|the|which|that|where|or|short|sheet|white|soft)\b"  # "no cricket, the small roof that ..."
)


@cache
def glossary() -> tuple[tuple[str, re.Pattern[str], str], ...]:
    """Each word, how it is found, and what it means."""
    rows = tomllib.loads(GLOSSARY.read_text(encoding="utf-8"))["term"]
    made = []
    for row in rows:
        forms = sorted([row["word"], *row.get("forms", ())], key=len, reverse=True)
        said = "|".join(re.escape(f).replace(r"\ ", r"[\s\u00a0]+") for f in forms)
        case = re.NOFLAG if row["word"].isupper() else re.IGNORECASE
        made.append((row["word"], re.compile(rf"\b(?:{said})\b(?P<after>{SAYS_SO})?", case), row["says"]))
    return tuple(made)


class Terms:
    """Goes through a report in its order and remembers what has been explained."""

    def __init__(self) -> None:
        self._told: set[str] = set()

    def new_in(self, texts: Iterable[str]) -> tuple[tuple[str, str], ...]:
        """The words in these texts that nobody has explained yet, with what they mean, in the order they stand."""
        text = " ".join(texts)
        found: list[tuple[int, str, str]] = []
        for word, pattern, says in glossary():
            if word in self._told or not (first := pattern.search(text)):
                continue
            if any(m["after"] for m in pattern.finditer(text)):
                self._told.add(word)
            else:
                found.append((first.start(), word, says))
        new = sorted(found)[:MOST]
        self._told |= {word for _, word, _ in new}
        return tuple((word[:1].upper() + word[1:], says) for _, word, says in new)
