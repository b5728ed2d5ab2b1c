"""A reading as it is typed in the field: what the report's checks say of it, at once.

Standard library only: the phone runs this file in its page (docs/app.md), the server runs it too, and both go the way
that the report goes (`judge.run`). A reading is held together with the earlier ones, as the report would.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from functools import cache
from math import isfinite
from typing import Any

from kingpost.trade.load import trade
from kingpost.trade.model import Trade
from kingpost.visit.facts import Alteration, Facts
from kingpost.visit.record import Check, Reading, plain

from .run import run

ORDER = ("falls_short", "cannot_tell", "meets", "not_applicable")


@cache
def _trade() -> Trade:
    return trade()


def warm() -> None:
    """Loads what a verdict needs, so that the first one does not wait."""
    answer(json.dumps({"facts": {}, "readings": [{"quantity": "riser_height", "value": 1, "unit": "in"}]}))


def answer(asked: str) -> str:
    """JSON in, JSON out, for a page: {"facts": {...}, "readings": [..., the newest]} to {"checks": [...]}."""
    given = json.loads(asked)
    found = checks_of(given.get("readings", []), given.get("facts", {}))
    return json.dumps({"checks": [plain(c) for c in found]}, sort_keys=True, ensure_ascii=False)


def checks_of(readings: Sequence[Mapping[str, Any]], facts: Mapping[str, Any]) -> list[Check]:
    """The checks that use the last of these readings, the worst verdict first.

    readings  quantity, value, unit, uncertainty (one standard uncertainty), place (an id), component (an id)
    facts     built (year), jurisdiction, alterations [{what, year}]
    """
    made = [r for n, row in enumerate(readings) if (r := _reading(n, row)) is not None]
    if not made:
        return []
    last = made[-1].id
    found = [c for c in run(made, _facts(facts), _trade()) if last in c.readings]
    return sorted(found, key=lambda c: (ORDER.index(c.verdict), -(c.probability or 0.0), c.check))


def _reading(n: int, row: Mapping[str, Any]) -> Reading | None:
    value, unit = row.get("value"), str(row.get("unit", ""))
    if isinstance(value, bool) or not isinstance(value, (int, float, str)):
        return None
    if not isinstance(value, str) and not isfinite(value):
        return None
    u = row.get("uncertainty")
    doubt = float(u) if isinstance(u, (int, float)) and not isinstance(u, bool) and isfinite(u) and u >= 0 else None
    number = value if isinstance(value, str) else float(value)
    where = (str(row.get("place", "")), str(row.get("component", "")))
    return Reading(f"q{n}", str(row.get("quantity", "")), number, unit, doubt, *where, start=float(n))


def _facts(given: Mapping[str, Any]) -> Facts:
    built, law = given.get("built"), given.get("jurisdiction")
    later = [a for a in given.get("alterations", []) if isinstance(a, Mapping)]
    return Facts(
        built=built if isinstance(built, int) and not isinstance(built, bool) else None,
        jurisdiction=law if isinstance(law, str) else None,
        alterations=tuple(
            Alteration(str(a.get("what", "")), y if isinstance(y := a.get("year"), int) else None) for a in later
        ),
    )
