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
from .features import OWN, OWN_AT, SHARED, SHARED_AT, Look
from .heard import Heard, Spans
from .lexicon import ORDINALS, SIDES
from .places import Where
from .scorer import Scorer, scorer

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

JOIN_WORDS = 3  # words between two mentions of one component that are still one
BACK_WORDS = 5  # within so many words after a finding it is taken back
WHICH_WORDS = 7  # so few words say which one it was
STANDS_ALONE = 0.5  # log-odds from which a mention stays one of its own beside another of the same component
EVIDENCE = (
    "window log_chance both ahead family component component_near component_topic component_other sim sim_behind lex "
    "sign against fault place log_family starts_sentence ends_sentence bare length praise_around"
).split()


@dataclass(frozen=True)
class Weights:
    """The trained models and what decides: the score a window costs, and the least chance that is kept."""

    window: Scorer
    choice: Scorer
    sure: Scorer
    cost: float
    least: float


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
    loaded = json.loads(files(__package__).joinpath("weights.json").read_text("utf-8"))
    return {
        name: Weights(
            scorer(told["window"], SHARED),
            scorer(told["choice"], OWN),
            scorer(told["sure"], EVIDENCE),
            told["decide"]["cost"],
            told["decide"]["least"],
        )
        for name, told in loaded.items()
    }


def weights_for(cat: Catalogue) -> Weights:
    """The weights that fit what is installed."""
    return weights()["ear" if cat.ear else "words"]


def shares(scores: Floats) -> Floats:
    """For the candidates of one window the chance of each that it is the one, if the window tells a fault at all."""
    odds = np.exp(scores - scores.max())
    each: Floats = odds / odds.sum()
    return each


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


def evidence(seen: Look, window: int, row: int, value: float, share: float, next_best: float) -> dict[str, float]:
    """What the chance that a draft is right is judged by: both models before, and how plainly the part was named."""
    own, shared = seen.own[row], seen.shared[window]
    told = {name: float(own[OWN_AT[name]]) for name in OWN if name in EVIDENCE}
    told |= {name: float(shared[SHARED_AT[name]]) for name in SHARED if name in EVIDENCE}
    if told["family"]:
        told["component"], told["sim"] = float(own[OWN_AT["named"]]), float(own[OWN_AT["best_sim"]])
        told["log_family"] = math.log(float(own[OWN_AT["family_component"]]) + 1e-3)
    told["window"], told["log_chance"] = value, math.log(share + 1e-3)
    told["both"] = value * told["log_chance"]
    told["ahead"] = share - next_best
    return told


def as_row(told: Mapping[str, float]) -> list[float]:
    """Evidence as a row of the table that `sure` reads."""
    return [told.get(name, 0.0) for name in EVIDENCE]


@dataclass(frozen=True, slots=True)
class Pick:
    """The candidate of a window that is likeliest, the next one that differs, and their chances."""

    row: int
    share: float
    other: int | None
    other_share: float


def pick(seen: Look, window: int, scores: Floats) -> Pick:
    """The best candidate of a window; equal ones by name. `scores` are those of the window's candidates."""
    each, first = shares(scores), int(seen.at[window])
    names = [(r.condition, r.component, r.fault) for r in seen.rows[seen.of(window)]]
    order = sorted(range(len(names)), key=lambda k: (-each[k], names[k]))
    best = order[0]
    other = next((k for k in order[1:] if names[k][:2] != names[best][:2]), None)
    return Pick(
        first + best,
        float(each[best]),
        None if other is None else first + other,
        0.0 if other is None else float(each[other]),
    )


def choose(heard: Heard, seen: Look, by: Weights, least: float | None = None) -> list[Mention]:
    """What a walk tells, in order. `least` is the chance from which a mention is kept, if not that of the weights."""
    if not seen.windows:
        return []
    floor = by.least if least is None else least
    values, scores = by.window(seen.shared), by.choice(seen.own)
    found = []
    for n in best_set(seen.windows, values - by.cost, len(heard.words)):
        mention = _mention(seen, n, float(values[n]), pick(seen, n, scores[seen.of(n)]), by, heard)
        if 1 / (1 + math.exp(-mention.score)) >= floor:
            found.append(mention)
    return _joined(found)


def withdrawn(mentions: Sequence[Mention], heard: Heard) -> list[Mention]:
    """Those that were taken back just after they were told: "scratch that", but not "scratch that, the left one"."""
    back = Spans([h for h in heard.acts if h.key == "withdrawal"])
    out = []
    for m in mentions:
        hits = back.inside(m.end, min(len(heard.norms), m.end + BACK_WORDS)) or back.inside(
            max(m.start, m.end - 4), m.end
        )
        if hits and not _put_right(hits[0].end, heard):
            out.append(m)
    return out


def _put_right(at: int, heard: Heard) -> bool:
    """Whether what follows, up to its stop, only says which one it was."""
    end = heard.plan.sentence(at - 1)[1] if at else at
    rest = heard.norms[at:end]
    return 0 < len(rest) <= WHICH_WORDS and any(w in SIDES or w in ORDINALS for w in rest)


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


def _mention(seen: Look, n: int, value: float, best: Pick, by: Weights, heard: Heard) -> Mention:
    (a, b), row = seen.windows[n], seen.rows[best.row]
    told = evidence(seen, n, best.row, value, best.share, best.other_share)
    other = seen.rows[best.other] if best.other is not None else None
    return Mention(
        start=a,
        end=b,
        condition=row.condition,
        component=row.component,
        fault=row.fault,
        score=float(by.sure([as_row(told)])[0]),
        where=heard.place(a, b),
        runner_up=(other.condition or other.fault) if other else "",
        margin=math.log(best.share / max(1e-9, best.other_share)) if other else 9.0,
    )
