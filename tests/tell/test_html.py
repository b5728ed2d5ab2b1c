"""report.html: whole in one file, complete, honest about drafts, for everyone."""

from __future__ import annotations

import re
from base64 import b64decode
from dataclasses import replace
from html.parser import HTMLParser
from io import BytesIO
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from PIL import Image

from kingpost.tell import PencilLeft
from kingpost.tell.findings import parted
from kingpost.visit.facts import Facts

from .invented_house import FACTS, PLACES, Told, draw_photos, house, inked, told

WCAG = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]


class Page(HTMLParser):
    """Ids, headings, links and pictures of a page, in order."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.ids: list[str] = []
        self.links: list[str] = []
        self.pictures: list[dict[str, str]] = []
        self.levels: list[int] = []
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        has = {k: v or "" for k, v in attrs}
        if "id" in has:
            self.ids.append(has["id"])
        if tag == "a":
            self.links.append(has["href"])
        if tag == "img":
            self.pictures.append(has)
        if re.fullmatch(r"h[1-6]", tag):
            self.levels.append(int(tag[1]))


def words(html: str) -> str:
    """The page as text, spaces levelled."""
    bare = re.sub(r"<style>.*?</style>|<script>.*?</script>|<[^>]+>", " ", html, flags=re.S)
    return re.sub(r"\s+", " ", bare.replace("\u00a0", " ").replace("&#39;", "'"))


def test_nothing_outside_the_file_is_asked_for(forty: Told) -> None:
    for found in re.findall(r'(?:src|href|url)\s*[=(]\s*["\']?([^"\')>\s]{1,60})', forty.html):
        assert found.startswith(("data:", "#")), found
    assert "src=" not in re.findall(r"<script[^>]*>", forty.html)[0]
    assert "@import" not in forty.html


def test_nothing_in_the_record_is_left_out(forty: Told) -> None:
    page, record = Page(forty.html), forty.record
    parts = (record.findings, record.limitations, record.remarks, record.readings, record.as_found, record.checks)
    for thing in (*(one for part in parts for one in part), *record.photos):
        assert page.ids.count(thing.id) == 1, thing.id
    text = words(forty.html)
    for trouble in record.trouble:
        assert trouble.problem in text
    for frame in record.thermal:
        assert frame.file in text


def test_every_link_has_its_target_and_every_id_is_one(forty: Told) -> None:
    page = Page(forty.html)
    assert {link[1:] for link in page.links} <= set(page.ids)
    assert len(page.ids) == len(set(page.ids))


def test_headings_go_down_one_step_at_a_time(forty: Told, empty: Told) -> None:
    for html in (forty.html, empty.html):
        levels = Page(html).levels
        assert levels.count(1) == 1
        assert levels[0] == 1
        assert all(after - before <= 1 for before, after in pairwise(levels))


def test_every_picture_says_what_it_shows_and_carries_nothing_else(forty: Told) -> None:
    pictures = Page(forty.html).pictures
    beside = [p for p in pictures if ". For finding" in p["alt"]]
    assert len(beside) == 40
    assert len(pictures) == 41, "the one photograph that no finding shows stands on the contact sheet"
    assert all(p["alt"] for p in pictures)
    for uri in {p["src"] for p in pictures}:
        image = Image.open(BytesIO(b64decode(uri.partition(",")[2])))
        assert image.format == "JPEG"
        assert not dict(image.getexif())
        assert max(image.size) <= 900


def test_a_turned_photograph_is_shown_upright(tmp_path: Path) -> None:
    record = house(2)
    exif = Image.Exif()
    exif[0x0112] = 6
    for photo in record.photos:
        path = tmp_path / "visit" / photo.file
        path.parent.mkdir(parents=True, exist_ok=True)
        Image.new("RGB", (300, 200), (90, 90, 90)).save(path, exif=exif)
    for picture in Page(told(record, tmp_path, pdf=False).html).pictures:
        assert (picture["width"], picture["height"]) == ("200", "300")


@pytest.mark.parametrize(
    ("broken", "why"), [(b"not a picture", "cannot be read as a picture"), (None, "is not in the visit folder")]
)
def test_a_photograph_that_cannot_be_read_is_said_and_survived(tmp_path: Path, broken: bytes | None, why: str) -> None:
    record = house(2)
    draw_photos(record, tmp_path / "visit")
    path = tmp_path / "visit" / "photos" / "p16-vent.jpg"
    path.unlink() if broken is None else path.write_bytes(broken)
    made = told(record, tmp_path, pdf=False)
    assert made.written.notes == (
        f"photos/p16-vent.jpg: {why}, so the report shows its caption alone; put a readable copy there",
    )
    assert "photos/p16-vent.jpg cannot be read" in words(made.html)


def test_a_draft_says_how_much_of_it_is_pencil(forty: Told, tmp_path: Path) -> None:
    assert "Draft: 40 of 40 findings are pencil:" in words(forty.html)
    half = house(4)
    half = replace(half, findings=tuple(replace(f, state="ink") if n % 2 else f for n, f in enumerate(half.findings)))
    html = told(half, tmp_path, pdf=False).html
    assert "Draft: 2 of 4 findings are pencil:" in words(html)
    assert len(re.findall(r'class="f pencil[ "]', html)) == 2


def test_a_report_in_ink_is_no_draft(tmp_path: Path) -> None:
    html = told(inked(house(4)), tmp_path, pdf=False, final=True).html
    assert "Draft" not in words(html)
    assert "Pencil" not in words(html)


def test_final_refuses_while_anything_is_pencil(tmp_path: Path) -> None:
    with pytest.raises(PencilLeft) as refused:
        told(house(4), tmp_path, pdf=False, final=True)
    assert str(refused.value) == (
        "4 of 4 findings are pencil; accept, reword or set aside each, or leave out --final for a draft"
    )
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize(
    ("facts", "count", "headline"),
    [
        (FACTS, 40, "A split-level of 1964. Fourteen things to mend before you move in."),
        (FACTS, 0, "A split-level of 1964. No findings are written down."),
        (replace(FACTS, form=""), 1, "A house of 1964. Nothing we saw has to be mended before you move in."),
        (replace(FACTS, form="A-frame", built=None), 7, "An A-frame. One thing to mend before you move in."),
        (Facts(name="Alder Row"), 0, "Alder Row. No findings are written down."),
        (Facts(), 0, "A house. No findings are written down."),
    ],
)
def test_the_headline(tmp_path: Path, facts: Facts, count: int, headline: str) -> None:
    html = told(house(count, facts=facts), tmp_path, pdf=False).html
    found = re.search(r"<h1[^>]*>(.*?)</h1>", html)
    assert found
    assert words(found[1]).strip() == headline


def test_the_answer_is_short_and_worst_first(forty: Told) -> None:
    sheet = forty.html.partition('id="sheet-answer"')[2].partition("</section>")[0]
    matters = sheet.partition('class="matters"')[2].partition("</ol>")[0]
    assert matters.count("<li>") == 6
    assert "Before you move" in words(matters.partition("</li>")[0])
    assert "Water at one corner." in words(matters), "the one story of the house has a line"
    assert sheet.partition('class="settle"')[2].partition("</ol>")[0].count("<li>") <= 5


def test_a_check_prints_its_four_lines_in_order_with_source_and_basis(forty: Told) -> None:
    check = words(forty.html.partition('id="c-stair"')[2].partition("</article>")[0])
    at = [check.index(name) for name in ("Falls short", "Measured", "Sum", "Held against", "By its date")]
    assert at == sorted(at)
    cited = re.search(r"R311\.7\.5\.1, 2021 \(from memory\) \[(\d+)\]", check)
    assert cited
    listed = forty.html.partition(f'id="src-{cited[1]}"')[2].partition("</li>")[0]
    assert "International Residential Code, R311.7.5.1, 2021 (from memory)" in words(listed)


def test_what_was_not_put_back_comes_first_with_an_open_ring(forty: Told) -> None:
    rings = forty.html.partition('class="list rings two"')[2].partition("</ul>")[0]
    first, second = rings.split("</li>")[:2]
    assert "g-ring-open" in first
    assert "09:58, not put back" in words(first)
    assert "g-ring-closed" in second
    assert "10:11 to 10:30" in words(second)


def test_an_invented_house_says_so(forty: Told, tmp_path: Path) -> None:
    assert words(forty.html).count("This house is invented") == 2
    real = told(house(1, facts=replace(FACTS, invented=False)), tmp_path, pdf=False).html
    assert "invented" not in words(real).lower()


def test_markup_in_the_words_stays_words(tmp_path: Path) -> None:
    record = house(1)
    bad = replace(record.findings[0], title="<script>alert(1)</script> & co")
    html = told(replace(record, findings=(bad,)), tmp_path, pdf=False).html
    assert "<script" not in html  # one finding is too few for filters
    assert "&lt;script&gt;" in html


def test_numbers_run_ridge_to_ground_where_the_record_gives_none(forty: Told) -> None:
    order = re.findall(r'<article[^>]*id="([^"]+)"', forty.html)
    place = {f.id: f.place for f in forty.record.findings}
    levels = ["roof", "attic", "upper", "main", "lower", "underfloor", "garage", "grounds"]
    level = {i: levels.index(lv) for i, _, lv in PLACES}
    assert [level[place[f]] for f in order] == sorted(level[place[f]] for f in order)


def test_given_numbers_are_kept(tmp_path: Path) -> None:
    record = house(3)
    given = tuple(replace(f, number=n) for f, n in zip(record.findings, (7, 8, 9), strict=True))
    html = told(replace(record, findings=given), tmp_path, pdf=False).html
    assert re.findall(r"<h3[^>]*>.*?</span>(\d+)</span>", html) == ["7", "8", "9"]


def look(browser: Any, told_: Told, width: int) -> Any:
    page = browser.new_page(viewport={"width": width, "height": 900})
    page.goto((told_.out / "report.html").as_uri())
    page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
    return page


@pytest.mark.parametrize("width", [1200, 390])
def test_axe_finds_nothing_against_wcag_2_2_aa(browser: Any, nine: Told, width: int) -> None:
    page = look(browser, nine, width)
    results = Axe().run(page, options={"runOnly": {"type": "tag", "values": WCAG}})
    assert results.response["violations"] == []
    assert len(results.response["passes"]) > 10
    page.close()


@pytest.mark.parametrize("width", [320, 390, 768, 1200])
def test_nothing_scrolls_sideways(browser: Any, forty: Told, empty: Told, width: int) -> None:
    for told_ in (forty, empty):
        page = look(browser, told_, width)
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        page.close()


def test_very_long_words_and_two_hundred_findings_survive(browser: Any, tmp_path: Path) -> None:
    record = house(200, photos=False)
    long = replace(
        record.findings[0],
        title="Donaudampfschiff" * 12,
        narrative=replace(record.findings[0].narrative, saw="x" * 900, do="word " * 700),
        place="a_place_" * 20,
    )
    many = told(replace(record, findings=(long, *record.findings[1:])), tmp_path, pdf=False)
    assert many.html.count("<article") == 200
    page = look(browser, many, 320)
    assert page.evaluate("document.documentElement.scrollWidth") <= 320
    page.close()


def test_fixed_words_of_the_report_are_plain() -> None:
    """What the telling itself says keeps off the words that the design sets aside."""
    templates = Path(__file__).parents[2] / "src" / "kingpost" / "tell" / "templates"
    said = " ".join(words(path.read_text(encoding="utf-8")) for path in sorted(templates.glob("*.html")))
    for word in (
        "immediate",
        "urgent",
        "asap",
        "monitor",
        "evaluate",
        "safe",
        "major",
        "minor",
        "qualified",
        "appears",
    ):
        assert not re.search(rf"\b{word}\b", said, re.IGNORECASE), word


@pytest.mark.parametrize(
    ("do", "people", "bold"),
    [
        ("A licensed electrician fits a breaker.", ["a licensed electrician"], "licensed electrician"),
        ("Have an electrician look.", ["a licensed electrician"], "electrician"),
        ("A heating contractor opens it.", ["a licensed heating and cooling contractor"], "heating contractor"),
        ("Fit a cover.", ["a carpenter", "a roofer"], "a carpenter or a roofer"),
        ("Test it each month.", ["you, the owner"], ""),
        ("Leave it.", [], ""),
    ],
)
def test_who_does_it_stands_out_once(do: str, people: list[str], bold: str) -> None:
    before, who, after = parted(do, people)
    assert who == bold
    assert (before + who + after).startswith(do)
