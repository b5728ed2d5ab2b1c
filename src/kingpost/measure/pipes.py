"""Water in pipes: open drains after Manning, full pipes after Hazen and Williams, pressure tanks."""

from __future__ import annotations

from math import acos, log10, pi, sin

from .limits import within

GAL_PER_FT3 = 1728.0 / 231.0
WATER_PSI_PER_FT = 0.433
VISCOSITY_FT2_S = 1.081e-5  # water at 68 F
GRAVITY_FT_S2 = 32.174


def _part_full(diameter_ft: float, depth_ratio: float) -> tuple[float, float]:
    """Area and wetted perimeter of a pipe filled to a share of its diameter, ft2 and ft."""
    angle = 2.0 * acos(1.0 - 2.0 * depth_ratio)
    return diameter_ft**2 / 8.0 * (angle - sin(angle)), diameter_ft * angle / 2.0


def _drain(inside_diameter_in: float, slope_ft_per_ft: float, manning_n: float, depth_ratio: float) -> None:
    within("inside_diameter_in", inside_diameter_in, 0.5, 120.0, "give inches")
    within("slope_ft_per_ft", slope_ft_per_ft, 0.0, 1.0, "a drain that does not fall does not drain by itself")
    within("manning_n", manning_n, 0.005, 0.1, "give Manning's n: 0.012, not 12")
    within("depth_ratio", depth_ratio, 0.01, 1.0, "give a share of the diameter: 0.5, not 50")


def manning_velocity_ft_s(
    inside_diameter_in: float, slope_ft_per_ft: float, manning_n: float = 0.012, depth_ratio: float = 0.5
) -> float:
    """Mean speed of water in a round drain, ft/s.

    inside_diameter_in   0.5 to 120
    slope_ft_per_ft      fall over length, 0 to 1
    manning_n            0.005 to 0.1; 0.012 for smooth house drains
    depth_ratio          depth of water over diameter; half full and full run equally fast

    Source    [manning]
    Raises    OutOfRange

    >>> round(manning_velocity_ft_s(4.0, 0.25 / 12), 2)
    3.41
    """
    _drain(inside_diameter_in, slope_ft_per_ft, manning_n, depth_ratio)
    area, wetted = _part_full(inside_diameter_in / 12.0, depth_ratio)
    return float(1.486 / manning_n * (area / wetted) ** (2.0 / 3.0) * slope_ft_per_ft**0.5)


def manning_flow_ft3_s(
    inside_diameter_in: float, slope_ft_per_ft: float, manning_n: float = 0.012, depth_ratio: float = 0.5
) -> float:
    """Flow in a round drain, ft3/s; arguments as `manning_velocity_ft_s`. Full it carries twice as much as half full.

    Source    [manning]
    Raises    OutOfRange

    >>> round(manning_flow_ft3_s(8.0, 0.005, 0.013, 1.0), 3)
    0.854
    """
    speed = manning_velocity_ft_s(inside_diameter_in, slope_ft_per_ft, manning_n, depth_ratio)
    return speed * _part_full(inside_diameter_in / 12.0, depth_ratio)[0]


def gallons_per_minute(flow_ft3_s: float) -> float:
    """ft3/s in US gallons a minute.

    >>> round(gallons_per_minute(1.0), 1)
    448.8
    """
    return flow_ft3_s * GAL_PER_FT3 * 60.0


def pipe_velocity_ft_s(flow_gpm: float, inside_diameter_in: float) -> float:
    """Speed of water in a full pipe, ft/s.

    Raises    OutOfRange

    >>> round(pipe_velocity_ft_s(10.0, 0.785), 2)
    6.63
    """
    within("flow_gpm", flow_gpm, 0.0, 10000.0)
    within("inside_diameter_in", inside_diameter_in, 0.1, 60.0, "give the inside diameter in inches")
    return flow_gpm / 60.0 / GAL_PER_FT3 / (pi * (inside_diameter_in / 12.0) ** 2 / 4.0)


def hazen_williams_loss_psi(flow_gpm: float, inside_diameter_in: float, length_ft: float, c: float = 140.0) -> float:
    """Pressure lost to friction in a full pipe of cold water, psi.

    c    140 to 150 new and smooth; 60 to 80 old galvanized steel

    Source    [hazen-williams]
    Not for   hot water by more than a tenth, other liquids
    Raises    OutOfRange

    >>> round(hazen_williams_loss_psi(10.0, 0.785, 100.0), 1)
    11.1
    """
    within("flow_gpm", flow_gpm, 0.0, 10000.0)
    within("inside_diameter_in", inside_diameter_in, 0.1, 60.0, "give the inside diameter in inches")
    within("length_ft", length_ft, 0.0, 100000.0)
    within("hazen_williams_c", c, 30.0, 160.0, "give Hazen and Williams's C: 140")
    return float(4.52 * flow_gpm**1.85 / (c**1.85 * inside_diameter_in**4.87) * length_ft)


def darcy_loss_psi(
    flow_gpm: float, inside_diameter_in: float, length_ft: float, roughness_ft: float = 0.000005
) -> float:
    """Pressure lost to friction in a full pipe of water at 68 F, psi, after Darcy, Weisbach and Colebrook.

    roughness_ft    0.000005 drawn copper; 0.0005 galvanized steel

    Source    [darcy-weisbach]
    Raises    OutOfRange

    >>> round(darcy_loss_psi(10.0, 0.785, 100.0), 1)
    10.0
    """
    speed = pipe_velocity_ft_s(flow_gpm, inside_diameter_in)
    within("length_ft", length_ft, 0.0, 100000.0)
    within("roughness_ft", roughness_ft, 0.0, 0.05)
    diameter = inside_diameter_in / 12.0
    reynolds = speed * diameter / VISCOSITY_FT2_S
    if reynolds <= 0.0:
        return 0.0
    if reynolds < 2300.0:
        factor = 64.0 / reynolds
    else:
        root = 8.0  # 1 / sqrt(f)
        for _ in range(40):
            root = -2.0 * log10(roughness_ft / diameter / 3.7 + 2.51 * root / reynolds)
        factor = 1.0 / root**2
    head_ft = factor * length_ft / diameter * speed**2 / (2.0 * GRAVITY_FT_S2)
    return head_ft * WATER_PSI_PER_FT


def rise_loss_psi(rise_ft: float) -> float:
    """Pressure that water loses by rising, psi; negative where it falls.

    >>> round(rise_loss_psi(10.0), 2)
    4.33
    """
    return WATER_PSI_PER_FT * rise_ft


def pipe_volume_gal(inside_diameter_in: float, length_ft: float) -> float:
    """Water that stands in a pipe, US gallons.

    Raises    OutOfRange

    >>> round(pipe_volume_gal(0.785, 60.0), 2)
    1.51
    """
    within("inside_diameter_in", inside_diameter_in, 0.1, 60.0, "give the inside diameter in inches")
    within("length_ft", length_ft, 0.0, 100000.0)
    return pi * (inside_diameter_in / 12.0) ** 2 / 4.0 * length_ft * GAL_PER_FT3


def seconds_to_run(volume_gal: float, flow_gpm: float) -> float:
    """Seconds for a volume to flow out.

    Raises    OutOfRange for a flow of nothing

    >>> seconds_to_run(1.5, 1.5)
    60.0
    """
    within("flow_gpm", flow_gpm, 0.01, 10000.0, "give the flow in gallons a minute")
    return 60.0 * volume_gal / flow_gpm


def tank_drawdown_gal(
    tank_gal: float, precharge_psig: float, low_psig: float, high_psig: float, atmosphere_psi: float = 14.696
) -> float:
    """Water that a tank with an air cushion takes in between two pressures, US gallons.

    tank_gal          whole volume of the tank
    precharge_psig    of the air, with no water in the tank
    low_psig          pressure at which it starts to take in
    high_psig         pressure at which it stops
    atmosphere_psi    14.7 at the sea, 11.8 at 6000 ft: the law of Boyle wants absolute pressures

    Source    [boyle]
    Raises    OutOfRange

    >>> round(tank_drawdown_gal(85.0, 28.0, 30.0, 50.0, 14.7), 1)
    25.1
    """
    within("tank_gal", tank_gal, 0.1, 10000.0)
    within("precharge_psig", precharge_psig, 0.0, 200.0, "give gauge pressure")
    within("atmosphere_psi", atmosphere_psi, 8.0, 16.0, "give absolute pressure of the air")
    within("low_psig", low_psig, 0.0, 200.0)
    within("high_psig", high_psig, low_psig, 300.0, "the higher pressure is under the lower")
    air = tank_gal * (precharge_psig + atmosphere_psi)
    return air * (1.0 / (low_psig + atmosphere_psi) - 1.0 / (high_psig + atmosphere_psi))
