"""Thermal frames: what lies in thermal/ and what the TOML beside each says. Temperatures are not read here."""

from __future__ import annotations

import csv
import hashlib
import io
import tomllib
import warnings
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from typing import Any

from PIL import Image, UnidentifiedImageError

from .errors import Troubles
from .facts import Facts, Frame
from .house import moment, printable
from .photos import ID_DIGITS, MOST_BYTES, MOST_PIXELS
from .readings import NUMBER
from .text import MOST_TOML_BYTES, decode, read_bytes, read_text

UNITS = ("kelvin", "centikelvin", "celsius", "fahrenheit")
DEEP = ("I;16", "I;16B", "I;16L", "I", "F")  # Pillow's names for the modes that hold temperatures


def read(files: Sequence[tuple[Path, str]], facts: Facts, told: Troubles) -> tuple[Frame, ...]:
    """The frames that can be used, in order of name."""
    beside = {path.stem: (path, name) for path, name in files if path.suffix.lower() == ".toml"}
    frames: list[Frame] = []
    stems = set()
    for path, name in files:
        ending = path.suffix.lower()
        if ending == ".toml":
            continue
        if ending not in (".tif", ".tiff", ".csv"):
            told.add(name, None, "is no thermal frame that Kingpost reads", "export it as 16-bit TIFF or CSV")
            continue
        stems.add(path.stem)
        content = read_bytes(path, name, told, MOST_BYTES)
        if content is None or not (_matrix(content, name, told) if ending == ".csv" else _tiff(content, name, told)):
            continue
        about = _about(*beside[path.stem], told) if path.stem in beside else {}
        if path.stem not in beside:
            mend = f"write thermal/{path.stem}.toml with unit, emissivity, reflected_c, distance_m, humidity"
            told.add(name, None, "no TOML beside it says its unit, so its temperatures mean nothing yet", mend)
        digest = hashlib.sha256(content).hexdigest()
        frames.append(Frame("t" + digest[:ID_DIGITS], name, digest, about, _taken(about, facts)))
    for stem, (_, name) in sorted(beside.items()):
        if stem not in stems:
            told.add(name, None, "has no frame of the same name beside it", f"add {stem}.tif, or take it out")
    return tuple({frame.id: frame for frame in frames}.values())


def _tiff(content: bytes, name: str, told: Troubles) -> bool:
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            with Image.open(io.BytesIO(content), formats=("TIFF",)) as image:
                mode, pixels = image.mode, image.width * image.height
                if pixels <= MOST_PIXELS:
                    image.load()
    except Image.DecompressionBombError:
        pixels, mode = MOST_PIXELS + 1, ""
    except (UnidentifiedImageError, OSError, ValueError, SyntaxError, LookupError, TypeError, EOFError, RuntimeError):
        told.add(name, None, "is not a TIFF, or is damaged", "export it again as 16-bit TIFF")
        return False
    if pixels > MOST_PIXELS:
        told.add(name, None, "is far larger than a thermal frame", "export the frame itself")
        return False
    if mode not in DEEP:
        told.add(name, None, f"holds colours ({mode}), not temperatures", "export it as 16-bit TIFF, not as a picture")
        return False
    return True


def _matrix(content: bytes, name: str, told: Troubles) -> bool:
    text = decode(content, name, told)
    if text is None:
        return False
    width = 0
    for number, line in enumerate(text.splitlines(), 1):
        if not line.strip():
            continue
        try:
            cells = next(csv.reader([line], delimiter=";" if ";" in line else "\t" if "\t" in line else ","))
        except csv.Error as err:
            told.add(name, number, f"cannot be read ({err})", "export the frame again as CSV")
            return False
        bad = next((c for c in cells if not NUMBER.match(c.strip())), None)
        if bad is not None:
            told.add(name, number, f'"{bad.strip()[:40]}" is not a temperature', "keep only the matrix of numbers")
            return False
        if width and len(cells) != width:
            told.add(
                name, number, f"has {len(cells)} cells where the line before has {width}", "export the frame again"
            )
            return False
        width = len(cells)
    return width > 0


def _about(path: Path, name: str, told: Troubles) -> dict[str, Any]:
    text = read_text(path, name, told, most=MOST_TOML_BYTES)
    if text is None:
        return {}
    try:
        about: dict[str, Any] = printable(tomllib.loads(text))
    except (ValueError, RecursionError) as err:
        told.add(name, None, f"is not TOML ({str(err)[:80]})", 'write key = value, as in unit = "celsius"')
        return {}
    unit = about.get("unit")
    if unit not in UNITS:
        shown = f'unit "{str(unit)[:40]}" is not known' if unit is not None else "has no unit"
        told.add(name, None, shown, "write one of " + ", ".join(UNITS))
    return about


def _taken(about: dict[str, Any], facts: Facts) -> datetime | None:
    try:
        taken = moment(about["taken"])
    except (KeyError, ValueError):
        return None
    return taken if taken.tzinfo or facts.started is None else taken.replace(tzinfo=facts.started.tzinfo)
