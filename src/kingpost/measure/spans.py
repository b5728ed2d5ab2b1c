"""How far wood may span: bending, shear and deflection of simple spans under even load."""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt
from typing import NamedTuple

from .limits import within

INCH = 12.0
PSF_SPACING = 144.0  # psf times spacing in inches, over this, is pounds per inch


class Span(NamedTuple):
    """The longest span, ft, and what ends it: deflection, bending or shear."""

    ft: float
    governs: str


def adjusted_psi(reference_psi: float, *factors: float) -> float:
    """A design value times its factors.

    Source    [nds-asd]

    >>> round(adjusted_psi(525.0, 1.15, 1.1), 1)
    664.1
    """
    within("reference_psi", reference_psi, 0.0, 5e6)
    out = reference_psi
    for factor in factors:
        within("factor", factor, 0.1, 3.0)
        out *= factor
    return out


def longest_span(
    width_in: float,
    depth_in: float,
    live_pli: float,
    total_pli: float,
    fb: float,
    e: float,
    deflection_limit: float,
    fv: float = 0.0,
) -> Span:
    """Longest simple span, ft.

    width_in, depth_in   real sizes
    live_pli, total_pli  pounds per inch of length: psf times spacing in inches over 144
    fb, e, fv            adjusted design values, psi; fv 0 where shear is not to govern
    deflection_limit     span over deflection under the live load alone

    Source    beam formulas: 5 w L^4 / 384 E I, w L^2 / 8, and shear a depth from the support
    Not for   I-joists, trusses, anything that is not sawn wood

    >>> span = longest_span(1.5, 7.25, 40 * 16 / 144, 50 * 16 / 144, 875 * 1.2 * 1.15, 1.4e6, 360.0)
    >>> round(span.ft, 3), span.governs
    (12.281, 'deflection')
    """
    within("width_in", width_in, 0.5, 24.0)
    within("depth_in", depth_in, 2.0, 36.0)
    within("live_pli", live_pli, 0.01, 5000.0)
    within("total_pli", total_pli, live_pli, 5000.0, "the total holds the live load")
    within("fb", fb, 50.0, 10000.0)
    within("e", e, 1e5, 5e6)
    within("deflection_limit", deflection_limit, 60.0, 2000.0)
    inertia, section = width_in * depth_in**3 / 12.0, width_in * depth_in**2 / 6.0
    ends = {
        "deflection": (384.0 * e * inertia / (5.0 * live_pli * deflection_limit)) ** (1.0 / 3.0),
        "bending": sqrt(8.0 * fb * section / total_pli),
    }
    if fv > 0.0:
        ends["shear"] = 2.0 * (depth_in + fv * 2.0 / 3.0 * width_in * depth_in / total_pli)
    governs = min(ends, key=lambda k: ends[k])
    return Span(ends[governs] / INCH, governs)


def feet_inches(ft: float) -> str:
    """A span as span tables print it, to the nearest inch: 12-3.

    Source    printed span tables, which round to the nearest inch and not down

    >>> feet_inches(12.281), feet_inches(15.99)
    ('12-3', '16-0')
    """
    within("ft", ft, 0.0, 1000.0)
    inches = int(ft * INCH + 0.5)
    return f"{inches // 12}-{inches % 12}"


class Beam(NamedTuple):
    """A simple beam under its load: moment, stresses at the support and midspan, live deflection."""

    moment_ft_lb: float
    bending_psi: float
    shear_psi_at_support: float
    live_deflection_in: float
    reaction_lb: float


def simple_beam(
    width_in: float,
    depth_in: float,
    span_ft: float,
    dead_plf: float,
    live_plf: float,
    e_psi: float,
    points: Sequence[Sequence[float]] = (),
) -> Beam:
    """Stresses and live deflection of a simple beam.

    points   point loads, (pounds, ft from the left support), counted as live

    Source    beam formulas; the largest moment is at a point load or where the shear is nil
    Not for   beams over several supports, flitch plates, steel

    >>> beam = simple_beam(1.5, 9.25, 16.0, 12.0, 40.0, 1.6e6)
    >>> round(beam.moment_ft_lb), round(beam.bending_psi, 1), round(beam.live_deflection_in, 4)
    (1664, 933.5, 0.3726)
    """
    within("span_ft", span_ft, 0.5, 60.0)
    within("width_in", width_in, 0.5, 24.0)
    within("depth_in", depth_in, 1.0, 60.0)
    for load, at in points:
        within("point load", load, 0.0, 1e6)
        within("place of a point load", at, 0.0, span_ft, "it has to stand on the beam")
    w = dead_plf + live_plf
    left = w * span_ft / 2.0 + sum(p * (span_ft - a) / span_ft for p, a in points)
    right = w * span_ft + sum(p for p, _ in points) - left

    def moment(x: float) -> float:
        return left * x - w * x * x / 2.0 - sum(p * max(0.0, x - a) for p, a in points)

    places = [a for _, a in points]
    if w > 0.0:
        nil = [(left - sum(p for p, a in points if a <= edge)) / w for edge in [0.0, *places]]
        places += [x for x in nil if 0.0 <= x <= span_ft]
    most = max((moment(x) for x in places), default=0.0)
    section, inertia = width_in * depth_in**2 / 6.0, width_in * depth_in**3 / 12.0
    inches = span_ft * INCH
    bent = 5.0 * live_plf / INCH * inches**4 / (384.0 * e_psi * inertia)
    for p, a in points:
        near = min(a, span_ft - a) * INCH
        bent += p * near * (3.0 * inches**2 - 4.0 * near**2) / (48.0 * e_psi * inertia)
    shear = 1.5 * max(left, right) / (width_in * depth_in)
    return Beam(most, most * INCH / section, shear, bent, max(left, right))


def rafter_thrust_lb(plf: float, building_ft: float, slope_in_12: float) -> float:
    """Outward push of a pair of rafters that a ceiling tie must hold, pounds.

    plf           load of one rafter, level measure
    building_ft   width from wall to wall

    Source    [rafter-thrust]: w L^2 / (8 rise)

    >>> rafter_thrust_lb(40.0, 24.0, 6.0)
    480.0
    """
    within("plf", plf, 0.0, 2000.0)
    within("building_ft", building_ft, 2.0, 120.0)
    within("slope_in_12", slope_in_12, 0.5, 48.0)
    rise_ft = building_ft / 2.0 * slope_in_12 / INCH
    return plf * building_ft**2 / (8.0 * rise_ft)
