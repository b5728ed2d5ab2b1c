"""Heat through walls and ceilings, and the money in it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import sqrt
from typing import Any

from kingpost.measure.conformity import Measured
from kingpost.measure.heat import (
    BTU_PER_MMBTU,
    layers_r,
    loss_btu_per_h,
    parallel_u,
    payback_years,
    plane_temperature_f,
    yearly_btu,
)
from kingpost.trade.law import Rule

from ..given import Given, Missing
from ..registry import check
from ..verdict import Outcome, Rules


def _layer(entry: Any, rule: Rule) -> Measured:
    """A number is its R; else a known material by its thickness, or a known layer."""
    if isinstance(entry, (int, float)) and not isinstance(entry, bool):
        return Measured(float(entry))
    one: Mapping[str, Any] = {"material": entry} if isinstance(entry, str) else entry
    if "r" in one:
        return Measured(float(one["r"]), float(one.get("u_r", 0)))
    name = str(one["material"])
    known: Mapping[str, Any] = rule.required if isinstance(rule.required, dict) else {}
    if name not in known:
        raise ValueError(f"{name} is not a material of the list; give its r")
    low, high = known[name] if isinstance(known[name], list) else (known[name], known[name])
    thick = float(one["thickness_in"]) if isinstance(known[name], list) else 1.0
    half = (high - low) / (1 + 1) / sqrt(1 + 1 + 1)  # a range has its half width by the root of three
    return Measured((low + high) / (1 + 1) * thick, half * thick)


def _total(given: Given, rules: Rules, name: str = "layers") -> Measured:
    entries: Sequence[Any] = given.data(name)
    layers = [_layer(e, rules.today("r_values")) for e in entries]
    if given.has("films"):
        layers += [Measured(r) for r in rules.today("air_films").at(given.word("films"))]
    return layers_r(layers)


@check("assembly-r-value")
def assembly_r_value(given: Given, rules: Rules) -> Outcome:
    """Layers one behind the other, with the films of the air where asked for."""
    total = _total(given, rules)
    return Outcome(
        computed={
            "r_total": total.value,
            "u_r_total": total.u,
            "r_low": total.value - (1 + 1) * total.u,
            "r_high": total.value + (1 + 1) * total.u,
            "u_value": 1 / total.value if total.value > 0 else None,
        }
    )


@check("parallel-path-u")
def parallel_path(given: Given, rules: Rules) -> Outcome:
    """Paths side by side; the mean of the R-values stands beside it as the wrong answer."""
    paths = given.data("paths")
    shares, rs = [float(p["share"]) for p in paths], [float(p["r"]) for p in paths]
    u = parallel_u(shares, rs)
    wrong = sum(s * r for s, r in zip(shares, rs, strict=True))
    return Outcome(computed={"u": u, "r_effective": 1 / u, "wrong_r_average": wrong})


@check("layer-temperature")
def layer_temperature(given: Given, rules: Rules) -> Outcome:
    """At the plane behind so many layers, or behind so much R."""
    indoor, outdoor = given.value("indoor_f"), given.value("outdoor_f")
    if given.has("layers"):
        layers = [_layer(e, rules.today("r_values")) for e in given.data("layers")]
        total = layers_r(layers).value
        count = int(given.value("behind_layer"))
        inside = layers_r(layers[:count]).value if count else 0.0
    else:
        inside, total = given.value("r_to_plane"), given.value("r_total")
    found = plane_temperature_f(indoor, outdoor, inside, total)
    return Outcome(computed={"temperature_f": found, "r_to_plane": inside, "r_total": total})


@check("missing-insulation-loss")
def missing_insulation(given: Given, rules: Rules) -> Outcome:
    """Heat at each R, and what the best saves beside the worst; a small bare part counts for much."""
    rs = [m.value for m in given.numbers("r")]
    area, delta = given.value("area_ft2"), given.value("delta_t_f")
    losses = [loss_btu_per_h(area, delta, r) for r in rs]
    computed: dict[str, Any] = {"btu_per_h": losses, "saved_btu_per_h": abs(losses[0] - losses[-1])}
    if given.has("bare_share") and len(rs) > 1:
        share = given.value("bare_share")
        computed["r_effective"] = 1 / parallel_u([1 - share, share], [max(rs), min(rs)])
    return Outcome(computed=computed)


@check("yearly-heat-energy")
def yearly_heat_energy(given: Given, rules: Rules) -> Outcome:
    """The season's heat of each part, and what an upgrade saves; told as a range."""
    parts, days = given.data("parts"), given.value("hdd_f")
    plant = given.value("efficiency") if given.has("efficiency") else 1.0
    loss = [yearly_btu(float(p["area_ft2"]), float(p["r"]), days, plant) for p in parts]
    total = sum(loss)
    low, high = rules.today("balance_point").at("share")
    computed: dict[str, Any] = {
        "loss_btu": loss,
        "total_btu": total,
        "share": [x / total for x in loss] if total else [],
        "likely_low_mmbtu": low * total / BTU_PER_MMBTU,
        "likely_high_mmbtu": high * total / BTU_PER_MMBTU,
    }
    words = {}
    if given.has("upgrade"):
        upgrade = given.data("upgrade")
        index = int(upgrade["part"])
        area = float(parts[index]["area_ft2"])
        saved = (loss[index] - yearly_btu(area, float(upgrade["r"]), days, plant)) / BTU_PER_MMBTU
        computed |= {"window_share": loss[index] / total, "part_share": loss[index] / total, "saved_mmbtu": saved}
        if "price_per_mmbtu" in upgrade:
            money = saved * float(upgrade["price_per_mmbtu"])
            computed["saved_per_year"] = money
            words = {"money_low": low * money, "money_high": high * money}
            if "cost" in upgrade:
                computed["payback_years"] = payback_years(float(upgrade["cost"]), money)
    tell = "money" if words else ""
    return Outcome(computed=computed, words=words, tell=tell)


@check("upgrade-payback")
def upgrade_payback(given: Given, rules: Rules) -> Outcome:
    """Cost over what is saved in a year; nothing saved is never paid back."""
    if given.has("saved_per_year"):
        saved = given.value("saved_per_year")
    elif given.has("saved_mmbtu"):
        saved = given.value("saved_mmbtu") * given.value("price_per_mmbtu")
    else:
        raise Missing("saved_per_year")
    years = payback_years(given.value("cost"), saved)
    return Outcome(computed={"payback_years": years, "saved_per_year": saved})
