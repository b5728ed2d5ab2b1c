"""Fuel gas: pipes, meters, air for burners, and flue gas."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from .limits import OutOfRange, among, within

METHODS = ("longest_length", "branch_length")


def gas_pipe_capacity_cfh(inside_diameter_in: float, length_ft: float, drop_in_wc: float, cr: float) -> float:
    """Flow of gas that a pipe carries at a given loss of pressure, ft3/h, at under 1.5 psi.

    cr    0.6094 natural gas, 1.2462 propane

    Source    [ifgc-402-equation]
    Good to   1 percent of the printed tables
    Raises    OutOfRange

    >>> round(gas_pipe_capacity_cfh(0.622, 10.0, 0.5, 0.6094))
    173
    """
    within("inside_diameter_in", inside_diameter_in, 0.2, 12.0, "give the inside diameter in inches")
    within("length_ft", length_ft, 1.0, 2000.0)
    within("pressure_drop_in_wc", drop_in_wc, 0.05, 14.0, "give inches of water")
    within("cr", cr, 0.1, 5.0)
    return float((19.17 * inside_diameter_in * (drop_in_wc / (cr * length_ft)) ** 0.206) ** (1.0 / 0.381))


def gas_flow_cfh(input_btu_h: float, heating_value_btu_ft3: float) -> float:
    """Gas that a burner takes, ft3/h.

    Raises    OutOfRange

    >>> gas_flow_cfh(35000.0, 1000.0)
    35.0
    """
    within("heating_value_btu_ft3", heating_value_btu_ft3, 400.0, 3500.0, "give Btu a cubic foot")
    within("input_btu_h", input_btu_h, 0.0, 1e8)
    return input_btu_h / heating_value_btu_ft3


def smallest_pipe(flow_cfh: float, sizes: Sequence[str], capacities_cfh: Sequence[float]) -> str:
    """The first size of a table's row that carries the flow.

    Raises    OutOfRange where none does

    >>> smallest_pipe(110.0, ["1/2", "3/4", "1"], [65, 137, 257])
    '3/4'
    """
    for size, capacity in zip(sizes, capacities_cfh, strict=True):
        if flow_cfh <= capacity:
            return size
    raise OutOfRange("flow_cfh", flow_cfh, 0.0, max(capacities_cfh), "no pipe of the table carries it")


def tree_of_pipes(tree: Mapping[str, Mapping[str, object]]) -> tuple[dict[str, list[str]], dict[str, float]]:
    """Which outlets every section of a gas pipe feeds, and how far each outlet is from the meter, ft.

    tree    section -> {"from": the section before it or "", "length_ft": its own length}; a section that nothing
            follows ends at an outlet of its own name

    Raises    ValueError for a section that starts from one that is not there, a ring, or a length that is none

    >>> tree_of_pipes({"3": {"from": "", "length_ft": 20}, "A": {"from": "3", "length_ft": 40}})
    ({'3': ['A'], 'A': ['A']}, {'A': 60.0})
    """
    before = {name: str(of.get("from", "") or "") for name, of in tree.items()}
    feeds: dict[str, list[str]] = {name: [] for name in tree}
    lengths: dict[str, float] = {}
    for outlet in (name for name in tree if name not in before.values()):
        way, at = list[str](), outlet
        while at:
            if at not in tree:
                raise ValueError(f"section {at} is not in the tree; add it")
            if at in way:
                raise ValueError(f"section {at} comes back to itself; mend its `from`")
            way.append(at)
            at = before[at]
        lengths[outlet] = sum(_length_ft(name, tree[name]) for name in way)
        for name in way:
            feeds[name].append(outlet)
    return feeds, lengths


def _length_ft(name: str, section: Mapping[str, object]) -> float:
    length = section.get("length_ft")
    if isinstance(length, bool) or not isinstance(length, (int, float)) or not 0.0 <= length <= 2000.0:
        raise ValueError(f"length_ft of section {name} is {length}; give feet")
    return float(length)


def sizing_lengths_ft(
    method: str, feeds: Mapping[str, Sequence[str]], outlet_ft: Mapping[str, float]
) -> dict[str, float]:
    """The length by which each section of a gas pipe is sized, ft.

    method       longest_length: every section by the way to the farthest outlet. branch_length: so the sections on
                 that way; those of a branch by the way to the farthest outlet of that branch
    feeds        section -> outlets that it feeds
    outlet_ft    outlet -> length of pipe from the meter

    Source    [ifgc-402-4]
    Raises    ValueError for an unknown method, or no outlet

    >>> sizing_lengths_ft("branch_length", {"A": ["A"], "1": ["A", "B"], "B": ["B"]}, {"A": 60.0, "B": 35.0})
    {'A': 60.0, '1': 60.0, 'B': 35.0}
    """
    among("method", method, METHODS)
    if not outlet_ft:
        raise ValueError("no section ends at an outlet; name at least one")
    far = max(outlet_ft, key=lambda name: outlet_ft[name])
    out: dict[str, float] = {}  # a section outside the farthest way belongs to the largest branch that holds it
    for section, outlets in feeds.items():
        if method == "longest_length" or far in outlets:
            out[section] = outlet_ft[far]
            continue
        branches = [o for o in feeds.values() if far not in o and set(outlets) <= set(o)]
        branch = max(branches, key=len)
        out[section] = max(outlet_ft[name] for name in branch)
    return out


def meter_rate_cfh(dial_ft3: float, seconds: float, revolutions: float = 1.0) -> float:
    """Gas that runs through a meter, ft3/h.

    dial_ft3       of one turn of the test dial
    seconds        for all turns
    revolutions    how many

    Raises    OutOfRange

    >>> round(meter_rate_cfh(0.5, 29.0), 1)
    62.1
    """
    within("dial_ft3", dial_ft3, 0.01, 100.0, "give cubic feet of one turn; 0.01 m3 is 0.353 ft3")
    within("seconds", seconds, 1.0, 7200.0, "give seconds")
    within("revolutions", revolutions, 0.25, 100.0)
    return 3600.0 * revolutions * dial_ft3 / seconds


def cubic_feet(volume_m3: float) -> float:
    """Cubic metres in cubic feet.

    >>> round(cubic_feet(0.01), 3)
    0.353
    """
    return volume_m3 / 0.3048**3


def derated_input_btu_h(input_btu_h: float, height_ft: float, per_1000_ft: float, above_ft: float) -> float:
    """Input of a burner at height, Btu/h: less by a share for every 1000 ft above a height.

    >>> derated_input_btu_h(100000.0, 5000.0, 0.04, 2000.0)
    88000.0
    """
    return input_btu_h * (1.0 - per_1000_ft * max(0.0, height_ft - above_ft) / 1000.0)


def room_air_ft3(input_btu_h: float, ft3_per_1000_btu_h: float, ach: float = 1.0) -> float:
    """Room that burners need to take their air from it, ft3.

    ft3_per_1000_btu_h    50 by the standard method; 21 (draft hood) or 15 (fan) over the air changes by the known one
    ach                   air changes an hour; 1 for the standard method

    Source    [nfpa54-9-3]
    Raises    OutOfRange

    >>> round(room_air_ft3(40000.0, 21.0, 0.40))
    2100
    """
    within("input_btu_h", input_btu_h, 0.0, 1e7)
    within("ach", ach, 0.01, 1.0, "give air changes an hour: 0.4")
    return ft3_per_1000_btu_h / ach * input_btu_h / 1000.0


def opening_area_in2(input_btu_h: float, btu_h_per_in2: float, least_in2: float = 0.0) -> float:
    """Free area that an opening for burners' air needs, in2.

    Source    [nfpa54-9-3]

    >>> opening_area_in2(140000.0, 1000.0, 100.0), opening_area_in2(40000.0, 1000.0, 100.0)
    (140.0, 100.0)
    """
    return max(input_btu_h / btu_h_per_in2, least_in2)


def air_free_co_ppm(co_ppm: float, o2_percent: float) -> float:
    """Carbon monoxide of flue gas without the air that thins it, ppm.

    o2_percent    0 to 16: nearer to fresh air the quotient explodes

    Source    [air-free-co]
    Raises    OutOfRange

    >>> round(air_free_co_ppm(50.0, 7.0), 1)
    75.2
    """
    within("co_ppm", co_ppm, 0.0, 100000.0)
    within("o2_percent", o2_percent, 0.0, 16.0, "this is mostly room air: measure again in the flue, burner on")
    return co_ppm * 20.9 / (20.9 - o2_percent)


def elbowed_capacity_btu_h(table_btu_h: float, elbows: float, free_elbows: float, loss_each: float) -> float:
    """Capacity of a vent with more elbows than the table allows for, Btu/h.

    Source    [ifgc-504]

    >>> elbowed_capacity_btu_h(122000.0, 2, 2, 0.10), elbowed_capacity_btu_h(122000.0, 3, 2, 0.10)
    (122000.0, 109800.0)
    """
    return table_btu_h * (1.0 - loss_each * max(0.0, elbows - free_elbows))
