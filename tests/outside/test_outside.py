"""Numbers that we did not compute, held against ours. Every .toml here is a table of cases; see anchors in docs."""

from __future__ import annotations

import json
import tomllib
from importlib import import_module
from inspect import getmembers, isclass, isfunction
from pathlib import Path
from pkgutil import iter_modules
from typing import Any

import pytest

import kingpost.measure
from kingpost.judge import ask
from kingpost.measure.conformity import Measured
from kingpost.trade.law import law

HERE = Path(__file__).parent
KINDS = ("worked_example", "published_table", "independent_program", "by_hand", "common_practice", "our_own")
OURS = ("common_practice", "our_own")  # no number of others: customs of the trade, and our own
# Plumbing of the package, not arithmetic of the trade: their own doctests and tests hold them.
NOT_ARITHMETIC = ("limits", "rounding", "units")
# Functions whose outside values need more than a table: the test file that holds each against another program.
ELSEWHERE = {
    "measure.conformity.combine_uncertainty": "tests/measure/test_conformity.py",
    "measure.conformity.sampled_uncertainty": "tests/measure/test_conformity.py",
    "measure.life.holding_cost": "tests/measure/test_life.py",
    "measure.moist_air.dew_point_f": "tests/measure/test_moist_air.py",
    "measure.moist_air.enthalpy_btu_per_lb": "tests/measure/test_moist_air.py",
    "measure.moist_air.humidity_ratio": "tests/measure/test_moist_air.py",
    "measure.moist_air.relative_humidity": "tests/measure/test_moist_air.py",
    "measure.moist_air.wet_bulb_f": "tests/measure/test_moist_air.py",
}


def _cases() -> list[dict[str, Any]]:
    found = []
    for path in sorted(HERE.glob("*.toml")):
        if path.name != "sources.toml":
            found += [{**c, "file": path.name} for c in tomllib.loads(path.read_text())["case"]]
    return found


CASES = _cases()


def _called(case: dict[str, Any]) -> Any:
    """`measure.module.function`, or `check NAME`: its computed values and verdict."""
    if case["call"].startswith("check "):
        pairs = [f"{k}={v if isinstance(v, str) else json.dumps(v)}" for k, v in case["given"].items()]
        told = json.loads(ask.run(case["call"].removeprefix("check "), pairs).as_json())
        return {**told, **told["computed"]}
    module, function = case["call"].rsplit(".", 1)
    given = {k: _argument(v) for k, v in case.get("given", {}).items()}
    args = [_argument(v) for v in case.get("args", [])]
    return getattr(import_module(f"kingpost.{module}"), function)(*args, **given)


def _argument(value: Any) -> Any:
    if isinstance(value, dict) and set(value) == {"value", "u"}:
        return Measured(value["value"], value["u"])
    if isinstance(value, list):
        return [_argument(v) for v in value]
    return value


def _near(got: Any, wanted: Any, within: float, at: str) -> None:
    if isinstance(wanted, dict):
        for key, value in wanted.items():
            have = got[key] if isinstance(got, dict) else getattr(got, key)
            _near(have, value, within, f"{at}.{key}")
    elif isinstance(wanted, list):
        assert len(got) == len(wanted), at
        for index, value in enumerate(wanted):
            _near(got[index], value, within, f"{at}[{index}]")
    elif isinstance(wanted, (int, float)) and not isinstance(wanted, bool):
        value = got.value if isinstance(got, Measured) else got
        assert abs(value - wanted) <= within, f"{at}: {value} is not {wanted} within {within}"
    else:
        assert got == wanted, at


@pytest.mark.parametrize("case", CASES, ids=[f"{c['file'][:-5]}-{i}" for i, c in enumerate(CASES)])
def test_ours_is_theirs(case: dict[str, Any]) -> None:
    assert case["kind"] in KINDS
    assert case["within"] == 0 or case.get("because"), "say why not nearer"
    _near(_called(case), case["expect"], case["within"], case["call"])


def test_every_cited_source_is_known() -> None:
    known = set(law().sources) | set(tomllib.loads((HERE / "sources.toml").read_text()))
    assert {c["source"] for c in CASES if c["kind"] != "common_practice"} - known == set()
    assert not [c for c in CASES if c["kind"] == "common_practice" and "source" in c], "a custom has no document"


def _public() -> set[str]:
    found = set()
    for module in iter_modules(kingpost.measure.__path__):
        if module.name in NOT_ARITHMETIC:
            continue
        loaded = import_module(f"kingpost.measure.{module.name}")
        for name, thing in getmembers(loaded, isfunction):
            if thing.__module__ == loaded.__name__ and not name.startswith("_") and not isclass(thing):
                found.add(f"measure.{module.name}.{name}")
    return found


def test_every_public_function_of_measure_has_a_value_from_outside() -> None:
    held = {c["call"] for c in CASES if c["kind"] not in OURS}
    assert _public() - held - set(ELSEWHERE) == set()


@pytest.mark.parametrize("name", ELSEWHERE)
def test_what_is_held_elsewhere_is_held_there(name: str) -> None:
    assert name.rsplit(".", 1)[1] in (HERE.parents[1] / ELSEWHERE[name]).read_text()
