"""The glyphs: small drawings that repeat a word, never replace it. Section 5 of the design says what each one is.

Each is drawn on 16 px and used as a background picture, so that a screen reader and the tags of the PDF meet the
word alone. `sheet()` is the style sheet that carries them; `MARKS` are the rims of the numbered marks.
"""

from __future__ import annotations

import re
from base64 import b64encode
from functools import cache
from pathlib import Path

TOKENS = Path(__file__).parent / "css" / "tokens.css"


@cache
def tokens() -> dict[str, str]:
    """The colours of the design by name, from tokens.css: the one place where they stand."""
    return dict(re.findall(r"--([a-z0-9-]+):\s*(#[0-9a-f]{6})", TOKENS.read_text(encoding="utf-8")))


INK, MARK, EDGE = (tokens()[name] for name in ("ink", "mark", "edge"))
PAPER = tokens()["on-mark"]


def _svg(width: int, height: int, body: str) -> str:
    return f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}">{body}</svg>'


def _line(path: str, width: float = 1.35, colour: str = INK) -> str:
    return (
        f'<path d="{path}" fill="none" stroke="{colour}" stroke-width="{width}" '
        'stroke-linejoin="round" stroke-linecap="round"/>'
    )


def _solid(path: str) -> str:
    return f'<path d="{path}" fill="{INK}"/>'


def _ring(radius: float, width: float, dash: str = "", colour: str = INK, centre: float = 8.0) -> str:
    dashes = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'<circle cx="{centre:g}" cy="{centre:g}" r="{radius:g}" fill="none" '
        f'stroke="{colour}" stroke-width="{width:g}"{dashes}/>'
    )


def _disc(radius: float, colour: str = INK, centre: float = 8.0) -> str:
    return f'<circle cx="{centre:g}" cy="{centre:g}" r="{radius:g}" fill="{colour}"/>'


STANDING = {  # the rim of the mark, small
    "deficiency": _svg(16, 16, _disc(6.6)),
    "recommendation": _svg(16, 16, _ring(6.2, 1.4) + _ring(3.1, 1.4)),
    "information": _svg(16, 16, _ring(6.2, 1.5, "2.9 1.97")),
}

DAY = _line("M10,1.5V14.5", 1.5)  # the upright stroke is moving day
WHEN = {
    "before_moving_in": _svg(32, 16, DAY + _solid("M1.5,5.2h6.2v5.6h-6.2z")),
    "this_season": _svg(32, 16, DAY + _solid("M12.4,6.2h5.4v3.6h-5.4z")),
    "this_year": _svg(32, 16, DAY + _solid("M12.4,6.2h18v3.6h-18z")),
    "keep_an_eye_on": _svg(
        32, 16, DAY + _line("M13,8h2.2M17.4,8h2.2M21.8,8h2.2", 1.6) + _solid("M25.6,4.8l5.2,3.2l-5.2,3.2z")
    ),
}

STAKE = {
    "people": _svg(
        16,
        16,
        '<circle cx="8" cy="4.4" r="2.7" fill="none" stroke="'
        + INK
        + '" stroke-width="1.35"/>'
        # shoulders
        + _line("M2.9,14.6c.1,-3.9 1.9,-5.7 5.1,-5.7s5,1.8 5.1,5.7z"),
    ),
    "structure": _svg(  # a king-post truss
        16, 16, _line("M.9,13.2L8,3.1L15.1,13.2z") + _line("M8,3.1V13.2M8,8.9L4.6,13.2M8,8.9L11.4,13.2", 1.2)
    ),
    "water": _svg(
        16,
        16,
        _line("M8,1.6c2.1,2.9 4.7,5.8 4.7,8.4a4.7,4.7 0 0 1 -9.4,0c0,-2.6 2.6,-5.5 4.7,-8.4z")
        + _line("M5.8,10.6a2.3,2.3 0 0 0 1.9,2", 1.1),
    ),
    "equipment": _svg(  # a half dial
        16, 16, _line("M1.6,12.8a6.4,6.4 0 0 1 12.8,0z") + _line("M8,12.8L10.9,7.9M8,6.4v1.2M3.5,9.6l1,.6", 1.2)
    ),
    "comfort": _svg(  # an armchair
        16,
        16,
        _line("M3.7,7.2V4.8a2.2,2.2 0 0 1 2.2,-2.2h4.2a2.2,2.2 0 0 1 2.2,2.2v2.4")
        + _line("M1.3,8.9a1.45,1.45 0 0 1 2.9,0v1.5h7.6v-1.5a1.45,1.45 0 0 1 2.9,0v4.2h-13.4z")
        + _line("M3.1,13.2v1.4M12.9,13.2v1.4"),
    ),
}

WRONG_SIDE = _line("M16,1.5V14.5", 1.5) + _line(
    "".join(f"M{17.6 + 3 * i:g},14l3,-12" for i in range(4)), 0.8, EDGE
)  # the limit, and what it does not allow


def _reading(at: float) -> str:
    return f'<circle cx="{at:g}" cy="8" r="4.4" fill="{PAPER}"/><circle cx="{at:g}" cy="8" r="3.3" fill="{INK}"/>'


VERDICT = {
    "meets": _svg(32, 16, WRONG_SIDE + _reading(6)),
    "cannot_tell": _svg(32, 16, WRONG_SIDE + _reading(16) + _line("M9.2,8h13.6M9.2,5.8v4.4M22.8,5.8v4.4", 1.2)),
    "falls_short": _svg(32, 16, WRONG_SIDE + _reading(24.4)),
}

RING = {
    "open": _svg(16, 16, _line("M11.6,3.2a6,6 0 1 0 2.3,3.6", 2.0)),
    "closed": _svg(16, 16, _ring(6, 1.8) + _line("M5.3,8.2l2,2.1l3.6,-4.2", 1.7)),
}

SQUARE = "M2,2h12v12h-12z"
COVER = {  # one thing asked for: filled, half, empty, a dash
    "done": _svg(16, 16, _solid(SQUARE) + _line(SQUARE)),
    "limited": _svg(16, 16, _solid("M2,14V2L14,14z") + _line(SQUARE)),
    "not_done": _svg(16, 16, _line(SQUARE)),
    "not_present": _svg(16, 16, _line("M3,8H13", 1.8)),
}

STATE = {"pencil": _svg(16, 16, _line("M2.6,13.4l.8,-3.2l7.4,-7.4l2.4,2.4l-7.4,7.4zM9.2,4.4l2.4,2.4", 1.2))}

MARKS = {  # the rim is the standing; the number is type, laid over it
    "deficiency": _svg(34, 34, _disc(15.6, MARK, 17)),
    "recommendation": _svg(
        34, 34, _disc(16.4, PAPER, 17) + _ring(15.6, 1.7, "", MARK, 17) + _ring(12.2, 1.2, "", MARK, 17)
    ),
    "information": _svg(34, 34, _disc(16.4, PAPER, 17) + _ring(15.4, 1.9, "5.2 3.26", MARK, 17)),
}

LOGO = _svg(  # a king-post truss
    40,
    26,
    _line("M2,23H38M3.4,23L20,3.4L36.6,23", 2.2)
    + _line("M20,3.4V23", 3.2)
    + _line("M20,14L12.4,23M20,14L27.6,23", 1.3),
)


def uri(svg: str) -> str:
    """A drawing as the address of a picture that travels inside the page."""
    return "data:image/svg+xml;base64," + b64encode(svg.encode()).decode()


def sheet() -> str:
    """CSS: one class for each glyph and each rim, `.g-when-this_year`, `.mk-deficiency`, the drawing as background."""
    groups = {"st": STANDING, "when": WHEN, "stake": STAKE, "vd": VERDICT, "ring": RING, "state": STATE, "cover": COVER}
    rules = [
        f'.g-{head}-{name}{{background-image:url("{uri(svg)}")}}'
        for head, group in groups.items()
        for name, svg in group.items()
    ]
    rules += [f'.mk-{name}{{background-image:url("{uri(svg)}")}}' for name, svg in MARKS.items()]
    rules.append(f'.logo{{background-image:url("{uri(LOGO)}")}}')
    return "\n".join(rules) + "\n"
