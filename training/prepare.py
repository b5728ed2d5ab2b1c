"""Gathers everything the ear learns from into one file, training/build/data.json: the catalogue's phrases, the corpus,
and the narrations that may be learned from (never those kept back).

    python training/prepare.py [NARRATION_FOLDER ...]
"""

from __future__ import annotations

import importlib.util
import json
import sys
from pathlib import Path
from typing import Any

from check_corpus import ACTS as NOT_FAULTS
from check_corpus import rows
from walks import TrainingWalk, all_walks

from kingpost.judge.findings import Group, finding, menders
from kingpost.listen.hear import Draft
from kingpost.listen.words import Word, stream
from kingpost.trade.load import load
from kingpost.trade.model import Trade
from kingpost.visit import walks
from kingpost.visit.errors import Troubles
from kingpost.visit.record import plain

ROOT = Path(__file__).parent.parent
BUILD = ROOT / "training/build"
ACTS = (
    "finding praise description tip hypothetical other_house safety_talk banter correction limitation handling question"
).split()
WHY = {"safety talk": "safety_talk", "corrected": "correction", "other house": "other_house"}


def scorer() -> Any:
    """The scorer of the narrations, as a module."""
    spec = importlib.util.spec_from_file_location("score_listen", ROOT / "tests/narrations/score_listen.py")
    assert spec and spec.loader
    module = importlib.util.module_from_spec(spec)
    sys.modules["score_listen"] = module
    spec.loader.exec_module(module)
    return module


def own_words(trade: Trade, score: Any) -> dict[str, str]:
    """For each condition the words that a finding of it would carry."""
    mender, out = menders(trade), {}
    for c in trade.conditions.values():
        draft = Draft(c.id, c.component, c.fault, "", "house", 0.0, (), 0.0, 1.0, "", "")
        made = plain(finding(Group(c.id, c.component, c.fault, [draft]), trade, [], mender))
        told = {k: made[k] for k in ("title", "component", "condition", "narrative")}
        told["narrative"].pop("how_we_know")
        out[c.id] = score.clean(" | ".join(score.strings_in(told)))
    return out


def _at(words: list[Word], time: float) -> int:
    return min(range(len(words)), key=lambda k: abs(words[k].start - time))


def golds(path: Path) -> list[Path]:
    """One gold file, or all of a folder."""
    return [path] if path.is_file() else sorted(path.glob("*.gold.json"))


def transcript(gold: Path, name: str) -> Path:
    """The words that a gold file labels: beside it, or in the example of the same name."""
    beside = gold.with_name(Path(name).name)
    return beside if beside.exists() else ROOT / "examples" / gold.name.removesuffix(".gold.json") / "walk" / name


def labelled(gold: Path, trade: Trade, score: Any, own: dict[str, str]) -> dict[str, Any]:
    """One narration as words with spans: (start, end, act, conditions that would be right)."""
    data = json.loads(gold.read_text("utf-8"))
    walk = walks.one(transcript(gold, data["narration"]), data["narration"], Troubles())
    assert walk is not None
    words = stream(walk)
    spans: list[tuple[int, int, str, list[str]]] = []

    def add(span: list[float], act: str, right: list[str]) -> None:
        a, b = _at(words, span[0] + 0.05), _at(words, span[1] + 0.05)
        spans.append((a, max(a + 1, b), act, right))

    for f in data["findings"]:
        right = [
            c
            for c, text in own.items()
            if score.has_term(text, f["component_any"]) and score.has_term(text, f["condition_any"])
        ]
        for span in f["spans"]:
            add(span, "finding", right)
    for n in data["not_findings"]:
        for span in n["spans"]:
            add(span, WHY.get(n["why"], n["why"]), [])
    for key, act in (("limitations", "limitation"), ("as_found", "handling")):
        for n in data[key]:
            for span in n["spans"]:
                add(span, act, [])
    return {
        "name": gold.name.removesuffix(".gold.json"),
        "words": [w.text for w in words],
        "gaps": [round(w.gap, 2) for w in words],
        "speakers": [w.speaker for w in words],
        "spans": spans,
    }


def walked(walk: TrainingWalk) -> dict[str, Any]:
    """A training walk in the form of a labelled narration; what has no label is description."""
    words: list[str] = []
    spans: list[tuple[int, int, str, list[str]]] = []
    for s in walk.stretches:
        new = s.text.replace("-", " ").split()
        spans.append((len(words), len(words) + len(new), s.act or "description", list(s.conditions)))
        words += new
    return {"name": walk.name, "words": words, "gaps": [], "speakers": [], "spans": spans}


def main() -> int:
    """Write data.json."""
    trade, score = load(), scorer()
    own = own_words(trade, score)
    corpus = [
        (label, text) for path in sorted((ROOT / "training/corpus").glob("*.tsv")) for _, label, text in rows(path)
    ]
    items = [(c.id, text) for c in trade.conditions.values() for text in c.said]
    items += [(a.id + ":x", text) for a in trade.acts.values() for text in a.examples if a.id in NOT_FAULTS]
    data = {
        "acts": ACTS,
        "conditions": {
            c.id: {"component": c.component, "fault": c.fault, "title": c.title} for c in trade.conditions.values()
        },
        "utterances": items + corpus,
        "places": [s for p in trade.places.values() for s in p.said if "..." not in s and "|" not in s],
        "components": {
            c.id: sorted({c.name, *(t for t in c.said if "..." not in t and "|" not in t)})
            for c in trade.components.values()
        },
        "walks": [walked(w) for w in all_walks()],
        "narrations": [],  # none is learned from, so that the ranker meets them fresh
        "heldout": [labelled(g, trade, score, own) for f in sys.argv[1:] for g in golds(Path(f))],
    }
    BUILD.mkdir(exist_ok=True)
    (BUILD / "data.json").write_text(json.dumps(data), "utf-8")
    print(f"{len(items)} phrases, {len(corpus)} corpus lines, {len(data['heldout'])} narrations to judge by")
    return 0


if __name__ == "__main__":
    sys.exit(main())
