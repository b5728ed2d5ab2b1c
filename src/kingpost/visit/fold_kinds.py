"""What each kind of event must hold, and the few of its fields whose form matters (docs/journal.md)."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeGuard

from .journal import VERBS
from .journal_form import Event, is_digest

Test = Callable[[Any], bool]


def words(value: Any) -> TypeGuard[str]:
    return isinstance(value, str) and bool(value.strip())


def count(value: Any) -> bool:
    return type(value) is int and 0 <= value < 1_000_000


def amount(value: Any) -> TypeGuard[float]:
    return type(value) in (int, float)


def _value(value: Any) -> bool:
    return amount(value) or words(value)


def truth(value: Any) -> bool:
    return isinstance(value, bool)


def points(value: Any) -> bool:
    """Points in shares of the upright picture."""
    return (
        isinstance(value, list)
        and 1 <= len(value) <= 1000
        and all(isinstance(p, list) and len(p) == 2 and all(amount(x) and 0 <= x <= 1 for x in p) for p in value)
    )


NEEDS: dict[str, dict[str, Test]] = {
    "begin": {"name": words},
    "clock": {"ahead_s": amount},
    "place": {"place": words},
    "word": {"text": words},
    "audio": {"take": words, "piece": count, "media": is_digest, "bytes": count, "type": words},
    "photo": {"media": is_digest, "bytes": lambda n: type(n) is int and n > 0, "type": words},
    "reading": {"quantity": words, "value": _value},
    "tick": {"subject": words},
    "limit": {"text": words, "why": words},
    "open": {"thing": words},
    "close": {"loop": words},
    "hold": {},
    "gate": {"gate": words, "go": truth},
    "pass": {"name": words},
    "mark": {"photo": words, "shape": words, "points": points},
    "decision": {"subject": words, "verb": lambda verb: verb in VERBS},
    "undo": {"event": words},
}


def fault(event: Event) -> str:
    """What is wrong with the fields of an event; "" for one that can be folded, and for a kind we do not know."""
    for key, good in NEEDS.get(event.kind, {}).items():
        if key not in event.body:
            return f"{event.kind} has no {key}"
        if not good(event.body[key]):
            return f"{event.kind} has a {key} that cannot be used"
    return ""
