"""Houses and verdicts: every provision at its dates. Each .toml here is one check: `check = "..."` and its cases."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path
from typing import Any

import pytest

from kingpost.judge import ask
from kingpost.judge.registry import registry
from kingpost.trade.checks import checks
from kingpost.trade.law import law

HERE = Path(__file__).parent
FILES = [tomllib.loads(p.read_text()) | {"file": p.name} for p in sorted(HERE.glob("*.toml"))]
CASES = [(t["check"], c) for f in FILES for t in f["rules"] for c in t["case"]]


def _pairs(case: dict[str, Any]) -> list[str]:
    given = {**case.get("house", {}), **case.get("reading", {})}
    out = []
    for key, value in given.items():
        text = {True: "yes", False: "no"}.get(value) if isinstance(value, bool) else None
        out.append(f"{key}={text or (value if isinstance(value, str) else json.dumps(value))}")
    return out


@pytest.mark.parametrize(("check", "case"), CASES, ids=[f"{c}: {k['name']}" for c, k in CASES])
def test_case(check: str, case: dict[str, Any]) -> None:
    told = json.loads(ask.run(check, _pairs(case)).as_json())
    for key, wanted in case["expect"].items():
        got = told[key] if key in told else told["computed"][key]
        assert got == wanted, f"{key} is {got}; {told['says']}"
    assert "…" not in told["says"] + "".join(told["how_we_know"].values()), "a sentence has a gap"


def test_every_check_has_cases() -> None:
    assert set(registry()) - {c for c, _ in CASES} == set()


def test_every_rule_with_a_date_is_tried_before_after_and_where_nobody_knows() -> None:
    """For a check under a dated rule (not advice): yes, and no or unknown, must both be met."""
    known, lacking = law(), []
    for name, spec in checks().items():
        dated = [known.provisions[p] for p in spec.provisions if known.provisions[p].kind == "rule"]
        if name not in registry() or not dated or spec.helper or spec.information:
            continue
        seen = {c["expect"].get("in_force_when_built") for n, c in CASES if n == name}
        if not {"yes", "unknown"} <= seen and not {"yes", "no"} <= seen:
            lacking.append(name)
    assert lacking == []
