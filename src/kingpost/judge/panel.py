"""The rows of a panel: as JSON or from panel.toml, each a breaker as labelled and as observed."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

METALS = {"cu": "Cu", "copper": "Cu", "al": "Al", "aluminum": "Al", "aluminium": "Al"}
KEYS = (
    "position", "poles", "rating_a", "conductor", "label", "dead", "nameplate", "wires_under_lug", "lug_for",
    "multiwire_with", "tied", "leg", "voltage_v", "afci", "gfci", "protected", "load", "open", "type_listed",
    "service_disconnect",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Row:
    """One breaker, or one opening."""

    position: str
    rating_a: float | None = None
    poles: int = 1
    sizes: tuple[str, ...] = ()  # AWG; several where it could not be told
    metals: tuple[str, ...] = ()  # none: not known
    label: str | None = None  # None: nobody looked; "": nothing stands there
    dead: tuple[str, ...] = ()  # what went dead when it was switched off
    plate: dict[str, Any] = field(default_factory=dict)  # name, mca_a, mop_a, watts, volts, continuous
    more: dict[str, Any] = field(default_factory=dict)  # the other keys, as written


def conductor(text: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Sizes and metals that a note of a wire means: `12|10 Cu`, `#12 copper`, `4/0 AWG Al`, `12`.

    >>> conductor("#12|10 copper"), conductor("4/0 Al"), conductor("12")
    ((('12', '10'), ('Cu',)), (('4/0',), ('Al',)), (('12',), ()))
    """
    metals = tuple(dict.fromkeys(METALS[w] for w in re.findall(r"[a-z]+", text.lower()) if w in METALS))
    return tuple(re.findall(r"\d+(?:/0)?", text)), metals


def row(table: dict[str, Any], index: int) -> Row:
    """One row as it was written.

    Raises    ValueError with one sentence that names the row and the mend
    """
    who = f"row {index + 1}"
    if not isinstance(table, dict):
        raise ValueError(f"{who} is not a table; write it like {{position: 1, rating_a: 20}}")
    for key in table:
        if key not in KEYS:
            raise ValueError(f'{who} has "{key}"; known are {", ".join(KEYS)}')
    rating, poles = table.get("rating_a"), table.get("poles", 1)
    if rating is not None and (isinstance(rating, bool) or not isinstance(rating, (int, float)) or rating <= 0):
        raise ValueError(f"{who} has a rating of {rating}; write amps, like 20")
    if poles not in (1, 2, 3):
        raise ValueError(f"{who} has {poles} poles; write 1 or 2")
    plate = table.get("nameplate", {})
    numbers = ("mca_a", "mop_a", "watts", "volts")
    if not isinstance(plate, dict) or any(not isinstance(plate[n], (int, float)) for n in numbers if n in plate):
        raise ValueError(f'{who} has a nameplate that cannot be read; write it like {{"mca_a": 26.2, "mop_a": 45}}')
    dead = table.get("dead", [])
    dead = [dead] if isinstance(dead, str) else dead
    sizes, metals = conductor(str(table.get("conductor", "")))
    where = table.get("position", index + 1)
    position = "/".join(str(p) for p in where) if isinstance(where, list) else str(where)
    label = table.get("label")
    return Row(
        position=position,
        rating_a=None if rating is None else float(rating),
        poles=int(poles),
        sizes=sizes,
        metals=metals,
        label=None if label is None else str(label),
        dead=tuple(str(d) for d in dead),
        plate=plate,
        more=dict(table),
    )


def rows_of(tables: Sequence[dict[str, Any]]) -> tuple[Row, ...]:
    """All rows of a panel. Raises ValueError."""
    if not isinstance(tables, (list, tuple)) or not tables:
        raise ValueError("the panel has no rows; write one for each breaker")
    found = tuple(row(t, i) for i, t in enumerate(tables))
    seen = set[str]()
    for one in found:
        if one.position in seen:
            raise ValueError(f"position {one.position} stands twice; give each breaker its own")
        seen.add(one.position)
    return found


def read_rows(path: str) -> tuple[Row, ...]:
    """The rows of a panel.toml, each under [[row]]. Raises ValueError."""
    try:
        tables = tomllib.loads(Path(path).read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError) as wrong:
        raise ValueError(f"{path} cannot be read: {wrong.__class__.__name__}") from None
    except tomllib.TOMLDecodeError as wrong:
        raise ValueError(f"{path} is not TOML: {wrong}") from None
    return rows_of(tables.get("row", []))


def leg(one: Row) -> str | None:
    """On which leg a single breaker sits: as noted, or by its number, two and two down the panel."""
    if noted := one.more.get("leg"):
        return str(noted)
    return "AB"[(int(one.position) + 1) // 2 % 2] if one.position.isdigit() else None


def named(text: str, alike: Sequence[Sequence[str]]) -> set[str]:
    """The things that a label or a remark names, each by the first word of its group.

    >>> sorted(named("Dish washer, kitchen", [["dishwasher", "dish washer"], ["washer"], ["kitchen"]]))
    ['dishwasher', 'kitchen']
    """
    said = " " + " ".join(re.findall(r"[a-z/]+", text.lower())) + " "
    found = set[str]()
    pairs = sorted(((w, g[0]) for g in alike for w in g), key=lambda p: -len(p[0]))
    for word, group in pairs:  # the longest first, and what it took is gone: a water heater is no heater
        for form in (f" {word} ", f" {word}s "):
            if form in said:
                found.add(group)
                said = said.replace(form, " ")
    return found
