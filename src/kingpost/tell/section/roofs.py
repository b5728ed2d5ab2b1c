"""Roof outlines in section, from span, plates, rise and overhang."""

from __future__ import annotations

from .model import Point, Roof


def roof(
    kind: str,
    x0: float,
    x1: float,
    plates: Point,
    rise: float,
    over: Point,
    dormers: tuple[str, ...] = (),
) -> Roof:
    """The outer face of a roof over x0 to x1. rise: inches in 12; over: feet beyond the wall on each side."""
    slope = rise / 12
    if kind == "flat":
        flat = ((x0, plates[0] + 1.6), (x1, plates[0] + 1.6 - slope * (x1 - x0) / 4))
        return Roof(kind, flat, (x0, plates[0] + 1.6))
    if kind == "shed-right":  # high on the left, where it leans on the house
        high, low = plates
        pitch = (high - low) / max(x1 - x0, 1.0)
        top = ((x0, high), (x1, low), (x1 + over[1], low - pitch * over[1]))
        return Roof("shed", top, (x0, high))
    if kind == "shed-left":
        low, high = plates
        pitch = (high - low) / max(x1 - x0, 1.0)
        return Roof("shed", ((x0 - over[0], low - pitch * over[0]), (x0, low), (x1, high)), (x1, high))
    if kind == "gambrel":
        return _gambrel(x0, x1, plates[0], over)
    if kind == "a-frame":
        ridge = ((x0 + x1) / 2, plates[0] + slope * (x1 - x0) / 2)
        return Roof(kind, ((x0, plates[0]), ridge, (x1, plates[0])), ridge)
    left, right = plates
    run = ((x1 - x0) + (right - left) / slope) / 2  # where both slopes meet at one height
    run = min(max(run, 0.2 * (x1 - x0)), 0.8 * (x1 - x0))
    ridge = (x0 + run, left + slope * run)
    fall = (ridge[1] - right) / ((x1 - x0) - run)
    eaves = (x0 - over[0], left - slope * over[0]), (x1 + over[1], right - fall * over[1])
    return Roof(kind, (eaves[0], ridge, eaves[1]), ridge, dormers)


def _gambrel(x0: float, x1: float, plate: float, over: Point) -> Roof:
    span = x1 - x0
    knee, crown = plate + 0.27 * span, plate + 0.36 * span
    inset = 0.15 * span
    ridge = ((x0 + x1) / 2, crown)
    eave = plate - 0.4
    return Roof(
        "gambrel",
        (
            (x0 - over[0], eave),
            (x0, plate),
            (x0 + inset, knee),
            ridge,
            (x1 - inset, knee),
            (x1, plate),
            (x1 + over[1], eave),
        ),
        ridge,
    )
