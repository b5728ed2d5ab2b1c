"""panel.toml meets the audit of the panel: its rows as readings, one check, and a finding for each thing found."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from kingpost.listen.naming import place_named
from kingpost.measure.conformity import Measured
from kingpost.trade.checks import CheckSpec, Finds, checks, phrases
from kingpost.trade.law import law
from kingpost.trade.model import LEVELS, Trade
from kingpost.visit.facts import Facts, Panel, PanelRow
from kingpost.visit.record import Check, Finding, Narrative, Reading

from .compose import compose
from .findings import capital, digest
from .proven import worded
from .registry import conclude
from .run import judged_year
from .shown import show
from .verdict import Outcome, Rules

NAME = "panel-schedule-audit"
COMPONENT = "electrical_panel"
Words = Callable[[str], Iterable[str]]


def as_written(row: PanelRow) -> str:
    """One row as a reader sees it.

    >>> as_written(PanelRow("panel.toml", 1, "5", 2, 30.0, "10 Cu", "dryer", ("dryer",)))
    'position 5: 2 poles, 30 A, wire 10 Cu, label "dryer"; off with it: dryer'
    """
    if row.more.get("open"):
        return f"position {row.position}: open"
    parts = [f"{row.poles} poles" if row.poles > 1 else "1 pole"]
    parts += [f"{show(row.rating_a)} A"] if row.rating_a is not None else []
    parts += [f"wire {row.conductor}"] if row.conductor else []
    parts += [f'label "{row.label}"' if row.label else "no label"] if row.label is not None else []
    parts += [f"{show(v)} {k.replace('_', ' ')}" for k, v in row.more.items() if k == "wires_under_lug"]
    if row.nameplate:
        units = {"mca_a": "A at least", "mop_a": "A at most", "watts": "W", "volts": "V"}
        plate = [f"{show(row.nameplate[k])} {u}" for k, u in units.items() if k in row.nameplate]
        parts.append(" ".join(["plate", str(row.nameplate.get("name", "")), *plate]).replace("  ", " "))
    text = f"position {row.position}: {', '.join(parts)}"
    return f"{text}; off with it: {', '.join(row.observed)}" if row.observed else text


def readings(panel: Panel, trade: Trade) -> list[Reading]:
    """Every row as a reading, so that a finding can point to its line."""
    place = place_named(panel.place, trade)[0] if panel.place else ""
    return [
        Reading(
            id=digest("q", NAME, row.position, as_written(row)),
            quantity="panel_row",
            value=as_written(row),
            unit="",
            uncertainty=None,
            place=place,
            component=COMPONENT,
            row=f"{row.file}:{row.line}" if row.line else row.file,
        )
        for row in panel.rows
    ]


def _table(row: PanelRow) -> dict[str, Any]:
    """The row as the check takes it."""
    table: dict[str, Any] = {"position": row.position, "poles": row.poles, **row.more}
    for key, value in (("rating_a", row.rating_a), ("label", row.label)):
        if value is not None:
            table[key] = value
    for name, content in (("conductor", row.conductor), ("dead", list(row.observed)), ("nameplate", row.nameplate)):
        if content:
            table[name] = content
    return table


def audit(
    panel: Panel, rows: Sequence[Reading], facts: Facts, words: Words, over: Sequence[Path] = ()
) -> tuple[Check, ...]:
    """The check of the whole panel, and its part for each kind of thing found; by the year the panel was put in."""
    spec = checks(*over)[NAME]
    values: dict[str, Any] = {"rows": [_table(row) for row in panel.rows]}
    if panel.spaces is not None:
        values["spaces"] = Measured(float(panel.spaces))
    if panel.main_present is not None:
        values["main_present"] = panel.main_present
    years = [y for y in (panel.year, judged_year(facts, panel.place, COMPONENT, words)) if y is not None]
    rules = Rules(law(*over), max(years, default=None), facts.jurisdiction)
    outcome = conclude(spec, values, rules)
    shared = phrases(*over)
    name = digest("c", NAME, *(r.id for r in rows))
    whole = compose(spec, values, outcome, rules, shared, name, tuple(r.id for r in rows))
    told = outcome.computed.get("findings", [])
    kinds = dict.fromkeys(t["finding"] for t in told if t["verdict"] == "falls_short")
    return (whole, *(_of_kind(kind, spec, outcome, rules, rows, shared) for kind in kinds))


def _of_kind(
    kind: str, spec: CheckSpec, outcome: Outcome, rules: Rules, rows: Sequence[Reading], shared: Mapping[str, str]
) -> Check:
    """The part of the audit that found one kind of thing: its rows, its rules, its sentences."""
    pairs = zip(outcome.computed["findings"], outcome.held, strict=True)
    mine = [(t, h) for t, h in pairs if t["finding"] == kind and t["verdict"] == "falls_short"]
    at = _rows_of([t for t, _ in mine], rows)
    says = " ".join(str(t["says"]) for t, _ in mine)
    part = Outcome.of(*(h for _, h in mine), words={"count": len(mine), "rows_read": len(at), "all": says})
    part = replace(part, computed={"positions": list(dict.fromkeys(t["position"] for t, _ in mine if t["position"]))})
    ids = tuple(r.id for r in at)
    check = compose(spec, {}, part, rules, shared, digest("c", NAME, kind, *ids), ids)
    return replace(check, measured=capital("; ".join(str(r.value) for r in at)), says=says, sum="", finds=kind)


def _rows_of(told: Sequence[Mapping[str, Any]], rows: Sequence[Reading]) -> list[Reading]:
    """The rows at which it was found, and those that it was held against; the first one for the panel as a whole."""
    by_position = {str(r.value).partition(":")[0].removeprefix("position "): r for r in rows}
    named = dict.fromkeys(p for one in told for p in (one["position"], *one["with"]) if p in by_position)
    return [by_position[p] for p in named] or list(rows[:1])


def findings(
    found: Sequence[Finding], made: Sequence[Check], rows: Sequence[Reading], trade: Trade, mender: Mapping[str, str]
) -> list[Finding]:
    """The findings with what the audit adds: evidence to those already told, a finding for each that nobody told."""
    out = {f.id: f for f in found}
    by_id = {r.id: r for r in rows}
    for check in made:
        if check.finds:
            _add(out, [by_id[r] for r in check.readings], check, checks()[NAME], trade, mender)
    return list(out.values())


def _add(
    out: dict[str, Finding],
    at: Sequence[Reading],
    check: Check,
    spec: CheckSpec,
    trade: Trade,
    mender: Mapping[str, str],
) -> None:
    finds = spec.finds(check.finds) or Finds(check.finds)
    same = next((f for f in out.values() if finds.condition and f.condition == finds.condition), None)
    evidence = tuple({"row": r.row} for r in at if r.row)
    ids = tuple(r.id for r in at)
    if same is not None:
        out[same.id] = replace(
            same,
            checks=tuple(dict.fromkeys((*same.checks, check.id))),
            readings=tuple(dict.fromkeys((*same.readings, *ids))),
            evidence=(*same.evidence, *(e for e in evidence if e not in same.evidence)),
        )
        return
    place, level = (at[0].place, place_named(at[0].place, trade)[1]) if at else ("", "")
    words = worded(spec, finds, trade, mender, COMPONENT)
    name = digest("f", finds.condition or f"{NAME}.{check.finds}")
    out[name] = Finding(
        id=name,
        condition=finds.condition,
        title=words.title,
        system=trade.components[words.component].system,
        component=trade.components[words.component].name,
        place=place,
        standing=check.standing,
        when=words.when,
        at_stake=words.at_stake,
        narrative=Narrative(
            saw=check.says,
            matters=words.matters,
            do=words.do,
            who=capital(", or ".join(trade.people[p].name for p in words.people)),
            how_we_know="The panel was written down row by row; this is what its rows say.",
        ),
        readings=ids,
        checks=(check.id,),
        evidence=evidence,
        confidence=1.0,
        cautions=tuple(dict.fromkeys((*words.cautions, check.caution))),
        level=level if level in LEVELS else "house",
        people=words.people,
        effects=words.effects,
    )
