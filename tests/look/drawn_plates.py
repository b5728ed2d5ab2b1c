"""Rating plates drawn with truth: invented appliances, several layouts, aslant, in glare, blurred. No maker's name."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

BOLD, PLAIN = "DejaVuSans-Bold.ttf", "DejaVuSansCondensed.ttf"
Row = tuple[str, str]


@dataclass(frozen=True)
class Drawn:
    """A picture of a plate, and what it truly says by field."""

    image: NDArray[np.uint8]
    truth: dict[str, Any]
    how: str


def _code(rng: np.random.Generator, pattern: str) -> str:
    """A made-up code; letters that look like digits are left in, as real ones have them."""
    letters = "ABCDEFGHJKLMNPQRSTUVWXYZ"
    return "".join(
        letters[rng.integers(len(letters))] if c == "A" else str(rng.integers(10)) if c == "9" else c for c in pattern
    )


def cooling(rng: np.random.Generator) -> tuple[str, list[tuple[str, str, str]], dict[str, Any]]:
    """An outdoor unit: (field, label, value as it stands) and the truth."""
    mca = round(float(rng.uniform(9, 40)), 1)
    mop = next(s for s in (15, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80) if s >= mca * 1.3)
    volts, year = str(rng.choice(["208/230", "230", "208-230"])), int(rng.integers(1994, 2025))
    model, serial = _code(rng, "AA-99-9A99"), _code(rng, "9999-A-99999")
    rows = [
        ("model", ["MODEL NO.", "MODEL", "M/N"], model), ("serial", ["SERIAL NO.", "SERIAL", "S/N"], serial),
        ("made_year", ["MFG DATE", "MFD.", "DATE OF MANUFACTURE"], f"{rng.integers(1, 13):02d}/{year}"),
        ("volts", ["VOLTS", "VOLTAGE", "VOLTS AC"], volts), ("phase", ["PH", "PHASE", "PH."], "1"),
        ("", ["HZ", "HERTZ", "HZ"], "60"), ("", ["COMPRESSOR RLA", "RLA", "COMPRESSOR RLA"], f"{mca * 0.7:.1f}"),
        ("minimum_circuit_ampacity", ["MIN CIRCUIT AMPACITY", "MCA", "MIN. CIRCUIT AMPS"], f"{mca}"),
        ("maximum_overcurrent", ["MAX FUSE OR BREAKER", "MOP", "MAX. OVERCURRENT PROTECTION"], f"{mop}"),
    ]  # fmt: skip
    style = int(rng.integers(3))
    truth = {"model": model, "serial": serial, "made_year": float(year), "volts": volts.replace("-", "/"),
             "phase": 1.0, "minimum_circuit_ampacity": mca, "maximum_overcurrent": float(mop)}  # fmt: skip
    truth["volts"] = 230.0 if volts == "230" else truth["volts"]
    return "OUTDOOR CONDENSING UNIT", [(f, names[style], v) for f, names, v in rows], truth


def heating(rng: np.random.Generator) -> tuple[str, list[tuple[str, str, str]], dict[str, Any]]:
    """A water heater."""
    gallons, rate = int(rng.choice([30, 40, 50, 75])), int(rng.choice([32000, 36000, 40000, 75100]))
    year, psi = int(rng.integers(1996, 2025)), int(rng.choice([125, 150]))
    model, serial = _code(rng, "AA-99-A99"), _code(rng, "9999-A-99999")
    shown = [f"{rate:,}", f"{rate}", f"{rate // 1000} {rate % 1000:03d}"]
    style = int(rng.integers(3))
    rows = [
        ("model", ["MODEL NO.", "MODEL NUMBER", "MODEL"], model),
        ("serial", ["SERIAL NO.", "SERIAL NUMBER", "SERIAL"], serial),
        ("made_year", ["MFG DATE", "MANUFACTURED", "DATE MFD"], f"{rng.integers(1, 13):02d}/{year}"),
        ("tank_volume", ["CAPACITY", "CAPACITY", "STORAGE CAPACITY"], f"{gallons} US GAL"),
        ("input_rate", ["INPUT", "MAX. INPUT", "INPUT RATING"], f"{shown[style]} BTU/H"),
        ("", ["RECOVERY", "RECOVERY", "RECOVERY"], "36.4 GAL/H"),
        ("relief_pressure", ["T&P VALVE", "T & P RATING", "RELIEF VALVE"], f"{psi} PSI"),
        ("", ["MANIFOLD PRESSURE", "MANIFOLD PRESSURE", "MANIFOLD PRESSURE"], "4.0 IN W.C."),
    ]  # fmt: skip
    truth = {"model": model, "serial": serial, "made_year": float(year), "tank_volume": float(gallons),
             "input_rate": float(rate), "relief_pressure": float(psi)}  # fmt: skip
    return "STORAGE WATER HEATER", [(f, names[style], v) for f, names, v in rows], truth


LAYOUTS = ("table", "inline", "boxes", "pairs", "units")
UNITS = ("US GAL", "BTU/H", "PSI", "GAL/H")


def flat(title: str, rows: list[tuple[str, str, str]], layout: str) -> NDArray[np.uint8]:
    """The plate itself: "table" (value at the right), "inline" (label: value), "boxes" (value below its label),
    "pairs" (two labels with their values in a row), "units" (a table with the unit in the label)."""
    two = layout in ("boxes", "pairs")
    step = {"boxes": 96, "pairs": 66}.get(layout, 62)
    w, h = 1150 if layout == "pairs" else 900, 130 + step * (((len(rows) + 1) // 2) if two else len(rows)) + 40 * two
    image = Image.new("RGB", (w, h), "#d8d9d4")
    pen = ImageDraw.Draw(image)
    pen.rectangle((8, 8, w - 9, h - 9), outline="#222", width=3)
    pen.text((w / 2, 42), title, font=ImageFont.truetype(BOLD, 34), fill="#151515", anchor="mm")
    for i, (_, label, value) in enumerate(rows):
        small, large = ImageFont.truetype(PLAIN, 29), ImageFont.truetype(BOLD, 32)
        y = 105 + step * (i // 2 if two else i)
        if layout == "units" and (unit := next((u for u in UNITS if value.endswith(u)), "")):
            label, value = f"{label} ({unit})", value.removesuffix(unit).strip()
        if layout in ("table", "units"):
            pen.line((12, y - 31, w - 12, y - 31), fill="#555", width=2)
            pen.text((30, y), label, font=small, fill="#1b1b1b", anchor="lm")
            pen.text((w - 30, y), value, font=large, fill="#111", anchor="rm")
        elif layout == "inline":
            pen.text((40, y), f"{label}: {value}", font=large, fill="#111", anchor="lm")
        elif layout == "pairs":
            x = 30 + (i % 2) * 565
            pen.text((x, y), label, font=ImageFont.truetype(PLAIN, 24), fill="#1b1b1b", anchor="lm")
            pen.text((x + 525, y), value, font=ImageFont.truetype(BOLD, 26), fill="#111", anchor="rm")
        else:
            x = 40 + (i % 2) * 430
            pen.text((x, y), label, font=ImageFont.truetype(PLAIN, 24), fill="#1b1b1b", anchor="lm")
            pen.text((x, y + 40), value, font=large, fill="#111", anchor="lm")
    return np.asarray(image)


def drawn(number: int, seed: int = 0) -> Drawn:
    """Plate of that number: its layout, slant, turn, glare and blur follow from it."""
    rng = np.random.default_rng([seed, number])
    title, rows, truth = (cooling if number % 2 else heating)(rng)
    layout = LAYOUTS[number % len(LAYOUTS)]
    plate = flat(title, rows, layout)
    h, w = plate.shape[:2]
    size, slant = (1600, 1200), float(rng.uniform(0, 0.22))
    scale = float(rng.uniform(0.55, 0.95)) * min(size[0] / w, size[1] / h)
    middle, half = np.array(size) / 2, np.array([w, h]) * scale / 2
    corners = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * half
    corners[:2, 0] *= 1 - slant
    turn = np.radians(rng.uniform(-12, 12))
    corners = corners @ np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]]) + middle
    source = np.array([[0, 0], [w, 0], [w, h], [0, h]], dtype=np.float32)
    m = cv2.getPerspectiveTransform(source, corners.astype(np.float32))
    ground = np.full((size[1], size[0], 3), 96, dtype=np.uint8)
    seen = cv2.warpPerspective(plate, m, size, dst=ground, flags=cv2.INTER_AREA, borderMode=cv2.BORDER_TRANSPARENT)
    light = np.ones(size[::-1])
    if number % 4 == 1:
        x, y = rng.uniform(300, 1300), rng.uniform(300, 900)
        yy, xx = np.mgrid[0 : size[1], 0 : size[0]]
        light = light + rng.uniform(0.4, 1.6) * np.exp(-(((xx - x) / 170) ** 2 + ((yy - y) / 110) ** 2))
    blur = float(rng.uniform(0.3, 2.2))
    out = cv2.GaussianBlur(np.clip(seen * light[..., None], 0, 255), (0, 0), blur)
    out = np.clip(out + rng.normal(0, rng.uniform(2, 10), out.shape), 0, 255).astype(np.uint8)
    rotated = (0, 0, 0, 1, 0, 2, 0, 3)[number % 8]
    how = f"{layout}, slant {slant:.2f}, blur {blur:.1f}{', glare' if number % 4 == 1 else ''}, turned {90 * rotated}"
    return Drawn(np.ascontiguousarray(np.rot90(out, rotated)), truth, how)
