"""An invented house for the tests of the telling, with as many findings as asked for. Nobody and no address is real."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, replace
from datetime import datetime, timedelta, timezone
from pathlib import Path
from typing import Any

from PIL import Image, ImageDraw

from kingpost.tell import Written, write
from kingpost.trade.model import Place, Trade, TradePerson
from kingpost.visit.facts import Alteration, Facts, Trouble
from kingpost.visit.record import (
    AsFound,
    Cause,
    Check,
    Finding,
    FrameRef,
    Limitation,
    Narrative,
    PhotoRef,
    Reading,
    Record,
    Remark,
    SourceRef,
)

STARTED = datetime(2026, 5, 12, 9, 0, tzinfo=timezone(timedelta(hours=-5)))
PLACES = (  # id, name, level
    ("roof_rear", "rear roof slope", "roof"),
    ("roof", "roof", "roof"),
    ("attic", "attic", "attic"),
    ("bathroom_hall", "hall bathroom", "upper"),
    ("bedroom_1", "bedroom 1", "upper"),
    ("hall", "hall", "upper"),
    ("kitchen", "kitchen", "main"),
    ("living_room", "living room", "main"),
    ("laundry", "laundry", "lower"),
    ("basement", "half basement", "lower"),
    ("garage", "garage", "garage"),
    ("crawl", "crawl space", "underfloor"),
    ("deck", "deck", "grounds"),
    ("front_left", "front left corner", "grounds"),
    ("exterior_rear", "exterior, rear", "grounds"),
)
PEOPLE = (
    ("roofer", "a roofer"),
    ("mason", "a mason"),
    ("electrician", "a licensed electrician"),
    ("plumber", "a licensed plumber"),
    ("carpenter", "a carpenter"),
    ("deck_builder", "a deck builder"),
    ("hvac", "a licensed heating and cooling contractor"),
    ("insulation_contractor", "an insulation contractor"),
    ("structural_engineer", "a structural engineer"),
    ("landscaper", "a landscaper"),
)
FINDINGS: list[dict[str, str]] = tomllib.loads((Path(__file__).parent / "findings.toml").read_text(encoding="utf-8"))[
    "finding"
]


def trade() -> Trade:
    """The names that the record uses, no more."""
    return Trade(
        systems={},
        places={i: Place(i, name, level, ()) for i, name, level in PLACES},
        components={},
        fault_kinds={},
        conditions={},
        effects={},
        people={i: TradePerson(i, name) for i, name in PEOPLE},
        sources={},
    )


FACTS = Facts(
    name="Alder Row",
    address="214 Alder Row, Eldon Ferry",
    built=1964,
    form="split-level",
    storeys=2,
    foundation="half basement, half crawl space",
    jurisdiction="us-nc",
    invented=True,
    started=STARTED,
    inspector="Wren Halloway",
    licence="0000",
    client="Ines and Tobias Marrowby",
    weather={"outdoor_f": 58, "humidity_percent": 71, "last_rain_h": 9},
    alterations=(Alteration("the rear addition", 1998), Alteration("the deck")),
    standards=("nc-11ncac08",),
)


def _stair_check() -> Check:
    return Check(
        id="c-stair",
        check="stair-riser",
        inputs={"riser_in": 9.75},
        computed={"difference_in": 2.5},
        required={"riser_in": 7.75, "difference_in": 0.375},
        verdict="falls_short",
        probability=0.0,
        in_force_when_built="unknown",
        sources=(SourceRef("International Residential Code", "R311.7.5.1", "2021", "memory"),),
        title="Riser height",
        says="The top step is 2 in higher than a stair may have.",
        measured="Top riser 9.75 ± 0.13 in; the other four 7.25 in",
        sum="9.75 − 7.25 = 2.5 in between the highest and the lowest",
        held_against="At most 7.75 in high and 0.375 in apart",
        by_its_date="The year of the deck is not known",
        readings=("q-riser",),
    )


def _grade_check() -> Check:
    return Check(
        id="c-grade",
        check="grade-slope",
        inputs={"fall_in": -5.6, "run_ft": 4},
        computed={"fall_in_per_ft": -1.4},
        required={"fall_in": 6, "run_ft": 10},
        verdict="falls_short",
        probability=0.0,
        in_force_when_built="no",
        sources=(SourceRef("International Residential Code", "R401.3", "2021", "memory"),),
        title="Fall of the ground",
        measured="5.6 ± 0.3 in down toward the wall over 4 ft",
        sum="−5.6 ÷ 4 = −1.4 in each foot; 0.6 in each foot away is asked for",
        held_against="6 in of fall away from the wall within 10 ft",
        by_its_date="Not in force in 1964; water does not ask",
        readings=(),
    )


def _open_check() -> Check:
    return Check(
        id="c-vent",
        check="attic-vent-area",
        inputs={},
        computed={},
        required={"ratio": 150},
        verdict="cannot_tell",
        probability=None,
        in_force_when_built="unknown",
        sources=(SourceRef("International Residential Code", "R806.2", "2021", "published"),),
        title="Vent area of the attic",
        missing=("free area of the gable vents",),
    )


def _finding(number: int, row: dict[str, str], copy: int, photos: bool, state: str) -> tuple[Finding, Remark]:
    component, place, photo, title = row["component"], row["place"], row["photo"], row["title"]
    tag = f"{component}-{number}"
    seconds = 480.0 + number * 240
    said = row["said"]
    remark = Remark(f"r-{tag}", "walk/walk.vtt", seconds, seconds + 9, said, place, "finding", into=(f"f-{tag}",))
    checks = {"stair": ("c-stair",), "grading": ("c-grade",)}.get(component, ()) if not copy else ()
    readings = {"stair": ("q-riser",), "drain": ("q-drain",)}.get(component, ()) if not copy else ()
    evidence: list[dict[str, Any]] = [{"remark": remark.id}]
    if photos and photo:
        evidence.append({"photo": photo})
    finding = Finding(
        id=f"f-{tag}",
        condition="",
        title=title + (f", place {copy + 1}" if copy else ""),
        system="",
        component=component,
        place=place,
        standing=row["standing"],
        when=row["when"],
        at_stake=tuple(row["at_stake"].split()),
        narrative=Narrative(row["saw"], row["matters"], row["do"], "", ""),
        readings=readings,
        checks=checks,
        evidence=tuple(evidence),
        state=state,
        confidence=0.8,
        cautions=("Do not load the deck to try it.",) if component == "deck_ledger" else (),
        people=(row["who"],) if row["who"] else (),
        doubt="The words fit a stair and a step." if component == "stair" else "",
        also_at=("hall", "bedroom_1") if component == "smoke_alarm" else (),
    )
    return finding, remark


def house(findings: int = 40, *, photos: bool = True, state: str = "pencil", facts: Facts = FACTS) -> Record:
    """A record with so many findings; above the length of FINDINGS they repeat."""
    made, remarks = [], []
    for n in range(findings):
        finding, remark = _finding(n, FINDINGS[n % len(FINDINGS)], n // len(FINDINGS), photos, state)
        made.append(finding)
        remarks.append(remark)
    if not findings:
        return Record(kingpost="0.1.0", visit=facts)
    first = {f.component: f.id for f in reversed(made)}
    causes: tuple[Cause, ...] = ()
    if "downspout" in first:
        chain = (first["downspout"], first["grading"], made[17].id, made[27].id)
        story = (
            "Water at one corner. Roof water from the front left downspout and ground that falls to the house have "
            "wet the basement wall and moved the corner."
        )
        causes = (Cause("k1", story, chain, ((chain[0], chain[2], "feeds"), (chain[1], chain[2], "feeds"))),)
    return Record(
        kingpost="0.1.0",
        visit=facts,
        remarks=(*remarks, *_aside()),
        readings=_readings(),
        findings=tuple(made),
        checks=(_stair_check(), _grade_check(), _open_check()),
        limitations=_limitations(),
        as_found=_as_found(),
        causes=causes,
        photos=_photos(),
        thermal=(FrameRef("t1", "thermal/t1-knee-wall.tif", None),),
        trouble=(Trouble("photos/blurred.jpg", None, "is too blurred to use", "take it again"),),
        notes=("sentence likeness is not installed; remarks were matched by words alone",),
    )


def _aside() -> tuple[Remark, ...]:
    rows = (
        ("r-a1", 60.0, "okay phone is on, here we go", "set_aside", "to myself"),
        ("r-a2", 130.0, "nice dog", "set_aside", "not about the house"),
        ("r-a3", 700.0, "as I said, no cricket up here", "set_aside", "said twice"),
        ("r-a4", 2600.0, "can't get past the ducts to the east end", "limitation", ""),
        ("r-a5", 900.0, "thermostat was on heat, sixty-eight", "as_found", ""),
    )
    return tuple(Remark(i, "walk/walk.vtt", s, s + 4, text, "hall", use, why) for i, s, text, use, why in rows)


def _readings() -> tuple[Reading, ...]:
    return (
        Reading("q-riser", "riser_height", 9.75, "in", 0.0625, "deck", "stair", remark="r-stair-24", start=2328.0),
        Reading("q-drain", "rise of the drain", 0.5, "in", 0.03, "crawl", "drain", row="readings.csv:14"),
        Reading("q-water", "water_temperature", 128, "degF", 1.0, "kitchen", "faucet", row="readings.csv:2"),
        Reading("q-plate", "tank volume", 40, "gal", None, "basement", "water_heater", photo="p40-plate-wh"),
        Reading("q-state", "ground-fault protection", "no", "yes_no", None, "kitchen", "receptacle", remark="r-a5"),
    )


def _limitations() -> tuple[Limitation, ...]:
    rows = (
        ("l1", "East end of the attic", "Ducts block the way past 12 ft.", "attic", "r-a4"),
        ("l2", "Inside of the heat exchanger", "It cannot be seen without taking the furnace apart.", "basement", ""),
        ("l3", "Chimney flue", "Soot; a flue camera is needed.", "roof_rear", ""),
        ("l4", "Bedroom closet", "Full of boxes.", "bedroom_1", ""),
    )
    return tuple(
        Limitation(i, text, "", ({"remark": r},) if r else (), item=item, reason="", place=place)
        for i, item, text, place, r in rows
    )


def _as_found() -> tuple[AsFound, ...]:
    return (
        AsFound("a1", "Thermostat, heat at 68", 3492.0, None, False, ({"remark": "r-a5"},), "hall"),
        AsFound("a2", "Attic hatch", 4300.0, 5400.0, True, (), "hall"),
        AsFound("a3", "Kitchen outlets, tripped", 7100.0, 7160.0, True, (), "kitchen"),
    )


def _photos() -> tuple[PhotoRef, ...]:
    names = {*(row["photo"] for row in FINDINGS if row["photo"]), "p01-street"}
    return tuple(
        PhotoRef(n, f"photos/{n}.jpg", (STARTED + timedelta(minutes=6 * i)).isoformat(), 360.0 * i, "", (), caption)
        for i, (n, caption) in enumerate((n, n.split("-", 1)[1].replace("-", " ")) for n in sorted(names))
    )


def inked(record: Record) -> Record:
    """The same record with every finding accepted."""
    return replace(record, findings=tuple(replace(f, state="ink") for f in record.findings))


def draw_photos(record: Record, folder: Path) -> None:
    """Small JPEGs in place of photographs: a field, a cross and a camera's tags that must not travel on."""
    for n, photo in enumerate(record.photos):
        path = folder / photo.file
        path.parent.mkdir(parents=True, exist_ok=True)
        image = Image.new("RGB", (320, 240) if n % 5 else (240, 320), (90 + n % 60, 110, 120))
        ImageDraw.Draw(image).line((0, 0, *image.size), fill=(230, 230, 220), width=6)
        exif = Image.Exif()
        exif[0x0110] = "Invented Camera 1"  # Model
        image.save(path, "JPEG", exif=exif)


@dataclass(frozen=True, slots=True)
class Told:
    """A record, the folder it was written to, and what `write` said."""

    record: Record
    out: Path
    written: Written

    @property
    def html(self) -> str:
        return (self.out / "report.html").read_text(encoding="utf-8")


def told(record: Record, folder: Path, **how: Any) -> Told:
    """The record written to FOLDER/out; photographs are drawn in FOLDER/visit where none lie there yet."""
    if not (folder / "visit").is_dir():
        draw_photos(record, folder / "visit")
    written = write(record, folder / "visit", folder / "out", trade=trade(), **how)
    return Told(record, folder / "out", written)
