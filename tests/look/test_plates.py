"""Fields of plates from lettering with truth; the reader itself is measured by bench.plates, one plate is read here."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from kingpost.judge import plates as judge
from kingpost.look import plates
from kingpost.look.plates_fields import PlateField, component, fields
from kingpost.trade.load import trade
from kingpost.visit.facts import Cue, Facts, Lettering, Photo, Visit, Walk
from kingpost.visit.record import Reading

from .drawn_plates import drawn


def line(text: str, x: float, y: float, sure: float = 0.99, slope: float = 0.0) -> Lettering:
    w, h = 14.0 * len(text), 26.0
    return Lettering("p1", text, sure, ((x, y), (x + w, y + slope * w), (x + w, y + h + slope * w), (x, y + h)))


def read(*lines: Lettering) -> dict[str, PlateField]:
    return {f.field: f for f in fields(lines)}


@pytest.mark.parametrize("slope", [0.0, 0.09, -0.12])
def test_values_are_found_in_their_rows_however_these_run(slope: float) -> None:
    rows = [
        ("MODEL NO.", "TQ-24-1C13"),
        ("MIN CIRCUIT AMPACITY", "18.6"),
        ("HZ", "60"),
        ("MAX FUSE OR BREAKER", "30 A"),
    ]
    lines = []
    for i, (label, value) in enumerate(rows):
        y = 40.0 * i
        lines += [line(label, 0, y, slope=slope), line(value, 600, y + 600 * slope, slope=slope)]
    made = read(*lines)
    assert {k: f.value for k, f in made.items()} == {
        "model": "TQ-24-1C13", "minimum_circuit_ampacity": 18.6, "maximum_overcurrent": 30.0,
    }  # fmt: skip


def test_label_and_value_in_one_line_and_value_below_its_label() -> None:
    made = read(line("Volts: 208/230", 0, 0), line("INPUT", 0, 100), line("36 000 BTU/H", 4, 140), line("PH 1", 0, 240))
    assert (made["volts"].value, made["input_rate"].value, made["phase"].value) == ("208/230", 36000.0, 1.0)


@pytest.mark.parametrize(
    ("label", "value"),
    [
        ("MAX FUSE", "33"),
        ("VOLTS", "231"),
        ("PHASE", "2"),
        ("MCA", "900"),
        ("CAPACITY", "40 LB"),
        ("SERIAL NO", "NONE"),
    ],
)
def test_what_cannot_be_is_no_value(label: str, value: str) -> None:
    assert read(line(label, 0, 0), line(value, 400, 0)) == {}


@pytest.mark.parametrize(
    ("label", "value", "field", "is_"),
    [
        ("MAX FUSE", "3O", "maximum_overcurrent", 30.0),
        ("MFG DATE", "07/13", "made_year", 2013.0),
        ("SERIAL NO", "07O1-C-2041", "serial", "07O1-C-2041"),
    ],
)
def test_what_had_to_be_guessed_is_asked(label: str, value: str, field: str, is_: object) -> None:
    made = read(line(label, 0, 0), line(value, 400, 0))[field]
    assert made.value == is_
    assert made.sure < 0.85 and made.doubt


def test_values_that_clash_are_both_doubted() -> None:
    made = read(line("MCA", 0, 0), line("35.2", 400, 0), line("MOP", 0, 60), line("30", 400, 60))
    assert all(f.sure < 0.85 and f.doubt for f in made.values())


def test_a_serial_number_gives_no_year() -> None:
    assert "made_year" not in read(line("SERIAL NO", 0, 0), line("0713-C-20418", 400, 0), line("1307", 400, 90))


def test_the_title_says_what_it_is_of() -> None:
    assert component([line("STORAGE WATER HEATER", 0, 0)]) == "water_heater"
    assert component([line("TYPE 3R", 0, 0)]) == ""


def test_sure_values_become_readings_once_and_another_value_is_asked() -> None:
    photo = Photo("p1", "photos/plate.jpg", "", None, 60.0, 4, 3)
    plate = [
        PlateField(
            "maximum_overcurrent", "maximum overcurrent protection", 30.0, "A", "30", 0.98, "maximum_overcurrent"
        )
    ]
    said = ("exterior rear", "", 60.0)
    made, asked = judge.readings(photo, plate, "air_conditioner", said, [], trade())
    assert [(r.quantity, r.value, r.photo, r.place) for r in made] == [
        ("maximum_overcurrent", 30.0, "p1", "exterior rear")
    ]
    assert asked == []
    again, _ = judge.readings(photo, plate, "air_conditioner", said, made, trade())
    assert again == []
    other = Reading("q", "maximum_overcurrent", 40.0, "A", 0.0, "", "air_conditioner")
    none, asked = judge.readings(photo, plate, "air_conditioner", said, [other], trade())
    assert none == [] and "40" in asked[0] and "30" in asked[0]


def test_photos_are_read_by_name_or_by_words_near_them() -> None:
    photos = tuple(
        Photo(f"p{n}", f"photos/{n}.jpg", "", None, at, 4, 3) for n, at in (("a", 10.0), ("b", 70.0), ("plate", None))
    )
    walk = Walk("walk/w.vtt", (Cue("walk/w.vtt", 0, 60.0, 64.0, "here is the data plate"),))
    assert [p.id for p in plates.likely(Visit(Path(), Facts(), (walk,), photos))] == ["pb", "pplate"]


@pytest.mark.parametrize(
    ("second", "agrees"),
    [("18.6", True), ("18.6 A", True), ("186", False), ("18.5", False), ("118.6", False), ("18.65", False)],
)
def test_a_line_that_two_looks_read_differently_is_doubted(second: str, agrees: bool) -> None:
    first, label = line("18.6", 400, 0), line("MCA", 0, 0)
    half = [
        Lettering(o.photo, o.text, o.sure, tuple((x / 2, y / 2) for x, y in o.corners))
        for o in (line(second, 400, 0), label)
    ]
    made = read(*plates.agreed([label, first], half, 0.5))["minimum_circuit_ampacity"]
    assert made.value == 18.6 and (made.sure >= 0.85) == agrees


def test_a_line_seen_in_one_look_only_is_doubted() -> None:
    assert plates.agreed([line("30", 0, 0)], [line("30", 900, 0)], 1.0)[0].sure < 0.85


def test_a_line_that_runs_on_into_the_next_label_is_cut_there() -> None:
    made = read(line("MODEL NO. QN-01-5B85 SERIAL NO. 9967-T-26564 MFG DATE 04/2010", 0, 0))
    assert {k: f.value for k, f in made.items()} == {
        "model": "QN-01-5B85", "serial": "9967-T-26564", "made_year": 2010.0,
    }  # fmt: skip
    assert read(line("CAPACITY: 40 GALLONS", 0, 0))["tank_volume"].value == 40.0


def test_a_plate_upside_down_or_on_its_side_is_turned_before_its_rows_are_read() -> None:
    """Rows of a plate that is read upside down give the values of their neighbours."""
    one = drawn(13, seed=2)
    assert "turned 180" in one.how
    made = {f.field: f.value for f in fields(plates.Reader(threads=1).read(one.image))}
    wrong = {k: v for k, v in one.truth.items() if k in made and made[k] != v}
    assert len(made) >= 4 and not wrong


def test_a_drawn_plate_is_read() -> None:
    one = drawn(8, seed=3)
    made = {f.field: f.value for f in fields(plates.Reader().read(np.ascontiguousarray(one.image)))}
    assert sum(made.get(k) == v for k, v in one.truth.items()) >= len(one.truth) - 1
