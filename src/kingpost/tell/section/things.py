"""Equipment and chimney: where they are said or seen to stand, else where they often do."""

from __future__ import annotations

from dataclasses import replace

from .model import Body, Span, Thing
from .read import Said, floor_above_ground

NARROW = 16.0  # ft: a cellar in which stairs and equipment would stand in one place


def chimney_of(known: Said, bodies: list[Body]) -> tuple[float, bool] | None:
    told = known.word("chimney")
    here = any(w.startswith(("chimney", "fireplace", "flue_liner", "hearth", "smoke_chamber")) for w in known.seen)
    if told in ("none", "no") or not (told or here) or (known.form.id == "row" and not told):
        return None  # between row houses the stacks stand on the party wall
    house = max((b for b in bodies if b.kind == "house"), key=lambda b: b.x1 - b.x0)
    at = {"left": 0.12, "middle": 0.46, "right": 0.86}.get(told, 0.46)
    if told not in ("left", "middle", "right"):
        known.unknown.append("place of the chimney")
    x = house.x0 + at * (house.x1 - house.x0)
    for part in house.below[1:]:  # not into the wall between a cellar and a crawl space
        x = part.x0 + 1.4 if abs(x - part.x0) < 2.2 else x
    return x, told in ("left", "middle", "right")


def things_of(
    known: Said, bodies: list[Body], deck: Span, chimney: tuple[float, bool] | None = None
) -> tuple[Thing, ...]:
    """Furnace, water heater, panel and outdoor unit: where they are said or seen to stand, else where they often do."""
    houses = [b for b in bodies if b.kind == "house"]
    levels = {f.level for b in houses for f in b.floors}
    low = "lower" if "lower" in levels else ""
    deep = any(u.kind == "basement" for b in houses for u in b.below)
    common = "basement" if deep else low or "main"
    out = []
    for kind, offset in (("furnace", 0.2), ("water_heater", 0.36), ("panel", 0.9)):
        told = known.word(kind) or known.stands.get(kind, "")
        zone = {"basement": "lower", "outside": "ground"}.get(told, told) or {"basement": "lower"}.get(common, common)
        if told in ("none", "no") or (not told and known.form.id == "manufactured" and kind == "panel"):
            continue
        if made := _stood(kind, zone, offset, houses, bodies, bool(told), known.form.id == "bi-level"):
            out.append(_beside(made, chimney))
            if not told:
                known.unknown.append(f"place of the {kind.replace('_', ' ')}")
    if known.word("condenser") not in ("none", "no") and (
        {"condenser", "air_conditioner", "heat_pump"} & known.seen or known.word("condenser")
    ):
        edge = bodies[-1].x1
        if deck and deck[1] > edge:  # beyond the deck and its steps
            edge = deck[1] + (floor_above_ground(known) * 1.5 if known.form.id != "hillside" else 0.4)
        out.append(Thing("condenser", edge + 2.4, 0.0, "ground"))
    return tuple(out)


def _beside(thing: Thing, chimney: tuple[float, bool] | None) -> Thing:
    """A thing whose usual place the chimney takes stands beside it."""
    if not chimney or thing.zone == "garage":
        return thing
    clear = 1.45 + (3.3 if thing.kind == "furnace" and thing.zone in ("attic", "crawl") else 1.1)
    off = thing.x - chimney[0]
    return thing if abs(off) >= clear else replace(thing, x=chimney[0] + (clear if off >= 0 else -clear))


def _stood(
    kind: str, zone: str, offset: float, houses: list[Body], bodies: list[Body], sure: bool, landing: bool
) -> Thing | None:
    if zone == "garage" and (garage := next((b for b in bodies if b.kind == "garage"), None)):
        off = {"water_heater": 1.6, "furnace": 4.0}.get(kind, 3.6)
        return Thing(kind, garage.x1 - off if garage.joined[1] else garage.x0 + off, garage.base, zone, sure)
    if zone == "attic":
        body = max(houses, key=lambda b: b.roof.ridge[1])
        return Thing(kind, body.roof.ridge[0] + (offset - 0.2) * 24, body.floors[-1].ceiling + 0.35, zone, sure)
    for body in houses:
        for below in body.below:
            if zone == "lower" and below.kind == "basement":
                wide = below.x1 - below.x0
                x = below.x0 + 1.2 + offset * (wide - 2.4)
                if wide < NARROW:  # in a small cellar side by side
                    x = below.x0 + {"furnace": 2.2, "water_heater": 4.6, "panel": wide - 1.8}[kind]
                return Thing(kind, x, below.bottom, zone, sure)
            if zone == "crawl" and below.kind in ("crawl", "piers", "blocks"):
                return Thing(kind, below.x0 + offset * (below.x1 - below.x0), below.bottom, zone, sure)
        for floor in body.floors:
            if floor.level == zone:
                share = 0.1 + 0.8 * min(offset, 0.5) + (0.3 if landing else 0.0)
                x = body.x0 + share * (body.x1 - body.x0)
                if zone != "lower":  # in a closet beside the middle wall
                    x = body.middle + {"furnace": 1.7, "water_heater": 3.9, "panel": -1.5}[kind]
                return Thing(kind, x, floor.floor, zone, sure)
    return None
