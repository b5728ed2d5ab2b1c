"""The section drawing where it is used: on the sheets of the report, and from the measures of visit.toml."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

from kingpost.tell.section import draw
from kingpost.visit import read
from kingpost.visit.facts import Facts
from kingpost.visit.house import SECTION_FT, SECTION_WORDS
from tests.conftest import HOUSE, MakeVisit

from .invented_house import Told, told
from .invented_house import house as house_of
from .test_section import HOUSES, facts_of, numbers_in


def test_the_report_shows_it_twice_and_links_each_mark(forty: Told) -> None:
    sheet = forty.html.partition('id="sheet-answer"')[2].partition("</section>")[0]
    large, small = (part.partition("</svg>")[0] for part in sheet.split('<div class="dr-')[1:3])
    ids = {f.id for f in forty.record.findings}
    assert set(re.findall(r'<a href="#([^"]+)" aria-label', large)) == ids
    for part in (large, small):
        assert len(numbers_in(part.partition("<svg")[1] + part.partition("<svg")[2] + "</svg>")) == 40
        assert 'aria-label="Drawing: A split-level of 1964' in part


def test_each_level_sheet_opens_with_its_stretch(forty: Told) -> None:
    for level in ("roof", "attic", "rooms", "underfloor", "garage", "grounds"):
        sheet = forty.html.partition(f'id="sheet-{level}"')[2].partition("<article")[0]
        assert "Part of the drawing of the house: " in sheet, level


def test_without_a_form_there_is_no_drawing(empty: Told, tmp_path: Path) -> None:
    assert "<svg" in empty.html
    bare = told(house_of(0, facts=Facts(name="Alder Row")), tmp_path, pdf=False)
    assert "<svg" not in bare.html


def test_measures_are_read_from_visit_toml_and_a_bad_one_is_named(make_visit: MakeVisit) -> None:
    lines = '[section]\nwidth_ft = 30\nslope = 6.5\nporch = "front"\nridge_ft = "high"\n'
    visit = read(make_visit({"visit.toml": HOUSE + lines}))
    assert visit.facts.section == {"width_ft": 30.0, "slope": 6.5, "porch": "front"}
    assert [t.problem for t in visit.trouble] == ['ridge_ft is "high", which cannot be used']


def test_every_measure_that_visit_toml_takes_changes_the_drawing() -> None:
    """A key that the drawing does not heed would be a promise not kept."""
    facts = facts_of(HOUSES[4])
    other = {
        **dict.fromkeys(SECTION_FT, 7.0),
        "ridge_ft": 44.0,
        "plate_ft": 26.0,
        "overhang_ft": 0.5,
        "width_ft": 40.0,
        "basement_ft": 9.0,
        "ground_left_ft": -1.5,
        "ground_right_ft": -6.0,
        "slope": 3.0,
        "roof": "gable",
        "dormers": "rear",
        "chimney": "left",
        "porch": "rear",
        "deck": "rear",
        "garage": "left",
        "condenser": "ground",
        "furnace": "attic",
        "water_heater": "main",
        "panel": "main",
    }
    assert set(other) == {*SECTION_FT, "slope", *SECTION_WORDS}
    with_all = {**facts.section, "deck": "rear", "garage": "right"}
    for key, value in other.items():
        under_it = "crawl space" if key == "crawl_ft" else facts.foundation
        plain = replace(facts, section=with_all, foundation=under_it)
        changed = replace(plain, section={**with_all, key: value})
        if changed.section != plain.section:
            assert draw(changed).svg != draw(plain).svg, key
