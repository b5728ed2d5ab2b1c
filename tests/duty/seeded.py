"""An invented house walked by an invented, careless inspector: 28 planted problems, in the shape of a blind test.

Twelve problems he reports, six he says but nothing becomes of them, ten lie in parts that he silently skips. He leaves
things on, contradicts himself, slips in numbers and says too much. `SEEDS` is the answer key.
"""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from typing import Any

from kingpost.duty.given import Given
from kingpost.duty.ledger import Told, ledger
from kingpost.duty.preflight import owed
from kingpost.inspection import inspect
from kingpost.judge.findings import digest
from kingpost.trade.duties import duties
from kingpost.trade.load import trade
from kingpost.trade.standards import standards
from kingpost.visit import read
from kingpost.visit.facts import Decision
from kingpost.visit.record import AsFound, Finding, Limitation, Narrative, Reading, Record, Remark

HERE = Path(__file__).parent
RANCH = HERE / "ranch-1988"
TRADE, KNOWN, DUTIES = trade(), standards(), duties()
WALK, AT = "walk/walk.vtt", "2026-06-03T18:00:00-04:00"

REPORTED = (  # condition, place
    ("gutter_clogged", "roof"),
    ("smoke_alarm_old", "interior, hall"),
    ("dishwasher_leaks", "interior, kitchen"),
    ("anti_tip_missing", "interior, kitchen"),
    ("receptacle_open_ground", "interior, living room"),
    ("toilet_loose", "interior, hall bathroom"),
    ("faucet_leaks", "interior, hall bathroom"),
    ("vapor_barrier_torn", "crawl space"),
    ("panel_double_tap", "garage"),
    ("panel_scorched", "garage"),  # cannot wait
    ("deck_ledger_pulling_away", "exterior, deck"),  # cannot wait
    ("garage_door_sensor_missing", "garage"),
)
LOOSE = (  # said, and nothing came of it
    ("The corner bead is all to pieces.", "interior, living room"),
    ("That one hums when you lean on it.", "interior, kitchen"),
    ("Well, somebody had a go at that.", "crawl space"),
    ("This whole piece wiggles.", "exterior, rear"),
    ("It's green all the way down.", "interior, hall bathroom"),
    ("Never seen it done like that.", "attic"),
)
HIDDEN = (  # a problem in a part that he skips: the first words of the sentence that he does not say
    ("bare joists at the eave", "Attic insulation is blown fiberglass, twelve inches."),
    ("a microwave that does not heat", "Microwave works."),
    ("an oven that does not heat", "Range and oven heat up on every setting."),
    ("a dead hood fan", "Range hood runs and blows outside."),
    ("a jammed disposer", "Garbage disposal runs quiet."),
    ("a cold register", "Register blows cool air in the living room."),
    ("a dead outlet in the laundry", "Receptacles tested good in the laundry."),
    ("a rotten fascia", "Soffit and fascia look good."),
    ("a stuck window", "Both windows open and lock."),
    ("soffit vents painted shut", "Ridge vent and soffit vents are open."),
)


@dataclass
class Scene:
    """A visit in the making: what is put into the clean record, and what has to be found for it."""

    remarks: list[Remark] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)
    readings: list[Reading] = field(default_factory=list)
    found: list[AsFound] = field(default_factory=list)
    limits: list[Limitation] = field(default_factory=list)
    decisions: list[Decision] = field(default_factory=list)
    facts: dict[str, Any] = field(default_factory=dict)
    at: float = 9000.0

    def say(self, text: str, place: str = "interior, hall", use: str = "information", why: str = "") -> Remark:
        self.at += 40.0
        into = ("q-none",) if use == "reading" else ()
        made = Remark(digest("r", text, place, self.at), WALK, self.at, self.at + 3, text, place, use, why, into)
        self.remarks.append(made)
        return made

    def find(self, condition: str, place: str, said: str = "", **text: str) -> Finding:
        c = TRADE.conditions[condition]
        r = self.say(said or c.said[0], place, "finding")
        story = Narrative(c.saw, c.matters, c.do, "A trade", "")
        made = Finding(
            digest("f", condition, place), condition, text.pop("title", c.title), TRADE.components[c.component].system,
            TRADE.components[c.component].name, place, c.standing, c.when, c.at_stake, replace(story, **text),
            evidence=({"remark": r.id},), state="ink",
        )  # fmt: skip
        self.remarks[-1] = replace(r, into=(made.id,))
        self.findings.append(made)
        return made

    def read(self, quantity: str, value: float, component: str, place: str) -> Reading:
        unit = TRADE.quantities[quantity].unit
        row = f"readings.csv:{len(self.readings) + 2}"
        made = Reading(
            digest("q", quantity, value, component, place), quantity, value, unit, None, place, component, row=row
        )
        self.readings.append(made)
        return made

    def change(self, thing: str, text: str, place: str, back: str = "") -> AsFound:
        name = TRADE.handled[thing].name
        opened = self.say(text, place, "as_found")
        closed = self.say(back, place, "as_found") if back else None
        made = AsFound(
            digest("a", name, text), text, opened.start, closed.start if closed else None, bool(closed),
            tuple({"remark": r.id} for r in (opened, closed) if r), place, name,
        )  # fmt: skip
        self.remarks = [replace(r, into=(made.id,)) if r in (opened, closed) else r for r in self.remarks]
        self.found.append(made)
        return made

    def decide(self, subject: str, verb: str, **fields: Any) -> None:
        self.decisions.append(Decision(f"d{len(self.decisions)}", subject, verb, AT, fields))


@cache
def base() -> Record:
    """The ranch of the ledger's tests: walked without a gap, nothing wrong with it, everything on file."""
    record = inspect(read(RANCH))
    remarks = tuple(replace(r, use="information", why_set_aside="", into=()) for r in record.remarks)
    more = {
        **record.visit.more,
        "agreement": {"signed": datetime(2026, 6, 1, 12, tzinfo=UTC)},
        "visit": {"signature": "A. Wick"},
    }
    facts = replace(
        record.visit, licence="invented 0", client="Nora Quill", address="9 Marl Court, Elm Ford", more=more
    )
    return replace(
        record, visit=facts, remarks=remarks, findings=(), as_found=(), limitations=(), readings=(), checks=()
    )


def lost() -> dict[str, list[str]]:
    """Each sentence of the walk with the gaps that its silence leaves (lost.toml)."""
    lines = tomllib.loads((HERE / "lost.toml").read_text("utf-8"))["line"]
    return {line["said"]: line["lost"] for line in lines}


def put(scene: Scene, skipped: Sequence[str] = (), shuffled: Any = None) -> Record:
    """The clean record with a scene put into it, and everything owed worked out."""
    clean = base()
    cues = read(RANCH).walks[0].cues
    gone = [(c.start - 0.2, c.end) for c in cues if any(c.text.startswith(s) for s in skipped)]
    kept = [r for r in clean.remarks if not any(a <= r.start <= b for a, b in gone)]
    remarks, findings, readings = [*kept, *scene.remarks], list(scene.findings), list(scene.readings)
    found, limits, made = list(scene.found), list(scene.limits), list(scene.decisions)
    if shuffled is not None:
        for part in (remarks, findings, readings, found, limits, made):
            shuffled(part)
    facts = replace(clean.visit, **scene.facts)
    record = replace(
        clean, visit=facts, remarks=tuple(remarks), findings=tuple(findings), readings=tuple(readings),
        as_found=tuple(found), limitations=tuple(limits),
    )  # fmt: skip
    told = ledger(Told(facts, remarks, findings, readings, limits, numbers=DUTIES.law_numbers), TRADE, KNOWN)
    laws = KNOWN.chosen(facts.standards, facts.jurisdiction)
    return owed(record, told, Given(TRADE, KNOWN, DUTIES, laws, made, {WALK: 0.0}))
