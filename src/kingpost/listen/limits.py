"""What could not be seen or run, and why, as it was said."""

from __future__ import annotations

from dataclasses import dataclass

from .heard import Heard, Spans

ALONE, BACKED = 0.5, 0.02  # chance by ear that decides alone, and that with words of a limit in it
SHORTEST = 3  # words; less names no limit
OTHER = frozenset("tip other_house hypothetical safety_talk".split())


@dataclass(frozen=True, slots=True)
class Limit:
    """A stretch of speech that tells a limit; start and end are words."""

    start: int
    end: int
    component: str = ""


def limits(heard: Heard) -> list[Limit]:
    """Every limit in one walk; statements that follow each other are one."""
    acts = Spans([h for h in heard.acts if h.key == "limitation"])
    sides = Spans([h for h in heard.acts if h.key in OTHER])
    spans: list[list[int]] = []
    for a, b in heard.statements():
        if heard.speaker and heard.words[a].speaker != heard.speaker:
            continue
        if not _limit(heard, a, b, acts, sides):
            continue
        if spans and a <= spans[-1][1] and heard.words[a].gap < 2:
            spans[-1][1] = b
        else:
            spans.append([a, b])
    parts = Spans(heard.components)
    out = []
    for a, b in spans:
        if b - a < SHORTEST:
            continue
        named = parts.inside(a, b)
        out.append(Limit(a, b, named[0].key if named else ""))
    return out


def _limit(heard: Heard, a: int, b: int, acts: Spans, sides: Spans) -> bool:
    said = bool(acts.inside(a, b))
    chance = heard.act(a, b)
    if chance:
        return chance["limitation"] >= (BACKED if said else ALONE)
    return said and not sides.inside(a, b)
