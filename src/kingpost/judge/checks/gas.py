"""Fuel gas."""

from __future__ import annotations

from ..given import Given
from ..registry import check
from ..verdict import Outcome, Rules, at_least, yes_no

NEEDS_NONE = ("range", "dryer", "light", "grill")


@check("sediment-trap")
def sediment_trap(given: Given, rules: Rules) -> Outcome:
    """There, and its stub long enough; some appliances need none."""
    if given.has("appliance") and given.word("appliance") in NEEDS_NONE:
        return Outcome()
    present = rules.hold("sediment_trap", lambda _: yes_no(given.yes("present")), "present", "min_nipple_in")
    if not given.yes("present") or not given.has("nipple_in"):
        return Outcome.of(present)
    stub = given.num("nipple_in")
    long = rules.hold("sediment_trap", lambda r: at_least(stub, r.number("min_nipple_in")), "min_nipple_in")
    return Outcome.of(present, long)
