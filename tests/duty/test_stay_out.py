"""Go or no-go cards, the watch list, limits: reasons from facts, the law's own numbers, never a clearance."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

import pytest

from kingpost.duty.watch import applies
from kingpost.visit.facts import Alteration, Facts
from kingpost.visit.owed import SafetyCard
from kingpost.visit.record import Limitation

from .seeded import DUTIES, KNOWN, TRADE, Scene, put

CLEARS = re.compile(r"\bsafe\b|all clear|no danger|go ahead|you may (go|enter)", re.IGNORECASE)


def card(scene: Scene, name: str) -> SafetyCard:
    return next(c for c in put(scene).owed.safety if c.id == name)


def test_no_card_clears_anything() -> None:
    for scene in (Scene(), _bad()):
        for c in put(scene).owed.safety:
            words = " ".join((c.says, *(r.says + r.limit for r in c.reasons), *c.not_known, c.out))
            assert not CLEARS.search(words), words
            assert "decide" in c.says


def _bad() -> Scene:
    scene = Scene()
    scene.read("roof_slope", 9.0, "roof_covering", "roof")
    scene.say("Covering's slate and it's wet.", "roof")
    scene.say("Standing water under the wires.", "crawl space")
    scene.facts = {"weather": {"outdoor_f": 50, "wind_mph": 31, "last_rain_h": 1}}
    return scene


def test_reasons_come_from_facts() -> None:
    assert {r.reason for r in card(_bad(), "roof").reasons} == {"unsafe", "weather", "may_damage"}
    says = [r.says for r in card(_bad(), "roof").reasons]
    assert any("8 in 12" in s for s in says) and any("25 mph" in s for s in says) and any("slate" in s for s in says)
    assert [r.says for r in card(_bad(), "crawl").reasons] == ["water stands under wiring"]
    assert card(Scene(), "roof").reasons == ()
    dry = Scene()
    dry.say("Covering isn't wet at all, it's dry.", "roof")
    assert card(dry, "roof").reasons == ()


@pytest.mark.parametrize(
    ("law", "quantity", "value", "applies_", "cited"),
    [
        # 22 TAC §535.228(a)(2)(A): crawl spaces with under 18 in of headroom, or openings under 24 by 18 in
        ("us-tx", "crawl_headroom", 17.0, True, "22 TAC §535.228(a)(2)(A)"),
        ("us-tx", "crawl_headroom", 18.0, False, ""),
        ("us-tx", "access_width", 23.0, True, "22 TAC §535.228(a)(2)(A)"),
        ("us-tx", "access_width", 24.0, False, ""),
        # WAC 308-408C-070(2): under 18 in beneath the joists
        ("us-wa", "crawl_headroom", 17.5, True, "WAC 308-408C-070(2) item 4 as listed"),
        ("us-nc", "crawl_headroom", 17.0, False, ""),  # North Carolina gives no number
    ],
)
def test_the_laws_own_numbers(law: str, quantity: str, value: float, applies_: bool, cited: str) -> None:
    scene = Scene()
    scene.facts = {"standards": (law,)}
    scene.read(quantity, value, "crawl_access", "crawl space")
    mine = [r for r in card(scene, "crawl").reasons if "standard names" in r.says]
    assert bool(mine) is applies_
    assert not cited or [r.clause for r in mine] == [cited]


def test_a_clause_from_memory_is_not_cited_on_a_card() -> None:
    """22 TAC §535.228(d)(2) on attics is from memory in our copy."""
    scene = Scene()
    scene.facts = {"standards": ("us-tx",)}
    scene.read("attic_headroom", 20.0, "attic_hatch", "attic")
    (mine,) = [r for r in card(scene, "attic").reasons if "standard names" in r.says]
    assert mine.unverified and mine.clause == "" and mine.basis == "memory"


def test_every_number_of_a_card_has_a_source() -> None:
    for c in DUTIES.cards.values():
        assert c.minutes > 0 and c.out and c.stays
        for s in c.stays:
            assert TRADE.sources[s.source].basis in ("published", "common_practice", "memory")
            assert s.said or (s.value is not None and s.compare and (s.quantity or s.fact))
            assert s.limit.endswith(".") and s.reason in KNOWN.reasons


def test_a_no_becomes_the_text_of_the_limit() -> None:
    scene = Scene()
    scene.read("roof_slope", 10.0, "roof_covering", "roof")
    r = scene.say("Stayed off it.", "roof", "limitation")
    scene.limits.append(Limitation("l1", r.text, "", ({"remark": r.id},), "", r.text, r.place))
    (asked,) = [m for m in put(scene).owed.matters if m.kind == "limit"]
    assert "steeper than 8 in 12" in asked.says and "code unsafe" in asked.says
    scene.decide("l1", "reword", code="unsafe", text="The roof was not walked: it is too steep to stand on.")
    (limit,) = put(scene).limitations
    assert limit.code == "unsafe" and limit.text.startswith("The roof was not walked")
    assert limit.clause == "11 NCAC 08 .1105(b)(3)" and limit.says and limit.shows and limit.who


def test_a_limit_that_is_none_can_be_set_aside() -> None:
    scene = Scene()
    r = scene.say("Stairs between the levels.", "interior, hall", "limitation")
    scene.limits.append(Limitation("l1", r.text, "", ({"remark": r.id},), "", r.text, r.place))
    scene.decide("l1", "set_aside", why="no limit")
    assert put(scene).limitations == ()


HOUSE = Facts(built=1964, form="split-level", foundation="crawl space", jurisdiction="us-nc")


@pytest.mark.parametrize(
    ("facts", "has", "lacks"),
    [
        ({"built": 1968}, ["aluminum_branch", "lead_paint"], ["corrosive_drywall", "polybutylene"]),
        ({"built": 1928}, ["knob_and_tube", "galvanized_supply"], ["aluminum_branch", "corrugated_gas_tube"]),
        ({"built": 1988}, ["polybutylene", "hardboard_siding"], ["lead_paint", "knob_and_tube"]),
        ({"built": 2006}, ["corrosive_drywall"], ["lead_paint", "polybutylene", "buried_oil_tank"]),
        ({"built": 2006, "jurisdiction": "us-wa"}, ["heater_strap"], ["corrosive_drywall"]),
        ({"built": 1986, "form": "townhouse"}, ["frt_plywood"], []),
        ({"built": 1986}, [], ["frt_plywood"]),
        ({"built": 1928, "alterations": (Alteration("rear addition", 1971),)}, ["aluminum_branch"], []),
        ({"built": 1928, "alterations": (Alteration("water heater", 1971),)}, [], ["aluminum_branch"]),
        ({"built": None}, ["aluminum_branch", "lead_paint"], []),
    ],
)
def test_the_watch_list_fits_the_house(facts: dict[str, Any], has: list[str], lacks: list[str]) -> None:
    """Years as the CPSC's Publication 516 and the EPA's lead table have them, where a source says so."""
    mine = {w.id for w in DUTIES.watch.values() if applies(w, replace(HOUSE, **facts))}
    assert set(has) <= mine and not mine & set(lacks)


def test_watching_is_silent_once_ruled_out() -> None:
    def state(scene: Scene) -> str:
        scene.facts = {"built": 1968}
        silent = put(scene, ["Electrical panel is in the garage"])  # the walk's own word on copper, left out
        return next(w.state for w in silent.owed.watch if w.name == "aluminum branch wiring")

    quiet, told, found, talk = Scene(), Scene(), Scene(), Scene()
    told.say("All the branch circuits are copper.", "garage")
    found.find("aluminum_branch_wiring", "garage")
    talk.say("Some houses of that age, no aluminum though.", "garage", "set_aside", "about another house")
    assert state(told) == "ruled_out" and state(found) == "found"
    assert state(quiet) == state(talk) == "asked"
