"""The trade data as a whole: enough of it, cross-checked, plain, and complete in what a reader needs."""

from __future__ import annotations

import json
import re
from collections import Counter
from pathlib import Path

import pytest

from kingpost.trade.load import load, trade
from kingpost.trade.model import Condition
from kingpost.trade.reading import TradeError
from tests.reading import grade

TRADE = trade()
CONDITIONS = sorted(TRADE.conditions.values(), key=lambda c: c.id)
NEVER = re.compile(
    r"\b(safe|safely|urgent|urgently|immediate|immediately|appears|asap|major|minor|cosmetic|monitor it|qualified)\b",
    re.I,
)


def test_enough_is_known_of_every_system() -> None:
    conditions = Counter(TRADE.components[c.component].system for c in CONDITIONS)
    components = Counter(c.system for c in TRADE.components.values())
    assert len(TRADE.components) >= 130 and len(CONDITIONS) >= 450
    for system in TRADE.systems:
        assert conditions[system] >= 15 and components[system] >= 5, (system, conditions[system], components[system])


@pytest.mark.parametrize("c", CONDITIONS, ids=lambda c: c.id)
def test_a_condition_is_whole(c: Condition) -> None:
    """Described, how defective, what it means, what to do and who does it (11 NCAC 08 .1103 asks for the four)."""
    assert len(c.said) >= 6 and len({s.lower() for s in c.said}) == len(c.said)
    assert len(c.signs) >= 3
    assert all((c.title, c.saw, c.matters, c.do, c.who, c.at_stake))
    assert not c.title.endswith("."), "a title states a fact, without a full stop"
    for text in (c.title, c.saw, c.matters, c.do, *c.cautions):
        found = NEVER.search(text)
        assert not found, f"{c.id}: {found and found[0]!r} in {text!r}"


@pytest.mark.parametrize("c", CONDITIONS, ids=lambda c: c.id)
def test_a_condition_reads_at_grade_eight_or_lower(c: Condition) -> None:
    assert grade(f"{c.title}. {c.saw} {c.matters} {c.do}") <= 8.0


def test_all_faults_of_all_files_are_told_at_once(tmp_path: Path) -> None:
    (tmp_path / "conditions").mkdir()
    (tmp_path / "conditions/own.toml").write_text(
        '[[condition]]\nid = "Own One"\ncomponent = "nothing_known"\nfualt = "leaking"\ntitle = 7\n', "utf-8"
    )
    (tmp_path / "places.toml").write_text(
        '[[place]]\nid = "den"\nname = "den"\nlevel = "cellar"\nsaid = ["den"]\n', "utf-8"
    )
    with pytest.raises(TradeError) as told:
        load(tmp_path)
    said = [str(f) for f in told.value.faults]
    assert any(s.startswith('conditions/own.toml:4: unknown key "fualt"') for s in said)
    assert any(s.startswith("conditions/own.toml:5: title is 7; write text") for s in said)
    assert any('places.toml:4: level "cellar" is not known; write one of roof' in s for s in said)
    assert any("has no said" in s for s in said)


def test_a_firm_lays_its_own_over_ours(tmp_path: Path) -> None:
    first = CONDITIONS[0]
    (tmp_path / "conditions").mkdir()
    (tmp_path / "conditions/own.toml").write_text(
        f"""[[condition]]
id = "{first.id}"
component = "{first.component}"
fault = "{first.fault}"
title = "In our words"
said = {json.dumps(first.said)}
signs = {json.dumps(first.signs)}
saw = "Seen."
matters = "It matters."
do = "Mend it."
who = {json.dumps(first.who)}
standing = "deficiency"
when = "this_year"
at_stake = ["water"]
""",
        "utf-8",
    )
    over = load(tmp_path)
    assert over.conditions[first.id].title == "In our words"
    assert len(over.conditions) == len(TRADE.conditions)


def test_what_is_published_was_read_by_somebody() -> None:
    for s in TRADE.sources.values():
        assert s.basis != "published" or s.read or s.via, s.id
