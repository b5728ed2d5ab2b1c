"""From the facts of a visit to a house that can be drawn: what is said, and common sizes for the rest."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

from kingpost.visit.facts import Facts

from .model import JOIST, Mark

HERE = Path(__file__).parent
OUTDOOR = {"condenser", "heat_pump", "air_conditioner"}
KINDS = {  # components whose finding shows that the thing is there
    "furnace": ("furnace", "heat_exchanger", "burner_flame", "air_handler", "boiler"),
    "water_heater": (
        *("water_heater", "relief_valve", "relief_discharge", "water_heater_pan", "water_heater_flue"),
        *("water_heater_strap", "expansion_tank", "tankless_heater"),
    ),
    "panel": ("electrical_panel", "breaker", "panel_cover", "main_disconnect", "panel_neutrals", "fuse_box"),
}
STANDS = {  # level of a finding: where its thing stands
    **{level: level for level in ("attic", "upper", "main", "lower", "garage")},
    "underfloor": "crawl",
    "grounds": "ground",
}


@dataclass(frozen=True, slots=True)
class Form:
    """One entry of forms.toml."""

    id: str
    said: tuple[str, ...]
    storeys: float
    width_ft: float
    ceiling_ft: float
    roof: str
    rise: float
    overhang_ft: float
    foundation: str
    floor_ft: float


@dataclass(frozen=True, slots=True)
class Addition:
    """A part built on later."""

    what: str
    year: int | None
    side: str  # left, right
    storeys: int = 1
    width_ft: float | None = None


@dataclass(slots=True)
class Said:
    """What is known of a house, with what is not known named as it is asked for."""

    form: Form
    facts: Facts
    below: tuple[str, ...]
    storeys: float
    additions: tuple[Addition, ...]
    seen: frozenset[str]  # places and components of the findings
    stands: dict[str, str]  # furnace, water_heater, panel: level, from findings
    unknown: list[str] = field(default_factory=list)

    def has(self, key: str) -> bool:
        """Whether the facts give this measure."""
        return isinstance(self.facts.section.get(key), (int, float, str))

    def ft(self, key: str, common: float, name: str = "", least: float = 0.0, most: float = 80.0) -> float:
        """A measure in feet as given, kept drawable; else a common one, and its name goes to `unknown`."""
        given = self.facts.section.get(key)
        if isinstance(given, (int, float)) and not isinstance(given, bool):
            return min(max(float(given), least), most)
        if name and name not in self.unknown:
            self.unknown.append(name)
        return common

    def word(self, key: str) -> str:
        """A word as given, else nothing."""
        given: Any = self.facts.section.get(key, "")
        return given.strip().lower() if isinstance(given, str) else ""


@cache
def forms() -> tuple[tuple[Form, ...], tuple[tuple[str, tuple[str, ...]], ...]]:
    """The forms and the words for what stands under a house."""
    data = tomllib.loads((HERE / "forms.toml").read_text(encoding="utf-8"))
    made = tuple(Form(**{**row, "said": tuple(row["said"])}) for row in data["form"])
    return made, tuple((row["kind"], tuple(row["said"])) for row in data["below"])


def form_of(words: str) -> Form:
    """
    >>> form_of("split-level").id, form_of("a brick cape").id, form_of("").id
    ('split-level', 'cape', 'house')
    """
    low = words.lower()
    return next(f for f in forms()[0] if any(s in low for s in f.said))


def below_of(words: str) -> tuple[str, ...]:
    """
    >>> below_of("half basement, half crawl space"), below_of("unknown")
    (('basement', 'crawl'), ())
    """
    low = words.lower()
    at = {kind: min((low.find(s) for s in said if s in low), default=-1) for kind, said in forms()[1]}
    return tuple(sorted((k for k, v in at.items() if v >= 0), key=lambda k: at[k]))


def said(facts: Facts, marks: Sequence[Mark]) -> Said:
    """What is known, from visit.toml and from where findings lie."""
    form = form_of(facts.form)
    kinds = below_of(facts.foundation)
    if form.id == "manufactured" and (not kinds or kinds[0] == "piers"):
        kinds = ("blocks",)
    seen = frozenset(word for m in marks for word in (m.place, m.component) if word)
    if not kinds:
        kinds = _below_seen(marks) or (form.foundation,)
    stands: dict[str, str] = {}
    for kind, components in KINDS.items():
        at = next((m.level for m in marks if m.component in components), "")
        if at in STANDS:
            stands[kind] = STANDS[at]
    made = Said(form, facts, kinds[:2], _storeys(facts, form), _additions(facts, seen), seen, stands)
    if not facts.foundation and not _below_seen(marks):
        made.unknown.append("foundation")
    return made


def _below_seen(marks: Sequence[Mark]) -> tuple[str, ...]:
    if any(m.level == "lower" and m.place.startswith(("basement", "bulkhead")) for m in marks):
        return ("basement",)
    return ("crawl",) if any(m.level == "underfloor" and m.place == "crawl" for m in marks) else ()


def _storeys(facts: Facts, form: Form) -> float:
    if facts.storeys and facts.storeys > 0:
        return min(max(float(facts.storeys), 1.0), 4.0)
    return form.storeys


def _additions(facts: Facts, seen: frozenset[str]) -> tuple[Addition, ...]:
    """Alterations that built something on; one that only its findings tell of is added, without a year."""
    out: list[Addition] = []
    for a in facts.alterations:
        low = a.what.lower()
        if not re.search(r"\baddition|\badded\b|\bextension\b|sunroom|sun room|\bell\b|\bwing\b", low):
            continue
        side = "left" if re.search(r"\b(front|left|west|north)\b", low) else "right"
        wide = re.search(r"(\d+(?:\.\d+)?)\s*(?:ft|feet|foot)", low)
        two = 2 if re.search(r"two[- ]stor|2[- ]stor", low) else 1
        if sum(b.side == side for b in out) >= 2:
            continue
        out.append(Addition(_short(a.what), a.year, side, two, float(wide[1]) if wide else None))
    if not out and "addition" in seen:
        out.append(Addition("addition", None, "right"))
    return tuple(out)


def _short(what: str) -> str:
    """
    >>> _short("rear addition with radiant floor, and the deck"), _short("the laundry added, 10 ft")
    ('addition', 'laundry')
    """
    low = re.sub(r"^(the|a|an) ", "", what.lower().strip())
    for word in ("laundry", "kitchen", "sunroom", "bedroom", "bathroom", "family room", "garage", "wing", "mudroom"):
        if word in low:
            return word
    return "addition"


def ceiling(known: Said, index: int) -> float:
    """Clear height of the storey so many above the main floor."""
    common = known.form.ceiling_ft
    if known.facts.built and not known.has("ceiling_ft"):
        common = max(common, 9.0) if known.facts.built < 1935 and known.form.id not in ("manufactured",) else common
        common = (
            max(common, 9.0) if known.facts.built > 2000 and not index and known.form.id != "manufactured" else common
        )
    return known.ft("ceiling_ft", common - (0.4 if index else 0.0), "ceiling height", 6.0, 16.0)


def storey_rise(known: Said, index: int) -> float:
    """From one floor to the next."""
    return ceiling(known, index) + JOIST


def floor_above_ground(known: Said) -> float:
    """Height of the main floor above the ground."""
    common = known.form.floor_ft
    first = known.below[0]
    if known.form.id not in ("bi-level", "split-level", "row", "hillside"):
        common = {"slab": 0.6, "blocks": 3.0, "piers": max(common, 2.4)}.get(first, common)
    return known.ft("floor_ft", common, "height of the floor above the ground", 0.3, 9.0)
