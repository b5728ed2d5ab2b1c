"""Tables of wires, as several checks read them. No check of its own."""

from __future__ import annotations

from kingpost.measure.wiring import largest_breaker_a
from kingpost.trade.law import Rule

from ..verdict import Rules

MATERIALS = ("Cu", "Al")


def ampacity_a(rules: Rules, size: str, material: str, insulation_c: str, rule: Rule | None = None) -> float:
    """Ampacity of a size by the table of today, or of `rule`, A; 0 where that size is not made in that metal."""
    table = rule or rules.today("conductor_ampacity")
    return float(table.at(f"{material}_{insulation_c}")[table.at("size").index(size)])


def table_of_its_day(rules: Rules) -> Rule:
    """The ampacity table of the year judged by; where that is not known, today's."""
    selected = rules.selected("conductor_ampacity")
    return selected.then or selected.rule


def small_wire_cap_a(rules: Rules, size: str, material: str) -> float | None:
    """The largest breaker of a small wire whatever its insulation, A."""
    caps = rules.today("breaker_vs_conductor").at(f"cap_{material}")
    return float(caps[size]) if size in caps else None


def most_a(rules: Rules, size: str, material: str, column_c: str = "60", outlets: bool = False) -> float:
    """The largest breaker for a wire, A, at the heat its terminals stand.

    outlets   whether it feeds several receptacles: then no next size up
    """
    ampacity = ampacity_a(rules, size, material, column_c)
    rule = rules.today("breaker_vs_conductor")
    up = not outlets and ampacity <= rule.number("next_size_up_to_a")
    return largest_breaker_a(ampacity, rule.at("standard_a"), up, small_wire_cap_a(rules, size, material))
