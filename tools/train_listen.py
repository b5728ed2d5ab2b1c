"""`make train`: fit the weights by which listening ranks what it heard (src/kingpost/listen/weights.json).

The material is narrations with gold labels (folders or gold files given on the command line). Each
candidate of each window of speech is a row. It counts as right when the window lies on a labelled finding and the words
of the finding it would become name the labelled part and fault (the scorer's own rule). Two logistic models are fitted,
for candidates from the catalogue and for those of part and fault family alone, with a ridge penalty. The least score
that is kept is chosen by leaving out one narration at a time. Same input, same weights.

    python tools/train_listen.py FOLDER_OR_GOLD ... [--write] [--report]
"""

from __future__ import annotations

import importlib.util
import json
import sys
from collections.abc import Sequence
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
KINDS = ("condition", "family")
RIDGE = {"condition": 20.0, "family": 30.0}
LEAST_SPREAD = 0.1  # a feature that hardly ever differs from 0 is not blown up
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


class Narration:
    """One labelled narration with its candidates."""

    def __init__(self, gold: Path, cat: Catalogue, words_of: Any) -> None:
        self.name = gold.name.removesuffix(".gold.json")
        self.gold: dict[str, Any] = json.loads(gold.read_text("utf-8"))
        walk = walks.one(transcript(gold, self.gold["narration"]), self.gold["narration"], Troubles())
        assert walk is not None
        self.heard = prepare(stream(walk), cat)
        self.seen = mentions.look(self.heard, cat)
        self.labels = np.array([self._label(row, words_of) for row in self.seen.rows], dtype=float)

    def _label(self, row: Row, words_of: Any) -> float:
        a, b = self.seen.windows[row.window]
        start, end = self.heard.words[a].start, self.heard.words[b - 1].end
        best = 0.0
        for g in self.gold["findings"]:
            both = sum(max(0.0, min(end, e) - max(start, s)) for s, e in g["spans"])
            if both <= 0.3 or not words_of(row, g):
                continue
            share = both / max(0.1, end - start)
            cover = both / max(0.1, min(e - s for s, e in g["spans"]))
            best = max(best, 1.0 if share >= 0.65 and cover >= 0.3 else 0.5 if share >= 0.35 and cover >= 0.2 else 0.0)
        return best


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


def table(items: Sequence[Narration], kind: str) -> tuple[list[str], Floats, Floats, Floats]:
    """Names, features, labels and weights of all candidates of one kind; doubtful labels are left out."""
    rows, labels = [], []
    for n in items:
        for row, label in zip(n.seen.rows, n.labels, strict=True):
            if row.kind == kind and label != 0.5:
                rows.append(row.features)
                labels.append(label)
    names = sorted({k for r in rows for k in r})
    at = {k: i for i, k in enumerate(names)}
    x = np.zeros((len(rows), len(names)))
    for i, r in enumerate(rows):
        for k, v in r.items():
            x[i, at[k]] = v
    y = np.array(labels)
    return names, x, y, np.ones(len(rows))


def fit(names: Sequence[str], x: Floats, y: Floats, w: Floats, ridge: float) -> dict[str, float]:
    """Ridge logistic regression on features brought to equal spread."""
    scale = np.maximum(x.std(axis=0), LEAST_SPREAD)
    scale[[i for i, n in enumerate(names) if n == "bias"]] = 1.0
    z = x / scale
    free = np.array([n != "bias" for n in names], dtype=float)

    def loss(b: Floats) -> tuple[float, Floats]:
        m = z @ b
        value = np.sum(w * (np.logaddexp(0, m) - y * m)) + 0.5 * ridge * np.sum(free * b * b)
        return float(value), z.T @ (w * (1 / (1 + np.exp(-m)) - y)) + ridge * free * b

    found: Any = minimize(  # type: ignore[no-untyped-call]
        loss, np.zeros(len(names)), jac=True, method="L-BFGS-B", options={"maxiter": 500}
    )
    return {n: round(float(v), 4) for n, v in zip(names, found.x / scale, strict=True) if abs(v) > 1e-4}


def train(items: Sequence[Narration]) -> dict[str, dict[str, float]]:
    """Weights of both models."""
    return {kind: fit(*table(items, kind), RIDGE[kind]) for kind in KINDS}


def counts(n: Narration, own: Own, by: mentions.Weights, least: float, score: Any) -> tuple[int, int, int]:
    """Gold, predicted and matched findings of one narration."""
    groups: dict[tuple[str, str, str], list[list[float]]] = {}
    first: dict[tuple[str, str, str], mentions.Mention] = {}
    for m in mentions.choose(n.heard, n.seen, by, least):
        key = (m.condition, "", "") if m.condition else ("", m.component, m.fault)
        groups.setdefault(key, []).append([n.heard.words[m.start].start, n.heard.words[m.end - 1].end])
        first.setdefault(key, m)
    keys = list(groups)
    gold = n.gold["findings"]
    fits = [[score.near(groups[k], g["spans"]) and own(first[k], g) for k in keys] for g in gold]
    pairs = score.one_to_one(len(gold), len(keys), lambda i, j: fits[i][j], lambda i, j: 1.0)
    return len(gold), len(keys), len(pairs)


def f1(gold: int, predicted: int, matched: int) -> float:
    """F1 from counts."""
    return 2 * matched / max(1, gold + predicted)


def one_out(items: Sequence[Narration], own: Own, score: Any) -> float:
    """The least score that does best where each narration is judged by weights trained on the others."""
    steps = [-1.0, -0.5, -0.25, 0.0, 0.25, 0.5, 1.0]
    left: dict[float, list[tuple[int, int, int]]] = {s: [] for s in steps}
    for n in items:
        by = train([m for m in items if m is not n])
        for s in steps:
            left[s].append(counts(n, own, by, s, score))
    for s in steps:
        gold, predicted, matched = map(sum, zip(*left[s], strict=True))
        each = " ".join(f"{f1(*c):.2f}" for c in left[s])
        p, r = matched / max(1, predicted), matched / gold
        print(f"least {s:+.1f}: P {p:.3f} R {r:.3f} F1 {f1(gold, predicted, matched):.3f}  [{each}]")
    return max(steps, key=lambda s: f1(*map(sum, zip(*left[s], strict=True))))


def main(argv: Sequence[str]) -> int:
    """Train both rankers, report by leaving one narration out, and write where asked."""
    folders = [Path(a) for a in argv if not a.startswith("--")]
    score = scorer()
    trade = load()
    own = Own(trade, score)
    made: dict[str, Any] = {}
    for name, model in (("ear", ear()), ("words", None)):
        if name == "words" and "--quick" in argv:
            continue
        cat = build(trade, model)
        items = [Narration(g, cat, own) for f in folders for g in golds(f)]
        print(f"{name}: {len(items)} narrations, {sum(len(n.seen.rows) for n in items)} candidates")
        best = one_out(items, own, score)
        reach = [
            any(x == 1.0 and own(r, g) for r, x in zip(n.seen.rows, n.labels, strict=True))
            for n in items
            for g in n.gold["findings"]
        ]
        print(f"within reach of some candidate: {sum(reach)} of {len(reach)}")
        made[name] = {**train(items), "least": {"score": best}}
        if "--report" in argv:
            for kind in KINDS:
                print(kind, sorted(made[name][kind].items(), key=lambda kv: -abs(kv[1])))
    if "--write" in argv:
        kept = json.loads(TARGET.read_text("utf-8")) | made
        TARGET.write_text(json.dumps(kept, indent=1, sort_keys=True) + "\n", "utf-8")
        print(f"wrote {TARGET.relative_to(ROOT)}")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
