"""Readings from the table of readings, and which photos were taken of what."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace
from difflib import get_close_matches

from kingpost.listen.naming import component_named, place_named
from kingpost.trade.law import law
from kingpost.trade.model import Quantity, Trade
from kingpost.visit.facts import Row, Trouble
from kingpost.visit.record import Reading

from .findings import digest


def quantity_named(text: str, trade: Trade) -> Quantity | None:
    """A quantity by its id or its name."""
    key = text.strip().lower().replace(" ", "_").replace("-", "_")
    if key in trade.quantities:
        return trade.quantities[key]
    return next((q for q in trade.quantities.values() if q.name.lower() == text.strip().lower()), None)


def from_rows(rows: Sequence[Row], trade: Trade) -> tuple[list[Reading], list[Trouble]]:
    """Readings of readings.csv, with ids of components, and what is odd about them.

    An unknown quantity is kept as it is written and named as trouble: it is evidence, though no check can use it.
    """
    out: dict[str, Reading] = {}
    trouble: list[Trouble] = []
    for row in rows:
        q = quantity_named(row.quantity, trade)
        if q is None:
            near = get_close_matches(row.quantity, trade.quantities, 2, 0.6)
            mend = (
                f"write {' or '.join(near)}"
                if near
                else "kept as it is; no check uses it (docs/trade-data.md lists them)"
            )
            trouble.append(Trouble(row.file, row.line, f'quantity "{row.quantity}" is not known', mend))
        u, default = row.uncertainty, row.uncertainty is None
        if default and q is not None and isinstance(row.value, float):
            u = _default(q, row)
        label, _, _ = place_named(row.place, trade)
        component = component_named(row.component, trade) or row.component
        name = digest("q", row.quantity, row.value, row.unit, row.place, row.component, row.note)
        out[name] = Reading(
            id=name,
            quantity=q.id if q else row.quantity,
            value=row.value,
            unit=row.unit or (q.unit if q else ""),
            uncertainty=u,
            place=label,
            component=component,
            row=f"{row.file}:{row.line}",
            instrument=row.instrument,
            note=row.note,
            start=row.time,
            default_uncertainty=default,
        )
    return list(out.values()), trouble


def _default(q: Quantity, row: Row) -> float | None:
    """One standard uncertainty where the row gives none: the instrument's where it is known, else the quantity's."""
    for one in law().instruments.values():
        names = (one.name, *one.said)
        if one.unit == (row.unit or q.unit) and any(
            n.lower() in row.instrument.lower() for n in names if row.instrument
        ):
            return math.hypot(one.uncertainty, one.relative * abs(float(row.value)))
    if q.uncertainty is None or q.unit != (row.unit or q.unit):
        return None
    return max(q.uncertainty, q.relative * abs(float(row.value)))


def bound(readings: Iterable[Reading], trade: Trade) -> list[Reading]:
    """Readings with the ids of their places, as the checks bind them."""
    return [replace(r, place=place_named(r.place, trade)[2] or r.place) for r in readings]
