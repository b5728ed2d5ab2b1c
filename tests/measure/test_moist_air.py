"""Moist air against PsychroLib over its whole range, and the table of expected splits."""

from __future__ import annotations

import psychrolib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kingpost.measure import moist_air
from kingpost.measure.cooling import expected_split_f
from kingpost.measure.limits import OutOfRange

psychrolib.SetUnitSystem(psychrolib.IP)
PSIA = moist_air.SEA_LEVEL_PSIA
air = st.floats(33.0, 120.0)
share = st.floats(0.05, 0.99)


@given(st.floats(-40.0, 200.0).filter(lambda t: abs(t - 32.0) > 0.05))
def test_saturation_pressure(air_f: float) -> None:
    theirs = psychrolib.GetSatVapPres(air_f)
    assert moist_air.saturation_pressure_psia(air_f) == pytest.approx(theirs, rel=1e-3)


@given(air, share)
def test_humidity_ratio_and_back(air_f: float, rh: float) -> None:
    ours = moist_air.humidity_ratio(air_f, rh)
    assert ours == pytest.approx(psychrolib.GetHumRatioFromRelHum(air_f, rh, PSIA), rel=1.5e-3)
    assert moist_air.relative_humidity(air_f, ours) == pytest.approx(rh, rel=1e-6)


@given(air, share)
def test_enthalpy_btu_per_lb(air_f: float, rh: float) -> None:
    ratio = moist_air.humidity_ratio(air_f, rh)
    theirs = psychrolib.GetMoistAirEnthalpy(air_f, ratio)
    assert moist_air.enthalpy_btu_per_lb(air_f, ratio) == pytest.approx(theirs, abs=0.01)


@given(air, share)
def test_dew_point_f(air_f: float, rh: float) -> None:
    theirs = psychrolib.GetTDewPointFromRelHum(air_f, rh)
    if abs(theirs - 32.0) > 0.5:  # at freezing the two choose ice or water at slightly different points
        assert moist_air.dew_point_f(air_f, rh) == pytest.approx(theirs, abs=0.05)


@given(st.floats(50.0, 110.0), st.floats(0.3, 0.99))
def test_wet_bulb_f(air_f: float, rh: float) -> None:
    theirs = psychrolib.GetTWetBulbFromRelHum(air_f, rh, PSIA)
    if theirs > 33.0:
        assert moist_air.wet_bulb_f(air_f, rh) == pytest.approx(theirs, abs=0.1)


def test_a_percentage_is_refused_with_the_mend() -> None:
    with pytest.raises(OutOfRange) as told:
        moist_air.humidity_ratio(80.0, 45.0)
    assert str(told.value) == "relative_humidity is 45, outside 0 to 1; give a share: 0.45, not 45"


@pytest.mark.parametrize(
    ("return_f", "row"),
    [(70.0, (24, 24, 21, 18, 16)), (75.0, (25, 25, 22, 19, 16)), (80.0, (27, 26, 22, 19, 15))],
)
def test_the_table_of_splits_in_our_specification_comes_out(return_f: float, row: tuple[int, ...]) -> None:
    """It prints whole degrees."""
    for rh, printed in zip((0.3, 0.4, 0.5, 0.6, 0.7), row, strict=True):
        assert expected_split_f(return_f, rh, 85.0) == pytest.approx(printed, abs=0.75)
