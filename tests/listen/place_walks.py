"""The short walks of walks/places.txt, and how many of what they tell is put where it belongs.

python -m tests.listen.place_walks [odd|even] [--misses]
"""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from fnmatch import fnmatchcase
from pathlib import Path

from kingpost.listen import places
from kingpost.listen.catalogue import Catalogue, catalogue
from kingpost.listen.features import look_at
from kingpost.listen.heard import prepare
from kingpost.listen.mentions import choose, weights_for
from kingpost.listen.words import norm, stream
from kingpost.trade.load import trade
from kingpost.visit.facts import Cue, Walk

WALKS = Path(__file__).parent / "walks" / "places.txt"
WORDS_A_SECOND, BREATH_S = 2.5, 0.4
TOLD = re.compile(r"\{([^:{}]+):\s*([^{}]*)\}")


@dataclass(frozen=True)
class Told:
    """What is told at words `start` to `end`, and where it is: ids, a word of the label, levels."""

    start: int
    end: int
    wanted: str

    def right(self, label: str, level: str, place_id: str) -> bool:
        """Whether a place is the one wanted."""
        ids, _, levels = self.wanted.partition("@")
        ids, _, word = ids.partition("+")
        there = any(fnmatchcase(place_id, one) for one in ids.split("/"))
        return there and (not levels or level in levels.split("/")) and word in label


@dataclass(frozen=True)
class Short:
    """One short walk."""

    number: int
    name: str
    walk: Walk
    told: tuple[Told, ...]


def _words(text: str) -> int:
    return sum(1 for w in text.split() if norm(w))


def _one(head: str, body: str) -> Short:
    number, _, name = head.partition(" ")
    cues, told, at, words = list[Cue](), list[Told](), 0.0, 0
    for line in body.strip().splitlines():
        if line.strip() in ("", "bare"):
            continue
        before = words
        for piece in re.split(r"(\{[^{}]*\})", line):
            hit = TOLD.fullmatch(piece)
            n = _words(hit[2] if hit else piece)
            if hit:
                told.append(Told(words, words + n, hit[1].strip()))
            words += n
        text = " ".join(TOLD.sub(r"\2", line).split())
        end = at + (words - before) / WORDS_A_SECOND
        cues.append(Cue("walk/places.vtt", len(cues), at, end, text, ""))
        at = end + BREATH_S
    return Short(int(number), name, Walk("walk/places.vtt", tuple(cues)), tuple(told))


def walks() -> list[Short]:
    """All short walks, in order."""
    text = "\n".join(line for line in WALKS.read_text("utf-8").splitlines() if not line.startswith("#"))
    parts = re.split(r"^== (.+)$", text, flags=re.M)[1:]
    return [_one(h, b) for h, b in zip(parts[::2], parts[1::2], strict=True)]


def placed(short: Short, cat: Catalogue) -> Iterator[tuple[Told, str, tuple[str, str, str]]]:
    """What is told, its words, and the label, level and id of the place that it was given."""
    heard = prepare(stream(short.walk), cat)
    mentions = choose(heard, look_at(heard, cat), weights_for(cat))
    for told in short.told:
        near = [m for m in mentions if m.start < told.end and told.start < m.end]
        best = max(near, key=lambda m: min(m.end, told.end) - max(m.start, told.start), default=None)
        where = best.where if best else heard.place(told.start, told.end)
        span = (best.start, best.end) if best else (told.start, told.end)
        where = places.settle(best.component if best else "", where, cat.trade, heard.named, span)
        words = " ".join(w.text for w in heard.words[told.start : told.end])
        yield told, words, (where.label, where.level, where.place.id if where.place else "")


def score(which: list[Short], cat: Catalogue, misses: bool = False) -> tuple[int, int]:
    """How many are right, of how many."""
    right = total = 0
    for short in which:
        for told, words, got in placed(short, cat):
            fits = told.right(*got)
            right, total = right + fits, total + 1
            if misses and not fits:
                print(f"{short.number:3} {told.wanted:34} {got}  {words}")
    return right, total


def main() -> None:
    """Print the shares of the halves."""
    cat, all_walks = catalogue(trade()), walks()
    for half, odd in (("odd", 1), ("even", 0)):
        if half in sys.argv or not {"odd", "even"} & set(sys.argv):
            right, total = score([w for w in all_walks if w.number % 2 == odd], cat, "--misses" in sys.argv)
            print(f"{half}: {right} of {total}, {right / total:.2f}")


if __name__ == "__main__":
    main()
