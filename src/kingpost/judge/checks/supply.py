"""Water supply, hot water, and the relief valve."""

from __future__ import annotations

from kingpost.measure.conformity import SURE, Measured, decide, probability_within
from kingpost.measure.scald import seconds_to_burn

from ..given import Given, Missing
from ..registry import check
from ..verdict import Held, Outcome, Rules, at_least, at_most, every, within_limits, yes_no


@check("static-water-pressure")
def static_water_pressure(given: Given, rules: Rules) -> Outcome:
    """One reading between both limits; or several, each against the upper one that is given."""
    rule = rules.today("static_water_pressure")
    high = given.value("upper_limit_psi") if given.has("upper_limit_psi") else rule.number("max_psi")
    if given.has("readings_psi"):
        sure = given.value("decision_probability") if given.has("decision_probability") else SURE
        likely = [probability_within(r.value, r.u, high=high) for r in given.numbers("readings_psi")]
        verdicts = [decide(p, sure) for p in likely]
        worst = every(at_most(r, high) for r in given.numbers("readings_psi"))
        held = rules.hold("static_water_pressure", lambda _: worst, "max_psi")
        computed = {"probability_meets": likely, "verdicts": verdicts}
        words = {"pressure_psi": [r.value for r in given.numbers("readings_psi")], "min_psi": rule.number("min_psi")}
        return Outcome.of(held, computed=computed, words=words, tell="high" if "falls_short" in verdicts else "")
    pressure, low = given.num("pressure_psi"), rule.number("min_psi")
    held = rules.hold("static_water_pressure", lambda _: within_limits(pressure, low, high), "min_psi", "max_psi")
    computed_one = {"probability_meets": held.judged.probability}
    tell = ""
    if held.judged.verdict == "falls_short":
        tell = "high" if pressure.value > high else "weak"
    return Outcome.of(held, computed=computed_one, tell=tell)


def _seconds(water_f: float, rules: Rules) -> float:
    rule = rules.today("scald_time")
    return seconds_to_burn(water_f, rule.at("water_f"), rule.at("seconds"))


@check("scald-time")
def scald_time(given: Given, rules: Rules) -> Outcome:
    """Seconds by the printed table."""
    held = rules.hold("scald_time", lambda _: every(()), "seconds")
    return Outcome(computed={"seconds": _seconds(given.value("water_f"), rules)}, held=(held,), required={})


def _hot(water: Measured, fixture: str, rules: Rules) -> tuple[list[Held], float]:
    if fixture in ("tub", "shower", "bidet"):
        key = "max_bidet_f" if fixture == "bidet" else "max_tub_f"
        held = [rules.hold("hot_water_limit", lambda r: at_most(water, r.number(key)), key)]
        danger = rules.hold("hot_water_danger", lambda r: at_most(water, r.number("max_f")), "max_f")
        if danger.judged.verdict == "falls_short":
            held.insert(0, danger)
        return held, held[-1].rule.number(key)
    usual = rules.hold("hot_water_usual", lambda r: at_most(water, r.number("max_f")), "max_f")
    return [usual], usual.rule.number("max_f")


@check("hot-water-temperature")
def hot_water_temperature(given: Given, rules: Rules) -> Outcome:
    """Too hot by the tap it comes from, or lukewarm."""
    water = given.num("water_f")
    held, limit = _hot(water, given.word("fixture"), rules)
    table = rules.today("scald_time").at("water_f")
    computed = {}
    if table[0] <= water.value <= table[-1]:
        computed["seconds"] = _seconds(water.value, rules)
    weak = rules.hold("hot_water_usual", lambda r: at_least(water, r.number("min_f")), "min_f")
    words = {"limit_f": limit, "seconds": computed.get("seconds", 1.0)}
    if given.word("fixture") != "bidet" and weak.judged.verdict == "falls_short":
        return Outcome.of(weak, computed=computed, words=words, tell="weak")
    return Outcome.of(*held, computed=computed, words=words)


@check("relief-valve-discharge")
def relief_valve_discharge(given: Given, rules: Rules) -> Outcome:
    """First whether the valve can open at all, then what its pipe does; each part by itself."""
    rule = rules.today("relief_discharge")
    held: dict[str, Held] = {}
    if given.no("valve_present") or (given.has("capped") and given.yes("capped")):
        held["free"] = rules.hold("relief_valve_free", lambda _: yes_no(False), "free")
        return Outcome.of(*held.values(), tell="free")
    if given.no("pipe_present"):
        held["nopipe"] = rules.hold("relief_discharge", lambda _: yes_no(False), "max_above_floor_in")
        return Outcome.of(*held.values(), tell="nopipe")
    judged = []
    if given.has("height_in"):
        height = given.num("height_in")
        held["high"] = rules.hold(
            "relief_discharge", lambda r: at_most(height, r.number("max_above_floor_in")), "max_above_floor_in"
        )
    if given.has("size_in"):
        judged.append(at_least(given.num("size_in"), rule.number("min_size_in")))
    judged += [yes_no(not given.yes(name)) for name in ("rises", "threaded_end") if given.has(name)]
    if given.has("material"):
        judged.append(yes_no(given.word("material") in rule.at("materials")))
    if judged:
        held["pipe"] = rules.hold("relief_discharge", lambda _: every(judged), "max_above_floor_in", "min_size_in")
    if not held:
        raise Missing("height_in")
    short = [k for k, h in held.items() if h.judged.verdict == "falls_short"]
    words = {"max_above_floor_in": rule.number("max_above_floor_in")}
    return Outcome.of(*held.values(), words=words, tell="high" if short == ["high"] else "")
