"""How well listening hears, how sure it may be, and how fast it is.

    python -m bench.listening                  every set of tests/narrations, calibration, hostile input, speed
    python -m bench.listening --only sets      one part: sets, calibration, hostile, speed
    python -m bench.listening --misses SET     the worst misses of one set (of kept sets only by who does not build)
    python -m bench.listening --more FOLDER    a further folder of narrations with gold labels

`tuned` and `tuned2` are learned from, so their figures show what was learned; `kept` and `kept2` never are.
"""

from __future__ import annotations

import argparse
import json
import math
import random
import resource
import sys
import time
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tests.narrations import SCORER

from kingpost.inspection import inspect
from kingpost.listen.catalogue import catalogue
from kingpost.listen.hear import hear
from kingpost.trade.load import load
from kingpost.visit import walks
from kingpost.visit.errors import Troubles
from kingpost.visit.facts import Cue, Facts, Visit, Walk
from kingpost.visit.record import plain

NARRATIONS = Path(__file__).parents[1] / "tests" / "narrations"
KEPT = ("kept", "kept2")
SETS = ("tuned", "tuned2", *KEPT)
BINS = 6
WORST = 10


@dataclass(frozen=True)
class Told:
    """One labelled narration and what the product made of it."""

    name: str
    gold: dict[str, Any]
    record: dict[str, Any]


def labelled(folder: Path) -> Iterator[tuple[str, dict[str, Any], Walk]]:
    """Name, labels and walk of each narration of a folder."""
    for file in sorted(folder.glob("*.gold.json")):
        gold = json.loads(file.read_text("utf-8"))
        walk = walks.one(file.with_name(Path(gold["narration"]).name), gold["narration"], Troubles())
        if walk is not None:
            yield file.name.removesuffix(".gold.json"), gold, walk


def told(folder: Path) -> list[Told]:
    """Every narration of a folder through the front door."""
    return [
        Told(name, gold, plain(inspect(Visit(Path(), Facts(started=walk.started), (walk,)))))
        for name, gold, walk in labelled(folder)
    ]


def figures(some: Sequence[Told]) -> dict[str, float]:
    """The scorer's figures, pooled."""
    total: Counter[str] = Counter()
    for t in some:
        counts, _ = SCORER.score(t.record, t.gold)
        total.update(counts)
    made: dict[str, float] = SCORER.figures(total)
    return made | {k: float(v) for k, v in total.items()}


def sets(folders: Sequence[Path]) -> list[str]:
    """A line a set."""
    rows = ["| set | findings | P | R | F1 | standing | place | readings | limits | as found | inside not-findings |"]
    rows.append("|---" * 11 + "|")
    for folder in folders:
        f = figures(told(folder))
        share = [f"{f[k]:.2f}" for k in ("precision", "recall", "f1", "standing", "place")]
        rest = [f"{f[k]:.2f}" for k in ("readings", "limitations", "as_found")]
        rows.append(
            "| "
            + " | ".join([folder.name, f"{f['gold']:.0f}", *share, *rest, f"{f['false_in_not_findings']:.0f}"])
            + " |"
        )
    return rows


def sureness(folders: Sequence[Path]) -> list[tuple[float, bool]]:
    """For each finding of the record: its confidence, and whether it is a labelled one."""
    out = []
    for folder in folders:
        for t in told(folder):
            rec: Any = SCORER.Record(t.record, t.gold["narration"])
            for f in t.record["findings"]:
                spans: Any = rec.spans(f)
                own: Any = rec.own_words(f)
                right = any(spans and SCORER.could_match(rec, f, spans, own, g) for g in t.gold["findings"])
                out.append((float(f["confidence"]), right))
    return out


def calibration(folders: Sequence[Path]) -> list[str]:
    """A reliability table, and how far confidence and truth lie apart on the whole (expected calibration error)."""
    pairs = sorted(sureness(folders))
    rows = ["| confidence | findings | said | true |", "|---|---|---|---|"]
    apart = 0.0
    size = math.ceil(len(pairs) / BINS)
    for at in range(0, len(pairs), size):
        part = pairs[at : at + size]
        said, true = sum(p for p, _ in part) / len(part), sum(r for _, r in part) / len(part)
        apart += abs(said - true) * len(part) / len(pairs)
        rows.append(f"| {part[0][0]:.2f} to {part[-1][0]:.2f} | {len(part)} | {said:.2f} | {true:.2f} |")
    rows.append(
        f"expected calibration error {apart:.3f} over {len(pairs)} findings of {', '.join(f.name for f in folders)}"
    )
    return rows


def misses(folder: Path) -> list[str]:
    """The missed findings that weigh most: those where people may be hurt first."""
    lines = []
    for t in told(folder):
        rec: Any = SCORER.Record(t.record, t.gold["narration"])
        made = [(f, rec.spans(f), rec.own_words(f)) for f in t.record["findings"]]
        for g in t.gold["findings"]:
            if not any(s and SCORER.could_match(rec, f, s, o, g) for f, s, o in made):
                near = [f["title"] for f, s, _ in made if s and SCORER.near(s, g["spans"], 0.0)]
                said = " ".join(
                    r["text"]
                    for r in t.record["remarks"]
                    if any(r["start"] < e and s < r["end"] for s, e in g["spans"])
                )
                why = f"taken for: {near[0]}" if near else "not taken for a finding"
                lines.append((not g.get("people_hurt"), f"{t.name}: {said[:160]} | {why}"))
    return [line for _, line in sorted(lines)[:WORST]]


def _walk(text: str) -> Walk:
    return Walk("walk/walk.txt", (Cue("walk/walk.txt", 1, 0.0, 0.36 * len(text.split()), text),))


def hostile() -> list[str]:
    """Input that nobody would say: seconds of processor and what came of it."""
    rng = random.Random(4)
    letters = "etaoinshrdlucmfwypvbgkjqxz"
    noise, size = list[str](), 0
    while size < 1_000_000:
        word = "".join(rng.choice(letters) for _ in range(rng.randint(2, 9)))
        noise.append(word)
        size += len(word) + 1
    sentence = "The downspout at the rear corner is disconnected. "
    foreign = (
        "Das Dach ist in gutem Zustand, die Regenrinne hängt durch und im Keller steht das Wasser. Die Treppe hat "
        "keinen Handlauf. Der Zähler ist neu. "
    ) * 60
    rows = ["| input | words | processor s | findings |", "|---|---|---|---|"]
    for name, text in (
        ("1 MB of random words", " ".join(noise)),
        ("one sentence 10,000 times", sentence * 10_000),
        ("empty", ""),
        ("German", foreign),
    ):
        began = time.process_time()
        record = inspect(Visit(Path(), Facts(), (_walk(text),)))
        rows.append(f"| {name} | {len(text.split()):,} | {time.process_time() - began:.1f} | {len(record.findings)} |")
    return rows


def speed() -> list[str]:
    """Words per second on one core after load, by length: processor time, so that a busy machine matters less."""
    began = time.process_time()
    trade = load()
    catalogue(trade)
    loaded = time.process_time() - began
    text = [w for folder in SETS[:2] for _, _, w in labelled(NARRATIONS / folder)]
    hear(text[:1], trade)
    rows = [f"load {loaded:.2f} s of processor", "| words | processor s | words/s |", "|---|---|---|"]
    for times in (1, 2, 4):
        cues = [c for w in text for c in w.cues] * times
        one = Walk(
            "walk/walk.vtt", tuple(Cue(c.source, n + 1, n * 6.0, n * 6.0 + 6, c.text) for n, c in enumerate(cues))
        )
        began = time.process_time()
        made = hear([one], trade)
        used = time.process_time() - began
        rows.append(f"| {made.words:,} | {used:.2f} | {made.words / used:,.0f} |")
    rows.append(f"peak memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")
    return rows


def main(argv: Sequence[str]) -> int:
    """Measure and print."""
    ask = argparse.ArgumentParser(prog="python -m bench.listening")
    ask.add_argument("--only", choices=("sets", "calibration", "hostile", "speed"))
    ask.add_argument("--misses", default="", metavar="SET")
    ask.add_argument("--more", default="", metavar="FOLDER")
    args = ask.parse_args(argv)
    if args.misses:
        folder = NARRATIONS / args.misses if (NARRATIONS / args.misses).is_dir() else Path(args.misses)
        print("\n".join(misses(folder)))
        return 0
    folders = [NARRATIONS / name for name in SETS] + ([Path(args.more)] if args.more else [])
    kept = [NARRATIONS / name for name in KEPT]
    parts = {
        "sets": lambda: sets(folders),
        "calibration": lambda: calibration(kept),
        "hostile": hostile,
        "speed": speed,
    }
    for name, part in parts.items():
        if args.only in (None, name):
            print(f"\n## {name}\n")
            print("\n".join(part()), flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
