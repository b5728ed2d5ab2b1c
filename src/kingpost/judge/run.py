"""Every check that the readings of a visit can feed: binding by quantity, component and place; several a house."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from hashlib import blake2b
from math import prod
from pathlib import Path
from typing import Any

from kingpost.trade.checks import CheckSpec, checks, phrases
from kingpost.trade.law import Law, law
from kingpost.trade.model import Trade
from kingpost.visit.facts import Facts
from kingpost.visit.record import Check, Reading, plain

from .binding import Instance, Pool, Said, as_text, instances
from .compose import compose, inputs_of
from .registry import Candidates, conclude, lacking, registry
from .values import AskError, value_of
from .verdict import Outcome, Rules

MOST_TRIES = 100  # of what could not be told; more would be slow, and never agree
Words = Callable[[str], Iterable[str]]


def run(
    readings: Sequence[Reading],
    facts: Facts,
    trade: Trade | None = None,
    words: Words | None = None,
    stated: Sequence[Said] = (),
    over: Sequence[Path] = (),
) -> tuple[Check, ...]:
    """The checks of one visit, by name and place. What nothing was read or said for is not there.

    words    words by which a place or component may be called in visit.toml's alterations; None: those of `trade`
    stated   findings from speech that state a fact: (condition, place, component, remark)
    """
    known, said = law(*over), phrases(*over)
    naming = words or (lambda thing: _trade_words(trade, thing))
    out: dict[str, Check] = {}
    pool = Pool(readings, known)
    for spec in checks(*over).values():
        if spec.id not in registry():
            continue
        for one in instances(spec, pool, stated):
            _facts(spec, one, facts, known)
            rules = Rules(known, judged_year(facts, one.place, one.component, naming), facts.jurisdiction)
            values, outcome = _concluded(spec, one.values, rules)
            name = _id(spec, one)
            check = compose(spec, values, outcome, rules, said, name, tuple(one.used))
            out[name] = replace(check, finds=_finds(spec, outcome, one.component)) if spec.findings else check
    return tuple(out.values())


def _concluded(spec: CheckSpec, values: dict[str, Any], rules: Rules) -> tuple[dict[str, Any], Outcome]:
    """One run. Where only words are missing, each that they could be is tried: if all agree, that is the verdict."""
    outcome = conclude(spec, values, rules)
    open_ends = [i for i in spec.inputs if i.name in outcome.missing and i.choices]
    could = {i.name: Candidates(value_of(i, c, rules.law.quantities) for c in i.choices) for i in open_ends}
    if not could or prod(len(c) for c in could.values()) > MOST_TRIES or lacking(spec, {**values, **could}):
        return values, outcome
    tried = conclude(spec, {**values, **could}, rules)
    if spec.helper or tried.judged.verdict == "cannot_tell" or tried.missing:
        return values, outcome
    told = f"whichever_{tried.judged.verdict}"  # its numbers are those of one of them, so they are not told
    return {**values, **could}, replace(tried, tell=told, computed={}, required={})


def _finds(spec: CheckSpec, outcome: Outcome, component: str) -> str:
    """Which of the things that the check can find: by its sentence, by what was not kept, by the part that was read."""
    keys = [key for held in outcome.deciding for key in (*held.keys, held.selected.provision.id)]
    return next((k for k in (outcome.tell, *keys, component) if k and spec.finds(k) is not None), "")


def judged_year(facts: Facts, place: str, component: str, words: Words) -> int | None:
    """Year of the part: of the newest alteration that names its place or component, else of the house."""
    years = [facts.built] if facts.built is not None else []
    called = {w.lower() for thing in (place, component) if thing for w in words(thing)}
    for change in facts.alterations:
        text = f" {' '.join(change.what.lower().replace(',', ' ').split())} "
        if change.year is not None and any(f" {w} " in text or f" {w}s " in text for w in called):
            years.append(change.year)
    return max(years, default=None)


def _trade_words(trade: Trade | None, thing: str) -> tuple[str, ...]:
    plain_name = (thing.replace("_", " "),)
    if trade is None:
        return plain_name
    if place := trade.places.get(thing):
        return () if place.kind in ("side", "level") else (place.name, *plain_name)
    if component := trade.components.get(thing):
        return (component.name, *plain_name)
    return plain_name


def _id(spec: CheckSpec, one: Instance) -> str:
    content = [spec.id, one.place, one.component, plain(inputs_of(spec, one.values)), list(one.used)]
    text = json.dumps(content, sort_keys=True, ensure_ascii=False)
    return "c" + blake2b(text.encode(), digest_size=6).hexdigest()


def _facts(spec: CheckSpec, instance: Instance, facts: Facts, known: Law) -> None:
    """What visit.toml says, where an input asks for it."""
    for one in spec.inputs:
        if not one.fact or one.name in instance.values:
            continue
        value: Any = facts
        for step in one.fact.split("."):
            value = value.get(step) if isinstance(value, dict) else getattr(value, step, None)
        if value is not None and value != "" and value is not False:  # a gas that is off says nothing of the house
            try:
                instance.values[one.name] = value_of(one, as_text(value), known.quantities)
            except AskError:
                continue  # the visit names it as trouble; a check does not stop for it
