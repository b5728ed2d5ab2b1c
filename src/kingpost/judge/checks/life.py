"""How long parts last, what is left, and what replacing them may cost."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from kingpost.measure.life import (
    Life,
    Part,
    holding_cost,
    life_of_range,
    life_of_typical,
    median_remaining_years,
    replaced_within,
)

from ..given import Given, Missing
from ..registry import check
from ..verdict import Outcome, Rules

SOURCES = ("lives_s1", "lives_s2", "lives_s3", "lives_s4", "lives_s5", "lives_s6")


def _of_row(row: Mapping[str, Any], shape: float) -> Life | None:
    """No life for what is only "50 or more"."""
    if "low" in row and "high" in row:
        return life_of_range(float(row["low"]), float(row["high"]))
    return life_of_typical(float(row["typical"]), shape) if "typical" in row else None


def _lives(component: str, rules: Rules) -> dict[str, Life]:
    """Every published life of a component by its source, the preferred one first."""
    shape = rules.today("life_model").number("shape")
    found = {}
    for source in SOURCES:
        required = rules.today(source).required
        row = required.get(component) if isinstance(required, dict) else None
        if row is not None and (life := _of_row(row, shape)) is not None:
            found[source] = life
    if not found:
        raise ValueError(f"no source gives {component.replace('_', ' ')} a life that ends; no estimate is made")
    preferred = rules.today("life_preferred").at("source").get(component)
    return {k: found[k] for k in sorted(found, key=lambda s: s != preferred)}


def _life(given: Given, rules: Rules) -> tuple[Life, dict[str, Any]]:
    """From the component's source, or from the years that were given."""
    if given.has("low_years", "high_years"):
        return life_of_range(given.value("low_years"), given.value("high_years")), {}
    if given.has("typical_years"):
        shape = given.value("shape") if given.has("shape") else rules.today("life_model").number("shape")
        return life_of_typical(given.value("typical_years"), shape), {}
    if not given.has("component"):
        raise Missing("component")
    lives = _lives(given.word("component"), rules)
    first = next(iter(lives))
    others = {k: life.mean_years for k, life in lives.items() if k != first}
    return lives[first], {"source": first, "other_means_years": others}


def _age(given: Given, rules: Rules) -> float:
    """The age, moved by condition; what evidence shows is the least it can be."""
    age = given.value("age_years")
    if given.has("condition"):
        age *= rules.today("effective_age").number(given.word("condition"))
    if given.has("evidence_years"):
        age = max(age, given.value("evidence_years"))
    return age


@check("life-survival")
def life_survival(given: Given, rules: Rules) -> Outcome:
    """Chance of replacement while held, given the age that was reached."""
    life, source = _life(given, rules)
    held = (
        given.value("holding_years")
        if given.has("holding_years")
        else rules.today("life_model").number("holding_years")
    )
    age, u = _age(given, rules), given.num("age_years").u
    chance = replaced_within(life.shape, life.scale_years, age, held)
    computed: dict[str, Any] = {**life._asdict(), "probability": chance, "holding_years": held, **source}
    if u > 0:
        ends = [replaced_within(life.shape, life.scale_years, max(age + d, 0), held) for d in (-u, u)]
        computed |= {"probability_low": ends[0], "probability_high": ends[1]}
    words = {"chance_percent": 100 * chance, "held": held}
    return Outcome(computed=computed, words=words)


@check("expected-remaining")
def expected_remaining(given: Given, rules: Rules) -> Outcome:
    """Half are replaced sooner, half later."""
    life, source = _life(given, rules)
    left = median_remaining_years(life.shape, life.scale_years, _age(given, rules))
    return Outcome(computed={"remaining_years": left, **life._asdict(), **source})


@check("effective-age")
def effective_age(given: Given, rules: Rules) -> Outcome:
    """Years as the condition counts them."""
    given.word("condition")
    return Outcome(computed={"effective_age_years": _age(given, rules)})


def _part(item: Mapping[str, Any], rules: Rules) -> Part:
    shape = rules.today("life_model").number("shape")
    if "low_years" in item:
        life = life_of_range(float(item["low_years"]), float(item["high_years"]))
    elif "typical_years" in item:
        life = life_of_typical(float(item["typical_years"]), shape)
    else:
        lives = _lives(str(item["component"]), rules)
        life = lives[next(iter(lives))]
    cost = item["cost"]
    low, likely, high = (float(c) for c in (cost if isinstance(cost, list) else [cost] * (1 + 1 + 1)))
    age = float(item.get("age_years", 0))
    return Part(life.shape, life.scale_years, age, (low, likely, high), bool(item.get("condemned", False)))


@check("holding-cost")
def holding_cost_check(given: Given, rules: Rules) -> Outcome:
    """Drawn with the visit's own seed; what is condemned counts in full, now."""
    model = rules.today("life_model")
    parts = [_part(item, rules) for item in given.data("items")]
    years = given.value("holding_years")
    rates = [given.value(n) if given.has(n) else 0.0 for n in ("escalation", "discount")]
    common = given.value("correlation") if given.has("correlation") else model.number("correlation")
    cost = holding_cost(parts, years, given.word("visit"), rates[0], rates[1], common, int(model.number("draws")))
    expected = sum(
        (1.0 if p.condemned else replaced_within(p.shape, p.scale_years, p.age_years, years))
        * sum(p.cost)
        / len(p.cost)
        for p in parts
    )
    return Outcome(computed={**cost._asdict(), "one_replacement_each": expected})
