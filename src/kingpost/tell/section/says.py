"""What the drawing shows, in sentences: its text for those who do not see it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from .model import House

if TYPE_CHECKING:
    from .read import Said

STOREYS = {
    1: "one storey",
    1.5: "one and a half storeys",
    2: "two storeys",
    2.5: "two and a half storeys",
    3: "three storeys",
}
ROOFS = {
    "gable": "a gable roof",
    "hip": "a hip roof",
    "gambrel": "a gambrel roof",
    "flat": "a low roof behind a parapet",
    "a-frame": "a roof that comes down to the floor",
}
NAMES = {"furnace": "furnace", "water_heater": "water heater", "panel": "electrical panel"}
STANDS = {
    "attic": "in the attic",
    "upper": "upstairs",
    "main": "on the main floor",
    "lower": "on the lowest level",
    "crawl": "under the floor",
    "garage": "in the garage",
}
UNDER = {
    "basement": "a basement",
    "crawl": "a crawl space",
    "slab": "a slab on the ground",
    "piers": "piers",
    "blocks": "piers of block behind a skirt",
}


def says(house: House, known: Said) -> str:
    """One or two sentences."""
    article = "An" if known.facts.form[:1].lower() in "aeio" and known.facts.form else "A"
    form = known.facts.form.strip() or "house"
    for start in ("a ", "an ", "A ", "An "):
        form = form.removeprefix(start)
    year = f" of {known.facts.built}" if known.facts.built else ""
    tall = house.tall
    under = " and ".join(UNDER[k] for k in known.below)
    said = [
        f"{article} {form}{year}, cut from front to rear"
        if known.form.id != "split-level"
        else f"{article} {form}{year}, cut from left to right"
    ]
    said.append(
        f"{STOREYS.get(known.storeys, f'{known.storeys:g} storeys')} under {ROOFS.get(tall.roof.kind, 'a roof')}"
    )
    said.append(f"under it {under}")
    if "party_wall" in house.extra:
        said.append("walls shared with the houses on both sides")
    left, right = house.ground[1][1], house.ground[-2][1]
    if abs(left - right) >= 2.0:
        side = "rear" if right < left else "front"
        said.append(f"the ground falls away, so that the lower level opens at the {side}")
    parts = [b.label for b in house.bodies if b.kind != "house"]
    if tall.roof.dormers:
        parts.append(
            "dormers at the " + " and the ".join("front" if d == "left" else "rear" for d in tall.roof.dormers)
        )
    parts += ["a porch"] * bool(house.porch) + ["a deck"] * bool(house.deck) + ["a chimney"] * bool(house.chimney)
    more = f" It has {listed([_an(p) for p in parts])}." if parts else ""
    things = [f"{_an(NAMES[t.kind])} {STANDS[t.zone]}" for t in house.things if t.zone in STANDS]
    stood = f" In it stand {listed(things)}." if len(things) > 1 else f" In it stands {things[0]}." if things else ""
    return f"Drawing: {'; '.join(said)}.{more}{stood}"


def _an(words: str) -> str:
    return words if words.startswith(("a ", "an ", "dormers")) else f"{'an' if words[0] in 'aeio' else 'a'} {words}"


def listed(parts: list[str]) -> str:
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"
