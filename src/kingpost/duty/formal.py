"""What the law wants on the report or in the file, present or named as missing: names, licence, agreement, notices."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from typing import Any

from kingpost.trade.duties import Formal
from kingpost.visit.facts import Facts
from kingpost.visit.record import Record

from .given import Given

ALWAYS = ("inspector", "licence", "agreement")  # asked of everyone, though it blocks only where a law of the visit asks


@dataclass(frozen=True, slots=True)
class Missing:
    """One thing that is not there. `asked` says that a standard of the visit wants it."""

    rule: Formal
    asked: bool
    clause: str
    unverified: bool
    findings: tuple[str, ...] = ()


def missing(record: Record, given: Given) -> list[Missing]:
    """Everything that is not there and that a standard of this visit asks for, or good order does."""
    named = {law.id for law in given.laws}
    out = []
    for rule in given.duties.formal.values():
        mine = [given.standards.clauses[c] for c in rule.clauses if given.standards.clauses[c].standard in named]
        if not mine and rule.id not in ALWAYS:
            continue
        lacking = _lacking(rule.need, record, rule.clauses)
        if lacking is None:
            continue
        read = [c for c in mine if not c.unverified]
        out.append(Missing(rule, bool(read), read[0].citation if read else "", bool(mine) and not read, lacking))
    return out


def _lacking(need: str, record: Record, clauses: Sequence[str] = ()) -> tuple[str, ...] | None:
    """None where it is there; else the ids of the findings that lack it, or nothing."""
    table, _, key = need.partition(".")
    facts = record.visit
    if need == "finding.parts":
        bare = [f.id for f in record.findings if f.standing == "deficiency" and not _whole(f.narrative)]
        return tuple(bare) or None
    if need == "report.notice":  # the report prints what the ledger holds, beside the list of every finding
        held = {n["clause"] for n in record.coverage.get("notices", ())}
        return None if held & set(clauses) else ()
    if need == "agreement.before":
        signed, begun = _moment(_more(facts, "agreement").get("signed")), facts.started
        if signed is None or begun is None:
            return None
        return () if signed > (begun if begun.tzinfo else begun.replace(tzinfo=UTC)) else None
    value = getattr(facts, key, None) if table in ("visit", "house") else None
    value = value or _more(facts, table).get(key)
    return None if value else ()


def _whole(narrative: Any) -> bool:
    return all(str(getattr(narrative, part)).strip() for part in ("saw", "matters", "do", "who"))


def _more(facts: Facts, table: str) -> dict[str, Any]:
    found = facts.more.get(table, {})
    return found if isinstance(found, dict) else {}


def _moment(value: Any) -> datetime | None:
    """A day or a moment as TOML gives it. A day alone counts from its beginning."""
    if isinstance(value, datetime):
        return value if value.tzinfo else value.replace(tzinfo=UTC)
    return datetime.combine(value, time(), UTC) if isinstance(value, date) else None
