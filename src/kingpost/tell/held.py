"""What a check puts on the rule: the reading, its doubt and the limit, found in the record's own fields.

The record names limits `min_x_in` or `max_x_in` and readings `x_in`. A pair is put on the rule only where it bears out
the verdict, so that a picture never tells another story than the words beside it.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import isfinite

from kingpost.visit.record import Check

from .rule import Boxes, Limit, Scale
from .values import named, number, quantity

SIDES = {"max": "above", "min": "below"}
WORDS = {"above": "at most", "below": "at least"}
NOT_READ = ("probability", "severity", "required")  # computed values that are no readings
UNITS = (
    "psi",
    "in_per_ft",
    "in_12",
    "sq_ft",
    "sq_in",
    "percent",
    "gpm",
    "deg",
    "gal",
    "mm",
    "in",
    "ft",
    "lb",
    "f",
    "a",
    "v",
    "w",
)


def on_rule(check: Check) -> Scale | Boxes | None:
    """What of a check can be drawn, or None: the pair of reading and limit that decided, else what was counted."""
    best: tuple[bool, float] | None = None
    shown: Scale | None = None
    for scale, margin in _pairs(check):
        unsaid = number(scale.value) not in check.says  # what the sentence speaks of comes first
        if best is None or (unsaid, margin) < best:
            best, shown = (unsaid, margin), scale
    return shown or _counted(check)


def _unit(key: str) -> str:
    return next((u for u in UNITS if key.endswith(f"_{u}") or key == u), "")


def _stem(key: str, unit: str) -> set[str]:
    return set(key.removesuffix(unit).strip("_").split("_")) - {"", "max", "min", "u"}


def _pairs(check: Check) -> Iterator[tuple[Scale, float]]:
    """Every reading with its limits that bears out the verdict, and how far inside the limit it lies."""
    limits: dict[tuple[str, frozenset[str]], list[tuple[str, float]]] = {}
    for key, value in sorted(check.required.items()):
        head, _, rest = key.partition("_")
        if head in SIDES and rest and _is_number(value):
            unit = _unit(rest)
            limits.setdefault((unit, frozenset(_stem(rest, unit))), []).append((SIDES[head], float(value)))
    for (unit, stem), sides in sorted(limits.items(), key=lambda kv: (kv[0][0], sorted(kv[0][1]))):
        found = _reading(check, unit, stem, sole=len([1 for u, _ in limits if u == unit]) == 1)
        if not found or not unit:
            continue
        values, doubt = found
        lims = tuple(Limit(at, wrong, f"{WORDS[wrong]} {number(at)}") for wrong, at in sides)
        worst = min(values, key=lambda v: _margin(v, lims))
        margin = _margin(worst, lims)
        if not _bears_out(check.verdict, margin, 2 * doubt):
            continue
        others = list(values)
        others.remove(worst)
        shown = quantity(worst, _unit_id(unit), doubt or None)
        yield Scale(worst, lims, shown, 2 * doubt, tuple(others)), margin


def _unit_id(unit: str) -> str:
    return {"f": "degF", "in_12": "in/12", "in_per_ft": "in per ft", "a": "A", "v": "V", "w": "W"}.get(unit, unit)


def _is_number(value: object) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool) and isfinite(value)


def _reading(check: Check, unit: str, stem: frozenset[str], sole: bool) -> tuple[list[float], float] | None:
    """The values held against a limit, and their standard uncertainty: by name, else the only one with that unit."""
    found: list[tuple[int, int, str, list[float]]] = []
    for order, source in enumerate((check.inputs, check.computed)):
        for key, value in sorted(source.items()):
            if _unit(key) != unit or key.startswith("u_") or key.startswith(NOT_READ):
                continue
            values = [float(v) for v in value if _is_number(v)] if isinstance(value, list) else []
            values = [float(value)] if _is_number(value) else values
            if values:
                found.append((-len(stem & _stem(key, unit)), order, key, values))
    if not found:
        return None
    found.sort()
    score, _, key, values = found[0]
    if score == 0 and stem and not (sole and len(found) == 1):
        return None
    doubt = check.inputs.get(f"u_{key}")
    if doubt is None and len(values) == 1:  # a computed value that only repeats a reading has that reading's doubt
        doubt = next((check.inputs.get(f"u_{k}") for k, v in sorted(check.inputs.items()) if v == values[0]), None)
    return values, float(doubt) if isinstance(doubt, (int, float)) and _is_number(doubt) and doubt > 0 else 0.0


def _margin(value: float, limits: tuple[Limit, ...]) -> float:
    """How far on the right side, as a part of the limit; below 0 on the wrong side."""
    return min((lim.at - value if lim.wrong == "above" else value - lim.at) / (abs(lim.at) or 1.0) for lim in limits)


def _bears_out(verdict: str, margin: float, doubt: float) -> bool:
    if verdict == "falls_short":
        return margin < 0
    if verdict == "meets":
        return margin >= 0
    return verdict == "cannot_tell" and doubt > 0


def _counted(check: Check) -> Boxes | None:
    """One thing that is there or not: "0 of 1"."""
    if check.verdict not in ("falls_short", "meets"):
        return None
    facts = [(k, v) for k, v in sorted(check.inputs.items()) if isinstance(v, bool)]
    asked = {k: v for k, v in check.required.items() if isinstance(v, bool)}
    if len(facts) != 1 or (check.required and not asked):
        return None
    key, there = facts[0]
    good = check.verdict == "meets"
    if there is not good or asked.get(key, True) is not True:  # a fault that is present is not a box to tick
        return None
    words = check.measured.rsplit(" ", 1)[0] if check.measured.endswith((" no", " yes")) else named(key)[0]
    words = words.rpartition(", ")[2]
    return Boxes(int(there), 1, words[:1].upper() + words[1:])
