"""Branch circuits: what a wire loses on the way, what a joint adds, and how fast a ground-fault device must be."""

from __future__ import annotations

from .limits import within


def voltage_drop_v(k: float, current_a: float, one_way_ft: float, circular_mils: float) -> float:
    """Volts lost on a two-wire run, out and back.

    k            ohms of a wire of one circular mil and one foot, at its usual heat
    one_way_ft   along the route, one way; the 2 of the way back is in the formula

    Source    [voltage-drop-formula]
    Raises    OutOfRange

    >>> round(voltage_drop_v(k=12.9, current_a=20.0, one_way_ft=100.0, circular_mils=6530.0), 2)
    7.9
    """
    within("current_a", current_a, 0.0, 1000.0)
    within("one_way_ft", one_way_ft, 0.0, 5000.0)
    within("circular_mils", circular_mils, 1000.0, 1e6, "there is no such wire in the table")
    return 2.0 * k * current_a * one_way_ft / circular_mils


def drop_by_resistance_v(ohm_per_1000_ft: float, current_a: float, one_way_ft: float) -> float:
    """Volts lost on a two-wire run, by the resistance that a table gives for the wire.

    Source    [nec-table-8]
    Raises    OutOfRange

    >>> round(drop_by_resistance_v(1.98, 20.0, 100.0), 2)
    7.92
    """
    within("ohm_per_1000_ft", ohm_per_1000_ft, 0.001, 20.0)
    within("current_a", current_a, 0.0, 1000.0)
    within("one_way_ft", one_way_ft, 0.0, 5000.0)
    return 2.0 * current_a * ohm_per_1000_ft * one_way_ft / 1000.0


def drop_percent(no_load_v: float, loaded_v: float) -> float:
    """What an outlet loses when a load is put on it, percent of its voltage without.

    Raises    OutOfRange

    >>> round(drop_percent(120.0, 114.0), 6)
    5.0
    """
    within("no_load_v", no_load_v, 50.0, 300.0)
    within("loaded_v", loaded_v, 0.0, 300.0)
    return 100.0 * (no_load_v - loaded_v) / no_load_v


def source_ohm(no_load_v: float, loaded_v: float, current_a: float) -> float:
    """Resistance of all that lies between the outlet and the street, ohm: wires, joints and the service.

    Raises    OutOfRange

    >>> source_ohm(120.0, 114.0, 15.0)
    0.4
    """
    within("current_a", current_a, 0.5, 200.0, "give the load of the tester, as it was")
    within("no_load_v", no_load_v, 50.0, 300.0)
    within("loaded_v", loaded_v, 0.0, 300.0)
    return (no_load_v - loaded_v) / current_a


def gfci_longest_s(fault_ma: float) -> float:
    """The longest time that a class A device may take to trip, s.

    fault_ma   6 to 264: under 6 it need not trip, and from 264 mA on the shortest time holds

    Source    [ul-943-curve]
    Raises    OutOfRange

    >>> round(gfci_longest_s(20.0), 3), round(gfci_longest_s(6.0), 2)
    (1.0, 5.59)
    """
    within("fault_ma", fault_ma, 6.0, 264.0, "the curve of the standard ends there")
    return float((20.0 / fault_ma) ** 1.43)
