"""The PDF: the same page through WeasyPrint, tagged, dated by the visit, so that the bytes repeat."""

from __future__ import annotations

import logging
import os
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from importlib import import_module
from pathlib import Path
from typing import Any

from . import numbering

COMPLETE = "install it, or pass --no-pdf: the HTML report is complete"
VARIANT = "pdf/ua-1"
PRINTED = Path(__file__).parent / "css" / "pdf.css"
NEXT = "sheet-findings"  # the answer holds one sheet, so this one begins the second
TIGHT = ".drawing.all img{max-height:50mm!important}.matters li{padding-bottom:.8mm!important}"  # where it would not


class NoPdf(Exception):
    """A PDF cannot be made on this machine; the text says why and how to mend it."""


def draw(html: str, foot: str, size: str = "letter", day: datetime | None = None) -> bytes:
    """The page as PDF, on paper of `size` ("letter" or "A4"), with `foot` at the bottom left of each page.

    `day` is the moment that the file and the faces in it are dated by, so that the bytes repeat.

    Raises NoPdf where WeasyPrint or a system library under it is missing.
    """
    weasyprint = _weasyprint()
    logging.getLogger("weasyprint").setLevel(logging.ERROR)
    style = PRINTED.read_text(encoding="utf-8").replace("FOOT", _css_string(foot)).replace("SIZE", size)
    with _dated(day):
        page = weasyprint.HTML(string=html)
        laid = page.render(stylesheets=[weasyprint.CSS(string=style)], pdf_variant=VARIANT)
        if next((at for at, sheet in enumerate(laid.pages) if NEXT in sheet.anchors), 1) != 1:
            style += TIGHT
            laid = page.render(stylesheets=[weasyprint.CSS(string=style)], pdf_variant=VARIANT)
        if not numbering.write(laid):
            laid = page.render(stylesheets=[weasyprint.CSS(string=style + numbering.COUNTED)], pdf_variant=VARIANT)
        made: bytes = laid.write_pdf(pdf_variant=VARIANT)
    return made


@contextmanager
def _dated(day: datetime | None) -> Iterator[None]:
    """Subset faces carry a date; SOURCE_DATE_EPOCH is the one way to set it. A value that the user set stays."""
    if "SOURCE_DATE_EPOCH" in os.environ:
        yield
        return
    os.environ["SOURCE_DATE_EPOCH"] = str(int(day.timestamp()) if day else 0)
    try:
        yield
    finally:
        del os.environ["SOURCE_DATE_EPOCH"]


def _weasyprint() -> Any:
    try:
        return import_module("weasyprint")
    except OSError as err:  # the loader of a system library says so this way
        raise NoPdf(f"PDF needs the system library {_library(str(err))}, which is missing; {COMPLETE}") from err
    except ImportError as err:
        raise NoPdf(f"PDF needs the package weasyprint, which is missing; {COMPLETE}") from err


def _library(message: str) -> str:
    """The library a loader's message is about: pango, unless it names another."""
    return next((name for name in ("harfbuzz", "fontconfig", "gobject") if name in message), "pango")


def _css_string(text: str) -> str:
    """
    >>> _css_string('The "Old" House')
    '"The \\\\22 Old\\\\22  House"'
    """
    return '"' + "".join(c if c.isprintable() and c not in '"\\' else f"\\{ord(c):x} " for c in text) + '"'
