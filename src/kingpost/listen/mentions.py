"""Which stretches of speech tell a fault, of what, and how sure that is.

Three small logistic models (weights.json, trained by tools/train_listen.py on labelled narrations) look at the
features of features.py: one says how likely a window of speech tells just one fault; one which of its candidates it is;
and one, from both, the chance that the draft is right. The best set of windows that do not overlap is chosen over the
whole walk at once.
"""

from __future__ import annotations

import json
import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from importlib.resources import files
from typing import TYPE_CHECKING

import numpy as np

from .catalogue import Catalogue
from .features import Look, Looker, Row
from .heard import Heard
from .places import Where

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

JOIN_WORDS = 3  # words between two mentions of one component that are still one
STANDS_ALONE = 0.5  # log-odds from which a mention stays one of its own beside another of the same component
Weights = dict[str, dict[str, float]]  # "window", "choice", "sure": weights by feature; "decide": cost and least


@dataclass(frozen=True, slots=True)
class Mention:
    """One stretch of speech that tells a fault. `condition` is "" where only component and family are known."""

    start: int
    end: int
    condition: str
    component: str
    fault: str
    score: float  # log-odds that it is a finding, and this one
    where: Where
    runner_up: str = ""
    margin: float = 9.0


@lru_cache(maxsize=1)
def weights() -> dict[str, Weights]:
    """The trained weights with the ear ("ear") and without it ("words")."""
    loaded: dict[str, Weights] = json.loads(files(__package__).joinpath("weights.json").read_text("utf-8"))
    return loaded


def weights_for(cat: Catalogue) -> Weights:
    """The weights that fit what is installed."""
    return weights()["ear" if cat.ear else "words"]


def look(heard: Heard, cat: Catalogue) -> Look:
    """Every window of a walk with its candidates."""
    return Looker(heard, cat).look()


def weighed(rows: Sequence[Mapping[str, float]], by: Mapping[str, float]) -> Floats:
    """Weighted sum of the features of each row, with the bias."""
    bias = by.get("bias", 0.0)
    return np.array([bias + sum(by.get(k, 0.0) * v for k, v in row.items() if k != "bias") for row in rows])


def chances(rows: Sequence[Row], by: Mapping[str, float]) -> Floats:
    """For the candidates of one window the chance of each that it is the one, if the window tells a fault at all."""
    scores = weighed([row.features for row in rows], by)
    odds = np.exp(scores - scores.max())
    shares: Floats = odds / odds.sum()
    return shares


def best_set(windows: Sequence[tuple[int, int]], values: Floats, words: int) -> list[int]:
    """The windows that do not overlap and have the largest sum of values (weighted interval scheduling)."""
    ending: dict[int, list[int]] = defaultdict(list)
    for n in np.flatnonzero(values > 0).tolist():
        ending[windows[n][1]].append(n)
    total = [0.0] * (words + 1)
    pick: list[int | None] = [None] * (words + 1)
    for end in range(1, words + 1):
        total[end] = total[end - 1]
        for n in ending.get(end, ()):
            value = total[windows[n][0]] + float(values[n])
            if value > total[end] + 1e-9:
                total[end], pick[end] = value, n
    chosen, at = [], words
    while at > 0:
        picked = pick[at]
        if picked is None:
            at -= 1
        else:
            chosen.append(picked)
            at = windows[picked][0]
    return chosen[::-1]


def evidence(row: Row, window: float, chance: float) -> dict[str, float]:
    """What the chance that a draft is right is judged by: both models before, and how plainly the part was named."""
    f = row.features
    return {
        "window": window,
        "log_chance": math.log(chance + 1e-3),
        "both": window * math.log(chance + 1e-3),
        "family": f.get("family", 0.0),
        "component": f.get("component", f.get("named", 0.0)),
        "component_other": f.get("component_other", 0.0),
        "sim": f.get("sim", f.get("best_sim", 0.0)),
        "lex": f.get("lex", 0.0),
        "sign": f.get("sign", 0.0),
        "place": f.get("place", 0.0),
    }


def choose(heard: Heard, seen: Look, by: Weights, least: float | None = None) -> list[Mention]:
    """What a walk tells, in order. `least` is the chance from which a mention is kept, if not that of the weights."""
    if not seen.windows:
        return []
    floor = by["decide"]["least"] if least is None else least
    values = weighed(seen.shared, by["window"])
    found = []
    for n in best_set(seen.windows, values - by["decide"]["cost"], len(heard.words)):
        mention = _mention(seen.windows[n], seen.rows[n], float(values[n]), by, heard)
        if 1 / (1 + math.exp(-mention.score)) >= floor:
            found.append(mention)
    return _joined(found)


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


def _mention(window: tuple[int, int], rows: Sequence[Row], value: float, by: Weights, heard: Heard) -> Mention:
    shares = chances(rows, by["choice"])
    order = sorted(range(len(rows)), key=lambda k: (-shares[k], rows[k].condition, rows[k].component, rows[k].fault))
    row = rows[order[0]]
    other = next(
        (k for k in order[1:] if (rows[k].condition, rows[k].component) != (row.condition, row.component)), None
    )
    sure = float(weighed([evidence(row, value, float(shares[order[0]]))], by["sure"])[0])
    a, b = window
    return Mention(
        start=a,
        end=b,
        condition=row.condition,
        component=row.component,
        fault=row.fault,
        score=sure,
        where=heard.place(a, b),
        runner_up=(rows[other].condition or rows[other].fault) if other is not None else "",
        margin=float(math.log(shares[order[0]] / max(1e-9, shares[other]))) if other is not None else 9.0,
    )
