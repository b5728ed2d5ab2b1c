"""The walk of the second scenario as a perfect listener hears it: tall-1952/heard.toml, without listening."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

from kingpost.judge.findings import digest
from kingpost.listen.hear import Draft, Hearing, SpokenHandling, SpokenLimit
from kingpost.trade.load import trade
from kingpost.visit import read
from kingpost.visit.record import Remark

HERE = Path(__file__).parent / "tall-1952"
SENTENCE = re.compile(r"(?<=[.?!])\s+")
LEVELS = {"exterior": "grounds", "roof": "roof", "crawl space": "underfloor", "attic": "attic", "garage": "garage"}


def by_hand(name: str, _key: object, make: Callable[[], Any]) -> Any:
    """`once` of `inspect`: the hearing by hand, anything else as it is made."""
    return _hearing() if name == "hearing" else make()


def _hearing() -> Hearing:
    told = tomllib.loads((HERE / "heard.toml").read_text("utf-8"))
    found, said = told["found"], told["said"]
    aside = dict.fromkeys(said["unclear"], "unclear: nothing in it was recognised")
    aside |= dict.fromkeys(said["talk"], "not about the house")
    moved = {w for row in said["changed"] for w in row[1:]}
    out, place = Hearing(), ""
    for walk in read(HERE).walks:
        for cue in walk.cues:
            place = next((p for start, p in told["places"] if cue.text.startswith(start)), place)
            whole = cue.text in moved or cue.text in found
            texts = [cue.text] if whole else SENTENCE.split(cue.text)
            step = (cue.end - cue.start) / len(texts)
            for n, text in enumerate(texts):
                start = cue.start + n * step
                use = "set_aside" if text in aside else "finding" if text in found else "information"
                use = "limitation" if text in said["limits"] else "as_found" if text in moved else use
                name = digest("r", walk.source, round(start, 3), text)
                out.remarks.append(
                    Remark(name, walk.source, start, start + step, text, place, use, aside.get(text, ""))
                )
    _made(out, found, said)
    return out


def _made(out: Hearing, found: dict[str, str], said: dict[str, Any]) -> None:
    """Drafts, limits and changes, each from its sentence; a sentence that the walk lacks is a fault of heard.toml."""
    at = {r.text: r for r in out.remarks}
    for text, condition in found.items():
        r, c = at[text], trade().conditions[condition]
        level = next((v for k, v in LEVELS.items() if r.place.startswith(k)), "main")
        out.drafts.append(
            Draft(condition, c.component, c.fault, r.place, level, 2.0, (r.id,), r.start, r.end, r.source, text)
        )
    for text in said["limits"]:
        r = at[text]
        out.limits.append(SpokenLimit(text, r.place, "crawl_space", (r.id,), r.start, r.source))
    for thing, opened, closed in said["changed"]:
        r, back = at[opened], at.get(closed)
        name = trade().handled[thing].name
        ids = tuple(dict.fromkeys((r.id, *([back.id] if back else []))))
        out.handled.append(SpokenHandling(name, opened, r.place, r.start, back.end if back else None, ids, r.source))
