"""What a plate says doubtfully is asked until somebody has read it off himself."""

from __future__ import annotations

from kingpost.judge import plates
from kingpost.look.plates_fields import PlateField
from kingpost.trade.load import trade
from kingpost.visit.facts import Photo
from kingpost.visit.record import Reading

PHOTO = Photo("p1", "photos/p1.jpg", "", None, 60.0, 4, 3)
FUSE = PlateField("maximum_overcurrent", "maximum overcurrent protection", 30.0, "A", "3O", 0.4, "maximum_overcurrent")


def read_off(component: str) -> Reading:
    return Reading("q1", "maximum_overcurrent", 35.0, "A", None, "side yard", component, row="journal/desk.jsonl:2")


def test_a_doubtful_value_is_asked_until_it_is_read_off() -> None:
    said = ("side yard", "", 60.0)
    made, asks = plates.readings(PHOTO, [FUSE], "air_conditioner", said, [], trade())
    assert (made, len(asks)) == ([], 1)
    for known in (read_off("air_conditioner"), read_off("")):
        assert plates.readings(PHOTO, [FUSE], "air_conditioner", said, [known], trade()) == ([], [])
    other = [read_off("water_heater")]
    assert len(plates.readings(PHOTO, [FUSE], "air_conditioner", said, other, trade())[1]) == 1


def test_the_record_says_what_a_value_is_of() -> None:
    (field,) = plates.as_record([FUSE], "air_conditioner")
    assert (field["quantity"], field["of"], field["used"]) == ("maximum_overcurrent", "air_conditioner", False)
