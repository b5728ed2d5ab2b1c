"""Which stretches of speech tell a fault, of what, and how sure that is.

Every window of speech is held against every condition of the catalogue. Word rules, term overlap and sentence likeness
each give features; a small logistic model (weights.json, trained by tools/train_listen.py on labelled narrations) turns
them into log-odds; the best set of windows that do not overlap is chosen over the whole walk at once.
"""

from __future__ import annotations

import bisect
import json
import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any

import numpy as np

from . import places
from .catalogue import Catalogue, stem
from .lexicon import NEGATIONS
from .patterns import Hit, longest
from .places import Where
from .statements import Layout, layout, windows
from .words import Word

if TYPE_CHECKING:
    from numpy.typing import NDArray

TOPIC_WORDS = 45  # how far a component is carried on
TRIES = 6  # candidates kept per window and way of finding them
SIDE_ACTS = ("tip", "hypothetical", "other_house", "safety_talk", "banter")


@dataclass(frozen=True, slots=True)
class Mention:
    """One stretch of speech that tells a fault. `condition` is "" where only component and family are known."""

    start: int
    end: int
    condition: str
    component: str
    fault: str
    score: float  # log-odds
    where: Where
    runner_up: str = ""
    margin: float = 0.0


@dataclass
class Heard:
    """One walk made ready: words, layout, hits of everything, where the speaker is."""

    words: list[Word]
    norms: list[str]
    plan: Layout
    where: list[Where]
    components: list[Hit[str]] = field(default_factory=list)
    signs: list[Hit[str]] = field(default_factory=list)
    unless: list[Hit[str]] = field(default_factory=list)
    faults: list[Hit[str]] = field(default_factory=list)
    weak_faults: list[Hit[str]] = field(default_factory=list)
    acts: list[Hit[str]] = field(default_factory=list)
    weak_acts: list[Hit[str]] = field(default_factory=list)
    handling: list[Hit[str]] = field(default_factory=list)
    standing: list[Hit[str]] = field(default_factory=list)
    speaker: str = ""  # who inspects


def main_speaker(words: Sequence[Word]) -> str:
    """The one who says most, preferring one who is called inspector."""
    said: dict[str, int] = defaultdict(int)
    for w in words:
        said[w.speaker] += 1 + 1000 * ("inspector" in w.speaker.lower())
    return max(sorted(said), key=lambda k: said[k]) if said else ""


def prepare(words: list[Word], cat: Catalogue, taken_as: Sequence[str | frozenset[str]] | None = None) -> Heard:
    """Find everything that has a name in one walk. `taken_as` holds, per word, what it may have been misheard for."""
    norms = [w.norm for w in words]
    text: Sequence[str | frozenset[str]] = taken_as if taken_as is not None else norms
    strong = longest(cat.component_index.find(text))
    nouns = frozenset(_noun_start(norms, h.start) for h in strong)
    plan = layout(words, nouns)
    starts = frozenset(plan.cuts)
    where = places.track(words, norms, starts, cat.trade, list(cat.place_index.find(norms)))
    return Heard(
        words,
        norms,
        plan,
        where,
        components=strong,
        signs=list(cat.sign_index.find(text)),
        unless=list(cat.unless_index.find(text)),
        faults=list(cat.fault_index.find(text)),
        weak_faults=list(cat.weak_fault_index.find(text)),
        acts=list(cat.act_index.find(norms)),
        weak_acts=list(cat.weak_act_index.find(norms)),
        handling=list(cat.handling_index.find(norms)),
        standing=list(cat.standing_index.find(norms)),
        speaker=main_speaker(words),
    )


def _noun_start(norms: Sequence[str], at: int) -> int:
    """Where the noun phrase of a component begins: "the", "this" and the like belong to it."""
    while at > 0 and norms[at - 1] in ("the", "this", "that", "these", "those", "a", "an", "my", "their"):
        at -= 1
    return at


class Spans:
    """Hits by where they start, asked by window."""

    def __init__(self, hits: Sequence[Hit[str]]) -> None:
        self.hits = sorted(hits, key=lambda h: (h.start, h.end, h.key))
        self.at = [h.start for h in self.hits]

    def inside(self, start: int, end: int) -> list[Hit[str]]:
        """Hits that lie wholly inside."""
        lo, hi = bisect.bisect_left(self.at, start), bisect.bisect_left(self.at, end)
        return [h for h in self.hits[lo:hi] if h.end <= end]


@lru_cache(maxsize=1)
def weights() -> dict[str, dict[str, float]]:
    """The trained weights, by kind of candidate."""
    loaded: dict[str, dict[str, float]] = json.loads(files(__package__).joinpath("weights.json").read_text("utf-8"))
    return loaded


def negated(norms: Sequence[str], hit: Hit[str]) -> bool:
    """Whether a word of negation stands just before a pattern that holds none itself."""
    if any(w in NEGATIONS for w in norms[hit.start : hit.end]):
        return False
    return any(w in NEGATIONS for w in norms[max(0, hit.start - 3) : hit.start])


@dataclass
class Look:
    """All candidates of one walk with their features."""

    windows: list[tuple[int, int]]
    rows: list[dict[str, Any]]  # window, kind, condition, component, fault, features


def _lexical(cat: Catalogue, words: Sequence[str]) -> dict[int, float]:
    """Best term overlap (cosine) of a window with each condition that shares a telling word."""
    own = {stem(w) for w in words} & cat.idf.keys()
    norm = math.sqrt(sum(cat.idf[s] ** 2 for s in own)) or 1.0
    score: dict[tuple[int, int], float] = defaultdict(float)
    for s in sorted(own):
        for number, phrase, weight in cat.postings[s]:
            score[number, phrase] += weight * cat.idf[s] / norm
    best: dict[int, float] = {}
    for (number, _), value in score.items():
        if value > best.get(number, 0.0):
            best[number] = value
    return best


def look(heard: Heard, cat: Catalogue) -> Look:
    """Every window with its best candidates and their features."""
    frames = windows(heard.words, heard.plan)
    texts = [" ".join(heard.norms[a:b]) for a, b in frames]
    sims, acts = _likeness(texts, cat)
    spans = {
        k: Spans(getattr(heard, k))
        for k in ("components", "signs", "unless", "faults", "weak_faults", "acts", "weak_acts", "standing")
    }
    rows: list[dict[str, Any]] = []
    for n, (a, b) in enumerate(frames):
        rows += _candidates(
            n, a, b, heard, cat, spans, sims[n] if sims is not None else None, {k: float(v[n]) for k, v in acts.items()}
        )
    return Look(frames, rows)


def _likeness(texts: list[str], cat: Catalogue) -> tuple[NDArray[np.float32] | None, dict[str, NDArray[np.float32]]]:
    if cat.model is None or cat.vectors is None or not texts or not cat.starts:
        return None, {}
    rows = cat.model.vectors(texts)
    sims = np.maximum.reduceat(rows @ cat.vectors.T, cat.starts, axis=1)
    return sims, {k: (rows @ v.T).max(axis=1) for k, v in cat.act_vectors.items()}


def _shared(
    a: int, b: int, heard: Heard, cat: Catalogue, spans: dict[str, Spans], acts: dict[str, float]
) -> dict[str, float]:
    """Features of a window that do not depend on the candidate."""
    sentence = heard.plan.sentence(a)[0], heard.plan.sentence(b - 1)[1]
    out: dict[str, float] = {"bias": 1.0, "length": math.log(max(2, b - a)), "long": max(0.0, (b - a - 25) / 10)}
    inside = [h.key for h in spans["acts"].inside(a, b)]
    around = [
        h.key for h in spans["acts"].inside(max(0, sentence[0] - (0 if heard.plan.punctuated else 4)), sentence[1])
    ]
    before = [h.key for h in spans["acts"].inside(max(0, sentence[0] - 22), sentence[0])]
    weak = [h.key for h in spans["weak_acts"].inside(a, b)]
    out["praise"] = min(2.0, inside.count("praise"))
    out["praise_weak"] = min(3.0, weak.count("praise")) / math.sqrt(b - a)
    for act in SIDE_ACTS:
        out[act] = float(act in inside)
        out[act + "_around"] = float(act in around)
        out[act + "_before"] = float(act in before)
    out["hypothetical_weak"] = min(2.0, weak.count("hypothetical"))
    out["tip_weak"] = min(3.0, weak.count("tip"))
    out["limitation"] = float("limitation" in inside)
    out["correction_in"] = float("correction" in inside)
    after = [h.key for h in spans["acts"].inside(b, min(len(heard.words), b + 12))]
    out["correction_after"] = float("correction" in after)
    out["other_speaker"] = float(bool(heard.speaker) and heard.words[a].speaker != heard.speaker)
    out["question"] = float("?" in heard.words[b - 1].stop)
    out["starts_sentence"] = float(a in heard.plan.hard)
    out["ends_sentence"] = float(b in heard.plan.hard or b == len(heard.words))
    standing = [h.key for h in spans["standing"].inside(a, b)]
    out["says_standing"] = float(bool(standing))
    for act in ("praise", "description", "tip", "hypothetical", "other_house", "safety_talk", "banter", "limitation"):
        out["like_" + act] = acts.get(act, 0.0)
    out["fault_words"] = float(
        min(3, len({h.start for h in spans["faults"].inside(a, b) if not negated(heard.norms, h)}))
    )
    out["fault_negated"] = float(min(2, sum(negated(heard.norms, h) for h in spans["faults"].inside(a, b))))
    return out


def _candidates(
    n: int,
    a: int,
    b: int,
    heard: Heard,
    cat: Catalogue,
    spans: dict[str, Spans],
    sims: NDArray[np.float32] | None,
    acts: dict[str, float],
) -> list[dict[str, Any]]:
    norms = heard.norms
    named = spans["components"].inside(a, b)
    here = {h.key for h in named}
    topic = {h.key for h in spans["components"].inside(max(0, a - TOPIC_WORDS), a)} - here
    near = {h.key for h in spans["components"].inside(max(0, a - 15), a)} - here
    signs: dict[str, float] = defaultdict(float)
    against: dict[str, float] = defaultdict(float)
    for h in spans["signs"].inside(a, b):
        if negated(norms, h):
            against[h.key] += 1
        else:
            signs[h.key] = max(signs[h.key], 0.5 + 0.5 * min(3, h.pattern.weight)) + (0.3 if signs[h.key] else 0.0)
    for h in spans["unless"].inside(a, b):
        against[h.key] += 1.5
    lex = _lexical(cat, norms[a:b])
    order: list[int] = []
    if sims is not None:
        order += [int(k) for k in np.argsort(-sims)[:TRIES]]
    order += [k for k, _ in sorted(lex.items(), key=lambda kv: (-kv[1], kv[0]))[:TRIES]]
    order += [
        cat.number[k]
        for k in sorted(signs)
        if {cat.conditions[cat.number[k]].component, *cat.conditions[cat.number[k]].also} & (here | topic)
    ]
    shared = _shared(a, b, heard, cat, spans, acts)
    place = heard.where[a].place
    faults = {h.key for h in spans["faults"].inside(a, b) if not negated(norms, h)}
    weak_faults = {h.key for h in spans["weak_faults"].inside(a, b)}
    best_sim = float(np.max(sims)) if sims is not None else 0.0
    mean_sim = float(np.mean(np.sort(sims)[-30:])) if sims is not None else 0.0
    best_lex = max(lex.values(), default=0.0)
    rows = []
    for k in dict.fromkeys(order):
        c = cat.conditions[k]
        own = {c.component, *c.also}
        f = dict(shared)
        sim = float(sims[k]) if sims is not None else 0.0
        f["sim"] = sim
        f["sim_sq"] = max(0.0, sim - 0.45)
        f["sim_lead"] = sim - mean_sim
        f["sim_behind"] = best_sim - sim
        f["sim_good"] = sim - max(acts.get("praise", 0.0), acts.get("description", 0.0))
        f["sim_side"] = sim - max((acts.get(x, 0.0) for x in (*SIDE_ACTS, "limitation")), default=0.0)
        f["lex"] = lex.get(k, 0.0)
        f["lex_behind"] = best_lex - lex.get(k, 0.0)
        f["sign"] = min(2.5, signs.get(c.id, 0.0))
        f["against"] = min(2.0, against.get(c.id, 0.0))
        f["component"] = 1.0 if c.component in here else 0.8 if own & here else 0.0
        f["component_near"] = 0.0 if f["component"] else float(bool(own & near))
        f["component_topic"] = 0.0 if f["component"] or f["component_near"] else float(bool(own & topic))
        f["component_other"] = float(bool(here) and not own & here)
        f["sign_component"] = f["sign"] * max(f["component"], 0.6 * f["component_near"])
        f["sim_component"] = f["sim_sq"] * f["component"]
        f["fault"] = float(c.fault in faults) + 0.5 * float(c.fault in weak_faults and c.fault not in faults)
        usual = cat.trade.components[c.component].places
        f["place"] = _fit(usual, place, cat) if place else 0.0
        rows.append(
            {
                "window": n,
                "kind": "condition",
                "condition": c.id,
                "component": c.component,
                "fault": c.fault,
                "features": f,
            }
        )
    for component in sorted(here) or sorted(near):
        for fault in sorted(faults | weak_faults):
            f = dict(shared)
            f["named"] = float(component in here)
            f["strong"] = float(fault in faults)
            f["best_sim"] = best_sim
            f["best_lex"] = best_lex
            f["components_here"] = float(len(here))
            f["sim_good"] = best_sim - max(acts.get("praise", 0.0), acts.get("description", 0.0))
            rows.append(
                {"window": n, "kind": "family", "condition": "", "component": component, "fault": fault, "features": f}
            )
    return rows


def _fit(usual: Sequence[str], place: Any, cat: Catalogue) -> float:
    """+1 where a component is usually met at this place or level, -1 where it is met elsewhere, 0 if unknown."""
    if not usual:
        return 0.0
    levels = {cat.trade.places[p].level for p in usual}
    if place.id in usual or place.within in usual:
        return 1.0
    return 0.5 if place.level in levels else -1.0


def score(row: dict[str, Any]) -> float:
    """Log-odds that a candidate is a finding, and this one."""
    w = weights()[row["kind"]]
    return float(sum(w.get(name, 0.0) * value for name, value in row["features"].items()))


def choose(heard: Heard, seen: Look, cat: Catalogue, least: float = 0.0) -> list[Mention]:
    """The best set of windows that do not overlap (weighted interval scheduling over the whole walk)."""
    best: dict[int, list[tuple[float, dict[str, Any]]]] = defaultdict(list)
    for row in seen.rows:
        best[row["window"]].append((score(row), row))
    ending: dict[int, list[int]] = defaultdict(list)
    top: dict[int, tuple[float, dict[str, Any]]] = {}
    for n, found in best.items():
        found.sort(key=lambda x: (-x[0], x[1]["condition"], x[1]["component"], x[1]["fault"]))
        top[n] = found[0]
        if found[0][0] > least:
            ending[seen.windows[n][1]].append(n)
    total = [0.0] * (len(heard.words) + 1)
    pick: list[int | None] = [None] * (len(heard.words) + 1)
    for end in range(1, len(heard.words) + 1):
        total[end] = total[end - 1]
        for n in ending.get(end, ()):
            value = total[seen.windows[n][0]] + top[n][0] - least
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
    return [_mention(n, seen, best[n], heard) for n in reversed(chosen)]


def _mention(n: int, seen: Look, found: list[tuple[float, dict[str, Any]]], heard: Heard) -> Mention:
    value, row = found[0]
    other = next(
        ((v, r) for v, r in found[1:] if r["condition"] != row["condition"] or r["component"] != row["component"]), None
    )
    a, b = seen.windows[n]
    return Mention(
        a,
        b,
        row["condition"],
        row["component"],
        row["fault"],
        value,
        heard.where[a],
        (other[1]["condition"] or other[1]["fault"]) if other else "",
        value - other[0] if other else 9.0,
    )
