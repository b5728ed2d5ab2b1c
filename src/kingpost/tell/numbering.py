"""Page numbers of links, written into pages that are already laid out.

The PDF engine can count pages by itself (`target-counter`), but it lays a page out anew for each number that it learns
on it, twice over: a quarter of its time. Here it lays out the sign for a number instead, two figures wide; the numbers
are known once the pages are, and take the sign's place. Where a number does not fit, or the engine has changed so that
its boxes are not found, `write` says so and the engine counts by itself.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

SIGN = "00"  # stands where a number will stand; figures of a text line are all about as wide
NARROW = "\u00a0\u00a0\u2009"  # spaces as wide as the figure that a number below ten lacks, in our faces
COUNTED = (  # styles by which the engine counts for itself
    '.pp::after{content:": page\\a0 " target-counter(attr(href),page)}'
    ".c-p a::after{content:target-counter(attr(href),page)}"
)
MOST = 10 ** len(SIGN) - 1  # the highest page that has room


def write(document: Any) -> bool:
    """Writes every link's page number into a laid-out document; False where that cannot be done, with nothing changed.

    document  what `weasyprint.HTML.render` made of a page whose links are followed by the sign
    """
    if len(document.pages) > MOST:
        return False
    pages: dict[str, int] = {}
    for number, page in enumerate(document.pages, 1):
        for name in page.anchors:
            pages.setdefault(name, number)
    try:
        found = [(box, pages[box.element.get("href")[1:]]) for page in document.pages for box in _signs(page)]
        ends = {id(box) for page in document.pages for box in _last(page)}
        for box, number in found:
            _set(box, number, at_end=id(box) in ends)
    except (AttributeError, KeyError):
        return False
    return True


def _signs(page: Any) -> Iterator[Any]:
    """The text boxes that hold a sign: what a link says after its words."""
    for box in page._page_box.descendants():
        if getattr(box, "element_tag", "") == "a::after" and SIGN in (getattr(box, "text", "") or ""):
            yield box


def _last(page: Any) -> Iterator[Any]:
    """The last text box of each line."""
    for line in page._page_box.descendants():
        if type(line).__name__ == "LineBox" and (texts := [b for b in line.descendants() if getattr(b, "text", "")]):
            yield texts[-1]


def _set(box: Any, number: int, at_end: bool) -> None:
    """The number in the place of the sign; what it lacks in width stands before it, at the end of a line behind it."""
    lacks = len(SIGN) - len(str(number))
    if lacks and box.text == SIGN:  # alone in its cell, flush right
        box.position_x += box.width * lacks / len(SIGN)
        new = str(number)
    else:
        gap = lacks * NARROW
        new = box.text.replace(SIGN, f"{number}{gap}" if at_end else f"{gap}{number}")
    box.text = box.pango_layout.text = new
