"""Every clause that asks for words in the report: they stand there, on the page and on paper, or the reason why not.

One invented house reported by the standards of four states at once. A clause asks for words where its home is the
report, or where it wants the house described, measured or somebody told (`asks`, by the clause files): each such clause
is in ASKED, is told of the house (`described`), or is in NOT_HERE with its reason; a new one fails until it is.
"""

from __future__ import annotations

import subprocess
from dataclasses import replace
from functools import cache

import pytest

from kingpost.duty.ledger import Told, as_record, ledger
from kingpost.tell.html import page
from kingpost.tell.pictures import Pictures
from kingpost.tell.write import write
from kingpost.trade.standards import Clause
from kingpost.visit.record import Limitation, Record

from .seeded import DUTIES, KNOWN, RANCH, TRADE, Scene, put
from .test_notice import STATUTE, words

STATES = ("us-nc", "us-tx", "us-wa", "us-ny")
TOILET = TRADE.conditions["toilet_loose"]
GFCI, TUBES = TRADE.conditions["gfci_missing_kitchen"], TRADE.conditions["termite_tubes"]
WHY_NOT = "The crawl space was too low to enter."
ADDRESS = "9 Marl Court, Elm Ford"
OTHER_LICENCE = "is of a wood-destroying-organism inspection, another licence; these reports make none"

# clause -> words of the scene below; what the law says is in the clause files, in our own words
ASKED = {
    "nc.1103.b.3.A": ("Described, in the inspector’s words",),  # each description by itself: the test below
    "nc.1103.b.3.B": (WHY_NOT,),  # what was not inspected, and why
    "nc.1103.b.3.C": (TOILET.title,),
    "nc.1103.b.3.D.#describe": ("toilet",),
    "nc.1103.b.3.D.#defect": (TOILET.saw,),
    "nc.1103.b.3.D.#implication": (TOILET.matters,),
    "nc.1103.b.3.D.#direction": (TOILET.do,),
    "nc.1103.b.3.E": ("invented 0", "Signed: A. Wick"),  # licence number, signature
    "nc.1103.b.4": (STATUTE, TOILET.title),
    "nc.gs143-151-58.a1.1": (STATUTE, TOILET.title),
    "nc.gs143-151-58.a1.2": (STATUTE,),
    "nc.gs143-151-58.a1.3": (TOILET.title,),
    "nc.gs143-151-58.a1.4": (TUBES.title, "A licensed pest control operator"),
    "nc.1114.b.2": (TRADE.conditions["attic_insulation_missing"].title,),
    "ny.197-4.6.a": (TOILET.title,),
    "ny.197-4.6.c.#observed": ("What was looked at", "The standard of practice asks for"),
    "tx.535.222.a": (TOILET.title,),
    "tx.535.222.b.1": ("invented 0",),
    "tx.535.222.b.2": (ADDRESS,),
    "tx.535.222.b.3": ("Nora Quill",),
    "tx.535.231.a.1.A.iii": ("62 psi",),  # static pressure, as measured
    "wa.408C.070.1.i10": ("licensed pest control operator",),
    "wa.408C.100.1.m7": ("118 °F", "generally accepted safe temperature", "120 °F"),
    "wa.408C.110.1.d.#statement": ("can be dangerous", "licensed electrician"),
    "wa.408C.110.1.g": (GFCI.do,),
    "wa.408C.130.1.m3": ("18 °F",),  # the difference of the cooling
}
NOT_HERE = {
    "nc.gs143-151-58.a.1": "a day by which the report is given, not words in it",
    "nc.gs143-151-58.a.2": "a day by which the report is given, not words in it",
    "nc.gs143-151-58.a2.1": "only where a defect is written up as a code violation, which these reports never do",
    "ny.197-4.6.b": "a ban on false statements: nothing to print",
    "ny.197-4.6.c.#partial": "only for a report on less than the minimum; the squares say what is not shown to be done",
    "tx.535.222.a.1": "a day by which the report is given, not words in it",
    "tx.535.222.a.2": "a day by which the report is given, not words in it",
    "wa.408C.020.3": "conduct: nothing to print",
    "wa.408C.020.4": "conduct: nothing to print",
    "wa.408C.020.5": "conduct: nothing to print",
    "wa.16-228.2035.3.b": OTHER_LICENCE,
    "wa.16-228.2035.3.c": OTHER_LICENCE,
    "wa.16-228.2045.4.a": OTHER_LICENCE,
    "wa.16-228.2045.4.b": OTHER_LICENCE,
    "wa.16-228.2045.4.c": OTHER_LICENCE,
    "wa.16-228.2045.4.d": OTHER_LICENCE,
}
SAID = (  # what the ranch's walk leaves out and a law of another state wants told
    ("Gas shutoff is at the meter.", "exterior, left side"),
    ("Water meter is at the street.", "exterior, front"),
    ("Fireplace is brick, damper opens and shuts.", "interior, living room"),
)


def asks(c: Clause) -> bool:
    """Whether a clause asks for words in the report, by its data alone."""
    tells = c.duty in ("describe", "measure", "notify") or bool(c.notice or c.states)
    return c.home == "report" or (c.home == "house" and tells)


@cache
def record() -> Record:
    """The house with some deficiencies, a limit and readings, and its coverage by four laws."""
    scene = Scene(facts={"standards": STATES})
    scene.find("toilet_loose", "interior, hall bathroom")
    scene.find("gfci_missing_kitchen", "interior, kitchen")
    scene.find("aluminum_branch_wiring", "garage")
    scene.find("termite_tubes", "crawl space")
    scene.find("attic_insulation_missing", "attic")
    scene.read("water_pressure", 62.0, "water_pressure", "exterior, front")
    scene.read("hot_water_temperature", 118.0, "water_heater", "garage")
    scene.read("temperature_split", 18.0, "air_conditioner", "interior, hall")
    for text, place in SAID:
        scene.say(text, place)
    r = scene.say(WHY_NOT, "crawl space", "limitation")
    scene.remarks[-1] = replace(r, into=("l1",))
    scene.limits.append(Limitation("l1", WHY_NOT, "crawl space", ({"remark": r.id},), "", WHY_NOT, "crawl space"))
    made = put(scene)
    told = Told(made.visit, made.remarks, made.findings, made.readings, made.limitations, numbers=DUTIES.law_numbers)
    return replace(made, coverage=as_record(ledger(told, TRADE, KNOWN)))


@cache
def printed() -> str:
    """The page as its reader sees it."""
    return words(page(record(), TRADE, Pictures(RANCH))).lower()


@pytest.fixture(scope="module")
def sheets(tmp_path_factory: pytest.TempPathFactory) -> list[str]:
    """The words of each sheet of the PDF of the same report."""
    out = tmp_path_factory.mktemp("law")
    write(record(), RANCH, out)
    made = subprocess.run(["pdftotext", str(out / "report.pdf"), "-"], check=True, capture_output=True)
    return [" ".join(s.replace("\u00a0", " ").split()).lower() for s in made.stdout.decode().split("\f") if s.strip()]


def lacking(text: str, wanted: tuple[str, ...]) -> list[str]:
    return [w for w in wanted if w.lower().replace("'", "’").rstrip(".") not in text.replace("'", "’")]


@pytest.mark.parametrize("clause", ASKED)
def test_the_words_that_a_clause_asks_for_stand_on_the_page_and_on_paper(clause: str, sheets: list[str]) -> None:
    assert clause in KNOWN.clauses and not KNOWN.clauses[clause].unverified
    assert lacking(printed(), ASKED[clause]) == []
    assert lacking(" ".join(sheets), ASKED[clause]) == []


def test_each_sheet_carries_the_address(sheets: list[str]) -> None:
    """22 TAC 535.222(b)(2): the address on each page of the report."""
    assert [n for n, sheet in enumerate(sheets, 1) if ADDRESS.lower() not in sheet] == []


def test_all_that_is_described_stands_on_the_page_and_on_paper(sheets: list[str]) -> None:
    for one in record().coverage["described"]:
        wanted = (*one["said"], one["fact"] or one["place"])
        assert lacking(printed(), wanted) == [] and lacking(" ".join(sheets), wanted) == [], one["clauses"]


def test_every_clause_that_asks_for_words_is_tried_or_has_its_reason() -> None:
    told = {key for one in record().coverage["described"] for key in one["clauses"]}
    asked = {c.key for c in KNOWN.clauses.values() if asks(c) and not c.unverified}
    assert not set(ASKED) & set(NOT_HERE) and set(NOT_HERE) <= asked
    assert sorted(asked - told - set(ASKED) - set(NOT_HERE)) == []
    assert {c.standard for c in KNOWN.clauses.values() if c.key in {*ASKED, *told}} == set(KNOWN.laws)


def test_the_law_of_another_state_is_not_stated() -> None:
    made = record()
    told = Told(replace(made.visit, standards=("us-nc",)), made.remarks, made.findings)
    assert as_record(ledger(told, TRADE, KNOWN))["statements"] == []
