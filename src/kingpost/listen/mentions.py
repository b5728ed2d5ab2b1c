"""Which stretches of speech tell a fault, of what, and how sure that is.

Every window of speech is held against the catalogue (features.py); a small logistic model (weights.json, trained by
tools/train_listen.py on labelled narrations) turns the features into log-odds; the best set of windows that do not
overlap is chosen over the whole walk at once.
"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from importlib.resources import files

from .catalogue import Catalogue
from .features import Look, Looker, Row
from .heard import Heard
from .places import Where

JOIN_WORDS = 3  # words between two mentions of one component that are still one
STANDS_ALONE = 0.5  # log-odds from which a mention stays one of its own beside another of the same component
Weights = dict[str, dict[str, float]]


@dataclass(frozen=True, slots=True)
class Mention:
    """One stretch of speech that tells a fault. `condition` is "" where only component and family are known."""

    start: int
    end: int
    condition: str
    component: str
    fault: str
    score: float  # log-odds above the least that is kept
    where: Where
    runner_up: str = ""
    margin: float = 9.0


@lru_cache(maxsize=1)
def weights() -> dict[str, Weights]:
    """The trained weights with the ear ("ear") and without it ("words"), by kind of candidate."""
    loaded: dict[str, Weights] = json.loads(files(__package__).joinpath("weights.json").read_text("utf-8"))
    return loaded


def weights_for(cat: Catalogue) -> Weights:
    """The weights that fit what is installed."""
    return weights()["ear" if cat.ear else "words"]


def score(row: Row, by: Weights) -> float:
    """Log-odds that a candidate is a finding, and this one."""
    w = by[row.kind]
    return sum(w.get(name, 0.0) * value for name, value in row.features.items())


def look(heard: Heard, cat: Catalogue) -> Look:
    """Every window of a walk with its candidates."""
    return Looker(heard, cat).look()


def choose(heard: Heard, seen: Look, by: Weights, least: float | None = None) -> list[Mention]:
    """The best set of windows that do not overlap (weighted interval scheduling over the whole walk)."""
    floor = by["least"]["score"] if least is None else least
    found: dict[int, list[tuple[float, Row]]] = defaultdict(list)
    for row in seen.rows:
        found[row.window].append((score(row, by), row))
    ending: dict[int, list[int]] = defaultdict(list)
    for n, candidates in found.items():
        candidates.sort(key=lambda x: (-x[0], x[1].condition, x[1].component, x[1].fault))
        if candidates[0][0] > floor:
            ending[seen.windows[n][1]].append(n)
    total = [0.0] * (len(heard.words) + 1)
    pick: list[int | None] = [None] * (len(heard.words) + 1)
    for end in range(1, len(heard.words) + 1):
        total[end] = total[end - 1]
        for n in ending.get(end, ()):
            value = total[seen.windows[n][0]] + found[n][0][0] - floor
            if value > total[end] + 1e-9:
                total[end], pick[end] = value, n
    chosen, at = [], len(heard.words)
    while at > 0:
        picked = pick[at]
        if picked is None:
            at -= 1
        else:
            chosen.append(picked)
            at = seen.windows[picked][0]
    return _joined([_mention(seen.windows[n], found[n], heard) for n in reversed(chosen)])


def _joined(mentions: Sequence[Mention]) -> list[Mention]:
    """Mentions of one component that follow each other at once are one: the surer tells what, both are its evidence."""
    out: list[Mention] = []
    for m in mentions:
        last = out[-1] if out else None
        near = last is not None and m.start - last.end <= JOIN_WORDS and m.component == last.component
        if last is not None and near and min(m.score, last.score) < STANDS_ALONE:
            surer = m if m.score > last.score else last
            out[-1] = replace(surer, start=last.start, end=m.end)
        else:
            out.append(m)
    return out


def _mention(window: tuple[int, int], found: list[tuple[float, Row]], heard: Heard) -> Mention:
    value, row = found[0]
    other = next(((v, r) for v, r in found[1:] if (r.condition, r.component) != (row.condition, row.component)), None)
    a, b = window
    return Mention(
        start=a,
        end=b,
        condition=row.condition,
        component=row.component,
        fault=row.fault,
        score=value,
        where=heard.place(a, b),
        runner_up=(other[1].condition or other[1].fault) if other else "",
        margin=value - other[0] if other else 9.0,
    )
