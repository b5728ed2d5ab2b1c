"""The house as found: what opens, what closes, clocks, pictures, and what a test stops besides what it touches."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from kingpost.visit.owed import Loop
from kingpost.visit.record import PhotoRef

from .seeded import DUTIES, TRADE, Scene, put

HALL, GARAGE = "interior, hall", "garage"


def loops(scene: Scene) -> list[Loop]:
    return [x for x in put(scene).owed.loops if x.kind != "implied"]


def implied(scene: Scene) -> dict[str, str]:
    """The state of each implied loop, by the thing."""
    return {x.thing.split(" ")[0]: x.state for x in put(scene).owed.loops if x.kind == "implied"}


@settings(max_examples=12, deadline=None)
@given(st.lists(st.sampled_from(["put_back", "leave"]), min_size=1, max_size=5))
def test_closing_twice_is_one_closing(verbs: list[str]) -> None:
    once, often = Scene(), Scene()
    for scene, made in ((once, list(dict.fromkeys(verbs))), (often, verbs)):
        one = scene.change("tub", "Filled the tub.", "interior, hall bathroom")
        for verb in made:
            scene.decide(one.id, verb, why="the owner is taking a bath")
    a, b = loops(once), loops(often)
    assert [(x.id, x.state, x.closed_at, x.minutes) for x in a] == [(x.id, x.state, x.closed_at, x.minutes) for x in b]
    assert len(a) == 1 and a[0].state == ("closed" if "put_back" in verbs else "left")


def test_a_closing_told_again_opens_nothing() -> None:
    scene = Scene()
    first = scene.change("dryer", "Turning the dryer on.", "interior, laundry", "Dryer's off.")
    scene.at = (first.closed_at or 0) - 39.0  # one second later
    scene.change("dryer", "I just sent her up to do it.", "interior, laundry")
    assert [(x.id, x.state) for x in loops(scene)] == [(first.id, "closed")]


def test_what_the_thermostat_starts_is_not_another_loop() -> None:
    scene = Scene()
    one = scene.change("thermostat", "Pushed the thermostat to seventy two.", HALL)
    scene.change("furnace", "Dining room, furnace running.", "interior, living room")
    assert [x.id for x in loops(scene)] == [one.id]
    (loop,) = loops(scene)
    assert loop.risk == "heat" and "back" in loop.back


def test_water_and_heat_have_clocks() -> None:
    scene = Scene()
    scene.change("tub", "Filled the tub.", "interior, hall bathroom", "Tub's drained.")
    (tub,) = loops(scene)
    assert tub.risk == "water" and tub.minutes is not None
    assert tub.due_at == (tub.opened_at or 0) + 60 * (DUTIES.care["tub"].due_min or 0)
    assert tub.late is (tub.minutes > (DUTIES.care["tub"].due_min or 0))
    assert {c for c in ("tub", "sink", "faucets", "range", "dryer") if DUTIES.care[c].due_min is None} == set()


def test_a_visit_does_not_close_without_a_reason() -> None:
    scene = Scene()
    one = scene.change("window", "Opened the window.", "interior, main bedroom")
    scene.decide(one.id, "leave", why="  ")
    assert [m.subject for m in put(scene).owed.matters if m.kind == "loop"] == [one.id]
    scene.decide(one.id, "leave", why="The owner asked to leave it open.")
    assert [m for m in put(scene).owed.matters if m.kind == "loop"] == []
    assert put(scene).as_found[0].why == "The owner asked to leave it open." and not put(scene).as_found[0].put_back


def test_a_tick_opens_a_loop_and_a_picture_shows_it() -> None:
    scene = Scene()
    scene.decide("range@interior, kitchen", "open", photo="p1", text="Oven on to try it.")
    (loop,) = loops(scene)
    assert (loop.kind, loop.state, loop.place, loop.before) == ("ticked", "open", "interior, kitchen", ("p1",))
    scene.decide(loop.id, "put_back", photo="p2")
    (loop,) = loops(scene)
    assert (loop.state, loop.before, loop.after) == ("closed", ("p1",), ("p2",))
    scene.decide("moonbeam", "open")
    assert any('"moonbeam"' in t.problem for t in put(scene).trouble)


def test_pictures_near_opening_and_closing_pair_up() -> None:
    from dataclasses import replace

    from kingpost.duty.given import Given
    from kingpost.duty.loops import paired

    from .seeded import KNOWN, WALK, base

    scene = Scene()
    one = scene.change("panel_cover", "Cover's off.", GARAGE, "Cover's back on.")
    opened, closed = one.opened_at or 0.0, one.closed_at or 0.0
    photos = [
        PhotoRef("p1", "photos/1.jpg", None, opened + 5, GARAGE),
        PhotoRef("p2", "photos/2.jpg", None, closed + 9, GARAGE),
        PhotoRef("p3", "photos/3.jpg", None, opened + 1, "roof"),
        PhotoRef("p4", "photos/4.jpg", None, closed + 900, GARAGE),
    ]
    record = replace(base(), remarks=tuple(scene.remarks))
    (pair,) = paired([one], photos, record, Given(TRADE, KNOWN, DUTIES, offsets={WALK: 0.0}))
    assert (pair.before, pair.after) == (("p1",), ("p2",))


def test_a_tripped_device_asks_what_it_stopped() -> None:
    scene = Scene()
    scene.say("There's a chest freezer out here.", GARAGE)
    scene.change("ground_fault", "GFCI in the garage, I tripped it.", GARAGE, "Reset it, the light's back.")
    assert implied(scene)["freezer"] == "open" and "sump" not in implied(scene)
    scene.say("Freezer's running again.", GARAGE)
    assert implied(scene)["freezer"] == "closed"


def test_running_before_the_trip_proves_nothing() -> None:
    scene = Scene()
    scene.say("The freezer's running out here.", GARAGE)
    scene.change("ground_fault", "GFCI in the garage, I tripped it.", GARAGE, "Reset it.")
    assert implied(scene)["freezer"] == "open"


def test_one_question_for_many_trips() -> None:
    scene = Scene()
    for place in (GARAGE, "interior, kitchen", "interior, hall bathroom"):
        scene.change("ground_fault", f"Tripped the GFCI in the {place}.", place, "Reset it.")
    made = [x for x in put(scene).owed.loops if x.kind == "implied"]
    assert len(made) == 1 and len(made[0].implied_by) == 3 and made[0].state == "asked"


def test_closing_out_of_its_order_in_the_file_counts() -> None:
    """A closing known from one telling and an opening from another are one change."""
    scene = Scene()
    a = scene.change("hatch", "Attic hatch, up.", HALL)
    scene.change("hatch", "Hatch is up, coming down now.", HALL, "Hatch is back in.")
    (loop,) = loops(scene)
    assert (loop.id, loop.state) == (a.id, "closed")


def test_the_words_of_a_test_name_the_thing() -> None:
    """ "GFCI by the door, I tripped it" is about no door, and the reset said later closes it."""
    scene = Scene()
    scene.say("There's a chest freezer on this wall.", "garage")
    scene.change("door", "GFCI by the door, I tripped it with the tester.", "garage")
    one = put(scene).owed.loops
    assert [(x.thing, x.state) for x in one if x.kind == "said"] == [("ground-fault device", "open")]
    assert [x.state for x in one if x.says.startswith("the freezer")] == ["open"]
    scene.change("ground_fault", "Reset the GFCI.", "garage", "Reset the GFCI.")
    scene.say("Freezer's running again.", "garage")
    after = put(scene).owed.loops
    assert [(x.thing, x.state) for x in after if x.kind == "said"] == [("ground-fault device", "closed")]
    assert [x.state for x in after if x.says.startswith("the freezer")] == ["closed"]


def told(*cues: str) -> list[tuple[str, bool]]:
    """What listening makes of a few cues: each thing changed, and whether it was put back."""
    from tests.listen.test_listen import heard

    return [(a.thing, a.put_back) for a in heard(*cues).as_found]


def test_how_a_thing_stood_is_no_opening_of_it() -> None:
    assert told("Kitchen. Range. I leaned on the open oven door and the whole thing came at me.") == []
    assert told("I lean a level on an open window and it reads plumb.") == []
    assert told("Furnace closet. I took the door off.", "Door's back on.") == [("door", True)]
    assert told("Upstairs bath. I opened the window.", "Window's closed again.") == [("window", True)]


def test_the_speaker_going_down_moves_nothing_but_himself() -> None:
    assert told("Attic. I see what the light reaches. Coming down.") == []
    assert told("Hall. Attic hatch, up.", "What the light reaches I know. Coming down, hatch is back in.") == [
        ("hatch", True)
    ]


def test_a_deed_told_after_a_thing_that_stood_open_is_still_its_own() -> None:
    """The burner after the oven door is closed where it is told off, in another place."""
    walk = "Range. I leaned on the open oven door and it tipped. It's electric. Big element's on high."
    assert told("Kitchen. " + walk, "Electric panel. Element's off.") == [("range", True)]
