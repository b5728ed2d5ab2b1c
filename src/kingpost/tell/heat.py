"""Thermal pictures as the report shows them: the frame with its scale, the photo beside it, the reasons."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from io import BytesIO
from itertools import groupby
from math import hypot

from PIL import Image

from kingpost.look.frames import FrameError, read
from kingpost.look.frames_picture import HeatPicture, draw
from kingpost.measure.units import convert
from kingpost.visit.record import FrameRef, HeatSpot

from .glyphs import uri
from .index import Index
from .pictures import Picture, Pictures
from .words import NB, capital, clock, listed, tidy

CASING, LINE = 5.0, 2.2  # of an outline, px of the drawing
LETTER, PAPER_LETTER = 22.0, 50.0  # the same; on paper the picture is 30 mm wide: 6.6 pt
DISC = 20.0  # a letter under another is as bad as so many small patches hidden
ROUND = 0.64  # radius of a letter's disc, as a share of the letter
PAPER, PAPER_QUALITY = 320, 86  # px: 30 mm in print
DEW = {
    "reached": "The air of the room wets what is at {dew} or colder; the coldest place is.",
    "not_reached": "The air of the room wets what is at {dew} or colder; no place is.",
    "cannot_tell": "The air of the room wets what is at {dew} or colder; the coldest place is too near to tell.",
}


@dataclass(frozen=True, slots=True)
class SpotView:
    """One patch in words, or several in a row that may be the same."""

    seen: tuple[tuple[str, str], ...]  # its letter, and where and how it stands out
    causes: tuple[tuple[str, str, str], ...]  # name, for, against


@dataclass(frozen=True, slots=True)
class HeatView:
    """One thermal picture with what is said of it."""

    ref: FrameRef
    number: int
    title: str
    at: str
    uri: str
    width: int
    height: int
    scale: str
    ends: tuple[str, str]
    alt: str
    photo: Picture | None
    photo_alt: str
    says: tuple[str, ...]
    spots: tuple[SpotView, ...]
    framing: tuple[str, ...]  # letters of patches that are likeliest the framing
    settle: tuple[tuple[str, str], ...]  # letters of patches, and what would settle what they are: said once
    findings: tuple[tuple[int, str], ...]  # shown with it: number, id


def temperature(celsius: float) -> str:
    """ "66 °F (19.1 °C)"."""
    return f"{convert(celsius, 'degC', 'degF'):.0f}{NB}°F ({celsius:.1f}{NB}°C)"


def contrast(kelvin: float) -> str:
    """ "2.5 °F (1.4 °C) colder than around it"."""
    size = abs(kelvin)
    word = "warmer" if kelvin > 0 else "colder"
    return f"{size * 1.8:.1f}{NB}°F ({size:.1f}{NB}°C) {word} than around it"


def extent(wide_m: float, high_m: float) -> str:
    """ "1.3 by 6.6 ft (0.41 by 2.00 m)"."""
    wide, high = (convert(m, "m", "ft") for m in (wide_m, high_m))
    return f"{wide:.1f} by {high:.1f}{NB}ft ({wide_m:.2f} by {high_m:.2f}{NB}m)"


def heat(index: Index, pictures: Pictures, on_paper: bool = False) -> tuple[HeatView, ...]:
    """Every thermal picture that can be drawn; one that cannot is a note of `pictures`. Smaller on paper."""
    out = []
    for ref in index.record.thermal:
        if ref.coldest_c is None:
            continue  # it could not be read when the visit was inspected, which the record's trouble says
        try:
            drawn = draw(read(pictures.folder / ref.file, ref.about).celsius)
        except FrameError as err:
            note = f"{ref.file}: {err}, so the report does not show it"
            pictures.notes += [] if note in pictures.notes else [note]
            continue
        out.append(_view(ref, drawn, index, pictures, on_paper))
    return tuple(out)


def _view(ref: FrameRef, drawn: HeatPicture, index: Index, pictures: Pictures, on_paper: bool) -> HeatView:
    beside = index.photos.get(ref.photo)
    title = capital(ref.place or str(ref.about.get("place", "")) or "Place not noted")
    coldest = temperature(ref.coldest_c) if ref.coldest_c is not None else ""
    hottest = temperature(ref.hottest_c) if ref.hottest_c is not None else ""
    framing = [s.id for s in ref.spots if s.causes and s.causes[0].id == "framing"]
    spots = _spots([s for s in ref.spots if s.id not in framing])
    named = listed([f"{letter}, {what}" for s in spots for letter, what in s.seen]) if spots else "no patch stands out"
    says = [tidy(ref.says)]
    if (dew := ref.air.get("dew_point_c")) is not None:
        says.append(DEW[str(ref.air["dew_point"])].format(dew=temperature(float(dew))))
    if (share := ref.air.get("temperature_index")) is not None:
        doubt = 2 * float(ref.air["u_temperature_index"])
        says.append(
            f"Temperature index of the coldest place {float(share):.2f} ± {doubt:.2f}; 1 is as warm as the room."
        )
    if not ref.spots:
        says.append("No patch stands out. That proves nothing about what is in the wall.")
    return HeatView(
        ref=ref,
        number=index.frame_number[ref.id],
        title=title,
        at=clock(datetime.fromisoformat(ref.taken)) if ref.taken else "",
        uri=uri(_marked(drawn, ref.spots, on_paper)),
        width=drawn.width,
        height=drawn.height,
        scale="data:image/png;base64," + b64encode(drawn.scale).decode(),
        ends=(temperature(drawn.low_c), temperature(drawn.high_c)),
        alt=f"Thermal picture, {title}: {coldest} to {hottest}; {named}.",
        photo=(pictures.on_paper if on_paper else pictures.of)(beside) if beside else None,
        photo_alt=f"Photo taken with the thermal picture, {title}." if beside else "",
        says=tuple(s for s in says if s),
        spots=spots,
        framing=tuple(framing),
        settle=_settle([s for s in ref.spots if s.id not in framing]),
        findings=tuple((index.number[f], f) for f in ref.findings if f in index.by_id),
    )


def _spots(spots: Sequence[HeatSpot]) -> tuple[SpotView, ...]:
    """Patches in words; the same reasons in a row are told once."""
    reasons = [
        tuple((c.name, tidy(listed(c.speaks_for)), tidy(listed(c.speaks_against))) for c in s.causes) for s in spots
    ]
    alike = groupby(zip(reasons, spots, strict=True), key=lambda r: r[0])
    return tuple(SpotView(tuple((s.id, _seen(s)) for _, s in run), why) for why, run in alike)


def _seen(spot: HeatSpot) -> str:
    alike = f"{spot.count} alike, " if spot.count > 1 else ""
    size = f", about {extent(*spot.size_m)}" if spot.size_m else ""
    return f"{alike}{spot.where}, {contrast(spot.contrast_k)}{size}"


def _settle(spots: Sequence[HeatSpot]) -> tuple[tuple[str, str], ...]:
    """What would settle the likeliest cause of each patch, and every caution, each said once with the letters."""
    said: dict[str, list[str]] = {}
    for spot in spots:
        for n, cause in enumerate(spot.causes):
            words = f"{cause.caution} {'' if n else cause.settle}".strip()
            if words:
                said.setdefault(words, []).append(spot.id)
    return tuple((listed(letters), words) for words, letters in said.items())


def _printed(png: bytes) -> str:
    """The picture as print needs it: 30 mm at 270 dpi, as JPEG, which the PDF engine takes as it is."""
    made = BytesIO()
    image = Image.open(BytesIO(png)).convert("RGB")
    image.thumbnail((PAPER, PAPER), Image.Resampling.LANCZOS)
    image.save(made, "JPEG", quality=PAPER_QUALITY)
    return "data:image/jpeg;base64," + b64encode(made.getvalue()).decode()


def _marked(drawn: HeatPicture, spots: Sequence[HeatSpot], on_paper: bool) -> str:
    """The picture with an outline and a letter at each patch, white under black, as one drawing."""
    w, h, letter = drawn.width, drawn.height, PAPER_LETTER if on_paper else LETTER
    picture = _printed(drawn.png) if on_paper else "data:image/png;base64," + b64encode(drawn.png).decode()
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" viewBox="0 0 {w} {h}" '
        f'width="{w}" height="{h}"><image width="{w}" height="{h}" '
        f'xlink:href="{picture}"/>'
    ]
    for spot in spots:
        path = "M" + "L".join(f"{x * w:.1f},{y * h:.1f}" for x, y in spot.outline) + "z"
        for colour, wide in (("#fff", CASING), ("#000", LINE)):
            parts.append(f'<path d="{path}" fill="none" stroke="{colour}" stroke-width="{wide}"/>')
    for spot, (x, y) in zip(spots, _letters(spots, w, h, letter * ROUND), strict=True):
        parts.append(
            f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{letter * ROUND:.1f}" fill="#fff" stroke="#000" stroke-width="1.5"/>'
            f'<text x="{x:.1f}" y="{y + letter * 0.34:.1f}" font-family="Overpass,Verdana,sans-serif" '
            f'font-weight="600" font-size="{letter:g}" text-anchor="middle">{spot.id}</text>'
        )
    return "".join(parts) + "</svg>"


def _letters(spots: Sequence[HeatSpot], w: float, h: float, r: float) -> list[tuple[float, float]]:
    """Middles of the letters' discs: above the patch, else where the disc hides least of patches and no other disc."""
    taken: list[tuple[float, float]] = []
    for spot in spots:
        left, top, right, bottom = _edges(spot, w, h)
        across = ((left + right) / 2, left - r, right + r, left + r, right - r)
        down = (top - r, bottom + r, (top + bottom) / 2, top + r, bottom - r)
        free = [(min(max(x, r), w - r), min(max(y, r), h - r)) for y in down for x in across]
        taken.append(min(free, key=lambda at: _hidden(at, r, spots, w, h) + DISC * _under(at, r, taken)))
    return taken


def _edges(spot: HeatSpot, w: float, h: float) -> tuple[float, float, float, float]:
    left, top, wide, high = spot.box
    return left * w, top * h, (left + wide) * w, (top + high) * h


def _hidden(at: tuple[float, float], r: float, spots: Sequence[HeatSpot], w: float, h: float) -> float:
    """Share of small patches under a disc, all added; a large patch loses little by it."""
    total = 0.0
    for spot in spots:
        left, top, right, bottom = _edges(spot, w, h)
        wide = min(at[0] + r, right) - max(at[0] - r, left)
        high = min(at[1] + r, bottom) - max(at[1] - r, top)
        if wide > 0 and high > 0:
            total += wide * high / max(1.0, (right - left) * (bottom - top))
    return total


def _under(at: tuple[float, float], r: float, taken: Sequence[tuple[float, float]]) -> float:
    """How much of a disc lies on others, 0 to 1 for each."""
    return sum(max(0.0, 1 - hypot(at[0] - x, at[1] - y) / (2 * r)) for x, y in taken)
