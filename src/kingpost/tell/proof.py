"""How we know, from the checks: the rule, the verdict, and the four lines, always in the same order."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import isfinite

from kingpost.measure.rounding import doubt
from kingpost.visit.record import Check, SourceRef

from .held import on_rule
from .rule import Boxes, Rule, draw
from .values import named, pairs
from .words import BASIS, IN_FORCE, NB, capital, label, listed, sentence, small, tidy

FOUR = ("Measured", "Sum", "Held against", "By its date")
CLEAR = 0.99  # a reading that keeps its limit with this probability is not near it
NOT_YET = "This cannot be told yet. "  # the verdict beside it says so
CODE = re.compile(r"[^,(]*\d[^,(]{0,24}(?=,| \(|$)")  # the section's own number, before what it is about
ONE_DOUBT = re.compile(
    r"(?P<unit>(?: [^\d\s,;()]+)*) \(± (?P<u>\d+(?:\.\d+)?)\)"
)  # one standard uncertainty, as judged


Numbers = Mapping[tuple[str, str], int]  # of the list of sources: by its words and basis


@dataclass(frozen=True, slots=True)
class Cite:
    """A source beside what it supports: section and edition, basis in brackets, its number in the list of sources."""

    text: str
    basis: str
    number: int = 0


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
    brief: bool = False  # nothing is near a limit: told in one breath

    @property
    def open(self) -> bool:
        """Nothing could be held against anything: what was measured, and what is missing, in one line."""
        return not self.rule and {name for name, *_ in self.lines} <= {"Measured", "Not known"}

    @property
    def halves(self) -> tuple[tuple[Line, ...], tuple[Line, ...]]:
        """Measured and sum; held against and by its date."""
        left = tuple(line for line in self.lines if line[0] in FOUR[:2])
        return left, tuple(line for line in self.lines if line[0] not in FOUR[:2])


def check_views(
    checks: Iterable[Check], theme: str = "light", beside: str = "", numbers: Numbers | None = None
) -> list[CheckView]:
    """The checks as they print: those of a kind that say the same become one, with all that was measured.

    beside   prose of the finding; what it says already is not said again
    numbers  of the list of sources; a source without one is named in full
    """
    kinds: dict[tuple[str, ...], list[Check]] = {}
    for check in checks:
        same = (check.check, check.verdict, check.says, check.sum, check.held_against, check.by_its_date)
        kinds.setdefault(same, []).append(check)
    return [_view(same, theme, beside, numbers or {}) for same in kinds.values()]


def _view(same: list[Check], theme: str, beside: str, numbers: Numbers) -> CheckView:
    check = same[0]
    held, cites = _held(check, numbers)
    clear = check.verdict == "meets" and (check.probability is None or check.probability >= CLEAR)
    brief = clear or check.verdict == "not_applicable"
    measured = dict.fromkeys(_twice(c.measured) or pairs(c.inputs) for c in same)
    dated = check.by_its_date or (IN_FORCE.get(check.in_force_when_built, "") if check.sources else "")
    texts = (
        "; ".join(text if not n else small(text) for n, text in enumerate(measured)),
        _twice(check.sum) or pairs(check.computed),
        held,
        "" if brief else dated,  # what is met today needs no date
    )
    lines: list[Line] = [
        (name, tidy(text), cites if name == "Held against" else ()) for name, text in zip(FOUR, texts, strict=True)
    ]
    if not check.says:
        lines.append(("Not known", tidy(listed([named(m)[0] for m in check.missing])), ()))
    shown = None if brief else on_rule(check)
    if isinstance(shown, Boxes) and shown.of == 1:
        shown = None  # one box says no more than the verdict
    says = tidy(sentence(_twice(check.says).removeprefix(NOT_YET if check.verdict == "cannot_tell" else "")))
    if brief and len(measured) == 1 and texts[0] and tidy(texts[0]) in says:
        lines = lines[1:]
    return CheckView(
        check=check,
        ids=tuple(c.id for c in same[1:]),
        title=tidy(check.title or capital(check.check.replace("-", " ").replace("_", " "))),
        says="" if says and says in beside else says,
        rule=draw(shown, theme) if shown else None,
        lines=tuple(line for line in lines if any(line[1:])),
        caution=check.caution,
        brief=brief,
    )


def numbered(checks: Iterable[Check]) -> dict[tuple[str, str], int]:
    """Every source that anything was held against, once, by its words and basis; numbered as the list of sources is."""
    used = {(one.text, one.basis) for c in checks for one in map(cite, c.sources)}
    return {key: n for n, key in enumerate(sorted(used), 1)}


def _held(check: Check, numbers: Numbers) -> tuple[str, tuple[Cite, ...]]:
    """What a check asks for, and its sources: those of the list by section, edition and number, others in full."""
    held, cites = check.held_against or pairs(check.required), []
    for source in check.sources:
        whole = cite(source)
        if number := numbers.get((whole.text, whole.basis), 0):
            named_ = re.escape(", ".join((source.document, source.section, source.edition))) + r" \([^()]*\)"
            held = re.sub(rf"(?:: |; |^){named_}|{named_}(?:; )?", "", held)
            code = CODE.match(source.section)
            part = ", ".join(p for p in (code[0].strip(), source.edition) if p) if code else ""
            cites.append(Cite(tidy(part), whole.basis, number))
        elif (one := cite(source, held)).text or f"({one.basis}" not in held:
            cites.append(one)
    return held.strip(" ;:"), tuple(cites)


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
