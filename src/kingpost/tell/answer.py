"""The first sheet: what the house is, what is wrong that matters, what to settle, what was not seen. Thirty seconds."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass, replace
from typing import Any

from kingpost.trade.model import WHENS
from kingpost.visit.facts import Facts
from kingpost.visit.record import Finding, Limitation

from .index import Index
from .words import (
    NB,
    WHEN,
    capital,
    clock,
    counted,
    date_words,
    figures,
    first_sentence,
    label,
    listed,
    sentence,
    spell,
    tidy,
    without_first,
)

MATTERS, SETTLE, TRADES, WORKS, UNSEEN = 6, 5, 3, 2, 5
WIDE, LINES, DRAWN = 36, 32, 17  # characters in a line of the first column in print; lines that fit, and with a drawing
SETTLE_WIDE = 31  # characters in a line of the second column
WHY = 32  # characters of the reason why something was not seen
TOLD = re.compile(r"(?P<what>[^:.]+?) (?:was|were) not [^:.]*: (?P<why>.+?)(?:, and\b[^.]*)?[.;]")
NOW = "before_moving_in"


@dataclass(frozen=True, slots=True)
class Matter:
    """One line of "What is wrong that matters": one finding, or all findings of one cause."""

    findings: tuple[Finding, ...]
    bold: str
    rest: str
    when: str
    cause: str = ""  # the id of the one cause behind several findings


Line = tuple[tuple[int, int, int, int], Matter]  # its rank, see Index.weight


@dataclass(frozen=True, slots=True)
class Settle:
    """One thing to settle before closing: who, and what."""

    who: str
    what: str


@dataclass(frozen=True, slots=True)
class Answer:
    """Everything on the first sheet."""

    house: str
    to_mend: str
    about: tuple[str, str]  # the name, and what else is known of house and visit
    draft: str
    matters: tuple[Matter, ...]
    settle: tuple[Settle, ...]
    unseen: tuple[str, ...]
    counts: tuple[str, ...]


def answer(index: Index, drawn: bool = False) -> Answer:
    """The first sheet of a record; `drawn` where the drawing takes its share of the sheet."""
    facts, total = index.record.visit, len(index.findings)
    draft = f"Draft: {index.pencil} of {total} {'finding is' if index.pencil == total == 1 else 'findings are'} pencil"
    unseen = list(dict.fromkeys(_unseen(index, lim) for lim in index.record.limitations))
    more = [f"and {spell(len(unseen) - UNSEEN + 1)} more"] if len(unseen) > UNSEEN else []
    return Answer(
        house=_house(facts),
        to_mend=_to_mend(index),
        about=_about(facts),
        draft=draft if index.pencil else "",
        matters=tuple(_matters(index, DRAWN if drawn else LINES)),
        settle=_settled(index, drawn),
        unseen=tuple(tidy(capital(u)) for u in (unseen[: UNSEEN - len(more)] if more else unseen) + more),
        counts=tuple(_counts(index)),
    )


def name_of(index: Index, limitation: Limitation) -> str:
    """What could not be seen, in a few words."""
    return (
        index.component(limitation.item)
        or first_sentence(limitation.text, 60).rstrip(".")
        or first_sentence(re.split(r"[,;:]\s", limitation.text, maxsplit=1)[0], 57)
        or limitation.text[:57].rstrip() + "…"
    )


def _unseen(index: Index, limitation: Limitation) -> str:
    """What could not be seen and why, in few words.

    >>> told = "Part of the roof was not seen in full: the roof was wet, icy or windy, and slick. To see it: a dry day."
    >>> bool(TOLD.match(told)), TOLD.match(told)["what"], TOLD.match(told)["why"]
    (True, 'Part of the roof', 'the roof was wet, icy or windy')
    """
    told = TOLD.match(limitation.says)
    if not told:
        return name_of(index, limitation)
    why = re.sub(r"^(?:there|it|the \w+) (?:is|was) ", "", told["why"])
    return f"{told['what']}: {why}" if len(why) <= WHY else told["what"]


def _article(noun: str) -> str:
    lone = len(noun) > 1 and noun[0].isupper() and not noun[1].isalpha()  # A-frame, L-shaped
    vowel = noun[0] in "AEFHILMNORSX" if lone else noun[0].lower() in "aeio"
    return f"{'an' if vowel else 'a'} {noun}"


def _form(facts: Facts) -> str:
    form = facts.form.strip()
    for start in ("a ", "an ", "the "):
        form = form.removeprefix(start)
    return form or "house"


def _house(facts: Facts) -> str:
    """
    >>> _house(Facts(form="split-level", built=1964)), _house(Facts(name="Alder Row"))
    ('A split-level of\\xa01964.', 'Alder Row.')
    """
    if not facts.form and not facts.built:
        return sentence(tidy(facts.name)) or "A house."
    return sentence(capital(_article(_form(facts))) + (f" of{NB}{facts.built}" if facts.built else ""))


def to_mend_first(index: Index) -> list[Finding]:
    """What is to be mended before moving in."""
    return [f for f in index.findings if f.when == NOW and f.standing != "information"]


def _to_mend(index: Index) -> str:
    count = len(to_mend_first(index))
    if not index.findings:
        return "No findings are written down."
    if not count:
        return "Nothing we saw has to be mended before you move in."
    return f"{capital(counted(count, 'thing'))} to mend before you move{NB}in."


def _about(facts: Facts) -> tuple[str, str]:
    house = _article(_form(facts)) + (f" of{NB}{facts.built}" if facts.built else ", its year not known")
    if facts.storeys:
        house += f", {spell(int(facts.storeys))}{' and a half' if facts.storeys % 1 else ''} "
        house += "storey" if facts.storeys == 1 else "storeys"
    if facts.foundation:
        house += f"; under it {facts.foundation}"
    said = [f"{', ' if facts.name or facts.address else ''}{house}."]
    if facts.invented:
        said.append("This house is invented.")
    if facts.client:
        said.append(f"For {facts.client}.")
    visit = [part for part in (f"from {clock(facts.started)}" if facts.started else "", _by(facts)) if part]
    if facts.started or facts.inspector:
        said.append(
            " ".join(
                ["Inspected", *([f"on {date_words(facts.started, facts.locale)}"] if facts.started else []), *visit]
            )
            + "."
        )
    said += _weather(facts.weather)
    name = facts.address or facts.name
    return tidy(name), tidy(" ".join(said) if name else capital(" ".join(said)))


def _by(facts: Facts) -> str:
    if not facts.inspector:
        return ""
    return f"by {facts.inspector}" + (f", licence {facts.licence}" if facts.licence else "")


def _weather(weather: dict[str, Any]) -> list[str]:
    parts = []
    if (air := weather.get("outdoor_f")) is not None:
        parts.append(f"{air:g}{NB}°F outside")
    if (damp := weather.get("humidity_percent")) is not None:
        parts.append(f"humidity {damp:g}{NB}%")
    if wind := weather.get("wind"):
        parts.append(f"wind {wind}")
    if (rain := weather.get("last_rain_h")) is not None:
        parts.append("raining" if rain == 0 else f"last rain {rain:g}{NB}h before")
    return [sentence(", ".join(parts))] if parts else []


def _when_of(findings: list[Finding]) -> str:
    by = Counter(f.when for f in findings)
    if len(by) == 1:
        return label(next(iter(by)), WHEN) + "."
    said = [f"{spell(by[w])} {label(w, WHEN).lower()}" for w in (*WHENS, *sorted(set(by) - set(WHENS))) if by[w]]
    return sentence(listed(said, "and"))


def _matters(index: Index, most: int) -> list[Matter]:
    weighty = {f.id for f in index.findings if f.standing == "deficiency" or f in to_mend_first(index)}
    lines: list[Line] = []
    told: set[str] = set()
    for cause in index.record.causes:
        together = [index.by_id[f] for f in cause.findings if f in index.by_id and f not in told]
        if len(together) < 2 or not any(f.id in weighty for f in together):
            continue
        told.update(f.id for f in together)
        bold = first_sentence(cause.story, 110) or f"{capital(counted(len(together), 'finding'))} with one cause."
        rest = first_sentence(without_first(cause.story), 170)
        best = min(index.weight(f) for f in together)
        lines.append((best, Matter(tuple(together), tidy(bold), tidy(rest), _when_of(together), cause.id)))
    for f in index.findings:
        if f.id in weighty and f.id not in told:
            rest = first_sentence(f.narrative.matters, 120)
            lines.append((index.weight(f), Matter((f,), tidy(sentence(f.title)), tidy(rest), _when_of([f]))))
    if len(lines) > MATTERS:
        lines = _by_one_trade(index, lines)
    ranked = [matter for _, matter in sorted(lines, key=lambda line: line[0])]
    if len(ranked) <= MATTERS:
        return _within(ranked, most)
    shown = ranked[: MATTERS - 1]
    if (story := next((m for m in ranked if m.cause), None)) and story not in shown:
        shown[-1] = story  # the one story of the house is never left to the last line
    return _within([*shown, _the_rest(index, [m for m in ranked if m not in shown])], most)


def _within(matters: list[Matter], most: int) -> list[Matter]:
    """The lines as they fit on one sheet: what follows the bold words is left out from the last line upward."""
    out = list(matters)
    for at in reversed(range(len(out))):
        if sum(-(-len(f"{m.bold} {m.rest}") // WIDE) + -(-len(m.when) // WIDE) for m in out) <= most:
            break
        out[at] = replace(out[at], rest="")
    return out


def _by_one_trade(index: Index, lines: list[Line]) -> list[Line]:
    """Too many lines: what one trade mends before moving in goes into one line, the worst of it named."""
    out, groups = [], dict[str, list[Finding]]()
    for rank, matter in lines:
        f = matter.findings[0]
        if matter.cause or f.when != NOW or not (people := index.people(f)):
            out.append((rank, matter))
        else:
            groups.setdefault(people[0], []).append(f)
    for who, findings in groups.items():
        first, *others = sorted(findings, key=index.weight)
        rest = sentence(others[0].title) if others else first_sentence(first.narrative.matters, 120)
        if len(others) > 1:
            rest += f" And {spell(len(others) - 1)} more for {who}."
        marks = tuple(sorted(findings, key=lambda f: index.number[f.id]))
        matter = Matter(marks, tidy(sentence(first.title)), tidy(rest), _when_of(findings))
        out.append((index.weight(first), matter))
    return out


def _the_rest(index: Index, left: list[Matter]) -> Matter:
    findings = sorted((f for m in left for f in m.findings), key=lambda f: index.number[f.id])
    bold = f"{capital(spell(len(findings)))} more that matter{'s' if len(findings) == 1 else ''}."
    return Matter(tuple(findings), bold, "", _when_of(findings))


def _settle(index: Index) -> list[Settle]:
    facts = index.record.visit
    out: list[Settle] = []
    trades = list(_by_trade(index).items())
    alone = trades if len(trades) <= TRADES else trades[: TRADES - 1]
    for who, findings in alone:
        word = "finding" if len(findings) == 1 else "findings"
        when = "" if out else ", in hand before you sign"
        out.append(Settle(capital(who), f"a price for {word} {_numbers(index, findings)}{when}."))
    if rest := trades[len(alone) :]:
        said = [f"{who} ({_numbers(index, findings, 3)})" for who, findings in rest[: TRADES - 1]]
        more = [f"{counted(len(rest) - TRADES + 1, 'more trade')}"] if len(rest) >= TRADES else []
        out.append(Settle("Prices too", f"from {listed(said + more)}."))
    if left := [a for a in index.record.as_found if not a.put_back]:
        out.append(Settle("The seller", f"{counted(len(left), 'thing')} not put back (“Left as found”)."))
    if facts.alterations:
        works = [a.what + (f" of{NB}{a.year}" if a.year else "") for a in facts.alterations[:WORKS]]
        if len(facts.alterations) > WORKS:
            works.append(counted(len(facts.alterations) - WORKS, "other work"))
        out.append(Settle("The seller", f"permits and papers for {listed(works)}."))
    if index.record.limitations and not facts.alterations:  # else it stands in "Not seen" beside
        places = counted(len(index.record.limitations), "place")
        out.append(Settle("The seller", f"a way to look at what could not be seen: {places}, listed here."))
    return [Settle(tidy(s.who), tidy(s.what)) for s in out]


def _settled(index: Index, drawn: bool) -> tuple[Settle, ...]:
    """At most so many; beside the drawing, so many as fit."""
    out = _settle(index)[:SETTLE]
    while drawn and len(out) > 1 and sum(-(-len(f"{s.who}: {s.what}") // SETTLE_WIDE) for s in out) > DRAWN:
        out.pop()
    return tuple(out)


def _numbers(index: Index, findings: list[Finding], most: int = 6) -> str:
    numbers = [str(index.number[f.id]) for f in findings]
    return listed(numbers if len(numbers) <= most else [*numbers[: most - 1], f"{spell(len(numbers) - most + 1)} more"])


def _by_trade(index: Index) -> dict[str, list[Finding]]:
    """Findings to mend first by who mends them, the trade with the worst first."""
    groups: dict[str, list[Finding]] = {}
    for f in sorted(to_mend_first(index), key=index.weight):
        if (people := index.people(f)) and not people[0].startswith("you"):
            groups.setdefault(people[0], []).append(f)
    return {who: sorted(fs, key=lambda f: index.number[f.id]) for who, fs in groups.items()}


def _counts(index: Index) -> list[str]:
    record = index.record
    return [
        capital(summary(index)) + ".",
        sentence(
            "From "
            + listed(
                [
                    figures(len(record.remarks), "remark"),
                    figures(len(record.photos), "photograph"),
                    figures(len(record.readings), "reading"),
                ]
            )
        ),
    ]


def summary(index: Index) -> str:
    """ "fifteen findings: ten deficiencies, three recommended and two for your information"."""
    by = Counter(f.standing for f in index.findings)
    kinds = [
        counted(by["deficiency"], "deficiency", "deficiencies") if by["deficiency"] else "",
        f"{spell(by['recommendation'])} recommended" if by["recommendation"] else "",
        f"{spell(by['information'])} for your information" if by["information"] else "",
    ]
    said = [k for k in kinds if k]
    total = counted(len(index.findings), "finding")
    return f"{total}: {listed(said)}" if said else total
