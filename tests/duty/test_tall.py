"""The second scenario (issue 7): a key written from the law's text before it ran; docs/preflight.md tells of it.

The walk is taken as a perfect listener would hear it, so that what is owed is scored apart from listening; the whole
chain, from the narration on, is held to the same bounds in what it hides and what it makes up.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from kingpost.duty.told import tells
from kingpost.visit.record import Remark

from . import tall
from .seeded import DUTIES, KNOWN, TRADE, Scene, put

GAPS, FALSE_GAPS, LOOPS, CONTRADICTIONS, NUISANCE = 0.99, 0.05, 0.98, 0.95, 3  # issue 7


def test_gaps_and_hardly_a_false_one() -> None:
    s = tall.gaps(tall.record(right=True))
    assert len(s.wanted) == 26
    assert s.share >= GAPS, s.missed
    assert len(s.false) / (len(s.wanted) + len(s.false)) < FALSE_GAPS, s.false


def test_loops_left_open() -> None:
    s = tall.loops(tall.record(right=True))
    assert s.share >= LOOPS and s.false == [], (s.missed, s.false)


def test_contradictions() -> None:
    s = tall.clashes(tall.record(right=True))
    assert len(s.wanted) == 22 and s.share >= CONTRADICTIONS, s.missed


def test_the_whole_chain_from_the_narration_on() -> None:
    scored = tall.scored()
    gaps = scored["gaps"]
    assert gaps.share >= GAPS, gaps.missed
    assert len(gaps.false) / (len(gaps.wanted) + len(gaps.false)) < FALSE_GAPS, gaps.false
    assert scored["loops"].share >= LOOPS and scored["loops"].false == [], scored["loops"]
    assert scored["contradictions"].share >= CONTRADICTIONS, scored["contradictions"].missed
    for kind in ("slips", "overreach", "vague", "told"):
        assert scored[kind].missed == [] and scored[kind].false == []
    assert scored["planted"].share >= 27 / 28  # "That corner's had it" is taken for another house
    assert len(tall.nuisance(tall.record())) <= NUISANCE  # a greeting, the list of talk, one of the watch list


@pytest.mark.parametrize("kind", ["slips", "overreach", "vague", "told", "planted"])
def test_all_of_the_rest(kind: str) -> None:
    s = tall.scored(right=True)[kind]
    assert s.wanted and s.missed == [] and s.false == []


def test_hardly_a_nuisance() -> None:
    scored = tall.scored(right=True)
    beside = [f for s in scored.values() for f in s.false]
    assert len([*beside, *tall.nuisance(tall.record(right=True))]) <= NUISANCE


def test_the_law_lets_a_low_crawl_space_go() -> None:
    """WAC 308-408C-070(2): no entry with less than 18 in under the joists; 14 were measured."""
    made = tall.record(right=True)
    for clause, permits in tall.key()["gaps"]["limited"]:
        cells = [c for c in made.coverage["cells"] if c["clause"] == clause]
        assert [(c["state"], c["permits"]) for c in cells] == [("limited", permits)]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("I told the agent about the gas, she's calling the gas company.", True),
        ("Told the owner.", True),
        ("I've let the tenants know about the panel.", True),
        ("Tell the seller about the gas.", False),
        ("I need to tell the seller about the gas.", False),
        ("The seller told me the gas was off.", False),
        ("I haven't told anybody yet.", False),
    ],
)
def test_who_was_told_by_words(text: str, says: bool) -> None:
    from kingpost.duty.given import Given

    given = Given(TRADE, KNOWN, DUTIES)
    assert tells(Remark("r", "walk/a.vtt", 0.0, 2.0, text, "", "information"), given) is says


def test_words_close_a_told_record_of_their_own_hazard_alone() -> None:
    scene = Scene()
    scene.find("gas_pipe_leaks", "interior, kitchen")
    scene.find("panel_scorched", "garage")
    scene.say("I told the seller about the gas and he's outside now.", "interior, kitchen")
    told = {t.hazard: t for t in put(scene).owed.told}
    assert len(told) == 2
    states = sorted((t.state, t.who, t.how) for t in told.values())
    assert states == [("open", "", ""), ("told", "the seller", "in person, as said aloud")]
    assert next(t.when for t in told.values() if t.state == "told").startswith("2026-06-03T")


def test_what_was_told_before_the_hazard_was_found_closes_nothing() -> None:
    scene = Scene()
    scene.say("I told the seller about the gas meter.", "interior, kitchen")
    scene.find("gas_pipe_leaks", "interior, kitchen")
    assert [t.state for t in put(scene).owed.told] == ["open"]


@pytest.mark.parametrize(
    ("text", "stays"),
    [
        ("Back door's locked.", False),
        ("Back door's locked and I have no key, so I couldn't get in there.", True),
        ("Wall studs are two by four, saw them in the garage.", False),
        ("Shed's locked.", True),
        ("Stayed off it.", True),
    ],
)
def test_a_lock_is_no_limit_unless_it_kept_him_out(text: str, stays: bool) -> None:
    from kingpost.visit.record import Limitation

    scene = Scene()
    r = scene.say(text, "exterior, rear", "limitation")
    scene.remarks[-1] = replace(r, into=("l1",))
    scene.limits.append(Limitation("l1", r.text, "", ({"remark": r.id},), "", r.text, r.place))
    made = put(scene)
    assert bool(made.limitations) is stays
    assert [m.says for m in made.owed.matters if m.kind == "loose"] == []
