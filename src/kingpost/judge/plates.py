"""Values of plates as readings: what is sure goes to the checks with its photo, what is doubtful is asked."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from kingpost.look import Moment
from kingpost.look.plates_fields import PlateField
from kingpost.trade.looking import table
from kingpost.trade.model import Trade
from kingpost.visit.facts import Photo
from kingpost.visit.record import Reading

from .findings import digest

Said = tuple[str, str, float | None]  # place, component, seconds: of the words around a picture


def around(photo: Photo, remarks: Sequence[tuple[Moment, str]]) -> Said:
    """Where a picture of a plate was taken, by the last words before it."""
    before = [
        (m.start, place) for m, place in remarks if photo.seconds is not None and m.start <= photo.seconds and place
    ]
    return max(before, default=(0.0, ""))[1], "", photo.seconds


def readings(
    photo: Photo, plate: Sequence[PlateField], component: str, said: Said, known: Sequence[Reading], trade: Trade
) -> tuple[list[Reading], list[str]]:
    """Readings of one plate, and the questions about what is doubtful.

    component  by the plate's own title, "" where it has none: then that of the words around the picture
    known      readings already spoken or written: an equal one is not doubled, another value is asked
    """
    made: list[Reading] = []
    asks: list[str] = []
    sure = float(table("plates.toml")["limits"]["use"])
    place, spoken_of, at = said
    of = component or spoken_of
    for one in plate:
        shown = f"{one.value:g} {one.unit}".strip() if isinstance(one.value, float) else one.value
        same = [r for r in known if r.quantity == one.quantity and r.component in (of, "")] if one.quantity else []
        if one.sure < sure:
            if same:
                continue  # somebody read it off or measured it: there is nothing left to ask
            why = f" ({one.doubt})" if one.doubt else ""
            asks.append(f"{photo.file}: {one.name} reads {shown}{why}: is that right?")
            continue
        if one.quantity not in trade.quantities or not isinstance(one.value, float):
            continue  # a model, a serial number, volts: kept with the photo, no check takes them
        if any(r.value == one.value for r in same):
            continue
        if same:
            asks.append(f"{photo.file}: {one.name} reads {shown}, but {same[0].value} was noted: which is right?")
            continue
        made.append(_reading(photo, one, place, of, at, trade))
    return made, asks


def _reading(photo: Photo, one: PlateField, place: str, of: str, at: float | None, trade: Trade) -> Reading:
    return Reading(
        id=digest("q", one.quantity, one.value, one.unit, place, of, photo.id),
        quantity=one.quantity,
        value=one.value,
        unit=one.unit,
        uncertainty=trade.quantities[one.quantity].uncertainty,
        place=place,
        component=of,
        photo=photo.id,
        instrument="data plate",
        note=f"read off the picture: {one.raw}",
        start=at,
        default_uncertainty=True,
    )


def as_record(plate: Sequence[PlateField], component: str = "") -> tuple[dict[str, Any], ...]:
    """The fields of a plate as a picture's entry lists them; `of` is the component that it belongs to."""
    sure = float(table("plates.toml")["limits"]["use"])
    return tuple(
        {
            "field": f.field, "value": f.value, "unit": f.unit, "reads": f.raw, "sure": f.sure, "used": f.sure >= sure,
            "doubt": f.doubt, "quantity": f.quantity, "of": component,
        }
        for f in plate
    )  # fmt: skip
