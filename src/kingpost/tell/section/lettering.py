"""Drawing lettering: capitals in the template face, with widths known, so that labels can be kept apart."""

from __future__ import annotations

from .model import Box
from .pen import Look, num

WIDE = {  # advance of Routed Gothic in parts of its size, from the face's own table; any other sign is taken as 0.7
    **dict.fromkeys("BDE", 0.68), **dict.fromkeys("0123456789", 0.656), **dict.fromkeys("HU", 0.695),
    **dict.fromkeys(",;", 0.289), **dict.fromkeys(" .:", 0.281), **dict.fromkeys("GKS", 0.656),
    "A": 0.672, "C": 0.668, "F": 0.648, "I": 0.328, "J": 0.531, "L": 0.641, "M": 0.811, "N": 0.703, "O": 0.719,
    "P": 0.664, "Q": 0.719, "R": 0.688, "T": 0.672, "V": 0.672, "W": 0.852, "X": 0.617, "Y": 0.641, "Z": 0.617,
    "1": 0.344, "+": 0.625, "-": 0.406, "−": 0.625, "′": 0.25, "″": 0.406, "(": 0.336, ")": 0.336, "½": 0.609,
}  # fmt: skip


def width(text: str, size: float) -> float:
    """Width of a line of lettering in drawing units.

    >>> round(width("RIDGE", 20), 1)
    60.6
    """
    return sum(WIDE.get(c, 0.7) for c in text.upper()) * size


def feet(value: float) -> str:
    """Feet and inches to the nearest half foot's inch, with a sign.

    >>> feet(16.5), feet(0), feet(-2.26)
    ('+16′ 6″', '0′ 0″', '−2′ 3″')
    """
    inches = round(abs(value) * 12)
    sign = "" if not inches else ("+" if value > 0 else "−")
    return f"{sign}{inches // 12}′ {inches % 12}″"


def label(look: Look, x: float, y: float, text: str, size: float, anchor: str = "middle") -> tuple[str, Box]:
    """A line of lettering with its baseline at y, and the box that it fills."""
    text = text.upper()
    wide = width(text, size)
    left = {"middle": x - wide / 2, "end": x - wide, "start": x}[anchor]
    safe = text.replace("&", "&amp;").replace("<", "&lt;")
    at = f'x="{num(x)}" y="{num(y)}" font-size="{num(size)}"'
    markup = f'<text {at} fill="{look.ink}" text-anchor="{anchor}">{safe}</text>'
    return markup, Box(left, y - size * 0.76, left + wide, y + size * 0.12)
