"""Thermal frames as temperatures: read from TIFF or CSV, put into C, corrected for surface, mirror and air."""

from __future__ import annotations

import csv
import io
import warnings
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from kingpost.measure.infrared import KELVIN, air_transmittance, surface_c
from kingpost.measure.limits import OutOfRange

Matrix = NDArray[np.float64]
UNITS = {
    "kelvin": (1.0, -KELVIN),
    "centikelvin": (0.01, -KELVIN),
    "celsius": (1.0, 0.0),
    "fahrenheit": (5 / 9, -160 / 9),
}
NEAR_M = 2.0  # nearer, air takes nothing


class FrameError(ValueError):
    """A frame that gives no temperatures; the text says why and what to do."""


@dataclass(frozen=True, slots=True)
class Heat:
    """One frame in C, as the surface is, and what was done to it."""

    celsius: Matrix
    corrected: bool  # for another emissivity, mirror or air than the camera's own
    says: str


def read(path: Path, about: Mapping[str, Any]) -> Heat:
    """A frame as temperatures of the surface. Raises FrameError."""
    try:
        content = path.read_bytes()
        raw = _matrix(content) if path.suffix.lower() == ".csv" else _tiff(content)
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError) as err:
        raise FrameError(f"cannot be read as temperatures ({str(err)[:60]})") from None
    if about.get("unit") not in UNITS:
        raise FrameError("no unit is known")
    factor, zero = UNITS[str(about["unit"])]
    shown = raw * factor + zero
    if not np.isfinite(shown).all() or shown.min() < -80 or shown.max() > 1000:
        raise FrameError("its numbers are no temperatures in that unit")
    return corrected(shown, about)


def _tiff(content: bytes) -> Matrix:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        with Image.open(io.BytesIO(content), formats=("TIFF",)) as image:
            return np.asarray(image, dtype=np.float64)


def _matrix(content: bytes) -> Matrix:
    text = content.decode("utf-8-sig", "replace")
    lines = [line for line in text.splitlines() if line.strip()]
    head = lines[0] if lines else ""
    delimiter = ";" if ";" in head else "\t" if "\t" in head else ","
    return np.array([[float(cell) for cell in row] for row in csv.reader(lines, delimiter=delimiter)])


def corrected(shown: Matrix, about: Mapping[str, Any]) -> Heat:
    """Temperatures of the surface from what the camera shows.

    The numbers are taken as the camera made them with the settings that the TOML names. Where `camera_emissivity` says
    that it was set otherwise, its setting is undone and `emissivity`, `reflected_c`, distance and air are applied.

    Source    the radiometric equation with three terms, fourth powers: measure.infrared.surface_c, for a whole frame
    """
    surface, set_to = _number(about, "emissivity"), _number(about, "camera_emissivity")
    if surface is None or set_to is None or surface == set_to:
        return Heat(shown, False, "as the camera was set")
    if surface < 0.6:
        raise FrameError(f"emissivity {surface:g}: such a surface mirrors, its own temperature cannot be read")
    mirrored = _number(about, "reflected_c")
    air = _number(about, "air_c", "indoor_c")
    if mirrored is None:
        raise FrameError("reflected_c is missing; write how warm is what mirrors in the surface")
    through = _through(about, air)
    own = _number(about, "camera_reflected_c")
    own = mirrored if own is None else own
    seen = set_to * _sent(shown) + (1 - set_to) * _sent(own) - (1 - surface) * through * _sent(mirrored)
    seen -= (1 - through) * _sent(air if air is not None else mirrored)
    if (seen <= 0).any():
        raise FrameError("emissivity and mirrored temperature do not fit together; look at both")
    made = (seen / (surface * through)) ** 0.25 * 100.0 - KELVIN
    return Heat(made, True, f"corrected from emissivity {set_to:g} to {surface:g}, mirrored {mirrored:g} C")


def _sent(celsius: Matrix | float) -> Any:
    return ((celsius + KELVIN) / 100.0) ** 4


def _through(about: Mapping[str, Any], air: float | None) -> float:
    away, humid = _number(about, "distance_m"), _number(about, "humidity")
    if away is None or away < NEAR_M or humid is None or air is None:
        return 1.0
    try:
        return air_transmittance(away, air, humid / 100.0)
    except OutOfRange:
        return 1.0


def _number(about: Mapping[str, Any], *names: str) -> float | None:
    for name in names:
        value = about.get(name)
        if isinstance(value, (int, float)) and not isinstance(value, bool) and np.isfinite(value):
            return float(value)
    return None


def point(shown_c: float, about: Mapping[str, Any]) -> float:
    """One temperature by the scalar formula of `measure`, for tests and for a spot that a person asks about."""
    air = _number(about, "air_c", "indoor_c")
    return surface_c(
        shown_c, float(about["emissivity"]), float(about["reflected_c"]), _through(about, air), air,
        float(about["camera_emissivity"]), _number(about, "camera_reflected_c"),
    )  # fmt: skip


def ends(celsius: Matrix) -> tuple[float, float]:
    """The coldest and the hottest place, without the odd pixel."""
    cold, hot = np.quantile(celsius, (0.001, 0.999))
    return float(cold), float(hot)
