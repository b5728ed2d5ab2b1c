"""Clauses that ask for words in the report, with the words that stand there, read as the reader sees them (HTML)."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from kingpost.tell.html import page
from kingpost.tell.pictures import Pictures
from kingpost.visit.record import Limitation

from .seeded import KNOWN, RANCH, TRADE, Scene, put
from .test_notice import STATUTE, words

TOILET = TRADE.conditions["toilet_loose"]
WHY_NOT = "The crawl space was too low to enter."

# clause -> words of the scene below; what the law says is in the clause files, in our own words
ASKED = {
    "nc.1103.b.3.B": (WHY_NOT,),  # what was not inspected, and why
    "nc.1103.b.3.D.#describe": ("toilet",),
    "nc.1103.b.3.D.#defect": (TOILET.saw,),
    "nc.1103.b.3.D.#implication": (TOILET.matters,),
    "nc.1103.b.3.D.#direction": (TOILET.do,),
    "nc.1103.b.3.E": ("invented 0", "Signed: A. Wick"),  # licence number, signature
    "nc.gs143-151-58.a1.2": (STATUTE,),
    "nc.gs143-151-58.a1.3": (TOILET.title,),
    "tx.535.222.b.1": ("invented 0",),
    "tx.535.222.b.2": ("9 Marl Court, Elm Ford",),
    "tx.535.222.b.3": ("Nora Quill",),
    "wa.16-228.2045.4.b": ("2026",),
    "wa.16-228.2045.4.c": ("Nora Quill",),
    "wa.16-228.2045.4.d": ("9 Marl Court, Elm Ford",),
}


@cache
def printed() -> str:
    """The page of a house with one deficiency and one limit."""
    scene = Scene()
    scene.find("toilet_loose", "interior, hall bathroom")
    r = scene.say(WHY_NOT, "crawl space", "limitation")
    scene.remarks[-1] = replace(r, into=("l1",))
    scene.limits.append(Limitation("l1", WHY_NOT, "crawl space", ({"remark": r.id},), "", WHY_NOT, "crawl space"))
    return words(page(put(scene), TRADE, Pictures(RANCH)))


@pytest.mark.parametrize("clause", ASKED)
def test_the_words_that_a_clause_asks_for_stand_in_the_report(clause: str) -> None:
    assert clause in KNOWN.clauses
    missing = [w for w in ASKED[clause] if w.lower().rstrip(".") not in printed().lower()]
    assert not missing
