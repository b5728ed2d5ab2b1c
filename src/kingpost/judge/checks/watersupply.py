"""Water supply: flow under use, speed, losses, back-siphonage, old pipes, wells."""

from __future__ import annotations

from typing import Any

from kingpost.measure.conformity import Measured, combine_uncertainty, minus, spread
from kingpost.measure.moist_air import SEA_LEVEL_PSIA, pressure_at_height_psia
from kingpost.measure.pipes import (
    darcy_loss_psi,
    hazen_williams_loss_psi,
    pipe_velocity_ft_s,
    pipe_volume_gal,
    rise_loss_psi,
    seconds_to_run,
    tank_drawdown_gal,
)
from kingpost.measure.tables import band
from kingpost.trade.law import Rule

from ..given import Given, Missing
from ..registry import check
from ..steps import over_classes
from ..verdict import UNKNOWN, Held, Judged, Outcome, Rules, at_least, at_most, yes_no


@check("functional-flow")
def functional_flow(given: Given, rules: Rules) -> Outcome:
    """Pressure left and flow, each against the table of fixtures."""
    fixture, rule = given.word("fixture"), rules.today("functional_flow")
    computed: dict[str, Any] = {
        "required_psi": float(rule.at("psi")[fixture]),
        "required_gpm": float(rule.at("gpm")[fixture]),
    }
    held, found, asked = list[Held](), list[str](), list[str]()
    for name, key, unit in (("flowing_psi", "psi", "psi"), ("flow_gpm", "gpm", "gallons a minute")):
        if given.has(name):
            held.append(_flow(given.num(name), key, fixture, rules))
            found.append(f"{given.value(name):g} {unit}")
            asked.append(f"{rule.at(key)[fixture]:g} {unit}")
    if not held:
        raise Missing("flowing_psi")
    if given.has("static_psi", "flowing_psi"):
        computed["drop_psi"] = given.value("static_psi") - given.value("flowing_psi")
    weak = given.has("static_psi") and held[0].judged.verdict == "falls_short" and given.has("flowing_psi")
    enough = weak and given.value("static_psi") >= rules.today("static_water_pressure").number("min_psi")
    words = {"found": " and ".join(found), "asked": " and ".join(asked)}
    return Outcome.of(*held, computed=computed, words=words, tell="drop" if enough else "")


def _flow(value: Measured, key: str, fixture: str, rules: Rules) -> Held:
    return rules.hold("functional_flow", lambda r: at_least(value, float(r.at(key)[fixture])), key)


@check("pipe-velocity")
def pipe_velocity(given: Given, rules: Rules) -> Outcome:
    """Cold water may run faster than hot."""
    flow, size = given.num("flow_gpm"), given.num("inside_diameter_in")
    speed = combine_uncertainty(pipe_velocity_ft_s, [flow, size])

    def key(rule: Rule, water_f: float) -> str:
        if water_f <= rule.number("cold_to_f"):
            return "cold_ft_s"
        return "hot_ft_s" if water_f <= rule.number("hot_to_f") else "hotter_ft_s"

    rule = rules.today("pipe_velocity")
    if given.has("water") or not given.has("water_f"):
        name = f"{given.word('water') if given.has('water') else 'cold'}_ft_s"
        held = rules.hold("pipe_velocity", lambda r: at_most(speed, r.number(name)), name)
    else:
        water = given.num("water_f")
        name = key(rule, water.value)
        held = rules.hold(
            "pipe_velocity", lambda r: over_classes(water, lambda f: at_most(speed, r.number(key(r, f)))), name
        )
    computed = {"velocity_ft_s": speed.value, "limit_ft_s": rule.number(name)}
    return Outcome.of(held, computed=computed)


@check("pipe-pressure-loss")
def pipe_pressure_loss(given: Given, rules: Rules) -> Outcome:
    """By two formulas, which part by a tenth; and the height."""
    flow, size, length = (given.value(n) for n in ("flow_gpm", "inside_diameter_in", "length_ft"))
    rule = rules.today("pipe_pressure_loss")
    c = given.value("hazen_williams_c") if given.has("hazen_williams_c") else rule.number("hazen_williams_c")
    loss = hazen_williams_loss_psi(flow, size, length, c)
    rise = rise_loss_psi(given.value("rise_ft")) if given.has("rise_ft") else 0.0
    computed = {
        "velocity_ft_s": pipe_velocity_ft_s(flow, size),
        "loss_psi": loss,
        "loss_psi_per_100ft": hazen_williams_loss_psi(flow, size, 100.0, c),
        "loss_psi_darcy_cross_check": darcy_loss_psi(flow, size, length),
        "rise_psi": rise,
        "total_psi": loss + rise,
    }
    held = rules.hold("pipe_pressure_loss", lambda _: Judged("not_applicable"), "hazen_williams_c")
    return Outcome(computed=computed, held=(held,))


@check("crossed-hot-cold")
def crossed_hot_cold(given: Given, rules: Rules) -> Outcome:
    """Hot on the left; the cold tap as cold as the main; nothing at the hot tap with the heater shut."""
    held: dict[str, Held] = {}
    computed: dict[str, float] = {}
    words: dict[str, Any] = {"cold_f": None}
    words["within_f"] = rules.today("cross_flow").number("within_f")
    words["min_warmer_f"] = rules.today("hot_on_left").number("min_warmer_f")
    if given.has("heater_shut_hot_flows"):
        joined = given.yes("heater_shut_hot_flows")
        held["heater"] = rules.hold("cross_flow", lambda _: yes_no(not joined), "within_f")
    if given.has("left_f", "right_f"):
        left, right = given.num("left_f"), given.num("right_f")
        warmer = minus(left, right)
        computed["difference_f"] = warmer.value
        side = rules.hold("hot_on_left", lambda r: at_least(warmer, r.number("min_warmer_f")), "min_warmer_f")
        if side.judged.verdict == "falls_short" and warmer.value > 0:  # alike on both sides: nothing is told
            side = side._replace(judged=Judged("cannot_tell", side.judged.probability))
        held[""] = side
        if given.has("main_f"):
            cold = min(left, right, key=lambda m: m.value)
            over = minus(cold, given.num("main_f"))
            words["cold_f"] = cold.value
            held["cross"] = rules.hold("cross_flow", lambda r: at_most(over, r.number("within_f")), "within_f")
    if not held:
        raise Missing("left_f", "right_f")
    tell = next((k for k, h in held.items() if h.judged.verdict == "falls_short"), "")
    return Outcome.of(*held.values(), computed=computed, words=words, tell=tell)


@check("hot-water-taps")
def hot_water_taps(given: Given, rules: Rules) -> Outcome:
    """Hot at every tap, and alike; one tap tells nothing of the others."""
    taps = given.numbers("taps_f")
    coolest, hottest = (choose(taps, key=lambda m: m.value) for choose in (min, max))
    apart = spread(taps)
    computed = {"coolest_f": coolest.value, "hottest_f": hottest.value, "spread_f": apart.value}
    warm = rules.hold("hot_water_taps", lambda r: at_least(coolest, r.number("min_f")), "min_f")
    if len(taps) <= 1:
        return Outcome(computed=computed, judged=UNKNOWN, tell="one")
    alike = rules.hold("hot_water_taps", lambda r: at_most(apart, r.number("max_spread_f")), "max_spread_f")
    tell = "weak" if warm.judged.verdict == "falls_short" and alike.judged.verdict != "falls_short" else ""
    return Outcome.of(alike, warm, computed=computed, tell=tell)


def _gap(rule: Rule, opening: float, near_wall: bool) -> float:
    uppers = rule.at("opening_to_in")
    if opening > uppers[-1]:
        return opening * rule.number("over_near_wall_times" if near_wall else "over_open_times")
    return float(rule.at("near_wall_in" if near_wall else "open_in")[band(opening, uppers)])


@check("air-gap")
def air_gap(given: Given, rules: Rules) -> Outcome:
    """By the opening's class; near a wall more is asked, and where that decides it has to be known."""
    opening, gap = given.num("opening_in"), given.num("gap_in")
    ways = [given.yes("near_wall")] if given.has("near_wall") else [False, True]

    def held(near: bool) -> Held:
        return rules.hold(
            "air_gap",
            lambda r: over_classes(opening, lambda o: at_least(gap, _gap(r, o, near))),
            "near_wall_in" if near else "open_in",
        )

    found = [held(near) for near in ways]
    required = _gap(rules.today("air_gap"), opening.value, ways[0])
    if len({h.judged.verdict for h in found}) > 1:
        return Outcome(computed={"required_in": required}, judged=UNKNOWN, missing=("near_wall",))
    return Outcome.of(found[0], computed={"required_in": required}, required={"required_in": required})


@check("hose-bibb-vacuum-breaker")
def hose_bibb_vacuum_breaker(given: Given, rules: Rules) -> Outcome:
    """There or not."""
    return Outcome.of(rules.hold("hose_vacuum_breaker", lambda _: yes_no(given.yes("present")), "present"))


@check("supply-pipe-era")
def supply_pipe_era(given: Given, rules: Rules) -> Outcome:
    """Lead is a deficiency; what fails early is advice; what solder holds only a laboratory tells."""
    material = given.word("material")
    year = int(given.value("year")) if given.has("year") else rules.year
    rule = rules.today("supply_pipe_old")
    words = {**rule.required, "pipe_year": year}
    words = {k: str(v) for k, v in words.items()}  # years, not numbers with a comma
    if material == "lead":
        return Outcome.of(rules.hold("supply_pipe_lead", lambda _: yes_no(False), "lead_free"))
    if material == "copper":
        before = year is None or year < rule.number("solder_lead_free_from")
        computed = {"before_lead_free": before if year is not None else None}
        return Outcome(computed=computed, judged=UNKNOWN if before else Judged("not_applicable"), words=words,
                       tell="solder" if before else "")  # fmt: skip
    if material == "polybutylene":
        fits = year is None or rule.number("polybutylene_from") <= year <= rule.number("polybutylene_to")
        if not fits:
            return Outcome(computed={"era_fits": False}, judged=UNKNOWN, words=words, tell="wrong_era")
    if material in ("galvanized", "polybutylene"):
        held = rules.hold("supply_pipe_old", lambda _: yes_no(False), "galvanized_to", "polybutylene_from")
        fits = material == "polybutylene" or year is None or year <= rule.number("galvanized_to")
        return Outcome.of(held, computed={"era_fits": fits}, words=words, tell=material)
    return Outcome()


@check("well-pressure-tank")
def well_pressure_tank(given: Given, rules: Rules) -> Outcome:
    """What the tank gives between starts, and from it how long the pump runs; or the time itself."""
    computed: dict[str, float] = {}
    run = given.maybe("run_s")
    names = ("tank_gal", "precharge_psig", "cut_in_psig", "cut_out_psig")
    if run is None or given.has(*names):
        air = given.value("atmosphere_psi") if given.has("atmosphere_psi") else SEA_LEVEL_PSIA
        if given.has("elevation_ft") and not given.has("atmosphere_psi"):
            air = pressure_at_height_psia(given.value("elevation_ft"))
        tank = [given.num(name) for name in names]
        drawdown = combine_uncertainty(lambda v, p, low, high: tank_drawdown_gal(v, p, low, high, air), tank)
        computed["drawdown_gal"] = drawdown.value
        if run is None and given.has("flow_gpm"):
            run = combine_uncertainty(seconds_to_run, [drawdown, given.num("flow_gpm")])
            computed["run_s"] = run.value
    if run is None:
        return Outcome(computed=dict(computed), judged=UNKNOWN, missing=("run_s",), tell="drawdown")
    timed = run
    held = rules.hold("well_pump_cycle", lambda r: at_least(timed, r.number("min_run_s")), "min_run_s")
    return Outcome.of(held, computed=dict(computed), words={"run_s": timed.value})


@check("hot-water-wait")
def hot_water_wait(given: Given, rules: Rules) -> Outcome:
    """The water that stood in the pipe has to run out first, and the pipe has to warm."""
    volume = pipe_volume_gal(given.value("inside_diameter_in"), given.value("length_ft"))
    wait = seconds_to_run(volume, given.value("flow_gpm"))
    longer = rules.today("hot_water_wait").number("warming_times")
    held = rules.hold("hot_water_wait", lambda _: Judged("not_applicable"), "warming_times")
    return Outcome(computed={"volume_gal": volume, "wait_s": wait, "likely_wait_s": longer * wait}, held=(held,))


@check("fixture-water-use")
def fixture_water_use(given: Given, rules: Rules) -> Outcome:
    """Each that was read against what new ones use: information only."""
    held, used, most = list[Held](), list[str](), list[str]()
    rule = rules.today("fixture_water_use")
    for name, key, unit in (
        ("flush_gal", "max_flush_gal", "gallons a flush"),
        ("shower_gpm", "max_shower_gpm", "gallons a minute"),
        ("basin_gpm", "max_basin_gpm", "gallons a minute"),
    ):
        if given.has(name):
            held.append(_use(given.num(name), key, rules))
            used.append(f"{given.value(name):g} {unit}")
            most.append(f"{rule.number(key):g}")
    if not held:
        raise Missing("flush_gal")
    return Outcome.of(*held, words={"used": " and ".join(used), "most": " and ".join(most)})


def _use(value: Measured, key: str, rules: Rules) -> Held:
    return rules.hold("fixture_water_use", lambda r: at_most(value, r.number(key)), key)
