"""Lists in two columns on paper, parted here: the PDF engine lays balanced columns out again for each line it moves."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from typing import Any

from markupsafe import Markup

LINE = 62  # characters of the small type in one column, 86 mm wide
PAIR = 180  # lines that one pair of columns holds: a sheet and a half, beyond which left and right drift apart
SQUARE = "00"  # a square of the coverage is as wide as two figures
PICTURE = 5  # lines that a thermal picture takes from the text beside it
WITH = 9  # lines that it takes with its photo beside it: the text stands under both
RULE = 3  # lines that the rule of a check takes from the text beside it


def lines(item: str) -> int:
    """Lines that an item of a list takes in a column.

    >>> lines("<li><b>Attic.</b> Rafters</li>"), lines("<li>" + "word " * 30 + "</li>")
    (1, 3)
    """
    bare = re.sub(r'<span class="vh">.*?</span>', "", item, flags=re.DOTALL).replace(
        '<span class="sq"', f"{SQUARE}<span"
    )
    bare = re.sub(r"<[^>]+>", "", bare)
    picture = WITH if 'class="heat-two with"' in item else PICTURE
    beside = (picture if "<figure" in item else 0) + (RULE if 'class="ck-r"' in item else 0)
    return max(1, -(-len(" ".join(bare.split())) // LINE)) + beside


def pairs(items: Sequence[str], high: Sequence[int]) -> list[tuple[int, int, int]]:
    """Where to part: each pair is items[a:b] at the left and items[b:c] at the right, as even as whole items allow.

    high  lines that each item takes

    >>> pairs(["a", "b", "c", "d"], [1, 1, 1, 1]), pairs(["a", "b", "c"], [130, 40, 130])
    ([(0, 2, 4)], [(0, 1, 2), (2, 3, 3)])
    >>> pairs([], [])
    []
    """
    out, start = [], 0
    while start < len(items):
        end, held = start, 0
        while end < len(items) and (end == start or held + high[end] <= PAIR):
            held += high[end]
            end += 1
        if 0 < sum(high[end:]) <= PAIR // 4:
            end = len(items)  # a short rest stands with the last pair, else it would stand alone
        out.append((start, _middle(high, start, end), end))
        start = end
    return out


def _middle(high: Sequence[int], start: int, end: int) -> int:
    """The cut at which the two sides are nearest in height; the left one is the higher of two as good."""
    whole = sum(high[start:end])
    return min(range(start + 1, end + 1), key=lambda cut: (abs(whole - 2 * sum(high[start:cut])), -cut))


def two(things: Iterable[Any], item: Callable[[Any], str], kind: str, on_paper: bool, tag: str = "ul") -> Markup:
    """A list of things: one on the screen, and on paper pairs of columns.

    item  makes the markup of one thing, a macro of the templates
    kind  classes of the list
    """
    made = [item(thing) for thing in things]
    if not on_paper:
        return Markup(f'<{tag} class="{kind} two">{"".join(made)}</{tag}>')
    parts = []
    for a, b, c in pairs(made, [lines(m) for m in made]):
        sides = (f'<{tag} class="{kind}">{"".join(side)}</{tag}>' for side in (made[a:b], made[b:c]) if side)
        parts.append(f'<div class="pair">{"".join(sides)}</div>')
    return Markup("".join(parts))
