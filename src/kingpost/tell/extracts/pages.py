"""The pages of the extracts, in the style of the report."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from jinja2 import ChoiceLoader, Environment, FileSystemLoader
from markupsafe import Markup

from kingpost.trade.model import Trade
from kingpost.visit.record import Record

from .. import html
from ..editions import Edition
from ..index import Index
from ..pictures import Pictures
from ..words import date_words
from . import cut
from .asked import Reader, of_trade
from .views import proofs, question, rows

HERE = Path(__file__).parent
HEADS = re.compile(r'(<header class="tb">.*?)(</div></header>)', re.DOTALL)


@dataclass(frozen=True, slots=True)
class Whole:
    """The report that is extracted from: the record and the finished page."""

    record: Record
    trade: Trade
    pictures: Pictures
    page: str
    on_paper: bool
    editions: Sequence[Edition] = ()


@cache
def _environment() -> Environment:
    ours, theirs = FileSystemLoader(HERE / "templates"), FileSystemLoader(html.HERE / "templates")
    return html.environment().overlay(loader=ChoiceLoader([ours, theirs]))


@cache
def style() -> str:
    """What extracts and editions add to the style of the report."""
    return (HERE / "extract.css").read_text(encoding="utf-8")


def edition_words(editions: Sequence[Edition]) -> str:
    """Which edition this is: "Edition 2 of 20 May 2026"; nothing where none was ever kept."""
    if not editions:
        return ""
    last = editions[-1]
    return f"Edition {last.number}" + (f" of {date_words(last.issued)}" if last.issued else ", not yet issued")


def with_editions(page: str, editions: Sequence[Edition]) -> str:
    """The report with its edition at its head, and a sheet that says what each edition changed."""
    if not editions:
        return page
    sheet = (
        _environment().get_template("editions.html").render(editions=list(reversed(editions)), date_words=date_words)
    )
    page = HEADS.sub(lambda m: f"{m[1]}<br>{edition_words(editions)}{m[2]}", page, count=1)
    return _added(page, sheet, '<li><a href="#sheet-editions">Editions</a></li>')


def _added(page: str, sheet: str, entry: str) -> str:
    """The page with one more sheet at its end, its style, and its entry in the list of sheets."""
    page = page.replace("</main>", f"{sheet}\n</main>", 1).replace("</ul>\n</nav>", f"{entry}\n</ul>\n</nav>", 1)
    return page if style() in page else page.replace("</style>", f"{style()}</style>", 1)


def extract(whole: Whole, reader: Reader) -> str:
    """The page for one reader."""
    index = Index(whole.record, whole.trade)
    if reader.kind == "inspector":
        sheet = _environment().get_template("evidence.html").render(proofs=proofs(index), index=index)
        return _added(whole.page, sheet, '<li><a href="#sheet-evidence">Evidence</a></li>')
    facts = whole.record.visit
    name = facts.address or facts.name
    said = {
        "index": index,
        "facts": facts,
        "name": name,
        "day": date_words(facts.started),
        "edition": edition_words(whole.editions),
        "draft": index.pencil,
        "version": whole.record.kingpost,
        "style": Markup(html.style() + style()),  # ours, not typed by anybody
        "reader": reader,
        "on_paper": whole.on_paper,
    }
    made = _environment().get_template(f"{reader.kind}.html").render(**said, **_parts(whole, reader, index))
    return cut.unlinked(made)


def _parts(whole: Whole, reader: Reader, index: Index) -> dict[str, object]:
    if reader.kind == "buyer":
        sheet = cut.by_id(whole.page, "section", "sheet-answer")
        sheet = sheet.replace(">Why, and where<", ">Why, and where: in the report<")
        said = "" if whole.on_paper else "The answer sheet."  # on paper it is one sheet, and its foot says the rest
        return {"sheet": Markup(sheet), "title": "The answer", "from": said}  # our own page, escaped there
    if reader.kind == "agent":
        return {"rows": rows(index), "title": "Findings to cite", "from": ""}
    findings = of_trade(index, reader.trade)
    articles = list(dict.fromkeys(cut.by_id(whole.page, "article", f.id) for f in findings))
    parts = []
    for article in articles:
        own = [f for f in findings if f' id="{f.id}"' in article]
        parts.append((Markup(article), [question(index, f, whole.pictures) for f in own]))
    cited = sorted({int(n) for article, _ in parts for n in re.findall(r'href="#src-(\d+)"', article)})
    sources = [Markup(cut.by_id(whole.page, "li", f"src-{n}")) for n in cited]  # our own page, escaped there
    title, said = f"For {reader.name}", f"The sheet for {reader.name}."
    return {"parts": parts, "sources": sources, "count": len(findings), "title": title, "from": said}
