"""The ledger on an invented house walked without a gap: what is left out shows, and nothing else does."""

from __future__ import annotations

import random
import tomllib
from collections.abc import Sequence
from dataclasses import replace
from functools import cache
from itertools import pairwise, permutations
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kingpost.duty.evidence import Tick, ticks
from kingpost.duty.ledger import Ledger, Told, as_record, clause_state, ledger
from kingpost.duty.permits import with_clauses
from kingpost.duty.tour import FAR, _mended, _nearest, distances, graph, tour
from kingpost.judge.findings import digest
from kingpost.listen.hear import hear
from kingpost.trade.load import trade
from kingpost.trade.standards import Standards, load_standards, standards
from kingpost.visit import read
from kingpost.visit.facts import Decision, Visit
from kingpost.visit.record import Limitation, Remark

HERE = Path(__file__).parent
RANCH = HERE / "ranch-1988"
TRADE, KNOWN = trade(), standards()
GAP_SHARE, FALSE_SHARE = 0.99, 0.05  # what issue 7 asks of a seeded walk


@cache
def ranch() -> Visit:
    return read(RANCH)


@cache
def heard() -> tuple[Remark, ...]:
    return tuple(hear(ranch().walks, TRADE).remarks)


def owed(
    remarks: Sequence[Remark],
    ticked: Sequence[Tick] = (),
    limits: Sequence[Limitation] = (),
    known: Standards = KNOWN,
    **facts: Any,
) -> Ledger:
    """The ledger of the ranch with these remarks."""
    visit = replace(ranch().facts, **facts)
    return ledger(Told(visit, remarks, limitations=limits, ticks=ticked), TRADE, known)


def gaps(out: Ledger) -> list[str]:
    return [f"{g.part} @ {g.place}" for g in out.gaps]


def remark(text: str, place: str, start: float = 9000.0, use: str = "information") -> Remark:
    return Remark(digest("r", text, place, start), "walk/walk.vtt", start, start + 3, text, place, use)


def spoken(a: float, b: float) -> list[Remark]:
    """All but what was said between two moments."""
    return [r for r in heard() if not a - 0.2 <= r.start <= b]


def states(out: Ledger) -> dict[tuple[str, str, tuple[str, ...]], str]:
    return {(c.clause.key, c.spot.key, c.parts): c.state for c in out.cells}


def test_a_whole_walk_has_no_gap() -> None:
    out = owed(heard())
    assert gaps(out) == [] and out.tour.stops == ()
    assert {c.state for c in out.cells} == {"done", "not_present"}
    assert all(c.evidence for c in out.cells if c.state == "done"), "done without evidence"


def test_what_is_left_out_shows_and_nothing_else() -> None:
    """Each sentence left out by itself: the gaps of lost.toml, all of them and no others (issue 7: 99 % and 5 %)."""
    lines = tomllib.loads((HERE / "lost.toml").read_text("utf-8"))["line"]
    cues = ranch().walks[0].cues
    assert [line["said"] for line in lines] == [c.text for c in cues]
    wanted = found = false = 0
    for line, cue in zip(lines, cues, strict=True):
        told, lost = set(gaps(owed(spoken(cue.start, cue.end)))), set(line["lost"])
        wanted, found, false = wanted + len(lost), found + len(lost & told), false + len(told - lost)
    assert wanted > 80
    assert found / wanted >= GAP_SHARE and false / (found + false) <= FALSE_SHARE


def test_silence_about_the_house_is_all_gap() -> None:
    out = owed([])
    assert not [c for c in out.cells if c.state == "done" and not any("fact" in e for e in c.evidence)]
    assert len(out.gaps) > 60


@settings(max_examples=30, deadline=None)
@given(st.data())
def test_adding_evidence_never_turns_done_into_gap(data: st.DataObject) -> None:
    keep = data.draw(st.sets(st.sampled_from(range(len(heard()))), max_size=60))
    more = data.draw(st.sets(st.sampled_from(range(len(heard()))), max_size=30))
    before = states(owed([heard()[k] for k in sorted(keep)]))
    after = states(owed([heard()[k] for k in sorted(keep | more)]))
    assert [k for k, s in before.items() if s == "done" and after[k] not in ("done", "limited")] == []
    assert [k for k, s in before.items() if s == "limited" and after[k] == "not_done"] == []


@settings(max_examples=30, deadline=None)
@given(st.lists(st.sampled_from(["done", "limited", "not_present"]), min_size=1, max_size=4), st.data())
def test_adding_ticks_never_turns_done_into_gap(made: list[str], data: st.DataObject) -> None:
    subjects = ["eaves", "windows@kitchen", "nc.1108.a.2", "water_heater", "gfci@hall bathroom"]
    extra = [
        Decision(f"t{n}", data.draw(st.sampled_from(subjects)), "tick", f"2026-06-03T12:00:0{n}-04:00", {"state": s})
        for n, s in enumerate(made)
    ]
    ticked, _, _ = ticks(extra, TRADE, KNOWN)
    before, after = states(owed(heard()[:40])), states(owed(heard()[:40], ticked))
    assert [k for k, s in before.items() if s == "done" and after[k] == "not_done"] == []


def test_the_order_of_remarks_and_ticks_does_not_matter() -> None:
    some = list(heard()[:50])
    want = as_record(owed(some))
    for seed in range(3):
        random.Random(seed).shuffle(some)
        assert as_record(owed(some)) == want


@pytest.mark.parametrize(
    ("text", "shows"),
    [
        ("The microwave works.", True),
        ("I'll come back to the microwave later.", False),
        ("Still need to test the microwave.", False),
        ("The microwave runs quiet.", True),
        ("The microwave is built in.", False),  # named, not run
    ],
)
def test_looking_is_never_claimed_that_nothing_shows(text: str, shows: bool) -> None:
    out = owed([remark(text, "interior, kitchen")])
    assert (clause_state(out.of("nc.1115.a.6")) == "done") is shows


def test_all_the_windows_in_this_room_and_everything_else() -> None:
    said = [
        remark("All the windows in this room open and lock.", "interior, main bedroom", 9000),
        remark("Everything else looks good in here.", "interior, main bedroom", 9020),
    ]
    done = {c.clause.key for c in owed(said).cells if c.state == "done" and c.spot.key == "main bedroom"}
    assert {"nc.1113.b.1", "nc.1113.a.4", "nc.1113.a.1"} <= done
    assert "nc.1110.a.5" not in done, "nothing was tried, so looking around shows no try"


def test_every_is_counted() -> None:
    """11 NCAC 08 .1110(a)(6): every receptacle near a plumbing fixture; the kitchen has four by visit.toml."""
    three = [remark("Tested three receptacles here, all wired right.", "interior, kitchen")]
    kitchen = next(c for c in owed(three).of("nc.1110.a.6") if c.spot.key == "kitchen")
    assert (kitchen.state, kitchen.seen, kitchen.of) == ("not_done", 3, 4)
    fourth = [*three, remark("And one more receptacle by the range tested right.", "interior, kitchen", 9030)]
    assert [c.state for c in owed(fourth).of("nc.1110.a.6") if c.spot.key == "kitchen"] == ["done"]


def test_not_present_needs_evidence() -> None:
    cell = owed([]).of("nc.1109.a.5")[0]
    assert cell.state == "not_present" and cell.evidence == ({"fact": "house.without"},)
    house = {**ranch().facts.more["house"], "without": []}
    silent = owed([], more={**ranch().facts.more, "house": house}).of("nc.1109.a.5")[0]
    assert silent.state == "not_done" and silent.asks
    denied = owed([remark("There is no sump pump.", "crawl space")], more={**ranch().facts.more, "house": house})
    assert denied.of("nc.1109.a.5")[0].state == "not_present"
    assert "remark" in denied.of("nc.1109.a.5")[0].evidence[0]


def test_a_slab_has_no_crawl_space() -> None:
    out = owed([], foundation="slab on grade")
    assert {c.state for c in out.of("nc.1106.c.2.#crawl")} == {"not_present"}
    assert {c.state for c in out.of("nc.1106.c.2.#attic")} == {"not_done"}


def test_a_limit_names_its_clause_and_one_from_memory_is_never_cited() -> None:
    """11 NCAC 08 .1105(b)(6) lets belongings stay where they are; Texas's like clause is from memory."""
    limit = Limitation(
        "l1", "Couldn't see the panel, it's blocked by boxes.", "", ({"remark": "r1"},), "", "", "garage"
    )
    nc, tx = KNOWN.chosen(("us-nc",), None), KNOWN.chosen(("us-tx",), None)
    assert with_clauses([limit], nc, TRADE, KNOWN)[0].clause == "11 NCAC 08 .1105(b)(6)"
    cited = with_clauses([limit], tx, TRADE, KNOWN)[0].clause
    assert not cited or not next(c for c in KNOWN.clauses.values() if c.citation == cited).unverified
    panel = owed([], limits=[limit]).of("nc.1110.a.2")[0]
    assert (panel.state, panel.permits) == ("limited", "nc.1105.b.6") and "boxes" in panel.why


def test_weather_that_a_law_names_limits_and_memory_says_unverified() -> None:
    """WAC 308-408C-130(2), as quoted: cooling below 60 °F. 120(1) on the kind of heat is from memory, cited nowhere."""
    out = owed([], standards=("us-wa",), weather={"outdoor_f": 46.0})
    assert out.of("wa.408C.130.1.m2")[0].permits == "wa.408C.130.2.m5"
    rows = {c["id"]: c for c in as_record(out)["clauses"]}
    cooled, described = rows["wa.408C.130.1.m2"], rows["wa.408C.120.1.m1"]
    assert cooled["state"] == "limited" and cooled["citation"].startswith("WAC 308-408C-130(1)")
    assert described["unverified"] and described["citation"] == ""
    warm = owed([], standards=("us-wa",), weather={"outdoor_f": 75.0})
    assert warm.of("wa.408C.130.1.m2")[0].state == "not_done"


@pytest.mark.parametrize(
    ("law", "readings", "permits"),
    [  # WAC 308-408C-070(2): 18 in under joists, opening 18 by 24 in; 22 TAC §535.228(a)(2)(A): 18 in, 24 by 18 in
        ("us-wa", {"crawl_headroom": 15.0}, "wa.408C.070.2.i4"),
        ("us-wa", {"crawl_headroom": 18.0}, ""),
        ("us-wa", {"access_width": 17.0, "access_height": 30.0}, "wa.408C.070.2.i2"),
        ("us-wa", {"access_width": 20.0, "access_height": 23.0}, "wa.408C.070.2.i3"),
        ("us-wa", {"access_width": 18.0, "access_height": 24.0}, ""),
        ("us-tx", {"crawl_headroom": 17.9}, "tx.535.228.a.2.A.#headroom"),
        ("us-nc", {"crawl_headroom": 10.0}, ""),  # no number: 11 NCAC 08 .1106(c)(2)
    ],
)
def test_what_was_measured_too_small_is_let_go_by_the_laws_own_number(
    law: str, readings: dict[str, float], permits: str
) -> None:
    from kingpost.trade.duties import duties
    from kingpost.visit.record import Reading

    values = [Reading(f"q{k}", k, v, "in", None, "crawl space", "crawl_space") for k, v in readings.items()]
    visit = replace(ranch().facts, standards=(law,))
    numbers = duties().law_numbers
    out = ledger(Told(visit, readings=values, numbers=numbers), TRADE, KNOWN)
    entry = {"us-wa": "wa.408C.070.1.i3", "us-nc": "nc.1106.c.2.#crawl", "us-tx": "tx.535.228.a.1.B.ii"}[law]
    (cell,) = out.of(entry)
    assert (cell.state, cell.permits) == (("limited", permits) if permits else ("not_done", ""))
    went = ledger(
        Told(visit, [remark("I crawled the whole crawl space, every corner.", "crawl space")], readings=values,
             numbers=numbers), TRADE, KNOWN,
    )  # fmt: skip
    assert went.of(entry)[0].state == "done", "a size lets go; it does not undo what was done"


def test_water_off_limits_what_runs_on_it() -> None:
    out = owed([], utilities={"water": False})
    cells = out.of("nc.1109.c")
    assert {c.state for c in cells} == {"limited"} and {c.permits for c in cells} == {"nc.1105.b.4"}


def test_a_finding_and_a_reading_show_looking_and_decay_makes_probing_due() -> None:
    from kingpost.visit.record import Finding, Narrative, Reading

    wet = next(c for c in TRADE.conditions.values() if c.fault == "decayed" and c.component == "floor_joist")
    story = Narrative("", "", "", "", "")
    joist = TRADE.components["floor_joist"].name  # as judge writes it
    stakes, evidence = ("structure",), ({"remark": "r1"},)
    found = Finding(
        *("f1", wet.id, wet.title, "structure", joist, "crawl space", "deficiency", "this_year", stakes, story),
        evidence=evidence,
    )
    assert owed([]).of("nc.1106.c.1")[0].state == "not_present"
    out = ledger(Told(ranch().facts, findings=[found]), TRADE, KNOWN)
    assert out.of("nc.1106.a.2")[0].state == "done" and {"finding": "f1"} in out.of("nc.1106.a.2")[0].evidence
    assert out.of("nc.1106.c.1")[0].state == "not_done", "decay was found and nothing shows that it was probed"
    psi = Reading("q1", "water_pressure", 62.0, "psi", 2.0, "exterior, front", "water_pressure", row="readings.csv:2")
    texas = ledger(Told(replace(ranch().facts, standards=("us-tx",)), readings=[psi]), TRADE, KNOWN)
    assert texas.of("tx.535.231.a.1.A.iii")[0].state == "done"


@pytest.mark.parametrize("law", list(KNOWN.laws))
def test_every_law_can_be_counted(law: str) -> None:
    silent, whole = owed([], standards=(law,)), owed(heard(), standards=(law,))
    assert {c.clause.standard for c in silent.cells} == {law}
    assert len(whole.gaps) < len(silent.gaps) / 2
    keys = {c.clause.key for c in silent.cells} | {c.key for c in silent.elsewhere}
    assert keys == {c.key for c in KNOWN.of(law) if c.home != "exempts"}, "a clause went missing in the count"


def test_several_standards_at_once() -> None:
    out = owed(heard(), standards=("us-nc", "us-ny"))
    made = as_record(out)
    assert made["standard"] == "us-nc-11ncac08-1100" and len(made["standards"]) == 2
    assert {c["standard"] for c in made["clauses"]} == set(made["standards"])


def test_the_jurisdiction_chooses_where_nothing_is_named() -> None:
    assert as_record(owed([], jurisdiction="us-tx"))["standard"] == "us-tx-22tac535"
    assert as_record(owed([], jurisdiction=None)) == {}
    odd = owed([], standards=("us-zz",))
    assert "us-zz" in odd.trouble[0].problem


def test_a_firm_asks_for_every_window_and_a_second_pass(tmp_path: Path) -> None:
    from kingpost.duty import docs

    laws, clauses = docs.HEAD.split("```toml\n")[1].split("```")[0].split("# standards/clauses/our-firm.toml\n")
    (tmp_path / "standards/clauses").mkdir(parents=True)
    (tmp_path / "standards/laws.toml").write_text(laws, "utf-8")
    (tmp_path / "standards/clauses/our-firm.toml").write_text(clauses, "utf-8")
    firm = load_standards(tmp_path)
    one = [remark("This window opens and locks.", "interior, main bedroom")]
    windows = {c.spot.key: c.state for c in owed(one, known=firm).of("firm.windows")}
    assert windows["main bedroom"] == "not_done"  # one of two
    both = [remark("Both windows open and lock.", "interior, main bedroom")]
    assert {c.spot.key: c.state for c in owed(both, known=firm).of("firm.windows")}["main bedroom"] == "done"
    stays = [
        remark("Walls are good.", "interior, kitchen", 10),
        remark("Walls are good.", "interior, hall", 20),
        remark("Oven is off.", "interior, kitchen", 30),
    ]
    passed = {c.spot.key: c.state for c in owed(stays, known=firm).of("firm.twice")}
    assert (passed["kitchen"], passed["hall"], passed["laundry"]) == ("done", "not_done", "not_done")


def test_ticks_vouch_limit_deny_and_odd_ones_are_named() -> None:
    at = "2026-06-03T12:00:00-04:00"
    made = [
        Decision("t1", "nc.1108.a.2", "tick", at),
        Decision("t2", "windows@kitchen", "tick", at, {"state": "done"}),
        Decision("t3", "attic", "tick", at, {"state": "limited", "why": "Hatch is nailed shut."}),
        Decision("t4", "moon", "tick", at),
        Decision("t5", "eaves", "tick", at, {"state": "perhaps"}),
        Decision("d1", "f1", "accept", at),
    ]
    ticked, rest, trouble = ticks(made, TRADE, KNOWN)
    assert [d.id for d in rest] == ["d1"]
    assert ['"moon"' in trouble[0].problem, '"perhaps"' in trouble[1].problem] == [True, True]
    out = owed([], ticked)
    assert out.of("nc.1108.a.2")[0].state == "done"
    entry = out.of("nc.1106.c.2.#attic")[0]
    assert (entry.state, entry.why) == ("limited", "Hatch is nailed shut.")


def test_the_tour_is_the_shortest_of_all() -> None:
    """Against every order weighed by itself, and the longer method never far behind."""
    out = owed([])
    net = graph(out.house, KNOWN.ways)
    stops = ["kitchen", "attic", "garage", "rear", "underfloor", "hall", "front"]
    far = {a: distances(net, a) for a in [*stops, "laundry"]}

    def cost(a: str, b: str) -> float:
        return far[a].get(b, FAR)

    def long(order: Sequence[str]) -> float:
        path = ["laundry", *order, "grounds"]
        return sum(cost(a, b) for a, b in pairwise(path))

    best = min(long(order) for order in permutations(stops))
    made = tour(net, "laundry", stops)
    assert made.seconds == best == long(made.stops) and sorted(made.stops) == sorted(stops)
    mended = _mended(_nearest(stops, "laundry", cost), "laundry", "grounds", cost)
    assert best <= long(mended) <= 1.25 * best


def test_gaps_stand_in_walking_order() -> None:
    out = owed([])
    walked = [g.place for g in out.gaps if not g.asks and g.place != "house"]
    assert list(dict.fromkeys(walked)) == list(out.tour.stops)
    asked = [g.asks for g in out.gaps]
    assert asked == sorted(asked), "questions of what may not be there come last, together"
