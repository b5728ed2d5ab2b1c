"""Thermal cameras: what a surface really is, through air and reflection, and how small a thing they see."""

from __future__ import annotations

from math import exp, sqrt

from .limits import within

KELVIN = 273.15
# [thermal-macro] water in the air and what it takes of the radiation
OMEGA = (1.5587, 0.06939, -2.7816e-4, 6.8455e-7)
K, ALPHA1, ALPHA2, BETA1, BETA2 = 1.9, 0.006569, 0.012620, -0.002276, -0.006670


def radiated(celsius: float) -> float:
    """What a black surface sends out, in units that only compare: fourth power of the kelvins over 1e8.

    Source    Stefan and Boltzmann; within 0.02 K of the camera's band near room temperature

    >>> round(radiated(26.85), 6)
    81.0
    """
    within("celsius", celsius, -80.0, 1000.0, "give degrees C")
    return ((celsius + KELVIN) / 100.0) ** 4


def surface_c(
    apparent_c: float,
    emissivity: float,
    reflected_c: float,
    transmittance: float = 1.0,
    air_c: float | None = None,
    camera_emissivity: float = 1.0,
    camera_reflected_c: float | None = None,
) -> float:
    """Temperature of a surface, C, from what a camera shows.

    emissivity          of the surface, 0.6 to 1: bare metal and foil mirror, and cannot be read
    reflected_c         what mirrors in it: walls of the room, or a cold sky
    air_c               needed where the transmittance is not 1
    camera_emissivity   what the camera was set to; its own correction is undone first

    Source    the radiometric equation with three terms, fourth powers
    Raises    OutOfRange, ValueError

    >>> round(surface_c(15.0, 0.93, 21.0), 2)
    14.53
    """
    within("emissivity", emissivity, 0.6, 1.0, "such a surface mirrors; it cannot be read")
    within("transmittance", transmittance, 0.3, 1.0)
    within("camera_emissivity", camera_emissivity, 0.1, 1.0)
    if transmittance < 1.0 and air_c is None:
        raise ValueError("air_c is missing; the air between adds its own radiation")
    mirrored = reflected_c if camera_reflected_c is None else camera_reflected_c
    seen = camera_emissivity * radiated(apparent_c) + (1.0 - camera_emissivity) * radiated(mirrored)
    seen -= (1.0 - emissivity) * transmittance * radiated(reflected_c)
    seen -= (1.0 - transmittance) * (radiated(air_c) if air_c is not None else 0.0)
    within("radiation left over", seen, 1e-6, 1e9, "these temperatures do not fit together")
    return float((seen / (emissivity * transmittance)) ** 0.25 * 100.0 - KELVIN)


def water_term(air_c: float, relative_humidity: float) -> float:
    """Water in the air, as the transmittance counts it.

    Source    [thermal-macro]

    >>> round(water_term(20.0, 0.5), 3)
    8.564
    """
    within("air_c", air_c, -40.0, 60.0, "give degrees C")
    within("relative_humidity", relative_humidity, 0.0, 1.0, "give a share: 0.45, not 45")
    a, b, c, d = OMEGA
    return relative_humidity * exp(a + b * air_c + c * air_c**2 + d * air_c**3)


def air_transmittance(distance_m: float, air_c: float, relative_humidity: float) -> float:
    """Share of the radiation that comes through the air; 1 under two metres.

    Source    [thermal-macro]

    >>> round(air_transmittance(10.0, 20.0, 0.5), 4)
    0.9807
    """
    within("distance_m", distance_m, 0.0, 1000.0)
    wet = sqrt(water_term(air_c, relative_humidity))
    if distance_m < 2.0:
        return 1.0
    root = sqrt(distance_m)
    return K * exp(-root * (ALPHA1 + BETA1 * wet)) + (1.0 - K) * exp(-root * (ALPHA2 + BETA2 * wet))


def surface_contrast_k(delta_k: float, film_r: float, r_bad: float, r_good: float) -> float:
    """Difference that a flaw makes on the surface, K.

    delta_k   indoors less outdoors
    film_r    of the air at the surface that is seen; all R in one unit, films with them

    Source    steady flow through layers

    >>> round(surface_contrast_k(10.0, 0.68, 3.5, 15.54), 1)
    1.5
    """
    within("film_r", film_r, 0.01, 5.0)
    within("r_bad", r_bad, film_r, 500.0, "the whole path holds its film")
    within("r_good", r_good, film_r, 500.0, "the whole path holds its film")
    return abs(delta_k) * film_r * abs(1.0 / r_bad - 1.0 / r_good)


def pixel_mm(ifov_mrad: float, distance_m: float) -> float:
    """Size of one pixel on the surface, mm.

    Source    geometry of small angles

    >>> pixel_mm(1.36, 3.0)
    4.08
    """
    within("ifov_mrad", ifov_mrad, 0.05, 50.0)
    within("distance_m", distance_m, 0.05, 1000.0)
    return ifov_mrad * distance_m


def patch_shape(
    width_in: float,
    height_in: float,
    bays_in: tuple[float, ...],
    slack_in: float,
    stripe_in: float,
    compact: tuple[float, ...],
) -> str:
    """Shape of a patch in a thermal picture: bay, stripe, compact or other.

    bays_in    clear widths between framing; slack_in either side
    stripe_in  no wider, and several times as long: framing, a pipe or a wire
    compact    least and most of the short side, least and most of the long side

    Source    [thermal-patterns]

    >>> patch_shape(14.5, 96.0, (14.5, 22.5), 1.0, 2.5, (4.0, 14.0, 10.0, 24.0))
    'bay'
    """
    within("width_in", width_in, 0.1, 2000.0)
    within("height_in", height_in, 0.1, 2000.0)
    short, long = sorted((width_in, height_in))
    if short <= stripe_in and long >= 4.0 * short:
        return "stripe"
    if any(abs(side - bay) <= slack_in for bay in bays_in for side in (width_in, height_in)) and long > 1.5 * short:
        return "bay"
    if compact[0] <= short <= compact[1] and compact[2] <= long <= compact[3]:
        return "compact"
    return "other"
