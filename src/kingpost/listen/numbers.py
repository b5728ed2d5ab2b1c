"""Numbers as they are spoken: "twenty six point two amps", "an inch and five eighths", "ten and twelve".

`amounts` finds every amount in a stretch of words with its unit where one is said. Whether an amount is a reading,
and of what, is decided in `readings.py`.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from .unit_words import LONG_UNITS, NOT_UNIT_ALONE, UNITS

ONES = {
    w: n
    for n, w in enumerate(
        "zero one two three four five six seven eight nine ten "
        "eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen".split()
    )
}
TENS = {w: 10 * n for n, w in enumerate("twenty thirty forty fifty sixty seventy eighty ninety".split(), 2)}
# "these four are thirties": sizes of fuses and breakers, said of several
TENS |= {w[:-1] + "ies": n for w, n in list(TENS.items())}
PARTS = {
    "half": 2,
    "halves": 2,
    "third": 3,
    "quarter": 4,
    "fourth": 4,
    "fifth": 5,
    "sixth": 6,
    "eighth": 8,
    "tenth": 10,
    "sixteenth": 16,
    "hundredth": 100,
}
PARTS |= {w + "s": n for w, n in PARTS.items() if w not in ("half", "halves")}
ROUGH = frozenset("about around maybe roughly approximately nearly almost call probably like".split())
TWELVES = frozenset(("in", "and", "over", "to", "on"))
POINTED = frozenset("high low the this that some any every a which same one".split())  # "the high point"
WIRES = frozenset("wire copper gauge conductor conductors romex aluminum wires cable on".split())
ASIDE = frozenset("over away back past further farther".split())  # "a foot over"


@dataclass(frozen=True, slots=True)
class Amount:
    """A number in speech: its value, its unit ("" where none was said), and the words it covers."""

    value: float
    unit: str
    start: int
    end: int
    rough: bool = False
    spread: float = 0.0  # half the width of a spoken range: "eight to ten"
    fraction: bool = False  # said with halves, quarters, eighths ...


def _digits(word: str) -> float | None:
    if not word or not (word[0].isdigit() or word[0] == "."):  # most words; told apart before any pattern is tried
        return None
    if hit := re.fullmatch(r"(?:(\d+)\+)?(\d+)/(\d+)", word):
        return float((int(hit[1]) if hit[1] else 0) + Fraction(int(hit[2]), int(hit[3]))) if int(hit[3]) else None
    if re.fullmatch(r"\d+(?:\.\d+)?|\.\d+", word):
        return float(word)
    return None


def _whole(words: Sequence[str], at: int) -> tuple[float, int] | None:
    """A whole number in words or digits: value and end."""
    word = words[at]
    if (plain := _digits(word)) is not None:
        return plain, at + 1
    if word in TENS:
        nxt = words[at + 1] if at + 1 < len(words) else ""
        if 0 < ONES.get(nxt, 0) < 10:
            return TENS[word] + ONES[nxt], at + 2
        return TENS[word], at + 1
    return (ONES[word], at + 1) if word in ONES else None


def _cardinal(words: Sequence[str], at: int) -> tuple[float, int] | None:
    """A whole number with hundreds: "one forty", "two hundred and ten", "one oh five", "nineteen ninety seven"."""
    first: tuple[float, int] | None
    if words[at] == "a" and at + 1 < len(words) and words[at + 1] in ("hundred", "thousand"):
        first = (1.0, at + 1)
    elif words[at] == "hundred":  # "hundred and nineteen volts", "hundred amp"
        bare = _bare_hundred(words, at + 1)
        first = (1.0, at) if bare else None
    else:
        first = _whole(words, at)
    if first is None:
        return None
    value, end = first
    digits = _digits(words[at]) is not None
    while end < len(words):
        word = words[end]
        if word == "hundred" and value < 100:
            value, end = value * 100, end + 1
            rest_at = end + 1 if end < len(words) and words[end] == "and" else end
            rest = _whole(words, rest_at) if rest_at < len(words) else None
            if rest and rest[0] < 100 and _digits(words[rest_at]) is None:
                value, end = value + rest[0], rest[1]
        elif word == "thousand" and value < 1000:
            value, end = value * 1000, end + 1
            rest = _cardinal(words, end) if end < len(words) else None
            if rest and rest[0] < 1000:
                value, end = value + rest[0], rest[1]
        elif (
            not digits
            and word in ("oh", "o")
            and value < 100
            and end + 1 < len(words)
            and ONES.get(words[end + 1], 99) < 10
        ):
            value, end = value * 100 + ONES[words[end + 1]], end + 2
        elif not digits and value < 100 and word in (*TENS, *list(ONES)[10:]) and (value < 10 or value > 12):
            rest = _whole(words, end)
            if rest is None or not (1 <= value < 10 or 13 <= value < 21):
                break
            value, end = value * 100 + rest[0], rest[1]
            break
        else:
            break
    return value, end


def _bare_hundred(words: Sequence[str], at: int) -> bool:
    """Whether "hundred" without "a" is a number: a unit or the rest of it follows."""
    if words[at : at + 1] == ["and"]:
        at += 1
    rest = _whole(words, at) if at < len(words) else None
    return bool(rest and rest[0] < 100) or words[at : at + 1] in (
        ["amp"],
        ["amps"],
        ["percent"],
        ["degrees"],
        ["volts"],
    )


def _fraction(words: Sequence[str], at: int) -> tuple[float, int] | None:
    """ "three eighths", "a quarter", "half"."""
    if at >= len(words):
        return None

    if words[at] in ("a", "an") and at + 1 < len(words):
        at += 1
        if words[at] in PARTS:
            return 1 / PARTS[words[at]], at + 1
        return None
    if words[at] in ("half", "quarter"):
        an = words[at + 1 : at + 2] in (["an"], ["a"]) and words[at + 2 : at + 3] in (["inch"], ["foot"])
        return 1 / PARTS[words[at]], at + 2 if an else at + 1
    top = _whole(words, at)
    if top and top[1] < len(words) and words[top[1]] in PARTS and 0 < top[0] < 100:
        return top[0] / PARTS[words[top[1]]], top[1] + 1
    return None


def _number(words: Sequence[str], at: int) -> tuple[float, int] | None:
    """Any spoken number without its unit."""
    if words[at] == "point" and at + 1 < len(words) and (at == 0 or words[at - 1] not in POINTED):
        return _decimals(words, 0.0, at + 1)
    if part := _fraction(words, at):
        return part
    whole = _cardinal(words, at)
    if whole is None:
        return None
    value, end = whole
    if end < len(words) and "/" in words[end] and (part_digits := _digits(words[end])) and 0 < part_digits < 1:
        return value + part_digits, end + 1
    if end + 1 < len(words) and words[end] == "point" and (more := _decimals(words, value, end + 1)):
        return more
    if end < len(words) and words[end] == "and" and (part := _fraction(words, end + 1)) and part[0] < 1:
        return value + part[0], part[1]
    part = _fraction(words, end) if end < len(words) and words[end] not in ("a", "an", "half", "quarter") else None
    if part and part[0] < 1 and value < 100 and float(value).is_integer():
        return value + part[0], part[1]
    return value, end


def _decimals(words: Sequence[str], value: float, at: int) -> tuple[float, int] | None:
    text = ""
    while at < len(words):
        one = words[at]
        if ONES.get(one, 99) < 10:
            text += str(ONES[one])
        elif one in ("oh", "o"):
            text += "0"
        elif not text and (pair := _whole(words, at)) and pair[0] < 100 and float(pair[0]).is_integer():
            text, at = str(int(pair[0])), pair[1] - 1
        else:
            break
        at += 1
    return (float(f"{int(value)}.{text}"), at) if text else None


def _unit(words: Sequence[str], at: int) -> tuple[str, int]:
    """The unit that follows a number, and where it ends."""
    if at >= len(words):
        return "", at
    for said, unit in LONG_UNITS:
        if tuple(words[at : at + len(said)]) == said:
            return unit, at + len(said)
    two = " ".join(words[at : at + 2])
    if two == "of an" and at + 2 < len(words) and words[at + 2] in ("inch",):
        return "in", at + 3
    if two == "cubic feet":
        return "", at
    word = words[at]
    unit = UNITS.get(word, "")
    if unit == "" or (word in NOT_UNIT_ALONE and word == "in"):
        return "", at
    end = at + 1
    if unit == "in" and " ".join(words[end : end + 2]) in (
        "per foot",
        "a foot",
        "to the",
        "in a",
        "every foot",
        "each foot",
    ):
        if words[end] in ("to", "in"):
            if end + 2 < len(words) and words[end + 2] == "foot":
                return "in/ft", end + 3
            return unit, end
        return "in/ft", end + 2
    return unit, end


def _pitch(words: Sequence[str], at: int) -> tuple[float, int] | None:
    """ "ten and twelve", "four in twelve", "seven twelve", "5/12"."""
    if "/" in words[at] and (hit := re.fullmatch(r"(\d+(?:\.\d+)?)/12", words[at])):
        return float(hit[1]), at + 1
    first = _whole(words, at)
    if first is None or not 0 < first[0] <= 24:
        return None
    if (
        first[1] + 1 < len(words)
        and words[first[1]] == "and"
        and (part := _fraction(words, first[1] + 1))
        and part[0] < 1
    ):
        first = first[0] + part[0], part[1]
    end = first[1]
    joined = end < len(words) and words[end] in TWELVES
    if joined:
        end += 1
    elif (
        first[0] in (1, 12) or first[0] > 12 or (words[at] not in ONES and _digits(words[at]) is None)
    ):  # "nineteen twelve" is a year
        return None
    if end < len(words) and words[end] in ("twelve", "12", "twelves"):
        measured = joined and _unit(words, end + 1)[0] != ""  # "eleven to twelve inches", "one over twelve feet"
        return None if measured else (first[0], end + 1)
    return None


def amounts(words: Sequence[str], stops: Collection[int] = ()) -> list[Amount]:
    """Every amount in a list of compared words, in order.

    stops   positions of words before which a number ends, since there was a comma or a full stop

    >>> [(a.value, a.unit) for a in amounts("it is an inch and five eighths low".split())]
    [(1.625, 'in')]
    >>> [(a.value, a.unit) for a in amounts("pitch is ten and twelve one forty at the tap".split())]
    [(10.0, 'in/12'), (140.0, '')]
    >>> [(a.value, a.unit) for a in amounts("plate says twenty six point two amps on number ten wire".split())]
    [(26.2, 'A'), (10.0, 'AWG')]
    >>> [(a.value, a.unit) for a in amounts("six foot four of headroom and a quarter inch per foot".split())]
    [(76.0, 'in'), (0.25, 'in/ft')]
    >>> [a.value for a in amounts("ten past eight thirty eight degrees".split(), stops={3})]
    [10.0, 8.0, 38.0]
    """
    if stops:
        return _parted(words, frozenset(stops))
    out: list[Amount] = []
    at = 0
    while at < len(words):
        one = _amount(words, at)
        if one is not None and any(PARTS.get(w, 0) > 3 or "/" in w for w in words[one.start : one.end]):
            one = replace(one, fraction=True)
        if one is None:
            at += 1
        else:
            out.append(one)
            at = one.end
    return out


def _parted(words: Sequence[str], stops: frozenset[int]) -> list[Amount]:
    """Amounts of words with a bar put in at every stop, at their places without the bars."""
    barred, home = list[str](), list[int]()
    for k, word in enumerate(words):
        if k in stops:
            barred.append("|")
            home.append(k)
        barred.append(word)
        home.append(k)
    home.append(len(words))
    return [replace(a, start=home[a.start], end=home[a.end - 1] + 1) for a in amounts(barred)]


def _amount(words: Sequence[str], at: int) -> Amount | None:
    rough = at > 0 and words[at - 1] in ROUGH
    if slope := _pitch(words, at):
        return Amount(float(round(slope[0], 6)), "in/12", at, slope[1], rough)
    if (
        words[at] in ("number", "no")
        and at + 1 < len(words)
        and (size := _whole(words, at + 1))
        and size[0]
        in (
            4,
            6,
            8,
            10,
            12,
            14,
            16,
            18,
            2,
            3,
            1,
        )
    ):
        return Amount(float(size[0]), "AWG", at, size[1]) if _wire_near(words, size[1]) else None
    if words[at] == "inch" and words[at + 1 : at + 2] == ["and"] and (part := _fraction(words, at + 2)) and part[0] < 1:
        return Amount(round(1 + part[0], 6), "in", at, part[1], rough)
    if words[at] in ("an", "a") and at + 1 < len(words) and words[at + 1] in ("inch", "foot"):
        unit = "in" if words[at + 1] == "inch" else "ft"
        aside = at + 2 < len(words) and words[at + 2] in ASIDE
        along = words[at + 3 : at + 4] and words[at + 3] in (
            "its",
            "the",
            "that",
            "this",
            "a",
            "their",
        )  # "over its length"
        if aside and not along and not (at + 3 < len(words) and _number(words, at + 3)):
            return None  # "fourteen a foot over": where, not how much
        more = _fraction(words, at + 3) if at + 3 < len(words) and words[at + 2] == "and" else None
        if more and more[0] < 1:
            return Amount(round(1 + more[0], 6), unit, at, more[1], rough)
        return Amount(1.0, unit, at, at + 2, rough)
    if words[at] in ("minus", "negative") and at + 1 < len(words) and (below := _amount(words, at + 1)):
        return replace(below, value=-below.value, start=at) if below.start == at + 1 and below.unit != "in/12" else None
    number = _number(words, at)
    if number is None:
        return None
    value, end = number
    unit, after = _unit(words, end)
    if (
        unit
        and after < len(words)
        and words[after] == "and"
        and unit in ("in", "ft")
        and (part := _fraction(words, after + 1))
        and part[0] < 1
        and not _unit(words, part[1])[0].startswith("ft")
    ):
        return Amount(round(value + part[0], 6), unit, at, part[1], rough)
    if unit == "ft" and (inches := _number(words, after) if after < len(words) else None) and inches[0] < 12:
        more_unit, more_end = _unit(words, inches[1])
        if more_unit == "in" or (not more_unit and words[after - 1] == "foot"):
            return Amount(
                float(round(value * 12 + inches[0], 6)), "in", at, more_end if more_unit else inches[1], rough
            )
    if not unit and end < len(words) and words[end] in ("to", "or") and end + 1 < len(words):
        other = _number(words, end + 1)
        if other and value < other[0] <= 3 * value:
            unit, after = _unit(words, other[1])
            if unit:
                return Amount(round((value + other[0]) / 2, 6), unit, at, after, True, (other[0] - value) / 2)
    if unit in ("yd", "cm"):
        value, unit = (value * 3, "ft") if unit == "yd" else (value * 10, "mm")
    return Amount(float(round(value, 6)), unit, at, after if unit else end, rough)


def _wire_near(words: Sequence[str], at: int) -> bool:
    near = set(words[at : at + 4]) | set(words[max(0, at - 6) : at])
    fed = set(words[max(0, at - 10) : at]) & {"fed", "feeds", "feeder", "wired"}
    return bool(fed or near & WIRES)
