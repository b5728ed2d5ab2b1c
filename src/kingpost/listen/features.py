"""What speaks for and against a window of speech being a finding, and which one: features for the trained rankers.

Word rules (component names, signs, fault words, words of praise and the like), term overlap, and the ear each give
features; nothing here decides. A window has features of its own; each of its candidates has others.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from kingpost.trade.model import Place

from .catalogue import Catalogue, stem
from .heard import Heard, Spans, negated
from .statements import windows

if TYPE_CHECKING:
    from numpy.typing import NDArray

TOPIC_WORDS = 45  # how far a component is carried on
NEAR_WORDS = 15
BATCH = 2000  # windows whose likeness is worked out at a time
TRIES = 5  # candidates kept per window and way of finding them
SIDE_ACTS = ("tip", "hypothetical", "other_house", "safety_talk", "banter")
TOP = ("sim", "lex", "sign", "sign_component", "component")
ALSO_BARE = ("start_logit", "end_logit", "inner_logit", "logit_finding", "atoms", "length")
UNLIKELY = 0.04  # windows in which the ear hears hardly any finding get no candidates


@dataclass(frozen=True, slots=True)
class Row:
    """One candidate: what a window may tell. `condition` is "" where only part and family are known."""

    kind: str  # "condition" or "family"
    condition: str
    component: str
    fault: str
    features: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Look:
    """All windows of one walk that may tell something, with their features, and the candidates of each."""

    windows: list[tuple[int, int]]
    shared: list[Mapping[str, float]]  # by window
    rows: list[list[Row]]  # by window


def lexical(cat: Catalogue, words: Sequence[str]) -> dict[int, float]:
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


@dataclass(frozen=True, slots=True)
class Alike:
    """How much a window is like each condition, by the ear: cosine, chance, the same by component and by family."""

    sims: NDArray[np.float32]
    chance: NDArray[np.float32]
    parts: NDArray[np.float32]
    kinds: NDArray[np.float32]
    first: list[int]


class Looker:
    """Holds one walk against the catalogue, window by window."""

    def __init__(self, heard: Heard, cat: Catalogue) -> None:
        self.heard, self.cat = heard, cat
        names = ("components", "signs", "unless", "faults", "weak_faults", "acts", "weak_acts", "standing")
        self.spans = {k: Spans(getattr(heard, k)) for k in names}
        self.acts: dict[str, int] = {a: n for n, a in enumerate(cat.ear.acts)} if cat.ear else {}
        self.cut_at = {c: n for n, c in enumerate(heard.plan.cuts)}
        sound = heard.sound
        self.act_sums = (
            np.concatenate([np.zeros((1, len(self.acts))), np.cumsum(sound.acts, axis=0)]) if sound else None
        )

    def look(self) -> Look:
        """Every window with its candidates; windows that can hardly be findings are left out."""
        out = Look([], [], [])
        bare = not self.heard.plan.punctuated
        frames = [w for w in windows(self.heard.words, self.heard.plan) if self._may_tell(*w)]
        for (a, b), alike in zip(frames, self._alike(frames), strict=True):
            rows = [*self._conditions(a, b, alike), *self._families(a, b, alike)]
            if rows:
                shared = self._shared(a, b)
                out.windows.append((a, b))
                out.shared.append(shared | _summary(rows, bare, shared))
                out.rows.append(rows)
        return out

    def _may_tell(self, a: int, b: int) -> bool:
        sums = self.act_sums
        return sums is None or float(sums[b, 0] - sums[a, 0]) >= UNLIKELY * (b - a)

    def _alike(self, frames: Sequence[tuple[int, int]]) -> Iterator[Alike | None]:
        """Likeness of each window to every condition, worked out for many windows at a time."""
        cat, sound = self.cat, self.heard.sound
        if cat.ear is None or sound is None or cat.prototypes is None or not len(cat.prototypes):
            yield from (None for _ in frames)
            return
        for at in range(0, len(frames), BATCH):
            vectors = np.stack([sound.span(a, b) for a, b in frames[at : at + BATCH]])
            sims = vectors @ cat.prototypes.T
            chance = np.exp(cat.ear.scale * (sims - sims.max(axis=1, keepdims=True)))
            chance /= chance.sum(axis=1, keepdims=True)
            parts, kinds = chance @ cat.of_component, chance @ cat.of_fault
            order = np.argsort(-sims, axis=1, kind="stable")[:, :TRIES]
            for k in range(len(sims)):
                yield Alike(sims[k], chance[k], parts[k], kinds[k], order[k].tolist())

    def _shared(self, a: int, b: int) -> dict[str, float]:
        """Features of a window that do not depend on the candidate."""
        out: dict[str, float] = {"bias": 1.0, "length": math.log(max(2, b - a)), "long": max(0.0, (b - a - 25) / 10)}
        out |= self._said(a, b)
        if self.heard.sound is not None and self.act_sums is not None:
            mean = (self.act_sums[b] - self.act_sums[a]) / (b - a)
            part = self.heard.sound.acts[a:b, 0]
            starts = self.heard.sound.starts
            inner = starts[a + 1 : b]
            out |= {"p_" + name: float(mean[k]) for name, k in self.acts.items()}
            out["logit_finding"] = math.log((mean[0] + 0.01) / (1.01 - mean[0]))
            out["least_finding"] = float(part.min())
            other = float(max(mean[k] for name, k in self.acts.items() if name != "finding"))
            out["over_other"] = math.log((float(mean[0]) + 0.02) / (other + 0.02))
            lo, hi = self.heard.plan.sentence(a)[0], self.heard.plan.sentence(b - 1)[1]
            around = (self.act_sums[hi] - self.act_sums[lo]) / max(1, hi - lo)
            out["finding_around"] = float(around[0])
            out["praise_around"] = float(around[self.acts["praise"]])
            out["begins"] = float(starts[a])
            out["ends"] = float(starts[b])
            out["inner_most"] = float(inner.max()) if len(inner) else 0.0
            out["inner_sum"] = float(min(4.0, inner.sum()))
            out |= self._edges(a, b)
        return out

    def _edges(self, a: int, b: int) -> dict[str, float]:
        """What the ear hears where a window begins and ends, and just outside it."""
        assert self.heard.sound is not None
        part, starts = self.heard.sound.acts[:, 0], self.heard.sound.starts
        before = float(part[a - 1]) if a else 0.0
        after = float(part[b]) if b < len(part) else 0.0
        inner = starts[a + 1 : b]
        weakest = np.sort(part[a:b])[: max(1, (b - a) // 4)]
        return {
            "p_before": before,
            "p_after": after,
            "drop_before": float(part[a]) - before,
            "drop_after": float(part[b - 1]) - after,
            "start_logit": math.log(float(starts[a]) + 1e-3),
            "end_logit": math.log(float(starts[b]) + 1e-3) if b < len(part) else 0.0,
            "inner_logit": math.log((float(inner.max()) if len(inner) else 0.0) + 1e-3),
            "weakest": float(weakest.mean()),
        }

    def _said(self, a: int, b: int) -> dict[str, float]:
        """What word rules say about a window."""
        heard, out = self.heard, dict[str, float]()
        out["atoms"] = float(sum(a < c < b for c in heard.plan.cuts[self.cut_at[a] : self.cut_at[a] + 9]))
        out["sentences"] = float(sum(k in heard.plan.hard for k in range(a + 1, b)))
        out["comma_end"] = float(heard.words[b - 1].stop[:1] == ",")
        s, e = heard.plan.sentence(a)[0], heard.plan.sentence(b - 1)[1]
        inside = [h.key for h in self.spans["acts"].inside(a, b)]
        around = [h.key for h in self.spans["acts"].inside(s, e)]
        before = [h.key for h in self.spans["acts"].inside(max(0, s - 22), s)]
        weak = [h.key for h in self.spans["weak_acts"].inside(a, b)]
        out["praise"] = min(2.0, inside.count("praise"))
        out["praise_weak"] = min(3.0, weak.count("praise")) / math.sqrt(b - a)
        for act in SIDE_ACTS:
            out[act] = float(act in inside)
            out[act + "_around"] = float(act in around)
            out[act + "_before"] = float(act in before)
        out["hypothetical_weak"] = min(2.0, weak.count("hypothetical"))
        out["limitation"] = float("limitation" in inside)
        out["correction_in"] = float("correction" in inside)
        after = [h.key for h in self.spans["acts"].inside(b, min(len(heard.words), b + 12))]
        out["correction_after"] = float("correction" in after)
        out["other_speaker"] = float(bool(heard.speaker) and heard.words[a].speaker != heard.speaker)
        out["question"] = float("?" in heard.words[b - 1].stop)
        out["starts_sentence"] = float(a in heard.plan.hard)
        out["ends_sentence"] = float(b in heard.plan.hard or b == len(heard.words))
        out["says_standing"] = float(bool(self.spans["standing"].inside(a, b)))
        faults = self.spans["faults"].inside(a, b)
        out["fault_words"] = float(min(3, len({h.start for h in faults if not negated(heard.norms, h)})))
        out["fault_negated"] = float(min(2, sum(negated(heard.norms, h) for h in faults)))
        return out

    def _conditions(self, a: int, b: int, alike: Alike | None) -> list[Row]:
        cat, heard = self.cat, self.heard
        here, near, topic = self._components(a, b)
        signs, against = self._signs(a, b)
        lex = lexical(cat, heard.norms[a:b])
        order = list(alike.first) if alike else []
        order += [k for k, _ in sorted(lex.items(), key=lambda kv: (-kv[1], kv[0]))[:TRIES]]
        for name in sorted(signs):
            c = cat.conditions[cat.number[name]]
            if {c.component, *c.also} & (here | topic):
                order.append(cat.number[name])
        best_lex = max(lex.values(), default=0.0)
        best_sim = float(alike.sims[alike.first[0]]) if alike else 0.0
        place = heard.where[a].place
        faults = {h.key for h in self.spans["faults"].inside(a, b) if not negated(heard.norms, h)}
        rows = []
        for k in dict.fromkeys(order):
            c = cat.conditions[k]
            own = {c.component, *c.also}
            f = dict[str, float]()
            f["lex"], f["lex_behind"] = lex.get(k, 0.0), best_lex - lex.get(k, 0.0)
            if alike:
                f["sim"], f["sim_behind"] = float(alike.sims[k]), best_sim - float(alike.sims[k])
                f["log_chance"] = math.log(float(alike.chance[k]) + 1e-4)
                f["chance_of_component"] = float(alike.parts[cat.component_at[c.component]])
            f["sign"], f["against"] = min(2.5, signs.get(c.id, 0.0)), min(2.0, against.get(c.id, 0.0))
            f["component"] = 1.0 if c.component in here else 0.8 if own & here else 0.0
            f["component_near"] = 0.0 if f["component"] else float(bool(own & near))
            f["component_topic"] = 0.0 if f["component"] or f["component_near"] else float(bool(own & topic))
            f["component_other"] = float(bool(here) and not own & here)
            f["sign_component"] = f["sign"] * max(f["component"], 0.6 * f["component_near"])
            f["fault"] = float(c.fault in faults)
            f["place"] = fit(cat.trade.components[c.component].places, place, cat) if place else 0.0
            rows.append(Row("condition", c.id, c.component, c.fault, f))
        return rows

    def _families(self, a: int, b: int, alike: Alike | None) -> list[Row]:
        here, near, _ = self._components(a, b)
        faults = {h.key for h in self.spans["faults"].inside(a, b) if not negated(self.heard.norms, h)}
        weak = {h.key for h in self.spans["weak_faults"].inside(a, b)} - faults
        rows = []
        for component in sorted(here) or sorted(near):
            for fault in sorted(faults | weak):
                f = {"family": 1.0, "named": float(component in here), "strong": float(fault in faults)}
                f["components_here"] = float(len(here))
                if alike:
                    f["best_sim"] = float(alike.sims[alike.first[0]])
                    f["best_chance"] = float(alike.chance.max())
                    f["family_component"] = float(alike.parts[self.cat.component_at[component]])
                    f["family_fault"] = float(alike.kinds[self.cat.fault_at[fault]])
                rows.append(Row("family", "", component, fault, f))
        return rows

    def _components(self, a: int, b: int) -> tuple[set[str], set[str], set[str]]:
        spans = self.spans["components"]
        here = {h.key for h in spans.inside(a, b)}
        near = {h.key for h in spans.inside(max(0, a - NEAR_WORDS), a)} - here
        return here, near, {h.key for h in spans.inside(max(0, a - TOPIC_WORDS), a)} - here

    def _signs(self, a: int, b: int) -> tuple[dict[str, float], dict[str, float]]:
        signs: dict[str, float] = defaultdict(float)
        against: dict[str, float] = defaultdict(float)
        for h in self.spans["signs"].inside(a, b):
            if negated(self.heard.norms, h):
                against[h.key] += 1
            else:
                more = 0.3 if signs[h.key] else 0.0
                signs[h.key] = max(signs[h.key], 0.5 + 0.5 * min(3, h.pattern.weight)) + more
        for h in self.spans["unless"].inside(a, b):
            against[h.key] += 1.5
        return signs, against


def _summary(rows: Sequence[Row], bare: bool, shared: Mapping[str, float]) -> dict[str, float]:
    """What the candidates of a window say together about the window."""
    known = [row.features for row in rows if row.kind == "condition"]
    chances = sorted((math.exp(f["log_chance"]) for f in known if "log_chance" in f), reverse=True)
    out = {f"top_{name}": max((f.get(name, 0.0) for f in known), default=0.0) for name in TOP}
    out["top_chance"] = chances[0] if chances else 0.0
    out["chance_ahead"] = chances[0] - chances[1] if len(chances) > 1 else 0.0
    if bare:
        out["bare"] = 1.0
        out |= {f"{name}_bare": shared[name] for name in ALSO_BARE if name in shared}
    return out


def fit(usual: Sequence[str], place: Place, cat: Catalogue) -> float:
    """+1 where a component is usually met at this place, 0.5 on this level, -1 where it is met elsewhere, 0 unknown."""
    if not usual:
        return 0.0
    if place.id in usual or place.within in usual:
        return 1.0
    return 0.5 if place.level in {cat.trade.places[p].level for p in usual} else -1.0
