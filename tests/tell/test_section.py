"""The section drawing: each finding on its spot, nothing over anything, the same bytes, the house that was told."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tomllib
import xml.etree.ElementTree as ET
from collections.abc import Callable
from itertools import combinations, pairwise
from math import hypot
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kingpost.tell.drawings import drawable
from kingpost.tell.section import CROPS, Box, Drawing, Mark, Placed, draw
from kingpost.tell.section.build import house
from kingpost.tell.section.lettering import WIDE, width
from kingpost.tell.section.model import House
from kingpost.tell.section.pen import THEMES
from kingpost.tell.section.zones import FIND, spots, zone_of, zones
from kingpost.trade.load import trade
from kingpost.trade.model import LEVELS, STANDINGS
from kingpost.visit.facts import Alteration, Facts
from kingpost.visit.house import SECTION_FT, SECTION_WORDS

ROOT = Path(__file__).parents[2]
HOUSES = sorted((Path(__file__).parent / "houses").glob("*.toml"))
TRADE = trade()
PLACES, COMPONENTS = sorted(TRADE.places), sorted(TRADE.components)


def facts_of(path: Path) -> Facts:
    told = tomllib.loads(path.read_text(encoding="utf-8"))
    later = tuple(Alteration(**row) for row in told.get("alteration", ()))
    return Facts(**told["house"], section=told.get("section", {}), alterations=later)


def some(count: int) -> list[Mark]:
    """Findings all over the house, by a fixed rule."""
    out = []
    for n in range(count):
        place = TRADE.places[PLACES[n * 7 % len(PLACES)]]
        component, standing = COMPONENTS[n * 13 % len(COMPONENTS)], STANDINGS[n % 3]
        out.append(Mark(n + 1, standing, place.level, place.id, component, href=f"#f{n + 1}"))
    return out


# ---- what must hold of every drawing
def near(p: tuple[float, float], a: tuple[float, float], b: tuple[float, float]) -> float:
    """Distance of p from the line between a and b."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    t = max(0.0, min(1.0, ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / (dx * dx + dy * dy or 1.0)))
    return hypot(p[0] - a[0] - t * dx, p[1] - a[1] - t * dy)


def circle_meets(box: Box, p: Placed) -> bool:
    x, y = min(max(p.x, box.x0), box.x1), min(max(p.y, box.y0), box.y1)
    return hypot(p.x - x, p.y - y) < p.r


def faults(made: Drawing) -> list[str]:
    """What lies over what."""
    out = []
    for a, b in combinations(made.placed, 2):
        if hypot(a.x - b.x, a.y - b.y) < a.r + b.r:
            out.append(f"marks {a.mark.number} and {b.mark.number} overlap")
    for a in made.placed:
        legs = [*pairwise(a.leader), *pairwise(a.bracket)]
        for b in made.placed:
            if any(near((b.x, b.y), *leg) < b.r - 0.01 for leg in legs):
                out.append(f"the leader of {a.mark.number} crosses mark {b.mark.number}")
            if hypot(a.dot[0] - b.x, a.dot[1] - b.y) < b.r:
                out.append(f"the dot of {a.mark.number} lies under mark {b.mark.number}")
    carried = {p.dot for p in made.placed if p.leader}
    out += [f"mark {p.mark.number} hangs on no leader" for p in made.placed if p.dot not in carried]
    for label in made.labels:
        out += [f"mark {p.mark.number} lies over lettering" for p in made.placed if circle_meets(label, p)]
        for p in made.placed:
            for (xa, ya), (xb, yb) in [*pairwise(p.leader), *pairwise(p.bracket)]:
                if label.meets(Box(min(xa, xb), min(ya, yb), max(xa, xb), max(ya, yb))):
                    out.append(f"the leader of {p.mark.number} runs through lettering")
    out += ["lettering overlaps" for a, b in combinations(made.labels, 2) if a.meets(b)]
    box = made.box
    for p in made.placed:
        if not (box.x0 <= p.x - p.r and p.x + p.r <= box.x1 and box.y0 <= p.y - p.r and p.y + p.r <= box.y1):
            out.append(f"mark {p.mark.number} leaves the sheet")
        if not (box.x0 <= p.dot[0] <= box.x1 and box.y0 <= p.dot[1] <= box.y1):
            out.append(f"the dot of {p.mark.number} leaves the sheet")
    for label in made.labels:
        if label.x0 < box.x0 or label.x1 > box.x1 or label.y0 < box.y0 or label.y1 > box.y1:
            out.append("lettering leaves the sheet")
    return out


def numbers_in(svg: str) -> list[str]:
    """The numbers in marks, as a reader of SVG meets them."""
    texts = ET.fromstring(svg).iter("{http://www.w3.org/2000/svg}text")
    return sorted(t.text or "" for t in texts if re.fullmatch(r"\d+", t.text or ""))


FORMS = (
    *(
        "",
        "bungalow",
        "ranch",
        "cape with dormers",
        "foursquare",
        "split-level",
        "bi-level",
        "brick row house",
        "A-frame",
    ),
    *("hillside walk-out", "manufactured home", "dutch gambrel", "colonial", '<b> & "c"'),
)
words = st.sampled_from(FORMS)
under = st.sampled_from(
    ["", "slab", "crawl space", "full basement", "brick piers", "half basement, half crawl space", "rock"]
)
measures = st.dictionaries(
    st.sampled_from([*SECTION_FT, "slope", *SECTION_WORDS]),
    st.one_of(
        st.floats(-50, 200, allow_nan=False),
        st.sampled_from(
            ["front", "rear", "left", "right", "none", "attic", "basement", "garage", "hip", "flat", "moon"]
        ),
    ),
    max_size=8,
)
alterations = st.lists(
    st.builds(
        Alteration,
        st.sampled_from(
            ["rear addition", "front addition, 9 ft", "sunroom", "two-storey wing added, left", "deck", "garage"]
        ),
        st.none() | st.integers(1850, 2026),
    ),
    max_size=5,
).map(tuple)
houses = st.builds(
    Facts,
    form=words,
    built=st.none() | st.integers(1700, 2026),
    storeys=st.none() | st.sampled_from([1, 1.5, 2, 2.5, 3, 4, 9, 0.5]),
    foundation=under,
    alterations=alterations,
    section=measures,
)


@st.composite
def findings(pick: st.DrawFn, most: int = 60) -> list[Mark]:
    count = pick(st.integers(0, most))
    out = []
    for n in range(count):
        place, component = pick(st.sampled_from([*PLACES, "attic_of_nowhere"])), pick(st.sampled_from(COMPONENTS))
        level, standing = pick(st.sampled_from(LEVELS)), pick(st.sampled_from(STANDINGS))
        out.append(Mark(n + 1, standing, level, place, component, href=f"#f{n + 1}"))
    return out


@settings(max_examples=80)
@given(facts=houses, marks=findings(), width_px=st.sampled_from([320, 390, 724, 1600]))
def test_nothing_lies_over_anything_and_nothing_is_lost(facts: Facts, marks: list[Mark], width_px: int) -> None:
    made = draw(facts, marks, width=width_px)
    assert faults(made) == []
    assert numbers_in(made.svg) == sorted(str(m.number) for m in marks)
    assert made.box.y1 - made.box.y0 < 1.1 * (made.box.x1 - made.box.x0)


@settings(max_examples=40)
@given(facts=houses, marks=findings(20), crop=st.sampled_from(CROPS), small=st.booleans())
def test_a_stretch_of_it_holds_to_the_same(facts: Facts, marks: list[Mark], crop: str, small: bool) -> None:
    made = draw(facts, marks, crop=crop, small=small)
    assert faults(made) == []
    assert numbers_in(made.svg) == sorted(str(m.number) for m in marks)


@settings(max_examples=40)
@given(facts=houses, marks=findings(), theme=st.sampled_from(sorted(THEMES)))
def test_the_same_facts_give_the_same_bytes(facts: Facts, marks: list[Mark], theme: str) -> None:
    assert draw(facts, marks, theme=theme) == draw(facts, list(marks), theme=theme)


@pytest.mark.parametrize("width_px", [320, 724])
@pytest.mark.parametrize("count", [60, 120, 200])
def test_two_hundred_findings_still_have_a_mark_each(count: int, width_px: int) -> None:
    made = draw(facts_of(HOUSES[0]), some(count), width=width_px)
    assert len(made.placed) == count
    assert faults(made) == []


@pytest.mark.parametrize("path", HOUSES, ids=lambda p: p.stem)
@pytest.mark.parametrize("count", [3, 12, 30, 60])
def test_leaders_do_not_cross(path: Path, count: int) -> None:
    """On a desk; on a phone with fifty marks a few may."""
    legs = [p.leader[1:] for p in draw(facts_of(path), some(count)).placed if p.leader]
    assert not [(a, b) for a, b in combinations(legs, 2) if crosses(a, b)]


def crosses(a: tuple[tuple[float, float], ...], b: tuple[tuple[float, float], ...]) -> bool:
    """Whether two lines cross, by the turn from each to the ends of the other."""

    def turn(p: tuple[float, float], q: tuple[float, float], r: tuple[float, float]) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    (p, q), (r, t) = a, b
    return turn(p, q, r) * turn(p, q, t) < -1e-6 and turn(r, t, p) * turn(r, t, q) < -1e-6


def test_findings_of_one_spot_hang_on_one_leader() -> None:
    marks = [Mark(n, "deficiency", "lower", "basement", "sump_pit") for n in range(1, 17)]
    made = draw(facts_of(HOUSES[4]), marks)
    assert len({p.dot for p in made.placed}) == 1
    assert [bool(p.leader) for p in made.placed] == [True] + [False] * 15
    assert made.placed[0].bracket
    assert not made.placed[0].alone


BYTES = """
import hashlib, sys
sys.path.insert(0, sys.argv[1])
from tests.tell.test_section import HOUSES, draw, facts_of, some
print(hashlib.sha256("".join(draw(facts_of(p), some(30)).svg for p in HOUSES).encode()).hexdigest())
"""


def test_two_fresh_interpreters_draw_the_same() -> None:
    told = [
        subprocess.run(
            [sys.executable, "-c", BYTES, str(ROOT)],
            env={**os.environ, "PYTHONHASHSEED": seed},
            check=True,
            capture_output=True,
        ).stdout
        for seed in ("1", "2")
    ]
    assert told[0] == told[1]
    assert len(told[0].strip()) == 64


# ---- the twelve houses
@pytest.mark.parametrize("path", HOUSES, ids=lambda p: p.stem)
@pytest.mark.parametrize("count", [0, 5, 20, 50])
def test_the_twelve_houses_are_clean(path: Path, count: int) -> None:
    for small in (False, True):
        made = draw(facts_of(path), some(count), small=small)
        assert faults(made) == []
        ET.fromstring(made.svg)


SHAPES: dict[str, Callable[[House], Any]] = {  # what makes each of the twelve the house that it is, in feet
    "01": lambda h: h.main.below[0].kind == "piers" and h.porch and h.bodies[-1].label == "laundry of 1978",
    "02": lambda h: h.bodies[0].kind == "garage" and h.main.below[0].kind == "slab" and -1 < h.ground_at(30) < 0,
    "03": lambda h: h.main.below[0].kind == "crawl" and len(h.main.floors) == 1,
    "04": lambda h: h.main.roof.dormers == ("left",) and h.main.floors[-1].level == "upper" and h.main.plates[0] < 10,
    "05": lambda h: h.main.roof.kind == "hip" and h.main.below[0].kind == "basement" and len(h.main.floors) == 2,
    "06": lambda h: 2 < h.bodies[0].floors[1].floor < 7 and h.bodies[0].floors[0].floor < -2 and h.bodies[1].base == 0,
    "07": lambda h: h.main.base < h.ground_at(0) < 0 and "landing" in h.extra,
    "08": lambda h: next(t for t in h.things if t.kind == "furnace").zone == "attic" and len(h.main.floors) == 2,
    "09": lambda h: h.ground_at(0) - h.ground_at(32) > 7 and h.deck,
    "10": lambda h: h.main.roof.kind == "flat" and len(h.main.floors) == 3 and "party_wall" in h.extra,
    "11": lambda h: h.main.below[0].kind == "blocks" and "skirt" in h.extra,
    "12": lambda h: [b.label for b in h.bodies if b.kind == "addition"] == ["kitchen of 1954", "sunroom of 1988"],
}


@pytest.mark.parametrize("path", HOUSES, ids=lambda p: p.stem)
def test_each_house_is_built_as_it_is_told(path: Path) -> None:
    assert SHAPES[path.stem[:2]](house(facts_of(path)))


@pytest.mark.parametrize("path", HOUSES, ids=lambda p: p.stem)
def test_an_addition_stands_on_the_ground_that_is_under_it(path: Path) -> None:
    """A slab lies near the ground; else what carries the part goes down to it, on a hillside too."""
    seen = house(facts_of(path), [Mark(1, "deficiency", "main", "addition", "floor_covering")])
    for body in (b for b in seen.bodies if b.kind == "addition"):
        ground = min(seen.ground_at(body.x0), seen.ground_at(body.x1))
        below = body.below[0]
        assert body.base - ground < 1.5 if below.kind == "slab" else below.bottom <= ground


def test_its_roof_leans_on_the_house_under_the_eave_where_a_room_fits_there() -> None:
    ranch = house(facts_of(HOUSES[1]), [Mark(1, "deficiency", "main", "addition", "floor_covering")])
    addition = next(b for b in ranch.bodies if b.kind == "addition")
    assert addition.plates[0] <= ranch.main.plates[1] + 0.01
    assert addition.floors[0].ceiling - addition.floors[0].floor >= 6.8


def test_measures_are_drawn_where_they_are_and_read_back() -> None:
    """By hand: span 30, rise 6.5 in 12, plate 9.7: the ridge stands 9.7 + 15 x 6.5 / 12 = 17.825 above the floor."""
    facts = facts_of(HOUSES[0])
    assert house(facts).tall.roof.ridge == pytest.approx((15.0, 17.825))
    assert "RIDGE +17′ 10″" in draw(facts).svg


# ---- what is not known
def test_from_the_least_visit_everything_is_said_to_be_unmeasured() -> None:
    least = Facts(form="split-level", built=1964, storeys=2, foundation="half basement, half crawl space")
    made = draw(least, some(3))
    assert {"width", "ceiling height", "roof slope", "height of the floor above the ground"} <= set(made.unknown)
    assert "Not measured, so drawn to a common size: " in made.alt
    assert not re.search(r"\d+′", made.svg.replace("0′ 0″", "")), "a height is printed that nobody measured"
    assert "HOUSE OF 1964<" in made.svg


def test_a_measured_house_has_nothing_unknown_and_no_dashed_dimension() -> None:
    given_ = {"width_ft": 30, "ceiling_ft": 8, "slope": 6, "floor_ft": 2, "plate_ft": 9}
    none = dict.fromkeys(("furnace", "water_heater", "panel"), "none")
    made = draw(Facts(form="ranch", built=1970, foundation="crawl space", section={**given_, **none}))
    assert made.unknown == ()
    assert "NOT MEASURED" not in made.svg


@pytest.mark.parametrize(
    ("facts", "yes"),
    [
        (Facts(), False),
        (Facts(name="Alder Row", built=1964), False),
        (Facts(form="ranch"), True),
        (Facts(storeys=2), True),
        (Facts(foundation="slab"), True),
        (Facts(section={"width_ft": 30.0}), True),
    ],
)
def test_a_house_of_which_nothing_is_known_is_not_drawn(facts: Facts, yes: bool) -> None:
    assert drawable(facts) is yes


def test_findings_show_what_the_facts_leave_out() -> None:
    facts = Facts(form="ranch", foundation="slab")
    assert house(facts).deck is None
    marks = [
        Mark(1, "deficiency", "grounds", "deck", "deck_ledger"),
        Mark(2, "deficiency", "attic", "attic", "furnace"),
        Mark(3, "deficiency", "garage", "garage", "garage_door"),
    ]
    seen = house(facts, marks)
    assert seen.deck
    assert next(t for t in seen.things if t.kind == "furnace").zone == "attic"
    garage = next(b for b in seen.bodies if b.kind == "garage")
    assert not garage.sure
    assert "side of the garage" in seen.unknown


# ---- where a spot comes from
def test_the_table_names_only_what_there_is() -> None:
    table = zones()
    known = set(FIND) | {"level"}
    assert set(table.place) <= set(TRADE.places)
    named = {*table.orelse.values(), *table.level.values(), *(r["zone"] for r in table.place.values() if "zone" in r)}
    named |= {zone for row in table.component.values() for zone, _ in row}
    assert named <= known
    assert set(table.component) - {"stair"} <= set(TRADE.components)
    assert {level for row in table.component.values() for _, levels in row for level in levels} <= set(LEVELS)
    assert set(table.level) == set(LEVELS)


@pytest.mark.parametrize(
    ("level", "place", "component", "zone", "side"),
    [
        ("roof", "roof_rear", "gutter", "eave", "right"),
        ("roof", "roof_front", "asphalt_shingles", "slope", "left"),
        ("roof", "chimney", "chimney_crown", "chimney", ""),
        ("attic", "attic", "attic_insulation", "attic_floor", ""),
        ("main", "kitchen", "receptacle", "main", "right"),
        ("lower", "basement", "foundation_wall", "basement_wall", ""),
        ("underfloor", "crawl", "vapor_barrier", "crawl_ground", ""),
        ("grounds", "exterior_front", "siding", "wall", "left"),
        ("grounds", "deck", "deck_ledger", "deck_ledger", ""),
        ("garage", "garage", "garage_door", "garage", ""),
        ("lower", "basement", "water_heater", "water_heater", ""),
    ],
)
def test_component_and_place_say_the_zone(level: str, place: str, component: str, zone: str, side: str) -> None:
    assert zone_of(Mark(1, "deficiency", level, place, component)) == (zone, side)


def test_the_caller_may_know_better() -> None:
    assert zone_of(Mark(1, "deficiency", "roof", "roof_rear", "gutter", anchor="chimney")) == ("chimney", "right")


@pytest.mark.parametrize("path", HOUSES, ids=lambda p: p.stem)
def test_spots_lie_on_the_level_they_belong_to(path: Path) -> None:
    """Roof above attic floor above main floor above crawl space, in every house."""
    at = house(facts_of(path))
    marks = [
        Mark(1, "deficiency", "roof", "roof_rear", "asphalt_shingles"),
        Mark(2, "deficiency", "main", "kitchen", "receptacle"),
        Mark(3, "deficiency", "grounds", "yard", "grading"),
        Mark(4, "deficiency", "underfloor", "crawl", "floor_joist"),
    ]
    roof, main, ground, under_ = (spot.at[1] for spot in spots(at, marks))
    assert roof > next(f.ceiling for f in at.main.floors if f.level == "main") > main > 0 > ground
    assert under_ < main


# ---- the forms of it
def test_a_small_drawing_has_heavier_lines_larger_marks_and_no_lettering() -> None:
    facts, marks = facts_of(HOUSES[4]), some(4)
    large, small = draw(facts, marks, width=724), draw(facts, marks, width=354)
    assert small.placed[0].r == pytest.approx(1.8 * large.placed[0].r, rel=0.02)
    assert large.labels
    assert not small.labels
    assert 'stroke-width="0.55"' in large.svg
    assert 'stroke-width="0.55"' not in small.svg
    assert len(small.svg) < len(large.svg)


def test_a_broken_off_drawing_shows_its_break_lines_and_says_what_it_is() -> None:
    made = draw(facts_of(HOUSES[4]), some(2), crop="attic")
    assert made.alt == "Part of the drawing of the house: the attic, with findings 1 and 2."
    assert made.box.y1 - made.box.y0 < 400


def test_links_lead_to_the_findings_where_a_finger_can_hit_them() -> None:
    facts = facts_of(HOUSES[0])
    made = draw(facts, some(3), width=724)
    assert re.findall(r'<a href="(#f\d)" aria-label="Finding (\d)">', made.svg)
    assert 'role="group"' in made.svg
    crowded = draw(facts, some(60), width=320)
    assert "<a " not in crowded.svg
    assert 'role="img"' in crowded.svg


def test_what_was_typed_stays_words() -> None:
    facts = Facts(form='<script> & "x"', alterations=(Alteration("<b>addition</b>", 1990),))
    ET.fromstring(draw(facts, [Mark(1, "deficiency", "main", href='"><script>')]).svg)


def test_a_theme_or_level_that_is_not_known_is_named() -> None:
    with pytest.raises(ValueError, match='theme is "sepia"; write one of light, print, dark'):
        draw(Facts(), theme="sepia")
    with pytest.raises(ValueError, match='crop is "moon"; write one of roof, attic'):
        draw(Facts(), crop="moon")


def test_the_text_says_what_it_shows() -> None:
    alt = draw(facts_of(HOUSES[8]), [Mark(n, "deficiency", "main") for n in range(1, 8)]).alt
    assert alt.startswith(
        "Drawing: A hillside walk-out of 1997, cut from front to rear; one storey under a gable roof; "
    )
    assert "the ground falls away, so that the lower level opens at the rear. It has a deck." in alt
    assert "In it stand a furnace on the lowest level, a water heater on the lowest level" in alt
    assert "Findings are marked on it from ridge to ground, 1 to 7." in alt


def test_lettering_is_as_wide_as_the_face_says() -> None:
    """The face's own table, read by fontTools."""
    from fontTools.ttLib import TTFont  # type: ignore[import-untyped]

    face = TTFont(ROOT / "src" / "kingpost" / "tell" / "fonts" / "routed.woff2")
    names, advances = face.getBestCmap(), face["hmtx"]
    for sign, wide in WIDE.items():
        assert wide == pytest.approx(advances[names[ord(sign)]][0] / face["head"].unitsPerEm, abs=0.001), sign
    assert width("ridge", 10) == width("RIDGE", 10)
