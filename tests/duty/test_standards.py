"""The laws as data: whole against the files they were made from, every clause with a home, memory never cited."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from pathlib import Path

import pytest

from kingpost.duty import docs
from kingpost.trade.load import trade
from kingpost.trade.reading import TradeError
from kingpost.trade.standards import Clause, homeless, load_standards, standards

KNOWN = standards()
CLAUSES = list(KNOWN.clauses.values())
NC, TX, WA, NY = "us-nc-11ncac08-1100", "us-tx-22tac535", "us-wa-wac308-408c", "us-ny-19nycrr197-5"

# Counts by duty as the table "Counts" of the README of the clause files gives them (made apart from this code).
COUNTED = {
    "inspect": (8, 38, 64, 20),
    "describe": (21, 21, 27, 4),
    "report_condition": (14, 15, 13, 4),
    "report_deficiency": (228, 31, 6, 2),
    "operate": (3, 10, 16, 0),
    "measure": (2, 2, 0, 0),
    "notify": (4, 9, 7, 2),
    "not_required": (133, 104, 85, 32),
}


def test_no_duty_was_lost_on_the_way_into_the_data() -> None:
    for duty, counts in COUNTED.items():
        found = Counter(c.standard for c in CLAUSES if c.duty == duty)
        assert tuple(found[s] for s in (TX, WA, NC, NY)) == counts, duty
    # the files they were made from: WA 110 from memory; 90 of those were read since, as quoted by section
    assert Counter(c.standard for c in CLAUSES if c.unverified) == {TX: 261, WA: 20, NC: 13}
    assert len(KNOWN.switches) == 28


@pytest.mark.parametrize("c", CLAUSES, ids=lambda c: c.key)
def test_a_clause_has_a_home(c: Clause) -> None:
    assert homeless(c) == []
    for part in c.parts:
        assert KNOWN.parts[part].components or KNOWN.parts[part].said, f"{part} can never be heard"


def test_a_clause_without_a_home_is_refused_with_its_line(tmp_path: Path) -> None:
    (tmp_path / "standards/clauses").mkdir(parents=True)
    (tmp_path / "standards/clauses/own.toml").write_text(
        '[[clause]]\nkey = "own.1"\nstandard = "us-nc-11ncac08-1100"\nsystem = "roof"\nabout = "moss"\n'
        'duty = "inspect"\nsays = "Look for moss."\nhome = "house"\nbasis = "firm"\n'
        '[[clause]]\nkey = "own.2"\nstandard = "us-xx"\nsystem = "roof"\nabout = "moss"\nduty = "inspect"\n'
        'says = "Look."\nhome = "house"\nparts = ["roof_cove"]\nbasis = "firm"\n',
        "utf-8",
    )
    with pytest.raises(TradeError) as told:
        load_standards(tmp_path)
    said = [str(f) for f in told.value.faults]
    assert any('own.toml:1: clause "own.1" is about the house but names no part' in s for s in said), said
    assert any('standard "us-xx" is not known' in s for s in said)
    assert any('part "roof_cove" is not known; did you mean roof_cover?' in s for s in said)


def test_every_way_of_losing_a_home_is_seen() -> None:
    good = KNOWN.clauses["nc.1108.a.1"]
    away = KNOWN.clauses["nc.1103.b.1"]
    exempt = KNOWN.clauses["nc.1108.c.1"]
    assert homeless(replace(good, parts=()))
    assert homeless(replace(good, home="exempts"))
    assert homeless(replace(good, citation=""))
    assert homeless(replace(away, parts=("roof_cover",)))
    assert homeless(replace(exempt, reason=""))


def test_what_is_not_about_the_house_is_paper_or_practice() -> None:
    """North Carolina, read nearly whole: contract, report and summary, delivery, scope; nothing else is outside."""
    away = {c.key for c in KNOWN.of(NC) if c.home in ("report", "agreement", "practice")}
    prefixes = ("nc.1103.", "nc.gs143-151-58.", "nc.1104.m1", "nc.1101.9")
    assert away and all(k.startswith(prefixes) for k in away), away
    assert {c.home for c in KNOWN.of(NC)} == {"house", "exempts", "report", "agreement", "practice"}


def test_numbers_of_the_law_are_carried() -> None:
    """11 NCAC 08 .1110(a)(6), (7): six feet; G.S. 143-151.58(a): three days; 22 TAC 535.228(a)(2)(A): 18 in."""
    clauses = KNOWN.clauses
    assert clauses["nc.1110.a.6"].measure["value"] == clauses["nc.1110.a.7"].measure["value"] == 6
    assert clauses["nc.gs143-151-58.a.2"].measure["value"] == 3
    assert clauses["tx.535.228.a.2.A.#headroom"].measure["value"] == 18


def test_which_standards_apply() -> None:
    assert [s.id for s in KNOWN.chosen((), "us-nc")] == [NC]
    assert [s.id for s in KNOWN.chosen((), "US-NC")] == [NC]
    assert [s.id for s in KNOWN.chosen(("us-tx", NC), "us-wa")] == [TX, NC]
    assert KNOWN.chosen((), None) == [] and KNOWN.chosen((), "us-mt") == []
    assert KNOWN.unknown(("us-nc", NC, "us-zz")) == ["us-zz"]


def test_a_firm_lays_a_stricter_list_over_the_law(tmp_path: Path) -> None:
    """The example of docs/standards.md, word for word."""
    example = docs.HEAD.split("```toml\n")[1].split("```")[0]
    laws, clauses = example.split("# standards/clauses/our-firm.toml\n")
    (tmp_path / "standards/clauses").mkdir(parents=True)
    (tmp_path / "standards/laws.toml").write_text(laws, "utf-8")
    (tmp_path / "standards/clauses/our-firm.toml").write_text(clauses, "utf-8")
    firm = load_standards(tmp_path)
    assert [s.id for s in firm.chosen((), "us-nc")] == [NC, "our-firm"]
    assert {c.key for c in firm.of("our-firm")} == {"firm.windows", "firm.twice"}
    assert len(firm.of(NC)) == len(KNOWN.of(NC))


def test_switches_answer_by_state() -> None:
    """11 NCAC 08 .1105(a)(9) leaves pests out; WAC 308-408C-070(1) asks for rot and pest-conducive conditions."""
    nc, wa = KNOWN.answer("rot_and_pests", "us-nc"), KNOWN.answer("rot_and_pests", "us-wa")
    assert nc and wa and (nc.value, wa.value) == ("not_required", "required")
    assert KNOWN.answer("rot_and_pests", "us-zz") is None and KNOWN.answer("nothing", "us-nc") is None


def test_parts_hold_known_components_and_most_components_belong_to_one() -> None:
    held = {c for p in KNOWN.parts.values() for c in p.components}
    loose = set(trade().components) - held
    assert len(loose) <= 0.15 * len(trade().components), sorted(loose)


def test_the_page_in_docs_is_fresh() -> None:
    text = (Path(__file__).parents[2] / "docs/standards.md").read_text("utf-8")
    assert text == docs.page(KNOWN), "run python -m kingpost.duty.docs"
    assert all(f"`{c.key}`" in text for c in CLAUSES)
