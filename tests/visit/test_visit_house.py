"""visit.toml: every table of the contract, every slip with its line and its mend."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import pytest

from kingpost.visit import VisitError, read
from kingpost.visit.facts import Alteration, Device
from tests.conftest import HOUSE, MakeVisit

WHOLE = """
[house]
name = "Alder Row"
built = 1964
form = "split-level"
storeys = 2
foundation = "half basement, half crawl space"
jurisdiction = "us-nc"
address = "214 Alder Row"
invented = true
depth_ft = 38.5
[visit]
started = 2026-05-12T09:00:00-05:00
inspector = "Pat Example"
licence = "0000"
client = "Sam Example"
present = ["client", "agent"]
standards = ["nc"]
[weather]
outdoor_f = 46
humidity_percent = 61
last_rain_h = 38
wind = "light"
[scope]
excluded = ["detached shed"]
[utilities]
electric = "on"
water = true
gas = "off"
[[alteration]]
what = "rear addition"
year = 1998
[[alteration]]
what = "furnace"
[[device]]
name = "Northlamp Torchcam 1"
clock_offset_s = 40
[beehive]
frames = 12
"""


def test_every_table_of_the_contract_is_read(make_visit: MakeVisit) -> None:
    visit = read(make_visit({"visit.toml": WHOLE}))
    facts = visit.facts
    assert (facts.name, facts.built, facts.form, facts.storeys) == ("Alder Row", 1964, "split-level", 2)
    assert (facts.jurisdiction, facts.address, facts.invented) == ("us-nc", "214 Alder Row", True)
    assert facts.foundation == "half basement, half crawl space"
    assert facts.started == datetime.fromisoformat("2026-05-12T09:00:00-05:00")
    assert (facts.inspector, facts.licence, facts.client) == ("Pat Example", "0000", "Sam Example")
    assert (facts.present, facts.standards, facts.excluded) == (("client", "agent"), ("nc",), ("detached shed",))
    assert facts.weather == {"outdoor_f": 46, "humidity_percent": 61, "last_rain_h": 38, "wind": "light"}
    assert facts.utilities == {"electric": True, "water": True, "gas": False}
    assert facts.alterations == (Alteration("rear addition", 1998), Alteration("furnace", None))
    assert facts.devices == (Device("Northlamp Torchcam 1", 40.0),)
    assert facts.more == {"house": {"depth_ft": 38.5}, "beehive": {"frames": 12}}
    assert visit.trouble == ()


SLIPS = [
    ("[house]\nstories = 2\n", '2: unknown key "stories" in [house]; did you mean storeys?'),
    ("[house]\nlicense = 'x'\n", '2: "license" stands in [house]; write licence under [visit]'),
    ("[house]\n[visit]\njurisdiction = 'us-nc'\n", '3: "jurisdiction" stands in [visit]; write jurisdiction under'),
    ("[house]\n[vist]\nclient = 'x'\n", '2: unknown table "vist"; did you mean visit?'),
    ("built = 1964\n[house]\n", '1: "built" stands before any table; write it under [house]'),
    ("[house]\nbuilt = '1964'\n", '2: built is "1964", which cannot be used; write a year without quotes, as in 1964'),
    ("[house]\nbuilt = 19640\n", "2: built is 19640, which cannot be used; write a year"),
    ("[house]\nbuilt = true\n", "2: built is True, which cannot be used; write a year"),
    ("[house]\nstoreys = nan\n", "2: storeys is nan, which cannot be used; write a number"),
    ("[house]\n[visit]\nstarted = 2026-05-12\n", "3: started is 2026-05-12, which cannot be used; write a date and"),
    ("[house]\n[visit]\nstarted = 'nine'\n", '3: started is "nine", which cannot be used; write a date and time'),
    ("[house]\n[utilities]\ngas = 'so'\n", '3: gas is "so", which cannot be used; write "on" or "off"'),
    ("[house]\n[[device]]\nname = 'x'\nclock_offset_s = '40'\n", '4: clock_offset_s is "40", which cannot be used'),
    ("[house]\n[[alteration]]\nyear = 1998\n", "2: [[alteration]] has no usable what; add what = ..."),
    ("[house]\n[alteration]\nwhat = 'x'\n", "2: [alteration] stands alone; write [[alteration]]"),
    ("[visit]\n", " has no [house], so nothing is known about the house; add [house] with name and built"),
    ("[house]\nname = [1]\n", "2: name is [1], which cannot be used; write words in quotes"),
    ("[house]\n[visit]\npresent = [1, 2]\n", "3: present is [1, 2], which cannot be used; write a list of words"),
]


@pytest.mark.parametrize(("text", "said"), SLIPS)
def test_a_slip_is_named_with_its_mend_and_the_rest_is_read(make_visit: MakeVisit, text: str, said: str) -> None:
    visit = read(make_visit({"visit.toml": text}))
    assert [t for t in map(str, visit.trouble) if t.startswith(f"visit.toml:{said}")], [str(t) for t in visit.trouble]
    assert visit.walks


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b'[house]\nname = Alder Row\n', 'visit.toml:2: "name = Alder Row" is not TOML'),
        (b'[house]\nname = "Alder\n', 'visit.toml:2: "name = "Alder" is not TOML'),
        (b"[house]\nbuilt = 1\nbuilt = 2\n", "visit.toml:3: "),
        (b"\xff\xfe\x00\x00\x01\x02", "visit.toml: is not text"),
        (b"x = " + b"[" * 20_000, "visit.toml: is nested too deep"),
        (b"x = " + b"9" * 5_000, "visit.toml"),
        (b" ", ""),
    ],
)  # fmt: skip
def test_a_broken_file_ends_the_reading_with_line_and_mend(make_visit: MakeVisit, content: bytes, said: str) -> None:
    folder = make_visit({"visit.toml": content})
    if said:
        with pytest.raises(VisitError) as told:
            read(folder)
        assert str(told.value).startswith(said), str(told.value)
        assert len(str(told.value).splitlines()) == 1
    else:
        assert read(folder).facts.name == ""


def test_an_empty_visit_toml_and_an_absent_one(make_visit: MakeVisit, tmp_path: Path) -> None:
    folder = make_visit({})
    (folder / "visit.toml").write_bytes(b"")
    with pytest.raises(VisitError, match=r"visit\.toml: is empty"):
        read(folder)
    (folder / "visit.toml").unlink()
    with pytest.raises(VisitError, match=r"visit\.toml: is not there; write one; `kingpost new visit` makes one"):
        read(folder)
    with pytest.raises(VisitError, match="is not there; give the folder of a visit"):
        read(tmp_path / "nowhere")
    with pytest.raises(VisitError, match="is not a folder"):
        read(folder / "walk/walk.vtt")


def test_marks_and_line_ends_of_other_systems_are_read(make_visit: MakeVisit) -> None:
    with_mark = "\ufeff" + HOUSE.replace("\n", "\r\n")
    assert read(make_visit({"visit.toml": with_mark})).facts.built == 1964
    windows = HOUSE.replace("Alder Row", "Châlet").encode("cp1252")
    visit = read(make_visit({"visit.toml": windows}))
    assert visit.facts.name == "Châlet"
    assert str(visit.trouble[0]).startswith("visit.toml:2: is not UTF-8; read as Windows-1252")
    assert read(make_visit({"visit.toml": HOUSE.encode("utf-16")})).facts.built == 1964


def test_words_that_cannot_be_printed_do_not_get_in(make_visit: MakeVisit) -> None:
    text = '[house]\nname = "Al\\u0000der\\n Row"\n[beehive]\nframes = nan\n'
    facts = read(make_visit({"visit.toml": text})).facts
    assert facts.name == "Al der Row"
    assert facts.more == {"beehive": {"frames": "nan"}}
