"""The bright theme in the sun, computed: a fifth of white laid over text and ground, and text still reads.

The test is ours (design: job.md 5): 20 % of white is added to both luminances, the ratio by WCAG 2.2, 1.4.3, stays 4.5.
Black on white gives 5.0 there, so every text is nearly black on nearly white, or the reverse.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

CSS = (Path(__file__).parents[2] / "web" / "src" / "field.css").read_text(encoding="utf-8")
TEXT = [
    ("ink", "paper"), ("ink", "linen"), ("ink-2", "paper"), ("ink-2", "linen"), ("mark-text", "paper"),
    ("on-talk", "talk"), ("paper", "ink"), ("on-strip", "strip"),
]  # fmt: skip
LINES = [("edge", "paper"), ("mark", "paper"), ("mark", "strip"), ("ink", "paper")]


def colours(theme: str) -> dict[str, str]:
    blocks = re.findall(r":root(\[data-light=\"dark\"\])? \{(.*?)\}", CSS, re.S)
    found: dict[str, str] = {}
    for dark, block in blocks:
        if not dark or theme == "dark":
            found |= dict(re.findall(r"--([a-z0-9-]+): (#[0-9a-f]{6});", block))
    return found


def light(colour: str) -> float:
    """Relative luminance, WCAG 2.2.

    >>> round(light("#ffffff"), 3)
    1.0
    """
    shares = [int(colour[n : n + 2], 16) / 255 for n in (1, 3, 5)]
    line = [s / 12.92 if s <= 0.04045 else ((s + 0.055) / 1.055) ** 2.4 for s in shares]
    return 0.2126 * line[0] + 0.7152 * line[1] + 0.0722 * line[2]


def ratio(one: str, other: str, glare: float = 0.0) -> float:
    high, low = sorted((light(one) + glare, light(other) + glare), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_black_on_white_is_as_the_rule_says() -> None:
    assert ratio("#000000", "#ffffff") == pytest.approx(21.0)
    assert ratio("#000000", "#ffffff", 0.2) == pytest.approx(5.0)


@pytest.mark.parametrize(("text", "ground"), TEXT)
def test_text_in_the_sun(text: str, ground: str) -> None:
    named = colours("bright")
    assert ratio(named[text], named[ground], 0.2) >= 4.5


@pytest.mark.parametrize(("line", "ground"), LINES)
def test_lines_in_the_sun(line: str, ground: str) -> None:
    named = colours("bright")
    assert ratio(named[line], named[ground], 0.2) >= 3.0


@pytest.mark.parametrize(("text", "ground"), TEXT)
def test_text_in_the_dark(text: str, ground: str) -> None:
    named = colours("dark")
    assert ratio(named[text], named[ground]) >= 4.5
    assert light(named["paper"]) < 0.02, "the ground does not dazzle"


def test_ink_on_paper_is_nearly_black_on_white() -> None:
    named = colours("bright")
    assert ratio(named["ink"], named["paper"]) >= 15
