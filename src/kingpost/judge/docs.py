"""docs/checks.md from the data: what each check decides, what it takes, its sources and what they rest on.

Run as `python -m kingpost.judge.docs`; a test fails where the file is not fresh.
"""

from __future__ import annotations

import json
import sys
import tomllib
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import Any

from kingpost.trade.checks import CheckSpec, Input, checks
from kingpost.trade.law import Law, Rule, law

from .registry import registry

BASES = ("published", "common_practice", "memory")
HEAD = """# The checks

Made by `python -m kingpost.judge.docs` from the data; do not edit. How to add one:
[adding-a-check.md](adding-a-check.md). `kingpost check NAME key=value…` runs one; with `--json` it prints everything
that a report would hold.

**basis** of each number: *published* (somebody read it; how it reached us stands with the source), *common practice*
(no source), *memory* (not looked up). Most published values were read in public transcriptions, not in the code books:
hold them against the edition adopted where the house stands before they are cited to a client.
"""


def _numbers(value: Any) -> int:
    """How many values a rule judges by: every leaf of its table."""
    if isinstance(value, Mapping):
        return sum(_numbers(v) for v in value.values())
    if isinstance(value, list):
        return sum(_numbers(v) for v in value)
    return 1


def basis_counts(known: Law, provisions: Iterable[str] | None = None) -> Counter[str]:
    """How many values rest on what (published, common_practice, memory): of those provisions, or of all."""
    found: Counter[str] = Counter()
    for provision in (known.provisions[p] for p in (known.provisions if provisions is None else provisions)):
        for rule in provision.rules:
            table = rule.required if isinstance(rule.required, dict) else {"": rule.required}
            for key, value in table.items():
                source = known.sources[str(rule.source_of.get(key, rule.source))]
                found[source.basis] += _numbers(value)
    return found


def _told(counts: Counter[str]) -> str:
    return ", ".join(f"{counts[b]} {b.replace('_', ' ')}" for b in BASES if counts[b]) or "none"


def _documents(spec: CheckSpec, known: Law) -> str:
    """The documents that a check judges by, each once, in the order of its provisions."""
    rules = [r for p in spec.provisions for r in known.provisions[p].rules]
    ids = [i for r in rules for i in (r.source, *map(str, r.source_of.values())) if i]
    return "; ".join(dict.fromkeys(known.sources[i].document for i in ids)) or "arithmetic alone"


def _table(specs: Sequence[CheckSpec], known: Law, root: Path) -> list[str]:
    """One line for each check: its documents, what its values rest on, its tests."""
    rows = ["| check | sources | basis of its values | tests |", "|---|---|---|---|"]
    for spec in specs:
        counts = basis_counts(known, spec.provisions)
        rows.append(
            f"| [{spec.id}](#{spec.id}) | {_documents(spec, known)} | {_told(counts)} | {_tests(spec.id, root)} |"
        )
    return rows


def _takes(one: Input) -> str:
    what = one.unit or ("/".join(one.choices) if len(one.choices) <= len("yesno") else f"{len(one.choices)} words")
    text = f"`{one.name}` {what or one.takes}"
    if one.optional:
        return text + " (optional)"
    return text + (f" (not with {', '.join(one.unless)})" if one.unless else "")


def _rule(known: Law, rule: Rule) -> str:
    ids = dict.fromkeys([rule.source, *map(str, rule.source_of.values())])
    cited = "; ".join(
        f"{s.document}, {s.section}, {s.edition} — {s.basis.replace('_', ' ')}"
        for s in (known.sources[i] for i in ids if i)
    )
    edition = known.editions[rule.edition]
    return f"{edition.document} {edition.year}: {cited}"


@cache
def _houses(root: Path) -> Counter[str]:
    """How many houses tests/rules holds for each check."""
    files = [tomllib.loads(path.read_text(encoding="utf-8")) for path in sorted((root / "tests/rules").glob("*.toml"))]
    found: Counter[str] = Counter()
    for entry in (e for f in files for e in f["rules"]):
        found[entry["check"]] += len(entry["case"])
    return found


@cache
def _examples(root: Path) -> Counter[str]:
    """How many worked examples of the specifications there are for each check."""
    texts = [
        (root / "tests/outside" / f"{n}-examples.json").read_text(encoding="utf-8") for n in ("fabric", "services")
    ]
    return Counter(e["check"] for t in texts for e in json.loads(t))


@cache
def _outside(root: Path) -> Counter[str]:
    """How many numbers of others tests/outside holds against each check itself; its arithmetic has more."""
    files = [
        tomllib.loads(path.read_text(encoding="utf-8")) for path in sorted((root / "tests/outside").glob("*.toml"))
    ]
    calls = [c["call"] for f in files for c in f.get("case", []) if c["kind"] not in ("our_own", "common_practice")]
    return Counter(c.removeprefix("check ") for c in calls if c.startswith("check "))


def _tests(name: str, root: Path) -> str:
    parts = [(_houses(root)[name], "house"), (_examples(root)[name], "worked example"),
             (_outside(root)[name], "number of others")]  # fmt: skip
    plural = {"house": "houses", "worked example": "worked examples", "number of others": "numbers of others"}
    return ", ".join(f"{n} {what if n == 1 else plural[what]}" for n, what in parts if n)


def _entry(spec: CheckSpec, known: Law, root: Path) -> list[str]:
    kind = "helper, no verdict; " if spec.helper else "information; " if spec.information else ""
    lines = [f"### {spec.id}", "", f"{spec.title}: {spec.says}.", ""]
    lines.append(f"* takes {', '.join(_takes(i) for i in spec.inputs)}")
    for name in spec.provisions:
        provision = known.provisions[name]
        mark = "; a hazard whatever the year" if provision.hazard_now else ""
        mark += "; advice, no rule" if provision.kind == "advice" else ""
        dated = "; ".join(_rule(known, r) for r in provision.rules)
        lines.append(f"* `{name}`{mark}: {dated}. Verified {provision.verified}.")
    lines += [f"* trap: {spec.note}"] if spec.note else []
    lines += [f"* caution: {spec.caution}"] if spec.caution else []
    lines.append(f"* {kind}tests: {_tests(spec.id, root)}")
    return [*lines, ""]


def page(root: Path) -> str:
    """The whole of docs/checks.md."""
    known, specs = law(), [s for s in checks().values() if s.id in registry()]
    counts = basis_counts(known)
    lines = [HEAD, f"{len(specs)} checks, {len(known.provisions)} provisions, {len(known.sources)} sources."]
    resting = sum(1 for s in specs if basis_counts(known, s.provisions)["memory"])
    lines.append(f"Values judged by: {_told(counts)}. {resting} checks hold at least one value from memory.")
    lines += ["", "## All of them", "", *_table(sorted(specs, key=lambda s: s.id), known, root)]
    for system in sorted({s.system for s in specs}):
        lines += ["", f"## {system.replace('_', ' ').capitalize()}", ""]
        for spec in (s for s in specs if s.system == system):
            lines += _entry(spec, known, root)
    return "\n".join(lines).rstrip() + "\n"


def main(root: Path) -> None:
    """Writes docs/checks.md."""
    (root / "docs/checks.md").write_text(page(root), encoding="utf-8")


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else Path.cwd())
