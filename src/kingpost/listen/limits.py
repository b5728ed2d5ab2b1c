"""What could not be seen or run, and why, as it was said."""

from __future__ import annotations

from dataclasses import dataclass

from kingpost.trade.model import Trade

from .heard import Heard, Spans
from .patterns import Index

ALONE, BACKED = 0.5, 0.02  # chance by ear that decides alone, and that with words of a limit in it
SHORTEST = 3  # words; less names no limit
OTHER = frozenset("tip other_house hypothetical safety_talk".split())


@dataclass(frozen=True, slots=True)
class Limit:
    """A stretch of speech that tells a limit; start and end are words."""

    start: int
    end: int
    component: str = ""


_INDEX: dict[int, Index[str]] = {}
NONE = "no_limit"
UNLESS, WITH = "unless:", "near:"


def _index(trade: Trade) -> Index[str]:
    if id(trade) not in _INDEX:
        _INDEX.clear()
        made: Index[str] = Index()
        for words in trade.limit_words.values():
            made.add(words.id, words.patterns)
            made.add(WITH + words.id, words.near)
            made.add(UNLESS + words.id, words.unless)
        _INDEX[id(trade)] = made
    return _INDEX[id(trade)]


def limits(heard: Heard, trade: Trade) -> list[Limit]:
    """Every limit in one walk; statements that follow each other are one."""
    acts = Spans([h for h in heard.acts if h.key == "limitation"])
    sides = Spans([h for h in heard.acts if h.key in OTHER])
    told = Spans(list(_index(trade).find(heard.norms)))
    spans: list[list[int]] = []
    for a, b in heard.statements():
        if heard.speaker and heard.words[a].speaker != heard.speaker:
            continue
        if not _limit(heard, trade, (a, b), acts, sides, told):
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


def _limit(heard: Heard, trade: Trade, at: tuple[int, int], acts: Spans, sides: Spans, told: Spans) -> bool:
    keys = {h.key for h in told.inside(*at)}
    if NONE in keys:
        return False
    chance = heard.act(*at)
    if chance and chance["limitation"] >= ALONE:
        return True
    if sides.inside(*at):
        return bool(chance) and bool(acts.inside(*at)) and chance["limitation"] >= BACKED
    for words in trade.limit_words.values():
        fits = words.id in keys and UNLESS + words.id not in keys
        if fits and (not words.near or WITH + words.id in keys):
            return True
    said = bool(acts.inside(*at))
    return said and (not chance or chance["limitation"] >= BACKED)
