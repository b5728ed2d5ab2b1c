"""Refusals: whole sentences, nothing clamped, nan refused."""

from __future__ import annotations

from math import inf, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kingpost.measure.conformity import Measured, combine_uncertainty
from kingpost.measure.floors import best_plane
from kingpost.measure.limits import OutOfRange, among, within
from kingpost.measure.rounding import plain_number
from kingpost.measure.slope import slope_in_12
from kingpost.measure.tables import between


@pytest.mark.parametrize("value", [nan, inf, -inf, -0.01, 1.01])
def test_outside_is_refused(value: float) -> None:
    with pytest.raises(OutOfRange):
        within("share", value, 0.0, 1.0)


@pytest.mark.parametrize("value", [0.0, 1.0, 0.5])
def test_the_limits_themselves_are_allowed(value: float) -> None:
    within("share", value, 0.0, 1.0)


def test_a_run_of_nothing_is_refused_with_the_mend() -> None:
    with pytest.raises(OutOfRange) as told:
        slope_in_12(rise_in=4.0, run_in=0.0)
    assert str(told.value) == "run_in is 0, outside 0.5 to 600; give the level run, in inches"


def test_an_unknown_word_lists_those_known() -> None:
    with pytest.raises(ValueError, match="metal is Fe; known: Cu, Al"):
        among("metal", "Fe", ("Cu", "Al"))


@given(st.floats(6.0, 18.0))
def test_a_table_never_leaves_its_printed_values(x: float) -> None:
    ys = [30, 23, 18, 15, 13, 11, 10]
    assert 10 <= between(x, [6, 8, 10, 12, 14, 16, 18], ys) <= 30


@pytest.mark.parametrize("x", [5.99, 18.01])
def test_a_table_is_never_stretched(x: float) -> None:
    with pytest.raises(OutOfRange):
        between(x, [6, 18], [30, 10])


tilt = st.floats(-0.2, 0.2)


@given(tilt, tilt, st.floats(-5, 5))
def test_a_plane_is_found_again(b: float, c: float, a: float) -> None:
    points = [(x, y, a + b * x + c * y) for x in (0.0, 7.0, 13.0) for y in (0.0, 5.0, 11.0)]
    plane = best_plane(points)
    assert plane.slope_x_in_per_ft == pytest.approx(b, abs=1e-9)
    assert plane.slope_y_in_per_ft == pytest.approx(c, abs=1e-9)
    assert plane.rms_residual_in == pytest.approx(0.0, abs=1e-7)


def test_the_doubt_of_a_tilt_is_that_of_its_heights() -> None:
    places = [(x, y) for x in (0.0, 7.0, 13.0) for y in (0.0, 5.0, 11.0)]
    heights = [Measured(-0.04 * x - 0.03 * y, 0.05) for x, y in places]

    def tilt_of(*z: float) -> float:
        return best_plane([(x, y, h) for (x, y), h in zip(places, z, strict=True)]).tilt_percent

    by_hand = combine_uncertainty(tilt_of, heights)
    plane = best_plane([(x, y, h.value) for (x, y), h in zip(places, heights, strict=True)], u_z_in=0.05)
    assert plane.u_tilt_percent == pytest.approx(by_hand.u, rel=1e-3)


@given(st.floats(-1e9, 1e9))
def test_a_number_for_people_keeps_four_figures(value: float) -> None:
    shown = float(plain_number(value).replace(",", ""))
    assert shown == pytest.approx(value, rel=6e-4)
