"""Times the arithmetic alone: the checks of a visit, and what the pure core costs to import.

Processor seconds, not the clock's: other programs on the machine do not count.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from dataclasses import dataclass

from kingpost.judge.run import run
from kingpost.trade.law import law
from kingpost.trade.load import trade
from kingpost.trade.model import Quantity
from kingpost.visit.facts import Facts
from kingpost.visit.record import Check, Reading

TRIES = 5
PLACES = ("kitchen", "bathroom", "basement")
CORE = (
    "import importlib, pkgutil, kingpost.measure as core\n"
    "for one in pkgutil.iter_modules(core.__path__): importlib.import_module('kingpost.measure.' + one.name)\n"
)


@dataclass(frozen=True)
class Timed:
    """What was measured: processor seconds, and the size of the work in words."""

    seconds: float
    size: str


def readings(places: Sequence[str] = PLACES[:1]) -> list[Reading]:
    """An invented house read through and through: every quantity that the trade measures, once in each place.

    Numbers lie a third of the way from the least to the most that a quantity can be; what is no number is left out.
    """
    known = [q for q in law().quantities.values() if q.low is not None and q.high is not None]
    return [
        Reading(
            f"q{n}-{place}", q.id, _third(q), q.unit, q.uncertainty, place,
            q.components[0] if q.components else "",
        )
        for place in places
        for n, q in enumerate(known)
    ]  # fmt: skip


def _third(one: Quantity) -> float:
    low, high = one.low or 0.0, one.high or 1.0
    return round(low + (high - low) / 3, 3)


def checked(read: Sequence[Reading]) -> tuple[Check, ...]:
    """Their checks, on a house of 1964."""
    return run(read, Facts(built=1964), trade())


def checks_of(places: Sequence[str]) -> Timed:
    """All checks of that house, warm; the best of some tries."""
    read = readings(places)
    made = checked(read)
    spent = []
    for _ in range(TRIES):
        began = time.process_time()
        checked(read)
        spent.append(time.process_time() - began)
    decided = sum(check.verdict != "cannot_tell" for check in made)
    return Timed(min(spent), f"{len(read)} readings, {len(made)} checks, {decided} decided")


def core_import() -> Timed:
    """`kingpost.measure` with all its modules in a fresh interpreter, less the bare one; the best of some tries."""
    with tempfile.TemporaryDirectory() as kept:
        with_core = min(_spent(CORE, kept) for _ in range(TRIES))
        bare = min(_spent("pass", kept) for _ in range(TRIES))
    return Timed(with_core - bare, "kingpost.measure, all modules, beyond a bare interpreter")


def _spent(code: str, bytecode: str) -> float:
    """Processor seconds of `python -c code`, with its bytecode kept from try to try as an installed program has it."""
    kept = {**os.environ, "PYTHONPYCACHEPREFIX": bytecode, "PYTHONDONTWRITEBYTECODE": ""}
    with subprocess.Popen([sys.executable, "-c", code], env=kept) as going:
        _, status, used = os.wait4(going.pid, 0)
        going.returncode = os.waitstatus_to_exitcode(status)
    return used.ru_utime + used.ru_stime
