"""Alarms and other small things that guard people."""

from __future__ import annotations

from kingpost.measure.conformity import minus

from ..given import Given, Missing
from ..registry import check
from ..verdict import UNKNOWN, Held, Outcome, Rules, at_most, every, yes_no

# what is looked for -> the provision that asks for it, oldest first
SMOKE = {
    "each_level": "smoke_present",
    "outside_bedrooms": "smoke_present",
    "hard_wired": "smoke_wired_linked",
    "linked": "smoke_wired_linked",
    "in_bedrooms": "smoke_in_bedrooms",
    "battery_backup": "smoke_battery_backup",
}


@check("smoke-alarm-by-year")
def smoke_alarm_by_year(given: Given, rules: Rules) -> Outcome:
    """None that works is a hazard today; else each part against its own date."""
    if given.no("any_working"):
        return Outcome.of(rules.hold("smoke_working", lambda _: yes_no(False), "working"), tell="none_working")
    held: list[Held] = []
    lacking = []
    for name, provision in SMOKE.items():
        if given.has(name):
            held.append(_there(rules, provision, name, given.yes(name)))
            lacking += [] if given.yes(name) else [name]
    if not held:
        raise Missing("each_level", "outside_bedrooms", "in_bedrooms", "hard_wired", "linked")
    return Outcome.of(*held, words={"lacking": lacking})


def _there(rules: Rules, provision: str, name: str, seen: bool) -> Held:
    return rules.hold(provision, lambda _: yes_no(seen), name)


@check("alarm-age")
def alarm_age(given: Given, rules: Rules) -> Outcome:
    """From the day it was made. Carbon monoxide alarms are made for five to ten years, by their label."""
    if given.has("age_years"):
        age = given.num("age_years")
    elif given.has("made_year"):
        age = minus(given.num("visit_year"), given.num("made_year"))
    else:
        raise Missing("age_years")
    rule, kind = rules.today("alarm_age"), given.word("kind")
    words = {k: rule.number(k) for k in ("co_low_years", "co_high_years")}
    computed = {"age_years": age.value}
    if kind == "smoke":
        key = "max_smoke_years"
    else:
        key = "co_high_years"
        early = every([at_most(age, rule.number("co_low_years"))])
        late = at_most(age, rule.number("co_high_years"))
        if early.verdict == "falls_short" and late.verdict == "meets":
            return Outcome(computed=computed, judged=UNKNOWN, words=words)
    held = rules.hold("alarm_age", lambda r: at_most(age, r.number(key)), key)
    return Outcome.of(held, computed=computed, words={**words, "limit_years": rule.number(key)})


@check("range-anti-tip")
def range_anti_tip(given: Given, rules: Rules) -> Outcome:
    """Engaged or not."""
    return Outcome.of(rules.hold("range_anti_tip", lambda _: yes_no(given.yes("engaged")), "engaged"))
