"""Every check can be reached from readings.csv, with the same verdict as on the command line.

The cases are those of tests/rules and the worked examples of the specifications: each is written down as rows, read
back from the file as a visit is, and run.
"""

from __future__ import annotations

import csv
import io
import json
import tomllib
from collections import Counter
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from kingpost.judge import ask
from kingpost.judge.ask import ALTERED, BUILT
from kingpost.judge.binding import keys_of
from kingpost.judge.evidence import bound, from_rows
from kingpost.judge.registry import registry
from kingpost.judge.run import run
from kingpost.measure import units
from kingpost.trade.checks import CheckSpec, Input, checks
from kingpost.trade.law import law
from kingpost.trade.load import trade
from kingpost.visit import readings
from kingpost.visit.errors import Troubles
from kingpost.visit.facts import Facts
from kingpost.visit.record import Check

TESTS = Path(__file__).parents[1]
Given = dict[str, Any]
MOST_CASES = 6  # of one check; all of them are run by tests/rules


def _cases() -> list[tuple[str, str, Given]]:
    out = []
    for path in sorted((TESTS / "rules").glob("*.toml")):
        for entry in tomllib.loads(path.read_text())["rules"]:
            for case in entry["case"]:
                given = {**case.get("house", {}), **case.get("reading", {})}
                out.append((entry["check"], case["name"], given))
    for name in ("fabric", "services"):
        for e in json.loads((TESTS / f"outside/{name}-examples.json").read_text()):
            out.append((e["check"], e["id"], e["inputs"]))
    return out


def _few(cases: list[tuple[str, str, Given]]) -> list[tuple[str, str, Given]]:
    seen, few = Counter[str](), []
    for case in cases:
        seen[case[0]] += 1
        few += [case] if seen[case[0]] <= MOST_CASES else []
    return few


ALL = _cases()
CASES = _few(ALL)


def _text(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return value if isinstance(value, str) else json.dumps(value)


def _input(spec: CheckSpec, key: str) -> Input | None:
    return next((i for i in spec.inputs if key in (i.name, *i.alias)), None)


def _facts(spec: CheckSpec, given: Given) -> Facts:
    years = [int(v) for k, v in given.items() if k in BUILT + ALTERED and _input(spec, k) is None and str(v).isdigit()]
    return Facts(built=max(years, default=None), jurisdiction=given.get("jurisdiction"))


def _uncertainty(spec: CheckSpec, one: Input, given: Given) -> str:
    for key in (one.u_name, *(f"u_{n}" for n in (one.name, *one.alias))):
        if key in given and _input(spec, key) is None:
            return _text(given[key])
    return "0"


def _row(spec: CheckSpec, one: Input, value: Any, given: Given, quantity: str, component: str) -> dict[str, str]:
    """One input as somebody would write it down: a number with its unit and its uncertainty, or a word."""
    text, u, unit = _text(value), _uncertainty(spec, one, given), ""
    if one.takes == "number" and not isinstance(value, list):
        number, _ = units.read(text, one.unit)
        text, unit, u = repr(number.value), one.unit, repr(number.u) if number.u else u
    if one.takes != "number":
        u = ""
    row = {"place": "kitchen", "component": component, "quantity": quantity}
    return {**row, "value": text, "unit": unit, "uncertainty": u}


def _ran(spec: CheckSpec, rows: list[dict[str, str]], facts: Facts) -> list[Check]:
    out = io.StringIO()
    writer = csv.DictWriter(out, readings.COLUMNS)
    writer.writeheader()
    writer.writerows(rows)
    told = Troubles()
    found, odd = from_rows(readings.read(out.getvalue(), "readings.csv", None, told), trade())
    assert [str(t) for t in (*told.all(), *odd)] == [], rows
    return [c for c in run(bound(found, trade()), facts, trade()) if c.check == spec.id]


@pytest.mark.parametrize(("name", "case", "given"), CASES, ids=[f"{c}: {n}" for c, n, _ in CASES])
def test_rows_give_what_the_command_line_gives(name: str, case: str, given: Given) -> None:
    spec = checks()[name]
    inputs = [(i, v) for k, v in given.items() if (i := _input(spec, k)) is not None and v not in (None, "")]
    if not inputs:
        pytest.skip("nothing was read")
    asked = ask.run(name, [f"{k}={_text(v)}" for k, v in given.items()]).check
    rows = [_row(spec, i, v, given, f"{name}.{i.name}", "") for i, v in inputs]
    (made,) = _ran(spec, rows, _facts(spec, given))
    if asked.missing and not made.missing:  # a visit tries each word that it could be (test_run.py)
        assert "Whichever of these it is" in made.says
        return
    assert (made.verdict, made.standing, made.missing) == (asked.verdict, asked.standing, asked.missing), made.says
    assert made.computed == pytest.approx(asked.computed) if _flat(asked.computed) else True


def _flat(computed: Given) -> bool:
    return all(isinstance(v, (int, float)) and not isinstance(v, bool) for v in computed.values())


# Checks of pure arithmetic, which are not of a part of a house: a row names them in full (`dew-point.…`).
BY_FULL_NAME = {
    "combine-uncertainty", "conformity-probability", "guard-band-verdict", "holding-cost", "needed-uncertainty",
    "vintage-standing",
}  # fmt: skip


def _of(spec: CheckSpec, one: Input) -> str:
    """A part on which the input is read."""
    near = (*one.components, *(c for q in one.quantity for c in law().quantities[q].components), *spec.components)
    return next((c for c in near if c in trade().components), "")


def _natural(spec: CheckSpec, given: Given) -> list[dict[str, str]]:
    """Rows as an inspector would write them: quantities where there are some, else the input's bare name."""
    anchor = next((c for i in (*keys_of(spec), *spec.inputs) if (c := _of(spec, i))), "")
    rows = []
    for key, value in given.items():
        if (one := _input(spec, key)) is None or value in (None, ""):
            continue
        fits = one.quantity and (not one.components or anchor in one.components)
        own = anchor if fits or not one.components else _of(spec, one)
        quantity = one.quantity[0] if one.quantity and (fits or one.reach != "component") else one.name
        several = one.many and quantity in one.quantity and isinstance(value, list)
        for part in value if several else [value]:
            kind = replace(one, kind="number") if several else one
            rows.append(_row(spec, kind, part, given, quantity, own))
    return rows


# A house for the checks whose cases above have less than makes them.
MORE = [("dwelling-load-standard", "plates", {"floor_area_ft2": 1500, "appliances_va": [4500, 1200], "dryer_kw": 5.5})]


def _answered(name: str) -> tuple[Given, Check]:
    """A case of the check in which nothing is missing."""
    for check, _, given in [*MORE, *ALL]:
        if check == name and any(_input(checks()[name], k) for k in given):
            asked = ask.run(name, [f"{k}={_text(v)}" for k, v in given.items()]).check
            if not asked.missing and "jurisdiction" not in given:
                return given, asked
    raise AssertionError("no case in tests/rules answers it")


@pytest.mark.parametrize("name", sorted(set(registry()) - BY_FULL_NAME))
def test_a_check_is_reached_by_what_an_inspector_writes_down(name: str) -> None:
    spec = checks()[name]
    given, asked = _answered(name)
    made = _ran(spec, _natural(spec, given), _facts(spec, given))
    assert made, "no row makes it"
    assert any(not c.missing and c.verdict == asked.verdict for c in made), [(c.inputs, c.says) for c in made]


@pytest.mark.parametrize("name", sorted(registry()))
def test_each_input_that_may_lack_has_its_question(name: str) -> None:
    for one in checks()[name].inputs:
        assert "?" in one.ask and len(one.ask.split()) >= 3, f"{one.name}: {one.ask}"
