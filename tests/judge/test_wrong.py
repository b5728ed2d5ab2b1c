"""Wrong input to every check and every input: refused in one sentence with the mend, nothing clamped, no traceback."""

from __future__ import annotations

import json
import math
import tomllib
from pathlib import Path
from typing import Any

import pytest

from kingpost.judge import ask
from kingpost.judge.values import limits_of
from kingpost.measure.rounding import plain_number
from kingpost.measure.units import KNOWN
from kingpost.trade.checks import CheckSpec, Input, checks
from kingpost.trade.law import law

RULES = Path(__file__).parents[1] / "rules"
NUMBERS = [(s, i) for s in checks().values() for i in s.inputs if i.takes in ("number", "list")]
CHOICES = [(s, i) for s in checks().values() for i in s.inputs if i.takes in ("choice", "yes_no")]
TABLES = [(s, i) for s in checks().values() for i in s.inputs if i.takes == "json"]
NOT_NUMBERS = ("nan", "inf", "-inf", "1e999", "soon", "four", "4.0.1", "--3", "0x10", "1_0", "٣", "3/0", "1 2 3", "+-1")
OF_ANYTHING = ("conformity-probability", "guard-band-verdict", "needed-uncertainty")  # of any quantity
NOT_TABLES = ("nan", "[nan]", "soon", "[1, 2", "{'a': 1}", "[Infinity]")
ODD_TABLES = ("7", '"x"', "[]", "{}", "[[]]", '["x"]', "[-1]", "[[-1, -1]]", "[null]", '[{"x": 1}]', "[[1e300]]")


def refused(check: str, *given: str) -> str:
    """The one sentence with which it is refused."""
    with pytest.raises(ask.AskError) as wrong:
        ask.run(check, given)
    told = str(wrong.value)
    assert "\n" not in told and "; " in told and not told.endswith("; "), told
    return told


def ids(pairs: list[tuple[CheckSpec, Input]]) -> list[str]:
    return [f"{s.id} {i.name}" for s, i in pairs]


@pytest.mark.parametrize(("spec", "one"), NUMBERS, ids=ids(NUMBERS))
def test_a_number_that_is_none_is_refused(spec: CheckSpec, one: Input) -> None:
    kind = KNOWN.get(one.unit)
    alien = next(u for u in ("psi", "A") if KNOWN[u] != kind)
    for text in (*NOT_NUMBERS, "5 bananas", f"5 {alien}"):
        assert one.name in refused(spec.id, f"{one.name}={text}")


@pytest.mark.parametrize(("spec", "one"), NUMBERS, ids=ids(NUMBERS))
def test_a_number_far_outside_is_refused_and_not_clamped(spec: CheckSpec, one: Input) -> None:
    low, high = limits_of(one, law().quantities)
    assert math.isfinite(low) and math.isfinite(high), "it has no limit; add low or high to the input"
    assert low >= 0 or -low <= 1e5 or spec.id in OF_ANYTHING, "a negative value has to mean something"
    for value in (low - 1 - abs(low), high * 10 + 1, -1e13, 1e13):
        told = refused(spec.id, f"{one.name}={value!r}")
        assert one.name in told and plain_number(value) in told and "write " in told
    assert "uncertainty" in refused(spec.id, f"{one.name}={(low + high) / 2!r}+--1")


@pytest.mark.parametrize(("spec", "one"), CHOICES, ids=ids(CHOICES))
def test_a_word_that_is_none_of_the_choices_is_refused(spec: CheckSpec, one: Input) -> None:
    for text in ("perhaps", "nan", "-1", "12.5"):
        assert one.name in refused(spec.id, f"{one.name}={text}")


@pytest.mark.parametrize(("spec", "one"), TABLES, ids=ids(TABLES))
def test_a_table_that_cannot_be_read_is_refused(spec: CheckSpec, one: Input) -> None:
    for text in NOT_TABLES:
        assert one.name in refused(spec.id, f"{one.name}={text}")


def _whole() -> list[tuple[str, dict[str, Any]]]:
    """For each check one house that its rules are tried on, with the most inputs."""
    out: dict[str, dict[str, Any]] = {}
    for path in sorted(RULES.glob("*.toml")):
        for entry in tomllib.loads(path.read_text())["rules"]:
            for case in entry["case"]:
                given = case.get("reading", {})
                if len(given) >= len(out.get(entry["check"], {})):
                    out[entry["check"]] = given
    return sorted(out.items())


def _pair(name: str, value: Any) -> str:
    text = {True: "yes", False: "no"}[value] if isinstance(value, bool) else value
    return f"{name}={text if isinstance(text, str) else json.dumps(text)}"


@pytest.mark.parametrize(("name", "given"), _whole(), ids=[n for n, _ in _whole()])
def test_the_ends_of_every_input_give_an_answer_and_never_a_traceback(name: str, given: dict[str, Any]) -> None:
    spec = checks()[name]
    for one in spec.inputs:
        ends: tuple[str, ...] = ODD_TABLES if one.takes == "json" else ()
        if one.takes in ("number", "list"):
            low, high = limits_of(one, law().quantities)
            ends = tuple(repr(v) for v in dict.fromkeys((low, high, min(high, max(low, 0.0)))))
        for text in ends:
            pairs = [_pair(k, v) for k, v in given.items() if k not in (one.name, *one.alias)]
            try:
                told = ask.run(name, [*pairs, f"{one.name}={text}"]).check
            except ask.AskError as wrong:
                assert "\n" not in str(wrong)
                continue
            assert told.says and "…" not in told.says, (one.name, text, told.says)
            for value in told.computed.values():
                assert not (isinstance(value, float) and math.isnan(value)), (one.name, text)
