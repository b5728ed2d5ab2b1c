"""Limits told to a client: what was not seen, why in plain words, what would make it visible, who should look then."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from kingpost.listen.sweeps import indexes
from kingpost.trade.duties import Lift
from kingpost.visit.record import Limitation, PhotoRef

from .given import Given
from .permits import _about, is_limit, permit, reason_of
from .words import has, listed, lower_first, upper_first

SHOWN = 3  # parts that one limit names
WEAK = ("", "not_owner_control", "obstruction")  # reasons that one common word gives; closer words win
TEXTS = ("text", "reason", "shows", "who", "says")


def limits(found: Sequence[Limitation], photos: Sequence[PhotoRef], given: Given) -> list[Limitation]:
    """The limits of a visit, filled in, and as the inspector decided; one that he set aside is gone."""
    shot = {p.id for p in photos}
    out = []
    for x in found:
        decided = given.of(x.id, "set_aside", "reword", "accept")
        if any(d.verb == "set_aside" for d in decided):
            continue
        made = _filled(x, given)
        near = [p for e in x.evidence if "remark" in e for p in given.beside.get(str(e["remark"]), ())]
        near += [str(e["photo"]) for e in x.evidence if "photo" in e]
        for d in decided:
            change: dict[str, Any] = {k: str(d.fields[k]) for k in TEXTS if k in d.fields}
            made = replace(made, **change)
            near += [str(d.fields["photo"])] if "photo" in d.fields else []
            if d.fields.get("code") in given.standards.reasons:
                made = _filled(replace(made, code=str(d.fields["code"])), given)
        out.append(replace(made, photos=tuple(p for p in dict.fromkeys(near) if p in shot)))
    return out


def _filled(x: Limitation, given: Given) -> Limitation:
    index = indexes(given.trade, given.standards)
    named, place_id = _about(x, given.trade, index)
    level = given.trade.places[place_id].level if place_id else ""
    code = x.code or reason_of(x.text, given.standards)
    if not x.code and code in WEAK:
        code = _code(x.text, level, given) or code
    clause = permit(code, named, place_id, given.laws, given.standards)
    lift = _lift(code, level, named, given)
    cited = clause.citation if clause is not None and not clause.unverified else ""
    place = given.trade.places.get(place_id)
    real = [c for c in sorted(named) if c in given.trade.components]
    item = x.item if x.item in named or not place else real[0] if real else place.name
    return replace(
        x,
        item=item,  # what only marks a spot ("past the ducts") is not what could not be seen
        code=code,
        clause=x.clause or cited,
        permits=clause.key if clause else "",
        says=says(x, named, place_id, lift, given),
        shows=lift.shows if lift else "",
        who=listed_who(lift, given),
    )


def _code(text: str, level: str, given: Given) -> str:
    """The reason by the further words of lifts.toml, those of the place first."""
    ranked = sorted(given.duties.lifts.values(), key=lambda lift: (level not in lift.levels, bool(lift.levels)))
    fit = (lift for lift in ranked if not lift.levels or level in lift.levels)
    return next((lift.reason for lift in fit if has(text, lift.said)), "")


def _lift(code: str, level: str, named: frozenset[str], given: Given) -> Lift | None:
    """How a limit of this reason is told: closest to the part, then to the place."""
    fit = [
        x
        for x in given.duties.lifts.values()
        if x.reason == code and (not x.levels or level in x.levels) and (not x.parts or named & set(x.parts))
    ]
    return min(fit, key=lambda x: (not x.parts, not x.levels)) if fit else None


def listed_who(lift: Lift | None, given: Given) -> str:
    """Who should look then, as the report names them."""
    return upper_first(", or ".join(given.trade.people[p].name for p in lift.who)) if lift else ""


def says(x: Limitation, named: frozenset[str], place_id: str, lift: Lift | None, given: Given) -> str:
    """The limit for a client: what, why, and how to see it. Where the words name no part, the place was limited."""
    parts = [given.trade.components[c].name for c in sorted(named) if c in given.trade.components][:SHOWN]
    place = given.trade.places.get(place_id)
    where = place.name if place else ""
    run = has(x.text, given.standards.sweeps["not_run"].said)
    if parts:
        what = upper_first(("the " if len(parts) == 1 else "") + listed(parts))
    else:
        what = f"Part of the {where}" if where else "Part of what was looked at"
    were = "were" if len(parts) > 1 or (parts and parts[0].endswith("s")) else "was"
    deed = "run" if run else "seen in full"
    because = f": {lift.because}" if lift else ""
    shows = f" To see it: {lower_first(lift.shows)}." if lift else ""
    return f"{what} {were} not {deed}{because}.{shows}"


def no_limit(x: Limitation, put_back: frozenset[str], tells: frozenset[str], given: Given) -> bool:
    """Words that were taken for a limit and are none: a door locked again, somebody told, a kind that was named.

    put_back  remarks that tell a putting back; tells: remarks that say who was told of a hazard
    """
    said = {str(e["remark"]) for e in x.evidence if "remark" in e}
    if not said or given.of(x.id, "reword", "accept"):
        return False
    if said & tells or (not x.code and not is_limit(x.text, given.standards)):
        return True
    locked = x.code == "needs_key_or_code" and not is_limit(x.text, given.standards)
    return locked or (said <= put_back and x.code in ("needs_key_or_code", "shut_down"))
