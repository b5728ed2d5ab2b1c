"""Readings of a visit find their checks: by quantity, component and place; several a house; by the year of the part."""

from __future__ import annotations

from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from kingpost.judge.run import judged_year, run
from kingpost.visit.facts import Alteration, Facts
from kingpost.visit.record import Check, Reading

HOUSE = Facts(built=1964, alterations=(Alteration("rear deck added", 2015),))


def reading(id: str, quantity: str, value: float | str, unit: str, place: str, component: str, **more: Any) -> Reading:
    return Reading(id, quantity, value, unit, more.pop("u", 0.0), place, component, **more)


def checked(*readings: Reading, facts: Facts = HOUSE, **more: Any) -> dict[str, list[Check]]:
    out: dict[str, list[Check]] = {}
    for check in run(readings, facts, **more):
        out.setdefault(check.check, []).append(check)
    return out


def test_what_nothing_was_read_for_is_not_there() -> None:
    assert checked() == {}


def test_a_reading_fills_its_check_and_is_named() -> None:
    vent = reading("q1", "vent_height", 4.0, "in", "roof", "plumbing_vent", u=0.25)
    (check,) = checked(vent)["plumbing-vent-height"]
    assert (check.verdict, check.standing, check.readings) == ("falls_short", "recommendation", ("q1",))


def test_the_unit_of_the_reading_is_converted() -> None:
    (check,) = checked(reading("q1", "vent_height", 0.5, "ft", "roof", "plumbing_vent"))["plumbing-vent-height"]
    assert check.inputs["height_in"] == 6.0


def test_where_nobody_said_how_good_it_is_the_usual_instrument_counts() -> None:
    vent = reading("q1", "vent_height", 5.9, "in", "roof", "plumbing_vent", u=None)
    (check,) = checked(vent)["plumbing-vent-height"]
    assert (check.verdict, check.inputs["u_height_in"]) == ("cannot_tell", 0.25)


def test_two_vents_are_two_checks() -> None:
    found = checked(
        reading("q1", "vent_height", 4.0, "in", "roof", "plumbing_vent"),
        reading("q2", "vent_height", 8.0, "in", "roof", "plumbing_vent"),
    )["plumbing-vent-height"]
    assert [(c.verdict, c.readings) for c in found] == [("falls_short", ("q1",)), ("meets", ("q2",))]
    assert len({c.id for c in found}) == 2


def test_a_general_quantity_fits_only_the_component_that_is_named() -> None:
    assert "plumbing-vent-height" in checked(reading("q1", "height", 4.0, "in", "roof", "plumbing_vent"))
    assert checked(reading("q1", "height", 4.0, "in", "roof", "chimney_cap")) == {}


def test_moisture_of_something_unknown_says_nothing_about_wood() -> None:
    assert "wood-decay-risk" in checked(reading("q1", "moisture_content", 31.0, "%", "crawl", "sill_plate"))
    assert "wood-decay-risk" not in checked(reading("q1", "moisture_content", 31.0, "%", "attic", ""))


def test_risers_of_one_stair_are_one_check() -> None:
    (check,) = checked(
        *(reading(f"q{i}", "riser_height", h, "in", "stairs", "stairs") for i, h in enumerate((7.5, 8.5)))
    )["stair-geometry"]
    assert check.computed["riser_variation_in"] == 1.0
    assert check.readings == ("q0", "q1")


def test_width_and_height_of_one_window_are_one_check_and_the_nearest_in_time_belong_together() -> None:
    found = checked(
        reading("q1", "opening_width", 20.0, "in", "bedroom", "exterior_window", start=10.0),
        reading("q2", "opening_height", 24.0, "in", "bedroom", "exterior_window", start=12.0),
        reading("q3", "opening_width", 30.0, "in", "bedroom", "exterior_window", start=90.0),
        reading("q4", "opening_height", 36.0, "in", "bedroom", "exterior_window", start=92.0),
    )["egress-opening"]
    assert [c.readings for c in found] == [("q1", "q2"), ("q3", "q4")]


def test_what_lacks_an_input_says_what_to_ask() -> None:
    (check,) = checked(reading("q1", "guard_height", 28.0, "in", "porch", "deck_guard"))["guard-height-and-openings"]
    assert (check.verdict, check.missing) == ("cannot_tell", ("drop_in",))
    assert check.says.endswith("How far is the drop beside the guard, at the worst point?")


def test_a_deck_of_2015_on_a_house_of_1964_is_judged_by_2015() -> None:
    height = reading("q1", "guard_height", 28.0, "in", "deck", "deck_guard")
    drop = reading("q2", "guard_drop", 60.0, "in", "deck", "deck")
    (check,) = checked(height, drop)["guard-height-and-openings"]
    assert (check.standing, check.in_force_when_built) == ("deficiency", "yes")


def test_the_year_of_the_part() -> None:
    words = {"deck": ("deck",), "kitchen": ("kitchen",), "roof_covering": ("roof covering", "roof")}
    assert judged_year(HOUSE, "deck", "", lambda w: words.get(w, ())) == 2015
    assert judged_year(HOUSE, "kitchen", "", lambda w: words.get(w, ())) == 1964
    assert judged_year(Facts(), "deck", "", lambda w: words.get(w, ())) is None


def test_a_finding_from_speech_states_a_fact() -> None:
    said = [("deck_ledger_nailed_only", "deck", "deck_ledger", "r7")]
    (check,) = checked(stated=said)["deck-ledger-fasteners"]
    assert (check.verdict, check.standing) == ("falls_short", "deficiency")


def test_what_the_visit_says_of_the_weather_is_used() -> None:
    facts = Facts(built=1964, weather={"outdoor_f": 85})
    (check,) = checked(
        reading("q1", "return_temperature", 75.0, "degF", "hall", "return_air", u=1.0),
        reading("q2", "supply_temperature", 63.0, "degF", "bedroom", "register", u=1.0),
        reading("q3", "relative_humidity", 50.0, "%", "hall", "", u=3.0),
        facts=facts,
    )["cooling-temperature-split"]
    assert check.inputs["outdoor_f"] == 85.0
    assert check.computed["state"] == "low"


def test_a_wire_size_is_a_word() -> None:
    (check,) = checked(
        reading("q1", "breaker_rating", 30.0, "A", "garage", "branch_wiring"),
        reading("q2", "wire_size", 14, "AWG", "garage", "branch_wiring"),
    )["breaker-vs-conductor"]
    assert (check.verdict, check.standing) == ("falls_short", "deficiency")


def test_a_slip_of_the_decimal_point_feeds_no_check() -> None:
    assert checked(reading("q1", "vent_height", 4000.0, "in", "roof", "plumbing_vent")) == {}


@given(st.permutations(range(4)))
def test_the_order_of_readings_changes_no_verdict(order: list[int]) -> None:
    readings = [
        reading("q0", "vent_height", 4.0, "in", "roof", "plumbing_vent"),
        reading("q1", "guard_height", 28.0, "in", "deck", "deck_guard"),
        reading("q2", "guard_drop", 60.0, "in", "deck", "deck"),
        reading("q3", "water_pressure", 104.0, "psi", "basement", "water_pressure"),
    ]
    one = {(c.check, c.verdict, c.id) for c in run(readings, HOUSE)}
    other = {(c.check, c.verdict, c.id) for c in run([readings[i] for i in order], HOUSE)}
    assert one == other


def test_where_only_a_word_is_missing_and_all_agree_there_is_a_verdict() -> None:
    def bearing(inches: float) -> tuple[str, tuple[str, ...]]:
        read = reading("b", "bearing_length", inches, "in", "crawl space", "girder")
        (made,) = [c for c in run((read,), HOUSE) if c.check == "bearing-length"]
        return made.verdict, made.missing

    assert bearing(0.5) == ("falls_short", ())  # too short on wood, on metal and on masonry
    assert bearing(4.0) == ("meets", ())
    assert bearing(2.0) == ("cannot_tell", ("support",))  # enough on wood, not on masonry


def test_a_narrow_chimney_needs_no_cricket_whether_it_has_one_or_not() -> None:
    read = reading("w", "chimney_width", 20.0, "in", "roof", "chimney")
    (made,) = [c for c in run((read,), HOUSE) if c.check == "chimney-cricket"]
    assert (made.verdict, made.missing) == ("not_applicable", ())


def test_gas_that_is_on_is_a_burner_for_the_co_alarm_and_gas_that_is_off_is_nothing() -> None:
    stated = [("co_alarm_missing", "hall", "co_alarm", "r1")]
    for gas, missing in ((True, False), (False, True)):
        (made,) = [c for c in run((), Facts(utilities={"gas": gas}), stated=stated) if c.check == "co-alarm-by-year"]
        assert ("fuel_appliance" in made.missing) is missing
