"""One concluded check as the record keeps it: the verdict, its sources, and the lines a reader reads."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from kingpost.measure.conformity import Measured
from kingpost.measure.rounding import doubt
from kingpost.trade.checks import CheckSpec, Input
from kingpost.visit.record import Check, SourceRef

from .registry import Candidates
from .shown import GAP, WORDS, fill, series, show, with_doubt, with_unit
from .verdict import Held, Outcome, Rules, standing

Phrases = Mapping[str, str]


def plain_input(value: Any) -> Any:
    """An input as JSON holds it; a number without its uncertainty."""
    if isinstance(value, Measured):
        return value.value
    if isinstance(value, (list, tuple)):
        return [plain_input(v) for v in value]
    return value


def inputs_of(spec: CheckSpec, values: Mapping[str, Any]) -> dict[str, Any]:
    """The inputs by name, uncertainties beside them under their own names."""
    out: dict[str, Any] = {}
    for one in spec.inputs:
        value = values.get(one.name)
        if value is None:
            continue
        out[one.name] = plain_input(value)
        u = _common_doubt(value)
        if u > 0.0:
            out[one.u_name or f"u_{one.name}"] = u
    return out


def _common_doubt(value: Any) -> float:
    """The uncertainty of a number, or that of each in a row of numbers; 0 where there is none or they differ."""
    row = value if isinstance(value, (list, tuple)) and not isinstance(value, Measured) else [value]
    doubts = {v.u if isinstance(v, Measured) else 0.0 for v in row}
    return doubts.pop() if len(doubts) == 1 else 0.0


def _named(one: Input, value: Any) -> str:
    label = one.label or one.name.removesuffix("_" + one.unit.replace("/", "_")).replace("_", " ")
    if isinstance(value, Candidates):
        return f"{label} {series([show(v) for v in value], 'or')}"
    if (
        isinstance(value, (list, tuple))
        and value
        and isinstance(value[0], Measured)
        and not isinstance(value, Measured)
    ):
        return f"{label} {series([with_doubt(v) for v in value])} {WORDS.get(one.unit, one.unit)}".strip()
    if isinstance(value, (list, dict)) and one.takes == "json":
        return label
    return f"{label} {with_unit(value, one.unit)}"


def _measured(spec: CheckSpec, values: Mapping[str, Any]) -> str:
    parts = [_named(i, values[i.name]) for i in spec.inputs if values.get(i.name) is not None]
    text = ", ".join(parts)
    return text[:1].upper() + text[1:]


def _held_against(
    spec: CheckSpec, outcome: Outcome, names: Mapping[str, Any], sources: Sequence[SourceRef], phrases: Phrases
) -> str:
    asked = fill(str(spec.tell.get("required", "")), names) if outcome.required else ""
    asked = "" if GAP in asked else asked
    cited = [f"{s.document}, {s.section}, {s.edition} ({phrases['basis_' + s.basis]})" for s in sources]
    return ": ".join(p for p in (asked, "; ".join(cited)) if p)


def _by_its_date(held: Held | None, rules: Rules, phrases: Phrases) -> str:
    if held is None:
        return ""
    provision = held.selected.provision
    first = provision.rules[0] if held.selected.reason == "not_researched" else held.rule
    edition = rules.law.editions[first.edition]
    words = {"year": str(rules.year) if rules.year else None, "edition": f"{edition.document} {edition.year}"}
    if provision.kind == "advice":
        key = "date_advice"
    elif held.rule is not held.selected.rule:
        key = "date_older_rule"
    elif held.in_force in ("yes", "no"):
        key = f"date_{held.in_force}"
    else:
        reasons = {"no_year": "date_no_year", "not_researched": "date_not_researched", "before": "date_older_maybe"}
        key = reasons.get(held.selected.reason, "date_window")
    text = fill(phrases[key], words)
    if provision.hazard_now and held.in_force != "yes":
        text += " " + phrases["date_hazard"]
    return text


def _says(spec: CheckSpec, outcome: Outcome, names: Mapping[str, Any], measured: str, phrases: Phrases) -> str:
    verdict, words = outcome.judged.verdict, {**names, "measured": measured}
    if outcome.missing and verdict == "cannot_tell" and not outcome.tell:
        asks = [spec.input(n).ask for n in outcome.missing if any(i.name == n for i in spec.inputs)]
        return fill(phrases["missing"], {"asks": " ".join(asks)})
    shared = outcome.tell in phrases and outcome.tell not in spec.tell
    for key in () if shared else filter(None, (outcome.tell, verdict if verdict != "cannot_tell" else "")):
        if template := spec.tell.get(key):
            return fill(str(template), words)
    if outcome.tell in phrases:
        could = [series([show(v) for v in c], "or") for c in outcome.words.get("could_be", [])]
        return fill(phrases[outcome.tell], {**words, "could_be": series(could)})
    if verdict == "cannot_tell":
        if outcome.judged.needed_u == 0.0:
            return fill(phrases["at_limit"], words)
        if outcome.judged.needed_u is not None:
            words["needed"] = f"± {doubt(outcome.judged.needed_u)}"
            return fill(str(spec.tell.get("cannot_tell") or phrases["unsure"]), words)
        return fill(str(spec.tell.get("cannot_tell") or phrases["unsure_plain"]), words)
    if verdict == "not_applicable" and "information" in spec.tell:
        return fill(str(spec.tell["information"]), words)
    return fill(phrases[verdict], words)


def compose(
    spec: CheckSpec,
    values: Mapping[str, Any],
    outcome: Outcome,
    rules: Rules,
    phrases: Phrases,
    id: str = "",
    readings: tuple[str, ...] = (),
) -> Check:
    """The outcome of one run as the record keeps it. Same input, same words."""
    deciding = outcome.deciding
    first = deciding[0] if deciding else None
    sources = tuple(
        dict.fromkeys(
            SourceRef(s.document, s.section, s.edition, s.basis)
            for h in (*deciding, *outcome.held)
            for s in rules.law.sources_of(h.rule, h.keys if isinstance(h.rule.required, dict) else ())
        )
    )
    measured = _measured(spec, values)
    names = {**values, **outcome.required, **outcome.computed, **outcome.words, "built": rules.year}
    names |= {k: 2 * u for k, u in outcome.computed.items() if k.startswith("u_")}  # doubt is told at two uncertainties
    if first is not None:
        names["since"] = str(rules.law.editions[first.rule.edition].year)  # a year, not a number with a comma
    arithmetic = fill(str(spec.tell.get("sum", "")), names) if outcome.computed else ""
    return Check(
        id=id,
        check=spec.id,
        inputs=inputs_of(spec, values),
        computed=dict(outcome.computed),
        required=dict(outcome.required),
        verdict=outcome.judged.verdict,
        probability=outcome.judged.probability,
        in_force_when_built=first.in_force if first is not None else "unknown",
        sources=sources,
        standing=outcome.standing or standing(outcome.judged.verdict, deciding, spec.information),
        says=_says(spec, outcome, names, measured, phrases),
        caution=spec.caution,
        missing=tuple(outcome.missing),
        title=spec.title,
        measured=measured,
        sum="" if GAP in arithmetic else arithmetic,  # not everything was measured: no sum
        held_against=_held_against(spec, outcome, names, sources, phrases),
        by_its_date=_by_its_date(first, rules, phrases) if outcome.judged.verdict != "not_applicable" else "",
        readings=readings,
    )
