"""The worked examples of the two specifications of checks, run as `kingpost check ID k=v… --json` would run them."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from kingpost.judge import ask
from kingpost.judge.registry import registry

HERE = Path(__file__).parent
EXAMPLES = [e for n in ("fabric", "services") for e in json.loads((HERE / f"{n}-examples.json").read_text())]
# Checks with an example and no logic yet. It only ever gets shorter, and ends empty.
NOT_YET: tuple[str, ...] = tuple((HERE / "not_yet.txt").read_text().split())


def pairs(inputs: dict[str, Any]) -> list[str]:
    """Inputs of an example as they stand on the command line."""
    return [f"{k}={v if isinstance(v, str) else json.dumps(v)}" for k, v in inputs.items()]


def _tolerance(key: str, wanted: float, tolerance: Any) -> float:
    if not isinstance(tolerance, dict):
        return 1e-9
    if key in tolerance:
        return float(tolerance[key])
    if "between_methods" in tolerance and "cross_check" in key:
        return float(tolerance["between_methods"]) * abs(wanted)
    for name, value in tolerance.items():
        if key.endswith("_" + name) or key.startswith(name):
            return float(value)
    if "relative" in tolerance:
        return float(tolerance["relative"]) * abs(wanted)
    decimals = len(str(wanted).partition(".")[2])
    return 0.5 * 10.0**-decimals + 1e-9  # as printed


def _compare(key: str, got: Any, wanted: Any, tolerance: Any) -> None:
    if isinstance(wanted, list):
        assert isinstance(got, list) and len(got) == len(wanted), key
        for one, other in zip(got, wanted, strict=True):
            _compare(key, one, other, tolerance)
    elif isinstance(wanted, dict):
        for name, value in wanted.items():
            _compare(key, got[name], value, tolerance)
    elif isinstance(wanted, (int, float)) and not isinstance(wanted, bool):
        assert abs(float(got) - wanted) <= _tolerance(key, float(wanted), tolerance), f"{key}: {got}, not {wanted}"
    elif isinstance(wanted, str) and "_or_" in wanted and wanted not in (got, str(got)):
        assert got in wanted.split("_or_"), key
    else:
        assert got == wanted, key


@pytest.mark.parametrize("example", EXAMPLES, ids=[e["id"] for e in EXAMPLES])
def test_example(example: dict[str, Any]) -> None:
    if example["check"] not in registry():
        assert example["check"] in NOT_YET
        return
    told = json.loads(ask.run(example["check"], pairs(example["inputs"])).as_json())
    for key, wanted in example["expected"].items():
        got = told["computed"][key] if key in told["computed"] else told[key]
        _compare(key, got, wanted, example["tolerance"])
    assert "…" not in told["says"] + "".join(told["how_we_know"].values())


def test_what_is_not_there_yet_is_listed() -> None:
    missing = {e["check"] for e in EXAMPLES} - set(registry())
    assert set(NOT_YET) == missing, "take the new ones out of not_yet.txt"
