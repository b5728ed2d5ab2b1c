"""Readings from the table of readings, and which photos were taken of what."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace
from difflib import get_close_matches
from functools import cache
from math import inf

from kingpost.listen.naming import component_named, place_named
from kingpost.measure.rounding import plain_number
from kingpost.measure.units import UnitError, convert, unit_named
from kingpost.trade.checks import Input, checks
from kingpost.trade.law import law
from kingpost.trade.model import Quantity, Trade
from kingpost.visit.facts import Row, Trouble
from kingpost.visit.record import Reading

from .findings import digest
from .values import AskError, value_of


def quantity_named(text: str, trade: Trade) -> Quantity | None:
    """A quantity by its id or its name."""
    key = text.strip().lower().replace(" ", "_").replace("-", "_")
    if key in trade.quantities:
        return trade.quantities[key]
    return next((q for q in trade.quantities.values() if q.name.lower() == text.strip().lower()), None)


def input_named(text: str) -> tuple[str, tuple[Input, ...]]:
    """What a row means that names an input: `bearing-length.support`, or the bare name `support`, and those inputs.

    >>> input_named("Bearing-length . support")[0], input_named("handrail"), input_named("treated")[0]
    ('bearing-length.support', ('', ()), 'treated')
    """
    head, dot, tail = (part.strip().lower() for part in text.partition("."))
    if dot:
        spec = checks().get(head.replace("_", "-").replace(" ", "-"))
        tail = tail.replace(" ", "_").replace("-", "_")
        found = [i for i in spec.inputs if tail in (i.name, *i.alias)] if spec else []
        return (f"{spec.id}.{found[0].name}", (found[0],)) if spec and found else ("", ())
    name = head.replace(" ", "_").replace("-", "_")
    return (name, named) if (named := _inputs().get(name, ())) else ("", ())


@cache
def _inputs() -> dict[str, tuple[Input, ...]]:
    """Every input by its name."""
    found: dict[str, list[Input]] = {}
    for spec in checks().values():
        for one in spec.inputs:
            found.setdefault(one.name, []).append(one)
    return {name: tuple(inputs) for name, inputs in found.items()}


def from_rows(rows: Sequence[Row], trade: Trade) -> tuple[list[Reading], list[Trouble]]:
    """Readings of readings.csv, with ids of components, and what is odd about them.

    A row names a quantity of the trade or an input of a check. What is unknown, or cannot be so, is kept as it is
    written and named as trouble: it is evidence, though no check can use it.
    """
    out: dict[str, Reading] = {}
    trouble: list[Trouble] = []
    for row in rows:
        q = quantity_named(row.quantity, trade)
        name, inputs = ("", ()) if q else input_named(row.quantity)
        if odd := _odd(row, q, inputs, trade):
            trouble.append(Trouble(row.file, row.line, *odd))
        u, default = row.uncertainty, row.uncertainty is None
        if default and q is not None and isinstance(row.value, float):
            u = _default(q, row)
        label, _, _ = place_named(row.place, trade)
        component = component_named(row.component, trade) or row.component
        digested = digest("q", row.quantity, row.value, row.unit, row.place, row.component, row.note)
        out[digested] = Reading(
            id=digested,
            quantity=q.id if q else name or row.quantity,
            value=row.value,
            unit=row.unit or (q.unit if q else inputs[0].unit if len(inputs) == 1 else ""),
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


def _odd(row: Row, q: Quantity | None, inputs: Sequence[Input], trade: Trade) -> tuple[str, str] | None:
    """What is wrong with a row, and how to mend it: its name, its unit, or a value that is likelier a slip."""
    if q is None and not inputs:
        near = get_close_matches(row.quantity, [*trade.quantities, *_inputs()], 2, 0.6)
        mend = f"write {' or '.join(near)}" if near else "kept as it is; no check uses it (docs/checks.md lists them)"
        return f'quantity "{row.quantity}" is not known', mend
    if q is not None:
        return _odd_number(row, q) if isinstance(row.value, float) else None
    refused = [wrong for one in inputs if (wrong := _refused(row, one, trade))]
    return refused[0] if len(refused) == len(inputs) else None


def _odd_number(row: Row, q: Quantity) -> tuple[str, str] | None:
    try:
        value = convert(float(row.value), unit_named(row.unit) if row.unit else q.unit, q.unit) if q.unit else None
    except UnitError:
        return f'unit "{row.unit}" does not fit {q.name}', f"write {' or '.join(q.units or (q.unit,))} under unit"
    low, high = q.low if q.low is not None else -inf, q.high if q.high is not None else inf
    if value is None or low <= value <= high:
        return None
    ends = f"{plain_number(low)} or more" if high == inf else f"{plain_number(low)} to {plain_number(high)}"
    ends = f"{plain_number(high)} or less" if low == -inf else ends
    problem = f"{q.name} is {plain_number(float(row.value))} {row.unit or q.unit}, outside {ends} {q.unit}"
    return problem, "look at the number and its unit; it is kept, and no check uses it"


def _refused(row: Row, one: Input, trade: Trade) -> tuple[str, str] | None:
    """Why an input does not take the value of a row."""
    text = row.value if isinstance(row.value, str) else f"{row.value:g} {row.unit}".strip()
    try:
        if value_of(one, text, trade.quantities) is None:
            return f"{one.name} is empty", "write its value"
    except AskError as wrong:
        problem, _, mend = str(wrong).partition("; ")
        return problem, mend or "write another value"
    return None


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
