"""Preflight on a seeded visit with an answer key (issue 7): what is planted is found, and hardly anything else."""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import UTC, datetime
from functools import cache

import pytest

from kingpost.duty.preflight import asking, blocking
from kingpost.visit.owed import Matter, Owed
from kingpost.visit.record import Limitation, Record

from .seeded import DUTIES, HIDDEN, KNOWN, LOOSE, REPORTED, TRADE, Scene, base, lost, put

GAPS, FALSE_GAPS, LOOPS, CONTRADICTIONS, OVERREACH, NUISANCE = (
    0.99,
    0.05,
    0.98,
    0.95,
    0.95,
    3,
)  # issue 7, and job.md 2.14
PLANTED = 28


def of(whole: Owed, *kinds: str) -> list[Matter]:
    return [m for m in whole.matters if m.kind in kinds]


def names(key: dict[str, object], of: str) -> set[str]:
    """The ids or words of one part of the answer key."""
    held = key[of]
    assert isinstance(held, (set, list, dict))
    return {str(one) for one in held}


def settle_age(scene: Scene) -> None:
    """What is asked of a house of 1988 is answered; nothing of it was planted."""
    for w in put(Scene()).owed.watch:
        if w.state == "asked":
            scene.decide(w.id, "answer", state="ruled_out", why="looked, none of it here")


def changes(scene: Scene) -> set[str]:
    """Sixteen things changed, seven of them left so; and a freezer behind a tripped device."""
    put_back = [
        ("faucets", "Turned the tub faucet on.", "interior, hall bathroom", "Faucet's off again."),
        ("dishwasher", "Started the dishwasher.", "interior, kitchen", "Dishwasher's done and empty."),
        ("fan", "Turned the bath fan on.", "interior, hall bathroom", "Fan's off."),
        ("hatch", "Opened the attic hatch.", "interior, hall", "Hatch is back in."),
        ("opener", "Pulled the red handle.", "garage", "Hooked it back on."),
        ("range", "Big element's on high.", "interior, kitchen", "Element's off."),
        ("door", "Opened the back door.", "exterior, rear", "Back door's locked."),
        ("lights", "Turned all the lights on.", "interior, living room", "Lights off."),
        ("board", "Board's off the crawl opening.", "crawl space", "Board's back."),
    ]
    for thing, text, place, back in put_back:
        scene.change(thing, text, place, back)
    left = [
        ("thermostat", "Pushed the thermostat to eighty.", "interior, hall"),
        ("tub", "Filled the tub.", "interior, hall bathroom"),
        ("window", "Opened the window.", "interior, main bedroom"),
        ("panel_cover", "Took the dead front off.", "garage"),
        ("filter", "Pulled the filter out.", "interior, laundry"),
        ("disconnect", "Pulled the disconnect.", "exterior, left"),
        ("freezer", "Unplugged the freezer to get at the outlet.", "garage"),
    ]
    return {scene.change(*row).id for row in left}


def contradict(scene: Scene) -> list[str]:
    """Twenty pairs that cannot both be true: the words by which each shows in what preflight says."""
    find, say, read = scene.find, scene.say, scene.read
    find("gas_connector_kinked", "interior, kitchen")
    find("firebox_brick_cracked", "interior, living room")
    read("pump_run_time", 20.0, "sump_pump", "crawl space")
    find("basement_efflorescence", "basement")
    find("retaining_wall_leaning", "exterior, rear")
    find("skylight_leaks", "roof")
    say("Upstairs the hall floor squeaks.")
    read("made_year", 2009.0, "water_heater", "garage")
    read("age", 3.0, "water_heater", "garage")
    read("main_breaker_rating", 200.0, "electrical_panel", "garage")
    read("main_breaker_rating", 100.0, "electrical_panel", "garage")
    read("tank_volume", 40.0, "water_heater", "garage")
    read("tank_volume", 80.0, "water_heater", "garage")
    read("made_year", 2041.0, "dishwasher", "interior, kitchen")
    read("made_year", 1971.0, "range", "interior, kitchen")
    say("City water comes in here.", "garage")
    say("The house is on a well, pressure tank is in the closet.", "garage")
    say("Public sewer at the street.", "exterior, front")
    say("Septic tank lid is under the lawn.", "exterior, rear")
    say("It's a gas water heater.", "garage")
    say("Overhead service, mast is straight.", "exterior, left")
    say("Roof was not walked.", "roof")
    say("Detached garage, so no fire wall.", "garage")
    say("Attached garage.", "garage")
    say("Attic from the hatch only.", "attic")
    say("I went all through the attic.", "attic")
    say("Furnace is gas.", "garage")
    say("It's an electric furnace.", "garage")
    find(
        "window_broken_glass", "interior, main bedroom", "The right pane is cracked.", title="The left pane is cracked"
    )
    find(
        "gutter_loose_sagging",
        "exterior, front",
        "There at the rear it hangs loose.",
        title="It hangs loose at the front",
    )
    return [
        *("gas appliance connector", "fireplace", "sump", "basement", "retaining wall", "skylight"),
        *("one storey", "Two ages"),
        "main breaker",
        *("volume", "after the visit", "older than the house", "where the water comes from", "where the waste goes"),
        *("what heats the water", "how the power comes in", "how the roof", "the garage", "how the attic"),
        *("what heats the house", "says left", "says front"),
    ]  # fmt: skip


def slip(scene: Scene) -> dict[str, float]:
    """Seven slipped numbers, and what each must have been."""
    rows = [
        ("left_tap_temperature", 212.0, "faucet", "interior, kitchen", 122.0),
        ("supply_temperature", 14.0, "register", "interior, kitchen", 57.2),
        ("riser_height", 75.0, "exterior_stairs", "exterior, front", 7.5),
        ("guard_height", 3.0, "deck_guard", "exterior, deck", 36.0),
        ("breaker_rating", 51.0, "breaker", "garage", 15.0),
        ("water_pressure", 620.0, "water_pressure", "exterior, front", 62.0),
        ("joist_span", 144.0, "floor_joist", "crawl space", 12.0),
    ]
    return {scene.read(q, v, c, p).id: want for q, v, c, p, want in rows}


OVER = (
    "Replacing it will cost 4,000 dollars.",
    "This is a code violation.",
    "The house is not worth the asking price.",
    "The roof has five years left.",
    "It will fail next winter.",
    "The deck is safe to use.",
    "The furnace is undersized for the house.",
    "It is a bad buy.",
)
VAGUE = (
    "Monitor the crack.",
    "Recommend further evaluation.",
    "The wall appears damp.",
    "Have a qualified professional repair it.",
    "Repair as soon as possible.",
    "Damage was seen at various locations.",
)
PLAIN = (  # conditions that the words stand in
    *(
        "walkway_trip_hazard",
        "driveway_cracked",
        "gutter_leaks",
        "window_fogged",
        "window_lock_broken",
        "window_painted_shut",
    ),
    *("toilet_runs", "faucet_loose", "range_burner_dead", "dryer_duct_lint", "smoke_alarm_missing", "co_alarm_bad"),
    *("interior_handrail_missing", "ceiling_crack"),
)
CLEAN = (
    "Monitor the crack: mark its ends, measure it every six months, and call a mason if it grows.",
    "Have a structural engineer say whether the post carries the girder.",
    "Ask an electrician what the repair will cost.",
    "A roofer then says whether the patch will last.",
    "Nobody should stand on it until it is safe.",
)


@cache
def seeded() -> tuple[Record, dict[str, object]]:
    scene = Scene()
    settle_age(scene)
    reported = [scene.find(c, p).id for c, p in REPORTED]
    loose = [scene.say(t, p, "set_aside", "unclear: nothing in it was recognised").id for t, p in LOOSE]
    key: dict[str, object] = {
        "reported": reported,
        "loose": loose,
        "gaps": {g for _, s in HIDDEN for g in lost()[s]},
        "open": changes(scene),
        "clash": contradict(scene),
        "slips": slip(scene),
    }
    both = zip(PLAIN, (*OVER, *VAGUE), strict=True)
    words = [scene.find(c, "exterior, front", do=t).id for c, t in both]
    key["over"], key["vague"] = words[: len(OVER)], words[len(OVER) :]
    clean = base().visit
    more = {**clean.more, "agreement": {"signed": datetime(2026, 6, 4, tzinfo=UTC)}, "visit": {}}
    scene.facts = {"licence": "", "more": more}
    return put(scene, [s for _, s in HIDDEN]), key


def test_the_clean_visit_has_nothing_open() -> None:
    scene = Scene()
    settle_age(scene)
    whole = put(scene).owed
    assert [(m.kind, m.says) for m in (*blocking(whole), *asking(whole))] == []


def test_each_of_the_28_has_a_fate() -> None:
    record, key = seeded()
    assert len(REPORTED) + len(LOOSE) + len(HIDDEN) == PLANTED
    assert names(key, "reported") <= {f.id for f in record.findings}
    assert names(key, "loose") == {m.subject for m in of(record.owed, "loose")}
    said = " ".join(m.says for m in of(record.owed, "gap", "unverified_gap", "there"))
    assert [what for what, s in HIDDEN if not all(g.partition(" @ ")[0] in said for g in lost()[s])] == []


def test_gaps_of_the_seeded_visit() -> None:
    record, key = seeded()
    told = {m.says.split(". ")[0] + "|" + m.place for m in of(record.owed, "gap", "unverified_gap", "there")}
    wanted = key["gaps"]
    assert isinstance(wanted, set)
    parts = {(w.partition(" @ ")[0]) for w in wanted}
    found = {p for p in parts if any(p in t for t in told)}
    false = [t for t in told if not any(p in t for p in parts)]
    assert len(found) / len(parts) >= GAPS and len(false) / len(told) < FALSE_GAPS


def test_open_loops_of_the_seeded_visit() -> None:
    record, key = seeded()
    opened = key["open"]
    assert isinstance(opened, set)
    told = {x.id for x in record.owed.loops if x.state == "open" and x.kind != "implied"}
    assert len(told & opened) / len(opened) >= LOOPS and not told - opened
    assert {m.subject for m in of(record.owed, "loop")} >= opened


def test_contradictions_of_the_seeded_visit() -> None:
    record, key = seeded()
    says = [m.says for m in of(record.owed, "contradiction")]
    wanted = key["clash"]
    assert isinstance(wanted, list) and len(wanted) >= 20
    missed = [w for w in wanted if not any(w in s for s in says)]
    assert 1 - len(missed) / len(wanted) >= CONTRADICTIONS, missed


def test_slips_of_the_seeded_visit() -> None:
    record, key = seeded()
    wanted = key["slips"]
    assert isinstance(wanted, dict)
    told = {m.subject: m.says for m in of(record.owed, "slip")}
    assert set(told) == set(wanted)
    assert all(f"was it {v:g} " in told[k] for k, v in wanted.items())


def test_overreach_and_vague_words_of_the_seeded_visit() -> None:
    record, key = seeded()
    for kind, share in (("over", OVERREACH), ("vague", OVERREACH)):
        wanted = key[kind]
        assert isinstance(wanted, list)
        told = {m.subject for m in of(record.owed, "overreach" if kind == "over" else "vague")}
        assert len(told & set(wanted)) / len(wanted) >= share


def test_what_the_law_wants_on_file_is_named() -> None:
    """11 NCAC 08 .1103(b)(1) and (b)(3)(E), N.C.G.S. 143-151.58(a1): contract first, licence, signature, summary."""
    says = {m.says: m.clause for m in of(seeded()[0].owed, "formal")}
    assert says == {
        "The inspector's licence number is missing.": "11 NCAC 08 .1103(b)(3)(E)",
        "The agreement was signed after the inspection began.": "11 NCAC 08 .1103(b)(1)",
        "The report carries no signature.": "11 NCAC 08 .1103(b)(3)(E)",
    }


def test_hardly_a_nuisance() -> None:
    """Everything named that was not planted, of whatever kind."""
    record, key = seeded()
    planted = {n for k in ("open", "slips", "over", "vague", "loose") for n in names(key, k)}
    clash = key["clash"]
    assert isinstance(clash, list)
    parts = {w.partition(" @ ")[0] for w in names(key, "gaps")}
    told_now = {"panel_scorched", "deck_ledger_pulling_away"}
    conditions = {f.id: f.condition for f in record.findings}
    odd = [
        m
        for m in (*blocking(record.owed), *asking(record.owed))
        if m.subject not in planted
        and m.kind != "formal"
        and not (m.kind in ("gap", "there", "unverified_gap") and any(p in m.says for p in parts))
        and not (m.kind == "contradiction" and any(w in m.says for w in clash))
        and not (m.kind == "told" and conditions.get(m.subject) in told_now)
    ]
    assert len(odd) <= NUISANCE, [f"{m.kind}: {m.says}" for m in odd]


@pytest.mark.parametrize("text", CLEAN)
def test_words_that_carry_their_fact_are_left_alone(text: str) -> None:
    scene = Scene()
    scene.find("gutter_clogged", "roof", do=text)
    assert of(put(scene).owed, "vague", "overreach") == []


def test_our_own_words_are_clean() -> None:
    """No text of the trade data is vague or says too much: the drafts would all be named."""
    from kingpost.duty.given import Given
    from kingpost.duty.lint import lint

    scene = Scene()
    made = [scene.find(c, "roof") for c in TRADE.conditions]
    record = replace(base(), findings=tuple(made))
    laws = KNOWN.chosen(("us-nc",), None)
    assert [(w.words, w.sentence) for w in lint(record, Given(TRADE, KNOWN, DUTIES, laws))] == []


def test_the_order_of_files_does_not_matter() -> None:
    scene = Scene()
    changes(scene), contradict(scene), slip(scene)
    scene.decide(scene.found[0].id, "put_back")
    want = put(scene).owed
    for seed in range(3):
        again = Scene()
        changes(again), contradict(again), slip(again)
        again.decide(again.found[0].id, "put_back")
        assert put(again, shuffled=random.Random(seed).shuffle).owed == want


def test_an_answer_with_a_reason_quiets_and_one_without_does_not() -> None:
    scene = Scene()
    scene.read("left_tap_temperature", 212.0, "faucet", "interior, kitchen")
    asked = of(put(scene).owed, "slip")[0]
    scene.decide(asked.id, "answer", why=" ")
    assert asked.id in {m.id for m in blocking(put(scene).owed)}
    scene.decide(asked.id, "answer", why="Read twice; the mixing valve has failed.")
    whole = put(scene).owed
    assert asked.id not in {m.id for m in blocking(whole)}
    assert next(m for m in whole.matters if m.id == asked.id).answer.startswith("Read twice")


def test_a_hazard_that_cannot_wait_opens_a_told_record() -> None:
    scene = Scene()
    found = scene.find("gas_pipe_leaks", "interior, kitchen")
    (open_one,) = put(scene).owed.told
    assert open_one.state == "open" and "gas utility" in open_one.tell
    assert [m.subject for m in of(put(scene).owed, "told")] == [found.id]
    scene.decide(found.id, "told", who="the seller, at home", how="in person", when="2026-06-03T10:05:00-04:00")
    (told,) = put(scene).owed.told
    assert (told.state, told.who, told.how) == ("told", "the seller, at home", "in person")
    assert of(put(scene).owed, "told") == []


def test_every_remark_reading_and_suggestion_is_counted_once() -> None:
    record, _ = seeded()
    fates = record.owed.fates
    assert sum(fates["remarks"].values()) == len(record.remarks)
    assert sum(fates["readings"].values()) == len(record.readings)
    assert sum(fates["suggestions"].values()) == len(record.findings)
    assert sum(fates["matters"].values()) == len(record.owed.matters)


def test_a_memory_clause_is_never_cited_in_a_matter() -> None:
    read = {c.citation for c in KNOWN.clauses.values() if not c.unverified}
    cited = {m.clause for m in seeded()[0].owed.matters if m.clause}
    assert cited and cited <= read


def test_a_limit_in_plain_words() -> None:
    scene = Scene()
    r = scene.say("Dew's still on it so I'm not walking the roof.", "exterior, front", "limitation")
    scene.limits.append(Limitation("l1", r.text, "", ({"remark": r.id},), "", r.text, r.place))
    (limit,) = put(scene).limitations
    assert (limit.code, limit.who) == ("weather", "A roofer")
    assert (
        limit.says.startswith("Part of the roof was not seen in full: the roof was wet")
        and "dry, calm day" in limit.says
    )


def test_a_contradiction_needs_two_sides() -> None:
    """One side alone, a question, and a denial contradict nothing."""
    scene = Scene()
    scene.say("Septic tank lid is under the lawn.", "exterior, rear")
    scene.say("No fireplace here.")
    scene.say("Is that a gas water heater?", use="set_aside", why="a question")
    made = put(scene)
    assert of(made.owed, "contradiction") == []
