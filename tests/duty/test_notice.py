"""Words that a law orders to be printed stand in the report as they are, read beside the statute."""

from __future__ import annotations

import re
from dataclasses import replace
from html import unescape

import pytest

from kingpost.duty.permits import permit
from kingpost.inspection import inspect
from kingpost.tell.html import page
from kingpost.tell.pictures import Pictures
from kingpost.trade.standards import homeless
from kingpost.visit import read

from .seeded import KNOWN, RANCH, REPORTED, TRADE, Scene, put

# N.C.G.S. 143-151.58(a1): "The summary page must contain the following statement", as two mirrors of the statute and
# the page of the department of insurance give it.
STATUTE = (
    "This summary page is not the entire report. The complete report may include additional information of interest or "
    "concern to you. It is strongly recommended that you promptly read the complete report. For information regarding "
    "the negotiability of any item in this report under the real estate purchase contract, contact your North Carolina "
    "real estate agent or an attorney."
)


def words(html: str) -> str:
    """What a reader sees of a page."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", html)).replace("\u00a0", " ").split())


@pytest.mark.parametrize("found", [True, False])
def test_north_carolina_prints_the_statutes_own_notice(found: bool) -> None:
    scene = Scene()
    for condition, place in REPORTED if found else ():
        scene.find(condition, place)
    printed = words(page(put(scene), TRADE, Pictures(RANCH)))
    assert STATUTE in printed and "N.C.G.S. 143-151.58(a1)" in printed


def test_another_state_does_not() -> None:
    visit = read(RANCH)
    made = inspect(replace(visit, facts=replace(visit.facts, jurisdiction="us-wa", standards=())))
    assert made.coverage["notices"] == [] and STATUTE not in words(page(made, TRADE, Pictures(RANCH)))


def test_no_notice_is_printed_from_memory() -> None:
    held = [c for c in KNOWN.clauses.values() if c.notice]
    assert held and all(c.basis == "text" and not homeless(c) for c in held)
    assert homeless(replace(held[0], basis="memory"))


@pytest.mark.parametrize(("filled", "asked"), [(False, 1), (True, 0)])
def test_texas_own_form_is_another_document_and_preflight_says_so(filled: bool, asked: int) -> None:
    """22 TAC 535.223 (from memory): the commission's own form. Advised and unverified, so it does not block."""
    scene = Scene(facts={"standards": ("us-tx",)})
    scene.facts["more"] = {"visit": {"signature": "A. Wick", **({"own_form": True} if filled else {})}}
    said = [m for m in put(scene).owed.matters if "own report form" in m.says]
    assert len(said) == asked and all(m.kind == "advised" and not m.blocks and m.unverified for m in said)


def test_a_ground_of_another_licence_permits_nothing() -> None:
    """WAC 16-228-2035 lets a wood-destroying-organism inspection stay off; a home inspection it does not."""
    laws = KNOWN.chosen(("us-wa",), None)
    for reason in ("weather", "unsafe"):
        clause = permit(reason, frozenset(), "roof", laws, KNOWN)
        assert clause is None or not clause.only_if
