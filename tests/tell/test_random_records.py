"""Random records: no finding lost, no dead link, no number that the record lacks, in report and extracts."""

from __future__ import annotations

import html as entities
import re
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kingpost.tell import html
from kingpost.tell.extracts import extract, reader
from kingpost.tell.extracts.asked import trades
from kingpost.tell.extracts.pages import Whole
from kingpost.tell.index import Index
from kingpost.tell.pictures import Pictures
from kingpost.tell.record_json import dump
from kingpost.trade.load import trade
from kingpost.trade.model import STAKES, STANDINGS, WHENS
from kingpost.visit.facts import Facts
from kingpost.visit.record import Finding, Narrative, Reading, Record, Remark

# So that a failure shows itself and not the size of the record that failed.
pytestmark = pytest.mark.filterwarnings("ignore:Generating overly large repr")

TRADE = trade()
PLACES, COMPONENTS, PEOPLE = sorted(TRADE.places), sorted(TRADE.components), sorted(TRADE.people)
WORDS = (
    "rot",
    "flashing",
    "leans",
    "Donaudampfschifffahrtselektrizitaetenhauptbetriebswerk",
    "<b>&",
    "3.5 in",
    "1/2 in",
)
SLOW = settings(max_examples=10, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])

said = st.lists(st.sampled_from([*WORDS, "17 gal", "208 V", "0.02"]), min_size=1, max_size=7).map(" ".join)
facts = st.one_of(
    st.just(Facts()),
    st.builds(
        Facts,
        form=st.sampled_from(["", "ranch", "split-level", "brick row house", "yurt of moonstone"]),
        built=st.none() | st.integers(1700, 2026),
        storeys=st.none() | st.sampled_from([1, 1.5, 2, 3]),
        foundation=st.sampled_from(["", "slab", "full basement", "rock"]),
    ),
)


@st.composite
def records(pick: st.DrawFn) -> Record:
    count = pick(st.sampled_from([0, 1, 3, 9, 40, 200]))
    places = [pick(st.sampled_from(PLACES))] if pick(st.booleans()) else PLACES  # one level, or all of them
    words = [pick(said) for _ in range(4)]
    findings, remarks, readings = [], [], []
    for n in range(count):
        text = words[n % 4]
        findings.append(
            Finding(
                *(f"f{n}", "", text, "", COMPONENTS[n * 13 % len(COMPONENTS)], places[n * 7 % len(places)]),
                standing=STANDINGS[n % len(STANDINGS)],
                when=WHENS[n % len(WHENS)],
                at_stake=(STAKES[n % len(STAKES)],) if n % 5 else (),
                narrative=Narrative(f"{text} {n}", text if n % 3 else "", f"Mend {text}", "", ""),
                readings=(f"q{n}",) if not n % 4 else (),
                evidence=({"remark": f"r{n}"},) if n % 6 else (),
                state="ink" if n % 2 else "pencil",
                people=(PEOPLE[n % len(PEOPLE)],) if n % 7 else (),
            )
        )
        remarks.append(
            Remark(f"r{n}", "walk/a.vtt", 10.0 * n, 10.0 * n + 5, text, places[0], "finding", into=(f"f{n}",))
        )
        readings.append(
            Reading(f"q{n}", "height", 4.5 + n, "in", 0.05, places[0], "stair", row=f"readings.csv:{n + 2}")
        )
    return Record("0.1.0", pick(facts), tuple(remarks), tuple(readings), tuple(findings))


def whole(record: Record) -> Whole:
    pictures = Pictures(Path("nowhere"))
    return Whole(record, TRADE, pictures, html.page(record, TRADE, pictures), False)


def links(page: str) -> tuple[set[str], list[str]]:
    """Targets of links within the page, and all ids; what a script may write later is not on the page."""
    page = re.sub(r"<(script|style)\b.*?</\1>", "", page, flags=re.DOTALL)
    return set(re.findall(r'href="#([^"]+)"', page)), re.findall(r'\sid="([^"]+)"', page)


def text_of(page: str) -> str:
    bare = re.sub(r"<(style|svg|script)\b.*?</\1>", " ", page, flags=re.DOTALL)
    return entities.unescape(re.sub(r"<[^>]+>", " ", bare))


def numbers(text: str) -> set[str]:
    """Numbers as written, without times of day and the ends of ranges of time."""
    clean = re.sub(r"\d+:\d\d(:\d\d)?", " ", text.replace("\u00a0", " "))
    return {n.replace(",", "").rstrip(".") for n in re.findall(r"\d[\d,]*(?:\.\d+)?", clean)}


def pages(made: Whole) -> dict[str, str]:
    index = Index(made.record, made.trade)
    asked = ["buyer", "agent", "inspector", *(f"trade:{t}" for t in list(trades(index))[:2])]
    paper = html.page(made.record, made.trade, made.pictures, on_paper=True)
    return {"report": made.page, "paper": paper} | {who: extract(made, reader(who, index)) for who in asked}


@SLOW
@given(record=records())
def test_no_finding_is_lost_and_no_link_is_dead(record: Record) -> None:
    made = whole(record)
    index = Index(record, TRADE)
    told = pages(made)
    for who, page in told.items():
        targets, ids = links(page)
        assert targets <= set(ids), f"{who}: dead links {sorted(targets - set(ids))[:3]}"
        assert len(ids) == len(set(ids)), f"{who}: an id stands twice"
    for who in ("report", "paper", "agent", "inspector"):
        assert {f.id for f in record.findings} <= set(links(told[who])[1]), who
    for person in list(trades(index))[:2]:
        mine = {f.id for f in record.findings if person in f.people}
        assert mine <= set(links(told[f"trade:{person}"])[1]), person


@SLOW
@given(record=records())
def test_every_number_in_the_report_is_in_the_record(record: Record) -> None:
    """A count, a number of a finding and twice an uncertainty are made of the record; nothing else is new."""
    made = whole(record)
    in_record = numbers(dump(record).decode())
    counts = {str(n) for n in range(max(len(record.findings), len(record.readings)) + 1)}
    doubled = {f"{2 * q.uncertainty:g}" for q in record.readings if q.uncertainty}
    articles = " ".join(re.findall(r"<article\b.*?</article>", made.page, flags=re.DOTALL))
    assert numbers(text_of(articles)) <= in_record | counts | doubled
    for who, page in pages(made).items():
        cut = page.partition("<main")[2].partition('id="sheet-evidence"')[0]
        report = numbers(text_of(made.page))
        assert numbers(text_of(cut)) <= report | in_record | counts, who


@SLOW
@given(record=records())
def test_numbers_of_findings_are_the_same_in_all(record: Record) -> None:
    made, index = whole(record), Index(record, TRADE)
    for who, page in pages(made).items():
        for kind in ("tr", "article"):
            for found, body in re.findall(rf'<{kind}\b[^>]*\sid="(f\d+)"[^>]*>(.*?)</{kind}>', page, flags=re.DOTALL):
                mark = re.search(r'class="mk[^>]*>\s*<span class="vh">[^<]*</span>(\d+)', body)
                if mark:
                    assert int(mark[1]) == index.number[found], who
