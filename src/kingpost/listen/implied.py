"""The unit that trade talk leaves out: "fourteen copper", "it's reading nineteen", "one forty at the tub".

First the rules that name the words around a number (implied.toml), then those that only know what is talked about:
there the topic named last decides. What still has no unit takes that of the reading beside it: "24 percent on the pins
here, 11 in the hall".
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from kingpost.trade.model import Implied, Trade

from .heard import Heard
from .lexicon import READS, ROUGHLY, WHERE_NEXT
from .numbers import ONES, TENS, Amount
from .unit_words import UNITS

TOPIC = 30  # words over which it is remembered what was talked about
AHEAD = 8  # words after a number in which its topic may follow, in the same sentence
FAR_SENTENCE = 10  # words that a sentence end between counts for
WHERE_ONLY = 8  # and being told as a place: "thirty five on the sill"
SENTENCES = 2  # sentence ends over which a topic is carried
MOST_COUNTED = 12  # a bare number above it is hardly a count
BESIDE = 14  # words over which a number takes the unit of the reading beside it
ALIKE = 6.0  # by which factor two readings told together may differ
TAKEN = frozenset("% degF psi V in in_wc ppm cfm gpm".split())  # units that are left out the second time
LUMBER = frozenset("one two four six eight ten 1 2 4 6 8 10".split())
POINTING = frozenset(
    "no this that the which each every any another first second third fourth last other next only".split()
)
LABELS = frozenset(
    "number unit apartment room window door outlet station page step bedroom circuit item photo model serial breaker "
    "bay bays gap breakers numbers units slots rows row".split()
)
NOT_PLURAL = frozenset(
    "inches feet amps degrees pounds volts gallons parts this thats its is was has across less does".split()
)
COUNTING = frozenset("of out times layers coats people".split())
OFFSET = ("a foot", "a yard", "a few", "a little", "a couple")  # where else: "fourteen a foot over"
COUNTED = ("i count", "i counted", "count", "counted", "that i count")


def unit_of(heard: Heard, one: Amount, trade: Trade) -> tuple[str, str]:
    """The unit of a number that was said without one, or with one of two meanings, and the quantity it hints at."""
    norms = heard.norms
    if not one.unit and is_count(norms, one):
        near = norms[max(0, one.start - 8) : one.end + 8]
        return ("count" if says(near, COUNTED) else ""), ""
    if not one.unit and (_clock(norms, one) or _in_a_row(norms, one)):
        return "", ""
    worded, best = "", (10**6, "", "")
    near = norms[max(0, one.start - 8) : one.end + 8]
    for rule in trade.implied.values():
        if not _fits(rule, one) or says(near, rule.unless):
            continue
        if not rule.cue:
            if rule.spoken == one.unit and not worded and _worded(norms, one, rule, near):
                worded = rule.unit
            continue
        hints = bool(rule.quantity and rule.unit == (worded or one.unit))
        if not hints and (worded or rule.spoken != one.unit):
            continue
        far = 1 if _follows(norms, one, rule.after) else _topic(heard, one, rule)
        if far is not None and far < best[0] and (hints or _told(heard, one, rule)):
            best = (far, rule.unit, rule.quantity)
    return worded or best[1] or one.unit, best[2]


def _follows(norms: Sequence[str], one: Amount, options: Sequence[str]) -> bool:
    """Whether one of the phrases comes right after a number."""
    after = f"{' '.join(norms[one.end : one.end + 5])} "
    return any(after.startswith(f"{o} ") for o in options)


def _clock(norms: Sequence[str], one: Amount) -> bool:
    """Whether a number is of the day or of a range that was not measured: "ten past eight", "'oh four", "16 to 22"."""
    before = norms[one.start - 1] if one.start else ""
    after = norms[one.end] if one.end < len(norms) else ""
    if "past" in (before, after) and one.value <= 30:
        return is_number(norms, one.end + 1) if after == "past" else is_number(norms, one.start - 2)
    if before in ("oh", "o") or after == "oclock":
        return True
    if {"gauge", "gage"} & set(norms[one.end : one.end + 7]):  # "thirty eight to fifty eight on the gauge" was seen
        return False
    return (after == "to" and is_number(norms, one.end + 1)) or (before == "to" and is_number(norms, one.start - 2))


def _in_a_row(norms: Sequence[str], one: Amount) -> bool:
    """Whether a number only counts on: "one, two, three", "bays four, five, six"."""
    if one.fraction or not 0 < one.value <= MOST_COUNTED or one.end - one.start > 1:
        return False
    around = [norms[k] for k in (one.start - 1, one.end) if 0 <= k < len(norms)]
    return any(w in ONES and abs(ONES[w] - one.value) == 1 and max(ONES[w], one.value) <= 10 for w in around)


def is_number(norms: Sequence[str], at: int) -> bool:
    """Whether a word belongs to a number."""
    return 0 <= at < len(norms) and (norms[at] in ONES or norms[at] in TENS or norms[at][:1].isdigit())


def _fits(rule: Implied, one: Amount) -> bool:
    whole = float(one.value).is_integer()
    shape = "any" if whole else "fraction" if one.fraction else "decimal"
    if not rule.low <= one.value <= rule.high or (rule.values and one.value not in rule.values):
        return False
    return rule.shape in ("any", shape) or (rule.shape == "part" and not whole)


def _worded(norms: Sequence[str], one: Amount, rule: Implied, near: Sequence[str]) -> bool:
    """Whether the words that a rule asks for stand around a number."""
    if rule.topic and not says(norms[max(0, one.start - TOPIC) : one.end + 8], rule.topic):
        return False
    before, after = norms[max(0, one.start - 4) : one.start], norms[one.end : one.end + 3]
    beside, around = says(before, rule.before) or says(after, rule.after), says(near, rule.near)
    if rule.both:
        return around and beside
    return around or beside or not (rule.before or rule.after or rule.near)


def _topic(heard: Heard, one: Amount, rule: Implied) -> int | None:
    """How many words away the topic of a rule is; None where it was not talked about."""
    first = max(0, one.start - (rule.reach or TOPIC))
    back = heard.plan.begun(one.start, 1 + SENTENCES)
    if len(back) > SENTENCES:
        first = max(first, back[0])
    last = min(heard.plan.sentence(one.end - 1)[1], one.end + AHEAD)
    best: int | None = None
    here = set(heard.norms[first:last])
    for phrase in rule.topic:
        asked = phrase.split()
        if asked[0] not in here and asked[0] + "s" not in here:
            continue
        for k in range(first, last - len(asked) + 1):
            said = heard.norms[k : k + len(asked)]
            whose = said[:-1] == asked[:-1] and bool(said) and said[-1] == asked[-1] + "s"  # "guard's thirty two"
            if (said == asked or whose) and not (one.start <= k < one.end):
                far = one.start - k if k < one.start else k - one.end + 2
                if k < one.start:
                    far += FAR_SENTENCE * sum(k < b <= one.start for b in back)
                elif heard.norms[k - 1] in ("the", "this", "that", "a") and heard.norms[k - 2] in WHERE_NEXT:
                    far += WHERE_ONLY
                best = far if best is None or far < best else best
    return best


def _told(heard: Heard, one: Amount, rule: Implied) -> bool:
    """Whether a bare number is told as a reading: by its verb, its name just before it, or standing alone."""
    norms, words = heard.norms, heard.words
    if one.unit:
        return True
    after = norms[one.end] if one.end < len(norms) else ""
    if is_counting(after) or says(norms[one.end : one.end + 3], ("years", "year", "oclock", "minutes", "times")):
        return False
    k = one.start - 1
    while k >= 0 and norms[k] in ROUGHLY and not words[k].stop:
        k -= 1
    before = norms[k] if k >= 0 else ""
    if before in LABELS:
        return False
    if _follows(norms, one, rule.after):
        return True
    begins = k < 0 or bool(words[k].stop) or one.start in heard.plan.hard
    ends = one.end == len(norms) or bool(words[one.end - 1].stop) or after in WHERE_NEXT
    if begins:
        return ends
    contracted = words[k].text.lower().replace("’", "'").rstrip(",.").endswith(("'s", "'re"))
    return (
        before in READS
        or contracted
        or says([before, before.removesuffix("s")], rule.topic)
        or says([before], rule.before)
    ) and (ends or after not in ("by", "a", "an") or says(norms[one.end : one.end + 2], OFFSET))


def beside(heard: Heard, bare: Sequence[Amount], known: Sequence[tuple[Amount, str]]) -> list[tuple[Amount, str]]:
    """Bare numbers that take unit and quantity from the reading told beside them; `known` is read with quantities."""
    out: list[tuple[Amount, str]] = []
    for one in bare:
        if (
            is_count(heard.norms, one)
            or _clock(heard.norms, one)
            or _in_a_row(heard.norms, one)
            or not _alone(heard, one)
        ):
            continue
        near = [(gap, other, q) for other, q in [*known, *out] if (gap := _gap(heard, one, other)) is not None]
        near = [(g, o, q) for g, o, q in near if o.unit in TAKEN and _alike(one, o)]
        if near:
            _, other, quantity = min(near, key=lambda n: n[0])
            out.append((replace(one, unit=other.unit), quantity))
    return out


def _gap(heard: Heard, one: Amount, other: Amount) -> int | None:
    a, b = (one, other) if one.start < other.start else (other, one)
    if b.start - a.end > BESIDE:
        return None
    ends = sum(a.end <= k <= b.start for k in heard.plan.begins)
    return b.start - a.end if ends <= 1 else None


def _alike(one: Amount, other: Amount) -> bool:
    if other.unit == "in" and one.value > 12 and float(one.value).is_integer() and other.fraction:
        return False
    if one.value <= 0 or other.value <= 0:
        return other.unit in ("ppm", "in") and one.value <= 0
    return 1 / ALIKE <= one.value / other.value <= ALIKE


def _alone(heard: Heard, one: Amount) -> bool:
    """Whether a bare number ends what is said, or only a place follows."""
    norms, words = heard.norms, heard.words
    after = norms[one.end] if one.end < len(norms) else ""
    before = norms[one.start - 1] if one.start else ""
    if before in LABELS or before in POINTING or before in ("in", "of", "since"):
        return False
    return (
        one.end == len(norms)
        or bool(words[one.end - 1].stop)
        or after in WHERE_NEXT
        or says(norms[one.end : one.end + 2], OFFSET)
    )


def is_counting(word: str) -> bool:
    """Whether a word after a number says that things are counted."""
    return word in COUNTING or (word.endswith("s") and len(word) > 3 and word not in NOT_PLURAL)


def is_count(norms: Sequence[str], one: Amount) -> bool:
    """Whether a bare number counts things ("six screws", "a two by four", "the fourth one") and measures nothing."""
    if one.fraction or one.value > MOST_COUNTED or not float(one.value).is_integer() or one.value < 0:
        return False
    before = norms[one.start - 1] if one.start else ""
    after = norms[one.end] if one.end < len(norms) else ""
    beyond = norms[one.end + 1] if one.end + 1 < len(norms) else ""
    if (before == "by" and norms[max(0, one.start - 2)] in LUMBER) or (after == "by" and norms[one.start] in LUMBER):
        return True
    if after in LUMBER and beyond == "by":  # "two two by sixes"
        return True
    if norms[one.start] == "one" and (before in POINTING or after not in UNITS):
        return True
    plural = [w for w in (after, beyond) if w.endswith("s") and len(w) > 3 and w not in NOT_PLURAL]
    return bool(plural) or after in COUNTING or says(norms[max(0, one.start - 4) : one.end + 4], COUNTED)


def says(words: Sequence[str], options: Sequence[str]) -> bool:
    """Whether one of the phrases stands in the words."""
    text = f" {' '.join(words)} "
    return any(f" {o} " in text for o in options)
