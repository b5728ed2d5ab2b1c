"""The rule: whatever is put on it, no lettering overlaps, all lies inside, and it tells the verdict of its check."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from itertools import combinations

import pytest
from fontTools.ttLib import TTFont  # type: ignore[import-untyped]
from hypothesis import given, settings
from hypothesis import strategies as st

from kingpost.tell.held import on_rule
from kingpost.tell.html import HERE
from kingpost.tell.rule import WIDE, Boxes, Limit, Rule, Scale, draw, width, wrapped
from kingpost.tell.section.pen import THEMES

from .invented_house import _stair_check

numbers = st.floats(-1e5, 1e5, allow_nan=False).map(lambda v: float(f"{v:.6g}"))
words = st.text("abcdefghijklmnopqrstuvwxyz0123456789 ", min_size=1, max_size=80).filter(str.strip)
limits = st.builds(Limit, numbers, st.sampled_from(["above", "below"]), words)
scales = st.builds(
    Scale,
    value=numbers,
    limits=st.lists(limits, min_size=1, max_size=2).map(tuple),
    shown=words,
    doubt=st.one_of(st.just(0.0), st.floats(1e-6, 1e4)),
    others=st.lists(numbers, max_size=4).map(tuple),
)
boxes = st.builds(Boxes, st.integers(-1, 30), st.integers(0, 30), words)


def coordinates(svg: str) -> tuple[list[float], list[float]]:
    """Every point that is drawn, as far as the rule's own path words M, L, H, V, h, v, l and its circles go."""
    xs, ys = list[float](), list[float]()
    for d in re.findall(r' d="([^"]+)"', svg):
        x = y = 0.0
        for word, args in re.findall(r"([MLHVhvlz])([^MLHVhvlz]*)", d):
            n = [float(v) for v in args.split(",")] if args else []
            if word in "ML":
                x, y = n
            elif word in "Hh":
                x = n[0] + (x if word == "h" else 0.0)
            elif word in "Vv":
                y = n[0] + (y if word == "v" else 0.0)
            elif word == "l":
                x, y = x + n[0], y + n[1]
            xs.append(x)
            ys.append(y)
    for cx, cy, r in re.findall(r'cx="([^"]+)" cy="([^"]+)" r="([^"]+)"', svg):
        xs += [float(cx) - float(r), float(cx) + float(r)]
        ys += [float(cy) - float(r), float(cy) + float(r)]
    return xs, ys


def faults(made: Rule) -> list[str]:
    """What a draughtsman would send back."""
    out = []
    for a, b in combinations(made.words, 2):
        if a.x0 < b.x1 - 0.01 and b.x0 < a.x1 - 0.01 and a.y0 < b.y1 - 0.01 and b.y0 < a.y1 - 0.01:
            out.append(f"lettering overlaps: {a} {b}")
    for box in made.words:
        if box.x0 < -0.01 or box.x1 > made.box.x1 + 0.01 or box.y0 < -0.01 or box.y1 > made.box.y1 + 0.01:
            out.append(f"lettering outside: {box}")
    xs, ys = coordinates(made.svg)
    if xs and not (min(xs) >= -0.1 and max(xs) <= WIDE + 0.1 and min(ys) >= -0.1 and max(ys) <= made.box.y1 + 0.1):
        out.append(f"drawn outside: {min(xs)} to {max(xs)}, {min(ys)} to {max(ys)}")
    return out


@settings(max_examples=300, deadline=None)
@given(shown=st.one_of(scales, boxes), theme=st.sampled_from(sorted(THEMES)))
def test_nothing_overlaps_and_all_lies_inside(shown: Scale | Boxes, theme: str) -> None:
    made = draw(shown, theme)
    assert faults(made) == []
    ET.fromstring(made.svg)
    assert draw(shown, theme) == made


@settings(max_examples=200, deadline=None)
@given(shown=scales)
def test_the_dot_lies_on_the_side_of_the_limit_that_the_numbers_say(shown: Scale) -> None:
    svg = draw(replace(shown, others=(), doubt=0.0, limits=shown.limits[:1])).svg
    dot = float(re.findall(r'cx="([^"]+)"', svg)[-1])
    upright = float(re.findall(r'd="M([\d.]+),18V', svg)[0])
    limit = shown.limits[0].at
    if dot != upright:  # nearer than a tenth of a unit they fall together
        assert (dot < upright) is (shown.value < limit)


def test_a_title_and_a_sentence_say_what_it_shows() -> None:
    made = draw(Scale(9.75, (Limit(7.75, "above", "at most 7.75"),), "9.75 ± 0.13 in", 0.13))
    tree = ET.fromstring(made.svg)
    space = "{http://www.w3.org/2000/svg}"
    assert (tree.findtext(f"{space}title"), tree.findtext(f"{space}desc")) == ("A reading on its scale", made.alt)
    assert made.alt == "Reading 9.75 ± 0.13 in, held against at most 7.75."
    assert tree.get("role") == "img"


def test_a_reading_that_is_exact_has_no_whisker() -> None:
    limit = (Limit(120.0, "above", "at most 120"),)
    exact, doubtful = draw(Scale(136, limit, "136 °F")).svg, draw(Scale(136, limit, "136 ± 2 °F", 2.0)).svg
    assert 'stroke-width="1.5"' not in exact
    assert doubtful.count('stroke-width="1.5"') == 1


def test_long_words_wrap_and_lose_nothing() -> None:
    text = "at least one in every sleeping room and Donaudampfschifffahrtsgesellschaftskapitaen outside each"
    lines = wrapped(text, 10.5, 100)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")
    assert all(width(line, 10.5) <= 100 for line in lines)


def test_lettering_is_never_wider_than_it_is_taken_to_be() -> None:
    """Against the face's own table, small letters and all signs that values bring."""
    face = TTFont(HERE / "fonts" / "routed.woff2")
    names, advances, em = face.getBestCmap(), face["hmtx"], face["head"].unitsPerEm
    for sign in "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789 .,:+-±°%$/()":
        if ord(sign) in names:
            assert advances[names[ord(sign)]][0] / em <= width(sign, 1.0) + 0.002, sign


@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_a_value_that_is_not_finite_is_refused(value: float) -> None:
    with pytest.raises(ValueError, match="not finite"):
        draw(Scale(value, (Limit(1.0, "above", "at most 1"),), "?"))


# ---- from a check to the rule
def test_the_pair_that_decided_is_drawn() -> None:
    base = _stair_check()
    made = on_rule(replace(base, inputs={"riser_in": [7.25, 9.75], "u_riser_in": 0.0625}, computed={},
                           required={"max_riser_in": 7.75}))  # fmt: skip
    assert isinstance(made, Scale)
    assert (made.value, made.doubt, made.others) == (9.75, 0.125, (7.25,))
    assert made.limits == (Limit(7.75, "above", "at most 7.75"),)


def test_of_two_pairs_the_one_that_the_sentence_speaks_of_is_drawn() -> None:
    base = replace(_stair_check(), inputs={"riser_in": [7.25, 9.75]}, computed={"riser_variation_in": 2.5},
                   required={"max_riser_in": 8.25, "max_variation_in": 0.375})  # fmt: skip
    for says, value in (("A step rises 9.75 in.", 9.75), ("The steps differ by 2.5 in.", 2.5), ("", 2.5)):
        made = on_rule(replace(base, says=says))
        assert isinstance(made, Scale)
        assert made.value == value


def test_a_pair_that_tells_another_story_than_the_verdict_is_not_drawn() -> None:
    base = replace(_stair_check(), inputs={"riser_in": 7.0}, computed={}, required={"max_riser_in": 7.75})
    assert on_rule(base) is None
    assert on_rule(replace(base, verdict="meets")) is not None
    assert on_rule(replace(base, verdict="not_applicable")) is None


def test_a_limit_on_one_thing_is_not_held_against_another() -> None:
    base = replace(_stair_check(), computed={})
    for inputs, required in (
        ({"gap_in": 9.0, "width_in": 5.0}, {"max_riser_in": 7.75}),
        ({"riser_in": 9.0}, {"max_run_ft": 3.0}),
        ({"wide": True}, {"max_riser_in": 7.75}),
        ({"riser_in": 9.0}, {"over_width_in": 3.0}),
    ):
        assert on_rule(replace(base, inputs=inputs, required=required)) is None, (inputs, required)


@pytest.mark.parametrize(
    ("there", "verdict", "asked", "drawn"),
    [
        (False, "falls_short", {"present": True}, Boxes(0, 1, "Vacuum breaker")),
        (True, "meets", {"present": True}, Boxes(1, 1, "Vacuum breaker")),
        (True, "falls_short", {"present": True}, None),
        (True, "falls_short", {"present": False}, None),
        (False, "cannot_tell", {}, None),
    ],
)
def test_what_is_there_or_not_is_counted(
    there: bool, verdict: str, asked: dict[str, bool], drawn: Boxes | None
) -> None:
    check = replace(_stair_check(), inputs={"present": there}, computed={}, required=asked, verdict=verdict,
                    measured=f"Vacuum breaker {'yes' if there else 'no'}")  # fmt: skip
    assert on_rule(check) == drawn
