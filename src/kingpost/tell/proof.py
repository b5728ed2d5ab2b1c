"""How we know, from the checks: the rule, the verdict, and the four lines, always in the same order."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from math import isfinite

from kingpost.visit.record import Check, SourceRef

from .held import on_rule
from .rule import Rule, draw
from .values import doubt, named, pairs
from .words import BASIS, IN_FORCE, NB, capital, label, listed, sentence, tidy

FOUR = ("Measured", "Sum", "Held against", "By its date")
ONE_DOUBT = re.compile(
    r"(?P<unit>(?: [^\d\s,;()]+)*) \(± (?P<u>\d+(?:\.\d+)?)\)"
)  # one standard uncertainty, as judged


@dataclass(frozen=True, slots=True)
class Cite:
    """A source beside what it supports; basis goes in brackets."""

    text: str
    basis: str


Line = tuple[str, str, tuple[Cite, ...]]  # its label, what it says, its sources


@dataclass(frozen=True, slots=True)
class CheckView:
    """One check, or several of a kind that say the same: verdict, what it says, its rule and the four lines."""

    check: Check
    ids: tuple[str, ...]  # of the further checks told here
    title: str
    says: str
    rule: Rule | None
    lines: tuple[Line, ...]
    caution: str

    @property
    def open(self) -> bool:
        """Nothing could be held against anything: what was measured, and what is missing, in one line."""
        return not self.rule and {name for name, *_ in self.lines} <= {"Measured", "Not known"}

    @property
    def halves(self) -> tuple[tuple[Line, ...], tuple[Line, ...]]:
        """Measured and sum; held against and by its date."""
        left = tuple(line for line in self.lines if line[0] in FOUR[:2])
        return left, tuple(line for line in self.lines if line[0] not in FOUR[:2])


def check_views(checks: Iterable[Check], theme: str = "light", beside: str = "") -> list[CheckView]:
    """The checks as they print: those of a kind that say the same become one, with all that was measured.

    beside  prose of the finding; what it says already is not said again
    """
    kinds: dict[tuple[str, ...], list[Check]] = {}
    for check in checks:
        same = (check.check, check.verdict, check.says, check.sum, check.held_against, check.by_its_date)
        kinds.setdefault(same, []).append(check)
    return [_view(same, theme, beside) for same in kinds.values()]


def check_view(check: Check, theme: str = "light") -> CheckView:
    """One check with its four lines; a line with nothing to say is left out."""
    return _view([check], theme, "")


def _view(same: list[Check], theme: str, beside: str) -> CheckView:
    check = same[0]
    held = check.held_against or pairs(check.required)
    measured = dict.fromkeys(_twice(c.measured) or pairs(c.inputs) for c in same)
    texts = (
        "; ".join(text if not n else text[:1].lower() + text[1:] for n, text in enumerate(measured)),
        _twice(check.sum) or pairs(check.computed),
        held,
        check.by_its_date or (IN_FORCE.get(check.in_force_when_built, "") if check.sources else ""),
    )
    cites = tuple(c for c in (cite(source, held) for source in check.sources) if c.text or f"({c.basis}" not in held)
    lines: list[Line] = [
        (name, tidy(text), cites if name == "Held against" else ()) for name, text in zip(FOUR, texts, strict=True)
    ]
    if not check.says:
        lines.append(("Not known", tidy(listed([named(m)[0] for m in check.missing])), ()))
    shown = on_rule(check)
    says = tidy(sentence(_twice(check.says)))
    return CheckView(
        check=check,
        ids=tuple(c.id for c in same[1:]),
        title=tidy(check.title or capital(check.check.replace("-", " ").replace("_", " "))),
        says="" if says and says in beside else says,
        rule=draw(shown, theme) if shown else None,
        lines=tuple(line for line in lines if any(line[1:])),
        caution=check.caution,
    )


def _twice(text: str) -> str:
    """Doubt as the report prints it, at two standard uncertainties: "36.25 in (± 0.06)" is "36.25 ± 0.12 in".

    >>> _twice("Gap 2 in (± 0.0625), width 40 in (± 0.25), slope 5 in 12 (± 0.25)").replace(NB, " ")
    'Gap 2 ± 0.13 in, width 40 ± 0.5 in, slope 5 in 12 (± 0.5)'
    """

    def told(found: re.Match[str]) -> str:
        u = float(found["u"])
        if not u or not isfinite(u):
            return found["unit"]
        return f"{NB}±{NB}{doubt(u)}{found['unit'].replace(' ', NB)}"

    text = re.sub(r"(?<=in 12) \(± ([\d.]+)\)", lambda m: f"{NB}(±{NB}{doubt(float(m[1]))})", text)  # two numbers
    return ONE_DOUBT.sub(told, text)


def cite(source: SourceRef, beside: str = "") -> Cite:
    """A source in one line; what the text beside it already names is not said twice."""
    parts = [p for p in (source.document, source.section, source.edition) if p and p not in beside]
    return Cite(tidy(", ".join(parts)), label(source.basis, BASIS))
