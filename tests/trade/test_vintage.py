"""Every dated boundary in the provisions: the year before, the year of, and the end of what nobody knows.

The table is generated from the data, so a new rule is tried the day it is written. Years are all the law is judged by.
"""

from __future__ import annotations

import tomllib
from itertools import pairwise
from pathlib import Path

import pytest

from kingpost.trade.law import Adoption, Provision, law

LAW = law()
DATES = tomllib.loads((Path(__file__).parent / "dates.toml").read_text())["date"]
DATED = [p for p in LAW.provisions.values() if p.kind == "rule"]
BOUNDARIES = [(p.id, i) for p in DATED for i in range(len(p.rules))]


def _year(provision: Provision, index: int) -> int:
    return LAW.editions[provision.rules[index].edition].year


def _lag(provision: Provision, index: int) -> int:
    family = LAW.families[LAW.editions[provision.rules[index].edition].family]
    return provision.lag_years if provision.lag_years is not None else family.lag_years


@pytest.mark.parametrize(("name", "index"), BOUNDARIES)
def test_where_editions_are_law_at_once_a_rule_begins_in_its_year(name: str, index: int) -> None:
    provision = LAW.provisions[name]
    year, last = _year(provision, index), index == len(provision.rules) - 1
    before, then = LAW.select(name, year - 1, "us-model"), LAW.select(name, year, "us-model")
    older = [i for i in range(index) if _year(provision, i) < year]
    assert before.then == (provision.rules[older[-1]] if older else None)
    assert then.then == provision.rules[index]
    if last:
        untold = not older and provision.before == "not_researched"
        assert (before.in_force, then.in_force) == ("unknown" if untold else "no", "yes")


@pytest.mark.parametrize(("name", "index"), BOUNDARIES)
def test_where_no_day_of_adoption_is_known_the_lag_is_uncertain_and_ends(name: str, index: int) -> None:
    provision = LAW.provisions[name]
    year, lag, rule = _year(provision, index), _lag(provision, index), provision.rules[index]
    sure, last = LAW.select(name, year + lag), index == len(provision.rules) - 1
    if LAW.families[LAW.editions[rule.edition].family].regional:
        assert LAW.select(name, year + lag + 50).then != rule, "a regional code is never taken as adopted"
        return
    newer = [
        r for i, r in enumerate(provision.rules) if i > index and _year(provision, i) + _lag(provision, i) <= year + lag
    ]
    assert sure.then == (newer[-1] if newer else rule)
    if last and lag:
        assert [LAW.select(name, y).in_force for y in (year, year + lag - 1, year + lag)] == [
            "unknown",
            "unknown",
            "yes",
        ]
        assert {LAW.select(name, y).reason for y in (year, year + lag - 1)} == {"window"}


ADOPTED = [
    (p.id, a, j.id) for j in LAW.jurisdictions.values() for a in j.adoptions for p in DATED
    if p.rules[-1].edition == a.edition
]  # fmt: skip


@pytest.mark.parametrize(("name", "adoption", "place"), ADOPTED, ids=[f"{j}-{n}" for n, _, j in ADOPTED])
def test_a_day_of_adoption_makes_law_from_the_year_after(name: str, adoption: Adoption, place: str) -> None:
    year = adoption.effective.year
    assert LAW.select(name, year - 1, place).in_force != "yes"
    assert LAW.select(name, year, place).in_force == "unknown", "the day within the year is not known of a house"
    assert (LAW.select(name, year + 1, place).in_force, LAW.select(name, year + 1, place).reason) == ("yes", "adopted")


@pytest.mark.parametrize("place", [j.id for j in LAW.jurisdictions.values() if j.skipped])
def test_an_edition_that_a_place_left_out_never_becomes_law_there_by_waiting(place: str) -> None:
    left_out = [p.id for p in DATED if p.rules[-1].edition in LAW.jurisdictions[place].skipped]
    assert left_out
    assert {LAW.select(name, 2060, place).in_force for name in left_out} == {"unknown"}


def test_a_late_adoption_does_not_unsettle_what_was_law_long_before() -> None:
    """Texas is listed from the edition of 2020 on; bathrooms have been asked for since 1975."""
    assert LAW.select("gfci_bathroom", 2005, "us-tx").in_force == "yes"


def test_days_of_adoption_follow_their_editions() -> None:
    for place in LAW.jurisdictions.values():
        for one, other in pairwise(
            sorted(place.adoptions, key=lambda a: (LAW.editions[a.edition].family, a.effective))
        ):
            assert one.effective.year >= LAW.editions[one.edition].year
            if LAW.editions[one.edition].family == LAW.editions[other.edition].family:
                assert LAW.editions[one.edition].year < LAW.editions[other.edition].year, place.id


@pytest.mark.parametrize("told", DATES, ids=[d["provision"] for d in DATES])
def test_the_first_rule_has_the_year_that_others_give(told: dict[str, object]) -> None:
    assert _year(LAW.provisions[str(told["provision"])], 0) == told["year"], told["source"]
