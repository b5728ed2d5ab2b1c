"""What the field screen takes along: the trade's words and lists, this house's places, drawing and what is to be seen.

Fetched while there is a network, kept on the phone, used without one. Everything comes from the same data as the
report; the page itself holds no trade knowledge.
"""

from __future__ import annotations

import io
import json
import re
import tomllib
import zipfile
from collections.abc import Iterator
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Any

from kingpost import __version__
from kingpost.duty.ledger import Gap, Told, ledger
from kingpost.measure.units import convert
from kingpost.trade.duties import duties
from kingpost.trade.load import trade
from kingpost.trade.model import LEVELS, Trade
from kingpost.trade.standards import standards
from kingpost.visit.facts import Facts

KIT = 1  # form of the kit; a page that reads a lower one leaves out what it does not know
WIDE = 366.0  # px across which the drawing is shown on a phone
_BOX, _PATH, _POINT = (re.compile(p) for p in (r'viewBox="([^"]+)"', r' d="([^"]+)"', r"-?[0-9.]+,-?[0-9.]+"))
BANDS = {
    "roof": "Roof",
    "attic": "Attic",
    "upper": "Upstairs",
    "main": "Main floor",
    "lower": "Downstairs",
    "underfloor": "Underfloor",
    "garage": "Garage",
    "grounds": "Outside",
}
GATES = {"roof": "roof", "ladder": "ladder", "attic": "attic", "crawl": "crawl_space", "panel": "panel"}
REASONS = (  # why something could not be seen, in words that duty.permits reads
    ("locked", "It was locked"),
    ("blocked", "Things stood in the way"),
    ("low", "Too low or too narrow to get in"),
    ("unsafe", "It was not safe to go there"),
    ("weather", "The weather"),
    ("off", "It was shut off"),
    ("covered", "It is covered up"),
    ("asked", "The owner asked me not to"),
)
USUAL = {  # rooms that most houses have, where visit.toml lists none
    "upper": ("bedroom", "bathroom_hall", "hall"),
    "main": ("kitchen", "living_room", "dining_room", "bedroom", "bedroom_primary", "bathroom_hall", "hall", "laundry"),
    "lower": ("basement", "mechanical_room", "laundry", "family_room"),
}  # fmt: skip
OUTSIDE = ("exterior_front", "exterior_left", "exterior_rear", "exterior_right", "deck", "porch", "driveway", "yard")
ROOF = ("roof_front", "roof_rear", "chimney")


@cache
def general() -> dict[str, Any]:
    """What is the same for every house: readings to type, gates, things that get changed, reasons for a limit."""
    known, owed = trade(), duties()
    return {
        "kit": KIT,
        "kingpost": __version__,
        "readings": [_quick(r, known) for r in _list()],
        "gates": [
            {"gate": GATES[c.id], "name": c.name, "minutes": c.minutes, "out": c.out, "asks": list(c.asks),
             "stays": [s.says for s in c.stays], "levels": list(c.levels)}
            for c in owed.cards.values()
        ],
        "things": [
            {"id": t.id, "name": t.name, "back": c.back, "risk": c.risk, "again_s": c.due_min and c.due_min * 60}
            for t in known.handled.values()
            if (c := owed.care.get(t.id)) is not None
        ],
        "reasons": [{"id": key, "says": says} for key, says in REASONS],
    }  # fmt: skip


def _list() -> list[dict[str, Any]]:
    data = resources.files("kingpost.desk").joinpath("quick.toml").read_text(encoding="utf-8")
    return list(tomllib.loads(data)["reading"])


def _quick(row: dict[str, Any], known: Trade) -> dict[str, Any]:
    """A reading to type; its doubt and its bounds in the unit in which it is typed."""
    q = known.quantities[row["quantity"]]
    unit = str(row.get("unit", q.unit))

    def typed(value: float | None, difference: bool = False) -> float | None:
        return None if value is None else round(convert(value, q.unit, unit, difference=difference), 4)

    return {
        **row,
        "unit": unit,
        "part": known.components[row["component"]].name if row["component"] else "",
        "doubt": typed(q.uncertainty or 0.0, difference=True),
        "relative": q.relative,
        "low": typed(q.low),
        "high": typed(q.high),
    }


def house(facts: Facts) -> dict[str, Any]:
    """One visit's places from ridge to ground, its drawing in both themes, and what its standards ask to be seen."""
    known, laws = trade(), standards()
    owed = ledger(Told(facts), known, laws)
    parts = {p.name: i for i, p in laws.parts.items()}
    places = _places(facts, known)
    return {
        "kit": KIT,
        "name": facts.name,
        "facts": {
            "built": facts.built,
            "jurisdiction": facts.jurisdiction,
            "alterations": [{"what": a.what, "year": a.year} for a in facts.alterations],
        },
        "bands": [{"level": k, "name": v} for k, v in BANDS.items() if any(p["level"] == k for p in places)],
        "places": places,
        **_drawn(facts, places),
        "todo": [
            {
                "subject": _subject(g, parts),
                "place": g.label if g.place != "house" else "",
                "level": _level(g.place, places),
                "says": g.says,
                "why": g.why,
                "ask": g.asks,
            }
            for g in owed.gaps
            if g.clauses
        ],
    }


def _subject(gap: Gap, parts: dict[str, str]) -> str:
    """What a tick of this gap is about: the part where it is one, else the clause; and where."""
    what = parts.get(gap.part) or gap.clauses[0]
    return what if gap.place == "house" else f"{what}@{gap.label}"


def _level(node: str, places: list[dict[str, Any]]) -> str:
    if node in LEVELS:
        return "" if node == "house" else node
    return next(
        (str(p["level"]) for p in places if node in (p["place"], p["key"])), "grounds" if "side" in node else ""
    )


def _places(facts: Facts, known: Trade) -> list[dict[str, Any]]:
    """Levels, rooms, sides: `place` is what the journal writes, `id` the trade's."""
    spots = ledger(Told(facts), known, standards()).house
    out: list[dict[str, Any]] = []

    def put(level: str, ident: str, words: str, key: str = "") -> None:
        if all(p["place"] != words for p in out):
            out.append({"level": level, "id": ident, "place": words, "key": key or words})

    def named(level: str, ids: tuple[str, ...]) -> None:
        for i in ids:
            put(level, i, known.places[i].name)

    absent = spots.absent_places
    put("roof", "roof", known.places["roof"].name)
    named("roof", ROOF)
    put("attic", "attic", known.places["attic"].name)
    for level in ("upper", "main", "lower"):
        if level == "upper" and (facts.storeys or 1) < 2 and not any(r.level == level for r in spots.rooms):
            continue
        mine = [r for r in spots.rooms if r.level == level]
        for r in mine:
            put(level, r.place_id, r.label, r.key)
        if not mine:
            named(level, USUAL[level])
    if "crawl" not in absent:
        put("underfloor", "crawl", known.places["crawl"].name)
    if "garage" not in absent:
        put("garage", "garage", known.places["garage"].name)
    for s in spots.sides:
        put("grounds", s.place_id, known.places[s.place_id].name if s.place_id else s.label, s.label)
    named("grounds", tuple(i for i in OUTSIDE if i not in absent))
    return out


def _drawn(facts: Facts, places: list[dict[str, Any]]) -> dict[str, Any]:
    """The section for both themes, and where on it each place lies (for the plumb bob), in shares of its box."""
    from kingpost.tell.section import Mark, draw

    light = draw(facts, (), width=WIDE, theme="light", small=True)
    dark = draw(facts, (), width=WIDE, theme="dark", small=True)
    x0, y0, wide, high = (float(n) for n in _BOX.findall(light.svg)[0].split())
    for p in places:
        made = draw(facts, [Mark(1, "information", p["level"], p["id"])], width=WIDE, small=True)
        if made.placed and (to := _frame(made.svg, light.svg)):
            x, y = (scale * at + shift for at, (scale, shift) in zip(made.placed[0].dot, to, strict=True))
            p["at"] = [round((x - x0) / wide, 4), round((y - y0) / high, 4)]
    return {"section": {"light": light.svg, "dark": dark.svg, "alt": light.alt}, "ratio": round(wide / high, 3)}


def _frame(one: str, other: str) -> tuple[tuple[float, float], tuple[float, float]] | None:
    """How coordinates of one drawing of a house become those of another: scale and shift for x and y.

    A drawing with a mark is framed with room for it. Both begin with the same line of the house.
    """
    points = [
        [tuple(map(float, pair.split(","))) for pair in _POINT.findall(_PATH.findall(svg)[0])] for svg in (one, other)
    ]
    out = []
    for axis in (0, 1):
        mine, theirs = ([p[axis] for p in side] for side in points)
        if len(mine) != len(theirs) or max(mine) == min(mine):
            return None
        scale = (max(theirs) - min(theirs)) / (max(mine) - min(mine))
        out.append((scale, min(theirs) - scale * min(mine)))
    return out[0], out[1]


def core_files() -> Iterator[tuple[str, bytes]]:
    """The part of this package that runs in a page: what `judge.typed` imports, and the trade's data."""
    root = Path(str(resources.files("kingpost")))
    rooms = ("measure", "trade", "judge", "visit")
    needed = {"kingpost.visit", "kingpost.visit.facts", "kingpost.visit.owed", "kingpost.visit.record"}
    for path in sorted(root.rglob("*.py")):
        inside = path.relative_to(root)
        room = inside.parts[0] if len(inside.parts) > 1 else ""
        dotted = ".".join(("kingpost", *inside.with_suffix("").parts)).removesuffix(".__init__")
        if (room in rooms and (room != "visit" or dotted in needed)) or dotted == "kingpost":
            yield f"kingpost/{inside.as_posix()}", path.read_bytes()
    for path in sorted((root / "trade" / "data").rglob("*.toml")):
        yield f"kingpost/{path.relative_to(root).as_posix()}", path.read_bytes()
    for name in ("rule", "held", "values", "words", "section/lettering", "section/model", "section/pen"):
        yield f"kingpost/tell/{name}.py", (root / "tell" / f"{name}.py").read_bytes()
    for name in ("__init__", "section/__init__"):
        yield f"kingpost/tell/{name}.py", b""


@cache
def core() -> bytes:
    """The files above as a zip: the same files, the same bytes."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as zipped:
        for name, content in core_files():
            zipped.writestr(zipfile.ZipInfo(name, (2020, 1, 1, 0, 0, 0)), content, zipfile.ZIP_DEFLATED, 9)
    return out.getvalue()


def as_json(kit: dict[str, Any]) -> bytes:
    """A kit as it is sent."""
    return json.dumps(kit, ensure_ascii=False, separators=(",", ":")).encode()
