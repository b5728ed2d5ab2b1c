"""Cuts parts out of a finished page, so that an extract holds the very words of the report."""

from __future__ import annotations

import re


def element(page: str, tag: str, where: int) -> str:
    """The element of this tag that holds the place `where`, with all that is in it; empty where there is none."""
    opened: list[int] = []
    for found in re.finditer(rf"<(/?){tag}\b[^>]*>", page):
        if not found[1]:
            opened.append(found.start())
            continue
        start = opened.pop()
        if start <= where < found.end():
            return page[start : found.end()]
    return ""


def by_id(page: str, tag: str, name: str) -> str:
    """The element of this tag that has this id, or holds what has it; empty where nothing has.

    >>> by_id('<p><i id="a">x</i></p><p id="b">y</p>', "p", "a")
    '<p><i id="a">x</i></p>'
    """
    at = page.find(f' id="{name}"')
    return element(page, tag, at) if at >= 0 else ""


def unlinked(page: str) -> str:
    """The page with every link whose target was not cut out with it turned into plain words.

    >>> unlinked('<p id="a"><a class="mk" href="#a">1</a> <a class="mk" href="#b">2</a></p>')
    '<p id="a"><a class="mk" href="#a">1</a> <span class="mk">2</span></p>'
    """
    there = set(re.findall(r'\sid="([^"]+)"', page))
    tags: list[str] = []

    def told(found: re.Match[str]) -> str:
        if found[0] == "</a>":
            return f"</{tags.pop()}>" if tags else found[0]
        target = re.search(r'\shref="#([^"]*)"', found[0])
        if not target or target[1] in there:
            tags.append("a")
            return found[0]
        if "aria-label" in found[0]:  # a mark of a drawing
            tags.append("g")
            return "<g>"
        tags.append("span")
        kept = re.search(r'\sclass="([^"]*)"', found[0])
        names = " ".join(c for c in (kept[1].split() if kept else ()) if c != "pp")  # no page to refer to
        return f'<span class="{names}">' if names else "<span>"

    return re.sub(r"<a\b[^>]*>|</a>", told, page)
