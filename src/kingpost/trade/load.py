"""Loads the trade data: ours, and over it the files a firm lays on top (`--trade DIR`, or `trade/` in a visit)."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import lru_cache
from pathlib import Path
from typing import TypeVar

from .model import (
    Act,
    Component,
    Condition,
    Effect,
    FaultKind,
    HandledThing,
    Handling,
    Implied,
    LimitWords,
    Place,
    Quantity,
    Source,
    StandingWords,
    System,
    Trade,
    TradePerson,
)
from .reading import Fault, TradeError, entries

T = TypeVar(
    "T",
    System,
    Place,
    Component,
    FaultKind,
    Condition,
    Effect,
    TradePerson,
    Source,
    Quantity,
    Act,
    Handling,
    HandledThing,
    StandingWords,
    Implied,
    LimitWords,
)
DATA = Path(__file__).parent / "data"
Where = dict[tuple[str, str], tuple[str, int | None]]


def _collect(
    folders: Iterable[Path], pattern: str, head: str, cls: type[T], faults: list[Fault], where: Where
) -> dict[str, T]:
    out: dict[str, T] = {}
    for folder in folders:
        here: set[str] = set()
        for made, file, line in entries(folder, pattern, head, cls, faults):
            if made.id in here:
                faults.append(Fault(file, line, f'{head} "{made.id}" stands twice', "give one of them another id"))
            here.add(made.id)
            out[made.id] = made  # a firm's entry of the same id wins
            where[head, made.id] = (file, line)
    return out


def _cross(trade: Trade, faults: list[Fault], where: Where) -> None:
    def need(head: str, owner: str, key: str, ids: Iterable[str], among: Iterable[str]) -> None:
        file, line = where[head, owner]
        known = set(among)
        for one in ids:
            if one not in known:
                near = sorted(k for k in known if one.split("_")[0].split("-")[0] in k)[:3]
                mend = "did you mean " + " or ".join(near) + "?" if near else "add it, or take it out"
                faults.append(Fault(file, line, f'{head} "{owner}": {key} "{one}" is not known', mend))

    for p in trade.places.values():
        need("place", p.id, "within", [p.within] if p.within else [], trade.places)
    for c in trade.components.values():
        need("component", c.id, "system", [c.system], trade.systems)
        need("component", c.id, "places", c.places, trade.places)
    for d in trade.conditions.values():
        need("condition", d.id, "component", [d.component, *d.also], trade.components)
        need("condition", d.id, "fault", [d.fault], trade.fault_kinds)
        need("condition", d.id, "who", d.who, trade.people)
        need("condition", d.id, "sources", d.sources, trade.sources)
        need("condition", d.id, "causes", d.causes, trade.effects)
        need("condition", d.id, "caused_by", d.caused_by, trade.effects)
    for h in trade.handled.values():
        need("handled", h.id, "kin", h.kin, trade.handled)
    for s in trade.sources.values():
        if s.basis == "published" and not (s.read or s.via):
            file, line = where["source", s.id]
            faults.append(
                Fault(
                    file,
                    line,
                    f'source "{s.id}" is published without a day it was read',
                    'add read = the day, or via = "...", or write basis = "memory"',
                )
            )


def load(*over: Path, check: Callable[[Trade], list[Fault]] | None = None) -> Trade:
    """Our trade data with the given folders laid over it, in order.

    Raises TradeError with every fault of every file.
    """
    folders, faults, where = [DATA, *over], list[Fault](), Where()
    trade = Trade(
        systems=_collect(folders, "systems.toml", "system", System, faults, where),
        places=_collect(folders, "places.toml", "place", Place, faults, where),
        components=_collect(folders, "components/*.toml", "component", Component, faults, where),
        fault_kinds=_collect(folders, "faults.toml", "fault", FaultKind, faults, where),
        conditions=_collect(folders, "conditions/*.toml", "condition", Condition, faults, where),
        effects=_collect(folders, "effects.toml", "effect", Effect, faults, where),
        people=_collect(folders, "people.toml", "person", TradePerson, faults, where),
        sources=_collect(folders, "sources/*.toml", "source", Source, faults, where),
        quantities=_collect(folders, "quantities.toml", "quantity", Quantity, faults, where),
        acts=_collect(folders, "speech.toml", "act", Act, faults, where),
        handling=_collect(folders, "handling.toml", "handling", Handling, faults, where),
        handled=_collect(folders, "handled.toml", "handled", HandledThing, faults, where),
        standing_words=_collect(folders, "standing.toml", "standing", StandingWords, faults, where),
        implied=_collect(folders, "implied.toml", "implied", Implied, faults, where),
        limit_words=_collect(folders, "limits.toml", "limit", LimitWords, faults, where),
    )
    _cross(trade, faults, where)
    if check is not None:
        faults += check(trade)
    if faults:
        raise TradeError(faults)
    return trade


@lru_cache(maxsize=8)
def trade(*over: Path) -> Trade:
    """`load`, kept: the data does not change while a program runs."""
    return load(*over)
