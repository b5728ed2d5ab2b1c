"""The coverage sheet: one square for each thing that the standard asks for, and a reason beside every exception.

A client reads it. A clause from memory is counted, and told as not checked against the law; its citation is not shown.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import takewhile
from typing import Any

from markupsafe import Markup, escape

from .index import Index
from .words import NB, capital, cited, counted, listed, sentence, tidy

SYSTEMS = {"general": "The house as a whole", "report": "The report", "safety": "Alarms and safety"}
WORDS = {"done": "done", "limited": "in part", "not_done": "not done", "not_present": "not in this house"}
LACKS = {"limited": "In part", "not_done": "Not shown to be done"}
LONGEST = 4  # places named before the rest are counted


@dataclass(frozen=True, slots=True)
class Square:
    """One thing required. `label` is read aloud in its place."""

    id: str
    state: str
    label: str


@dataclass(frozen=True, slots=True)
class Thing:
    """One thing asked for, and where: empty where that is from memory."""

    id: str
    what: str
    cited: str


@dataclass(frozen=True, slots=True)
class Lack:
    """Things of one system that were not done, or not wholly, for one reason."""

    things: tuple[Thing, ...]
    what: Markup  # all of them in words
    state: str
    word: str
    why: str


@dataclass(frozen=True, slots=True)
class Row:
    """The squares of one system, and why some are not filled."""

    name: str
    squares: tuple[Square, ...]
    done: str
    lacks: tuple[Lack, ...]


@dataclass(frozen=True, slots=True)
class Told:
    """One thing that the standard wants described, and how the inspector told it."""

    what: str
    words: str


@dataclass(frozen=True, slots=True)
class Coverage:
    """The sheet."""

    lead: str
    law: str  # what every citation on the sheet begins with
    rows: tuple[Row, ...]
    absent: str
    unverified: str
    told: tuple[Told, ...] = ()
    states: tuple[Told, ...] = ()  # what the law wants stated, and where it says so


def coverage(index: Index) -> Coverage | None:
    """The coverage sheet of a record; None where no standard applied."""
    made: Mapping[str, Any] = index.record.coverage
    clauses: Sequence[Mapping[str, Any]] = made.get("clauses", ())
    if not clauses:
        return None
    by_system: dict[str, list[Mapping[str, Any]]] = {}
    for c in clauses:
        by_system.setdefault(str(c.get("system", "general")), []).append(c)
    order = {s.id: s.order for s in index.trade.systems.values()}
    law = _law(clauses)
    rows = [
        Row(_name(index, system), tuple(map(_square, found)), _done(found), tuple(_lacks(found, made, law)))
        for system, found in sorted(by_system.items(), key=lambda x: (order.get(x[0], 99), x[0]))
    ]
    gone = sorted({str(c.get("about", "")) for c in clauses if c["state"] == "not_present" and c["evidence"]})
    memory = sum(bool(c.get("unverified")) for c in clauses)
    known = _secondhand(clauses)
    return Coverage(
        lead=_lead(clauses),
        law=tidy(law),
        rows=tuple(rows),
        absent=tidy(sentence(f"Not in this house: {listed(gone)}")) if gone else "",
        unverified=(
            f"{counted(memory, 'of these duties was', 'of these duties were')} written from memory and not checked "
            "against the law."
            if memory
            else ""
        )
        + (" " * bool(memory and known) + known),
        told=tuple(_told(d) for d in made.get("described", ())),
        states=tuple(Told(tidy(cited(str(s["citation"]))), tidy(str(s["text"]))) for s in made.get("statements", ())),
    )


def _told(d: Mapping[str, Any]) -> Told:
    """What was said stands as a quotation; a fact or a place is told as it is on file."""
    said = " ".join(f"“{capital(s)}”" for s in d["said"])
    other = str(d["fact"] or d["place"]).rstrip(".")
    return Told(tidy(capital(str(d["about"]))), tidy(said or sentence(capital(other))))


def _name(index: Index, system: str) -> str:
    known = index.trade.systems.get(system)
    return capital(known.name) if known else SYSTEMS.get(system, capital(system))


def _square(c: Mapping[str, Any]) -> Square:
    return Square(str(c["id"]), str(c["state"]), tidy(f"{capital(str(c.get('about', c['id'])))}: {WORDS[c['state']]}"))


def _done(found: Sequence[Mapping[str, Any]]) -> str:
    due = [c for c in found if c["state"] != "not_present"]
    return f"{sum(c['state'] == 'done' for c in due)} of {len(due)}"


def _lead(clauses: Sequence[Mapping[str, Any]]) -> str:
    due = [c for c in clauses if c["state"] != "not_present"]
    counts = {state: sum(c["state"] == state for c in due) for state in ("done", "limited", "not_done")}
    parts = [f"{counts['done']} were done"]
    if counts["limited"]:
        parts.append(f"{counts['limited']} in part")
    if counts["not_done"]:
        parts.append(f"{counts['not_done']} are not shown to be done")
    return tidy(f"The standard of practice asks for {counted(len(due), 'thing')} in this house: {listed(parts)}.")


def _law(clauses: Sequence[Mapping[str, Any]]) -> str:
    """The words that every citation shown begins with: said once, at the head of the sheet."""
    shown = [_cited(c) for c in clauses if c["state"] in ("limited", "not_done") and _cited(c)]
    words = zip(*(text.split() for text in shown), strict=False) if len(shown) > 1 else ()
    return " ".join(same[0] for same in takewhile(lambda same: len(set(same)) == 1, words))


def _cited(c: Mapping[str, Any]) -> str:
    return "" if c.get("unverified") else cited(str(c.get("citation", "")))


def _secondhand(clauses: Sequence[Mapping[str, Any]]) -> str:
    """That some numbers of items were read in copies that are not the law's own, said once."""
    odd = [c for c in clauses if not c.get("unverified") and str(c.get("citation", "")) != _cited(c)]
    return "Some items are numbered as a copy had them that is not the law’s own." if odd else ""


def _once(things: Sequence[Thing]) -> Markup:
    """Each thing with its number, which no line's end cuts; things without one that are called alike stand once."""
    cite = Markup(f'{NB}<span class="nb">({{}})</span>')
    named = [escape(tidy(t.what)) + (cite.format(t.cited) if t.cited else "") for t in things]
    return Markup(listed(list(dict.fromkeys(named))))


def _lacks(found: Sequence[Mapping[str, Any]], made: Mapping[str, Any], law: str) -> list[Lack]:
    """What was not done and what was done in part, things of one reason together."""
    groups: dict[tuple[str, str], list[Thing]] = {}
    for state in ("not_done", "limited"):
        for c in (c for c in found if c["state"] == state):
            why = _places(c, made) if state == "not_done" else str(c["why"])
            cited = _cited(c).removeprefix(law).strip()
            groups.setdefault((state, why), []).append(Thing(str(c["id"]), str(c.get("about", c["id"])), cited))
    return [
        Lack(
            tuple(things),
            _once(things),
            *(state, LACKS[state], tidy(sentence(why))),
        )
        for (state, why), things in groups.items()
    ]


def _places(c: Mapping[str, Any], made: Mapping[str, Any]) -> str:
    """Where a thing is not shown to be done; in the words of the ledger where it is one thing for the whole house."""
    where = [str(x["place"]) for x in made.get("cells", ()) if x["clause"] == c["id"] and x["state"] == "not_done"]
    named = list(dict.fromkeys(w for w in where if w))
    if not named:
        return str(c["why"])
    more = len(named) - LONGEST
    shown = [*named[:LONGEST], *([f"{more} more"] if more > 0 else [])]
    return listed(shown)
