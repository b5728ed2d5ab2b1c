"""`make train`: fit the models by which listening ranks what it heard (src/kingpost/listen/weights.json).

The material is narrations with gold labels (folders or gold files given on the command line) and, with --folds, the
training walks, each heard by an ear that never heard it (training/ear.py --fold). Three small models are fitted with a
ridge penalty: whether a window of speech lies just on a labelled finding; which candidate of such a window is the
labelled one (for narrations by the scorer's own rule); and, over the drafts that both make of what was left out,
whether the draft is right. What a window costs, what the log-odds of its draft weigh beside its own, and the least
chance that is kept are those by which the lesser of precision and recall is largest on narrations left out.
Several kinds of models are tried side by side and the best is kept. Same input, same weights.

    python tools/train_listen.py FOLDER_OR_GOLD ... [--folds DIR] [--write FILE] [--words] [--jobs N] [--heard FILE]
"""

from __future__ import annotations

import argparse
import importlib.util
import itertools
import json
import multiprocessing
import pickle
import sys
import time
import zlib
from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

from kingpost.judge.findings import Group, finding, menders
from kingpost.listen import mentions
from kingpost.listen.catalogue import Catalogue, build
from kingpost.listen.ear import ear, load_ear
from kingpost.listen.features import OWN, SHARED, Look, Row, look_at
from kingpost.listen.hear import Draft
from kingpost.listen.heard import prepare
from kingpost.listen.scorer import Scorer
from kingpost.listen.words import Word, norm, stream
from kingpost.trade.load import load
from kingpost.visit import walks
from kingpost.visit.errors import Troubles
from kingpost.visit.record import plain

ROOT = Path(__file__).parent.parent
TARGET = ROOT / "src/kingpost/listen/weights.json"
RIDGE = {"window": 10.0, "choice": 4.0, "sure": 3.0}
LEAST_SPREAD = 0.05  # a feature that hardly ever differs from 0 is not blown up
ON, NEAR = (0.65, 0.65), (0.5, 0.5)  # share of a window on a label and of the label in it: right, and too near to count
TAUGHT_AT = -0.5  # what a window costs in the drafts that the third model learns from, before it has a say
COSTS, WEIGHS, LEASTS = (-0.25, 0.0, 0.25, 0.5, 0.75, 1.0), (1.0, 1.5, 2.0), (0.4, 0.5)
EVERY = 2  # of the windows of training walks that lie on no label, one in so many is learned from
PARTS = 3  # in so many parts the material is split to judge by what was left out
SECONDS_A_WORD = 0.36
Floats = NDArray[np.float64]
Key = tuple[str, str, str]


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


@lru_cache(maxsize=1)
def world() -> tuple[Any, Any, Any]:
    """Scorer, trade data, and how findings are worded: made once in each process."""
    trade = load()
    return scorer(), trade, menders(trade)


@lru_cache(maxsize=2)
def catalogue_of(which: str) -> Catalogue:
    """The catalogue with an ear: "" none, "shipped" the one in the package, else a folder."""
    model = None if not which else ear() if which == "shipped" else load_ear(Path(which))
    return build(world()[1], model)


@cache
def own_words(key: Key) -> str:
    """The words that the finding of a candidate would carry."""
    score, trade, mender = world()
    draft = Draft(*key, "", "house", 0.0, (), 0.0, 1.0, "", "")
    made = plain(finding(Group(*key, [draft]), trade, [], mender))
    told = {k: made[k] for k in ("title", "component", "condition", "narrative")}
    told["narrative"].pop("how_we_know")
    cleaned: str = score.clean(" | ".join(score.strings_in(told)))
    return cleaned


@dataclass
class Sample:
    """One labelled walk, heard: windows, features, and which windows and candidates are right."""

    name: str
    narration: bool  # by another hand, with times; else a training walk
    windows: list[tuple[int, int]]
    spans: list[tuple[float, float]]  # of the windows, in seconds
    shared: NDArray[np.float32]
    at: NDArray[np.intp]
    own: NDArray[np.float32]
    keys: list[Key]
    labels: Floats  # by window: 1 on a label, 0 off it, 0.5 too near to say
    of: list[int]  # by window: the label
    gold: list[dict[str, Any]]
    words: int
    right: NDArray[np.bool_] = field(default_factory=lambda: np.zeros(0, bool))  # by candidate, for windows on a label

    @property
    def part(self) -> int:
        """Which part of the material it belongs to, by its name."""
        return zlib.crc32(self.name.encode()) % PARTS


def names_it(key: Key, gold: dict[str, Any]) -> bool:
    """Whether a candidate is what a label means."""
    if "ids" in gold:
        kin = {(c.component, c.fault) for c in (world()[1].conditions[i] for i in gold["ids"])}
        return key[0] in gold["ids"] if key[0] else (key[1], key[2]) in kin
    return _named_by_score(key, gold.get("id", ""), tuple(gold["component_any"]), tuple(gold["condition_any"]))


@cache
def _named_by_score(key: Key, _gold: str, components: tuple[str, ...], conditions: tuple[str, ...]) -> bool:
    score, text = world()[0], own_words(key)
    return bool(score.has_term(text, components) and score.has_term(text, conditions))


def training_walks() -> list[Any]:
    """The training walks."""
    sys.path.insert(0, str(ROOT / "training"))
    from walks import all_walks  # type: ignore[import-not-found]

    return list(all_walks())


def walk_words(walk: Any) -> tuple[list[Word], list[dict[str, Any]]]:
    """A training walk as a stream of words, spoken evenly, with its findings as labels."""
    words: list[Word] = []
    labels = []
    for stretch in walk.stretches:
        a = len(words)
        for text in stretch.text.replace("-", " ").split():
            if norm(text):
                stop = text.rstrip("\"')]")[-1:]
                start = len(words) * SECONDS_A_WORD
                kept = stop if stop in ".?!,;:…" else ""
                words.append(Word(text, norm(text), start, start + SECONDS_A_WORD, 0, "", kept, 0.0, 1))
        if stretch.act == "finding" and len(words) > a:
            span = [a * SECONDS_A_WORD, len(words) * SECONDS_A_WORD]
            labels.append({"id": f"{walk.name}-{a}", "ids": list(stretch.conditions), "spans": [span]})
    return words, labels


def sample(job: tuple[str, Any, str]) -> Sample:
    """Hear one narration (a gold file) or one training walk."""
    kind, what, which = job
    cat = catalogue_of(which)
    if kind == "narration":
        gold = json.loads(what.read_text("utf-8"))
        walk = walks.one(transcript(what, gold["narration"]), gold["narration"], Troubles())
        assert walk is not None
        words, labels, name = stream(walk), gold["findings"], what.name.removesuffix(".gold.json")
    else:
        (words, labels), name = walk_words(what), what.name
    heard = prepare(words, cat)
    seen = look_at(heard, cat)
    spans = [(heard.words[a].start, heard.words[b - 1].end) for a, b in seen.windows]
    told = [_label(start, end, labels) for start, end in spans]
    keys = [(r.condition, r.component, r.fault) for r in seen.rows]
    made = Sample(
        name,
        kind == "narration",
        seen.windows,
        spans,
        seen.shared,
        seen.at,
        seen.own,
        keys,
        np.array([t[0] for t in told]),
        [t[1] for t in told],
        labels,
        len(heard.words),
    )
    made.right = np.zeros(len(keys), bool)
    for n in np.flatnonzero(made.labels == 1.0).tolist():
        for k in range(made.at[n], made.at[n + 1]):
            made.right[k] = names_it(keys[k], labels[made.of[n]])
    return made


def _label(start: float, end: float, labels: Sequence[dict[str, Any]]) -> tuple[float, int]:
    best, of = 0.0, -1
    for number, g in enumerate(labels):
        both = sum(max(0.0, min(end, e) - max(start, s)) for s, e in g["spans"])
        if both <= 0.3:
            continue
        share, cover = both / max(0.1, end - start), both / max(0.1, min(e - s for s, e in g["spans"]))
        value = 1.0 if share >= ON[0] and cover >= ON[1] else 0.5 if share >= NEAR[0] and cover >= NEAR[1] else 0.0
        if value > best:
            best, of = value, number
    return best, of


# -- fitting ---------------------------------------------------------------------------------------------------------


def unpacked(b: Floats, columns: int, hidden: int) -> tuple[Floats, float, Floats, Floats, Floats]:
    """Linear weights, bias, inner weights, inner biases and output weights from one long vector."""
    w, bias, rest = b[:columns], float(b[columns]), b[columns + 1 :]
    inner = rest[: hidden * columns].reshape(hidden, columns)
    return w, bias, inner, rest[hidden * columns : hidden * (columns + 1)], rest[hidden * (columns + 1) :]


def solve(
    x: NDArray[np.float32],
    names: Sequence[str],
    hidden: int,
    ridge: float,
    slope_of: Callable[[Floats], tuple[float, Floats]],
) -> Scorer:
    """The model whose scores make a loss small; `slope_of(scores)` gives the loss and its slope by score."""
    spread = np.maximum(x.std(axis=0).astype(np.float64), LEAST_SPREAD)
    z = (x / spread.astype(np.float32)).astype(np.float32)
    columns = x.shape[1]
    rng = np.random.default_rng(7)
    first = np.zeros((columns + 1) + hidden * (columns + 2))
    if hidden:
        first[columns + 1 : columns + 1 + hidden * columns] = rng.normal(0, 0.15, hidden * columns)
        first[-hidden:] = rng.normal(0, 0.1, hidden)
    penalty = np.full(len(first), ridge)
    penalty[columns] = 0.0
    penalty[columns + 1 : columns + 1 + hidden * columns] *= 0.5

    def loss(b: Floats) -> tuple[float, Floats]:
        w, bias, inner, inner_bias, out = unpacked(b, columns, hidden)
        m = (z @ w.astype(np.float32)).astype(np.float64) + bias
        grad = np.zeros_like(b)
        if hidden:
            h = np.tanh(z @ inner.T.astype(np.float32) + inner_bias.astype(np.float32))
            m = m + (h @ out.astype(np.float32)).astype(np.float64)
        value, slope = slope_of(m)
        s32 = slope.astype(np.float32)
        grad[:columns], grad[columns] = z.T @ s32, slope.sum()
        if hidden:
            back = (s32[:, None] * (1 - h * h)) * out.astype(np.float32)
            grad[columns + 1 : columns + 1 + hidden * columns] = (back.T @ z).ravel()
            grad[columns + 1 + hidden * columns : -hidden] = back.sum(axis=0)
            grad[-hidden:] = h.T @ s32
        return value + 0.5 * float(np.sum(penalty * b * b)), grad + penalty * b

    found: Any = minimize(  # type: ignore[no-untyped-call]
        loss, first, jac=True, method="L-BFGS-B", options={"maxiter": 130 if hidden else 250}
    )
    w, bias, inner, inner_bias, out = unpacked(found.x, columns, hidden)
    return Scorer(tuple(names), w / spread, bias, inner / spread, inner_bias, out)


def fit(
    x: NDArray[np.float32],
    right: Floats,
    weight: Floats,
    names: Sequence[str],
    hidden: int,
    ridge: float,
    dense: NDArray[np.bool_],
) -> Scorer:
    """Whether a row is right. `dense` are rows of training walks: more of what is said there is a fault than in life:
    they have a bias of their own, which is not kept."""

    def slope_of(m: Floats) -> tuple[float, Floats]:
        return float(np.sum(weight * (np.logaddexp(0, m) - right * m))), weight * (1 / (1 + np.exp(-m)) - right)

    made = solve(np.c_[x, dense].astype(np.float32), [*names, "dense"], hidden, ridge, slope_of)
    inner = None if made.inner is None else made.inner[:, :-1]
    return Scorer(tuple(names), made.linear[:-1], made.bias, inner, made.inner_bias, made.out)


def fit_choice(items: Sequence[Sample], hidden: int, ridge: float, worth: float) -> Scorer:
    """Which of several candidates is right: the chance of all right ones together is made as large as it goes."""
    rows, right, starts, weights = [], [], [0], []
    for s in items:
        for n in np.flatnonzero(s.labels == 1.0).tolist():
            part = slice(int(s.at[n]), int(s.at[n + 1]))
            if s.right[part].any() and not s.right[part].all():
                rows.append(s.own[part])
                right.append(s.right[part])
                starts.append(starts[-1] + part.stop - part.start)
                weights.append(worth if s.narration else 1.0)
    x, good, at = np.concatenate(rows), np.concatenate(right), np.array(starts[:-1])
    size, weight = np.diff(starts), np.array(weights)
    group = np.repeat(np.arange(len(size)), size)

    def slope_of(m: Floats) -> tuple[float, Floats]:
        odds = np.exp(m - np.maximum.reduceat(m, at)[group])
        p = odds / np.add.reduceat(odds, at)[group]
        hit = np.add.reduceat(np.where(good, p, 0.0), at) + 1e-12
        value = -float(np.sum(weight * np.log(hit)))
        return value, weight[group] * (p - np.where(good, p / hit[group], 0.0))

    return solve(x, OWN, hidden, ridge, slope_of)


@dataclass(frozen=True)
class Kind:
    """A kind of model: how many hidden units, whether walks join, and what a narration weighs beside a walk."""

    name: str
    hidden: int = 0
    walks: bool = False
    worth: float = 1.0


KINDS = (
    Kind("narrations, linear"),
    Kind("walks too, linear", walks=True, worth=2.0),
    Kind("walks too, 12 hidden", 12, True, 2.0),
    Kind("walks too, 20 hidden", 20, True, 2.0),
)


def _kept(s: Sample) -> NDArray[np.bool_]:
    """The windows to learn from: of the many of a training walk that lie on no label, every so many."""
    keep: NDArray[np.bool_] = s.labels != 0.5
    if not s.narration:
        keep &= (s.labels != 0) | (np.arange(len(keep)) % EVERY == 0)
    return keep


def train(items: Sequence[Sample], kind: Kind) -> tuple[Scorer, Scorer]:
    """The first two models."""
    used = [s for s in items if s.narration or kind.walks]
    keep = [_kept(s) for s in used]
    x = np.concatenate([s.shared[k] for s, k in zip(used, keep, strict=True)])
    right = np.concatenate([s.labels[k] for s, k in zip(used, keep, strict=True)])
    worth = np.concatenate(
        [
            np.full(int(k.sum()), kind.worth) if s.narration else np.where(s.labels[k] == 0, float(EVERY), 1.0)
            for s, k in zip(used, keep, strict=True)
        ]
    )
    dense = np.concatenate([np.full(int(k.sum()), not s.narration) for s, k in zip(used, keep, strict=True)])
    return (
        fit(x, right, worth, SHARED, kind.hidden, RIDGE["window"], dense),
        fit_choice(used, kind.hidden, RIDGE["choice"], kind.worth),
    )


@dataclass
class Made:
    """A draft that two models made of a sample that they did not learn from."""

    evidence: list[float]
    key: Key
    span: tuple[float, float]
    right: float
    worth: float = 1.0


def drafts(s: Sample, by: mentions.Weights) -> tuple[list[Made], Floats]:
    """What models make of a sample, and the chance of each draft."""
    seen = Look(s.windows, s.shared, s.at, [Row(*k) for k in s.keys], s.own)
    told = mentions.judge(seen, by)
    rows = mentions.evidence(seen, by.window(s.shared), told.best)
    out, chance = [], []
    for k in np.searchsorted(told.best.windows, mentions.best_set(s.windows, told.worth, s.words)).tolist():
        key, span = s.keys[int(told.best.row[k])], s.spans[int(told.best.windows[k])]
        near = [g for g in s.gold if world()[0].near([list(span)], g["spans"], 2.0 if s.narration else -0.3)]
        if any("ids" in g and not g["ids"] for g in near):
            continue  # a finding that no condition fits: nothing to judge by
        out.append(Made(rows[k].tolist(), key, span, float(any(names_it(key, g) for g in near))))
        chance.append(1 / (1 + np.exp(-told.sure[k])))
    return out, np.array(chance)


def _silent(table: Any) -> Floats:
    """The third model before there is one."""
    return np.zeros(len(table))


def fit_sure(made: Sequence[tuple[Sample, list[Made]]], kind: Kind) -> Scorer:
    """The third model, from the drafts of samples that were left out."""
    some = [(s, m) for s, each in made for m in each if s.narration or kind.walks]
    x = np.array([m.evidence for _, m in some], np.float32)
    worth = np.array([kind.worth if s.narration else 1.0 for s, _ in some])
    dense = np.array([not s.narration for s, _ in some])
    right = np.array([m.right for _, m in some])
    return fit(x, right, worth, mentions.EVIDENCE, min(8, kind.hidden), RIDGE["sure"], dense)


def counted(s: Sample, made: Sequence[Made], chance: Floats, least: float) -> NDArray[np.intp]:
    """Gold, predicted and matched findings of one narration."""
    score = world()[0]
    groups: dict[Key, list[list[float]]] = {}
    first: dict[Key, Key] = {}
    for m, p in zip(made, chance.tolist(), strict=True):
        if p >= least:
            group = (m.key[0], "", "") if m.key[0] else m.key
            groups.setdefault(group, []).append(list(m.span))
            first.setdefault(group, m.key)
    keys = list(groups)
    fits = [[score.near(groups[k], g["spans"]) and names_it(first[k], g) for k in keys] for g in s.gold]
    pairs = score.one_to_one(len(s.gold), len(keys), lambda i, j: fits[i][j], lambda i, j: 1.0)
    return np.array([len(s.gold), len(keys), len(pairs)])


def pooled(n: NDArray[np.intp]) -> tuple[float, float, float]:
    """Precision, recall and F1 from counts."""
    gold, said, both = n.tolist()
    return both / max(1, said), both / max(1, gold), 2 * both / max(1, gold + said)


HEARD: list[Sample] = []  # what was heard, for the processes that fit


def judged(kind: Kind) -> tuple[float, dict[str, Any], list[str]]:
    """The lesser of precision and recall on narrations left out, the weights from all, and a line for each way
    to decide that was tried."""
    items, lines, began = HEARD, [f"{kind.name}:"], time.time()
    base = {f: train([s for s in items if s.part != f], kind) for f in range(PARTS)}
    taught = [(s, drafts(s, mentions.Weights(*base[s.part], _silent, TAUGHT_AT, 0.0, 0.0))[0]) for s in items]
    sure = {f: fit_sure([(s, m) for s, m in taught if s.part != f], kind) for f in range(PARTS)}
    best: tuple[float, dict[str, float]] = (-1.0, {})
    for weigh, cost in itertools.product(WEIGHS, COSTS):
        total = {least: np.zeros(3, np.intp) for least in LEASTS}
        for s in (s for s in items if s.narration):
            each, chance = drafts(s, mentions.Weights(*base[s.part], sure[s.part], cost, weigh, 0.0))
            for least in LEASTS:
                total[least] += counted(s, each, chance, least)
        for least in LEASTS:
            p, r, value = pooled(total[least])
            lines.append(f"   weigh {weigh:.1f} cost {cost:+.2f} least {least:.2f}: P {p:.3f} R {r:.3f} F1 {value:.3f}")
            if min(p, r) > best[0]:
                best = (min(p, r), {"weigh": weigh, "cost": cost, "least": least})
    window, choice = train(items, kind)
    told = {"window": window.plain(), "choice": choice.plain(), "sure": fit_sure(taught, kind).plain()}
    lines.append(f"{kind.name}: both at least {best[0]:.3f} after {time.time() - began:.0f} s")
    return best[0], {**told, "decide": best[1]}, lines


def gathered(args: argparse.Namespace, which: Sequence[str]) -> list[Sample]:
    """Everything heard: each narration by every ear given, each training walk by the one that never heard it."""
    files = [g for f in args.gold for g in golds(Path(f))]
    jobs: list[tuple[str, Any, str]] = [("narration", g, w) for w in which for g in files]
    if args.folds:
        jobs += [("walk", w, which[zlib.crc32(w.name.encode()) % len(which)]) for w in training_walks()]
    jobs.sort(key=lambda j: j[2])
    with ProcessPoolExecutor(args.jobs) as pool:
        return list(pool.map(sample, jobs, chunksize=4))


def main(argv: Sequence[str]) -> int:
    """Train, report by what was left out, and write where asked."""
    ask = argparse.ArgumentParser()
    ask.add_argument("gold", nargs="+")
    ask.add_argument("--folds", default="", help="folder with the ears 0, 1, ... of training/ear.py --fold")
    ask.add_argument("--write", default="", help="where to write the weights")
    ask.add_argument("--words", action="store_true", help="also the weights without an ear")
    ask.add_argument("--heard", default="", help="keep what was heard in this file, or take it from there")
    ask.add_argument("--jobs", type=int, default=2)
    args = ask.parse_args(argv)
    made: dict[str, Any] = json.loads(TARGET.read_text("utf-8"))
    ears = sorted(str(p) for p in Path(args.folds).iterdir() if p.is_dir()) if args.folds else ["shipped"]
    for name, which in (("ear", ears), *((("words", [""]),) if args.words else ())):
        began = time.time()
        kept_file = Path(f"{args.heard}.{name}") if args.heard else None
        if kept_file and kept_file.exists():
            HEARD[:] = pickle.loads(kept_file.read_bytes())
        else:
            HEARD[:] = gathered(args, which)
            if kept_file:
                kept_file.write_bytes(pickle.dumps(HEARD))
        many = sum(len(s.keys) for s in HEARD)
        print(f"{name}: {len(HEARD)} heard in {time.time() - began:.0f} s, {many} candidates", flush=True)
        kinds = [kind for kind in KINDS if args.folds or not kind.walks]
        results = []
        with ProcessPoolExecutor(min(args.jobs, len(kinds)), multiprocessing.get_context("fork")) as pool:
            for kind, (value, told, lines) in zip(kinds, pool.map(judged, kinds), strict=True):
                results.append((value, told, kind.name))
                print("\n".join(lines), flush=True)
        value, made[name], kept = max(results, key=lambda r: r[0])
        print(f"{name}: kept {kept}; precision and recall at least {value:.3f} on narrations left out", flush=True)
        if args.write:
            Path(args.write).write_text(json.dumps(made, indent=1, sort_keys=True) + "\n", "utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
