"""Vague words and overreach in what a client reads, each with the fact that would cure it."""

from __future__ import annotations

import re
from dataclasses import dataclass

from kingpost.trade.duties import Overreach
from kingpost.visit.record import Record

from .contradict import of_finding
from .given import Given
from .words import first, has

MONEY = re.compile(r"\$\s?\d|\b\d[\d,]* dollars\b", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Word:
    """Words to mend: where they stand, what they are, what would cure them."""

    kind: str  # vague, overreach
    rule: str
    words: str
    sentence: str
    finding: str
    cure: str
    clause: str = ""
    unverified: bool = False


def lint(record: Record, given: Given) -> list[Word]:
    """Every vague word and every overreach in the findings. What was said aloud and is quoted is left as it is."""
    out = []
    for f in record.findings:
        seen: set[str] = set()
        for sentence in of_finding(f):
            for word in (*_vague(sentence, f.id, given), *_over(sentence, f.id, record, given)):
                if (key := f"{word.kind}|{word.rule}") not in seen:
                    seen.add(key)
                    out.append(word)
    return out


def _vague(sentence: str, finding: str, given: Given) -> list[Word]:
    out = []
    for v in given.duties.vague.values():
        said = first(sentence, v.said)
        if said and not has(sentence, v.cured):
            out.append(Word("vague", v.id, said, sentence, finding, f"say {v.ask}"))
    return out


def _over(sentence: str, finding: str, record: Record, given: Given) -> list[Word]:
    out = []
    for o in given.duties.overreach.values():
        said = first(sentence, o.said) or (m[0] if o.money and (m := MONEY.search(sentence)) else "")
        if not said or has(sentence, o.unless) or allowed(o, record, given):
            continue
        clause, unverified = _clause(o, given)
        out.append(Word("overreach", o.id, said, sentence, finding, f"take it out: {o.why}", clause, unverified))
    return out


def allowed(o: Overreach, record: Record, given: Given) -> bool:
    """Whether the firm always gives it (`[scope] extras`), or the state asks for it."""
    scope = record.visit.more.get("scope", {})
    extras = scope.get("extras", []) if isinstance(scope, dict) else []
    if o.id in extras:
        return True
    answer = given.standards.answer(o.switch, record.visit.jurisdiction) if o.switch else None
    return answer is not None and answer.basis != "memory" and answer.value in o.allowed


def _clause(o: Overreach, given: Given) -> tuple[str, bool]:
    """The clause that leaves it out, one that was read before one from memory; its citation only where it was read."""
    named = {law.id for law in given.laws}
    fit = [
        c
        for c in given.standards.clauses.values()
        if c.standard in named
        and c.home == "exempts"
        and c.reason in o.reasons
        and (not o.about or any(w in f"{c.about} {c.says}" for w in o.about))
    ]
    if not fit:
        return "", True
    best = min(fit, key=lambda c: (c.unverified, bool(c.parts), c.key))
    return ("" if best.unverified else best.citation), best.unverified
