"""`make train`: fit the weights by which listening ranks what it heard (src/kingpost/listen/weights.json).

The material is narrations with gold labels (folders or gold files given on the command line). Three logistic models
are fitted with a ridge penalty: whether a window of speech lies just on a labelled finding; which candidate of such a
window would name the labelled part and fault (the scorer's own rule); and, over the drafts that both make of narrations
left out, whether the draft is right. What a window costs and the least chance that is kept are chosen by leaving out
one narration at a time. Same input, same weights.

    python tools/train_listen.py FOLDER_OR_GOLD ... [--write] [--quick]
"""

from __future__ import annotations

import importlib.util
import json
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

from kingpost.judge.findings import Group, finding, menders
from kingpost.listen import mentions
from kingpost.listen.catalogue import Catalogue, build
from kingpost.listen.ear import ear
from kingpost.listen.features import Row
from kingpost.listen.hear import Draft
from kingpost.listen.heard import prepare
from kingpost.listen.words import stream
from kingpost.trade.load import load
from kingpost.trade.model import Trade
from kingpost.visit import walks
from kingpost.visit.errors import Troubles
from kingpost.visit.record import plain

ROOT = Path(__file__).parent.parent
TARGET = ROOT / "src/kingpost/listen/weights.json"
RIDGE = {"window": 10.0, "choice": 4.0, "sure": 3.0}
LEAST_SPREAD = 0.05  # a feature that hardly ever differs from 0 is not blown up
ON, NEAR = (0.65, 0.65), (0.5, 0.5)  # share of a window on a label and of the label in it: right, and too near to count
COSTS, LEASTS = (-1.0, -0.5), (0.4, 0.5, 0.55, 0.6)
Floats = NDArray[np.float64]


def scorer() -> Any:
    """The scorer of the narrations, as a module."""
    spec = importlib.util.spec_from_file_location("score_listen", ROOT / "tests/narrations/score_listen.py")
    assert spec and spec.loader
    module = importlib.util.module_from_spec(spec)
    sys.modules["score_listen"] = module
    spec.loader.exec_module(module)
    return module


def golds(path: Path) -> list[Path]:
    """One gold file, or all of a folder."""
    return [path] if path.is_file() else sorted(path.glob("*.gold.json"))


def transcript(gold: Path, name: str) -> Path:
    """The words that a gold file labels: beside it, or in the example of the same name."""
    beside = gold.with_name(Path(name).name)
    return beside if beside.exists() else ROOT / "examples" / gold.name.removesuffix(".gold.json") / "walk" / name


class Own:
    """Whether the finding that a candidate would become names the labelled part and fault."""

    def __init__(self, trade: Trade, score: Any) -> None:
        self.trade, self.score, self.mender = trade, score, menders(trade)
        self.text: dict[tuple[str, str, str], str] = {}

    def __call__(self, row: Row | mentions.Mention, gold: dict[str, Any]) -> bool:
        key = (row.condition, row.component, row.fault)
        if key not in self.text:
            draft = Draft(*key, "", "house", 0.0, (), 0.0, 1.0, "", "")
            made = finding(Group(*key, [draft]), self.trade, [], self.mender)
            told = {k: v for k, v in plain(made).items() if k in ("title", "component", "condition", "narrative")}
            told["narrative"].pop("how_we_know")
            self.text[key] = self.score.clean(" | ".join(self.score.strings_in(told)))
        text = self.text[key]
        return bool(
            self.score.has_term(text, gold["component_any"]) and self.score.has_term(text, gold["condition_any"])
        )


class Narration:
    """One labelled narration with its windows: 1 on a label, 0 off it, 0.5 too near to say."""

    def __init__(self, gold: Path, cat: Catalogue, own: Own) -> None:
        self.name, self.own = gold.name.removesuffix(".gold.json"), own
        self.gold: dict[str, Any] = json.loads(gold.read_text("utf-8"))
        walk = walks.one(transcript(gold, self.gold["narration"]), self.gold["narration"], Troubles())
        assert walk is not None
        self.heard = prepare(stream(walk), cat)
        self.seen = mentions.look(self.heard, cat)
        told = [self._label(*window) for window in self.seen.windows]
        self.labels, self.of = np.array([t[0] for t in told]), [t[1] for t in told]

    def _label(self, a: int, b: int) -> tuple[float, int]:
        start, end = self.heard.words[a].start, self.heard.words[b - 1].end
        best, of = 0.0, -1
        for number, g in enumerate(self.gold["findings"]):
            both = sum(max(0.0, min(end, e) - max(start, s)) for s, e in g["spans"])
            share = both / max(0.1, end - start)
            cover = both / max(0.1, min(e - s for s, e in g["spans"]))
            value = 1.0 if share >= ON[0] and cover >= ON[1] else 0.5 if share >= NEAR[0] and cover >= NEAR[1] else 0.0
            if both > 0.3 and value > best:
                best, of = value, number
        return best, of

    def groups(self) -> list[tuple[list[Mapping[str, float]], NDArray[np.bool_]]]:
        """For each window on a label whose candidates are not all right or all wrong: their features, and which are."""
        out = []
        for label, of, rows in zip(self.labels, self.of, self.seen.rows, strict=True):
            if label == 1.0:
                right = np.array([self.own(r, self.gold["findings"][of]) for r in rows])
                if right.any() and not right.all():
                    out.append(([r.features for r in rows], right))
        return out

    def is_right(self, m: mentions.Mention, score: Any) -> bool:
        """Whether a mention lies near a label and names its part and fault."""
        span = [[self.heard.words[m.start].start, self.heard.words[m.end - 1].end]]
        return any(score.near(span, g["spans"]) and self.own(m, g) for g in self.gold["findings"])


def table(rows: Sequence[Mapping[str, float]], names: Sequence[str] = ()) -> tuple[list[str], Floats]:
    """Names of the features, and a matrix of them."""
    names = list(names) or sorted({k for r in rows for k in r if k != "bias"})
    at = {k: i for i, k in enumerate(names)}
    x = np.zeros((len(rows), len(names)))
    for i, r in enumerate(rows):
        for k, v in r.items():
            if k in at:
                x[i, at[k]] = v
    return names, x


def fit(rows: Sequence[Mapping[str, float]], right: Floats, ridge: float) -> dict[str, float]:
    """Ridge logistic regression on features brought to equal spread; the bias is free."""
    names, x = table(rows)
    scale = np.maximum(x.std(axis=0), LEAST_SPREAD)
    z = np.c_[x / scale, np.ones(len(x))]
    free = np.r_[np.ones(len(names)), 0.0]

    def loss(b: Floats) -> tuple[float, Floats]:
        m = z @ b
        value = np.sum(np.logaddexp(0, m) - right * m) + 0.5 * ridge * np.sum(free * b * b)
        return float(value), z.T @ (1 / (1 + np.exp(-m)) - right) + ridge * free * b

    found: Any = minimize(  # type: ignore[no-untyped-call]
        loss, np.zeros(z.shape[1]), jac=True, method="L-BFGS-B", options={"maxiter": 500}
    )
    return named([*names, "bias"], found.x / np.r_[scale, 1.0])


def fit_choice(groups: Sequence[tuple[list[Mapping[str, float]], NDArray[np.bool_]]], ridge: float) -> dict[str, float]:
    """Which of several candidates is right: the chance of all right ones together is made as large as it goes."""
    names, whole = table([row for rows, _ in groups for row in rows])
    scale = np.maximum(whole.std(axis=0), LEAST_SPREAD)
    parts = [(table(rows, names)[1] / scale, right) for rows, right in groups]

    def loss(b: Floats) -> tuple[float, Floats]:
        value, slope = 0.5 * ridge * float(b @ b), ridge * b
        for z, right in parts:
            m = z @ b
            p = np.exp(m - m.max())
            p /= p.sum()
            good = p[right].sum() + 1e-12
            value -= float(np.log(good))
            slope = slope + z.T @ (p - np.where(right, p / good, 0.0))
        return value, slope

    found: Any = minimize(  # type: ignore[no-untyped-call]
        loss, np.zeros(len(names)), jac=True, method="L-BFGS-B", options={"maxiter": 200}
    )
    return named(names, found.x / scale)


def named(names: Sequence[str], values: Floats) -> dict[str, float]:
    """Weights by name, without those that do nothing."""
    return {n: round(float(v), 4) for n, v in zip(names, values, strict=True) if abs(v) > 1e-4}


def train(items: Sequence[Narration], cost: float = 0.0) -> mentions.Weights:
    """The first two models; the third lets everything pass."""
    rows = [s for n in items for s, v in zip(n.seen.shared, n.labels, strict=True) if v != 0.5]
    right = np.array([v for n in items for v in n.labels if v != 0.5])
    return {
        "window": fit(rows, right, RIDGE["window"]),
        "choice": fit_choice([g for n in items for g in n.groups()], RIDGE["choice"]),
        "sure": {"window": 1.0},
        "decide": {"cost": cost, "least": 0.0},
    }


def drafts(n: Narration, by: mentions.Weights, score: Any) -> tuple[list[dict[str, float]], list[float]]:
    """What the first two models make of a narration that they did not learn from, and whether it is right."""
    values = mentions.weighed(n.seen.shared, by["window"])
    rows, right = [], []
    for k in mentions.best_set(n.seen.windows, values - by["decide"]["cost"], len(n.heard.words)):
        shares = mentions.chances(n.seen.rows[k], by["choice"])
        row = n.seen.rows[k][int(shares.argmax())]
        rows.append(mentions.evidence(row, float(values[k]), float(shares.max())))
        a, b = n.seen.windows[k]
        span = [[n.heard.words[a].start, n.heard.words[b - 1].end]]
        right.append(float(any(score.near(span, g["spans"]) and n.own(row, g) for g in n.gold["findings"])))
    return rows, right


def sure(made: Sequence[tuple[list[dict[str, float]], list[float]]]) -> dict[str, float]:
    """The third model, from the drafts of narrations that were left out."""
    rows = [row for some, _ in made for row in some]
    return fit(rows, np.array([v for _, right in made for v in right]), RIDGE["sure"])


def counts(n: Narration, by: mentions.Weights, least: float, score: Any) -> tuple[int, int, int]:
    """Gold, predicted and matched findings of one narration."""
    groups: dict[tuple[str, str, str], list[list[float]]] = {}
    first: dict[tuple[str, str, str], mentions.Mention] = {}
    for m in mentions.choose(n.heard, n.seen, by, least):
        key = (m.condition, "", "") if m.condition else ("", m.component, m.fault)
        groups.setdefault(key, []).append([n.heard.words[m.start].start, n.heard.words[m.end - 1].end])
        first.setdefault(key, m)
    keys = list(groups)
    gold = n.gold["findings"]
    fits = [[score.near(groups[k], g["spans"]) and n.own(first[k], g) for k in keys] for g in gold]
    pairs = score.one_to_one(len(gold), len(keys), lambda i, j: fits[i][j], lambda i, j: 1.0)
    return len(gold), len(keys), len(pairs)


def f1(gold: int, predicted: int, matched: int) -> float:
    """F1 from counts."""
    return 2 * matched / max(1, gold + predicted)


def one_out(items: Sequence[Narration], score: Any) -> mentions.Weights:
    """Weights from all; cost and least chance are those that do best where each is judged by the others."""
    base = {n.name: train([m for m in items if m is not n]) for n in items}
    best: tuple[float, float, float, dict[str, float]] = (-1.0, 0.0, 0.0, {})
    for cost in COSTS:
        left = {name: {**by, "decide": {"cost": cost, "least": 0.0}} for name, by in base.items()}
        tried = {n.name: drafts(n, left[n.name], score) for n in items}
        for n in items:
            left[n.name]["sure"] = sure([tried[m.name] for m in items if m is not n])
        for least in LEASTS:
            each = [counts(n, left[n.name], least, score) for n in items]
            gold, predicted, matched = map(sum, zip(*each, strict=True))
            value, p, r = f1(gold, predicted, matched), matched / max(1, predicted), matched / gold
            print(f"cost {cost:+.1f} least {least:.2f}: P {p:.3f} R {r:.3f} F1 {value:.3f}")
            if value > best[0]:
                best = (value, cost, least, sure(list(tried.values())))
    made = train(items, best[1])
    print(f"chosen by one left out: F1 {best[0]:.3f}, cost {best[1]}, least {best[2]}")
    return {**made, "sure": best[3], "decide": {"cost": best[1], "least": best[2]}}


def main(argv: Sequence[str]) -> int:
    """Train, report by leaving one narration out, and write where asked."""
    folders = [Path(a) for a in argv if not a.startswith("--")]
    score, trade = scorer(), load()
    own = Own(trade, score)
    made: dict[str, Any] = {}
    for name, model in (("ear", ear()), ("words", None)):
        if name == "words" and "--quick" in argv:
            continue
        cat = build(trade, model)
        items = [Narration(g, cat, own) for f in folders for g in golds(f)]
        print(f"{name}: {len(items)} narrations, {sum(len(r) for n in items for r in n.seen.rows)} candidates")
        made[name] = one_out(items, score)
    if "--write" in argv:
        kept = json.loads(TARGET.read_text("utf-8")) | made
        TARGET.write_text(json.dumps(kept, indent=1, sort_keys=True) + "\n", "utf-8")
        print(f"wrote {TARGET.relative_to(ROOT)}")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
