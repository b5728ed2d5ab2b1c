"""What cannot both be true of one house: the file read against itself.

Each contradiction names both sides with their evidence; which of them is wrong is for the inspector to say.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from kingpost.listen.patterns import longest
from kingpost.listen.sweeps import indexes, place_of
from kingpost.measure.units import unit_words
from kingpost.trade.duties import Claim
from kingpost.visit.record import Finding, Reading, Record, Remark

from .given import Given
from .house import House
from .words import first, has, listed, normed, sentences

SIDES = (("left", "right"), ("front", "rear"), ("north", "south"), ("east", "west"), ("upstairs", "downstairs"))
SAME_SIDE = {"back": "rear"}
ASIDE = ("set aside by", "question", "a tip", "another house", "would be", "taken back")
RUNS = {  # utility -> what cannot be measured while it is off
    "water": ("hot_water_temperature", "water_pressure", "flowing_pressure", "cold_water_temperature"),
    "gas": ("gas_pressure", "flue_co", "flue_o2", "draft"),
    "electric": ("voltage", "voltage_loaded", "circuit_current", "leg_voltage", "neutral_ground_voltage"),
}
DENIALS = frozenset("no not without never none isnt if old former".split())
NOT_SIDE_RIGHT = (frozenset("all thats is right".split()), frozenset("here now there at over on in off behind".split()))
NOT_SIDE_LEFT = (frozenset("was is were been he they whats nothing".split()), frozenset("open on off it out".split()))
NOT_REAR = frozenset("on in up to down of".split())
LOOK_AGAIN = "look at the plate or its picture again"
UP = ("upstairs", "second floor", "second story", "upper floor")
Value = tuple[float, float, Reading]
SUBJECT = 2  # words before what a plain remark is about
TURNED_ON = ("turned ... on", "back on", "came on")


@dataclass(frozen=True, slots=True)
class Clash:
    """Two things of the file that cannot both be true. `key` is stable over re-runs."""

    key: str
    says: str
    mend: str
    evidence: tuple[dict[str, str], ...]
    place: str = ""
    subject: str = ""


def clashes(record: Record, house: House, given: Given) -> list[Clash]:
    """All contradictions of a record, each once."""
    found = [
        *_lacking(record, house, given),
        *_claims(record, given),
        *_values(record, given),
        *_sides(record, given),
        *_utilities(record),
        *_years(record, given),
        *_levels(record, given),
    ]
    return list({c.key: c for c in reversed(found)}.values())[::-1]


def spoken(record: Record) -> list[Remark]:
    """Remarks that tell of this house: not questions, tips, other houses, what would be, what was taken back."""
    return [
        r
        for r in record.remarks
        if not any(w in r.why_set_aside for w in ASIDE) and "set aside by" not in r.why_set_aside
    ]


def texts(record: Record) -> list[tuple[str, dict[str, str], str]]:
    """Every text of the file with where it comes from and its place: remarks, findings, limits."""
    out = [(r.text, {"remark": r.id}, r.place) for r in spoken(record)]
    for f in record.findings:
        n = f.narrative
        out.append((f"{f.title}. {n.saw} {n.do}", {"finding": f.id}, f.place))
    out += [(x.text, {"limitation": x.id}, x.place) for x in record.limitations]
    return out


def _lacking(record: Record, house: House, given: Given) -> list[Clash]:
    """Text about things that the house lacks: a crawl space under a slab, gas where all is electric."""
    names = {c.name: c.id for c in given.trade.components.values()}
    index = indexes(given.trade, given.standards)
    absent = _absent(house, given)
    by_fact: dict[str, list[tuple[str, dict[str, str]]]] = {}

    def note(why: Sequence[dict[str, str]], name: str, evidence: dict[str, str]) -> None:
        if why[0] != evidence:
            source = next(iter(why[0].values()))
            by_fact.setdefault(f"{source}|{name}", []).append((name, evidence))

    things: list[tuple[str, str, dict[str, str]]] = []
    things += [(names.get(f.component, f.component), f.place, {"finding": f.id}) for f in record.findings]
    things += [(names.get(q.component, q.component), q.place, {"reading": q.id}) for q in record.readings]
    for component, label, evidence in things:
        if component in absent:
            note(absent[component], given.trade.components[component].name, evidence)
        place = place_of(label, given.trade, index.rooms)
        if place is not None and place.id in house.absent_places:
            note(house.absent_places[place.id], place.name, evidence)
    for r in spoken(record):
        place = place_of(r.place, given.trade, index.rooms)
        if place is not None and place.id in house.absent_places:
            note(house.absent_places[place.id], place.name, {"remark": r.id})
        if r.use not in ("finding", "reading", "limitation", "as_found", "information"):
            continue
        words = normed(r.text)
        for hit in longest(index.parts.find(words)):
            if r.use == "information" and (hit.start > SUBJECT or DENIALS & set(words)):
                continue  # only what a plain remark is about: "sump pump ran", not "no drip, as from a sump pump"
            if hit.key in absent and hit.key in given.trade.components and not _denies(words, hit.start):
                note(absent[hit.key], given.trade.components[hit.key].name, {"remark": r.id})
    said = {r.id: r.text for r in record.remarks}
    out = list[Clash]()
    for key, both in by_fact.items():
        source, _, name = key.partition("|")
        if source in said:  # one denial is one question, however much is said of the thing
            if any(c.key.startswith(f"lacks|{source}|") for c in out):
                continue
            says, mend = f"The file speaks of the {name}, but it was said: “{said[source]}”", "set aside the wrong one"
        else:
            says = f"The file speaks of the {name}, but visit.toml ({source}) says that this house has none."
            mend = f"correct {source}, or take out what is said of the {name}"
        shown = tuple({str(e): e for _, e in both}.values())
        shown = (*shown, {"remark": source}) if source in said else shown
        out.append(Clash(f"lacks|{key}", says, mend, shown))
    return out


def _absent(house: House, given: Given) -> dict[str, list[dict[str, str]]]:
    """Components that the house lacks: named so, or belonging to no part but such as it lacks."""
    out = dict(house.absent)
    homes: dict[str, list[str]] = {}
    for p in given.standards.parts.values():
        for c in p.components:
            homes.setdefault(c, []).append(f"part:{p.id}")
    for c, parts in homes.items():
        if c not in out and all(p in house.absent for p in parts):
            out[c] = house.absent[parts[0]]
    return out


def _denies(words: Sequence[str], at: int) -> bool:
    return bool(
        {"no", "not", "without", "never", "none", "isnt", "if", "old", "former"} & set(words[max(0, at - 4) : at])
    )


def _claims(record: Record, given: Given) -> list[Clash]:
    per: dict[str, dict[str, list[tuple[str, dict[str, str]]]]] = {}
    rooms = indexes(given.trade, given.standards).rooms
    for c in given.duties.claims.values():
        if stated := _stated(c, record):
            per.setdefault(c.topic, {}).setdefault(c.value, []).append(stated)
    for text, evidence, label in texts(record):
        place = place_of(label, given.trade, rooms)
        for c in given.duties.claims.values():
            said = first(text, c.said) if not c.levels or (place is not None and place.level in c.levels) else ""
            if said and not has(text, c.unless) and not has(text, [f"no {said}", f"not {said}"]):
                per.setdefault(c.topic, {}).setdefault(c.value, []).append((said, evidence))
    out = []
    for topic, values in per.items():
        if len(values) > 1:
            told = listed([f"“{both[0][0]}”" for both in values.values()])
            shown = tuple(e for both in values.values() for _, e in both[:2])
            says = f"Two answers to {topic}: {listed(sorted(values))} (said: {told})."
            out.append(Clash(f"claim|{topic}", says, "say which is right, and reword or set aside the other", shown))
    return out


def _stated(c: Claim, record: Record) -> tuple[str, dict[str, str]] | None:
    """What visit.toml says of a claim's topic: `foundation = "crawl space"`, `[utilities] water = "on"`."""
    table, _, name = c.fact.rpartition(".")
    facts = record.visit
    if table == "utilities":
        on = facts.utilities.get(name)
        value: object = "" if on is None else "on" if on else "off"
    else:
        more = facts.more.get("house", {})
        value = getattr(facts, name, None) or (more.get(name) if isinstance(more, dict) else None) if name else None
    text = str(value or "")
    fits = bool(text) and has(text, c.fact_said) and not has(text, c.fact_unless)
    return (f"{name} = {text}", {"fact": f"{table or 'house'}.{name}"}) if fits else None


def _values(record: Record, given: Given) -> list[Clash]:
    """Two values of one thing that has one: two ages for one heater, two main breakers."""
    year = record.visit.started.year if record.visit.started else None
    groups: dict[tuple[str, str], list[Value]] = {}
    for q in record.readings:
        s = given.duties.steady.get(q.quantity)
        if s is None or isinstance(q.value, str) or (s.components and q.component not in s.components):
            continue
        value = float(q.value)
        if s.years:
            if year is None and s.years == "age":
                continue
            value = (year or 0) - value if s.years == "age" else value
        groups.setdefault(("year" if s.years else q.quantity, q.component), []).append((value, s.tolerance, q))
    out = []
    for (what, component), told in groups.items():
        for (a, ta, p), (b, tb, q) in _pairs(told):
            if p.id == q.id or abs(a - b) <= max(ta, tb) or (p.place and q.place and p.place != q.place):
                continue
            name = given.trade.components[component].name if component in given.trade.components else component
            name = name or "house"
            of = "years of making" if what == "year" else given.trade.quantities[p.quantity].name
            says = f"Two values for the {of} of one {name}: {_told(p)} and {_told(q)}."
            if what == "year":
                says = f"Two ages for one {name}: {_told(p)} and {_told(q)} (made about {a:.0f}, or about {b:.0f})."
            evidence = ({"reading": p.id}, {"reading": q.id})
            out.append(Clash(f"value|{what}|{component}", says, LOOK_AGAIN, evidence, p.place))
            break
    return out


def _told(q: Reading) -> str:
    value = f"{q.value:g}" if isinstance(q.value, float) else str(q.value)
    return f"{value} {unit_words(q.unit)}".strip() if q.unit != "year" or float(q.value) < 1000 else value


def _pairs(told: Sequence[Value]) -> Iterable[tuple[Value, Value]]:
    ordered = sorted(told, key=lambda t: (t[0], t[2].id))
    return ((a, b) for n, a in enumerate(ordered) for b in ordered[n + 1 :])


def _sides(record: Record, given: Given) -> list[Clash]:
    """A finding that says left where the words it rests on say right."""
    text = {r.id: r.text for r in record.remarks}
    out = []
    for f in record.findings:
        words = " ".join(text[str(e["remark"])] for e in f.evidence if e.get("remark") in text)
        if not words:
            continue
        known = given.trade.conditions.get(f.condition)
        own = [t for t in (f.title, f.narrative.saw) if known is None or not t.startswith((known.title, known.saw))]
        written = _sides_of(" ".join((*own, f.place)))
        heard = _sides_of(words)
        for a, b in SIDES:
            for mine, other in ((a, b), (b, a)):
                if mine in written and other not in written and other in heard and mine not in heard:
                    says = f"The finding says {mine}, the words it rests on say {other}: {f.title}."
                    evidence = ({"finding": f.id}, *({"remark": str(e["remark"])} for e in f.evidence if "remark" in e))
                    out.append(
                        Clash(
                            f"side|{f.id}|{mine}",
                            says,
                            "reword the finding, or correct its place",
                            evidence,
                            f.place,
                            f.id,
                        )
                    )
    return out


def _sides_of(text: str) -> set[str]:
    words = normed(text)
    out = set()
    for n, w in enumerate(words):
        side = SAME_SIDE.get(w, w)
        before = words[n - 1] if n else ""
        after = words[n + 1] if n + 1 < len(words) else ""
        if side == "right" and (before in NOT_SIDE_RIGHT[0] or after in NOT_SIDE_RIGHT[1]):
            continue
        if side == "left" and (before in NOT_SIDE_LEFT[0] or after in NOT_SIDE_LEFT[1]):
            continue
        if w == "back" and (after in NOT_REAR or before not in ("the", "at", "")):
            continue
        out.add(side)
    return out


def _utilities(record: Record) -> list[Clash]:
    """A reading that needs what visit.toml says was off."""
    out = []
    for name, on in sorted(record.visit.utilities.items()):
        mine = [q for q in record.readings if not on and q.quantity in RUNS.get(name, ())]
        if mine and not any(has(r.text, [f"{name} {w}" for w in TURNED_ON]) for r in record.remarks):
            says = f"visit.toml says that the {name} was off, but a reading needs it on."
            evidence = ({"fact": f"utilities.{name}"}, *({"reading": q.id} for q in mine))
            out.append(Clash(f"utility|{name}", says, f"correct {name} under [utilities], or the reading", evidence))
    return out


def _years(record: Record, given: Given) -> list[Clash]:
    """A thing made after the visit, or long before a house that it came with."""
    day, built = record.visit.started, record.visit.built
    out = []
    for q in record.readings:
        if q.quantity not in ("made_year", "installed_year") or isinstance(q.value, str):
            continue
        if day is not None and q.value > day.year:
            says = f"A year after the visit: {q.value:g}."
            out.append(Clash(f"year|{q.id}", says, LOOK_AGAIN, ({"reading": q.id},), q.place))
        elif built is not None and q.value < built - 2:
            name = given.trade.components[q.component].name if q.component in given.trade.components else "part"
            says = f"The {name} is of {q.value:g}, older than the house ({built})."
            evidence = ({"reading": q.id}, {"fact": "house.built"})
            out.append(Clash(f"year|{q.id}", says, f"{LOOK_AGAIN}, or correct built", evidence, q.place))
    return out


def _levels(record: Record, given: Given) -> list[Clash]:
    """Rooms upstairs in a house of one storey."""
    if record.visit.storeys != 1:
        return []
    said = [(e, p) for text, e, p in texts(record) if has(text, UP)]
    said = [(e, p) for e, p in said if "remark" in e or "finding" in e]
    if not said:
        return []
    says = "visit.toml gives the house one storey, but the file speaks of an upper floor."
    evidence = ({"fact": "house.storeys"}, *(e for e, _ in said[:4]))
    return [Clash("storeys", says, "correct storeys under [house], or the text", evidence)]


def of_finding(f: Finding) -> list[str]:
    """The sentences of a finding that a client reads, without the quotes of what was said."""
    n = f.narrative
    return [s for part in (f.title, n.saw, n.matters, n.do, n.who) for s in sentences(part)]
