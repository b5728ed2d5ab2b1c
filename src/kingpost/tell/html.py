"""One record as one HTML page that needs nothing beside it: type, style and pictures travel inside."""

from __future__ import annotations

from base64 import b64encode
from functools import cache
from pathlib import Path
from textwrap import shorten

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from kingpost.trade.model import Trade
from kingpost.visit.record import Record

from . import glyphs, words
from .answer import answer, summary
from .beside import two
from .chains import cause_views
from .closing import aside_words, closing
from .coverage import coverage
from .drawings import of_causes, of_levels, whole
from .findings import levels
from .heat import heat
from .index import Index
from .pictures import Pictures

HERE = Path(__file__).parent
FOOT = 80  # characters of an address that leave room for the page's number
FACES = (  # file, family, weights
    ("literata.woff2", "Literata", "200 900"),
    ("overpass.woff2", "Overpass", "100 900"),
    ("routed.woff2", "Routed", "400"),
)
SHEETS = (
    "tokens.css",
    "base.css",
    "sheets.css",
    "finding.css",
    "cover.css",
    "drawing.css",
    "cause.css",
    "heat.css",
    "phone.css",
    "print.css",
)


@cache
def environment() -> Environment:
    """The templates of the report with their filters; extracts lay their own over it."""
    made = Environment(
        loader=FileSystemLoader(HERE / "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters |= {"listed": words.listed, "capital": words.capital, "sentence": words.sentence, "small": words.small}
    made.globals |= {"words": words, "label": words.label, "counted": words.counted, "spell": words.spell}
    made.globals |= {"aside_words": aside_words, "uri": glyphs.uri, "drawn": Markup, "two": two}
    return made


@cache
def style() -> str:
    """All style sheets in order, with the faces inside them."""
    faces = "".join(
        f'@font-face{{font-family:"{family}";font-weight:{weights};font-display:swap;'
        f'src:url("data:font/woff2;base64,{_base64(file)}") format("woff2")}}\n'
        for file, family, weights in FACES
    )
    sheets = [(HERE / "css" / name).read_text(encoding="utf-8") for name in SHEETS]
    return faces + "".join(sheets) + glyphs.sheet()


def _base64(font: str) -> str:
    return b64encode((HERE / "fonts" / font).read_bytes()).decode()


def foot(record: Record) -> str:
    """The foot of each printed page: address and date, and that it is a draft where it is one."""
    name = shorten(record.visit.address or record.visit.name, FOOT, placeholder=" …")
    parts = [name, words.date_words(record.visit.started, record.visit.locale)]
    draft = "Draft" if any(f.state != "ink" for f in record.findings) else ""
    return ". ".join(part for part in (", ".join(p for p in parts if p), draft) if part)


def paper(record: Record) -> str:
    """The paper of the PDF: Letter in North America and where nobody said, else A4."""
    where = (record.visit.jurisdiction or "us").partition("-")[0]
    return "letter" if where in {"us", "ca", "mx"} else "A4"


def page(record: Record, trade: Trade, pictures: Pictures, on_paper: bool = False) -> str:
    """The whole report as HTML; `on_paper` without the lists that only a screen unfolds, and with a column of pages."""
    index = Index(record, trade)
    causes = cause_views(index, "print" if on_paper else "light")
    drawing, theme = whole(index, on_paper), "print" if on_paper else "light"
    sheets = levels(index, pictures, theme)
    shown = {v.shot.photo.id for level in sheets for v in level.findings if v.shot}
    day, name = words.date_words(record.visit.started, record.visit.locale), record.visit.address or record.visit.name
    return (
        environment()
        .get_template("report.html")
        .render(
            style=Markup(style()),
            script=Markup((HERE / "filter.js").read_text(encoding="utf-8")),
            index=index,
            facts=record.visit,
            title=f"Inspection report, {name}" if name else "Inspection report",
            day=day,
            answer=answer(index, drawn=drawing is not None),
            drawing=drawing,
            stretches=of_levels(index, on_paper),
            causes=causes,
            paths=of_causes(index, causes, on_paper),
            summary=summary(index),
            levels=sheets,
            closing=closing(index, pictures, shown, theme),
            coverage=coverage(index),
            heat=heat(index, pictures, on_paper),
            version=record.kingpost,
            on_paper=on_paper,
        )
    )
