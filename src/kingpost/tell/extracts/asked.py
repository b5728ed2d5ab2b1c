"""Whom an extract is for: `--for buyer`, `agent`, `trade:NAME`, `inspector`."""

from __future__ import annotations

from dataclasses import dataclass

from kingpost.visit.record import Finding

from ..index import Index

KINDS = ("buyer", "agent", "inspector")


class ExtractError(ValueError):
    """Nobody by that name, or nothing for them; the text says whom there is."""


@dataclass(frozen=True, slots=True)
class Reader:
    """Whom an extract is for. `trade` is the id of a trade where the kind is "trade"."""

    kind: str
    trade: str = ""
    name: str = ""  # of the trade, as the report says it: "a roofer"

    @property
    def file(self) -> str:
        """The name of its files without the ending: report-buyer, report-trade-roofer."""
        return f"report-{self.kind}" + (f"-{self.trade.replace('_', '-')}" if self.trade else "")


def reader(words: str, index: Index) -> Reader:
    """Whom `--for WORDS` means in this record.

    Raises ExtractError, naming those there are.
    """
    low = words.strip().lower()
    if low in KINDS:
        return Reader(low)
    if not low.startswith("trade:"):
        raise ExtractError(
            f'--for "{words}" is nobody; write buyer, agent, inspector, or trade:NAME as in trade:roofer'
        )
    wanted = _bare(low.removeprefix("trade:"))
    there = trades(index)
    for trade, name in there.items():
        if wanted and wanted in (_bare(trade), _bare(name)):
            return Reader("trade", trade, name)
    close = [(t, n) for t, n in there.items() if wanted and (wanted in _bare(n).split() or wanted in _bare(t))]
    if len(close) == 1:
        return Reader("trade", *close[0])
    among = f"; write one of {', '.join(there)}" if there else "; no finding of this report names who mends it"
    several = f" fits several: {', '.join(t for t, _ in close)}" if close else " mends nothing in this report"
    raise ExtractError(f'--for "{words}": "{wanted}"{several}{among}')


def trades(index: Index) -> dict[str, str]:
    """The trades that the findings name, by id, in the order of the findings."""
    out: dict[str, str] = {}
    for finding in index.findings:
        for person in finding.people:
            known = index.trade.people.get(person)
            out.setdefault(person, known.name if known else person.replace("_", " "))
    return out


def of_trade(index: Index, trade: str) -> list[Finding]:
    """The findings that one trade mends, ridge to ground."""
    return [f for f in index.findings if trade in f.people]


def _bare(words: str) -> str:
    """A name without its article and signs: "a licensed electrician" is "licensed electrician"."""
    out = words.lower().replace("_", " ").replace("-", " ").strip()
    for article in ("a ", "an ", "the "):
        out = out.removeprefix(article)
    return out
