"""The cost plan against its closed form, and its seed."""

from __future__ import annotations

import pytest

from kingpost.measure.life import Part, holding_cost, replaced_within

FURNACE = Part(4.18, 18.84, 15.0, (4000.0, 5000.0, 6000.0))


def test_holding_cost_is_cost_times_chance_where_one_replacement_is_all_that_fits() -> None:
    expected = 5000.0 * replaced_within(FURNACE.shape, FURNACE.scale_years, FURNACE.age_years, 3.0)
    assert holding_cost([FURNACE], 3.0, "a visit", draws=20000).mean == pytest.approx(expected, rel=0.03)


def test_holding_cost_of_the_same_visit_is_the_same_to_the_last_digit() -> None:
    assert holding_cost([FURNACE], 10.0, "one") == holding_cost([FURNACE], 10.0, "one")
    assert holding_cost([FURNACE], 10.0, "one") != holding_cost([FURNACE], 10.0, "another")


def test_what_is_condemned_counts_in_full_and_now() -> None:
    assert holding_cost([FURNACE._replace(condemned=True)], 0.0, "v").mean == pytest.approx(5000.0, rel=0.02)


def test_costs_that_move_together_spread_wider() -> None:
    several = [FURNACE._replace(condemned=True)] * 5
    apart, together = (holding_cost(several, 0.0, "v", common=c) for c in (0.0, 1.0))
    assert together.p90 > apart.p90
    assert together.mean == pytest.approx(apart.mean, rel=0.02)


def test_discount_and_escalation_undo_one_another() -> None:
    plain, both = (holding_cost([FURNACE], 20.0, "v", rate, rate) for rate in (0.0, 0.04))
    assert both.mean == pytest.approx(plain.mean, rel=1e-9)
