"""What people write behind a value, and what is refused, with the whole sentence."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kingpost.measure.conformity import Measured
from kingpost.measure.units import KINDS, UnitError, convert, read


@pytest.mark.parametrize(
    ("text", "unit", "value", "u"),
    [
        ("4.0in+-0.1in", "in", 4.0, 0.1),
        ("3/16in", "in", 0.1875, 0.0),
        ("26.2A", "A", 26.2, 0.0),
        ("72", "degF", 72.0, 0.0),
        ("1.5 ft +- 1 in", "in", 18.0, 1.0),
        ("7ft4in", "in", 88.0, 0.0),
        ("7' 4\"", "in", 88.0, 0.0),
        ("7ft4in", "ft", 7.0 + 1 / 3, 0.0),
        ("7 3/4", "in", 7.75, 0.0),
        ("8 1/4 in ± 1/16", "in", 8.25, 0.0625),
        ("4.0in+-0.1", "in", 4.0, 0.1),
        ("1,500 square feet", "sq_ft", 1500.0, 0.0),
        ("20 degC +- 0.5 degC", "degF", 68.0, 0.9),
        ("45 %", "share", 0.45, 0.0),
        ("2 %", "in/ft", 0.24, 0.0),
        ("-3in", "in", -3.0, 0.0),
        ("1/0", "AWG", 0.0, 0.0),
    ],
)
def test_read(text: str, unit: str, value: float, u: float) -> None:
    if unit == "AWG":  # a wire size is a name, not a fraction
        with pytest.raises(UnitError):
            read(text, unit)
        return
    found, _ = read(text, unit)
    assert found.value == pytest.approx(value)
    assert found.u == pytest.approx(u)


@pytest.mark.parametrize(
    ("text", "unit", "told"),
    [
        ("nan", "in", '"nan" is not a number; write it like 8.25in or 8 1/4in'),
        ("inf", "in", '"inf" is not a number; write it like 8.25in or 8 1/4in'),
        ("tall", "in", '"tall" is not a number; write it like 8.25in or 8 1/4in'),
        ("4psi", "in", "psi cannot be given in in; write the value in in"),
        ("4in+-1+-2", "in", '"4in+-1+-2" has more than one +-; write value+-uncertainty'),
        ("4in+--1in", "in", '"4in+--1in" has a negative uncertainty; write +-1'),
        ("1/0in", "in", '"1/0" is not a number; write it like 8.25 or 8 1/4'),
    ],
)
def test_what_cannot_be_read_is_refused_with_the_mend(text: str, unit: str, told: str) -> None:
    with pytest.raises(UnitError) as refused:
        read(text, unit)
    assert str(refused.value) == told


def test_an_unknown_unit_lists_those_known() -> None:
    with pytest.raises(UnitError, match=r'^unit "cubits" is not known; write one of %, A, '):
        read("4 cubits", "in")


@given(st.sampled_from(sorted(KINDS)), st.data(), st.floats(-1e4, 1e4))
def test_there_and_back(kind: str, data: st.DataObject, value: float) -> None:
    units = sorted(KINDS[kind])
    one, other = data.draw(st.sampled_from(units)), data.draw(st.sampled_from(units))
    if "%" in (one, other):
        return  # a percent of a slope and of a whole are two things
    assert convert(convert(value, one, other), other, one) == pytest.approx(value, rel=1e-9, abs=1e-9)


@given(st.floats(-1e6, 1e6), st.floats(0, 1e3))
def test_what_is_printed_is_read(value: float, u: float) -> None:
    assert read(f"{value!r}in+-{u!r}in", "in")[0] == Measured(value, u)


@given(st.floats(-45.0, 45.0))
def test_an_angle_is_a_slope_by_its_tangent(angle: float) -> None:
    assert convert(convert(angle, "deg", "in/12"), "in/12", "deg") == pytest.approx(angle, abs=1e-9)


def test_a_difference_of_temperatures_is_not_a_temperature() -> None:
    assert convert(5.0, "degC", "degF", difference=True) == 9.0
    assert convert(5.0, "degC", "degF") == 41.0
