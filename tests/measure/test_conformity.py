"""Probabilities and propagated uncertainties against SciPy, and what must always hold."""

from __future__ import annotations

from importlib import import_module
from math import exp, hypot, inf, nan
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kingpost.measure.conformity import (
    Measured,
    combine_uncertainty,
    decide,
    guard_band,
    needed_uncertainty,
    probability_within,
    sampled_uncertainty,
)
from kingpost.measure.limits import OutOfRange

stats: Any = import_module("scipy.stats")
value = st.floats(-1e3, 1e3)
spread = st.floats(1e-3, 1e2)


@given(value, spread, value, st.floats(0, 1e3))
def test_probability_is_that_of_scipy(y: float, u: float, low: float, width: float) -> None:
    theirs = stats.norm.cdf(low + width, y, u) - stats.norm.cdf(low, y, u)
    assert probability_within(y, u, low, low + width) == pytest.approx(theirs, abs=1e-12)


@given(value, spread, value)
def test_at_most_and_at_least_share_all_there_is(y: float, u: float, limit: float) -> None:
    assert probability_within(y, u, high=limit) + probability_within(y, u, low=limit) == pytest.approx(1.0)


@given(value, value)
def test_without_uncertainty_the_plain_comparison_stands(y: float, limit: float) -> None:
    assert probability_within(y, 0.0, high=limit) == (1.0 if y <= limit else 0.0)


@given(value, value)
def test_what_is_said_to_settle_it_settles_it(y: float, limit: float) -> None:
    if abs(y - limit) > 1e-6:
        u = needed_uncertainty(y, limit) * 0.999
        assert decide(probability_within(y, u, high=limit)) != "cannot_tell"


@pytest.mark.parametrize("bad", [nan, inf, -inf])
def test_what_is_no_number_is_refused(bad: float) -> None:
    with pytest.raises(OutOfRange):
        probability_within(bad, 1.0, high=0.0)
    with pytest.raises(OutOfRange):
        probability_within(0.0, bad, high=0.0)


def test_a_negative_uncertainty_is_refused_with_the_mend() -> None:
    with pytest.raises(OutOfRange) as told:
        probability_within(1.0, -0.1, high=2.0)
    assert str(told.value) == "u is -0.1, outside 0 to 1e+300; give one standard uncertainty, not negative"


@pytest.mark.parametrize(
    ("value", "accepting", "rejecting"),
    [
        (7.5, "pass", "pass"),
        (7.7, "pass_inside_guard", "pass"),
        (7.8, "fail", "fail_inside_guard"),
        (7.9, "fail", "fail"),
    ],
)
def test_the_guard_lies_on_the_side_that_is_guarded(value: float, accepting: str, rejecting: str) -> None:
    assert guard_band(value, 0.0625, 7.75, upper=True, against="accepting") == accepting
    assert guard_band(value, 0.0625, 7.75, upper=True, against="rejecting") == rejecting


@given(value, spread, value, spread)
def test_a_sum_adds_in_squares(a: float, ua: float, b: float, ub: float) -> None:
    both = combine_uncertainty(lambda x, y: x + y, [Measured(a, ua), Measured(b, ub)])
    assert both.u == pytest.approx(hypot(ua, ub), rel=1e-6)


def test_one_instrument_that_reads_both_ends_has_no_bias_in_the_difference() -> None:
    ends = [Measured(10.0, 0.01), Measured(4.0, 0.01)]
    assert combine_uncertainty(lambda a, b: a - b, ends, alike=[(0.5, 0.5)]).u == pytest.approx(0.01 * 2**0.5)


def test_where_a_formula_bends_the_samples_see_it_and_scipy_agrees() -> None:
    theirs = stats.lognorm.mean(1.0), stats.lognorm.std(1.0)
    ours = sampled_uncertainty(exp, [Measured(0.0, 1.0)], count=20000)
    assert ours.value == pytest.approx(theirs[0], rel=0.01)
    assert ours.u == pytest.approx(theirs[1], rel=0.1)
    assert combine_uncertainty(exp, [Measured(0.0, 1.0)]).value == 1.0


def test_the_same_samples_every_time() -> None:
    inputs = [Measured(1.0, 0.1), Measured(2.0, 0.3)]
    assert sampled_uncertainty(max, inputs) == sampled_uncertainty(max, inputs)
