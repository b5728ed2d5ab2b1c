"""One event of a journal: its canonical form, its digest, and what makes a line an event (docs/journal.md).

The canonical form is RFC 8785 (JSON Canonicalization Scheme): the same event has the same bytes in Python and in a
browser. Standard library only, so that the app runs this very file.
"""

from __future__ import annotations

import hashlib
import json
import math
import re
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from .journal_clock import is_clock

VERSION = 1
MOST_BYTES = 65_536  # of one event; a person's words fit, a picture does not
DEEPEST = 20  # levels of an event
ENVELOPE = ("v", "device", "seq", "id", "prev", "hlc", "at", "kind")
_DEVICE = re.compile(r"[a-z0-9]{8,32}", re.ASCII)
_KIND = re.compile(r"[a-z][a-z_]{0,39}", re.ASCII)
_DIGEST = re.compile(r"[0-9a-f]{64}", re.ASCII)
_WHOLE = 2**53  # above it not every whole number is a number of ECMAScript
_TINY, _HUGE = -6, 21  # powers of ten between which ECMAScript writes a number without an exponent


class NoEvent(ValueError):
    """Why something is no event, for a person."""


@dataclass(frozen=True, slots=True)
class Event:
    """One event, with where it was read. `body` holds the fields of its kind."""

    id: str
    device: str
    seq: int
    prev: str
    hlc: str
    at: str
    kind: str
    body: dict[str, Any]
    digest: str
    v: int = VERSION
    file: str = field(default="", compare=False)
    line: int | None = field(default=None, compare=False)

    @property
    def order(self) -> tuple[str, str, int, str]:
        """By hybrid clock; then by device, number and digest, so that no tie is left open."""
        return self.hlc, self.device, self.seq, self.digest

    @property
    def whole(self) -> dict[str, Any]:
        """The event as it is written."""
        envelope = (self.v, self.device, self.seq, self.id, self.prev, self.hlc, self.at, self.kind)
        return {**self.body, **dict(zip(ENVELOPE, envelope, strict=True))}


def canonical(thing: Any) -> str:
    """RFC 8785. Raises NoEvent for what JSON cannot hold.

    >>> canonical({"b": 1.0, "a": [1e21, 0.000001, -0.0, "é"]})
    '{"a":[1e+21,0.000001,0,"é"],"b":1}'
    """
    return _written(thing, 0)


def digest(thing: Any) -> str:
    """SHA-256 of the canonical form, in hex."""
    try:
        return hashlib.sha256(canonical(thing).encode()).hexdigest()
    except UnicodeEncodeError:
        raise NoEvent("holds half a character (a lone surrogate)") from None


def _written(thing: Any, depth: int) -> str:
    if depth > DEEPEST:
        raise NoEvent(f"is nested deeper than {DEEPEST} levels")
    if thing is None or isinstance(thing, (bool, str)):
        return json.dumps(thing, ensure_ascii=False)
    if isinstance(thing, (int, float)):
        return number(thing)
    if isinstance(thing, (list, tuple)):
        return "[" + ",".join(_written(one, depth + 1) for one in thing) + "]"
    if isinstance(thing, dict) and all(isinstance(key, str) for key in thing):
        keys = sorted(thing, key=lambda k: k.encode("utf-16-be", "surrogatepass"))
        return "{" + ",".join(f"{_written(k, depth)}:{_written(thing[k], depth + 1)}" for k in keys) + "}"
    raise NoEvent(f"holds {type(thing).__name__}, which JSON has not")


def number(value: float) -> str:
    """A number as ECMAScript writes it (ECMA-262, Number::toString). Raises NoEvent for what is no number.

    >>> number(4.50), number(1e30), number(2e-3), number(123456789012345680000), number(5e-324)
    ('4.5', '1e+30', '0.002', '123456789012345680000', '5e-324')
    """
    if isinstance(value, int) and abs(value) <= _WHOLE:
        return str(value)
    try:
        value = float(value)
    except OverflowError:
        raise NoEvent("holds a number that is too large") from None
    if not math.isfinite(value):
        raise NoEvent("holds what is no number")
    if value == 0:
        return "0"
    sign, digits, exponent = _parts(value)
    point = len(digits) + exponent  # where the decimal point stands, counted from the first digit
    if len(digits) <= point <= _HUGE:
        text = digits + "0" * (point - len(digits))
    elif 0 < point <= _HUGE:
        text = f"{digits[:point]}.{digits[point:]}"
    elif _TINY < point <= 0:
        text = "0." + "0" * -point + digits
    else:
        power = point - 1
        text = digits[0] + ("." + digits[1:] if len(digits) > 1 else "") + f"e{'+' if power > 0 else '-'}{abs(power)}"
    return sign + text


def _parts(value: float) -> tuple[str, str, int]:
    """Sign, the shortest digits that give the number back, and the power of ten of the last one."""
    mantissa, _, power = repr(abs(value)).partition("e")
    whole, _, part = mantissa.partition(".")
    digits, exponent = whole + part, int(power or 0) - len(part)
    short = digits.rstrip("0")
    return "-" if value < 0 else "", short.lstrip("0"), exponent + len(digits) - len(short)


def loads(line: str) -> dict[str, Any]:
    """A line of JSON as an object. Raises NoEvent with what is wrong."""

    def refuse(word: str) -> None:
        raise ValueError(f"{word} is no number")

    def once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        out = dict(pairs)
        if len(out) != len(pairs) and "v" in out:  # older lines were read with the later of two
            raise NoEvent("holds a key twice")
        return out

    try:
        said = json.loads(line, parse_constant=refuse, object_pairs_hook=once)
    except NoEvent:
        raise
    except (ValueError, RecursionError):
        raise NoEvent("is not a line of JSON") from None
    if not isinstance(said, dict):
        raise NoEvent("is not a JSON object")
    return said


def event(said: Any, file: str = "", line: int | None = None) -> Event:
    """An object as an event. Raises NoEvent with what is wrong.

    What the fields of its kind hold is not looked at: a newer app may send what only a newer reader knows.
    """
    if not isinstance(said, dict):
        raise NoEvent("is not a JSON object")
    if missing := [key for key in ENVELOPE if key not in said]:
        raise NoEvent(f"has no {missing[0]}")
    v, seq = said["v"], said["seq"]
    if type(v) is not int or v < VERSION:
        raise NoEvent("v is not a version; write 1")
    if type(seq) is not int or not 1 <= seq <= _WHOLE:
        raise NoEvent("seq is not a number from 1")
    _text(said, "device", _DEVICE, "8 to 32 of a-z and 0-9")
    _text(said, "kind", _KIND, "small letters")
    if said["id"] != f"{said['device']}.{seq}":
        raise NoEvent(f'id is not "{said["device"]}.{seq}"')
    if said["prev"] != "":
        _text(said, "prev", _DIGEST, "64 hex digits, or empty for the first")
    if not is_clock(said["hlc"]):
        raise NoEvent("hlc is not a hybrid clock such as 001778594400000-00000")
    moment(said["at"])
    text = canonical(said)
    try:
        data = text.encode()
    except UnicodeEncodeError:
        raise NoEvent("holds half a character (a lone surrogate)") from None
    if len(data) > MOST_BYTES:
        raise NoEvent(f"has {len(data):,} bytes; an event has at most {MOST_BYTES:,}")
    body = {key: value for key, value in said.items() if key not in ENVELOPE}
    known = {key: said[key] for key in ENVELOPE if key != "v"}
    return Event(**known, body=body, digest=hashlib.sha256(data).hexdigest(), v=v, file=file, line=line)


def _text(said: dict[str, Any], key: str, form: re.Pattern[str], asks: str) -> None:
    if not isinstance(said[key], str) or not form.fullmatch(said[key]):
        raise NoEvent(f"{key} is not {asks}")


def moment(at: Any) -> datetime:
    """The time of an event, with its offset. Raises NoEvent."""
    try:
        when = datetime.fromisoformat(at)
        if when.tzinfo is not None and when.timestamp() > 0:
            return when
    except (TypeError, ValueError, OverflowError):
        pass
    raise NoEvent("at is not a time with an offset, such as 2026-05-12T09:14:03-05:00")


def is_digest(text: Any) -> bool:
    """Is it the SHA-256 of something, in hex?"""
    return isinstance(text, str) and _DIGEST.fullmatch(text) is not None
