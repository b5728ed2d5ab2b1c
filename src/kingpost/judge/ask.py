"""`kingpost check NAME key=value…`: one check of the trade, its arithmetic, its provision, its verdict."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from kingpost.measure.conformity import Measured
from kingpost.measure.rounding import plain_number
from kingpost.trade.checks import CheckSpec, Input, checks, phrases
from kingpost.trade.law import Law, law
from kingpost.visit.record import Check, plain

from .compose import compose
from .registry import conclude, registry
from .values import AskError, usual, value_of
from .verdict import Rules

__all__ = ["Answer", "AskError", "listing", "run"]

BUILT = ("built", "permit_year", "year_built", "house_year", "year")
ALTERED = ("altered", "part_year", "alteration_year", "installed")
VERDICT = {
    "meets": "meets",
    "falls_short": "falls short today",
    "cannot_tell": "cannot tell",
    "not_applicable": "nothing to hold it against",
}
IN_FORCE = {
    "yes": "asked for when built",
    "no": "not asked for when built",
    "unknown": "not known whether it was asked for when built",
}


@dataclass(frozen=True, slots=True)
class Answer:
    """What `kingpost check` answers; `check` is the same object that a report holds."""

    check: Check
    questions: tuple[tuple[str, str], ...] = ()  # input that is missing, what to ask on site
    exact: tuple[str, ...] = ()  # numbers given without uncertainty, taken as exact
    usual: tuple[str, float | None] | None = None  # verdict and probability with the usual uncertainties

    def as_json(self) -> str:
        """One JSON object, sorted keys, as the contract lists it."""
        c = self.check
        shown = {
            "check": c.check,
            "inputs": c.inputs,
            "computed": c.computed,
            "required": c.required,
            "verdict": c.verdict,
            "probability": c.probability,
            "standing": c.standing,
            "in_force_when_built": c.in_force_when_built,
            "sources": c.sources,
            "says": c.says,
            "caution": c.caution,
            "missing": c.missing,
            "questions": dict(self.questions),
            "how_we_know": {
                "measured": c.measured,
                "sum": c.sum,
                "held_against": c.held_against,
                "by_its_date": c.by_its_date,
            },
        }
        if self.usual is not None:
            shown["with_usual_uncertainty"] = {"verdict": self.usual[0], "probability": self.usual[1]}
        return json.dumps(plain(shown), sort_keys=True, ensure_ascii=False)

    def text(self) -> str:
        """For a terminal: the verdict first, then what it rests on."""
        c, head = self.check, [VERDICT[self.check.verdict]]
        if c.verdict == "falls_short":
            head += [IN_FORCE[c.in_force_when_built], c.standing]
        lines = ["; ".join(head), c.says]
        for label, value in (
            ("measured", c.measured), ("sum", c.sum), ("held against", c.held_against), ("by its date", c.by_its_date),
            ("caution", c.caution),
        ):  # fmt: skip
            lines += [f"{label:13}{value}"] if value else []
        lines += [f"{'computed':13}{_shown(c.computed)}"] if c.computed and not c.sum else []
        lines += [f"{'missing':13}{name}: {question}" for name, question in self.questions]
        if self.usual is not None:
            word, probability = self.usual
            likely = "" if probability is None else f", probability {plain_number(probability)}"
            lines.append(f"{'taken as':13}exact; with the usual tools it would be: {VERDICT[word]}{likely}")
        return "\n".join(line for line in lines if line)


def _shown(computed: Mapping[str, Any]) -> str:
    return json.dumps(plain(dict(computed)), ensure_ascii=False)


def _spec(name: str, specs: Mapping[str, CheckSpec]) -> CheckSpec:
    wanted = name.strip().lower().replace("_", "-")
    if wanted in specs and wanted in registry():
        return specs[wanted]
    near = get_close_matches(wanted, specs) or [s for s in specs if any(w in s for w in wanted.split("-") if w)]
    mend = "did you mean " + " or ".join(near) + "?" if near else "kingpost check --list shows them all"
    raise AskError(f'check "{name}" is not known; {mend}')


def _input(spec: CheckSpec, name: str) -> tuple[Input, bool] | None:
    """The input that a name means, and whether it is its uncertainty."""
    for one in spec.inputs:
        if name == one.name or name in one.alias:
            return one, False
        if name in (one.u_name, f"u_{one.name}", *(f"u_{a}" for a in one.alias)):
            return one, True
    short = [i for i in spec.inputs if i.name.startswith(name + "_")]
    return (short[0], False) if len(short) == len(short[:1]) and short else None


def _year(name: str, text: str) -> int | None:
    if text.strip() in ("", "null", "None"):
        return None
    if not re.fullmatch("[0-9]{4}", text.strip()):
        raise AskError(f'{name} is "{text}"; write a year, like 1964')
    return int(text)


def _split(pair: str) -> tuple[str, str]:
    name, equals, text = pair.partition("=")
    if not equals:
        raise AskError(f'"{pair}" is not name=value; write it like height=4.0in')
    return name.strip(), text.strip()


def _read_all(spec: CheckSpec, pairs: Sequence[str], known: Law) -> tuple[dict[str, Any], list[int], str | None]:
    values: dict[str, Any] = {}
    spreads: dict[str, Any] = {}
    years: list[int] = []
    jurisdiction = None
    for name, text in map(_split, pairs):
        if found := _input(spec, name):
            one, spread = found
            (spreads if spread else values)[one.name] = (
                _spread(one, name, text) if spread else value_of(one, text, known.quantities)
            )
        elif name in BUILT + ALTERED:
            years += [year] if (year := _year(name, text)) is not None else []
        elif name == "jurisdiction":
            jurisdiction = text or None
        else:
            near = get_close_matches(name, [i.name for i in spec.inputs], 1)
            mend = f"did you mean {near[0]}?" if near else "it takes " + ", ".join(i.name for i in spec.inputs)
            raise AskError(f'{spec.id} takes no "{name}"; {mend}')
    for name, u in spreads.items():
        if values.get(name) is None:
            raise AskError(f"{name} has an uncertainty and no value; give {name}=... too")
        values[name] = _with_spread(values[name], u)
    return values, years, jurisdiction


def _spread(one: Input, name: str, text: str) -> Measured:
    # 0+-u goes through the same strict reader, and a negative one is refused there
    from kingpost.measure.units import UnitError, read

    try:
        return read(f"0 +- {text}", one.unit)[0]
    except UnitError as wrong:
        raise AskError(f"{name}: {wrong}") from None


def _with_spread(value: Any, spread: Measured) -> Any:
    if isinstance(value, Measured):
        return Measured(value.value, spread.u)
    if isinstance(value, list):
        return [Measured(v.value, spread.u) for v in value]
    return tuple(Measured(v.value, spread.u) for v in value)


def run(name: str, pairs: Sequence[str], *over: Path) -> Answer:
    """One check with what was given as `name=value`. Raises AskError with one sentence and its mend."""
    known, specs = law(*over), checks(*over)
    spec = _spec(name, specs)
    values, years, jurisdiction = _read_all(spec, pairs, known)
    if jurisdiction and jurisdiction not in known.jurisdictions:
        near = get_close_matches(jurisdiction, known.jurisdictions) or sorted(known.jurisdictions)
        raise AskError(f'jurisdiction "{jurisdiction}" is not known; write one of {", ".join(near)}, or leave it out')
    rules = Rules(known, max(years, default=None), jurisdiction)
    outcome = conclude(spec, values, rules)
    check = compose(spec, values, outcome, rules, phrases(*over))
    asks = tuple((n, spec.input(n).ask) for n in check.missing if any(i.name == n for i in spec.inputs))
    loose = {n: usual(spec.input(n), v, known.quantities) for n, v in values.items()}
    exact = tuple(n for n in values if loose[n] != values[n])
    other = None
    if exact:
        again = conclude(spec, loose, rules).judged
        other = (again.verdict, again.probability) if again.verdict != check.verdict else None
    return Answer(check, asks, exact, other)


def listing(*over: Path) -> str:
    """Every check, by system, with what it decides and what it takes."""
    lines: list[str] = []
    specs = [s for s in checks(*over).values() if s.id in registry()]
    for system in dict.fromkeys(s.system for s in sorted(specs, key=lambda s: s.system)):
        lines += ["", system.replace("_", " ")] if lines else [system.replace("_", " ")]
        for spec in (s for s in specs if s.system == system):
            takes = " ".join(f"[{i.name}]" if i.optional or i.unless else i.name for i in spec.inputs)
            lines.append(f"  {spec.id:32}{spec.title}: {takes}")
    return "\n".join(lines)
