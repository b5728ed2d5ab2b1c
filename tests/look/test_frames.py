"""Thermal frames: temperatures held against Planck's law, patches against frames with truth, and what is never said."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image, ImageCms

from kingpost.judge import heat_pictures
from kingpost.look.frames import FrameError, corrected, point, read
from kingpost.look.frames_beside import beside
from kingpost.look.frames_picture import draw, palette
from kingpost.look.frames_spots import spots
from kingpost.visit.facts import Facts, Frame

from .walls import wall

INSIDE = {"unit": "celsius", "emissivity": 0.95, "indoor_c": 21.0, "outdoor_c": 1.0, "humidity": 45}


def band(celsius: float) -> float:
    """Radiance of a black body from 7.5 to 14 um: Planck's law, constants of CODATA 2018, summed by trapezium."""
    h, c, k = 6.62607015e-34, 299792458.0, 1.380649e-23
    um = np.linspace(7.5e-6, 14e-6, 4001)
    made = 2 * h * c**2 / um**5 / np.expm1(h * c / (um * k * (celsius + 273.15)))
    return float(((made[1:] + made[:-1]) / 2 * np.diff(um)).sum())


def from_band(radiance: float) -> float:
    low, high = -80.0, 200.0
    for _ in range(60):
        low, high = ((low + high) / 2, high) if band((low + high) / 2) < radiance else (low, (low + high) / 2)
    return low


@pytest.mark.parametrize(
    ("shown", "emissivity", "mirrored"), [(15, 0.93, 21), (5, 0.9, 22), (19, 0.95, 21), (35, 0.9, 20)]
)
def test_correction_agrees_with_planck_in_the_cameras_band(shown: float, emissivity: float, mirrored: float) -> None:
    about = {"emissivity": emissivity, "camera_emissivity": 1.0, "reflected_c": mirrored, "indoor_c": 21.0}
    theirs = from_band((band(shown) - (1 - emissivity) * band(mirrored)) / emissivity)
    ours = corrected(np.full((2, 2), float(shown)), about)
    assert ours.corrected
    assert ours.celsius[0, 0] == pytest.approx(theirs, abs=0.15)
    assert ours.celsius[0, 0] == pytest.approx(point(shown, about), abs=1e-9)


def test_tiff_and_csv_of_every_unit_are_the_same_temperatures(tmp_path: Path) -> None:
    t = np.round(np.linspace(15, 25, 48).reshape(6, 8), 2)
    Image.fromarray(np.round((t + 273.15) * 100).astype(np.uint16)).save(tmp_path / "a.tif")
    for unit, numbers in {"celsius": t, "fahrenheit": t * 1.8 + 32, "kelvin": t + 273.15}.items():
        file = tmp_path / f"{unit}.csv"
        file.write_text("\n".join(";".join(f"{v:.6f}" for v in row) for row in numbers))
        assert np.abs(read(file, {"unit": unit}).celsius - t).max() < 1e-5
    assert np.abs(read(tmp_path / "a.tif", {"unit": "centikelvin"}).celsius - t).max() < 0.006


@pytest.mark.parametrize(
    ("about", "says"),
    [
        ({"unit": "furlong"}, "no unit"),
        ({"unit": "centikelvin"}, "no temperatures"),
        ({"unit": "celsius", "emissivity": 0.2, "camera_emissivity": 0.95, "reflected_c": 20.0}, "mirrors"),
        ({"unit": "celsius", "emissivity": 0.9, "camera_emissivity": 0.95}, "reflected_c is missing"),
    ],
)
def test_what_gives_no_temperatures_is_said(about: dict[str, Any], says: str, tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text("20,21\n22,23\n" if "cen" not in about["unit"] else "999999,1\n1,1\n")
    with pytest.raises(FrameError, match=says):
        read(tmp_path / "a.csv", about)


@pytest.mark.parametrize(
    ("air", "says"),
    [
        (
            {"indoor_c": 21.4, "outdoor_c": 10.4},
            "71 °F (21.4 °C) indoors, 51 °F (10.4 °C) outdoors: hardly the 18 °F (10 °C)",
        ),
        ({"indoor_c": 21.0, "outdoor_c": 19.6}, "It takes 18 °F (10 °C) between indoors and outdoors for 3 hours"),
    ],
)
def test_the_air_is_told_in_the_readers_degrees_and_the_cameras(air: dict[str, float], says: str) -> None:
    _, said, _ = heat_pictures.conditions(Frame("t1", "thermal/t1.tif", "", INSIDE | air), Facts())
    assert says in said


def judged(t: np.ndarray, **more: Any) -> tuple[str, str, tuple[Any, ...]]:
    frame, facts = Frame("t1", "thermal/t1.tif", "", INSIDE | more), Facts()
    state, says, _ = heat_pictures.conditions(frame, facts)
    return state, says, heat_pictures.judged(spots(t), frame, facts, state)


def test_an_empty_bay_is_found_where_it_is_and_named_first() -> None:
    t, truth = wall(3, "bay")
    state, _, found = judged(t)
    best = found[0]
    left, _, width, _ = best.box
    assert state == "can"
    assert best.causes[0].id == "missing_insulation"
    assert best.contrast_k == pytest.approx(truth["contrast"], abs=0.4)
    assert best.area == pytest.approx(truth["area"], rel=0.15)
    assert (left, width) == (pytest.approx(truth["box"][0], abs=0.02), pytest.approx(truth["box"][2], abs=0.03))


def test_too_small_a_difference_names_nothing_that_needs_one() -> None:
    t, _ = wall(3, "bay")
    state, says, found = judged(t, outdoor_c=19.6)
    assert state == "too_small"
    assert "cannot judge" in says
    assert not {"missing_insulation", "air_leak", "framing"} & {c.id for s in found for c in s.causes}


def test_a_frame_alone_never_says_wet_and_asks_for_a_meter() -> None:
    t, _ = wall(5, "blot")
    _, _, found = judged(t, place="ceiling under the bath")
    damp = [c for s in found for c in s.causes if c.id == "damp"]
    assert damp and all("cannot tell" in c.name and "meter" in c.settle and "scale" in c.settle for c in damp)


def test_a_normal_wall_gives_nothing_but_framing() -> None:
    for seed in range(4):
        t, _ = wall(seed, "")
        assert {s.causes[0].id for s in judged(t)[2] if s.causes} <= {"framing"}


def test_dew_point_is_told_only_where_the_air_is_known_and_the_camera_can_tell() -> None:
    frame = Frame("t1", "", "", INSIDE)
    near = heat_pictures.damp_risk(9.0, frame, Facts(), "can")
    assert near["dew_point_c"] == pytest.approx(8.6, abs=0.1)  # 21 C at 45 %: psychrometric tables give 8.6
    assert near["dew_point"] == "cannot_tell"
    assert heat_pictures.damp_risk(18.0, frame, Facts(), "can")["dew_point"] == "not_reached"
    assert heat_pictures.damp_risk(2.0, frame, Facts(), "can")["dew_point"] == "reached"
    assert near["temperature_index"] == pytest.approx(0.4)
    assert heat_pictures.damp_risk(9.0, Frame("t", "", "", {}), Facts(), "can") == {}


def test_colours_rise_in_even_steps() -> None:
    """CIELAB by another program (LittleCMS through Pillow): lightness rises all the way, steps are alike."""
    strip = Image.fromarray(palette()[None, :, :])
    made = ImageCms.profileToProfile(
        strip, ImageCms.createProfile("sRGB"), ImageCms.createProfile("LAB"), outputMode="LAB"
    )
    assert made is not None
    raw = np.asarray(made).astype(float)[0]
    lab = np.stack([raw[:, 0] / 2.55, raw[:, 1] - 256 * (raw[:, 1] > 127), raw[:, 2] - 256 * (raw[:, 2] > 127)], axis=1)
    wide = np.linalg.norm(lab[16::16] - lab[:-16:16], axis=1)
    assert (np.diff(lab[::16, 0]) > 1.0).all()
    assert wide.max() / wide.min() < 1.5


def test_noise_is_not_drawn_as_a_find() -> None:
    t = 20 + np.random.default_rng(1).normal(0, 0.05, (120, 160))
    drawn = draw(t)
    assert drawn.high_c - drawn.low_c == pytest.approx(1.0)
    assert spots(t) == ()


def test_the_photo_beside_is_the_named_one_else_none_without_times() -> None:
    from kingpost.visit.facts import Photo

    photos = [Photo("p1", "photos/a.jpg", "", None, None, 4, 3), Photo("p2", "photos/b.jpg", "", None, None, 4, 3)]
    assert beside(Frame("t", "", "", {"photo": "b.jpg"}), photos) == "p2"
    assert beside(Frame("t", "", "", {}), photos) == ""
