"""What the phone takes along: every word of it is the trade's; the verdict is the report's."""

from __future__ import annotations

import json
import subprocess
import sys
import zipfile
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import BrowserContext

from kingpost.desk import kit
from kingpost.duty.evidence import ticks
from kingpost.judge import typed
from kingpost.judge.evidence import bound, from_rows
from kingpost.judge.run import run
from kingpost.tell import held
from kingpost.tell.rule import Scale
from kingpost.trade.load import trade
from kingpost.trade.standards import standards
from kingpost.visit.facts import Decision, Facts, Row

from .conftest import begin, settled, until
from .little_server import Holder

TYPED = {"moisture_content": 26.0, "riser_height": 8.5, "hot_water_temperature": 137.0, "water_pressure": 95.0}


def rows() -> list[dict[str, Any]]:
    known = {r["quantity"]: r for r in kit.general()["readings"]}
    named = {"unit": "unit", "uncertainty": "doubt", "component": "component"}
    return [
        {"quantity": q, "value": v, "place": "", **{ours: known[q][theirs] for ours, theirs in named.items()}}
        for q, v in TYPED.items()
    ]


@pytest.mark.parametrize("row", rows(), ids=list(TYPED))
def test_a_typed_reading_is_judged_as_a_row_of_readings_csv(row: dict[str, Any], facts: Facts) -> None:
    """The long way of the report, and the short one of the phone: the same sentence, source and verdict."""
    known = trade()
    written = Row(
        "readings.csv", 2, 0.0, "", known.components[row["component"]].name, row["quantity"], row["value"], row["unit"]
    )
    found, odd = from_rows([written], known)
    assert not odd
    report = {c.check: c for c in run(bound(found, known), facts, known)}
    given = {
        "built": facts.built,
        "jurisdiction": facts.jurisdiction,
        "alterations": [{"what": a.what, "year": a.year} for a in facts.alterations],
    }
    phone = {c.check: c for c in typed.checks_of([row], given)}
    assert phone, "no check takes it"
    assert phone.keys() == report.keys()
    for name, check in phone.items():
        same = ("verdict", "says", "sources", "computed", "required", "held_against", "by_its_date", "caution")
        assert [getattr(check, f) for f in same] == [getattr(report[name], f) for f in same]


def test_a_typed_reading_that_nobody_can_tell_is_drawn_with_its_doubt(facts: Facts) -> None:
    """At the limit of 8 1/4 in, taken with a tape: the rule shows the whisker over the limit."""
    row = {
        "quantity": "riser_height",
        "value": 8.25,
        "unit": "in",
        "uncertainty": 0.0625,
        "component": "interior_stairs",
        "place": "",
    }
    found = typed.checks_of([row], kit.house(facts)["facts"])[0]
    shown = held.on_rule(found)
    assert found.verdict == "cannot_tell"
    assert isinstance(shown, Scale)
    assert (shown.value, shown.doubt) == (8.25, 0.125)


def test_most_quick_readings_are_judged() -> None:
    for one in kit.general()["readings"]:
        assert one["quantity"] in trade().quantities
        assert not one["component"] or one["component"] in trade().components
        assert one["name"][0].isupper()


def test_ticks_of_the_phone_are_taken(facts: Facts) -> None:
    """Every subject that the field screen can tick is one that the ledger knows."""
    todo = kit.house(facts)["todo"]
    assert len(todo) > 40
    made = [Decision(f"d.{n}", t["subject"], "tick", "2026-05-12T09:00:00-05:00") for n, t in enumerate(todo)]
    found, _, odd = ticks(made, trade(), standards())
    assert not odd
    assert {t.id for t in found} <= {d.id for d in made}


def test_every_place_lies_on_the_drawing(facts: Facts) -> None:
    made = kit.house(facts)
    for place in made["places"]:
        assert all(-0.1 <= share <= 1.1 for share in place.get("at", [0.5])), place


def test_what_is_asked_for_is_asked_at_some_place(facts: Facts) -> None:
    """By the rule of `todo` in web/src/field/app.ts; what is of no place is asked of the whole house."""
    made = kit.house(facts)
    names = {name for p in made["places"] for name in (p["place"], p["key"], p["level"])}
    assert {t["place"] for t in made["todo"] if t["place"]} <= names
    assert any(t["place"] == "right side" for t in made["todo"])


def test_core_runs_by_itself(tmp_path: Path) -> None:
    """The zip on a bare Python: no package beside the standard library, nothing of this one but what is packed."""
    packed = tmp_path / "core.zip"
    packed.write_bytes(kit.core())
    zipfile.ZipFile(packed).extractall(tmp_path / "core")
    asked = json.dumps({"facts": {"built": 1964}, "readings": [rows()[1]]})
    code = f"import sys; sys.path.insert(0, {str(tmp_path / 'core')!r})\n"
    code += "from kingpost.judge import typed; print(typed.answer(sys.argv[1]))"
    done = subprocess.run([sys.executable, "-I", "-S", "-c", code, asked], capture_output=True, text=True, timeout=120)
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout) == json.loads(typed.answer(asked))
    assert kit.core() == packed.read_bytes()


def test_verdict_without_a_network_is_the_packages(phone: BrowserContext, holder: Holder) -> None:
    page = begin(phone, holder.base)
    settled(page)
    until(page, "async () => !!(await (await caches.open('kingpost-core')).match('/core.zip'))")
    phone.set_offline(True)
    page.reload()
    page.locator(".keys").wait_for()
    for name in ("Reading", "Stair riser", "8", ".", "5"):
        page.get_by_role("button", name=name, exact=name != "Stair riser").click()
    page.locator(".verd b").wait_for(timeout=120_000)
    ours = typed.checks_of([rows()[1]], {"built": 1964, "jurisdiction": "us-nc"})[0]
    word = {"falls_short": "Falls short", "meets": "Meets", "cannot_tell": "Cannot tell"}[ours.verdict]
    assert page.locator(".verd b").inner_text() == word
    page.locator(".why").click()
    shown = page.locator(".know").inner_text()
    assert ours.says in shown
    assert ours.held_against in shown
