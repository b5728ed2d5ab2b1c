"""The sample visit cut to 5, 15 and 50 findings: pages, checkers, print from the browser, no word over another.

Two open checkers look at each PDF: pdfua for what PDF/UA-1 asks (ISO 14289-1, by machine), qpdf for the syntax of the
file (ISO 32000). veraPDF is not among the tools that this project installs.
"""

from __future__ import annotations

import re
import subprocess
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pdfua
import pikepdf
import pytest
from axe_playwright_python.sync_playwright import Axe
from bench.cuts import SAMPLE, cut

from kingpost.tell import write
from kingpost.visit.record import Record

from .test_html import WCAG, Page, words
from .test_sheets import sample

PAGES = {5: 9, 15: 11, 50: 29}  # fifteen under twelve, fifty under thirty, with the evidence of the whole sample
HIDDEN = {"Finding", "Number", "People", "Structure", "Water", "Equipment", "Comfort"}  # words beside glyphs and marks


@dataclass(frozen=True)
class Cut:
    """One written report."""

    count: int
    record: Record
    out: Path

    @property
    def pdf(self) -> Path:
        return self.out / "report.pdf"


@pytest.fixture(scope="module", params=sorted(PAGES), ids=lambda n: f"{n} findings")
def made(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Cut]:
    record, out = cut(sample()[0], request.param), tmp_path_factory.mktemp(f"cut{request.param}")
    write(record, SAMPLE, out)
    yield Cut(request.param, record, out)


def flat(text: str) -> str:
    """Spaces levelled, hyphens of line ends and quotes as they were typed."""
    return re.sub(r"\s+", " ", text.replace("\u00a0", " ").replace("’", "'"))


def in_pdf(path: Path) -> str:
    done = subprocess.run(["pdftotext", str(path), "-"], check=True, capture_output=True)
    return flat(done.stdout.decode())


def boxes(path: Path) -> Iterator[list[tuple[float, float, float, float, str]]]:
    """Words of each page with their boxes, in points; words that stand for a glyph are left out."""
    done = subprocess.run(["pdftotext", "-bbox", str(path), "-"], check=True, capture_output=True).stdout.decode()
    word = r'<word xMin="([\d.-]+)" yMin="([\d.-]+)" xMax="([\d.-]+)" yMax="([\d.-]+)">(.*?)</word>'
    for page in done.split("<page ")[1:]:
        found = [(float(a), float(b), float(c), float(d), text) for a, b, c, d, text in re.findall(word, page)]
        yield sorted((w for w in found if w[4].strip(",") not in HIDDEN), key=lambda w: w[1])


def over(a: tuple[float, float, float, float, str], b: tuple[float, float, float, float, str]) -> bool:
    """Whether a third of the smaller word lies under the other."""
    wide, high = min(a[2], b[2]) - max(a[0], b[0]), min(a[3], b[3]) - max(a[1], b[1])
    least = min((w[2] - w[0]) * (w[3] - w[1]) for w in (a, b))
    return wide > 1.5 and high > 0 and wide * high > 0.35 * least


def test_the_pages_are_few(made: Cut) -> None:
    with pikepdf.open(made.pdf) as opened:
        assert len(opened.pages) <= PAGES[made.count]


def test_the_answer_holds_one_sheet(made: Cut) -> None:
    done = subprocess.run(["pdftotext", "-l", "2", str(made.pdf), "-"], check=True, capture_output=True).stdout.decode()
    first, second, _ = done.split("\f")
    for heading in ("What is wrong that matters", "Settle before closing", "Not seen", "Behind this"):
        assert heading in first
    assert second.startswith("Every finding")


def test_no_sheet_is_empty_and_none_is_there_twice(made: Cut) -> None:
    """A float that does not fit a column once made the engine skip a page and print the sheets after it twice."""
    done = subprocess.run(["pdftotext", str(made.pdf), "-"], check=True, capture_output=True).stdout.decode()
    assert all(len(page.split()) > 30 for page in done.split("\f")[:-1])
    for sheet in ("Left as found\n", "Where the requirements come from", "Appendix: nothing said is lost"):
        assert done.count(sheet) == 1, sheet


def test_two_open_checkers_find_no_error_in_the_pdf(made: Cut) -> None:
    assert [f.message for f in pdfua.validate(str(made.pdf)).findings if f.severity.name == "ERROR"] == []
    with pikepdf.open(made.pdf) as opened:
        assert opened.check_pdf_syntax() == []


@pytest.mark.parametrize("width", [1200, 320])
def test_axe_finds_nothing_and_nothing_scrolls_sideways(browser: Any, made: Cut, width: int) -> None:
    page = browser.new_page(viewport={"width": width, "height": 900})
    page.goto((made.out / "report.html").as_uri())
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    found = Axe().run(page, options={"runOnly": {"type": "tag", "values": WCAG}})
    assert found.response["violations"] == []
    page.close()


def test_every_link_of_the_page_leads_somewhere(made: Cut) -> None:
    page = Page((made.out / "report.html").read_text(encoding="utf-8"))
    assert {link[1:] for link in page.links} <= set(page.ids)


def test_print_from_the_browser_is_equal_in_content(browser: Any, made: Cut, tmp_path: Path) -> None:
    page = browser.new_page()
    page.goto((made.out / "report.html").as_uri())
    page.pdf(path=str(tmp_path / "printed.pdf"), prefer_css_page_size=True, print_background=True)
    page.close()
    printed, ours = in_pdf(tmp_path / "printed.pdf"), in_pdf(made.pdf)
    html = (made.out / "report.html").read_text(encoding="utf-8")
    titles = re.findall(r'<h3 id="t-[^"]+"><span class="mk.*?</h3>', html, re.DOTALL)
    assert len(titles) >= made.count - len(re.findall(r'<ol class="also"', html)) * 4
    for one in titles:
        number, _, title = flat(words(one).replace("Finding ", "")).strip().partition(" ")
        for said in (printed, ours):
            assert title.replace("&amp;", "&") in said, title
            assert re.search(rf"\b{number}\b", said), title
    # text beside a picture is read line by line with what stands beside it, so the rest is compared word by word
    told = flat(words(" ".join(re.findall(r"<dd>.*?</dd>|<h2.*?</h2>|<q>.*?</q>", html, re.DOTALL))))
    for said in (printed, ours):
        assert set(re.findall(r"[a-z]{3,}", told.lower())) <= set(re.findall(r"[a-z]{3,}", said.lower()))


def test_no_word_is_laid_over_another(made: Cut) -> None:
    for number, page in enumerate(boxes(made.pdf), 1):
        for at, one in enumerate(page):
            for other in page[at + 1 :]:
                if other[1] >= one[3]:
                    break
                assert not over(one, other), f"page {number}: {one[4]} and {other[4]}"
