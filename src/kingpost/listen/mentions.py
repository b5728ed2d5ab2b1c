"""Which stretches of speech tell a fault, of what, and how sure that is.

Three small logistic models (weights.json, trained by tools/train_listen.py on labelled narrations) look at the
features of features.py: one says how likely a window of speech tells just one fault; one which of its candidates it is;
and one, from both, the chance that the draft is right. By the first and the last together the best set of windows that
do not overlap is chosen over the whole walk at once: a few plain words that name a fault ("toilet rocks") count even
where they hardly sound like one.
"""

from __future__ import annotations

import json
import math
from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any

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
    Whole = NDArray[np.intp]

JOIN_WORDS = 3  # words between two mentions of one component that are still one
BACK_WORDS = 5  # within so many words after a finding it is taken back
WHICH_WORDS = 7  # so few words say which one it was
HOPELESS = -4.5  # log-odds of a window below which it is not looked at further
STANDS_ALONE = 0.5  # log-odds from which a mention stays one of its own beside another of the same component
EVIDENCE = (
    "window log_chance both ahead family component component_near component_topic component_other sim sim_behind lex "
    "sign against fault place log_family starts_sentence ends_sentence bare length praise_around"
).split()


@dataclass(frozen=True)
class Weights:
    """The trained models and what decides: what a window costs, what the log-odds of its draft weigh beside those of
    the window, and the least chance that is kept."""

    window: Scorer
    choice: Scorer
    sure: Callable[[Any], Floats]
    cost: float
    weigh: float
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
            told["decide"]["weigh"],
            told["decide"]["least"],
        )
        for name, told in loaded.items()
    }


def weights_for(cat: Catalogue) -> Weights:
    """The weights that fit what is installed."""
    return weights()["ear" if cat.ear else "words"]


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


@dataclass(frozen=True)
class Picks:
    """Of some windows the likeliest candidate, the next one that tells something else (-1 for none), and the chances of
    both if the window tells a fault at all."""

    windows: Whole
    row: Whole
    share: Floats
    other: Whole
    other_share: Floats


def picks(seen: Look, windows: Whole, scores: Floats) -> Picks:
    """The candidates of these windows, by the scores of all candidates; of equal ones the first."""
    size = seen.at[windows + 1] - seen.at[windows]
    start = np.concatenate([[0], np.cumsum(size)[:-1]]).astype(np.intp)
    of = np.repeat(np.arange(len(windows)), size)
    rows = np.arange(len(of)) - start[of] + seen.at[windows][of]
    if not len(rows):
        none = np.zeros(0, np.intp)
        return Picks(windows, none, np.zeros(0), none, np.zeros(0))
    odds = np.exp(scores[rows] - np.maximum.reduceat(scores[rows], start)[of])
    share = odds / np.add.reduceat(odds, start)[of]
    best = _first_of_most(share, start, of)
    number: dict[tuple[str, str], int] = {}
    told = np.array([number.setdefault((seen.rows[k].condition, seen.rows[k].component), len(number)) for k in rows])
    rest = np.where(told == told[best][of], -1.0, share)
    next_best = _first_of_most(rest, start, of)
    found = rest[next_best] >= 0
    return Picks(
        windows, rows[best], share[best], np.where(found, rows[next_best], -1), np.where(found, share[next_best], 0.0)
    )


def _first_of_most(values: Floats, start: Whole, of: Whole) -> Whole:
    """Where in each group its largest value stands first."""
    top = np.flatnonzero(values == np.maximum.reduceat(values, start)[of])
    where: Whole = top[np.searchsorted(top, start)]
    return where


def evidence(seen: Look, values: Floats, best: Picks) -> Floats:
    """What the chance that a draft is right is judged by, a row a window and a column for each of EVIDENCE: both models
    before, and how plainly the part was named."""
    own, shared = seen.own[best.row].astype(np.float64), seen.shared[best.windows].astype(np.float64)
    told: dict[str, Floats] = {name: own[:, OWN_AT[name]] for name in OWN if name in EVIDENCE}
    told |= {name: shared[:, SHARED_AT[name]] for name in SHARED if name in EVIDENCE}
    family = told["family"] > 0
    told["component"] = np.where(family, own[:, OWN_AT["named"]], told["component"])
    told["sim"] = np.where(family, own[:, OWN_AT["best_sim"]], told["sim"])
    told["log_family"] = np.where(family, np.log(own[:, OWN_AT["family_component"]] + 1e-3), 0.0)
    told["window"], told["log_chance"] = values[best.windows], np.log(best.share + 1e-3)
    told["both"] = told["window"] * told["log_chance"]
    told["ahead"] = best.share - best.other_share
    return np.stack([told[name] for name in EVIDENCE], axis=1) if len(best.row) else np.zeros((0, len(EVIDENCE)))


@dataclass(frozen=True)
class Judged:
    """The windows of a walk that may tell a fault, what each would tell, and how sure that is."""

    best: Picks
    sure: Floats  # log-odds that the draft is right
    worth: Floats  # by window of the walk: what choosing it is worth; 0 or less for none


def judge(seen: Look, by: Weights) -> Judged:
    """Every window that is not hopeless."""
    values = by.window(seen.shared)
    best = picks(seen, np.flatnonzero(values > HOPELESS), by.choice(seen.own))
    sure = by.sure(evidence(seen, values, best))
    worth = np.full(len(values), -1.0)
    worth[best.windows] = values[best.windows] + by.weigh * sure - by.cost
    return Judged(best, sure, worth)


def choose(heard: Heard, seen: Look, by: Weights, least: float | None = None) -> list[Mention]:
    """What a walk tells, in order. `least` is the chance from which a mention is kept, if not that of the weights."""
    if not seen.windows:
        return []
    floor = by.least if least is None else least
    told = judge(seen, by)
    at = np.searchsorted(told.best.windows, best_set(seen.windows, told.worth, len(heard.words))).tolist()
    return _joined([_mention(seen, k, told, heard) for k in at if 1 / (1 + math.exp(-told.sure[k])) >= floor])


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


def _mention(seen: Look, k: int, told: Judged, heard: Heard) -> Mention:
    best = told.best
    (a, b), row = seen.windows[int(best.windows[k])], seen.rows[int(best.row[k])]
    other = seen.rows[int(best.other[k])] if best.other[k] >= 0 else None
    return Mention(
        start=a,
        end=b,
        condition=row.condition,
        component=row.component,
        fault=row.fault,
        score=float(told.sure[k]),
        where=heard.place(a, b),
        runner_up=(other.condition or other.fault) if other else "",
        margin=math.log(float(best.share[k]) / max(1e-9, float(best.other_share[k]))) if other else 9.0,
    )
