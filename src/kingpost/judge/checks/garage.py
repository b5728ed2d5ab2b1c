"""Garage."""

from __future__ import annotations

from ..given import Given, Missing
from ..registry import check
from ..verdict import Held, Outcome, Rules, at_most, yes_no

REVERSAL, EYES = "max_reversal_s", "max_eye_height_in"


@check("garage-door-reversal")
def garage_door_reversal(given: Given, rules: Rules) -> Outcome:
    """On contact, in time, and before contact by its photo eyes; each as far as it was tried."""

    def hold(good: bool, key: str) -> Held:
        return rules.hold("garage_door_reversal", lambda _: yes_no(good), key)

    parts: dict[str, Held] = {}
    if given.has("reverses"):
        parts["contact"] = hold(given.yes("reverses"), REVERSAL)
    if given.has("reversal_s"):
        took = given.num("reversal_s")
        parts["time"] = rules.hold("garage_door_reversal", lambda r: at_most(took, r.number(REVERSAL)), REVERSAL)
    if given.has("eyes_work"):
        parts["noeyes"] = hold(given.yes("eyes_work"), EYES)
    if given.has("eye_height_in"):
        height = given.num("eye_height_in")
        parts["eyes"] = rules.hold("garage_door_reversal", lambda r: at_most(height, r.number(EYES)), EYES)
    if not parts:
        raise Missing("reverses")
    rule = rules.today("garage_door_reversal")
    words = {REVERSAL: rule.number(REVERSAL), EYES: rule.number(EYES)}
    short = [k for k, h in parts.items() if h.judged.verdict == "falls_short"]
    return Outcome.of(*parts.values(), words=words, tell=short[0] if len(short) == 1 else "")
