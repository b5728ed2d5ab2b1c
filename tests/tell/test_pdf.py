"""report.pdf: tagged, bookmarked, numbered, the same bytes, and missed without a traceback."""

from __future__ import annotations

import builtins
import importlib
import os
import re
import subprocess
import sys
import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any

import pdfua
import pikepdf
import pytest

from kingpost.tell import html, numbering, pdf
from kingpost.tell.pictures import Pictures

from .invented_house import FACTS, Told, house, told, trade

ROOT = Path(__file__).parents[2]


def text_of(told_: Told, *how: str) -> str:
    made = subprocess.run(["pdftotext", *how, str(told_.out / "report.pdf"), "-"], check=True, capture_output=True)
    return re.sub(r"[ \u00a0]+", " ", made.stdout.decode())


def flat(text: str) -> str:
    return re.sub(r"\s+", " ", text.replace("\u00a0", " "))


def test_the_checker_of_pdf_ua_finds_no_error(forty: Told, empty: Told) -> None:
    for told_ in (forty, empty):
        found = pdfua.validate(str(told_.out / "report.pdf")).findings
        assert [f.message for f in found if f.severity.name == "ERROR"] == []


def test_it_is_tagged_named_and_in_a_language(forty: Told) -> None:
    with pikepdf.open(forty.out / "report.pdf") as made:
        assert made.Root.MarkInfo.Marked
        assert str(made.Root.Lang) == "en"
        assert str(made.docinfo.Title) == "Inspection report, 214 Alder Row, Eldon Ferry"
        assert str(made.docinfo.CreationDate).startswith("D:20260512090000")


def test_bookmarks_lead_to_every_sheet_and_every_finding(forty: Told) -> None:
    with pikepdf.open(forty.out / "report.pdf") as made, made.open_outline() as outline:
        sheets = {flat(str(item.title)): [flat(str(c.title)) for c in item.children] for item in outline.root}
    for sheet in ("Every finding, ridge to ground", "Roof", "What could not be seen", "Left as found", "Readings"):
        assert sheet in sheets
    below = [title for titles in sheets.values() for title in titles]
    for f in forty.record.findings:
        assert any(flat(f.title).replace("'", "’") in title for title in below), f.title


def test_every_title_is_in_its_text_and_the_pages_are_few(forty: Told) -> None:
    text = flat(text_of(forty))
    for f in forty.record.findings:
        assert f.title.replace("'", "’") in text
    with pikepdf.open(forty.out / "report.pdf") as made:
        assert (
            len(made.pages) <= 20
        )  # a medium house in at most 30 pages of body; 40 findings, three or four to a sheet


def test_the_foot_gives_address_date_and_page(forty: Told) -> None:
    pages = text_of(forty, "-layout").split("\f")[:-1]
    for number, page in enumerate(pages, 1):
        foot = page.strip().splitlines()[-1]
        assert "214 Alder Row, Eldon Ferry, May 12, 2026. Draft" in foot
        assert f"Page {number} of {len(pages)}" in foot


def test_the_answer_holds_one_sheet(forty: Told) -> None:
    first, second, *_ = text_of(forty).split("\f")
    assert "What is wrong that matters" in first
    assert "Behind this" in first
    assert second.strip().startswith("Every finding")


def test_it_still_does_beside_the_drawing_of_a_tall_house_with_many_findings(tmp_path: Path) -> None:
    path = Path(__file__).parent / "houses" / "10-row-house.toml"
    tall = tomllib.loads(path.read_text(encoding="utf-8"))
    facts = replace(FACTS, **{k: tall["house"][k] for k in ("form", "built", "storeys", "foundation")})
    made = told(house(60, facts=replace(facts, section=tall["section"]), photos=False), tmp_path)
    first, second, *_ = text_of(made).split("\f")
    assert "Behind this" in first
    assert second.strip().startswith("Every finding")


def test_the_drawing_is_a_picture_with_its_sentence(forty: Told) -> None:
    with pikepdf.open(forty.out / "report.pdf") as made:
        said = [str(o.Alt) for o in made.objects if isinstance(o, pikepdf.Dictionary) and "/Alt" in o]
    assert any(s.startswith("Drawing: A split-level of 1964, cut from left to right; two storeys") for s in said)
    assert sum(s.startswith("Part of the drawing of the house: ") for s in said) == 6


def test_a_finding_stays_on_one_page(forty: Told) -> None:
    pages = [flat(page) for page in text_of(forty).split("\f")]
    quotes = {r.id: r.text for r in forty.record.remarks}
    for f in forty.record.findings:
        title = f.title.replace("'", "’")
        said = quotes[f.evidence[0]["remark"]].replace("'", "’")
        assert any(title in page and said in page for page in pages), f.title


def test_paper_follows_the_country(tmp_path: Path) -> None:
    sizes = {}
    for where in ("us-nc", "no"):
        made = told(house(0, facts=replace(FACTS, jurisdiction=where)), tmp_path / where)
        with pikepdf.open(made.out / "report.pdf") as opened:
            box = [round(float(v)) for v in opened.pages[0].MediaBox]
        sizes[where] = (box[2], box[3])
    assert sizes == {"us-nc": (612, 792), "no": (595, 842)}


MAKE = """
import sys
import tomllib
from pathlib import Path
sys.path.insert(0, sys.argv[1])
from tests.tell.invented_house import draw_photos, house, trade
from kingpost.tell import write
here = Path(sys.argv[2])
record = house(2)
draw_photos(record, here / "visit")
write(record, here / "visit", here / "out", trade=trade())
"""


def test_the_bytes_are_the_same_from_two_fresh_interpreters(tmp_path: Path) -> None:
    made = []
    for seed, zone in (("1", "UTC"), ("2", "Asia/Kolkata")):
        here = tmp_path / seed
        here.mkdir()
        env = {**os.environ, "PYTHONHASHSEED": seed, "TZ": zone}
        subprocess.run([sys.executable, "-c", MAKE, str(ROOT), str(here)], env=env, cwd=here, check=True)
        made.append([(here / "out" / name).read_bytes() for name in ("record.json", "report.html", "report.pdf")])
    assert [a == b for a, b in zip(*made, strict=True)] == [True, True, True]


def test_a_very_long_finding_loses_nothing_on_paper(tmp_path: Path) -> None:
    record = house(3, photos=False)
    told_long = replace(record.findings[1].narrative, do=" ".join(f"step{n}" for n in range(1200)))
    long = replace(record.findings[1], narrative=told_long, title="Wort" * 40)
    made = told(replace(record, findings=(record.findings[0], long, record.findings[2])), tmp_path)
    text = flat(text_of(made))
    assert all(f"step{n} " in text.lower() for n in range(1, 1199))
    assert record.findings[2].title in text


@pytest.mark.parametrize(
    ("error", "note"),
    [
        (
            OSError("cannot load library 'libpango-1.0-0': error 0x7e"),
            "PDF needs the system library pango, which is missing; "
            "install it, or pass --no-pdf: the HTML report is complete",
        ),
        (
            ModuleNotFoundError("No module named 'weasyprint'"),
            "PDF needs the package weasyprint, which is missing; "
            "install it, or pass --no-pdf: the HTML report is complete",
        ),
    ],
)
def test_what_the_pdf_lacks_is_a_note_not_a_traceback(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, error: Exception, note: str
) -> None:
    def refuse(name: str, *rest: Any) -> Any:
        if name == "weasyprint":
            raise error
        return importlib.import_module(name, *rest)

    monkeypatch.setattr(pdf, "import_module", refuse)
    made = told(house(1), tmp_path)
    assert made.written.notes == (note,)
    assert [p.name for p in made.written.paths] == ["record.json", "report.html"]
    assert not (tmp_path / "out" / "report.pdf").exists()


def test_no_pdf_is_asked_for_and_none_is_made(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    real = builtins.__import__

    def watch(name: str, *rest: Any, **more: Any) -> Any:
        assert not name.startswith("weasyprint")
        return real(name, *rest, **more)

    monkeypatch.setattr(builtins, "__import__", watch)
    said: list[str] = []
    made = told(house(1), tmp_path, pdf=False, progress=said.append)
    assert made.written.notes == ()
    assert said == ["writing record.json", "writing report.html"]


def test_a_link_names_the_page_that_it_leads_to(forty: Told, monkeypatch: pytest.MonkeyPatch) -> None:
    text = text_of(forty)
    said = re.search(r"Why, and where: page (\d+)", flat(text))
    assert said
    assert "What could not be seen" in text.split("\f")[int(said[1]) - 1]
    monkeypatch.setattr(numbering, "MOST", 1)  # more pages than the sign has room for: the engine counts by itself
    page = html.page(forty.record, trade(), Pictures(forty.out.parent / "visit"), on_paper=True)
    made = pdf.draw(page, html.foot(forty.record), html.paper(forty.record), forty.record.visit.started)
    (forty.out / "counted.pdf").write_bytes(made)
    counted = subprocess.run(["pdftotext", str(forty.out / "counted.pdf"), "-"], check=True, capture_output=True).stdout
    assert made != (forty.out / "report.pdf").read_bytes()
    assert re.sub(r"\s+", "", counted.decode()) == re.sub(r"\s+", "", text)
